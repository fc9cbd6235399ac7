"""The timetable of a turning plan on paper, large, for the turning-gear station: one self-contained HTML file for A4."""

from __future__ import annotations

from calc.job.model import Job
from calc.job.write import checksum, job_to_tree
from calc.plan.turning.timetable import Plan
from calc.show.markup import element
from calc.show.paper import document, facts, heading
from calc.show.turning_chart import turning_chart
from calc.show.turning_page import KEY, cautions, timetable
from calc.show.turning_terminal import title
from calc.show.turning_words import summary


def turning_sheet(plan: Plan, job: Job) -> str:
    """The sheet as one HTML file: cautions, timetable with boxes to tick, then the picture.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> from calc.plan.turning.request import request_of
    >>> from calc.plan.turning.solve import ways
    >>> from calc.plan.turning.timetable import plan_of
    >>> job = read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8"))
    >>> request = request_of(job, sets=1, units=[1])
    >>> *_, last = ways(request)
    >>> turning_sheet(plan_of(job, request, last), job)[:15]
    '<!doctype html>'
    """
    name = title(plan)
    pairs = [("Ship", job.vessel or ""), ("Job", job.title or ""), ("Commands the turning", ""), ("Date and time", "")]
    return document(
        ", ".join(each for each in (name, job.vessel, job.date) if each),
        checksum(job_to_tree(job)),
        heading(job, name),
        element("div", {"class": "stop"}, cautions(plan)),
        facts(pairs),
        element("p", None, " ".join(summary(plan, job))),
        timetable(plan, boxes=True) if plan.stops else None,
        element("section", {"class": "keep"}, turning_chart(plan), element("p", {"class": "quiet"}, KEY))
        if plan.stops
        else None,
        element("ul", {"class": "quiet"}, [element("li", None, notice.text) for notice in plan.notices])
        if plan.notices
        else None,
    )
