"""The replay itself: a plan that breaks any rule is refused, so that a plan that passes means something."""

import copy
from collections.abc import Callable
from functools import cache

import pytest

from tests.invented import Tree
from tests.plan.engines import engine, planned
from tests.plan.replay import BrokenRuleError, replay

ENGINE = engine(4)


@cache
def good() -> Tree:
    return planned(ENGINE, 2).to_json()


def stop_with(plan: Tree, task: str, number: int = 0) -> Tree:
    found: list[Tree] = [stop for stop in plan["stops"] if any(each["task"] == task for each in stop["tasks"])]
    return found[number]


def moved(task: str) -> Callable[[Tree], None]:
    """A stop 1° further on, and the next turn so much shorter: all adds up but the station is missed."""

    def change(plan: Tree) -> None:
        stop = stop_with(plan, task, 1)
        after = plan["stops"][plan["stops"].index(stop) + 1]
        sign = 1.0 if stop["direction"] == "ahead" else -1.0
        stop["flywheel_deg"] = (stop["flywheel_deg"] + sign) % 360.0
        stop["turn_deg"] += 1.0
        after["turn_deg"] += -1.0 if after["direction"] == stop["direction"] else 1.0

    return change


def dropped(task: str) -> Callable[[Tree], None]:
    def change(plan: Tree) -> None:
        stop = stop_with(plan, task)
        stop["tasks"] = [each for each in stop["tasks"] if each["task"] != task]

    return change


def put(key: str, value: object) -> Callable[[Tree], None]:
    return lambda plan: plan.update({key: value})


def other_set(plan: Tree) -> None:
    stop_with(plan, "closing")["tasks"][0]["set"] = 1 + stop_with(plan, "closing")["tasks"][0]["set"] % 2


def twice_mounted(plan: Tree) -> None:
    for stop in plan["stops"]:
        for task in stop["tasks"]:
            task["set"] = 1


def read_astern(plan: Tree) -> None:
    stop = stop_with(plan, "opening")
    stop["direction"], stop["turn_deg"] = "astern", 360.0 - stop["turn_deg"]


BROKEN: dict[str, Callable[[Tree], None]] = {
    "a peak is missed": moved("peak"),
    "a start is missed": moved("closing"),
    "an end is missed": moved("opening"),
    "no peak": dropped("peak"),
    "no base visit": dropped("base"),
    "no start": dropped("closing"),
    "no end": dropped("opening"),
    "another set": other_set,
    "one set on two units": twice_mounted,
    "an end reached astern": read_astern,
    "a set too many": put("sets", 1),
    "astern though ahead only": put("ahead_only", True),
    "another cost": put("cost_deg", 700.0),
    "other degrees": put("turned_deg", 600.0),
    "other reversals": put("reversals", 0),
    "other minutes": put("minutes", 1.0),
    "a bound above the cost": put("lower_bound_deg", 1e6),
    "optimal with a gap": put("lower_bound_deg", 1.0),
    "no stops": put("stops", []),
}


def test_the_good_plan_passes() -> None:
    assert replay(ENGINE, good()) == pytest.approx(good()["cost_deg"])


def test_a_plan_for_the_other_direction_is_refused() -> None:
    astern = {**ENGINE, "reference": {**ENGINE["reference"], "rotation": "astern"}}
    with pytest.raises(BrokenRuleError):
        replay(astern, good())
    with pytest.raises(BrokenRuleError):
        replay(ENGINE, planned(astern, 2).to_json())


@pytest.mark.parametrize("name", list(BROKEN))
def test_a_broken_plan_is_refused(name: str) -> None:
    plan = copy.deepcopy(good())
    BROKEN[name](plan)
    with pytest.raises(BrokenRuleError):
        replay(ENGINE, plan)


@pytest.mark.parametrize("name", ["take_up_deg", "minutes_per_stop", "turning_deg_per_min", "reversal_deg"])
def test_a_plan_for_another_engine_is_refused(name: str) -> None:
    other = copy.deepcopy(ENGINE)
    other["engine"][name] += 3.0
    with pytest.raises(BrokenRuleError):
        replay(other, good())
