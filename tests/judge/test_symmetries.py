"""What must not matter, and what must only change its sign: unit numbers, the order of readings, early and late."""

import copy
import math
import random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.job.describe import RECORD, RECORDS, fields_of
from tests.invented import (
    RATIO,
    SLOPE,
    SPILL,
    SUCTION,
    Tree,
    at_lift,
    clearance,
    contact,
    engine_job,
    judged,
    opening,
    with_table,
)
from tests.job.trees import job_trees

# Eighths and sixteenths are exact in binary, so that mirrored sums are mirrored to the last bit.
LIFT_STEPS = st.integers(-16, 16).map(lambda number: number / 16)
ANGLE_STEPS = st.integers(-16, 16).map(lambda number: number / 16)


def plain(findings: Any) -> Tree:
    tree: Tree = findings.to_json()
    for key in ("job", "program", "notices", "summary"):
        tree.pop(key)
    return tree


def assert_same(found: Any, expected: Any, at: str = "") -> None:
    """Equal in structure and words of code, numbers to their rounding; the words for people may name a unit."""
    if isinstance(expected, dict):
        assert found.keys() == expected.keys(), at
        for key, value in expected.items():
            if key not in ("text", "settle", "unit"):
                assert_same(found[key], value, f"{at}.{key}")
    elif isinstance(expected, list):
        assert len(found) == len(expected), at
        for i, (one, other) in enumerate(zip(found, expected, strict=True)):
            assert_same(one, other, f"{at}[{i}]")
    elif isinstance(expected, float) and isinstance(found, float):
        assert found == pytest.approx(expected, rel=1e-9, abs=1e-12), at
    else:
        assert found == expected, at


def by_unit(tree: Tree) -> dict[tuple[int, str], Tree]:
    return {(each["unit"], each["stage"]): each for each in tree["units"]}


# ---------------------------------------------------------------- numbers and order


def renumbered(tree: Tree, new: dict[int, int]) -> Tree:
    tree = copy.deepcopy(tree)
    engine = tree["engine"]
    engine["firing_order"] = [new[unit] for unit in engine["firing_order"]]
    if "tdc_deg" in engine:
        old = engine["tdc_deg"]
        engine["tdc_deg"] = [old[{number: unit for unit, number in new.items()}[number] - 1] for number in sorted(new)]
    around = [*tree.get("cam_surveys", []), *tree.get("index_readings", [])]
    for each in [*tree["reference"]["units"], *tree.get("readings", []), *around]:
        each["unit"] = new[each["unit"]]
    return tree


@given(job_trees(max_units=5), st.integers(0, 2**32))
def test_renumbering_the_units_renumbers_the_findings(tree: Tree, seed: int) -> None:
    units = list(range(1, tree["engine"]["units"] + 1))
    new = dict(zip(units, random.Random(seed).sample(units, len(units)), strict=True))
    before, after = judged(tree), judged(renumbered(tree, new))
    assert after.summary.verdict == before.summary.verdict
    found, expected = plain(after), plain(before)
    assert_same(found["common_part_deg"], expected["common_part_deg"])
    there = by_unit(found)
    assert len(there) == len(expected["units"])
    for (unit, stage), entry in by_unit(expected).items():
        assert_same(there[new[unit], stage], entry, f"{unit}/{stage}")
    assert sorted(notice.code for notice in after.notices) == sorted(notice.code for notice in before.notices)


@given(job_trees(max_units=3), st.integers(0, 2**32))
def test_the_order_of_readings_and_settings_changes_nothing(tree: Tree, seed: int) -> None:
    shuffled = copy.deepcopy(tree)
    chance = random.Random(seed)
    chance.shuffle(shuffled["reference"]["units"])
    chance.shuffle(shuffled.get("readings", []))
    assert_same(plain(judged(shuffled)), plain(judged(tree)))


@given(job_trees(max_units=3))
def test_the_same_job_gives_the_same_findings(tree: Tree) -> None:
    assert judged(tree).to_json() == judged(copy.deepcopy(tree)).to_json()


@given(job_trees(max_units=3))
def test_what_nobody_knows_and_what_nobody_judges_changes_no_number(tree: Tree) -> None:
    """Unknown keys, drafts, titles, and readings that were reached the other way."""
    bare = _without_unknown(copy.deepcopy(tree), _job_record())
    for key in ("title", "vessel", "date", "running_hours", "drafts", "demo"):
        bare.pop(key, None)
    if "readings" in bare:
        direction = bare["reference"].get("rotation", "ahead")
        judged_ones = [each for each in bare["readings"] if each.get("reached", "ahead") == direction]
        entries = {(each["unit"], each["stage"]) for each in judged_ones}
        # A stage with nothing but readings that are not judged keeps its empty entry.
        bare["readings"] = [
            each for each in bare["readings"] if each in judged_ones or (each["unit"], each["stage"]) not in entries
        ]
    assert_same(plain(judged(bare)), plain(judged(tree)))


def _job_record() -> type:
    from calc.job.model import Job

    return Job


def _without_unknown(tree: Tree, record: type) -> Tree:
    known = {field.name: field for field in fields_of(record)}
    for key in [key for key in tree if key not in known]:
        del tree[key]
    for name, value in tree.items():
        inner = known[name].record
        if inner is None:
            continue
        if known[name].kind == RECORD:
            _without_unknown(value, inner)
        elif known[name].kind == RECORDS:
            for each in value:
                _without_unknown(each, inner)
    return tree


# ---------------------------------------------------------------- early and late

SIGNED = {
    "deviation_deg",
    "lift_deviation_mm",
    "cam_part_deg",
    "size",
    "effect_deg",
    "change_mm",
    "change_deg",
    "turns",
    "flats",
    "hand_flats",
    "hand_change_mm",
    "beginning_deviation_deg",
    "end_deviation_deg",
}
# These hang on where zero is, and on words.
NOT_MIRRORED = {
    "angle_deg",
    "lift_mm",
    "trial_lift_mm",
    "effective_stroke_mm",
    "delivery_angle_deg",
    "quantity",
    "after",
    "text",
    "settle",
}


def assert_mirrored(found: Any, expected: Any, at: str = "") -> None:
    if isinstance(expected, dict):
        assert found.keys() == expected.keys(), at
        for key, value in expected.items():
            if key in NOT_MIRRORED:
                continue
            if key in SIGNED and isinstance(value, float):
                assert found[key] == pytest.approx(-value, rel=1e-9, abs=1e-12), f"{at}.{key}"
            elif key in ("cam_part_deg", "own_cam_part_deg") and isinstance(value, dict):
                assert found[key]["value"] == pytest.approx(-value["value"], rel=1e-9, abs=1e-12), f"{at}.{key}"
                assert found[key]["u"] == pytest.approx(value["u"], rel=1e-9), f"{at}.{key}"
            else:
                assert_mirrored(found[key], value, f"{at}.{key}")
    elif isinstance(expected, list):
        assert len(found) == len(expected), at
        for i, (one, other) in enumerate(zip(found, expected, strict=True)):
            assert_mirrored(one, other, f"{at}[{i}]")
    elif isinstance(expected, float):
        assert found == pytest.approx(expected, rel=1e-9, abs=1e-12), at
    else:
        assert found == expected, at


offs = st.lists(st.tuples(LIFT_STEPS, ANGLE_STEPS, LIFT_STEPS, ANGLE_STEPS), min_size=1, max_size=5)


@given(offs)
def test_mirrored_errors_give_mirrored_findings(errors: list[tuple[float, float, float, float]]) -> None:
    """On a secant, at contact: every lift and angle as far to the other side of its reference."""

    def tree(sign: float) -> Tree:
        found = []
        for unit, (suction, start, spill, end) in enumerate(errors, 1):
            # Two repeats, so that the pools are not empty.
            found.append(contact(unit, SUCTION, [sign * suction, sign * (suction + 1 / 64)], [sign * start] * 2))
            found.append(contact(unit, SPILL, [sign * spill] * 2, [sign * end, sign * (end + 1 / 32)]))
        return engine_job(readings=found)

    there, here = judged(tree(-1.0)), judged(tree(1.0))
    assert there.summary.verdict == here.summary.verdict
    assert_mirrored(_judged_numbers(there), _judged_numbers(here))
    common, expected = there.common_part_deg.as_found, here.common_part_deg.as_found
    if expected is None:
        assert common is None
        return
    assert common is not None
    assert (common.units_used, common.significant) == (expected.units_used, expected.significant)
    assert common.value == pytest.approx(-expected.value, abs=1e-12)
    assert common.u == pytest.approx(expected.u)


def _judged_numbers(findings: Any) -> list[Tree]:
    """All but the suspicions: play makes an event early and never late, and digits are swapped in numbers as they are."""
    units: list[Tree] = plain(findings)["units"]
    for unit in units:
        unit.pop("suspicions")
        for each in unit["corrections"]:
            each.pop("held", None)
    return units


@given(st.floats(0.05, 0.9), ANGLE_STEPS, st.booleans())
def test_both_ways_of_reading_meet(off: float, cam: float, table: bool) -> None:
    """The same valve, read at contact and at reference lift: one lift, one cam part, and on a secant one angle."""
    late = {SUCTION: off, SPILL: -off}
    at_contact = engine_job(readings=[contact(1, event, late[event], late[event] / SLOPE + cam) for event in late])
    at_reference = engine_job(readings=[at_lift(1, event, RATIO[event] * off, cam) for event in late])
    if table:
        with_table(at_contact)
        with_table(at_reference)
    for one, other in zip(_events(at_contact), _events(at_reference), strict=True):
        assert one["lift_mm"] == pytest.approx(other["lift_mm"], abs=1e-9)
        if not table:
            assert one["cam_part_deg"] == pytest.approx(other["cam_part_deg"], abs=1e-9)
            assert one["angle_deg"] == pytest.approx(other["angle_deg"], abs=1e-9)


def _events(tree: Tree) -> list[Tree]:
    (unit,) = plain(judged(tree))["units"]
    return [unit["beginning"], unit["end"]]


@given(job_trees(max_units=3), st.floats(1.0, 4.0))
def test_a_wider_tolerance_never_makes_it_worse(tree: Tree, factor: float) -> None:
    tolerance = tree["reference"]["angle_tolerance_deg"]
    wider = copy.deepcopy(tree)
    wider["reference"]["angle_tolerance_deg"] = min(30, tolerance * factor)
    for narrow, wide in zip(judged(tree).units, judged(wider).units, strict=True):
        for one, other in ((narrow.beginning, wide.beginning), (narrow.end, wide.end)):
            if one is not None and other is not None and not math.isclose(wider["reference"]["angle_tolerance_deg"], tolerance):
                assert other.probability_within >= one.probability_within - 1e-12
                assert not (one.verdict == "within" and other.verdict != "within")


@given(st.integers(0, 8), st.integers(0, 8))
def test_readings_of_other_stages_move_no_verdict_of_this_one(found: int, left: int) -> None:
    """But for the pool, which they share: here every reading is single."""
    as_found = [contact(unit, event, found / 8, found / 8) for unit in (1, 2, 3) for event in (SUCTION, SPILL)]
    as_left = [contact(unit, event, left / 8, left / 8, "as_left") for unit in (1, 2, 3) for event in (SUCTION, SPILL)]
    extra = [opening(1, 1.75), clearance(2, 3.0)]
    alone = judged(engine_job(readings=[*as_found, *extra]))
    together = judged(engine_job(readings=[*as_left, *as_found, *extra]))
    kept = [each for each in plain(together)["units"] if each["stage"] == "as_found"]
    assert_same(kept, plain(alone)["units"])
