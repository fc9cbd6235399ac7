"""What the gauges showed, laid out: numbers of an event, scatter, what to expect of a unit from the others; all by hand."""

from math import pi, sqrt

import pytest

from calc.judge.seen import Layout, StageParts, far_apart, see, steadied, usual_spread
from calc.judge.unit import JudgedUnit
from calc.measure.pool import Repeatability
from tests.invented import (
    ANGLE,
    LIFT,
    RATIO,
    SEAT,
    SLOPE,
    SPILL,
    SUCTION,
    TOLERANCE,
    Tree,
    at_lift,
    both,
    contact,
    engine_job,
    opening,
    plunger_reading,
    with_table,
)
from tests.judge import by_hand
from tests.judge.by_hand import CURVE, before_suspicions, seen_event

# The invented engine's instruments: half a step, error limits; see `tests/invented.py`.
U_PLUNGER = sqrt(2.0 * 0.005**2 / 12.0 + 0.008**2 / 3.0)
U_VALVE = sqrt(2.0 * 0.002**2 / 12.0 + 0.003**2 / 3.0)
U_SCALE = 0.05 / sqrt(12.0)
POINTER = 0.03
LIFTS, VALVES, ANGLES = (
    ("plunger_lift_mm", "at_contact"),
    ("valve_lift_mm", "at_reference_lift"),
    ("crank_angle_deg", "at_contact"),
)


def laid_out(tree: Tree) -> tuple[Layout, list[JudgedUnit]]:
    """A job's units as they are when suspicions are looked for."""
    job, settings, units, scatter = before_suspicions(tree)
    return Layout(job, settings, scatter, units), units


# ---------------------------------------------------------------- the two numbers of an event


def travel(start_mm: float, end_mm: float) -> float:
    return CURVE.angle_at(end_mm) - CURVE.angle_at(start_mm)


def test_at_contact_the_lift_travels_along_the_cam() -> None:
    error, part, offset = seen_event(SUCTION).told([12.5, 12.7], [-15.5, -15.3])
    assert error == pytest.approx(0.6)
    # 0.6 degrees late, of which the rod explains the travel from 12 to 12.6 mm.
    assert part == pytest.approx(0.6 - travel(12.0, 12.6))
    assert offset == 0.0


@pytest.mark.parametrize(("event", "sign"), [(SUCTION, 1.0), (SPILL, -1.0)])
def test_at_reference_lift_the_valve_tells_the_lift(event: str, sign: float) -> None:
    """0.2 mm above the seat-contact reading: the suction valve closes later, the spill valve has opened earlier."""
    seen = seen_event(event, contact=False)
    error, part, offset = seen.told([0.3, 0.2], [by_hand.ANGLE[event] + 0.4])
    assert error == pytest.approx(sign * 0.2 / seen.ratio)
    assert part == pytest.approx(0.4)
    assert offset == 0.0


@pytest.mark.parametrize(("lifts", "sits"), [((0.2, 0.0), True), ((0.2, -0.01), True), ((0.2, 0.001), False)])
def test_one_repeat_on_the_seat_leaves_no_lift(lifts: tuple[float, ...], sits: bool) -> None:
    error, part, offset = seen_event(SPILL, contact=False).told(lifts, [-1.5])
    assert (error is None) == sits
    assert (part, offset) == pytest.approx((0.5, 0.0))


@pytest.mark.parametrize("contact_", [True, False])
def test_angles_are_brought_round_the_circle(contact_: bool) -> None:
    lifts = [12.0] if contact_ else [0.3]
    for lift in (lifts, [0.0]) if not contact_ else (lifts,):
        assert seen_event(SUCTION, contact=contact_).told(lift, [344.5])[1] == pytest.approx(0.5)


@pytest.mark.parametrize("event", [SUCTION, SPILL])
def test_an_offset_taken_out_at_contact_is_another_lift_typed(event: str) -> None:
    shown = by_hand.LIFT[event] + 0.9
    seen = seen_event(event, lifts=(shown,), angles=(by_hand.ANGLE[event] + 0.2,))
    error, part, offset = seen.without(0.7)
    right = seen.told([shown - 0.7], seen.angles)
    assert (error, part) == pytest.approx((right[0], right[1]))
    assert offset == 0.7


def test_an_offset_taken_out_at_reference_lift() -> None:
    """The plunger stood 0.7 mm lower than it showed, so it reaches the reference lift later, and the valve's say is less."""
    seen = seen_event(SPILL, contact=False, lifts=(0.3,), angles=(-1.8,))
    error, part, offset = seen.without(0.7)
    assert error == pytest.approx(-0.25 / 1.25 - 0.7)
    assert part == pytest.approx(0.2 + travel(36.0 - 0.7, 36.0))
    assert offset == 0.7
    seated = seen_event(SPILL, contact=False, lifts=(0.0,), angles=(-1.8,)).without(0.7)
    assert seated == pytest.approx((None, part, 0.7))


def test_chord_of_what_was_read() -> None:
    """Degrees a millimetre, along the cam from the reference to where the event was found."""
    slope = by_hand.flank(SUCTION).slope
    assert seen_event(SUCTION).chord() == 1.0 / slope
    assert seen_event(SUCTION, contact=False, lifts=(0.0,)).chord() == 1.0 / slope
    assert seen_event(SUCTION, lifts=(14.0,)).chord() == pytest.approx(travel(12.0, 14.0) / 2.0)
    assert seen_event(SUCTION, lifts=(11.5,)).chord() == pytest.approx(travel(11.5, 12.0) / 0.5)
    # At reference lift an error of 1 mm means that the plunger would have to stand 1 mm lower.
    assert seen_event(SUCTION, contact=False, lifts=(0.85,)).chord() == pytest.approx(travel(11.0, 12.0) / 1.0)


def test_a_curve_has_no_doubt_of_its_slope() -> None:
    assert seen_event(SUCTION, var_part=0.01).var_part_at(5.0, 5.0) == 0.01
    secant = seen_event(SUCTION, var_part=0.01, flank=by_hand.flank(SUCTION, secant=True))
    assert secant.var_part_at(None, 5.0) == 0.01
    assert secant.var_part_at(4.0, 5.0) == pytest.approx(0.01 + 0.3**2)  # 15 % of 2 degrees.


# ---------------------------------------------------------------- scatter


@pytest.mark.parametrize(
    ("found", "stated", "step", "expected"),
    [
        (None, 0.02, 0.01, 0.02),
        (None, 0.002, 0.01, 0.005),
        (Repeatability(0.03, float("inf")), 0.02, 0.01, 0.02),
        # (3 * 0.04^2 + 5 * 0.02^2) / 8 = 0.00085
        (Repeatability(0.04, 3), 0.02, 0.01, 0.00085**0.5),
        (Repeatability(0.0, 5), 0.02, 0.01, 0.0002**0.5),
    ],
)
def test_scatter_of_few_repeats_is_drawn_to_the_stated_one(
    found: Repeatability | None, stated: float, step: float, expected: float
) -> None:
    assert steadied(found, stated, step) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("apart", "scatter", "step", "expected"),
    [(0.0601, 0.01, 0.01, True), (0.0599, 0.01, 0.01, False), (0.0251, 0.001, 0.01, True), (0.0249, 0.001, 0.01, False)],
)
def test_repeats_lie_far_apart_beyond_six_scatters_and_two_and_a_half_steps(
    apart: float, scatter: float, step: float, expected: bool
) -> None:
    assert far_apart([5.0, 5.0 + apart, 5.0 + apart / 2.0], scatter, step) is expected


def test_usual_spread_has_limits_and_needs_three() -> None:
    """1.4826 times the median distance, between 0.05 and 0.25 tolerances."""
    assert usual_spread([0.1, -0.1]) == 0.05
    assert usual_spread([0.1, -0.1, 0.1]) == pytest.approx(0.14826)
    assert usual_spread([0.01, -0.02, 0.03]) == 0.05
    assert usual_spread([1.0, -0.5, 0.2]) == 0.25


def readings(*, repeats: int = 2) -> list[Tree]:
    """Five units without a fault; their repeats differ by one hundredth of a millimetre and a tenth of a degree."""
    lifts, angles = ([0.0, 0.01], [0.0, 0.1]) if repeats == 2 else ([0.0], [0.0])
    return [contact(unit, event, lifts, angles) for unit in range(1, 6) for event in (SUCTION, SPILL)]


def test_scatter_of_a_job() -> None:
    """Ten groups of two, each with a sum of squares of 0.01^2 / 2: s^2 = 0.00005, nu = 10, drawn to 0.003 as by five more."""
    layout, _ = laid_out(engine_job(readings=readings()))
    assert layout.scatter(LIFTS) == pytest.approx(sqrt((10.0 * 0.00005 + 5.0 * 0.003**2) / 15.0))
    assert layout.scatter(ANGLES) == pytest.approx(sqrt((10.0 * 0.005 + 5.0 * 0.025**2) / 15.0))
    # A kind that was not read: the stated repeatability, or half a step where that is more.
    assert layout.scatter(VALVES) == 0.002
    assert layout.apart == set()


def test_a_slip_in_one_repeat_is_left_out_of_the_scatter() -> None:
    read = readings()
    read[4] = contact(3, SUCTION, [0.0, 0.9], [0.0, 0.1])
    layout, _ = laid_out(engine_job(readings=read))
    assert layout.apart == {(3, "as_found")}
    assert layout.scatter(LIFTS) == pytest.approx(sqrt((9.0 * 0.00005 + 5.0 * 0.003**2) / 14.0))
    assert layout.scatter(ANGLES) == pytest.approx(sqrt((10.0 * 0.005 + 5.0 * 0.025**2) / 15.0))


def test_two_slips_are_left_out_one_after_the_other() -> None:
    read = readings()
    read[4] = contact(3, SUCTION, [0.0, 0.9], [0.0, 0.1])
    read[7] = contact(4, SPILL, [0.0, 0.5], [0.0, 0.1])
    layout, _ = laid_out(engine_job(readings=read))
    assert layout.apart == {(3, "as_found"), (4, "as_found")}
    assert layout.scatter(LIFTS) == pytest.approx(sqrt((8.0 * 0.00005 + 5.0 * 0.003**2) / 13.0))


def test_wide_scatter_of_all_is_no_slip() -> None:
    """Every group 0.06 mm apart: more than six stated scatters, and no more than the others."""
    read = [contact(unit, event, [0.0, 0.06]) for unit in range(1, 6) for event in (SUCTION, SPILL)]
    layout, _ = laid_out(engine_job(readings=read))
    assert layout.apart == set()
    assert layout.scatter(LIFTS) == pytest.approx(sqrt((10.0 * 0.0018 + 5.0 * 0.003**2) / 15.0))


def test_a_slip_in_the_only_repeats() -> None:
    """Nothing else was repeated, so the stated repeatability stands."""
    read = readings(repeats=1)
    read[4] = contact(3, SUCTION, [0.0, 0.9])
    layout, _ = laid_out(engine_job(readings=read))
    assert layout.apart == {(3, "as_found")}
    assert layout.scatter(LIFTS) == pytest.approx(0.003)


def test_each_way_of_reading_has_its_own_slips() -> None:
    read = [at_lift(unit, event, [0.3, 0.301], [0.0, 0.1]) for unit in range(1, 6) for event in (SUCTION, SPILL)]
    read[2] = at_lift(2, SUCTION, [0.3, 0.6], [0.0, 0.1])
    layout, _ = laid_out(engine_job(readings=read))
    assert layout.apart == {(2, "as_found")}
    assert layout.scatter(VALVES) == pytest.approx(sqrt((9.0 * 0.0000005 + 5.0 * 0.002**2) / 14.0))
    assert layout.scatter(LIFTS) == 0.003


# ---------------------------------------------------------------- the rest of the engine


def test_engine_by_its_own_angles_or_by_even_firing() -> None:
    layout, _ = laid_out(engine_job(readings=readings()))
    assert layout.engine.tdc_deg == {1: 0.0, 2: 72.0, 3: 144.0, 4: 216.0, 5: 288.0}
    assert layout.engine.mm_per_turn is None

    def even(tree: Tree) -> None:
        del tree["engine"]["tdc_deg"]
        tree["instruments"]["plunger_gauge"]["mm_per_turn"] = 1.0

    layout, _ = laid_out(engine_job(readings=readings(), change=even))
    # Firing order 1 3 5 2 4.
    assert layout.engine.tdc_deg == {1: 0.0, 3: 72.0, 5: 144.0, 2: 216.0, 4: 288.0}
    assert layout.engine.mm_per_turn == 1.0


def test_astern_turns_the_engine_round() -> None:
    def reversed_(tree: Tree) -> None:
        tree["reference"]["rotation"] = "astern"
        for read in tree["readings"]:
            read["reached"] = "astern"

    layout, _ = laid_out(engine_job(readings=readings(), change=reversed_))
    assert layout.engine.tdc_deg == {1: 0.0, 2: -72.0, 3: -144.0, 4: -216.0, 5: -288.0}


def with_extras(base: float | None, peak: float | list[float] | None, stated: float | None = 44.0) -> Tree:
    read = readings()
    if base is not None:
        read.append(plunger_reading(2, "base_return", base))
    if peak is not None:
        read.append(plunger_reading(2, "peak", peak))

    def change(tree: Tree) -> None:
        if stated is not None:
            tree["reference"]["units"][1]["peak_lift_mm"] = stated

    return engine_job(readings=read, change=change)


def test_return_to_zero_and_peak_lift() -> None:
    layout, units = laid_out(with_extras(0.02, [44.3, 44.31]))
    base, peak, variance = layout.gauge(units[1])
    assert (base, peak) == pytest.approx((0.02, 0.305))
    # The peak's own pair of repeats: s^2 = 0.00005, nu = 1, drawn to 0.003 as by five more. Sound is 5 % of the tolerance.
    scatter = (0.00005 + 5.0 * 0.003**2) / 6.0
    assert variance == pytest.approx(U_PLUNGER**2 + scatter + (0.05 * TOLERANCE * SLOPE) ** 2)
    assert layout.gauge(units[0])[:2] == (None, None)


def test_a_peak_without_its_reference_says_nothing() -> None:
    layout, units = laid_out(with_extras(0.02, 44.3, stated=None))
    assert layout.gauge(units[1])[:2] == (0.02, None)


@pytest.mark.parametrize(
    ("base", "peak", "strays"),
    [(0.0, 44.0, False), (0.3, 44.0, True), (0.0, 44.3, True), (0.0, 43.7, True), (None, 44.3, True), (0.2, None, True)],
)
def test_a_gauge_strays_where_either_is_off(base: float | None, peak: float | None, strays: bool) -> None:
    layout, units = laid_out(with_extras(base, peak))
    assert layout.gauge_strays(units[1], 3.0, TOLERANCE / 3.0) is strays
    assert layout.gauge_strays(units[0], 3.0, TOLERANCE / 3.0) is False


def test_a_gauge_strays_by_what_counts() -> None:
    """Both limits: so many standard deviations, and the lift that moves an angle by so much."""
    layout, units = laid_out(with_extras(0.1, 44.0))
    u = sqrt(layout.gauge(units[1])[2])
    assert layout.gauge_strays(units[1], 0.099 / u, 0.0)
    assert not layout.gauge_strays(units[1], 0.101 / u, 0.0)
    assert layout.gauge_strays(units[1], 0.0, 0.099 / SLOPE)
    assert not layout.gauge_strays(units[1], 0.0, 0.101 / SLOPE)


# ---------------------------------------------------------------- what the other units say


def off_by(parts: dict[int, float], lifts: dict[int, float] | None = None) -> list[Tree]:
    """Units whose angles are off by so much, and whose lifts by so much with their angles."""
    found: list[Tree] = []
    for unit, part in parts.items():
        off = (lifts or {}).get(unit, 0.0)
        found += both(unit, off, part + off / SLOPE)
    return found


def test_cam_part_to_expect_is_the_median_of_the_others() -> None:
    layout, units = laid_out(engine_job(readings=off_by({1: 0.9, 2: 0.1, 3: 0.2, 4: 0.3, 5: 0.4})))
    parts = StageParts(units, layout)
    expected, variance = parts.expect(1)
    assert expected == pytest.approx(0.25)
    # Eight parts of 0.025 (half a step) and scale and gauge; the median's variance, and what sound cams differ by.
    one = U_SCALE**2 + 0.025**2 + (U_PLUNGER / SLOPE) ** 2
    assert variance == pytest.approx(pi / 2.0 * one / 8.0 + (0.05 * TOLERANCE) ** 2 / 4.0)
    assert parts.expect(5)[0] == pytest.approx(0.25)


def test_repeats_narrow_what_is_expected() -> None:
    layout, units = laid_out(engine_job(readings=readings()))
    one = U_SCALE**2 + layout.scatter(ANGLES) ** 2 / 2.0 + (U_PLUNGER / SLOPE) ** 2
    expected = pi / 2.0 * one / 8.0 + (0.05 * TOLERANCE) ** 2 / 4.0
    assert StageParts(units, layout).expect(1) == pytest.approx((0.05 - 0.005 / SLOPE, expected))


def test_few_units_allow_for_a_pointer_and_a_drive() -> None:
    alone = POINTER**2 + TOLERANCE**2
    layout, units = laid_out(engine_job(readings=off_by({1: 0.9})))
    assert StageParts(units, layout).expect(1) == pytest.approx((0.0, alone))
    layout, units = laid_out(engine_job(readings=off_by({1: 0.9, 2: 0.1})))
    one = U_SCALE**2 + 0.025**2 + (U_PLUNGER / SLOPE) ** 2
    expected = pi / 2.0 * one / 2.0 + (0.05 * TOLERANCE) ** 2 + alone
    assert StageParts(units, layout).expect(1) == pytest.approx((0.1, expected))
    layout, units = laid_out(engine_job(readings=off_by({1: 0.9, 2: 0.1, 3: 0.1})))
    assert StageParts(units, layout).expect(1)[1] < 0.01


def test_a_seated_valve_has_a_cam_part_all_the_same() -> None:
    read = [at_lift(unit, event, -SEAT, 0.3) for unit in (1, 2, 3) for event in (SUCTION, SPILL)]
    layout, units = laid_out(engine_job(readings=read))
    parts = StageParts(units, layout)
    assert parts.expect(1)[0] == pytest.approx(0.3)
    assert not any(parts.sits_oddly(unit, 2.5) for unit in units)


def test_a_seated_valve_at_an_odd_angle() -> None:
    read = [at_lift(unit, event, -SEAT, 0.9 if unit == 3 else 0.0) for unit in (1, 2, 3, 4) for event in (SUCTION, SPILL)]
    layout, units = laid_out(engine_job(readings=read))
    parts = StageParts(units, layout)
    assert [parts.sits_oddly(unit, 2.5) for unit in units] == [False, False, True, False]
    one = U_SCALE**2 + 0.025**2 + (U_PLUNGER / SLOPE) ** 2
    u = sqrt(one + parts.expect(3)[1])
    assert parts.sits_oddly(units[2], 0.899 / u)
    assert not parts.sits_oddly(units[2], 0.901 / u)


def test_units_whose_valves_all_have_a_number_do_not_sit_oddly() -> None:
    layout, units = laid_out(engine_job(readings=off_by({1: 0.9, 2: 0.1, 3: 0.1})))
    assert not StageParts(units, layout).sits_oddly(units[0], 2.5)


def test_spread_of_sound_rods_without_the_unit_itself() -> None:
    """Lifts off by 0.1 tolerances' worth; units 1 and 2 by far more, and they have no say where they are left out."""
    worth = TOLERANCE * SLOPE
    lifts = {1: 2.0 * worth, 2: -2.0 * worth, 3: 0.1 * worth, 4: -0.1 * worth, 5: 0.1 * worth}
    layout, units = laid_out(engine_job(readings=off_by(dict.fromkeys(lifts, 0.0), lifts)))
    parts = StageParts(units, layout)
    assert parts.spread((1, 2)) == pytest.approx(0.14826)
    assert parts.spread((3, 4, 5)) == 0.25
    assert parts.spread((2, 3, 4, 5)) == 0.05


# ---------------------------------------------------------------- one unit


def test_a_unit_at_contact_by_hand() -> None:
    read = [*readings(), plunger_reading(2, "peak", 44.2)]
    read[2] = contact(2, SUCTION, [0.2, 0.21], [0.4, 0.5])
    layout, units = laid_out(engine_job(readings=read))
    unit = see(units[1], layout, StageParts(units, layout))
    start, end = unit.events
    assert (start.event, end.event) == (SUCTION, SPILL)
    assert start.numbers == pytest.approx((0.205, 0.45 - 0.205 / SLOPE, 0.0))
    assert (start.ratio, start.seat, start.lift_step, start.angle_step) == (RATIO[SUCTION], SEAT, 0.005, 0.05)
    assert (start.reference_lift, start.reference_angle) == (LIFT[SUCTION], ANGLE[SUCTION])
    lift2, angle2 = layout.scatter(LIFTS) ** 2 / 2.0, layout.scatter(ANGLES) ** 2 / 2.0
    var_lift = U_PLUNGER**2 + lift2 + (U_VALVE / RATIO[SUCTION]) ** 2
    assert start.var_lift == pytest.approx(var_lift)
    assert start.var_part == pytest.approx(U_SCALE**2 + angle2 + (U_PLUNGER**2 + lift2) / SLOPE**2)
    # The others are off by 0.005 mm at the most: a sound engine's 0.05 tolerances. A drift is 0.25, a fault 2 tolerances.
    worth = TOLERANCE * SLOPE
    assert start.var_sound == pytest.approx(var_lift + (0.05 * worth) ** 2)
    assert start.var_drift == pytest.approx(var_lift + (0.25 * worth) ** 2)
    assert start.var_fault == pytest.approx(var_lift + (2.0 * worth) ** 2)
    assert start.fault == pytest.approx(2.0 * worth)
    assert (unit.cam_sound, unit.cam_fault) == pytest.approx((0.05 * TOLERANCE, 2.0 * TOLERANCE))
    assert unit.peak is None
    assert unit.peak_spill == pytest.approx(44.2 - (LIFT[SPILL] + 0.005))
    assert unit.base is None


def test_a_unit_at_reference_lift_by_hand() -> None:
    read = [at_lift(unit, event, [0.3, 0.304]) for unit in range(1, 6) for event in (SUCTION, SPILL)]
    read.append(plunger_reading(1, "peak", 44.2))
    layout, units = laid_out(with_table(engine_job(readings=read)))
    unit = see(units[0], layout, StageParts(units, layout))
    end = unit.events[1]
    slope = end.flank.slope
    valve2 = layout.scatter(VALVES) ** 2 / 2.0
    angle2 = layout.scatter(("crank_angle_deg", "at_reference_lift")) ** 2 / 2.0
    var_lift = U_PLUNGER**2 + (U_VALVE / RATIO[SPILL]) ** 2 + valve2 / RATIO[SPILL] ** 2
    assert end.var_lift == pytest.approx(var_lift)
    assert end.var_part == pytest.approx(U_SCALE**2 + angle2 + U_PLUNGER**2 / slope**2)
    assert end.lift_step == 0.002
    assert end.numbers[0] == pytest.approx(-0.302 / RATIO[SPILL])
    # At reference lift the gauge says nothing of the peak above the spill.
    assert unit.peak_spill is None


def test_a_doubtful_index_counts_at_the_end_alone() -> None:
    read = [*readings(), opening(2, SEAT + 1.125)]
    layout, units = laid_out(engine_job(readings=read))
    sure = see(units[1], layout, StageParts(units, layout))

    def doubt(tree: Tree) -> None:
        tree["reference"]["fuel_index_u"] = 0.5

    layout, units = laid_out(engine_job(readings=read, change=doubt))
    unsure = see(units[1], layout, StageParts(units, layout))
    assert unsure.events[0].var_lift == pytest.approx(sure.events[0].var_lift)
    # w = 1.125 / 1.125 = 1 mm; g = (27.25 - 9.5 + 1) / 63 mm an index.
    assert unsure.events[1].var_lift - sure.events[1].var_lift == pytest.approx((0.5 * 18.75 / 63.0) ** 2)


def test_a_unit_with_its_start_alone_has_no_peak_above_the_spill() -> None:
    read = [contact(1, SUCTION), plunger_reading(1, "peak", 44.2)]
    layout, units = laid_out(engine_job(readings=read))
    unit = see(units[0], layout, StageParts(units, layout))
    assert len(unit.events) == 1
    assert unit.peak_spill is None


def test_units_beside_it_can_be_left_out_of_the_spread() -> None:
    worth = TOLERANCE * SLOPE
    lifts = {1: 0.0, 2: 2.0 * worth, 3: 0.02 * worth}
    layout, units = laid_out(engine_job(readings=off_by(dict.fromkeys(lifts, 0.0), lifts)))
    parts = StageParts(units, layout)
    wide, narrow = (see(units[0], layout, parts, without).events[0] for without in ((), (2,)))
    assert wide.var_sound == pytest.approx(wide.var_lift + (0.25 * worth) ** 2)
    assert narrow.var_sound == pytest.approx(narrow.var_lift + (0.05 * worth) ** 2)
