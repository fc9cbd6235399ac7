"""A cam's lift table as measured against the reference: how far the whole cam stands off, and what is worn.

Model: measured lift(angle) = reference(angle - phase) + wear; the reference is the monotone cubic through its table,
going on straight beyond its ends. The phase is the one of least squares. Wear takes lift away on one side only and so
pulls that phase; a second phase, found with outliers weighted down, tells when it does.
Sources: least squares, JCGM 100:2008, H.3; its robust start, least trimmed squares (P. J. Rousseeuw 1984); weights,
J. W. Tukey's biweight with the usual 4.685 (from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import fsum, inf, sqrt
from statistics import median

from calc.measure.monotone import MonotoneCubic
from calc.measure.spread import SIGMA_OF_MAD
from calc.measure.student import t_quantile
from calc.pump.cam import LEVEL_MM_PER_DEG

FARTHEST_DEG = 20.0  # How far the phase is searched for on each side.
_GRID_DEG = 0.25
_VALLEY_DEG = 1e-5
_FINER = 25
# Rows on a level stretch scatter by far less than this share of the cam's lift; what is more is no noise.
_NOISE_SHARE = 0.002
_SURE = 0.9995
_BIWEIGHT = 4.685
_FINEST_MM = 1e-6  # Scatter below this is rounding noise of an exact table.

Rows = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Survey:
    """The phase found, and what is left at each measured point. Sign: positive phase is later, negative residual is wear."""

    phase_deg: float
    u_phase_deg: float | None
    residual_mm: tuple[float, ...]
    slope_mm_per_deg: tuple[float, ...]
    robust_phase_deg: float | None
    u_robust_deg: float | None

    @property
    def worst_mm(self) -> float:
        """The residual that is largest either way, with its sign [mm].

        >>> Survey(0.0, None, (0.01, -0.2, 0.1), (1.0, 1.0, 1.0), None, None).worst_mm
        -0.2
        """
        return max(self.residual_mm, key=abs)


class LevelError(ValueError):
    """No point lies on a flank, so nothing tells the phase."""


class BeyondError(ValueError):
    """The best phase is at the end of the search or beyond it."""


def survey(reference: Rows, measured: Rows) -> Survey:
    """Phase of a measured cam against its reference, and the residuals.

    Formula: least sum of (measured - reference(angle - phase))^2 over |phase| up to 20 deg; u = s / sqrt(sum of slope^2),
    s^2 = RSS / (n - 1). Parameters: rows of [deg, mm], reference angles rising strictly, 2 and more; measured 1 and more.
    Returns: [deg], [mm], [mm/deg]. Raises: LevelError, BeyondError.

    >>> rise = [(-40.0, 0.0), (-20.0, 8.0), (0.0, 40.0), (20.0, 58.0), (30.0, 60.0)]
    >>> later = [(angle + 0.5, lift) for angle, lift in rise]
    >>> round(survey(rise, later).phase_deg, 9)
    0.5
    """
    curve = _Straight(MonotoneCubic.through([angle for angle, _ in reference], [lift for _, lift in reference]))
    phase = _least_squares(curve, measured)
    residuals, slopes = _compare(curve, measured, phase)
    steep = fsum(slope * slope for slope in slopes)
    n = len(measured)
    u = sqrt(fsum(each * each for each in residuals) / (n - 1) / steep) if n > 1 else None
    robust = _robust(curve, measured)
    return Survey(phase, u, tuple(residuals), tuple(slopes), *(robust or (None, None)))


@dataclass(frozen=True, slots=True)
class _Straight:
    """The reference curve, going on straight beyond its table."""

    curve: MonotoneCubic

    def at(self, angle_deg: float) -> tuple[float, float]:
        """Lift and slope."""
        inside = min(max(angle_deg, self.curve.x[0]), self.curve.x[-1])
        slope = self.curve.slope(inside)
        return self.curve.value(inside) + slope * (angle_deg - inside), slope


def _compare(curve: _Straight, measured: Rows, phase_deg: float) -> tuple[list[float], list[float]]:
    residuals, slopes = [], []
    for angle, lift in measured:
        expected, slope = curve.at(angle - phase_deg)
        residuals.append(lift - expected)
        slopes.append(slope)
    return residuals, slopes


def compare(reference: Rows, measured: Rows, phase_deg: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """What is left at each measured row once the reference is moved by a phase, and the reference's slope there.

    Parameters: rows as for `survey`; phase_deg [deg, positive later]. Returns: residuals [mm], slopes [mm/deg].

    >>> compare([(0.0, 0.0), (10.0, 5.0)], [(5.0, 2.0)], 1.0)
    ((0.0,), (0.5,))
    """
    curve = _Straight(MonotoneCubic.through([angle for angle, _ in reference], [lift for _, lift in reference]))
    residuals, slopes = _compare(curve, measured, phase_deg)
    return tuple(residuals), tuple(slopes)


def _grid() -> list[float]:
    """All phases to try first, the small ones before the large, so that a tie gives the smallest."""
    steps = round(FARTHEST_DEG / _GRID_DEG)
    return sorted((k * _GRID_DEG for k in range(-steps, steps + 1)), key=lambda each: (abs(each), each))


def _thinned(measured: Rows, most: int = 120) -> Rows:
    """Every so-many-th row: enough to tell which valley is the deepest."""
    return measured[:: -(-len(measured) // most)]


def _least_squares(curve: _Straight, measured: Rows) -> float:
    def misfit(phase_deg: float) -> float:
        return fsum(each * each for each in _compare(curve, measured, phase_deg)[0])

    def gradient(phase_deg: float) -> float:
        residuals, slopes = _compare(curve, measured, phase_deg)
        return fsum(residual * slope for residual, slope in zip(residuals, slopes, strict=True))

    best = _coarse(curve, _thinned(measured))
    found = _valley(misfit, max(best - _GRID_DEG, -FARTHEST_DEG), min(best + _GRID_DEG, FARTHEST_DEG))
    if abs(found) > FARTHEST_DEG - 2.0 * _VALLEY_DEG and misfit(found) >= misfit(FARTHEST_DEG if found > 0 else -FARTHEST_DEG):
        raise BeyondError
    found = _crossing(gradient, found - 1e-4, found + 1e-4, found)
    if not _on_flank(curve, measured, found):
        raise LevelError
    return found


def _coarse(curve: _Straight, few: Rows) -> float:
    """The best phase of the grid. Raises: LevelError where level stretches explain the rows as well as any flank does."""
    misfits: dict[float, float] = {}
    level = inf
    for phase in _grid():
        residuals, slopes = _compare(curve, few, phase)
        misfits[phase] = fsum(each * each for each in residuals)
        if all(abs(slope) <= LEVEL_MM_PER_DEG for slope in slopes):
            level = min(level, misfits[phase])
    best = min(misfits, key=misfits.__getitem__)
    # What a flank explains better has to be more than scatter, or the noise of a base circle would pass for a phase.
    n = len(few)
    room = t_quantile(_SURE, n - 1) ** 2 / (n - 1) if n > 1 else 0.0
    looks_level = sqrt(level / n) <= _NOISE_SHARE * (max(curve.curve.y) - min(curve.curve.y))
    if level <= misfits[best] or (looks_level and level - misfits[best] <= room * misfits[best]):
        raise LevelError
    return best


def _on_flank(curve: _Straight, measured: Rows, phase_deg: float) -> bool:
    return any(abs(slope) > LEVEL_MM_PER_DEG for slope in _compare(curve, measured, phase_deg)[1])


def _valley(function: Callable[[float], float], low: float, high: float) -> float:
    """The lowest point between two others (golden section)."""
    ratio = 0.5 * (sqrt(5.0) - 1.0)
    left, right = high - ratio * (high - low), low + ratio * (high - low)
    at_left, at_right = function(left), function(right)
    while high - low > _VALLEY_DEG:
        if at_left <= at_right:
            high, right, at_right = right, left, at_left
            left = high - ratio * (high - low)
            at_left = function(left)
        else:
            low, left, at_left = left, right, at_right
            right = low + ratio * (high - low)
            at_right = function(right)
    return 0.5 * (low + high)


def _crossing(function: Callable[[float], float], low: float, high: float, otherwise: float) -> float:
    """Where a rising function passes 0, to the last bit; a valley alone is known to half of a double's digits only."""
    if not function(low) < 0.0 < function(high):
        return otherwise
    for _ in range(80):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if function(middle) < 0.0:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _robust(curve: _Straight, measured: Rows) -> tuple[float, float] | None:
    """A phase that a few worn points cannot pull, and its standard uncertainty; None where it does not settle."""
    few = _thinned(measured)
    phase = min(_grid(), key=lambda each: _best_half(curve, few, each))
    steps = [phase + _GRID_DEG * k / _FINER for k in range(-_FINER, _FINER + 1)]
    phase = min(steps, key=lambda each: _best_half(curve, few, each))
    for _ in range(200):
        residuals, slopes = _compare(curve, measured, phase)
        steepest = max(map(abs, slopes))
        on_flank = [abs(residuals[i]) for i in _flank(slopes)]
        if steepest <= LEVEL_MM_PER_DEG or len(on_flank) < 3:
            return None
        scatter = max(SIGMA_OF_MAD * median(on_flank), _FINEST_MM)
        weights = [_weight(residual / (_BIWEIGHT * scatter)) for residual in residuals]
        steep = fsum(weight * slope * slope for weight, slope in zip(weights, slopes, strict=True))
        if steep <= LEVEL_MM_PER_DEG**2:
            return None
        pull = fsum(w * residual * slope for w, residual, slope in zip(weights, residuals, slopes, strict=True))
        step = -pull / steep
        phase += step
        if abs(phase) > FARTHEST_DEG:
            return None
        if abs(step) < 1e-10:
            return phase, scatter / sqrt(steep)
    return None


def _best_half(curve: _Straight, measured: Rows, phase_deg: float) -> float:
    """Sum of squares over the half of the flank's rows that fit best (least trimmed squares, Rousseeuw 1984)."""
    residuals, slopes = _compare(curve, measured, phase_deg)
    on_flank = sorted(residuals[i] ** 2 for i in _flank(slopes))
    return fsum(on_flank[: len(on_flank) // 2 + 1])


def _flank(slopes: Sequence[float]) -> list[int]:
    """The rows that a phase moves, at least a little."""
    steepest = max(map(abs, slopes))
    return [i for i, slope in enumerate(slopes) if abs(slope) > 0.05 * steepest]


def _weight(distance: float) -> float:
    return (1.0 - distance * distance) ** 2 if abs(distance) < 1.0 else 0.0


def leaves_table(reference: Rows, measured: Rows, phase_deg: float) -> bool:
    """Whether a measured point, moved back by the phase, lies beyond the reference table. Parameters: rows [deg, mm], [deg].

    >>> leaves_table([(0.0, 0.0), (10.0, 5.0)], [(10.2, 5.0)], 0.0)
    True
    """
    shifted = [angle - phase_deg for angle, _ in measured]
    return min(shifted) < reference[0][0] or max(shifted) > reference[-1][0]


def rising(rows: Rows) -> int | None:
    """The first row whose angle does not follow the one before; None where all rise. Parameters: rows [deg, mm].

    >>> rising([(0.0, 0.0), (1.0, 1.0), (1.0, 2.0)])
    2
    """
    return next((i + 1 for i, (a, b) in enumerate(pairwise(rows)) if b[0] <= a[0] + 1e-9), None)
