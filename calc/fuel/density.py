"""Density of a petroleum product at another temperature.

Source: ASTM D1250 / API MPMS chapter 11.1, generalised products, 15 degC base.
"""

from __future__ import annotations

from itertools import pairwise
from math import exp, inf, nextafter

LOWEST_C, HIGHEST_C = -50.0, 150.0
LOWEST_KG_M3, HIGHEST_KG_M3 = 611.16, 1163.85  # Limits of the 2004 edition, 15 degC base (from memory).


_BAND_EDGES_KG_M3 = (770.5, 787.5, 838.5)
_LEAST_15_KG_M3, _MOST_15_KG_M3 = 400.0, 1800.0  # Far beyond any fuel: where the search starts and ends.


def expansion_15(density_15_kg_m3: float) -> float:
    """Thermal expansion at 15 degC.

    Formula: K0 / rho^2 + K1 / rho, with constants by band: below 770.5 gasoline, to 787.5 a transition, to 838.5 jet fuel,
    above it fuel oil; the lower edge belongs to the band. Parameters: [kg/m3, above 0]. Returns: [1/degC].

    >>> round(expansion_15(992.0) * 1e4, 5)
    6.80118
    """
    rho = density_15_kg_m3
    if rho < 770.5:
        return 346.4228 / rho**2 + 0.4388 / rho
    if rho < 787.5:
        return -0.00336312 + 2680.3206 / rho**2
    if rho < 838.5:
        return 594.5418 / rho**2
    return 186.9696 / rho**2 + 0.4862 / rho


def volume_correction(density_15_kg_m3: float, temperature_c: float) -> float:
    """Volume correction factor to 15 degC.

    Formula: exp(-a dt (1 + 0.8 a dt)), dt = t - 15. Parameters: [kg/m3], [degC]. Returns: [1].

    >>> round(volume_correction(992.0, 36.0), 4)
    0.9857
    """
    swelling = expansion_15(density_15_kg_m3) * (temperature_c - 15.0)
    return exp(-swelling * (1.0 + 0.8 * swelling))


def density_at(density_15_kg_m3: float, temperature_c: float) -> float:
    """Density at a temperature. Formula: rho15 x VCF. Parameters: [kg/m3], [degC]. Returns: [kg/m3].

    >>> round(density_at(992.0, 36.0), 1)
    977.8
    """
    return density_15_kg_m3 * volume_correction(density_15_kg_m3, temperature_c)


def density_15_from(observed_kg_m3: float, observed_c: float) -> float:
    """Density at 15 degC of a fuel whose density was measured at another temperature.

    Formula: rho15 x VCF(rho15, t) = observed, solved for rho15; no correction for the hydrometer's glass.
    Parameters: [kg/m3, 600 to 1100], [degC, -50 to 400]. Returns: [kg/m3]. Where two bands leave a gap at their edge, a
    density in it gives the edge; where they overlap, the upper band counts.

    >>> round(density_15_from(935.0, 90.0), 4)
    986.3782
    """
    edges = (_LEAST_15_KG_M3, *_BAND_EDGES_KG_M3, _MOST_15_KG_M3)
    for lowest, end in reversed(list(pairwise(edges))):
        if observed_kg_m3 >= density_at(lowest, observed_c):
            return _solve(observed_kg_m3, observed_c, lowest, nextafter(end, 0.0))
    return _LEAST_15_KG_M3


def _solve(observed_kg_m3: float, observed_c: float, low: float, high: float) -> float:
    """Bisection inside one band, where density rises with density; its end where even that is too light."""
    if density_at(high, observed_c) < observed_kg_m3:
        # In the gap: the next band starts heavier than this one ends.
        return nextafter(high, inf)
    if density_at(low, observed_c) >= observed_kg_m3:
        return low
    while True:
        middle = 0.5 * (low + high)
        if middle in (low, high):
            return high
        if density_at(middle, observed_c) < observed_kg_m3:
            low = middle
        else:
            high = middle
