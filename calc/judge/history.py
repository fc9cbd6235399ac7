"""From past checks to trends: each unit's drift since it was last corrected, and when the next check is due.

Between two checks the deviation drifts from where it was left to where it is found. A correction in between changes its
level, not its drift: readings as left start a new run, and all runs of a unit's event share one slope.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from calc.findings import Findings
from calc.history import FORMAT, VERSION, EngineTrend, EventTrend, History, HistoryNotice, NextCheck, UnitTrend
from calc.job.model import AS_LEFT, Job
from calc.job.words import late_words, plain
from calc.measure.line import Line, fit_common_line, steps_to_reach
from calc.plan.due import REASONS, TREND, days_until, fitting_call, next_due, overdue_words
from calc.version import PROGRAM

FARTHEST_H = 100_000.0
EVENTS = ("beginning", "end")
NOUNS = {"beginning": "start", "end": "end"}


@dataclass(frozen=True, slots=True)
class Reading:
    """One deviation of one event [°], with the running hours [h] it was read at."""

    unit: int
    event: str
    hours: float
    left: bool
    deviation_deg: float


@dataclass(frozen=True, slots=True)
class Check:
    """What a trend needs of one job: small, so that a hundred thousand of them fit into memory."""

    vessel: str
    hours: float
    tolerance_deg: float
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What people say of the next check. Nothing of it is assumed; calls are days from today and hours in port."""

    interval_h: float | None = None
    parts_changed_hours: float | None = None
    now_hours: float | None = None
    hours_per_day: float | None = None
    needs_h: float = 0.0
    calls: tuple[tuple[float, float], ...] = ()


def check_of(job: Job, found: Findings) -> Check | None:
    """The part of a judged job that a trend needs; None without running hours."""
    if job.running_hours is None:
        return None
    readings = tuple(
        Reading(unit.unit, name, job.running_hours, unit.stage == AS_LEFT, event.deviation_deg)
        for unit in found.units
        for name in EVENTS
        if (event := getattr(unit, name)) is not None
    )
    return Check((job.vessel or "").strip(), job.running_hours, job.reference.angle_tolerance_deg, readings)


def history(checks: Sequence[Check], files: int, without_hours: Iterable[str], wanted: Wanted) -> History:
    """The trends of every engine.

    Parameters: checks in any order; files: how many were read; without_hours: those that take no part; wanted: what the
    next check depends on.
    """
    notices = [
        HistoryNotice(
            code="no_hours",
            where=name,
            text="The job has no running hours, so it takes no part. Enter running_hours in it.",
        )
        for name in without_hours
    ]
    engines = []
    for vessel in sorted({check.vessel for check in checks}):
        mine = sorted((check for check in checks if check.vessel == vessel), key=lambda check: check.hours)
        engines.append(_engine(vessel, mine, wanted, notices))
    return History(format=FORMAT, version=VERSION, program=PROGRAM, files=files, engines=tuple(engines), notices=tuple(notices))


def _engine(vessel: str, checks: list[Check], wanted: Wanted, notices: list[HistoryNotice]) -> EngineTrend:
    tolerance = checks[-1].tolerance_deg
    by_event: dict[tuple[int, str], list[Reading]] = {}
    for check in checks:
        for reading in check.readings:
            by_event.setdefault((reading.unit, reading.event), []).append(reading)
    trends = {key: event_trend(readings, tolerance) for key, readings in by_event.items()}
    units = tuple(
        UnitTrend(unit=unit, beginning=trends.get((unit, "beginning")), end=trends.get((unit, "end")))
        for unit in sorted({unit for unit, _ in trends})
    )
    last = checks[-1].hours
    proven = [
        (max(point[0] for point in trend.points) + trend.hours_to_limit, key)
        for key, trend in trends.items()
        if trend.provable and trend.hours_to_limit is not None
    ]
    first_out = min(proven) if proven else None
    due = _next_check(vessel, last, None if first_out is None else first_out[0], wanted, notices)
    if all(trend.slope_per_1000_h is None for trend in trends.values()):
        notices.append(
            HistoryNotice(
                code="few_checks",
                where=vessel,
                text="A drift takes two checks at least, and its doubt a third. Keep the job files of every check.",
            )
        )
    return EngineTrend(
        vessel=vessel,
        checks=len(checks),
        first_hours=checks[0].hours,
        last_hours=last,
        tolerance_deg=tolerance,
        text=" ".join(_words(trends, tolerance, first_out, due)),
        units=units,
        next_check=due,
    )


def event_trend(readings: Sequence[Reading], tolerance_deg: float) -> EventTrend:
    """The drift of one event of one unit.

    Parameters: readings; tolerance [deg, above 0].

    >>> found = [Reading(1, "end", 1000.0 * k, False, 0.1 * k + 0.01 * (k % 2)) for k in range(5)]
    >>> trend = event_trend(found, 1.0)
    >>> round(trend.slope_per_1000_h, 3), trend.provable, round(trend.hours_to_limit)
    (0.1, True, 5438)
    """
    ordered = sorted(readings, key=lambda each: (each.hours, each.left))
    groups, group = [], 0
    for reading in ordered:
        group += reading.left
        groups.append(group)
    points = tuple((each.hours, each.deviation_deg, each.left) for each in ordered)
    line = fit_common_line(groups, [each.hours for each in ordered], [each.deviation_deg for each in ordered])
    if line is None:
        return EventTrend(readings=len(ordered), provable=False, points=points)
    last = ordered[-1].hours
    known = line.dof > 0
    return EventTrend(
        readings=len(ordered),
        slope_per_1000_h=1000.0 * line.slope,
        u_slope_per_1000_h=1000.0 * line.u_slope if known else None,
        provable=line.slope_proven(),
        value=line.value(last),
        prediction=line.prediction(last) if known else None,
        hours_to_limit=_hours_to_limit(line, last, tolerance_deg) if known else None,
        points=points,
    )


def _hours_to_limit(line: Line, last: float, tolerance_deg: float) -> float | None:
    return steps_to_reach(line, last, tolerance_deg, FARTHEST_H)


def _next_check(
    vessel: str, last: float, trend_hours: float | None, wanted: Wanted, notices: list[HistoryNotice]
) -> NextCheck | None:
    due = next_due(last, wanted.interval_h, trend_hours, wanted.parts_changed_hours)
    if due is None:
        words = "No interval was given, no drift is proven and no parts were changed. Give --interval, from the maker's papers."
        notices.append(HistoryNotice(code="no_due", where=vessel, text=words))
        return None
    now = last if wanted.now_hours is None else wanted.now_hours
    overdue = overdue_words(due, now)
    if overdue is not None:
        notices.append(HistoryNotice(code="overdue", where=vessel, text=overdue))
    if wanted.hours_per_day is None:
        return NextCheck(hours=due.hours, reason=due.reason)
    days = days_until(due.hours, now, wanted.hours_per_day)
    call = fitting_call(wanted.calls, days, wanted.needs_h)
    if wanted.calls and call is None:
        notices.append(
            HistoryNotice(
                code="no_call",
                where=vessel,
                text=f"No port call is long enough before the check is due in {plain(days, 1)} days. "
                f"{_later_call(wanted, days)}",
            )
        )
    return NextCheck(hours=due.hours, reason=due.reason, days=days, port_call=None if call is None else call + 1)


def _later_call(wanted: Wanted, days: float) -> str:
    later = [call for call, hours in wanted.calls if hours >= wanted.needs_h and call > days]
    if not later:
        return "Ask for a longer stay, or give more calls."
    return f"The next long enough is in {plain(min(later), 0)} days, {plain(min(later) - days, 0)} days late."


def _words(
    trends: dict[tuple[int, str], EventTrend],
    tolerance: float,
    first_out: tuple[float, tuple[int, str]] | None,
    due: NextCheck | None,
) -> Iterator[str]:
    proven = {key: trend for key, trend in trends.items() if trend.provable}
    if not any(trend.u_slope_per_1000_h is not None for trend in trends.values()):
        yield "No trend can be told yet: too few checks."
    elif not proven:
        yield "No trend is provable: what moved between the checks is no more than their scatter."
    for (unit, event), trend in proven.items():
        slope = trend.slope_per_1000_h or 0.0
        yield f"Unit {unit}, {NOUNS[event]}: drifts by {plain(abs(slope), 3)}° {_way(slope)} in 1000 h, proven."
        now = trend.value
        if now is not None:
            yield f"It is now {late_words(now)}."
    if first_out is not None:
        hours, (unit, event) = first_out
        yield f"Unit {unit}, {NOUNS[event]}, comes first to ±{tolerance:g}°: at {plain(hours, 0)} h."
    if due is not None:
        because = "" if due.reason == TREND and first_out is not None else f": {REASONS[due.reason]}"
        yield f"The next check is due at {plain(due.hours, 0)} h{because}."


def _way(slope: float) -> str:
    return "later" if slope > 0 else "earlier"
