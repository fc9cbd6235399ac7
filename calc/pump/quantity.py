"""How much fuel one stroke delivers, for how long, and how evenly the units share it."""

from __future__ import annotations

from math import pi


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


def injection_ms(delivery_angle_deg: float, speed_rpm: float) -> float:
    """Time of delivery. Formula: angle / (6 n) x 1000. Parameters: [deg], [rpm, above 0]. Returns: [ms].

    >>> round(injection_ms(18.0, 100.0), 6)
    30.0
    """
    return delivery_angle_deg / (6.0 * speed_rpm) * 1000.0
