"""The model's cam: a cycloidal rise, a dwell at the peak, a cycloidal fall, and what wear has taken off the flank.

The laws are formulas. The model goes by their values at every tenth of a degree, straight in between.
"""

from __future__ import annotations

from bisect import bisect_left
from math import ceil, cos, pi, sin

PER_DEG = 100  # Angles are whole hundredths of a degree.
PER_MM = 100_000  # Lifts are whole hundred-thousandths of a millimetre.
PER_TURN = 360 * PER_DEG

PEAK_MM = 40.0
# Foot and span are such that the two reference events fall on round angles.
FOOT_DEG, RISE_DEG, DWELL_DEG, FALL_DEG = -29.5622, 70.0597, 50.0, 110.0
# A worn flank: deepest in the middle of the delivery, where the load is.
WORN_CENTRE_DEG, WORN_HALF_DEG = 1.5, 22.0
WEAR_STEP_MM, WEAR_STEPS = 0.05, 10

# Where the plunger rises and falls: from the first hundredth on, and up to the second.
RISING = ceil(PER_DEG * FOOT_DEG), ceil(PER_DEG * (FOOT_DEG + RISE_DEG))
FALLING = (
    ceil(PER_DEG * (FOOT_DEG + RISE_DEG + DWELL_DEG)),
    ceil(PER_DEG * (FOOT_DEG + RISE_DEG + DWELL_DEG + FALL_DEG)),
)

ROW = 10  # A row of the tables every tenth of a degree.
_ROWS_A_TURN = PER_TURN // ROW
_ROW_PER_MM = PER_MM // ROW  # Rows are coarser than lifts by the same ten, so that what lies between is whole again.


def cycloid(share: float) -> float:
    """A rise from 0 to 1 with no jump in its acceleration [1].

    Formula: u - sin(2 pi u) / (2 pi). Parameters: share u [1, from 0 to 1]. Source: cycloidal motion, a general cam law.

    >>> cycloid(0.0), cycloid(0.5), round(cycloid(0.25), 4)
    (0.0, 0.5, 0.0908)
    """
    return share - sin(2.0 * pi * share) / (2.0 * pi)


def lift_law_mm(cam_deg: float) -> float:
    """Plunger lift of the unworn cam [mm] at a cam angle [deg, any; 0 is TDC].

    >>> lift_law_mm(-100.0), round(lift_law_mm(-6.0), 3), round(lift_law_mm(9.0), 3), lift_law_mm(60.0)
    (0.0, 8.0, 24.0, 40.0)
    """
    past = (cam_deg - FOOT_DEG) % 360.0
    if past < RISE_DEG:
        return PEAK_MM * cycloid(past / RISE_DEG)
    past -= RISE_DEG + DWELL_DEG
    if past < 0.0:
        return PEAK_MM
    return PEAK_MM * (1.0 - cycloid(past / FALL_DEG)) if past < FALL_DEG else 0.0


def wear_law(cam_deg: float) -> float:
    """How much of the greatest wear lies at a cam angle [1, from 0 to 1].

    Formula: (1 + cos(pi x)) / 2 over the worn stretch. Parameters: cam_deg [deg].

    >>> wear_law(1.5), wear_law(60.0)
    (1.0, 0.0)
    """
    off = (cam_deg - WORN_CENTRE_DEG + 180.0) % 360.0 - 180.0
    return 0.5 * (1.0 + cos(pi * off / WORN_HALF_DEG)) if abs(off) < WORN_HALF_DEG else 0.0


# Rows of a whole turn, from TDC on.
LIFTS = tuple(round(_ROW_PER_MM * lift_law_mm(row / 10.0)) for row in range(_ROWS_A_TURN))
WORN = tuple(round(_ROW_PER_MM * WEAR_STEP_MM * wear_law(row / 10.0)) for row in range(_ROWS_A_TURN))


def _row(row: int, wear: int) -> int:
    return LIFTS[row % _ROWS_A_TURN] - wear * WORN[row % _ROWS_A_TURN]


def lift(cam: int, wear: int = 0) -> int:
    """Plunger lift at a cam angle, on a flank that is worn by so many steps.

    Parameters: cam [hundredths of a deg, any]; wear [steps of 0.05 mm, 0 to 10]. Returns: [hundred-thousandths of a mm].

    >>> lift(-605), lift(900), lift(900, wear=2)
    (795680, 2400000, 2392600)
    """
    row, rest = divmod(cam, ROW)
    here = _row(row, wear)
    return ROW * here + rest * (_row(row + 1, wear) - here)


def is_rising(cam: int) -> bool:
    """Whether the plunger rises when the cam turns ahead from here. Parameters: cam [hundredths of a deg, any].

    >>> is_rising(0), is_rising(6000), is_rising(12000)
    (True, False, False)
    """
    return (cam - RISING[0]) % PER_TURN < RISING[1] - RISING[0]


def is_falling(cam: int) -> bool:
    """Whether the plunger falls when the cam turns ahead from here. Parameters: cam [hundredths of a deg, any].

    >>> is_falling(0), is_falling(12000), is_falling(-10000)
    (False, True, False)
    """
    return (cam - FALLING[0]) % PER_TURN < FALLING[1] - FALLING[0]


# From the last row on the base circle to the first at the peak.
RISE_ROWS = range(RISING[0] // ROW, -(-RISING[1] // ROW) + 1)


def angle_of(wanted: int, wear: int = 0) -> int:
    """The cam angle at which the rising plunger reaches a lift.

    Parameters: wanted [hundred-thousandths of a mm, above 0, at most the peak]; wear as for `lift`. Returns: [hundredths of
    a deg, the nearest]. Raises: ValueError beyond the peak.

    >>> angle_of(800_000), angle_of(2_400_000), angle_of(2_400_000, wear=10)
    (-600, 900, 932)
    """
    at = bisect_left(RISE_ROWS, wanted, key=lambda row: ROW * _row(row, wear))
    if at in (0, len(RISE_ROWS)):
        raise ValueError(f"the plunger rises from 0 to {PEAK_MM} mm and never reaches {wanted / PER_MM} mm")
    row = RISE_ROWS[at - 1]
    below, above = ROW * _row(row, wear), ROW * _row(row + 1, wear)
    return ROW * row + nearest(ROW * (wanted - below), above - below)


def nearest(value: int, of: int) -> int:
    """The whole number nearest to a quotient, a half counting up. Parameters: [any unit], `of` above 0.

    >>> nearest(5, 2), nearest(-5, 2), nearest(4, 3)
    (3, -2, 1)
    """
    return (2 * value + of) // (2 * of)
