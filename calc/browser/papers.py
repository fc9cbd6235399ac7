"""A job on paper and as tables."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from calc.browser.asked import composed_of, file_name, paper_so_far
from calc.job.model import Job
from calc.job.read import examine
from calc.judge.assess import assess


def _paper(asked: dict[str, Any], made: Callable[[Job], str], ending: str) -> dict[str, Any]:
    """A whole job as paper or table: its text, and a name for it; `errors` while the job is not whole.

    Drafts are part of it, so that the check sum is that of the saved file.
    """
    composed = composed_of(asked)
    job, problems = examine(composed.tree)
    if job is None or problems:
        return {"errors": [problem.to_json() for problem in problems]}
    return {"text": made(job), "name": f"{file_name(composed)}{ending}"}


def record(asked: dict[str, Any]) -> dict[str, Any]:
    """The record of a whole job."""
    from calc.show.record import record as paper

    return _paper(asked, lambda job: paper(assess(job), job), "-record.html")


def blank(asked: dict[str, Any]) -> dict[str, Any]:
    """Forms are printed before anything was read: they take a job with gaps."""
    from calc.show.blank import blank_form

    return paper_so_far(asked, blank_form, "-form.html")


def handover(asked: dict[str, Any]) -> dict[str, Any]:
    """Handing over cannot wait for a whole job."""
    from calc.show.handover import handover_page

    return paper_so_far(asked, handover_page, "-handover.html")


def csv(asked: dict[str, Any]) -> dict[str, Any]:
    """Readings; or findings, or one of the job's other lists, where they are asked for."""
    from calc.show.sheet import findings_csv, readings_csv, table_csv

    if asked.get("findings"):
        return _paper(asked, lambda job: findings_csv(assess(job)), "-findings.csv")
    table = asked.get("table")
    if table:
        return _paper(asked, lambda job: table_csv(job, table), f"-{table}.csv")
    return _paper(asked, readings_csv, "-readings.csv")
