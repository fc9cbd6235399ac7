"""The record of a job on paper: one self-contained HTML file, worth filing, for class, the office and the next engineer.

Its first page is the summary for a surveyor. Every figure comes from the findings; every reading stands as it was entered.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from calc.findings import Correction, Findings, Notice, UnitFindings
from calc.job.model import AS_FOUND, AS_LEFT, Job
from calc.measure.conformity import WITHIN
from calc.show import charts
from calc.show.marks import labelled
from calc.show.markup import Markup, element, joined
from calc.show.paper import NOTHING, between, document, facts, heading, table
from calc.show.record_entries import readings_section, settings_section
from calc.show.record_unit import brief, correction_words, unit_section, verdict_of

TITLE = "Record of injection timing"
_MOST_WIDE_ROWS = 12  # The picture of more units is narrow, so that the summary stays one page.

_ASSUMED = "fallback"
_PLACES_TO_WRITE = 8

# Each act has its own signer; the last two need two different people.
_SIGNERS = (
    ("Made safe, permit open", ""),
    ("Readings as found", "readings_by"),
    ("Correction", "correction_by"),
    ("Readings as left", "readings_by"),
    ("Checked", "checked_by"),
    ("Everything moved put back", ""),
    ("Final check, by another person", ""),
)


def record(findings: Findings, job: Job) -> str:
    """The record of a job as one HTML file.

    Parameters: the findings of `assess`, and the job that they came from. Returns: the file's text; it loads nothing, runs
    nothing, and prints on A4.

    >>> from calc import assess, read_job
    >>> from pathlib import Path
    >>> job = read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8"))
    >>> record(assess(job), job)[:15]
    '<!doctype html>'
    """
    units = [unit_section(*each) for each in _by_unit(findings)]
    name = ", ".join(each for each in (TITLE, job.vessel, job.date) if each)
    return document(
        name,
        findings.job.checksum,
        _summary_page(findings, job),
        element("section", {"class": "page"}, element("h2", None, "Each unit"), units) if units else None,
        readings_section(job),
        settings_section(job),
        _notices(findings),
        _parameters(findings),
        _to_write(job),
    )


def _by_unit(findings: Findings) -> Iterator[tuple[int, UnitFindings | None, UnitFindings | None]]:
    """Each unit with its findings as found and as left."""
    for number in sorted({unit.unit for unit in findings.units}):
        stages = {unit.stage: unit for unit in findings.units if unit.unit == number}
        yield number, stages.get(AS_FOUND), stages.get(AS_LEFT)


# ---------------------------------------------------------------- the first page


def _summary_page(findings: Findings, job: Job) -> Markup:
    head = findings.job
    hours = None if head.running_hours is None else f"{head.running_hours:g} h"
    pairs = [
        ("Ship", head.vessel),
        ("Date of the check", head.date),
        ("Job", head.title),
        ("Running hours", hours),
        ("Units", job.engine.units),
        ("Direction", job.direction),
        ("Tolerance of an angle", f"±{job.reference.angle_tolerance_deg:g}°"),
        ("Fuel index of the check", f"{job.reference.fuel_index:g}"),
        ("Reference settings from", job.reference.source),
        ("Permit to work", job.paper and job.paper.permit),
        ("Program", findings.program),
    ]
    rows = [
        (
            number,
            *(verdict_of(stage) for stage in stages),
            ", ".join(brief(each) for each in _asked_for(*stages)).capitalize() or NOTHING,
        )
        for number, *stages in _by_unit(findings)
    ]
    picture = charts.strip(findings.units, job.reference.angle_tolerance_deg) if findings.units else None
    return element(
        "section",
        {"class": "summary"},
        heading(job, TITLE),
        facts((name, NOTHING if value is None else value) for name, value in pairs),
        element("p", {"class": "answer"}, labelled(findings.summary.verdict), element("br"), findings.summary.text),
        element(
            "div",
            {"class": "side" if len(rows) <= _MOST_WIDE_ROWS else "side many"},
            element("div", None, picture, _key()),
            table(["Unit", "As found", "As left", "Correction worked out"], rows),
        )
        if picture
        else element("p", None, "There is no reading in this job."),
        element(
            "p",
            {"class": "quiet"},
            "Each verdict holds at 95 %, doubt of the readings included (JCGM 106:2012; ISO 14253-1:2017). "
            "Check sum of the job (SHA-256): ",
            element("span", {"class": "sum"}, findings.job.checksum),
        ),
    )


def _key() -> Markup:
    return element(
        "p",
        {"class": "quiet"},
        "Start above end. Hollow: as found. Filled: as left. Whisker: 95 % range. Band: tolerance.",
    )


def _asked_for(*stages: UnitFindings | None) -> tuple[Correction, ...]:
    """What was worked out in the first stage that asks for a correction. A unit that is within is left alone."""
    return next((unit.corrections for unit in stages if unit and unit.corrections and unit.verdict != WITHIN), ())


# ---------------------------------------------------------------- notices, papers, signatures


def _notices(findings: Findings) -> Markup:
    assumed = [notice for notice in findings.notices if notice.code == _ASSUMED]
    others = [notice for notice in findings.notices if notice.code != _ASSUMED]
    return joined(
        element("h2", None, "What was assumed"),
        _list(assumed) or element("p", None, "Nothing: every value that the findings rest on was entered."),
        joined(element("h2", None, "Notes on the findings"), _list(others)) if others else None,
    )


def _list(notices: Sequence[Notice]) -> Markup | None:
    items = [element("li", {"data-notice": notice.code}, notice.text) for notice in notices]
    return element("ul", None, items) if items else None


def _parameters(findings: Findings) -> Markup | None:
    """What the emission papers ask for where rods or cams are to be corrected, or were: the timing was read as left."""
    rows = [
        (number, joined(*between([correction_words(each) for each in asked], element("br"))) or NOTHING, "", "", "")
        for number, found, left in _by_unit(findings)
        if (asked := _asked_for(found, left)) or (left is not None and (left.beginning or left.end))
    ]
    if not rows:
        return None
    return element(
        "section",
        {"class": "keep"},
        element("h2", None, "For the engine's record book of parameters"),
        element(
            "p",
            None,
            "Timing and parts are bound by the engine's technical file. It says what may be changed, and it comes first. "
            "Enter each change made (NOx Technical Code 2008, resolution MEPC.177(58), 6.2, parameter check method).",
        ),
        table(["Unit", "Correction worked out", "Change made", "Date", "Entered by"], rows, css="write"),
    )


def _to_write(job: Job) -> Markup:
    names = [(act, getattr(job.paper, name, None) or "" if name else "") for act, name in _SIGNERS]
    pressures = [(number, *[""] * 8) for number in range(1, job.engine.units + 1)]
    return joined(
        element(
            "section",
            {"class": "keep"},
            element("h2", None, "In service, before and after"),
            table(
                [
                    "Unit",
                    *(f"{what}, {when}" for when in ("before", "after") for what in _IN_SERVICE),
                ],
                pressures,
                css="quiet write",
            ),
        ),
        element(
            "section",
            {"class": "keep"},
            element("h2", None, "Moved for this job, and put back"),
            table(
                ["Nr", "What was moved", "Position as found", "Position restored", "By, when"],
                [(place, *[""] * 4) for place in range(1, _PLACES_TO_WRITE + 1)],
                css="write",
            ),
        ),
        element(
            "section",
            {"class": "keep"},
            element("h2", None, "Signatures"),
            element(
                "p",
                None,
                "Each act has its own signer. Who puts back and who makes the final check are two different people.",
            ),
            table(
                ["Act", "Name and rank", "Signature", "Date and time"],
                [(act, name, "", "") for act, name in names],
                css="write",
            ),
        ),
    )


_IN_SERVICE = ("firing pressure", "exhaust temperature", "index", "load")
