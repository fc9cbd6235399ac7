"""A turning plan on a page: its choices as a form, what stands in its way, how far the search is, and the plan as HTML."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calc.job.describe import RECORD, RECORDS, field_of, fields_of, walk
from calc.job.form import face
from calc.job.model import TURNING, Job
from calc.job.problems import JobErrors
from calc.job.read import examine, no_rules
from calc.job.words import plain
from calc.plan.turning.at_work import AtWork, mark_of
from calc.plan.turning.request import Request
from calc.plan.turning.solve import STEPS
from calc.plan.turning.stations import missing_fields
from calc.plan.turning.timetable import FORMAT, VERSION, Plan
from calc.plan.turning.wanted import DONE, UnitDone, Wanted, read_choices
from calc.show.markup import element, joined
from calc.show.turning_page import cautions, way, words
from calc.work.begun import Begun
from calc.work.progress import Missing

# Where an interrupted job stands is asked for apart: most plans begin anywhere.
_WHEN_INTERRUPTED = ("from_deg",)
# What a plan needs of a job, and nothing else of it stands in the way.
_OF_THE_JOB = {
    "engine.units",
    "engine.firing_order",
    "reference.",  # Where a unit has no settings at all.
    "reference.rotation",
    *(path for path, field in walk(Job) if field.serves == TURNING),
}
_OF_THE_UNITS = "reference.units/"


def describe() -> dict[str, Any]:
    """The choices as the page draws them: those for the plan, those after an interruption, and of each unit what is done."""
    described = fields_of(Wanted)
    return {
        "groups": [
            {"title": "", "fields": [face(each, each.name) for each in described if each.name not in _WHEN_INTERRUPTED]},
            {"title": "", "fields": [face(each, each.name) for each in described if each.name in _WHEN_INTERRUPTED]},
        ],
        "done": {
            "key": DONE,
            "title": "Done so far",
            "axes": [],
            "columns": [face(each, each.name) for each in fields_of(UnitDone)],
            "names": "",
            "settles": "",
        },
    }


@dataclass(frozen=True, slots=True)
class Asked:
    """What is wanted of which job. request: None while something stands in the way; needs: what the job lacks for it."""

    job: Job | None
    request: Request | None
    fields: dict[str, dict[str, str]]
    missing: tuple[str, ...]
    needs: tuple[Missing, ...]

    def told(self) -> dict[str, Any]:
        """What to say at each field, which needed ones are open, what the job lacks, and the name of the plan wanted."""
        return {
            "fields": self.fields,
            "missing": [{"name": name, "text": _missing_words(name)} for name in self.missing],
            "needs": [{"key": each.key, "text": each.text} for each in self.needs],
            "mark": None if self.request is None else mark_of(self.request),
        }


def asked_for(so_far: Begun, choices: Mapping[str, str]) -> Asked:
    """A plan for a job as far as it is typed. Parameters: the job; choices by name, as typed."""
    needs = _needs(so_far)
    job = None if needs else so_far.job
    try:
        read = read_choices(choices, job)
    except JobErrors as error:
        needs = [Missing(so_far.composed.key_of(each.where), each.text) for each in error.errors]
        job, read = None, read_choices(choices)
    fields: dict[str, dict[str, str]] = {name: {"echo": text} for name, text in read.echoes.items()}
    fields |= {name: {"error": text} for name, text in read.errors.items()}
    return Asked(job, read.request, fields, read.missing, tuple(needs))


def _missing_words(name: str) -> str:
    field = field_of(Wanted, name)
    remedy = "Choose one." if field.choices else f"Enter {field.allowed}."
    return f"{field.label[:1].upper()}{field.label[1:]}: missing. {remedy}"


def _needs(so_far: Begun) -> list[Missing]:
    """What the job lacks, or has wrong, for a plan; all that it lacks where it cannot be read yet."""
    engine = so_far.composed.tree.get("engine")
    wanting = [Missing(each.where, each.text) for each in missing_fields(engine if isinstance(engine, dict) else {})]
    others = (*so_far.missing, *so_far.errors)
    concerned = [each for each in others if each.key in _OF_THE_JOB or (each.key or "").startswith(_OF_THE_UNITS)]
    found = concerned or ([] if so_far.job is not None else list(others))
    told = {each.key for each in found}
    return [*found, *(each for each in wanting if each.key not in told)]


def told(work: AtWork, known: Plan | None) -> dict[str, Any]:
    """How far a search is, and its plan. `known`: the plan that the page has the HTML of; the same way is not told again.

    step, share: what it is at, and how many percent of that are done; line, standing: how far it is and how good the plan
    is, in words; gap_percent: how much could be saved at most; html: `words` of the plan, and its `way` where it is another.
    """
    progress, plan = work.progress, work.plan
    share = 100 if work.ended else int(100.0 * progress.share)
    answer: dict[str, Any] = {
        "step": progress.step,
        "share": share,
        "ended": work.ended,
        "line": STEPS[progress.step],
        "standing": "",
        "plan": None,
    }
    if plan is None:
        return answer
    gap = 100.0 * plan.gap
    html: dict[str, str] = {"words": words(plan, work.job)}
    if known is None or known.stops != plan.stops:
        html["way"] = shown_way(plan)
    return {
        **answer,
        "standing": _standing(plan, gap),
        "cost_deg": plan.cost_deg,
        "bound_deg": plan.lower_bound_deg,
        "gap_percent": gap,
        "optimal": plan.optimal,
        "plan": plan.to_json(),
        "html": html,
    }


def _standing(plan: Plan, gap: float) -> str:
    if not plan.units:
        return "Nothing is left to do."
    found = f"The plan costs {plain(plan.cost_deg, 1)}°"
    if plan.optimal:
        return f"{found}: no plan costs less."
    if plan.lower_bound_deg <= 0.0:
        return f"{found}."
    return f"{found}: at most {plain(gap, 1)} % could be saved."


def shown_way(plan: Plan) -> str:
    """Cautions, picture and timetable with a box to tick for each stop, as HTML."""
    if not plan.stops:
        return ""
    return joined(element("div", {"class": "sm-signal sm-warning"}, cautions(plan)), way(plan, ticks=True))


def shown(plan: Plan, job: Job | None) -> dict[str, str]:
    """A plan that was kept, as HTML: its `words` and its `way`."""
    return {"words": words(plan, job), "way": shown_way(plan)}


def plan_from(tree: object) -> Plan | None:
    """A plan from its plain values; None where they are no plan, since anything can be in a browser's store."""
    plan, problems = examine(_known(tree, Plan), Plan, complete=False, rules=no_rules)
    return plan if isinstance(plan, Plan) and not problems and (plan.format, plan.version) == (FORMAT, VERSION) else None


def _known(tree: object, cls: type) -> Any:
    """Only what a record describes, and no nulls: what is null is absent."""
    if not isinstance(tree, dict):
        return tree
    known = {}
    for each in fields_of(cls):
        value = tree.get(each.name)
        if each.kind == RECORDS and isinstance(value, list) and each.record is not None:
            value = [_known(entry, each.record) for entry in value]
        elif each.kind == RECORD and each.record is not None:
            value = _known(value, each.record)
        if value is not None:
            known[each.name] = value
    return known
