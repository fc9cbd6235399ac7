"""Blank forms for the pump side: the screen's readings tables, empty, with each unit's reference settings beside the boxes."""

from __future__ import annotations

from collections.abc import Sequence

from calc.job.direction import ANGLES, mirrored
from calc.job.model import EVENTS, METHODS, SPILL_OPENING, STAGES, SUCTION_CLOSING, VALVE_EVENTS, Job, UnitReference
from calc.job.words import angle_words, short
from calc.job.write import checksum, job_to_tree
from calc.show.markup import Markup, element, joined
from calc.show.paper import document, facts, heading, table

TITLE = "Form for readings"
BOX = "☐"
UNITS_A_SHEET = 6
_REPEATS = 3

# The shortest form of the cautions on the pages; the engine's own manual stands above them.
CAUTIONS = (
    "Danger: the engine can start, move or inject. Permit open, air shut and vented, turning gear in, fuel shut and drained.",
    "Warning: a hand at the cam is lost when the engine turns. Count everyone, hands clear, say it aloud before every move.",
    "Turn ahead for every reading, lock nut tight. The engine's manual and the ship's permit come first.",
)


def blank_form(job: Job) -> str:
    """Forms to fill in beside the pumps, as one HTML file: a sheet for every six units.

    Parameters: job, for its units, reference settings and seat-contact reading. Returns: the file's text.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> job = read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8"))
    >>> blank_form(job).count(BOX) > 0
    True
    """
    units = sorted(job.reference.units, key=lambda unit: unit.unit)
    sheets = [units[at : at + UNITS_A_SHEET] for at in range(0, len(units), UNITS_A_SHEET)]
    name = ", ".join(each for each in (TITLE, job.vessel, job.date) if each)
    return document(
        name,
        checksum(job_to_tree(job)),
        [_sheet(job, sheet, first=j == 0) for j, sheet in enumerate(sheets)],
    )


def _sheet(job: Job, units: Sequence[UnitReference], first: bool) -> Markup:
    reference = job.reference
    pairs = [
        ("Ship", job.vessel or ""),
        ("Date", ""),
        ("Stage", joined(*(f"{BOX} {label}  " for label in STAGES.values()))),
        ("Read by", ""),
        ("Fuel index for every reading", f"{reference.fuel_index:g}"),
        ("Seat-contact reading", f"{reference.seat_contact_mm:g} mm"),
    ]
    limits = [
        f"{label}, at least {limit:g} mm" if limit is not None else label
        for label, limit in (
            ("Opening at index 0, mm", reference.zero_index_opening_min_mm),
            ("Lift-off clearance, mm", reference.lift_off_clearance_min_mm),
        )
    ]
    return element(
        "section",
        {"class": None if first else "page"},
        heading(job, TITLE),
        element("ul", {"class": "quiet"}, [element("li", None, mirrored(each, job.direction)) for each in CAUTIONS]),
        facts(pairs),
        element(
            "table",
            {"class": "write form"},
            element(
                "caption", None, f"Start and end. Write an angle before TDC with a minus. {ANGLES[job.direction]}".rstrip()
            ),
            element("thead", None, element("tr", None, [element("th", {"scope": "col"}, each) for each in _HEADS])),
            [_unit(unit) for unit in units],
        ),
        table(
            ["Unit", *limits, "Return to zero, mm", "Peak lift, reference", "Peak lift, mm"],
            [(unit.unit, "", "", "", _peak(unit), "") for unit in units],
            caption="Cut-out and gauge checks",
            css="write",
        ),
    )


_HEADS = (
    "Unit",
    "Event",
    "Reference",
    "Way of reading",
    *(f"Lift or valve {repeat}, mm" for repeat in range(1, _REPEATS + 1)),
    *(f"Angle {repeat}, °" for repeat in range(1, _REPEATS + 1)),
)


def _peak(unit: UnitReference) -> str:
    return "" if unit.peak_lift_mm is None else f"{short(unit.peak_lift_mm)} mm"


def _unit(unit: UnitReference) -> Markup:
    settings = {
        SUCTION_CLOSING: (unit.pre_stroke_mm, unit.beginning_deg),
        SPILL_OPENING: (unit.spill_lift_mm, unit.end_deg),
    }
    rows = []
    for event in VALVE_EVENTS:
        lift, angle = settings[event]
        head = (
            element("th", {"scope": "rowgroup", "rowspan": len(VALVE_EVENTS)}, unit.unit) if event == SUCTION_CLOSING else None
        )
        ways = [element("div", None, f"{BOX} {label}") for label in METHODS.values()]
        rows.append(
            element(
                "tr",
                {"data-unit": unit.unit, "data-event": event},
                head,
                element("th", {"scope": "row"}, EVENTS[event]),
                element("td", {"class": "quiet"}, f"{short(lift)} mm", element("br"), angle_words(angle)),
                element("td", {"class": "quiet"}, ways),
                [element("td") for _ in range(2 * _REPEATS)],
            )
        )
    return element("tbody", {"class": "keep"}, rows)
