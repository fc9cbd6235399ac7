"""Replays a turning plan as people would carry it out and holds every step against the rules.

Written from the rules alone: it shares nothing with the planner, takes the job as its file spells it and the plan as its
file does, and measures in degrees.
"""

from collections.abc import Collection, Mapping
from itertools import pairwise
from typing import Any

Tree = dict[str, Any]
MET = 1e-6
ORDER = ["peak", "base", "closing", "opening"]


class BrokenRuleError(AssertionError):
    """The plan breaks a rule."""


def must(holds: bool, rule: str) -> None:
    if not holds:
        raise BrokenRuleError(rule)


def apart(one: float, other: float) -> float:
    """The distance between two angles on the circle."""
    return abs((one - other + 180.0) % 360.0 - 180.0)


def is_astern(job: Tree) -> bool:
    """Whether the job is for astern: crank angles are meant in astern rotation, and readings are reached turning astern."""
    return bool(job["reference"].get("rotation") == "astern")


def stations(job: Tree) -> dict[int, dict[str, float]]:
    """Flywheel angle of each station of each unit."""
    engine = job["engine"]
    count = engine["units"]
    if "tdc_deg" in engine:
        tdc = {unit: engine["tdc_deg"][unit - 1] - engine["tdc_deg"][0] for unit in range(1, count + 1)}
    else:
        order = list(engine["firing_order"])
        while order[0] != 1:
            order.append(order.pop(0))
        tdc = {unit: 360.0 * place / count for place, unit in enumerate(order)}
    after = -1.0 if is_astern(job) else 1.0
    return {
        entry["unit"]: {
            "peak": tdc[entry["unit"]] + after * engine["cam_peak_deg"],
            "base_from": tdc[entry["unit"]] + after * engine["base_circle_from_deg"],
            "base_to": tdc[entry["unit"]] + after * engine["base_circle_to_deg"],
            "closing": tdc[entry["unit"]] + after * entry["beginning_deg"],
            "opening": tdc[entry["unit"]] + after * entry["end_deg"],
        }
        for entry in job["reference"]["units"]
    }


def replay(
    job: Tree,
    plan: Tree,
    *,
    units: Collection[int] | None = None,
    from_deg: float | None = None,
    done: Mapping[int, str] | None = None,
) -> float:
    """Carry a plan out. Returns: what it costs [degrees]. Raises: BrokenRuleError."""
    engine = job["engine"]
    take_up, reversal = engine.get("take_up_deg", 5.0), engine.get("reversal_deg", 20.0)
    where = stations(job)
    forth, back = ("astern", "ahead") if is_astern(job) else ("ahead", "astern")
    next_task = {unit: 0 for unit in range(1, engine["units"] + 1) if units is None or unit in units}
    for unit, task in (done or {}).items():
        if unit in next_task:
            next_task[unit] = ORDER.index(task) + 1
    mounted: dict[int, int] = {}
    begun = [unit for unit, task in next_task.items() if 0 < task < 4]
    # An interruption leaves it open how the flywheel got there; only past a start nothing can have gone astern.
    run = 0.0 if from_deg is not None and not any(next_task[unit] == 3 for unit in begun) else float("inf")
    must(bool(plan["stops"]) or all(task == 4 for task in next_task.values()), "a plan has stops")
    flywheel = None
    directions = []
    turned, busy = 0.0, 0
    for number, stop in enumerate(plan["stops"]):
        angle, direction, turn = stop["flywheel_deg"], stop["direction"], stop["turn_deg"]
        must(0.0 <= angle < 360.0, f"stop {number}: flywheel angle {angle}")
        must(turn >= 0.0, f"stop {number}: a negative turn")
        if number == 0:
            must(direction == "start" and turn == 0.0, "the first stop is where it begins")
            must(from_deg is not None or bool(stop["tasks"]), "the first stop has a task")
            must(from_deg is None or apart(angle, from_deg) <= MET, "it goes on from where the flywheel stands")
        else:
            must(direction in ("ahead", "astern"), f"stop {number}: direction {direction}")
            must(turn > 0.0, f"stop {number}: no turn")
            sign = 1.0 if direction == "ahead" else -1.0
            assert flywheel is not None
            must(apart(flywheel + sign * turn, angle) <= MET, f"stop {number}: {turn} {direction} does not lead to {angle}")
            if direction == back:
                must(not plan["ahead_only"], f"stop {number}: {back} though {forth} only")
                must(3 not in next_task.values(), f"stop {number}: {back} between a start and an end")
                run = 0.0
            else:
                run += turn
            directions.append(direction)
        flywheel, turned, busy = angle, turned + turn, busy + bool(stop["tasks"])
        for task in stop["tasks"]:
            unit, name, gauge_set = task["unit"], task["task"], task["set"]
            label = f"stop {number}: unit {unit}, {name}"
            must(unit in next_task, f"{label}: not to be done")
            must(next_task[unit] < 4 and ORDER[next_task[unit]] == name, f"{label}: out of order")
            must(1 <= gauge_set <= plan["sets"], f"{label}: set {gauge_set}")
            if name == "peak":
                must(gauge_set not in mounted.values(), f"{label}: set {gauge_set} is not free")
                mounted[unit] = gauge_set
            elif unit in begun and unit not in mounted:
                must(gauge_set not in mounted.values(), f"{label}: set {gauge_set} is on another unit")
                mounted[unit] = gauge_set
            must(mounted[unit] == gauge_set, f"{label}: another set is mounted")
            if name == "base":
                first, last = ("base_to", "base_from") if is_astern(job) else ("base_from", "base_to")
                size = (where[unit][last] - where[unit][first]) % 360.0
                into = (angle - where[unit][first] + MET) % 360.0
                must(into <= size + 2.0 * MET, f"{label}: not on the base circle")
            else:
                must(apart(angle, where[unit][name]) <= MET, f"{label}: {angle} is not {where[unit][name]}")
            if name in ("closing", "opening"):
                must(run >= take_up - MET, f"{label}: only {run} {forth} behind it")
                standing = from_deg is not None and number == 0
                must(direction == forth or (standing and name == "opening"), f"{label}: not reached {forth}")
            if name == "opening":
                del mounted[unit]
            next_task[unit] += 1
        # Begun units hold their sets from the beginning.
        held = len({unit for unit in begun if 0 < next_task[unit] < 4} | set(mounted))
        must(held <= plan["sets"], f"stop {number}: {held} sets in use")
    must(all(task == 4 for task in next_task.values()), f"left over: {[u for u, task in next_task.items() if task != 4]}")
    changes = sum(one != other for one, other in pairwise(directions))
    cost = float(turned + reversal * changes)
    must(abs(turned - plan["turned_deg"]) <= MET, f"turned {turned}, told {plan['turned_deg']}")
    must(changes == plan["reversals"], f"{changes} reversals, told {plan['reversals']}")
    must(abs(cost - plan["cost_deg"]) <= MET, f"costs {cost}, told {plan['cost_deg']}")
    must(plan["lower_bound_deg"] <= plan["cost_deg"], "the bound lies above the cost")
    must(not plan["optimal"] or plan["lower_bound_deg"] == plan["cost_deg"], "optimal, but the bound lies below")
    if engine.get("turning_deg_per_min"):
        minutes = turned / engine["turning_deg_per_min"] + engine.get("minutes_per_stop", 0.0) * busy
        must(abs(minutes - plan["minutes"]) <= 1e-6, f"{minutes} min, told {plan['minutes']}")
    else:
        must(plan["minutes"] is None, "minutes without a turning speed")
    return cost
