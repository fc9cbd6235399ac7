"""The trends of one or more engines over their past checks, described like the findings."""

from __future__ import annotations

import dataclasses
from typing import Any

from calc.findings import findings_to_tree
from calc.job.describe import choice, flag, number, numbers, record, record_of, records_of, text, whole
from calc.job.model import AHEAD, ASTERN
from calc.plan.due import REASONS
from calc.version import PROGRAM

FORMAT, VERSION = "spillmark-trend", 1
REGRESSION = "JCGM 100:2008, H.3"
INTERVAL = "Draper and Smith 1998, 3.1"

NOTICES = {
    "no_hours": "A job has no running hours, so it takes no part.",
    "recalled": "A recalled version worked on a check. Look again at what you corrected by its numbers.",
    "few_checks": "An engine has too few checks for a trend.",
    "twice": "Two files hold the same check. It counts once.",
    "same_hours": "Two different checks stand at the same running hours.",
    "settings_changed": "The reference settings are not the same in all checks.",
    "gauges_changed": "The gauges are not the same in all checks.",
    "common_step": "All units moved together between two checks.",
    "moved_unread": "A rod or cam was turned, and not read as left.",
    "call_lacks": "Port calls were given, but not all that is needed to name one.",
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
    # Since when it runs at the level of today: the hours of the last correction, or of the first reading.
    run_from: float | None = dataclasses.field(default=None, repr=False, compare=False)


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
    days: float | None = number(
        "days from today", help="From the last check where the hours now were not given. Null without running hours a day."
    )
    port_call: int | None = whole("port call that fits, counted from 1", help="Null where none was given or none fits.")
    text: str = text("all of it in words", required=True)


@record
class EngineTrend:
    """One engine, told apart by the vessel's name, the number of units, and the direction that its settings are for."""

    vessel: str = text("vessel", required=True)
    engine_units: int = whole("units of the engine", required=True)
    rotation: str = choice("direction", {AHEAD: "ahead", ASTERN: "astern"}, required=True)
    demo: bool | None = flag("the demo's: ship and numbers are invented", omit=True)
    checks: int = whole("checks that took part", required=True)
    first_hours: float = number("running hours of the first one", unit="h", required=True)
    last_hours: float = number("running hours of the last one", unit="h", required=True)
    tolerance_deg: float = number("tolerance of the last one", unit="°", required=True)
    text: str = text("the answer in words", required=True)
    units: tuple[UnitTrend, ...] = records_of(UnitTrend, "units", required=True)
    next_check: NextCheck | None = record_of(NextCheck, "next check")
    # The text in its parts, each of one thing, for a list. Not part of the file.
    said: tuple[str, ...] = dataclasses.field(default=(), repr=False, compare=False)


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

    @classmethod
    def empty(cls, files: int) -> History:
        """A history in which nothing was found yet. Parameter: job files read."""
        return cls(format=FORMAT, version=VERSION, program=PROGRAM, files=files, engines=(), notices=())

    def to_json(self) -> dict[str, Any]:
        """As plain values."""
        return findings_to_tree(self)
