"""Index of zero delivery and stroke over the index."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from calc.pump.cut_out import lift_beyond_seat, zero_delivery_index
from calc.pump.fuel_index import index_line, line_zero_doubt


def test_two_readings_agree_with_the_cut_out_check() -> None:
    """At the index of the reference and at 0 the line gives what the cut-out check computes from the opening at 0."""
    w = lift_beyond_seat(1.05, 0.03, 0.8)
    start, stroke, index = 12.0, 24.0, 7.0
    line = index_line([(0.0, start - w), (index, start + stroke)], start)
    assert line is not None
    assert line.zero_index == pytest.approx(zero_delivery_index(index, stroke, w))
    assert line.stroke_mm(index) == pytest.approx(stroke)
    assert line.stroke_mm(0.0) == 0.0
    assert line.u_zero_index is None


@given(st.floats(0.5, 10), st.floats(-2, 2), st.floats(5, 30))
def test_readings_on_a_line(slope: float, zero: float, start: float) -> None:
    line = index_line([(index, start + slope * (index - zero)) for index in (2.0, 4.0, 7.0)], start)
    assert line is not None
    assert line.zero_index == pytest.approx(zero, abs=1e-7)
    assert line.mm_per_index == pytest.approx(slope)
    assert line.stroke_mm(zero + 3.0) == pytest.approx(3.0 * slope, abs=1e-6)
    assert line.stroke_mm(zero - 1.0) == 0.0
    assert line.u_zero_index == pytest.approx(0.0, abs=1e-6)


def test_its_uncertainty_is_that_of_the_line() -> None:
    """Mean lift and slope of a line are independent: propagated with the library uncertainties."""
    line = index_line([(2.0, 19.6), (4.0, 27.1), (5.0, 31.3), (7.0, 38.9)], 13.0)
    assert line is not None
    fit = line.line
    mean, slope = ufloat(fit.mean_y, fit.s / 2.0), ufloat(fit.slope, fit.u_slope)
    zero = fit.mean_x + (13.0 - mean) / slope
    assert line.zero_index == pytest.approx(zero.nominal_value)
    assert line.u_zero_index == pytest.approx(zero.std_dev)


@pytest.mark.parametrize(
    "points", [[(3.0, 20.0)], [(3.0, 20.0), (3.0, 21.0)], [(3.0, 20.0), (5.0, 20.0)], [(3.0, 20.0), (5.0, 19.0)]]
)
def test_no_line(points: list[tuple[float, float]]) -> None:
    assert index_line(points, 13.0) is None


def test_gauges_at_the_start_and_at_the_contact_count_by_the_slope() -> None:
    """A lift error moves the zero by 1/b: 0.03 and 0.04 mm make 0.05 mm, at 4 mm for each index step 0.0125 steps."""
    line = index_line([(2.0, 17.0), (4.0, 25.0), (6.0, 33.0)], 12.0)
    assert line is not None
    assert line_zero_doubt(line, 0.03, 0.04) == pytest.approx(0.0125, abs=1e-9)


def test_the_zero_of_a_scattered_line_carries_line_and_gauges() -> None:
    """Propagated with the library uncertainties: (H_c - contact - mean) / slope."""
    line = index_line([(2.0, 19.6), (4.0, 27.1), (5.0, 31.3), (7.0, 38.9)], 13.0)
    assert line is not None
    fit = line.line
    mean, slope = ufloat(fit.mean_y, fit.s / 2.0), ufloat(fit.slope, fit.u_slope)
    zero = fit.mean_x + (ufloat(13.0, 0.2) - ufloat(0.0, 0.1) - mean) / slope
    assert line_zero_doubt(line, 0.2, 0.1) == pytest.approx(zero.std_dev)
