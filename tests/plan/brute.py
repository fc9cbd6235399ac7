"""The cheapest cost by brute force: every move from spot to spot of the flywheel, every task a choice of its own.

Shares nothing with the planner but the rules. The spots are either all multiples of a grid, for small engines whose angles
all lie on it, or only the stations and where a move up to a start can begin, which is enough for engines of a few units more.
"""

from heapq import heappop, heappush
from typing import Any

from tests.plan.replay import stations

Tree = dict[str, Any]
NONE, AHEAD, ASTERN = 0, 1, -1
DIGITS = 7  # Angles are compared in degrees to so many decimals.


def cheapest(
    job: Tree,
    sets: int,
    *,
    ahead_only: bool = False,
    grid: float | None = None,
    from_deg: float | None = None,
    done: dict[int, int] | None = None,
) -> float:
    """The cost of the best plan [degrees].

    Parameters: grid [degrees], of which every angle is a multiple, or None for the stations alone; from_deg and done (how
    many of its four tasks each unit has behind it) for a job that goes on.
    """
    engine = job["engine"]
    take_up, reversal = engine.get("take_up_deg", 5.0), engine.get("reversal_deg", 20.0)
    at = {unit: {name: _wrapped(angle) for name, angle in places.items()} for unit, places in stations(job).items()}
    units = sorted(at)
    if grid is not None:
        spots = [_wrapped(grid * step) for step in range(round(360.0 / grid))]
    else:
        found = {angle for places in at.values() for angle in places.values()}
        found |= {_wrapped(places["closing"] - take_up) for places in at.values()}
        spots = sorted(found | ({_wrapped(from_deg)} if from_deg is not None else set()))
    count = len(spots)
    gaps = [round((spots[(k + 1) % count] - spots[k]) % 360.0, DIGITS) or 360.0 for k in range(count)]
    # Of each spot and unit: which tasks could be done there.
    possible: list[list[set[int]]] = []
    for spot in spots:
        row = []
        for unit in units:
            place = at[unit]
            on_base = _ahead(place["base_from"], spot) <= _ahead(place["base_from"], place["base_to"])
            named = (place["peak"] == spot, on_base, place["closing"] == spot, place["opening"] == spot)
            row.append({task for task, here in enumerate(named) if here})
        possible.append(row)
    begin = tuple((done or {}).get(unit, 0) for unit in units)
    # spot, tasks done of each unit, direction of the last move, degrees ahead since the last move astern
    if from_deg is None:
        starts = [(spots.index(at[unit]["peak"]), begin, NONE, take_up) for unit in units]
    else:
        starts = [(spots.index(_wrapped(from_deg)), begin, NONE, take_up if 3 in begin else 0.0)]
    best = dict.fromkeys(starts, 0.0)
    heap = [(0.0, start) for start in starts]
    while heap:
        cost, state = heappop(heap)
        if best[state] < cost:
            continue
        spot, tasks, direction, run = state
        if all(task == 4 for task in tasks):
            return cost
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
        turn = gaps[spot] + (reversal if direction == ASTERN else 0.0)
        run_after = min(round(run + gaps[spot], DIGITS), take_up)
        following.append((turn, ((spot + 1) % count, tasks, AHEAD, run_after)))
        if not ahead_only and 3 not in tasks:
            turn = gaps[spot - 1] + (reversal if direction == AHEAD else 0.0)
            following.append((turn, ((spot - 1) % count, tasks, ASTERN, 0.0)))
        for more, after in following:
            total = round(cost + more, DIGITS)
            if total < best.get(after, float("inf")):
                best[after] = total
                heappush(heap, (total, after))
    raise AssertionError("no plan at all")


def _wrapped(angle: float) -> float:
    return round(angle % 360.0, DIGITS) % 360.0


def _ahead(begin: float, end: float) -> float:
    return round((end - begin) % 360.0, DIGITS) % 360.0
