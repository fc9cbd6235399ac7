"""The record of a job on paper: one self-contained HTML file, worth filing, for class, the office and the next engineer.

Its first page is the summary for a surveyor. Every figure comes from the findings; every reading stands as it was entered.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from calc.findings import AfterCorrection, CamCorrection, Correction, Deviation, Event, Findings, Notice, UnitFindings
from calc.job.describe import CHOICE, FLAG, NUMBER, NUMBERS, RECORD, TEXT, WHOLE, WHOLES, Field, fields_of
from calc.job.model import (
    AS_FOUND,
    AS_LEFT,
    ASTERN,
    EVENTS,
    METHODS,
    SPILL_OPENING,
    STAGES,
    SUCTION_CLOSING,
    Job,
    Node,
    Reading,
    lists_of,
)
from calc.job.words import angle_words, flats_words, late_words, plain, signed
from calc.judge.say import ROD_WORDS
from calc.judge.unit import EVENT_OF
from calc.measure.conformity import WITHIN
from calc.show import charts
from calc.show.marks import labelled
from calc.show.markup import Markup, element, joined
from calc.show.page import CAUSE_WORDS, SIGNAL_WORDS, size_words
from calc.show.paper import document, facts, heading, table

TITLE = "Record of injection timing"
NOTHING = "—"
_MOST_WIDE_ROWS = 12  # The picture of more units is narrow, so that the summary stays one page.
_MOST_CAM_ROWS = 60  # A longer table stays in the job file; the check sum vouches for it.

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
    name = ", ".join(each for each in (TITLE, job.vessel, job.date) if each)
    return document(
        name,
        findings.job.checksum,
        _summary_page(findings, job),
        element("section", {"class": "page"}, element("h2", None, "Each unit"), [_unit(*each) for each in _by_unit(findings)]),
        _readings(job),
        _settings(job),
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
        ("Tolerance of an angle", f"±{job.reference.angle_tolerance_deg:g}°"),
        ("Fuel index of the check", f"{job.reference.fuel_index:g}"),
        ("Reference settings from", job.reference.source),
        ("Permit to work", job.paper and job.paper.permit),
        ("Program", findings.program),
    ]
    rows = [
        (
            number,
            *(_short(stage) for stage in stages),
            ", ".join(_brief(each) for each in _asked_for(*stages)).capitalize() or NOTHING,
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


def _short(unit: UnitFindings | None) -> object:
    return NOTHING if unit is None else labelled(unit.verdict)


def _between(parts: Sequence[object], separator: Markup) -> list[object]:
    return [each for part in parts for each in (separator, part)][1:]


def _asked_for(*stages: UnitFindings | None) -> tuple[Correction, ...]:
    """What was worked out in the first stage that asks for a correction. A unit that is within is left alone."""
    return next((unit.corrections for unit in stages if unit and unit.corrections and unit.verdict != WITHIN), ())


def _brief(each: Correction) -> str:
    """A correction in a few words, for a table of all units."""
    if isinstance(each, CamCorrection):
        return f"cam {plain(abs(each.change_deg), 2)}° {'earlier' if each.change_deg < 0 else 'later'}"
    return f"{ROD_WORDS[each.part]} {plain(abs(each.change_mm), 3)} mm {'longer' if each.change_mm > 0 else 'shorter'}"


def _correction_words(each: Correction) -> str:
    flats = None if isinstance(each, CamCorrection) else each.hand_flats
    words = _brief(each)
    return f"{words[:1].upper()}{words[1:]}{'' if flats is None else f', {flats_words(flats)}'}"


# ---------------------------------------------------------------- one unit


def _figure(unit: UnitFindings, path: str, value: float, words: str) -> Markup:
    """A figure for people, with all its digits for whoever compares paper and findings."""
    return element("data", {"value": repr(value), "data-of": f"{unit.unit}/{unit.stage}/{path}"}, words)


def _unit(number: int, found: UnitFindings | None, left: UnitFindings | None) -> Markup:
    """One unit: as found, correction, as left, side by side."""
    both = (found, left)
    asked = next((unit for unit in both if unit is not None and unit.corrections), None)
    after = None if asked is None else asked.after_by_hand or asked.after_correction
    rows: list[tuple[object, ...]] = [
        ("Start of delivery", *_in_three("beginning", SUCTION_CLOSING, both, asked, after)),
        ("End of delivery", *_in_three("end", SPILL_OPENING, both, asked, after)),
        ("Own cam position", _cam(found), _planned(asked, None), _cam(left)),
        (
            "Effective stroke",
            _deviation(found, "effective_stroke_mm", " mm"),
            _after(asked, after, "effective_stroke_mm"),
            _deviation(left, "effective_stroke_mm", " mm"),
        ),
        (
            "Delivery angle",
            _deviation(found, "delivery_angle_deg", "°"),
            NOTHING,
            _deviation(left, "delivery_angle_deg", "°"),
        ),
        ("Opening at index 0", _cut_out(found), _after(asked, after, "zero_index_opening_mm"), _cut_out(left)),
        ("Lift-off clearance", _lift_off(found), NOTHING, _lift_off(left)),
        ("Causes", _causes(found), NOTHING, _causes(left)),
    ]
    answers = [
        element("p", None, element("strong", None, f"{STAGES[unit.stage].capitalize()}. "), _stop(unit), unit.text)
        for unit in both
        if unit is not None
    ]
    shown = [row for row in rows if any(cell != NOTHING for cell in row[1:])]
    return element(
        "section",
        {"class": "keep", "id": f"unit-{number}"},
        element("h3", None, f"Unit {number}"),
        table(["What", _head(AS_FOUND, found), "Correction worked out", _head(AS_LEFT, left)], shown, css="three"),
        answers,
    )


def _head(stage: str, unit: UnitFindings | None) -> Markup:
    name = STAGES[stage].capitalize()
    return joined(name) if unit is None else joined(f"{name} ", labelled(unit.verdict))


def _in_three(
    name: str,
    event: str,
    both: tuple[UnitFindings | None, UnitFindings | None],
    asked: UnitFindings | None,
    after: AfterCorrection | None,
) -> tuple[object, object, object]:
    found, left = (_event(unit, name) for unit in both)
    return found, joined(_planned(asked, event), _expected(asked, after, name)) or NOTHING, left


def _event(unit: UnitFindings | None, name: str) -> object:
    event: Event | None = getattr(unit, name, None)
    if unit is None or event is None:
        return NOTHING
    return joined(
        _figure(unit, f"{name}/angle_deg", event.angle_deg, angle_words(round(event.angle_deg, 2))),
        ", ",
        _figure(unit, f"{name}/deviation_deg", event.deviation_deg, late_words(event.deviation_deg)),
        " ",
        _figure(unit, f"{name}/expanded_deg", event.expanded_deg, f"±{plain(event.expanded_deg, 2)}°"),
        element("br"),
        "lift ",
        _figure(unit, f"{name}/lift_mm", event.lift_mm, f"{plain(event.lift_mm, 3)} mm"),
        " (",
        _figure(unit, f"{name}/lift_deviation_mm", event.lift_deviation_mm, signed(event.lift_deviation_mm, 3)),
        f" ±{plain(1.96 * event.u_lift_mm, 3)})",
        element("br"),
        labelled(event.verdict),
    )


def _planned(asked: UnitFindings | None, event: str | None) -> Markup | str:
    """The corrections of one event's rod, or of the cam where the event is None."""
    words = [
        _correction_words(each)
        for each in (asked.corrections if asked else ())
        if (None if isinstance(each, CamCorrection) else EVENT_OF[each.part]) == event
    ]
    if words:
        return joined(*_between(words, element("br")))
    return NOTHING if event is None else Markup("")


def _expected(asked: UnitFindings | None, after: AfterCorrection | None, name: str) -> Markup | None:
    value = None if after is None else getattr(after, f"{name}_deviation_deg")
    if asked is None or value is None:
        return None
    brief = Markup("") if not _planned(asked, SUCTION_CLOSING if name == "beginning" else SPILL_OPENING) else element("br")
    return joined(brief, f"then {late_words(value)}")


def _after(asked: UnitFindings | None, after: AfterCorrection | None, name: str) -> str:
    value = None if asked is None or after is None else getattr(after, name)
    return NOTHING if value is None else f"then {plain(value, 2)} mm"


def _cam(unit: UnitFindings | None) -> object:
    part = None if unit is None else unit.own_cam_part_deg
    if unit is None or part is None:
        return NOTHING
    return joined(_figure(unit, "own_cam_part_deg/value", part.value, late_words(part.value)), f" ±{plain(1.96 * part.u, 2)}°")


def _deviation(unit: UnitFindings | None, name: str, sign: str) -> object:
    value: Deviation | None = getattr(unit, name, None)
    if unit is None or value is None:
        return NOTHING
    return joined(
        _figure(unit, f"{name}/value", value.value, f"{plain(value.value, 2)}{sign}"),
        " (",
        _figure(unit, f"{name}/deviation", value.deviation, signed(value.deviation, 2)),
        f" ±{plain(1.96 * value.u, 2)})",
    )


def _cut_out(unit: UnitFindings | None) -> object:
    found = None if unit is None else unit.cut_out
    if unit is None or found is None:
        return NOTHING
    index = None
    if found.zero_delivery_index is not None:
        index = joined(
            ", no delivery below index ",
            _figure(unit, "cut_out/zero_delivery_index", found.zero_delivery_index, plain(found.zero_delivery_index, 2)),
        )
    return joined(
        _figure(unit, "cut_out/opening_mm", found.opening_mm, f"{plain(found.opening_mm, 2)} mm"),
        _limit(found.limit_mm, found.verdict),
        index,
    )


def _lift_off(unit: UnitFindings | None) -> object:
    found = None if unit is None else unit.lift_off
    if unit is None or found is None:
        return NOTHING
    return joined(
        _figure(unit, "lift_off/clearance_mm", found.clearance_mm, f"{plain(found.clearance_mm, 2)} mm"),
        _limit(found.limit_mm, found.verdict),
    )


def _limit(limit_mm: float | None, verdict: str | None) -> Markup | None:
    if limit_mm is None or verdict is None:
        return None
    return joined(f", at least {plain(limit_mm, 2)} mm: ", labelled(verdict))


def _causes(unit: UnitFindings | None) -> object:
    if unit is None or not unit.causes:
        return NOTHING
    return joined(*_between([f"{CAUSE_WORDS[each.code]}: {size_words(each)}" for each in unit.causes], element("br")))


def _stop(unit: UnitFindings) -> Markup | None:
    said = unit.judged.said if unit.judged else None
    return None if said is None or said.level is None else element("strong", None, f"{SIGNAL_WORDS[said.level]}: ")


# ---------------------------------------------------------------- readings


def raw(value: float) -> str:
    """A number as the job file holds it, with a true minus sign.

    >>> raw(12.305), raw(-4.5), raw(60)
    ('12.305', '−4.5', '60')
    """
    return repr(value).replace("-", "−")


def _raw_angle(value: float) -> str:
    return f"{raw(abs(value))}° {'before' if value < 0 else 'after'}" if value else "at TDC"


def _readings(job: Job) -> Markup | None:
    if not job.readings:
        return None
    order = list(EVENTS)
    placed = sorted(enumerate(job.readings), key=lambda each: (each[1].unit, each[1].stage, order.index(each[1].event)))
    rows = [
        (
            reading.unit,
            STAGES[reading.stage],
            EVENTS[reading.event],
            METHODS.get(reading.method or "", NOTHING),
            _direction(reading),
            element("span", {"data-reading": j}, _repeats(reading)),
            _angles(reading),
            _remarks(reading),
        )
        for j, reading in placed
    ]
    return joined(
        element("h2", None, "Readings as entered"),
        element(
            "p",
            {"class": "quiet"},
            "Repeats stand in the order in which they were entered. Angles count from the unit's own TDC. "
            "Where no direction was entered, ahead counts.",
        ),
        table(
            [
                "Unit",
                "Stage",
                "Event",
                "Way of reading",
                "Reached turning",
                "Lift, valve reading or clearance, mm",
                "Crank angle",
                "Noted",
            ],
            rows,
            css="quiet readings",
        ),
    )


def _direction(reading: Reading) -> str:
    if reading.reached is None:
        return NOTHING
    return "astern: not judged" if reading.reached == ASTERN else "ahead"


def _repeats(reading: Reading) -> str:
    described = {field.name: field for field in fields_of(Reading)}
    parts = []
    for name, field in described.items():
        values = getattr(reading, name)
        if field.kind != NUMBERS or field.angle or values is None:
            continue
        noun = "" if name in lists_of(reading.event, reading.method)[:1] else f"{field.label} "
        parts.append(noun + "; ".join(raw(each) for each in values))
    return " / ".join(parts)


def _angles(reading: Reading) -> str:
    return "; ".join(_raw_angle(each) for each in reading.crank_angle_deg) if reading.crank_angle_deg else NOTHING


def _remarks(reading: Reading) -> str:
    parts = [reading.gauges, None if reading.temperature_c is None else f"engine {raw(reading.temperature_c)} °C"]
    return ", ".join(part for part in parts if part) or NOTHING


# ---------------------------------------------------------------- settings and instruments


def _settings(job: Job) -> Markup:
    reference = job.reference
    columns = [field for field in fields_of(type(reference.units[0])) if field.name != "unit"] if reference.units else []
    rows = [(unit.unit, *(_value(field, getattr(unit, field.name)) for field in columns)) for unit in reference.units]
    gauges = [
        (field.label.capitalize(), getattr(job.instruments, field.name))
        for field in fields_of(type(job.instruments))
        if field.kind == RECORD
    ]
    return joined(
        element("div", {"class": "keep"}, element("h2", None, "Reference settings"), facts(_described(reference))),
        table(["Unit", *(field.label.capitalize() for field in columns)], rows, css="quiet"),
        element("div", {"class": "keep"}, element("h2", None, "Instruments"), facts(_described(job.instruments))),
        [
            element(
                "div", {"class": "keep"}, element("h3", None, name), facts(_described(gauge, blanks=("serial", "calibrated")))
            )
            for name, gauge in gauges
        ],
        element("div", {"class": "keep"}, element("h2", None, "Engine and fuel"), facts(_described(job.engine))),
        _cam_table(job),
        None if job.fuel is None else facts(_described(job.fuel)),
    )


def _described(node: Node, blanks: tuple[str, ...] = ()) -> Iterator[tuple[str, str]]:
    """Every field of a record that holds something, in its own words; `blanks` are shown even when empty, to write in."""
    for field in fields_of(type(node)):
        value = getattr(node, field.name)
        if field.kind in (NUMBER, WHOLE, NUMBERS, WHOLES, TEXT, CHOICE, FLAG) and (value is not None or field.name in blanks):
            yield field.label[:1].upper() + field.label[1:], "……………………" if value is None else _value(field, value)


def _value(field: Field, value: object) -> str:
    """A value as paper shows it, with its unit."""
    if value is None:
        return NOTHING
    if isinstance(value, bool):
        return field.choices["true" if value else "false"]
    if field.kind == CHOICE:
        return field.choices[str(value)]
    if isinstance(value, tuple):
        return " ".join(f"{raw(each)}{'°' if field.unit == '°' else ''}" for each in value)
    if not isinstance(value, (int, float)):
        return str(value)
    if field.angle:
        return f"{_raw_angle(value)} TDC" if value else "at TDC"
    return f"{raw(value)}{'' if field.unit in ('', '°') else ' '}{field.unit}"


def _cam_table(job: Job) -> Markup | None:
    rows = job.engine.cam_lift_table
    if not rows:
        return None
    if len(rows) > _MOST_CAM_ROWS:
        words = f"{len(rows)} rows, from {_raw_angle(rows[0][0])} to {_raw_angle(rows[-1][0])}; they stand in the job file."
    else:
        words = "; ".join(f"{_raw_angle(angle)}: {raw(lift)} mm" for angle, lift in rows) + "."
    return element("p", {"class": "quiet"}, element("strong", None, "Cam lift table. "), words)


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
        (number, joined(*_between([_correction_words(each) for each in asked], element("br"))) or NOTHING, "", "", "")
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
