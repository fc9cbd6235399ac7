"""The cheapest cost by brute force: every single step of the flywheel on a grid, every task a choice of its own.

Shares nothing with the planner but the rules. For small engines whose angles all lie on the grid.
"""

from heapq import heappop, heappush
from typing import Any

from tests.plan.replay import stations

Tree = dict[str, Any]
NONE, AHEAD, ASTERN = 0, 1, -1


def cheapest(
    job: Tree,
    sets: int,
    *,
    ahead_only: bool = False,
    grid: float = 5.0,
    from_deg: float | None = None,
    done: dict[int, int] | None = None,
) -> float:
    """The cost of the best plan [degrees].

    Parameters: grid [degrees], of which every angle is a multiple; from_deg and done (how many of its four tasks each unit
    has behind it) for a job that goes on.
    """
    engine = job["engine"]
    steps = round(360.0 / grid)
    at = {unit: {name: round(angle / grid) % steps for name, angle in places.items()} for unit, places in stations(job).items()}
    units = sorted(at)
    take_up = round(engine.get("take_up_deg", 5.0) / grid)
    reversal = engine.get("reversal_deg", 20.0) / grid
    # Of each spot and unit: which tasks could be done there.
    possible: list[list[set[int]]] = []
    for spot in range(steps):
        row = []
        for unit in units:
            place = at[unit]
            on_base = (spot - place["base_from"]) % steps <= (place["base_to"] - place["base_from"]) % steps
            named = (place["peak"] == spot, on_base, place["closing"] == spot, place["opening"] == spot)
            row.append({task for task, here in enumerate(named) if here})
        possible.append(row)
    begin = tuple((done or {}).get(unit, 0) for unit in units)
    # spot, tasks done of each unit, direction of the last step, steps ahead since the last step astern
    if from_deg is None:
        starts = [(at[unit]["peak"], begin, NONE, take_up) for unit in units]
    else:
        run = take_up if 3 in begin else 0
        starts = [(round(from_deg / grid) % steps, begin, NONE, run)]
    best = dict.fromkeys(starts, 0.0)
    heap = [(0.0, start) for start in starts]
    while heap:
        cost, state = heappop(heap)
        if best[state] < cost:
            continue
        spot, tasks, direction, run = state
        if all(task == 4 for task in tasks):
            return cost * grid
        following = []
        for k, task in enumerate(tasks):
            if task == 4 or task not in possible[spot][k]:
                continue
            if task == 0 and sum(0 < each < 4 for each in tasks) >= sets:
                continue
            standing_at_end = task == 3 and direction == NONE and from_deg is not None and run >= take_up
            if task >= 2 and not (direction == AHEAD and run >= take_up) and not standing_at_end:
                continue
            following.append((0.0, (spot, (*tasks[:k], task + 1, *tasks[k + 1 :]), direction, run)))
        turn = reversal if direction == ASTERN else 0.0
        following.append((1.0 + turn, ((spot + 1) % steps, tasks, AHEAD, min(run + 1, take_up))))
        if not ahead_only and 3 not in tasks:
            turn = reversal if direction == AHEAD else 0.0
            following.append((1.0 + turn, ((spot - 1) % steps, tasks, ASTERN, 0)))
        for more, after in following:
            total = cost + more
            if total < best.get(after, float("inf")):
                best[after] = total
                heappush(heap, (total, after))
    raise AssertionError("no plan at all")
