"""Worksheets to ask: the texts of an invented job, filled in as far as a test wants it."""

import copy

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
from tests.invented import SPILL, SUCTION, UNITS, Tree, both, clearance, contact, engine_job, opening, rod_error

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


def full_job(units: int) -> Tree:
    """A job in which everything is written down that can be: every unit was off, was turned, and was read again."""
    readings: list[Tree] = []
    for unit in range(1, units + 1):
        readings += [
            rod_error(unit, SUCTION, 0.8 if unit % 2 else -0.9),
            contact(unit, SPILL),
            opening(unit, 1.75),
            clearance(unit, 2.5),
        ]
        readings += [*both(unit, stage="as_left"), opening(unit, 1.75, "as_left"), clearance(unit, 2.5, "as_left")]
    texts = whole_job(readings, [], units)
    confirm(texts, "rods_measured", "record_book", step=steps.LEFT)
    texts |= {
        "title": "Everything written down",
        "paper.correction_by": "R. Senn, 2/E",
        "paper.left_by": "R. Senn, 2/E",
        "handover.reason": "Watch is over",
        "handover.by": "R. Senn, 2/E",
        "handover.to": "M. Oduya, C/E",
        "handover.at": "2026-03-14 20:00",
        "handover.remarks": "Unit 1 runs cool.",
        "runs/before/date": "2026-03-13",
        "runs/before/load_percent": "71.5",
        "runs/after/date": "2026-03-15",
        "runs/after/speed_rpm": "92",
        "instruments.plunger_gauge.serial": "PG-1",
        "instruments.plunger_gauge.calibrated": "2025-11-02",
    }
    for number in range(1, units + 1):
        rod, roller = f"adjustments/{number}/suction_rod", f"inspections/{number}/roller"
        texts |= {
            f"{rod}/length_before_mm": f"41{number}.5",
            f"{rod}/flats_turned": "-1.75",
            f"{rod}/length_after_mm": f"41{number}.0",
            f"{rod}/locked": "yes",
            f"{rod}/by": "R. Senn, 2/E",
            f"{rod}/at": "2026-03-14 11:20",
            f"{rod}/note": "Trial flat as foretold.",
            f"{roller}/finding": "Light mark, under the limit",
            f"{roller}/photos": f"roller-{number}.jpg",
            f"{roller}/action": "Replaced",
            f"{roller}/serial": f"R-{number}",
            f"{roller}/new_serial": f"N-{number}",
        }
        for when, pressure in (("before", "101.5"), ("after", "104")):
            texts |= {
                f"service/{when}/{number}/firing_pressure_bar": pressure,
                f"service/{when}/{number}/exhaust_c": "351",
                f"service/{when}/{number}/fuel_index": "55.5",
            }
    return copy.deepcopy(compose(texts).tree)


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
