"""From past checks to trends: each unit's drift since it was last corrected, and when the next check is due.

Between two checks the deviation drifts from where it was left to where it is found. A correction in between changes its
level, not its drift: readings as left start a new run, and all runs of a unit's event share one slope.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import pi, sqrt

from calc.history import EngineTrend, EventTrend, History, HistoryNotice, NextCheck, UnitTrend
from calc.job.words import late_words, listed, plain, short
from calc.judge.past import BEGINNING, END, Check, Reading, by_engine
from calc.judge.wanted import Wanted, call_lacks
from calc.measure.gum import COVERAGE
from calc.measure.line import Line, fit_common_line, steps_to_reach
from calc.measure.spread import middle_and_scatter
from calc.plan.due import REASONS, Due, days_until, fitting_call, next_due, overdue_words
from calc.recalls import NAME

FARTHEST_H = 100_000.0
NOUNS = {BEGINNING: "start", END: "end"}
_MOST_NAMED = 5
_FEWEST_UNITS = 3  # For what they share.

Say = Callable[[str, str], None]  # Takes the code of a notice and its words.
Key = tuple[int, str]  # Unit and event.


@dataclass(frozen=True, slots=True)
class Drift:
    """The readings of one event of one unit in their order, the run that each belongs to, and the line through them."""

    readings: Sequence[Reading]
    runs: Sequence[int]
    line: Line | None

    @property
    def last_hours(self) -> float:
        """When it was read last."""
        return self.readings[-1].hours


def history(checks: Iterable[Check], files: int, without_hours: Iterable[str], wanted: Wanted) -> History:
    """The trends of every engine.

    Parameters: checks in any order; files: how many were read; without_hours: those that take no part; wanted: what the
    next check depends on.
    """
    notices = [no_hours(name) for name in without_hours]
    engines = []
    for engine, said in each_engine(checks, wanted):
        engines.append(engine)
        notices += said
    return replace(History.empty(files), engines=tuple(engines), notices=tuple(notices))


def no_hours(name: str) -> HistoryNotice:
    """What to say of a job that takes no part."""
    words = "The job has no running hours, so it takes no part. Enter running_hours in it."
    return HistoryNotice(code="no_hours", where=name, text=words)


def each_engine(checks: Iterable[Check], wanted: Wanted) -> Iterator[tuple[EngineTrend, list[HistoryNotice]]]:
    """The trend of one engine after the other, with what has to be known of it: none of them needs to be kept."""
    for mine in by_engine(checks).values():
        notices: list[HistoryNotice] = []
        yield _engine(mine, wanted, notices), notices


def _engine(found: list[Check], wanted: Wanted, notices: list[HistoryNotice]) -> EngineTrend:
    vessel = found[-1].vessel

    def say(code: str, words: str) -> None:
        notices.append(HistoryNotice(code=code, where=vessel, text=words))

    checks = _once(found, say)
    last = checks[-1]
    by_event: dict[Key, list[Reading]] = {}
    for check in checks:
        for reading in check.readings:
            by_event.setdefault((reading.place.unit, reading.place.event), []).append(reading)
    drifts = {key: drift_of(readings) for key, readings in by_event.items()}
    trends = {key: event_trend(drift, last.tolerance_deg) for key, drift in drifts.items()}
    units = tuple(
        UnitTrend(unit=unit, beginning=trends.get((unit, BEGINNING)), end=trends.get((unit, END)))
        for unit in sorted({unit for unit, _ in trends})
    )
    proven = [
        (drifts[key].last_hours + trend.hours_to_limit, key)
        for key, trend in trends.items()
        if trend.provable and trend.hours_to_limit is not None
    ]
    first_out = min(proven) if proven else None
    _say_what_fools(checks, say)
    due = _next_check(last.hours, None if first_out is None else first_out[0], wanted, say)
    said = tuple(_words(checks, drifts, trends, last.tolerance_deg, first_out))
    return EngineTrend(
        vessel=vessel,
        engine_units=last.engine.units,
        rotation=last.engine.direction,
        demo=any(check.demo for check in checks) or None,
        checks=len(checks),
        first_hours=checks[0].hours,
        last_hours=last.hours,
        tolerance_deg=last.tolerance_deg,
        text=" ".join(said),
        said=said,
        units=units,
        next_check=due,
    )


# ---------------------------------------------------------------- one event of one unit


def drift_of(readings: Sequence[Reading]) -> Drift:
    """Readings of one event of one unit, in any order, as runs with a line. What was moved begins a new run.

    >>> from calc.judge.past import Place
    >>> found, left = Place(1, "end"), Place(1, "end", left=True)
    >>> drift_of([Reading(left, 6000.0, 0.0), Reading(found, 6000.0, 0.3), Reading(found, 12000.0, 0.31)]).runs
    [0, 1, 1]
    """
    ordered = sorted(readings, key=lambda each: (each.hours, each.place.left))
    runs, run = [], 0
    for reading in ordered:
        run += reading.place.left
        runs.append(run)
        run += reading.place.moved
    line = fit_common_line(runs, [each.hours for each in ordered], [each.deviation_deg for each in ordered])
    return Drift(ordered, runs, line)


def event_trend(drift: Drift, tolerance_deg: float) -> EventTrend:
    """The drift of one event of one unit in numbers.

    Parameters: drift; tolerance [deg, above 0].

    >>> from calc.judge.past import Place
    >>> found = [Reading(Place(1, "end"), 1000.0 * k, 0.1 * k + 0.01 * (k % 2)) for k in range(5)]
    >>> trend = event_trend(drift_of(found), 1.0)
    >>> round(trend.slope_per_1000_h, 3), trend.provable, round(trend.hours_to_limit)
    (0.1, True, 5438)
    """
    line, count = drift.line, len(drift.readings)
    points = tuple((each.hours, each.deviation_deg, each.place.left) for each in drift.readings)
    if line is None:
        return EventTrend(readings=count, provable=False, points=points)
    last, known = drift.last_hours, line.dof > 0
    reached = steps_to_reach(line, last, tolerance_deg, FARTHEST_H) if known else None
    return EventTrend(
        readings=count,
        slope_per_1000_h=1000.0 * line.slope,
        u_slope_per_1000_h=1000.0 * line.u_slope if known else None,
        provable=line.slope_proven(),
        value=line.value(last),
        prediction=line.prediction(last) if known else None,
        hours_to_limit=reached,
        points=points,
        run_from=next(each.hours for each, run in zip(drift.readings, drift.runs, strict=True) if run == drift.runs[-1]),
    )


# ---------------------------------------------------------------- what has to be known


def _once(found: list[Check], say: Say) -> list[Check]:
    """Each check once: a copy would count double, and make the doubt look smaller than it is."""
    checks: list[Check] = []
    copies, beside = [], []
    for check in found:
        at_same = [each for each in reversed(checks[-_MOST_NAMED:]) if each.hours == check.hours]
        if any(each.is_same_as(check) for each in at_same):
            copies.append(check.name)
            continue
        if at_same:
            beside.append(f"{at_same[0].name} and {check.name} ({plain(check.hours, 0)} h)")
        checks.append(check)
    if copies:
        say("twice", f"Counted once, since another file holds the same check: {_named(copies)}.")
    if beside:
        say("same_hours", f"Two checks stand at the same running hours: {_named(beside)}. Both count. Check the hours.")
    return checks


def _say_what_fools(checks: list[Check], say: Say) -> None:
    first_hours = [check for check in checks if check.hours == checks[0].hours]
    if len(checks) == 1:
        say("few_checks", "One check shows no drift. Keep its file: the second check begins a trend, the third can prove it.")
    elif len(first_hours) == len(checks):
        say("few_checks", "All checks stand at the same running hours, so they show no drift. Add a check at other hours.")
    elif len(checks) == 2:
        say("few_checks", "Two checks give a drift but no doubt of it. A third one can prove it. Keep every job file.")
    for check in checks:
        if check.recalled:
            say(
                "recalled",
                f"{NAME} {check.recalled} worked on {_call(check)}, and is recalled. This trend is computed anew. "
                "Look again at what you corrected by the old numbers: the recall notices say which.",
            )
    _say_changes(
        [(check, check.settings) for check in checks],
        "settings_changed",
        "The reference settings changed between {before} and {after}. Deviations before and after count from different "
        "settings: leave out the older checks.",
        say,
    )
    _say_changes(
        [(check, check.gauges) for check in checks],
        "gauges_changed",
        "Other gauges were used in {after} than in {before}. A step there may be the gauge and not the engine.",
        say,
    )
    _say_common_step(checks, say)
    moved = sorted({(place.unit, check.name) for check in checks for place in check.places if place.moved})
    if moved:
        cases = _named([f"unit {unit} in {name}" for unit, name in moved])
        say("moved_unread", f"Turned, and not read as left: {cases}. The next reading begins anew, and that drift is not seen.")


def _say_changes(marked: Sequence[tuple[Check, int]], code: str, words: str, say: Say) -> None:
    known = [(check, mark) for check, mark in marked if mark]
    changes = [(before, after) for (before, old), (after, new) in pairwise(known) if old != new]
    if changes:
        # The newest one is the one that counts today.
        before, after = changes[-1]
        say(code, words.format(before=_call(before), after=_call(after)))


def _say_common_step(checks: Sequence[Check], say: Say) -> None:
    """A step that all units share is no drift of theirs, but the line of each one bends to it.

    As with the causes of one check: the median beyond 3 u and at least a third of the tolerance, in three units or more.
    """
    found = [(before, after, step) for before, after in pairwise(checks) if (step := _common_step(before, after)) is not None]
    if found:
        before, after, step = found[-1]
        say(
            "common_step",
            f"Between {_call(before)} and {_call(after)} all units moved together, by {plain(abs(step), 2)}° {_way(step)}. "
            "That is no drift of single units, but it bends their lines. Prove the flywheel pointer by a TDC check, then look "
            "at the camshaft drive.",
        )


def _common_step(before: Check, after: Check) -> float | None:
    """The median step [°] of all events from one check to the next, where it is one of all units."""
    level = {(each.place.unit, each.place.event): each for each in sorted(before.readings, key=lambda each: each.place.left)}
    steps = {
        key: each.deviation_deg - level[key].deviation_deg
        for each in after.readings
        if not each.place.left and (key := (each.place.unit, each.place.event)) in level and not level[key].place.moved
    }
    if len({unit for unit, _ in steps}) < _FEWEST_UNITS:
        return None
    step, scatter = middle_and_scatter(steps.values())
    doubt = scatter * sqrt(0.5 * pi / len(steps))
    return step if abs(step) > 3.0 * doubt and abs(step) >= after.tolerance_deg / 3.0 else None


def _call(check: Check) -> str:
    return f"{check.name or 'the check'} ({plain(check.hours, 0)} h)"


def _named(names: Sequence[str]) -> str:
    more = len(names) - _MOST_NAMED
    return listed([*names[:_MOST_NAMED], f"{more} more"] if more > 0 else [*names])


# ---------------------------------------------------------------- the next check


def _next_check(last: float, trend_hours: float | None, wanted: Wanted, say: Say) -> NextCheck | None:
    due = next_due(last, wanted.interval_h, trend_hours, wanted.parts_changed_hours)
    if due is None:
        words = "No interval was given, no drift is proven, no parts were changed. Give the interval, from the maker's papers."
        say("no_due", words)
        return None
    now = last if wanted.now_hours is None else wanted.now_hours
    overdue = overdue_words(due, now)
    if overdue is not None:
        say("overdue", overdue)
    lacking = list(call_lacks(wanted))
    if lacking:
        say("call_lacks", f"No port call can be named yet. Give {listed(lacking)} as well.")
    days = None if wanted.hours_per_day is None else days_until(due.hours, now, wanted.hours_per_day)
    call = None
    if wanted.calls and days is not None and wanted.needs_h is not None:
        call = fitting_call(wanted.calls, days, wanted.needs_h)
        if call is None:
            words = f"No port call is long enough before the check is due in {plain(days, 1)} days."
            say("no_call", f"{words} {_later_call(wanted.calls, wanted.needs_h, days)}")
    return NextCheck(
        hours=due.hours,
        reason=due.reason,
        days=days,
        port_call=None if call is None else call + 1,
        text=" ".join(_due_words(due, days, call, wanted)),
    )


def _later_call(calls: Sequence[tuple[float, float]], needs_h: float, days: float) -> str:
    later = [call for call, hours in calls if hours >= needs_h and call > days]
    if not later:
        return "Ask for a longer stay, or give more calls."
    return f"The next long enough is in {plain(min(later), 0)} days, {plain(min(later) - days, 0)} days late."


def _due_words(due: Due, days: float | None, call: int | None, wanted: Wanted) -> Iterator[str]:
    yield f"The next check is due at {plain(due.hours, 0)} h: {REASONS[due.reason]}."
    if days is not None and days >= 0.0:
        counted = "" if wanted.now_hours is not None else ", counted from the last check"
        yield f"That is in {plain(days, 0)} days{counted}."
    if call is not None and wanted.calls:
        at, hours = wanted.calls[call]
        yield f"Port call {call + 1} fits: in {short(at)} days, {short(hours)} h."


# ---------------------------------------------------------------- in words


def _words(
    checks: Sequence[Check],
    drifts: Mapping[Key, Drift],
    trends: Mapping[Key, EventTrend],
    tolerance: float,
    first_out: tuple[float, Key] | None,
) -> Iterator[str]:
    proven = {key: trend for key, trend in trends.items() if trend.provable}
    looked_at = sum(trend.u_slope_per_1000_h is not None for trend in trends.values())
    if not looked_at:
        yield f"No trend can be told yet: too few checks ({len(checks)})."
    elif not proven:
        yield "No trend is provable: what moved between the checks is no more than their scatter."
    for (unit, event), trend in proven.items():
        slope = trend.slope_per_1000_h or 0.0
        words = f"Unit {unit}, {NOUNS[event]}: drifts by {plain(abs(slope), 3)}° {_way(slope)} in 1000 h, proven."
        yield words if trend.value is None else f"{words} It is now {late_words(trend.value)}."
    chance = [key for key in proven if not _beyond_chance(drifts[key].line, looked_at)]
    if chance:
        names = "; ".join(f"unit {unit}, {NOUNS[event]}" for unit, event in chance)
        words = f"{looked_at} events were looked at, and one in twenty seems to drift by chance."
        yield f"{words} See at the next check whether it goes on: {names}."
    if first_out is not None:
        hours, (unit, event) = first_out
        yield f"Unit {unit}, {NOUNS[event]}, comes first to ±{tolerance:g}°: at {plain(hours, 0)} h."


def _beyond_chance(line: Line | None, looked_at: int) -> bool:
    """Whether the drift is proven even as the largest of so many. Source: Bonferroni's inequality."""
    return line is not None and line.slope_proven(1.0 - (1.0 - COVERAGE) / looked_at)


def _way(slope: float) -> str:
    return "later" if slope > 0 else "earlier"
