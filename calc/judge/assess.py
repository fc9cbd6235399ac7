"""`assess`: the one entry. A job in, its findings out; nothing read, nothing written, no clock."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from calc.findings import (
    FORMAT,
    VERSION,
    CommonParts,
    CutOut,
    Deviation,
    Findings,
    JobHead,
    LiftOff,
    Notice,
    Part,
    Quantity,
    Summary,
    UnitFindings,
)
from calc.fuel import density
from calc.job.describe import late
from calc.job.model import (
    AS_FOUND,
    AS_LEFT,
    LIFT_OFF,
    SPILL_OPENING,
    STAGES,
    SUCTION_CLOSING,
    VALVE_EVENTS,
    ZERO_INDEX,
    Job,
)
from calc.job.write import checksum, job_to_tree
from calc.judge import across, say
from calc.judge.after import after_correction
from calc.judge.event import Kind, Placed, index_doubt_mm, judge_event, kind_of, scatter_by_kind, sits
from calc.judge.notes import (
    note_about_instruments,
    notes_about_engine,
    notes_about_job,
    notes_about_stages,
    notes_about_unit,
)
from calc.judge.settings import Settings, settings_of
from calc.judge.suspect import find_suspicions
from calc.judge.unit import (
    JudgedUnit,
    find_cam_cause,
    find_cam_part,
    find_corrections,
    find_rod_causes,
)
from calc.measure import conformity
from calc.measure.gum import Term, combined, effective_dof
from calc.measure.pool import Repeatability, mean
from calc.pump import cut_out, doubt, quantity
from calc.version import PROGRAM

Scatter = dict[Kind, Repeatability]


def assess(job: Job) -> Findings:
    """Judge a job.

    Parameters: job, as `read_job` gives it. Returns: the findings; what cannot be told is None there, and a notice says
    why. Pure: the same job gives the same findings, everywhere.

    >>> from calc.job.read import read_job
    >>> from pathlib import Path
    >>> assess(read_job(Path("site_demo/jobs/1-rods-a-cam-and-a-common-shift.json").read_text("utf-8"))).summary.verdict
    'outside'
    """
    settings = settings_of(job)
    notices = [*notes_about_job(job), *settings.notices]
    units = _gather(job, settings)
    scatter = _judge_events(job, settings, units, notices)
    common = {}
    for stage in STAGES:
        of_stage = [unit for unit in units if unit.stage == stage]
        for unit in of_stage:
            find_cam_part(unit, settings)
        cleared = across.find_common_settings(of_stage, settings, notices)
        for unit in of_stage:
            find_rod_causes(unit, settings, cleared)
        common[stage] = across.find_common_part(of_stage, settings)
        for unit in of_stage:
            find_cam_cause(unit, settings)
            find_corrections(unit, settings)
    find_suspicions(job, settings, units, scatter)
    check = None
    if job.tdc_check is not None or job.cam_surveys or job.index_readings:
        # Few jobs have them; the others should not wait for what they need.
        from calc.judge.around import look_around

        check = look_around(job, settings, scatter, units, common, notices)
    strokes = {stage: mean_of_strokes(unit.stroke_mm for unit in units if unit.stage == stage) for stage in STAGES}
    findings = [_finish(unit, job, settings, scatter, strokes[unit.stage], notices) for unit in units]
    notices += notes_about_engine(job, units) + note_about_instruments(units, settings) + notes_about_stages(units)
    verdict, items = _summary(job, findings, units)
    return Findings(
        format=FORMAT,
        version=VERSION,
        program=PROGRAM,
        job=JobHead(
            title=job.title,
            vessel=job.vessel,
            date=job.date,
            running_hours=job.running_hours,
            rotation=job.reference.rotation,
            checksum=late(lambda: checksum(job_to_tree(job))),
        ),
        summary=Summary(verdict=verdict, text=say.summary(job, verdict, items, findings, common, check)),
        units=tuple(findings),
        common_part_deg=CommonParts(as_found=common[AS_FOUND], as_left=common[AS_LEFT]),
        tdc_check=check,
        notices=tuple(notices),
    )


def _gather(job: Job, settings: Settings) -> list[JudgedUnit]:
    """One entry per unit and stage that has a reading, in unit order, as found before as left."""
    found: dict[tuple[int, str], JudgedUnit] = {}
    for j, reading in enumerate(job.readings or ()):
        key = (reading.unit, reading.stage)
        unit = found.get(key)
        if unit is None:
            unit = found[key] = JudgedUnit(reading.unit, reading.stage, settings.units[reading.unit], direction=job.direction)
        if job.judges(reading):
            unit.readings[reading.event] = Placed(j, reading)
    order = list(STAGES)
    return sorted(found.values(), key=lambda unit: (unit.number, order.index(unit.stage)))


def _judge_events(job: Job, settings: Settings, units: list[JudgedUnit], notices: list[Notice]) -> Scatter:
    instruments = job.instruments
    steps = {
        "plunger_lift_mm": instruments.plunger_gauge.step_mm,
        "valve_lift_mm": instruments.valve_gauge.step_mm,
        "crank_angle_deg": instruments.angle_scale.step_deg,
    }
    placed = [each for unit in units for each in unit.readings.values() if not sits(each.reading)]
    placed.sort(key=lambda each: each.index)
    scatter, about_repeats = scatter_by_kind(placed, settings, steps)
    notices += about_repeats
    for unit in units:
        index_mm = index_doubt_mm(settings, unit.settings, unit.opening_mm) if settings.fuel_index_u else 0.0
        for event in VALVE_EVENTS:
            each = unit.readings.get(event)
            if each is not None and not sits(each.reading):
                extra = (index_mm or 0.0) if event == SPILL_OPENING else 0.0
                unit.events[event] = judge_event(each, settings, unit.settings, scatter, extra)
    return scatter


def _finish(
    unit: JudgedUnit,
    job: Job,
    settings: Settings,
    scatter: Scatter,
    mean_stroke: float | None,
    notices: list[Notice],
) -> UnitFindings:
    opening, clearance = _cut_out(unit, job, settings, scatter), _lift_off(unit, job)
    beginning, end = (unit.events[event].finding if event in unit.events else None for event in VALVE_EVENTS)
    parts = [each.verdict if each else conformity.INCOMPLETE for each in (beginning, end)]
    parts += [each.verdict for each in (opening, clearance) if each is not None and each.verdict is not None]
    verdict = conformity.worst(parts)
    exact, by_hand = (after_correction(unit, settings, by_hand) for by_hand in (False, True))
    fuel = quantity_of(job, unit.stroke_mm, unit.delivery_deg, mean_stroke)
    notices += notes_about_unit(unit, job, settings, opening, exact, by_hand)
    limit = job.reference.zero_index_opening_min_mm
    unit.said = say.unit(unit, settings, verdict, opening, clearance, exact, by_hand, limit)
    return UnitFindings(
        unit=unit.number,
        stage=unit.stage,
        verdict=verdict,
        text=unit.said.text,
        beginning=beginning,
        end=end,
        effective_stroke_mm=_stroke(unit, settings),
        delivery_angle_deg=_delivery(unit),
        causes=tuple(unit.causes),
        hints=tuple(unit.hints),
        corrections=tuple(unit.corrections),
        after_correction=exact,
        after_by_hand=by_hand,
        suspicions=tuple(unit.suspicions),
        cam_part_deg=None if unit.cam_part is None else Part(value=unit.cam_part.value, u=unit.cam_part.u),
        own_cam_part_deg=None if unit.own_cam_part is None else Part(value=unit.own_cam_part.value, u=unit.own_cam_part.u),
        cut_out=opening,
        lift_off=clearance,
        quantity=fuel,
        cam_survey=None if unit.survey is None else unit.survey.finding,
        index_line=None if unit.index_line is None else unit.index_line.finding,
        judged=unit,
    )


def _stroke(unit: JudgedUnit, settings: Settings) -> Deviation | None:
    value, reference = unit.stroke_mm, unit.settings.stroke_mm
    if value is None:
        return None
    start, end = (unit.events[event].finding.u_lift_mm for event in VALVE_EVENTS)
    u = doubt.of_stroke(end, start, settings.quality.plunger_mm)
    return Deviation(value=value, reference=reference, deviation=value - reference, u=u)


def _delivery(unit: JudgedUnit) -> Deviation | None:
    value, reference = unit.delivery_deg, unit.settings.delivery_deg
    if value is None:
        return None
    start, end = (unit.events[event].budgets.angle for event in VALVE_EVENTS)
    u = doubt.of_angle_difference(start, end)
    return Deviation(value=value, reference=reference, deviation=value - reference, u=u)


def _cut_out(unit: JudgedUnit, job: Job, settings: Settings, scatter: Scatter) -> CutOut | None:
    opening, placed = unit.opening_mm, unit.readings.get(ZERO_INDEX)
    if opening is None or placed is None or placed.reading.valve_lift_mm is None:
        return None
    if job.reference.zero_index_opening_min_mm is not None:
        repeats = scatter[kind_of(placed.reading, "valve_lift_mm")].of_mean(len(placed.reading.valve_lift_mm), "repeats")
        ratio_c, ratio_o = settings.ratio[SUCTION_CLOSING], settings.ratio[SPILL_OPENING]
        gauges = cut_out.opening_uncertainty(settings.quality.valve_mm, ratio_c, ratio_o, 0.0)
        unit.opening_budget = (Term("gauges", gauges), repeats)
    return cut_out_of(opening, unit.stroke_mm, unit.opening_budget, job, settings)


def cut_out_of(opening_mm: float, stroke_mm: float | None, budget: Sequence[Term], job: Job, settings: Settings) -> CutOut:
    """A zero-index opening judged, with the index of zero delivery. Parameters: budget counts only where there is a limit."""
    index = None
    if stroke_mm is not None and opening_mm > 0.0:
        w = cut_out.lift_beyond_seat(opening_mm, settings.seat_contact_mm, settings.ratio[SPILL_OPENING])
        index = cut_out.zero_delivery_index(settings.fuel_index, stroke_mm, w)
    limit = job.reference.zero_index_opening_min_mm
    if limit is None:
        return CutOut(opening_mm=opening_mm, zero_delivery_index=index)
    probability = conformity.probability_between(opening_mm, combined(budget), effective_dof(budget), low=limit)
    return CutOut(
        opening_mm=opening_mm,
        limit_mm=limit,
        probability_within=probability,
        verdict=conformity.verdict(probability, conformity.as_read(opening_mm, low=limit)),
        zero_delivery_index=index,
    )


def _lift_off(unit: JudgedUnit, job: Job) -> LiftOff | None:
    clearance = unit.clearance_mm
    if clearance is None:
        return None
    limit = job.reference.lift_off_clearance_min_mm
    verdict = None if limit is None else conformity.as_read(clearance, low=limit)
    return LiftOff(clearance_mm=clearance, limit_mm=limit, verdict=verdict)


def mean_of_strokes(strokes: Iterable[float | None]) -> float | None:
    """Mean effective stroke [mm] of two or more units; None with fewer, which have no balance."""
    known = [stroke for stroke in strokes if stroke is not None]
    return mean(known) if len(known) > 1 else None


def quantity_of(job: Job, stroke: float | None, delivery: float | None, mean_stroke: float | None) -> Quantity | None:
    """Fuel of one stroke.

    Parameters: effective stroke [mm], delivery angle [deg], mean stroke of the units [mm]; None without the first two.
    """
    if stroke is None or delivery is None:
        return None
    diameter, speed, fuel = job.engine.plunger_diameter_mm, job.engine.speed_rpm, job.fuel
    volume = None if diameter is None else quantity.cm3_per_cycle(diameter, stroke)
    mass = None
    if volume is not None and fuel and fuel.density_15_kg_m3 is not None and fuel.temperature_c is not None:
        mass = quantity.g_per_cycle(volume, density.density_at(fuel.density_15_kg_m3, fuel.temperature_c))
    return Quantity(
        cm3_per_cycle=volume,
        g_per_cycle=mass,
        # The plunger area is the same everywhere, so strokes compare as quantities do.
        imbalance_percent=quantity.imbalance_percent(stroke, mean_stroke) if mean_stroke else None,
        injection_ms=None if speed is None else quantity.injection_ms(delivery, speed),
    )


def _summary(job: Job, findings: list[UnitFindings], units: list[JudgedUnit]) -> tuple[str, dict[int, str]]:
    """The verdict of the engine and of each of its units, from each unit's latest stage item by item."""
    by_key = {(each.unit, each.stage): (each, unit) for each, unit in zip(findings, units, strict=True)}
    items = {}
    for number in range(1, job.engine.units + 1):
        stages = {stage: by_key[number, stage] for stage in STAGES if (number, stage) in by_key}
        items[number] = conformity.worst(_latest(stages))
    return conformity.worst(list(items.values())), items


def _latest(stages: dict[str, tuple[UnitFindings, JudgedUnit]]) -> list[str]:
    verdicts = []
    newest_first = [stages[stage] for stage in (AS_LEFT, AS_FOUND) if stage in stages]
    for event in VALVE_EVENTS:
        found = next((pair for pair in newest_first if event in pair[1].readings), None)
        judged = found[1].events.get(event) if found else None
        verdicts.append(judged.finding.verdict if judged else conformity.INCOMPLETE)
    corrected = AS_LEFT in stages and any(event in stages[AS_LEFT][1].readings for event in VALVE_EVENTS)
    for event, key in ((ZERO_INDEX, "cut_out"), (LIFT_OFF, "lift_off")):
        found = next((pair for pair in newest_first if event in pair[1].readings), None)
        if found is None:
            continue
        if found[1].stage == AS_FOUND and corrected:
            verdicts.append(conformity.INCOMPLETE)  # Rods were moved since: the proof is out of date.
            continue
        verdict = getattr(found[0], key).verdict
        if verdict is not None:
            verdicts.append(verdict)
    return verdicts
