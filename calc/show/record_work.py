"""What was seen, changed and measured in service, as the record shows it: inspection, record book, figures, handing over."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from calc.findings import Event, UnitFindings
from calc.job.catalogue import INSPECTED
from calc.job.describe import fields_of
from calc.job.model import CONDITIONS, RUNS, Adjustment, Handover, Inspection, Job, Run, Service
from calc.job.words import late_words, spans_words
from calc.show.markup import Markup, element, joined
from calc.show.paper import NOTHING, between, facts, signed_by, table
from calc.show.record_entries import value_words
from calc.show.record_unit import lengths_words, turned_brief, was_turned

Stages = tuple[UnitFindings | None, UnitFindings | None]

# ---------------------------------------------------------------- inspection


def inspection_section(job: Job) -> Markup:
    """What was seen on each part. Parts of which only the condition is known share a line; absence is told."""
    rows = job.inspections or ()
    title = element("h2", None, "Inspection")
    if not rows:
        return joined(title, element("p", None, "No part was inspected, or nothing was written down."))
    noted = [each for each in rows if not _bare(each)]
    order = list(INSPECTED)
    alike = [element("li", None, words) for words in _bare_words(rows)]
    return joined(
        title,
        element("ul", {"class": "quiet"}, alike) if alike else None,
        table(
            ["Unit", "Part", "Condition", "What was seen", "Photo files", "What was done", "Serial number"],
            [
                (
                    each.unit,
                    INSPECTED[each.part],
                    element("strong", None, CONDITIONS[each.condition]) if each.condition else NOTHING,
                    each.finding or NOTHING,
                    each.photos or NOTHING,
                    each.action or NOTHING,
                    _serials(each),
                )
                for each in sorted(noted, key=lambda each: (each.unit, order.index(each.part)))
            ],
            css="quiet",
        )
        if noted
        else None,
    )


def _bare(each: Inspection) -> bool:
    return not any((each.finding, each.photos, each.action, each.serial, each.new_serial))


def _bare_words(rows: Iterable[Inspection]) -> Iterator[str]:
    """By unit and condition the parts of which nothing else is known; units that are alike share a line."""
    parts: dict[tuple[str, int], list[str]] = {}
    for each in sorted(rows, key=lambda each: (each.unit, list(INSPECTED).index(each.part))):
        if _bare(each) and each.condition:
            parts.setdefault((each.condition, each.unit), []).append(INSPECTED[each.part])
    alike: dict[tuple[str, tuple[str, ...]], list[int]] = {}
    for (condition, unit), named in parts.items():
        alike.setdefault((condition, tuple(named)), []).append(unit)
    for (condition, those), units in alike.items():
        which = "all parts" if len(those) == len(INSPECTED) else ", ".join(those)
        words = spans_words(units)
        yield f"{words[:1].upper()}{words[1:]}: {which}: {CONDITIONS[condition]}."


def _serials(each: Inspection) -> object:
    found = f"found: {each.serial}" if each.serial else ""
    new = f"new: {each.new_serial}" if each.new_serial else ""
    return joined(*between([part for part in (found, new) if part], element("br"))) or NOTHING


# ---------------------------------------------------------------- the engine's record book of parameters


def parameters_section(job: Job, stages: Mapping[int, Stages]) -> Markup | None:
    """The lines for the engine's record book of parameters: each rod or cam that was turned, each new part.

    None where neither timing nor parts changed. A unit that was read as left without a word on what was turned gets a line
    to write in.
    """
    turned = [each for each in job.adjustments or () if was_turned(each)]
    replaced = [each for each in job.inspections or () if each.new_serial]
    told = {each.unit for each in turned}
    silent = [unit for unit, (_, left) in stages.items() if left and (left.beginning or left.end) and unit not in told]
    rows: list[tuple[object, ...]] = [
        (each.unit, _changed(each), _timing(stages.get(each.unit)), signed_by(each.by, each.at), "")
        for each in sorted(turned, key=lambda each: each.unit)
    ]
    rows += [
        (
            each.unit,
            f"{INSPECTED[each.part]} replaced: serial number {each.serial or 'not noted'}, now {each.new_serial}",
            "see above" if each.unit in told else _timing(stages.get(each.unit)),
            "",
            "",
        )
        for each in sorted(replaced, key=lambda each: each.unit)
    ]
    rows += [(unit, "Read as left. Write what was changed:", _timing(stages[unit]), "", "") for unit in silent]
    if not rows:
        return None
    when = ", ".join(
        each for each in (job.vessel, job.date, None if job.running_hours is None else f"{job.running_hours:g} h") if each
    )
    return element(
        "section",
        {"class": "keep"},
        element("h2", None, "For the engine's record book of parameters"),
        element(
            "p",
            None,
            "Timing and parts are bound by the engine's technical file. It says what may be changed, and it comes first. "
            "Enter each change made (NOx Technical Code 2008, resolution MEPC.177(58), 6.2, parameter check method)."
            f"{f' For: {when}.' if when else ''}",
        ),
        table(["Unit", "Change made", "Timing as found, as left", "Done by, when", "Entered by, when"], rows, css="write book"),
    )


def _changed(each: Adjustment) -> str:
    lengths = lengths_words(each)
    return f"{turned_brief(each)}{f' ({lengths})' if lengths else ''}"


def _timing(stages: Stages | None) -> str:
    """Start and end of a unit, before and after."""
    found, left = stages or (None, None)
    words = [f"{name} {_late(found, key)}, then {_late(left, key)}" for name, key in (("start", "beginning"), ("end", "end"))]
    return "; ".join(words)


def _late(unit: UnitFindings | None, key: str) -> str:
    event: Event | None = None if unit is None else getattr(unit, key)
    return "not read" if event is None else late_words(event.deviation_deg)


# ---------------------------------------------------------------- in service


def service_section(job: Job) -> Markup:
    """How engine and units ran before and after the job, side by side. Absence is told."""
    title = element("h2", None, "In service, before and after")
    runs = [_run(each) for each in sorted(job.runs or (), key=lambda each: list(RUNS).index(each.when))]
    rows = job.service or ()
    if not runs and not rows:
        return joined(title, element("p", None, "No figures in service are written down, neither before nor after the job."))
    columns = [field for field in fields_of(Service) if field.name not in ("when", "unit")]
    by_place = {(each.when, each.unit): each for each in rows}
    known = {when for when, _ in runs} | {each.when for each in rows}
    empty = [words for when, words in RUNS.items() if when not in known]
    body = [
        (
            unit,
            *(value_words(field, getattr(by_place.get((when, unit)), field.name, None)) for when in RUNS for field in columns),
        )
        for unit in sorted({each.unit for each in rows})
    ]
    heads = [f"{field.label.capitalize()}, {when}" for when in RUNS for field in columns]
    return element(
        "section",
        {"class": "keep"},
        title,
        [element("p", None, f"{RUNS[when].capitalize()}: {words}.") for when, words in runs],
        table(["Unit", *heads], body, css="quiet") if body else None,
        element("p", None, f"Not written down: {' and '.join(empty)}.") if empty else None,
    )


def _run(each: Run) -> tuple[str, str]:
    said = [
        value_words(field, value) if field.name == "date" else f"{field.label} {value_words(field, value)}"
        for field in fields_of(Run)
        if field.name != "when" and (value := getattr(each, field.name)) is not None
    ]
    return each.when, ", ".join(said) or "nothing"


# ---------------------------------------------------------------- handing over


def handover_section(handover: Handover | None) -> Markup | None:
    """Who handed the job over to whom, and why; None where nobody did."""
    if handover is None:
        return None
    said = [
        (field.label.capitalize(), value_words(field, value))
        for field in fields_of(Handover)
        if (value := getattr(handover, field.name)) is not None
    ]
    return element("section", {"class": "keep"}, element("h2", None, "Handed over"), facts(said, css="wide")) if said else None


def people(rows: Sequence[str | None]) -> str:
    """Names in a row, each once.

    >>> people(["A. Berg", None, "B. Arg", "A. Berg"])
    'A. Berg; B. Arg'
    """
    return "; ".join(dict.fromkeys(value for value in rows if value))
