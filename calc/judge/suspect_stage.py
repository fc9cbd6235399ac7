"""Mistakes that touch a whole stage: all units alike, or two units with each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import log, sqrt
from statistics import median

from calc.job.model import AT_CONTACT, SPILL_OPENING, SUCTION_CLOSING, VALVE_EVENTS
from calc.judge.event import JudgedEvent
from calc.judge.fit import log_honest
from calc.judge.seen import CAM, FAULT, MISTAKE, ROD, Numbers, SeenEvent, SeenUnit, usual_spread
from calc.judge.settings import Settings
from calc.judge.suspect_unit import HONEST, NEAR, Explanation
from calc.judge.unit import JudgedUnit
from calc.measure.evidence import LOG_TWO_PI, log_either, log_normal
from calc.measure.pool import mean
from calc.pump import mistakes
from calc.pump.cause import NOTEWORTHY_SHARE, SIGNIFICANT, UNITS_FOR_COMMON, median_variance
from calc.pump.cut_out import lift_beyond_seat
from calc.pump.mistakes import BEFORE_AFTER, INDEX_OFF, SEAT_CONTACT, TIMING_OFFSET, UNITS_SWAPPED

# A unit that fits nothing must not decide for all: its numbers then count as if spread over such ranges.
STRAY, STRAY_MM, STRAY_DEG = 0.01, 20.0, 20.0
SWAP_APART = 6.0  # Settings of two units tell a swap only where they differ by so many standard uncertainties.


@dataclass(frozen=True, slots=True)
class StageExplanation:
    """A mistake of the whole stage, and the units that it touches."""

    explanation: Explanation
    units: frozenset[int]


def is_about_lifts(group: Sequence[StageExplanation]) -> bool:
    """Whether a group of explanations is about lifts that all units share."""
    return any(each.explanation.code == INDEX_OFF for each in group)


def shared_lift_error(units: Sequence[JudgedUnit], settings: Settings) -> bool:
    """Whether the middle of all lift deviations of an event is off: a cheap look before anything is weighed."""
    for event in VALVE_EVENTS:
        judged = [unit.events[event] for unit in units if event in unit.events]
        if len(judged) < UNITS_FOR_COMMON:
            continue
        middle = median(each.lift_error_mm for each in judged)
        effect = abs(middle) / judged[0].unit.flank[event].slope
        u = judged[0].finding.u_lift_mm / sqrt(len(judged))
        if effect >= NOTEWORTHY_SHARE * settings.tolerance_deg and abs(middle) > SIGNIFICANT * u:
            return True
    return False


def shared_contradiction(units: Sequence[JudgedUnit], settings: Settings) -> bool:
    """Whether start and end contradict each other in the middle of all units."""
    start, end = ([unit.events[event].finding for unit in units if event in unit.events] for event in VALVE_EVENTS)
    if min(len(start), len(end)) < UNITS_FOR_COMMON:
        return False
    apart = abs(median(each.cam_part_deg for each in start) - median(each.cam_part_deg for each in end))
    return apart > max(settings.tolerance_deg, SIGNIFICANT * (start[0].u_cam_part_deg + end[0].u_cam_part_deg))


def lifts_off(units: Sequence[SeenUnit], settings: Settings) -> list[StageExplanation]:
    """Index, timing setting or seat contact off for all units, and the honest faults. Only lifts are weighed here."""
    both = [unit for unit in units if len(unit.events) == len(VALVE_EVENTS) and all(n[0] is not None for n in unit.numbers)]
    if len(both) < UNITS_FOR_COMMON:
        return []
    touched = frozenset(unit.judged.number for unit in both)
    events = [each for unit in both for each in unit.events]
    errors = [each.numbers[0] or 0.0 for each in events]
    found = [StageExplanation(Explanation(HONEST, (), _log_rods(events, errors)), touched)]
    contact = all(each.contact for each in events)
    least = NOTEWORTHY_SHARE * settings.tolerance_deg
    for code, named, size_unit, typical, share, by_unit in _lift_patterns(both, contact, settings.fuel_index):
        gains = [each for pair in by_unit for each in pair]
        size, width = _agreed(events, errors, gains)
        effect = max(abs(size * gain) / each.flank.slope for each, gain in zip(events, gains, strict=True))
        if effect < least:
            continue
        left = [error - size * gain for error, gain in zip(errors, gains, strict=True)]
        # Laplace's approximation: the size that the units agree on, and the width within which they do.
        fit = _log_rods(events, left) + log_normal(size, typical**2) + 0.5 * (LOG_TWO_PI + log(width))
        found.append(StageExplanation(Explanation(code, named, log(MISTAKE * share) + fit, size, size_unit), touched))
    return found


def _agreed(events: Sequence[SeenEvent], errors: Sequence[float], gains: Sequence[float]) -> tuple[float, float]:
    """The size that the events agree on: the median of what each says, and its variance."""
    told = [(error / gain, each.var_sound / gain**2) for each, error, gain in zip(events, errors, gains, strict=True) if gain]
    return median(size for size, _ in told), median_variance([variance for _, variance in told])


def _log_rods(events: Sequence[SeenEvent], errors: Sequence[float]) -> float:
    """Log density of lift deviations that only rods stand behind; how far sound rods lie off is told by these same numbers."""
    spread = usual_spread([FAULT * error / each.fault for each, error in zip(events, errors, strict=True)])
    total = 0.0
    for each, error in zip(events, errors, strict=True):
        sound = each.var_lift + (spread * each.fault / FAULT) ** 2
        total += log_either(log_normal(error, sound), log_normal(error, each.var_fault), ROD)
    return total


Pattern = tuple[str, tuple[str, ...], str, float, float, list[tuple[float, float]]]


def _lift_patterns(units: Sequence[SeenUnit], contact: bool, fuel_index: float) -> Iterator[Pattern]:
    """Code, events, unit and usual size, share of the prior, and what one unit of size adds to start and end of each unit."""
    fault = units[0].events[0].fault
    gains = [tuple(each.lift_mm for each in _index_gain(unit, fuel_index)) for unit in units]
    yield INDEX_OFF, (SPILL_OPENING,), "index", fault / gains[0][1], 1.0, [(each[0], each[1]) for each in gains]
    if not contact:
        return  # At reference lift one of the two valves usually sits, and these cannot be told apart.
    for kept in (False, True):
        start, end = mistakes.timing_shows(1.0, kept)
        events = VALVE_EVENTS if kept else (SUCTION_CLOSING,)
        yield TIMING_OFFSET, events, "mm", fault, 0.5, [(start.lift_mm, end.lift_mm)] * len(units)
    ratio_c, ratio_o = (each.ratio for each in units[0].events)
    start, end = mistakes.seat_shows(1.0, ratio_c, ratio_o)
    yield SEAT_CONTACT, VALVE_EVENTS, "mm", fault * ratio_c, 1.0, [(start.lift_mm, end.lift_mm)] * len(units)


def _index_gain(unit: SeenUnit, fuel_index: float) -> tuple[mistakes.Shown, mistakes.Shown]:
    opening = unit.judged.opening_mm
    end = unit.events[-1]
    # Where the opening at index 0 was not read it is left out: it is small beside the stroke.
    w = 0.0 if opening is None else lift_beyond_seat(opening, end.seat, end.ratio)
    return mistakes.index_shows(unit.judged.settings.stroke_mm, max(w, 0.0), fuel_index)


def _with_strays(unit: SeenUnit, numbers: Sequence[Numbers]) -> float:
    return log_either(log_honest(unit, numbers), -len(numbers) * log(STRAY_MM * STRAY_DEG), STRAY)


def signs_off(units: Sequence[SeenUnit], settings: Settings) -> list[StageExplanation]:
    """Before and after TDC confused in every unit, and the honest faults."""
    known = [unit for unit in units if len(unit.events) == len(VALVE_EVENTS)]
    if len(known) < UNITS_FOR_COMMON:
        return []
    touched = frozenset(unit.judged.number for unit in known)
    found = []
    for events, share in (((), 1.0), *(((event,), MISTAKE / 3.0) for event in VALVE_EVENTS), (VALVE_EVENTS, MISTAKE / 3.0)):
        all_numbers = [
            [
                each.told(each.lifts, [-angle for angle in each.angles]) if each.event in events else each.numbers
                for each in unit.events
            ]
            for unit in known
        ]
        # What the units share is found again under each explanation.
        middle = median(part for numbers in all_numbers for _, part, _ in numbers)
        sound = settings.quality.pointer_deg**2 + known[0].cam_sound ** 2
        fault = (FAULT * settings.tolerance_deg) ** 2
        fit = log_either(log_normal(middle, sound), log_normal(middle, sound + fault), CAM)
        for unit, numbers in zip(known, all_numbers, strict=True):
            moved = [(error, part - middle + unit.expect, offset) for error, part, offset in numbers]
            fit += _with_strays(unit, moved)
        if not events:
            found.append(StageExplanation(Explanation(HONEST, (), fit), touched))
            continue
        last = next(each for each in known[0].events if each.event == events[-1])
        size = mistakes.sign_shift(mean(last.angles))
        found.append(StageExplanation(Explanation(BEFORE_AFTER, events, log(share) + fit, size, "deg"), touched))
    return found


def swappable(units: Sequence[JudgedUnit]) -> list[tuple[JudgedUnit, JudgedUnit]]:
    """Pairs of units that are off by what their settings differ: a cheap look before anything is weighed."""
    odd = [unit for unit in units if any(_is_odd(each) for each in unit.events.values())]
    return [
        (a, b)
        for a, b in combinations(odd, 2)
        if any(
            _look_swapped(a.events[event], b.events[event]) for event in VALVE_EVENTS if event in a.events and event in b.events
        )
    ]


def _is_odd(judged: JudgedEvent) -> bool:
    found = judged.finding
    if judged.placed.reading.method == AT_CONTACT:
        return abs(found.lift_deviation_mm) > SWAP_APART * found.u_lift_mm
    return abs(found.cam_part_deg) > SWAP_APART * found.u_cam_part_deg


def _look_swapped(a: JudgedEvent, b: JudgedEvent) -> bool:
    """At contact lifts are exchanged, at reference lift angles."""
    event = a.event
    if a.placed.reading.method == AT_CONTACT:
        apart = b.unit.lift_mm[event] - a.unit.lift_mm[event]
        off, u = (a.lift_error_mm, b.lift_error_mm), max(a.finding.u_lift_mm, b.finding.u_lift_mm)
    else:
        apart = b.unit.angle_deg[event] - a.unit.angle_deg[event]
        off, u = (a.finding.cam_part_deg, b.finding.cam_part_deg), max(a.finding.u_cam_part_deg, b.finding.u_cam_part_deg)
    if abs(apart) < SWAP_APART * u:
        return False
    near = max(NEAR * u, 0.2 * abs(apart))
    return abs(off[0] - apart) < near and abs(off[1] + apart) < near


def swap(a: SeenUnit, b: SeenUnit, units: int) -> list[StageExplanation]:
    """Whether the readings of two units stand in each other's place, and the honest faults.

    Parameters: units: how many the engine has.
    """
    if [(each.event, each.contact) for each in a.events] != [(each.event, each.contact) for each in b.events]:
        return []
    back_a, back_b = (
        [one.told(other.lifts, other.angles) for one, other in zip(mine.events, theirs.events, strict=True)]
        for mine, theirs in ((a, b), (b, a))
    )
    # Sense must come of it: at least two numbers fewer that are off.
    if _odd(a, back_a) + _odd(b, back_b) + 2 > _odd(a, a.numbers) + _odd(b, b.numbers):
        return []
    touched = frozenset((a.judged.number, b.judged.number))
    pairs = units * (units - 1) / 2.0
    honest = log_honest(a, a.numbers) + log_honest(b, b.numbers)
    swapped = log_honest(a, back_a) + log_honest(b, back_b) + log(MISTAKE / pairs)
    events = tuple(each.event for each in a.events)
    detail = f"{a.judged.number}|{b.judged.number}"
    return [
        StageExplanation(Explanation(HONEST, (), honest), touched),
        StageExplanation(Explanation(UNITS_SWAPPED, events, swapped, detail=detail), touched),
    ]


def _odd(unit: SeenUnit, numbers: Sequence[Numbers]) -> int:
    """How many of a unit's numbers are off."""
    count = 0
    for seen, (error, part, _) in zip(unit.events, numbers, strict=True):
        count += error is not None and abs(error) > NEAR * sqrt(seen.var_sound)
        count += abs(part - unit.expect) > NEAR * sqrt(seen.var_part + unit.var_expect + unit.cam_sound**2)
    return count
