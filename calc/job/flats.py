"""Flats of a nut as people write them: 1 1/4, 1¼, 3/4, a quarter turn as 1/4 turn. Six flats make a turn."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise
from typing import Any

from calc.job.describe import NUMBERS, Field
from calc.job.numerals import DECIMAL, FRACTIONS, check_comma, exact, numbers, pieces, signs
from calc.job.refusal import EntryError, quoted
from calc.job.words import flats_words, short

UNIT = "flats"
FLATS_A_TURN = 6
_GLYPH = f"[{''.join(FRACTIONS)}]"
_AMOUNT = re.compile(
    rf"(?P<sign>[+-]?)\s*(?:(?:(?P<whole>\d+)(?P<join>\s*\+\s*|\s+))?(?P<over>\d+)\s*/\s*(?P<under>\d+)"
    rf"|(?:(?P<before>\d+)(?P<gap>\s*\+\s*|\s*))?(?P<glyph>{_GLYPH})|(?P<decimal>{DECIMAL}))"
    r"(?:\s*(?P<unit>flats?|turns?))?",
    re.IGNORECASE,
)
_SPEAKS_OF_PARTS = re.compile(rf"/|{_GLYPH}|turns?\b|flat\b", re.IGNORECASE)
_TURN_AND_FLATS = re.compile(r"(?P<turns>.*?turns?)\s*(?:\+|,|and)?\s*(?P<flats>[^-]*?flats?)", re.IGNORECASE)


def flats(field: Field, text: str) -> list[Any]:
    """The numbers of flats in a text, at least one.

    Parameters: field description, its unit is flats; text, not blank. Returns: flats; negative is the other way. Raises:
    EntryError.

    >>> one = Field("turned", "number", "flats turned", unit="flats")
    >>> flats(one, "1 1/4"), flats(one, "-1¼"), flats(one, "1/4 turn"), flats(one, "1 turn 2 flats")
    ([1.25], [-1.25], [1.5], [8.0])
    """
    plain = signs(text).strip()
    if not _SPEAKS_OF_PARTS.search(plain):
        return numbers(field, text)
    if field.kind != NUMBERS:
        return [_one(plain, text)]
    return [value for piece in pieces(plain) for value in _repeats(piece, text)]


def _repeats(piece: str, text: str) -> list[float]:
    tokens = re.split(rf"\s+(?=[+-]?(?:[\d.,]|{_GLYPH}))", piece)
    for first, second in pairwise(tokens):
        if re.fullmatch(r"[+-]?\d+", first) and re.match(rf"\d+\s*/|{_GLYPH}", second):
            raise EntryError(f"{quoted(text)} can mean one number or two. Write 1+1/4 for one, 1; 1/4 for two.")
    return [_one(token, text) for token in tokens]


def _one(plain: str, text: str) -> float:
    both = _TURN_AND_FLATS.fullmatch(plain)
    if both:
        turns, rest = (_amount(both[part], text) for part in ("turns", "flats"))
        return float(turns + (-rest if turns < 0 else rest))
    return float(_amount(plain, text))


def _amount(plain: str, text: str) -> Fraction:
    found = _AMOUNT.fullmatch(plain)
    if not found:
        if re.search(r"[\da-z]\s*-\s*\d", plain, re.IGNORECASE):
            raise EntryError(f"{quoted(text)} has a sign inside. Write one number, its sign in front, like -1 1/4.")
        raise EntryError(_not_understood(text))
    if found["sign"] == "-" and "+" in (found["join"] or "") + (found["gap"] or ""):
        raise EntryError(f"{quoted(text)} has two signs. Write one in front, like -1 1/4.")
    if found["decimal"]:
        check_comma(found["decimal"], text)
        size = exact(found["decimal"])
    else:
        size = Fraction(found["whole"] or found["before"] or 0) + _part(found, text)
    if (found["unit"] or "").lower().startswith("turn"):
        size *= FLATS_A_TURN
    return -size if found["sign"] == "-" else size


def _part(found: re.Match[str], text: str) -> Fraction:
    if found["glyph"]:
        return FRACTIONS[found["glyph"]]
    over, under = int(found["over"]), int(found["under"])
    if not under:
        raise EntryError(f"{quoted(text)} divides by 0. {_HOW}")
    if found["whole"] and over >= under:
        raise EntryError(f"{quoted(text)} has a fraction that is a whole or more. {_HOW}")
    return Fraction(over, under)


_HOW = "Write flats like 1 1/4, 1.25 or 1¼, or a turn like 1/4 turn."


def _not_understood(text: str) -> str:
    return f"{quoted(text)} is not understood. {_HOW}"


def flats_echo(value: float) -> str:
    """A number of flats in words, with its sign.

    >>> flats_echo(1.5), flats_echo(-1.25), flats_echo(2.0), flats_echo(1 / 3)
    ('1½ flats', '−1¼ flats', '2 flats', '0.333333 flats')
    """
    if value and 4 * value % 1:
        return f"{short(value)} {UNIT}"
    return f"{'−' if value < 0 else ''}{flats_words(value)}"
