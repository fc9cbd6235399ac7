"""Pooled repeats: the within-groups deviation, and what it must not depend on."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.measure.pool import Repeatability, dominant, mean, pooled, sum_of_squares

values = st.floats(-100, 100, allow_nan=False)
groups = st.lists(st.lists(values, min_size=1, max_size=5), min_size=1, max_size=6)


@given(groups)
def test_pool_is_the_within_groups_mean_square(members: list[list[float]]) -> None:
    """JCGM 100:2008, H.3.6: sum of (n - 1) s^2 over sum of (n - 1), by numpy."""
    dof = sum(len(group) - 1 for group in members)
    found = pooled(members, stated=0.7)
    if dof == 0:
        assert found == Repeatability(0.7, math.inf)
        assert not found.from_repeats
        return
    squares = sum(float(np.var(group, ddof=1)) * (len(group) - 1) for group in members if len(group) > 1)
    assert found.s == pytest.approx(math.sqrt(squares / dof), rel=1e-9, abs=1e-12)
    assert found.dof == dof
    assert found.from_repeats


@given(groups, values)
def test_a_shift_of_a_whole_group_changes_nothing(members: list[list[float]], shift: float) -> None:
    moved = [[value + shift for value in members[0]], *members[1:]]
    assert pooled(moved, 0.5).s == pytest.approx(pooled(members, 0.5).s, rel=1e-6, abs=1e-9)


@given(groups)
def test_order_changes_nothing(members: list[list[float]]) -> None:
    shuffled = [sorted(group) for group in reversed(members)]
    before, after = pooled(members, 0.5), pooled(shuffled, 0.5)
    assert after.s == pytest.approx(before.s, rel=1e-9, abs=1e-12)
    assert after.dof == before.dof


@given(groups, values)
def test_a_single_reading_adds_nothing(members: list[list[float]], single: float) -> None:
    assert pooled([*members, [single]], 0.5) == pooled(members, 0.5)


@given(groups, st.floats(0.01, 100))
def test_scatter_scales_with_the_unit(members: list[list[float]], factor: float) -> None:
    scaled = [[factor * value for value in group] for group in members]
    assert pooled(scaled, factor * 0.5).s == pytest.approx(factor * pooled(members, 0.5).s, rel=1e-9, abs=1e-9)


def test_stated_repeatability_is_not_used_beside_repeats() -> None:
    assert pooled([[1.0, 1.0], [5.0]], stated=9.0) == Repeatability(0.0, 1)


def test_the_mean_of_n_scatters_less() -> None:
    term = Repeatability(0.3, 7).of_mean(9, "repeats", sensitivity=-2.0)
    assert (term.name, term.dof) == ("repeats", 7)
    assert term.u == pytest.approx(0.2)


def test_mean_and_squares() -> None:
    assert mean([1.0, 2.0, 6.0]) == 3.0
    assert sum_of_squares([1.0, 2.0, 6.0]) == 14.0
    assert sum_of_squares([4.2]) == 0.0


@pytest.mark.parametrize(
    ("members", "expected"),
    [
        ([[1.0, 1.1], [2.0, 2.1], [3.0, 3.1]], None),
        ([[1.0, 1.1], [2.0, 2.1], [3.0, 4.0]], 2),
        ([[1.0, 2.0]], None),
        ([[1.0, 2.0], [5.0]], None),
        ([[1.0, 1.0], [5.0, 5.0]], None),
        # Exactly half is not most of it.
        ([[1.0, 2.0], [5.0, 6.0]], None),
        ([[1.0, 2.01], [5.0, 6.0]], 0),
    ],
)
def test_a_group_that_makes_up_most_of_a_pool(members: list[list[float]], expected: int | None) -> None:
    assert dominant(members) == expected
