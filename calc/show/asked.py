"""Calculations as forms on a page: their description, from which the page draws the form, and what the form is told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from calc.compute.answer import NOTICE, Calculation
from calc.compute.ask import Asked
from calc.job.describe import RECORDS, TABLE, Field, fields_of
from calc.job.entry import echo
from calc.job.form import face
from calc.job.steps import SETTINGS
from calc.job.typed import spread_typed
from calc.job.write import write_tree
from calc.show.computed import page_part, reads
from calc.show.markup import Markup, element

# A list starts with two rows, so that people see that it is one.
_ROWS = 2


def describe(calculation: Calculation) -> dict[str, Any]:
    """A calculation beside the job, as the page draws it: name, title, what to do, its page and step, its fields in groups."""
    described = fields_of(calculation.given)
    settings = [field for field in described if field.serves == SETTINGS]
    groups = [*_groups(field for field in described if field.serves != SETTINGS)]
    if settings:
        groups += [{**each, "optional": True} for each in _groups(settings, "Settings, taken from the job where it has them")]
    return {
        "name": calculation.name,
        "title": calculation.title,
        "say": calculation.say,
        "page": calculation.page,
        "step": calculation.step,
        "groups": groups,
    }


def describe_alone(calculation: Calculation) -> dict[str, Any]:
    """A calculation without a job, as any page draws it: all that it needs is typed. `example`: texts by key."""
    described = [field for field in fields_of(calculation.given) if field.name not in calculation.beside_job]
    settings = [field for field in described if field.serves == SETTINGS]
    rest = _groups(field for field in described if field.serves != SETTINGS)
    asked = {name: value for name, value in calculation.example.items() if name not in calculation.beside_job}
    return {
        "name": calculation.name,
        "title": calculation.title,
        "say": calculation.say or f"{calculation.what[:1].upper()}{calculation.what[1:]}.",
        "groups": [*rest, *(_groups(settings, "Settings") if settings else [])],
        "example": spread_typed(calculation.given, asked),
    }


def _groups(fields: Iterator[Field] | list[Field], title: str = "") -> list[dict[str, Any]]:
    """Fields one below the other; a list of records is a group of its own, of rows."""
    groups: list[dict[str, Any]] = []
    for field in fields:
        if field.kind == RECORDS:
            assert field.record is not None
            rows = {
                "key": field.name,
                "one": field.one,
                "start": max(field.least, _ROWS),
                "most": field.most,
                "required": field.required,
            }
            groups.append(_group(f"{field.label[:1].upper()}{field.label[1:]}", rows=rows))
            groups[-1]["fields"] = [_face(column) for column in fields_of(field.record)]
            continue
        if not groups or groups[-1]["rows"]:
            groups.append(_group(title))
        groups[-1]["fields"].append(_face(field))
    return groups


def _group(title: str, rows: Mapping[str, Any] | None = None) -> dict[str, Any]:
    return {"title": title, "optional": False, "rows": rows, "fields": []}


def _face(field: Field) -> dict[str, Any]:
    if field.kind != TABLE:
        return face(field, field.name)
    pair = " and ".join(f"{column.label} ({column.unit})" if column.unit else column.label for column in field.columns)
    how = "A line for each" if field.least != field.most else f"{field.least} lines, each"
    return face(replace(field, help=f"{how}: {pair}. {field.help}".strip()), field.name)


def told(asked: Asked) -> dict[str, Any]:
    """What to say at each field, which needed ones are empty, and the answer as HTML.

    `fields` by key: `error`, or `echo` of what was understood or taken from the job. `said` is for screen readers.
    """
    typed = asked.typed
    described = {field.name: field for field in fields_of(asked.calculation.given)}
    fields: dict[str, dict[str, str]] = {key: {"echo": words} for key, words in typed.echoes.items()}
    for name in asked.taken:
        fields[name] = {"echo": f"{_taken(described[name], typed.values[name])}, from this job"}
    fields.update({key: {"error": words} for key, words in typed.errors.items()})
    if asked.computed is None or asked.computed.answer is None:
        return {"fields": fields, "missing": list(typed.missing), "said": "", "html": _not_yet(asked)}
    said = [each.text for each in asked.computed.answer.notices if each.code != NOTICE]
    return {"fields": fields, "missing": [], "said": " ".join(said), "html": page_part(asked.computed)}


def _taken(field: Field, value: Any) -> str:
    """A value from the job in words; a list or a table is told as if it had been typed."""
    return echo(field, value, "") if isinstance(value, list) else reads(field, value)


def _not_yet(asked: Asked) -> Markup:
    words = _in_the_way(asked)
    return element("p", {"class": "ws-quiet"}, words) if words else Markup("")


def _in_the_way(asked: Asked) -> str:
    if asked.typed.errors and len(asked.typed.absent) == len(asked.typed.errors):
        return " ".join(asked.typed.absent)
    if asked.typed.errors:
        return "Mend what is marked, then the answer appears here."
    if asked.typed.missing:
        return f"Still needed: {', '.join(asked.typed.missing.values())}."
    return ""


def saved(asked: Asked) -> dict[str, Any]:
    """What was typed as the input that the command line takes: its text and a name for it; or `errors`."""
    name = asked.calculation.name
    if asked.computed is None:
        return {"errors": [_in_the_way(asked)]}
    command = f"python -m calc compute {name} --json < {name}.json"
    return {"text": f"{write_tree(dict(asked.typed.values))}\n", "name": f"{name}.json", "command": command}
