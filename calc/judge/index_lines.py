"""Spill lifts at several fuel indices: where delivery ends by their line, by the opening, and the balance at low load."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from calc.findings import IndexLine, Notice
from calc.job.model import SPILL_OPENING, STAGES, SUCTION_CLOSING, VALVE_EVENTS, ZERO_INDEX, Job
from calc.job.words import plain, short
from calc.judge.event import Kind
from calc.judge.settings import Settings
from calc.judge.unit import JudgedUnit
from calc.measure.gum import root_sum_square
from calc.measure.pool import Repeatability, mean
from calc.pump import cut_out, doubt, fuel_index, quantity
from calc.pump.cause import Estimate, named

LARGEST = 1e6  # A line that is as good as level meets the start lift anywhere.
Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class IndexWork:
    """A line over the index with what led to it. by_opening: the index of zero delivery by the opening at index 0."""

    points: Points
    line: fuel_index.IndexLine
    by_opening: Estimate | None
    finding: IndexLine


def judge_index_lines(
    job: Job,
    settings: Settings,
    scatter: Mapping[Kind, Repeatability],
    units: Sequence[JudgedUnit],
    notices: list[Notice],
) -> None:
    """Fill `index_line` of each unit and stage that has one."""
    by_key = {(unit.stage, unit.number): unit for unit in units}
    for j, each in enumerate(job.index_readings or ()):
        where = f"index_readings[{j}].points"
        name = f"Unit {each.unit}, {STAGES[each.stage]}, spill lift over fuel index"
        unit = by_key.get((each.stage, each.unit))
        start = None if unit is None else unit.events.get(SUCTION_CLOSING)
        if unit is None or start is None:
            words = (
                f"{name}: the start of delivery has no number in this stage, so nobody knows where delivery ends. Read the "
                "start."
            )
            notices.append(Notice(code="index_without_start", where=where, text=words))
            continue
        line = fuel_index.index_line(each.points, start.finding.lift_mm)
        if line is None or abs(line.zero_index) > LARGEST:
            if len({index for index, _ in each.points}) > 1:
                words = f"{name}: the spill lift does not rise with the index. Check the readings."
            else:
                words = f"{name}: all readings are at one index. Read the spill lift at another one too."
            notices.append(Notice(code="index_tells_nothing", where=where, text=words))
            continue
        if line.line.dof < 1:
            words = f"{name}: two readings have no scatter, so nobody knows how sure their line is. Read a third index."
            notices.append(Notice(code="index_two_readings", where=where, text=words))
        unit.index_line = _work(unit, each.points, line, settings, scatter)
    for stage in STAGES:
        _balance([unit for unit in units if unit.stage == stage and unit.index_line is not None], settings)


def _contact_mm(settings: Settings) -> float:
    """Doubt of the spill valve's contact, as plunger lift."""
    return settings.quality.valve_mm / settings.ratio[SPILL_OPENING]


def _work(
    unit: JudgedUnit,
    points: Points,
    line: fuel_index.IndexLine,
    settings: Settings,
    scatter: Mapping[Kind, Repeatability],
) -> IndexWork:
    u = fuel_index.line_zero_doubt(line, unit.events[SUCTION_CLOSING].finding.u_lift_mm, _contact_mm(settings))
    by_opening = _by_opening(unit, settings, scatter)
    differ = None
    if u is not None and by_opening is not None:
        size = line.zero_index - by_opening.value
        effect = size * line.mm_per_index / unit.settings.flank[SPILL_OPENING].slope
        differ = named(size, root_sum_square((u, by_opening.u)), effect, settings.tolerance_deg)
    finding = IndexLine(
        mm_per_index=line.mm_per_index,
        zero_index=line.zero_index,
        u_zero_index=u,
        by_opening=None if by_opening is None else by_opening.value,
        u_by_opening=None if by_opening is None else by_opening.u,
        differ=differ,
        text=_words(line.zero_index, u, by_opening, differ),
    )
    return IndexWork(points, line, by_opening, finding)


def _by_opening(unit: JudgedUnit, settings: Settings, scatter: Mapping[Kind, Repeatability]) -> Estimate | None:
    placed, opening, stroke = unit.readings.get(ZERO_INDEX), unit.opening_mm, unit.stroke_mm
    if placed is None or opening is None or stroke is None or opening <= 0.0:
        return None
    ratio = settings.ratio
    w = cut_out.lift_beyond_seat(opening, settings.seat_contact_mm, ratio[SPILL_OPENING])
    value = cut_out.zero_delivery_index(settings.fuel_index, stroke, w)
    if value is None:
        return None
    repeats = scatter[("valve_lift_mm", ZERO_INDEX)].of_mean(len(placed.reading.valve_lift_mm or (0.0,)), "repeats").u
    u_opening = cut_out.opening_uncertainty(settings.quality.valve_mm, ratio[SUCTION_CLOSING], ratio[SPILL_OPENING], repeats)
    start, end = (unit.events[event].finding.u_lift_mm for event in VALVE_EVENTS)
    u_stroke = doubt.of_stroke(end, start, settings.quality.plunger_mm)
    u = cut_out.zero_delivery_doubt(settings.fuel_index, stroke, w, u_stroke, u_opening / ratio[SPILL_OPENING])
    return Estimate(value, u, u)


def _balance(units: Sequence[JudgedUnit], settings: Settings) -> None:
    """The balance at the lowest index that all lines were read down to: none reaches further down than its readings."""
    works = [(unit, unit.index_line) for unit in units if unit.index_line is not None]
    if len(works) < 2:
        return
    low = max(min(index for index, _ in work.points) for _, work in works)
    if low > min(max(index for index, _ in work.points) for _, work in works):
        return
    strokes = [work.line.stroke_mm(low) for _, work in works]
    middle = mean(strokes)
    if middle <= 1e-9:
        return
    doubts = [_stroke_doubt(unit, work, low, settings) for unit, work in works]
    known = [each for each in doubts if each is not None]
    for at, (unit, work) in enumerate(works):
        share = quantity.imbalance_percent(strokes[at], middle)
        u = quantity.imbalance_doubt(known, at, middle) if len(known) == len(doubts) else None
        side = "more" if share > 0.0 else "less"
        range_words = "" if u is None else f" (±{plain(1.96 * u, 1)} %)"
        said = (
            f"At index {short(low)}, the lowest that all units were read down to, it delivers {plain(abs(share), 1)} % {side} "
            f"than the mean{range_words}."
        )
        finding = replace(
            work.finding,
            low_index=low,
            low_imbalance_percent=share,
            u_low_imbalance_percent=u,
            text=f"{work.finding.text} {said}",
        )
        unit.index_line = replace(work, finding=finding)


def _stroke_doubt(unit: JudgedUnit, work: IndexWork, index: float, settings: Settings) -> float | None:
    if work.line.line.dof < 1:
        return None
    start = unit.events[SUCTION_CLOSING].finding.u_lift_mm
    return root_sum_square((work.line.line.u_value(index), start, _contact_mm(settings)))


def _words(zero: float, u: float | None, by_opening: Estimate | None, differ: bool | None) -> str:
    sure = "" if u is None else f" (±{plain(1.96 * u, 2)})"
    said = f"By the line over the index, nothing is delivered below index {plain(zero, 2)}{sure}."
    if by_opening is None:
        return said
    said += f" By the opening at index 0 it is {plain(by_opening.value, 2)} (±{plain(1.96 * by_opening.u, 2)})"
    if differ is None:
        return f"{said}."
    if not differ:
        return f"{said}: they agree."
    return (
        f"{said}: they differ. Check the spill valve's ratio, this unit's index pointer and its linkage. Then read the "
        "opening and "
        "the line again."
    )
