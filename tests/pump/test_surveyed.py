"""A survey held against settings: what a place near an event tells, and what is too far away to tell anything."""

from collections.abc import Callable

import pytest
from scipy.interpolate import PchipInterpolator
from uncertainties import ufloat

from calc.pump.cam import CamCurve
from calc.pump.cause import Estimate
from calc.pump.survey import survey
from calc.pump.surveyed import Reader, Surveyed, hold_against, set_beside
from tests.pump.forward import SPILL, SUCTION, Cycloid

CAM = Cycloid(peak_mm=48.0, span_deg=80.0, foot_deg=-40.0)
TABLE = [(angle, lift) for angle, lift in CAM.table(2.0)]
LIFT = {SUCTION: 10.0, SPILL: 28.0}
ANGLE = {event: float(CAM.angle_at(lift)) for event, lift in LIFT.items()}
READER = Reader(plunger_mm=0.01, lift_scatter_mm=0.005, scale_deg=0.03, angle_scatter_deg=0.03)
T = 0.45


def held(
    off_mm: Callable[[float], float] = lambda _: 0.0, step: float = 2.0, phase: float = 0.0, off_deg: float = 0.0
) -> Surveyed:
    """A survey of the cam moved by a phase, with its lift off by a function of the angle; settings off_deg off the table."""
    count = int(96.0 / step)
    rows = [
        (-48.0 + step * j, float(CAM.lift_at(-48.0 + step * j - phase)) + off_mm(-48.0 + step * j)) for j in range(count + 1)
    ]
    curve = CamCurve.from_table(TABLE)
    flanks = {event: flank for event, lift in LIFT.items() if (flank := curve.flank_at(lift)) is not None}
    angles = {event: angle + off_deg for event, angle in ANGLE.items()}
    found = hold_against(TABLE, rows, survey(TABLE, rows), flanks, angles, READER)
    assert found is not None
    return found


def dent(event: str, depth: float, width: float = 5.0) -> Callable[[float], float]:
    return lambda angle: -depth * max(0.0, min(1.0, 2.0 - 2.0 * abs(angle - ANGLE[event]) / width))


@pytest.mark.parametrize("phase", [-1.3, 0.0, 0.7])
@pytest.mark.parametrize("off_deg", [-2.0, 0.0, 0.4])
def test_the_whole_cam_against_the_settings_of_its_unit(phase: float, off_deg: float) -> None:
    """A unit whose settings stand later than the table expects its cam as much later."""
    found = held(phase=phase, off_deg=off_deg)
    assert found.cam_part is not None
    assert found.cam_part.value == pytest.approx(phase - off_deg, abs=0.01)
    for event in LIFT:
        assert found.events[event].cam_part.value == pytest.approx(phase - off_deg, abs=0.02)
        assert found.events[event].later_deg == pytest.approx(0.0, abs=0.02)


@pytest.mark.parametrize("event", [SUCTION, SPILL])
def test_missing_lift_makes_the_event_later_and_excess_is_no_wear(event: str) -> None:
    worn, high = held(dent(event, 0.6)), held(dent(event, -0.6))
    slope = float(CAM.slope_at(ANGLE[event]))
    for found, sign in ((worn, 1.0), (high, -1.0)):
        at = found.events[event]
        assert at.left.value == pytest.approx(-0.6 * sign, abs=0.15)
        assert at.later_deg == pytest.approx(sign * 0.6 / slope, rel=0.25)
    assert worn.events[event].worn(T)
    assert not high.events[event].worn(T)
    assert high.events[event].stands_out(T)
    beside = set_beside(high, {event: high.events[event].cam_part}, None, T)
    assert (beside.says, beside.worn, beside.high) == ("agrees", (), (event,))


def test_rows_too_far_from_an_event_say_nothing_of_it() -> None:
    near, far = held(step=4.0), held(step=12.0)
    assert set(near.events) == {SUCTION, SPILL}
    assert far.events == {}
    # The whole cam still does.
    sound = Estimate(0.0, 0.05, 0.04)
    assert set_beside(far, {SUCTION: sound}, sound, T).says == "agrees"
    assert set_beside(far, {SUCTION: Estimate(1.5, 0.05, 0.04)}, None, T).says == "contradicts"


def test_a_survey_without_readings_is_held_against_nothing() -> None:
    assert set_beside(held(), {}, None, T).says == "unknown"


def test_one_row_has_no_uncertainty() -> None:
    rows = [(0.0, float(CAM.lift_at(0.0)))]
    assert hold_against(TABLE, rows, survey(TABLE, rows), {}, {}, READER) is None


def test_what_is_read_on_the_base_circle_tells_a_wrong_zero() -> None:
    found = held(lambda _: 0.8)
    assert found.zero is not None
    assert found.zero.value == pytest.approx(0.8, abs=0.01)
    assert found.zero_is_off(T)
    assert not held().zero_is_off(T)
    assert set_beside(found, {SUCTION: Estimate(0.0, 0.05, 0.04)}, None, T).says == "zero_off"


def test_wear_elsewhere_does_not_pull_the_phase() -> None:
    """The robust phase counts, where there is one."""
    found = held(dent(SPILL, 0.6))
    assert found.found.robust_phase_deg is not None
    assert abs(found.found.phase_deg) > 5.0 * abs(found.found.robust_phase_deg)
    assert found.phase.value == found.found.robust_phase_deg


@pytest.mark.parametrize("scale", [0.03, 0.4])
def test_angles_read_wrongly_count_by_the_slope_of_their_rows(scale: float) -> None:
    """Linear propagation by the package `uncertainties`: the phase of least squares as a sum over two rows.

    Slopes 0.5 and 2 mm/deg on a table of straight pieces; an angle that is off by e shifts a lift by slope x e.
    """
    table = [(0.0, 0.0), (10.0, 5.0), (20.0, 10.0), (30.0, 30.0), (40.0, 50.0)]
    rows = [(5.0, 2.5), (35.0, 40.0)]
    reader = Reader(plunger_mm=0.0, lift_scatter_mm=0.0, scale_deg=scale, angle_scatter_deg=0.0)
    seen = survey(table, rows)
    slopes = seen.slope_mm_per_deg
    errors = [ufloat(0.0, scale) for _ in slopes]
    off = sum(k * (k * e) for k, e in zip(slopes, errors, strict=True)) / sum(k * k for k in slopes)
    curve = CamCurve.from_table(table)
    flank = curve.flank_at(20.0)
    assert flank is not None
    found = hold_against(table, rows, seen, {SPILL: flank}, {SPILL: flank.start_deg}, reader)
    assert found is not None
    assert found.phase.u == pytest.approx(off.std_dev, rel=1e-6)


def test_the_plunger_gauge_counts_by_the_slope_that_the_fit_sees() -> None:
    """On a straight flank of 2 mm/deg, 0.1 mm on the gauge is 0.05 deg; so is a zero that stands off."""
    table = [(float(angle), 2.0 * angle) for angle in range(0, 41, 10)]
    rows = [(float(angle), 2.0 * angle) for angle in (5, 15, 25, 35)]
    curve = CamCurve.from_table(table)
    flank = curve.flank_at(20.0)
    assert flank is not None
    reader = Reader(plunger_mm=0.1, lift_scatter_mm=0.0, scale_deg=0.0, angle_scatter_deg=0.0)
    found = hold_against(table, rows, survey(table, rows), {SPILL: flank}, {SPILL: flank.start_deg}, reader)
    assert found is not None
    assert found.cam_part is not None
    assert found.cam_part.u == pytest.approx(0.05, rel=1e-6)
    assert found.events[SPILL].cam_part.u == pytest.approx(0.05, rel=1e-5)
    assert found.events[SPILL].left.u == pytest.approx(0.1, rel=1e-5)


def test_settings_that_disagree_on_the_cam_are_a_doubt_of_the_whole() -> None:
    """Offsets 0.6 deg apart, anywhere between: 0.6 / sqrt(12)."""
    curve = CamCurve.from_table(TABLE)
    flanks = {event: flank for event, lift in LIFT.items() if (flank := curve.flank_at(lift)) is not None}
    reader = Reader(plunger_mm=0.0, lift_scatter_mm=0.0, scale_deg=0.0, angle_scatter_deg=0.0)
    angles = {SUCTION: flanks[SUCTION].start_deg - 0.1, SPILL: flanks[SPILL].start_deg + 0.5}
    found = hold_against(TABLE, TABLE, survey(TABLE, TABLE), flanks, angles, reader)
    assert found is not None
    assert found.cam_part is not None
    assert found.cam_part.value == pytest.approx(-0.2, abs=1e-6)
    assert found.cam_part.u == pytest.approx(0.6 / 12.0**0.5, rel=1e-4)


def test_wear_between_two_rows_by_hand() -> None:
    """A cam of 2 mm/deg, 3 deg late; 0.1 and 0.3 mm are missing at 22.5 and 25 deg, so 0.08 mm/deg more between them.

    The event at 40 mm comes at 23 deg and L later: 2 L = 0.1 + 0.08 (0.5 + L), so L = 0.07 / 0.96 deg.
    """
    table = [(float(angle), 2.0 * angle) for angle in range(0, 41, 5)]
    missing = {22.5: 0.1, 25.0: 0.3}
    rows = [(2.5 * j, 2.0 * (2.5 * j - 3.0) - missing.get(2.5 * j, 0.0)) for j in range(2, 18)]
    flank = CamCurve.from_table(table).flank_at(40.0)
    assert flank is not None
    reader = Reader(plunger_mm=0.0, lift_scatter_mm=0.02, scale_deg=0.0, angle_scatter_deg=0.0)
    found = hold_against(table, rows, survey(table, rows), {SPILL: flank}, {SPILL: 20.4}, reader)
    assert found is not None
    at, later = found.events[SPILL], 0.07 / 0.96
    assert found.phase.value == pytest.approx(3.0, abs=1e-6)
    assert at.later_deg == pytest.approx(later, abs=1e-5)
    assert at.left.value == pytest.approx(-2.0 * later, abs=2e-5)
    assert at.cam_part.value == pytest.approx(3.0 - 0.4 + later, abs=2e-5)
    assert at.cam_part.u == pytest.approx(0.02 / 2.0)
    assert at.left.u == pytest.approx(0.02, rel=1e-3)


@pytest.mark.parametrize(("turned", "raised"), [(0.0, 0.0), (100.0, 0.0), (0.0, 0.5)])
def test_only_level_rows_on_the_base_circle_tell_its_zero(turned: float, raised: float) -> None:
    """0.2 mm too much there, 0.5 mm too little on the top; what 0.2 mm is worth in angle is told by the flank's slopes.

    Wherever the table's angles begin, and where its base circle is not quite 0.
    """
    lifts = [raised, raised, raised, 20.0, 40.0, 60.0, 60.0, 60.0]
    table = [(turned - 20.0 + 10.0 * j, lift) for j, lift in enumerate(lifts)]
    curve = PchipInterpolator(*zip(*table, strict=True))
    base = [(turned + at, raised + 0.2) for at in (-18.0, -15.0, -12.0, -5.0)]
    flank_rows = [(turned + at, float(curve(turned + at))) for at in (6.0, 9.0, 12.0, 15.0, 18.0, 21.0, 24.0)]
    top = [(turned + at, 59.5) for at in (42.0, 45.0, 48.0)]
    rows = [*base, *flank_rows, *top]
    flank = CamCurve.from_table(table).flank_at(30.0)
    assert flank is not None
    reader = Reader(plunger_mm=0.03, lift_scatter_mm=0.08, scale_deg=0.0, angle_scatter_deg=0.0)
    found = hold_against(table, rows, survey(table, rows), {SPILL: flank}, {SPILL: flank.start_deg}, reader)
    assert found is not None
    assert found.zero is not None
    assert found.zero.value == pytest.approx(0.2, abs=1e-3)
    assert found.zero.u == pytest.approx((0.03**2 + 0.08**2 / 4.0) ** 0.5)
    slopes = [float(curve.derivative()(at)) for at, _ in flank_rows]
    assert found.zero_deg == pytest.approx(0.2 * sum(slopes) / sum(each**2 for each in slopes), rel=1e-2)


def test_no_row_on_the_base_circle_tells_no_zero() -> None:
    table = [(0.0, 0.0), (10.0, 20.0), (20.0, 40.0)]
    rows = [(2.0, 4.0), (8.0, 16.0), (14.0, 28.0)]
    found = hold_against(table, rows, survey(table, rows), {}, {}, READER)
    assert found is not None
    assert (found.zero, found.zero_deg, found.cam_part) == (None, 0.0, None)


def test_a_reading_of_an_event_without_settings_is_held_against_nothing() -> None:
    found = held()
    beside = set_beside(found, {"another": Estimate(9.0, 0.05, 0.04)}, None, T)
    assert (beside.says, dict(beside.apart)) == ("unknown", {})


def test_the_whole_cam_is_compared_where_nothing_is_worn() -> None:
    sound, worn = held(), held(dent(SPILL, 0.6))
    whole = Estimate(0.1, 0.05, 0.04)
    apart = set_beside(sound, {}, whole, T).apart["whole"]
    assert sound.cam_part is not None
    assert apart.value == pytest.approx(0.1 - sound.cam_part.value)
    assert apart.u == pytest.approx((0.04**2 + sound.cam_part.u**2) ** 0.5)
    assert "whole" not in set_beside(worn, {}, whole, T).apart
    beside = set_beside(worn, {SPILL: worn.events[SPILL].cam_part}, whole, T)
    assert (beside.says, beside.worn, beside.high) == ("wear", (SPILL,), ())


def test_one_event_that_contradicts_is_enough_and_a_trace_of_excess_is_none() -> None:
    found = held(lambda _: 0.01)
    near, far = Estimate(0.0, 0.05, 0.04), Estimate(1.5, 0.05, 0.04)
    for suction, spill in ((near, far), (far, near)):
        beside = set_beside(found, {SUCTION: suction, SPILL: spill}, None, T)
        assert (beside.says, beside.high, beside.worn) == ("contradicts", (), ())


@pytest.mark.parametrize(("away", "known"), [(4.9, True), (5.1, False)])
@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_rows_on_both_sides_within_five_degrees_tell_of_an_event(away: float, side: float, known: bool) -> None:
    table = [(float(angle), 2.0 * angle) for angle in range(0, 41, 5)]
    rows = [(angle, 2.0 * angle) for angle in sorted((5.0, 35.0, 20.0 + side * away, 20.0 - side * 1.0))]
    flank = CamCurve.from_table(table).flank_at(40.0)
    assert flank is not None
    found = hold_against(table, rows, survey(table, rows), {SPILL: flank}, {SPILL: 20.0}, READER)
    assert found is not None
    assert (SPILL in found.events) is known
