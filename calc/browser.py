"""What the worksheet page asks of Python: JSON in, JSON out, one entry. The page draws what comes back.

Requests, by `do`: `hello`, `open` (a file's text), `assess` (the form's texts), `working` (line by line, one unit),
`save` (the form's texts to a job file), `record`, `handover`, `blank` and `csv` (the form's texts to paper and tables). Every
answer is an object; a request that cannot be served answers with `errors`.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from typing import Any

from calc.job.form import Composed, compose, spread
from calc.job.model import Job
from calc.job.opening import opened
from calc.job.problems import JobErrors
from calc.job.read import examine
from calc.job.write import file_text
from calc.judge.assess import assess
from calc.show import page
from calc.show.blank import blank_form
from calc.show.handover import handover_page
from calc.show.record import record
from calc.show.sheet import findings_csv, readings_csv, table_csv
from calc.version import PROGRAM
from calc.work.begun import Begun, begun
from calc.work.progress import Missing


def respond(request: str) -> str:
    """Answer one request of the page.

    >>> respond('{"do": "hello"}')
    '{"program": "Spillmark 0.1.0"}'
    """
    asked = json.loads(request)
    return json.dumps(_ANSWERS[asked["do"]](asked))


def _hello(_: dict[str, Any]) -> dict[str, Any]:
    return {"program": PROGRAM}


def _open(asked: dict[str, Any]) -> dict[str, Any]:
    """A file's text to the form: `texts` by key and the `base` that keeps the rest; or `errors` if it is no job file."""
    try:
        base = opened(asked["text"])
    except JobErrors as error:
        return {"errors": [problem.to_json() for problem in error.errors]}
    return {"texts": spread(base), "base": base}


def _begun(asked: dict[str, Any]) -> Begun:
    return begun(asked["texts"], asked.get("base"))


def _assess(asked: dict[str, Any]) -> dict[str, Any]:
    """The form judged: what to say at each field, what is missing, and the findings as HTML."""
    so_far = _begun(asked)
    fields: dict[str, dict[str, str]] = {key: {"echo": words} for key, words in so_far.composed.echoes.items()}
    for error in reversed(so_far.errors):
        # A text that was not understood comes first in the list, and is what its field says.
        if error.key is not None:
            fields[error.key] = {"error": error.text}
    answer = {
        "fields": fields,
        "missing": _listed(so_far.missing),
        "errors": _listed(so_far.errors),
        "work": _work(so_far),
    }
    if so_far.job is None or so_far.found is None:
        return {**answer, **page.nothing_to_judge(len(so_far.missing), len(so_far.errors))}
    return {**answer, **page.findings(so_far.found, so_far.job, whole=not so_far.problems)}


def _work(so_far: Begun) -> dict[str, Any]:
    """How far the job is, step by step, and what to close before the engine can be ready."""
    how = so_far.progress
    return {
        "complete": how.complete,
        "text": how.text,
        "steps": [
            {"id": each.code, "state": each.state, "why": each.why, "missing": _listed(each.missing)} for each in how.steps
        ],
        "closing": [{"title": phase.title, "items": _listed(phase.items)} for phase in so_far.closing],
    }


def _listed(items: Iterable[Missing]) -> list[dict[str, Any]]:
    return [{"key": each.key, "text": each.text} for each in items]


def _composed(asked: dict[str, Any]) -> Composed:
    return compose(asked["texts"], asked.get("base"))


def _working(asked: dict[str, Any]) -> dict[str, Any]:
    """The working of one unit in one stage, line by line, as HTML."""
    so_far = _begun(asked)
    if so_far.job is None or so_far.found is None:
        return {"html": ""}
    return {"html": page.working(so_far.found, so_far.job, asked["unit"], asked["stage"])}


def _save(asked: dict[str, Any]) -> dict[str, Any]:
    """The form as a job file: its text, and a name for it."""
    composed = _composed(asked)
    return {"text": file_text(composed.tree), "name": f"{_file_name(composed)}.json"}


def _file_name(composed: Composed) -> str:
    title = composed.tree.get("title") or composed.tree.get("vessel") or "job"
    words = "".join(letter if letter.isalnum() else "-" for letter in f"{title} {composed.tree.get('date', '')}".lower())
    return "-".join(part for part in words.split("-") if part)[:60] or "job"


def _paper(asked: dict[str, Any], made: Callable[[Job], str], ending: str) -> dict[str, Any]:
    """A whole job as paper or table: its text, and a name for it; `errors` while the job is not whole.

    Drafts are part of it, so that the check sum is that of the saved file.
    """
    composed = _composed(asked)
    job, problems = examine(composed.tree)
    if job is None or problems:
        return {"errors": [problem.to_json() for problem in problems]}
    return {"text": made(job), "name": f"{_file_name(composed)}{ending}"}


def _record(asked: dict[str, Any]) -> dict[str, Any]:
    return _paper(asked, lambda job: record(assess(job), job), "-record.html")


def _blank(asked: dict[str, Any]) -> dict[str, Any]:
    """Forms are printed before anything was read: they take a job with gaps."""
    return _paper_so_far(asked, blank_form, "-form.html")


def _handover(asked: dict[str, Any]) -> dict[str, Any]:
    """Handing over cannot wait for a whole job."""
    return _paper_so_far(asked, handover_page, "-handover.html")


def _paper_so_far(asked: dict[str, Any], made: Callable[[Begun], str], ending: str) -> dict[str, Any]:
    so_far = _begun(asked)
    return {"text": made(so_far), "name": f"{_file_name(so_far.composed)}{ending}"}


def _csv(asked: dict[str, Any]) -> dict[str, Any]:
    """Readings; or findings, or one of the job's other lists, where they are asked for."""
    if asked.get("findings"):
        return _paper(asked, lambda job: findings_csv(assess(job)), "-findings.csv")
    table = asked.get("table")
    if table:
        return _paper(asked, lambda job: table_csv(job, table), f"-{table}.csv")
    return _paper(asked, readings_csv, "-readings.csv")


_ANSWERS: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {
    "hello": _hello,
    "open": _open,
    "assess": _assess,
    "working": _working,
    "save": _save,
    "record": _record,
    "handover": _handover,
    "blank": _blank,
    "csv": _csv,
}
