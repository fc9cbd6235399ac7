"""What each mistake of one unit weighs: its prior times the density of the numbers with the mistake taken out again.

The densities themselves are held by `test_fit.py`. The priors stand here as numbers: they are choices of this project.
"""

from math import exp, log
from types import SimpleNamespace
from typing import Any

import pytest
from scipy import stats

from calc.job.model import Reading
from calc.judge import suspect_unit
from calc.judge.fit import log_honest, log_sized
from calc.judge.seen import Engine, Numbers, SeenUnit
from calc.judge.suspect_unit import Explanation, copies, explanations, matters, plainly_honest
from tests.judge.by_hand import ANGLE, CURVE, LIFT, flank, seen_event, seen_unit
from tests.pump.forward import SPILL, SUCTION

MISTAKE = 0.01
BOTH = (SUCTION, SPILL)
NO_DIAL = Engine(None, {1: 0.0, 2: 120.0, 3: -120.0})
DIAL = Engine(1.0, NO_DIAL.tdc_deg)


def travel(start_mm: float, end_mm: float) -> float:
    return CURVE.angle_at(end_mm) - CURVE.angle_at(start_mm)


def chord(event: str, error_mm: float) -> float:
    """Degrees a millimetre from the reference to where the event was read."""
    return travel(LIFT[event], LIFT[event] + error_mm) / error_mm


def unit_with(
    lift: tuple[float, float] = (0.0, 0.0), angle: tuple[float, float] = (0.0, 0.0), *, more: Any = None, **given: Any
) -> SeenUnit:
    """Both events at contact, off by so much in lift and angle. `more`: of its events."""
    events = [
        seen_event(event, lifts=(LIFT[event] + off,), angles=(ANGLE[event] + turned,), **(more or {}))
        for event, off, turned in zip(BOTH, lift, angle, strict=True)
    ]
    return seen_unit(*events, **({"expect": 0.0, "base": 0.0} | given))


def found(unit: SeenUnit, code: str, engine: Engine = NO_DIAL) -> dict[tuple[str, ...], Explanation]:
    """The explanations with a code, by the events they touch."""
    listed = [each for each in explanations(unit, engine) if each.code == code]
    assert len({each.events for each in listed}) == len(listed)
    return {each.events: each for each in listed}


def by_size(unit: SeenUnit, code: str, events: tuple[str, ...], engine: Engine = DIAL) -> dict[float, float]:
    """Weights of one code and these events, by size in thousandths."""
    return {
        round(each.size or 0.0, 3): each.weight
        for each in explanations(unit, engine)
        if each.code == code and each.events == events
    }


def honest_with(unit: SeenUnit, start: Numbers | None = None, end: Numbers | None = None, *gauge: float) -> float:
    """Log density of the unit, had an event had other numbers."""
    first, second = unit.numbers
    return log_honest(unit, [start or first, end or second], *gauge)


def test_the_honest_faults_stand_first() -> None:
    unit = unit_with((0.7, 0.7))
    first = explanations(unit, NO_DIAL)[0]
    assert (first.code, first.events, first.size) == ("honest", (), None)
    assert first.weight == log_honest(unit, unit.numbers)


# ---------------------------------------------------------------- the plunger gauge


def test_a_gauge_zero_for_both_events_or_from_the_end_on() -> None:
    unit = unit_with((0.64, 0.66), base=0.6)
    zero = found(unit, "gauge_zero")
    gains = [(1.0, -chord(SUCTION, 0.64)), (1.0, -chord(SPILL, 0.66))]
    for events, of in ((BOTH, gains), ((SPILL,), [(0.0, 0.0), gains[1]])):
        fit = log_sized(unit, of, 1.0, base_gain=1.0, peak_gain=1.0)
        assert zero[events].weight == pytest.approx(log(MISTAKE * 0.5) + fit.log_density)
        assert (zero[events].size, zero[events].unit) == (fit.size, "mm")
    assert set(zero) == {BOTH, (SPILL,)}


def test_a_zero_of_a_unit_with_one_event() -> None:
    unit = seen_unit(seen_event(SUCTION, lifts=(12.9,)), expect=0.0, base=0.9)
    zero = found(unit, "gauge_zero")[(SUCTION,)]
    fit = log_sized(unit, [(1.0, -chord(SUCTION, 0.9))], 1.0, base_gain=1.0, peak_gain=1.0)
    assert zero.weight == pytest.approx(log(MISTAKE) + fit.log_density)


@pytest.mark.parametrize(("turns", "share"), [(1, 0.6), (-1, 0.6), (2, 0.25), (-2, 0.25), (3, 0.05)])
def test_a_dial_that_is_whole_turns_off(turns: int, share: float) -> None:
    """One zero in five by whole turns, half of them each way; the same offset missed while counting does not touch the base."""
    unit = unit_with((turns + 0.01, turns - 0.01), base=float(turns), peak=float(turns))
    numbers = [each.without(float(turns)) for each in unit.events]
    zero = by_size(unit, "gauge_zero", BOTH)
    assert zero[float(turns)] == pytest.approx(
        log(MISTAKE * 0.5 * 0.2 * 0.5 * share) + log_honest(unit, numbers, float(turns), float(turns))
    )
    sizes = [size for size in zero if size != turns]
    assert len(sizes) == 1
    gains = [(1.0, -each.chord()) for each in unit.events]
    assert zero[sizes[0]] == pytest.approx(
        log(MISTAKE * 0.5 * 0.8) + log_sized(unit, gains, 1.0, base_gain=1.0, peak_gain=1.0).log_density
    )


def test_a_missed_turn_with_a_peak_counted_rightly_or_not() -> None:
    unit = unit_with((1.01, 0.99), base=0.0, peak=1.0)
    missed = [each for each in explanations(unit, DIAL) if each.code == "dial_turn" and each.events == BOTH]
    numbers = [each.without(1.0) for each in unit.events]
    expected = [log(MISTAKE * 0.5 * 0.5 * 0.6 * 0.5) + log_honest(unit, numbers, 0.0, peak) for peak in (0.0, 1.0)]
    assert [each.weight for each in missed] == pytest.approx(expected)
    assert {(each.size, each.unit, each.detail) for each in missed} == {(1.0, "mm", "+1")}


@pytest.mark.parametrize("turns", [1, -2])
def test_a_missed_turn_without_a_peak(turns: int) -> None:
    unit = unit_with((0.0, turns + 0.02))
    missed = [each for each in explanations(unit, DIAL) if each.code == "dial_turn" and each.events == (SPILL,)]
    right = unit.events[1].without(float(turns))
    share = 0.6 if turns == 1 else 0.25
    assert [each.weight for each in missed] == pytest.approx(
        [log(MISTAKE * 0.5 * 0.5 * share) + honest_with(unit, None, right)]
    )
    assert missed[0].detail == f"{turns:+d}"


def test_turns_that_come_near_by_five_deviations() -> None:
    """0.04 mm at the end: 1.19 mm is within five of them from one turn, 1.21 mm is not."""
    for off, near in ((1.19, True), (1.21, False)):
        assert bool(by_size(unit_with((0.0, off)), "dial_turn", (SPILL,))) is near


def test_a_seated_valve_lets_the_angle_tell_the_turn() -> None:
    """The plunger stood 1 mm low, so the angle is early by the travel of that millimetre."""
    early = travel(LIFT[SPILL] - 1.0, LIFT[SPILL])
    end = seen_event(SPILL, contact=False, lifts=(0.0,), angles=(ANGLE[SPILL] - early,))
    start = seen_event(SUCTION, contact=False, lifts=(0.05,))
    unit = seen_unit(start, end, expect=0.0, base=0.0)
    missed = by_size(unit, "dial_turn", (SPILL,))
    assert missed[1.0] == pytest.approx(log(MISTAKE * 0.5 * 0.5 * 0.6) + honest_with(unit, None, end.without(1.0)))
    # Five deviations of angle: scale 0.02, the others 0.003, the cam 0.0004 square degrees.
    spread = 5.0 * (0.02 + 0.003 + 0.0004) ** 0.5 * flank(SPILL).slope
    middle = early * flank(SPILL).slope
    assert set(missed) == {float(turns) for turns in range(-4, 9) if turns and abs(turns - middle) <= spread}


def test_without_a_dial_no_turns() -> None:
    unit = unit_with((1.01, 0.99), base=1.0)
    assert not found(unit, "dial_turn")
    assert len([each for each in explanations(unit, NO_DIAL) if each.code == "gauge_zero" and each.events == BOTH]) == 1


def with_peak(shown: float | None, **given: Any) -> SeenUnit:
    peak = Reading(unit=1, stage="as_found", event="peak", plunger_lift_mm=None if shown is None else (shown,))
    return unit_with((0.36, 1.08), readings={"peak": SimpleNamespace(reading=peak)}, **given)


@pytest.mark.parametrize("peak", [None, 1.8])
def test_a_tilted_gauge_shows_a_share_of_each_lift(peak: float | None) -> None:
    unit = with_peak(61.8, peak=1.8) if peak else unit_with((0.36, 1.08))
    tilt = found(unit, "gauge_tilt")[BOTH]
    gains = [(12.0, -12.0 * chord(SUCTION, 0.36)), (36.0, -36.0 * chord(SPILL, 1.08))]
    fit = log_sized(unit, gains, 0.03, peak_gain=61.8 if peak else 0.0)
    assert tilt.weight == pytest.approx(log(MISTAKE) + fit.log_density)
    assert (tilt.size, tilt.unit) == pytest.approx((36.0 * fit.size, "mm"))


def test_a_tilt_needs_both_events_at_contact() -> None:
    assert not found(seen_unit(seen_event(SPILL, lifts=(37.08,)), expect=0.0, base=0.0), "gauge_tilt")
    mixed = seen_unit(seen_event(SUCTION, contact=False, lifts=(0.4,)), seen_event(SPILL, lifts=(37.08,)), expect=0.0, base=0.0)
    assert not found(mixed, "gauge_tilt")


@pytest.mark.parametrize("peak_spill", [None, 0.03])
def test_a_gauge_at_its_end_shows_too_little_at_the_spill_and_the_same_at_the_peak(peak_spill: float | None) -> None:
    unit = unit_with((0.0, -1.5), peak_spill=peak_spill)
    bottomed = found(unit, "gauge_bottomed")[(SPILL,)]
    fit = log_sized(unit, [(0.0, 0.0), (-1.0, chord(SPILL, -1.5))], 1.0, positive=True, peak_gain=None)
    same = 0.0 if peak_spill is None else float(stats.norm.logpdf(peak_spill, 0.0, (2.0 * unit.var_gauge) ** 0.5))
    assert bottomed.weight == pytest.approx(log(MISTAKE) + fit.log_density + same)
    assert (bottomed.size, bottomed.unit) == pytest.approx((-fit.size, "mm"))
    assert fit.size > 1.0


def test_only_a_lift_too_small_at_the_end_and_at_contact_is_a_gauge_at_its_end() -> None:
    assert not found(unit_with((0.0, 1.5)), "gauge_bottomed")
    assert not found(unit_with((-1.5, 0.0)), "gauge_bottomed")
    start = seen_event(SUCTION, contact=False, lifts=(0.05,))
    assert not found(seen_unit(start, seen_event(SPILL, contact=False, lifts=(1.9,)), expect=0.0, base=0.0), "gauge_bottomed")
    assert not found(seen_unit(start, seen_event(SPILL, contact=False, lifts=(0.0,)), expect=0.0, base=0.0), "gauge_bottomed")


def test_twins_get_equal_shares_where_nothing_tells_them_apart() -> None:
    """Without return to zero and peak lift: their weights together, halved."""
    unit = unit_with((0.0, -1.5), base=None)
    zero, bottomed = found(unit, "gauge_zero"), found(unit, "gauge_bottomed")
    alone = found(unit_with((0.0, -1.5)), "gauge_bottomed")[(SPILL,)]
    assert set(zero) == {(SPILL,)}
    gains = [(0.0, 0.0), (1.0, -chord(SPILL, -1.5))]
    fit = log_sized(unit, gains, 1.0, base_gain=1.0, peak_gain=1.0)
    down = log_sized(unit, [(0.0, 0.0), (-1.0, chord(SPILL, -1.5))], 1.0, positive=True, peak_gain=None)
    together = log(MISTAKE * 0.5) + fit.log_density, log(MISTAKE) + down.log_density
    half = log(0.5) + max(together) + log(sum(exp(each - max(together)) for each in together))
    assert zero[(SPILL,)].weight == pytest.approx(half)
    assert bottomed[(SPILL,)].weight == pytest.approx(half)
    assert bottomed[(SPILL,)].size == alone.size


def test_several_zeros_at_the_end_become_one_twin() -> None:
    """With a dial there are two: by any amount, and by a whole turn. The likeliest is shown, with the share of all."""
    unit = unit_with((0.0, -1.02), base=None)
    listed = [each for each in explanations(unit, DIAL) if each.code == "gauge_zero" and each.events == (SPILL,)]
    assert len(listed) == 1
    whole = log(MISTAKE * 0.5 * 0.2 * 0.5 * 0.6) + honest_with(unit, None, unit.events[1].without(-1.0), -1.0, -1.0)
    any_ = log_sized(unit, [(0.0, 0.0), (1.0, -chord(SPILL, -1.02))], 1.0, base_gain=1.0, peak_gain=1.0)
    free = log(MISTAKE * 0.5 * 0.8) + any_.log_density
    assert listed[0].size == pytest.approx(-1.0 if whole > free else any_.size)


def test_a_zero_that_is_off_upwards_has_no_twin() -> None:
    unit = unit_with((0.0, 1.5), base=None)
    zero = found(unit, "gauge_zero")[(SPILL,)]
    gains = [(0.0, 0.0), (1.0, -chord(SPILL, 1.5))]
    fit = log_sized(unit, gains, 1.0, base_gain=1.0, peak_gain=1.0)
    assert zero.weight == pytest.approx(log(MISTAKE * 0.5) + fit.log_density)


# ---------------------------------------------------------------- the flywheel


def test_another_cylinders_mark_adds_its_distance() -> None:
    unit = unit_with((0.01, 0.0), (120.0, 120.1))
    marks = [each for each in explanations(unit, NO_DIAL) if each.code == "wrong_tdc_mark"]
    assert [(each.events, each.size, each.unit, each.detail) for each in marks] == [(BOTH, 120.0, "deg", "3")]
    start, end = unit.numbers
    right = honest_with(unit, (start[0], start[1] - 120.0, 0.0), (end[0], end[1] - 120.0, 0.0))
    assert marks[0].weight == pytest.approx(log(MISTAKE / 2.0) + right)


@pytest.mark.parametrize(("off", "near"), [(3.9, True), (4.1, False), (-3.9, True), (-4.1, False)])
def test_a_mark_comes_near_within_five_usual_faults_of_a_cam(off: float, near: bool) -> None:
    """A usual fault is 0.8 degrees here."""
    unit = unit_with((0.0, 0.0), (-120.0 + off, -120.0 + off))
    assert bool(found(unit, "wrong_tdc_mark")) is near


def test_units_that_fire_together_have_one_mark() -> None:
    """A mark at the same angle is no mistake that anybody could see."""
    together = Engine(None, {1: 0.0, 2: 0.0, 3: 180.0})
    unit = unit_with((0.0, 0.0), (0.0, 3.0))
    assert not found(unit, "wrong_tdc_mark", together)


def test_a_sign_lost_at_both_events_or_at_either() -> None:
    unit = unit_with((0.0, 0.0), (-2.0 * ANGLE[SUCTION], -2.0 * ANGLE[SPILL]))
    sign = found(unit, "before_after")
    assert set(sign) == {BOTH}
    plain = unit_with()
    assert sign[BOTH].weight == pytest.approx(log(MISTAKE / 3.0) + log_honest(unit, plain.numbers))
    # The end was read 2 degrees after TDC, and 2 before was meant.
    assert (sign[BOTH].size, sign[BOTH].unit) == pytest.approx((4.0, "deg"))
    for event, place in ((SUCTION, 0), (SPILL, 1)):
        angle = [0.0, 0.0]
        angle[place] = -2.0 * ANGLE[event]
        one = unit_with((0.0, 0.0), (angle[0], angle[1]))
        found_ = found(one, "before_after")
        assert found_[(event,)].weight == pytest.approx(log(MISTAKE / 3.0) + log_honest(one, plain.numbers))
        assert found_[(event,)].size == pytest.approx(-2.0 * ANGLE[event])


def test_a_sign_of_a_unit_with_one_event_has_the_whole_share() -> None:
    unit = seen_unit(seen_event(SUCTION, angles=(16.0,)), expect=0.0, base=0.0)
    right = seen_unit(seen_event(SUCTION), expect=0.0, base=0.0)
    assert found(unit, "before_after")[(SUCTION,)].weight == pytest.approx(log(MISTAKE) + log_honest(unit, right.numbers))


@pytest.mark.parametrize(("angle", "told"), [(0.28, True), (0.27, False)])
def test_next_to_tdc_a_sign_cannot_be_told(angle: float, told: bool) -> None:
    """|2 F| against 3.92 u: with u^2 = 0.02 square degrees, u = 0.1414 and the limit 0.2772 degrees."""
    end = seen_event(SPILL, reference_angle=-angle, angles=(angle,))
    unit = seen_unit(seen_event(SUCTION), end, expect=0.0, base=0.0)
    given = [each for each in suspect_unit._sign(unit, NO_DIAL) if each.events == (SPILL,)]
    assert bool(given) is told


def test_play_makes_one_event_early_and_never_late() -> None:
    unit = unit_with((0.0, 0.0), (-1.1, 0.0))
    astern = found(unit, "astern_play")
    for event, gains in ((SUCTION, [(0.0, -1.0), (0.0, 0.0)]), (SPILL, [(0.0, 0.0), (0.0, -1.0)])):
        fit = log_sized(unit, gains, unit.cam_fault, positive=True)
        if (event,) in astern:
            assert astern[(event,)].weight == pytest.approx(log(0.5 * MISTAKE) + fit.log_density)
            assert (astern[(event,)].size, astern[(event,)].unit) == pytest.approx((-fit.size, "deg"))
    assert (SUCTION,) in astern
    assert not found(seen_unit(seen_event(SUCTION, angles=(-17.1,)), expect=0.0, base=0.0), "astern_play")


# ---------------------------------------------------------------- the pencil


def test_a_slip_in_an_angle() -> None:
    """61.0 for 16.0 before TDC: one of about five slips, in one of the four numbers of a unit."""
    unit = unit_with((0.0, 0.0), (-45.0, 0.0))
    slip = found(unit, "digit_slip")[(SUCTION,)]
    assert slip.weight == pytest.approx(log(MISTAKE / 20.0) + log_honest(unit, unit_with().numbers))
    assert (slip.size, slip.unit, slip.detail) == pytest.approx((-45.0, "deg", "-61|-16"))


def test_a_slip_in_a_lift() -> None:
    unit = unit_with((0.0, 27.0))
    slip = found(unit, "digit_slip")[(SPILL,)]
    assert slip.weight == pytest.approx(log(MISTAKE / 20.0) + log_honest(unit, unit_with().numbers))
    assert (slip.size, slip.unit, slip.detail) == pytest.approx((27.0, "mm", "63|36"))


def test_a_slip_in_a_unit_with_one_event_is_one_of_two_numbers() -> None:
    unit = seen_unit(seen_event(SPILL, lifts=(63.0,)), expect=0.0, base=0.0)
    right = seen_unit(seen_event(SPILL), expect=0.0, base=0.0)
    assert found(unit, "digit_slip")[(SPILL,)].weight == pytest.approx(log(MISTAKE / 10.0) + log_honest(unit, right.numbers))


def test_a_slip_at_a_valve_is_looked_for_near_the_seat_contact_reading() -> None:
    """5.0 typed for 0.5 mm."""
    start = seen_event(SUCTION, contact=False, lifts=(0.05,))
    typed = seen_event(SPILL, contact=False, lifts=(5.0,))
    unit = seen_unit(start, typed, expect=0.0, base=0.0)
    told = typed.told([0.5], typed.angles)
    slip = next(each for each in explanations(unit, NO_DIAL) if each.code == "digit_slip" and each.detail == "5|0.5")
    assert slip.weight == pytest.approx(log(MISTAKE / 20.0) + honest_with(unit, None, told))
    assert slip.size == pytest.approx(4.5)
    # Nothing that five usual faults of the rod (0.8 mm of plunger, 1 mm of valve each) do not reach.
    far = seen_unit(start, seen_event(SPILL, contact=False, lifts=(60.0,)), expect=0.0, base=0.0)
    assert not [each for each in explanations(far, NO_DIAL) if each.code == "digit_slip" and each.detail == "60|6"]


def test_the_same_slip_in_every_repeat() -> None:
    events = [seen_event(SUCTION, angles=(-61.0, -61.1)), seen_event(SPILL)]
    unit = seen_unit(*events, expect=0.0, base=0.0)
    slip = found(unit, "digit_slip")[(SUCTION,)]
    right = seen_event(SUCTION, angles=(-16.0, -16.1))
    assert (slip.size, slip.detail) == pytest.approx((-45.0, "-61|-16"))  # The first repeat stands for all.
    assert slip.weight == pytest.approx(log(MISTAKE / 20.0) + honest_with(unit, right.numbers))
    other = seen_unit(seen_event(SUCTION, angles=(-61.0, -55.0)), seen_event(SPILL), expect=0.0, base=0.0)
    assert not found(other, "digit_slip")


def test_exchanged_events() -> None:
    start = seen_event(SUCTION, lifts=(36.02,), angles=(-2.1,))
    end = seen_event(SPILL, lifts=(12.01,), angles=(-16.0,))
    unit = seen_unit(start, end, expect=0.0, base=0.0)
    swapped = found(unit, "events_swapped")[BOTH]
    right = [start.told([12.01], [-16.0]), end.told([36.02], [-2.1])]
    assert swapped.weight == pytest.approx(log(MISTAKE) + log_honest(unit, right))
    assert swapped.size is None


def test_events_read_in_two_ways_are_not_exchanged() -> None:
    start = seen_event(SUCTION, lifts=(0.06,), angles=(-2.1,))
    end = seen_event(SPILL, contact=False, lifts=(12.01,), angles=(-16.0,))
    assert suspect_unit._ordinary(
        seen_unit(start, end, expect=0.0), [start.told(end.lifts, end.angles), end.told(start.lifts, start.angles)]
    )
    assert not found(seen_unit(start, end, expect=0.0, base=0.0), "events_swapped")


@pytest.mark.parametrize(("event", "count"), [(SUCTION, 1), (SPILL, 1), (None, 2)])
def test_a_dial_read_backwards(event: str | None, count: int) -> None:
    """12.20 for 11.80, 36.20 for 35.80: the rod is 0.2 mm off, the dial was read against its numbers."""
    off = {each: 0.2 if event in (each, None) else 0.0 for each in BOTH}
    angles = [-travel(LIFT[each] - off[each], LIFT[each]) if off[each] else 0.0 for each in BOTH]
    unit = unit_with((off[SUCTION], off[SPILL]), (angles[0], angles[1]))
    backwards = found(unit, "dial_backwards", DIAL)
    events = BOTH if event is None else (event,)
    right = [each.told([LIFT[each.event] - off[each.event]], each.angles) for each in unit.events]
    assert backwards[events].weight == pytest.approx(log(MISTAKE / 3.0 / 3.0**count) + log_honest(unit, right))
    assert (backwards[events].size, backwards[events].unit) == pytest.approx((0.4, "mm"))


def test_of_whole_turns_the_one_that_brings_the_cam_part_back() -> None:
    """12.30 read, 12.70 meant: 0.40 too little, so the angle says later than the lift."""
    late = travel(12.0, 12.7)
    unit = unit_with((0.3, 0.0), (late, 0.0))
    backwards = found(unit, "dial_backwards", DIAL)[(SUCTION,)]
    assert backwards.size == pytest.approx(-0.4)


def test_a_dial_is_read_backwards_at_contact_only() -> None:
    unit = seen_unit(seen_event(SUCTION, contact=False, lifts=(0.6,)), seen_event(SPILL, lifts=(36.4,)), expect=0.0, base=0.0)
    assert set(found(unit, "dial_backwards", DIAL)) == {(SPILL,)}
    assert not found(unit, "dial_backwards", NO_DIAL)


def copied_unit(angle: float = -16.03, lift: float = 12.004, **given: Any) -> SeenUnit:
    """Angles to 0.1 degrees and lifts to 0.01 mm cannot be read so finely."""
    start = seen_event(SUCTION, reference_angle=-16.03, angles=(angle,), reference_lift=12.004, lifts=(lift,), **given)
    return seen_unit(start, seen_event(SPILL), expect=0.0)


def test_entries_that_only_the_reference_can_have() -> None:
    assert copies(copied_unit()) == (2, (SUCTION,))
    assert copies(copied_unit(lift=12.0)) == (1, (SUCTION,))
    assert copies(copied_unit(angle=-16.0, lift=12.0)) == (0, ())
    # At reference lift the lift is the gauge's own aim, and counts for nothing.
    assert copies(copied_unit(contact=False)) == (1, (SUCTION,))
    both = seen_unit(
        seen_event(SUCTION, reference_angle=-16.03, angles=(-16.03,)), seen_event(SPILL, reference_angle=-2.04, angles=(-2.04,))
    )
    assert copies(both) == (2, BOTH)
    half = seen_unit(seen_event(SUCTION, reference_angle=-16.03, angles=(-16.03, -16.0)), seen_event(SPILL))
    assert copies(half) == (0, ())


def test_a_copied_form_weighs_a_hundred_times_more_with_each_entry() -> None:
    unit = copied_unit()
    copied = found(unit, "form_copied")[(SUCTION,)]
    assert copied.weight == pytest.approx(log(MISTAKE) + log_honest(unit, unit.numbers) + 2.0 * log(100.0))
    assert not found(copied_unit(lift=12.0, var_sound=1e-6), "form_copied")


# ---------------------------------------------------------------- what is worth a word, and what is worth weighing


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_third_of_the_tolerance_matters(sign: float) -> None:
    """A usual fault of a cam is two tolerances, so 0.8 degrees say 0.4; lifts by the slope at the end."""
    unit = unit_with()
    slope = flank(SPILL).slope
    for size_unit, limit in (("deg", 0.4 / 3.0), ("mm", slope * 0.4 / 3.0)):
        assert matters(unit, Explanation("any", BOTH, 0.0, sign * limit * 1.001, size_unit))
        assert not matters(unit, Explanation("any", BOTH, 0.0, sign * limit * 0.999, size_unit))
    assert matters(unit, Explanation("any", BOTH, 0.0))


def at_the_limit(**given: Any) -> float:
    """The start's lift deviation at which the honest density is 6 % of its peak, found by halving."""
    limit = log(2.0 * 0.01 * 12.0 * 0.2 / 0.8)
    peak = log_honest(unit_with(base=None, **given), [(0.0, 0.0, 0.0)] * 2)
    peak += sum(max(0.0, -each.log_rod(0.0)) for each in unit_with(**given).events)
    low, high = 0.0, 5.0
    for _ in range(60):
        middle = (low + high) / 2.0
        unit = unit_with((middle, 0.0), (travel(12.0, 12.0 + middle), 0.0), base=None, **given)
        low, high = (middle, high) if log_honest(unit, unit.numbers) - peak > limit else (low, middle)
    return low


@pytest.mark.parametrize("more", [{}, {"var_sound": 0.6, "var_drift": 0.7, "var_fault": 1.1}])
def test_plainly_honest_down_to_six_hundredths_of_the_peak(more: Any) -> None:
    """With a wide rod the density at its middle is below 1, and a seated valve could be likelier."""
    limit = at_the_limit(more=more)
    assert 0.01 < limit < 4.9
    for off, plain in ((limit - 1e-6, True), (limit + 1e-6, False)):
        unit = unit_with((off, 0.0), (travel(12.0, 12.0 + off), 0.0), base=None, more=more)
        assert plainly_honest(unit, log_honest(unit, unit.numbers)) is plain
        assert (len(explanations(unit, DIAL)) == 1) is plain


def test_a_unit_on_which_more_is_known_is_always_weighed() -> None:
    plain = unit_with(base=None)
    assert plainly_honest(plain, log_honest(plain, plain.numbers))
    for given in ({"base": 0.0}, {"base": None, "peak": 0.0}, {"base": None, "peak_spill": 24.0}):
        unit = unit_with(**given)
        assert not plainly_honest(unit, log_honest(unit, unit.numbers))
    assert not plainly_honest(copied_unit(), 0.0)
    seated = seen_unit(seen_event(SUCTION, contact=False, lifts=(0.0,)), seen_event(SPILL, contact=False, lifts=(0.05,)))
    assert not plainly_honest(seated, 1e9)


def test_numbers_that_rods_and_cam_could_well_give() -> None:
    """Five usual faults: 4 degrees of cam, 3 mm at the start, 4 mm at the end; cam parts within 5 u of each other."""
    unit = unit_with(expect=0.1)
    ordinary = suspect_unit._ordinary
    for start, end, well in (
        ((2.99, 4.09, 0.0), (-3.99, 4.09, 0.0), True),
        ((3.01, 4.09, 0.0), (-3.99, 4.09, 0.0), False),
        ((2.99, 4.09, 0.0), (-4.01, 4.09, 0.0), False),
        ((2.99, 4.11, 0.0), (-3.99, 4.11, 0.0), False),
        ((2.99, -3.89, 0.0), (-3.99, -3.89, 0.0), True),
        ((None, -3.91, 0.0), (None, -3.89, 0.0), False),
        ((None, 0.0, 0.0), (None, 0.86, 0.0), True),  # 5 * sqrt(0.01 + 0.02) = 0.866
        ((None, 0.87, 0.0), (None, 0.0, 0.0), False),
    ):
        assert ordinary(unit, [start, end]) is well
    alone = seen_unit(seen_event(SUCTION), expect=0.0)
    assert ordinary(alone, [(0.0, 3.0, 0.0)])
