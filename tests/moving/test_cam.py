"""The model's cam: its law, its table, its flank as the calculator sees it, and wear."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.moving import cam
from calc.pump.cam import CamCurve
from tests.pump.forward import Cycloid

angles = st.integers(-50_000, 50_000)
wears = st.integers(0, cam.WEAR_STEPS)
SHOWN_MM = 0.01


@given(angles)
def test_the_table_is_the_law_to_a_hundredth_of_the_last_shown_digit(angle: int) -> None:
    assert cam.lift(angle) / cam.PER_MM == pytest.approx(cam.lift_law_mm(angle / cam.PER_DEG), abs=0.012 * SHOWN_MM)


@given(angles, wears)
def test_a_turn_later_the_cam_stands_as_before(angle: int, wear: int) -> None:
    assert cam.lift(angle, wear) == cam.lift(angle + cam.PER_TURN, wear)


@given(st.integers(*cam.RISING), wears)
def test_the_rise_is_that_of_an_independent_cycloid(angle: int, wear: int) -> None:
    law = Cycloid(peak_mm=cam.PEAK_MM, span_deg=cam.RISE_DEG, foot_deg=cam.FOOT_DEG)
    worn = cam.WEAR_STEP_MM * wear * cam.wear_law(angle / cam.PER_DEG)
    assert cam.lift(angle, wear) / cam.PER_MM == pytest.approx(float(law.lift_at(angle / cam.PER_DEG)) - worn, abs=2e-3 * 0.5)


def test_the_plunger_rises_stands_falls_and_stands() -> None:
    """Over a whole turn, in every hundredth of a degree and at any wear: never down on the rise, never up on the fall."""
    for wear in (0, cam.WEAR_STEPS):
        for angle in range(-18_000, 18_000):
            step = cam.lift(angle + 1, wear) - cam.lift(angle, wear)
            if cam.is_rising(angle):
                assert step >= 0
            elif cam.is_falling(angle):
                assert step <= 0
            else:
                # The last row on either side is straight up to the next.
                assert abs(step) <= 2
    assert max(cam.LIFTS) == 400_000
    assert min(cam.LIFTS) == 0


@given(st.integers(1, 40 * cam.PER_MM), wears)
def test_a_lift_and_its_angle_belong_together(lift: int, wear: int) -> None:
    angle = cam.angle_of(lift, wear)
    assert cam.lift(angle - 1, wear) <= lift <= cam.lift(angle + 1, wear)


def test_what_the_plunger_never_reaches_has_no_angle() -> None:
    with pytest.raises(ValueError, match="never reaches"):
        cam.angle_of(40 * cam.PER_MM + 1)


@given(st.integers(2 * cam.PER_MM, 38 * cam.PER_MM), st.integers(2 * cam.PER_MM, 38 * cam.PER_MM))
def test_the_calculator_travels_along_a_lift_table_as_the_model_does(from_lift: int, to_lift: int) -> None:
    curve = CamCurve.from_table([(float(angle), cam.lift_law_mm(float(angle))) for angle in range(-30, 42)])
    flank = curve.flank_at(from_lift / cam.PER_MM)
    assert flank is not None
    travel = flank.travel((to_lift - from_lift) / cam.PER_MM)
    assert travel == pytest.approx((cam.angle_of(to_lift) - cam.angle_of(from_lift)) / cam.PER_DEG, abs=0.015)


@given(st.integers(*cam.RISING), st.integers(0, cam.WEAR_STEPS - 1))
def test_wear_lowers_the_flank_and_never_the_peak(angle: int, wear: int) -> None:
    assert cam.lift(angle, wear + 1) <= cam.lift(angle, wear)
    assert cam.lift(6000, wear) == 40 * cam.PER_MM
    assert cam.lift(-10_000, wear) == 0
