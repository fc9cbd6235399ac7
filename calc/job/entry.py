"""What people type, understood, and said back: numbers, angles, flats, turns of a dial, words that can be chosen.

A text that can mean two things is asked about, never guessed.
"""

from __future__ import annotations

import json
import re
from math import fsum
from typing import Any

from calc.job.describe import CHOICE, FLAG, NUMBER, NUMBERS, TABLE, TEXT, WHOLES, Field
from calc.job.dial import Dial, speaks_of_turns, turned
from calc.job.flats import UNIT as FLATS
from calc.job.flats import flats, flats_echo
from calc.job.numerals import numbers
from calc.job.refusal import EntryError, quoted
from calc.job.words import angle_words, short

__all__ = ["Dial", "EntryError", "echo", "typed", "understand"]


def understand(field: Field, text: str, dial: Dial | None = None) -> Any:
    """The value in a text that was typed into a field.

    Parameters: field description; text, not blank; dial: the gauge that the field is read on, if it is one. Returns: the
    value as it stands in the job file. Raises: EntryError.

    >>> lift = Field("plunger_lift_mm", NUMBERS, "plunger lift", unit="mm")
    >>> understand(lift, "12,31 12.30")
    [12.31, 12.3]
    >>> understand(lift, "12t 0.31", Dial(1.0, "lift per turn"))
    [12.31]
    >>> understand(Field("beginning_deg", NUMBER, "start", unit="°", angle=True), "4.5 before")
    -4.5
    """
    text = text.strip()
    if field.kind == TEXT:
        return text
    if field.kind == FLAG:
        return _flag(field, text)
    if field.kind == CHOICE:
        return _choice(field, text)
    if field.kind == TABLE:
        return _table(field, text)
    values = _values(field, text, dial)
    if field.kind in (NUMBERS, WHOLES):
        return values
    if len(values) > 1:
        raise EntryError(f"{len(values)} numbers found: {quoted(text)}. One number belongs here. Write only that.")
    return values[0]


def _values(field: Field, text: str, dial: Dial | None) -> list[Any]:
    if dial is not None and speaks_of_turns(text):
        return [each.lift_mm for each in turned(text, dial)]
    return flats(field, text) if field.unit == FLATS else numbers(field, text)


def _flag(field: Field, text: str) -> Any:
    words = {"true": True, "yes": True, "false": False, "no": False}
    if text.lower() not in words:
        raise EntryError(f"{quoted(text)} found. Choose {' or '.join(field.choices.values())}.")
    return words[text.lower()]


def _choice(field: Field, text: str) -> str:
    for value, label in field.choices.items():
        if text.lower() in (value.lower(), label.lower()):
            return value
    raise EntryError(f"{quoted(text)} found. Choose {' or '.join(field.choices.values())}.")


def _table(field: Field, text: str) -> list[list[Any]]:
    rows = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        pair = Field(name="row", kind=NUMBERS, label="row", angle=True)
        try:
            values = numbers(pair, line.strip().strip("|").replace("|", " ").replace("\t", " "))
        except EntryError as error:
            raise EntryError(f"Line {number}: {error}") from None
        if len(values) != len(field.columns):
            names = " and ".join(f"{column.label} ({column.unit})" if column.unit else column.label for column in field.columns)
            raise EntryError(f"Line {number}: {len(values)} numbers in {quoted(line)}. A line holds {names}.")
        rows.append(values)
    return rows


def typed(field: Field, value: Any) -> str:
    """A value of the job file as text for the form: `understand` gives the same value back.

    >>> typed(Field("plunger_lift_mm", NUMBERS, "plunger lift"), [12.31, 12.3])
    '12.31 12.3'
    """
    if isinstance(value, str):
        return value
    if field.kind in (NUMBERS, WHOLES) and isinstance(value, list) and value and all(map(_is_number, value)):
        return " ".join(repr(each) for each in value)
    if field.kind == TABLE and isinstance(value, list) and value and all(_is_row(field, row) for row in value):
        return "\n".join(" ".join(repr(each) for each in row) for row in value)
    return json.dumps(value, ensure_ascii=False)


def _is_row(field: Field, row: Any) -> bool:
    return isinstance(row, list) and len(row) == len(field.columns) and all(map(_is_number, row))


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


_PLAIN = re.compile(r"[+-]?\d+(\.\d+)?")


def echo(field: Field, value: Any, text: str, dial: Dial | None = None) -> str:
    """What was understood, in words, where that says more than the text itself; else empty.

    >>> echo(Field("beginning_deg", NUMBER, "start", unit="°", angle=True), -4.5, "-4.5")
    '4.5° before TDC'
    >>> echo(Field("plunger_lift_mm", NUMBERS, "plunger lift", unit="mm"), [12.31, 12.30], "12.31 12.30")
    '2 readings, mean 12.305 mm'
    >>> echo(Field("plunger_lift_mm", NUMBER, "plunger lift", unit="mm"), 12.31, "12t 0.31", Dial(1.0, ""))
    '12.31 mm (12 turns of 1 mm and 0.31 mm)'
    >>> echo(Field("speed_rpm", NUMBER, "speed", unit="rpm"), 96.0, "96.0")
    ''
    """
    if not field.angle and field.kind in (NUMBER, NUMBERS) and _PLAIN.fullmatch(text.strip()):
        return ""
    if field.kind in (NUMBER, NUMBERS):
        each = value if isinstance(value, list) else [value]
        said = _amounts(field, each)
        if said and dial is not None and speaks_of_turns(text):
            return f"{said} ({'; '.join(dict.fromkeys(map(str, turned(text, dial))))})"
        return said
    if field.kind == TABLE:
        return f"{len(value)} rows" if len(value) != 1 else "1 row"
    return ""


_MANY = 12  # More values are counted, not repeated.


def _amounts(field: Field, values: list[Any]) -> str:
    if len(values) == 1:
        return _amount(field, values[0])
    if field.serves:
        return ""  # One value for each of several things: their mean says nothing.
    if field.apart:
        return ", ".join(_amount(field, each) for each in values) if len(values) <= _MANY else f"{len(values)} values"
    return f"{len(values)} readings, mean {_amount(field, round(fsum(values) / len(values), 6))}"


def _amount(field: Field, value: float) -> str:
    if field.angle:
        return angle_words(value)
    if field.unit == FLATS:
        return flats_echo(value)
    space = "" if field.unit == "°" else " "
    return f"{'±' if field.plus_minus else ''}{short(value)}{space}{field.unit}".strip()
