"""When the next check is due, and the port call that it fits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from calc.compute.answer import Answer, Calculation, Known, Notice, no_answer, no_data, warning
from calc.compute.limits import missing
from calc.findings import Findings
from calc.job import steps
from calc.job.describe import choice, number, record, whole
from calc.job.model import Job, Node
from calc.job.problems import Problem
from calc.job.words import short
from calc.judge.wanted import LATEST_H, LOG, a_day, interval, needs, now, parts_changed, port_calls
from calc.plan.due import REASONS, days_until, fitting_call, next_due, overdue_words
from calc.working import Line

EARLIEST = "earliest of interval, trend and parts changed"


@record
class DueInput(Node):
    """What makes a check due, and when the ship is in port. Nothing of it is assumed."""

    last_check_hours: float = number("running hours at the last check", unit="h", low=0, high=LATEST_H, required=True, find=LOG)
    now_hours: float = now(required=True)
    interval_h: float | None = interval()
    trend_hours: float | None = number(
        "running hours at which the trend reaches the tolerance", unit="h", low=0, high=LATEST_H, find="The trend."
    )
    parts_changed_hours: float | None = parts_changed()
    hours_per_day: float | None = a_day()
    needs_h: float | None = needs()
    calls: tuple[tuple[float, float], ...] | None = port_calls()


@record
class DueResult:
    """When, why, and where."""

    due_hours: float | None = number("running hours at which the check is due", unit="h", source=EARLIEST)
    reason: str | None = choice("reason", REASONS)
    days: float | None = number("days from today", omit=True)
    call: int | None = whole("port call that fits, counted from 1")


def _due_rules(known: Known) -> Iterator[Problem]:
    labels = {"hours_per_day": "Running hours a day", "needs_h": "Hours in port that the check needs"}
    for other in ("hours_per_day", "needs_h"):
        if known.has("calls") and not known.has(other):
            yield missing(other, f"{labels[other]}: missing. calls needs it. Enter it, or leave calls out.")


def _due(given: DueInput) -> Answer:
    due = next_due(given.last_check_hours, given.interval_h, given.trend_hours, given.parts_changed_hours)
    if due is None:
        words = "No interval, no trend and no change of parts was given, so nothing makes a check due. Enter the interval."
        return Answer(DueResult(), (no_data("interval_h", words),))
    notices: list[Notice] = []
    overdue = overdue_words(due, given.now_hours)
    if overdue is not None:
        notices.append(warning("now_hours", overdue))
    known = {
        "last check + interval": None if given.interval_h is None else given.last_check_hours + given.interval_h,
        "trend": given.trend_hours,
        "parts changed": given.parts_changed_hours,
    }
    numbers_in = ", ".join(f"{what} {short(hours)} h" for what, hours in known.items() if hours is not None)
    lines = [Line("due", EARLIEST, numbers_in, f"{short(due.hours)} h: {REASONS[due.reason]}")]
    days = call = None
    if given.hours_per_day is not None:
        days = days_until(due.hours, given.now_hours, given.hours_per_day)
        lines.append(
            Line(
                "days from today",
                "(due − now) / running hours a day",
                f"({short(due.hours)} − {short(given.now_hours)}) / {short(given.hours_per_day)}",
                short(days),
            )
        )
    if not given.calls:
        notices.append(no_data("calls", "No port calls were given, so none is named. Enter them to find the one that fits."))
    elif days is not None and given.needs_h is not None:
        place = fitting_call(given.calls, days, given.needs_h)
        call = None if place is None else place + 1
        if place is None:
            notices.append(no_answer("calls", _no_call(given.calls, days, given.needs_h)))
        else:
            at, hours = given.calls[place]
            lines.append(
                Line("port call", "last that is long enough and in time", f"in {short(at)} days, {short(hours)} h", f"{call}")
            )
    return Answer(DueResult(due_hours=due.hours, reason=due.reason, days=days, call=call), tuple(notices), tuple(lines))


def _no_call(calls: tuple[tuple[float, float], ...], days: float, needs_h: float) -> str:
    later = [at for at, hours in calls if hours >= needs_h and at > days]
    words = f"No port call of {short(needs_h)} h or more comes before the check is due in {short(days)} days."
    if not later:
        return f"{words} Ask for a longer stay, or enter more calls."
    return f"{words} The next one is in {short(min(later))} days, that is {short(min(later) - days)} days late."


def _from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
    """The running hours of this job are those of now; the last check is another job."""
    return {"now_hours": job.running_hours}


DUE = Calculation(
    name="due",
    title="The next check",
    what="when the next check is due, and the port call that it fits",
    say="Type what makes a check due. The earliest counts. With port calls, it names the one that fits.",
    given=DueInput,
    result=DueResult,
    compute=_due,
    rules=_due_rules,
    example={
        "last_check_hours": 36800,
        "now_hours": 38100,
        "interval_h": 7200,
        "trend_hours": 43100,
        "hours_per_day": 19.5,
        "needs_h": 30,
        "calls": [[12, 18], [61, 40], [140, 36], [300, 60]],
    },
    source=EARLIEST,
    page="calculate/next-check.html#due",
    step=steps.DUE,
    from_job=_from_job,
)
