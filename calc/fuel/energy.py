"""Specific energy of a fuel from its analysis.

Source: ISO 8217, annex on specific energy; ASTM D4868 for distillates. Which set of coefficients is which is partly
from memory: the two differ by about 0.27 MJ/kg.
"""

from __future__ import annotations

from dataclasses import dataclass

RESIDUAL, DISTILLATE = "residual", "distillate"


@dataclass(frozen=True, slots=True)
class _Coefficients:
    net: float
    gross: float
    square: float
    linear: float


_OF = {
    RESIDUAL: _Coefficients(net=46.704, gross=52.190, square=8.802, linear=3.167),
    DISTILLATE: _Coefficients(net=46.423, gross=51.916, square=8.792, linear=3.170),
}


def net_mj_kg(kind: str, density_15_kg_m3: float, sulphur_percent: float, water_percent: float, ash_percent: float) -> float:
    """Net specific energy: what an engine can use, with the water of combustion as steam.

    Formula, residual: (46.704 - 8.802e-6 rho^2 + 3.167e-3 rho) [1 - 0.01 (w + a + S)] + 0.01 (9.420 S - 2.449 w);
    distillate: 46.423, 8.792, 3.170. Parameters: kind, density at 15 degC [kg/m3], shares of the mass [%].
    Returns: [MJ/kg]. Source: ISO 8217, annex.

    >>> round(net_mj_kg("residual", 991.0, 3.5, 0.5, 0.1), 2), round(net_mj_kg("distillate", 850.0, 0.1, 0.0, 0.0), 2)
    (39.83, 42.73)
    """
    k, rho = _OF[kind], density_15_kg_m3
    pure = k.net - k.square * rho**2 * 1e-6 + k.linear * rho * 1e-3
    return pure * _burning(sulphur_percent, water_percent, ash_percent) + 0.01 * (
        9.420 * sulphur_percent - 2.449 * water_percent
    )


def gross_mj_kg(kind: str, density_15_kg_m3: float, sulphur_percent: float, water_percent: float, ash_percent: float) -> float:
    """Gross specific energy: with the water of combustion as liquid.

    Formula, residual: (52.190 - 8.802e-6 rho^2) [1 - 0.01 (w + a + S)] + 0.0942 S; distillate: 51.916, 8.792.
    Parameters: as for the net one, [kg/m3] and [%]. Returns: [MJ/kg]. Source: ISO 8217, annex.

    >>> round(gross_mj_kg("residual", 991.0, 3.5, 0.5, 0.1), 2)
    42.09
    """
    k, rho = _OF[kind], density_15_kg_m3
    pure = k.gross - k.square * rho**2 * 1e-6
    return pure * _burning(sulphur_percent, water_percent, ash_percent) + 0.01 * 9.420 * sulphur_percent


def _burning(sulphur_percent: float, water_percent: float, ash_percent: float) -> float:
    return 1.0 - 0.01 * (water_percent + ash_percent + sulphur_percent)
