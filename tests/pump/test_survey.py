"""The cam survey on cams with known phase and wear."""

from math import exp, pi, sin, sqrt
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator
from scipy.optimize import least_squares

from calc.pump.survey import BeyondError, LevelError, Rows, compare, leaves_table, rising, survey

LIFT, START, RISE, TOP = 60.0, -40.0, 70.0, 20.0


def share(u: float) -> float:
    """Cycloidal law."""
    u = min(max(u, 0.0), 1.0)
    return u - sin(2.0 * pi * u) / (2.0 * pi)


def lift(angle: float) -> float:
    """An invented cam: cycloidal rise, a top, cycloidal fall."""
    if angle < START + RISE + TOP:
        return LIFT * share((angle - START) / RISE)
    return LIFT * (1.0 - share((angle - START - RISE - TOP) / RISE))


REFERENCE = [(float(angle), lift(angle)) for angle in range(-60, 141, 2)]
ANGLES = [float(angle) for angle in range(-50, 61, 5)]


def measured(phase: float, wear: float = 0.0, noise: float = 0.0, seed: int = 1) -> Rows:
    random = Random(seed)
    return [
        (
            at,
            lift(at - phase) + random.gauss(0.0, noise) - wear * exp(-(((at + 5.0) / 8.0) ** 2))
            if wear or noise
            else lift(at - phase),
        )
        for at in ANGLES
    ]


def test_a_shifted_table_is_found_exactly() -> None:
    """The reference's own rows, moved: the same curve, so nothing is left."""
    moved = [(angle + 1.3, height) for angle, height in REFERENCE]
    found = survey(REFERENCE, moved)
    assert found.phase_deg == pytest.approx(1.3, abs=1e-10)
    assert max(map(abs, found.residual_mm)) < 1e-9
    assert found.robust_phase_deg == pytest.approx(1.3, abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(st.floats(-18, 18))
def test_any_phase(phase: float) -> None:
    """Positive is later. The monotone cubic through 2 degree steps is true to 0.002 mm, so to a thousandth of a degree."""
    found = survey(REFERENCE, measured(phase))
    assert found.phase_deg == pytest.approx(phase, abs=1.5e-3)


@pytest.mark.parametrize("seed", range(5))
def test_against_scipy(seed: int) -> None:
    rows = measured(-0.85, noise=0.02, seed=seed)
    curve = PchipInterpolator(*zip(*REFERENCE, strict=True))
    slope = curve.derivative()
    angles, heights = ([row[i] for row in rows] for i in (0, 1))

    def misfit(phase: list[float]) -> list[float]:
        return [float(height - curve(angle - phase[0])) for angle, height in zip(angles, heights, strict=True)]

    solved = least_squares(misfit, [0.0], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    found = survey(REFERENCE, rows)
    assert found.phase_deg == pytest.approx(float(solved.x[0]), abs=1e-6)
    left = misfit([found.phase_deg])
    assert found.residual_mm == pytest.approx(left, abs=1e-9)
    steep = sum(float(slope(angle - found.phase_deg)) ** 2 for angle in angles)
    assert found.u_phase_deg == pytest.approx(sqrt(sum(each**2 for each in left) / (len(left) - 1) / steep), rel=1e-6)
    assert found.worst_mm == max(found.residual_mm, key=abs)


def test_the_uncertainty_covers_the_scatter() -> None:
    """Over many surveys with honest noise the phases scatter as u says."""
    found = [survey(REFERENCE, measured(0.4, noise=0.03, seed=seed)) for seed in range(60)]
    misses = [each.phase_deg - 0.4 for each in found]
    scatter = sqrt(sum(miss**2 for miss in misses) / len(misses))
    mean_u = sum(each.u_phase_deg or 0.0 for each in found) / len(found)
    assert scatter == pytest.approx(mean_u, rel=0.3)


@pytest.mark.parametrize("seed", range(5))
def test_wear_pulls_least_squares_and_not_the_robust_phase(seed: int) -> None:
    """0.3 mm of wear on the flank pulls -0.85 degrees by almost a tenth; the robust phase stays."""
    found = survey(REFERENCE, measured(-0.85, wear=0.3, noise=0.005, seed=seed))
    assert found.phase_deg == pytest.approx(-0.765, abs=0.01)
    assert found.robust_phase_deg == pytest.approx(-0.85, abs=0.01)
    assert found.worst_mm < -0.14


def test_level_stretches_tell_no_phase() -> None:
    for rows in ([(-55.0, 0.0), (-58.0, 0.0)], [(40.0, LIFT), (35.0, LIFT)]):
        with pytest.raises(LevelError):
            survey(REFERENCE, rows)
    with pytest.raises(LevelError):
        survey([(0.0, 5.0), (10.0, 5.0)], [(3.0, 5.1)])


@pytest.mark.parametrize("seed", range(20))
def test_the_noise_of_a_base_circle_is_no_phase(seed: int) -> None:
    random = Random(seed)
    with pytest.raises(LevelError):
        survey(REFERENCE, [(float(at), random.gauss(0.004, 0.01)) for at in range(-59, -45)])


def test_one_row_at_the_foot_of_the_flank_is_enough() -> None:
    """A single lift of 0.9 mm among level rows, with hundredths of noise, tells the phase."""
    rows = [*((float(at), 0.01 * (-1) ** k) for k, at in enumerate(range(-56, -44))), (-30.0, lift(-30.5))]
    assert survey(REFERENCE, rows).phase_deg == pytest.approx(0.5, abs=0.05)


def test_beyond_the_search() -> None:
    with pytest.raises(BeyondError):
        survey(REFERENCE, measured(24.0))
    assert survey(REFERENCE, measured(19.9)).phase_deg == pytest.approx(19.9, abs=1e-3)


@pytest.mark.parametrize("sign", [-1.0, 1.0])
def test_the_search_ends_at_20_degrees_on_either_side(sign: float) -> None:
    """Rows on the flank as well as on the fall, so that a phase further out would fit."""
    assert survey(REFERENCE, measured(sign * 19.9)).phase_deg == pytest.approx(sign * 19.9, abs=2e-3)
    for beyond in (20.4, 24.0):
        with pytest.raises(BeyondError):
            survey(REFERENCE, measured(sign * beyond))


def test_one_row_has_a_phase_and_no_scatter() -> None:
    found = survey(REFERENCE, [(0.0, lift(-0.5))])
    assert found.phase_deg == pytest.approx(0.5, abs=2e-3)
    assert found.u_phase_deg is None
    assert found.robust_phase_deg is None


def test_straight_beyond_the_table() -> None:
    """Two rows are a straight line, which goes on: a shift along it is found though rows leave the table."""
    rows = [(0.0, 0.0), (10.0, 20.0)]
    shifted = [(angle, 2.0 * (angle - 3.0)) for angle in (0.0, 5.0, 12.0)]
    assert survey(rows, shifted).phase_deg == pytest.approx(3.0, abs=1e-9)
    assert leaves_table(rows, shifted, 3.0)
    assert not leaves_table(rows, [(5.0, 4.0)], 3.0)


def test_rows_that_do_not_rise() -> None:
    assert rising([(0.0, 0.0), (1.0, 1.0), (0.5, 2.0)]) == 2
    assert rising(REFERENCE) is None


@settings(max_examples=20, deadline=None)
@given(st.permutations(range(len(ANGLES))))
def test_the_order_of_rows_does_not_matter(order: list[int]) -> None:
    rows = measured(0.7, noise=0.01)
    plain, mixed = survey(REFERENCE, rows), survey(REFERENCE, [rows[i] for i in order])
    assert mixed.phase_deg == pytest.approx(plain.phase_deg, abs=1e-9)
    assert mixed.residual_mm == pytest.approx([plain.residual_mm[i] for i in order], abs=1e-9)


@pytest.mark.parametrize("places", [(4, 9), (5, 7, 9)])
def test_few_rows_have_the_doubt_of_their_own_scatter(places: tuple[int, ...]) -> None:
    """s^2 = RSS / (n - 1), also for two rows; minimum and slopes by scipy."""
    rows = [measured(0.4, noise=0.05, seed=3)[place] for place in places]
    curve = PchipInterpolator(*zip(*REFERENCE, strict=True))
    fit = least_squares(lambda x: [height - float(curve(at - x[0])) for at, height in rows], [0.4], xtol=1e-14, ftol=1e-14)
    steep = sum(float(curve.derivative()(at - fit.x[0])) ** 2 for at, _ in rows)
    found = survey(REFERENCE, rows)
    assert found.phase_deg == pytest.approx(float(fit.x[0]), abs=1e-6)
    assert found.u_phase_deg == pytest.approx(sqrt(2.0 * fit.cost / (len(rows) - 1) / steep), rel=1e-5)
    assert (found.robust_phase_deg is None) == (len(rows) < 3)


def test_rows_are_held_against_the_curve_and_its_straight_ends() -> None:
    """Inside, scipy's cubic; beyond, on with the slope of the end."""
    reference = [(0.0, 0.0), (10.0, 1.0), (20.0, 5.0), (30.0, 12.0), (40.0, 15.0)]
    curve = PchipInterpolator(*zip(*reference, strict=True))
    slope = curve.derivative()
    angles = [-3.0, 1.0, 4.0, 9.0, 15.0, 33.0, 39.0, 42.0]
    inside = [min(max(angle - 0.5, 0.0), 40.0) for angle in angles]
    expected = [float(curve(at) + slope(at) * (angle - 0.5 - at)) for angle, at in zip(angles, inside, strict=True)]
    residuals, slopes = compare(reference, [(angle, 7.0) for angle in angles], 0.5)
    assert residuals == pytest.approx([7.0 - each for each in expected], abs=1e-12)
    assert slopes == pytest.approx([float(slope(at)) for at in inside], abs=1e-12)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_robust_phase_is_where_biweighted_residuals_pull_neither_way(seed: int) -> None:
    """A. E. Beaton, J. W. Tukey, Technometrics 16 (1974) 147: weights (1 - (r / 4.685 s)^2)^2, s = 1.4826 median |r|.

    Only rows whose slope is at least a twentieth of the steepest tell s.
    """
    rows = measured(-0.85, wear=0.4, noise=0.02, seed=seed)
    curve = PchipInterpolator(*zip(*REFERENCE, strict=True))

    found = survey(REFERENCE, rows)
    assert found.robust_phase_deg is not None
    left = np.array([height - float(curve(at - found.robust_phase_deg)) for at, height in rows])
    slopes = np.array([float(curve.derivative()(at - found.robust_phase_deg)) for at, _ in rows])
    s = 1.4826 * float(np.median(np.abs(left[np.abs(slopes) > 0.05 * np.abs(slopes).max()])))
    weights = np.clip(1.0 - (left / (4.685 * s)) ** 2, 0.0, None) ** 2
    steep = float(np.sum(weights * slopes**2))
    assert float(np.sum(weights * left * slopes)) / steep == pytest.approx(0.0, abs=1e-9)
    assert found.u_robust_deg == pytest.approx(s / sqrt(steep), rel=1e-6)


@pytest.mark.parametrize(
    ("angle", "phase", "leaves"),
    [(-40.0, 0.0, False), (-40.1, 0.0, True), (30.0, 0.0, False), (30.1, 0.0, True), (30.1, 0.2, False), (-39.9, 0.2, True)],
)
def test_a_row_leaves_the_table_at_either_end(angle: float, phase: float, leaves: bool) -> None:
    table = [(-40.0, 1.0), (0.0, 35.0), (30.0, 60.0)]
    assert leaves_table(table, [(0.0, 35.0), (angle, 20.0)], phase) is leaves
    assert leaves_table(table, [(angle, 20.0), (0.0, 35.0)], phase) is leaves
