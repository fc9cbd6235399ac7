"""An unfinished or faulty job: as much of it as there is, is judged."""

import copy
from typing import Any

import pytest

from calc import assess
from calc.job.partial import usable_part
from calc.job.read import examine
from tests.invented import SPILL, SUCTION, Tree, both, contact, engine_job, entry


def whole() -> Tree:
    return engine_job(readings=[reading for unit in (1, 2, 3) for reading in both(unit)])


def usable(tree: Tree) -> Any:
    before = copy.deepcopy(tree)
    _, problems = examine(tree)
    assert problems
    job = usable_part(tree, problems)
    assert tree == before
    return job


def test_a_bad_reading_goes_and_the_others_stay() -> None:
    tree = whole()
    tree["readings"][0]["plunger_lift_mm"] = [-3]
    job = usable(tree)
    assert [(reading.unit, reading.event) for reading in job.readings] == [
        (1, SPILL),
        (2, SUCTION),
        (2, SPILL),
        (3, SUCTION),
        (3, SPILL),
    ]
    found = assess(job)
    assert entry(found, 1).beginning is None
    assert entry(found, 2).verdict == "within"


def test_a_unit_without_settings_goes_with_its_readings() -> None:
    tree = whole()
    del tree["reference"]["units"][1]
    job = usable(tree)
    assert [unit.unit for unit in job.reference.units] == [1, 3, 4, 5]
    assert {reading.unit for reading in job.readings} == {1, 3}


def test_a_bad_setting_takes_its_unit_out() -> None:
    tree = whole()
    tree["reference"]["units"][0]["end_deg"] = -60
    assert {reading.unit for reading in usable(tree).readings} == {2, 3}


@pytest.mark.parametrize(("key", "value"), [("speed_rpm", -1), ("valve_ratio_spill", "x"), ("rod_thread", 5)])
def test_a_bad_optional_value_is_left_out(key: str, value: object) -> None:
    tree = whole()
    tree["engine"][key] = value
    job = usable(tree)
    assert getattr(job.engine, key) is None
    assert len(job.readings) == 6


def test_half_a_table_is_no_table() -> None:
    tree = whole()
    tree["engine"]["cam_lift_table"] = [[0, 0], [1, 5], [2, "x"], [3, 9]]
    assert usable(tree).engine.cam_lift_table is None


def test_a_wrong_firing_order_changes_no_finding() -> None:
    tree = whole()
    tree["engine"]["firing_order"] = [1, 1, 1]
    assert len(usable(tree).readings) == 6


@pytest.mark.parametrize(
    "path", ["reference.angle_tolerance_deg", "engine.units", "instruments.pointer_u_deg", "reference.seat_contact_mm"]
)
def test_without_what_everything_rests_on_nothing_is_judged(path: str) -> None:
    tree = whole()
    group, key = path.split(".")
    del tree[group][key]
    assert usable(tree) is None


def test_a_second_reading_is_left_out() -> None:
    tree = whole()
    tree["readings"].append(contact(1, SUCTION, 1.0))
    job = usable(tree)
    assert len(job.readings) == 6
    assert entry(assess(job), 1).verdict == "within"


def test_many_faults_at_once() -> None:
    tree = whole()
    tree["readings"][5]["crank_angle_deg"] = ["x"]
    tree["reference"]["units"][0]["pre_stroke_mm"] = None
    tree["engine"]["cam_lift_table"] = 5
    tree["title"] = []
    job = usable(tree)
    assert [(reading.unit, reading.event) for reading in job.readings] == [(2, SUCTION), (2, SPILL), (3, SUCTION)]
    assert job.title is None
