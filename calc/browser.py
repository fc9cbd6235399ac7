"""What the worksheet page asks of Python: JSON in, JSON out, one entry. The page draws what comes back.

Requests, by `do`: `hello`, `open` (a file's text), `assess` (the form's texts; `holds`: the answer that the page has, so
that what is the same need not be said again; `first`: the units in sight, the others are left for later), `rest` (what was
left), `working` (line by line, one unit), `save` (the form's texts to a job file), `record`, `blank` and `csv` (the form's
texts to paper and tables), `what_if` (moves tried on the screen), `side` (a small calculation beside the job). Every answer
is an object; a request that cannot be served answers with `errors`.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from typing import Any

from calc.findings import Findings
from calc.job.describe import RECORD, fields_of
from calc.job.form import Composed, compose, spread
from calc.job.model import FORMAT, VERSION, Job
from calc.job.parse import parse
from calc.job.partial import usable_part
from calc.job.problems import JobErrors, Problem, shown
from calc.job.read import examine
from calc.job.write import file_text
from calc.judge.assess import assess
from calc.show import page
from calc.show.blank import blank_form
from calc.show.record import record
from calc.show.sheet import findings_csv, readings_csv
from calc.version import PROGRAM
from calc.work.closing import closing
from calc.work.progress import Missing, progress


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
        tree = parse(asked["text"])
    except JobErrors as error:
        return {"errors": [problem.to_json() for problem in error.errors]}
    refusal = _refusal(tree)
    if refusal:
        return {"errors": [refusal.to_json()]}
    base = plain(tree)
    return {"texts": spread(base), "base": base}


def _refusal(tree: Any) -> Problem | None:
    """Why a file is no job for this form; an unfinished or faulty job is none the less one."""
    if not isinstance(tree, dict):
        return Problem("", shown(tree), f"This file holds {shown(tree)}, not a job. Open a job file.")
    if tree.get("format") != FORMAT:
        found = shown(tree["format"]) if "format" in tree else "nothing"
        return Problem("format", found, f'This is no job file: its format is {found}, not "{FORMAT}". Open a job file.')
    version = tree.get("version")
    if isinstance(version, (int, float)) and version > VERSION:
        return Problem(
            "version",
            shown(version),
            f"A newer program wrote this file (version {shown(version)}; this one reads {VERSION}). Open it with the newer "
            f"one.",
        )
    return None


def plain(value: Any) -> Any:
    """A parsed tree as JSON can carry it: a number that is none becomes the text that stood for it."""
    if isinstance(value, dict):
        return {key: plain(each) for key, each in value.items()}
    if isinstance(value, list):
        return [plain(each) for each in value]
    return value if value is None or isinstance(value, (str, bool, int, float)) else value.literal


def _composed(asked: dict[str, Any]) -> Composed:
    return compose(asked["texts"], asked.get("base"))


def _judge(composed: Composed) -> tuple[Job | None, list[Problem]]:
    """The job to judge, as much of it as there is, and everything that stands in the way of a whole one."""
    tree = {key: value for key, value in composed.tree.items() if key != "drafts"}
    _open_groups(tree, Job)
    job, problems = examine(tree)
    return (job if job is not None else usable_part(tree, problems)), problems


def _open_groups(tree: dict[str, Any], record: type) -> None:
    """Empty groups where there are none yet, so that each missing field is named and not its group."""
    for field in fields_of(record):
        if field.kind == RECORD and field.record is not None and field.required:
            _open_groups(tree.setdefault(field.name, {}), field.record)


def _assess(asked: dict[str, Any]) -> dict[str, Any]:
    """The form judged: what to say at each field, what is missing, and the findings as HTML."""
    composed = _composed(asked)
    job, problems = _judge(composed)
    fields: dict[str, dict[str, str]] = {key: {"echo": words} for key, words in composed.echoes.items()}
    for slip, words in composed.slips.items():
        fields[slip] = {"error": words}
    missing: list[dict[str, str | None]] = []
    errors: list[dict[str, str | None]] = [{"key": slip, "text": words} for slip, words in composed.slips.items()]
    for problem in problems:
        key = composed.key_of(problem.where)
        if problem.found == "nothing" or problem.where == "reference.units":
            if key not in composed.slips:
                missing.append({"key": key, "text": problem.text})
            continue
        errors.append({"key": key, "text": problem.text})
        if key is not None and key not in composed.slips:
            fields[key] = {"error": problem.text}
    found = assess(job) if job is not None else None
    if job is None or found is None:
        _told.judged = None
        shown = page.nothing_to_judge(len(missing), len(errors))
    else:
        _told.judged = found, job
        first = None if asked.get("first") is None else {(unit, stage) for unit, stage in asked["first"]}
        shown = page.findings(found, job, not problems, first)
    work = _work(asked["texts"], found, [*missing, *errors])
    number = _told.tell(shown["html"]["units"], asked.get("holds", 0))
    return {"number": number, "fields": fields, "missing": missing, "errors": errors, "work": work, **shown}


def _work(texts: dict[str, str], found: Findings | None, open_: list[dict[str, Any]]) -> dict[str, Any]:
    """How far the job is, step by step, and what to close before the engine can be ready.

    What is not understood, or not allowed, is as open as what is missing.
    """
    how = progress(texts, found, [Missing(each["key"], each["text"]) for each in open_])
    return {
        "complete": how.complete,
        "text": how.text,
        "unasked": list(how.unasked),
        "steps": [
            {"id": each.code, "state": each.state, "why": each.why, "missing": _listed(each.missing)} for each in how.steps
        ],
        "closing": [{"title": phase.title, "items": _listed(phase.items)} for phase in closing(texts, found)],
    }


def _listed(items: Iterable[Missing]) -> list[dict[str, Any]]:
    return [{"key": each.key, "text": each.text} for each in items]


def _rest(asked: dict[str, Any]) -> dict[str, Any]:
    """The HTML of the units that the newest `assess` has left for later."""
    units = page.units(*_told.judged) if _told.judged else []
    return {"number": _told.tell(units, asked["holds"]), "units": units}


class _Told:
    """What the page was told of each unit, and since which answer: a key pressed leaves many units as they were."""

    def __init__(self) -> None:
        self.judged: tuple[Findings, Job] | None = None
        self.number = 0
        self.since: dict[tuple[int, str], tuple[str, int]] = {}

    def tell(self, units: list[dict[str, Any]], holds: int) -> int:
        """Number the answer, and leave out the HTML of every unit that the page has from the answer it holds.

        Parameters: units as the answer will tell them, changed here; html None is left for later. holds: number of the page's
        newest answer, 0 for none.
        """
        self.number += 1
        before, self.since = self.since, {}
        for unit in units:
            key = (unit["unit"], unit["stage"])
            html, since = before.get(key, ("", 0))
            if unit["html"] not in (None, html):
                html, since = unit["html"], self.number
            self.since[key] = (html, since)
            if since <= holds:
                unit["html"] = None
        return self.number


_told = _Told()


def _working(asked: dict[str, Any]) -> dict[str, Any]:
    """The working of one unit in one stage, line by line, as HTML."""
    job, _ = _judge(_composed(asked))
    if job is None:
        return {"html": ""}
    return {"html": page.working(assess(job), job, asked["unit"], asked["stage"])}


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
    return _paper(asked, blank_form, "-form.html")


def _csv(asked: dict[str, Any]) -> dict[str, Any]:
    if asked.get("findings"):
        return _paper(asked, lambda job: findings_csv(assess(job)), "-findings.csv")
    return _paper(asked, readings_csv, "-readings.csv")


def _what_if(asked: dict[str, Any]) -> dict[str, Any]:
    """The units as they would be after moves that a person tries; nothing is stored.

    Asked: `moves` by unit and field, numbers or what was typed; a unit without any starts from its listed correction.
    `unit` is the one to show in full.
    """
    # Only this question needs them, and a page that starts should not wait for them.
    from calc.judge.what_if import try_moves
    from calc.show.what_if import answer

    job, _ = _judge(_composed(asked))
    return answer(None if job is None else try_moves(job, asked.get("moves") or {}), asked.get("unit"))


def _side(asked: dict[str, Any]) -> dict[str, Any]:
    """A side calculation: `name`, and what is `typed` into its fields by their names; empty ones are taken from the job."""
    from calc.show.side import answer
    from calc.side.all import ask

    job, _ = _judge(_composed(asked))
    return answer(ask(asked["name"], asked["typed"], job, None if job is None else assess(job)), asked["name"])


_ANSWERS: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {
    "hello": _hello,
    "open": _open,
    "assess": _assess,
    "rest": _rest,
    "working": _working,
    "save": _save,
    "record": _record,
    "blank": _blank,
    "csv": _csv,
    "what_if": _what_if,
    "side": _side,
}
