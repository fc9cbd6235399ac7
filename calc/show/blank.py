"""Blank forms for the pump side: what the screen asks for, empty, with each unit's reference settings beside the boxes.

They are printed before anything was read, so no whole job is needed: what is known of it is on them, the rest stays blank.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from calc.job.catalogue import EVERY_CONFIRMATION, INSPECTED, POSITIONS, Position
from calc.job.describe import fields_of
from calc.job.direction import ANGLES, mirrored
from calc.job.model import (
    ADJUSTED,
    AHEAD,
    CONDITIONS,
    EVENTS,
    METHODS,
    RUNS,
    SPILL_OPENING,
    STAGES,
    SUCTION_CLOSING,
    VALVE_EVENTS,
    Run,
    Service,
)
from calc.job.steps import STEPS
from calc.job.words import angle_words, short
from calc.show.blank_around import TITLE as AROUND
from calc.show.blank_around import around_parts
from calc.show.markup import Markup, element, joined
from calc.show.paper import BOX, TO_WRITE, document, facts, headed, table
from calc.work.begun import Begun
from calc.work.sheet import Worksheet

TITLE = "Form for readings"
CONFIRMING, MOVING = "Form for confirmations", "Form for what is moved"
INSPECTING, TURNING = "Form for the inspection", "Form for the correction, and figures in service"
UNITS_A_SHEET = 6
_REPEATS = 3
_OWN_ROWS, _TURNED_ROWS = 3, 10

# The shortest form of the cautions on the pages; the engine's own manual stands above them.
CAUTIONS = (
    "Danger: the engine can start, move or inject. Permit open, air shut and vented, turning gear in, fuel shut and drained.",
    "Warning: a hand at the cam is lost when the engine turns. Count everyone, hands clear, say it aloud before every move.",
    "Turn ahead for every reading, lock nut tight. The engine's manual and the ship's permit come first.",
)

Unit = int | None  # None is a row whose unit is written by hand.


def blank_form(so_far: Begun) -> str:
    """Forms to fill in beside the pumps, as one HTML file, in the job's order.

    Parameters: the job as far as it is, for its units, reference settings and what the engine has. Returns: the file's text.

    >>> from calc.work.begun import begun
    >>> blank_form(begun({})).count(BOX) > 0
    True
    """
    known = _Known(so_far)
    sheets = in_sheets(known.units)
    name = ", ".join(each for each in (TITLE, known.sheet.text("vessel"), known.sheet.text("date")) if each)
    return document(
        name,
        so_far.checksum,
        _page(known, CONFIRMING, _confirmations(known), first=True),
        _page(known, MOVING, _positions(known)),
        [_page(known, INSPECTING, _inspection(units)) for units in sheets],
        [_readings(known, units) for units in sheets],
        _page(known, AROUND, _around(known)),
        _page(known, TURNING, _turned(), _service(known)),
    )


def in_sheets(units: Sequence[Unit]) -> list[Sequence[Unit]]:
    """Units on sheets of at most six, as evenly as it goes.

    >>> [len(sheet) for sheet in in_sheets(range(1, 8))]
    [4, 3]
    """
    count = -(-len(units) // UNITS_A_SHEET)
    most = -(-len(units) // count)
    return [units[at : at + most] for at in range(0, len(units), most)]


class _Known:
    """What is known of the job and is not wrong."""

    def __init__(self, so_far: Begun) -> None:
        self.sheet = Worksheet(so_far.texts)
        self._tree = so_far.composed.tree
        self._wrong = {problem.where for problem in so_far.problems}
        self.units: list[Unit] = list(self.sheet.units) or [None] * UNITS_A_SHEET
        rows = self._tree.get("reference", {}).get("units", [])
        self._places = {row.get("unit"): j for j, row in reversed(list(enumerate(rows)))}

    @property
    def demo(self) -> bool:
        return self._tree.get("demo") is True

    @property
    def rotation(self) -> str | None:
        said = self._tree.get("reference", {}).get("rotation")
        return said if said in ANGLES else None

    @property
    def direction(self) -> str:
        return self.rotation or AHEAD

    def number(self, name: str) -> float | None:
        """A value of the reference settings that all units share."""
        return self._sound(self._tree.get("reference", {}), name, f"reference.{name}")

    def setting(self, unit: Unit, name: str) -> float | None:
        """A reference setting of one unit."""
        place = self._places.get(unit)
        if unit is None or place is None:
            return None
        return self._sound(self._tree["reference"]["units"][place], name, f"reference.units[{place}].{name}")

    def _sound(self, group: dict[str, Any], name: str, where: str) -> float | None:
        value = group.get(name)
        return None if where in self._wrong or not isinstance(value, (int, float)) else float(value)

    def asks(self, needs: str) -> bool:
        """Whether a thing is on this engine's list: unless it was said that the engine lacks it."""
        return not needs or self.sheet.text(f"arrangement.{needs}").lower() not in ("no", "false")

    @property
    def positions(self) -> Iterable[Position]:
        """What is moved on this engine, and what people have added."""
        own = [each for each in self.sheet.positions if each not in POSITIONS]
        return [
            *(each for each in POSITIONS if self.asks(each.needs) and not self.sheet.has(f"positions/{each.code}/not_needed")),
            *own,
        ]


def _page(known: _Known, title: str, *parts: object, first: bool = False) -> Markup:
    pairs = [("Ship", known.sheet.text("vessel")), ("Date", ""), ("Job", known.sheet.text("title")), ("Permit to work", "")]
    return element(
        "section",
        {"class": None if first else "page"},
        headed(title, known.rotation, demo=known.demo),
        facts(pairs),
        *parts,
    )


def _cautions(known: _Known) -> Markup:
    return element("ul", {"class": "quiet"}, [element("li", None, mirrored(each, known.direction)) for each in CAUTIONS])


# ---------------------------------------------------------------- confirmations, positions, inspection


def _confirmations(known: _Known) -> Markup:
    asked = [each for each in EVERY_CONFIRMATION if known.asks(each.needs)]
    rows = []
    for step in STEPS:
        for j, each in enumerate(mine := [each for each in asked if each.step == step.code]):
            signal = f"{each.signal.capitalize()}. " if each.signal else ""
            rows.append(
                element(
                    "tr",
                    {"data-code": each.code},
                    None if j else element("th", {"scope": "rowgroup", "rowspan": len(mine)}, step.title),
                    element("td", None, element("strong", None, signal) if signal else None, each.label),
                    element("td"),
                    element("td"),
                )
            )
    heads = ("Step", "What", "Name and rank", "Day and time")
    return joined(
        element(
            "p",
            {"class": "quiet"},
            "The engine's own manual and the ship's permit system come before this list. Where a line does not apply, say why.",
        ),
        element(
            "table",
            {"class": "tight confirming"},
            element("thead", None, element("tr", None, [element("th", {"scope": "col"}, each) for each in heads])),
            element("tbody", None, rows),
        ),
    )


def _positions(known: _Known) -> Markup:
    rows = [(joined(each.label[:1].upper() + each.label[1:], _note(each)), *[""] * 5) for each in known.positions]
    return joined(
        element(
            "p",
            {"class": "quiet"},
            "Write down how a thing stands before you move it. One person puts back, another one checks. "
            "Strike out what this engine lacks.",
        ),
        table(
            ["What", "As found", "By, when", "Restored", "By, when", "Checked by, when"],
            [*rows, *[(TO_WRITE, *[""] * 5) for _ in range(_OWN_ROWS)]],
            css="tight moving",
        ),
    )


def _note(each: Position) -> Markup | None:
    return element("span", {"class": "note"}, f" {each.note}") if each.note else None


def _inspection(units: Sequence[Unit]) -> Markup:
    ticks = "  ".join(f"{BOX} {label}" for label in CONDITIONS.values())
    return joined(
        element("p", {"class": "quiet"}, "A worn cam or roller is not cured by a push rod. The manual has the limits."),
        element(
            "table",
            {"class": "tight inspecting"},
            element("thead", None, element("tr", None, [element("th", {"scope": "col"}, each) for each in _INSPECTED_HEADS])),
            [
                element(
                    "tbody",
                    {"class": "keep"},
                    [
                        element(
                            "tr",
                            None,
                            _unit_head(unit, len(INSPECTED)) if part == next(iter(INSPECTED)) else None,
                            element("th", {"scope": "row"}, label),
                            element("td", None, ticks),
                            [element("td") for _ in range(4)],
                        )
                        for part, label in INSPECTED.items()
                    ],
                )
                for unit in units
            ],
        ),
    )


_INSPECTED_HEADS = ("Unit", "Part", "Condition", "What was seen", "What was done", "Photo files", "Serial numbers")


def _named(unit: Unit) -> object:
    return TO_WRITE if unit is None else unit


def _unit_head(unit: Unit, rows: int) -> Markup:
    return element("th", {"scope": "rowgroup", "rowspan": rows}, _named(unit))


# ---------------------------------------------------------------- readings


def _readings(known: _Known, units: Sequence[Unit]) -> Markup:
    index, seat = known.number("fuel_index"), known.number("seat_contact_mm")
    pairs = [
        ("Ship", known.sheet.text("vessel")),
        ("Date", ""),
        ("Stage", joined(*(f"{BOX} {label}  " for label in STAGES.values()))),
        ("Read by", ""),
        ("Fuel index for every reading", "" if index is None else f"{index:g}"),
        ("Seat-contact reading", "" if seat is None else f"{seat:g} mm"),
    ]
    limits = [
        f"{label}, at least {limit:g} mm" if limit is not None else label
        for label, limit in (
            ("Opening at index 0, mm", known.number("zero_index_opening_min_mm")),
            ("Lift-off clearance, mm", known.number("lift_off_clearance_min_mm")),
        )
    ]
    return element(
        "section",
        {"class": "page"},
        headed(TITLE, known.rotation, demo=known.demo),
        _cautions(known),
        facts(pairs),
        element(
            "table",
            {"class": "write form"},
            element(
                "caption", None, f"Start and end. Write an angle before TDC with a minus. {ANGLES[known.direction]}".rstrip()
            ),
            element("thead", None, element("tr", None, [element("th", {"scope": "col"}, each) for each in _HEADS])),
            [_unit(known, unit) for unit in units],
        ),
        table(
            ["Unit", *limits, "Return to zero, mm", "Peak lift, reference", "Peak lift, mm"],
            [(_named(unit), "", "", "", _length(known.setting(unit, "peak_lift_mm")), "") for unit in units],
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
_SETTINGS = {SUCTION_CLOSING: ("pre_stroke_mm", "beginning_deg"), SPILL_OPENING: ("spill_lift_mm", "end_deg")}


def _length(value: float | None) -> str:
    return "" if value is None else f"{short(value)} mm"


def _unit(known: _Known, unit: Unit) -> Markup:
    rows = []
    for event in VALVE_EVENTS:
        lift, angle = (known.setting(unit, name) for name in _SETTINGS[event])
        ways = [element("div", None, f"{BOX} {label}") for label in METHODS.values()]
        rows.append(
            element(
                "tr",
                {"data-unit": unit, "data-event": event},
                _unit_head(unit, len(VALVE_EVENTS)) if event == SUCTION_CLOSING else None,
                element("th", {"scope": "row"}, EVENTS[event]),
                element("td", {"class": "quiet"}, _length(lift), element("br"), None if angle is None else angle_words(angle)),
                element("td", {"class": "quiet"}, ways),
                [element("td") for _ in range(2 * _REPEATS)],
            )
        )
    return element("tbody", {"class": "keep"}, rows)


def _around(known: _Known) -> Markup:
    # Escaped already, and no text in it is anybody's: mirroring changes words only.
    return Markup(mirrored(around_parts(), known.direction))


# ---------------------------------------------------------------- correction, figures in service


def _turned() -> Markup:
    parts = "  ".join(f"{BOX} {label}" for label in ADJUSTED.values())
    return table(
        ["Unit", "Part", "Length before, mm", "Flats, or cam °; + longer, later", "Length after, mm", "Locked", "By, when"],
        [(TO_WRITE, parts, "", "", "", BOX, "") for _ in range(_TURNED_ROWS)],
        caption="What was turned. Write down the length before you turn it. The first flat is a trial",
        css="write turning",
    )


def _service(known: _Known) -> Markup:
    engine = [field for field in fields_of(Run) if field.name != "when"]
    columns = [field for field in fields_of(Service) if field.name not in ("when", "unit")]
    heads = [f"{field.label.capitalize()}{f', {field.unit}' if field.unit else ''}" for field in engine]
    return joined(
        table(
            ["Engine", *heads],
            [(words.capitalize(), *[""] * len(engine)) for words in RUNS.values()],
            caption="In service",
            css="write",
        ),
        table(
            ["Unit", *(f"{field.label.capitalize()}, {field.unit or 'index'}, {when}" for when in RUNS for field in columns)],
            [(_named(unit), *[""] * (len(RUNS) * len(columns))) for unit in known.units],
            css="serving",
        ),
    )
