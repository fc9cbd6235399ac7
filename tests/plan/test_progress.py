"""A plan at once, its bound following: what a page with a stop button needs."""

import pytest

from calc.plan.turning.request import request_of
from calc.plan.turning.solve import BOUNDING, ENDED, PLANNING, PROVING, STEPS, Progress, ways
from calc.plan.turning.timetable import plan_of
from tests.plan.engines import engine, job_of, planned
from tests.plan.replay import replay


def followed(units: int, sets: int, *, ahead_only: bool = False, spread: float = 0.6) -> list[Progress]:
    return list(ways(request_of(job_of(engine(units, spread=spread, seed=3)), sets=sets, ahead_only=ahead_only)))


@pytest.mark.parametrize(("units", "sets", "ahead_only"), [(3, 1, False), (8, 2, False), (9, 3, False), (9, 2, True)])
def test_costs_only_fall_bounds_only_rise_until_they_meet(units: int, sets: int, ahead_only: bool) -> None:
    seen = followed(units, sets, ahead_only=ahead_only)
    costs = [each.way.cost for each in seen if each.way is not None]
    assert costs == sorted(costs, reverse=True)
    bounds = [each.bound for each in seen]
    assert bounds == sorted(bounds)
    assert all(each.bound <= costs[-1] for each in seen)
    assert seen[-1].step == ENDED
    assert seen[-1].optimal
    assert [each.optimal for each in seen] == sorted(each.optimal for each in seen)


def test_each_step_is_told_with_its_share() -> None:
    seen = followed(9, 3)
    steps = [each.step for each in seen]
    assert list(dict.fromkeys(steps)) == [PLANNING, BOUNDING, PROVING, ENDED] == list(STEPS)
    assert steps[-2:] == [PROVING, ENDED]
    assert all(0.0 <= each.share <= 1.0 for each in seen)


def test_it_can_be_left_at_any_time_and_the_plan_so_far_counts() -> None:
    tree = engine(9, spread=0.6, seed=3)
    job = job_of(tree)
    request = request_of(job, sets=3)
    told = 0
    for progress in ways(request):
        if progress.way is None:
            continue
        told += 1
        if told % 20 == 1:
            plan = plan_of(job, request, progress)
            assert replay(tree, plan.to_json()) == pytest.approx(plan.cost_deg)
            assert plan.lower_bound_deg <= plan.cost_deg
            assert 0.0 <= plan.gap <= 1.0
    assert told > 20


def test_signs_of_life_come_often_enough_to_stop_it() -> None:
    """Between two of them there is never much work: a few hundred states."""
    assert len(followed(9, 3)) > 50


@pytest.mark.parametrize("seed", range(2))
def test_the_first_plan_is_good_and_the_bound_is_near(seed: int) -> None:
    """12 units with 3 sets: the plan before any proof is within 5 % of the proven best, the bound of alike units within 1 %."""
    tree = engine(12, spread=0.6, seed=seed)
    first = planned(tree, 3, until="bounding")
    bound = planned(tree, 3, until="proving")
    assert bound.gap < 0.01
    assert first.cost_deg < 1.05 * bound.lower_bound_deg


def test_units_in_pairs_and_uneven_tdcs_are_proven_too() -> None:
    for tdc in ([0, 20, 90, 110, 180, 200, 270, 290], [0, 31, 77, 120, 190, 240, 250, 301]):
        tree = engine(8, spread=0.3, seed=1, tdc=tdc)
        plan = planned(tree, 2)
        replay(tree, plan.to_json())
        assert plan.optimal
