"""Where each unit has to be visited, and every job that does not tell it."""

import math
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest

from calc.job.problems import JobErrors
from calc.plan.turning.stations import missing_fields, turning_of
from tests.invented import Tree
from tests.judge.test_words import assert_plain
from tests.plan.engines import engine, job_of
from tests.plan.replay import apart, stations


@pytest.mark.parametrize(
    ("tdc", "order"),
    [
        (None, [1, 5, 3, 4, 2, 6]),
        (None, [4, 2, 6, 1, 5, 3]),
        ([0, 240, 120, 180, 60, 300], [1, 5, 3, 4, 2, 6]),
        ([17.5, 257.5, 137.5, 197.5, 77.5, 317.5], [6, 1, 5, 3, 4, 2]),
    ],
)
def test_flywheel_angles_follow_from_tdc_angles_or_firing_order(tdc: list[float] | None, order: list[int]) -> None:
    """Four ways to spell the same engine: only differences to unit 1 count, and even intervals are counted from unit 1."""
    tree = engine(6, tdc=tdc, firing_order=order)
    turning = turning_of(job_of(tree))
    found = {unit.unit: round(turning.degrees(unit.peak), 9) for unit in turning.units}
    assert found == {1: 30.0, 2: 270.0, 3: 150.0, 4: 210.0, 5: 90.0, 6: 330.0}


@pytest.mark.parametrize("units", [1, 7, 11, 13, 24])
def test_every_station_lies_where_the_rules_say(units: int) -> None:
    tree = engine(units, spread=0.6, seed=units)
    turning = turning_of(job_of(tree))
    told = stations(tree)
    for unit in turning.units:
        for name, angle in told[unit.unit].items():
            assert apart(turning.degrees(getattr(unit, name)), angle) < 1e-8


def test_even_intervals_are_exact_for_any_number_of_units() -> None:
    turning = turning_of(job_of(engine(7)))
    peaks = sorted(unit.peak for unit in turning.units)
    assert {later - earlier for earlier, later in pairwise(peaks)} == {turning.turn // 7}
    assert 7 * (turning.turn // 7) == turning.turn


def test_angles_that_are_one_stop_are_one_number() -> None:
    """Unit 2's end meets unit 1's peak but for a rounding; a hundred times as far apart they are two stops."""
    for off, same in ((0.8e-6, True), (0.8e-4, False)):
        turning = turning_of(job_of(engine(2, tdc=[0.0, 19.6 + off])))
        assert (turning.units[0].peak == turning.units[1].opening) is same


def test_angles_that_are_one_stop_across_the_zero_of_the_scale() -> None:
    turning = turning_of(job_of(engine(2, tdc=[0.0, 349.6 - 0.5e-6], peak=12.0, opening=10.4, closing=-12.0)))
    turned = turning_of(job_of(engine(2, tdc=[0.0, 1.6 - 0.5e-6], peak=12.0, opening=10.4, closing=-12.0)))
    assert turned.units[0].peak == turned.units[1].opening
    assert turning.units[0].opening != turning.units[1].peak


def problems(tree: Tree, **wanted: Any) -> dict[str, str]:
    with pytest.raises(JobErrors) as told:
        turning_of(job_of(tree), **wanted)
    for problem in told.value.errors:
        assert problem.found
        assert_plain(problem.text)
    return {problem.where: problem.text for problem in told.value.errors}


def test_what_is_missing_is_told_all_at_once() -> None:
    tree = engine(3)
    for key in ("cam_peak_deg", "base_circle_from_deg", "base_circle_to_deg"):
        del tree["engine"][key]
    told = problems(tree)
    assert list(told) == ["engine.cam_peak_deg", "engine.base_circle_from_deg", "engine.base_circle_to_deg"]
    assert "cam peak: missing. The turning plan needs it. Enter its crank angle" in told["engine.cam_peak_deg"]
    assert missing_fields(tree["engine"] | {"cam_peak_deg": None})[0].where == "engine.cam_peak_deg"


def keys(**values: float) -> Callable[[Tree], None]:
    return lambda tree: tree["engine"].update(values)


def entry(unit: int, **values: float) -> Callable[[Tree], None]:
    return lambda tree: tree["reference"]["units"][unit - 1].update(values)


DISORDER: list[tuple[Callable[[Tree], None], list[int], str]] = [
    (entry(2, end_deg=31.0), [1], "the cam peak (30° after TDC) does not follow the end (31° after TDC)"),
    (entry(2, end_deg=30.0), [1], "the cam peak (30° after TDC) does not follow the end (30° after TDC)"),
    (
        entry(3, beginning_deg=-42.0),
        [2],
        "the start (42° before TDC) does not follow the end of the base circle (42° before TDC)",
    ),
    (entry(3, beginning_deg=-42.0000001), [2], "the start"),
    (keys(cam_peak_deg=100.0), [0, 1, 2], "the start of the base circle (100° after TDC) does not follow the cam peak"),
    (keys(base_circle_from_deg=-42.0), [0, 1, 2], "the start of the base circle (42° before TDC) does not follow the cam peak"),
    (keys(base_circle_to_deg=20.0), [0, 1, 2], "does not follow"),
    (keys(base_circle_from_deg=20.0), [0, 1, 2], "does not follow"),
    (keys(cam_peak_deg=0.0), [0, 1, 2], "the cam peak (at TDC) does not follow the end"),
]


@pytest.mark.parametrize(("change", "places", "words"), DISORDER)
def test_angles_out_of_order(change: Callable[[Tree], None], places: list[int], words: str) -> None:
    tree = engine(3)
    change(tree)
    told = problems(tree)
    assert list(told) == [f"reference.units[{j}]" for j in places]
    assert all(words in text for text in told.values())
    assert all("Compare the unit's angles with the cam's." in text for text in told.values())


def test_in_a_job_for_astern_the_words_are_for_astern() -> None:
    tree = engine(3)
    tree["engine"]["cam_peak_deg"] = 0.0
    tree["reference"]["rotation"] = "astern"
    assert all("Turning astern, these follow each other" in text for text in problems(tree).values())


def test_the_place_is_that_in_the_file_and_units_that_are_not_planned_do_not_matter() -> None:
    tree = engine(12)
    tree["reference"]["units"].reverse()
    for unit in (1, 12):
        next(each for each in tree["reference"]["units"] if each["unit"] == unit)["end_deg"] = 40.0
    assert list(problems(tree)) == ["reference.units[0]", "reference.units[11]"]
    assert list(problems(tree, units=[12, 3])) == ["reference.units[0]"]
    assert [unit.unit for unit in turning_of(job_of(tree), [5, 3]).units] == [3, 5]


def test_a_base_circle_through_half_a_turn_and_one_that_is_not() -> None:
    """The base circle runs ahead from its start to its end; both spellings of a half turn are one angle."""
    plain = turning_of(job_of(engine(1, base=(100.0, -42.0)))).units[0]
    assert plain.base_to - plain.base_from == turning_of(job_of(engine(1))).ticks(218.0)
    both = [turning_of(job_of(engine(1, base=(half, -42.0)))).units[0] for half in (180.0, -180.0)]
    assert both[0] == both[1]


@pytest.mark.parametrize("huge", [1e6, 1e15, 1e300, 1.7e308])
def test_a_take_up_or_a_reversal_beyond_all_reason_is_a_number_like_any(huge: float) -> None:
    turning = turning_of(job_of(engine(2, take_up_deg=huge, reversal_deg=huge)))
    assert math.isclose(turning.degrees(turning.take_up), huge)
    assert math.isclose(turning.degrees(turning.reversal), huge)
