"""What people type, understood: comma or point, any minus sign, "4.5 before", units typed along, repeats in a row.

A text that can mean two things is asked about, never guessed.
"""

from __future__ import annotations

import json
import re
from typing import Any

from calc.job.describe import CHOICE, FLAG, NUMBER, NUMBERS, TABLE, TEXT, WHOLE, WHOLES, Field
from calc.job.words import angle_words, short

_MINUS = dict.fromkeys(map(ord, "−–—‒―﹣－⁻"), "-")
_DIGITS = r"(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?"
_ITEM = re.compile(
    rf"(?P<side1>before|after)?\s*(?:(?P<number>[+-]?\s?{_DIGITS})"
    r"(?:\s*(?P<unit>°C|°/min|°|deg(?:rees?)?|mm|rpm|1/min|kg/m³|kg/m3|min|h|C)(?![a-z]))?"
    r"(?:\s*(?P<side2>before|after|b|a)(?![a-z]))?(?:\s*TDC(?![a-z]))?|(?P<zero>(?:at\s+)?TDC(?![a-z])))",
    re.IGNORECASE,
)
_UNITS = {"deg": "°", "degree": "°", "degrees": "°", "kg/m3": "kg/m³", "c": "°C", "1/min": "rpm"}


class EntryError(ValueError):
    """A text that is no value. The message says what was found and how to write it."""


def understand(field: Field, text: str) -> Any:
    """The value in a text that was typed into a field.

    Parameters: field description; text, not blank. Returns: the value as it stands in the job file. Raises: EntryError.

    >>> lift = Field("plunger_lift_mm", NUMBERS, "plunger lift", unit="mm")
    >>> understand(lift, "12,31 12.30")
    [12.31, 12.3]
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
    values = _numbers(field, text)
    if field.kind in (NUMBERS, WHOLES):
        return values
    if len(values) > 1:
        raise EntryError(f"{len(values)} numbers found: “{_cut(text)}”. One number belongs here.")
    return values[0]


def _flag(field: Field, text: str) -> Any:
    words = {"true": True, "yes": True, "false": False, "no": False}
    if text.lower() not in words:
        raise EntryError(f"“{_cut(text)}” found. Choose {' or '.join(field.choices.values())}.")
    return words[text.lower()]


def _choice(field: Field, text: str) -> str:
    for value, label in field.choices.items():
        if text.lower() in (value.lower(), label.lower()):
            return value
    raise EntryError(f"“{_cut(text)}” found. Choose {' or '.join(field.choices.values())}.")


def _table(field: Field, text: str) -> list[list[Any]]:
    rows = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        pair = Field(name="row", kind=NUMBERS, label="row", angle=True)
        try:
            values = _numbers(pair, line.strip().strip("|").replace("|", " ").replace("\t", " "))
        except EntryError as error:
            raise EntryError(f"Line {number}: {error}") from None
        if len(values) != len(field.columns):
            names = " and ".join(f"{column.label} ({column.unit})" for column in field.columns)
            raise EntryError(f"Line {number}: {len(values)} numbers in “{_cut(line)}”. A line holds {names}.")
        rows.append(values)
    return rows


def _numbers(field: Field, text: str) -> list[Any]:
    plain = text.translate(_MINUS).replace("\u00a0", " ").replace("\u202f", " ")
    if field.unit:
        # The field's own unit may stand behind every number; any other is asked to be converted.
        plain = re.sub(rf"(?<=[\d.,])\s*{re.escape(field.unit)}(?![a-z])", "", plain, flags=re.IGNORECASE)
    spaced = re.sub(r";|,(?=\s)", " ", plain)
    values: list[Any] = []
    at = 0
    for match in _ITEM.finditer(spaced):
        if spaced[at : match.start()].strip():
            break
        if values and at == match.start() and not match[0][:1].isspace():
            break  # Two numbers that touch: "1,234,5" or "12.3.4".
        values.append(_number(field, match, text))
        at = match.end()
    rest = spaced[at:].strip()
    if rest or not values:
        raise EntryError(_not_understood(field, text))
    return values


def _number(field: Field, match: re.Match[str], text: str) -> Any:
    if match["zero"]:
        if not field.angle:
            raise EntryError(_not_understood(field, text))
        return 0
    literal = match["number"].replace(" ", "")
    _check_ambiguous(literal)
    unit = (match["unit"] or "").lower()
    unit = _UNITS.get(unit, match["unit"] or "")
    if unit and unit.lower() != field.unit.lower() and not (field.angle and unit == "°"):
        wanted = f"in {field.unit}" if field.unit else "without a unit"
        raise EntryError(f"“{_cut(text)}” found. This value is entered {wanted}. Convert it.")
    literal = literal.replace(",", ".")
    value: Any = int(literal) if re.fullmatch(r"[+-]?\d{1,15}", literal) else float(literal)
    if value in (float("inf"), float("-inf")):
        raise EntryError(f"“{_cut(text)}” is too large for any number here. Check the exponent.")
    side = (match["side1"] or match["side2"] or "").lower()[:1]
    if match["side1"] and match["side2"]:
        raise EntryError(f"“{_cut(text)}” says before or after twice. Say it once.")
    if side:
        if not field.angle:
            raise EntryError(_not_understood(field, text))
        if literal.startswith(("-", "+")):
            raise EntryError(f"“{_cut(text)}” has a sign and a word. Write 4.5 before, or -4.5.")
        return -value if side == "b" else value
    return value


def _check_ambiguous(literal: str) -> None:
    found = re.fullmatch(r"[+-]?([1-9]\d{0,2}),(\d{3})", literal)
    if found:
        whole, rest = found.groups()
        raise EntryError(f"“{literal}” can mean {whole}.{rest} or {whole}{rest}. Write it with a point, or without the comma.")


def _not_understood(field: Field, text: str) -> str:
    example = "4.5 before" if field.angle else "12.31"
    several = " Separate repeats with a space." if field.kind in (NUMBERS, WHOLES) else ""
    noun = "a whole number" if field.kind in (WHOLE, WHOLES) else f"a number, like {example}"
    return f"“{_cut(text)}” is not understood. Write {noun}.{several}"


def _cut(text: str, most: int = 40) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"


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


def echo(field: Field, value: Any, text: str) -> str:
    """What was understood, in words, where that says more than the text itself; else empty.

    >>> echo(Field("beginning_deg", NUMBER, "start", unit="°", angle=True), -4.5, "-4.5")
    '4.5° before TDC'
    >>> echo(Field("plunger_lift_mm", NUMBERS, "plunger lift", unit="mm"), [12.31, 12.30], "12.31 12.30")
    '2 readings, mean 12.305 mm'
    >>> echo(Field("speed_rpm", NUMBER, "speed", unit="rpm"), 96.0, "96.0")
    ''
    """
    if not field.angle and field.kind in (NUMBER, NUMBERS) and _PLAIN.fullmatch(text.strip()):
        return ""
    if field.kind == NUMBERS and len(value) > 1 and not field.serves:
        mean = sum(value) / len(value)
        words = angle_words(round(mean, 6)) if field.angle else f"{short(mean)} {field.unit}".strip()
        return f"{len(value)} readings, mean {words}"
    if field.kind in (NUMBER, NUMBERS):
        each = value[0] if field.kind == NUMBERS and len(value) == 1 else value
        if isinstance(each, list):
            return ""
        return angle_words(each) if field.angle else f"{short(each)} {field.unit}".strip()
    if field.kind == TABLE:
        return f"{len(value)} rows" if len(value) != 1 else "1 row"
    return ""
