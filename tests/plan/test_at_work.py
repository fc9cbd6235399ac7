"""A search in slices: what it shows at each, and which changes of a job leave its plan as it is."""

import json
from typing import Any

from calc import read_job
from calc.plan.turning.at_work import AtWork, mark_of
from calc.plan.turning.request import request_of
from calc.plan.turning.solve import ENDED, PLANNING
from tests.jobs import tree


def work_on(job: dict[str, Any]) -> AtWork:
    read = read_job(json.dumps(job))
    return AtWork(read, request_of(read, sets=2))


def test_before_it_goes_on_there_is_no_plan() -> None:
    work = work_on(tree())
    assert (work.progress.step, work.progress.way, work.plan, work.ended) == (PLANNING, None, None, False)


def test_each_slice_shows_the_best_way_so_far_with_what_is_proven() -> None:
    """Costs only fall, bounds only rise, and in the end they meet."""
    work, costs, bounds = work_on(tree()), [], []
    for _ in range(100_000):
        work.go_on(lambda: True)
        if work.plan is not None:
            costs.append(work.plan.cost_deg)
            bounds.append(work.plan.lower_bound_deg)
            assert work.plan.optimal == work.progress.optimal
            if work.progress.way is not None and not work.progress.optimal:
                assert bounds[-1] == work.request.turning.degrees(work.progress.bound)
        if work.ended:
            break
    assert work.progress.step == ENDED
    assert work.plan is not None
    assert work.plan.optimal
    assert len(costs) > 3
    assert costs == sorted(costs, reverse=True)
    assert bounds == sorted(bounds)
    assert bounds[-1] == costs[-1]
    last = work.plan
    work.go_on(lambda: False)
    assert work.plan is last


def test_a_plan_is_for_the_job_as_far_as_turning_goes() -> None:
    work = work_on(tree())

    def still(change: Any) -> bool:
        job = tree()
        change(job)
        return work.is_for(read_job(json.dumps(job)))

    assert still(lambda job: None)
    assert still(lambda job: job.update(title="Another"))
    assert still(lambda job: job.update(readings=[]))
    assert not still(lambda job: job["engine"].update(cam_peak_deg=35.0))
    assert not still(lambda job: job["reference"]["units"][0].update(beginning_deg=-12.0))
    assert not still(lambda job: job["engine"].pop("cam_peak_deg"))

    def one_less(job: dict[str, Any]) -> None:
        for key in set(job) - {"format", "version", "title", "engine", "reference", "instruments"}:
            del job[key]
        job["reference"]["units"].pop()
        job["engine"].update(units=6, firing_order=[1, 6, 3, 4, 5, 2], tdc_deg=job["engine"]["tdc_deg"][:6])

    assert not still(one_less)


def test_another_wish_another_mark() -> None:
    read = read_job(json.dumps(tree()))
    assert mark_of(request_of(read, sets=2)) == mark_of(request_of(read, sets=2))
    assert len({mark_of(request_of(read, sets=sets)) for sets in (1, 2, 3)}) == 3
    assert len(mark_of(request_of(read, sets=1))) == 16
