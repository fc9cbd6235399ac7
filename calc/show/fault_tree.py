"""The fault tree for the page "When something does not add up": questions in the order in which they settle most.

The questions are this project's own. What stands at their ends (causes and reading mistakes, what to check and what to read
again) is what the calculator itself says, so that the two cannot differ.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from calc.findings import CAUSES
from calc.job.model import AHEAD, SPILL_OPENING, SUCTION_CLOSING
from calc.judge.across import SETTING_CHECK, SHIFT_CHECK
from calc.judge.suspect_words import settle_in_general, what
from calc.judge.unit import BOTH_AGAIN, CAM_CHECK, ROD_CHECK
from calc.pump import cause, mistakes

_SIZE = re.compile(r" \(size: [^)]*\)")
_CHECKS = {
    cause.SUCTION_ROD: (ROD_CHECK[SUCTION_CLOSING],),
    cause.SPILL_ROD: (ROD_CHECK[SPILL_OPENING],),
    cause.CAM_POSITION: (CAM_CHECK,),
    cause.COMMON_SHIFT: (SHIFT_CHECK,),
    cause.COMMON_SETTING: tuple(
        f"**Off at the {noun}:** {SETTING_CHECK[event]}" for event, noun in ((SUCTION_CLOSING, "start"), (SPILL_OPENING, "end"))
    ),
    cause.READINGS_DISAGREE: (BOTH_AGAIN,),
}


@dataclass(frozen=True, slots=True)
class Question:
    """One question. code: what links lead to. yes: what to do then, as Markdown. causes, slips: what can stand behind it."""

    code: str
    asks: str
    yes: str = ""
    causes: tuple[str, ...] = ()
    slips: tuple[str, ...] = ()
    below: tuple[Question, ...] = ()


QUESTIONS = (
    Question(
        "entry",
        "Does the worksheet mark an entry, or say that one is missing?",
        "Mend it first. The message says what was found, what is allowed, and how to mend it.",
    ),
    Question(
        "on-its-seat",
        "Did a valve read 0 or below at reference lift?",
        "The valve sits on its seat, and nobody knows how far it has gone. [Read this event at contact](read.md#at-contact).",
    ),
    Question(
        "turned",
        "Was a rod turned, and is its unit still off?",
        "Compare as found with as left. Look for these before you turn again.",
        slips=(mistakes.WRONG_WAY, mistakes.NOT_MOVED, mistakes.THREAD_TYPE, mistakes.RATIO_INVERTED),
    ),
    Question(
        "contradiction",
        "Do start and end of one unit contradict each other?",
        "The cam part of the start is not the cam part of the end. Correct nothing on this unit.",
        causes=(cause.READINGS_DISAGREE,),
        below=(
            Question(
                "plunger-gauge",
                "Does the plunger gauge not come back to zero, or does the peak lift not fit?",
                slips=(
                    mistakes.GAUGE_ZERO,
                    mistakes.GAUGE_TILT,
                    mistakes.DIAL_TURN,
                    mistakes.GAUGE_BOTTOMED,
                    mistakes.DIAL_BACKWARDS,
                ),
            ),
            Question(
                "flywheel",
                "Do the lifts fit, and the crank angles not?",
                slips=(mistakes.WRONG_TDC_MARK, mistakes.BEFORE_AFTER, mistakes.ASTERN_PLAY),
            ),
            Question(
                "on-paper",
                "Could a number stand wrongly on the paper?",
                slips=(mistakes.DIGIT_SLIP, mistakes.EVENTS_SWAPPED, mistakes.UNITS_SWAPPED, mistakes.FORM_COPIED),
            ),
        ),
    ),
    Question(
        "all-units",
        "Are all units off in the same way?",
        "Then it is no single rod and no single cam. Turn no rod yet.",
        below=(
            Question(
                "all-lifts",
                "Is the lift of an event off by about the same at all units?",
                causes=(cause.COMMON_SETTING,),
                slips=(mistakes.INDEX_OFF, mistakes.TIMING_OFFSET, mistakes.SEAT_CONTACT),
            ),
            Question(
                "all-angles",
                "Are the crank angles off by about the same at all units, and the lifts right?",
                causes=(cause.COMMON_SHIFT,),
            ),
        ),
    ),
    Question(
        "one-unit",
        "Is one unit off, and the others not?",
        below=(
            Question(
                "one-lift",
                "Is its lift off at one event, and does the angle follow the lift?",
                causes=(cause.SUCTION_ROD, cause.SPILL_ROD),
            ),
            Question(
                "both-angles",
                "Are its two crank angles off by about the same, and its lifts right?",
                causes=(cause.CAM_POSITION,),
            ),
        ),
    ),
    Question(
        "too-close",
        "Does the verdict say too close to tell?",
        "Go by [what would settle it](judge.md#too-close-to-tell). Do not turn a rod because of it.",
    ),
    Question(
        "none",
        "Is none of these so?",
        "Stop. Let another person read the unit again, with another gauge. If it stays so, ask the maker. "
        "Never turn a rod to make numbers fit.",
    ),
)


def fault_tree() -> str:
    """All of it as Markdown: the questions nested with links, then each with what can stand behind it."""
    numbered = list(_numbered())
    overview = [f"{_bullet(number)}[{each.asks}](#{each.code})" for number, each in numbered]
    return "\n".join([*overview, "", *(line for at in range(len(numbered)) for line in _part(numbered, at))])


def _numbered() -> Iterator[tuple[str, Question]]:
    for number, each in enumerate(QUESTIONS, 1):
        yield str(number), each
        for inner, below in enumerate(each.below, 1):
            yield f"{number}.{inner}", below


def _bullet(number: str) -> str:
    """What stands before a question in the overview: a list numbers its own items, but not those inside them."""
    return f"    - {number}. " if "." in number else "1. "


def _part(numbered: list[tuple[str, Question]], at: int) -> Iterator[str]:
    number, each = numbered[at]
    yield from (f"{'##' if '.' not in number else '###'} {number}. {each.asks} {{#{each.code}}}", "")
    if each.yes:
        yield from (each.yes, "")
    for code in each.causes:
        yield from (f"**{_named(_SIZE.sub('', CAUSES[code]))}.** {' '.join(_CHECKS[code])}", f"{{: #cause-{code} }}", "")
    for code in each.slips:
        yield from (f"**{_named(what(code, AHEAD))}.** {settle_in_general(code)}", f"{{: #mistake-{code} }}", "")
    # Where a question has others below it, a no passes over all of them.
    rest = [one for one in numbered[at + 1 :] if "." in number or "." not in one[0]]
    if each.below:
        yield from (f"*If so, go on to {_link(*numbered[at + 1])}. If not, go on to {_link(*rest[0])}.*", "")
    elif rest:
        yield from (f"*If not, go on to {_link(*rest[0])}.*", "")


def _link(number: str, each: Question) -> str:
    return f"[question {number}](#{each.code})"


def _named(words: str) -> str:
    return words[:1].upper() + words[1:]
