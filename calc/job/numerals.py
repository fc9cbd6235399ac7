"""Numbers in a typed text: comma or point, any minus sign, units typed along, before and after, repeats in a row."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import Any

from calc.job.describe import NUMBERS, WHOLE, WHOLES, Field
from calc.job.refusal import EntryError, quoted

# What keyboards and papers have for the same sign.
_SIGNS = str.maketrans(
    {
        **dict.fromkeys("−–—‒―﹣－⁻", "-"),
        **dict.fromkeys("⁄∕", "/"),
        **dict.fromkeys("º˚", "°"),
        **dict.fromkeys("′’", "'"),
        **dict.fromkeys("\u00a0\u202f\u2009", " "),
        **dict(zip("，；．＋", ",;.+", strict=True)),
    }
)
_QUARTERS = {"¼": Fraction(1, 4), "½": Fraction(1, 2), "¾": Fraction(3, 4)}
_THIRDS = {"⅓": Fraction(1, 3), "⅔": Fraction(2, 3), "⅙": Fraction(1, 6), "⅚": Fraction(5, 6)}
_EIGHTHS = {"⅛": Fraction(1, 8), "⅜": Fraction(3, 8), "⅝": Fraction(5, 8), "⅞": Fraction(7, 8)}
FRACTIONS = {**_QUARTERS, **_THIRDS, **_EIGHTHS}
DECIMAL = r"(?:\d+(?:[.,]\d*)?|[.,]\d+)"
_DIGITS = rf"{DECIMAL}(?:[eE][+-]?\d+)?"
_TDC = r"(?:TDC|top\s+dead\s+cent(?:re|er))(?![a-z])"
_DEGREE = r"(?:°|deg(?:rees?)?(?![a-z]))"
_UNITS = r"°C|°/min|°|deg(?:rees?)?|mm|rpm|1/min|kg/m³|kg/m3|min|h|C"
_SAME_UNIT = {"deg": "°", "degree": "°", "degrees": "°", "kg/m3": "kg/m³", "c": "°C", "1/min": "rpm"}


@lru_cache
def _item(unit: str) -> re.Pattern[str]:
    """One number with what may stand around it, in a field with this unit."""
    units = f"{re.escape(unit)}|{_UNITS}" if unit else _UNITS
    return re.compile(
        r"(?P<side1>before|after)?\s*(?:(?P<sign>[+-]?)\s?(?:"
        rf"(?P<degrees>\d+)\s*{_DEGREE}\s*(?P<minutes>\d{{1,2}})\s*(?:'|min(?:utes?)?(?![a-z]))"
        rf"|(?P<number>\d*[{''.join(FRACTIONS)}]|{_DIGITS})(?:\s*(?P<unit>{units})(?![a-z]))?)"
        rf"(?:\s*(?P<side2>before|after|b|a)(?:(?![a-z])|(?=TDC)))?(?:\s*{_TDC})?|(?P<zero>(?:at\s+)?{_TDC})(?!\s*[+-]))",
        re.IGNORECASE,
    )


def signs(text: str) -> str:
    """The text with one sign for each meaning.

    >>> signs("−1⁄4")
    '-1/4'
    """
    return text.translate(_SIGNS)


def pieces(text: str) -> list[str]:
    """What stands between clear marks of separation: a semicolon, a comma before a space, a new line, the word and.

    >>> pieces("12,31, 12,30; 12,29")
    ['12,31', '12,30', '12,29']
    """
    parts = re.split(r";|,(?=\s)|\n|\s(?:and|&)(?=\s)", text, flags=re.IGNORECASE)
    return [part.strip() for part in parts if part.strip()]


def numbers(field: Field, text: str) -> list[Any]:
    """The numbers in a text, at least one. Raises: EntryError."""
    plain = signs(text)
    if field.angle and re.search(r"\b[ab]?bdc\b|bottom\s+dead", plain, re.IGNORECASE):
        raise EntryError(f"{quoted(text)} counts from bottom dead centre. Write how far before or after TDC, like 4.5 before.")
    if field.kind == WHOLES and re.fullmatch(r"\s*\d+(?:\s*[-/>]+\s*\d+)+\s*", plain):
        plain = re.sub(r"[-/>]+", " ", plain)  # A row of whole numbers, like 1-3-2, has no signs and no fractions.
    if field.plus_minus:
        plain = re.sub(r"^\s*(?:±|\+/?-)\s*", "", plain)
    values = [value for piece in pieces(plain) for value in _of_piece(field, piece, text)]
    if not values:
        raise EntryError(not_understood(field, text))
    return values


def _of_piece(field: Field, piece: str, text: str) -> Iterator[Any]:
    at = 0
    for match in _item(field.unit).finditer(piece):
        # Nothing may stand between two numbers but space, and they may not touch: "1,234,5" or "12.3.4".
        if piece[at : match.start()].strip() or (at and at == match.start() and not match[0][:1].isspace()):
            break
        if at and (match["number"] or "").startswith(","):
            tail = match["number"][1:]
            raise EntryError(f"{quoted(text)}: “,{tail}” can mean 0.{tail} or {tail}. Write 0.{tail}, or a semicolon between.")
        yield _value(field, match, text)
        at = match.end()
    if piece[at:].strip():
        raise EntryError(not_understood(field, text))


def _value(field: Field, match: re.Match[str], text: str) -> Any:
    if match["zero"]:
        if not field.angle:
            raise EntryError(not_understood(field, text))
        return 0
    value = _arc(field, match, text) if match["degrees"] else _plain(field, match, text)
    value = -value if match["sign"] == "-" else value
    side = (match["side1"] or match["side2"] or "").lower()[:1]
    if match["side1"] and match["side2"]:
        raise EntryError(f"{quoted(text)} says before or after twice. Say it once, like 4.5 before.")
    if side:
        if not field.angle:
            raise EntryError(not_understood(field, text))
        if match["sign"]:
            raise EntryError(f"{quoted(text)} has a sign and a word. Write 4.5 before, or -4.5.")
        return -value if side == "b" else value
    return value


def _plain(field: Field, match: re.Match[str], text: str) -> Any:
    literal = match["number"]
    check_comma(literal, text)
    unit = _SAME_UNIT.get((match["unit"] or "").lower(), match["unit"] or "")
    if unit and unit.lower() != field.unit.lower() and not (field.angle and unit == "°"):
        wanted = f"in {field.unit}" if field.unit else "without a unit"
        raise EntryError(f"{quoted(text)} found. This value is entered {wanted}. Convert it.")
    if literal[-1] in FRACTIONS:
        return float(Fraction(literal[:-1] or 0) + FRACTIONS[literal[-1]])
    literal = literal.replace(",", ".")
    value: Any = int(literal) if re.fullmatch(r"\d{1,15}", literal) else float(literal)
    if value == float("inf"):
        raise EntryError(f"{quoted(text)} is too large for any number here. Check the exponent.")
    return value


def _arc(field: Field, match: re.Match[str], text: str) -> float:
    """Degrees and minutes of arc."""
    if field.unit != "°":
        raise EntryError(not_understood(field, text))
    if int(match["minutes"]) >= 60:
        raise EntryError(
            f"{quoted(text)} has {match['minutes']} minutes; a degree has 60. Write degrees with a point, like 4.5."
        )
    return float(int(match["degrees"]) + Fraction(int(match["minutes"]), 60))


def exact(literal: str) -> Fraction:
    """A decimal as it stands on paper.

    >>> exact("0,31"), exact("5.")
    (Fraction(31, 100), Fraction(5, 1))
    """
    return Fraction(literal.replace(",", ".").removesuffix("."))


def check_comma(literal: str, text: str) -> None:
    """Refuse a comma that can stand for a point or for thousands."""
    found = re.fullmatch(r"([1-9]\d{0,2}),(\d{3})", literal)
    if found:
        whole, rest = found.groups()
        raise EntryError(
            f"{quoted(text)}: “{literal}” can mean {whole}.{rest} or {whole}{rest}. Write it with a point or without comma."
        )


def not_understood(field: Field, text: str) -> str:
    """Why a text is no number for this field, and how to write one."""
    example = "4.5 before" if field.angle else "12.31"
    things = "values" if field.apart else "repeats"
    several = f" Separate {things} with a space." if field.kind in (NUMBERS, WHOLES) else ""
    noun = "a whole number" if field.kind in (WHOLE, WHOLES) else f"a number, like {example}"
    if re.search(rf"\d\s*/\s*\d|[{''.join(FRACTIONS)}]", signs(text)):
        return f"{quoted(text)} has a fraction, which is not understood here. Write {noun}.{several}"
    return f"{quoted(text)} is not understood. Write {noun}.{several}"
