"""Conformity: probabilities and verdicts against the examples of JCGM 106 and the points of ISO 14253-1."""

import math
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats
from scipy.optimize import brentq, minimize_scalar

from calc.measure.conformity import (
    INCOMPLETE,
    OUTSIDE,
    UNCLEAR,
    WITHIN,
    as_read,
    largest_provable_deviation,
    largest_provable_u,
    probability_between,
    settle,
    symmetric_probability,
    u_needed,
    verdict,
    worst,
)
from calc.measure.student import t_quantile
from tests.published import half_digit, load

JCGM_106 = load("jcgm-106")
ISO_14253 = load("iso-14253-1")
TWO_SIDED = ISO_14253["two_sided"]


def bound(limit: float | None, missing: float) -> float:
    return missing if limit is None else limit


@pytest.mark.parametrize("example", JCGM_106["probabilities"], ids=lambda example: example["name"])
def test_probability_of_conformity(example: dict[str, Any]) -> None:
    """JCGM 106:2012, 7."""
    low, high = bound(example["low"], -math.inf), bound(example["high"], math.inf)
    found = probability_between(example["value"], example["u"], math.inf, low, high)
    assert found == pytest.approx(example["exact"], abs=5e-6)
    assert found == pytest.approx(float(example["printed"]), abs=half_digit(example["printed"]))


@pytest.mark.parametrize("row", JCGM_106["table_1"], ids=lambda row: str(row["probability"]))
def test_guard_factors(row: dict[str, Any]) -> None:
    """JCGM 106:2012, table 1."""
    # 1.645 is printed as 1.64.
    assert t_quantile(row["probability"], math.inf) == pytest.approx(float(row["z"]), abs=0.0051)


def test_speed_that_is_proven() -> None:
    """JCGM 106:2012, the speed example: the lowest indication that proves a speed above the limit."""
    speed = JCGM_106["speed_limit_exact"]
    u = speed["relative_u"] * speed["indicated"]
    found = probability_between(speed["indicated"], u, math.inf, low=speed["limit"])
    assert found == pytest.approx(speed["probability"], abs=1e-7)


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize("point", ISO_14253["points"], ids=lambda point: str(point["value"]))
def test_guard_band_points(point: dict[str, Any], sign: float) -> None:
    """ISO 14253-1:2017 with T = 0.10, u = 0.02, guard band 1.645 u, on both sides."""
    tolerance, u, value = ISO_14253["tolerance"], ISO_14253["u"], sign * point["value"]
    found = probability_between(value, u, math.inf, -tolerance, tolerance)
    if point["probability"] is not None:
        assert found == pytest.approx(point["probability"], abs=1e-9)
    assert verdict(found, as_read(value, -tolerance, tolerance)) == point["verdict"]


def test_guard_band_is_as_wide_as_the_rule_says() -> None:
    assert ISO_14253["guard"] == pytest.approx(t_quantile(0.95, math.inf) * ISO_14253["u"], abs=5e-8)


@pytest.mark.parametrize(("width", "h"), list(zip(TWO_SIDED["width_over_u"], TWO_SIDED["h"], strict=True)))
def test_two_sided_guard_factor(width: float, h: float) -> None:
    """JCGM 106:2012, 8.3: at u = 1 the largest deviation that is proven is half the width less the guard band."""
    tolerance = 0.5 * width
    needed = u_needed(tolerance - h, tolerance)
    assert needed is not None
    # The sharper the bell against the tolerance, the less u depends on the last digit of h.
    assert needed == pytest.approx(1.0, abs=2e-6 if width > 3.95 else 2e-4)
    assert symmetric_probability(tolerance - h, 1.0, tolerance) == pytest.approx(0.95, abs=1e-6)


def test_below_1_96_u_nothing_is_ever_proven() -> None:
    """JCGM 106:2012, 8.3: a tolerance of less than 3.92 u in all leaves no acceptance zone."""
    none_below = TWO_SIDED["none_below"]
    assert largest_provable_u(0.5 * none_below) == pytest.approx(1.0, abs=1e-6)
    largest = largest_provable_u(0.4)
    assert verdict(probability_between(0.0, largest * 1.0001, math.inf, -0.4, 0.4), WITHIN) == UNCLEAR
    assert verdict(probability_between(0.0, largest * 0.9999, math.inf, -0.4, 0.4), WITHIN) == WITHIN


@pytest.mark.parametrize(
    ("value", "u", "dof", "low", "high"),
    [
        (0.3, 0.2, 4, -0.4, 0.4),
        (9.0, 0.2, 4, -0.4, 0.4),
        (-9.0, 0.2, 4, -0.4, 0.4),
        (1.1, 0.1, 2, 0.9, math.inf),
        (3, 1, 7, -math.inf, 2),
    ],
)
def test_probability_with_few_degrees_of_freedom(value: float, u: float, dof: float, low: float, high: float) -> None:
    """JCGM 106:2012, 7.4 with Student's t, against scipy, far outside too."""
    expected = stats.t.cdf((high - value) / u, dof) - stats.t.cdf((low - value) / u, dof)
    assert probability_between(value, u, dof, low, high) == pytest.approx(float(expected), rel=1e-9)


def test_a_limit_that_is_not_given_is_none() -> None:
    one_sided = stats.norm.cdf(2.0)
    assert probability_between(1.0, 0.1, math.inf, high=1.2) == pytest.approx(float(one_sided))
    assert probability_between(1.2, 0.1, math.inf, low=1.0) == pytest.approx(float(one_sided))
    assert probability_between(1.2, 0.1, math.inf) == 1.0
    assert as_read(9.0, high=9.0) == as_read(-1e9, high=9.0) == as_read(0.0) == WITHIN


@pytest.mark.parametrize(
    ("value", "expected"),
    [(0.4, WITHIN), (-0.4, WITHIN), (0.4 + 9e-10, WITHIN), (0.4 + 2e-9, OUTSIDE), (-0.4 - 2e-9, OUTSIDE), (0.0, WITHIN)],
)
def test_as_read_on_both_sides_of_its_limits(value: float, expected: str) -> None:
    assert as_read(value, -0.4, 0.4) == expected


def test_as_read_with_one_limit() -> None:
    assert as_read(0.9, low=0.9) == WITHIN
    assert as_read(0.89, low=0.9) == OUTSIDE
    assert as_read(1e9, low=0.9) == WITHIN


@pytest.mark.parametrize(
    ("probability", "read", "expected"),
    [
        (0.95, WITHIN, WITHIN),
        (0.95 - 2e-9, WITHIN, UNCLEAR),
        (0.95, OUTSIDE, WITHIN),
        (0.05, OUTSIDE, OUTSIDE),
        (0.05 + 2e-9, OUTSIDE, UNCLEAR),
        (0.05, WITHIN, UNCLEAR),
        (0.0, WITHIN, UNCLEAR),
        (1.0, WITHIN, WITHIN),
    ],
)
def test_verdict_on_both_sides_of_its_limits(probability: float, read: str, expected: str) -> None:
    assert verdict(probability, read) == expected


def test_worst_of_a_list() -> None:
    ladder = [WITHIN, INCOMPLETE, UNCLEAR, OUTSIDE]
    for better, worse in pairwise(ladder):
        assert worst([better, worse]) == worst([worse, better]) == worse
    assert worst([]) == INCOMPLETE


@given(st.floats(0, 3), st.floats(0, 1), st.floats(0.01, 2), st.sampled_from([1.0, 4.0, 30.0, math.inf]))
def test_probability_falls_away_from_the_middle(value: float, further: float, u: float, dof: float) -> None:
    near = probability_between(value, u, dof, -0.5, 0.5)
    far = probability_between(value + further, u, dof, -0.5, 0.5)
    assert far <= near + 1e-12


@given(st.floats(-0.5, 0.5), st.floats(0.01, 2), st.floats(0, 1), st.sampled_from([1.0, 4.0, math.inf]))
def test_probability_of_a_value_inside_falls_with_doubt(value: float, u: float, more: float, dof: float) -> None:
    sure = probability_between(value, u, dof, -0.5, 0.5)
    unsure = probability_between(value, u + more, dof, -0.5, 0.5)
    assert unsure <= sure + 1e-12


@given(st.floats(-3, 3), st.floats(0.01, 2), st.sampled_from([1.0, 4.0, math.inf]))
def test_probability_mirrors(value: float, u: float, dof: float) -> None:
    there = probability_between(value, u, dof, -0.5, 0.5)
    assert probability_between(-value, u, dof, -0.5, 0.5) == pytest.approx(there, rel=1e-12, abs=1e-300)


@given(st.floats(-3, 3), st.floats(0.01, 2), st.floats(0.1, 1), st.floats(0, 1))
def test_probability_grows_with_the_tolerance(value: float, u: float, tolerance: float, wider: float) -> None:
    narrow = probability_between(value, u, 5, -tolerance, tolerance)
    assert probability_between(value, u, 5, -tolerance - wider, tolerance + wider) >= narrow - 1e-12


@given(st.floats(-2, 2), st.floats(0.001, 0.999))
def test_the_u_that_is_needed_makes_the_verdict_just_clear(deviation: float, tolerance: float) -> None:
    assume(abs(abs(deviation) - tolerance) > 1e-4)
    needed = u_needed(deviation, tolerance)
    assert needed is not None
    read = as_read(deviation, -tolerance, tolerance)
    if math.isinf(needed):
        for u in (1e-3, 0.1, 1.0, 100.0):
            assert verdict(symmetric_probability(deviation, u, tolerance), read) == OUTSIDE
        return
    below = symmetric_probability(deviation, needed * (1 - 1e-6), tolerance)
    above = symmetric_probability(deviation, needed * (1 + 1e-6), tolerance)
    assert verdict(below, read) == read
    assert verdict(above, read) == UNCLEAR


def test_nothing_settles_a_value_on_its_limit() -> None:
    assert u_needed(0.4, 0.4) is None
    assert u_needed(-0.4, 0.4) is None


def test_fewest_repeats_that_settle() -> None:
    """One repeat fewer leaves the probability below 95 %, that many bring it there."""
    parts = [("scale", 0.03), ("pointer", 0.04)]
    found = settle(0.30, 0.4, parts, repeat_s=0.10)
    assert found.repeats is not None
    assert found.limits == "pointer"

    def probability(count: int) -> float:
        return symmetric_probability(0.30, math.sqrt(0.03**2 + 0.04**2 + 0.10**2 / count), 0.4)

    assert probability(found.repeats) >= 0.95
    assert probability(found.repeats - 1) < 0.95


def test_repeats_do_not_settle_what_the_instruments_hide() -> None:
    found = settle(0.30, 0.4, [("scale", 0.09)], repeat_s=0.01)
    assert found.repeats is None
    assert found.provable
    assert not settle(0.0, 0.4, [("scale", 0.21)], repeat_s=0.01).provable
    assert settle(0.0, 0.4, [("scale", 0.20)], repeat_s=0.01).provable


def test_more_repeats_than_anybody_reads_are_not_asked_for() -> None:
    assert settle(0.39, 0.4, [("scale", 0.001)], repeat_s=0.05).repeats is None
    assert settle(0.39, 0.4, [("scale", 0.001)], repeat_s=0.05, most_repeats=100).repeats == 70
    assert settle(0.39, 0.4, [("scale", 0.001)], repeat_s=0.05, most_repeats=70).repeats == 70
    assert settle(0.39, 0.4, [("scale", 0.001)], repeat_s=0.05, most_repeats=69).repeats is None


def test_nothing_is_needed_far_outside() -> None:
    found = settle(9.0, 0.4, [("scale", 0.03)], repeat_s=0.05)
    assert found.u_needed == math.inf
    assert found.repeats == 1


def scipy_probability(deviation: float, u: float, tolerance: float) -> float:
    return float(stats.norm.cdf((tolerance - deviation) / u) - stats.norm.cdf((-tolerance - deviation) / u))


@pytest.mark.parametrize("share", [0.05, 0.2, 0.35, 0.45, 0.5, 0.51])
def test_the_largest_provable_deviation_is_that_of_scipy(share: float) -> None:
    tolerance = 0.4
    expected = brentq(lambda x: scipy_probability(x, share * tolerance, tolerance) - 0.95, 0.0, tolerance, xtol=1e-14)
    found = largest_provable_deviation(share * tolerance, tolerance)
    assert found == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("nearer", [0.5, 0.9, 0.999, 1.001, 1.1, 2.0])
def test_far_outside_no_uncertainty_makes_a_deviation_unclear(nearer: float) -> None:
    """Beyond some distance the probability of conformity stays below 0.05 for every u: its peak over u by scipy."""
    tolerance = 0.4

    def peak(deviation: float) -> tuple[float, float]:
        found = minimize_scalar(
            lambda u: -scipy_probability(deviation, u, tolerance),
            bounds=(0.1 * deviation, 3.0 * deviation),
            method="bounded",
            options={"xatol": 1e-12},
        )
        return float(found.x), -float(found.fun)

    limit = brentq(lambda deviation: peak(deviation)[1] - 0.05, 2.0, 8.0)
    deviation = nearer * limit
    found = u_needed(deviation, tolerance)
    if nearer > 1.0:
        assert found == math.inf
    else:
        low = (deviation - tolerance) / 6.0
        expected = brentq(lambda u: scipy_probability(deviation, u, tolerance) - 0.05, low, peak(deviation)[0])
        assert found == pytest.approx(expected, rel=1e-7)


@pytest.mark.parametrize(("deviation", "tolerance"), [(0.3, 0.4), (0.1, 0.4), (0.5, 0.4), (0.02, 0.45)])
def test_instruments_that_use_up_all_that_is_allowed_leave_no_room_for_repeats(deviation: float, tolerance: float) -> None:
    needed = u_needed(deviation, tolerance)
    assert needed is not None
    settled = settle(deviation, tolerance, [("scale", needed)], repeat_s=0.1)
    assert (settled.repeats, settled.limits) == (None, "scale")
    assert settle(deviation, tolerance, [], repeat_s=0.9 * needed).repeats == 1
