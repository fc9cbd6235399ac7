"""An answer as people type it, judged: right, right but for rounding, a wrong idea, sign, decimal point, none of these."""

from __future__ import annotations

import re
from dataclasses import dataclass

from calc.job.describe import CHOICE
from calc.job.entry import EntryError, understand
from calc.job.numerals import signs
from calc.job.refusal import quoted
from calc.job.words import short
from calc.teach.question import LAST_BIT, Question, point_is_off

RIGHT, ROUNDED, SLIP, SIGN, POINT, OTHER, UNREAD = "right", "rounded", "slip", "sign", "point", "other", "unread"

HALF, NEAR = 0.5, 1.5  # Steps of the last decimal: rounded as wanted, and rounded on the way.


@dataclass(frozen=True, slots=True)
class Marked:
    """What an answer was found to be, and what to say to it."""

    code: str
    text: str

    @property
    def is_right(self) -> bool:
        """Whether it counts as answered."""
        return self.code in (RIGHT, ROUNDED)

    @property
    def counts(self) -> bool:
        """Whether it was an attempt: what could not be read was none."""
        return self.code != UNREAD


def mark(question: Question, text: str) -> Marked:
    """Judge a typed answer.

    >>> from calc.teach.correcting import LeftAndRight
    >>> from calc.teach.engine import Engine
    >>> flat = LeftAndRight(pitch_mm=1.5, ratio=0.8, flats=1.0)
    >>> [mark(flat.question(), typed).code for typed in ("0,625", "0.3125 mm", "6.25", "?")]
    ['right', 'slip', 'point', 'unread']
    """
    if not text.strip():
        return Marked(UNREAD, "Nothing is answered yet. Choose one." if question.field.choices else "Nothing is typed yet.")
    try:
        answer = understand(question.field, _without_side(question, text.strip()))
    except EntryError as error:
        return Marked(UNREAD, str(error))
    return _chosen(question, answer) if question.field.kind == CHOICE else _number(question, float(answer))


def _without_side(question: Question, text: str) -> str:
    """What was typed with a word for its side, as 0.2 early, with the sign that the word stands for. Raises: EntryError."""
    for side, sign in zip(question.sides or (), ("", "-"), strict=False):
        found = re.fullmatch(rf"(.*\d.*?)\s*{side}\.?", text, re.IGNORECASE)
        if found and re.match(r"\s*[+-]", signs(found[1])):
            raise EntryError(f"{quoted(text)} has a sign and a word. Write 1.2 {side}, or {sign}1.2.")
        if found:
            return f"{sign}{found[1]}"
    return text


def _chosen(question: Question, answer: str) -> Marked:
    if answer == question.answer:
        return Marked(RIGHT, f"Right. {question.so}")
    return Marked(SLIP, next(slip.text for slip in question.slips if slip.answer == answer))


def _number(question: Question, value: float) -> Marked:
    right, step = question.answer, question.step
    assert not isinstance(right, str)
    off = abs(value - right) / step
    if off <= HALF + LAST_BIT:
        return Marked(RIGHT, f"Right: {question.told(right)}. {question.so}")
    known = [(abs(value - slip.answer) / step, slip) for slip in question.slips if not isinstance(slip.answer, str)]
    nearest = min(known, key=lambda pair: pair[0], default=None)
    if nearest and nearest[0] <= NEAR and nearest[0] < off:
        return Marked(SLIP, nearest[1].text)
    if off <= NEAR:
        words = f"Right, but for rounding: it is {question.told(right)}. Keep all digits until the last line. {question.so}"
        return Marked(ROUNDED, words)
    if question.has_sign and abs(value + right) <= NEAR * step:
        sign = question.sign or "Before TDC is negative, after TDC is positive."
        return Marked(SIGN, f"The size is right, the sign is not. {sign}")
    if point_is_off(right, value):
        unit = f" The answer is wanted in {question.field.unit}." if question.field.unit else ""
        return Marked(POINT, f"The digits are right, the decimal point is not.{unit}")
    return Marked(OTHER, f"Not {short(value)}. No usual slip leads there. Compare your lines with the working.")
