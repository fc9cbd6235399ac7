"""What a plan is wanted for: which units, how many sets, ahead only or not, and from where an interrupted job goes on."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from calc.job.model import Job
from calc.job.words import units_words
from calc.plan.turning.stations import MET_WITHIN_DEG, OPENING, TASKS, Turning, turning_of


class RequestError(ValueError):
    """What is wanted cannot be planned; the text says why, what is allowed, and how to mend it.

    at: the choice that it is about, as `wanted` spells it: sets, units, from_deg, done/UNIT/last_task, done/UNIT/gauge_set.
    """

    def __init__(self, text: str, at: str = "") -> None:
        super().__init__(text)
        self.at = at


@dataclass(frozen=True, slots=True)
class Standing:
    """Where an interrupted job stands.

    angle: of the flywheel [ticks]; last_task: of each planned unit that was begun, the last task done; gauge_set: which set
    is on it.
    """

    angle: int
    last_task: Mapping[int, str]
    gauge_set: Mapping[int, int]


@dataclass(frozen=True, slots=True)
class Request:
    """What a plan is wanted for: stations, sets, whether ahead only, and where it begins if not anywhere."""

    turning: Turning
    sets: int
    ahead_only: bool = False
    standing: Standing | None = None

    @property
    def never_astern(self) -> bool:
        """Whether turning astern is forbidden, or could never pay: going ahead all the time costs less."""
        most = 2 * self.turning.turn * (len(self.turning.units) + 1)
        return self.ahead_only or max(self.turning.reversal, self.turning.take_up) >= most


def request_of(
    job: Job,
    *,
    sets: int,
    ahead_only: bool = False,
    units: Collection[int] | None = None,
    from_deg: float | None = None,
    done: Mapping[int, str] | None = None,
    gauge_set: Mapping[int, int] | None = None,
) -> Request:
    """What is wanted, checked against the job.

    Parameters: job; sets, how many gauge sets [1 or more]; ahead_only; units, the numbers of those to plan, all where None;
    from_deg, where the flywheel stands [deg], anywhere where None; done, the last task done of each unit that was begun or
    finished; gauge_set, which set is on a unit that was begun, else the lowest ones in order of units.
    Returns: the request; a finished unit is not part of it. Raises: JobErrors where the job lacks what a plan needs;
    RequestError where the rest does not fit the job or itself.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> job = read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8"))
    >>> request = request_of(job, sets=2, from_deg=50.0, done={1: "opening", 6: "base"})
    >>> len(request.turning.units), request.standing.gauge_set
    (6, {6: 1})
    """
    done, gauge_set = dict(done or {}), dict(gauge_set or {})
    if sets < 1:
        raise RequestError(f"Gauge sets: {sets} found. A plan needs 1 or more. Say how many sets you have.", "sets")
    _check_units(job.engine.units, units or (), "units")
    _check_units(job.engine.units, done, "done/{unit}/last_task")
    _check_units(job.engine.units, gauge_set, "done/{unit}/gauge_set")
    if units is not None and not units:
        raise RequestError("Units: an empty list found. Name at least one unit, or leave it out for all.", "units")
    begun = {unit: task for unit, task in sorted(done.items()) if task != OPENING}
    wanted = set(range(1, job.engine.units + 1) if units is None else units) - {
        u for u, task in done.items() if task == OPENING
    }
    outside = [unit for unit in begun if unit not in wanted]
    if outside:
        raise RequestError(
            f"Units to plan: {units_words(outside)} not among them, but a gauge set is still mounted there. Add it, or say "
            "that it is done.",
            "units",
        )
    turning = turning_of(job, wanted)
    if from_deg is None:
        if begun:
            raise RequestError(
                f"Done so far: work on {units_words(list(begun))} is begun, but where the flywheel stands is missing. Enter "
                "its angle.",
                "from_deg",
            )
        return Request(turning, sets, ahead_only)
    if not -360.0 <= from_deg <= 360.0:
        raise RequestError(f"Flywheel: {from_deg:g}° found. Enter an angle from 0 to 360. Read it again.", "from_deg")
    on_unit = _sets_on(sets, begun, gauge_set)
    return Request(turning, sets, ahead_only, Standing(_met(turning, from_deg), begun, on_unit))


def _check_units(count: int, numbers: Collection[int], at: str) -> None:
    strange = sorted({unit for unit in numbers if not 1 <= unit <= count})
    if strange:
        raise RequestError(
            f"Units: {units_words(strange)} found. The engine has units 1 to {count}. Correct the unit number.",
            at.format(unit=strange[0]),
        )


def _sets_on(sets: int, begun: Mapping[int, str], stated: Mapping[int, int]) -> dict[int, int]:
    """Which set is on which unit."""
    for unit, task in begun.items():
        if task not in TASKS:
            raise RequestError(
                f"Unit {unit}: the task {task!r} found. Tasks are {', '.join(TASKS)}. Correct it.", f"done/{unit}/last_task"
            )
    if len(begun) > sets:
        raise RequestError(
            f"Done so far: {units_words(list(begun))} are begun, which takes {len(begun)} gauge sets; {sets} found. Say which "
            "units are finished, or how many sets you have.",
            "sets",
        )
    used: dict[int, int] = {}
    for unit, number in stated.items():
        at = f"done/{unit}/gauge_set"
        if unit not in begun:
            raise RequestError(f"Unit {unit}: a gauge set found on a unit that is not begun. Leave the set out.", at)
        if not 1 <= number <= sets:
            raise RequestError(f"Unit {unit}: gauge set {number} found. The sets are 1 to {sets}. Correct the number.", at)
        if number in used.values():
            raise RequestError(f"Unit {unit}: gauge set {number} found, which is on another unit. Correct the number.", at)
        used[unit] = number
    free = (number for number in range(1, sets + 1) if number not in used.values())
    return {unit: used[unit] if unit in used else next(free) for unit in begun}


def _met(turning: Turning, from_deg: float) -> int:
    """Where the flywheel stands [ticks]; a station where it stands at one."""
    angle = turning.turned_round(turning.ticks(from_deg))
    reach = turning.ticks(MET_WITHIN_DEG)
    for unit in turning.units:
        for station in (unit.peak, unit.base_from, unit.base_to, unit.closing, unit.opening):
            if min((station - angle) % turning.turn, (angle - station) % turning.turn) <= reach:
                return station
    return angle
