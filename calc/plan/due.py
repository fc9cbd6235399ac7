"""When the next check is due, and at which port call it fits. All of it is asked for: no interval is ever assumed.

Days are counted from today, since the pure part knows no calendar.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

INTERVAL, TREND, PARTS = "interval", "trend", "parts"
REASONS = {
    INTERVAL: "the interval has run out",
    TREND: "the trend reaches the tolerance",
    PARTS: "parts that affect timing were changed",
}


@dataclass(frozen=True, slots=True)
class Due:
    """Running hours at which the check is due, and why."""

    hours: float
    reason: str


def next_due(
    last_check_hours: float,
    interval_h: float | None = None,
    trend_hours: float | None = None,
    parts_changed_hours: float | None = None,
) -> Due | None:
    """The earliest of what makes a check due.

    Formula: min(last check + interval, running hours at which the trend reaches the tolerance, running hours at which
    parts were changed where that was after the last check). Parameters: all [h] of running. Returns: hours and reason, None
    where nothing is known that would make it due.

    >>> next_due(41250.0, interval_h=6000.0, trend_hours=45000.0)
    Due(hours=45000.0, reason='trend')
    """
    found = []
    if interval_h is not None:
        found.append(Due(last_check_hours + interval_h, INTERVAL))
    if trend_hours is not None:
        found.append(Due(trend_hours, TREND))
    if parts_changed_hours is not None and parts_changed_hours > last_check_hours:
        found.append(Due(parts_changed_hours, PARTS))
    return min(found, key=lambda due: due.hours, default=None)


def days_until(due_hours: float, now_hours: float, hours_per_day: float) -> float:
    """Days from today until a number of running hours is reached; negative where it has passed.

    Formula: (due - now) / running hours a day. Parameters: [h], [h], [h a day, above 0]. Returns: days.

    >>> days_until(45000.0, 44000.0, 20.0)
    50.0
    """
    return (due_hours - now_hours) / hours_per_day


def fitting_call(calls: Sequence[tuple[float, float]], due_days: float, needs_h: float) -> int | None:
    """The last port call that is long enough and not after the due date.

    Parameters: calls: days from today and hours in port [h]; due_days: days from today; needs_h: hours that the job
    takes [h]. Returns: its place in the list, None where no call fits.

    >>> fitting_call([(5.0, 10.0), (20.0, 48.0), (40.0, 12.0), (70.0, 60.0)], 50.0, 24.0)
    1
    """
    fits = [(days, j) for j, (days, hours) in enumerate(calls) if hours >= needs_h and 0.0 <= days <= due_days]
    return max(fits)[1] if fits else None


def overdue_words(due: Due, now_hours: float) -> str | None:
    """What to say of a check that should be done already; None where it is not due yet. Parameters: due, now [h].

    >>> overdue_words(Due(45000.0, TREND), 45900.0)
    'The check is due since 900 running hours: the trend reaches the tolerance. Plan it now.'
    >>> overdue_words(Due(45000.0, TREND), 45000.0)
    'The check is due now: the trend reaches the tolerance. Plan it.'
    """
    late = now_hours - due.hours
    if late < 0.0:
        return None
    if late < 0.5:
        return f"The check is due now: {REASONS[due.reason]}. Plan it."
    return f"The check is due since {late:.0f} running hours: {REASONS[due.reason]}. Plan it now."
