"""Every job that can be read can be judged: findings that hold together, whatever the numbers."""

import json
import math
from collections.abc import Callable
from functools import partial
from typing import Any

import pytest
from hypothesis import given, settings
from jsonschema import Draft202012Validator

from calc import assess
from calc.findings import CAUSES, NOTICES, Findings
from calc.job.parse import parse
from calc.job.read import examine
from calc.job.schema import schema_of
from tests.invented import SPILL, SUCTION, Tree, absent, at_lift, clearance, contact, engine_job, judged, opening
from tests.job.trees import job_trees, random_tree
from tests.soon import done_soon

SCHEMA = schema_of(Findings, "findings", result=True)
VALIDATOR = Draft202012Validator(SCHEMA)


def numbers(tree: Any) -> list[float]:
    if isinstance(tree, dict):
        return [number for each in tree.values() for number in numbers(each)]
    if isinstance(tree, list):
        return [number for each in tree for number in numbers(each)]
    return [tree] if isinstance(tree, (int, float)) and not isinstance(tree, bool) else []


def test_the_schema_of_findings_is_a_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA)


@settings(max_examples=120)
@given(job_trees(max_units=6))
def test_any_job_has_findings(tree: Tree) -> None:
    """Plain finite values that fit their schema, known codes, one entry a unit and stage that has a reading."""
    found = judged(tree)
    plain = found.to_json()
    assert json.loads(json.dumps(plain, allow_nan=False)) == plain
    assert [error.message for error in VALIDATOR.iter_errors(plain)] == []
    assert all(map(math.isfinite, numbers(plain)))
    read = {(each["unit"], each["stage"]) for each in tree.get("readings", [])}
    order = [(each.unit, each.stage) for each in found.units]
    assert order == sorted(read, key=lambda key: (key[0], key[1] == "as_left"))
    assert {notice.code for notice in found.notices} <= NOTICES.keys()
    assert {each.code for unit in found.units for each in (*unit.causes, *unit.hints)} <= CAUSES.keys()


@settings(max_examples=120)
@given(job_trees(max_units=6))
def test_the_parts_of_a_finding_agree(tree: Tree) -> None:
    found = judged(tree)
    worst_first = ["outside", "unclear", "incomplete", "within"]
    for unit in found.units:
        parts = [each.verdict if each else "incomplete" for each in (unit.beginning, unit.end)]
        parts += [each.verdict for each in (unit.cut_out, unit.lift_off) if each is not None and each.verdict is not None]
        assert unit.verdict == min(parts, key=worst_first.index)
        whole = unit.beginning is not None and unit.end is not None
        assert (unit.effective_stroke_mm is not None) is (unit.delivery_angle_deg is not None) is whole
        assert (unit.quantity is not None) is whole
        assert (unit.after_correction is not None) is bool(unit.corrections)
        codes = [each.code for each in unit.causes]
        if "readings_disagree" in codes:
            assert codes == ["readings_disagree"]
            assert unit.corrections == ()
            assert absent(unit.cam_part_deg, unit.own_cam_part_deg)
        # A cause is named or hinted at, not both; and each once.
        assert not set(codes) & {each.code for each in unit.hints} - {"common_setting"}
        assert len({(each.code, each.event) for each in unit.causes}) == len(codes)
        for event in (unit.beginning, unit.end):
            if event is not None:
                assert 0.0 <= event.probability_within <= 1.0
                assert event.expanded_deg >= 1.9 * event.u_deg
                assert (event.settle is not None) is (event.verdict == "unclear")
                assert not (event.verdict == "outside" and event.as_read == "within")


@given(job_trees(max_units=3))
def test_every_empty_part_has_a_notice(tree: Tree) -> None:
    """A part that cannot be computed is null, and a notice says why."""
    found = judged(tree)
    codes = {notice.code for notice in found.notices}
    for unit in found.units:
        for event in (unit.beginning, unit.end):
            if event is None:
                assert codes & {"not_read", "valve_on_seat", "astern_reading", "ahead_reading"}
        if unit.cut_out is not None and unit.cut_out.verdict is None:
            assert any(each.where == "reference.zero_index_opening_min_mm" for each in found.notices)
        if unit.cut_out is not None and unit.cut_out.zero_delivery_index is None:
            assert "no_zero_index" in codes
        if unit.lift_off is not None and unit.lift_off.verdict is None:
            assert any(each.where == "reference.lift_off_clearance_min_mm" for each in found.notices)
        if unit.quantity is not None:
            for value, path in (
                (unit.quantity.cm3_per_cycle, "engine.plunger_diameter_mm"),
                (unit.quantity.injection_ms, "engine.speed_rpm"),
            ):
                assert value is not None or any(each.where == path for each in found.notices)
            if unit.quantity.g_per_cycle is None:
                assert any(each.where.startswith(("fuel.", "engine.plunger_diameter_mm")) for each in found.notices)
            if unit.quantity.imbalance_percent is None:
                assert "imbalance_needs_two" in codes or unit.effective_stroke_mm is not None
        if any(getattr(each, "flats", 0.0) is None for each in unit.corrections):
            assert any(each.where == "engine.rod_pitch_mm" for each in found.notices)


TINY = [1e-100, 1e-160, 1e-300, 5e-324]
EXTREMES: dict[str, Callable[[Tree, float], object]] = {
    "suction ratio": lambda tree, tiny: tree["engine"].update(valve_ratio_suction=tiny),
    "spill ratio": lambda tree, tiny: tree["engine"].update(valve_ratio_spill=tiny),
    "pitch": lambda tree, tiny: tree["engine"].update(rod_pitch_mm=tiny),
    "speed": lambda tree, tiny: tree["engine"].update(speed_rpm=tiny),
    "plunger": lambda tree, tiny: tree["engine"].update(plunger_diameter_mm=tiny),
    "tolerance": lambda tree, tiny: tree["reference"].update(angle_tolerance_deg=tiny),
    "index": lambda tree, tiny: tree["reference"].update(fuel_index=tiny, fuel_index_u=1000),
    "instruments": lambda tree, tiny: tree.update(instruments=perfect_instruments(tiny)),
    "stroke": lambda tree, tiny: [each.update(pre_stroke_mm=0, spill_lift_mm=tiny) for each in tree["reference"]["units"]],
    "table": lambda tree, tiny: tree["engine"].update(cam_lift_table=[[-30, 0], [-29, tiny], [0, 20], [10, 60]]),
    "clearance": lambda tree, tiny: tree["readings"].append(clearance(4, [1.0 / max(tiny, 1e-308)] * 2)),
    "hours": lambda tree, tiny: tree.update(running_hours=1.0 / max(tiny, 1e-308)),
}


def perfect_instruments(tiny: float) -> Tree:
    gauge = {"step_mm": tiny, "error_limit_mm": 0, "repeatability_mm": 0}
    return {"plunger_gauge": gauge, "valve_gauge": gauge, "angle_scale": {"step_deg": tiny}, "pointer_u_deg": 0}


@pytest.mark.parametrize("repeats", [[0.125, 0.125], [0.125, 0.25]], ids=["equal repeats", "scatter"])
@pytest.mark.parametrize("tiny", TINY)
@pytest.mark.parametrize("spoil", list(EXTREMES.values()), ids=list(EXTREMES))
def test_extreme_numbers_are_refused_or_stay_numbers(
    spoil: Callable[[Tree, float], object], tiny: float, repeats: list[float]
) -> None:
    """Numbers that no engine has, though each is in its range: a message, or findings that JSON can carry."""
    readings = [
        reading
        for unit in (1, 2, 3)
        for reading in (contact(unit, SUCTION, repeats, repeats), at_lift(unit, SPILL, repeats, repeats), opening(unit, 1.75))
    ]
    tree = engine_job(readings=readings)
    spoil(tree, tiny)
    job, problems = examine(parse(json.dumps(tree)))
    assert all(problem.where for problem in problems)
    if not problems:
        json.dumps(assess(job).to_json(), allow_nan=False)


def test_a_large_valid_job_is_judged_soon() -> None:
    """Close to 1 MB of readings, and of keys that nobody knows."""
    many = random_tree(3, max_units=24)
    full = engine_job(
        units=24,
        readings=[
            contact(unit, event, [0.25] * 600, [0.5] * 600, stage)
            for unit in range(1, 25)
            for stage in ("as_found", "as_left")
            for event in (SUCTION, SPILL)
        ],
    )
    strange = {**many, **{f"k{i}": i for i in range(50_000)}}
    for tree in (full, strange):
        assert done_soon(partial(judged, tree)).to_json()
