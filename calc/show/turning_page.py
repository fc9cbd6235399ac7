"""A turning plan as a piece of HTML, for the page and for paper: what it costs, the picture, the timetable, the notes."""

from __future__ import annotations

from calc.job.model import Job
from calc.plan.turning.timetable import Plan
from calc.show.markup import Markup, element, joined
from calc.show.paper import table
from calc.show.turning_chart import turning_chart
from calc.show.turning_words import angle, caution_words, stop_words, summary, turn_words

BOX = "☐"
KEY = (
    "Rising line: ahead. Falling line: astern. Full dot: a stop. Hollow dot: turn back. Bar: the set is on this unit. "
    "Dashed: gauges to 0 on the base circle. Black: the reading, from start to end."
)


def turning_plan(plan: Plan, job: Job) -> Markup:
    """The whole plan as one element.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> from calc.plan.turning.request import request_of
    >>> from calc.plan.turning.solve import ways
    >>> from calc.plan.turning.timetable import plan_of
    >>> job = read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8"))
    >>> request = request_of(job, sets=1, units=[1])
    >>> *_, last = ways(request)
    >>> turning_plan(plan_of(job, request, last), job).count("<tr>")
    5
    """
    return element(
        "div",
        {"class": "sm-turning", "data-optimal": "true" if plan.optimal else "false"},
        words(plan, job),
        way(plan),
    )


def words(plan: Plan, job: Job | None) -> Markup:
    """The plan in a few sentences, the answer first. Without a job, its time is told in one.

    >>> words(Plan(units=()), None)
    '<p class="answer">Nothing is left to do.</p>'
    """
    first, *rest = summary(plan, job)
    return joined(element("p", {"class": "answer"}, first), [element("p", None, each) for each in rest])


def way(plan: Plan, *, ticks: bool = False) -> Markup:
    """The way that is turned: picture, timetable, and what it rests on. `ticks`: with a box to tick for each stop."""
    return joined(
        [turning_chart(plan), element("p", {"class": "quiet"}, KEY)] if plan.stops else None,
        timetable(plan, ticks=ticks) if plan.stops else None,
        element("ul", None, [element("li", None, notice.text) for notice in plan.notices]) if plan.notices else None,
    )


def timetable(plan: Plan, *, ticks: bool = False) -> Markup:
    """The stops in order, as a table. `ticks`: with a box to tick for each stop.

    >>> from calc.plan.turning.timetable import Stop
    >>> timetable(Plan(stops=(Stop(flywheel_deg=5.0, direction="start", turn_deg=0.0, tasks=()),))).count("<th ")
    5
    """
    rows = []
    for number, (stop, said) in enumerate(zip(plan.stops, stop_words(plan), strict=True), start=1):
        lines = [element("div", None, each) for each in said.do]
        if said.on_the_way:
            lines.insert(0, element("div", None, said.on_the_way))
        rows.append((_tick(number) if ticks else number, angle(stop.flywheel_deg), turn_words(stop), lines))
    return table(
        ["Done" if ticks else "Stop", "Flywheel", "Turn", "Do"],
        rows,
        caption="Timetable of the turning",
        css="turning",
    )


def _tick(number: int) -> Markup:
    box = {
        "type": "checkbox",
        "data-stop": number,
        "aria-label": f"Stop {number} is done, and all before it",
        "autocomplete": "off",
    }
    return element("label", {"class": "sm-tick"}, element("input", box), element("span", {"aria-hidden": "true"}, str(number)))


def cautions(plan: Plan) -> Markup:
    """What everybody at the turning gear has to hear first, as a list.

    >>> cautions(Plan())[:4]
    '<ul>'
    """
    return element("ul", None, [element("li", None, f"Warning: {each}") for each in caution_words(plan)])
