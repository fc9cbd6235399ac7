"""A small record from what people type into its fields, outside the job: every slip is told at its field."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calc.job.describe import fields_of
from calc.job.entry import EntryError, echo, understand
from calc.job.read import Rules, examine, no_rules


@dataclass(frozen=True, slots=True)
class Typed:
    """What was understood.

    record: the record; None while a needed value is missing or a slip stands. errors, echoes: what to say, by field name.
    missing: names of needed fields that are empty. values: what was understood, by field name.
    """

    record: Any
    values: Mapping[str, Any]
    errors: Mapping[str, str]
    echoes: Mapping[str, str]
    missing: tuple[str, ...]


def read_typed(cls: type, texts: Mapping[str, str], rules: Rules = no_rules) -> Typed:
    """A record from texts by field name. Blank texts are absent values; other names are passed over.

    Parameters: record; texts; rules: the problems between fields, which wait until no needed field is empty.

    >>> from calc.job.moves import UnitMoves
    >>> read_typed(UnitMoves, {"suction_flats": "−1,25", "cam_deg": "one"}).errors["cam_deg"]
    'Cam: “one” is not understood. Write a number, like 12.31.'
    """
    values: dict[str, Any] = {}
    errors: dict[str, str] = {}
    echoes: dict[str, str] = {}
    for field in fields_of(cls):
        text = texts.get(field.name, "")
        if not text.strip():
            continue
        try:
            values[field.name] = understand(field, text)
        except EntryError as error:
            errors[field.name] = f"{field.label[:1].upper()}{field.label[1:]}: {error}"
            continue
        said = echo(field, values[field.name], text)
        if said and said != text.strip():
            echoes[field.name] = said
    needed = tuple(
        field.name for field in fields_of(cls) if field.required and field.name not in values and field.name not in errors
    )
    record, problems = examine(values, cls, rules=no_rules if needed else rules)
    for problem in problems:
        if problem.where not in needed:
            errors.setdefault(problem.where.partition("[")[0], problem.text)
    return Typed(None if errors or needed else record, values, errors, echoes, needed)
