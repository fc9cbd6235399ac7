"""The trends of one or more engines over their past checks, described like the findings."""

from __future__ import annotations

import dataclasses
from typing import Any

from calc.findings import findings_to_tree
from calc.job.describe import choice, flag, number, numbers, record, record_of, records_of, text, whole
from calc.plan.due import REASONS

FORMAT, VERSION = "spillmark-trend", 1
REGRESSION = "JCGM 100:2008, H.3"
INTERVAL = "Draper and Smith 1998, 3.1"

NOTICES = {
    "no_hours": "A job has no running hours, so it takes no part.",
    "few_checks": "An engine has too few checks for a trend.",
    "no_due": "Nothing that was given makes a check due.",
    "no_call": "No port call that was given is long enough and early enough.",
    "overdue": "The check is due already.",
}


@record
class EventTrend:
    """Drift of one event of one unit. A correction starts a new level, not a new drift."""

    readings: int = whole("readings that took part", required=True)
    slope_per_1000_h: float | None = number("drift in 1000 h, positive is later", unit="°", source=REGRESSION)
    u_slope_per_1000_h: float | None = number("standard uncertainty of the drift", unit="°", source=REGRESSION)
    provable: bool = flag("a drift is proven at 95 %", required=True, source=REGRESSION)
    value: float | None = number("deviation on the line at the last reading", unit="°", source=REGRESSION)
    prediction: tuple[float, float] | None = numbers("95 % range of one new reading then", unit="°", most=2, source=INTERVAL)
    hours_to_limit: float | None = number(
        "time after the last reading until that range reaches the tolerance", unit="h", source=INTERVAL
    )
    # What the picture is drawn from: running hours, deviation, whether as left. Not part of the file.
    points: tuple[tuple[float, float, bool], ...] = dataclasses.field(default=(), repr=False, compare=False)


@record
class UnitTrend:
    """One unit."""

    unit: int = whole("unit", required=True)
    beginning: EventTrend | None = record_of(EventTrend, "start of delivery")
    end: EventTrend | None = record_of(EventTrend, "end of delivery")


@record
class NextCheck:
    """When the next check is due."""

    hours: float = number("running hours", unit="h", required=True)
    reason: str = choice("reason", REASONS, required=True)
    days: float | None = number("days from today", help="Null without running hours a day.")
    port_call: int | None = whole("port call that fits, counted from 1", help="Null where none was given or none fits.")


@record
class EngineTrend:
    """One engine, told apart by the vessel's name."""

    vessel: str = text("vessel", required=True)
    checks: int = whole("checks that took part", required=True)
    first_hours: float = number("running hours of the first one", unit="h", required=True)
    last_hours: float = number("running hours of the last one", unit="h", required=True)
    tolerance_deg: float = number("tolerance of the last one", unit="°", required=True)
    text: str = text("the answer in words", required=True)
    units: tuple[UnitTrend, ...] = records_of(UnitTrend, "units", required=True)
    next_check: NextCheck | None = record_of(NextCheck, "next check")


@record
class HistoryNotice:
    """Something to know about a trend."""

    code: str = choice("code", NOTICES, required=True)
    where: str = text("file, or vessel", required=True)
    text: str = text("what it says", required=True)


@record
class History:
    """All engines of a folder."""

    format: str = text("format", required=True)
    version: int = whole("version of the format", required=True)
    program: str = text("program and version", required=True)
    files: int = whole("job files read", required=True)
    engines: tuple[EngineTrend, ...] = records_of(EngineTrend, "engines", required=True)
    notices: tuple[HistoryNotice, ...] = records_of(HistoryNotice, "notices", required=True)

    def to_json(self) -> dict[str, Any]:
        """As plain values."""
        return findings_to_tree(self)
