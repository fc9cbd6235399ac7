"""The worksheet's form: judged as it is, worked out line by line, opened from a file and saved to one."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from calc.browser.asked import begun_of, composed_of, file_name
from calc.browser.plan_search import search
from calc.job.form import spread
from calc.job.opening import opened
from calc.job.problems import JobErrors
from calc.job.write import file_text
from calc.show import page
from calc.version import PROGRAM
from calc.work.begun import Begun
from calc.work.drill import drill
from calc.work.progress import Missing


def hello(_: dict[str, Any]) -> dict[str, Any]:
    """Who answers. The worksheet's first question, so what it asks next is loaded with this."""
    return {"program": PROGRAM}


def open_file(asked: dict[str, Any]) -> dict[str, Any]:
    """A file's text to the form: `texts` by key and the `base` that keeps the rest; or `errors` if it is no job file."""
    try:
        base = opened(asked["text"])
    except JobErrors as error:
        return {"errors": [problem.to_json() for problem in error.errors]}
    return {"texts": spread(base), "base": base}


def assess(asked: dict[str, Any]) -> dict[str, Any]:
    """The form judged: what to say at each field, what is missing, and the findings as HTML."""
    so_far = _told.so_far = begun_of(asked)
    search.keep_for(so_far.job)
    fields: dict[str, dict[str, str]] = {key: {"echo": words} for key, words in so_far.composed.echoes.items()}
    for error in reversed(so_far.errors):
        # A text that was not understood comes first in the list, and is what its field says.
        if error.key is not None:
            fields[error.key] = {"error": error.text}
    if so_far.job is None or so_far.found is None:
        shown = page.nothing_to_judge(len(so_far.missing), len(so_far.errors))
    else:
        first = None if asked.get("first") is None else {(unit, stage) for unit, stage in asked["first"]}
        shown = page.findings(so_far.found, so_far.job, not so_far.problems, first)
    return {
        "number": _told.tell(shown["html"]["units"], asked.get("holds", 0)),
        "fields": fields,
        "missing": _listed(so_far.missing),
        "errors": _listed(so_far.errors),
        "work": _work(so_far),
        "written_by": so_far.composed.tree.get("written_by"),
        **shown,
    }


def _work(so_far: Begun) -> dict[str, Any]:
    """How far the job is, step by step, and what to close before the engine can be ready."""
    how = so_far.progress
    return {
        "complete": how.complete,
        "text": how.text,
        "drill": drill(so_far.texts),
        "unasked": list(how.unasked),
        "steps": [
            {"id": each.code, "state": each.state, "why": each.why, "missing": _listed(each.missing)} for each in how.steps
        ],
        "closing": [{"title": phase.title, "items": _listed(phase.items)} for phase in so_far.closing],
    }


def _listed(items: Iterable[Missing]) -> list[dict[str, Any]]:
    return [{"key": each.key, "text": each.text} for each in items]


def rest(asked: dict[str, Any]) -> dict[str, Any]:
    """The HTML of the units that the newest `assess` has left for later."""
    so_far = _told.so_far
    units = page.units(so_far.found, so_far.job) if so_far and so_far.found and so_far.job else []
    return {"number": _told.tell(units, asked["holds"]), "units": units}


class _Told:
    """What the page was told of each unit, and since which answer: a key pressed leaves many units as they were."""

    def __init__(self) -> None:
        self.so_far: Begun | None = None
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


def working(asked: dict[str, Any]) -> dict[str, Any]:
    """The working of one unit in one stage, line by line, as HTML."""
    so_far = begun_of(asked)
    if so_far.job is None or so_far.found is None:
        return {"html": ""}
    return {"html": page.working(so_far.found, so_far.job, asked["unit"], asked["stage"])}


def save(asked: dict[str, Any]) -> dict[str, Any]:
    """The form as a job file: its text, and a name for it."""
    composed = composed_of(asked)
    return {"text": file_text(composed.tree), "name": f"{file_name(composed)}.json"}
