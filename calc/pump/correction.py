"""How far to turn a push rod, and what will come of it.

1 mm of rod moves its valve 1 mm. Where a longer rod holds the valve further open, a positive change lengthens.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

FLATS_PER_TURN = 6.0
FLAT_STEP = 0.25  # A hand can set a quarter of a flat.


def suction_rod_change(lift_deviation_mm: float, ratio: float, lengthening_opens: bool = True) -> float:
    """Change of the suction valve's push rod that brings its closing back to the reference lift.

    Formula: -i_c D_c; a valve that closes late is held open too far, so the rod gets shorter. Parameters: deviation [mm],
    ratio [mm valve per mm plunger]. Returns: [mm, positive lengthens].

    >>> round(suction_rod_change(0.54, 0.8), 3)
    -0.432
    """
    change = -ratio * lift_deviation_mm
    return change if lengthening_opens else -change


def spill_rod_change(lift_deviation_mm: float, ratio: float, lengthening_opens: bool = True) -> float:
    """Change of the spill valve's push rod that brings its opening back to the reference lift.

    Formula: +i_o D_o; a valve that opens late is not held open far enough, so the rod gets longer. Returns: [mm, positive
    lengthens].

    >>> round(spill_rod_change(-0.7, 0.8), 2)
    -0.56
    """
    change = ratio * lift_deviation_mm
    return change if lengthening_opens else -change


def effective_pitch(pitch_mm: float, left_and_right: bool) -> float:
    """Length that one turn adds. A left-and-right-hand thread moves both ends, so it doubles the pitch.

    Parameters: pitch_mm [mm, above 0]. Returns: [mm per turn].

    >>> effective_pitch(1.5, True)
    3.0
    """
    return 2.0 * pitch_mm if left_and_right else pitch_mm


def turns(change_mm: float, effective_pitch_mm: float) -> float:
    """Turns of the rod for a change of length.

    Formula: change / pitch. Returns: [1, positive lengthens].

    >>> round(turns(-0.432, 1.5), 3)
    -0.288
    """
    return change_mm / effective_pitch_mm


def flats(turns_of_rod: float) -> float:
    """Flats of a hexagon in a number of turns: six a turn.

    >>> round(flats(-0.288), 3)
    -1.728
    """
    return FLATS_PER_TURN * turns_of_rod


def flats_by_hand(exact_flats: float) -> float:
    """The flats that a hand can turn: the nearest whole or quarter flat.

    Half a step away the smaller move is taken.

    >>> flats_by_hand(-1.728), flats_by_hand(0.10)
    (-1.75, 0.0)
    """
    whole = ceil(abs(exact_flats) / FLAT_STEP - 0.5)
    return (1.0 if exact_flats >= 0.0 else -1.0) * whole * FLAT_STEP + 0.0


def rod_per_flat(effective_pitch_mm: float) -> float:
    """Push-rod length in one flat [mm].

    >>> rod_per_flat(3.0)
    0.5
    """
    return effective_pitch_mm / FLATS_PER_TURN


def lift_from_rod(change_mm: float, ratio: float, spill: bool, lengthening_opens: bool = True) -> float:
    """How far a rod change moves the lift of its event: the inverse of the two rod formulas.

    Formula: suction +change / i_c (a longer rod closes later), spill -change / i_o (a longer rod opens earlier).
    Returns: [mm of plunger lift, positive is later].

    >>> round(lift_from_rod(0.5, 0.8, spill=False), 3), round(lift_from_rod(0.5, 0.8, spill=True), 3)
    (0.625, -0.625)
    """
    move = change_mm / ratio
    move = move if lengthening_opens else -move
    return -move if spill else move


def zero_index_opening_after(
    opening_mm: float, spill_ratio: float, suction_lift_change_mm: float, spill_lift_change_mm: float
) -> float:
    """Spill-valve lift at suction closing and index 0, once rods have moved the two events.

    Formula: z' = z + i_o (dH_c - dH_o), where dH are the changes of the event lifts. A full correction moves them by -D_c
    and -D_o, which gives z + i_o (D_o - D_c). Parameters: all [mm], ratio [mm/mm]. Returns: [mm].

    >>> round(zero_index_opening_after(1.05, 0.8, -0.31, 0.09), 2)
    0.73
    """
    return opening_mm + spill_ratio * (suction_lift_change_mm - spill_lift_change_mm)


@dataclass(frozen=True, slots=True)
class HandMove:
    """A rod correction as a hand can turn it: flats, the rod length they make, and the lift error that is left [mm]."""

    flats: float
    change_mm: float
    lift_left_mm: float


def by_hand(
    exact_change_mm: float,
    lift_deviation_mm: float,
    effective_pitch_mm: float,
    ratio: float,
    spill: bool,
    lengthening_opens: bool = True,
) -> HandMove:
    """Round a correction to quarter flats and tell what that leaves.

    Parameters: exact change of the rod [mm], lift deviation that it cures [mm], pitch [mm per turn], ratio [mm valve per mm
    plunger]. Returns: flats [1], rod length [mm], lift error that is left [mm].

    >>> move = by_hand(-0.248, 0.31, 1.5, 0.8, spill=False)
    >>> move.flats, move.change_mm, round(move.lift_left_mm, 4)
    (-1.0, -0.25, -0.0025)
    """
    hand = flats_by_hand(flats(turns(exact_change_mm, effective_pitch_mm)))
    change = hand * rod_per_flat(effective_pitch_mm)
    return HandMove(hand, change, lift_deviation_mm + lift_from_rod(change, ratio, spill, lengthening_opens))
