"""Trends for a terminal: the answer first, then a table of all units, then what to know."""

from __future__ import annotations

from collections.abc import Iterator

from calc.history import EngineTrend, EventTrend, History
from calc.job.words import plain, signed
from calc.show.terminal import clean, paragraph

HEAD = "Unit Event  Readings  Drift in 1000 h    Proven  Now       Time to the limit"


def report(found: History) -> str:
    """All engines as lines of text, at most 80 columns."""
    lines: list[str] = []
    for engine in found.engines:
        lines += [*_engine(engine), ""]
    for notice in found.notices:
        lines += paragraph(f"{notice.text} ({notice.where or 'no vessel named'})", "- ", "  ")
    if found.notices:
        lines.append("")
    lines.append(f"{found.program}, {found.files} job files")
    return "\n".join(lines)


def _engine(engine: EngineTrend) -> Iterator[str]:
    yield clean(engine.vessel or "No vessel named")
    checks = "1 check" if engine.checks == 1 else f"{engine.checks} checks"
    span = f"{plain(engine.first_hours, 0)} to {plain(engine.last_hours, 0)} h"
    yield f"{checks}, {span}, tolerance ±{engine.tolerance_deg:g}°"
    yield ""
    yield from paragraph(engine.text)
    if engine.next_check is not None and engine.next_check.days is not None:
        call = engine.next_check.port_call
        fits = "" if call is None else f", port call {call} fits"
        yield f"That is in {plain(engine.next_check.days, 0)} days{fits}."
    if not engine.units:
        return
    yield ""
    yield HEAD
    for unit in engine.units:
        for noun, event in (("start", unit.beginning), ("end", unit.end)):
            if event is not None:
                yield f"{unit.unit:>4} {noun:<6} {event.readings:>8}  {_event(event)}".rstrip()


def _event(event: EventTrend) -> str:
    if event.slope_per_1000_h is None:
        return "no trend: too few readings"
    doubt = "" if event.u_slope_per_1000_h is None else f" u {plain(event.u_slope_per_1000_h, 4)}"
    drift = f"{signed(event.slope_per_1000_h, 4)}°{doubt}"
    now = "" if event.value is None else f"{signed(event.value, 2)}°"
    # Without a proven drift that range is only the scatter of few readings, so its time says nothing to people.
    left = f"{plain(event.hours_to_limit, 0)} h" if event.provable and event.hours_to_limit is not None else ""
    return f"{drift:<18} {'yes' if event.provable else 'no':<7} {now:<9} {left}"
