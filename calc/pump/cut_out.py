"""Can the unit be stopped from injecting? The opening at index 0 and the index of zero delivery."""

from __future__ import annotations

from math import sqrt

from calc.measure.conformity import SLACK
from calc.measure.gum import root_sum_square


def lift_beyond_seat(opening_mm: float, seat_contact_mm: float, spill_ratio: float) -> float:
    """Plunger lift by which the spill valve is ahead of its opening when the suction valve closes at index 0.

    Formula: w = (z - s) / i_o. Parameters: readings [mm], ratio [mm/mm]. Returns: [mm, above 0 where the unit cuts out].

    >>> round(lift_beyond_seat(1.05, 0.03, 0.8), 4)
    1.275
    """
    return (opening_mm - seat_contact_mm) / spill_ratio


def zero_delivery_index(fuel_index: float, effective_stroke_mm: float, w_mm: float) -> float | None:
    """Fuel index at and below which nothing is delivered.

    Formula: I_ref w / (H_o - H_c + w), since the spill lift is linear in the index. Parameters: reference index [1, above
    0], effective stroke [mm], w [mm]. Returns: [index], None unless w and the denominator are above 0.

    >>> round(zero_delivery_index(7.0, 24.0, 1.275), 2)
    0.35
    """
    if w_mm <= SLACK or effective_stroke_mm + w_mm <= SLACK:
        return None
    return fuel_index * w_mm / (effective_stroke_mm + w_mm)


def zero_delivery_doubt(fuel_index: float, effective_stroke_mm: float, w_mm: float, u_stroke_mm: float, u_w_mm: float) -> float:
    """Standard uncertainty of the index of zero delivery by the opening at index 0.

    Formula: u^2 = (I_ref / (L + w)^2)^2 (L^2 u^2(w) + w^2 u^2(L)), L the effective stroke; the ratio i_o counts as exact, and
    is what a comparison with a line over the index proves. Parameters: as for `zero_delivery_index`, and u of both [mm].
    Returns: [index]. Source: JCGM 100:2008, equation 10.

    >>> round(zero_delivery_doubt(7.0, 24.0, 1.275, 0.015, 0.01), 5)
    0.00264
    """
    factor = fuel_index / (effective_stroke_mm + w_mm) ** 2
    return factor * root_sum_square((effective_stroke_mm * u_w_mm, w_mm * u_stroke_mm))


def opening_uncertainty(u_valve_mm: float, ratio_suction: float, ratio_spill: float, u_repeats_mm: float) -> float:
    """Standard uncertainty of the zero-index opening.

    Formula: u^2 = u_v^2 (1 + (i_o / i_c)^2) + rep^2: the suction valve's contact is found with a valve gauge too, and its
    error moves the spill valve through the plunger. Returns: [mm].

    >>> round(opening_uncertainty(0.005, 0.8, 0.8, 0.004), 5)
    0.00812
    """
    return sqrt((u_valve_mm * sqrt(1.0 + (ratio_spill / ratio_suction) ** 2)) ** 2 + u_repeats_mm**2)
