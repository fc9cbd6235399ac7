"""A turning plan for a terminal: what it costs, then stop after stop. At most 80 columns."""

from __future__ import annotations

from collections.abc import Iterator

from calc.job.direction import ANGLES
from calc.job.model import AHEAD, ASTERN, Job
from calc.plan.turning.timetable import Plan
from calc.show.terminal import Style, notice_lines, paragraph
from calc.show.turning_words import angle, caution_words, stop_words, summary, turn_words

_INDENT = " " * 33


def report(plan: Plan, job: Job, colour: bool = False) -> str:
    """The whole plan as lines of text.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> from calc.plan.turning.request import request_of
    >>> from calc.plan.turning.solve import ways
    >>> from calc.plan.turning.timetable import plan_of
    >>> job = read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8"))
    >>> request = request_of(job, sets=1, units=[1])
    >>> *_, last = ways(request)
    >>> print(report(plan_of(job, request, last), job).splitlines()[0])
    Turning plan: 1 unit, 1 gauge set, ahead and astern
    """
    style = Style(colour)
    lines = [style.strong(title(plan))]
    head = [each for each in (job.title, job.vessel, job.date) if each]
    if head:
        lines += paragraph(" · ".join(head))
    if plan.direction != AHEAD:
        lines.append(f"{plan.direction.capitalize()}. {ANGLES[plan.direction]}")
    if job.demo:
        lines.append("Demo: ship and numbers are invented.")
    lines.append("")
    for words in summary(plan, job):
        lines += paragraph(words)
    lines.append("")
    if plan.stops:
        for words in caution_words(plan):
            lines += paragraph(words)
        lines += ["", *_table(plan, style), ""]
    if plan.notices:
        lines += [*notice_lines(plan.notices, style), ""]
    lines.append(plan.program)
    return "\n".join(lines)


def title(plan: Plan) -> str:
    """What the plan is for, in a line.

    >>> title(Plan(units=(1, 2), sets=2, ahead_only=True))
    'Turning plan: 2 units, 2 gauge sets, ahead only'
    """
    units = "1 unit" if len(plan.units) == 1 else f"{len(plan.units)} units"
    sets = "1 gauge set" if plan.sets == 1 else f"{plan.sets} gauge sets"
    ways = f"{plan.direction} only" if plan.ahead_only else f"{AHEAD} and {ASTERN}"
    return f"Turning plan: {units}, {sets}, {ways}"


def _table(plan: Plan, style: Style) -> Iterator[str]:
    yield style.strong("Stop  Flywheel  Turn             Do")
    for number, (stop, words) in enumerate(zip(plan.stops, stop_words(plan), strict=True), start=1):
        first = f"{number:>4}  {angle(stop.flywheel_deg):>8}  {turn_words(stop):<15}  "
        for sentence in words.lines:
            yield from paragraph(sentence, first, _INDENT)
            first = _INDENT
