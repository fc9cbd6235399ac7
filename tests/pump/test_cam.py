"""The cam's flank: slopes and travels against the exact inversion of a cycloidal cam."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.pump.cam import CamCurve, Flank, secant_doubt, secant_slope
from tests.published import load
from tests.pump.forward import Cycloid

PUMP = load("cycloidal-pump")
CAM = Cycloid(PUMP["peak_mm"], PUMP["span_deg"], PUMP["foot_deg"])
FINE = CamCurve.from_table(CAM.table(0.25))
EVENTS = ["suction", "spill"]


def flank_of(curve: CamCurve, lift_mm: float) -> Flank:
    found = curve.flank_at(lift_mm)
    assert found is not None
    return found


@pytest.mark.parametrize("event", EVENTS)
def test_a_fine_table_gives_the_exact_angle_and_slope(event: str) -> None:
    given_, flank = PUMP[event], flank_of(FINE, PUMP[event]["lift_mm"])
    assert FINE.angle_at(given_["lift_mm"]) == pytest.approx(given_["angle_deg"], abs=1e-5)
    assert FINE.slope_at(given_["lift_mm"]) == pytest.approx(given_["slope_mm_per_deg"], abs=2e-4)
    assert flank.slope == FINE.slope_at(given_["lift_mm"])
    assert not flank.is_secant


def test_delivery_angle_of_the_invented_pump() -> None:
    suction, spill = (PUMP[event]["lift_mm"] for event in EVENTS)
    assert FINE.angle_at(spill) - FINE.angle_at(suction) == pytest.approx(PUMP["delivery_deg"], abs=1e-5)
    assert flank_of(FINE, suction).travel(PUMP["stroke_mm"]) == pytest.approx(PUMP["delivery_deg"], abs=1e-5)


def test_half_a_degree_earlier() -> None:
    """The lift that half a degree is worth, along the curve and along its tangent."""
    earlier = PUMP["half_degree_earlier"]
    flank = flank_of(FINE, PUMP["suction"]["lift_mm"])
    assert flank.travel(earlier["exact_mm"]) == pytest.approx(-0.5, abs=1e-5)
    assert earlier["linear_mm"] / flank.slope == pytest.approx(-0.5, abs=1e-4)


@pytest.mark.parametrize("event", EVENTS)
@pytest.mark.parametrize("error", [-2.0, -1.0, -0.1, 1e-6, 1.0, 2.0])
def test_every_travel_follows_the_cam_and_not_its_tangent(event: str, error: float) -> None:
    lift = PUMP[event]["lift_mm"]
    exact = CAM.angle_at(lift + error) - CAM.angle_at(lift)
    assert flank_of(FINE, lift).travel(error) == pytest.approx(exact, abs=2e-5)


@pytest.mark.parametrize("step", [5, 2])
def test_a_coarse_table_errs_as_much_as_scipy_says(step: int) -> None:
    expected = PUMP["table"][str(step)]
    curve = CamCurve.from_table(CAM.table(step))
    angles = [PUMP["foot_deg"] + 0.01 * i for i in range(100 * int(PUMP["span_deg"]) + 1)]
    worst = max(abs(curve.rise.value(angle) - float(CAM.lift_at(angle))) for angle in angles[::7])
    assert worst == pytest.approx(expected["largest_lift_error_mm"], abs=1e-4)
    for event in EVENTS:
        if (error := expected.get(f"angle_error_{event}_deg")) is not None:
            assert curve.angle_at(PUMP[event]["lift_mm"]) - PUMP[event]["angle_deg"] == pytest.approx(error, abs=5e-5)


def test_secant() -> None:
    assert secant_slope(9.0, -6.0, 27.0, 3.0) == 2.0
    assert Flank(9.0, 2.0).is_secant
    assert Flank(9.0, 2.0).travel(-0.5) == -0.25
    assert secant_doubt(-0.25) == secant_doubt(0.25) == 0.0375


def test_all_rows_shape_the_curve_and_only_the_rise_is_used() -> None:
    rows = [*CAM.table(5), (35.0, 59.0), (40.0, 50.0)]
    curve = CamCurve.from_table(rows)
    assert curve.highest_mm == 60.0
    assert curve.rise.x[-1] == 30.0
    # The row behind the peak makes the slope at the peak 0, where the end formula alone would not have to.
    assert curve.rise.slopes[-1] == 0.0


def test_a_level_top_is_reached_at_its_first_angle() -> None:
    curve = CamCurve.from_table([(0, 0), (1, 4), (2, 9), (3, 9), (4, 1)])
    assert curve.angle_at(9) == 2
    assert curve.flank_at(9) is None


@pytest.mark.parametrize(
    ("rows", "lift", "usable"),
    [
        ([(0, 1), (2, 9)], 5, True),
        ([(0, 1), (1, 4), (2, 9)], 1, True),
        ([(0, 1), (1, 4), (2, 9)], 0.999, False),
        ([(0, 1), (1, 4), (2, 9)], 9, True),
        ([(0, 1), (1, 4), (2, 9)], 9.001, False),
        # Level at the reference lift: no slope, so no travel.
        ([(0, 1), (1, 4), (2, 4), (3, 9)], 4, False),
        ([(0, 1), (1, 1), (2, 4), (3, 9)], 1, False),
        ([(0, 9), (1, 4), (2, 1)], 9, False),
        ([(0, 9), (1, 4), (2, 1)], 5, False),
    ],
)
def test_where_a_table_gives_a_flank(rows: list[tuple[float, float]], lift: float, usable: bool) -> None:
    assert (CamCurve.from_table(rows).flank_at(lift) is not None) is usable


def test_beyond_the_table_the_flank_goes_on_straight() -> None:
    curve = CamCurve.from_table([(0, 1), (1, 4), (2, 9), (3, 15)])
    flank = flank_of(curve, 9)
    end = curve.angle_at(15) - curve.angle_at(9)
    assert flank.travel(6.0) == pytest.approx(end)
    assert flank.travel(8.0) == pytest.approx(end + 2.0 / flank.slope)
    start = curve.angle_at(1) - curve.angle_at(9)
    assert flank.travel(-10.0) == pytest.approx(start - 2.0 / flank.slope)
    assert not flank.leaves_table(6.0)
    assert flank.leaves_table(6.001)
    assert not flank.leaves_table(-8.0)
    assert flank.leaves_table(-8.001)
    assert not Flank(9, 2.0).leaves_table(1e6)


@given(st.floats(2.0, 58.0), st.floats(-1.0, 1.0))
def test_travel_follows_the_exact_curve(lift: float, error: float) -> None:
    flank = flank_of(FINE, lift)
    expected = float(CAM.angle_at(lift + error) - CAM.angle_at(lift))
    assert flank.travel(error) == pytest.approx(expected, abs=2e-4)


@given(st.floats(2.0, 58.0), st.floats(-1.0, 1.0))
def test_travel_has_the_sign_of_the_error_and_undoes_itself(lift: float, error: float) -> None:
    there = flank_of(FINE, lift).travel(error)
    back = flank_of(FINE, lift + error).travel(-error)
    assert there == pytest.approx(-back, abs=1e-9)
    assert there * error >= 0.0
