"""What each mistake of the hand, and each honest fault, makes the gauges show.

A reading of a valve event comes down to two numbers: its lift deviation D [mm] and its cam part P [deg]. Every function here
predicts them, or the number that was typed, for one mistake alone. Signs are those of the readings: what is shown minus what
is true. `judge/suspect.py` weighs the predictions against each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, log10

from calc.measure.circle import wrapped
from calc.pump.doubt import of_index

GAUGE_ZERO, GAUGE_TILT, DIAL_TURN, GAUGE_BOTTOMED = "gauge_zero", "gauge_tilt", "dial_turn", "gauge_bottomed"
WRONG_TDC_MARK, BEFORE_AFTER, ASTERN_PLAY = "wrong_tdc_mark", "before_after", "astern_play"
INDEX_OFF, TIMING_OFFSET, SEAT_CONTACT = "index_off", "timing_offset", "seat_contact"
DIGIT_SLIP, EVENTS_SWAPPED, UNITS_SWAPPED = "digit_slip", "events_swapped", "units_swapped"
DIAL_BACKWARDS, FORM_COPIED = "dial_backwards", "form_copied"
WRONG_WAY, NOT_MOVED, THREAD_TYPE, RATIO_INVERTED = "wrong_way", "not_moved", "thread_type", "ratio_inverted"

UNDECIDABLE = 3.92  # Two half-widths of a 95 % range, in standard uncertainties: closer than this, two angles are one.


@dataclass(frozen=True, slots=True)
class Shown:
    """What something adds to the two numbers of an event: lift deviation [mm] and cam part [deg]."""

    lift_mm: float
    part_deg: float


# ---------------------------------------------------------------- honest faults


def rod_shows(lift_error_mm: float) -> Shown:
    """A push rod that is off: lift and angle move together along the cam, so the cam part stays.

    >>> rod_shows(0.3)
    Shown(lift_mm=0.3, part_deg=0.0)
    """
    return Shown(lift_error_mm, 0.0)


def cam_shows(own_deg: float) -> Shown:
    """A cam that sits late [deg, positive is late]: the same for both events, and no lift deviation.

    >>> cam_shows(-0.5)
    Shown(lift_mm=0.0, part_deg=-0.5)
    """
    return Shown(0.0, own_deg)


def wear_shows(seat_mm: float, ratio_suction: float, ratio_spill: float) -> tuple[Shown, Shown]:
    """Both seats worn alike: their valves act as if held further open, so the start is late and the end early.

    Formulas: D_c = w / i_c, D_o = -w / i_o. Parameters: wear w [mm of valve movement; negative: worn rods and rockers]; ratios
    [mm/mm]. Returns: start and end.

    >>> wear_shows(0.08, 0.8, 0.8)[1].lift_mm
    -0.09999999999999999
    """
    return Shown(seat_mm / ratio_suction, 0.0), Shown(-seat_mm / ratio_spill, 0.0)


# ---------------------------------------------------------------- the plunger gauge


def offset_shows(offset_mm: float, travel_deg: float) -> Shown:
    """A plunger gauge that shows `offset_mm` too much, at contact and at reference lift alike.

    Formulas: D = d, P = -travel. At contact the angle is right and the lift is not; at reference lift the plunger stands
    where it should not, and the valve gauge tells the offset. Parameters: offset d [mm]; travel of the cam over it [deg].

    >>> offset_shows(0.8, 0.5)
    Shown(lift_mm=0.8, part_deg=-0.5)
    """
    return Shown(offset_mm, -travel_deg)


def tilt_offset(share: float, lift_mm: float) -> float:
    """What a tilted plunger gauge shows too much at a lift [mm]. Formula: share * h.

    >>> tilt_offset(-0.02, 36.0)
    -0.72
    """
    return share * lift_mm


def turns_near(lift_error_mm: float, mm_per_turn: float, near_mm: float) -> list[int]:
    """Whole turns of the dial, not 0, that lie within `near_mm` of a lift deviation.

    >>> turns_near(0.98, 1.0, 0.1), turns_near(0.4, 1.0, 0.1)
    ([1], [])
    """
    low = ceil((lift_error_mm - near_mm) / mm_per_turn)
    high = floor((lift_error_mm + near_mm) / mm_per_turn)
    return [turns for turns in range(low, min(high, low + 20) + 1) if turns]


def backwards_meant(read_mm: float, mm_per_turn: float, reference_mm: float) -> list[float]:
    """Lifts that a dial read against its numbers may have stood for [mm].

    Formula: m R - H for whole m around 2 h / R, where H lies within 1.5 R of h. Parameters: lift read H, dial R a turn,
    reference h [mm].

    >>> [round(lift, 2) for lift in backwards_meant(12.3, 1.0, 12.0)]
    [10.7, 11.7, 12.7]
    """
    if abs(read_mm - reference_mm) >= 1.5 * mm_per_turn:
        return []
    middle = round(2.0 * reference_mm / mm_per_turn)
    return [turns * mm_per_turn - read_mm for turns in (middle - 1, middle, middle + 1)]


# ---------------------------------------------------------------- the flywheel


def even_tdc(firing_order: Sequence[int]) -> dict[int, float]:
    """Flywheel angle at each unit's TDC for even firing intervals [deg].

    >>> even_tdc([1, 3, 2])
    {1: 0.0, 3: 120.0, 2: 240.0}
    """
    return {unit: 360.0 * place / len(firing_order) for place, unit in enumerate(firing_order)}


def mark_shift(own_tdc_deg: float, mark_tdc_deg: float) -> float:
    """What another cylinder's TDC mark adds to every angle of a unit [deg]. Formula: t_own - t_mark, wrapped.

    >>> mark_shift(0.0, 240.0)
    120.0
    """
    return wrapped(own_tdc_deg - mark_tdc_deg)


def sign_shift(angle_read_deg: float) -> float:
    """What before and after confused adds to an angle [deg]. Formula: 2 F, since -F was meant.

    >>> sign_shift(4.5)
    9.0
    """
    return 2.0 * angle_read_deg


def sign_undecidable(angle_read_deg: float, u_deg: float) -> bool:
    """Whether an event lies so near TDC that before and after cannot be told apart. Rule: |2F| <= 3.92 u.

    >>> sign_undecidable(0.1, 0.06), sign_undecidable(4.5, 0.06)
    (True, False)
    """
    return abs(sign_shift(angle_read_deg)) <= UNDECIDABLE * u_deg


def play_shows(play_deg: float) -> Shown:
    """An event reached astern: the play of the drive makes it look early, never late; the lift is right.

    >>> play_shows(0.4)
    Shown(lift_mm=0.0, part_deg=-0.4)
    """
    return Shown(0.0, -play_deg)


# ---------------------------------------------------------------- settings that all units share


def index_shows(stroke_mm: float, w_mm: float, fuel_index: float) -> tuple[Shown, Shown]:
    """Start and end when the index stands one step too high: only the spill lift moves, by g.

    Formula: g = (h_o - h_c + w) / I. Parameters: reference stroke and w [mm], reference index I [1, above 0].

    >>> index_shows(24.0, 1.2, 7.0)[1].lift_mm
    3.6
    """
    return Shown(0.0, 0.0), Shown(of_index(stroke_mm, w_mm, fuel_index, 1.0), 0.0)


def timing_shows(lift_mm: float, stroke_kept: bool) -> tuple[Shown, Shown]:
    """Start and end when a timing setting is off: the start moves, and the end with it where the stroke is kept.

    >>> timing_shows(0.5, stroke_kept=True)[1]
    Shown(lift_mm=0.5, part_deg=0.0)
    """
    return Shown(lift_mm, 0.0), Shown(lift_mm if stroke_kept else 0.0, 0.0)


def seat_shows(seat_mm: float, ratio_suction: float, ratio_spill: float) -> tuple[Shown, Shown]:
    """Start and end at contact when the seat-contact reading is taken too large: start early, end late.

    Formulas: D_c = -ds / i_c, D_o = ds / i_o. Parameters: ds, reading used minus the right one [mm]; ratios [mm/mm].

    >>> [round(each.lift_mm, 3) for each in seat_shows(0.08, 0.8, 1.0)]
    [-0.1, 0.08]
    """
    return Shown(-seat_mm / ratio_suction, 0.0), Shown(seat_mm / ratio_spill, 0.0)


# ---------------------------------------------------------------- the pencil


def decimals_of(step: float) -> int:
    """How many decimals people write for an instrument's step [its own unit].

    >>> decimals_of(0.01), decimals_of(0.25), decimals_of(1.0)
    (2, 2, 0)
    """
    count = max(0, -floor(log10(step) + 1e-9))
    while count < 6 and abs(step * 10**count - round(step * 10**count)) > 1e-6:
        count += 1
    return count


def slips(typed: float, step: float) -> list[tuple[str, float]]:
    """Numbers that may have been meant: the point one place off, or two neighbouring digits swapped.

    Parameters: number as typed; step of its instrument. Returns: kind of slip (the same for the same slip in each repeat)
    and number meant.

    >>> slips(13.21, 0.01)
    [('x10', 132.1), ('/10', 1.321), ('0', 31.21), ('1', 12.31), ('3', 13.12)]
    """
    if typed == 0.0:
        return []
    places = decimals_of(step)
    found = [("x10", round(typed * 10.0, 9)), ("/10", round(typed / 10.0, 9))]
    text = f"{abs(typed):.{places}f}"
    sign = -1.0 if typed < 0.0 else 1.0
    where = [i for i, letter in enumerate(text) if letter != "."]
    for i, j in pairwise(where):
        if text[i] == text[j]:
            continue
        meant = f"{text[:i]}{text[j]}{text[i + 1 : j]}{text[i]}{text[j + 1 :]}"
        # Nobody writes 02.1, so it was not meant either.
        if not (meant[0] == "0" and meant[1] != "."):
            found.append((str(i), sign * float(meant)))
    return found


def copied(value: float, reference: float, step: float) -> bool:
    """Whether an entry equals its reference exactly though the instrument cannot show that number [all in one unit].

    Healthy engines often match exactly on the step, so a multiple of the step never counts.

    >>> copied(-16.38, -16.38, 0.1), copied(-16.4, -16.4, 0.1), copied(-16.4, -16.38, 0.1)
    (True, False, False)
    """
    steps = value / step
    return value == reference and abs(steps - round(steps)) > 0.01


# ---------------------------------------------------------------- the correction


def left_share(code: str, ratio: float, left_right: bool) -> float:
    """The share of a rod's lift deviation that is still there after a correction with this mistake in it.

    Formulas: turned the wrong way 2; not moved 1; wrong thread type -1 where the file says one thread (each turn moved twice
    as far) and 1/2 where it says left-and-right; ratio inverted 1 - i^2. Parameters: code; ratio i of the file [mm/mm];
    left_right: what the file says of the thread.

    >>> left_share("wrong_way", 0.8, False), round(left_share("ratio_inverted", 0.8, False), 2)
    (2.0, 0.36)
    """
    if code == THREAD_TYPE:
        return 0.5 if left_right else -1.0
    return {WRONG_WAY: 2.0, NOT_MOVED: 1.0, RATIO_INVERTED: 1.0 - ratio * ratio}[code]
