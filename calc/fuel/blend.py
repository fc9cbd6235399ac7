"""What a mixture of fuels is like. Whether the fuels agree with each other, no formula tells: that needs a spot test.

Viscosity: blending index of the Refutas method, constants from memory. Density: volumes add up, as is usual for
petroleum (common practice, no source). Sulphur: masses add up.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, fsum, log

LEAST_MM2_S = 0.2  # ln ln (v + 0.8) does not exist from here down.


def blending_index(viscosity_mm2_s: float) -> float:
    """The quantity that mixes in proportion to mass.

    Formula: 14.534 ln ln(v + 0.8) + 10.975. Parameters: [mm2/s, above 0.2]. Returns: [index].

    >>> round(blending_index(380.0), 3)
    36.876
    """
    return 14.534 * log(log(viscosity_mm2_s + 0.8)) + 10.975


def blended_viscosity(masses: Sequence[float], viscosities_mm2_s: Sequence[float]) -> float:
    """Viscosity of a mixture, all at one temperature.

    Formula: the blending indices' mean by mass, turned back into a viscosity. Parameters: masses [any one unit, above 0],
    viscosities [mm2/s, above 0.2]. Returns: [mm2/s].

    >>> round(blended_viscosity([1.0, 1.0], [380.0, 4.0]), 3)
    20.38
    """
    index = mean_by_mass(masses, [blending_index(each) for each in viscosities_mm2_s])
    return exp(exp((index - 10.975) / 14.534)) - 0.8


def mean_by_mass(masses: Sequence[float], values: Sequence[float]) -> float:
    """Mean of a property that masses carry, such as sulphur. Formula: sum(m x) / sum(m). Returns: the unit of the values.

    >>> mean_by_mass([3.0, 1.0], [0.5, 0.1])
    0.4
    """
    return fsum(mass * value for mass, value in zip(masses, values, strict=True)) / fsum(masses)


def blended_density(masses: Sequence[float], densities_kg_m3: Sequence[float]) -> float:
    """Density of a mixture whose volumes add up.

    Formula: sum(m) / sum(m / rho). Parameters: masses [any one unit, above 0], densities [kg/m3]. Returns: [kg/m3].

    >>> round(blended_density([1.0, 1.0], [991.0, 850.0]), 2)
    915.1
    """
    return fsum(masses) / fsum(mass / rho for mass, rho in zip(masses, densities_kg_m3, strict=True))
