"""What must hold between the fields of a job: the checks that no single field can tell.

They run on the tree, not on a finished job, so that one wrong number does not hide the other problems. Each looks
only at values that are readable; what is not is told by the reader.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from calc.job.describe import RECORDS, Field, field_of, fields_of
from calc.job.model import (
    EVENTS,
    FORMAT,
    METHODS,
    MOST_READINGS,
    MOST_UNIT_ENTRIES,
    VALVE_EVENTS,
    VERSION,
    Job,
    UnitReference,
    lists_of,
)
from calc.job.problems import Problem, entry_words, shown
from calc.measure.conformity import SLACK


def across_fields(tree: dict[str, Any], complete: bool) -> Iterator[Problem]:
    """Every problem between fields, in file order. `complete`: whether every unit needs its settings."""
    engine, reference = _dict(tree.get("engine")), _dict(tree.get("reference"))
    units = _count(engine.get("units"))
    yield from _format(tree)
    yield from _firing_order(engine, units)
    yield from _tdc(engine, units)
    yield from _cam_table(engine.get("cam_lift_table"))
    yield from _reference_units(_list(reference.get("units"), MOST_UNIT_ENTRIES), units, complete)
    yield from _readings(_list(tree.get("readings"), MOST_READINGS), units)
    for field in fields_of(Job):
        if field.kind == RECORDS and field.name != "readings":
            yield from _rows(field, _list(tree.get(field.name), field.most or 0), units)


def _list(value: Any, most: int) -> list[Any] | None:
    return value if isinstance(value, list) and len(value) <= most else None


def _dict(value: Any) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}


def _number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _count(value: Any) -> int | None:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return None
    return int(value) if value == int(value) and 1 <= value <= 24 else None


def _format(tree: dict[str, Any]) -> Iterator[Problem]:
    value = tree.get("format")
    if isinstance(value, str) and value != FORMAT:
        yield Problem("format", shown(value), f'Format: {shown(value)} found. A job file says "{FORMAT}". Open a job file.')
    version = tree.get("version")
    if isinstance(version, (int, float)) and not isinstance(version, bool) and version == int(version) != VERSION:
        newer = version > VERSION
        remedy = "A newer program wrote it: open it with that one." if newer else f"Version {VERSION} is the first one."
        yield Problem("version", shown(version), f"Version: {shown(version)} found. This program reads {VERSION}. {remedy}")


def _firing_order(engine: dict[str, Any], units: int | None) -> Iterator[Problem]:
    order = engine.get("firing_order")
    if units is None or not isinstance(order, list) or not order or not all(_number(each) for each in order):
        return
    if any(each != int(each) for each in order) or sorted(order) == list(range(1, units + 1)):
        return
    missing = [str(unit) for unit in range(1, units + 1) if unit not in order][:8]
    twice = [str(unit) for unit in dict.fromkeys(order) if order.count(unit) > 1][:8] if len(order) <= 48 else []
    detail = [f"missing: {', '.join(missing)}"] if missing else []
    detail += [f"more than once: {', '.join(twice)}"] if twice else []
    detail += [f"{len(order)} numbers for {units} units"] if len(order) != units else []
    said = "; ".join(detail) or "it names a unit that the engine lacks"
    yield Problem(
        "engine.firing_order",
        shown(order),
        f"Engine, firing order: {said}. It names every unit from 1 to {units} once. Compare it with the engine's papers.",
    )


def _tdc(engine: dict[str, Any], units: int | None) -> Iterator[Problem]:
    angles = engine.get("tdc_deg")
    if units is not None and isinstance(angles, list) and angles and len(angles) != units:
        yield Problem(
            "engine.tdc_deg",
            shown(angles),
            f"Engine, flywheel angle at each unit's TDC: {len(angles)} found for {units} units. Enter one a unit, or leave "
            "it out for even firing intervals.",
        )


def _cam_table(rows: Any) -> Iterator[Problem]:
    if not isinstance(rows, list) or not 2 <= len(rows) <= 2000:
        return
    if not all(isinstance(row, list) and len(row) == 2 and _number(row[0]) and _number(row[1]) for row in rows):
        return
    where, label = "engine.cam_lift_table", "Engine, cam lift table"
    for j in range(1, len(rows)):
        if rows[j][0] <= rows[j - 1][0] + SLACK:
            yield Problem(
                where,
                f"{rows[j - 1][0]} then {rows[j][0]}",
                f"{label}, row {j + 1}: the angle {rows[j][0]} follows {rows[j - 1][0]}. Angles rise from row to row. Sort the "
                "rows, or correct the angle.",
            )
            break
    top = max(range(len(rows)), key=lambda j: rows[j][1])
    for j in range(1, top + 1):
        if rows[j][1] < rows[j - 1][1]:
            yield Problem(
                where,
                f"{rows[j - 1][1]} then {rows[j][1]}",
                f"{label}, row {j + 1}: the lift falls from {rows[j - 1][1]} to {rows[j][1]} before the peak of "
                f"{rows[top][1]}. The lift rises, or stays, up to its peak. Correct the lift.",
            )
            break


def _in_range(entry: dict[str, Any], key: str) -> float | None:
    """A unit's setting where it can be used at all; a wrong one is told by the reader and not once more in a pair."""
    value, field = entry.get(key), field_of(UnitReference, key)
    if isinstance(value, bool) or not isinstance(value, (int, float)) or field.low is None or field.high is None:
        return None
    return float(value) if field.low <= value <= field.high else None


def _reference_units(entries: list[Any] | None, units: int | None, complete: bool) -> Iterator[Problem]:
    if not entries:
        return
    seen: set[int] = set()
    for j, entry in enumerate(entries):
        if not isinstance(entry, dict):
            continue
        where = f"reference.units[{j}]"
        unit = _count(entry.get("unit"))
        name = f"Reference settings, {entry_words(entry, j)}"
        if unit is not None and units is not None and unit > units:
            yield Problem(f"{where}.unit", str(unit), f"{name}: the engine has units 1 to {units}. Correct the unit number.")
        elif unit is not None:
            if unit in seen:
                yield Problem(f"{where}.unit", str(unit), f"{name}: this unit has settings already. Keep one entry a unit.")
            seen.add(unit)
        lifts = [_in_range(entry, key) for key in ("pre_stroke_mm", "spill_lift_mm")]
        if lifts[0] is not None and lifts[1] is not None and lifts[1] <= lifts[0] + SLACK:
            yield Problem(
                where,
                f"{lifts[0]} and {lifts[1]}",
                f"{name}: the spill lift {lifts[1]:g} mm is not above the pre-stroke {lifts[0]:g} mm. Delivery ends at a "
                "higher lift than it starts. Compare both with the record.",
            )
        angles = [_in_range(entry, key) for key in ("beginning_deg", "end_deg")]
        if angles[0] is not None and angles[1] is not None and angles[1] <= angles[0] + SLACK:
            yield Problem(
                where,
                f"{angles[0]} and {angles[1]}",
                f"{name}: the end at {angles[1]:g}° is not after the start at {angles[0]:g}°. Before TDC is negative. Compare "
                "both with the record.",
            )
    if units is not None and complete:
        missing = [str(unit) for unit in range(1, units + 1) if unit not in seen]
        if missing:
            which = f"unit {missing[0]}" if len(missing) == 1 else f"units {', '.join(missing)}"
            yield Problem(
                "reference.units",
                f"no settings for {which}",
                f"Reference settings: nothing for {which}. Every unit needs its four settings. Take them from the "
                "shop-trial record.",
            )


def _readings(entries: list[Any] | None, units: int | None) -> Iterator[Problem]:
    seen: dict[tuple[Any, ...], int] = {}
    for j, entry in enumerate(entries or ()):
        if isinstance(entry, dict):
            yield from _reading(entry, j, units, seen)


def _reading(entry: dict[str, Any], j: int, units: int | None, seen: dict[tuple[Any, ...], int]) -> Iterator[Problem]:
    where = f"readings[{j}]"
    unit, stage, event, method = (entry.get(key) for key in ("unit", "stage", "event", "method"))
    known = isinstance(event, str) and event in EVENTS
    name = f"Readings, {entry_words(entry, j)}"
    number = _count(unit)
    if number is not None and units is not None and number > units:
        yield Problem(f"{where}.unit", shown(unit), f"{name}: the engine has units 1 to {units}. Correct the unit number.")
    if event in VALVE_EVENTS and "method" not in entry:
        ways = " or ".join(f'"{each}"' for each in METHODS)
        yield Problem(f"{where}.method", "nothing", f"{name}, way of reading: missing. Enter {ways}.")
    if known and (event not in VALVE_EVENTS or (isinstance(method, str) and method in METHODS)):
        for key in lists_of(event, method):  # type: ignore[arg-type]
            if key not in entry:
                words = key.rsplit("_", 1)[0].replace("_", " ")
                yield Problem(
                    f"{where}.{key}",
                    "nothing",
                    f"{name}, {words}: missing. Enter one or more readings, or remove the entry.",
                )
    lengths = {key: len(value) for key, value in entry.items() if key in _LISTS and isinstance(value, list) and value}
    if len(set(lengths.values())) > 1:
        said = ", ".join(f"{count} in {key}" for key, count in lengths.items())
        yield Problem(where, said, f"{name}: {said}. Each repeat needs a number in every list. Add the missing one.")
    place = (number, stage, event, entry.get("reached", "ahead"))
    if number is not None and all(isinstance(part, str) for part in place[1:]):
        if place in seen:
            yield Problem(
                where,
                "a second reading",
                f"{name}: entry {seen[place] + 1} has the same unit, stage and event. Put repeats into one entry.",
            )
        seen.setdefault(place, j)


def _rows(field: Field, entries: list[Any] | None, units: int | None) -> Iterator[Problem]:
    """The entries of a list whose rows have names: each name once, and of a unit that the engine has."""
    seen: dict[tuple[Any, ...], int] = {}
    for j, entry in enumerate(entries or ()):
        if not isinstance(entry, dict):
            continue
        name = f"{field.label.capitalize()}, {entry_words(entry, j)}"
        unit = _count(entry.get("unit"))
        if unit is not None and units is not None and unit > units:
            where = f"{field.name}[{j}].unit"
            yield Problem(where, str(unit), f"{name}: the engine has units 1 to {units}. Correct the unit number.")
        row = tuple(entry.get(key) for key in field.row_by)
        if not all(isinstance(each, (str, int, float)) for each in row):
            continue
        if row in seen:
            words = f"{name}: entry {seen[row] + 1} is for the same. Keep one of the two."
            yield Problem(f"{field.name}[{j}]", "a second entry", words)
        seen.setdefault(row, j)


_LISTS = ("plunger_lift_mm", "valve_lift_mm", "crank_angle_deg", "clearance_mm")
