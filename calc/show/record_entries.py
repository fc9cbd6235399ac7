"""What was entered, as the record shows it: readings with every repeat, settings, instruments, engine and fuel."""

from __future__ import annotations

from collections.abc import Iterator

from calc.job.describe import CHOICE, FLAG, NUMBER, NUMBERS, RECORD, TEXT, WHOLE, WHOLES, Field, fields_of
from calc.job.direction import ANGLES
from calc.job.form import place_of, step_of
from calc.job.model import AHEAD, EVENTS, METHODS, STAGES, Arrangement, Job, Node, Reading, lists_of
from calc.show.markup import Markup, element, joined
from calc.show.paper import NOTHING, facts, raw, table

_MOST_CAM_ROWS = 60  # A longer table stays in the job file; the check sum vouches for it.


def _raw_angle(value: float) -> str:
    return f"{raw(abs(value))}° {'before' if value < 0 else 'after'}" if value else "at TDC"


def readings_section(job: Job) -> Markup | None:
    """Every reading, exactly as entered; None where there is none. A column that would be empty is left out."""
    if not job.readings:
        return None
    order = list(EVENTS)
    placed = sorted(enumerate(job.readings), key=lambda each: (each[1].unit, each[1].stage, order.index(each[1].event)))
    directed = any(reading.reached for reading in job.readings) or job.direction != AHEAD
    noted = any(_remarks(reading) for reading in job.readings)
    rows = [
        (
            reading.unit,
            STAGES[reading.stage],
            ", ".join(each for each in (EVENTS[reading.event], METHODS.get(reading.method or "")) if each),
            element("span", {"data-reading": j}, _repeats(reading)),
            _angles(reading),
            *([_direction(reading, job)] if directed else []),
            *([_remarks(reading) or NOTHING] if noted else []),
        )
        for j, reading in placed
    ]
    return joined(
        element("h2", None, "Readings as entered"),
        element(
            "p",
            {"class": "quiet"},
            "Repeats stand in the order in which they were entered. Angles count from the unit's own TDC. "
            f"{ANGLES[job.direction]} Where no direction was entered, ahead counts.".lstrip(),
        ),
        table(
            [
                "Unit",
                "Stage",
                "Event and way of reading",
                "Lift, valve reading or clearance, mm",
                "Crank angle",
                *(["Reached turning"] if directed else []),
                *(["Noted"] if noted else []),
            ],
            rows,
            css="quiet readings",
        ),
    )


def _direction(reading: Reading, job: Job) -> str:
    words = reading.reached or NOTHING
    return words if job.judges(reading) else f"{words}: not judged"


def _repeats(reading: Reading) -> str:
    described = {field.name: field for field in fields_of(Reading)}
    parts = []
    for name, field in described.items():
        values = getattr(reading, name)
        if field.kind != NUMBERS or field.angle or values is None:
            continue
        noun = "" if name in lists_of(reading.event, reading.method)[:1] else f"{field.label} "
        parts.append(noun + "; ".join(raw(each) for each in values))
    return " / ".join(parts)


def _angles(reading: Reading) -> str:
    return "; ".join(_raw_angle(each) for each in reading.crank_angle_deg) if reading.crank_angle_deg else NOTHING


def _remarks(reading: Reading) -> str:
    parts = [reading.gauges, None if reading.temperature_c is None else f"engine {raw(reading.temperature_c)} °C"]
    return ", ".join(part for part in parts if part)


def settings_section(job: Job) -> Markup:
    """Reference settings with their source, instruments with their papers, the engine and its fuel."""
    reference = job.reference
    columns = [field for field in fields_of(type(reference.units[0])) if field.name != "unit"] if reference.units else []
    rows = [(unit.unit, *(value_words(field, getattr(unit, field.name)) for field in columns)) for unit in reference.units]
    gauges = [
        (field.label.capitalize(), getattr(job.instruments, field.name))
        for field in fields_of(type(job.instruments))
        if field.kind == RECORD
    ]
    return joined(
        element("div", {"class": "keep"}, element("h2", None, "Reference settings"), facts(_described(reference))),
        table(["Unit", *(field.label.capitalize() for field in columns)], rows, css="quiet"),
        element("div", {"class": "keep"}, element("h2", None, "Instruments"), facts(_described(job.instruments))),
        [
            element(
                "div", {"class": "keep"}, element("h3", None, name), facts(_described(gauge, blanks=("serial", "calibrated")))
            )
            for name, gauge in gauges
        ],
        element("div", {"class": "keep"}, element("h2", None, "Engine and fuel"), facts(_described(job.engine))),
        _cam_table(job),
        None if job.fuel is None else facts(_described(job.fuel)),
        element(
            "div",
            {"class": "keep"},
            element("h3", None, "What this engine has"),
            facts(said) if (said := list(_described(job.arrangement or Arrangement()))) else element("p", None, "Not said."),
        ),
    )


def drafts_section(job: Job) -> Markup | None:
    """What was typed in the worksheet and is no value: kept, counted nowhere, and shown; None where there is nothing."""
    if not job.drafts:
        return None
    rows = [(_place(key), words) for key, words in job.drafts.items()]
    return joined(element("h2", None, "Typed but not understood"), table(["Where", "What was typed"], rows, css="quiet"))


def _place(key: str) -> str:
    """A form key in words; the key itself where the form has no such place."""
    return place_of(key) if step_of(key) else key


def _described(node: Node, blanks: tuple[str, ...] = ()) -> Iterator[tuple[str, str]]:
    """Every field of a record that holds something, in its own words; `blanks` are shown even when empty, to write in."""
    for field in fields_of(type(node)):
        value = getattr(node, field.name)
        if field.kind in (NUMBER, WHOLE, NUMBERS, WHOLES, TEXT, CHOICE, FLAG) and (value is not None or field.name in blanks):
            yield field.label[:1].upper() + field.label[1:], "……………………" if value is None else value_words(field, value)


def value_words(field: Field, value: object) -> str:
    """A value as paper shows it, with its unit; a dash where there is none."""
    if value is None:
        return NOTHING
    if isinstance(value, bool):
        return field.choices["true" if value else "false"]
    if field.kind == CHOICE:
        return field.choices[str(value)]
    if isinstance(value, tuple):
        return " ".join(f"{raw(each)}{'°' if field.unit == '°' else ''}" for each in value)
    if not isinstance(value, (int, float)):
        return str(value)
    if field.angle:
        return f"{_raw_angle(value)} TDC" if value else "at TDC"
    return f"{raw(value)}{'' if field.unit in ('', '°') else ' '}{field.unit}"


def _cam_table(job: Job) -> Markup | None:
    rows = job.engine.cam_lift_table
    if not rows:
        return None
    if len(rows) > _MOST_CAM_ROWS:
        words = f"{len(rows)} rows, from {_raw_angle(rows[0][0])} to {_raw_angle(rows[-1][0])}; they stand in the job file."
    else:
        words = "; ".join(f"{_raw_angle(angle)}: {raw(lift)} mm" for angle, lift in rows) + "."
    return element("p", {"class": "quiet"}, element("strong", None, "Cam lift table. "), words)
