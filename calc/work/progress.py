"""How far the job is: what is missing in each step, and whether it is complete.

Nothing here stops anybody: every step can be opened and filled in at any time. It only says what is open.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from calc.findings import Findings
from calc.job import steps
from calc.job.catalogue import INSPECTED
from calc.job.describe import fields_of
from calc.job.form import place_of, step_of
from calc.job.model import ADJUSTED, AS_FOUND, AS_LEFT, CAM, LIFT_OFF, VALVE_EVENTS, ZERO_INDEX, Arrangement
from calc.job.words import units_words
from calc.work.sheet import Worksheet

OPEN, BEGUN, DONE, NOT_NEEDED = "open", "begun", "done", "not_needed"
STATES = {OPEN: "not begun", BEGUN: "begun", DONE: "done", NOT_NEEDED: "not needed"}
_EVENT = {VALVE_EVENTS[0]: "start", VALVE_EVENTS[1]: "end"}


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing that is open: the form key to go to (None where none fits) and what to do there."""

    key: str | None
    text: str


@dataclass(frozen=True, slots=True)
class StepState:
    """A step of the job: its code, how far it is, what is open in it, and why it is not needed where it is not."""

    code: str
    title: str
    state: str
    missing: tuple[Missing, ...]
    why: str = ""


@dataclass(frozen=True, slots=True)
class Progress:
    """All steps, whether the job is complete, that in words, and the codes of what is not to be confirmed in this job."""

    steps: tuple[StepState, ...]
    complete: bool
    text: str
    unasked: tuple[str, ...] = ()

    def step(self, code: str) -> StepState:
        """The step of a code."""
        return next(each for each in self.steps if each.code == code)


def progress(texts: Mapping[str, str], found: Findings | None = None, asked: Iterable[Missing] = ()) -> Progress:
    """How far the job is.

    Parameters: texts by form key; found: the findings, None where nothing can be judged yet; asked: the required values
    that are missing and the entries that are to mend, with their form keys.

    >>> how = progress({"engine.units": "2"})
    >>> how.complete, how.step("settings").state, how.step("positions").state
    (False, 'begun', 'open')
    """
    sheet = Worksheet(texts)
    by_step: dict[str, list[Missing]] = {}
    for each in asked:
        by_step.setdefault(step_of(each.key or "") or steps.SETTINGS, []).append(each)
    begun = {step_of(key) for key in sheet}
    states = []
    for step in steps.STEPS:
        why = _NOT_NEEDED[step.code](sheet, found) if step.code in _NOT_NEEDED else ""
        missing = () if why else (*by_step.get(step.code, ()), *_RULES[step.code](sheet, found))
        state = NOT_NEEDED if why else DONE if not missing else BEGUN if step.code in begun else OPEN
        states.append(StepState(step.code, step.title, state, missing, why))
    unasked = tuple(each.code for each in sheet.unasked)
    left = [each for each in states if each.missing]
    if not left:
        return Progress(tuple(states), True, "The job is complete: every step is done, and everything moved is back.", unasked)
    count = sum(len(each.missing) for each in left)
    first = left[-1] if all(each.code == steps.RECORD for each in left) else left[0]
    text = f"The job is not complete: {count} {'entry is' if count == 1 else 'entries are'} open. {_reason(states, first)}"
    return Progress(tuple(states), False, text, unasked)


def _reason(states: list[StepState], first: StepState) -> str:
    """What matters most of all that is open: things that are not put back come before everything else."""
    back = next(each for each in states if each.code == steps.RESTORE)
    moved = next(each for each in states if each.code == steps.POSITIONS)
    said = f"First in the job's order: {first.title.lower()}."
    if moved.state != OPEN and back.missing:
        return f"{said} Not yet put back and checked: {len(back.missing)}."
    return said


Rule = Callable[[Worksheet, "Findings | None"], Iterator[Missing]]


def _unless(sheet: Worksheet, *keys: str) -> Iterator[Missing]:
    for key in keys:
        if not sheet.has(key):
            yield Missing(key, f"{place_of(key)}: still open.")


def _confirmed(sheet: Worksheet, step: str) -> Iterator[Missing]:
    for each in sheet.confirmations(step):
        if not sheet.settled(each):
            yield Missing(f"confirmations/{each.code}/by", f"To confirm: {each.label}")


def _due(sheet: Worksheet, _: Findings | None) -> Iterator[Missing]:
    yield from _unless(sheet, "vessel", "date", "running_hours", "reason")
    for field in fields_of(Arrangement):
        yield from _unless(sheet, f"arrangement.{field.name}")


def _settings(sheet: Worksheet, _: Findings | None) -> Iterator[Missing]:
    yield from _unless(sheet, "reference.source")
    if sheet.yes("arrangement.reversible"):
        # Each direction is a job of its own, and nobody should have to guess which one this was.
        yield from _unless(sheet, "reference.rotation")


def _safe(sheet: Worksheet, _: Findings | None) -> Iterator[Missing]:
    yield from _unless(sheet, "paper.permit")
    yield from _confirmed(sheet, steps.SAFE)


def _positions(sheet: Worksheet, _: Findings | None) -> Iterator[Missing]:
    for each in sheet.positions:
        row = f"positions/{each.code}"
        if not sheet.has(f"{row}/as_found"):
            yield Missing(f"{row}/as_found", f"{_named(each.label)}: position as found.")
        elif not sheet.has(f"{row}/found_by"):
            yield Missing(f"{row}/found_by", f"{_named(each.label)}: who wrote it down.")


def _turning(sheet: Worksheet, _: Findings | None) -> Iterator[Missing]:
    yield from _unless(sheet, "paper.commander", "paper.people")
    yield from _confirmed(sheet, steps.TURNING)


def _inspection(sheet: Worksheet, _: Findings | None) -> Iterator[Missing]:
    yield from _unless(sheet, "engine.units")
    for unit in sheet.units:
        parts = [part for part in INSPECTED if not sheet.has(f"inspections/{unit}/{part}/condition")]
        if parts:
            which = "all parts" if len(parts) == len(INSPECTED) else ", ".join(INSPECTED[part] for part in parts)
            yield Missing(f"inspections/{unit}/{parts[0]}/condition", f"Unit {unit}: condition of {which}.")


def _readings(sheet: Worksheet, stage: str, units: Iterable[int]) -> Iterator[Missing]:
    for unit in units:
        events = [event for event in VALVE_EVENTS if not sheet.read(unit, stage, event)]
        if events:
            key = sheet.reading(unit, stage, events[0], "method")
            yield Missing(key, f"Unit {unit}: {' and '.join(_EVENT[event] for event in events)}.")


def _found(sheet: Worksheet, _: Findings | None) -> Iterator[Missing]:
    yield from _confirmed(sheet, steps.FOUND)
    yield from _readings(sheet, AS_FOUND, sheet.units)
    yield from _unless(sheet, "paper.readings_by")


def _findings(sheet: Worksheet, found: Findings | None) -> Iterator[Missing]:
    if found is None:
        yield Missing(None, "There is nothing to judge yet.")
        return
    left = {each.unit for each in found.units if each.stage == AS_LEFT}
    for each in found.units:
        if each.stage == AS_FOUND and each.unit not in left:
            if each.suspicions:
                yield Missing(None, f"Unit {each.unit}: read again first, a reading mistake is suspected.")
            elif each.verdict == "unclear":
                yield Missing(None, f"Unit {each.unit}: too close to tell. The findings say what would settle it.")


def _correction(sheet: Worksheet, found: Findings | None) -> Iterator[Missing]:
    moved = sheet.adjusted
    yield from _confirmed(sheet, steps.CORRECTION)
    for unit, part in _listed_corrections(found):
        if not sheet.turned(unit, part) and not sheet.has(f"adjustments/{unit}/{part}/note"):
            name = "cam_turned_deg" if part == CAM else "flats_turned"
            words = f"Unit {unit}, {ADJUSTED[part]}: what was turned, or a remark why it is left."
            yield Missing(f"adjustments/{unit}/{part}/{name}", words)
    for unit, parts in moved.items():
        for part in parts:
            row = f"adjustments/{unit}/{part}"
            if part != CAM and not sheet.has(f"{row}/length_before_mm"):
                yield Missing(f"{row}/length_before_mm", f"Unit {unit}, {ADJUSTED[part]}: its length before.")
            if not sheet.yes(f"{row}/locked"):
                yield Missing(f"{row}/locked", f"Unit {unit}, {ADJUSTED[part]}: locked again.")
            if not sheet.has(f"{row}/by"):
                yield Missing(f"{row}/by", f"Unit {unit}, {ADJUSTED[part]}: who did it.")
    yield from _unless(sheet, "paper.correction_by")


def _listed_corrections(found: Findings | None) -> list[tuple[int, str]]:
    """The corrections as found; those as left come after another reading."""
    return [
        (each.unit, one.part) for each in (found.units if found else ()) if each.stage == AS_FOUND for one in each.corrections
    ]


def _left(sheet: Worksheet, found: Findings | None) -> Iterator[Missing]:
    yield from _confirmed(sheet, steps.LEFT)
    yield from _readings(sheet, AS_LEFT, sheet.adjusted)
    for each in found.units if found else ():
        if each.stage == AS_LEFT and each.corrections:
            yield Missing(None, f"Unit {each.unit}: still off. Correct it and read it again.")
    yield from _unless(sheet, "paper.left_by")


def _cut_out(sheet: Worksheet, _: Findings | None) -> Iterator[Missing]:
    moved = sheet.adjusted
    for unit in sheet.units:
        stages = (AS_LEFT,) if unit in moved else (AS_LEFT, AS_FOUND)
        asked = [ZERO_INDEX, LIFT_OFF] if sheet.yes("arrangement.lift_off_gear") else [ZERO_INDEX]
        for event in asked:
            if not any(sheet.read(unit, stage, event) for stage in stages):
                name = "clearance_mm" if event == LIFT_OFF else "valve_lift_mm"
                words = "lift-off clearance" if event == LIFT_OFF else "zero-index opening"
                yield Missing(sheet.reading(unit, stages[0], event, name), f"Unit {unit}: {words}.")
    yield from _unless(sheet, "paper.cut_out_by")


def _close(sheet: Worksheet, _: Findings | None) -> Iterator[Missing]:
    yield from _confirmed(sheet, steps.CLOSE)


def _restore(sheet: Worksheet, _: Findings | None) -> Iterator[Missing]:
    for each in sheet.positions:
        row, name = f"positions/{each.code}", _named(each.label)
        if not sheet.has(f"{row}/restored"):
            yield Missing(f"{row}/restored", f"{name}: not put back yet.")
        elif not sheet.has(f"{row}/restored_by"):
            yield Missing(f"{row}/restored_by", f"{name}: who put it back.")
        elif not sheet.has(f"{row}/checked_by"):
            yield Missing(f"{row}/checked_by", f"{name}: a second person has to check it.")
        elif same_person(sheet.text(f"{row}/restored_by"), sheet.text(f"{row}/checked_by")):
            yield Missing(f"{row}/checked_by", f"{name}: one name stands for restoring and checking. Another person checks.")
    yield from _confirmed(sheet, steps.RESTORE)


def _record(sheet: Worksheet, found: Findings | None) -> Iterator[Missing]:
    if found is not None and found.summary.verdict != "within":
        yield Missing(None, f"The timing is not proved. {found.summary.text}")
    yield from _confirmed(sheet, steps.RECORD)
    yield from _unless(sheet, "paper.checked_by")
    checker = sheet.text("paper.checked_by")
    if checker and sheet.adjusted and same_person(checker, sheet.text("paper.correction_by")):
        yield Missing("paper.checked_by", "Whole job checked by: the person who corrected does not check. Another one does.")


def same_person(one: str, other: str) -> bool:
    """Whether two names are the same but for capitals and spaces.

    >>> same_person("A. Berg, 2/E", "a.berg,  2/e"), same_person("A. Berg", "B. Arg")
    (True, False)
    """
    return bool(one) and "".join(one.casefold().split()) == "".join(other.casefold().split())


def _named(label: str) -> str:
    return label[:1].upper() + label[1:]


_RULES: dict[str, Rule] = {
    steps.DUE: _due,
    steps.SETTINGS: _settings,
    steps.SAFE: _safe,
    steps.POSITIONS: _positions,
    steps.TURNING: _turning,
    steps.INSPECTION: _inspection,
    steps.FOUND: _found,
    steps.FINDINGS: _findings,
    steps.CORRECTION: _correction,
    steps.LEFT: _left,
    steps.CUT_OUT: _cut_out,
    steps.CLOSE: _close,
    steps.RESTORE: _restore,
    steps.RECORD: _record,
}


def _nothing_to_correct(sheet: Worksheet, found: Findings | None) -> str:
    if found is None or sheet.adjusted or sheet.any("adjustments/") or _listed_corrections(found):
        return ""
    judged = [each.unit for each in found.units if each.stage == AS_FOUND and each.beginning and each.end]
    if sorted(judged) != sheet.units:
        return ""
    within = [each.unit for each in found.units if each.stage == AS_FOUND and each.verdict == "within"]
    alone = f" Leave {units_words(within)} alone: within." if within else ""
    return f"No rod and no cam is to be corrected.{alone}"


def _nothing_moved(sheet: Worksheet, found: Findings | None) -> str:
    if sheet.adjusted or any("/as_left/" in key for key in sheet):
        return ""
    return "Nothing was corrected, so nothing is read again." if _nothing_to_correct(sheet, found) else ""


_NOT_NEEDED: dict[str, Callable[[Worksheet, Findings | None], str]] = {
    steps.CORRECTION: _nothing_to_correct,
    steps.LEFT: _nothing_moved,
}
