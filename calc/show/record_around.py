"""What was measured around the check, as the record shows it: TDC check, cam surveys, spill lifts over the fuel index."""

from __future__ import annotations

from collections.abc import Sequence

from calc.findings import Findings, UnitFindings
from calc.job.describe import fields_of
from calc.job.model import STAGES, Job, TdcCheck
from calc.show.around import tdc_words
from calc.show.markup import Markup, element, joined
from calc.show.paper import NOTHING, facts, raw, table
from calc.show.record_entries import value_words

_MOST_ROWS = 60  # A longer table stays in the job file; the check sum vouches for it.


def around_section(job: Job, findings: Findings) -> Markup:
    """Every pair and row as entered, and what it says."""
    return joined(
        element("h2", None, "Measured around the check"),
        element(
            "p",
            {"class": "quiet"},
            "The readings are judged as read. What stands here changes no number of theirs and no verdict.",
        ),
        None if job.tdc_check is None else _tdc(job.tdc_check, findings),
        _surveys(job, findings),
        _lines(job, findings),
    )


def _rows(rows: Sequence[tuple[float, float]], first: str, second: str) -> str:
    if len(rows) > _MOST_ROWS:
        return f"{len(rows)} rows, from {raw(rows[0][0])}{first} to {raw(rows[-1][0])}{first}; they stand in the job file."
    return "; ".join(f"{raw(one)}{first}: {raw(other)}{second}" for one, other in rows)


def _tdc(check: TdcCheck, findings: Findings) -> Markup:
    fields = {field.name: field for field in fields_of(TdcCheck)}
    pairs = (
        []
        if check.pairs is None
        else [("Pairs, before and after", "; ".join(f"{raw(a)}° and {raw(b)}°" for a, b in check.pairs))]
    )
    entered = [
        (field.label[:1].upper() + field.label[1:], value_words(field, value))
        for field in (fields["mark_deg"], fields["pointer_set"])
        if (value := getattr(check, field.name)) is not None
    ]
    said = [] if findings.tdc_check is None else list(tdc_words(findings.tdc_check))
    return element(
        "div",
        {"class": "keep"},
        element("h3", None, "TDC check by equal piston heights"),
        facts([*pairs, *entered, *said], css="wide"),
    )


def _surveys(job: Job, findings: Findings) -> Markup | None:
    if not job.cam_surveys:
        return None
    said = {unit.unit: unit.cam_survey.text for unit in findings.units if unit.cam_survey is not None}
    rows = [(each.unit, _rows(each.measured, "°", " mm"), said.get(each.unit, NOTHING)) for each in job.cam_surveys]
    return joined(element("h3", None, "Cam surveys"), table(["Unit", "Crank angle: lift", "What it says"], rows, css="quiet"))


def _lines(job: Job, findings: Findings) -> Markup | None:
    if not job.index_readings:
        return None
    said = {_key(unit): unit.index_line.text for unit in findings.units if unit.index_line is not None}
    rows = [
        (each.unit, STAGES[each.stage], _rows(each.points, "", " mm"), said.get((each.unit, each.stage), NOTHING))
        for each in job.index_readings
    ]
    heads = ["Unit", "Stage", "Fuel index: spill lift", "What it says"]
    return joined(element("h3", None, "Spill lift over fuel index"), table(heads, rows, css="quiet"))


def _key(unit: UnitFindings) -> tuple[int, str]:
    return unit.unit, unit.stage
