"""What people say of the next check: described once, for the command line, the worksheet and the calculation `due`.

Nothing of it is assumed. What is left out makes nothing due, and no port call is named without what that takes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from calc.job.describe import NUMBER, Field, number, record, table
from calc.job.model import Node

LOG = "The engine log."
LATEST_H = 1e7


def interval() -> Any:
    """The maker's interval."""
    return number(
        "interval between checks",
        unit="h",
        low=0,
        low_open=True,
        high=1e6,
        find="The maker's maintenance schedule.",
        hint="6000 to 8000 h is common practice (no source).",
    )


def parts_changed() -> Any:
    """When parts were changed."""
    return number("running hours at which parts that affect timing were changed", unit="h", low=0, high=LATEST_H, find=LOG)


def now(**details: Any) -> Any:
    """Where the counter stands today."""
    return number("running hours now", **{"unit": "h", "low": 0, "high": LATEST_H, "find": LOG, **details})


def a_day() -> Any:
    """How fast hours run."""
    return number("running hours a day", unit="h", low=0, low_open=True, high=24)


def needs() -> Any:
    """How long a check takes."""
    return number("hours in port that the check needs", unit="h", low=0, high=1e4)


def port_calls(**details: Any) -> Any:
    """When the ship is in port, and for how long."""
    return table(
        "port calls",
        columns=(
            Field(name="", kind=NUMBER, label="days from today", unit="d", low=0, high=1e4),
            Field(name="", kind=NUMBER, label="hours in port", unit="h", low=0, high=1e4),
        ),
        most=1000,
        **details,
    )


@record
class Wanted(Node):
    """What the next check depends on, besides the past ones."""

    interval_h: float | None = interval()
    parts_changed_hours: float | None = parts_changed()
    now_hours: float | None = now(help="Without them, days count from the last check.")
    hours_per_day: float | None = a_day()
    needs_h: float | None = needs()
    calls: tuple[tuple[float, float], ...] | None = port_calls(
        help="A line for each call: days from today, then hours in port, such as 61 40."
    )


# How each is called on the command line, and what stands for its value there.
OPTIONS: Mapping[str, tuple[str, str]] = {
    "interval_h": ("--interval", "H"),
    "parts_changed_hours": ("--parts-changed", "H"),
    "now_hours": ("--now", "H"),
    "hours_per_day": ("--hours-per-day", "H"),
    "needs_h": ("--needs", "H"),
    "calls": ("--call", "DAYS:HOURS"),
}


def call_lacks(wanted: Wanted) -> Iterable[str]:
    """What else is needed before a port call can be named: labels of what was left out; nothing where no call was given.

    >>> list(call_lacks(Wanted(calls=((61.0, 40.0),), needs_h=30.0)))
    ['running hours a day']
    """
    if wanted.calls:
        if wanted.hours_per_day is None:
            yield "running hours a day"
        if wanted.needs_h is None:
            yield "hours in port that the check needs"
