"""Findings as HTML for the worksheet. Every text from the job is escaped in `markup`; the page only inserts it."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable
from functools import lru_cache
from typing import Any

from calc.findings import CamCorrection, Cause, Event, Findings, UnitFindings
from calc.job.describe import field_of
from calc.job.direction import ANGLES, named
from calc.job.model import AHEAD, STAGES, Job
from calc.job.words import angle_words, flats_words, late_words, listed, plain, signed
from calc.judge import suspect_words
from calc.judge.say import ROD_WORDS, Said
from calc.judge.settings import settings_of
from calc.measure.conformity import INCOMPLETE
from calc.pump import cause
from calc.show import charts
from calc.show import working as workings
from calc.show.marks import labelled
from calc.show.markup import Markup, element, joined, lettered
from calc.working import Line

SIGNAL_WORDS = {"danger": "Danger", "warning": "Warning"}
SIZE_UNITS = {"mm": " mm", "deg": "°", "index": " index steps"}

CAUSE_WORDS = {
    cause.SUCTION_ROD: "Suction push rod",
    cause.SPILL_ROD: "Spill push rod",
    cause.CAM_POSITION: "This unit's cam position",
    cause.COMMON_SHIFT: "Camshaft drive or flywheel pointer, all units",
    cause.COMMON_SETTING: "A setting that all units share",
    cause.READINGS_DISAGREE: "Start and end contradict each other",
}


def nothing_to_judge(missing: int, errors: int) -> dict[str, Any]:
    """What the findings show while nothing can be judged yet. Parameters: how much is missing, and how much is to mend."""
    if missing:
        still = "1 entry is" if missing == 1 else f"{missing} entries are"
        words = f"{still} still needed before a reading can be judged."
    elif errors:
        words = "Nothing can be judged before what is listed is mended."
    else:
        words = "Enter the engine, then the readings."
    html = element("p", {"class": "sm-answer"}, words)
    return {"verdict": INCOMPLETE, "html": {"summary": html, "strip": "", "notices": "", "units": []}}


def findings(found: Findings, job: Job, whole: bool, first: Container[tuple[int, str]] | None = None) -> dict[str, Any]:
    """All findings of a job as HTML, in the parts that the page inserts.

    Parameters: whole: whether nothing had to be left out of the job; first: the units and stages whose HTML is wanted now,
    that of the others is None; None for all of them.
    """
    verdict = found.summary.verdict if whole else INCOMPLETE
    tolerance = job.reference.angle_tolerance_deg
    strip = charts.strip(found.units, tolerance, linked=True) if found.units else Markup("")
    return {
        "verdict": verdict,
        "html": {
            "summary": joined(
                element("p", {"class": "sm-overall"}, labelled(verdict)),
                _direction(job.direction),
                element("p", {"class": "sm-answer"}, found.summary.text),
                _tdc(found),
                None
                if whole
                else element("p", {"class": "sm-partial"}, "Judged from what is complete so far. More entries can change it."),
            ),
            "strip": strip,
            "notices": _notices(found),
            "units": units(found, job, first),
        },
    }


def units(found: Findings, job: Job, first: Container[tuple[int, str]] | None = None) -> list[dict[str, Any]]:
    """The findings of each unit in each stage. Parameters: first: as in `findings`."""
    tolerance = job.reference.angle_tolerance_deg
    return [
        {
            "unit": unit.unit,
            "stage": unit.stage,
            "verdict": unit.verdict,
            "html": _unit(unit, tolerance) if first is None or (unit.unit, unit.stage) in first else None,
        }
        for unit in found.units
    ]


def _tdc(found: Findings) -> Markup | None:
    if found.tdc_check is None:
        return None
    from calc.show.around import tdc_html

    return tdc_html(found)


def _around(unit: UnitFindings) -> Markup | None:
    """What was measured around the check; few jobs have it, so others do not wait for what it needs."""
    if unit.cam_survey is None and unit.index_line is None:
        return None
    from calc.show.around import unit_html

    return unit_html(unit)


def _direction(direction: str) -> Markup | None:
    """Told only where it is not what everybody expects."""
    if direction == AHEAD:
        return None
    return element(
        "p", {"class": "sm-direction"}, element("strong", None, f"{direction.capitalize()}."), f" {ANGLES[direction]}"
    )


def _notices(found: Findings) -> Markup:
    if not found.notices:
        return Markup("")
    items = [element("li", {"data-code": notice.code, "data-where": notice.where}, notice.text) for notice in found.notices]
    return element(
        "details",
        {"class": "sm-notices", "id": "notices"},
        element("summary", None, f"{len(items)} {'note' if len(items) == 1 else 'notes'} on these findings"),
        element("ul", None, items),
    )


def _unit(unit: UnitFindings, tolerance_deg: float) -> Markup:
    said = unit.judged.said if unit.judged else None
    direction = unit.judged.direction if unit.judged else AHEAD
    return joined(
        element(
            "h3",
            {"id": f"unit-{unit.unit}-{unit.stage}", "tabindex": "-1"},
            f"{named(f'Unit {unit.unit}, {STAGES[unit.stage]}', direction)} ",
            labelled(unit.verdict),
        ),
        None if said is None else _answer(said),
        _suspicions(unit, direction),
        _numbers(unit),
        charts.lift_curve(unit, tolerance_deg),
        _causes(unit),
        _correction(unit),
        _around(unit),
        _facts(unit),
    )


def _answer(said: Said) -> Markup:
    return joined(
        None if said.level is None else signal(said.level, " ".join(said.stop)),
        [element("p", {"class": "sm-answer"}, words) for words in said.todo],
        [element("p", {"class": "sm-settle"}, words) for words in said.settle],
    )


def signal(level: str, words: str) -> Markup:
    """A hazard under its signal word. Parameters: level, "danger" or "warning"; what to say."""
    return element(
        "div",
        {"class": f"sm-signal sm-{level}", "role": "note"},
        element("strong", None, SIGNAL_WORDS[level]),
        element("p", None, words),
    )


def _numbers(unit: UnitFindings) -> Markup | None:
    events = [("Start", unit.beginning), ("End", unit.end)]
    if not any(event for _, event in events):
        return None
    rows: tuple[tuple[str, Callable[[Event], str]], ...] = (
        ("Crank angle", lambda e: angle_words(round(e.angle_deg, 2))),
        ("Deviation, 95 %", lambda e: f"{late_words(e.deviation_deg)} ±{plain(e.expanded_deg, 2)}°"),
        ("Verdict", lambda e: labelled(e.verdict)),
        ("Chance of being within", lambda e: percent(e.probability_within)),
        ("Plunger lift", lambda e: f"{plain(e.lift_mm, 3)} mm"),
        ("Lift deviation", lambda e: f"{signed(e.lift_deviation_mm, 3)} ±{plain(1.96 * e.u_lift_mm, 3)} mm"),
        ("Cam part", lambda e: f"{signed(e.cam_part_deg, 2)} ±{plain(1.96 * e.u_cam_part_deg, 2)}°"),
    )
    head = element("tr", None, element("td"), [element("th", {"scope": "col"}, name) for name, _ in events])
    body = [_number_row(label, *("—" if event is None else show(event) for _, event in events)) for label, show in rows]
    return element(
        "table",
        {"class": "sm-numbers"},
        element("caption", None, "Start and end of delivery"),
        element("thead", None, head),
        element("tbody", None, body),
    )


# By their words, most rows and facts are what they were a key before. Typed: text is not markup, even where both are equal.
@lru_cache(maxsize=1024, typed=True)
def _number_row(label: str, *cells: str) -> Markup:
    return element("tr", None, element("th", {"scope": "row"}, label), [element("td", None, each) for each in cells])


@lru_cache(maxsize=512, typed=True)
def _fact(name: str, value: str) -> Markup:
    return element("div", None, element("dt", None, name), element("dd", None, value))


def percent(probability: float) -> str:
    """A probability as people read it; never 100 % or 0 %, since nothing measured is certain.

    >>> percent(0.88512), percent(0.99999), percent(0.00002)
    ('88.5 %', 'above 99.9 %', 'below 0.1 %')
    """
    if probability > 0.999:
        return "above 99.9 %"
    return "below 0.1 %" if probability < 0.001 else f"{100.0 * probability:.1f} %"


def size_words(each: Cause) -> str:
    """Size of a cause with its 95 % range and its unit."""
    unit = "mm" if each.unit == "mm" else "°"
    space = " " if unit == "mm" else ""
    return f"{signed(each.size, 2)} ±{plain(1.96 * each.u, 2)}{space}{unit}"


def _suspicions(unit: UnitFindings, direction: str) -> Markup | None:
    """The mistakes that the numbers look like; what would settle them stands in the answer above."""
    if not unit.suspicions:
        return None
    items = []
    for each in unit.suspicions:
        words = suspect_words.what(each.code, direction)
        size = "" if each.size is None or each.unit is None else f" Size {signed(each.size, 2)}{SIZE_UNITS[each.unit]}."
        items.append(
            element(
                "li",
                {"class": "sm-cause sm-hint", "data-suspicion": each.code},
                element("strong", None, f"{words[:1].upper()}{words[1:]}"),
                f": {suspect_words.share(each.fits)} of all that could explain the numbers.{size}",
            )
        )
    return joined(element("h4", None, "Looks like a reading mistake"), element("ul", None, items))


def _causes(unit: UnitFindings) -> Markup | None:
    if not unit.causes and not unit.hints:
        return None
    named = [_cause(each, "sm-cause") for each in unit.causes]
    hints = [_cause(each, "sm-cause sm-hint") for each in unit.hints]
    return joined(
        element("h4", None, "Cause" if len(named) == 1 else "Causes") if named else None,
        element("ul", None, named) if named else None,
        element("h4", None, "Weaker signs, not proven") if hints else None,
        element("ul", None, hints) if hints else None,
    )


def _cause(each: Cause, css: str) -> Markup:
    moves = f" It moves the timing by {late_words(each.effect_deg)}." if each.code != cause.READINGS_DISAGREE else ""
    return element(
        "li",
        {"class": css, "data-cause": each.code},
        element("strong", None, CAUSE_WORDS[each.code]),
        f": {size_words(each)}.{moves} {each.check_next}",
    )


def _correction(unit: UnitFindings) -> Markup | None:
    if not unit.corrections:
        return None
    items = [_correction_item(each) for each in unit.corrections]
    rows = []
    for label, after in (("Exactly", unit.after_correction), ("As a hand can turn it", unit.after_by_hand)):
        if after is not None:
            cells = (
                or_dash(after.beginning_deviation_deg, 2, "°", signed),
                or_dash(after.end_deviation_deg, 2, "°", signed),
                or_dash(after.effective_stroke_mm, 2, " mm", plain),
                or_dash(after.zero_index_opening_mm, 2, " mm", plain),
            )
            rows.append(
                element("tr", None, element("th", {"scope": "row"}, label), [element("td", None, cell) for cell in cells])
            )
    head = ["Start", "End", "Effective stroke", "Opening at index 0"]
    return joined(
        element("h4", None, "Correction"),
        element("p", {"class": "sm-notice-line"}, "Held: read again first, then correct by the new reading.")
        if any(each.held for each in unit.corrections)
        else None,
        element("ul", None, items),
        element(
            "table",
            {"class": "sm-numbers"},
            element("caption", None, "What it will do"),
            element(
                "thead",
                None,
                element("tr", None, element("td"), [element("th", {"scope": "col"}, each) for each in head]),
            ),
            element("tbody", None, rows),
        ),
        element(
            "p",
            {"class": "sm-notice-line"},
            "Write down the rod's length before you turn it. Turn one flat first and read again. If the gauge moves the other "
            "way, stop: the direction in the engine's settings is wrong.",
        )
        if any(not isinstance(each, CamCorrection) for each in unit.corrections)
        else None,
    )


def _correction_item(each: Any) -> Markup:
    if isinstance(each, CamCorrection):
        side = "earlier" if each.change_deg < 0 else "later"
        return element(
            "li", {"data-part": "cam"}, f"Cam: {plain(abs(each.change_deg), 2)}° {side}, by the maker's procedure only."
        )
    verb = "lengthen" if each.change_mm > 0 else "shorten"
    words = f"{ROD_WORDS[each.part].capitalize()}: {verb} by {plain(abs(each.change_mm), 3)} mm"
    if each.flats is not None:
        words += f", {plain(abs(each.flats), 2)} flats; a hand can do {flats_words(each.hand_flats)}"
    words += "."
    if each.trial_lift_mm is not None:
        words += f" After the first flat, expect contact at {plain(each.trial_lift_mm, 2)} mm."
    if each.assumes:
        labels = [f"“{field_of(Job, path).label}”" for path in each.assumes]
        words += f" Rests on what is not entered: {listed(labels)}."
    return element("li", {"data-part": each.part}, words)


def or_dash(value: float | None, digits: int, unit: str, show: Any) -> str:
    """A number with its unit, or a dash where there is none.

    >>> or_dash(0.25, 1, " mm", plain), or_dash(None, 1, " mm", plain)
    ('0.2 mm', '—')
    """
    return "—" if value is None else f"{show(value, digits)}{unit}"


def _facts(unit: UnitFindings) -> Markup | None:
    facts: list[tuple[str, str]] = []
    stroke, delivery, fuel = unit.effective_stroke_mm, unit.delivery_angle_deg, unit.quantity
    if stroke is not None:
        facts.append(
            (
                "Effective stroke",
                f"{plain(stroke.value, 2)} mm ({signed(stroke.deviation, 2)} ±{plain(1.96 * stroke.u, 2)} mm)",
            )
        )
    if delivery is not None:
        facts.append(
            (
                "Delivery angle",
                f"{plain(delivery.value, 2)}° ({signed(delivery.deviation, 2)} ±{plain(1.96 * delivery.u, 2)}°)",
            )
        )
    if fuel is not None:
        if fuel.imbalance_percent is not None:
            facts.append(("Against the mean of the units", f"{signed(fuel.imbalance_percent, 1)} %"))
        amount = [
            f"{plain(value, 1)} {name}"
            for value, name in ((fuel.cm3_per_cycle, "cm³"), (fuel.g_per_cycle, "g"))
            if value is not None
        ]
        if amount:
            facts.append(("Fuel a cycle", ", ".join(amount)))
        if fuel.injection_ms is not None:
            facts.append(("Time of delivery", f"{plain(fuel.injection_ms, 1)} ms"))
    if unit.cut_out is not None:
        words: list[object] = [f"{plain(unit.cut_out.opening_mm, 2)} mm"]
        if unit.cut_out.limit_mm is not None and unit.cut_out.verdict is not None:
            words += [f", at least {plain(unit.cut_out.limit_mm, 2)} mm: ", labelled(unit.cut_out.verdict)]
        facts.append(("Opening at index 0", joined(*words)))
        if unit.cut_out.zero_delivery_index is not None:
            facts.append(("No delivery below index", plain(unit.cut_out.zero_delivery_index, 2)))
    if unit.lift_off is not None:
        words = [f"{plain(unit.lift_off.clearance_mm, 2)} mm"]
        if unit.lift_off.limit_mm is not None and unit.lift_off.verdict is not None:
            words += [
                f", at least {plain(unit.lift_off.limit_mm, 2)} mm: ",
                labelled(unit.lift_off.verdict),
                " as read",
            ]
        facts.append(("Lift-off clearance", joined(*words)))
    if not facts:
        return None
    return element(
        "dl",
        {"class": "sm-facts"},
        [_fact(name, value) for name, value in facts],
    )


def working(found: Findings, job: Job, number: int, stage: str) -> str:
    """The working of one unit in one stage as HTML; empty where it has none."""
    unit = next((each for each in found.units if (each.unit, each.stage) == (number, stage)), None)
    if unit is None:
        return ""
    parts = []
    name = named(f"unit {number}, {STAGES[stage]}", job.direction)
    for block in workings.blocks(unit, job, settings_of(job)):
        parts.append(
            joined(
                element("h4", None, block.title),
                working_table(block.lines, f"Working: {name}: {block.title}"),
                charts.budget(block.terms, f"Where the doubt of the angle comes from: {name}, {block.title.lower()}")
                if block.terms
                else None,
            )
        )
    return joined(*parts)


def working_table(lines: Iterable[Line], name: str) -> Markup:
    """Lines of a working as a table that scrolls by itself. Parameters: lines; name, for a screen reader."""
    heads = ("What", "Formula", "With numbers", "Result", "Source")
    rows = [
        element(
            "tr",
            None,
            element("th", {"scope": "row"}, lettered(line.what)),
            element("td", None, lettered(line.formula)),
            element("td", None, line.numbers),
            element("td", {"class": "sm-result"}, line.value),
            element("td", {"class": "sm-source"}, line.source),
        )
        for line in lines
    ]
    head = element("tr", None, [element("th", {"scope": "col"}, each) for each in heads])
    return element(
        "div",
        {"class": "sm-scroll", "tabindex": "0", "role": "region", "aria-label": name},
        element("table", {"class": "sm-working"}, element("thead", None, head), element("tbody", None, rows)),
    )
