"""Turning plans: each is replayed by the rules, small ones are compared with brute force, and what must hold for all does."""

import json
import random
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.plan.turning.timetable import Plan
from tests.invented import Tree
from tests.plan.brute import cheapest
from tests.plan.engines import any_engine, engine, planned
from tests.plan.replay import ORDER, replay

COSTS = json.loads((Path(__file__).parent.parent / "data" / "turning-costs.json").read_text("utf-8"))["costs"]


def proven(tree: Tree, sets: int, **wanted: Any) -> float:
    """The cost of a plan that is proven to be the best, and replayed."""
    plan = planned(tree, sets, **wanted)
    assert plan.optimal
    told = {key: wanted[key] for key in ("units", "from_deg", "done") if key in wanted}
    return replay(tree, json.loads(json.dumps(plan.to_json())), **told)


@pytest.mark.parametrize("case", COSTS, ids=str)
def test_costs_known_from_elsewhere(case: dict[str, Any]) -> None:
    tree = engine(case["units"])
    assert proven(tree, case["sets"], ahead_only=case["ahead_only"]) == pytest.approx(case["cost_deg"], abs=1e-9)


@pytest.mark.parametrize(
    ("units", "sets", "ahead_only", "cost"),
    [(12, 1, False, 2065.0), (12, 2, False, 1526.0), (12, 3, False, 1326.0), (12, 3, True, 1750.0), (12, 1, True, 4630.0)],
)
def test_twelve_units_cost_about_what_is_known_from_elsewhere(units: int, sets: int, ahead_only: bool, cost: float) -> None:
    """The known costs are those of engines whose units differ by up to 0.6°; these units are alike."""
    plan = planned(engine(units), sets, ahead_only=ahead_only)
    assert replay(engine(units), plan.to_json()) == pytest.approx(cost, abs=6.0)


def test_one_after_another_costs_about_what_is_known_from_elsewhere() -> None:
    for units, ahead_only, cost in ((6, False, 1364.0), (6, True, 2440.0), (12, False, 2498.0), (12, True, 4630.0)):
        alone = planned(engine(units), 2, ahead_only=ahead_only, until="bounding").one_by_one
        assert alone is not None
        assert alone.cost_deg == pytest.approx(cost, abs=6.0)


@pytest.mark.parametrize("seed", range(120))
def test_small_engines_against_brute_force(seed: int) -> None:
    """Uneven TDCs, cams of any shape, take-ups of up to 40°, any reversal: every step of 5° is a choice there."""
    chance = random.Random(seed)
    units, sets = chance.choice([1, 2, 2, 3]), chance.randint(1, 3)
    ahead_only = chance.random() < 0.25
    tree = any_engine(seed, units, 5.0)
    least = cheapest(tree, sets, ahead_only=ahead_only, grid=5.0)
    assert proven(tree, sets, ahead_only=ahead_only) == pytest.approx(least, abs=1e-6)


@pytest.mark.parametrize(("units", "sets"), [(3, 1), (4, 2), (4, 3), (5, 1), (5, 2), (5, 4), (6, 2), (6, 3)])
@pytest.mark.parametrize("alike", [True, False])
def test_larger_engines_against_every_order_of_stations(units: int, sets: int, alike: bool) -> None:
    """Angles of any number of digits; only the stations, and where a move up to a start can begin, are spots there."""
    seed = 10 * units + sets
    tdc = None if alike else sorted(random.Random(seed).uniform(0.0, 359.0) for _ in range(units))
    tree = engine(units, spread=0.6, seed=seed, tdc=tdc)
    assert proven(tree, sets) == pytest.approx(cheapest(tree, sets), abs=1e-5)


def interrupted(seed: int) -> tuple[Tree, int, bool, float, dict[int, int]]:
    """A job that somebody stopped somewhere: engine, sets, ahead only, flywheel, how many tasks of each unit are done."""
    chance = random.Random(seed)
    units, sets = chance.choice([2, 2, 3]), chance.randint(1, 3)
    done: dict[int, int] = {}
    for unit in range(1, units + 1):
        tasks = chance.choice([0, 0, 1, 2, 3, 4])
        held = sum(0 < each < 4 for each in done.values())
        if 0 < tasks < 4 and (held == sets or (tasks == 3 and 3 in done.values())):
            tasks = 0
        done[unit] = tasks
    if all(tasks == 4 for tasks in done.values()):
        done[1] = 0
    return any_engine(seed, units, 5.0), sets, chance.random() < 0.25, 5.0 * chance.randrange(72), done


@pytest.mark.parametrize("seed", range(200))
def test_going_on_after_an_interruption_against_brute_force(seed: int) -> None:
    tree, sets, ahead_only, from_deg, done = interrupted(seed)
    names = {unit: ORDER[tasks - 1] for unit, tasks in done.items() if tasks}
    cost = proven(tree, sets, ahead_only=ahead_only, from_deg=from_deg, done=names)
    assert cost == pytest.approx(cheapest(tree, sets, ahead_only=ahead_only, grid=5.0, from_deg=from_deg, done=done), abs=1e-6)


def other_way_round(tree: Tree) -> Tree:
    """The same engine in a job for astern: crank angles stay, meant in astern rotation now; the TDCs lie mirrored."""
    count = tree["engine"]["units"]
    tdc = tree["engine"].get("tdc_deg", [360.0 * unit / count for unit in range(count)])
    return {
        **tree,
        "engine": {**tree["engine"], "tdc_deg": [-angle % 360.0 for angle in tdc]},
        "reference": {**tree["reference"], "rotation": "astern"},
    }


@pytest.mark.parametrize("seed", range(30))
def test_a_job_for_astern_is_the_plan_for_ahead_in_a_mirror(seed: int) -> None:
    """It keeps the rules for astern and costs what the mirrored engine costs, from anywhere and after an interruption."""
    tree, sets, ahead_only, from_deg, done = interrupted(seed)
    astern = other_way_round(tree)
    assert proven(astern, sets, ahead_only=ahead_only) == pytest.approx(proven(tree, sets, ahead_only=ahead_only), abs=1e-6)
    names = {unit: ORDER[tasks - 1] for unit, tasks in done.items() if tasks}
    cost = proven(tree, sets, ahead_only=ahead_only, from_deg=from_deg, done=names)
    plan = planned(astern, sets, ahead_only=ahead_only, from_deg=-from_deg, done=names)
    assert replay(astern, plan.to_json(), from_deg=-from_deg, done=names) == pytest.approx(cost, abs=1e-6)
    assert plan.to_json()["rotation"] == "astern"


def test_a_job_for_astern_turns_firing_order_and_even_intervals_round() -> None:
    """Firing order and even intervals are those for ahead; unit after unit goes in the order in which they fire astern."""
    tree = engine(3, spread=0.6, seed=1)
    mirror = {**tree, "engine": {**tree["engine"], "firing_order": [1, 3, 2]}}
    astern = {**tree, "reference": {**tree["reference"], "rotation": "astern"}}
    plan, same = planned(astern, 2), planned(mirror, 2)
    assert replay(astern, plan.to_json()) == pytest.approx(same.cost_deg)
    assert plan.one_by_one == same.one_by_one
    other = {"ahead": "astern", "astern": "ahead"}
    assert [stop.direction for stop in plan.stops[1:]] == [other[stop.direction] for stop in same.stops[1:]]


def drawn(seed: int, most: int = 5) -> tuple[Tree, int, random.Random]:
    chance = random.Random(seed)
    units = chance.randint(1, most)
    tree = engine(units, spread=0.6, seed=seed) if chance.random() < 0.5 else any_engine(seed, units)
    return tree, chance.randint(1, 3), chance


@given(st.integers(0, 2**32))
def test_more_sets_never_cost_more_and_ahead_only_is_never_cheaper(seed: int) -> None:
    tree, _, _ = drawn(seed, 4)
    costs = {ahead_only: [proven(tree, sets, ahead_only=ahead_only) for sets in (1, 2, 3)] for ahead_only in (False, True)}
    for both, ahead in zip(*costs.values(), strict=True):
        assert both <= ahead + 1e-6
    for column in costs.values():
        assert column == sorted(column, reverse=True) or max(later - earlier for earlier, later in pairwise(column)) < 1e-6


@given(st.integers(0, 2**32))
def test_where_the_scale_begins_does_not_matter(seed: int) -> None:
    """All TDCs turned by an angle: only differences to unit 1 count."""
    tree, sets, chance = drawn(seed)
    count = tree["engine"]["units"]
    tree["engine"].setdefault("tdc_deg", [360.0 * unit / count for unit in range(count)])
    cost = proven(tree, sets)
    shift = chance.randrange(360)
    tree["engine"]["tdc_deg"] = [(angle + shift) % 360.0 for angle in tree["engine"]["tdc_deg"]]
    assert proven(tree, sets) == pytest.approx(cost, abs=1e-5)


@given(st.integers(0, 2**32))
def test_all_crank_angles_turned_by_one_angle_cost_the_same(seed: int) -> None:
    """Another zero on every unit: the same cams, turned. Kept where no angle leaves -180 to 180 with its order lost."""
    tree, sets, chance = drawn(seed)
    cost = proven(tree, sets)
    entries = tree["reference"]["units"]
    room = 180.0 - max(max(entry["end_deg"] for entry in entries), -min(entry["beginning_deg"] for entry in entries))
    shift = chance.randint(-int(room), int(room))
    for key in ("cam_peak_deg", "base_circle_from_deg", "base_circle_to_deg"):
        tree["engine"][key] = (tree["engine"][key] + shift + 180.0) % 360.0 - 180.0
    for entry in entries:
        entry["beginning_deg"] += shift
        entry["end_deg"] += shift
    assert proven(tree, sets) == pytest.approx(cost, abs=1e-5)


@given(st.integers(0, 2**32))
def test_the_numbers_of_the_units_do_not_matter(seed: int) -> None:
    tree, sets, chance = drawn(seed)
    count = tree["engine"]["units"]
    tdc = tree["engine"].setdefault("tdc_deg", [360.0 * unit / count for unit in range(count)])
    cost = proven(tree, sets)
    order = chance.sample(range(count), count)
    entries = tree["reference"]["units"]
    tree["engine"]["tdc_deg"] = [tdc[old] for old in order]
    tree["reference"]["units"] = [{**entries[old], "unit": new + 1} for new, old in enumerate(order)]
    assert proven(tree, sets) == pytest.approx(cost, abs=1e-5)


@given(st.integers(0, 2**32))
def test_fewer_units_never_cost_more(seed: int) -> None:
    tree, sets, chance = drawn(seed)
    count = tree["engine"]["units"]
    some = chance.sample(range(1, count + 1), chance.randint(1, count))
    assert proven(tree, sets, units=some) <= proven(tree, sets) + 1e-6


@given(st.integers(0, 2**32))
def test_a_plan_is_no_dearer_than_one_unit_after_another(seed: int) -> None:
    tree, sets, _ = drawn(seed)
    plan = planned(tree, sets)
    assert plan.one_by_one is not None
    assert plan.cost_deg <= plan.one_by_one.cost_deg + 1e-6


@given(st.integers(0, 2**32))
def test_going_on_from_any_stop_costs_no_more_than_the_rest_of_the_plan(seed: int) -> None:
    """Stop somewhere, plan again: the rest of the old plan can still be carried out, but for a take-up lost by stopping."""
    tree, sets, chance = drawn(seed)
    plan = planned(tree, sets)
    if len(plan.stops) < 2:
        return
    at = chance.randrange(len(plan.stops) - 1)
    done = {task.unit: task.task for stop in plan.stops[: at + 1] for task in stop.tasks}
    going_on = planned(tree, sets, from_deg=plan.stops[at].flywheel_deg, done=done)
    rest = replay(tree, going_on.to_json(), from_deg=plan.stops[at].flywheel_deg, done=done)
    before = sum(stop.turn_deg for stop in plan.stops[: at + 1])
    # Nobody knows how the flywheel came here: at worst it turns back to take up the play, and ahead again.
    lost = 2.0 * (tree["engine"]["take_up_deg"] + 360.0) + 2.0 * tree["engine"]["reversal_deg"]
    assert rest <= plan.cost_deg - before + lost
    assert going_on.optimal


@pytest.mark.parametrize(("units", "sets"), [(10, 2), (12, 3), (14, 4), (24, 2)])
@pytest.mark.parametrize("ahead_only", [False, True])
def test_large_engines_get_a_plan_that_keeps_the_rules_and_a_bound(units: int, sets: int, ahead_only: bool) -> None:
    tree = engine(units, spread=0.6, seed=units + sets)
    plan = planned(tree, sets, ahead_only=ahead_only, until="bounding")
    cost = replay(tree, plan.to_json())
    assert plan.lower_bound_deg <= cost


@pytest.mark.parametrize("units", range(3, 15))
@pytest.mark.parametrize("sets", range(1, 5))
def test_every_size_of_engine_gets_plans_that_keep_the_rules(units: int, sets: int) -> None:
    """Both ways and ahead only; all units, some of them, and what is left after an interruption."""
    tree = engine(units, spread=0.6, seed=100 * units + sets)
    some = sorted(random.Random(units).sample(range(1, units + 1), units - 1))
    for ahead_only in (False, True):
        for wanted in (None, some):
            plan = planned(tree, sets, ahead_only=ahead_only, units=wanted, until="bounding")
            replay(tree, plan.to_json(), units=wanted)
        half = plan.stops[: len(plan.stops) // 2]
        done = {task.unit: task.task for stop in half for task in stop.tasks}
        from_deg = half[-1].flywheel_deg
        rest = planned(tree, sets, ahead_only=ahead_only, units=some, from_deg=from_deg, done=done, until="bounding")
        replay(tree, rest.to_json(), units=some, from_deg=from_deg, done=done)


def test_the_same_job_gives_the_same_plan() -> None:
    tree = engine(6, spread=0.6, seed=4)
    assert planned(tree, 2) == planned(tree, 2)


def test_more_sets_than_units() -> None:
    tree = engine(3)
    assert proven(tree, 3) == proven(tree, 9)


def test_without_play_a_reading_is_still_reached_ahead() -> None:
    """With nothing to take up, the cheapest way would turn at the start itself, and reach it astern."""
    tree = engine(3, take_up_deg=0.0, base=(100.0, -5.0))
    plan = planned(tree, 1)
    replay(tree, plan.to_json())
    tree["engine"]["take_up_deg"] = 0.001
    assert plan.cost_deg == pytest.approx(planned(tree, 1).cost_deg, abs=0.02)


def test_a_reversal_or_a_take_up_beyond_all_reason_means_ahead_only() -> None:
    tree = engine(4)
    ahead = planned(tree, 2, ahead_only=True).cost_deg
    for key in ("reversal_deg", "take_up_deg"):
        for huge in (1e5, 1e300):
            changed = engine(4)
            changed["engine"][key] = huge
            plan = planned(changed, 2)
            assert plan.reversals == 0
            assert replay(changed, plan.to_json()) == pytest.approx(ahead, abs=1e-6)


def test_going_on_takes_up_the_play_first_however_much() -> None:
    """Nobody knows how the flywheel came to where it stands, so a take-up of turns costs turns."""
    tree = engine(2, take_up_deg=1000.0)
    plan = planned(tree, 1, ahead_only=True, from_deg=320.0, done={1: "base", 2: "opening"})
    assert replay(tree, plan.to_json(), from_deg=320.0, done={1: "base", 2: "opening"}) == pytest.approx(1130.4, abs=1e-6)


def tasks(plan: Plan, name: str) -> list[tuple[float, int]]:
    return [(stop.flywheel_deg, task.unit) for stop in plan.stops for task in stop.tasks if task.task == name]


def test_base_visits_are_made_at_stops_that_are_made_anyway_or_well_inside() -> None:
    """Both ways, the turning points lie inside the base circle of all but the last unit; no stop is for zeroing alone."""
    plan = planned(engine(6), 3)
    for stop in plan.stops:
        if {task.task for task in stop.tasks} == {"base"}:
            position = plan.stops.index(stop)
            assert stop.direction == "astern"
            assert plan.stops[position + 1].direction == "ahead"
    # Ahead only, with one set, no other stop lies on the base circle: the visit is put well inside it.
    for angle, unit in tasks(planned(engine(1), 1, ahead_only=True), "base"):
        assert unit == 1
        assert 102.0 <= angle <= 316.0


def test_a_set_goes_to_the_nearest_unit_and_is_free_from_the_end_on() -> None:
    plan = planned(engine(6), 3)
    assert {task.set for stop in plan.stops for task in stop.tasks} == {1, 2, 3}
    assert planned(engine(6), 1).stops[0].tasks[0].set == 1


def test_what_it_rests_on_is_told() -> None:
    tree = engine(2)
    for key in ("take_up_deg", "reversal_deg", "minutes_per_stop"):
        del tree["engine"][key]
    plan = planned(tree, 1)
    told = {notice.where: notice for notice in plan.notices}
    assert list(told) == ["engine.tdc_deg", "engine.take_up_deg", "engine.reversal_deg", "engine.minutes_per_stop"]
    assert {notice.code for notice in plan.notices} == {"fallback"}
    assert "5° is used" in told["engine.take_up_deg"].text
    assert plan.minutes == pytest.approx(plan.turned_deg / 36.0)


@pytest.mark.parametrize("speed", [None, 0.0])
def test_without_a_turning_speed_there_are_no_minutes(speed: float | None) -> None:
    tree = engine(2)
    del tree["engine"]["turning_deg_per_min"]
    if speed is not None:
        tree["engine"]["turning_deg_per_min"] = speed
    plan = planned(tree, 1)
    assert plan.minutes is None
    assert plan.one_by_one is not None
    assert plan.one_by_one.minutes is None
    assert [(notice.code, notice.where) for notice in plan.notices][-1] == ("missing", "engine.turning_deg_per_min")
    replay(tree, plan.to_json())


def test_nothing_left_to_do() -> None:
    tree = engine(2)
    plan = planned(tree, 1, from_deg=10.0, done={1: "opening", 2: "opening"})
    assert (plan.stops, plan.cost_deg, plan.optimal, plan.units) == ((), 0.0, True, ())
    assert planned(tree, 1, done={1: "opening", 2: "opening"}).stops == ()
