"""What moves bring about: by hand, against the simulated pump, and as properties."""

from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.measure.gum import Term, combined
from calc.pump.cam import CamCurve, Flank
from calc.pump.correction import flats, spill_rod_change, suction_rod_change, turns, zero_index_opening_after
from calc.pump.what_if import Moves, Shift, deviation_after, doubt_after, rod_from_flats, shift_from
from tests.pump.forward import EVENTS, SPILL, SUCTION, Cycloid, Pump

CAM = Cycloid(44.0, 83.0, -52.5)
LIFT = {SUCTION: 9.4, SPILL: 27.3}
CURVE = CamCurve.from_table(CAM.table(0.25))
BOTH = pytest.mark.parametrize("opens", [True, False], ids=["lengthening opens", "lengthening closes"])
RODS, ERRORS, DEGREES = st.floats(-1.5, 1.5), st.floats(-1.5, 1.5), st.floats(-1.0, 1.0)


def pump(opens: bool = True, off: dict[str, float] | None = None, cam_deg: float = 0.0) -> Pump:
    return Pump(
        cam=CAM,
        reference_mm=LIFT,
        reference_deg={event: float(CAM.angle_at(LIFT[event])) for event in EVENTS},
        ratio={SUCTION: 0.65, SPILL: 0.85},
        seat_mm=0.05,
        w_mm=1.5,
        pitch_mm=1.75,
        opens=opens,
        off_mm=dict(off or dict.fromkeys(EVENTS, 0.0)),
        cam_deg=cam_deg,
    )


def test_worked_by_hand() -> None:
    """Ratios 0.8 and 0.5, pitch 1.5: 1 flat is 0.25 mm. Suction 2 flats shorter: -0.5 mm, start -0.5/0.8 = -0.625 mm.

    Spill 1 flat longer: +0.25 mm, end -0.25/0.5 = -0.5 mm. The stroke changes by -0.5 - (-0.625) = +0.125 mm. On a slope of
    1.25 mm/deg the start moves -0.5 deg, the cam adds +0.1: -0.4. The opening: 0.5 * (-0.625 + 0.5) = -0.0625 mm.
    """
    moves = Moves(rod_from_flats(-2.0, 1.5), rod_from_flats(1.0, 1.5), 0.1)
    assert (moves.suction_mm, moves.spill_mm) == (-0.5, 0.25)
    shift = shift_from(moves, 0.8, 0.5)
    assert (shift.start_mm, shift.end_mm) == (-0.625, -0.5)
    assert shift.stroke_mm == pytest.approx(0.125)
    assert deviation_after(0.7, 0.25, 0.2, shift.start_mm, shift.cam_deg, Flank(10.0, 1.25)) == pytest.approx(0.3)
    assert zero_index_opening_after(0.9, 0.5, shift.start_mm, shift.end_mm) == pytest.approx(0.8375)


def test_with_the_sense_turned_every_rod_acts_the_other_way() -> None:
    assert shift_from(Moves(-0.5, 0.25, 0.1), 0.8, 0.5, lengthening_opens=False) == Shift(0.625, 0.5, 0.1)


@BOTH
@given(RODS, RODS, DEGREES, ERRORS, ERRORS)
def test_the_simulated_pump_does_as_predicted(
    opens: bool, suction: float, spill: float, cam_deg: float, suction_off: float, spill_off: float
) -> None:
    """Read it, turn its rods and cam, read it again: lifts, angles and opening are the predicted ones."""
    unit = pump(opens, {SUCTION: suction_off, SPILL: spill_off})
    before = {event: unit.at_contact(event) for event in EVENTS}
    opening = unit.opening_at_index_0_mm()
    shift = shift_from(Moves(suction, spill, cam_deg), unit.ratio[SUCTION], unit.ratio[SPILL], opens)
    unit.rod_mm[SUCTION] += suction
    unit.rod_mm[SPILL] += spill
    unit.cam_deg += cam_deg
    for event, change in ((SUCTION, shift.start_mm), (SPILL, shift.end_mm)):
        lift, angle = before[event]
        flank = CURVE.flank_at(LIFT[event])
        assert flank is not None
        error = lift - LIFT[event]
        found = deviation_after(angle - unit.reference_deg[event], error, flank.travel(error), change, cam_deg, flank)
        after_lift, after_angle = unit.at_contact(event)
        assert lift + change == pytest.approx(after_lift, abs=1e-9)
        assert found == pytest.approx(after_angle - unit.reference_deg[event], abs=3e-4)  # the table is finer than that
    predicted = zero_index_opening_after(opening, unit.ratio[SPILL], shift.start_mm, shift.end_mm)
    assert unit.opening_at_index_0_mm() == pytest.approx(predicted, abs=1e-9)


@given(ERRORS, DEGREES)
def test_nothing_moved_is_as_read(error: float, deviation: float) -> None:
    flank = CURVE.flank_at(9.4)
    assert flank is not None
    assert shift_from(Moves(), 0.8, 0.8) == Shift(0.0, 0.0, 0.0)
    assert deviation_after(deviation, error, flank.travel(error), 0.0, 0.0, flank) == deviation


@BOTH
@given(ERRORS, ERRORS, st.floats(0.2, 3.0))
def test_the_exact_correction_takes_both_lift_errors_away(opens: bool, suction: float, spill: float, ratio: float) -> None:
    moves = Moves(suction_rod_change(suction, ratio, opens), spill_rod_change(spill, ratio, opens))
    shift = shift_from(moves, ratio, ratio, opens)
    assert shift.start_mm == pytest.approx(-suction, abs=1e-12)
    assert shift.end_mm == pytest.approx(-spill, abs=1e-12)


@given(RODS, RODS, DEGREES)
def test_moves_add_up_and_mirror(suction: float, spill: float, cam_deg: float) -> None:
    once = shift_from(Moves(suction, spill, cam_deg), 0.7, 0.9)
    twice = shift_from(Moves(2.0 * suction, 2.0 * spill, 2.0 * cam_deg), 0.7, 0.9)
    back = shift_from(Moves(-suction, -spill, -cam_deg), 0.7, 0.9)
    for name in ("start_mm", "end_mm", "cam_deg"):
        assert getattr(twice, name) == pytest.approx(2.0 * getattr(once, name))
        assert getattr(back, name) == -getattr(once, name)


@given(st.floats(-60.0, 60.0), st.floats(0.1, 5.0))
def test_flats_and_rod_length_are_each_others_inverse(turned: float, pitch: float) -> None:
    assert flats(turns(rod_from_flats(turned, pitch), pitch)) == pytest.approx(turned, abs=1e-9)


def test_a_steeper_cam_moves_the_angle_less() -> None:
    """Slopes along the table, worked out from the formula of the cam: the same rod, another angle."""
    low, high = (CURVE.flank_at(lift) for lift in (4.0, 22.0))
    assert low is not None
    assert high is not None
    steps = [deviation_after(0.0, 0.0, 0.0, 0.05, 0.0, flank) for flank in (low, high)]
    slopes = [float(CAM.slope_at(CAM.angle_at(lift + 0.025))) for lift in (4.0, 22.0)]
    assert steps == pytest.approx([0.05 / slope for slope in slopes], rel=1e-3)
    assert steps[0] > steps[1]


SECANT, READ = Flank(12.0, 1.5), (Term("scale", 0.03), Term("pointer", 0.04))


def test_a_move_keeps_the_doubt_of_the_reading_but_for_a_secants_slope() -> None:
    """At contact 0.05 and a move of 0.6 mm on 1.5 mm/deg: 0.4 deg, of which 15 % is 0.06. Together sqrt(0.05^2 + 0.06^2)."""
    unmoved = doubt_after(READ, SECANT, 0.3, 0.3, at_contact=True)
    assert unmoved == READ
    assert combined(doubt_after(READ, SECANT, 0.3, -0.1, at_contact=True)) == pytest.approx(hypot(0.05, 0.06))
    on_table = CURVE.flank_at(9.4)
    assert on_table is not None
    assert doubt_after(READ, on_table, 0.3, -0.1, at_contact=True) == READ


def test_at_reference_lift_the_whole_travel_rests_on_the_slope() -> None:
    """Read with 0.4 deg of travel, its slope line is 0.06. Moved back to the reference, nothing rests on the slope any more."""
    read = (*READ, Term("cam slope", 0.06))
    assert doubt_after(read, SECANT, 0.4, 0.4, at_contact=False) == read
    assert doubt_after(read, SECANT, 0.4, 0.0, at_contact=False) == READ


@given(st.floats(-0.9, 0.9), st.floats(-1.0, 1.0))
def test_a_move_on_a_secant_is_known_to_15_percent(travel: float, move: float) -> None:
    """The true travel of a move d is d (1 + 0.15 z); what it is off by at z = 1 is the line of the slope."""
    k = 1.5
    true_minus_claimed = abs(move / k * 1.15 - move / k)
    terms = doubt_after((), SECANT, travel, travel + move / k, at_contact=True)
    assert combined(terms) == pytest.approx(true_minus_claimed, abs=1e-9)
