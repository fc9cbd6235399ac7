"""When the next check is due, and the port call that it fits."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.plan.due import Due, days_until, fitting_call, next_due, overdue_words

hours = st.one_of(st.none(), st.floats(0, 1e6))


@given(st.floats(0, 1e6), hours, hours, hours)
def test_the_earliest_counts(last: float, interval: float | None, trend: float | None, parts: float | None) -> None:
    due = next_due(last, interval, trend, parts)
    known = {
        "interval": None if interval is None else last + interval,
        "trend": trend,
        "parts": parts if parts is not None and parts > last else None,
    }
    left = {reason: at for reason, at in known.items() if at is not None}
    if due is None:
        assert not left
    else:
        assert due.hours == min(left.values())
        assert left[due.reason] == due.hours


def test_parts_changed_before_the_last_check_are_proved_by_it() -> None:
    assert next_due(1000.0, parts_changed_hours=1000.0) is None
    due = next_due(1000.0, parts_changed_hours=1000.1)
    assert due is not None
    assert due.reason == "parts"


def test_days() -> None:
    assert days_until(45000.0, 44000.0, 20.0) == 50.0
    assert days_until(44000.0, 45000.0, 20.0) == -50.0


@pytest.mark.parametrize(
    ("due_days", "needs", "place"),
    [
        (50.0, 24.0, 1),
        (70.0, 24.0, 3),
        (69.9, 24.0, 1),
        (50.0, 10.0, 2),
        (19.9, 24.0, None),
        (4.9, 1.0, None),
        (-1.0, 1.0, None),
    ],
)
def test_the_last_call_that_fits(due_days: float, needs: float, place: int | None) -> None:
    calls = [(5.0, 10.0), (20.0, 48.0), (40.0, 12.0), (70.0, 60.0)]
    assert fitting_call(calls, due_days, needs) == place


@given(st.lists(st.tuples(st.floats(0, 300), st.floats(0, 100)), max_size=8), st.floats(-10, 300), st.floats(0, 100))
def test_no_later_call_fits_either(calls: list[tuple[float, float]], due_days: float, needs: float) -> None:
    place = fitting_call(calls, due_days, needs)
    fits = [days for days, stay in calls if stay >= needs and days <= due_days]
    assert (place is None) == (not fits)
    if place is not None:
        assert calls[place][0] == max(fits)


@pytest.mark.parametrize(
    ("now", "said"),
    [
        (999.9, None),
        (1000.0, "due now"),
        (1000.4, "due now"),
        (1000.5, "since 0 running hours"),
        (1090.0, "since 90 running hours"),
    ],
)
def test_what_is_overdue(now: float, said: str | None) -> None:
    words = overdue_words(Due(1000.0, "interval"), now)
    assert (words is None) == (said is None)
    if words is not None and said is not None:
        assert said in words
        assert "the interval has run out" in words
