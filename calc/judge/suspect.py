"""Reading mistakes that the numbers give away: all explanations weighed, once for what a stage shares and once per unit.

Rule: nothing is said unless the honest faults together hold less than 20 % of the probability; then every mistake that holds
5 % or more is listed with the reading that would settle it. A suspicion changes no number and no verdict.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence

from calc.findings import Suspicion
from calc.job.model import AS_LEFT, STAGES, VALVE_EVENTS, Job
from calc.judge import suspect_left, suspect_repeats, suspect_stage, suspect_unit
from calc.judge.event import Kind
from calc.judge.seen import FAULT, Layout, SeenUnit, StageParts, see
from calc.judge.settings import Settings
from calc.judge.suspect_unit import HONEST, HONEST_LIMIT, Explanation
from calc.judge.suspect_words import settle
from calc.judge.unit import JudgedUnit
from calc.measure.evidence import log_sum, shares
from calc.measure.pool import Repeatability
from calc.pump.cause import NOTEWORTHY_SHARE
from calc.pump.mistakes import copied

LISTED_FROM = 0.05
# What fits this well is not weighed further: in standard uncertainties, and in usual sizes of a fault.
FITS, USUAL = 2.5, 3.0


def find_suspicions(job: Job, settings: Settings, units: Sequence[JudgedUnit], scatter: dict[Kind, Repeatability]) -> None:
    """Fill the suspicions of every unit and stage, and hold the corrections of those that have one."""
    layout = Layout(job, settings, scatter, units)
    for stage in STAGES:
        of_stage = [unit for unit in units if unit.stage == stage and any(event in unit.readings for event in VALVE_EVENTS)]
        if of_stage:
            _weigh_stage(of_stage, layout)
    _weigh_as_left(job, units, settings)
    for unit in units:
        if unit.suspicions and unit.corrections:
            unit.corrections = [dataclasses.replace(each, held=True) for each in unit.corrections]


def _weigh_stage(units: Sequence[JudgedUnit], layout: Layout) -> None:
    settings, parts = layout.settings, StageParts(units, layout)
    known: dict[int, SeenUnit] = {}

    def seen(unit: JudgedUnit) -> SeenUnit:
        if unit.number not in known:
            known[unit.number] = see(unit, layout, parts)
        return known[unit.number]

    by_number = {unit.number: unit for unit in units}
    settled: set[int] = set()
    groups = []
    if suspect_stage.shared_contradiction(units, settings):
        groups.append(suspect_stage.signs_off([seen(unit) for unit in units], settings))
    for a, b in suspect_stage.swappable(units):
        pair = see(a, layout, parts, (b.number,)), see(b, layout, parts, (a.number,))
        groups.append(suspect_stage.swap(*pair, len(layout.engine.tdc_deg)))
    if suspect_stage.shared_lift_error(units, settings):
        groups.append(suspect_stage.lifts_off([seen(unit) for unit in units], settings))
    for group in groups:
        standing = _standing([each.explanation for each in group])
        if not standing:
            continue
        for number in group[0].units:
            _add(by_number[number], standing, settings)
            # Lifts that all units share leave the angles to be weighed; exchanged readings and signs do not.
            if group is not groups[-1] or not suspect_stage.is_about_lifts(group):
                settled.add(number)
    for unit in units:
        if unit.number in settled or not _worth_weighing(unit, layout, parts):
            continue
        in_repeats = suspect_repeats.explanations(seen(unit), layout) if (unit.number, unit.stage) in layout.apart else []
        # A slip in one repeat spoils the means that the rest would be weighed by.
        for found in in_repeats or [suspect_unit.explanations(seen(unit), layout.engine)]:
            _add(unit, _standing(found), settings)


def _worth_weighing(unit: JudgedUnit, layout: Layout, parts: StageParts) -> bool:
    """Whether a unit's numbers fit neither a sound unit nor an ordinary rod or cam: cheap, since most units do."""
    if layout.apart:
        return True  # A slip in one repeat widens every doubt, so nothing can be told at a glance.
    tolerance = layout.settings.tolerance_deg
    apart = unit.disagreement
    if apart is not None and abs(apart.value) > max(FITS * apart.u, 0.5 * NOTEWORTHY_SHARE * tolerance):
        return True
    plain = True
    for event, judged in unit.events.items():
        error, slope = abs(judged.finding.lift_deviation_mm), unit.settings.flank[event].slope
        if error > USUAL * FAULT * tolerance * slope:
            return True
        plain = plain and error <= USUAL * judged.finding.u_lift_mm
    own = unit.own_cam_part or unit.cam_part
    if own is not None:
        off = abs(own.value)
        if off > USUAL * FAULT * tolerance or (off > FITS * own.u and not plain):
            return True
    if _copied_entries(unit, layout) > 1:
        return True
    return parts.sits_oddly(unit, FITS) or layout.gauge_strays(unit, USUAL, NOTEWORTHY_SHARE * tolerance)


def _copied_entries(unit: JudgedUnit, layout: Layout) -> int:
    """Entries that are the reference itself though their instrument cannot show it."""
    count = 0
    for event in VALVE_EVENTS:
        placed = unit.readings.get(event)
        if placed is None:
            continue
        angles, lifts = placed.reading.crank_angle_deg, placed.reading.plunger_lift_mm
        if angles and angles[0] == unit.settings.angle_deg[event]:
            count += copied(angles[0], angles[0], layout.steps["crank_angle_deg"])
        if lifts and lifts[0] == unit.settings.lift_mm[event]:
            count += copied(lifts[0], lifts[0], layout.steps["plunger_lift_mm"])
    return count


def _weigh_as_left(job: Job, units: Sequence[JudgedUnit], settings: Settings) -> None:
    rods = suspect_left.turned_rods(units, settings)
    if not rods:
        return
    left_right = job.engine.rod_thread == "left_right"
    by_number = {unit.number: unit for unit in units if unit.stage == AS_LEFT}
    together = suspect_left.joint(rods, settings, left_right)
    standing = _standing([each for each, _ in together])
    met = set()
    for explanation, share in standing:
        touched = next(rods_of for each, rods_of in together if each is explanation)
        for number in {rod.unit for rod in touched}:
            met.add(number)
            events = tuple(event for event in VALVE_EVENTS if (number, event) in {(rod.unit, rod.event) for rod in touched})
            _add(by_number[number], [(dataclasses.replace(explanation, events=events), share)], settings)
    for rod in rods:
        if rod.unit not in met:
            _add(by_number[rod.unit], _standing(suspect_left.alone(rod, left_right)), settings)


def _standing(explanations: Iterable[Explanation]) -> list[tuple[Explanation, float]]:
    """The mistakes worth listing with their shares, most likely first; none while honest faults could well be it.

    Of several ways to make the same mistake the likeliest is shown, with the share of all.
    """
    by_code: dict[str, list[Explanation]] = {}
    for each in explanations:
        by_code.setdefault(each.code, []).append(each)
    if len(by_code) < 2:
        return []
    share = shares({code: log_sum(each.weight for each in members) for code, members in by_code.items()})
    if share.pop(HONEST) >= HONEST_LIMIT:
        return []
    listed = [(max(by_code[code], key=lambda each: each.weight), held) for code, held in share.items() if held >= LISTED_FROM]
    return sorted(listed, key=lambda each: -each[1])


def _add(unit: JudgedUnit, standing: Iterable[tuple[Explanation, float]], settings: Settings) -> None:
    for each, share in standing:
        unit.suspicions.append(
            Suspicion(
                code=each.code,
                events=each.events,
                size=each.size,
                unit=each.unit,
                fits=share,
                settle=settle(each, unit, settings),
            )
        )
    unit.suspicions.sort(key=lambda each: -each.fits)
