"""What the worksheet asks of trends: one past check after the other, so that the page can go on between them; then all of them.

The page keeps what it was told of a check, as plain values, and gives it back with every question. So Python remembers nothing
of it, and a Python that was started again goes on where the last one was.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calc.job.describe import fields_of
from calc.job.form import compose, face
from calc.job.model import FORMAT, Job
from calc.job.parse import parse
from calc.job.problems import JobErrors, Problem
from calc.job.read import examine, job_from_tree
from calc.job.typed import Typed, read_typed
from calc.job.words import plain
from calc.judge.assess import assess
from calc.judge.history import each_engine
from calc.judge.past import Check, check_from, check_of
from calc.judge.wanted import Wanted
from calc.show.markup import Markup, element, joined
from calc.show.trend_page import trend_paper, trend_part, trend_said

SAY = (
    "Choose the checks that take part. They show how each unit drifts between two corrections, and when the next check is due. "
    "Nothing here changes an entry of the job."
)


def describe() -> dict[str, Any]:
    """The panel as the page draws it: what to do, and its fields."""
    return {"say": SAY, "fields": [face(field, field.name) for field in fields_of(Wanted)]}


def past(asked: Mapping[str, Any]) -> dict[str, Any]:
    """One past check. Asked: `name`, and the `text` of its file, or `texts` and `base` of a form.

    Returns: `check` to be given back, and `words` on it; or `reason`, why it takes no part. `other` is true for a file that
    says it is of another format: in a folder it is passed over.
    """
    try:
        job = _job(asked)
    except JobErrors as error:
        return {"reason": _reason(error.errors)}
    if job is None:
        return {"reason": "This is no job file. It says that it is of another format.", "other": True}
    check = check_of(job, assess(job), asked["name"])
    if check is None:
        return {"reason": "It has no running hours, so it takes no part. Enter them in the job.", "words": job.vessel or ""}
    return {"check": check.to_tree(), "words": _words(check, job)}


def _job(asked: Mapping[str, Any]) -> Job | None:
    """The whole job; None for another format. Raises: JobErrors."""
    if "text" not in asked:
        job, problems = examine(compose(asked["texts"], asked.get("base")).tree)
        if job is None or problems:
            raise JobErrors(problems)
        whole: Job = job
        return whole
    tree = parse(asked["text"])
    if isinstance(tree, dict) and isinstance(tree.get("format"), str) and tree["format"] != FORMAT:
        return None
    return job_from_tree(tree)


def _reason(errors: Sequence[Problem]) -> str:
    more = len(errors) - 1
    words = errors[0].text if errors else "The job is not whole."
    return f"{words} {more} more to mend." if more > 0 else words


def _words(check: Check, job: Job) -> str:
    readings = f"{len(check.places)} events read" if check.places else "no reading that can be judged"
    parts = (f"{plain(check.hours, 0)} h", job.date, check.vessel or "no vessel named", readings)
    return ", ".join(part for part in parts if part)


def trend(asked: Mapping[str, Any]) -> dict[str, Any]:
    """The trends of the `checks`. Asked besides: what is `typed` into the fields of `Wanted`, by name.

    Returns: `fields` by name, `error` or `echo`; `html`; `said` for screen readers.
    """
    typed = read_typed(Wanted, asked["typed"])
    fields = {name: {"echo": words} for name, words in typed.echoes.items()}
    fields.update({name: {"error": words} for name, words in typed.errors.items()})
    checks = _checks(asked)
    if not checks:
        html = element("p", {"class": "ws-quiet"}, "No check takes part yet. Choose jobs, or open past job files.")
        return {"fields": fields, "said": "", "html": html}
    engines = list(each_engine(checks, _understood(typed)))
    return {
        "fields": fields,
        "said": trend_said(engines),
        "html": joined(_slips(typed), trend_part(engines)),
    }


def trend_on_paper(asked: Mapping[str, Any]) -> dict[str, Any]:
    """The same on paper: `text` of an HTML file and a `name` for it. Asked besides: `left_out`, reasons by name."""
    checks, typed = _checks(asked), read_typed(Wanted, asked["typed"])
    engines = list(each_engine(checks, _understood(typed)))
    return {"text": trend_paper(engines, checks, typed, asked["left_out"]), "name": "trend.html"}


def _checks(asked: Mapping[str, Any]) -> list[Check]:
    return [check_from(tree) for tree in asked["checks"]]


def _understood(typed: Typed) -> Wanted:
    """What was understood; a field with a slip counts as empty, since the others are still worth an answer."""
    if typed.record is not None:
        record: Wanted = typed.record
        return record
    sound = {name: value for name, value in typed.values.items() if name not in typed.errors}
    calls = sound.get("calls")
    return Wanted(**{**sound, **({"calls": tuple((a, b) for a, b in calls)} if calls else {})})


def _slips(typed: Typed) -> Markup | None:
    if not typed.errors:
        return None
    words = "What is marked above is not understood, and counts as empty until it is mended."
    return element("p", {"class": "sm-notice-line"}, words)
