"""Valve ratio and cam slope from two points: on the simulated pump, by hand, and against another implementation."""

from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from calc.measure.gum import Term
from calc.measure.pool import Repeatability
from calc.pump.measured import Measured, cam_slope, valve_ratio
from tests.pump.forward import SPILL, SUCTION, Cycloid
from tests.pump.test_trial import pump

CAM = Cycloid(44.0, 83.0, -52.5)


@pytest.mark.parametrize("event", [SUCTION, SPILL])
@given(st.floats(0.2, 3.0), st.floats(0.2, 2.0))
def test_the_pumps_ratio_is_found(event: str, ratio: float, apart: float) -> None:
    """Both points on the open side of the event."""
    unit = pump(ratio=ratio)
    side = 1.0 if event == SPILL else -1.0
    lifts = [unit.contact_mm(event) + side * away for away in (0.1, 0.1 + apart)]
    valves = [unit.valve_mm(event, lift) for lift in lifts]
    assert valve_ratio(([lifts[0]], [lifts[1]]), ([valves[0]], [valves[1]]), 0.01, 0.005).value == pytest.approx(ratio)


@given(st.floats(-30.0, 0.0), st.floats(0.1, 1.0))
def test_the_cams_slope_is_found(angle: float, apart: float) -> None:
    """Between two near points it is the slope of the formula half-way."""
    angles = [angle - 0.5 * apart, angle + 0.5 * apart]
    lifts = [float(CAM.lift_at(each)) for each in angles]
    found = cam_slope(([lifts[0]], [lifts[1]]), ([angles[0]], [angles[1]]), 0.01, 0.03)
    assert found.value == pytest.approx(float(CAM.slope_at(angle)), rel=2e-3)


def test_ratio_by_hand() -> None:
    """1 mm of plunger moves the valve 0.8 mm. u_v 0.004 makes 0.004; u_p 0.005 makes 0.8 x 0.005 = 0.004. Together 0.00566."""
    found = valve_ratio(([12.0], [11.0]), ([0.03], [0.83]), 0.005, 0.004)
    assert found.value == pytest.approx(0.8)
    assert found.u == pytest.approx(0.004 * sqrt(2.0))
    assert found.dof == inf
    assert found.half_width == pytest.approx(1.959964 * 0.004 * sqrt(2.0), rel=1e-6)


def test_slope_by_hand() -> None:
    """1.2 mm in 0.8 deg: 1.5 mm/deg. u_p 0.012/0.8 = 0.015. Scale 0.01 twice: 1.5 x 0.01 sqrt(2) / 0.8 = 0.0265."""
    found = cam_slope(([11.4], [12.6]), ([-5.0], [-4.2]), 0.012, 0.01)
    assert found.value == pytest.approx(1.5)
    assert found.u == pytest.approx(sqrt(0.015**2 + (0.015 * sqrt(2.0) / 0.8) ** 2))


def test_repeats_count_at_each_point_by_their_number() -> None:
    """s 0.03, four readings at one point and one at the other: 0.03 sqrt(1/4 + 1) = 0.0335 of angle."""
    scatter = Repeatability(0.03, 3)
    found = cam_slope(([11.4] * 4, [12.6]), ([-5.0] * 4, [-4.0]), 0.0, 0.0, angle_scatter=scatter)
    assert found.u == pytest.approx(1.2 * 0.03 * sqrt(1.25))
    assert found.dof == 3.0


def test_doubts_equal_those_of_another_implementation() -> None:
    """Linear propagation by the package `uncertainties`, repeats included."""
    lift, valve = ufloat(0.9, sqrt(0.006**2 + 0.002**2 * (1 / 2 + 1))), ufloat(0.63, sqrt(0.003**2 + 0.001**2 * (1 / 2 + 1)))
    expected = valve / lift
    found = valve_ratio(
        ([10.0, 10.0], [10.9]), ([0.7, 0.7], [0.07]), 0.006, 0.003, Repeatability(0.002, 5), Repeatability(0.001, 5)
    )
    assert found.value == pytest.approx(expected.nominal_value)
    assert found.u == pytest.approx(expected.std_dev, rel=1e-9)


def test_slope_doubt_is_the_spread_of_many_measurements() -> None:
    """A Monte Carlo of the two points: gauge errors within a limit, a scale read to a step from any phase."""
    chance = np.random.default_rng(20261125)
    count, limit, step = 200_000, 0.012, 0.1
    error = chance.uniform(-limit, limit, count)
    phase = chance.uniform(0.0, step, count)
    drift = chance.uniform(0.0, step, count)  # the second point lies anywhere on the scale
    angles = [-5.0 + np.zeros(count), -3.4 + drift]
    shown = [step * np.round((angle + phase) / step) - phase for angle in angles]
    slopes = 1.5 * (angles[1] - angles[0]) + error
    spread = float(np.std(slopes / (shown[1] - shown[0])))
    turn = float(np.mean(angles[1] - angles[0]))
    claimed = cam_slope(([0.0], [1.5 * turn]), ([0.0], [turn]), limit / sqrt(3.0), step / sqrt(12.0)).u
    assert spread == pytest.approx(claimed, rel=0.05)


def test_agreement_counts_both_doubts() -> None:
    """0.05 alone covers 0.098; with another 0.05 beside it 0.139."""
    found = Measured(1.6, (Term("scale", 0.05),))
    assert found.agrees_with(1.697)
    assert not found.agrees_with(1.699)
    assert found.agrees_with(1.738, 0.05)
    assert not found.agrees_with(1.740, 0.05)


def test_repeats_of_the_lift_count_by_the_turn_between_the_points() -> None:
    """s 0.02 at each point, 0.8 deg apart: 0.02 sqrt(2) / 0.8 of slope."""
    found = cam_slope(([11.4], [12.6]), ([-5.0], [-4.2]), 0.0, 0.0, plunger_scatter=Repeatability(0.02, 4))
    assert found.u == pytest.approx(0.02 * sqrt(2.0) / 0.8)


def test_two_values_that_are_the_same_agree_without_any_doubt() -> None:
    assert Measured(1.6, ()).agrees_with(1.6)
    assert not Measured(1.6, ()).agrees_with(1.6000001)
