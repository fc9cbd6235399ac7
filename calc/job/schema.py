"""JSON Schemas (draft 2020-12) of the project's files, made from the field descriptions."""

from __future__ import annotations

import re
from typing import Any

from calc.job.describe import (
    CHOICE,
    FLAG,
    NUMBER,
    NUMBERS,
    RECORD,
    RECORDS,
    TABLE,
    TEXTS,
    WHOLE,
    WHOLES,
    Field,
    fields_of,
)
from calc.job.model import EVENTS, METHODS, VALVE_EVENTS, Reading, lists_of

_NUMERAL = re.compile(r"\d+\.\d+")
DRAFT = "https://json-schema.org/draft/2020-12/schema"


def schema_of(record: type, title: str, *, result: bool = False) -> dict[str, Any]:
    """The schema of a file.

    Parameters: record: its outermost record; title; result: whether it is written by the program, with every key present
    and null where there is no value, rather than typed by people, with absent keys and no null.

    >>> from calc.job.model import AngleScale
    >>> schema_of(AngleScale, "scale")["properties"]["step_deg"]["exclusiveMinimum"]
    0
    """
    return {"$schema": DRAFT, "title": title, **_record(record, result)}


def _record(record: type, result: bool) -> dict[str, Any]:
    described = fields_of(record)
    schema: dict[str, Any] = {
        "type": "object",
        "properties": {field.name: _field(field, result) for field in described},
        "required": [field.name for field in described if (field.required or (result and not field.omit))],
    }
    if record is Reading:
        schema["allOf"] = _reading_rules()
    return schema


def _field(field: Field, result: bool) -> dict[str, Any]:
    schema = _value(field, result)
    if result and not field.required and not field.omit and field.kind != RECORDS:
        schema = {"anyOf": [schema, {"type": "null"}]}
    words = ". ".join(part for part in (field.label + (f" [{field.unit}]" if field.unit else ""), field.help) if part)
    return {"description": words, **schema}


def _value(field: Field, result: bool) -> dict[str, Any]:
    if field.exactly is not None:
        return {"const": field.exactly}
    if field.kind in (NUMBER, WHOLE):
        return _number(field)
    if field.kind in (NUMBERS, WHOLES):
        return _numbers(field)
    if field.kind == TABLE:
        pair = [_number(column) for column in field.columns]
        row = {"type": "array", "prefixItems": pair, "items": False, "minItems": len(pair)}
        return {"type": "array", "items": row, "minItems": field.least, **_most(field)}
    if field.kind == CHOICE:
        # A word that looks like a number, such as a strength of 8.8, may be written as one.
        return {"enum": [*field.choices, *(float(each) for each in field.choices if _NUMERAL.fullmatch(each) and not result)]}
    if field.kind == FLAG:
        return {"type": "boolean"}
    if field.kind == RECORD and field.record is not None:
        return _record(field.record, result)
    if field.kind == RECORDS and field.record is not None:
        kinds = [_record(each, result) for each in (field.record, *field.variants)]
        items = kinds[0] if len(kinds) == 1 else {"anyOf": kinds}
        return {
            "type": "array",
            "items": items,
            **({"minItems": 1} if field.required and not result else {}),
            **_most(field),
        }
    if field.kind == TEXTS:
        return {"type": "object", "additionalProperties": {"type": "string"}}
    return {"type": "array", "items": {"type": "string"}} if field.many else {"type": "string"}


def _numbers(field: Field) -> dict[str, Any]:
    schema: dict[str, Any] = {"type": "array", "items": _number(field), "minItems": 1, **_most(field)}
    if field.gaps:
        return {**schema, "items": {"anyOf": [schema["items"], {"type": "null"}]}, "minItems": 0}
    return {"type": "array", "items": schema, "minItems": 1} if field.nested else schema


def _number(field: Field) -> dict[str, Any]:
    schema: dict[str, Any] = {"type": "integer" if field.kind in (WHOLE, WHOLES) else "number"}
    low = field.low if field.low_where is None else min(field.low or 0.0, field.low_where[2])
    if low is not None:
        schema["exclusiveMinimum" if field.low_open else "minimum"] = low
    if field.high is not None:
        schema["exclusiveMaximum" if field.high_open else "maximum"] = field.high
    return schema


def _most(field: Field) -> dict[str, Any]:
    return {} if field.most is None else {"maxItems": field.most}


def _reading_rules() -> list[dict[str, Any]]:
    """Which lists a reading needs, by its event and its way of reading."""
    rules: list[dict[str, Any]] = [_rule({"event": list(VALVE_EVENTS)}, ["method"])]
    for event in EVENTS:
        if event in VALVE_EVENTS:
            rules += [_rule({"event": [event], "method": [method]}, list(lists_of(event, method))) for method in METHODS]
        else:
            rules.append(_rule({"event": [event]}, list(lists_of(event, None))))
    return rules


def _rule(when: dict[str, list[str]], needs: list[str]) -> dict[str, Any]:
    condition = {"properties": {key: {"enum": values} for key, values in when.items()}, "required": list(when)}
    return {"if": condition, "then": {"required": needs}}
