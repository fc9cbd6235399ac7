"""What if: the latest readings of every unit, moved as a person tries it on the screen. It changes no finding.

Every unit starts from its latest stage. The balance is that of all units after all moves.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from calc.findings import AfterCorrection, CutOut, Event, Findings, Quantity, UnitFindings
from calc.job.direction import mirrored
from calc.job.model import AS_FOUND, AS_LEFT, SPILL_OPENING, STAGES, SUCTION_CLOSING, VALVE_EVENTS, ZERO_INDEX, Job
from calc.job.moves import UnitMoves, read_moves
from calc.job.typed import Typed
from calc.judge import say
from calc.judge.after import PREDICTED, after_shift, lift_change
from calc.judge.assess import assess, cut_out_of, mean_of_strokes, quantity_of
from calc.judge.cut_out_after import cut_out_after
from calc.judge.settings import LENGTHENING, RATIO_SPILL, RATIO_SUCTION, ROD_THREAD, Settings, settings_of
from calc.judge.suspect_words import read_again
from calc.judge.unit import EVENT_OF, JudgedUnit
from calc.measure import conformity
from calc.measure.gum import combined, effective_dof, expanded
from calc.pump.cause import SUCTION_ROD
from calc.pump.what_if import Moves, Shift, doubt_after, rod_from_flats, shift_from


@dataclass(frozen=True, slots=True)
class Tried:
    """One unit as read, and as it would be.

    moves: what is moved. after: start and end with verdict, stroke, opening. before, fuel: balance and quantity, as read and
    after all moves. level: "danger" or "warning" for the cut-out. stop, todo, notes: what to say, most urgent first.
    """

    read: UnitFindings
    moves: Moves
    after: AfterCorrection
    beginning: Event | None
    end: Event | None
    before: Quantity | None
    fuel: Quantity | None
    cut_out: CutOut | None
    level: str | None
    stop: tuple[str, ...]
    todo: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def predicted(self) -> UnitFindings:
        """The unit as it would be, for pictures beside what was read."""
        return replace(self.read, stage=PREDICTED, beginning=self.beginning, end=self.end)


def latest_units(findings: Findings) -> dict[int, UnitFindings]:
    """Each unit in the latest stage in which start or end was read."""
    found: dict[int, UnitFindings] = {}
    for unit in findings.units:
        judged = unit.judged
        if judged is not None and any(event in judged.readings for event in VALVE_EVENTS):
            found[unit.unit] = unit  # as left comes after as found
    return found


def listed_moves(unit: UnitFindings, pitch_mm: float | None) -> UnitMoves:
    """The listed corrections of a unit as a hand can make them; none for a unit that is within, which is left alone."""
    moves: dict[str, float] = {}
    if unit.verdict != conformity.WITHIN:
        for each in unit.corrections:
            if each.part not in EVENT_OF:
                moves["cam_deg"] = round(getattr(each, "change_deg", 0.0), 2)
                continue
            rod = "suction" if each.part == SUCTION_ROD else "spill"
            if pitch_mm is None:
                moves[f"{rod}_mm"] = round(getattr(each, "change_mm", 0.0), 2)
            else:
                moves[f"{rod}_flats"] = getattr(each, "hand_flats", None) or 0.0
    return UnitMoves(**moves)


def rod_fields(pitch_mm: float | None) -> tuple[str, str]:
    """In which fields the rods are moved: flats where the pitch is known.

    >>> rod_fields(1.5), rod_fields(None)
    (('suction_flats', 'spill_flats'), ('suction_mm', 'spill_mm'))
    """
    unit = "mm" if pitch_mm is None else "flats"
    return f"suction_{unit}", f"spill_{unit}"


def in_millimetres(moves: UnitMoves, pitch_mm: float | None) -> Moves:
    """Moves as rod lengths [mm] and cam angle [deg]. Without a pitch, flats say nothing.

    >>> in_millimetres(UnitMoves(suction_flats=-1.25), 1.5)
    Moves(suction_mm=-0.3125, spill_mm=0.0, cam_deg=0.0)
    """
    suction, spill = (getattr(moves, name) or 0.0 for name in rod_fields(pitch_mm))
    if pitch_mm is not None:
        suction, spill = rod_from_flats(suction, pitch_mm), rod_from_flats(spill, pitch_mm)
    return Moves(suction, spill, moves.cam_deg or 0.0)


@dataclass(frozen=True, slots=True)
class Attempt:
    """Moves as they were asked for, and what comes of them.

    pitch_mm: length of a turn of a rod; tolerance_deg: of an angle. typed: moves as understood, by unit. listed: the listed
    corrections as a hand can make them, by unit. units: every unit that was read.
    """

    pitch_mm: float | None
    tolerance_deg: float
    typed: Mapping[int, Typed]
    listed: Mapping[int, UnitMoves]
    units: Sequence[Tried]


def try_moves(job: Job, asked: Mapping[str, Mapping[str, Any]]) -> Attempt:
    """Moves that a person tries: by unit number and field, as numbers or as typed.

    A unit that is not asked about starts from its listed correction. A move that is not understood counts as none.
    """
    findings, settings = assess(job), settings_of(job)
    listed = {number: listed_moves(unit, settings.pitch_mm) for number, unit in latest_units(findings).items()}
    typed = {number: read_moves(asked[str(number)]) for number in listed if str(number) in asked}
    made = {number: in_millimetres(moves, settings.pitch_mm) for number, moves in listed.items()}
    for number, each in typed.items():
        understood = {name: value for name, value in each.values.items() if name not in each.errors}
        made[number] = in_millimetres(UnitMoves(**understood), settings.pitch_mm)
    return Attempt(settings.pitch_mm, settings.tolerance_deg, typed, listed, what_if(job, findings, made))


def what_if(job: Job, findings: Findings, moves: Mapping[int, Moves]) -> list[Tried]:
    """Every unit that was read, as it would be after moves.

    Parameters: moves by unit; a unit without any stays as it is. Returns: units in order.
    """
    settings = settings_of(job)
    units = latest_units(findings)
    shifts = {number: _shift(moves.get(number, Moves()), settings) for number in units}
    strokes = {
        number: (unit.judged.stroke_mm, unit.judged.stroke_mm + shifts[number].stroke_mm)
        for number, unit in units.items()
        if unit.judged is not None and unit.judged.stroke_mm is not None
    }
    mean_before, mean_after = (mean_of_strokes([pair[at] for pair in strokes.values()]) for at in (0, 1))
    out_of_date = {unit.unit for unit in findings.units if unit.stage == AS_FOUND and unit.cut_out is not None}
    tried = []
    for number, unit in units.items():
        assert unit.judged is not None
        delivery = unit.judged.delivery_deg
        after, (beginning, end) = _after(unit.judged, settings, shifts[number])
        delivery_after = None
        if delivery is not None and beginning is not None and end is not None:
            delivery_after = end.angle_deg - beginning.angle_deg
        made = moves.get(number, Moves())
        cut_out = _cut_out(unit, job, settings, after)
        level = cut_out_after(after, None, job.reference.zero_index_opening_min_mm, settings.seat_contact_mm)
        tried.append(
            Tried(
                read=unit,
                moves=made,
                after=after,
                beginning=beginning,
                end=end,
                before=quantity_of(job, unit.judged.stroke_mm, delivery, mean_before),
                fuel=quantity_of(job, after.effective_stroke_mm, delivery_after, mean_after),
                cut_out=cut_out,
                level=level,
                stop=tuple(_stop(unit, job, made, level, after)),
                todo=tuple(_todo(unit, made)),
                notes=tuple(_notes(unit, job, settings, made, shifts[number], after, number in out_of_date)),
            )
        )
    return tried


def _shift(moves: Moves, settings: Settings) -> Shift:
    ratio = settings.ratio
    return shift_from(moves, ratio[SUCTION_CLOSING], ratio[SPILL_OPENING], settings.lengthening_opens)


def _after(unit: JudgedUnit, settings: Settings, shift: Shift) -> tuple[AfterCorrection, tuple[Event | None, Event | None]]:
    after = after_shift(unit, settings, shift)
    start = _predicted(unit, settings, SUCTION_CLOSING, shift, after.beginning_deviation_deg)
    end = _predicted(unit, settings, SPILL_OPENING, shift, after.end_deviation_deg)
    return after, (start, end)


def _predicted(unit: JudgedUnit, settings: Settings, event: str, shift: Shift, deviation: float | None) -> Event | None:
    """An event as a reading would find it: the same doubt, since a move of so many flats adds none of its own."""
    judged = unit.events.get(event)
    if judged is None or deviation is None:
        return None
    change, flank, found = lift_change(shift, event), unit.settings.flank[event], judged.finding
    if not change and not shift.cam_deg:
        return found
    travel = flank.travel(judged.lift_error_mm + change) if change else judged.travel_deg
    terms = doubt_after(judged.budgets.angle, flank, judged.travel_deg, travel, judged.at_contact)
    u, dof, tolerance = combined(terms), effective_dof(terms), settings.tolerance_deg
    probability = conformity.probability_between(deviation, u, dof, -tolerance, tolerance)
    read = conformity.as_read(deviation, -tolerance, tolerance)
    return replace(
        found,
        angle_deg=unit.settings.angle_deg[event] + deviation,
        deviation_deg=deviation,
        u_deg=u,
        expanded_deg=expanded(u, dof),
        as_read=read,
        probability_within=probability,
        verdict=conformity.verdict(probability, read),
        lift_mm=found.lift_mm + change,
        lift_deviation_mm=found.lift_deviation_mm + change,
        cam_part_deg=found.cam_part_deg + shift.cam_deg,
        settle=None,
    )


def _cut_out(unit: UnitFindings, job: Job, settings: Settings, after: AfterCorrection) -> CutOut | None:
    """The cut-out after the moves, judged like a reading of it: turning a rod adds no doubt of its own."""
    opening, judged = after.zero_index_opening_mm, unit.judged
    if opening is None or judged is None:
        return None
    return cut_out_of(opening, after.effective_stroke_mm, judged.opening_budget, job, settings)


def _stop(unit: UnitFindings, job: Job, moves: Moves, level: str | None, after: AfterCorrection) -> list[str]:
    when = "After these moves" if moves.rods else "As read"
    return say.stop_words(unit.unit, level, after.zero_index_opening_mm, job.reference.zero_index_opening_min_mm, when)


def _todo(unit: UnitFindings, moves: Moves) -> Iterable[str]:
    """What stands before any move of this unit."""
    judged = unit.judged
    assert judged is not None
    if judged.suspicions:
        yield "Read again first, then correct by the new reading."
        yield from read_again(judged.suspicions, judged.direction)
    if judged.disagrees:
        yield say.disagreement_words(judged)
        return
    if unit.verdict == conformity.WITHIN:
        yield f"Unit {unit.unit} is within. Leave it alone." if moves.any else f"Unit {unit.unit} is within: leave it alone."
    yield from say.shared_words(judged)


def _notes(
    unit: UnitFindings,
    job: Job,
    settings: Settings,
    moves: Moves,
    shift: Shift,
    after: AfterCorrection,
    read_as_found: bool,
) -> Iterable[str]:
    judged = unit.judged
    assert judged is not None
    if after.zero_index_opening_mm is None:
        old = unit.stage == AS_LEFT and read_as_found and ZERO_INDEX not in judged.readings
        why = "was read as found only, and rods have moved since" if old else f"was not read {STAGES[unit.stage]}"
        yield mirrored(
            f"The opening at index 0 {why}, so nobody knows it after these moves. Set the index to 0, turn ahead until the "
            "suction valve just closes, and read the spill valve's gauge. Do it before you turn a rod.",
            judged.direction,
        )
    elif job.reference.zero_index_opening_min_mm is None:
        yield "The least zero-index opening is not entered, so this opening has no verdict. The engine's manual states it."
    for event in VALVE_EVENTS:
        each = judged.events.get(event)
        noun = say.NOUN[event].capitalize()
        if event not in judged.readings:
            yield f"{noun}: not read {STAGES[unit.stage]}, so it has no number."
        elif each is None:
            yield f"{noun}: the valve sat at the reference lift, so it has no number. Read it at contact."
        else:
            left = each.lift_error_mm + lift_change(shift, event)
            if judged.settings.flank[event].leaves_table(left):
                yield f"{noun}: these moves lead beyond the cam lift table. The cam is taken as straight there."
    if after.effective_stroke_mm is not None and after.effective_stroke_mm <= 0.0:
        yield "With these moves the spill valve opens before the suction valve closes: no fuel is delivered at this index."
    if moves.cam_deg:
        yield (
            "A cam moves start and end together, and not the opening at index 0. Moving it is the maker's procedure and "
            "class: check exhaust, starting-air and lubricator timing as well."
        )
    rests_on = [RATIO_SUCTION] * bool(moves.suction_mm) + [RATIO_SPILL] * bool(moves.spill_mm)
    if moves.rods:
        rests_on += [LENGTHENING] + [ROD_THREAD] * (settings.pitch_mm is not None)
    assumed = [path for path in rests_on if path in settings.assumed]
    if assumed:
        yield say.assumed_words(assumed)
