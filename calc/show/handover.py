"""The handover page of a job that is broken off: what is dangerous, what to close in what order, what is open. On A4.

It needs no whole job: handing over cannot wait. It says what is typed, and judges what can be judged.
"""

from __future__ import annotations

from collections.abc import Iterator

from calc.findings import UnitFindings
from calc.job.direction import ANGLES
from calc.job.model import ADJUSTED, AS_FOUND, AS_LEFT, CAM, STAGES, VALVE_EVENTS, ZERO_INDEX
from calc.job.words import listed, spans_words
from calc.show.marks import labelled
from calc.show.markup import Markup, element, joined
from calc.show.paper import BOX, NOTHING, document, facts, headed, table
from calc.show.record import open_steps
from calc.work.begun import Begun
from calc.work.sheet import Worksheet

TITLE = "Handing over: the job is not finished"
TITLE_DONE = "Handing over: the job is complete"
_MOST_SLIPS = 8


def handover_page(so_far: Begun) -> str:
    """The handover page as one HTML file.

    Parameters: the job as far as it is. Returns: the file's text; it loads nothing and runs nothing.

    >>> from calc.work.begun import begun
    >>> "The engine is not ready" in handover_page(begun({"positions/gauges/as_found": "4 on unit 2"}))
    True
    """
    sheet = Worksheet(so_far.texts)
    title = TITLE_DONE if so_far.progress.complete else TITLE
    name = ", ".join(each for each in (title, sheet.text("vessel"), sheet.text("date")) if each)
    return document(
        name,
        so_far.checksum,
        headed(title, _rotation(sheet), demo=so_far.composed.tree.get("demo") is True),
        _danger(so_far, sheet),
        facts(_which(sheet)),
        _remarks(so_far, sheet),
        _closing(so_far),
        _units(so_far, sheet),
        _steps(so_far),
        _to_mend(so_far),
        _signatures(sheet),
    )


def _rotation(sheet: Worksheet) -> str | None:
    """The direction where the job says one that is known."""
    said = sheet.text("reference.rotation").lower()
    return said if said in ANGLES else None


def _which(sheet: Worksheet) -> Iterator[tuple[str, object]]:
    for name, key in (
        ("Ship", "vessel"),
        ("Job", "title"),
        ("Date of the check", "date"),
        ("Permit to work", "paper.permit"),
    ):
        yield name, sheet.text(key) or NOTHING


def _danger(so_far: Begun, sheet: Worksheet) -> Markup:
    """What can hurt somebody or the engine, before everything else."""
    items = list(_dangers(so_far, sheet))
    if not items:
        return element("p", {"class": "stop"}, "Nothing dangerous is open that this job knows of. The engine's manual decides.")
    return element(
        "div",
        {"class": "stop"},
        element("p", None, "Danger: do not start the engine before this is cleared."),
        element("ul", None, [element("li", None, each) for each in items]),
    )


def _dangers(so_far: Begun, sheet: Worksheet) -> Iterator[str]:
    if so_far.closing:
        count = sum(len(phase.items) for phase in so_far.closing)
        things = "thing is" if count == 1 else "things are"
        yield f"The engine is not ready: {count} {things} to close or to prove. See the list."
    for unit, parts in sheet.adjusted.items():
        names = listed([ADJUSTED[part] for part in parts])
        loose = [ADJUSTED[part] for part in parts if not sheet.yes(f"adjustments/{unit}/{part}/locked")]
        if loose:
            yield f"Unit {unit}: {listed(loose)} turned and not locked."
        if not all(sheet.read(unit, AS_LEFT, event) for event in VALVE_EVENTS):
            yield f"Unit {unit}: {names} turned and the timing not proved since."
        if not sheet.read(unit, AS_LEFT, ZERO_INDEX):
            yield f"Unit {unit}: {names} turned and its cut-out not proved since. The engine may not stop."
    short = [each.unit for each in _latest(so_far) if each.cut_out is not None and each.cut_out.verdict not in (None, "within")]
    if short:
        words = spans_words(short)
        yield f"{words[:1].upper()}{words[1:]}: the zero-index opening is not proved. Ask the maker before the engine runs."


def _latest(so_far: Begun) -> list[UnitFindings]:
    """The findings of each unit in the last stage that it was read in."""
    latest: dict[int, UnitFindings] = {}
    for each in so_far.found.units if so_far.found else ():
        if each.stage == AS_LEFT or each.unit not in latest:
            latest[each.unit] = each
    return list(latest.values())


def _closing(so_far: Begun) -> Markup:
    """What stands open or loose right now, in the order in which it is closed."""
    title = element("h2", None, "Close and prove, in this order")
    if not so_far.closing:
        return joined(title, element("p", None, "Nothing is open that this job knows of. The engine's manual decides."))
    return joined(
        title,
        element(
            "ol",
            {"class": "quiet phases"},
            [
                element(
                    "li",
                    None,
                    element("strong", None, phase.title),
                    element("ul", {"class": "boxes"}, [element("li", None, f"{BOX} {each.text}") for each in phase.items]),
                )
                for phase in so_far.closing
            ],
        ),
    )


def _remarks(so_far: Begun, sheet: Worksheet) -> Markup | None:
    """Why, and what to know, in the words of the person who hands over; then what the readings say."""
    pairs = (("Why it is handed over", "handover.reason"), ("What the next person needs to know", "handover.remarks"))
    said = [(name, sheet.text(key)) for name, key in pairs if sheet.has(key)]
    if so_far.found is not None and so_far.found.units:
        said.append(("Findings so far", so_far.found.summary.text))
    said += _around(so_far)
    return facts(said, css="wide") if said else None


def _units(so_far: Begun, sheet: Worksheet) -> Markup | None:
    """The units that were read or turned: verdicts, and what was turned. Units that are alike share a line."""
    moved = sheet.adjusted
    found = {(each.unit, each.stage): each for each in (so_far.found.units if so_far.found else ())}
    alike: dict[tuple[str, str, str], list[int]] = {}
    for unit in sorted({unit for unit, _ in found} | set(moved)):
        verdicts = [found[unit, stage].verdict if (unit, stage) in found else "" for stage in (AS_FOUND, AS_LEFT)]
        turned = ", ".join(_turned(sheet, unit, part) for part in moved.get(unit, ()))
        alike.setdefault((verdicts[0], verdicts[1], turned), []).append(unit)
    if not alike:
        return None
    unread = [unit for unit in sheet.units if not any(unit in units for units in alike.values())]
    return joined(
        element("h2", None, "Units"),
        table(
            ["Unit", *(stage.capitalize() for stage in STAGES.values()), "Turned"],
            [
                (", ".join(map(str, units)), *(labelled(each) if each else NOTHING for each in verdicts), turned or NOTHING)
                for (*verdicts, turned), units in alike.items()
            ],
            css="quiet",
        ),
        element("p", {"class": "quiet"}, f"Not read: {spans_words(unread)}.") if unread else None,
    )


def _around(so_far: Begun) -> list[tuple[str, str]]:
    """What was measured around the check and what it says; the numbers themselves stand in the job file."""
    job, found = so_far.job, so_far.found
    if job is None or found is None:
        return []
    said = {(unit.unit, unit.stage): unit for unit in found.units}
    pairs = []
    if job.tdc_check is not None and job.tdc_check.pairs:
        check = found.tdc_check.as_found if found.tdc_check else None
        pairs.append(("TDC check", _amount(len(job.tdc_check.pairs), "pair", check.text if check else "")))
    for survey in job.cam_surveys or ():
        told = next((each.cam_survey.text for each in found.units if each.unit == survey.unit and each.cam_survey), "")
        pairs.append((f"Cam survey, unit {survey.unit}", _amount(len(survey.measured), "row", told)))
    for line in job.index_readings or ():
        unit = said.get((line.unit, line.stage))
        told = unit.index_line.text if unit and unit.index_line else ""
        pairs.append((f"Fuel index, unit {line.unit}, {STAGES[line.stage]}", _amount(len(line.points), "reading", told)))
    return pairs


def _amount(count: int, thing: str, said: str) -> str:
    return f"{count} {thing}{'' if count == 1 else 's'}. {said}".strip()


def _turned(sheet: Worksheet, unit: int, part: str) -> str:
    """What was turned as it was typed; it may not be understood yet."""
    row = f"adjustments/{unit}/{part}"
    amount = sheet.text(f"{row}/{'cam_turned_deg' if part == CAM else 'flats_turned'}").replace("-", "−")
    before = sheet.text(f"{row}/length_before_mm")
    unit_words = "" if any(map(str.isalpha, amount)) else "°" if part == CAM else " flats"
    return f"{ADJUSTED[part]} {amount}{unit_words}{f', before {before} mm' if before else ''}"


def _steps(so_far: Begun) -> Markup | None:
    how = so_far.progress
    if how.complete:
        return None
    settled = [each.title.lower() for each in how.steps if not each.missing]
    return joined(
        element("h2", None, "Open in each step"),
        open_steps(how),
        element("p", {"class": "quiet"}, f"Nothing open: {', '.join(settled)}.") if settled else None,
    )


def _to_mend(so_far: Begun) -> Markup | None:
    """What was typed and cannot be used: the next person has to know that it counts nowhere."""
    if not so_far.errors:
        return None
    more = len(so_far.errors) - _MOST_SLIPS
    return joined(
        element("h2", None, "To mend: typed, but counted nowhere"),
        element(
            "ul",
            {"class": "quiet"},
            [element("li", None, each.text) for each in so_far.errors[:_MOST_SLIPS]],
            element("li", None, f"And {more} more.") if more > 0 else None,
        ),
    )


def _signatures(sheet: Worksheet) -> Markup:
    acts = (("Handed over by", "handover.by"), ("Taken over by", "handover.to"))
    return element(
        "div",
        {"class": "keep"},
        table(
            ["Act", "Name and rank", "Signature", "Date and time"],
            [(act, sheet.text(key), "", sheet.text("handover.at")) for act, key in acts],
            css="write acts",
        ),
    )
