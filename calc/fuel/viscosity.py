"""Viscosity of a fuel over temperature, from two measured points.

Source: ASTM D341, with the terms for low viscosity; T = t + 273.15.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log10

LOWEST_MM2_S, HIGHEST_MM2_S = 0.21, 2e7  # Range of the equation (ASTM D341).
ZERO_C_IN_K = 273.15
_LARGEST_LOG_K = 5.0  # No liquid is hotter than 1e5 K; it keeps powers of ten inside a double.


def z_of(viscosity_mm2_s: float) -> float:
    """The quantity whose double logarithm is a straight line over the logarithm of temperature.

    Formula: Z = v + 0.7 + exp(-1.47 - 1.84 v - 0.51 v^2). Parameters: [mm2/s, above 0]. Returns: [1].
    Source: ASTM D341.

    >>> round(z_of(0.5), 7), round(z_of(5.0), 6)
    (1.280661, 5.7)
    """
    v = viscosity_mm2_s
    return v + 0.7 + exp(-1.47 - 1.84 * v - 0.51 * v * v)


def viscosity_of(z: float) -> float:
    """Viscosity that belongs to a Z: the inverse of `z_of`, found numerically.

    Formula: v + 0.7 + exp(-1.47 - 1.84 v - 0.51 v^2) = Z, by Newton's method from v = Z - 0.7 down.
    Parameters: z [1, from z_of(0.21)]. Returns: [mm2/s].
    The closed form printed in the standard is an approximation, off by up to 2e-4 mm2/s.

    >>> round(viscosity_of(z_of(1.5)), 12)
    1.5
    """
    v = z - 0.7
    for _ in range(60):
        low = exp(-1.47 - 1.84 * v - 0.51 * v * v)
        step = (v + 0.7 + low - z) / (1.0 - (1.84 + 1.02 * v) * low)
        v -= step
        if abs(step) <= 1e-15 * v:
            break
    return v


def double_log(viscosity_mm2_s: float) -> float:
    """lg lg Z of a viscosity. Parameters: [mm2/s, 0.21 and more]. Returns: [1]. Source: ASTM D341.

    >>> round(double_log(380.0), 4)
    0.4117
    """
    return log10(log10(z_of(viscosity_mm2_s)))


@dataclass(frozen=True, slots=True)
class ViscosityLine:
    """One fuel: lg lg Z = A - B lg T.

    >>> line = ViscosityLine.through((50.0, 380.0), (100.0, 35.0))
    >>> round(line.a, 4), round(line.b, 4), round(line.at(130.0), 4), round(line.temperature_for(13.0), 2)
    (9.2734, 3.5314, 14.4927, 134.45)
    """

    a: float
    b: float

    @classmethod
    def through(cls, cold: tuple[float, float], hot: tuple[float, float]) -> ViscosityLine:
        """The line through two points [degC, mm2/s] at two temperatures, each viscosity from 0.21 to 2e7."""
        (cold_c, cold_v), (hot_c, hot_v) = cold, hot
        log_cold, log_hot = log10(cold_c + ZERO_C_IN_K), log10(hot_c + ZERO_C_IN_K)
        b = (double_log(cold_v) - double_log(hot_v)) / (log_hot - log_cold)
        return cls(double_log(cold_v) + b * log_cold, b)

    def at(self, temperature_c: float) -> float | None:
        """Viscosity at a temperature [degC]. Returns: [mm2/s], None outside the range of the equation."""
        level = self.a - self.b * log10(temperature_c + ZERO_C_IN_K)
        # A hair of room, so that the end of the range itself is inside.
        if not double_log(LOWEST_MM2_S) - 1e-12 <= level <= double_log(HIGHEST_MM2_S) + 1e-12:
            return None
        return float(viscosity_of(10.0**10.0**level))

    def temperature_for(self, viscosity_mm2_s: float) -> float | None:
        """Temperature at which the fuel has a viscosity [mm2/s]. Returns: [degC], None outside the range or never."""
        if not LOWEST_MM2_S <= viscosity_mm2_s <= HIGHEST_MM2_S:
            return None
        log_k = (self.a - double_log(viscosity_mm2_s)) / self.b
        return float(10.0**log_k - ZERO_C_IN_K) if log_k < _LARGEST_LOG_K else None
