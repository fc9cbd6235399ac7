"""What each suspicion says: what may have happened, and the reading that would settle it. Short sentences, second person."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from calc.findings import SUSPICIONS, Suspicion
from calc.job.direction import mirrored
from calc.job.model import SUCTION_CLOSING, VALVE_EVENTS
from calc.job.words import plain, short, signed
from calc.judge.settings import Settings
from calc.judge.suspect_unit import Explanation
from calc.judge.unit import JudgedUnit
from calc.measure.pool import mean
from calc.pump import mistakes

_NOTES = re.compile(r" \([^)]*\)")
_NOUN = {SUCTION_CLOSING: "start"}


def noun(events: tuple[str, ...]) -> str:
    """Start, end, or both.

    >>> noun(("suction_closing", "spill_opening")), noun(("spill_opening",))
    ('start and end', 'the end')
    """
    if len(events) == len(VALVE_EVENTS):
        return "start and end"
    return f"the {_NOUN.get(events[0], 'end')}" if events else "this unit"


def what(code: str, direction: str) -> str:
    """What may have happened, without the notes on directions and size.

    >>> what("gauge_tilt", "ahead"), what("astern_play", "astern")
    ('the plunger gauge stood at a slant', 'the event was reached ahead, with the play not taken up')
    """
    return mirrored(_NOTES.sub("", SUSPICIONS[code]), direction)


def _size(each: Explanation, digits: int = 2) -> str:
    return "" if each.size is None else signed(each.size, digits)


def _zero(each: Explanation, _: JudgedUnit, __: Settings) -> str:
    return (
        f"Turn on to the base circle and read the return to zero: {_size(each)} mm there confirms it, 0 clears it. "
        "Then zero the gauge and read again."
    )


def _tilt(each: Explanation, _: JudgedUnit, __: Settings) -> str:
    return (
        "Set the plunger gauge in line with the plunger and read again. A return to 0, and a peak lift that is off by more "
        f"than {plain(abs(each.size or 0.0), 2)} mm, confirm it."
    )


def _turn(each: Explanation, _: JudgedUnit, __: Settings) -> str:
    return (
        "Count the turns of the dial again from the base circle. A return to 0 there confirms a missed turn; "
        f"{_size(each)} mm means a wrong zero."
    )


def _bottomed(_: Explanation, __: JudgedUnit, ___: Settings) -> str:
    return "Read the peak lift. If it is no more than the lift at the end, the gauge has no travel left. Set it lower."


def _mark(each: Explanation, unit: JudgedUnit, _: Settings) -> str:
    return f"Look at the flywheel: was it the mark of cylinder {each.detail}? Read again at the mark of cylinder {unit.number}."


def _sign(each: Explanation, unit: JudgedUnit, settings: Settings) -> str:
    return f"Turn to {noun(each.events)} and look at the flywheel: is it before or after TDC? Read the angle again."


def _astern(_: Explanation, unit: JudgedUnit, __: Settings) -> str:
    return mirrored("Turn back well beyond the event, come up to it turning ahead only, and read it again.", unit.direction)


def _index(_: Explanation, __: JudgedUnit, settings: Settings) -> str:
    return (
        f"Look at the fuel index at every unit: it must be {short(settings.fuel_index)}. Check the index linkage. Then read "
        "one end again."
    )


def _timing(_: Explanation, __: JudgedUnit, ___: Settings) -> str:
    return "Check the variable injection timing and the timing offset for the fuel in use. Then read one unit again."


def _seat(_: Explanation, __: JudgedUnit, settings: Settings) -> str:
    return (
        f"Look up the seat-contact reading ({short(settings.seat_contact_mm)} mm here) and read one unit with it. Seats worn "
        "alike look the same: inspect one."
    )


def _slip(each: Explanation, _: JudgedUnit, __: Settings) -> str:
    typed, meant = each.detail.replace("-", "−").split("|")
    return f"Look at what was written down: {typed}, or {meant}? Read it again."


def _events(_: Explanation, __: JudgedUnit, ___: Settings) -> str:
    return "Look at what was written down: do start and end stand in each other's place? Read one of them again."


def _units(each: Explanation, _: JudgedUnit, __: Settings) -> str:
    return f"Look at what was written down for units {' and '.join(each.detail.split('|'))}. Read one of them again."


def _backwards(_: Explanation, __: JudgedUnit, ___: Settings) -> str:
    return "Read the dial again along the numbers that rise as the plunger rises."


def _copied(_: Explanation, __: JudgedUnit, ___: Settings) -> str:
    return (
        "These entries equal the reference to digits that the instrument does not show. Read again with the reference covered."
    )


def _wrong_way(_: Explanation, __: JudgedUnit, ___: Settings) -> str:
    return (
        "Turn the rod one flat and read the contact again. If it moves away from its reference, turn the other way. "
        "Then correct what the engine's settings say of a longer rod."
    )


def _not_moved(_: Explanation, __: JudgedUnit, ___: Settings) -> str:
    return "Look at the rod and its lock nut: was it this rod, and did it hold? Compare its length with the one written down."


def _thread(_: Explanation, __: JudgedUnit, ___: Settings) -> str:
    return "Look at both ends of the rod for a left-hand thread. Measure its length before and after one full turn."


def _ratio(_: Explanation, __: JudgedUnit, settings: Settings) -> str:
    return (
        "Measure the valve ratio: valve movement over plunger movement near the event. It may stand upside down in the "
        "settings."
    )


_SETTLE: dict[str, Callable[[Explanation, JudgedUnit, Settings], str]] = {
    mistakes.GAUGE_ZERO: _zero,
    mistakes.GAUGE_TILT: _tilt,
    mistakes.DIAL_TURN: _turn,
    mistakes.GAUGE_BOTTOMED: _bottomed,
    mistakes.WRONG_TDC_MARK: _mark,
    mistakes.BEFORE_AFTER: _sign,
    mistakes.ASTERN_PLAY: _astern,
    mistakes.INDEX_OFF: _index,
    mistakes.TIMING_OFFSET: _timing,
    mistakes.SEAT_CONTACT: _seat,
    mistakes.DIGIT_SLIP: _slip,
    mistakes.EVENTS_SWAPPED: _events,
    mistakes.UNITS_SWAPPED: _units,
    mistakes.DIAL_BACKWARDS: _backwards,
    mistakes.FORM_COPIED: _copied,
    mistakes.WRONG_WAY: _wrong_way,
    mistakes.NOT_MOVED: _not_moved,
    mistakes.THREAD_TYPE: _thread,
    mistakes.RATIO_INVERTED: _ratio,
}


def settle(each: Explanation, unit: JudgedUnit, settings: Settings) -> str:
    """The reading that would settle a suspicion, in words."""
    words = _SETTLE[each.code](each, unit, settings)
    near = [event for event in VALVE_EVENTS if _near_tdc(unit, event)]
    if near and each.code in (mistakes.BEFORE_AFTER, mistakes.ASTERN_PLAY, mistakes.DIGIT_SLIP):
        words += f" {noun(tuple(near)).capitalize()} lies so near TDC that its numbers cannot tell before from after."
    return words


def _near_tdc(unit: JudgedUnit, event: str) -> bool:
    placed, judged = unit.readings.get(event), unit.events.get(event)
    if placed is None or judged is None or not placed.reading.crank_angle_deg:
        return False
    return mistakes.sign_undecidable(mean(placed.reading.crank_angle_deg), judged.finding.u_cam_part_deg)


def share(fits: float) -> str:
    """A share of the probability as people read it; never 100 %, since nothing measured is certain.

    >>> share(0.4567), share(0.9999)
    ('46\xa0%', 'above 99\xa0%')
    """
    return "above 99\u00a0%" if fits > 0.99 else f"{plain(100.0 * fits, 0)}\u00a0%"


def read_again(suspicions: Sequence[Suspicion], direction: str) -> list[str]:
    """What to read again first, and why: one sentence or two for each suspicion."""
    said = []
    for place, each in enumerate(suspicions):
        perhaps = f"perhaps {what(each.code, direction)} ({share(each.fits)}). {each.settle}"
        if place == 0:
            events = [event for event in VALVE_EVENTS if any(event in other.events for other in suspicions)]
            said.append(f"Read {noun(tuple(events))} again first: {perhaps}")
        else:
            said.append(f"Or {perhaps}")
    return said
