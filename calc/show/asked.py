"""Calculations as forms on a page: their description, from which the page draws the form, and what the form is told."""

from __future__ import annotations

from typing import Any

from calc.compute.answer import NOTICE, Calculation
from calc.compute.ask import Asked
from calc.job.describe import fields_of
from calc.job.form import face
from calc.job.steps import SETTINGS
from calc.show.computed import page_part, reads
from calc.show.markup import Markup, element


def describe(calculation: Calculation) -> dict[str, Any]:
    """A calculation as the page draws it: name, title, what to do, where it is explained, its step, and its fields, the
    settings apart.
    """
    described = fields_of(calculation.given)
    groups = (
        ("", [field for field in described if field.serves != SETTINGS]),
        ("Settings, taken from the job where it has them", [field for field in described if field.serves == SETTINGS]),
    )
    return {
        "name": calculation.name,
        "title": calculation.title or f"{calculation.what[:1].upper()}{calculation.what[1:]}",
        "say": calculation.say,
        "page": calculation.page,
        "step": calculation.step,
        "groups": [
            {"title": title, "optional": bool(title), "fields": [face(field, field.name) for field in fields]}
            for title, fields in groups
            if fields
        ],
    }


def told(asked: Asked) -> dict[str, Any]:
    """What to say at each field, which needed ones are empty, and the answer as HTML.

    `fields` by name: `error`, or `echo` of what was understood or taken from the job. `said` is for screen readers.
    """
    typed = asked.typed
    described = {field.name: field for field in fields_of(asked.calculation.given)}
    fields: dict[str, dict[str, str]] = {name: {"echo": words} for name, words in typed.echoes.items()}
    for name in asked.taken:
        fields[name] = {"echo": f"{reads(described[name], typed.values[name])}, from this job"}
    fields.update({name: {"error": words} for name, words in typed.errors.items()})
    if asked.computed is None or asked.computed.answer is None:
        html = _not_yet([described[name].label for name in typed.missing], bool(typed.errors))
        return {"fields": fields, "missing": list(typed.missing), "said": "", "html": html}
    said = [each.text for each in asked.computed.answer.notices if each.code != NOTICE]
    return {"fields": fields, "missing": [], "said": " ".join(said), "html": page_part(asked.computed)}


def _not_yet(missing: list[str], errors: bool) -> Markup:
    if errors:
        return element("p", {"class": "ws-quiet"}, "Mend what is marked, then the answer appears here.")
    if missing:
        return element("p", {"class": "ws-quiet"}, f"Still needed: {', '.join(missing)}.")
    return Markup("")
