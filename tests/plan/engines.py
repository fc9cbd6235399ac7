"""Invented engines to turn, as job files."""

import json
import random
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from calc import read_job
from calc.job.model import Job
from calc.plan.turning.request import Request, request_of
from calc.plan.turning.solve import Progress, ways
from calc.plan.turning.timetable import Plan, plan_of
from tests.invented import Tree, engine_job

PEAK, BASE_FROM, BASE_TO, CLOSING, OPENING = 30.0, 100.0, -42.0, -4.5, 10.4


def engine(
    units: int,
    *,
    peak: float = PEAK,
    base: tuple[float, float] = (BASE_FROM, BASE_TO),
    closing: float = CLOSING,
    opening: float = OPENING,
    spread: float = 0.0,
    seed: int = 0,
    grid: float = 0.01,
    tdc: Sequence[float] | None = None,
    **engine_keys: Any,
) -> Tree:
    """A job whose units have these angles, each start and end off by up to `spread`, all on a grid of degrees.

    TDCs lie evenly in order of unit numbers where none are given.
    """
    chance = random.Random(seed)
    tree = engine_job(units=units)
    tree["engine"] |= {
        "firing_order": list(range(1, units + 1)),
        "cam_peak_deg": peak,
        "base_circle_from_deg": base[0],
        "base_circle_to_deg": base[1],
        "turning_deg_per_min": 36.0,
        "minutes_per_stop": 3.0,
        "take_up_deg": 5.0,
        "reversal_deg": 20.0,
        **engine_keys,
    }
    del tree["engine"]["tdc_deg"]
    if tdc is not None:
        tree["engine"]["tdc_deg"] = list(tdc)
    for entry in tree["reference"]["units"]:
        entry["beginning_deg"] = round(round((closing + chance.uniform(-spread, spread)) / grid) * grid, 6)
        entry["end_deg"] = round(round((opening + chance.uniform(-spread, spread)) / grid) * grid, 6)
    return tree


def any_engine(seed: int, units: int, grid: float = 1.0) -> Tree:
    """An engine with uneven TDCs and cam angles anywhere in their order, all on a grid of degrees."""
    chance = random.Random(seed)
    steps = round(360.0 / grid)
    # End of the base circle, start, end, peak, start of the base circle: five different places on the grid, ahead.
    first, *rest = chance.sample(range(1, steps), 4)
    cuts = sorted([first, *rest])
    shift = chance.randrange(steps)
    base_to, closing, opening, peak, base_from = (wrapped((shift + cut) * grid) for cut in (0, *cuts))
    if opening <= closing or chance.random() < 0.7:
        # Mostly as engines are: the base circle is the long part, delivery a short one around TDC.
        wide = max(1, round(chance.choice([5, 10, 15, 40]) / grid))
        closing = -grid * chance.randint(0, max(1, round(20 / grid)))
        opening = closing + grid * wide
        peak = opening + grid * chance.randint(1, max(1, round(30 / grid)))
        base_from = peak + grid * chance.randint(1, max(1, round(60 / grid)))
        base_to = closing - grid * chance.randint(1, max(1, round(60 / grid)))
        base_from = wrapped(base_from)
    tdc = [chance.randrange(steps) * grid for _ in range(units)]
    return engine(
        units,
        peak=peak,
        base=(base_from, base_to),
        closing=closing,
        opening=opening,
        grid=grid,
        tdc=tdc,
        take_up_deg=grid * chance.choice([1, 1, 2, 8]),
        reversal_deg=grid * chance.choice([0, 1, 4, 20]),
    )


def wrapped(angle: float) -> float:
    """An angle from -180 to below 180."""
    return (angle + 180.0) % 360.0 - 180.0


def job_of(tree: Tree) -> Job:
    """The job in a tree, by way of its file."""
    return read_job(json.dumps(tree))


def planned(
    tree: Tree,
    sets: int,
    *,
    ahead_only: bool = False,
    units: Collection[int] | None = None,
    from_deg: float | None = None,
    done: Mapping[int, str] | None = None,
    gauge_set: Mapping[int, int] | None = None,
    until: str | None = None,
) -> Plan:
    """The plan of a job, with all its proof, or as far as it is when a step begins."""
    job = job_of(tree)
    request = request_of(job, sets=sets, ahead_only=ahead_only, units=units, from_deg=from_deg, done=done, gauge_set=gauge_set)
    return plan_of(job, request, last_of(request, until))


def last_of(request: Request, until: str | None = None) -> Progress:
    """The last progress, or the last before a step begins."""
    last = None
    for progress in ways(request):
        if until is not None and progress.step == until:
            break
        last = progress
    assert last is not None
    return last
