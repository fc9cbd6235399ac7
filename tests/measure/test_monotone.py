"""The monotone cubic against scipy, and its inverse."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from calc.measure.monotone import MonotoneCubic, fritsch_butland_slopes
from tests.published import load

SETS = load("pchip")["sets"]


@pytest.mark.parametrize("points", list(SETS.values()), ids=list(SETS))
def test_listed_values(points: dict[str, Any]) -> None:
    """Slopes, values, derivative and inverse of the listed sets, and scipy's own slopes."""
    x, y = points["x"], points["y"]
    assert fritsch_butland_slopes(x, y) == pytest.approx(points["slopes"], abs=1e-14)
    assert PchipInterpolator(x, y).derivative()(x).tolist() == pytest.approx(points["slopes"], abs=1e-14)
    curve = MonotoneCubic.through(x, y)
    assert [curve.value(at) for at, _ in points["values"]] == pytest.approx([value for _, value in points["values"]], abs=1e-13)
    assert [curve.slope(at) for at, _ in points["slopes_at"]] == pytest.approx([k for _, k in points["slopes_at"]], abs=1e-13)
    assert [curve.inverse(level) for level, _ in points["inverse"]] == pytest.approx(
        [at for _, at in points["inverse"]], abs=1e-12
    )


def random_rise(seed: int) -> tuple[list[float], list[float]]:
    """Points that never fall, some steps level, some very uneven."""
    chance = np.random.default_rng(seed)
    count = int(chance.integers(2, 40))
    x = np.cumsum(chance.uniform(0.05, 5.0, count)) - 60.0
    y = np.cumsum(chance.exponential(1.0, count) * chance.choice([0.0, 0.01, 1.0, 5.0], count))
    return x.tolist(), y.tolist()


@pytest.mark.parametrize("seed", range(60))
def test_scipy_agrees_on_random_points(seed: int) -> None:
    x, y = random_rise(seed)
    ours, theirs = MonotoneCubic.through(x, y), PchipInterpolator(x, y)
    derivative = theirs.derivative()
    size = max(y[-1], 1.0)
    for at in np.linspace(x[0], x[-1], 101):
        assert ours.value(at) == pytest.approx(float(theirs(at)), abs=1e-12 * size)
        assert ours.slope(at) == pytest.approx(float(derivative(at)), abs=1e-10 * size)
    for level in np.linspace(y[0], y[-1], 23)[1:-1]:
        found = ours.inverse(level)
        assert float(theirs(found)) == pytest.approx(level, abs=1e-10 * size)
        # The first place that reaches it: just before, the curve is below.
        assert x[0] <= found <= x[-1]
        i = int(np.searchsorted(y, level))
        expected = brentq(lambda at, level=level: float(theirs(at)) - level, x[i - 1], x[i], xtol=1e-13)
        if float(derivative(expected)) > 1e-3:
            assert found == pytest.approx(expected, abs=1e-9)


@given(st.integers(0, 10_000), st.floats(0, 1))
def test_inverse_undoes_value(seed: int, share: float) -> None:
    x, y = random_rise(seed)
    curve = MonotoneCubic.through(x, y)
    level = y[0] + share * (y[-1] - y[0])
    assert curve.value(curve.inverse(level)) == pytest.approx(level, abs=1e-9 * max(y[-1], 1.0))


@given(st.integers(0, 10_000), st.floats(0, 1), st.floats(0, 1))
def test_the_curve_never_falls_where_its_points_do_not(seed: int, one: float, other: float) -> None:
    x, y = random_rise(seed)
    curve = MonotoneCubic.through(x, y)
    low, high = sorted(x[0] + share * (x[-1] - x[0]) for share in (one, other))
    assert curve.value(low) <= curve.value(high) + 1e-12 * max(y[-1], 1.0)


def test_inverse_takes_the_first_angle_of_a_level_stretch() -> None:
    curve = MonotoneCubic.through([0, 1, 2, 3, 4], [0, 2, 2, 2, 5])
    assert curve.inverse(2) == 1
    assert curve.inverse(0) == 0
    assert curve.inverse(5) == 4


@pytest.mark.parametrize("level", [-0.001, 5.001])
def test_inverse_refuses_what_the_curve_never_reaches(level: float) -> None:
    curve = MonotoneCubic.through([0, 1, 4], [0, 2, 5])
    with pytest.raises(ValueError, match="runs from 0 to 5 and never reaches"):
        curve.inverse(level)


def test_two_points_are_a_straight_line() -> None:
    curve = MonotoneCubic.through([1, 3], [10, 14])
    assert curve.slopes == (2.0, 2.0)
    assert curve.value(2) == 12
    assert curve.inverse(13) == 2.5


def test_a_cut_keeps_the_slopes_of_the_whole() -> None:
    x, y = SETS["A"]["x"], SETS["A"]["y"]
    whole = MonotoneCubic.through(x, y)
    part = whole.up_to(3)
    assert part.x == tuple(x[:4])
    assert part.slopes == whole.slopes[:4]
    assert part.value(3) == whole.value(3)


def test_beyond_its_points_the_last_cubic_goes_on() -> None:
    curve = MonotoneCubic.through(SETS["B"]["x"], SETS["B"]["y"])
    scipy_curve = PchipInterpolator(SETS["B"]["x"], SETS["B"]["y"], extrapolate=True)
    for at in (-11.0, 9.5):
        assert curve.value(at) == pytest.approx(float(scipy_curve(at)), abs=1e-12)


@pytest.mark.parametrize("seed", range(40))
def test_slopes_agree_with_scipy_where_points_rise_and_fall(seed: int) -> None:
    """Turning points and both rules for the ends."""
    chance = np.random.default_rng(seed)
    x = np.cumsum(chance.uniform(0.2, 3.0, 6)).tolist()
    y = chance.normal(0.0, 1.0, 6).tolist()
    expected = PchipInterpolator(x, y).derivative()(x).tolist()
    assert fritsch_butland_slopes(x, y) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("next_rise", [-4.0, -6.5, -7.0, -9.0, -11.0, -30.0])
def test_an_end_rises_at_most_three_times_as_steeply_as_its_chord(next_rise: float) -> None:
    x, y = [0.0, 1.0, 2.0, 3.0], [0.0, 1.0, 1.0 + next_rise, 0.0]
    found = fritsch_butland_slopes(x, y)
    assert found == pytest.approx(PchipInterpolator(x, y).derivative()(x).tolist(), abs=1e-12)
    assert found[0] <= 3.0
