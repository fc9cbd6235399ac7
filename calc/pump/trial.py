"""The first flat is a trial: what the gauges should show after it, and what it means when they show something else.

A trial can be looked at in two ways, and they tell different things:

- *Plunger standing still, valve gauge read before and after.* The gauge shows how far the rod moves the valve: 1 mm of rod,
  1 mm of valve. So it tells the direction of the rod and its effect e (wrong pitch, other thread, a lever between). It cannot
  tell the valve ratio, since the plunger does not move.
- *Turned ahead to contact again, plunger lift read before and after.* The event moves by e / i of the rod. So it tells i / e:
  the rod length that goes with 1 mm of lift error, which is all that a correction needs.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

from calc.measure.gum import root_sum_square
from calc.measure.student import t_quantile

AS_PREDICTED, OTHER_WAY, OTHER_AMOUNT, NOT_MOVED, TOO_SMALL = (
    "as_predicted",
    "other_way",
    "other_amount",
    "not_moved",
    "too_small",
)


def gauge_after(gauge_mm: float, rod_change_mm: float, lengthening_opens: bool = True, effect: float = 1.0) -> float | None:
    """What the valve's gauge shows once the rod has been turned, the plunger standing still.

    Formula: v + e x change, with the other sign where a longer rod lets its valve close further. At contact v is the
    seat-contact reading. Parameters: v [mm, above 0], change [mm, positive lengthens], effect e [mm valve per mm rod].
    Returns: [mm]; None where the valve comes to sit: its gauge then shows 0 and tells nothing of the amount.

    >>> gauge_after(0.03, 0.25), gauge_after(0.03, -0.25)
    (0.28, None)
    """
    shown = gauge_mm + effect * (rod_change_mm if lengthening_opens else -rod_change_mm)
    return shown if shown > 0.0 else None


def gauge_at_reference_lift(seat_contact_mm: float, lift_error_mm: float, ratio: float, spill: bool) -> float | None:
    """What the valve's gauge shows with the plunger at the reference lift: where a trial can be seen in either direction.

    Formula: suction s + i D, spill s - i D; the inverse of a reading at reference lift. Parameters: s and lift deviation D
    [mm], ratio [mm valve per mm plunger]. Returns: [mm]; None where the valve sits.

    >>> round(gauge_at_reference_lift(0.03, 0.4, 0.8, spill=False), 6), gauge_at_reference_lift(0.03, 0.4, 0.8, spill=True)
    (0.35, None)
    """
    shown = seat_contact_mm + ratio * (-lift_error_mm if spill else lift_error_mm)
    return shown if shown > 0.0 else None


def rod_effect(rod_change_mm: float, gauge_change_mm: float, lengthening_opens: bool = True) -> float:
    """How far the valve moves for 1 mm of rod, from a trial with the plunger standing still.

    Formula: change of the gauge / change of the rod, with the other sign where a longer rod lets its valve close further.
    Parameters: rod [mm, not 0], gauge [mm]. Returns: [mm/mm]; 1 where the rod acts straight on the valve, below 0 where the
    direction is the other one.

    >>> rod_effect(0.25, 0.5), rod_effect(0.25, -0.25)
    (2.0, -1.0)
    """
    effect = gauge_change_mm / rod_change_mm
    return effect if lengthening_opens else -effect


def rod_per_lift(rod_change_mm: float, lift_change_mm: float) -> float:
    """Rod length that goes with 1 mm of plunger lift, from two contacts with a trial between them.

    Formula: |change of the rod / change of the lift at contact| = i / e. It takes the place of the valve ratio in both rod
    formulas. Parameters: [mm, not 0]. Returns: [mm/mm, above 0].

    >>> rod_per_lift(-0.25, -0.3125)
    0.8
    """
    return abs(rod_change_mm / lift_change_mm)


def quotient_doubt(quotient: float, top: float, u_top: float, bottom: float, u_bottom: float) -> float:
    """Standard uncertainty of a quotient of two independent values.

    Formula: q sqrt((u_a / a)^2 + (u_b / b)^2). Parameters: quotient q [any unit], a and u_a, b and u_b [one unit each, not 0].
    Returns: the unit of the quotient. Source: JCGM 100:2008, 5.1.6, equation 12.

    >>> round(quotient_doubt(2.0, 0.5, 0.005, 0.25, 0.0), 6)
    0.02
    """
    return abs(quotient) * root_sum_square((u_top / top, u_bottom / bottom))


def contact_change_doubt(u_plunger_mm: float, u_valve_mm: float, ratio: float) -> float:
    """Standard uncertainty of the lift between two contacts.

    Formula: u^2 = u_p^2 + (u_v / i)^2: the two lifts are one difference on the plunger gauge; the two contacts one on the
    valve gauge, seen through the ratio. Parameters: [mm], ratio [mm valve per mm plunger, above 0]. Returns: [mm].
    Source: JCGM 100:2008, equation 10.

    >>> round(contact_change_doubt(0.006, 0.0064, 0.8), 6)
    0.01
    """
    return sqrt(u_plunger_mm**2 + (u_valve_mm / ratio) ** 2)


@dataclass(frozen=True, slots=True)
class Compared:
    """What a trial showed against what was predicted [mm].

    verdict: as predicted, the other way, another amount, not moved, or too small to tell with these gauges. half_width: the
    95 % range of the difference.
    """

    predicted_mm: float
    moved_mm: float
    half_width_mm: float
    verdict: str


def compare(moved_mm: float, u_moved_mm: float, predicted_mm: float, u_predicted_mm: float = 0.0) -> Compared:
    """Whether a gauge moved as predicted, at 95 %.

    Rule: first whether this gauge could have seen the move at all, then whether it moved, which way, and how far: as
    predicted where |moved - predicted| is at most 1.96 u, u^2 = u_moved^2 + u_predicted^2. Parameters: [mm]. Returns: the
    comparison. Source: JCGM 100:2008, G.3 (coverage).

    >>> [compare(moved, 0.005, 0.25).verdict for moved in (0.255, 0.5, -0.25, 0.004)]
    ['as_predicted', 'other_amount', 'other_way', 'not_moved']
    """
    cover = t_quantile(0.975, inf)
    half_width = cover * root_sum_square((u_moved_mm, u_predicted_mm))
    if abs(predicted_mm) <= half_width:
        verdict = TOO_SMALL
    elif abs(moved_mm) <= cover * u_moved_mm:
        verdict = NOT_MOVED
    elif moved_mm * predicted_mm < 0.0:
        verdict = OTHER_WAY
    else:
        verdict = AS_PREDICTED if abs(moved_mm - predicted_mm) <= half_width else OTHER_AMOUNT
    return Compared(predicted_mm, moved_mm, half_width, verdict)
