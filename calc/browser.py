"""What the worksheet page asks of Python: JSON in, JSON out, one entry. The page draws what comes back.

Requests, by `do`: `hello`, `open` (a file's text), `assess` (the form's texts; `holds`: the answer that the page has, so
that what is the same need not be said again; `first`: the units in sight, the others are left for later), `rest` (what was
left), `working` (line by line, one unit), `save` (the form's texts to a job file), `record`, `handover`, `blank` and `csv`
(the form's texts to paper and tables), `what_if` (moves tried on the screen), `compute` (a calculation around the job),
`compute_input` (its input as a file).
A turning plan: `plan_look` (what is wanted, and what stands in its way), `plan` (begin to look for it), `plan_on` (go on for
a moment: a page that stops asking has stopped the search), `plan_shown` (one that was kept), `plan_rest` (what is wanted
after an interruption), `plan_sheet` (to paper).
`past`, `trend` and `trend_paper` (one past check, then what all of them show).
`question` (a lesson's question with new numbers), `mark` (an answer to it).
`practice` (the practice engine).
Every answer is an object; a request that cannot be served answers with `errors`.

What few requests need is imported when it is asked for: a page that starts should not wait for it.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any

from calc.job.form import Composed, compose, spread
from calc.job.model import Job
from calc.job.opening import opened
from calc.job.problems import JobErrors
from calc.job.read import examine
from calc.job.write import file_text
from calc.judge.assess import assess
from calc.show import page
from calc.version import PROGRAM
from calc.work.begun import Begun, begun
from calc.work.drill import drill
from calc.work.progress import Missing

if TYPE_CHECKING:
    from calc.plan.turning.at_work import AtWork
    from calc.plan.turning.timetable import Plan

# So long a search goes on before the next question, a key's among them, has its turn.
_SLICE_S = 0.1


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
    so_far = _told.so_far = _begun(asked)
    _planning.keep_for(so_far.job)
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


def _rest(asked: dict[str, Any]) -> dict[str, Any]:
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
    from calc.show.record import record

    return _paper(asked, lambda job: record(assess(job), job), "-record.html")


def _blank(asked: dict[str, Any]) -> dict[str, Any]:
    """Forms are printed before anything was read: they take a job with gaps."""
    from calc.show.blank import blank_form

    return _paper_so_far(asked, blank_form, "-form.html")


def _handover(asked: dict[str, Any]) -> dict[str, Any]:
    """Handing over cannot wait for a whole job."""
    from calc.show.handover import handover_page

    return _paper_so_far(asked, handover_page, "-handover.html")


def _paper_so_far(asked: dict[str, Any], made: Callable[[Begun], str], ending: str) -> dict[str, Any]:
    so_far = _begun(asked)
    return {"text": made(so_far), "name": f"{_file_name(so_far.composed)}{ending}"}


def _csv(asked: dict[str, Any]) -> dict[str, Any]:
    """Readings; or findings, or one of the job's other lists, where they are asked for."""
    from calc.show.sheet import findings_csv, readings_csv, table_csv

    if asked.get("findings"):
        return _paper(asked, lambda job: findings_csv(assess(job)), "-findings.csv")
    table = asked.get("table")
    if table:
        return _paper(asked, lambda job: table_csv(job, table), f"-{table}.csv")
    return _paper(asked, readings_csv, "-readings.csv")


def _what_if(asked: dict[str, Any]) -> dict[str, Any]:
    """The units as they would be after moves that a person tries; nothing is stored.

    Asked: `moves` by unit and field, numbers or what was typed; a unit without any starts from its listed correction.
    `unit` is the one to show in full.
    """
    from calc.judge.what_if import try_moves
    from calc.show.what_if import answer

    job = _begun(asked).job
    return answer(None if job is None else try_moves(job, asked.get("moves") or {}), asked.get("unit"))


def _compute(asked: dict[str, Any]) -> dict[str, Any]:
    """A calculation: `name`, and what is `typed` into its fields by key; empty ones are taken from the job, if there is one."""
    from calc.compute.ask import ask
    from calc.compute.registry import CALCULATIONS
    from calc.show.asked import told

    calculation = CALCULATIONS[asked["name"]]
    if "texts" not in asked:
        return told(ask(calculation, asked["typed"]))
    so_far = _begun(asked)
    return told(ask(calculation, asked["typed"], so_far.job, so_far.found))


def _compute_input(asked: dict[str, Any]) -> dict[str, Any]:
    """What is typed into a calculation as the input that the command line takes: its text, and a name for it."""
    from calc.compute.ask import ask
    from calc.compute.registry import CALCULATIONS
    from calc.show.asked import saved

    return saved(ask(CALCULATIONS[asked["name"]], asked["typed"]))


def _question(asked: dict[str, Any]) -> dict[str, Any]:
    """A lesson's question by `name` and `number`, as HTML."""
    from calc.show.lessons import question_part

    return {"html": question_part(asked["name"], asked["number"])}


def _mark(asked: dict[str, Any]) -> dict[str, Any]:
    """What is `typed` as the answer to it, judged."""
    from calc.show.lessons import marked_part

    return marked_part(asked["name"], asked["number"], asked["typed"])


class _Planning:
    """The newest search for a turning plan, and the plan that the page has the HTML of."""

    def __init__(self) -> None:
        self.number = 0
        self.work: AtWork | None = None
        self.known: Plan | None = None

    def begin(self, work: AtWork | None) -> None:
        """A new search drops the old one; so does a question that leads to none."""
        self.number += 1
        self.work, self.known = work, None

    def keep_for(self, job: Job | None) -> None:
        """A job that is turned otherwise drops the search; one that cannot be judged, halfway through a number, does not."""
        if self.work is not None and job is not None and not self.work.is_for(job):
            self.work = None

    def go_on(self) -> dict[str, Any]:
        """Search for a moment, and tell how far it is."""
        from calc.show.planning import told

        if self.work is None:
            return {"number": self.number, "dropped": True}
        end = time.monotonic() + _SLICE_S
        self.work.go_on(lambda: time.monotonic() >= end)
        answer = {"number": self.number, "dropped": False, **told(self.work, self.known)}
        self.known = self.work.plan
        return answer


_planning = _Planning()


def _plan_look(asked: dict[str, Any]) -> dict[str, Any]:
    """What is wanted, `typed` by the choices' names: what to say at each, and what the job lacks."""
    from calc.show.planning import asked_for

    return asked_for(_begun(asked), asked["typed"]).told()


def _plan(asked: dict[str, Any]) -> dict[str, Any]:
    """Begin to look for a plan; the answer of `plan_look`, and of `plan_on` where nothing stands in the way."""
    from calc.plan.turning.at_work import AtWork
    from calc.show.planning import asked_for

    wanted = asked_for(_begun(asked), asked["typed"])
    _planning.begin(None if wanted.job is None or wanted.request is None else AtWork(wanted.job, wanted.request))
    return {**wanted.told(), **_planning.go_on()}


def _plan_on(asked: dict[str, Any]) -> dict[str, Any]:
    """Go on with the newest search; `dropped` where this `number` is no longer it, or the job has changed."""
    if asked["number"] != _planning.number:
        return {"number": _planning.number, "dropped": True}
    return _planning.go_on()


def _plan_shown(asked: dict[str, Any]) -> dict[str, Any]:
    """A `plan` that the page has kept, as HTML; null where it is no plan."""
    from calc.show.planning import plan_from, shown

    plan = plan_from(asked["plan"])
    return {"html": None if plan is None else shown(plan, _begun(asked).job)}


def _plan_rest(asked: dict[str, Any]) -> dict[str, Any]:
    """The choices, `typed`, for the rest of a `plan` of which so many `stops` are done."""
    from calc.plan.turning.wanted import choices_for_the_rest
    from calc.show.planning import plan_from

    plan, stops = plan_from(asked["plan"]), asked["stops"]
    typed = dict(asked["typed"])
    return {"typed": typed if plan is None or not 0 < stops <= len(plan.stops) else choices_for_the_rest(typed, plan, stops)}


def _plan_sheet(asked: dict[str, Any]) -> dict[str, Any]:
    """A `plan` that the page has kept, on paper for the turning-gear station."""
    from calc.show.planning import plan_from
    from calc.show.turning_sheet import turning_sheet

    plan = plan_from(asked["plan"])
    if plan is None:
        return {"errors": [{"text": "There is no plan. Make it first."}]}
    return _paper_so_far(asked, lambda so_far: turning_sheet(plan, so_far), "-turning.html")


def _past(asked: dict[str, Any]) -> dict[str, Any]:
    """One past check for the trend: what is to be given back with `trend`, or why it takes no part."""
    from calc.show.trend_asked import past

    return past(asked)


def _trend(asked: dict[str, Any]) -> dict[str, Any]:
    """The trends of past `checks`, and when the next one is due by what is `typed`."""
    from calc.show.trend_asked import trend

    return trend(asked)


def _trend_paper(asked: dict[str, Any]) -> dict[str, Any]:
    from calc.show.trend_asked import trend_on_paper

    return trend_on_paper(asked)


def _practice(asked: dict[str, Any]) -> dict[str, Any]:
    """The practice engine `number` at `level` after its `actions`, and one more that is tried (`act`)."""
    from calc.show.practice import answer

    return answer(asked)


_ANSWERS: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {
    "hello": _hello,
    "open": _open,
    "assess": _assess,
    "rest": _rest,
    "working": _working,
    "save": _save,
    "record": _record,
    "handover": _handover,
    "blank": _blank,
    "csv": _csv,
    "what_if": _what_if,
    "compute": _compute,
    "compute_input": _compute_input,
    "question": _question,
    "mark": _mark,
    "plan_look": _plan_look,
    "plan": _plan,
    "plan_on": _plan_on,
    "plan_shown": _plan_shown,
    "plan_rest": _plan_rest,
    "plan_sheet": _plan_sheet,
    "past": _past,
    "trend": _trend,
    "trend_paper": _trend_paper,
    "practice": _practice,
}
