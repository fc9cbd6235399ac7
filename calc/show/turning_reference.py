"""What the page about the turning plan shows of an engine: an example, and what plans save. Computed, never typed by hand."""

from __future__ import annotations

from collections.abc import Sequence

from calc.job.model import Job
from calc.job.read import read_job
from calc.job.words import plain
from calc.plan.turning.request import request_of
from calc.plan.turning.solve import ways
from calc.plan.turning.timetable import Comparison, Plan, plan_of
from calc.show.turning_chart import turning_chart
from calc.show.turning_page import KEY
from calc.show.turning_words import angle, stop_words, summary, time_words, turn_words


def example(source: str, sets: int) -> str:
    """A plan of a job, both ways, as Markdown: its words, its picture, its timetable.

    Parameters: source: text of a job file; sets: gauge sets.
    """
    job = read_job(source)
    plan = _plan(job, sets, ahead_only=False)
    rows = [
        f"| {number} | {angle(stop.flywheel_deg)} | {turn_words(stop)} | {'<br>'.join(said.lines)} |"
        for number, (stop, said) in enumerate(zip(plan.stops, stop_words(plan), strict=True), start=1)
    ]
    return "\n\n".join(
        [
            *summary(plan, job),
            turning_chart(plan),
            KEY,
            "\n".join(["| Stop | Flywheel | Turn | Do |", "|---|---|---|---|", *rows]),
            "",
        ]
    )


def savings(source: str, sets: Sequence[int]) -> str:
    """What plans of a job cost against unit after unit, as a Markdown table.

    Parameters: source: text of a job file, which tells its turning speed; sets: how many gauge sets, a row each.
    """
    job = read_job(source)
    rows = []
    for ahead_only in (False, True):
        way = "Ahead only" if ahead_only else "Turning back allowed"
        for number in sets:
            plan = _plan(job, number, ahead_only=ahead_only)
            alone = plan.one_by_one
            assert alone is not None
            if number == sets[0]:
                rows.append(_row(way, "1 set, unit after unit in firing order", alone, alone))
            rows.append(_row(way, "1 set" if number == 1 else f"{number} sets", plan, alone))
    heads = ["Turning", "Gauge sets", "Costs", "Against unit after unit", "Time"]
    return "\n".join([f"| {' | '.join(heads)} |", f"|{'---|' * len(heads)}", *rows, ""])


def _row(way: str, sets: str, plan: Plan | Comparison, alone: Comparison) -> str:
    """Each cell says what it is: a phone shows them one below the other, without the heads."""
    assert plan.minutes is not None
    changes = f"{plan.reversals} reversals" if plan.reversals else "no reversal"
    cost = f"{plain(plan.cost_deg, 1)}°: {plain(plan.turned_deg, 1)}° turned, {changes}"
    saved = "–" if plan is alone else f"saves {plain(100.0 * (1.0 - plan.cost_deg / alone.cost_deg), 0)} %"
    return f"| {way} | {sets} | {cost} | {saved} | {time_words(plan.minutes)} |"


def _plan(job: Job, sets: int, *, ahead_only: bool) -> Plan:
    request = request_of(job, sets=sets, ahead_only=ahead_only)
    *_, last = ways(request)
    # The page says that these are proven.
    assert last.optimal
    return plan_of(job, request, last)
