"""What the file of trends promises to those that read it: keys that are always there, may be null, or are left out."""

from typing import Any

import pytest

from calc import history
from calc.history import EngineTrend, EventTrend, History
from calc.job.describe import fields_of

MAY_BE_NULL: dict[str, set[str]] = {
    "EventTrend": {"slope_per_1000_h", "u_slope_per_1000_h", "value", "prediction", "hours_to_limit"},
    "UnitTrend": {"beginning", "end"},
    "NextCheck": {"days", "port_call"},
    "EngineTrend": {"demo", "next_check"},
    "HistoryNotice": set(),
    "History": set(),
}
LINE, RANGE = "JCGM 100:2008, H.3", "Draper and Smith 1998, 3.1"
SOURCES = {
    "EventTrend": {
        "slope_per_1000_h": LINE,
        "u_slope_per_1000_h": LINE,
        "provable": LINE,
        "value": LINE,
        "prediction": RANGE,
        "hours_to_limit": RANGE,
    }
}


@pytest.mark.parametrize("name", MAY_BE_NULL)
def test_which_keys_may_be_null_and_what_numbers_rest_on(name: str) -> None:
    described = fields_of(getattr(history, name))
    assert {field.name for field in described if not field.required} == MAY_BE_NULL[name]
    assert {field.name: field.source for field in described if field.source} == SOURCES.get(name, {})


def test_only_the_mark_of_the_demo_is_left_out() -> None:
    described = {name: fields_of(getattr(history, name)) for name in MAY_BE_NULL}
    assert [(name, field.name) for name, own in described.items() for field in own if field.omit] == [("EngineTrend", "demo")]


def test_a_prediction_is_a_range_of_two() -> None:
    (prediction,) = [field for field in fields_of(EventTrend) if field.name == "prediction"]
    assert prediction.most == 2


def test_a_history_without_an_engine() -> None:
    tree = History.empty(3).to_json()
    program = tree.pop("program")
    assert program.startswith("Spillmark")
    assert tree == {"format": "spillmark-trend", "version": 1, "files": 3, "engines": [], "notices": []}


def test_what_only_a_picture_needs_is_not_of_the_file() -> None:
    plain: Any = {"readings": 2, "slope_per_1000_h": None, "u_slope_per_1000_h": None, "provable": False}
    one = EventTrend(**plain, value=None, prediction=None, hours_to_limit=None)
    other = EventTrend(**plain, value=None, prediction=None, hours_to_limit=None, points=((1.0, 0.1, True),), run_from=1.0)
    assert (one.points, one.run_from) == ((), None)
    assert one == other
    assert not {"points", "run_from"} & {field.name for field in fields_of(EventTrend)}
    assert "points" not in repr(other)
    assert "run_from" not in repr(other)
    assert "said" not in {field.name for field in fields_of(EngineTrend)}
