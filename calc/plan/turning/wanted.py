"""What a plan is wanted for, as people choose it: described fields, so that labels, help and refusals have one source.

Choices are texts by name: those of `Wanted`, and for each unit that was begun or finished those of `UnitDone`, with the
unit between slashes: `done/3/last_task`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from calc.job.describe import choice, field_of, flag, number, record, whole, wholes
from calc.job.entry import typed
from calc.job.model import Job
from calc.job.typed import read_typed
from calc.plan.turning.request import Request, RequestError, request_of
from calc.plan.turning.stations import BASE, CLOSING, OPENING, PEAK
from calc.plan.turning.timetable import Plan

DONE = "done"
# The flywheel's angle as text has so many decimals: no more than where two angles are one stop.
_DECIMALS = 6
_DONE_KEY = re.compile(rf"{DONE}/(\d{{1,2}})/(\w+)", re.ASCII)
_LAST_TASK = {
    PEAK: "mounted",
    BASE: "zeroed",
    CLOSING: "start read",
    OPENING: "end read",
}


@record
class Wanted:
    """The choices for a whole plan."""

    sets: int = whole(
        "gauge sets",
        low=1,
        high=24,
        required=True,
        help="A set is what one unit needs: a plunger gauge and the gauges on its two valves.",
    )
    ahead_only: bool = flag(
        "turning back",
        choices={"false": "allowed, where it saves turning", "true": "never: turn one way only"},
        required=True,
        help="Readings count only in the direction that the job is for, either way.",
    )
    units: tuple[int, ...] | None = wholes(
        "units to plan", low=1, high=24, help="Unit numbers, as in 1 3 5. Empty: all of them."
    )
    from_deg: float | None = number(
        "flywheel stands at",
        unit="°",
        low=0,
        high=360,
        help="On the flywheel's scale, 0 at TDC of unit 1. Empty: the plan begins where it costs least.",
    )


@record
class UnitDone:
    """How far one unit is when a plan goes on after an interruption."""

    last_task: str | None = choice(
        "last task done",
        _LAST_TASK,
        help="Gauges are mounted at the cam peak and zeroed on the base circle. Leave it open where nothing was begun.",
    )
    gauge_set: int | None = whole(
        "gauge set on it", low=1, high=24, help="Which set stands there now. Empty: the lowest that is free."
    )


@dataclass(frozen=True, slots=True)
class Choices:
    """What was understood. errors, echoes: what to say, by name; missing: needed choices that are open. request: None while
    something is wrong or missing, or while there is no job."""

    request: Request | None = None
    errors: Mapping[str, str] = field(default_factory=dict)
    echoes: Mapping[str, str] = field(default_factory=dict)
    missing: tuple[str, ...] = ()


def read_choices(texts: Mapping[str, str], job: Job | None = None) -> Choices:
    """What is wanted, from texts by name; without a job only the texts themselves are looked at.

    Raises: JobErrors where the job lacks what a plan needs.

    >>> read_choices({"sets": "two", "done/3/gauge_set": "0"}).errors["done/3/gauge_set"][:33]
    'Unit 3, gauge set on it: 0 found.'
    """
    whole_plan = read_typed(Wanted, texts)
    errors, echoes = dict(whole_plan.errors), dict(whole_plan.echoes)
    done: dict[int, str] = {}
    gauge_set: dict[int, int] = {}
    for unit, typed_there in sorted(_by_unit(texts).items()):
        read = read_typed(UnitDone, typed_there)
        errors |= {
            f"{DONE}/{unit}/{name}": f"Unit {unit}, {words[:1].lower()}{words[1:]}" for name, words in read.errors.items()
        }
        if "last_task" in read.values:
            done[unit] = read.values["last_task"]
        if "gauge_set" in read.values:
            gauge_set[unit] = read.values["gauge_set"]
    found = Choices(None, errors, echoes, tuple(whole_plan.missing))
    if errors or whole_plan.missing or job is None:
        return found
    chosen = whole_plan.record
    try:
        request = request_of(
            job,
            sets=chosen.sets,
            ahead_only=chosen.ahead_only,
            units=chosen.units,
            from_deg=chosen.from_deg,
            done=done,
            gauge_set=gauge_set,
        )
    except RequestError as error:
        return replace(found, errors={error.at: str(error)})
    return replace(found, request=request)


def _by_unit(texts: Mapping[str, str]) -> dict[int, dict[str, str]]:
    found: dict[int, dict[str, str]] = {}
    for key, text in texts.items():
        named = _DONE_KEY.fullmatch(key)
        if named is not None:
            found.setdefault(int(named[1]), {})[named[2]] = text
    return found


def choices_for_the_rest(texts: Mapping[str, str], plan: Plan, stops: int) -> dict[str, str]:
    """The choices for a plan that goes on where another was left.

    Parameters: the choices of the plan that was left; that plan; how many of its stops are done [1 or more].

    >>> from calc.plan.turning.timetable import Stop, Task
    >>> peak = Stop(flywheel_deg=34.0, direction="start", turn_deg=0.0, tasks=(Task(unit=1, task="peak", set=2),))
    >>> choices_for_the_rest({"sets": "2", "ahead_only": "false"}, Plan(stops=(peak,)), 1)
    {'sets': '2', 'ahead_only': 'false', 'from_deg': '34.0', 'done/1/last_task': 'peak', 'done/1/gauge_set': '2'}
    """
    left = plan.stops[:stops]
    rest = {**texts, "from_deg": _text(Wanted, "from_deg", round(left[-1].flywheel_deg, _DECIMALS) % 360.0)}
    for task in (task for stop in left for task in stop.tasks):
        rest[f"{DONE}/{task.unit}/last_task"] = task.task
        rest[f"{DONE}/{task.unit}/gauge_set"] = "" if task.task == OPENING else _text(UnitDone, "gauge_set", task.set)
    return {name: text for name, text in rest.items() if text}


def _text(cls: type, name: str, value: Any) -> str:
    return typed(field_of(cls, name), value)
