"""Every engine can be solved by what a cadet can see, and the faults are those that `assess` names."""

from functools import lru_cache

import pytest

from calc.teach.practice.answers import ALL, Named, key_of, named, named_all, right_answer
from calc.teach.practice.engine import ASTERN_PLAY, CAM, LINKAGE, MISTAKES, RODS, TIMING, WRONG_MARK
from calc.teach.practice.levels import LEVELS
from calc.teach.practice.rig import Rig, play
from calc.teach.practice.score import POINTS, Result, score, size_limit

from .solver import Cadet, solve

# 360 engines over the six levels.
SEEDS = range(1001, 1061)


def solved(number: int, level: int) -> tuple[Rig, Cadet, Result]:
    rig = play(number, level, [])
    cadet = solve(rig)
    return rig, cadet, score(rig, named_all(cadet.answers, rig.engine))


# For tests that only look; those that go on working with the rig play their own.
look_at = lru_cache(maxsize=None)(solved)


@pytest.mark.parametrize("level", LEVELS)
def test_a_cadet_that_looks_closely_finds_every_fault(level: int) -> None:
    lost = {}
    for number in SEEDS:
        _, _, result = look_at(number, level)
        if result.total != 100:
            lost[number] = [why for line in result.lines for why in line.lost]
    assert lost == {}


@pytest.mark.parametrize("level", LEVELS)
def test_the_hidden_faults_are_those_that_assess_names(level: int) -> None:
    """On the cadet's own readings: all of them, and no others."""
    otherwise, suspected = {}, 0
    for number in SEEDS:
        rig, cadet, _ = look_at(number, level)
        expected = set()
        for fault in rig.engine.faults:
            if fault.part in RODS:
                expected.add((fault.unit, fault.part))
            elif fault.part == CAM:
                expected.add((fault.unit, "cam_position"))
            elif fault.part in (LINKAGE, TIMING):
                expected.add((None, "common_setting"))
            elif fault.part not in MISTAKES:
                expected.add((None, "common_shift"))
        if cadet.named != expected:
            otherwise[number] = (cadet.named, expected)
        suspected += cadet.by_suspicion
    assert otherwise == {}
    # A shared setting is a cause only where all units agree within their doubt; else a suspicion names it. That stays rare.
    assert suspected <= 0.1 * len(SEEDS)


def test_a_mistake_on_the_sheet_is_suspected_or_looks_like_a_fault() -> None:
    """What the sheet alone makes `assess` say of the unit that was misread: its mistake, or an honest fault that hides it.

    Both angles reached astern look like an early cam, and a job cannot tell them apart: only reading again can.
    """
    for number in SEEDS:
        rig = play(number, 6, [])
        found = next(unit for unit in Cadet(rig).seen.findings().units if unit.unit == rig.engine.mistaken_unit)
        mistake = next(fault.part for fault in rig.engine.faults if fault.part in MISTAKES)
        suspected = {each.code for each in found.suspicions}
        if mistake == ASTERN_PLAY:
            assert {each.code for each in found.causes} == {"cam_position"}
        elif mistake == WRONG_MARK:
            assert WRONG_MARK in suspected
        else:
            assert suspected & {"gauge_zero", "dial_turn"} or {each.code for each in found.causes}


def finished(number: int = 1234, level: int = 1) -> tuple[Rig, dict[str, Named]]:
    rig, cadet, _ = solved(number, level)
    return rig, named_all(cadet.answers, rig.engine)


def points(result: Result) -> dict[str, float]:
    return {line.topic: line.points for line in result.lines}


def test_all_points_together_are_a_hundred() -> None:
    assert sum(POINTS.values()) == 100


def test_no_work_and_no_answer_have_almost_nothing() -> None:
    for level in LEVELS:
        result = score(play(1, level, []), {})
        assert result.total == 0
        # Every point that is lost says why, and what to learn.
        assert all(line.lost and line.learn for line in result.lines if line.points < line.of)
        assert len(result.truth) == len(play(1, level, []).engine.faults)


def test_the_wrong_way_and_the_wrong_size_are_told_apart() -> None:
    rig, answers = finished()
    fault = rig.engine.faults[0]
    right, key = right_answer(rig.engine, fault), key_of(fault)
    assert right.amount is not None
    had = points(score(rig, {**answers, key: Named(right.cause, -right.amount)}))
    assert (had["cause"], had["way"], had["size"]) == (40, 0, 10)
    limit = size_limit(rig.engine, fault)
    for off, size in ((0.9 * limit, 10), (1.1 * limit, 0)):
        had = points(score(rig, {**answers, key: Named(right.cause, right.amount + off)}))
        assert (had["cause"], had["way"], had["size"]) == (40, 10, size)
    had = points(score(rig, {**answers, key: Named(right.cause)}))
    assert (had["cause"], had["way"], had["size"]) == (40, 0, 0)
    other = next(part for part in RODS if part != right.cause)
    assert points(score(rig, {**answers, key: Named(other, right.amount)}))["cause"] == 0


def test_accusing_and_moving_what_is_right_costs_points() -> None:
    rig, answers = finished()
    well = next(str(unit) for unit in rig.engine.settings if unit != rig.engine.faults[0].unit)
    assert points(score(rig, {**answers, well: Named(CAM, 0.5)}))["alone"] == 5
    assert points(score(rig, {**answers, ALL: Named("pointer", 0.5)}))["alone"] == 5
    rig.do(["rod", int(well), "spill_rod", 0.25])
    assert points(score(rig, answers))["alone"] == 5
    # A trial that is put back is no harm.
    rig.do(["rod", int(well), "spill_rod", -0.25])
    assert points(score(rig, answers))["alone"] == 10


def test_what_is_not_read_again_is_not_proved() -> None:
    rig, answers = finished()
    unit = rig.engine.faults[0].unit
    assert unit is not None
    rig.do(["rod", unit, "spill_rod", 0.25])
    rig.do(["rod", unit, "spill_rod", -0.25])
    had = points(score(rig, answers))
    assert (had["proof"], had["cut_out"]) == (5, 5)


def test_an_opening_below_its_limit_is_told() -> None:
    rig, answers = finished()
    unit = rig.engine.faults[0].unit
    # The spill rod so short that the valve stays shut at index 0.
    rig.moved.rod_mm[unit or 0]["spill_opening"] -= 2.0
    result = score(rig, answers)
    assert points(result)["cut_out"] == 5
    assert any("opens less than" in why for line in result.lines for why in line.lost)


def test_haste_and_needless_turning_cost_points() -> None:
    rig, answers = finished()
    rig.tally.hurried = 2
    rig.tally.turned_deg = 99999.0
    had = points(score(rig, answers))
    assert (had["safety"], had["turning"]) == (3, 0)


def test_the_result_says_what_was_seen_of_the_work() -> None:
    rig, answers = finished()
    assert "You did not ask for the findings." in score(rig, answers).seen
    rig.do(["ask"])
    engine = rig.engine
    for action in (
        ["mount", 1], ["clear"], ["to", 1, engine.law.back_deg + 20.0], ["zero", "spill_opening"], ["clear"],
        ["to", 1, engine.settings[1].angle_deg["spill_opening"] + 4.0], ["turn", 2.0], ["turn", -4.0],
    ):  # fmt: skip
        rig.do(action)
    for _ in range(12):
        rig.do(["creep", "spill_opening", -1])
        if rig.came:
            break
    rig.do(["mark", 2])
    rig.do(["read", "spill_opening"])
    said = " ".join(score(rig, answers).seen)
    for words in (
        "You asked for the findings once.",
        "1 reading was reached astern.",
        "not zeroed on the base circle",
        "another unit",
    ):
        assert words in said


@pytest.mark.parametrize(
    ("typed", "amount", "trouble"),
    [
        ({"cause": "within"}, None, ""),
        ({"cause": "spill_rod", "way": "+", "amount": "3 1/4"}, 3.25, ""),
        ({"cause": "suction_rod", "way": "-", "amount": "2¾ flats"}, -2.75, ""),
        ({"cause": "cam", "way": "-", "amount": "0,8°"}, -0.8, ""),
        ({"cause": "linkage", "way": "+", "amount": "0.4"}, 0.4, ""),
        ({"cause": "timing", "way": "-", "amount": "1.2 mm"}, -1.2, ""),
        ({"cause": "cam", "way": "", "amount": "0.8"}, None, "choose a way"),
        ({"cause": "cam", "way": "+", "amount": ""}, None, "write how far"),
        ({"cause": "cam", "way": "+", "amount": "much"}, None, "not understood"),
        ({"cause": "cam", "way": "+", "amount": "-0.8"}, None, "a sign of its own"),
    ],
)
def test_answers_are_read_as_people_write_them(typed: dict[str, str], amount: float | None, trouble: str) -> None:
    found = named(typed)
    assert found.amount == amount
    assert trouble in found.trouble
    assert bool(found.trouble) == bool(trouble)
