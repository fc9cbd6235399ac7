"""Marginal likelihoods in closed form against quadrature and scipy."""

import math

import numpy as np
import pytest
from scipy import integrate, stats

from calc.measure import evidence
from calc.measure.evidence import reading, shared_readings


@pytest.mark.parametrize(("distance", "variance"), [(0.0, 1.0), (-2.5, 0.3), (40.0, 0.01)])
def test_log_normal(distance: float, variance: float) -> None:
    assert evidence.log_normal(distance, variance) == pytest.approx(stats.norm.logpdf(distance, 0.0, math.sqrt(variance)))


@pytest.mark.parametrize("limit", [-3.0, 0.0, 1.7])
def test_log_below(limit: float) -> None:
    assert evidence.log_below(limit, 0.49) == pytest.approx(stats.norm.logcdf(limit, 0.0, 0.7))


def test_log_below_far_out_stays_a_number() -> None:
    assert evidence.log_below(-1e6, 1.0) == -700.0


def test_readings_with_a_shared_error() -> None:
    values, variances, shared = [0.3, -0.2, 0.5], [0.04, 0.09, 0.01], 0.25
    covariance = np.diag(variances) + shared
    expected = stats.multivariate_normal([0.0] * 3, covariance).logpdf(values)
    assert evidence.log_shared(values, variances, shared) == pytest.approx(expected)


def test_size_integrated_out() -> None:
    """The size is unknown: two lifts and two angles know of it, the angles with a shared error."""
    values, gains, variances, shared = [0.7, -0.9], [1.2, -1.1], [0.02, 0.05], 0.1
    total = reading(0.0, 1.0, 4.0) + reading(0.55, 0.8, 0.03) + shared_readings(values, gains, variances, shared)

    def density(size: float) -> float:
        angles = stats.multivariate_normal([gain * size for gain in gains], np.diag(variances) + shared).pdf(values)
        return float(stats.norm.pdf(size, 0.0, 2.0) * stats.norm.pdf(0.55, 0.8 * size, math.sqrt(0.03)) * angles)

    whole, _ = integrate.quad(density, -5.0, 5.0, points=[total.size])
    positive, _ = integrate.quad(density, 0.0, 5.0, points=[total.size])
    assert total.log_integral == pytest.approx(math.log(whole), abs=1e-9)
    assert total.log_positive == pytest.approx(math.log(positive / whole), abs=1e-9)


def test_shares_add_up() -> None:
    found = evidence.shares({"a": -2000.0, "b": -2000.0 + math.log(3.0), "c": evidence.NONE})
    assert found == pytest.approx({"a": 0.25, "b": 0.75, "c": 0.0})
    assert evidence.log_sum([]) == evidence.NONE


@pytest.mark.parametrize(("first", "second"), [(-1.0, -9.0), (-9.0, -1.0), (-5000.0, -1.0)])
def test_either_of_two_laws(first: float, second: float) -> None:
    expected = evidence.log_sum([first + math.log(0.92), second + math.log(0.08)])
    assert evidence.log_either(first, second, 0.08) == pytest.approx(expected)


@pytest.mark.parametrize(("a", "b"), [(4.0, 1.0), (4.0, -1.0), (0.25, 0.1), (9.0, 2.0)])
def test_share_of_sizes_above_0(a: float, b: float) -> None:
    """The size is normal about b / a, with variance 1 / a."""
    expected = stats.norm.logsf(0.0, b / a, 1.0 / math.sqrt(a))
    assert evidence.Quadratic(a, b, 0.7).log_positive == pytest.approx(expected)
