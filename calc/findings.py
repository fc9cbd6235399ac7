"""The findings of a job, described field by field like the job itself.

Everything that people or other programs get is here; pages, paper, JSON and the terminal only show it. A value that
cannot be told is None, and a notice says why.
"""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

from calc.job.describe import (
    RECORD,
    RECORDS,
    can_be_late,
    choice,
    fields_of,
    flag,
    number,
    record,
    record_of,
    records_of,
    text,
    whole,
)
from calc.job.model import AHEAD, ASTERN, EVENTS, STAGES, VALVE_EVENTS

if TYPE_CHECKING:
    from calc.judge.unit import JudgedUnit

FORMAT, VERSION = "spillmark-findings", 1

VERDICTS = {
    "within": "within: proven at 95 %",
    "unclear": "too close to tell",
    "outside": "outside: proven at 95 %",
    "incomplete": "not complete",
}
AS_READ = {"within": "within", "outside": "outside"}

GUM = "JCGM 100:2008"
CONFORMITY = "JCGM 106:2012; ISO 14253-1:2017"
GEOMETRY = "geometry of the slider crank"
LEAST_SQUARES = "least squares on the monotone cubic (Fritsch and Butland 1984)"
LINEAR = "the spill lift is linear in the fuel index (this pump's construction)"

CAUSES = {
    "suction_rod": "suction valve's push rod (size: lift deviation of the start, mm)",
    "spill_rod": "spill valve's push rod (size: lift deviation of the end, mm)",
    "cam_position": "this unit's own cam position (size: own cam part, °)",
    "common_shift": "camshaft drive or flywheel pointer: shared by the units (size: common part, °)",
    "common_setting": "index, linkage, timing setting or offset: shared by the units at one event (size: mm)",
    "readings_disagree": "start and end of this unit contradict each other (size: P of start minus P of end, °)",
}
ROD_PARTS = {"suction_rod": "suction valve's push rod", "spill_rod": "spill valve's push rod"}

# Every mistake of the hand that can be suspected. The codes are part of the file format.
SUSPICIONS = {
    "gauge_zero": "the plunger gauge was zeroed off the base circle, or bumped (size: what it shows too much, mm)",
    "gauge_tilt": "the plunger gauge stood at a slant (size: what it shows too much at the end, mm)",
    "dial_turn": "a full turn of the plunger gauge's dial was missed (size: what it shows too much, mm)",
    "gauge_bottomed": "the plunger gauge ran out of travel before the end (size: what it shows too much, mm)",
    "wrong_tdc_mark": "the TDC mark of another cylinder was used (size: what it adds to the angles, °)",
    "before_after": "before and after TDC were confused (size: what it adds to the angle, °)",
    "astern_play": "the event was reached astern (ahead in a job for astern), with the play not taken up (size: what it adds "
    "to the angle, °)",
    "index_off": "the fuel index or its linkage stands off the reference (size: index steps too high)",
    "timing_offset": "a timing setting or the offset for the fuel in use is off its reference (size: mm of lift)",
    "seat_contact": "another seat-contact reading was used (size: how much too large, mm at the valve)",
    "digit_slip": "the decimal point slipped or two digits were swapped (size: typed minus meant)",
    "events_swapped": "start and end were written in each other's place",
    "units_swapped": "the readings of two units were written in each other's place",
    "dial_backwards": "the plunger gauge's dial was read against its numbers (size: how much too large, mm)",
    "form_copied": "the reference was copied instead of a reading",
    "wrong_way": "the push rod was turned the wrong way (size: lift deviation as left, mm)",
    "not_moved": "the push rod was not moved, or its lock nut slipped (size: lift deviation as left, mm)",
    "thread_type": "the push rod has the other type of thread",
    "ratio_inverted": "the valve ratio stands upside down in the settings",
}

# What a TDC check makes of the part that all units share.
TDC_SAYS = {
    "pointer": "the flywheel pointer is off, and the camshaft drive is not",
    "camshaft_drive": "the camshaft drive is off, and the pointer is not",
    "both": "pointer and camshaft drive are both off",
    "neither": "neither stands out beyond three times its uncertainty and a third of the tolerance",
    "unknown": "the check has no uncertainty, so it decides nothing",
}

# What a cam survey and the readings say of each other.
SURVEY_SAYS = {
    "agrees": "the readings show the cam where the survey shows it",
    "wear": "they agree, and lift is missing at an event: worn there",
    "contradicts": "the readings show the cam elsewhere than the survey does",
    "zero_off": "on the base circle the survey's gauge did not stand at the reference lift, so nothing else is told from it",
    "unknown": "there is nothing to hold the survey against",
}

# Every notice that findings can carry. The codes are part of the file format.
NOTICES = {
    "recalled": "A recalled version worked on the job. Look again at what you noted from it.",
    "fallback": "An optional value is missing and a stand-in is used. Numbers that rest on it say so.",
    "missing": "A value is missing, so a part of the findings is empty.",
    "not_read": "An event of a unit was not read in a stage that has other readings.",
    "unknown_key": "The job file holds a key that this version does not know. It is kept.",
    "drafts": "The worksheet kept text that was not understood.",
    "astern_reading": "A reading was reached astern. It is kept and not judged.",
    "ahead_reading": "A reading was reached ahead in a job for astern. It is kept and not judged.",
    "both_directions": "A correction worked out for astern can move the timing ahead as well.",
    "valve_on_seat": "A valve reading is at or below 0: the valve sits, its distance is unknown.",
    "lift_outside_table": "The cam lift table does not reach a reference lift, or is level there: the secant is used.",
    "beyond_table": "A reading lies beyond the cam lift table: the cam is taken as straight there.",
    "table_disagrees": "The table's travel between the reference lifts differs from the reference angles.",
    "repeat_dominates": "One group of repeats makes up most of the scatter that every reading is judged with.",
    "index_not_counted": "The doubt of the fuel index could not be counted for a unit.",
    "instruments_too_coarse": "With these instruments the tolerance can never be proven.",
    "no_zero_index": "There is no index of zero delivery, though the opening was read.",
    "cut_out_after_unknown": "A rod correction moves the zero-index opening, which was not read.",
    "cut_out_after_warning": "After the correction the zero-index opening would be below its limit.",
    "cut_out_after_danger": "After the correction the unit might inject at index 0.",
    "density_range": "The fuel is outside the range that the density formula was made for.",
    "imbalance_needs_two": "One unit alone has no imbalance.",
    "settings_first": "A common setting is named: turn no rod of that event before you clear it.",
    "worn_part": "A worn or damaged part was seen. No push rod cures it.",
    "few_units": "Fewer than three units have a cam part: what is common cannot be told from what is a unit's own.",
    "pointer_off": "The TDC check finds the flywheel pointer off. All readings are judged as read.",
    "tdc_pairs": "A pair of the TDC check cannot be one: both angles are the same, or lie round bottom dead centre.",
    "tdc_far": "The TDC check lies so far from its mark that they do not belong together.",
    "tdc_one_pair": "One pair of angles has no spread, so the TDC check decides nothing.",
    "tdc_pointer_set": "The TDC check finds the pointer off, and nobody says whether it was set before the readings as left.",
    "survey_without_table": "A cam survey has no lift table to be held against.",
    "survey_tells_nothing": "A cam survey tells no phase: no row on a flank, one row alone, or too far from the table.",
    "survey_not_comparable": "A cam survey cannot be held against readings or settings of its unit.",
    "survey_beyond_table": "Rows of a cam survey lie beyond the lift table: the cam is taken as straight there.",
    "index_tells_nothing": "Spill lifts over the fuel index make no line that rises.",
    "index_two_readings": "Spill lifts at two indices have no scatter, so the uncertainty of their line is not known.",
    "index_without_start": "Spill lifts over the fuel index need the start of delivery of the same unit and stage.",
}


@record
class Notice:
    """Something to know about the findings: why a part is empty, or what a number rests on."""

    code: str = choice("code", NOTICES, required=True)
    where: str = text("place in the job file", required=True)
    text: str = text("what it says", required=True)


@record
class Deviation:
    """A value against its reference."""

    value: float = number("value", required=True)
    reference: float = number("reference", required=True)
    deviation: float = number("deviation", required=True)
    u: float = number("standard uncertainty", required=True, source=GUM)


@record
class Part:
    """A value with its standard uncertainty."""

    value: float = number("value", required=True)
    u: float = number("standard uncertainty", required=True, source=GUM)


@record
class Event:
    """Start or end of delivery: what was found, how well it is known, and the verdict."""

    angle_deg: float = number("crank angle of the event, after TDC", unit="°", required=True)
    deviation_deg: float = number("angle deviation, positive late", unit="°", required=True)
    u_deg: float = number("standard uncertainty of the angle", unit="°", required=True, source=GUM)
    expanded_deg: float = number("half-width of the 95 % range", unit="°", required=True, source=f"{GUM}, G.3")
    as_read: str = choice("verdict as read", AS_READ, required=True)
    probability_within: float = number("probability that the true angle is within", required=True, source=CONFORMITY)
    verdict: str = choice("verdict", VERDICTS, required=True, source=CONFORMITY)
    lift_mm: float = number("plunger lift of the event", unit="mm", required=True)
    lift_deviation_mm: float = number("lift deviation", unit="mm", required=True)
    u_lift_mm: float = number("standard uncertainty of the lift", unit="mm", required=True, source=GUM)
    cam_part_deg: float = number("cam part: what no rod can cure", unit="°", required=True)
    u_cam_part_deg: float = number("standard uncertainty of the cam part", unit="°", required=True, source=GUM)
    settle: str | None = text("what would settle it", help="Only where the verdict is unclear.")


@record
class Cause:
    """A cause that is named, or a weaker hint of one."""

    code: str = choice("code", CAUSES, required=True)
    event: str | None = choice(
        "event", {event: EVENTS[event] for event in VALVE_EVENTS}, omit=True, help="With common_setting."
    )
    size: float = number("size", required=True)
    unit: str = choice("unit of the size", {"mm": "mm", "deg": "°"}, required=True)
    u: float = number("standard uncertainty of the size", required=True, source=GUM)
    effect_deg: float = number("angle that it moves", unit="°", required=True)
    check_next: str = text("what to check next", required=True)


@record
class RodCorrection:
    """How to change the length of a push rod, exactly and as a hand can do it."""

    part: str = choice("part", ROD_PARTS, required=True)
    change_mm: float = number("change of rod length, positive lengthens", unit="mm", required=True)
    turns: float | None = number("turns of the rod")
    flats: float | None = number("flats of the rod")
    hand_flats: float | None = number("flats as a hand can turn them")
    hand_change_mm: float | None = number("rod length in those flats", unit="mm")
    trial_lift_mm: float | None = number("plunger lift of the event to expect after one flat as a trial", unit="mm")
    assumes: tuple[str, ...] = text("stand-ins that it rests on: paths of the missing fields", many=True, required=True)
    held: bool | None = flag(
        "held: a suspicion stands, so read again first", omit=True, help="True, or left out where there is no suspicion."
    )


@record
class CamCorrection:
    """How far to move a cam on its shaft, by the maker's procedure."""

    part: str = choice("part", {"cam": "cam position"}, required=True)
    change_deg: float = number("change of cam position, positive is later", unit="°", required=True)
    held: bool | None = flag(
        "held: a suspicion stands, so read again first", omit=True, help="True, or left out where there is no suspicion."
    )


Correction = RodCorrection | CamCorrection


@record
class AfterCorrection:
    """What the corrections would bring."""

    beginning_deviation_deg: float | None = number("deviation of the start", unit="°")
    end_deviation_deg: float | None = number("deviation of the end", unit="°")
    effective_stroke_mm: float | None = number("effective stroke", unit="mm")
    zero_index_opening_mm: float | None = number("zero-index opening", unit="mm")


@record
class CutOut:
    """Zero-index opening of the spill valve."""

    opening_mm: float = number("valve reading at index 0, suction valve just closing", unit="mm", required=True)
    limit_mm: float | None = number("least opening", unit="mm")
    probability_within: float | None = number("probability that the opening is enough", source=CONFORMITY)
    verdict: str | None = choice("verdict", VERDICTS, source=CONFORMITY)
    zero_delivery_index: float | None = number("index of zero delivery")


@record
class LiftOff:
    """Clearance between the lifted roller and the cam peak, compared as read."""

    clearance_mm: float = number("clearance", unit="mm", required=True)
    limit_mm: float | None = number("least clearance", unit="mm")
    verdict: str | None = choice("verdict", AS_READ)


@record
class Quantity:
    """Fuel of one stroke."""

    cm3_per_cycle: float | None = number("volume", unit="cm³")
    g_per_cycle: float | None = number("mass", unit="g", source="ASTM D1250")
    imbalance_percent: float | None = number("deviation from the mean of the units", unit="%")
    injection_ms: float | None = number("time of delivery", unit="ms")


@record
class Suspicion:
    """A mistake of the hand that would explain the readings better than any honest cause. It changes no number."""

    code: str = choice("code", SUSPICIONS, required=True)
    events: tuple[str, ...] = text("events that it touches", many=True, required=True)
    size: float | None = number("size", help="Null where the mistake has none.")
    unit: str | None = choice("unit of the size", {"mm": "mm", "deg": "°", "index": "steps of the fuel index"})
    fits: float = number("share of the probability", required=True, help="Of all explanations, honest faults included.")
    settle: str = text("the reading that would settle it", required=True)


@record
class SurveyedEvent:
    """The surveyed cam at one event."""

    cam_part_deg: float = number("cam part of the event, as surveyed", unit="°", required=True)
    u_cam_part_deg: float = number("its standard uncertainty, pointer left out", unit="°", required=True, source=GUM)
    residual_mm: float = number(
        "lift against the reference, the phase taken out; negative is missing", unit="mm", required=True
    )
    u_residual_mm: float = number("its standard uncertainty", unit="mm", required=True, source=GUM)
    worn: bool = flag("lift is missing beyond three times that, and by a third of the tolerance", required=True)


@record
class CamSurvey:
    """A cam survey held against its unit's settings and readings. It changes no number of theirs and no verdict."""

    phase_deg: float = number("phase of all rows, positive late", unit="°", required=True, source=LEAST_SQUARES)
    u_phase_deg: float | None = number("its standard uncertainty, scatter only", unit="°", source=f"{GUM}, H.3")
    robust_phase_deg: float | None = number(
        "phase that worn rows cannot pull", unit="°", source="Tukey's biweight (from memory)"
    )
    cam_part_deg: float | None = number("cam part of the whole cam, as surveyed", unit="°")
    u_cam_part_deg: float | None = number("its standard uncertainty, pointer left out", unit="°", source=GUM)
    own_cam_part_deg: float | None = number("that less the common part of the readings", unit="°")
    u_own_cam_part_deg: float | None = number("its standard uncertainty", unit="°", source=GUM)
    worst_mm: float = number("largest difference from the reference, the phase taken out", unit="mm", required=True)
    worst_at_deg: float = number("crank angle of that row", unit="°", required=True)
    beginning: SurveyedEvent | None = record_of(SurveyedEvent, "start of delivery")
    end: SurveyedEvent | None = record_of(SurveyedEvent, "end of delivery")
    says: str = choice("what survey and readings say of each other", SURVEY_SAYS, required=True)
    text: str = text("that in words", required=True)


@record
class IndexLine:
    """Spill lift over the fuel index. It changes no number of the readings and no verdict."""

    mm_per_index: float = number("spill lift for each step of the index", unit="mm", required=True, source=LINEAR)
    zero_index: float = number("index of zero delivery by the line", required=True, source=LINEAR)
    u_zero_index: float | None = number("its standard uncertainty", source=f"{GUM}, H.3")
    by_opening: float | None = number("index of zero delivery by the opening at index 0")
    u_by_opening: float | None = number("its standard uncertainty", source=GUM)
    differ: bool | None = flag("the two differ beyond three times their uncertainty, and by a third of the tolerance")
    low_index: float | None = number("lowest index that all units were read down to")
    low_imbalance_percent: float | None = number("deviation from the mean of the units there", unit="%")
    u_low_imbalance_percent: float | None = number("its standard uncertainty", unit="%", source=GUM)
    text: str = text("that in words", required=True)


@record
class UnitFindings:
    """One unit in one stage."""

    unit: int = whole("unit", required=True)
    stage: str = choice("stage", STAGES, required=True)
    verdict: str = choice("verdict", VERDICTS, required=True)
    text: str = text("the answer in words", required=True)
    beginning: Event | None = record_of(Event, "start of delivery")
    end: Event | None = record_of(Event, "end of delivery")
    effective_stroke_mm: Deviation | None = record_of(Deviation, "effective stroke", unit="mm")
    delivery_angle_deg: Deviation | None = record_of(Deviation, "delivery angle", unit="°")
    causes: tuple[Cause, ...] = records_of(Cause, "causes", required=True)
    hints: tuple[Cause, ...] = records_of(Cause, "weaker hints", required=True)
    corrections: tuple[Correction, ...] = records_of(RodCorrection, "corrections", variants=(CamCorrection,), required=True)
    after_correction: AfterCorrection | None = record_of(AfterCorrection, "after the exact correction")
    after_by_hand: AfterCorrection | None = record_of(AfterCorrection, "after the correction as a hand can turn it")
    suspicions: tuple[Suspicion, ...] = records_of(Suspicion, "suspected reading mistakes", required=True)
    cam_part_deg: Part | None = record_of(Part, "cam part of the unit", unit="°")
    own_cam_part_deg: Part | None = record_of(Part, "the unit's own cam part", unit="°")
    cut_out: CutOut | None = record_of(CutOut, "cut-out")
    lift_off: LiftOff | None = record_of(LiftOff, "lift-off")
    quantity: Quantity | None = record_of(Quantity, "fuel quantity")
    cam_survey: CamSurvey | None = record_of(CamSurvey, "cam survey", omit=True)
    index_line: IndexLine | None = record_of(IndexLine, "spill lift over fuel index", omit=True)
    # How it was worked out, for pictures and the working; not part of the file.
    judged: JudgedUnit | None = dataclasses.field(default=None, repr=False, compare=False)


@record
class CommonPart:
    """What the cam parts of the units of one stage share."""

    value: float = number("common part: median of the cam parts", unit="°", required=True)
    u: float = number("standard uncertainty", unit="°", required=True)
    units_used: int = whole("units that took part", required=True)
    significant: bool = flag("named as a cause", required=True)
    # Its doubt without the pointer's, which `u` holds; not part of the file.
    alone: float = dataclasses.field(default=0.0, repr=False, compare=False)


@record
class CommonParts:
    """The common part of each stage."""

    as_found: CommonPart | None = record_of(CommonPart, "as found")
    as_left: CommonPart | None = record_of(CommonPart, "as left")


@record
class TdcStage:
    """The common part of one stage, split into pointer and camshaft drive."""

    camshaft_deg: float = number("rest of the common part: camshaft drive, positive late", unit="°", required=True)
    u_camshaft_deg: float | None = number("its standard uncertainty", unit="°", source=GUM)
    says: str = choice("what is off", TDC_SAYS, required=True)
    text: str = text("that in words", required=True)


@record
class TdcCheck:
    """A TDC check by equal piston heights. It changes no number of the readings and no verdict."""

    tdc_deg: float = number("angle read at TDC", unit="°", required=True, source=GEOMETRY)
    u_deg: float | None = number("scatter of the midpoints over √n", unit="°", source=f"{GUM}, 4.2")
    spread_deg: float = number("largest minus smallest midpoint", unit="°", required=True)
    pairs_used: int = whole("pairs", required=True)
    pointer_deg: float | None = number("what the pointer adds to every angle, positive late", unit="°")
    u_pointer_deg: float | None = number("its standard uncertainty, scale and usual scatter counted", unit="°", source=GUM)
    pointer_off: bool | None = flag("the pointer is off by the test of a cause")
    as_found: TdcStage | None = record_of(TdcStage, "as found")
    as_left: TdcStage | None = record_of(TdcStage, "as left")
    text: str = text("what it says of the pointer", required=True)


@record
class JobHead:
    """Which job this is."""

    title: str | None = text("title")
    vessel: str | None = text("vessel")
    date: str | None = text("date")
    running_hours: float | None = number("running hours", unit="h")
    rotation: str | None = choice("running direction", {AHEAD: "ahead", ASTERN: "astern"}, omit=True)
    # Nobody asks for it while a job is typed, and it takes as long as a tenth of the judging.
    checksum: str = can_be_late(text("SHA-256 of the job as compact JSON with sorted keys", required=True))


@record
class Summary:
    """The whole engine."""

    verdict: str = choice("verdict", VERDICTS, required=True)
    text: str = text("the answer in words", required=True)


@record
class Findings:
    """All findings of one job."""

    format: str = text("format", required=True)
    version: int = whole("version of the format", required=True)
    program: str = text("program and version that found them", required=True)
    job: JobHead = record_of(JobHead, "job", required=True)
    summary: Summary = record_of(Summary, "summary", required=True)
    units: tuple[UnitFindings, ...] = records_of(UnitFindings, "units and stages", required=True)
    common_part_deg: CommonParts = record_of(CommonParts, "common part", required=True)
    tdc_check: TdcCheck | None = record_of(TdcCheck, "TDC check", omit=True)
    notices: tuple[Notice, ...] = records_of(Notice, "notices", required=True)

    def to_json(self) -> dict[str, Any]:
        """The findings as plain values, ready for `json.dumps`; what is None stays as null."""
        return findings_to_tree(self)


def findings_to_tree(findings: Any) -> dict[str, Any]:
    """A findings record as plain values, keys in the order of the descriptions.

    >>> findings_to_tree(Part(value=0.1, u=0.05))
    {'value': 0.1, 'u': 0.05}
    """
    tree: dict[str, Any] = {}
    for field in fields_of(type(findings)):
        value = getattr(findings, field.name)
        if value is None and field.omit:
            continue
        if value is not None and field.kind == RECORD:
            value = findings_to_tree(value)
        elif field.kind == RECORDS:
            value = [findings_to_tree(each) for each in value]
        elif isinstance(value, tuple):
            value = [list(each) if isinstance(each, tuple) else each for each in value]
        tree[field.name] = value
    return tree
