"""What would come of moves, as HTML for the worksheet: one unit in full, and all units side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calc.findings import Event, findings_to_tree
from calc.job.describe import Field, fields_of
from calc.job.entry import typed
from calc.job.model import AS_FOUND, AS_LEFT, STAGES
from calc.job.moves import UnitMoves
from calc.job.words import angle_words, flats_words, late_words, plain, signed
from calc.judge.after import PREDICTED
from calc.judge.say import VERDICT_WORDS
from calc.judge.what_if import Attempt, Tried, rod_fields
from calc.pump.what_if import rod_from_flats
from calc.show import charts
from calc.show.marks import labelled
from calc.show.markup import Markup, element, joined
from calc.show.page import SIGNAL_WORDS, or_dash, percent, signal

# What one press of a button moves, small and large: a hand sets a quarter of a flat.
_STEPS = {"flats": (0.25, 1.0), "mm": (0.05, 0.25), "°": (0.05, 0.25)}


def controls(pitch_mm: float | None, moves: UnitMoves, errors: Mapping[str, str]) -> list[dict[str, Any]]:
    """What the page draws to move one unit: the fields, their steps, the value in each and what it means in words."""
    described = {field.name: field for field in fields_of(UnitMoves)}
    return [_control(described[name], pitch_mm, moves, errors.get(name)) for name in (*rod_fields(pitch_mm), "cam_deg")]


def _control(field: Field, pitch_mm: float | None, moves: UnitMoves, error: str | None) -> dict[str, Any]:
    value = getattr(moves, field.name) or 0.0
    less, more = ("earlier", "later") if field.unit == "°" else ("shorter", "longer")
    steps = [
        {"by": sign * step, "face": f"{'−' if sign < 0 else '+'}{_face(step, field.unit)}", "words": words}
        for sign, side, order in ((-1.0, less, -1), (1.0, more, 1))
        for step in _STEPS[field.unit][::order]
        for words in [f"{field.label[:1].upper()}{field.label[1:]}: {_amount(step, field.unit)} {side}"]
    ]
    return {
        "name": field.name,
        "label": f"{field.label[:1].upper()}{field.label[1:]}",
        "unit": field.unit,
        "value": typed(field, value) if value % 1.0 else f"{value:.0f}",
        "steps": steps,
        "echo": "" if error else _moved_words(field, value, pitch_mm),
        "error": error,
    }


def _face(step: float, unit: str) -> str:
    """The few letters on a button."""
    return flats_words(step).split()[0] if unit == "flats" else plain(step, 2)


def _amount(value: float, unit: str) -> str:
    if unit == "flats":
        quarters = (value * 4.0).is_integer()
        return flats_words(value) if quarters else f"{plain(abs(value), 2)} flats"
    return f"{plain(abs(value), 2)}{'' if unit == '°' else ' '}{unit}"


def _moved_words(field: Field, value: float, pitch_mm: float | None) -> str:
    if not value:
        return "not moved"
    if field.unit == "°":
        return f"{_amount(value, field.unit)} {'later' if value > 0 else 'earlier'}"
    verb = "longer" if value > 0 else "shorter"
    if field.unit == "mm" or pitch_mm is None:
        return f"{verb} by {_amount(value, field.unit)}"
    return f"{verb} by {_amount(value, field.unit)} ({plain(abs(rod_from_flats(value, pitch_mm)), 3)} mm)"


def one_unit(tried: Tried) -> Markup:
    """One unit: the hazard first, then what stands before any move, the numbers, and what they rest on."""
    return joined(
        None if tried.level is None else signal(tried.level, " ".join(tried.stop)),
        [element("p", {"class": "sm-answer"}, words) for words in tried.todo],
        _numbers(tried),
        [element("p", {"class": "sm-notice-line"}, words) for words in tried.notes],
    )


def _numbers(tried: Tried) -> Markup:
    read = tried.read
    stroke = None if read.judged is None else read.judged.stroke_mm
    opening = None if read.judged is None else read.judged.opening_mm
    rows: list[tuple[str, object, object]] = [
        ("Start", _event(read.beginning), _event(tried.beginning)),
        ("End", _event(read.end), _event(tried.end)),
        (
            "Effective stroke",
            or_dash(stroke, 2, " mm", plain),
            or_dash(tried.after.effective_stroke_mm, 2, " mm", plain),
        ),
    ]
    for label, name, digits, unit, show in (
        ("Against the mean of the units", "imbalance_percent", 1, " %", signed),
        ("Fuel a cycle", "cm3_per_cycle", 2, " cm³", plain),
        ("Fuel a cycle, mass", "g_per_cycle", 2, " g", plain),
    ):
        pair = [getattr(fuel, name) if fuel else None for fuel in (tried.before, tried.fuel)]
        if any(value is not None for value in pair):
            before, after = (or_dash(value, digits, unit, show) for value in pair)
            rows.append((label, before, after))
    rows.append(
        (
            "Opening at index 0",
            "not read" if opening is None else _opening(opening, read.cut_out),
            "unknown" if tried.cut_out is None else _opening(tried.cut_out.opening_mm, tried.cut_out),
        )
    )
    indices = [cut_out.zero_delivery_index if cut_out else None for cut_out in (read.cut_out, tried.cut_out)]
    if any(index is not None for index in indices):
        before, after = (or_dash(index, 2, "", plain) for index in indices)
        rows.append(("No delivery below index", before, after))
    return _table(
        f"Unit {read.unit}, {STAGES[read.stage]}. In brackets: the chance of being within.",
        ["", "As read", "After these moves"],
        [[element("th", {"scope": "row"}, label), _cell(before), _cell(then)] for label, before, then in rows],
    )


def _event(event: Event | None) -> object:
    if event is None:
        return "—"
    return joined(
        f"{angle_words(round(event.angle_deg, 2))}: {late_words(event.deviation_deg)} ±{plain(event.expanded_deg, 2)}°",
        element("br"),
        labelled(event.verdict),
        f" ({percent(event.probability_within)})",
    )


def _opening(opening: float, cut_out: Any) -> object:
    if cut_out is None or cut_out.limit_mm is None or cut_out.verdict is None:
        return f"{plain(opening, 2)} mm"
    return joined(f"{plain(opening, 2)} mm, at least {plain(cut_out.limit_mm, 2)} mm", element("br"), labelled(cut_out.verdict))


def _cell(value: object) -> Markup:
    return element("td", None, value)


def _table(caption: str, head: Sequence[str], rows: Sequence[Sequence[object]]) -> Markup:
    return element(
        "table",
        {"class": "sm-numbers"},
        element("caption", None, caption),
        element(
            "thead",
            None,
            element("tr", None, [element("th", {"scope": "col"}, each) if each else element("td") for each in head]),
        ),
        element("tbody", None, [element("tr", None, list(row)) for row in rows]),
    )


def all_units(tried: Sequence[Tried], tolerance_deg: float) -> Markup:
    """All units before and after: the picture, what its marks mean, and its table."""
    if not tried:
        return Markup("")
    moved = [each for each in tried if each.moves.any]
    shown = [each.read for each in tried] + [each.predicted for each in moved]
    return joined(
        charts.strip(shown, tolerance_deg),
        _legend([stage for stage in (AS_FOUND, AS_LEFT, PREDICTED) if any(unit.stage == stage for unit in shown)]),
        element(
            "details",
            None,
            element("summary", None, "The same as a table"),
            element(
                "div",
                {"class": "sm-scroll", "tabindex": "0", "role": "region", "aria-label": "All units, as read and after"},
                _all_table(tried),
            ),
        ),
    )


def _legend(stages: Sequence[str]) -> Markup:
    words = {AS_FOUND: "as found", AS_LEFT: "as left", PREDICTED: "after these moves, predicted"}
    return element(
        "p",
        {"class": "sm-legend"},
        [element("span", None, charts.sample(stage), f" {words[stage]}") for stage in stages],
        " The whisker is the 95 % range.",
    )


def _all_table(tried: Sequence[Tried]) -> Markup:
    head = ["Unit", "Start", "after", "End", "after", "Balance", "after", "Opening at index 0", "after"]
    rows = []
    for each in tried:
        opening = each.read.judged.opening_mm if each.read.judged else None
        balance = [fuel.imbalance_percent if fuel else None for fuel in (each.before, each.fuel)]
        cells: list[object] = [
            _deviation(each.read.beginning),
            _deviation(each.beginning),
            _deviation(each.read.end),
            _deviation(each.end),
            *(or_dash(value, 1, " %", signed) for value in balance),
            or_dash(opening, 2, " mm", plain),
            joined(
                or_dash(each.after.zero_index_opening_mm, 2, " mm", plain),
                f": {each.level}" if each.level else None,
            ),
        ]
        rows.append([element("th", {"scope": "row"}, str(each.read.unit)), *map(_cell, cells)])
    return _table("All units, as read and after these moves", head, rows)


def _deviation(event: Event | None) -> str:
    return "—" if event is None else f"{signed(event.deviation_deg, 2)}°, {VERDICT_WORDS[event.verdict]}"


def settled_words(tried: Tried) -> str:
    """The result in one breath, for a screen reader once nothing is pressed any more."""
    words = [f"Unit {tried.read.unit}."]
    if tried.level is not None:
        words.append(f"{SIGNAL_WORDS[tried.level]}. {' '.join(tried.stop)}")
    for noun, event in (("Start", tried.beginning), ("End", tried.end)):
        if event is not None:
            words.append(f"{noun} {late_words(event.deviation_deg)}: {VERDICT_WORDS[event.verdict]}.")
    if tried.after.zero_index_opening_mm is None:
        words.append("Opening at index 0 unknown.")
    elif tried.level is None:
        words.append(f"Opening at index 0: {plain(tried.after.zero_index_opening_mm, 2)} mm.")
    return " ".join(words)


_NOTHING_YET = "Enter the readings of start and end first. Then you can try moves here."


def answer(attempt: Attempt | None, number: object) -> dict[str, Any]:
    """What the page shows of moves that are tried.

    Parameters: number of the unit to show in full; the first one that needs something where it is none. Returns: `units`
    with their moves, as listed and as tried; `unit` and `controls` of the one shown; `said`, for a screen reader; `html`.
    """
    if attempt is None or not attempt.units:
        return {"units": [], "html": {"unit": element("p", {"class": "ws-quiet"}, _NOTHING_YET), "strip": ""}}
    by_number = {each.read.unit: each for each in attempt.units}
    wanting = [each.read.unit for each in attempt.units if attempt.listed[each.read.unit] != UnitMoves()]
    here = number if isinstance(number, int) and number in by_number else (wanting or list(by_number))[0]
    typed_moves = attempt.typed.get(here)
    moves = attempt.listed[here] if typed_moves is None else UnitMoves(**typed_moves.values)
    return {
        "units": [
            {
                "unit": unit,
                "verdict": each.read.verdict,
                "moved": each.moves.any,
                "level": each.level,
                "listed": _numbers_of(attempt.listed[unit], attempt.pitch_mm),
                "after": {**findings_to_tree(each.after), "imbalance_percent": each.fuel and each.fuel.imbalance_percent},
            }
            for unit, each in by_number.items()
        ],
        "unit": here,
        "controls": controls(attempt.pitch_mm, moves, {} if typed_moves is None else typed_moves.errors),
        "said": settled_words(by_number[here]),
        "html": {"unit": one_unit(by_number[here]), "strip": all_units(attempt.units, attempt.tolerance_deg)},
    }


def _numbers_of(moves: UnitMoves, pitch_mm: float | None) -> dict[str, float]:
    return {name: getattr(moves, name) or 0.0 for name in (*rod_fields(pitch_mm), "cam_deg")}
