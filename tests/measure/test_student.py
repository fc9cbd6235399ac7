"""Student's t against the GUM's table and against scipy."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from calc.measure.student import normal_cdf, t_cdf, t_quantile
from tests.published import half_digit, load

G2 = load("gum-g2")
DOF = [1, 1.5, 2, 2.7, 3, 4, 5, 9, 16, 16.751856, 30, 99.5, 250, 399.99, 400, 1e3, 3333.3, 1e6, 1e9, 1e12]
ROWS = [
    (dof, coverage, printed)
    for dof, row in G2["rows"].items()
    for coverage, printed in zip(G2["coverage"], row, strict=True)
    if printed is not None
]


@pytest.mark.parametrize(("dof", "coverage", "printed"), ROWS)
def test_gum_table(dof: str, coverage: float, printed: str) -> None:
    """JCGM 100:2008, table G.2, every printed digit."""
    nu = math.inf if dof == "infinite" else float(dof)
    assert t_quantile(0.5 + 0.5 * coverage, nu) == pytest.approx(float(printed), abs=half_digit(printed))


def test_fractional_dof_at_95_percent() -> None:
    """The end gauge of GUM H.1 before rounding down, and after (scipy)."""
    assert t_quantile(0.975, 16.751855737627242) == pytest.approx(2.1121988, abs=5e-8)
    assert t_quantile(0.975, 16) == pytest.approx(2.1199053, abs=5e-8)


@pytest.mark.parametrize("dof", DOF)
def test_cdf_agrees_with_scipy_far_into_the_tails(dof: float) -> None:
    for size in (0.0, 1e-3, 0.1, 0.5, 1.0, 1.96, 2.5, 3.0, 4.0, 6.0, 8.0, 10.0, 30.0, 1e3, 1e5):
        for t in (-size, size):
            expected = float(stats.t.cdf(t, dof))
            # Below 1e-30 no verdict depends on it; there an absolute bound does.
            assert t_cdf(t, dof) == pytest.approx(expected, rel=1e-10, abs=1e-30)


@pytest.mark.parametrize("dof", DOF)
def test_quantile_agrees_with_scipy(dof: float) -> None:
    for probability in (1e-9, 1e-4, 0.005, 0.025, 0.05, 0.3, 0.49, 0.6, 0.95, 0.975, 0.9995, 1 - 1e-6):
        assert t_quantile(probability, dof) == pytest.approx(float(stats.t.ppf(probability, dof)), rel=1e-11)


@pytest.mark.parametrize("t", [-40.0, -6.0, -1e-9, 0.0, 0.3, 1.96, 9.0])
def test_normal_cdf_agrees_with_scipy(t: float) -> None:
    assert normal_cdf(t) == pytest.approx(float(stats.norm.cdf(t)), rel=1e-12)
    assert t_cdf(t, math.inf) == normal_cdf(t)


def test_one_dof_is_the_cauchy_distribution() -> None:
    """Exact: F(t) = 1/2 + atan(t) / pi."""
    for t in (-1e8, -3.0, -1e-8, 0.0, 0.7, 12.0):
        assert t_cdf(t, 1) == pytest.approx(0.5 + math.atan(t) / math.pi, rel=1e-7)


def test_two_methods_meet_without_a_step() -> None:
    """From 400 degrees of freedom on an expansion takes over from the continued fraction."""
    for t in (0.5, 1.96, 5.0):
        before, after = t_cdf(-t, math.nextafter(400.0, 0.0)), t_cdf(-t, 400.0)
        assert before == pytest.approx(after, rel=1e-11)


@given(st.floats(1e-6, 1 - 1e-6), st.floats(1.0, 1e6))
def test_quantile_is_the_inverse_of_the_cdf(probability: float, dof: float) -> None:
    assert t_cdf(t_quantile(probability, dof), dof) == pytest.approx(probability, rel=1e-9)


@given(st.floats(-50, 50), st.floats(0.1, 1e9))
def test_tails_mirror(t: float, dof: float) -> None:
    assert t_cdf(-t, dof) + t_cdf(t, dof) == pytest.approx(1.0, abs=1e-15)


@given(st.floats(-20, 20), st.floats(0, 5), st.floats(0.5, 1e6))
def test_cdf_never_falls(t: float, step: float, dof: float) -> None:
    assert t_cdf(t + step, dof) >= t_cdf(t, dof) - 1e-15


def test_extremes_end_at_0_and_1() -> None:
    assert t_cdf(math.inf, 3) == 1.0
    assert t_cdf(-math.inf, 3) == 0.0
    assert t_cdf(-1e300, 3) == 0.0
    assert t_cdf(1e300, 1e300) == 1.0


@pytest.mark.parametrize(("t", "dof"), [(math.nan, 3.0), (1.0, 0.0), (1.0, -2.0), (1.0, math.nan)])
def test_cdf_refuses_what_is_no_distribution(t: float, dof: float) -> None:
    with pytest.raises(ValueError, match="above 0, found t="):
        t_cdf(t, dof)


@pytest.mark.parametrize(("probability", "dof"), [(0.0, 3.0), (1.0, 3.0), (-0.1, 3.0), (0.5, 0.0), (math.nan, 3.0)])
def test_quantile_refuses_what_has_none(probability: float, dof: float) -> None:
    with pytest.raises(ValueError, match="0 < probability < 1 and dof > 0, found"):
        t_quantile(probability, dof)


def test_known_columns_of_the_table_are_whole() -> None:
    """No row of the published table was lost on the way."""
    rows: dict[str, Any] = G2["rows"]
    assert [key for key in rows if key != "infinite"] == [str(n) for n in (*range(1, 21), *range(25, 51, 5), 100)]
    assert len(ROWS) == 6 * len(rows) - 1
