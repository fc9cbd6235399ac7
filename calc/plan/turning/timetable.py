"""The turning plan, described field by field like the job: stops, costs, what is proven, minutes.

A number that cannot be told is None, and a notice says why.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from calc.findings import Notice, findings_to_tree
from calc.job.describe import choice, field_of, flag, number, record, record_of, records_of, text, whole, wholes
from calc.job.direction import mirrored
from calc.job.model import AHEAD, ASTERN, Job
from calc.plan.turning.request import Request
from calc.plan.turning.solve import Progress, one_after_another
from calc.plan.turning.stations import BASE, CLOSING, OPENING, PEAK
from calc.plan.turning.travel import START_WORD, Halt, halts_of, reversals, turned
from calc.version import PROGRAM

FORMAT, VERSION = "spillmark-plan", 1

TASKS = {
    PEAK: "cam peak: mount the set, suction gauge to zero",
    BASE: "base circle: plunger and spill gauges to zero",
    CLOSING: "start: suction valve closes, read",
    OPENING: "end: spill valve opens, read; the set is free",
}
DIRECTIONS = {START_WORD: "where the plan begins", AHEAD: "turned ahead", ASTERN: "turned astern"}

# What rests on each stand-in, for its notice.
_RESTS = {
    "engine.tdc_deg": "The flywheel angles of the other units rest on it.",
    "engine.take_up_deg": "How far back you turn before a reading rests on it.",
    "engine.reversal_deg": "How readily the plan turns back rests on it.",
}


@record
class Task:
    """One task at a stop."""

    unit: int = whole("unit", required=True)
    task: str = choice("task", TASKS, required=True)
    set: int = whole("gauge set", required=True)


@record
class Stop:
    """One stop of the flywheel; one without a task is a turning point."""

    flywheel_deg: float = number("flywheel angle", unit="°", low=0, high=360, high_open=True, required=True)
    direction: str = choice("how it is reached", DIRECTIONS, required=True)
    turn_deg: float = number("turned from the stop before", unit="°", low=0, required=True)
    tasks: tuple[Task, ...] = records_of(Task, "tasks, in order", required=True)


@record
class Comparison:
    """What the same work costs with one gauge set, unit after unit in firing order."""

    turned_deg: float = number("degrees turned", unit="°", required=True)
    reversals: int = whole("changes of direction", required=True)
    cost_deg: float = number("cost", unit="°", required=True)
    minutes: float | None = number("time", unit="min")


@record
class Plan:
    """A turning plan."""

    format: str = text("format", exactly=FORMAT, required=True)
    version: int = whole("version of the format", exactly=VERSION, required=True)
    program: str = text("program and version that made it", required=True)
    sets: int = whole("gauge sets", low=1, required=True)
    ahead_only: bool = flag("ahead only; in a plan for astern, astern only", required=True)
    units: tuple[int, ...] = wholes("units that are planned", required=True)
    rotation: str | None = choice("running direction", {AHEAD: "ahead", ASTERN: "astern"}, omit=True)
    from_deg: float | None = number("flywheel angle from which it goes on", unit="°", help="Null where the start is free.")
    turned_deg: float = number("degrees turned", unit="°", required=True)
    reversals: int = whole("changes of direction", required=True)
    cost_deg: float = number("cost: degrees turned and reversals", unit="°", required=True)
    lower_bound_deg: float = number("no plan costs less than", unit="°", required=True)
    optimal: bool = flag("proven that no plan costs less", required=True)
    minutes: float | None = number("time", unit="min")
    one_by_one: Comparison | None = record_of(Comparison, "one set, unit after unit in firing order")
    stops: tuple[Stop, ...] = records_of(Stop, "stops", required=True)
    notices: tuple[Notice, ...] = records_of(Notice, "notices", required=True)

    @property
    def direction(self) -> str:
        """The direction that the plan is for.

        >>> Plan().direction, Plan(rotation="astern").direction
        ('ahead', 'astern')
        """
        return self.rotation or AHEAD

    @property
    def gap(self) -> float:
        """How far the bound lies below the cost, as a share of the cost [1].

        >>> Plan(cost_deg=1000.0, lower_bound_deg=990.0).gap
        0.01
        """
        return (self.cost_deg - self.lower_bound_deg) / self.cost_deg if self.cost_deg else 0.0

    def to_json(self) -> dict[str, Any]:
        """The plan as plain values, ready for `json.dumps`; what is None stays as null."""
        return findings_to_tree(self)


def plan_of(job: Job, request: Request, progress: Progress) -> Plan:
    """The plan behind a progress that has a way of working.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> from calc.plan.turning.request import request_of
    >>> from calc.plan.turning.solve import ways
    >>> job = read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8"))
    >>> request = request_of(job, sets=2)
    >>> *_, last = ways(request)
    >>> plan = plan_of(job, request, last)
    >>> plan.cost_deg, plan.optimal, len(plan.stops)
    (1052.36, True, 25)
    """
    assert progress.way is not None
    turning = request.turning
    halts = halts_of(request, progress.way)
    whole_turn, changes = turned(halts), reversals(halts)
    cost = turning.degrees(whole_turn + turning.reversal * changes)
    alone = None if request.standing is not None else one_after_another(request)
    return Plan(
        format=FORMAT,
        version=VERSION,
        program=PROGRAM,
        sets=request.sets,
        ahead_only=request.ahead_only,
        units=tuple(unit.unit for unit in turning.units),
        rotation=job.reference.rotation,
        from_deg=None if request.standing is None else turning.degrees(turning.turned_round(request.standing.angle)),
        turned_deg=turning.degrees(whole_turn),
        reversals=changes,
        cost_deg=cost,
        lower_bound_deg=cost if progress.optimal else turning.degrees(progress.bound),
        optimal=progress.optimal,
        minutes=_minutes(request, halts),
        one_by_one=None if alone is None else _comparison(request, halts_of(request, alone)),
        stops=tuple(_stop(request, halt) for halt in halts),
        notices=tuple(_notices(job)),
    )


def _comparison(request: Request, halts: list[Halt]) -> Comparison:
    turning, whole_turn, changes = request.turning, turned(halts), reversals(halts)
    return Comparison(
        turned_deg=turning.degrees(whole_turn),
        reversals=changes,
        cost_deg=turning.degrees(whole_turn + turning.reversal * changes),
        minutes=_minutes(request, halts),
    )


def _minutes(request: Request, halts: list[Halt]) -> float | None:
    """Time for turning, and for the stops at which there is something to do [min]."""
    turning = request.turning
    if turning.turning_deg_per_min is None:
        return None
    busy = sum(bool(halt.tasks) for halt in halts)
    return turning.degrees(turned(halts)) / turning.turning_deg_per_min + turning.minutes_per_stop * busy


def _stop(request: Request, halt: Halt) -> Stop:
    turning = request.turning
    return Stop(
        flywheel_deg=turning.degrees(turning.turned_round(halt.angle)),
        direction=mirrored(halt.direction, ASTERN if turning.astern else AHEAD),
        turn_deg=turning.degrees(halt.turned),
        tasks=tuple(Task(unit=done.unit, task=done.task, set=done.gauge_set) for done in halt.tasks),
    )


def _notices(job: Job) -> Iterator[Notice]:
    """What the plan rests on, and what is missing from it."""
    for path, rests in _RESTS.items():
        field = field_of(Job, path)
        if getattr(job.engine, field.name) is None:
            number_used = (
                f"{field.fallback:g}{field.unit} is" if isinstance(field.fallback, float) else "even firing intervals are"
            )
            words = f"{field.label[:1].upper()}{field.label[1:]}: missing; {number_used} used. {rests}"
            yield Notice(code="fallback", where=path, text=words)
    speed = job.engine.turning_deg_per_min
    if not speed:
        found = "missing" if speed is None else "0 found"
        yield Notice(
            code="missing",
            where="engine.turning_deg_per_min",
            text=f"Turning speed: {found}. The plan tells no time. Time one turn of the flywheel and enter its speed.",
        )
    elif job.engine.minutes_per_stop is None:
        yield Notice(
            code="fallback",
            where="engine.minutes_per_stop",
            text="Time for one stop: missing; 0 min is used. The time of the plan is for turning alone. Enter what a stop "
            "takes.",
        )
