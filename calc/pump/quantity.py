"""How much fuel one stroke delivers, for how long, and how evenly the units share it."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi

from calc.measure.gum import root_sum_square


def plunger_area_mm2(diameter_mm: float) -> float:
    """Area of the plunger. Formula: pi d^2 / 4. Returns: [mm2].

    >>> round(plunger_area_mm2(62.0), 2)
    3019.07
    """
    return 0.25 * pi * diameter_mm**2


def cm3_per_cycle(diameter_mm: float, effective_stroke_mm: float) -> float:
    """Volume displaced in the effective stroke. Formula: area x stroke / 1000. Parameters: [mm]. Returns: [cm3].

    Source: geometry; the same relation as in the injection examples of IC-engine textbooks.

    >>> round(cm3_per_cycle(62.0, 17.31327945), 4)
    52.27
    """
    return plunger_area_mm2(diameter_mm) * effective_stroke_mm / 1000.0


def g_per_cycle(volume_cm3: float, density_kg_m3: float) -> float:
    """Mass of that volume. Formula: V rho / 1000. Parameters: [cm3], density at the pump [kg/m3]. Returns: [g].

    >>> round(g_per_cycle(52.27001195, 930.0), 4)
    48.6111
    """
    return volume_cm3 * density_kg_m3 / 1000.0


def imbalance_percent(value: float, mean_value: float) -> float:
    """Deviation from the mean of the units. Formula: (value - mean) / mean x 100. Returns: [%].

    >>> round(imbalance_percent(23.6, 24.0), 2)
    -1.67
    """
    return (value - mean_value) / mean_value * 100.0


def imbalance_doubt(u_strokes_mm: Sequence[float], at: int, mean_mm: float) -> float:
    """Standard uncertainty of one unit's deviation from the mean, which it is itself a part of.

    Formula: u^2 = (100 / mean)^2 ((1 - 1/n)^2 u_at^2 + sum of the others' u^2 / n^2). Parameters: u of all strokes [mm], place
    of the unit among them, mean stroke [mm, above 0]. Returns: [%].

    >>> round(imbalance_doubt([0.03, 0.03], 0, 10.0), 4)
    0.2121
    """
    n = len(u_strokes_mm)
    parts = (u * (1.0 - 1.0 / n if j == at else 1.0 / n) for j, u in enumerate(u_strokes_mm))
    return 100.0 / mean_mm * root_sum_square(parts)


def injection_ms(delivery_angle_deg: float, speed_rpm: float) -> float:
    """Time of delivery. Formula: angle / (6 n) x 1000. Parameters: [deg], [rpm, above 0]. Returns: [ms].

    >>> round(injection_ms(18.0, 100.0), 6)
    30.0
    """
    return delivery_angle_deg / (6.0 * speed_rpm) * 1000.0
