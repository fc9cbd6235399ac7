"""Trends for a terminal: the answer first, then a table of all units, then what to know."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from calc.history import EngineTrend, EventTrend, HistoryNotice
from calc.job.model import AHEAD
from calc.job.words import plain, signed
from calc.show.terminal import clean, paragraph
from calc.version import PROGRAM

HEAD = "Unit Event  Readings  Drift in 1000 h    Proven  Now       Time to the limit"


def ending(notices: Sequence[HistoryNotice], files: int) -> Iterator[str]:
    """What to know, and how many files were read."""
    for notice in notices:
        yield from paragraph(f"{notice.text} ({notice.where or 'no vessel named'})", "- ", "  ")
    if notices:
        yield ""
    yield f"{PROGRAM}, {files} job file{'' if files == 1 else 's'}"


def lines_of(engine: EngineTrend) -> Iterator[str]:
    """One engine as lines of text: the answer first."""
    yield clean(name_of(engine))
    yield span_of(engine)
    yield ""
    if engine.next_check is not None:
        yield from paragraph(engine.next_check.text)
    for words in engine.said:
        yield from paragraph(words)
    if not engine.units:
        return
    yield ""
    yield HEAD
    for unit in engine.units:
        for noun, event in (("start", unit.beginning), ("end", unit.end)):
            if event is not None:
                yield f"{unit.unit:>4} {noun:<6} {event.readings:>8}  {_event(event)}".rstrip()


def name_of(engine: EngineTrend) -> str:
    """What to call an engine; two of one vessel differ in direction or in their units."""
    direction = "" if engine.rotation == AHEAD else f", {engine.rotation}"
    return f"{engine.vessel or 'No vessel named'}{direction}{', demo: ship and numbers are invented' if engine.demo else ''}"


def span_of(engine: EngineTrend) -> str:
    """How much there is of it: units, checks, hours, tolerance."""
    checks = "1 check" if engine.checks == 1 else f"{engine.checks} checks"
    hours = plain(engine.first_hours, 0)
    if engine.checks > 1:
        hours += f" to {plain(engine.last_hours, 0)}"
    return f"{engine.engine_units} units, {checks}, {hours} h, tolerance ±{engine.tolerance_deg:g}°"


def _event(event: EventTrend) -> str:
    if event.slope_per_1000_h is None:
        return "no trend: too few readings"
    doubt = "" if event.u_slope_per_1000_h is None else f" u {plain(event.u_slope_per_1000_h, 4)}"
    drift = f"{signed(event.slope_per_1000_h, 4)}°{doubt}"
    now = "" if event.value is None else f"{signed(event.value, 2)}°"
    return f"{drift:<18} {'yes' if event.provable else 'no':<7} {now:<9} {time_left(event)}"


def time_left(event: EventTrend) -> str:
    """The time to the limit in words; empty without a proven drift: then it says nothing but the scatter of few readings."""
    return f"{plain(event.hours_to_limit, 0)} h" if event.provable and event.hours_to_limit is not None else ""
