"""What was confirmed, and what was moved and put back, as the record shows it."""

from __future__ import annotations

from collections.abc import Iterator

from calc.job.catalogue import EVERY_CONFIRMATION, POSITIONS
from calc.job.model import Confirmation, Job, Position
from calc.job.steps import STEPS
from calc.show.markup import Markup, element, joined
from calc.show.paper import NOTHING, raw, signed_by, table
from calc.work.progress import same_person
from calc.work.sheet import Worksheet

SAME = "One name stands for both: another person checks."
_NAMES = {each.code: each.label[:1].upper() + each.label[1:] for each in POSITIONS}
_CONFIRMED = {each.code: each for each in EVERY_CONFIRMATION}
_TITLES = {step.code: step.title for step in STEPS}


def position_name(each: Position) -> str:
    """What was moved: the list's words, or a person's own.

    >>> position_name(Position(item="tools")), position_name(Position(item="own-1", name="floor plates"))
    ('Tools, rags and loose parts', 'floor plates')
    """
    listed = _NAMES.get(each.item)
    return f"{listed} ({each.name})" if listed and each.name else listed or each.name or each.item


def checked_by_restorer(each: Position) -> bool:
    """Whether one name stands for restoring and checking."""
    return same_person(each.restored_by or "", each.checked_by or "")


def positions_section(job: Job, sheet: Worksheet) -> Markup:
    """Everything that was moved: as found, restored, and the three names. Their absence is told.

    Parameters: the job, and the worksheet that it fills, for what its list still asks for.
    """
    rows = job.positions or ()
    title = element("h2", None, "Moved for this job, and put back")
    if not rows:
        return joined(title, element("p", None, "No position is written down in this job."))
    moved = [each for each in rows if not _aside(each)]
    listed = {each.item for each in rows}
    open_ones = [each.label for each in sheet.positions if each.code not in listed]
    aside = [f"{position_name(each)}: {each.not_needed}" for each in rows if _aside(each)]
    return joined(
        title,
        table(
            ["What", "As found", "Restored", "Written down by", "Restored by", "Checked by"],
            [
                (
                    _with_reason(each),
                    each.as_found or NOTHING,
                    each.restored or NOTHING,
                    signed_by(each.found_by, each.found_at) or NOTHING,
                    signed_by(each.restored_by, each.restored_at) or NOTHING,
                    joined(*_checked(each)),
                )
                for each in moved
            ],
            css="tight moved",
        )
        if moved
        else None,
        _line("Does not apply", aside),
        _line("Not written down", open_ones),
    )


def _aside(each: Position) -> bool:
    """Whether a row says only that the thing is not moved."""
    return bool(each.not_needed) and not any((each.as_found, each.restored, each.found_by, each.restored_by, each.checked_by))


def _with_reason(each: Position) -> str:
    return f"{position_name(each)}. Does not apply: {each.not_needed}" if each.not_needed else position_name(each)


def _checked(each: Position) -> Iterator[object]:
    yield signed_by(each.checked_by, each.checked_at) or NOTHING
    if checked_by_restorer(each):
        yield element("br")
        yield element("strong", None, SAME)


def _line(name: str, items: list[str]) -> Markup | None:
    return element("p", {"class": "quiet"}, element("strong", None, f"{name}: "), "; ".join(items), ".") if items else None


def confirmations_section(job: Job) -> Markup:
    """Permit, command, and what was confirmed by whom and when, or why it does not apply. Their absence is told."""
    paper = job.paper
    rows = job.confirmations or ()
    people = None if paper is None or paper.people is None else raw(paper.people)
    said = [
        ("Permit to work", paper and paper.permit),
        ("Turning commanded by", paper and paper.commander),
        ("People at the engine", people),
    ]
    line = "; ".join(f"{name.lower() if at else name}: {value}" for at, (name, value) in enumerate(said) if value)
    order = list(_CONFIRMED)
    groups: dict[str, list[Confirmation]] = {}
    for each in sorted(rows, key=lambda each: order.index(each.code) if each.code in _CONFIRMED else len(order)):
        groups.setdefault(_TITLES[_CONFIRMED[each.code].step] if each.code in _CONFIRMED else "Other", []).append(each)
    return joined(
        element("h2", None, "Confirmed"),
        element("p", {"class": "lead"}, f"{line}.") if line else None,
        element(
            "table",
            {"class": "tight confirmed"},
            element("thead", None, element("tr", None, [element("th", {"scope": "col"}, each) for each in _HEADS])),
            [_group(step, each) for step, each in groups.items()],
        )
        if rows
        else element("p", None, "Nothing is confirmed in this job."),
    )


_HEADS = ("Step", "What", "By, when")


def _group(step: str, rows: list[Confirmation]) -> Markup:
    """A row for each confirmation of a step, which is named once."""
    return element(
        "tbody",
        None,
        [
            element(
                "tr",
                None,
                element("th", {"scope": "rowgroup", "rowspan": len(rows)}, step) if each is rows[0] else None,
                element("td", None, _what(each)),
                element("td", None, _settled(each)),
            )
            for each in rows
        ],
    )


def _what(each: Confirmation) -> Markup:
    listed = _CONFIRMED.get(each.code)
    signal = f"{listed.signal.capitalize()}. " if listed and listed.signal else ""
    return joined(element("strong", None, signal) if signal else None, listed.label if listed else each.code)


def _settled(each: Confirmation) -> str:
    reason = f"Does not apply: {each.not_needed}" if each.not_needed else ""
    return ". ".join(part for part in (signed_by(each.by, each.at), reason) if part) or NOTHING
