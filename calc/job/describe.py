"""How a field is described, once, for everything that needs to know it.

A record is a frozen dataclass whose attributes are declared with the functions below. The declaration is the only
place where a field exists: the reader, the writer, the messages, the JSON Schemas, the form, the reference page and
the command line walk over `fields_of(record)` and never name a field again.
"""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, TypeVar, dataclass_transform

R = TypeVar("R")

NUMBER, WHOLE, TEXT, CHOICE, FLAG = "number", "whole", "text", "choice", "flag"
NUMBERS, WHOLES, TABLE, TEXTS = "numbers", "wholes", "table", "texts"
RECORD, RECORDS = "record", "records"


@dataclass(frozen=True, slots=True, eq=False)  # Each declaration is a field of its own, and can be a key.
class Field:
    """One field: its key in the file, its words for people, and what is allowed in it.

    kind: one of the constants above (NUMBERS is a list of repeats, TABLE a list of pairs, RECORD a nested object).
    low, high: limits in `unit`; `low_open`, `high_open` where the limit itself is not allowed. low_where: (sibling key, its
    value, other low) for a limit that depends on another field of the record.
    required: the file cannot be used without it. fallback: what stands in for an absent value, always with a notice.
    find: where a person finds the value. hint: common practice, shown beside an empty field and never filled in.
    source: the published source of a formula or rule behind a result.
    exactly: the only value that the field may have.
    variants: other records that an element of the list can be. omit: the key is left out, not null, where it has no value.
    many: a text field that holds a list of texts.
    one: of a list of records: what people call one of them.
    gaps: of a list of numbers in a result: an element can be null, and the list empty. nested: it is a list of such lists.
    apart: of a list of numbers: each is of a thing of its own; without it they are repeats of one reading.
    angle: the value is a crank angle, told to people as before or after top dead centre.
    turns_of: the path of the field that holds the lift per turn of the gauge on which this one is read.
    plus_minus: a size that counts on both sides, so that ± may be typed along.
    decimals: of a result: how many are told to people; without it, six digits in all.
    unit_from: of a result: the input whose choice is the unit; what stands in brackets behind it is its kind.
    serves: the later step that alone needs it; the form keeps such fields together and out of the way.
    step: the step of the job that asks for it (see `calc.job.steps`); without one, that of the record it belongs to.
    row_by: of a list of records: the fields that name a row, in the form and among the list's entries; each row once.
    left_out: of a field that names a row: the value that the file leaves out.
    listed: of a text that names a row: an open list of what it can be, each with code, label, note and needs.
    role: "names" for what a row of one's own is called, "settles" for what takes a row out of later steps.
    only: of a row named by one of these alone; empty for every row.
    beside: the field of the same row whose text stands beside it, where a later step comes back to it.
    stamp: of a name that signs: the field beside it that takes the day and time.
    alone: whether the field alone makes a row; a choice that only says how to read the rest does not.
    attribute: the name in Python: that of the file, with an underscore behind it where Python has another use for the word.
    """

    name: str
    kind: str
    label: str
    unit: str = ""
    unit_from: str = ""
    help: str = ""
    find: str = ""
    hint: str = ""
    source: str = ""
    low: float | None = None
    high: float | None = None
    low_open: bool = False
    high_open: bool = False
    low_where: tuple[str, str, float] | None = None
    required: bool = False
    fallback: Any = None
    exactly: Any = None
    choices: Mapping[str, str] = dataclasses.field(default_factory=dict)
    record: type | None = None
    variants: tuple[type, ...] = ()
    omit: bool = False
    columns: tuple[Field, ...] = ()
    least: int = 1
    most: int | None = None
    many: bool = False
    one: str = "entry"
    apart: bool = False
    gaps: bool = False
    nested: bool = False
    angle: bool = False
    turns_of: str = ""
    plus_minus: bool = False
    decimals: int | None = None
    serves: str = ""
    step: str = ""
    row_by: tuple[str, ...] = ()
    left_out: str = ""
    stamp: str = ""
    beside: str = ""
    only: tuple[str, ...] = ()
    role: str = ""
    listed: tuple[Any, ...] = ()
    alone: bool = True
    attribute: str = ""

    @property
    def allowed(self) -> str:
        """What the field takes, in words.

        >>> Field("speed_rpm", NUMBER, "speed", unit="rpm", low=0, low_open=True, high=3000).allowed
        'a number above 0, at most 3000 rpm'
        """
        return _allowed(self)


def _allowed(field: Field) -> str:
    if field.exactly is not None:
        return json.dumps(field.exactly)
    if field.kind in (NUMBER, NUMBERS, WHOLE, WHOLES):
        noun = "whole number" if field.kind in (WHOLE, WHOLES) else "number"
        words = f"one or more {noun}s" if field.kind in (NUMBERS, WHOLES) else f"a {noun}"
        return " ".join(part for part in (words, _range(field), field.unit) if part)
    if field.kind == TABLE:
        pair = " and ".join(f"{column.label} ({column.unit})" if column.unit else column.label for column in field.columns)
        rows = f"{field.least}" if field.least == field.most else f"{field.least} to {field.most}"
        return f"{rows} rows, each a pair of numbers: {pair}"
    if field.kind == CHOICE:
        return " or ".join(f'"{choice}"' for choice in field.choices)
    return {TEXT: "a text", FLAG: "true or false", RECORD: "an object", RECORDS: "a list of objects"}.get(
        field.kind, "an object whose values are texts"
    )


def _limit(value: float) -> str:
    """A limit in full: nobody at a pump reads powers of ten."""
    return f"{value:.0f}" if abs(value) >= 1e6 else f"{value:g}"


def _range(field: Field) -> str:
    low = None if field.low is None else _limit(field.low)
    high = None if field.high is None else _limit(field.high)
    if low is None and high is None:
        return ""
    if low is not None and high is not None and not field.low_open and not field.high_open:
        return f"from {low} to {high}"
    below = "" if low is None else f"above {low}" if field.low_open else f"{low} or more"
    above = "" if high is None else f"below {high}" if field.high_open else f"at most {high}"
    return ", ".join(part for part in (below, above) if part)


def _declare(kind: str, label: str, **details: Any) -> Any:
    """A dataclass attribute that carries its description. The name is added by `fields_of`."""
    return dataclasses.field(default=None, metadata={"field": Field(name="", kind=kind, label=label, **details)})


def number(label: str, **details: Any) -> Any:
    """A number. See `Field` for the details."""
    return _declare(NUMBER, label, **details)


def angle(label: str, **details: Any) -> Any:
    """A crank angle in degrees after the unit's own top dead centre; negative before."""
    return _declare(NUMBER, label, **{"unit": "°", "low": -180, "high": 180, "angle": True, **details})


def whole(label: str, **details: Any) -> Any:
    """A whole number."""
    return _declare(WHOLE, label, **details)


def text(label: str, **details: Any) -> Any:
    """Free text."""
    return _declare(TEXT, label, **details)


def choice(label: str, choices: Mapping[str, str], **details: Any) -> Any:
    """One of a few words. `choices` maps the word in the file to the words for people."""
    return _declare(CHOICE, label, choices=choices, **details)


def flag(label: str, **details: Any) -> Any:
    """True or false. `choices` may map "true" and "false" to words for people."""
    return _declare(FLAG, label, **{"choices": {"true": "yes", "false": "no"}, **details})


def numbers(label: str, **details: Any) -> Any:
    """One or more repeats of one reading."""
    return _declare(NUMBERS, label, **details)


def wholes(label: str, **details: Any) -> Any:
    """A list of whole numbers."""
    return _declare(WHOLES, label, **details)


def table(label: str, columns: tuple[Field, ...], **details: Any) -> Any:
    """A list of pairs of numbers."""
    return _declare(TABLE, label, columns=columns, **details)


def texts(label: str, **details: Any) -> Any:
    """An object whose values are texts."""
    return _declare(TEXTS, label, **details)


def record_of(cls: type, label: str, **details: Any) -> Any:
    """A nested object."""
    return _declare(RECORD, label, record=cls, **details)


def records_of(cls: type, label: str, **details: Any) -> Any:
    """A list of nested objects."""
    return _declare(RECORDS, label, record=cls, **details)


@dataclass_transform(frozen_default=True, kw_only_default=True)
def record(cls: type[R]) -> type[R]:
    """Class decorator: a frozen dataclass of described fields; arguments by keyword only."""
    return dataclass(frozen=True, kw_only=True)(cls)


_FIELDS: dict[type[Any], tuple[Field, ...]] = {}


def fields_of(cls: type[Any]) -> tuple[Field, ...]:
    """The described fields of a record, in file order.

    >>> from calc.job.model import Instruments
    >>> [field.name for field in fields_of(Instruments)]
    ['plunger_gauge', 'valve_gauge', 'angle_scale', 'pointer_u_deg']
    """
    if cls not in _FIELDS:
        _FIELDS[cls] = tuple(
            dataclasses.replace(attribute.metadata["field"], name=attribute.name.removesuffix("_"), attribute=attribute.name)
            for attribute in dataclasses.fields(cls)
            if "field" in attribute.metadata
        )
    return _FIELDS[cls]


def field_of(cls: type, path: str) -> Field:
    """The description behind a dotted path such as `engine.units`; list marks are passed over.

    >>> from calc.job.model import Job
    >>> field_of(Job, "reference.units[].pre_stroke_mm").label
    'start: plunger lift (pre-stroke)'
    """
    field: Field | None = None
    for name in path.replace("[]", "").split("."):
        owner = cls if field is None else field.record
        field = next((each for each in fields_of(owner) if each.name == name), None) if owner else None
        if field is None:
            raise KeyError(path)
    assert field is not None
    return field


def walk(cls: type, prefix: str = "") -> list[tuple[str, Field]]:
    """Every field of a record and of the records in it, with its path pattern, in file order.

    >>> from calc.job.model import Job
    >>> [path for path, _ in walk(Job)][4:7]
    ['date', 'running_hours', 'reason']
    """
    found = []
    for field in fields_of(cls):
        path = f"{prefix}{field.name}"
        found.append((path, field))
        if field.record is not None:
            found += walk(field.record, f"{path}[]." if field.kind == RECORDS else f"{path}.")
    return found


def value_at(record: Any, path: str) -> Any:
    """The value at a dotted path of a record; None where a part of it is missing.

    >>> from calc.job.model import Fuel
    >>> value_at(Fuel(name="distillate"), "name"), value_at(None, "fuel.name")
    ('distillate', None)
    """
    node = record
    for name in path.split("."):
        node = None if node is None else getattr(node, name)
    return node
