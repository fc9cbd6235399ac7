"""Plans ahead only of larger engines against a general solver: HiGHS, by way of scipy's mixed-integer programming.

Ahead only, a unit holds its set from a pass of its peak to the next pass of its end; which pass is the only choice. So the
plan is a schedule of fixed intervals on as many machines as there are sets, of which the last has to end soonest.
"""

import math

import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from tests.invented import Tree
from tests.plan.engines import any_engine, engine, planned
from tests.plan.replay import replay, stations


def cheapest_ahead(job: Tree, sets: int) -> float:
    """The least that can be turned, ahead only [degrees]: the best over the units that can come first."""
    return min(_beginning_with(first, job, sets) for first in stations(job))


def _beginning_with(first: int, job: Tree, sets: int) -> float:
    where = stations(job)
    turns = len(where) + 1
    choices, begins, ends = [], [], []
    for unit, at in where.items():
        # From the peak ahead over base circle and start to the end is less than a turn.
        length = (at["opening"] - at["peak"]) % 360.0
        offset = (at["peak"] - where[first]["peak"]) % 360.0
        for turn in range(turns if unit != first else 1):
            choices.append(unit)
            begins.append(offset + 360.0 * turn)
            ends.append(offset + 360.0 * turn + length)
    count = len(choices)
    rows, low, high = [], [], []

    def row(weights: dict[int, float], least: float, most: float) -> None:
        rows.append([weights.get(k, 0.0) for k in range(count + 1)])
        low.append(least)
        high.append(most)

    for unit in where:
        row({k: 1.0 for k, other in enumerate(choices) if other == unit}, 1.0, 1.0)
    for begin in sorted(set(begins)):
        # A set that is freed at a stop can be mounted at the same stop.
        held = {k: 1.0 for k in range(count) if begins[k] <= begin + 1e-9 and ends[k] > begin + 1e-9}
        row(held, 0.0, sets)
    for k in range(count):
        row({k: -ends[k], count: 1.0}, 0.0, math.inf)
    found = milp(
        c=[0.0] * count + [1.0],
        constraints=LinearConstraint(rows, low, high),
        integrality=[1] * count + [0],
        bounds=Bounds(0.0, [1.0] * count + [math.inf]),
        options={"mip_rel_gap": 0.0},
    )
    assert found.success, found.message
    return float(found.fun)


@pytest.mark.parametrize(("units", "sets"), [(5, 2), (6, 3), (7, 1), (7, 2), (7, 3), (8, 2), (8, 4), (9, 3), (10, 2)])
def test_nearly_alike_units(units: int, sets: int) -> None:
    tree = engine(units, spread=0.6, seed=10 * units + sets)
    plan = planned(tree, sets, ahead_only=True)
    cost = replay(tree, plan.to_json())
    assert plan.optimal
    assert cost == pytest.approx(cheapest_ahead(tree, sets), abs=1e-5)


@pytest.mark.parametrize("seed", range(20))
def test_units_of_any_kind(seed: int) -> None:
    tree = any_engine(seed, 4 + seed % 4)
    sets = 1 + seed % 3
    plan = planned(tree, sets, ahead_only=True)
    cost = replay(tree, plan.to_json())
    assert plan.optimal
    assert cost == pytest.approx(cheapest_ahead(tree, sets), abs=1e-5)
