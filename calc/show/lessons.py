"""Lessons as pages show them: questions with their working, worked examples, the way through the lessons.

What a page has from the build is what it has with Python as well; without Python a question can be read, and its answer is
folded away below it.
"""

from __future__ import annotations

import json
from typing import Any

from calc.job.describe import CHOICE
from calc.show.markup import Markup, element, joined, lettered
from calc.show.page import working_table
from calc.teach.lessons import EXAMPLE, FIRST, LESSONS, Lesson, question_of
from calc.teach.mark import RIGHT, ROUNDED, UNREAD, mark
from calc.teach.question import Question


def question_part(name: str, number: int) -> Markup:
    """One question as a part of a page: what is known, what is asked, where to answer, and the working, folded."""
    question = question_of(name, number)
    *before, asks = question.text
    return joined(
        [element("p", None, paragraph) for paragraph in before],
        _given(question),
        element("p", {"class": "qu-asks", "id": f"asks-{name}"}, asks),
        _answer_field(name, question),
        element(
            "details",
            {"class": "qu-working"},
            element("summary", None, "Answer and working"),
            element("p", None, element("strong", None, question.told(question.answer)), f". {question.so}"),
            working_table(question.working, "Working"),
        ),
    )


def _given(question: Question) -> Markup:
    pairs = [element("div", None, element("dt", None, label), element("dd", None, value)) for label, value in question.given]
    return element("dl", {"class": "sm-facts qu-given"}, pairs)


def _answer_field(name: str, question: Question) -> Markup:
    field = question.field
    if field.kind == CHOICE:
        choices = [
            element("label", None, element("input", {"type": "radio", "name": f"answer-{name}", "value": code}), f" {words}")
            for code, words in field.choices.items()
        ]
        return element(
            "fieldset",
            {"class": "qu-choices", "aria-describedby": f"asks-{name}"},
            element("legend", None, field.label),
            choices,
        )
    key = f"answer-{name}"
    control = {
        "type": "text",
        "class": "ws-control",
        "id": key,
        "name": key,
        "autocomplete": "off",
        "autocapitalize": "off",
        "spellcheck": "false",
        "aria-describedby": f"asks-{name} wanted-{name}",
    }
    unit = element("span", {"class": "ws-unit", "aria-hidden": "true"}, field.unit) if field.unit else None
    return element(
        "div",
        {"class": "qu-field"},
        element("label", {"for": key}, f"{field.label[:1].upper()}{field.label[1:]}{f', {field.unit}' if field.unit else ''}"),
        element("div", {"class": "ws-line"}, element("input", control), unit),
        element("p", {"class": "ws-quiet", "id": f"wanted-{name}"}, question.wanted),
    )


def marked_part(name: str, number: int, typed: str) -> dict[str, Any]:
    """An answer judged, for the page: `right`, whether it `counts` as an attempt, and what to say as HTML."""
    marked = mark(question_of(name, number), typed)
    head = {RIGHT: "", ROUNDED: "", UNREAD: ""}.get(marked.code, "Not yet. ")
    look = "is-right" if marked.is_right else "is-unread" if not marked.counts else "is-wrong"
    html = element("p", {"class": f"qu-said {look}"}, f"{head}{marked.text}")
    return {"right": marked.is_right, "counts": marked.counts, "html": html}


def parts() -> dict[str, str]:
    """Every generated part of the lessons: its path below the folder for generated files, and its text."""
    return {
        "lessons.json": f"{json.dumps(_described(), ensure_ascii=False, indent=1)}\n",
        "learn/path.md": _path(),
        **{f"learn/{lesson.name}-example.md": _example(lesson) for lesson in LESSONS},
        **{f"learn/{lesson.name}-questions.md": _questions(lesson) for lesson in LESSONS},
    }


def _described() -> list[dict[str, Any]]:
    """The lessons as the page's script knows them."""
    return [
        {"name": lesson.name, "title": f"{at}. {lesson.title}", "questions": list(lesson.kinds)}
        for at, lesson in enumerate(LESSONS, 1)
    ]


def _path() -> str:
    """The way through the lessons, with a place for the progress in each."""
    lines = ["| Lesson | It takes | Your progress |", "|---|---|---|"]
    for at, lesson in enumerate(LESSONS, 1):
        progress = f'<span data-progress="{lesson.name}">{len(lesson.kinds)} questions</span>'
        lines.append(f"| [{at}. {lesson.title}]({lesson.name}.md) | {lesson.minutes} min | {progress} |")
    return "\n".join([*lines, ""])


def _questions(lesson: Lesson) -> str:
    """The questions of a lesson. Each is one line: Markdown leaves it alone."""
    places = []
    for at, name in enumerate(lesson.kinds, 1):
        head = element("p", {"class": "qu-head"}, f"Question {at} of {len(lesson.kinds)}")
        attributes = {
            "class": "question",
            "id": f"question-{name}",
            "data-question": name,
            "data-number": FIRST,
            "role": "group",
            "aria-label": f"Question {at}",
        }
        body = element("div", {"class": "qu-body"}, question_part(name, FIRST))
        places.append(element("div", attributes, head, body))
    return "\n\n".join([*places, ""])


def _example(lesson: Lesson) -> str:
    """The worked example of a lesson: question, answer, and how to get there."""
    question = question_of(lesson.example, EXAMPLE)
    table = [
        "| What | Formula | With numbers | Result |",
        "|---|---|---|---|",
        *(
            f"| {_cell(lettered(line.what))} | {_cell(lettered(line.formula))} | {_cell(line.numbers)} | {_cell(line.value)} |"
            for line in question.working
        ),
    ]
    return "\n".join(
        [
            " ".join(question.text),
            "",
            *(f"- {label}: {value}" for label, value in question.given),
            "",
            *table,
            "",
            f"**Answer: {question.told(question.answer)}.** {question.so}",
            "",
        ]
    )


def _cell(text: str) -> str:
    return text.replace("|", "\\|")
