"""When a cause is named: both sides of every threshold."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.pump.cause import (
    Estimate,
    LiftError,
    common_part,
    common_setting,
    hinted,
    median_variance,
    named,
    unit_cam_part,
)

TOLERANCE = 0.6


@pytest.mark.parametrize(
    ("size", "u", "effect", "expected"),
    [
        (0.31, 0.1, 0.3, True),
        (0.30, 0.1, 0.3, False),
        (-0.31, 0.1, -0.3, True),
        (-0.29, 0.1, -0.3, False),
        (0.31, 0.1, 0.2, True),
        (0.31, 0.1, 0.2 - 2e-9, False),
        (0.31, 0.1, -0.2, True),
        (0.31, 0.0, 0.2, True),
        (0.0, 0.0, 0.3, False),
    ],
)
def test_named_beyond_three_u_and_a_third_of_the_tolerance(size: float, u: float, effect: float, expected: bool) -> None:
    assert named(size, u, effect, TOLERANCE) is expected


@pytest.mark.parametrize(
    ("size", "u", "effect", "expected"),
    [
        (0.25, 0.1, 0.3, True),
        (0.20, 0.1, 0.3, False),
        (0.31, 0.1, 0.3, False),
        (0.31, 0.1, 0.19, True),
        (0.31, 0.1, 0.0599, False),
        (0.25, 0.1, 0.061, True),
        (0.25, 0.1, 0.06, True),
    ],
)
def test_hinted_beyond_two_u_and_a_tenth_of_the_tolerance(size: float, u: float, effect: float, expected: bool) -> None:
    assert hinted(size, u, effect, TOLERANCE) is expected


@given(st.floats(-3, 3), st.floats(0, 1), st.floats(-3, 3))
def test_never_both_named_and_hinted_and_the_sign_is_free(size: float, u: float, effect: float) -> None:
    assert not (named(size, u, effect, TOLERANCE) and hinted(size, u, effect, TOLERANCE))
    assert named(-size, u, -effect, TOLERANCE) == named(size, u, effect, TOLERANCE)
    assert hinted(-size, u, -effect, TOLERANCE) == hinted(size, u, effect, TOLERANCE)


def part(value: float, alone: float = 0.04, pointer: float = 0.03) -> Estimate:
    return Estimate(value, math.hypot(alone, pointer), alone)


def test_one_event_is_the_units_cam_part() -> None:
    assert unit_cam_part([part(0.2)], 0.03) == part(0.2)


@given(st.floats(-3, 3), st.floats(0.001, 1))
def test_a_lone_event_is_given_back_to_the_last_digit(value: float, alone: float) -> None:
    """Weighing it with itself would round it."""
    assert unit_cam_part([part(value, alone)], 0.03) == part(value, alone)


def test_the_better_event_weighs_more() -> None:
    found = unit_cam_part([part(0.0, alone=0.03), part(1.0, alone=0.06)], 0.03)
    assert found.value == pytest.approx(0.2)
    assert found.alone == pytest.approx(math.sqrt(1 / (1 / 0.0009 + 1 / 0.0036)))
    assert found.u == pytest.approx(math.hypot(found.alone, 0.03))


def test_common_part_is_the_median() -> None:
    """v = (pi/2) mean(a) / n; u^2(common) = u_t^2 + v; u^2(own) = a (1 - 2/n) + v."""
    parts = [part(0.1, 0.04), part(0.3, 0.05), part(0.2, 0.06), part(2.0, 0.03)]
    shared = common_part(parts, 0.03)
    v = math.pi / 2 * (0.0016 + 0.0025 + 0.0036 + 0.0009) / 4 / 4
    assert shared.common.value == pytest.approx(0.25)
    assert shared.common.u == pytest.approx(math.sqrt(0.0009 + v))
    for own, given_ in zip(shared.own, parts, strict=True):
        assert own.value == pytest.approx(given_.value - 0.25)
        assert own.u == pytest.approx(math.sqrt(given_.alone**2 / 2 + v))
    assert median_variance([0.0016, 0.0025, 0.0036, 0.0009]) == pytest.approx(v)


@given(st.lists(st.floats(-2, 2), min_size=3, max_size=9), st.floats(-2, 2))
def test_own_parts_do_not_move_with_the_pointer(values: list[float], shift: float) -> None:
    there = common_part([part(value) for value in values], 0.03)
    moved = common_part([part(value + shift) for value in values], 0.03)
    assert moved.common.value == pytest.approx(there.common.value + shift, abs=1e-9)
    assert [own.value for own in moved.own] == pytest.approx([own.value for own in there.own], abs=1e-9)


def errors(*values: float, u: float = 0.02, effect: float = 0.3) -> list[LiftError]:
    return [LiftError(value, u, math.copysign(effect, value)) for value in values]


def test_a_setting_that_all_units_share() -> None:
    found = common_setting(errors(0.50, 0.52, 0.47), TOLERANCE)
    assert found is not None
    assert found.value == 0.50
    assert found.u == pytest.approx(math.sqrt(math.pi / 2 * 0.0004 / 3))
    assert found.alone == found.u


@pytest.mark.parametrize(
    ("case", "expected"),
    [
        (errors(0.5, 0.5), False),
        (errors(0.5, 0.5, 0.5), True),
        (errors(-0.5, -0.5, -0.5), True),
        (errors(0.5, 0.5, -0.5), False),
        # Each beyond 3 u.
        (errors(0.061, 0.061, 0.061), True),
        (errors(0.061, 0.061, 0.06), False),
        # Each within 3 u of the median.
        (errors(0.5, 0.5, 0.56), True),
        (errors(0.5, 0.5, 0.561), False),
        (errors(0.5, 0.5, 0.44), True),
        (errors(0.5, 0.5, 0.439), False),
        # The median effect reaches a third of the tolerance.
        (errors(0.5, 0.5, 0.5, effect=0.2), True),
        (errors(0.5, 0.5, 0.5, effect=0.2 - 2e-9), False),
        ([*errors(0.5, 0.5, effect=0.3), *errors(0.5, effect=0.1)], True),
        ([*errors(0.5, 0.5, effect=0.1), *errors(0.5, effect=0.9)], False),
    ],
)
def test_both_sides_of_each_rule_of_a_common_setting(case: list[LiftError], expected: bool) -> None:
    assert (common_setting(case, TOLERANCE) is not None) is expected
