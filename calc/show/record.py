"""The record of a job on paper: one self-contained HTML file, worth filing, for class, the office and the next engineer.

Its first page is the summary for a surveyor. Every figure comes from the findings; every reading and every text stands as
it was entered. A section without content is left out, but for those whose absence matters: they say so in a line.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from calc.findings import Correction, Findings, Notice, UnitFindings
from calc.job import steps
from calc.job.form import spread
from calc.job.model import AS_FOUND, AS_LEFT, SOUND, Adjustment, Job
from calc.job.words import spans_words
from calc.job.write import job_to_tree
from calc.measure.conformity import WITHIN
from calc.show import charts
from calc.show.marks import WORDS, labelled
from calc.show.markup import Markup, element, joined
from calc.show.paper import NOTHING, document, facts, heading, table
from calc.show.record_entries import drafts_section, readings_section, settings_section
from calc.show.record_moved import checked_by_restorer, confirmations_section, positions_section
from calc.show.record_unit import brief, left_alone, turned_brief, unit_section, verdict_of, was_turned
from calc.show.record_work import Stages, handover_section, inspection_section, parameters_section, people, service_section
from calc.work.progress import DONE, NOT_NEEDED, STATES, Progress, StepState, progress
from calc.work.sheet import Worksheet

TITLE = "Record of injection timing"
_MOST_WIDE_ROWS = 12  # The picture of more units is narrow, so that the summary stays one page.
_MOST_REASONS = 3  # Of each step; the worksheet lists them all.

_ASSUMED = "fallback"


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
    texts = spread(job_to_tree(job))
    how = progress(texts, findings)
    done = _done(job)
    stages = {number: (found, left) for number, found, left in _by_unit(findings, done)}
    name = ", ".join(each for each in (TITLE, job.vessel, job.date) if each)
    return document(
        name,
        findings.job.checksum,
        _summary_page(findings, job, how, stages, done),
        _units(stages, done),
        inspection_section(job),
        positions_section(job, Worksheet(texts)),
        confirmations_section(job),
        service_section(job),
        readings_section(job),
        _around(findings, job),
        settings_section(job),
        _notices(findings),
        drafts_section(job),
        handover_section(job.handover),
        _still_open(how),
        parameters_section(job, stages),
        _signatures(job, how),
    )


def _around(findings: Findings, job: Job) -> Markup | None:
    """What was measured around the check. Few jobs have it, so others do not wait for what it needs."""
    if job.tdc_check is None and not job.cam_surveys and not job.index_readings:
        return None
    from calc.show.record_around import around_section

    return around_section(job, findings)


def _done(job: Job) -> dict[int, dict[str, Adjustment]]:
    """What was done to each unit, by part."""
    done: dict[int, dict[str, Adjustment]] = {}
    for each in job.adjustments or ():
        done.setdefault(each.unit, {})[each.part] = each
    return done


def _by_unit(findings: Findings, done: Mapping[int, object]) -> Iterator[tuple[int, UnitFindings | None, UnitFindings | None]]:
    """Each unit that was read or turned, with its findings as found and as left."""
    for number in sorted({unit.unit for unit in findings.units} | set(done)):
        stages = {unit.stage: unit for unit in findings.units if unit.unit == number}
        yield number, stages.get(AS_FOUND), stages.get(AS_LEFT)


def _units(stages: Mapping[int, Stages], done: Mapping[int, Mapping[str, Adjustment]]) -> Markup | None:
    """Each unit: those with something to do first, then those that are left alone, two side by side."""
    if not stages:
        return None
    wide: list[Markup] = []
    narrow: list[Markup] = []
    for number, both in stages.items():
        parts = done.get(number, {})
        (narrow if left_alone(*both, parts) else wide).append(unit_section(number, *both, parts))
    pairs = [element("div", {"class": "pair"}, narrow[at : at + 2]) for at in range(0, len(narrow), 2)]
    return element(
        "section",
        {"class": "page"},
        element("h2", None, "Each unit"),
        wide,
        element("h2", None, "Units that are left alone") if wide and narrow else None,
        pairs,
    )


# ---------------------------------------------------------------- the first page


def _summary_page(
    findings: Findings,
    job: Job,
    how: Progress,
    stages: Mapping[int, Stages],
    done: Mapping[int, Mapping[str, Adjustment]],
) -> Markup:
    head = findings.job
    paper = job.paper
    pairs = [
        ("Ship", head.vessel),
        ("Date of the check", head.date),
        ("Job", head.title),
        ("Running hours", None if head.running_hours is None else f"{head.running_hours:g} h"),
        ("Why it was due", job.reason),
        ("Direction", job.direction),
        ("Reference settings from", job.reference.source),
        ("Fuel index of the check", f"{job.reference.fuel_index:g}"),
        ("Tolerance of an angle", f"±{job.reference.angle_tolerance_deg:g}°"),
        ("Permit to work", paper and paper.permit),
        ("Plunger gauge", _gauge(job.instruments.plunger_gauge.serial, job.instruments.plunger_gauge.calibrated)),
        ("Valve gauge", _gauge(job.instruments.valve_gauge.serial, job.instruments.valve_gauge.calibrated)),
        ("Whole job checked by", paper and paper.checked_by),
        ("Program", findings.program),
    ]
    rows = [
        (number, *(verdict_of(stage) for stage in both), _correction(both, done.get(number, {})))
        for number, both in stages.items()
    ]
    picture = charts.strip(findings.units, job.reference.angle_tolerance_deg) if findings.units else None
    return element(
        "section",
        {"class": "summary"},
        heading(job, TITLE),
        facts((name, NOTHING if value is None else value) for name, value in pairs),
        element("p", {"class": "answer"}, labelled(findings.summary.verdict), element("br"), findings.summary.text),
        element("p", {"class": "complete"}, _complete_words(how)),
        facts(_what_was_done(job, findings, stages, done), css="wide"),
        element(
            "div",
            {"class": "side" if len(rows) <= _MOST_WIDE_ROWS else "side many"},
            element("div", None, picture, _key()),
            table(["Unit", "As found", "As left", "Push rod or cam turned"], rows),
        )
        if picture
        else element("p", None, "There is no reading in this job."),
        element(
            "p",
            {"class": "quiet"},
            "Each verdict holds at 95 %, doubt of the readings included (JCGM 106:2012; ISO 14253-1:2017). "
            "Check sum of the job (SHA-256): ",
            element("span", {"class": "sum"}, findings.job.checksum),
            f". Worked on with {job.written_by}" if job.written_by else None,
        ),
    )


def _gauge(serial: str | None, calibrated: str | None) -> str:
    return f"{serial or 'no serial'}, calibrated {calibrated or '?'}" if serial or calibrated else "not noted"


def _complete_words(how: Progress) -> str:
    """Whether the job is complete, and else in which steps how much is open."""
    count = [f"{each.title.lower()} {len(each.missing)}" for each in how.steps if each.missing]
    return how.text if how.complete else f"{how.text} Open entries: {', '.join(count)}."


def _what_was_done(
    job: Job, findings: Findings, stages: Mapping[int, Stages], done: Mapping[int, Mapping[str, Adjustment]]
) -> Iterator[tuple[str, object]]:
    """What else a surveyor asks: cut-out, what was changed, worn parts, and whether everything is back."""
    turned = [unit for unit, parts in sorted(done.items()) if any(was_turned(each) for each in parts.values())]
    yield "Opening at index 0", _openings(job, stages, turned)
    new = sorted({each.unit for each in job.inspections or () if each.new_serial})
    changed = [f"turned: {spans_words(turned)}" if turned else "", f"new parts: {spans_words(new)}" if new else ""]
    yield "Timing or parts changed", ", ".join(each for each in changed if each) or "nothing is written down"
    bad = sorted({each.unit for each in job.inspections or () if each.condition not in (None, SOUND)})
    seen = spans_words(sorted({each.unit for each in job.inspections or () if each.condition}))
    yield (
        "Inspection",
        "not written down" if not job.inspections else f"worn or damaged: {spans_words(bad)}" if bad else f"sound: {seen}",
    )
    yield "Moved and put back", _put_back(job)


def _openings(job: Job, stages: Mapping[int, Stages], turned: Sequence[int]) -> str:
    """Of each unit the last opening at index 0, by verdict. What was read before a unit was turned proves nothing of it."""
    by_verdict: dict[str, list[int]] = {}
    for number in range(1, job.engine.units + 1):
        found, left = stages.get(number, (None, None))
        opening = left and left.cut_out
        words = "not read again after it was turned" if number in turned else "not read"
        if opening is None and number not in turned:
            opening = found and found.cut_out
        if opening is not None:
            words = WORDS[opening.verdict].lower() if opening.verdict else "read, no limit entered"
        by_verdict.setdefault(words, []).append(number)
    return "; ".join(
        f"{words}: {'all units' if len(numbers) == job.engine.units else spans_words(numbers)}"
        for words, numbers in by_verdict.items()
    )


def _put_back(job: Job) -> str:
    rows = [each for each in job.positions or () if not each.not_needed]
    if not rows:
        return "not written down"
    restored = sum(bool(each.restored) for each in rows)
    checked = sum(bool(each.restored and each.checked_by) and not checked_by_restorer(each) for each in rows)
    return f"{len(rows)} moved, {restored} put back, {checked} checked by another person"


def _key() -> Markup:
    return element(
        "p",
        {"class": "quiet"},
        "Start above end. Hollow: as found. Filled: as left. Whisker: 95 % range. Band: tolerance.",
    )


def _correction(stages: Stages, done: Mapping[str, Adjustment]) -> str:
    """What was turned; where nothing was, what was worked out. That a rod is a push rod stands in the table's head."""
    turned = [turned_brief(each) for each in done.values() if was_turned(each)]
    asked = [brief(each) + (" (held)" if each.held else "") for each in _asked_for(*stages)]
    words = ", ".join(turned or asked).replace(" push rod", "")
    return f"Not done: {words}" if asked and not turned else words or NOTHING


def _asked_for(*stages: UnitFindings | None) -> tuple[Correction, ...]:
    """What was worked out in the first stage that asks for a correction. A unit that is within is left alone."""
    return next((unit.corrections for unit in stages if unit and unit.corrections and unit.verdict != WITHIN), ())


# ---------------------------------------------------------------- notices, what is open, signatures


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


def _still_open(how: Progress) -> Markup | None:
    """The steps in which something is open, with the first reasons; None where the job is complete."""
    if how.complete:
        return None
    settled = [f"{each.title} ({STATES[each.state]})" for each in how.steps if each.state in (DONE, NOT_NEEDED)]
    return joined(
        element("h2", None, "Still open"),
        open_steps(how),
        element("p", {"class": "quiet"}, f"Nothing open: {', '.join(settled)}.") if settled else None,
    )


def open_steps(how: Progress) -> Markup:
    """A row for each step in which something is open: how far it is, how much is open, the first reasons."""
    rows = [
        (each.title, STATES[each.state], f"{len(each.missing)} open. {_reasons(each)}") for each in how.steps if each.missing
    ]
    return table(["Step", "State", "What is open"], rows, css="quiet steps")


def _reasons(state: StepState) -> str:
    first = " ".join(each.text for each in state.missing[:_MOST_REASONS])
    more = len(state.missing) - _MOST_REASONS
    return f"{first} And {more} more." if more > 0 else first


def _signatures(job: Job, how: Progress) -> Markup:
    """A line for each act that this job has."""
    paper = job.paper
    named = dict.fromkeys(("commander", "readings_by", "correction_by", "left_by", "cut_out_by", "checked_by"), "")
    named |= {name: getattr(paper, name, None) or "" for name in named}
    positions = job.positions or ()
    needed = {each.code for each in how.steps if each.state != NOT_NEEDED}
    acts = [
        ("Made safe, permit open", people([each.by for each in job.confirmations or () if each.code == "permit"]), ""),
        ("Turning commanded", named["commander"], ""),
        ("Positions as found written down", people([each.found_by for each in positions]), ""),
        ("Readings as found", named["readings_by"], ""),
        ("Correction", named["correction_by"], steps.CORRECTION),
        ("Readings as left", named["left_by"], steps.LEFT),
        ("Cut-out checks", named["cut_out_by"], ""),
        ("Everything moved put back", people([each.restored_by for each in positions]), ""),
        ("Final check of it, by another person", people([each.checked_by for each in positions]), ""),
        ("Whole job checked, by another person than the one who corrected", named["checked_by"], ""),
    ]
    return element(
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
            [(act, name, "", "") for act, name, step in acts if name or not step or step in needed],
            css="write acts",
        ),
    )
