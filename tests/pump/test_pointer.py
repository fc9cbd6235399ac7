"""Pointer or camshaft drive: how sure a TDC check is, and that the pointer is counted once."""

import numpy as np
import pytest

from calc.pump.cause import Estimate
from calc.pump.dead_centre import DeadCentre
from calc.pump.pointer import check_doubt, drive_part, what_is_off

T = 0.4


def checks(count: int, pairs: int, scatter: float, step: float) -> list[DeadCentre]:
    """TDC checks of a pointer that is right: each angle scatters and is read to a step, at heights of its own."""
    chance = np.random.default_rng(7)
    heights = chance.uniform(20.0, 60.0, (count, pairs))
    before, after = (side * heights + chance.normal(0.0, scatter, heights.shape) for side in (-1.0, 1.0))
    middles = 0.5 * (np.round(before / step) + np.round(after / step)) * step
    u = middles.std(axis=1, ddof=1) / np.sqrt(pairs)
    return [DeadCentre(float(row.mean()), float(each), tuple(map(float, row))) for row, each in zip(middles, u, strict=True)]


def test_scatter_of_three_pairs_alone_would_accuse_honest_pointers() -> None:
    """Three pairs have two degrees of freedom: 3 s/sqrt(n) is passed in 9.5 % of all checks (Student's t)."""
    found = checks(4000, 3, 0.05, 0.01)
    alone = np.mean([abs(each.tdc_deg) > 3.0 * (each.u_deg or 0.0) for each in found])
    assert 0.07 < alone < 0.12
    counted = np.mean([abs(each.tdc_deg) > 3.0 * (check_doubt(each, 0.01, 0.05) or 0.0) for each in found])
    assert counted < 0.004


@pytest.mark.parametrize(("pairs", "scatter", "step"), [(3, 0.05, 0.1), (6, 0.03, 0.1), (4, 0.05, 0.02), (2, 0.05, 0.1)])
def test_the_doubt_covers_the_error(pairs: int, scatter: float, step: float) -> None:
    """Error over claimed doubt: never larger than normal, and no more than half as large as it could be."""
    found = checks(2000, pairs, scatter, step)
    ratio = np.std([each.tdc_deg / (check_doubt(each, step, scatter) or 1.0) for each in found])
    assert 0.5 < ratio < 1.05


def test_one_pair_has_no_doubt() -> None:
    assert check_doubt(DeadCentre(0.1, None, (0.1,)), 0.1, 0.05) is None


def test_the_pointer_is_counted_once() -> None:
    """Whatever the pointer is known to, the drive's part is as sure as scatter and check make it: simulated."""
    chance = np.random.default_rng(11)
    count, u_pointer, scatter, u_check, drive = 20000, 0.3, 0.03, 0.02, 0.25
    pointer = chance.normal(0.0, u_pointer, count)
    common = drive + pointer + chance.normal(0.0, scatter, count)
    check = pointer + chance.normal(0.0, u_check, count)
    one = drive_part(Estimate(0.0, (u_pointer**2 + scatter**2) ** 0.5, scatter), Estimate(0.0, u_check, u_check))
    errors = common - check - drive
    assert one.u == pytest.approx(float(np.std(errors)), rel=0.03)
    assert one.u < 0.2 * u_pointer


@pytest.mark.parametrize(
    ("pointer", "drive", "said"),
    [
        (0.5, 0.0, "pointer"),
        (-0.5, 0.0, "pointer"),
        (0.0, 0.5, "camshaft_drive"),
        (0.0, -0.5, "camshaft_drive"),
        (0.5, -0.5, "both"),
        (0.05, 0.05, "neither"),
        (0.13, 0.0, "neither"),
        (0.14, 0.0, "pointer"),
    ],
)
def test_what_is_off(pointer: float, drive: float, said: str) -> None:
    assert what_is_off(Estimate(pointer, 0.04, 0.04), Estimate(drive, 0.04, 0.04), T) == said


def test_beyond_a_third_of_the_tolerance_but_not_beyond_its_doubt() -> None:
    assert what_is_off(Estimate(0.3, 0.11, 0.11), Estimate(0.3, 0.11, 0.11), T) == "neither"
