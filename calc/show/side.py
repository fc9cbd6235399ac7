"""Side calculations for the page: their description, from which the page draws the form, and the answer as HTML."""

from __future__ import annotations

from typing import Any

from calc.job.describe import CHOICE, FLAG, Field, fields_of
from calc.job.form import face
from calc.job.words import angle_words, short
from calc.show.markup import Markup, element, joined
from calc.show.page import SIGNAL_WORDS
from calc.side.all import CALCULATIONS, Asked
from calc.side.calculation import NOTICE, SETTINGS, Answer, Say


def describe_side() -> list[dict[str, Any]]:
    """Every side calculation as the page draws it: name, title, what it is for, and its fields in two groups."""
    return [
        {
            "name": each.name,
            "title": each.title,
            "what": each.what,
            "groups": [
                {
                    "title": title,
                    "optional": bool(serves),
                    "fields": [face(field, field.name) for field in fields_of(each.inputs) if field.serves == serves],
                }
                for serves, title in (("", ""), (SETTINGS, "Settings, taken from the job where it has them"))
            ],
        }
        for each in CALCULATIONS.values()
    ]


def answer(asked: Asked, name: str) -> dict[str, Any]:
    """What to say at each field, which needed ones are empty, and the answer as HTML.

    `fields` by name: `error`, or `echo` of what was understood or taken from the job.
    """
    fields: dict[str, dict[str, str]] = {each: {"echo": words} for each, words in asked.typed.echoes.items()}
    described = {field.name: field for field in fields_of(CALCULATIONS[name].inputs)}
    for each in asked.taken:
        fields[each] = {"echo": f"{_value(described[each], asked.typed.values[each])}, from this job"}
    errors = {**asked.typed.errors, **(asked.answer.wrong if asked.answer else {})}
    fields.update({each: {"error": words} for each, words in errors.items()})
    missing = [described[each].label for each in asked.typed.missing]
    if asked.answer is None or asked.answer.result is None:
        html = _not_yet(missing, bool(errors))
        return {"fields": fields, "missing": list(asked.typed.missing), "said": "", "html": html}
    return {
        "fields": fields,
        "missing": [],
        "said": " ".join(each.text for each in asked.answer.said if each.level != NOTICE),
        "html": _answered(asked.answer),
    }


def _not_yet(missing: list[str], errors: bool) -> Markup:
    if errors:
        return element("p", {"class": "ws-quiet"}, "Mend what is marked, then the answer appears here.")
    if missing:
        return element("p", {"class": "ws-quiet"}, f"Still needed: {', '.join(missing)}.")
    return Markup("")


def _answered(found: Answer) -> Markup:
    return joined([_say(each) for each in found.said], _results(found.result))


def _say(each: Say) -> Markup:
    if each.level in SIGNAL_WORDS:
        return element(
            "div",
            {"class": f"sm-signal sm-{each.level}", "role": "note"},
            element("strong", None, SIGNAL_WORDS[each.level]),
            element("p", None, each.text),
        )
    return element("p", {"class": "sm-notice-line" if each.level == NOTICE else "sm-answer"}, each.text)


def _results(result: Any) -> Markup:
    rows = [(field, value) for field in fields_of(type(result)) for value in [getattr(result, field.name)] if value is not None]
    return element(
        "dl",
        {"class": "sm-facts"},
        [
            element(
                "div",
                None,
                element("dt", None, f"{field.label[:1].upper()}{field.label[1:]}"),
                element("dd", None, _value(field, value)),
            )
            for field, value in rows
        ],
    )


def _value(field: Field, value: Any) -> str:
    """A value of a field as people read it."""
    if field.kind == FLAG:
        return field.choices["true" if value else "false"]
    if field.kind == CHOICE:
        return field.choices[value]
    if field.angle and not isinstance(value, (list, tuple)):
        return angle_words(value)
    values = value if isinstance(value, (list, tuple)) else [value]
    return f"{' '.join(short(round(each, 4)) for each in values)} {field.unit}".strip()
