"""The change-over against an ODE solver and its closed forms."""

from math import exp
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from calc.fuel.viscosity import ViscosityLine
from calc.plan import change_over as plan
from tests.published import half_digit, load

DATA = load("change-over")


@pytest.mark.parametrize("row", DATA["dilution"], ids=lambda row: str(row["start"]))
def test_hours_and_an_ode_solver(row: dict[str, Any]) -> None:
    volumes = plan.volumes_to_reach(row["start"], row["feed"], row["target"])
    assert volumes is not None
    hours = volumes * row["volume"] / row["flow"]
    assert hours == pytest.approx(row["hours"], rel=1e-13)
    rate = row["flow"] / row["volume"]
    solved = solve_ivp(lambda _, c: [rate * (row["feed"] - c[0])], (0.0, hours), [row["start"]], rtol=1e-11, atol=1e-13)
    assert solved.y[0, -1] == pytest.approx(row["target"], abs=1e-9)


@pytest.mark.parametrize(("volumes", "percent"), DATA["left_percent"])
def test_what_is_left(volumes: float, percent: str) -> None:
    assert plan.mixed(100.0, 0.0, volumes) == pytest.approx(float(percent), abs=half_digit(percent))


def test_temperature() -> None:
    case = DATA["cooling"]
    places = (case["volume"], case["flow"], case["start"], case["feed"])
    assert plan.steepest_c_per_min(*places) == pytest.approx(case["steepest"], rel=1e-15)
    assert plan.least_minutes(case["start"], case["feed"], case["limit"]) == case["minutes"]
    flow = plan.largest_flow_m3_h(case["volume"], case["start"], case["feed"], case["limit"])
    assert flow is not None
    assert flow / case["volume"] == pytest.approx(case["largest_per_volume"], abs=5e-6)
    assert plan.steepest_c_per_min(case["volume"], flow, case["start"], case["feed"]) == pytest.approx(case["limit"])


def test_heating_is_as_fast_as_cooling() -> None:
    assert plan.steepest_c_per_min(8.0, 1.5, 40.0, 130.0) == plan.steepest_c_per_min(8.0, 1.5, 130.0, 40.0)
    assert plan.least_minutes(40.0, 130.0, 2.0) == 45.0
    assert plan.largest_flow_m3_h(8.0, 40.0, 40.0, 2.0) is None


@pytest.mark.parametrize(
    ("start", "feed", "target", "volumes"),
    [
        (0.5, 0.1, 0.5, 0.0),
        (0.5, 0.5, 0.5, 0.0),
        (0.5, 0.1, 0.1, None),
        (0.5, 0.1, 0.05, None),
        (0.5, 0.1, 0.6, None),
        (0.5, 0.5, 0.4, None),
        (0.1, 0.5, 0.05, None),
        (0.0, 1.0, 1.0 - exp(-1.0), 1.0),
    ],
)
def test_targets_on_both_sides(start: float, feed: float, target: float, volumes: float | None) -> None:
    assert plan.volumes_to_reach(start, feed, target) == (None if volumes is None else pytest.approx(volumes))


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6), st.floats(0.01, 30.0))
def test_there_and_back(start: float, feed: float, volumes: float) -> None:
    """The time to reach what the mixture has after some volumes is that number of volumes."""
    target = plan.mixed(start, feed, volumes)
    found = plan.volumes_to_reach(start, feed, target)
    if abs(start - feed) * exp(-volumes) > 1e-6 * max(abs(start), abs(feed), 1e-9):
        assert found == pytest.approx(volumes, abs=1e-8)


def test_a_moment_agrees_with_what_flows_in_at_both_ends() -> None:
    heavy = ViscosityLine.through((50.0, 380.0), (100.0, 35.0))
    light = ViscosityLine.through((20.0, 5.4), (40.0, 3.3))
    old, new = plan.Fuel(130.0, 0.5, heavy), plan.Fuel(40.0, 0.08, light)
    first, *_, last = plan.timetable(old, new, 8.0, 1.5, [0.0, 5.0, 4000.0])
    assert (first.old_percent, first.temperature_c, first.sulphur_percent) == (100.0, 130.0, 0.5)
    assert first.viscosity_mm2_s == heavy.at(130.0)
    assert (last.temperature_c, last.sulphur_percent, last.viscosity_mm2_s) == (40.0, 0.08, light.at(40.0))


def test_what_is_not_known_stays_unknown() -> None:
    found = plan.moment(plan.Fuel(130.0), plan.Fuel(None, 0.1), 8.0, 1.5, 1.0)
    assert (found.temperature_c, found.sulphur_percent, found.viscosity_mm2_s) == (None, None, None)
    assert found.old_percent == pytest.approx(100.0 * exp(-1.5 / 8.0))
    light = ViscosityLine.through((20.0, 5.4), (40.0, 3.3))
    for old, new in (
        ((130.0, None, None), (40.0, None, light)),
        ((130.0, None, light), (40.0,)),
        ((130.0, None, light), (None, None, light)),
    ):
        assert plan.moment(plan.Fuel(*old), plan.Fuel(*new), 8.0, 1.5, 1.0).viscosity_mm2_s is None
