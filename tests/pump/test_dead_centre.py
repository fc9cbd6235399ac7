"""Top dead centre by equal heights, against the exact slider crank."""

from math import cos, radians, sin, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.pump.dead_centre import find_dead_centre
from tests.published import load

DATA = load("dead-centre")
CRANK, ROD = DATA["crank_mm"], DATA["rod_mm"]


def drop(angle: float) -> float:
    """Piston below TDC at a crank angle [mm]."""
    t = radians(angle)
    return float(CRANK * (1.0 - cos(t)) + ROD - sqrt(ROD**2 - (CRANK * sin(t)) ** 2))


def angle_of(height: float) -> float:
    return float(brentq(lambda angle: drop(angle) - height, 0.0, 179.0, xtol=1e-13))


def test_the_model_behind_these_tests() -> None:
    assert angle_of(150.0) == pytest.approx(DATA["drop_150_deg"], abs=1e-9)
    for angle, height in DATA["drop_at"]:
        assert drop(angle) == pytest.approx(height, abs=6e-7)


def test_the_offset_of_a_scale_is_found() -> None:
    case = DATA["offset"]
    assert find_dead_centre([tuple(case["pair"])]).tdc_deg == pytest.approx(case["scale"], abs=1e-12)


def test_an_error_in_height_moves_it_little() -> None:
    case = DATA["height_error"]
    pair = (-angle_of(150.0), angle_of(150.0 + case["mm"]))
    assert find_dead_centre([pair]).tdc_deg == pytest.approx(case["moves_deg"], abs=6e-6)


def test_play_on_one_side_moves_it_by_half() -> None:
    pair = (-angle_of(150.0), angle_of(150.0) + 0.20)
    assert find_dead_centre([pair]).tdc_deg == pytest.approx(0.10)


@given(st.floats(-360, 360), st.lists(st.floats(50, 1500), min_size=1, max_size=6))
def test_any_scale_and_any_heights(offset: float, heights: list[float]) -> None:
    """Wherever the scale's zero stands, also across 0/360, the mean of exact pairs is TDC and the spread is nothing."""
    pairs = [((offset - angle_of(h)) % 360.0, (offset + angle_of(h)) % 360.0) for h in heights]
    found = find_dead_centre(pairs)
    assert -180.0 <= found.tdc_deg < 180.0
    apart = (found.tdc_deg - offset + 180.0) % 360.0 - 180.0
    assert apart == pytest.approx(0.0, abs=1e-9)
    assert found.spread_deg == pytest.approx(0.0, abs=1e-9)


def test_mean_and_scatter() -> None:
    """Midpoints 0.3, 0.5, 0.4: mean 0.4, s = 0.1, u = 0.1 / sqrt(3)."""
    found = find_dead_centre([(-20.0, 20.6), (-30.0, 31.0), (-25.0, 25.8)])
    assert found.tdc_deg == pytest.approx(0.4)
    assert found.u_deg == pytest.approx(0.1 / sqrt(3.0))
    assert found.spread_deg == pytest.approx(0.2)
    # Two pairs, midpoints 0.3 and 0.5: s = 0.1 sqrt(2), u = 0.1.
    assert find_dead_centre([(-20.0, 20.6), (-30.0, 31.0)]).u_deg == pytest.approx(0.1)
    assert find_dead_centre([(-20.0, 20.6)]).u_deg is None


def test_a_scale_from_0_to_360_has_no_plain_mean() -> None:
    assert find_dead_centre([(335.9837, 24.7563), (330.0, 30.74)]).tdc_deg == pytest.approx(0.37)
