"""The timetable of a turning plan on paper, large, for the turning-gear station: one self-contained HTML file for A4.

Stop, angle, direction and what to do can be read from two metres.
"""

from __future__ import annotations

from calc.job.model import AHEAD, ASTERN
from calc.plan.turning.timetable import Plan, Stop
from calc.show.markup import Markup, element
from calc.show.paper import document, facts, headed, table
from calc.show.turning_chart import turning_chart
from calc.show.turning_page import BOX, KEY, cautions
from calc.show.turning_terminal import title
from calc.show.turning_words import angle, stop_words, summary, turn_words
from calc.work.begun import Begun
from calc.work.drill import drill
from calc.work.sheet import Worksheet

# The picture's own: what rises is ahead.
_AHEAD, _ASTERN = "▲", "▼"


def turning_sheet(plan: Plan, so_far: Begun) -> str:
    """The sheet as one HTML file: cautions and the drill, timetable with boxes to tick, then the picture.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> from calc.job.write import job_to_tree
    >>> from calc.plan.turning.request import request_of
    >>> from calc.plan.turning.solve import ways
    >>> from calc.plan.turning.timetable import plan_of
    >>> from calc.work.begun import begun_file
    >>> job = read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8"))
    >>> request = request_of(job, sets=1, units=[1])
    >>> *_, last = ways(request)
    >>> turning_sheet(plan_of(job, request, last), begun_file(job_to_tree(job)))[:15]
    '<!doctype html>'
    """
    name, sheet = title(plan), Worksheet(so_far.texts)
    vessel, job, date = (sheet.text(key) for key in ("vessel", "title", "date"))
    pairs = [("Ship", vessel), ("Job", job), ("Commands the turning", sheet.text("paper.commander")), ("Date and time", "")]
    return document(
        ", ".join(each for each in (name, vessel, date) if each),
        so_far.checksum,
        headed(name, plan.rotation, demo=bool(so_far.composed.tree.get("demo"))),
        element("div", {"class": "stop"}, cautions(plan), element("p", None, drill(so_far.texts))),
        facts(pairs),
        element("p", None, " ".join(summary(plan, so_far.job))),
        _timetable(plan) if plan.stops else None,
        element("section", {"class": "keep"}, turning_chart(plan), element("p", {"class": "quiet"}, KEY))
        if plan.stops
        else None,
        element("ul", {"class": "quiet"}, [element("li", None, notice.text) for notice in plan.notices])
        if plan.notices
        else None,
    )


def _timetable(plan: Plan) -> Markup:
    rows = []
    for number, (stop, said) in enumerate(zip(plan.stops, stop_words(plan), strict=True), start=1):
        do = [
            element(
                "div", None, element("strong", None, f"{BOX} {what}" if stop.tasks else what), element("span", None, meaning)
            )
            for what, meaning in said.large
        ]
        if said.on_the_way:
            do.insert(0, element("div", {"class": "way"}, said.on_the_way))
        rows.append((number, _turn(stop), do))
    return table(["Stop", "Turn, flywheel at", "Do"], rows, caption="Timetable of the turning", css="station")


def _turn(stop: Stop) -> list[Markup]:
    """Where to turn to, and above it which way and how far."""
    mark = f"{_AHEAD if stop.direction == AHEAD else _ASTERN} " if stop.turn_deg else ""
    css = "turn other" if stop.direction == ASTERN else "turn"
    return [element("div", {"class": css}, f"{mark}{turn_words(stop)}"), element("strong", None, angle(stop.flywheel_deg))]
