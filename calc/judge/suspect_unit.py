"""The mistakes that one unit's numbers can give away, each weighed with rods, cam and wear beside it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import fsum, log, sqrt

from calc.job.model import PEAK, SPILL_OPENING, VALVE_EVENTS
from calc.judge.fit import log_honest, log_sized
from calc.judge.seen import FAULT, MISTAKE, Engine, Numbers, SeenEvent, SeenUnit
from calc.measure.circle import wrapped
from calc.measure.evidence import log_normal, log_sum
from calc.measure.pool import mean
from calc.pump import mistakes
from calc.pump.cause import NOTEWORTHY_SHARE
from calc.pump.mistakes import (
    ASTERN_PLAY,
    BEFORE_AFTER,
    DIAL_BACKWARDS,
    DIAL_TURN,
    DIGIT_SLIP,
    EVENTS_SWAPPED,
    FORM_COPIED,
    GAUGE_BOTTOMED,
    GAUGE_TILT,
    GAUGE_ZERO,
    WRONG_TDC_MARK,
)

# How large beforehand, as a standard deviation: this project's own choice.
ZERO_MM, BOTTOMED_MM, TILT_SHARE = 1.0, 1.0, 0.03
# A missed turn is most often one; shares of 1, 2 and more turns.
TURNS = {1: 0.6, 2: 0.25}
MORE_TURNS = 0.05
# An entry that is written finer than its instrument's step: so seldom in honest hands.
FINER_THAN_STEP = 0.01
NEAR = 5.0  # An explanation further off than so many standard deviations is not worth weighing.
SLIPS_A_NUMBER = 5.0  # About so many different slips can be made in one number.

HONEST = "honest"
# Below this share of the honest faults mistakes are listed.
HONEST_LIMIT = 0.20
# How many mistakes can be made in one unit, each with the prior of one; slips count three times, since a number has many.
_WAYS = 12.0


@dataclass(frozen=True, slots=True)
class Explanation:
    """A mistake that might stand behind the numbers.

    weight: log of prior times density. size in `unit`, None where it has none. detail: which mark, which number.
    """

    code: str
    events: tuple[str, ...]
    weight: float
    size: float | None = None
    unit: str | None = None
    detail: str = ""


def explanations(unit: SeenUnit, engine: Engine) -> list[Explanation]:
    """Every mistake of one unit that comes near its numbers, and the honest faults (code `honest`)."""
    honest = log_honest(unit, unit.numbers)
    found = [Explanation(HONEST, (), honest)]
    if plainly_honest(unit, honest):
        return found
    for mistake in (_zero, _tilt, _turn, _bottomed, _mark, _sign, _astern, _slip, _swapped, _backwards):
        found += mistake(unit, engine)
    found += _copied(unit, honest)
    found = [each for each in found if matters(unit, each)]
    return found if unit.base is not None or unit.peak_spill is not None else _inseparable(found)


def plainly_honest(unit: SeenUnit, honest: float) -> bool:
    """Whether no mistake can be listed, whatever it is: its density has a peak, and the honest faults come near enough to it.

    Formula: with the peak p of the honest density, every way of making one mistake has at most 2 p (the mixtures of `log_sized`
    and of wear hold a little more in their sound part, and never twice as much), so all of them together have at most
    2 MISTAKE p for each of `_WAYS`. Units on which more is known (return to zero, peak lift, a valve on its seat, entries equal
    to the reference) are always weighed. Parameters: honest: log density of the unit's numbers.
    """
    if unit.base is not None or unit.peak is not None or unit.peak_spill is not None:
        return False
    if any(each.numbers[0] is None for each in unit.events) or copies(unit)[0] >= 2:
        return False
    peak = log_honest(unit, [(0.0, unit.expect, 0.0) for _ in unit.events])
    # A slip can put a valve on its seat, whose probability is at most 1.
    peak += fsum(max(0.0, -each.log_rod(0.0)) for each in unit.events)
    return honest - peak >= log(2.0 * MISTAKE * _WAYS * HONEST_LIMIT / (1.0 - HONEST_LIMIT))


def matters(unit: SeenUnit, each: Explanation) -> bool:
    """Whether a mistake is large enough to be worth a word: as for a cause, a third of the tolerance."""
    if each.size is None:
        return True
    slope = unit.events[-1].flank.slope if each.unit == "mm" else 1.0
    return abs(each.size) >= NOTEWORTHY_SHARE * slope * unit.cam_fault / FAULT


def _inseparable(found: list[Explanation]) -> list[Explanation]:
    """A zero that is off at the end alone, and a gauge that has bottomed, show the same: their shares are made equal.

    Only the return to zero and the peak lift tell them apart.
    """
    bottomed = [each for each in found if each.code == GAUGE_BOTTOMED]
    zero = [
        each
        for each in found
        if each.code == GAUGE_ZERO and each.events == (SPILL_OPENING,) and each.size is not None and each.size < 0.0
    ]
    if not bottomed or not zero:
        return found
    half = log_sum(each.weight for each in (*bottomed, *zero)) - log(2.0)
    likeliest = max(zero, key=lambda each: each.weight)
    rest = [each for each in found if each not in bottomed and each not in zero]
    return [*rest, replace(bottomed[0], weight=half), replace(likeliest, weight=half)]


def _events(unit: SeenUnit, which: Sequence[SeenEvent]) -> tuple[str, ...]:
    return tuple(each.event for each in unit.events if each in which)


def _choices(unit: SeenUnit) -> Iterator[tuple[tuple[SeenEvent, ...], float]]:
    """Which events a mistake touches, with its share: both, or either alone."""
    both = unit.events
    if len(both) == len(VALVE_EVENTS):
        yield both, 1.0 / 3.0
        for each in both:
            yield (each,), 1.0 / 3.0
    elif both:
        yield both, 1.0


def _offset_choices(unit: SeenUnit) -> Iterator[tuple[tuple[SeenEvent, ...], float]]:
    """Which events an offset of the plunger gauge touches: both, or the end alone, since it lasts once it is there."""
    spill = tuple(each for each in unit.events if each.event == SPILL_OPENING)
    if len(unit.events) == len(VALVE_EVENTS):
        yield unit.events, 0.5
        yield spill, 0.5
    elif unit.events:
        yield unit.events, 1.0


# ---------------------------------------------------------------- the plunger gauge


def _zero(unit: SeenUnit, engine: Engine) -> Iterator[Explanation]:
    # With a dial, one zero in five is off by whole turns: the needle was set to 0 and the turns were not.
    whole = 0.2 if engine.mm_per_turn else 0.0
    for touched, share in _offset_choices(unit):
        gains = [(1.0, -each.chord()) if each in touched else (0.0, 0.0) for each in unit.events]
        fit = log_sized(unit, gains, ZERO_MM, base_gain=1.0, peak_gain=1.0)
        weight = log(MISTAKE * share * (1.0 - whole)) + fit.log_density
        yield Explanation(GAUGE_ZERO, _events(unit, touched), weight, fit.size, "mm")
        if engine.mm_per_turn:
            for turns, chance in _turns(unit, touched, engine.mm_per_turn):
                offset = turns * engine.mm_per_turn
                density = log_honest(unit, _without(unit, touched, offset), offset, offset)
                yield Explanation(
                    GAUGE_ZERO, _events(unit, touched), log(MISTAKE * share * whole * chance) + density, offset, "mm"
                )


def _without(unit: SeenUnit, touched: Sequence[SeenEvent], offset_mm: float) -> list[Numbers]:
    return [each.without(offset_mm) if each in touched else each.numbers for each in unit.events]


def _turns(unit: SeenUnit, touched: Sequence[SeenEvent], mm_per_turn: float) -> Iterator[tuple[int, float]]:
    """Whole turns that come near, with their share of the missed turns."""
    near = set()
    for each in touched:
        error, part, _ = each.numbers
        if error is not None:
            near |= set(mistakes.turns_near(error, mm_per_turn, NEAR * sqrt(each.var_sound)))
        else:
            spread = NEAR * sqrt(each.var_part + unit.var_expect + unit.cam_sound**2) * each.flank.slope
            near |= set(mistakes.turns_near((unit.expect - part) * each.flank.slope, mm_per_turn, spread))
    for turns in sorted(near):
        yield turns, 0.5 * TURNS.get(abs(turns), MORE_TURNS)


def _tilt(unit: SeenUnit, _: Engine) -> Iterator[Explanation]:
    if len(unit.events) < len(VALVE_EVENTS) or not all(each.contact for each in unit.events):
        return
    gains = [(each.reference_lift, -each.reference_lift * each.chord()) for each in unit.events]
    stated = unit.judged.readings.get(PEAK)
    shown = stated.reading.plunger_lift_mm if stated else None
    peak = shown[0] if shown else 0.0
    fit = log_sized(unit, gains, TILT_SHARE, peak_gain=peak)
    size = mistakes.tilt_offset(fit.size, unit.events[-1].reference_lift)
    yield Explanation(GAUGE_TILT, VALVE_EVENTS, log(MISTAKE) + fit.log_density, size, "mm")


def _turn(unit: SeenUnit, engine: Engine) -> Iterator[Explanation]:
    if not engine.mm_per_turn:
        return
    for touched, share in _offset_choices(unit):
        for turns, chance in _turns(unit, touched, engine.mm_per_turn):
            offset = turns * engine.mm_per_turn
            numbers = _without(unit, touched, offset)
            # The peak may have been counted with the same turn missing, or rightly.
            for peak in (0.0, offset) if unit.peak is not None else (0.0,):
                density = log_honest(unit, numbers, 0.0, peak) - (log(2.0) if unit.peak is not None else 0.0)
                yield Explanation(
                    DIAL_TURN, _events(unit, touched), log(MISTAKE * share * chance) + density, offset, "mm", f"{turns:+d}"
                )


def _bottomed(unit: SeenUnit, _: Engine) -> Iterator[Explanation]:
    spill = next((each for each in unit.events if each.event == SPILL_OPENING and each.contact), None)
    if spill is None or spill.numbers[0] is None or spill.numbers[0] >= 0.0:
        return
    gains = [(-1.0, each.chord()) if each is spill else (0.0, 0.0) for each in unit.events]
    fit = log_sized(unit, gains, BOTTOMED_MM, positive=True, peak_gain=None)
    # A gauge at its end shows the same at the peak.
    peak = 0.0 if unit.peak_spill is None else log_normal(unit.peak_spill, 2.0 * unit.var_gauge)
    yield Explanation(GAUGE_BOTTOMED, (SPILL_OPENING,), log(MISTAKE) + fit.log_density + peak, -fit.size, "mm")


def _mark(unit: SeenUnit, engine: Engine) -> Iterator[Explanation]:
    own = engine.tdc_deg[unit.judged.number]
    others = [number for number in engine.tdc_deg if number != unit.judged.number]
    for number in others:
        shift = mistakes.mark_shift(own, engine.tdc_deg[number])
        numbers = [(error, wrapped(part - shift), offset) for error, part, offset in unit.numbers]
        if shift and all(abs(part - unit.expect) < NEAR * unit.cam_fault for _, part, _ in numbers):
            weight = log(MISTAKE / len(others)) + log_honest(unit, numbers)
            yield Explanation(WRONG_TDC_MARK, _events(unit, unit.events), weight, shift, "deg", str(number))


def _sign(unit: SeenUnit, _: Engine) -> Iterator[Explanation]:
    for touched, share in _choices(unit):
        if any(mistakes.sign_undecidable(mean(each.angles), sqrt(each.var_part)) for each in touched):
            continue
        numbers = [
            each.told(each.lifts, [-angle for angle in each.angles]) if each in touched else each.numbers
            for each in unit.events
        ]
        if _ordinary(unit, numbers):
            size = mistakes.sign_shift(mean(touched[-1].angles))
            weight = log(MISTAKE * share) + log_honest(unit, numbers)
            yield Explanation(BEFORE_AFTER, _events(unit, touched), weight, size, "deg")


def _ordinary(unit: SeenUnit, numbers: Sequence[Numbers]) -> bool:
    """Whether rods and cam could well give these numbers: a cheap look before they are weighed."""
    variance = 0.0
    for each, (error, part, _) in zip(unit.events, numbers, strict=True):
        if abs(part - unit.expect) > NEAR * unit.cam_fault or (error is not None and abs(error) > NEAR * each.fault):
            return False
        variance += each.var_part_at(error, 0.0)
    return len(numbers) < len(VALVE_EVENTS) or (numbers[0][1] - numbers[1][1]) ** 2 < NEAR * NEAR * variance


def _astern(unit: SeenUnit, _: Engine) -> Iterator[Explanation]:
    # Both events reached astern look like an early cam, so only one of two is ever named.
    if len(unit.events) < len(VALVE_EVENTS):
        return
    for late in unit.events:
        gains = [(0.0, -1.0) if each is late else (0.0, 0.0) for each in unit.events]
        fit = log_sized(unit, gains, unit.cam_fault, positive=True)
        yield Explanation(ASTERN_PLAY, (late.event,), log(0.5 * MISTAKE) + fit.log_density, -fit.size, "deg")


def _slip(unit: SeenUnit, _: Engine) -> Iterator[Explanation]:
    share = 1.0 / (SLIPS_A_NUMBER * 2.0 * len(unit.events)) if unit.events else 0.0
    for touched in unit.events:
        error, part, offset = touched.numbers
        # What rods and cam can give lies around here; nothing else is worth a look.
        usual_angle = touched.angles[0] - part + unit.expect
        for meant in _slipped(touched.angles, touched.angle_step, usual_angle, NEAR * unit.cam_fault):
            off = mean(touched.angles) - mean(meant)
            told = (error, wrapped(part - off), offset)
            yield from _slip_in(unit, touched, told, share, off, "deg", (touched.angles[0], meant[0]))
        usual_lift, ratio = (touched.reference_lift, 1.0) if touched.contact else (touched.seat, touched.ratio)
        for meant in _slipped(touched.lifts, touched.lift_step, usual_lift, NEAR * touched.fault * ratio):
            told, off = touched.told(meant, touched.angles), mean(touched.lifts) - mean(meant)
            yield from _slip_in(unit, touched, told, share, off, "mm", (touched.lifts[0], meant[0]))


def _slip_in(
    unit: SeenUnit,
    touched: SeenEvent,
    told: Numbers,
    share: float,
    off: float,
    unit_of: str,
    typed_meant: tuple[float, float],
) -> Iterator[Explanation]:
    numbers = [told if each is touched else each.numbers for each in unit.events]
    if _ordinary(unit, numbers):
        weight = log(MISTAKE * share) + log_honest(unit, numbers)
        yield Explanation(DIGIT_SLIP, (touched.event,), weight, off, unit_of, "|".join(f"{each:g}" for each in typed_meant))


def _slipped(values: Sequence[float], step: float, usual: float, near: float) -> Iterator[list[float]]:
    """The numbers that were meant if the same slip was made in every repeat; only those that lie near the usual one."""
    for kind, meant in mistakes.slips(values[0], step):
        if abs(meant - usual) > near:
            continue
        repeats = [meant]
        for value in values[1:]:
            again = meant if value == values[0] else dict(mistakes.slips(value, step)).get(kind)
            if again is None:
                break
            repeats.append(again)
        if len(repeats) == len(values):
            yield repeats


def _swapped(unit: SeenUnit, _: Engine) -> Iterator[Explanation]:
    if len(unit.events) < len(VALVE_EVENTS) or unit.events[0].contact != unit.events[1].contact:
        return
    start, end = unit.events
    if abs(mean(end.angles) - start.reference_angle - unit.expect) > NEAR * (unit.cam_fault + start.fault / start.flank.slope):
        return
    numbers = [start.told(end.lifts, end.angles), end.told(start.lifts, start.angles)]
    if _ordinary(unit, numbers):
        yield Explanation(EVENTS_SWAPPED, VALVE_EVENTS, log(MISTAKE) + log_honest(unit, numbers))


def _backwards(unit: SeenUnit, engine: Engine) -> Iterator[Explanation]:
    turn = engine.mm_per_turn
    if not turn:
        return
    for touched, share in _choices(unit):
        if not all(each.contact for each in touched):
            continue
        numbers: list[Numbers] = []
        off = 0.0
        for each in unit.events:
            if each not in touched:
                numbers.append(each.numbers)
                continue
            read, (error, part, _) = mean(each.lifts), each.numbers
            candidates = mistakes.backwards_meant(read, turn, each.reference_lift)
            if not candidates or error is None:
                break
            # Of the whole turns that could be meant, the one that brings the cam part back.
            back = (unit.expect - part) * each.flank.slope
            meant = min(candidates, key=lambda lift: abs(read - lift - back))
            numbers.append(each.told([meant], each.angles))
            off = read - meant
        if len(numbers) == len(unit.events) and _ordinary(unit, numbers):
            weight = log(MISTAKE * share / 3.0 ** len(touched)) + log_honest(unit, numbers)
            yield Explanation(DIAL_BACKWARDS, _events(unit, touched), weight, off, "mm")


def copies(unit: SeenUnit) -> tuple[int, tuple[str, ...]]:
    """How many entries of a unit equal their reference though the instrument cannot show it, and of which events."""
    count, events = 0, []
    for each in unit.events:
        same = [all(mistakes.copied(value, each.reference_angle, each.angle_step) for value in each.angles)]
        if each.contact:
            same.append(all(mistakes.copied(value, each.reference_lift, each.lift_step) for value in each.lifts))
        count += sum(same)
        if any(same):
            events.append(each.event)
    return count, tuple(events)


def _copied(unit: SeenUnit, honest: float) -> Iterator[Explanation]:
    count, events = copies(unit)
    if count >= 2:
        yield Explanation(FORM_COPIED, events, log(MISTAKE) + honest - count * log(FINER_THAN_STEP))
