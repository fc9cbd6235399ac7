"""A long stroke on a dial gauge: whole turns on the small counter, and what the dial shows within a turn."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from calc.job.numerals import DECIMAL, check_comma, exact, pieces, signs
from calc.job.refusal import EntryError, quoted
from calc.job.words import short

_TURNS = r"(?:t|turns?|revs?|revolutions?)(?![a-z])\.?"
# No match begins inside a row of digits: a hostile text would make it try each of them.
_MARK = re.compile(rf"(?<![a-z\d.,])\d[\d.,]*\s*{_TURNS}", re.IGNORECASE)
_ITEM = re.compile(rf"(?<![\d.,])(?P<turns>\d+)\s*{_TURNS}\s*\+?\s*(?P<dial>{DECIMAL})(?:\s*mm(?![a-z]))?", re.IGNORECASE)
_HOW = "Write whole turns, then what the dial shows in mm, like 12t 0.31."


@dataclass(frozen=True, slots=True)
class Dial:
    """The gauge behind a field: its lift per turn in mm, None where it is not entered, and where it is entered, in words."""

    per_turn_mm: float | None
    where: str


@dataclass(frozen=True, slots=True)
class Turned:
    """One reading: whole turns, and what the dial shows in mm, as typed."""

    turns: int
    shown: str
    per_turn_mm: float

    @property
    def lift_mm(self) -> float:
        """The lift, exact in the decimals that were typed.

        >>> Turned(12, "0.31", 1.0).lift_mm
        12.31
        """
        return float(self.turns * Fraction(repr(self.per_turn_mm)) + exact(self.shown))

    def __str__(self) -> str:
        turns = "1 turn" if self.turns == 1 else f"{self.turns} turns"
        return f"{turns} of {short(self.per_turn_mm)} mm and {self.shown} mm"


def speaks_of_turns(text: str) -> bool:
    """Whether a text counts turns.

    >>> speaks_of_turns("12t 0.31"), speaks_of_turns("12.31")
    (True, False)
    """
    return _MARK.search(signs(text)) is not None


def turned(text: str, dial: Dial) -> list[Turned]:
    """The readings in a text that counts turns, at least one.

    Parameters: text for which `speaks_of_turns`; the gauge. Raises: EntryError.

    >>> [str(each) for each in turned("12t 0.31; 12 turns 0,30", Dial(1.0, ""))]
    ['12 turns of 1 mm and 0.31 mm', '12 turns of 1 mm and 0.30 mm']
    """
    if dial.per_turn_mm is None:
        raise EntryError(
            f"{quoted(text)} counts turns of the dial, and nobody has said how far one turn is. Enter it under “{dial.where}”, "
            "or write the reading in mm."
        )
    return [each for piece in pieces(signs(text)) for each in _of_piece(piece, text, dial.per_turn_mm)]


def _of_piece(piece: str, text: str, per_turn_mm: float) -> Iterator[Turned]:
    if re.search(r"div", piece, re.IGNORECASE):
        raise EntryError(f"{quoted(text)} counts divisions of the dial. {_HOW}")
    at = 0
    for match in _ITEM.finditer(piece):
        if piece[at : match.start()].strip():
            break
        yield _one(match, text, per_turn_mm)
        at = match.end()
    rest = piece[at:].strip()
    if not rest:
        return
    if rest.startswith("-"):
        raise EntryError(f"{quoted(text)} has a sign. Write a reading below zero in mm alone, like -0.02.")
    if re.fullmatch(rf"\d+\s*{_TURNS}", rest, re.IGNORECASE):
        raise EntryError(f"{quoted(text)} does not say what the dial shows, which can be 0. {_HOW}")
    if re.fullmatch(rf"{DECIMAL}(?:\s*mm)?(?:\s+{DECIMAL}(?:\s*mm)?)*", rest, re.IGNORECASE):
        raise EntryError(
            f"{quoted(text)} has turns with one reading and none with another. Write them with each, like 12t 0.31."
        )
    raise EntryError(f"{quoted(text)} is not understood. {_HOW}")


def _one(match: re.Match[str], text: str, per_turn_mm: float) -> Turned:
    check_comma(match["dial"], text)
    shown = match["dial"].replace(",", ".")
    if exact(shown) >= Fraction(repr(per_turn_mm)):
        raise EntryError(f"{quoted(text)}: the dial part is {shown} mm, and one turn is {short(per_turn_mm)} mm. {_HOW}")
    return Turned(int(match["turns"]), shown, per_turn_mm)
