"""How willingly a residual fuel ignites, told from density and viscosity.

Source: calculated carbon aromaticity index, ISO 8217, annex; coefficient 483 of the temperature term from memory. At
50 degC that term is 0.
"""

from __future__ import annotations

from math import log10

LEAST_MM2_S = 0.15  # lg lg (v + 0.85) does not exist from here down.


def temperature_term(temperature_c: float) -> float:
    """What brings a viscosity at another temperature to 50 degC.

    Formula: 483 lg[(t + 273) / 323]. Parameters: [degC]. Returns: [index].

    >>> round(temperature_term(100.0), 4), temperature_term(50.0)
    (30.1905, 0.0)
    """
    return 483.0 * log10((temperature_c + 273.0) / 323.0)


def ccai(density_15_kg_m3: float, viscosity_mm2_s: float, temperature_c: float) -> float:
    """Calculated carbon aromaticity index: the higher, the later the fuel ignites.

    Formula: rho15 - 81 - 141 lg lg(v + 0.85) - 483 lg[(t + 273) / 323].
    Parameters: [kg/m3], [mm2/s, above 0.15], its temperature [degC]. Returns: [index]. Source: ISO 8217, annex.

    >>> round(ccai(991.0, 380.0, 50.0), 2)
    851.94
    """
    return density_15_kg_m3 - 81.0 - 141.0 * log10(log10(viscosity_mm2_s + 0.85)) - temperature_term(temperature_c)
