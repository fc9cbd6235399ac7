"""Uncertainty budgets of lift, event angle and cam part, line by line.

Each function gives the lines (`Term`) of one budget in the unit of its result. A difference of two gauge readings
carries the step twice and the error limit once; the pointer is one error shared by every reading.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt

from calc.measure.gum import Term, combined, rectangular, resolution, root_sum_square
from calc.measure.pool import Repeatability
from calc.pump.cam import Flank, secant_doubt

PLUNGER_GAUGE, VALVE_GAUGE, ANGLE_SCALE, POINTER = "plunger gauge", "valve gauge", "flywheel scale", "flywheel pointer"
LIFT_REPEATS, ANGLE_REPEATS, VALVE_REPEATS = (
    "repeats of the lift",
    "repeats of the angle",
    "repeats of the valve reading",
)
REPEATED = (LIFT_REPEATS, ANGLE_REPEATS, VALVE_REPEATS)
SLOPE, INDEX = "cam slope", "fuel index"


def gauge_difference(step_mm: float, error_limit_mm: float) -> float:
    """Standard uncertainty of a lift, which is a difference of two readings of one gauge.

    Formula: u^2 = 2 r^2 / 12 + E^2 / 3. Parameters: step r [mm, above 0], error limit +/-E of any difference [mm].
    Returns: [mm]. Source: JCGM 100:2008, F.2.2.1 (step) and 4.3.7 (limits).

    >>> round(gauge_difference(0.01, 0.015), 5)
    0.00957
    """
    return root_sum_square((sqrt(2.0) * resolution(step_mm), rectangular(error_limit_mm)))


@dataclass(frozen=True, slots=True)
class Quality:
    """How well the instruments read: standard uncertainties of a plunger lift, a valve lift [mm], scale and pointer [deg]."""

    plunger_mm: float
    valve_mm: float
    scale_deg: float
    pointer_deg: float


@dataclass(frozen=True, slots=True)
class Budgets:
    """The three budgets of one event: its lift [mm], its angle [deg], its cam part [deg]."""

    lift: tuple[Term, ...]
    angle: tuple[Term, ...]
    cam_part: tuple[Term, ...]


def at_contact(
    quality: Quality,
    flank: Flank,
    ratio: float,
    travel_deg: float,
    lift_scatter: Repeatability,
    angle_scatter: Repeatability,
    count: int,
    index_mm: float = 0.0,
) -> Budgets:
    """Budgets of an event read at contact.

    Formulas: u^2(H) = u_p^2 + (u_v/i)^2 + rep^2; u^2(angle) = q^2/12 + u_t^2 + rep^2 + (u_v/(i k))^2;
    u^2(P) = q^2/12 + u_t^2 + rep^2 + (u_p/k)^2 + (rep_lift/k)^2 + slope term. The contact error cancels in P: it moves lift
    and angle along the same cam. Parameters: ratio i [mm/mm]; travel_deg D/k [deg]; scatter of single readings; count of
    repeats; index_mm: doubt of the spill lift from the fuel index [mm].

    >>> flat = Repeatability(0.0, 9)
    >>> budgets = at_contact(Quality(0.01, 0.004, 0.03, 0.05), Flank(12.0, 1.6), 0.8, 0.0, flat, flat, 2)
    >>> [term.name for term in budgets.angle]
    ['flywheel scale', 'flywheel pointer', 'repeats of the angle', 'valve gauge']
    """
    k = flank.slope
    contact = quality.valve_mm / ratio
    angle_parts = _angle_as_read(quality, angle_scatter, count)
    lift_repeats = lift_scatter.of_mean(count, LIFT_REPEATS)
    return Budgets(
        lift=(Term(PLUNGER_GAUGE, quality.plunger_mm), Term(VALVE_GAUGE, contact), lift_repeats, *_index(index_mm)),
        angle=(*angle_parts, Term(VALVE_GAUGE, contact / k), *_index(index_mm / k)),
        cam_part=(
            *angle_parts,
            Term(PLUNGER_GAUGE, quality.plunger_mm / k),
            lift_scatter.of_mean(count, LIFT_REPEATS, 1.0 / k),
            *_slope(flank, travel_deg),
        ),
    )


def at_reference_lift(
    quality: Quality,
    flank: Flank,
    ratio: float,
    travel_deg: float,
    valve_scatter: Repeatability,
    angle_scatter: Repeatability,
    count: int,
    index_mm: float = 0.0,
) -> Budgets:
    """Budgets of an event read at reference lift.

    Formulas: u^2(H) = u_p^2 + (u_v/i)^2 + (rep_v/i)^2; u^2(angle) = q^2/12 + u_t^2 + rep^2 + (u_v/(i k))^2 + (rep_v/(i k))^2
    + slope term; u^2(P) = q^2/12 + u_t^2 + rep^2 + (u_p/k)^2. Parameters as for `at_contact`.

    >>> flat = Repeatability(0.0, 9)
    >>> budgets = at_reference_lift(Quality(0.01, 0.004, 0.03, 0.05), Flank(12.0, 1.6), 0.8, 0.0, flat, flat, 2)
    >>> [term.name for term in budgets.cam_part]
    ['flywheel scale', 'flywheel pointer', 'repeats of the angle', 'plunger gauge']
    """
    k = flank.slope
    valve = quality.valve_mm / ratio
    angle_parts = _angle_as_read(quality, angle_scatter, count)
    return Budgets(
        lift=(
            Term(PLUNGER_GAUGE, quality.plunger_mm),
            Term(VALVE_GAUGE, valve),
            valve_scatter.of_mean(count, VALVE_REPEATS, 1.0 / ratio),
            *_index(index_mm),
        ),
        angle=(
            *angle_parts,
            Term(VALVE_GAUGE, valve / k),
            valve_scatter.of_mean(count, VALVE_REPEATS, 1.0 / (ratio * k)),
            *_slope(flank, travel_deg),
            *_index(index_mm / k),
        ),
        cam_part=(*angle_parts, Term(PLUNGER_GAUGE, quality.plunger_mm / k)),
    )


def _angle_as_read(quality: Quality, scatter: Repeatability, count: int) -> tuple[Term, ...]:
    return (Term(ANGLE_SCALE, quality.scale_deg), Term(POINTER, quality.pointer_deg), scatter.of_mean(count, ANGLE_REPEATS))


def _index(size: float) -> tuple[Term, ...]:
    return (Term(INDEX, abs(size)),) if size else ()


def _slope(flank: Flank, travel_deg: float) -> tuple[Term, ...]:
    return (Term(SLOPE, secant_doubt(travel_deg)),) if flank.is_secant else ()


def of_stroke(u_spill_mm: float, u_suction_mm: float, u_plunger_mm: float) -> float:
    """Standard uncertainty of the effective stroke, a difference of two lifts on one gauge.

    Formula: u^2 = u^2(H_o) + u^2(H_c) - u_p^2: the gauge counts once. Returns: [mm].

    >>> round(of_stroke(0.0113, 0.0113, 0.0096), 4)
    0.0128
    """
    return sqrt(u_spill_mm**2 + u_suction_mm**2 - u_plunger_mm**2)


def of_angle_difference(first: Iterable[Term], second: Iterable[Term]) -> float:
    """Standard uncertainty of a difference of two angles at one pointer: delivery angle, or P_c - P_o.

    Formula: u^2 = u_1^2 + u_2^2 - 2 u_t^2: the pointer cancels, so its line is left out of both budgets. Returns: [deg].

    >>> pointer = Term(POINTER, 0.05)
    >>> of_angle_difference([Term(ANGLE_SCALE, 0.03), pointer], [Term(ANGLE_SCALE, 0.04), pointer])
    0.05
    """
    return root_sum_square((without_pointer(first), without_pointer(second)))


def without_pointer(terms: Iterable[Term]) -> float:
    """Standard uncertainty of a budget without the pointer that all readings share [deg].

    >>> without_pointer([Term(ANGLE_SCALE, 0.03), Term(POINTER, 0.05)])
    0.03
    """
    return combined(term for term in terms if term.name != POINTER)


def of_index(reference_stroke_mm: float, w_mm: float, fuel_index: float, fuel_index_u: float) -> float:
    """Doubt of the spill lift from a fuel index that is not quite the reference one.

    Formula: g u_I with g = (h_o - h_c + w) / I_ref, the plunger lift per index step. Parameters: lifts [mm], index
    [1, above 0], its standard uncertainty [1]. Returns: [mm].

    >>> round(of_index(24.0, 1.2, 7.0, 0.1), 9)
    0.36
    """
    return abs(reference_stroke_mm + w_mm) / fuel_index * fuel_index_u
