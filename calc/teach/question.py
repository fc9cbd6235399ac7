"""What a question is: its words and numbers, the field that takes the answer, the answer, and the wrong ideas near it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from math import copysign, isclose
from typing import Protocol

from calc.job.describe import CHOICE, NUMBER, Field
from calc.job.words import angle_words, plain, signed
from calc.teach.draw import Draw, seeded
from calc.working import Line

Answer = float | str
# Of the last decimal that is wanted: what floats add to a number and nobody reads.
LAST_BIT = 1e-6


@dataclass(frozen=True, slots=True)
class Slip:
    """A typical wrong idea: the answer that it leads to, and what to say about it."""

    answer: Answer
    text: str


@dataclass(frozen=True, slots=True)
class Question:
    """One question with its numbers.

    text: paragraphs, the last of which asks; given: what is known, label and value; field: takes the answer; answer: a number
    in the field's unit, or the code of a choice; slips: wrong ideas, for a choice every other choice; working: how to get
    there; so: what the answer means; decimals: to how many the answer is wanted; sides: what plus and minus mean in a
    word each, where both can be.
    """

    text: tuple[str, ...]
    given: tuple[tuple[str, str], ...]
    field: Field
    answer: Answer
    slips: tuple[Slip, ...]
    working: tuple[Line, ...]
    so: str
    decimals: int = 2
    sides: tuple[str, str] | None = None

    @property
    def has_sign(self) -> bool:
        """Whether the answer can be on either side of 0."""
        return self.sides is not None or self.field.angle

    @property
    def step(self) -> float:
        """One in the last decimal that is wanted."""
        return float(10.0**-self.decimals)

    @property
    def wanted(self) -> str:
        """How to give the answer, in words; empty for a choice."""
        if self.field.kind == CHOICE:
            return ""
        places = f"to {self.decimals} decimal{'s' if self.decimals != 1 else ''}" if self.decimals else "as a whole number"
        if self.field.angle:
            return f"Answer {places}, before or after TDC: write 1.2 before, or -1.2."
        unit = f"in {self.field.unit}, " if self.field.unit else ""
        how = f" {self.sign[:-1]}: write 1.2 {self.sides[1]}, or -1.2." if self.sides else ""
        return f"Answer {unit}{places}.{how}"

    @property
    def sign(self) -> str:
        """What plus and minus mean, in a sentence; empty where there is no minus."""
        return f"{self.sides[0].capitalize()} is plus, {self.sides[1]} is minus." if self.sides else ""

    def told(self, answer: Answer) -> str:
        """An answer as people read it, rounded as it is wanted."""
        if isinstance(answer, str):
            return self.field.choices[answer]
        # A half is rounded away from 0, as people do; the last bit of a float decides nothing.
        answer += copysign(LAST_BIT * self.step, answer)
        if self.field.angle:
            return angle_words(round(answer, self.decimals))
        number = signed(answer, self.decimals) if self.sides else plain(answer, self.decimals)
        return f"{number}{'' if self.field.unit == '°' else ' '}{self.field.unit}".strip()


def asks_number(label: str, unit: str = "", *, angle: bool = False) -> Field:
    """The field of an answer that is a number."""
    return Field("answer", NUMBER, label, unit=unit, angle=angle)


def asks_choice(label: str, choices: Mapping[str, str]) -> Field:
    """The field of an answer that is one of a few sentences."""
    return Field("answer", CHOICE, label, choices=choices)


def slips_of(reasons: Mapping[str, str], right: str) -> tuple[Slip, ...]:
    """The slips of a choice: why each of the others is wrong.

    >>> slips_of({"a": "Not a.", "b": "Not b."}, "a")
    (Slip(answer='b', text='Not b.'),)
    """
    return tuple(Slip(code, text) for code, text in reasons.items() if code != right)


class Kind(Protocol):
    """One kind of question: a frozen record of the numbers that it is asked with."""

    @classmethod
    def drawn(cls, draw: Draw) -> Kind:
        """The numbers, drawn."""

    def question(self) -> Question:
        """The question that they make."""


# Steps of the last decimal: wrong answers stay so far from the right one, and from each other, that neither is taken for the
# other, also where somebody has rounded on the way.
FROM_ANSWER, FROM_EACH_OTHER = 4.0, 3.0
_MOST_DRAWS = 500


def is_clear(question: Question) -> bool:
    """Whether every wrong answer is told from the right one and from the other wrong ones."""
    if isinstance(question.answer, str):
        return {question.answer, *(slip.answer for slip in question.slips)} == set(question.field.choices)
    step = question.step
    wrong = [slip.answer for slip in question.slips if not isinstance(slip.answer, str)]
    far = all(abs(each - question.answer) > FROM_ANSWER * step for each in wrong)
    apart = all(abs(a - b) > FROM_EACH_OTHER * step for a, b in combinations(wrong, 2))
    # Nor is one of the wrong ideas' answers the right one with its point elsewhere, or with the other sign, but exactly.
    pointed = any(point_is_off(question.answer, each) for each in wrong)
    signless = question.has_sign and any(0.0 < abs(each + question.answer) <= FROM_EACH_OTHER * step for each in wrong)
    return far and apart and not pointed and not signless


def point_is_off(right: float, value: float) -> bool:
    """Whether a value has the digits of the right one, and its decimal point elsewhere.

    >>> point_is_off(0.625, 6.2), point_is_off(0.625, 0.3125)
    (True, False)
    """
    return right != 0.0 and any(isclose(value, right * 10.0**power, rel_tol=0.01) for power in (-3, -2, -1, 1, 2, 3))


def numbered(name: str, kind: type[Kind], number: int) -> Question:
    """The question of a kind with a number: the same number, the same question, everywhere.

    Number 0 is the worked example of a lesson; people are asked from 1 on.
    """
    draw = seeded(name, number)
    for _ in range(_MOST_DRAWS):
        question = kind.drawn(draw).question()
        if is_clear(question):
            return question
    raise AssertionError(f"{name}: no clear numbers in {_MOST_DRAWS} draws")
