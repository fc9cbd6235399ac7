"""Worksheets to ask: the texts of an invented job, filled in as far as a test wants it."""

from calc.findings import Findings
from calc.job import steps
from calc.job.catalogue import INSPECTED
from calc.job.describe import fields_of
from calc.job.form import compose, spread
from calc.job.model import Arrangement
from calc.job.read import job_from_tree
from calc.judge.assess import assess
from calc.work.progress import Progress, progress
from calc.work.sheet import Worksheet
from tests.invented import UNITS, Tree, engine_job

Texts = dict[str, str]


def texts_of(tree: Tree) -> Texts:
    """The form's texts of a job, with the questions about the engine answered with no."""
    questions = {f"arrangement.{field.name}": "no" for field in fields_of(Arrangement)}
    return {**questions, **spread(tree)}


def found_in(texts: Texts) -> Findings:
    """The findings of what is typed."""
    return assess(job_from_tree(compose(texts).tree))


def how_far(texts: Texts) -> Progress:
    """How far the job is."""
    return progress(texts, found_in(texts))


def confirm(texts: Texts, *codes: str, step: str = "") -> None:
    """Sign confirmations: those named, or all of a step."""
    for each in Worksheet(texts).confirmations(step):
        codes += (each.code,)
    for code in codes:
        texts[f"confirmations/{code}/by"] = "R. Senn, 2/E"
        texts[f"confirmations/{code}/at"] = "2026-03-14 09:10"


def whole_job(readings: list[Tree], cut_out: list[Tree], units: int = UNITS) -> Texts:
    """A job in which everything is done that a job without a correction asks for."""
    texts = texts_of(engine_job(units=units, readings=[*readings, *cut_out]))
    texts |= {
        "vessel": "Invented",
        "date": "2026-03-14",
        "running_hours": "41250",
        "reason": "hours",
        "reference.source": "Trial record, sheet 4",
        "paper.permit": "W-17",
        "paper.commander": "R. Senn, 2/E",
        "paper.people": "3",
        "paper.readings_by": "R. Senn, 2/E",
        "paper.cut_out_by": "R. Senn, 2/E",
        "paper.checked_by": "M. Oduya, C/E",
    }
    for unit in Worksheet(texts).units:
        for part in INSPECTED:
            texts[f"inspections/{unit}/{part}/condition"] = "sound"
    for each in Worksheet(texts).positions:
        row = f"positions/{each.code}"
        texts |= {
            f"{row}/as_found": "open",
            f"{row}/found_by": "R. Senn, 2/E",
            f"{row}/restored": "open",
            f"{row}/restored_by": "R. Senn, 2/E",
            f"{row}/checked_by": "M. Oduya, C/E",
        }
    for step in steps.STEPS:
        if step.code not in (steps.CORRECTION, steps.LEFT, steps.RECORD):
            confirm(texts, step=step.code)
    return texts
