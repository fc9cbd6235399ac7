"""What people may say of the next check: no hour before the first, no day with more than 24, and nothing that they must say."""

import pytest

from calc.job.describe import fields_of
from calc.judge.wanted import OPTIONS, Wanted, call_lacks

ALLOWED = {
    "interval_h": "a number above 0, at most 1000000 h",
    "parts_changed_hours": "a number from 0 to 10000000 h",
    "now_hours": "a number from 0 to 10000000 h",
    "hours_per_day": "a number above 0, at most 24 h",
    "needs_h": "a number from 0 to 10000 h",
    "calls": "1 to 1000 rows, each a pair of numbers: days from today (d) and hours in port (h)",
}


@pytest.mark.parametrize("name", ALLOWED)
def test_what_is_allowed(name: str) -> None:
    (field,) = [each for each in fields_of(Wanted) if each.name == name]
    assert field.allowed == ALLOWED[name]
    assert not field.required
    assert field.fallback is None


def test_a_port_call_is_some_days_ahead_and_lasts_some_hours() -> None:
    (calls,) = [each for each in fields_of(Wanted) if each.name == "calls"]
    assert [each.allowed for each in calls.columns] == ["a number from 0 to 10000 d", "a number from 0 to 10000 h"]


def test_each_has_its_option_and_nothing_is_said_unasked() -> None:
    assert set(OPTIONS) == set(ALLOWED) == {each.name for each in fields_of(Wanted)}
    assert all(getattr(Wanted(), name) is None for name in ALLOWED)


@pytest.mark.parametrize(
    ("a_day", "needs", "lacking"),
    [
        (None, None, ["running hours a day", "hours in port that the check needs"]),
        (20.0, None, ["hours in port that the check needs"]),
        (None, 30.0, ["running hours a day"]),
        (20.0, 30.0, []),
    ],
)
def test_a_call_needs_the_hours_of_a_day_and_of_the_check(a_day: float | None, needs: float | None, lacking: list[str]) -> None:
    assert list(call_lacks(Wanted(calls=((61.0, 40.0),), hours_per_day=a_day, needs_h=needs))) == lacking
    assert list(call_lacks(Wanted(hours_per_day=a_day, needs_h=needs))) == []


def test_where_people_find_them() -> None:
    assert {each.name: each.find for each in fields_of(Wanted) if each.find} == {
        "interval_h": "The maker's maintenance schedule.",
        "parts_changed_hours": "The engine log.",
        "now_hours": "The engine log.",
    }
