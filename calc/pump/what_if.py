"""What moving rods and cam does to a unit: moves in, the events after them out. The inverse of `correction`.

A rod moves the lift of its own event and nothing else of the timing; the angle follows along the cam. A cam moves both
angles alike and no lift, so neither stroke nor zero-index opening.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from calc.measure.gum import Term
from calc.pump.cam import Flank, secant_doubt
from calc.pump.correction import lift_from_rod, rod_per_flat
from calc.pump.doubt import SLOPE


@dataclass(frozen=True, slots=True)
class Moves:
    """What is moved on one unit: change of each rod's length [mm, positive lengthens], of the cam [deg, positive is later].

    >>> Moves(suction_mm=-0.25).any
    True
    """

    suction_mm: float = 0.0
    spill_mm: float = 0.0
    cam_deg: float = 0.0

    @property
    def any(self) -> bool:
        """Whether anything is moved at all."""
        return bool(self.suction_mm or self.spill_mm or self.cam_deg)

    @property
    def rods(self) -> bool:
        """Whether a rod is moved: only rods move the zero-index opening."""
        return bool(self.suction_mm or self.spill_mm)


@dataclass(frozen=True, slots=True)
class Shift:
    """What moves bring about: change of the lift of start and end [mm, positive is later], and of both angles [deg].

    >>> Shift(-0.3, 0.1, 0.0).stroke_mm
    0.4
    """

    start_mm: float
    end_mm: float
    cam_deg: float

    @property
    def stroke_mm(self) -> float:
        """Change of the effective stroke [mm]."""
        return self.end_mm - self.start_mm


def rod_from_flats(flats_turned: float, effective_pitch_mm: float) -> float:
    """Change of a rod's length by turning its hexagon: the inverse of turns and flats.

    Formula: flats x pitch / 6; a left-and-right-hand thread has twice the pitch. Parameters: flats [1, positive lengthens],
    pitch [mm per turn]. Returns: [mm, positive lengthens].

    >>> rod_from_flats(-1.25, 1.5)
    -0.3125
    """
    return flats_turned * rod_per_flat(effective_pitch_mm)


def shift_from(moves: Moves, ratio_suction: float, ratio_spill: float, lengthening_opens: bool = True) -> Shift:
    """What moves bring about.

    Formula: start +change / i_c, end -change / i_o, both with the other sign where a longer rod lets its valve close
    further. Parameters: ratios [mm valve per mm plunger, above 0]. Returns: [mm of plunger lift], [deg].

    >>> shift_from(Moves(-0.25, 0.5, 0.1), 0.8, 0.8)
    Shift(start_mm=-0.3125, end_mm=-0.625, cam_deg=0.1)
    """
    return Shift(
        lift_from_rod(moves.suction_mm, ratio_suction, False, lengthening_opens),
        lift_from_rod(moves.spill_mm, ratio_spill, True, lengthening_opens),
        moves.cam_deg,
    )


def deviation_after(
    deviation_deg: float, lift_error_mm: float, travel_deg: float, lift_change_mm: float, cam_change_deg: float, flank: Flank
) -> float:
    """Angle deviation of an event once its lift and the cam have been moved.

    Formula: A - travel(D) + travel(D + d) + cam change; the travel follows the lift table where there is one, so the same rod
    moves the angle less where the cam is steeper. Parameters: deviation A and travel of the lift error D as read [deg], D and
    its change d [mm]. Returns: [deg, positive is late].

    >>> round(deviation_after(0.42, 0.31, 0.19375, -0.31, 0.0, Flank(12.0, 1.6)), 5)
    0.22625
    """
    if lift_change_mm == 0.0:
        return deviation_deg + cam_change_deg
    return deviation_deg - travel_deg + flank.travel(lift_error_mm + lift_change_mm) + cam_change_deg


def doubt_after(
    terms: Iterable[Term], flank: Flank, travel_deg: float, travel_after_deg: float, at_contact: bool
) -> tuple[Term, ...]:
    """Budget of the angle of an event once it has been moved [deg].

    A move by so many flats is exact, so the lines of the reading stay as they are, but for the slope: on a secant the travel
    is known to 15 % only. At contact the angle was read at the event itself, so the travel of the move counts; at reference
    lift the whole travel counts. Parameters: budget of the angle as read; travel of the lift error as read and after [deg].

    >>> [term.u for term in doubt_after([Term("pointer", 0.05)], Flank(12.0, 1.6), 0.5, 0.1, at_contact=True)]
    [0.05, 0.06]
    """
    rest = tuple(term for term in terms if term.name != SLOPE)
    travel = travel_after_deg - travel_deg if at_contact else travel_after_deg
    return (*rest, Term(SLOPE, secant_doubt(travel))) if flank.is_secant and travel else rest
