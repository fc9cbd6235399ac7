"""What a plan is wanted for, and every request that does not fit the job or itself."""

from typing import Any

import pytest

from calc.plan.turning.request import RequestError, request_of
from tests.judge.test_words import assert_plain
from tests.plan.engines import engine, job_of

JOB = job_of(engine(4))


def test_all_units_from_anywhere() -> None:
    request = request_of(JOB, sets=2)
    assert [unit.unit for unit in request.turning.units] == [1, 2, 3, 4]
    assert request.standing is None
    assert not request.never_astern


def test_units_that_are_finished_are_not_planned() -> None:
    request = request_of(JOB, sets=1, units=[1, 2, 4], done={2: "opening", 3: "opening"})
    assert [unit.unit for unit in request.turning.units] == [1, 4]


def test_sets_on_units_that_are_begun() -> None:
    done = {1: "peak", 3: "closing", 4: "base"}
    request = request_of(JOB, sets=4, from_deg=350.0, done=done, gauge_set={3: 1, 1: 4})
    assert request.standing is not None
    assert request.standing.gauge_set == {1: 4, 3: 1, 4: 2}
    assert request.standing.last_task == done


def test_a_flywheel_that_stands_at_a_station_stands_there_exactly() -> None:
    near = request_of(JOB, sets=1, from_deg=30.0000005).standing
    off = request_of(JOB, sets=1, from_deg=30.00001).standing
    wrapped = request_of(JOB, sets=1, from_deg=-330.0).standing
    assert near is not None
    assert off is not None
    assert near == wrapped
    assert near.angle == JOB_PEAK
    assert off.angle != JOB_PEAK


JOB_PEAK = request_of(JOB, sets=1).turning.units[0].peak

REFUSED: list[tuple[dict[str, Any], str]] = [
    ({"sets": 0}, "Gauge sets: 0 found. A plan needs 1 or more."),
    ({"sets": -3}, "Gauge sets: -3 found."),
    ({"sets": 1, "units": [1, 5]}, "Units: unit 5 found. The engine has units 1 to 4."),
    ({"sets": 1, "units": [0]}, "Units: unit 0 found."),
    ({"sets": 1, "units": []}, "Units: an empty list found."),
    ({"sets": 1, "done": {9: "opening"}}, "Units: unit 9 found."),
    ({"sets": 1, "done": {2: "base"}}, "where the flywheel stands is missing"),
    ({"sets": 1, "units": [1], "from_deg": 0.0, "done": {2: "base"}}, "a gauge set is still mounted there"),
    ({"sets": 1, "from_deg": 0.0, "done": {1: "peak", 2: "base"}}, "which takes 2 gauge sets; 1 found"),
    ({"sets": 1, "from_deg": 0.0, "done": {1: "lunch"}}, "the task 'lunch' found"),
    ({"sets": 2, "from_deg": 0.0, "done": {1: "peak"}, "gauge_set": {1: 3}}, "gauge set 3 found. The sets are 1 to 2."),
    ({"sets": 2, "from_deg": 0.0, "done": {1: "peak"}, "gauge_set": {2: 1}}, "a gauge set found on a unit that is not begun"),
    (
        {"sets": 2, "from_deg": 0.0, "done": {1: "peak", 2: "base"}, "gauge_set": {1: 2, 2: 2}},
        "gauge set 2 found, which is on another unit",
    ),
    ({"sets": 1, "from_deg": 361.0}, "Flywheel: 361° found. Enter an angle from 0 to 360."),
    ({"sets": 1, "from_deg": float("nan")}, "Flywheel: nan° found."),
    ({"sets": 1, "from_deg": float("inf")}, "Flywheel: inf° found."),
]


@pytest.mark.parametrize(("wanted", "words"), REFUSED)
def test_what_does_not_fit_is_refused(wanted: dict[str, Any], words: str) -> None:
    with pytest.raises(RequestError) as told:
        request_of(JOB, **wanted)
    text = str(told.value)
    assert words in text
    assert_plain(text.replace("-3 found", "3 found").replace("nan°", "0°").replace("inf°", "0°"))
