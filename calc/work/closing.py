"""What must be closed before the engine can be ready, in what order: for a job that is broken off at short notice."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from calc.findings import Findings, UnitFindings
from calc.job.catalogue import EVERY_CONFIRMATION, PHASES
from calc.job.model import ADJUSTED, AS_FOUND, AS_LEFT, LIFT_OFF, VALVE_EVENTS, ZERO_INDEX
from calc.work.progress import Missing
from calc.work.sheet import Worksheet


@dataclass(frozen=True, slots=True)
class Phase:
    """One stage of closing: its title, and what is still to do in it, in order."""

    code: str
    title: str
    items: tuple[Missing, ...]


def closing(texts: Mapping[str, str], found: Findings | None = None) -> tuple[Phase, ...]:
    """What is to be done before the engine can be ready. The engine's manual decides; this is what the job knows.

    Order: common practice, no source.

    >>> [phase.code for phase in closing({"positions/gauges/as_found": "4 on unit 2"})]
    ['people', 'pumps', 'fuel', 'turning', 'proof']
    """
    sheet = Worksheet(texts)
    by_phase: dict[str, list[Missing]] = {code: [] for code in PHASES}
    for unit, item in _units(sheet, found):
        by_phase["pumps" if unit else "proof"].append(item)
    for position in sheet.positions:
        row = f"positions/{position.code}"
        if sheet.has(f"{row}/as_found") and not sheet.has(f"{row}/restored"):
            found_so = sheet.text(f"{row}/as_found")
            label = position.label[:1].upper() + position.label[1:]
            by_phase[position.phase].append(Missing(f"{row}/restored", f"{label}: put back. As found: {found_so}"))
    for each in EVERY_CONFIRMATION:
        if each.phase and sheet.fits(each.needs) and not sheet.settled(each):
            if each.code == "lock_nuts" and not sheet.adjusted:
                continue
            by_phase[each.phase].append(Missing(f"confirmations/{each.code}/by", each.label))
    return tuple(Phase(code, PHASES[code], tuple(items)) for code, items in by_phase.items() if items)


def _units(sheet: Worksheet, found: Findings | None) -> Iterator[tuple[bool, Missing]]:
    """What was changed and not proved: whether it belongs to making the pumps whole, and what to do."""
    latest = {(each.unit, each.stage): each for each in (found.units if found else ())}
    for unit, parts in sheet.adjusted.items():
        for part in parts:
            row = f"adjustments/{unit}/{part}"
            if not sheet.yes(f"{row}/locked"):
                yield True, Missing(f"{row}/locked", f"Unit {unit}, {ADJUSTED[part]}: lock it again. It was turned.")
        if not all(sheet.read(unit, AS_LEFT, event) for event in VALVE_EVENTS):
            lengths = {part: sheet.text(f"adjustments/{unit}/{part}/length_before_mm") for part in parts}
            back = ", ".join(f"{ADJUSTED[part]} {length} mm" for part, length in lengths.items() if length)
            undo = f" Or put the rods back to their lengths before: {back}." if back else ""
            key = sheet.reading(unit, AS_LEFT, VALVE_EVENTS[0], "method")
            yield False, Missing(key, f"Unit {unit} was corrected and not read again: its timing is not proved.{undo}")
        if not sheet.read(unit, AS_LEFT, ZERO_INDEX):
            key = sheet.reading(unit, AS_LEFT, ZERO_INDEX, "valve_lift_mm")
            yield (
                False,
                Missing(key, f"Unit {unit} was corrected: prove its cut-out at index 0. The engine may not stop."),
            )
    for unit in sheet.units:
        last = latest.get((unit, AS_LEFT)) or latest.get((unit, AS_FOUND))
        if last is not None and _does_not_cut_out(last):
            yield (
                False,
                Missing(
                    None,
                    f"Unit {unit}: its zero-index opening is not proved. Ask the maker before the engine runs.",
                ),
            )
    if sheet.yes("arrangement.lift_off_gear"):
        for unit in sheet.adjusted:
            if not sheet.read(unit, AS_LEFT, LIFT_OFF):
                key = sheet.reading(unit, AS_LEFT, LIFT_OFF, "clearance_mm")
                yield False, Missing(key, f"Unit {unit}: prove the lift-off clearance.")


def _does_not_cut_out(found: UnitFindings) -> bool:
    return found.cut_out is not None and found.cut_out.verdict not in (None, "within")
