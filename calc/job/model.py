"""The job and the one list of its fields: add a field here and it exists everywhere.

Angles are degrees after the unit's own top dead centre in ahead rotation, negative before; in a job for astern, in astern
rotation. Lengths are millimetres.
An absent optional value is None.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Any

from calc.job import steps
from calc.job.catalogue import INSPECTED, POSITIONS
from calc.job.describe import (
    NUMBER,
    Field,
    angle,
    choice,
    flag,
    number,
    numbers,
    record,
    record_of,
    records_of,
    table,
    text,
    texts,
    whole,
    wholes,
)

FORMAT, VERSION = "spillmark-job", 1

AS_FOUND, AS_LEFT = "as_found", "as_left"
STAGES = {AS_FOUND: "as found", AS_LEFT: "as left"}

SUCTION_CLOSING, SPILL_OPENING = "suction_closing", "spill_opening"
ZERO_INDEX, BASE_RETURN, PEAK, LIFT_OFF = "zero_index", "base_return", "peak", "lift_off"
VALVE_EVENTS = (SUCTION_CLOSING, SPILL_OPENING)
CUT_OUT_EVENTS = (ZERO_INDEX, LIFT_OFF)
EVENTS = {
    SUCTION_CLOSING: "start: suction valve closes",
    SPILL_OPENING: "end: spill valve opens",
    ZERO_INDEX: "cut-out: zero-index opening",
    LIFT_OFF: "cut-out: lift-off clearance",
    BASE_RETURN: "return to zero on the base circle",
    PEAK: "peak lift",
}

AT_CONTACT, AT_REFERENCE_LIFT = "at_contact", "at_reference_lift"
METHODS = {AT_CONTACT: "at contact", AT_REFERENCE_LIFT: "at reference lift"}

AHEAD, ASTERN = "ahead", "astern"

# Far above what an engine can have; they keep a hostile file from costing more than a moment.
MOST_UNIT_ENTRIES, MOST_READINGS, MOST_REPEATS, MOST_CLEARANCE = 100, 2000, 1000, 1e6
MOST_ROWS, MOST_PAIRS = 500, 1000

# Conditions of a part that was looked at.
SOUND, WORN, DAMAGED = "sound", "worn", "damaged"
CONDITIONS = {SOUND: "sound", WORN: "worn", DAMAGED: "damaged"}

SUCTION_ROD, SPILL_ROD, CAM = "suction_rod", "spill_rod", "cam"
RODS = (SUCTION_ROD, SPILL_ROD)

OWN = "own"  # Rows that people add to a list are named own-1, own-2 …
ADJUSTED = {SUCTION_ROD: "suction push rod", SPILL_ROD: "spill push rod", CAM: "cam"}

BEFORE, AFTER = "before", "after"
RUNS = {BEFORE: "before the job", AFTER: "after the job"}

TURNING = "turning the engine"
SHOP_TRIAL = "The engine's shop-trial record. No two engines share these."


def lists_of(event: str, method: str | None) -> tuple[str, ...]:
    """The lists that a reading of this event needs.

    >>> lists_of("spill_opening", "at_reference_lift")
    ('valve_lift_mm', 'crank_angle_deg')
    """
    if event in VALVE_EVENTS:
        lift = "valve_lift_mm" if method == AT_REFERENCE_LIFT else "plunger_lift_mm"
        return (lift, "crank_angle_deg")
    return {ZERO_INDEX: ("valve_lift_mm",), LIFT_OFF: ("clearance_mm",)}.get(event, ("plunger_lift_mm",))


@record
class Node:
    """A part of the job file. `extra` keeps keys that this version does not know, so that none is lost."""

    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)


@record
class Engine(Node):
    """What the engine is, from its papers."""

    units: int = whole("number of units", low=1, high=24, required=True, help="One unit is one cylinder's pump.")
    firing_order: tuple[int, ...] = wholes(
        "firing order, ahead",
        most=MOST_REPEATS,
        required=True,
        help="All unit numbers once, in the order in which they fire ahead.",
        find="The engine's manual or the shop-trial record.",
    )
    tdc_deg: tuple[float, ...] | None = numbers(
        "flywheel angle at each unit's TDC",
        most=MOST_REPEATS,
        unit="°",
        low=0,
        high=360,
        high_open=True,
        fallback="even",
        serves=TURNING,
        help="One angle a unit, in unit order. Only differences to unit 1 count. Empty means even firing intervals.",
        find="The flywheel marks.",
    )
    speed_rpm: float | None = number(
        "speed", unit="rpm", low=0, low_open=True, high=3000, help="Gives the injection time.", find="The trial record."
    )
    plunger_diameter_mm: float | None = number(
        "plunger diameter",
        unit="mm",
        low=0,
        low_open=True,
        high=1000,
        help="Gives the fuel quantity.",
        find="The engine's manual.",
    )
    valve_ratio_suction: float | None = number(
        "valve ratio, suction",
        low=0,
        low_open=True,
        high=10,
        fallback=1.0,
        help="Valve movement per plunger movement. It turns a lift error into push-rod length.",
        find="The engine's manual, or measured: valve movement over plunger movement near the event.",
    )
    valve_ratio_spill: float | None = number(
        "valve ratio, spill",
        low=0,
        low_open=True,
        high=10,
        fallback=1.0,
        help="Valve movement per plunger movement.",
        find="The engine's manual, or measured: valve movement over plunger movement near the event.",
    )
    rod_pitch_mm: float | None = number(
        "push-rod thread pitch",
        unit="mm",
        low=0,
        low_open=True,
        high=20,
        help="Turns millimetres of rod into turns and flats.",
        find="The engine's manual, or a thread gauge.",
    )
    rod_thread: str | None = choice(
        "push-rod thread",
        {"single": "one thread", "left_right": "left-and-right thread"},
        fallback="single",
        help="A left-and-right thread moves two pitches a turn.",
        find="Look at the rod: does one end carry a left-hand thread?",
    )
    rod_lengthening_opens: bool | None = flag(
        "a longer push rod holds its valve further open",
        fallback=True,
        help="If the first flat moves the gauge the other way, this is wrong.",
        find="The engine's manual; proved by the trial flat.",
    )
    cam_lift_table: tuple[tuple[float, float], ...] | None = table(
        "cam lift table",
        columns=(
            Field("angle_deg", NUMBER, "crank angle", unit="°", low=-180, high=180, angle=True),
            Field("lift_mm", NUMBER, "plunger lift", unit="mm", low=0, high=1000),
        ),
        least=2,
        most=2000,
        help="Crank angle and plunger lift, a row each, angles rising. Without it the slope is the secant of the "
        "reference settings, known to 15 %.",
        find="The engine's papers, or measured.",
    )
    cam_peak_deg: float | None = angle("cam peak", serves=TURNING, help="Crank angle of the highest plunger lift.")
    base_circle_from_deg: float | None = angle("base circle begins", serves=TURNING, help="Crank angle, after the peak.")
    base_circle_to_deg: float | None = angle("base circle ends", serves=TURNING, help="Crank angle, before the lift begins.")
    turning_deg_per_min: float | None = number(
        "turning speed", unit="°/min", low=0, serves=TURNING, help="How fast the turning gear turns the flywheel."
    )
    minutes_per_stop: float | None = number(
        "time for one stop", unit="min", low=0, fallback=0.0, serves=TURNING, help="Reading or zeroing one stop."
    )
    take_up_deg: float | None = number(
        "motion that takes up the play",
        unit="°",
        low=0,
        fallback=5.0,
        serves=TURNING,
        help="Turned in the direction of the readings before one counts.",
    )
    reversal_deg: float | None = number(
        "cost of one reversal",
        unit="°",
        low=0,
        fallback=20.0,
        serves=TURNING,
        help="A change of direction, as degrees of turning.",
    )


@record
class UnitReference(Node):
    """Reference settings of one unit, at the stated fuel index."""

    unit: int = whole("unit", low=1, high=24, required=True)
    pre_stroke_mm: float = number(
        "start: plunger lift (pre-stroke)",
        unit="mm",
        low=0,
        high=1000,
        required=True,
        help="Plunger lift from the base circle at which the suction valve closes.",
        find=SHOP_TRIAL,
    )
    beginning_deg: float = angle(
        "start: crank angle",
        required=True,
        help="Crank angle at which the suction valve closes and delivery starts.",
        find=SHOP_TRIAL,
    )
    spill_lift_mm: float = number(
        "end: plunger lift (spill lift)",
        unit="mm",
        low=0,
        high=1000,
        required=True,
        help="Plunger lift from the base circle at which the spill valve opens.",
        find=SHOP_TRIAL,
    )
    end_deg: float = angle(
        "end: crank angle",
        required=True,
        help="Crank angle at which the spill valve opens and delivery ends.",
        find=SHOP_TRIAL,
    )
    peak_lift_mm: float | None = number(
        "peak plunger lift", unit="mm", low=0, high=1000, help="The whole lift of the cam. It proves the plunger gauge."
    )


@record
class Reference(Node):
    """Reference settings and limits of this engine."""

    source: str | None = text(
        "source of these settings",
        help="Title and date of the paper that they were taken from. The record names it.",
        find="The shop-trial record, or a later one that class has accepted.",
    )
    rotation: str | None = choice(
        "running direction",
        {AHEAD: "ahead", ASTERN: "astern"},
        help="On a reversible engine: the direction that these settings are for. Each direction is a job of its own. Choose "
        "astern, and before and after TDC are meant in astern rotation. Empty means ahead.",
    )
    fuel_index: float = number(
        "fuel index of the check",
        low=0,
        low_open=True,
        high=1000,
        required=True,
        help="The index at which the settings hold and at which every reading is taken.",
        find="The shop-trial record.",
    )
    fuel_index_u: float | None = number(
        "fuel index known to",
        low=0,
        high=1000,
        help="Standard uncertainty of the index while reading. It needs the unit's zero-index opening to count.",
    )
    angle_tolerance_deg: float = number(
        "tolerance of an angle",
        unit="°",
        low=0,
        low_open=True,
        high=30,
        required=True,
        plus_minus=True,
        help="Largest allowed deviation of start or end, before or after.",
        find="The engine's manual.",
        hint="Angles are often held to about 0.3° (common practice, no source).",
    )
    seat_contact_mm: float = number(
        "seat-contact reading",
        unit="mm",
        low=0,
        high=1,
        required=True,
        help="Valve-gauge reading that counts as just closing or just opening.",
        find="The engine's manual.",
        hint="Often about 0.02 mm (common practice, no source).",
    )
    zero_index_opening_min_mm: float | None = number(
        "least zero-index opening",
        unit="mm",
        low=0,
        high=1000,
        help="Smallest allowed spill-valve lift at index 0 when the suction valve is just closing.",
        find="The engine's manual.",
        hint="Often not below about 0.8 mm (common practice, no source).",
    )
    lift_off_clearance_min_mm: float | None = number(
        "least lift-off clearance",
        unit="mm",
        low=0,
        help="Smallest allowed gap between the lifted roller and the cam peak.",
        find="The engine's manual.",
    )
    units: tuple[UnitReference, ...] = records_of(
        UnitReference,
        "reference settings of each unit",
        most=MOST_UNIT_ENTRIES,
        required=True,
        row_by=("unit",),
        help="One entry for every unit.",
    )


@record
class Gauge(Node):
    """A dial gauge."""

    step_mm: float = number(
        "step",
        unit="mm",
        low=0,
        low_open=True,
        high=10,
        required=True,
        help="The smallest step to which you read it.",
        find="The dial.",
    )
    error_limit_mm: float = number(
        "error limit, ±",
        unit="mm",
        low=0,
        high=10,
        required=True,
        plus_minus=True,
        help="Largest error of any difference of two readings. Half of a span that is stated as largest minus smallest.",
        find="The gauge's certificate.",
    )
    repeatability_mm: float | None = number(
        "repeatability",
        unit="mm",
        low=0,
        high=10,
        fallback=0.0,
        help="Scatter of a single reading, as a standard deviation. Used only where nothing was read twice.",
        find="The certificate, or your own repeats.",
    )
    mm_per_turn: float | None = number(
        "lift per turn of the dial",
        unit="mm",
        low=0,
        low_open=True,
        high=1000,
        help="Helps to find a missed turn. With it you can enter turns and dial: 12t 0.31.",
        find="The dial.",
    )
    serial: str | None = text("serial number", find="The gauge's back, or its certificate.")
    calibrated: str | None = text("date of calibration", find="The gauge's certificate.")


@record
class AngleScale(Node):
    """The flywheel scale."""

    step_deg: float = number(
        "step",
        unit="°",
        low=0,
        low_open=True,
        high=10,
        required=True,
        help="The smallest step to which you read the flywheel.",
        find="The flywheel.",
    )
    repeatability_deg: float | None = number(
        "repeatability",
        unit="°",
        low=0,
        high=10,
        fallback=0.0,
        help="Scatter of a single reading, as a standard deviation. Used only where nothing was read twice.",
        find="Your own repeats.",
    )


@record
class Instruments(Node):
    """How well things were read."""

    plunger_gauge: Gauge = record_of(Gauge, "plunger gauge", required=True)
    valve_gauge: Gauge = record_of(Gauge, "valve gauge", required=True)
    angle_scale: AngleScale = record_of(AngleScale, "flywheel scale", required=True)
    pointer_u_deg: float = number(
        "flywheel pointer known to",
        unit="°",
        low=0,
        high=10,
        required=True,
        plus_minus=True,
        help="Standard uncertainty of the pointer against true top dead centre. Every reading shares it.",
        find="Your last TDC check.",
    )


@record
class Fuel(Node):
    """The fuel in the pump, for the quantity."""

    name: str | None = text("fuel in use", help="As the log names it. The record shows it.", find="The log.")
    density_15_kg_m3: float | None = number(
        "density at 15 °C", unit="kg/m³", low=600, high=1100, help="Gives the mass.", find="The bunker delivery note."
    )
    temperature_c: float | None = number(
        "temperature at the pump", unit="°C", low=-50, high=400, help="Fuel temperature in service.", find="The log."
    )


@record
class Arrangement(Node):
    """What this engine has. It decides which parts of the job are asked for."""

    reversible: bool | None = flag("reversible engine", help="It can run astern.")
    variable_timing: bool | None = flag("variable injection timing")
    fuel_offset: bool | None = flag("timing offset for the fuel in use")
    shut_down_device: bool | None = flag("shut-down device at the pumps", help="It stops the injection at once.")
    lift_off_gear: bool | None = flag("lift-off gear", help="It lifts a pump's roller off its cam.")
    heated_fuel: bool | None = flag("heated fuel")
    second_fuel: bool | None = flag("a second fuel", help="Such as distillate for stopping.")
    camshaft_lubricators: bool | None = flag("lubricators driven by the camshaft")


@record
class Position(Node):
    """One thing that is moved for the job: how it stood, and that it stands so again."""

    item: str = text(
        "item", listed=POSITIONS, required=True, help="Its code in the list, or own-1, own-2 … for what people have added."
    )
    name: str | None = text("what it is", role="names", only=(OWN,), help="For what is not in the list.")
    not_needed: str | None = text("does not apply, because", role="settles", help="Leave it empty where the thing is moved.")
    as_found: str | None = text("position as found", help="As the next person needs it: open, shut, a mark, a number.")
    found_by: str | None = text("written down by", help="Name and rank.", stamp="found_at")
    found_at: str | None = text("written down at", help="Day and time.")
    restored: str | None = text("position restored", step=steps.RESTORE, beside="as_found")
    restored_by: str | None = text("restored by", step=steps.RESTORE, help="Name and rank.", stamp="restored_at")
    restored_at: str | None = text("restored at", step=steps.RESTORE, help="Day and time.")
    checked_by: str | None = text(
        "checked by", step=steps.RESTORE, help="Name and rank. Another person than the one who restored it.", stamp="checked_at"
    )
    checked_at: str | None = text("checked at", step=steps.RESTORE, help="Day and time.")


@record
class Confirmation(Node):
    """One thing that a person has confirmed."""

    code: str = text("code", required=True, help="Its code in the list.")
    by: str | None = text("confirmed by", help="Name and rank.", stamp="at")
    at: str | None = text("confirmed at", help="Day and time.")
    not_needed: str | None = text("does not apply, because", role="settles")


@record
class Inspection(Node):
    """What was seen on one part of one unit."""

    unit: int = whole("unit", low=1, high=24, required=True)
    part: str = choice("part", INSPECTED, required=True)
    condition: str | None = choice(
        "condition",
        CONDITIONS,
        help="A worn cam or roller is not cured by a push rod.",
        find="Look, feel, measure. The manual has the limits.",
    )
    finding: str | None = text("what was seen")
    photos: str | None = text("photo files", help="File names, separated by commas.")
    action: str | None = text("what was done", help="Cleaned, left, ordered, replaced.")
    serial: str | None = text("serial number", help="Of the part that was found.")
    new_serial: str | None = text("serial number of the new part", help="Where the part was replaced.")


@record
class CamSurvey(Node):
    """A cam as it was measured, row by row; the engine's cam lift table is what it is held against."""

    unit: int = whole("unit", low=1, high=24, required=True)
    measured: tuple[tuple[float, float], ...] = table(
        "measured lift table",
        columns=(
            Field("angle_deg", NUMBER, "crank angle", unit="°", low=-180, high=180, angle=True),
            Field("lift_mm", NUMBER, "plunger lift", unit="mm", low=-50, high=1000),
        ),
        most=2000,
        required=True,
        help="A row a line: crank angle, then plunger lift, like 22 before 1.63. Count angles as in the readings. Zero the "
        "gauge on the base circle. Turn ahead to every row; in a job for astern, astern. Take rows on both sides of start "
        "and end. It is compared with the engine's cam lift table.",
    )


@record
class IndexReadings(Node):
    """Spill lifts of one unit at several fuel indices, in one stage."""

    stage: str = choice("stage", STAGES, required=True, help="The rods stand as in the readings of this stage.")
    unit: int = whole("unit", low=1, high=24, required=True)
    points: tuple[tuple[float, float], ...] = table(
        "spill lift at several fuel indices",
        columns=(
            Field("fuel_index", NUMBER, "fuel index", low=0, high=1000),
            Field("spill_lift_mm", NUMBER, "spill lift", unit="mm", low=0, high=1000),
        ),
        most=MOST_PAIRS,
        required=True,
        help="A row a line: fuel index, then the plunger lift at which the spill valve opens, at contact. Three indices or "
        "more. They tell below which index nothing is delivered, and the balance at low load.",
    )


@record
class TdcCheck(Node):
    """Where top dead centre is on the scale, found by equal piston heights: it tells pointer from camshaft drive."""

    pairs: tuple[tuple[float, float], ...] | None = table(
        "pairs of angles at equal piston height",
        columns=(
            Field("before_deg", NUMBER, "angle before TDC", unit="°", low=-360, high=360),
            Field("after_deg", NUMBER, "angle after TDC", unit="°", low=-360, high=360),
        ),
        most=MOST_PAIRS,
        help="A pair a line: the angle before TDC, then the angle after TDC at the same piston height, like 24.1 before 24.7 "
        "after. Turn ahead to both; in a job for astern, astern to both. Three pairs or more, at heights well apart.",
    )
    mark_deg: float | None = number(
        "angle at the TDC mark",
        unit="°",
        low=-360,
        high=360,
        help="What you read at the TDC mark of that cylinder, from which the angles of the readings count. It is 0 where the "
        "pairs count from the mark as well.",
        find="The flywheel mark, on the scale that the pairs were read on.",
    )
    pointer_set: bool | None = flag(
        "pointer set after this check",
        help="If it was set, the check says nothing about the readings as left.",
    )


@record
class Adjustment(Node):
    """What was done to one push rod or cam."""

    unit: int = whole("unit", low=1, high=24, required=True)
    part: str = choice("part", ADJUSTED, required=True)
    length_before_mm: float | None = number(
        "length before", only=RODS, unit="mm", low=0, high=MOST_CLEARANCE, help="Before it is turned, so that it can be undone."
    )
    flats_turned: float | None = number(
        "flats turned",
        only=RODS,
        unit="flats",
        low=-1000,
        high=1000,
        help="All of them, the trial included. Plus lengthens, minus shortens.",
    )
    length_after_mm: float | None = number("length after", only=RODS, unit="mm", low=0, high=MOST_CLEARANCE)
    cam_turned_deg: float | None = number(
        "cam turned", only=(CAM,), unit="°", low=-180, high=180, help="Plus is later. Only for the cam."
    )
    locked: bool | None = flag("lock nut tight", help="With the maker's torque. For a cam: its fastening.")
    by: str | None = text("done by", help="Name and rank.", stamp="at")
    at: str | None = text("done at", help="Day and time.")
    note: str | None = text("remarks")


@record
class Run(Node):
    """How the engine ran before or after the job."""

    when: str = choice("when", RUNS, required=True)
    date: str | None = text("day and time")
    load_percent: float | None = number("load", unit="%", low=0, high=200)
    speed_rpm: float | None = number("speed", unit="rpm", low=0, high=3000)
    fuel_index: float | None = number("fuel index, mean", low=0, high=1000)


@record
class Service(Node):
    """Figures of one unit in service, before or after the job."""

    when: str = choice("when", RUNS, required=True)
    unit: int = whole("unit", low=1, high=24, required=True)
    firing_pressure_bar: float | None = number("firing pressure", unit="bar", low=0, high=1000)
    exhaust_c: float | None = number("exhaust temperature", unit="°C", low=-50, high=1000)
    fuel_index: float | None = number("fuel index", low=0, high=1000)


@record
class Handover(Node):
    """A job that was broken off, or handed to somebody else."""

    reason: str | None = text("reason", help="Such as: the ship sails early.")
    at: str | None = text("day and time")
    by: str | None = text("handed over by", help="Name and rank.", stamp="at")
    to: str | None = text("taken over by", help="Name and rank.")
    remarks: str | None = text("what the next person needs to know")


@record
class Paper(Node):
    """The permit and the names that the record carries."""

    permit: str | None = text("number of the permit to work", step=steps.SAFE, find="The ship's permit system.")
    commander: str | None = text("who commands the turning", step=steps.TURNING, help="Name and rank. One person only.")
    people: int | None = whole(
        "people at the engine", low=1, high=100, step=steps.TURNING, help="The number to count aloud before every move."
    )
    readings_by: str | None = text("readings as found by", step=steps.FOUND, help="Name and rank.")
    correction_by: str | None = text("correction by", step=steps.CORRECTION, help="Name and rank.")
    left_by: str | None = text("readings as left by", step=steps.LEFT, help="Name and rank.")
    cut_out_by: str | None = text("cut-out checks by", step=steps.CUT_OUT, help="Name and rank.")
    checked_by: str | None = text(
        "whole job checked by", step=steps.RECORD, help="Name and rank. Another person than the one who corrected or restored."
    )


@record
class Reading(Node):
    """One reading, with its repeats."""

    unit: int = whole("unit", low=1, high=24, required=True)
    stage: str = choice("stage", STAGES, required=True)
    event: str = choice("event", EVENTS, required=True)
    method: str | None = choice(
        "way of reading",
        METHODS,
        alone=False,
        help="Turn ahead only; in a job for astern, astern only. At contact: until the valve gauge shows the seat-contact "
        "reading. At reference lift: until the plunger gauge shows the reference lift.",
    )
    plunger_lift_mm: tuple[float, ...] | None = numbers(
        "plunger lift",
        most=MOST_REPEATS,
        unit="mm",
        low=0,
        high=1000,
        low_where=("event", BASE_RETURN, -50),
        turns_of="instruments.plunger_gauge.mm_per_turn",
        help="From the base circle. Repeats side by side. From a gauge with a revolution counter, turns and dial: 12t 0.31.",
    )
    valve_lift_mm: tuple[float, ...] | None = numbers(
        "valve reading",
        most=MOST_REPEATS,
        unit="mm",
        low=-50,
        high=50,
        turns_of="instruments.valve_gauge.mm_per_turn",
        help="Valve gauge, zeroed with the valve on its seat.",
    )
    crank_angle_deg: tuple[float, ...] | None = numbers(
        "crank angle",
        most=MOST_REPEATS,
        unit="°",
        low=-180,
        high=180,
        angle=True,
        help="After this unit's own TDC; minus or the word before where it is before. In a job for astern, in astern rotation.",
    )
    clearance_mm: tuple[float, ...] | None = numbers(
        "clearance", most=MOST_REPEATS, unit="mm", low=0, high=MOST_CLEARANCE, help="Lifted roller to cam peak."
    )
    reached: str | None = choice(
        "reached turning",
        {AHEAD: "ahead", ASTERN: "astern"},
        left_out=AHEAD,
        help="A reading reached against the direction of the job is kept and not judged. Empty means ahead.",
    )
    gauges: str | None = text("gauge set", help="Which gauges were used.")
    temperature_c: float | None = number("engine temperature", unit="°C", low=-50, high=400)


@record
class Job(Node):
    """One check of one engine, as kept in a job file."""

    format: str = text("format", exactly=FORMAT, required=True)
    version: int = whole("version of the format", exactly=VERSION, required=True)
    title: str | None = text("title", step=steps.DUE, help="What you call this job.")
    vessel: str | None = text("vessel", step=steps.DUE)
    date: str | None = text("date", step=steps.DUE, help="Day of the check.")
    running_hours: float | None = number("running hours", unit="h", low=0, step=steps.DUE)
    reason: str | None = text(
        "why the check is due", step=steps.DUE, help="Hours, a trend, parts changed, a port call.", find="The maintenance plan."
    )
    arrangement: Arrangement | None = record_of(Arrangement, "what this engine has", step=steps.DUE)
    engine: Engine = record_of(Engine, "engine", required=True, step=steps.SETTINGS)
    reference: Reference = record_of(Reference, "reference settings", required=True, step=steps.SETTINGS)
    instruments: Instruments = record_of(Instruments, "instruments", required=True, step=steps.DUE)
    fuel: Fuel | None = record_of(Fuel, "fuel", step=steps.SETTINGS)
    paper: Paper | None = record_of(Paper, "permit and names")
    confirmations: tuple[Confirmation, ...] | None = records_of(Confirmation, "confirmations", most=MOST_ROWS, row_by=("code",))
    positions: tuple[Position, ...] | None = records_of(
        Position, "positions of what is moved", most=MOST_ROWS, row_by=("item",), step=steps.POSITIONS
    )
    inspections: tuple[Inspection, ...] | None = records_of(
        Inspection, "inspection", most=MOST_ROWS, row_by=("unit", "part"), step=steps.INSPECTION
    )
    cam_surveys: tuple[CamSurvey, ...] | None = records_of(
        CamSurvey, "cam survey", most=MOST_UNIT_ENTRIES, row_by=("unit",), step=steps.INSPECTION
    )
    readings: tuple[Reading, ...] | None = records_of(
        Reading, "readings", most=MOST_READINGS, row_by=("unit", "stage", "event", "reached")
    )
    tdc_check: TdcCheck | None = record_of(TdcCheck, "top dead centre by equal piston heights", step=steps.FOUND)
    index_readings: tuple[IndexReadings, ...] | None = records_of(
        IndexReadings,
        "spill lift over fuel index",
        most=MOST_UNIT_ENTRIES,
        row_by=("stage", "unit"),
        step=steps.CUT_OUT,
    )
    adjustments: tuple[Adjustment, ...] | None = records_of(
        Adjustment, "what was turned", most=MOST_ROWS, row_by=("unit", "part"), step=steps.CORRECTION
    )
    runs: tuple[Run, ...] | None = records_of(Run, "engine in service", most=MOST_ROWS, row_by=("when",), step=steps.RECORD)
    service: tuple[Service, ...] | None = records_of(
        Service, "units in service", most=MOST_ROWS, row_by=("when", "unit"), step=steps.RECORD
    )
    handover: Handover | None = record_of(Handover, "handing over", step=steps.HANDOVER)
    demo: bool | None = flag("demo", help="True in the demo's jobs: ship and numbers are invented. Pages and paper say so.")
    written_by: str | None = text(
        "programs that worked on it",
        help="Programs with their versions, separated by commas. The worksheet adds its own. So a recall finds the job again.",
    )
    drafts: Mapping[str, str] | None = texts(
        "typed but not understood", help="Text from the worksheet that could not be read as a value. Nothing is lost."
    )

    @property
    def direction(self) -> str:
        """The direction that the job is for."""
        return self.reference.rotation or AHEAD

    def judges(self, reading: Reading) -> bool:
        """Whether a reading counts: only when it was reached turning in the direction that the settings are for."""
        return (reading.reached or AHEAD) == self.direction
