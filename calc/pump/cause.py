"""What stands behind a deviation: a rod, this unit's cam, what all units share, or readings that disagree.

A cause is named when it is beyond three standard uncertainties and moves an angle by at least a third of the
tolerance; a plain 95 % test would accuse most healthy engines of something, since an engine gives many results.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, pi, sqrt
from statistics import median

from calc.measure.conformity import SLACK

SIGNIFICANT = 3.0
NOTEWORTHY_SHARE = 1.0 / 3.0
UNITS_FOR_COMMON = 3

SUCTION_ROD, SPILL_ROD, CAM_POSITION = "suction_rod", "spill_rod", "cam_position"
COMMON_SHIFT, COMMON_SETTING, READINGS_DISAGREE = "common_shift", "common_setting", "readings_disagree"


def named(size: float, u: float, effect_deg: float, tolerance_deg: float) -> bool:
    """Whether a cause is named: beyond 3 u, and moving an angle by at least a third of the tolerance.

    Parameters: size and u [one unit]; effect_deg [deg]; tolerance_deg [deg, above 0].

    >>> named(0.31, 0.011, 0.19, 0.4), named(0.03, 0.011, 0.02, 0.4)
    (True, False)
    """
    return abs(size) > SIGNIFICANT * u and abs(effect_deg) >= NOTEWORTHY_SHARE * tolerance_deg - SLACK


def hinted(size: float, u: float, effect_deg: float, tolerance_deg: float) -> bool:
    """Whether a weaker sign is worth a word: beyond 2 u and a tenth of the tolerance, but not named.

    Parameters: size and u [one unit]; effect_deg [deg]; tolerance_deg [deg, above 0]. Source: this project's own choice.

    >>> hinted(0.10, 0.04, 0.08, 0.4)
    True
    """
    weak = abs(size) > 2.0 * u and abs(effect_deg) >= 0.1 * tolerance_deg
    return weak and not named(size, u, effect_deg, tolerance_deg)


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its standard uncertainty; `alone` is that uncertainty without the shared pointer's part.

    `alone` is carried along, since taking a large pointer term out of `u` again would lose every digit.
    """

    value: float
    u: float
    alone: float


def unit_cam_part(parts: Sequence[Estimate], u_pointer_deg: float) -> Estimate:
    """The cam part of a unit from those of its events.

    Formula: weights 1 / (u^2(P) - u_t^2); u^2 = 1 / sum of weights + u_t^2: the pointer is shared, so it does not average
    out. Parameters: one or two cam parts [deg]. Returns: [deg]. Source: JCGM 100:2008, inverse-variance weights.

    >>> round(unit_cam_part([Estimate(0.10, 0.05, 0.04), Estimate(0.20, 0.05, 0.04)], 0.03).value, 9)
    0.15
    """
    if len(parts) == 1:
        return parts[0]
    weights = [1.0 / part.alone**2 for part in parts]
    total = fsum(weights)
    value = fsum(weight * part.value for weight, part in zip(weights, parts, strict=True)) / total
    return Estimate(value, sqrt(1.0 / total + u_pointer_deg**2), sqrt(1.0 / total))


def median_variance(variances: Sequence[float]) -> float:
    """Variance of the median of independent values.

    Formula: (pi / 2) mean(variance) / n, the large-sample variance of a median of normal values.
    Parameters: variances [a unit squared, not negative]. Returns: [that unit squared].
    Source: M. G. Kendall, A. Stuart, "The Advanced Theory of Statistics", vol. 1 (title and result from memory).

    >>> round(median_variance([0.01, 0.01, 0.01, 0.01]), 6)
    0.003927
    """
    return 0.5 * pi * fsum(variances) / len(variances) ** 2


@dataclass(frozen=True, slots=True)
class CommonPart:
    """The median of the units' cam parts: camshaft drive or flywheel pointer. `own` are the units' remaining parts."""

    common: Estimate
    own: tuple[Estimate, ...]


def common_part(parts: Sequence[Estimate], u_pointer_deg: float) -> CommonPart:
    """What the cam parts of three or more units share, and what is each unit's own.

    Formulas: common = median; a = u^2 - u_t^2; v = (pi/2) mean(a) / n; u^2(common) = u_t^2 + v; own = part - common,
    u^2(own) = a (1 - 2/n) + v. Parameters: cam parts of the units [deg]. Returns: [deg].

    >>> shared = common_part([Estimate(value, 0.06, 0.033) for value in (-0.35, -0.36, 0.24)], 0.05)
    >>> shared.common.value, round(shared.own[2].value, 2)
    (-0.35, 0.59)
    """
    n = len(parts)
    middle = median(part.value for part in parts)
    v = median_variance([part.alone**2 for part in parts])
    own_u = [sqrt(part.alone**2 * (1.0 - 2.0 / n) + v) for part in parts]
    own = tuple(Estimate(part.value - middle, u, u) for part, u in zip(parts, own_u, strict=True))
    return CommonPart(Estimate(middle, sqrt(u_pointer_deg**2 + v), sqrt(v)), own)


@dataclass(frozen=True, slots=True)
class LiftError:
    """A unit's lift deviation at one event [mm], its standard uncertainty, and the angle that it moves [deg]."""

    value: float
    u: float
    effect_deg: float


def common_setting(errors: Sequence[LiftError], tolerance_deg: float) -> Estimate | None:
    """The lift error that all units share at one event: index, linkage, timing setting or offset, not rods.

    Rule: three or more units; every D on the same side, beyond 3 u and within 3 u of the median; the median effect at
    least a third of the tolerance. Formula: median, u^2 = (pi/2) mean(u^2) / n. Returns: [mm], or None.

    >>> common_setting([LiftError(0.75, 0.01, 0.46)] * 3, 0.4).value
    0.75
    """
    if len(errors) < UNITS_FOR_COMMON:
        return None
    middle = median(error.value for error in errors)
    effect = median(abs(error.effect_deg) for error in errors)
    together = all(
        error.value * middle > 0.0
        and abs(error.value) > SIGNIFICANT * error.u
        and abs(error.value - middle) <= SIGNIFICANT * error.u + SLACK
        for error in errors
    )
    if not together or effect < NOTEWORTHY_SHARE * tolerance_deg - SLACK:
        return None
    u = sqrt(median_variance([error.u**2 for error in errors]))
    return Estimate(middle, u, u)
