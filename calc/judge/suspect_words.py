"""What each suspicion says: what may have happened, and the reading that would settle it. Short sentences, second person."""

from __future__ import annotations

import re
from collections.abc import Sequence

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


# A place in braces is filled with what was found, or, where nothing has been found yet, with what it stands for in general.
_SETTLE = {
    mistakes.GAUGE_ZERO: "Turn on to the base circle and read the return to zero: {size} there confirms it, 0 clears it. "
    "Then zero the gauge and read again.",
    mistakes.GAUGE_TILT: "Set the plunger gauge in line with the plunger and read again. A return to 0, and a peak lift that "
    "is off by more than {amount}, confirm it.",
    mistakes.DIAL_TURN: "Count the turns of the dial again from the base circle. A return to 0 there confirms a missed turn; "
    "{size} means a wrong zero.",
    mistakes.GAUGE_BOTTOMED: "Read the peak lift. If it is no more than the lift at the end, the gauge has no travel left. "
    "Set it lower.",
    mistakes.WRONG_TDC_MARK: "Look at the flywheel: was it the mark of {other}? Read again at the mark of {own}.",
    mistakes.BEFORE_AFTER: "Turn to {events} and look at the flywheel: is it before or after TDC? Read the angle again.",
    mistakes.ASTERN_PLAY: "Turn back well beyond the event, come up to it turning ahead only, and read it again.",
    mistakes.INDEX_OFF: "Look at the fuel index at every unit: it must be {index}. Check the index linkage. Then read one end "
    "again.",
    mistakes.TIMING_OFFSET: "Check the variable injection timing and the timing offset for the fuel in use. Then read one unit "
    "again.",
    mistakes.SEAT_CONTACT: "Look up the seat-contact reading{seat} and read one unit with it. Seats worn alike look the same: "
    "inspect one.",
    mistakes.DIGIT_SLIP: "Look at what was written down: {typed}, or {meant}? Read it again.",
    mistakes.EVENTS_SWAPPED: "Look at what was written down: do start and end stand in each other's place? Read one of them "
    "again.",
    mistakes.UNITS_SWAPPED: "Look at what was written down for {units}. Read one of them again.",
    mistakes.DIAL_BACKWARDS: "Read the dial again along the numbers that rise as the plunger rises.",
    mistakes.FORM_COPIED: "These entries equal the reference to digits that the instrument does not show. Read again with the "
    "reference covered.",
    mistakes.WRONG_WAY: "Turn the rod one flat and read the contact again. If it moves away from its reference, turn the other "
    "way. Then correct what the engine's settings say of a longer rod.",
    mistakes.NOT_MOVED: "Look at the rod and its lock nut: was it this rod, and did it hold? Compare its length with the one "
    "written down.",
    mistakes.THREAD_TYPE: "Look at both ends of the rod for a left-hand thread. Measure its length before and after one full "
    "turn.",
    mistakes.RATIO_INVERTED: "Measure the valve ratio: valve movement over plunger movement near the event. It may stand "
    "upside down in the settings.",
}
_IN_GENERAL = {
    "size": "the same error",
    "amount": "the error at the end",
    "other": "another cylinder",
    "own": "this unit's own cylinder",
    "events": "the event",
    "index": "the index of the check",
    "seat": "",
    "typed": "these digits",
    "meant": "the same ones with another point or order",
    "units": "both units",
}


def settle_in_general(code: str) -> str:
    """The reading that would settle a mistake, for people who have no finding in front of them.

    >>> settle_in_general("wrong_tdc_mark")
    "Look at the flywheel: was it the mark of another cylinder? Read again at the mark of this unit's own cylinder."
    """
    return _SETTLE[code].format_map(_IN_GENERAL)


def _found(each: Explanation, unit: JudgedUnit, settings: Settings) -> dict[str, str]:
    """What was found, for the places in the words of this mistake."""
    typed, _, meant = each.detail.replace("-", "−").partition("|")
    return {
        "size": "" if each.size is None else f"{signed(each.size, 2)} mm",
        "amount": f"{plain(abs(each.size or 0.0), 2)} mm",
        "other": f"cylinder {each.detail}",
        "own": f"cylinder {unit.number}",
        "events": noun(each.events),
        "index": short(settings.fuel_index),
        "seat": f" ({short(settings.seat_contact_mm)} mm here)",
        "typed": typed,
        "meant": meant,
        "units": f"units {' and '.join(each.detail.split('|'))}",
    }


def settle(each: Explanation, unit: JudgedUnit, settings: Settings) -> str:
    """The reading that would settle a suspicion, in words."""
    words = mirrored(_SETTLE[each.code].format_map(_found(each, unit, settings)), unit.direction)
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
