"""Notices: why a part of the findings is empty, and what its numbers rest on."""

from __future__ import annotations

from collections.abc import Iterator

from calc import recalls
from calc.findings import AfterCorrection, CutOut, Notice, RodCorrection
from calc.fuel import density
from calc.job.catalogue import INSPECTED
from calc.job.describe import field_of, value_at
from calc.job.direction import mirrored
from calc.job.model import (
    AHEAD,
    ASTERN,
    CONDITIONS,
    EVENTS,
    LIFT_OFF,
    SOUND,
    SPILL_OPENING,
    STAGES,
    SUCTION_CLOSING,
    VALVE_EVENTS,
    ZERO_INDEX,
    Job,
    Reading,
)
from calc.job.unknown import cut, unknown_paths
from calc.job.words import plain
from calc.judge.cut_out_after import DANGER, cut_out_after, worst_opening
from calc.judge.event import sits
from calc.judge.settings import Settings
from calc.judge.unit import JudgedUnit
from calc.measure import conformity
from calc.measure.gum import combined
from calc.pump import cause, doubt

# A missing value, and what cannot be told without it.
_LEAVES_EMPTY = {
    "engine.plunger_diameter_mm": "the fuel quantity",
    "engine.speed_rpm": "the injection time",
    "engine.rod_pitch_mm": "turns and flats",
    "fuel.density_15_kg_m3": "the mass of fuel",
    "fuel.temperature_c": "the mass of fuel",
    "reference.zero_index_opening_min_mm": "the verdict on the zero-index opening",
    "reference.lift_off_clearance_min_mm": "the verdict on the lift-off clearance",
    "tdc_check.pairs": "the error of the flywheel pointer",
    "tdc_check.mark_deg": "the error of the flywheel pointer",
}


def notes_about_job(job: Job) -> list[Notice]:
    """Notices that the file itself gives rise to: unknown keys, drafts, readings reached the other way."""
    notices = [
        Notice(code="recalled", where="written_by", text=recalls.words_of(recall, versions))
        for recall, versions in recalls.recalled(job.written_by)
    ]
    notices += [
        Notice(
            code="unknown_key",
            where=where,
            text=f"{cut(where)}: this version does not know the key. It is kept in the file and changes no number.",
        )
        for where in unknown_paths(job)
    ]
    if job.drafts:
        words = "1 entry was" if len(job.drafts) == 1 else f"{len(job.drafts)} entries were"
        notices.append(
            Notice(
                code="drafts",
                where="drafts",
                text=f"{words} typed in the worksheet but not understood. Open the worksheet to mend this.",
            )
        )
    for j, reading in enumerate(job.readings or ()):
        if not job.judges(reading):
            notices.append(_other_way(j, reading, job.direction))
    return [*notices, *notes_about_wear(job)]


def notes_about_wear(job: Job) -> list[Notice]:
    """What was seen on the parts, where it bears on the timing."""
    return [
        Notice(
            code="worn_part",
            where=f"inspections[{j}].condition",
            text=f"Unit {seen.unit}, {INSPECTED[seen.part]}: {CONDITIONS[seen.condition]}. "
            f"{_WEAR.get(seen.part, _WEAR_ELSEWHERE)}",
        )
        for j, seen in enumerate(job.inspections or ())
        if seen.condition is not None and seen.condition != SOUND
    ]


_WEAR = dict.fromkeys(
    ("cam", "roller"), "Push rods do not cure a worn cam or roller. Measure the cam before you correct anything on this unit."
)
_WEAR_ELSEWHERE = "Repair or replace it first. A correction made on it does not last."


def _other_way(j: int, reading: Reading, direction: str) -> Notice:
    place = f"Unit {reading.unit}, {STAGES[reading.stage]}, {EVENTS[reading.event]}"
    unsaid = " Nothing was entered, which means ahead." if reading.reached is None else ""
    words = mirrored(": reached astern. Settings count only when reached turning ahead.", direction)
    return Notice(
        code="astern_reading" if direction == AHEAD else "ahead_reading",
        where=f"readings[{j}]",
        text=f"{place}{words} It is kept and not judged.{unsaid}",
    )


def notes_about_engine(job: Job, units: list[JudgedUnit]) -> list[Notice]:
    """Notices about optional values that are missing though a finding would need them; once a job."""
    both = any(unit.stroke_mm is not None for unit in units)
    rods = any(isinstance(each, RodCorrection) for unit in units for each in unit.corrections)
    wanted = {
        "engine.plunger_diameter_mm": both,
        "engine.speed_rpm": both,
        "engine.rod_pitch_mm": rods,
        "fuel.density_15_kg_m3": both,
        "fuel.temperature_c": both,
        "reference.zero_index_opening_min_mm": any(ZERO_INDEX in unit.readings for unit in units),
        "reference.lift_off_clearance_min_mm": any(LIFT_OFF in unit.readings for unit in units),
    }
    notices = [missing(path) for path, needed in wanted.items() if needed and value_at(job, path) is None]
    if rods and job.direction == ASTERN:
        notices.append(
            Notice(
                code="both_directions",
                where="reference.rotation",
                text="A push rod or cam that serves both directions moves the timing ahead as well. Judge the job for ahead "
                "before you turn a nut, and read both directions again afterwards.",
            )
        )
    fuel = job.fuel
    if both and fuel and fuel.density_15_kg_m3 is not None and fuel.temperature_c is not None:
        inside = density.LOWEST_C <= fuel.temperature_c <= density.HIGHEST_C
        if not inside or not density.LOWEST_KG_M3 <= fuel.density_15_kg_m3 <= density.HIGHEST_KG_M3:
            notices.append(
                Notice(
                    code="density_range",
                    where="fuel.temperature_c" if not inside else "fuel.density_15_kg_m3",
                    text="ASTM D1250 was not made for this temperature or density. Take the mass of fuel as a rough figure.",
                )
            )
    return notices


def missing(path: str) -> Notice:
    """That a value is missing, and what cannot be told without it. Parameters: one of the paths above."""
    described = field_of(Job, path)
    find = f" Find it: {described.find[:1].lower()}{described.find[1:]}" if described.find else ""
    return Notice(
        code="missing",
        where=path,
        text=f"{described.label[:1].upper()}{described.label[1:]}: missing, so {_LEAVES_EMPTY[path]} cannot be told.{find}",
    )


def notes_about_unit(
    unit: JudgedUnit,
    job: Job,
    settings: Settings,
    opening: CutOut | None,
    exact: AfterCorrection | None,
    by_hand: AfterCorrection | None,
) -> list[Notice]:
    """Notices about one unit in one stage."""
    return [
        *_not_judged(unit),
        *_beyond_table(unit),
        *_index(unit, settings),
        *_no_zero_index(unit, opening),
        *_cut_out_after(unit, job, settings, exact, by_hand),
    ]


def _name(unit: JudgedUnit) -> str:
    return f"Unit {unit.number}, {STAGES[unit.stage]}"


def _noun(event: str) -> str:
    return EVENTS[event].split(":")[0]


def _not_judged(unit: JudgedUnit) -> Iterator[Notice]:
    for event in VALVE_EVENTS:
        placed = unit.readings.get(event)
        if placed is None:
            yield Notice(
                code="not_read",
                where="readings",
                text=f"{_name(unit)}: the {_noun(event)} was not read, so it is not judged.",
            )
        elif sits(placed.reading):
            early = event == SUCTION_CLOSING
            valve, side = ("suction valve closes", "early") if early else ("spill valve opens", "late")
            yield Notice(
                code="valve_on_seat",
                where=f"{placed.where}.valve_lift_mm",
                text=f"{_name(unit)}: the valve sits at the reference lift, so the {valve} {side}, nobody knows by how much. "
                "Read it at contact.",
            )


def _beyond_table(unit: JudgedUnit) -> Iterator[Notice]:
    for event, judged in unit.events.items():
        if unit.settings.flank[event].leaves_table(judged.lift_error_mm):
            yield Notice(
                code="beyond_table",
                where=judged.placed.where,
                text=f"{_name(unit)}: the {_noun(event)} at {plain(judged.finding.lift_mm, 2)} mm lies beyond the cam lift "
                "table. The cam is taken as straight there. Check the reading, or add rows to the table.",
            )


def _index(unit: JudgedUnit, settings: Settings) -> Iterator[Notice]:
    if settings.fuel_index_u and SPILL_OPENING in unit.events and unit.opening_mm is None:
        yield Notice(
            code="index_not_counted",
            where="reference.fuel_index_u",
            text=f"{_name(unit)}: without a zero-index opening the doubt of the fuel index cannot be counted. The end is "
            "less certain than it says.",
        )


def _no_zero_index(unit: JudgedUnit, opening: CutOut | None) -> Iterator[Notice]:
    if opening is None or opening.zero_delivery_index is not None:
        return
    placed = unit.readings[ZERO_INDEX]
    if unit.stroke_mm is None:
        why = "start and end of the same stage are not both known"
    else:
        why = "the spill valve is not open far enough at index 0"
    yield Notice(code="no_zero_index", where=placed.where, text=f"{_name(unit)}: no index of zero delivery, since {why}.")


def _cut_out_after(
    unit: JudgedUnit, job: Job, settings: Settings, exact: AfterCorrection | None, by_hand: AfterCorrection | None
) -> Iterator[Notice]:
    rods = [each for each in unit.corrections if isinstance(each, RodCorrection)]
    if not rods:
        return
    limit = job.reference.zero_index_opening_min_mm
    opening = worst_opening(exact, by_hand)
    if opening is None:
        yield Notice(
            code="cut_out_after_unknown",
            where="readings",
            text=f"{_name(unit)}: the correction moves the zero-index opening, and it was not read. Read it before you turn a "
            f"rod.",
        )
        return
    level = cut_out_after(exact, by_hand, limit, settings.seat_contact_mm)
    where = unit.readings[ZERO_INDEX].where
    if level == DANGER:
        yield Notice(
            code="cut_out_after_danger",
            where=where,
            text=f"{_name(unit)}: after the correction the spill valve would open {plain(opening, 2)} mm at index 0, no more "
            "than the seat-contact reading. The unit would inject at index 0, and the engine might not stop. Turn no nut.",
        )
    elif level is not None and limit is not None:
        yield Notice(
            code="cut_out_after_warning",
            where=where,
            text=f"{_name(unit)}: after the correction the spill valve would open {plain(opening, 2)} mm at index 0; the "
            f"limit is {plain(limit, 2)} mm. The unit might not cut out. Ask the maker before you go on.",
        )


def note_about_instruments(units: list[JudgedUnit], settings: Settings) -> list[Notice]:
    """Whether the instruments can prove the tolerance at all; told once a job, for the event that they know worst."""
    doubts = [
        # More repeats can be had; what they do not shrink decides.
        (combined(term for term in judged.budgets.angle if term.name not in doubt.REPEATED), unit, event)
        for unit in units
        for event, judged in unit.events.items()
    ]
    worst = max(doubts, key=lambda each: each[0], default=None)
    if worst is None or worst[0] <= conformity.largest_provable_u(settings.tolerance_deg):
        return []
    fixed, unit, event = worst
    return [
        Notice(
            code="instruments_too_coarse",
            where="instruments",
            text=f"The instruments alone leave ±{1.96 * fixed:.2f}° of doubt ({_name(unit)}, {_noun(event)}), however often "
            f"you read. They can never prove ±{settings.tolerance_deg:g}°.",
        )
    ]


def notes_about_stages(units: list[JudgedUnit]) -> list[Notice]:
    """Notices about what can only be told of several units."""
    notices = []
    for stage, words in STAGES.items():
        of_stage = [unit for unit in units if unit.stage == stage]
        parts = sum(unit.cam_part is not None for unit in of_stage)
        if 0 < parts < cause.UNITS_FOR_COMMON:
            notices.append(
                Notice(
                    code="few_units",
                    where="readings",
                    text=f"{words.capitalize()}: only {parts} with a cam part. From three units on, what they share is told "
                    "from what is a unit's own.",
                )
            )
        if sum(unit.stroke_mm is not None for unit in of_stage) == 1:
            notices.append(
                Notice(
                    code="imbalance_needs_two",
                    where="readings",
                    text=f"{words.capitalize()}: one unit alone has no imbalance. Read the others as well.",
                )
            )
    return notices
