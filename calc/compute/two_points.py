"""Valve ratio and cam slope, each measured from two points near an event."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import inf
from typing import Any

from calc.compute.answer import Answer, Calculation, Known, Notice, beside, note
from calc.compute.from_job import gauges_of, like, outcome
from calc.compute.limits import percent, positive, problem
from calc.findings import Findings
from calc.job import steps
from calc.job.describe import choice, flag, record, value_at
from calc.job.model import EVENTS, SUCTION_CLOSING, VALVE_EVENTS, Job, Node
from calc.job.problems import Problem
from calc.job.words import plain, signed
from calc.judge.settings import settings_of
from calc.judge.unit import RATIO_PATH
from calc.measure.gum import resolution
from calc.measure.pool import Repeatability, mean, pooled
from calc.pump.cam import SECANT_RELATIVE_U, CamCurve
from calc.pump.doubt import gauge_difference
from calc.pump.measured import Measured, cam_slope, valve_ratio
from calc.working import Line

LAW, RANGE = "JCGM 100:2008, equation 10", "JCGM 100:2008, G.3"
_EVENTS = {event: EVENTS[event] for event in VALVE_EVENTS}
_SAME_LENGTH = "as many readings here as of the other gauge at this point: they are taken side by side. Enter them again."


@record
class ValveRatioInput(Node):
    """Two points near an event: plunger lift and valve reading of each, the rods untouched."""

    event: str = choice("event", _EVENTS, required=True)
    plunger_1_mm: tuple[float, ...] = like("readings.plunger_lift_mm", label="first point, plunger lift", required=True)
    valve_1_mm: tuple[float, ...] = like("readings.valve_lift_mm", label="first point, valve reading", required=True)
    plunger_2_mm: tuple[float, ...] = like("readings.plunger_lift_mm", label="second point, plunger lift", required=True)
    valve_2_mm: tuple[float, ...] = like("readings.valve_lift_mm", label="second point, valve reading", required=True)
    plunger_step_mm: float = like("instruments.plunger_gauge.step_mm", label="plunger gauge, step", required=True)
    plunger_limit_mm: float = like(
        "instruments.plunger_gauge.error_limit_mm", label="plunger gauge, error limit, ±", required=True
    )
    valve_step_mm: float = like("instruments.valve_gauge.step_mm", label="valve gauge, step", required=True)
    valve_limit_mm: float = like("instruments.valve_gauge.error_limit_mm", label="valve gauge, error limit, ±", required=True)
    stated_ratio: float | None = positive(
        "ratio to compare with", 10, serves=steps.SETTINGS, help="The valve ratio of the settings."
    )


@record
class ValveRatioResult:
    """The ratio, how well it is known, and whether it is the stated one."""

    ratio: float = outcome("valve movement per plunger movement", required=True)
    u_ratio: float = outcome("standard uncertainty", required=True, source=LAW)
    expanded: float = outcome("half-width of the 95 % range", required=True, source=RANGE)
    agrees: bool | None = flag("agrees with the stated ratio", omit=True)


@record
class CamSlopeInput(Node):
    """Two points near an event: plunger lift and crank angle of each, both reached turning ahead."""

    unit: int | None = like("readings.unit", required=False, help="With it and the event, the slope in use is compared.")
    event: str | None = choice("event", _EVENTS)
    plunger_1_mm: tuple[float, ...] = like("readings.plunger_lift_mm", label="first point, plunger lift", required=True)
    angle_1_deg: tuple[float, ...] = like("readings.crank_angle_deg", label="first point, crank angle", required=True)
    plunger_2_mm: tuple[float, ...] = like("readings.plunger_lift_mm", label="second point, plunger lift", required=True)
    angle_2_deg: tuple[float, ...] = like("readings.crank_angle_deg", label="second point, crank angle", required=True)
    plunger_step_mm: float = like("instruments.plunger_gauge.step_mm", label="plunger gauge, step", required=True)
    plunger_limit_mm: float = like(
        "instruments.plunger_gauge.error_limit_mm", label="plunger gauge, error limit, ±", required=True
    )
    scale_step_deg: float = like("instruments.angle_scale.step_deg", label="flywheel scale, step", required=True)
    stated_slope: float | None = positive(
        "slope to compare with", 100, unit="mm/°", serves=steps.SETTINGS, help="Of the lift table, or the secant's."
    )
    stated_within_percent: float | None = percent(
        "that slope is known to", serves=steps.SETTINGS, help="Relative standard uncertainty; 15 % for a secant."
    )


@record
class CamSlopeResult:
    """The slope, how well it is known, and whether it is the one in use."""

    slope: float = outcome("cam slope", unit="mm/°", required=True)
    u_slope: float = outcome("standard uncertainty", unit="mm/°", required=True, source=LAW)
    expanded: float = outcome("half-width of the 95 % range", unit="mm/°", required=True, source=RANGE)
    agrees: bool | None = flag("agrees with the slope in use", omit=True)


def _scatter(*groups: tuple[float, ...]) -> Repeatability:
    return pooled(groups, stated=0.0)


def _unequal(known: Known, first: str, second: str) -> Iterator[Problem]:
    """Points whose gauges were not read equally often."""
    for point, place in ((1, "First"), (2, "Second")):
        key = second.format(point)
        one, other = known.get(first.format(point)), known.get(key)
        if one is not None and other is not None and len(one) != len(other):
            words = f"{place} point: {len(other)} and {len(one)} readings found. Allowed: {_SAME_LENGTH}"
            yield problem(key, known.tree[key], words)


def _apart(first: tuple[float, ...], second: tuple[float, ...]) -> float:
    return mean(second) - mean(first)


def _between(known: Known, name: str) -> float | None:
    """How far the second point lies from the first; None where one of them cannot be read."""
    first, second = known.get(name.format(1)), known.get(name.format(2))
    return None if first is None or second is None else _apart(first, second)


def _no_repeats(found: Measured) -> Iterator[Notice]:
    if found.dof == inf:
        words = "Nothing was read twice, so the scatter of your readings is not in this doubt. Read each point again."
        yield beside("plunger_1_mm", words)


def _working(found: Measured, name: str, formula: str, top: float, bottom: float, unit: str) -> tuple[Line, ...]:
    """A quotient of two differences and its doubt by hand."""
    doubts = ", ".join(f"{term.name} {plain(term.u, 5)}" for term in found.terms if term.u)
    dof = "∞" if found.dof == inf else f"{found.dof:.0f}"
    return (
        Line(name, formula, f"{signed(top, 4)} / {signed(bottom, 4)}", f"{plain(found.value, 5)}{unit}"),
        Line(f"u({name})", "√ of the sum of squares", doubts, f"{plain(found.u, 5)}{unit}", LAW),
        Line("95 % range", "t · u", f"ν = {dof}", f"±{plain(found.half_width, 5)}{unit}", RANGE),
    )


def _ratio_rules(known: Known) -> Iterator[Problem]:
    found = list(_unequal(known, "plunger_{}_mm", "valve_{}_mm"))
    for point, place in ((1, "First"), (2, "Second")):
        key = f"valve_{point}_mm"
        readings = known.get(key)
        if readings is not None and min(readings) <= 0.0:
            words = f"{place} point, valve reading: at 0 or below the valve sits, and its distance is unknown. Take a point "
            found.append(problem(key, known.tree[key], f"{words}where it is open."))
    lift, moved = _between(known, "plunger_{}_mm"), _between(known, "valve_{}_mm")
    step, limit = known.get("plunger_step_mm"), known.get("plunger_limit_mm")
    if lift is not None and step is not None and limit is not None and abs(lift) <= 2.0 * gauge_difference(step, limit):
        words = "Second point, plunger lift: too close to the first one for a ratio. Take points further apart."
        found.append(problem("plunger_2_mm", known.tree["plunger_2_mm"], words))
    event = known.get("event")
    if not found and lift and moved is not None and event is not None:
        closes = event == SUCTION_CLOSING
        if moved == 0.0 or (moved / lift < 0.0) != closes:
            words = (
                f"Second point, valve reading: this valve {'closes' if closes else 'opens'} while the plunger rises, so with "
                f"more lift it must show {'less' if closes else 'more'}. Check which point is which."
            )
            found.append(problem("valve_2_mm", known.tree["valve_2_mm"], words))
    yield from found


def _ratio(given: ValveRatioInput) -> Answer:
    """The valve ratio from two points."""
    found = valve_ratio(
        (given.plunger_1_mm, given.plunger_2_mm),
        (given.valve_1_mm, given.valve_2_mm),
        gauge_difference(given.plunger_step_mm, given.plunger_limit_mm),
        gauge_difference(given.valve_step_mm, given.valve_limit_mm),
        _scatter(given.plunger_1_mm, given.plunger_2_mm),
        _scatter(given.valve_1_mm, given.valve_2_mm),
    )
    said = [note("valve_2_mm", f"Valve ratio {plain(found.value, 3)} ±{plain(found.half_width, 3)} (95 %).")]
    agrees = None
    if given.stated_ratio is not None:
        agrees = found.agrees_with(given.stated_ratio)
        said.append(_ratio_words(found, given.stated_ratio, agrees))
    said += _no_repeats(found)
    moved = _apart(given.valve_1_mm, given.valve_2_mm)
    lift = _apart(given.plunger_1_mm, given.plunger_2_mm)
    return Answer(
        ValveRatioResult(ratio=found.value, u_ratio=found.u, expanded=found.half_width, agrees=agrees),
        tuple(said),
        _working(found, "valve ratio", "|change of the valve gauge / change of the plunger gauge|", moved, lift, ""),
    )


def _ratio_words(found: Measured, stated: float, agrees: bool) -> Notice:
    if agrees:
        return note("stated_ratio", f"It agrees with the stated {plain(stated, 3)}. Leave that as it is.")
    turned = found.agrees_with(1.0 / stated)
    hint = " It is the stated one upside down: plunger over valve." if turned else ""
    return note(
        "stated_ratio",
        f"It does not agree with the stated {plain(stated, 3)}.{hint} Measure again at two other points. If it stays so, enter "
        f"{plain(found.value, 3)} and write down where it comes from.",
    )


def _slope_rules(known: Known) -> Iterator[Problem]:
    yield from _unequal(known, "plunger_{}_mm", "angle_{}_deg")
    lift, turn, step = _between(known, "plunger_{}_mm"), _between(known, "angle_{}_deg"), known.get("scale_step_deg")
    if turn is None or step is None:
        return
    if abs(turn) <= 2.0 * 2.0**0.5 * resolution(step):
        words = "Second point, crank angle: too close to the first one for a slope. Take points further apart."
        yield problem("angle_2_deg", known.tree["angle_2_deg"], words)
    elif lift is not None and lift * turn <= 0.0:
        words = (
            "Second point, plunger lift: on the rising side the plunger is higher at the later angle. Check which point is "
            "which, and before or after TDC."
        )
        yield problem("plunger_2_mm", known.tree["plunger_2_mm"], words)


def _slope(given: CamSlopeInput) -> Answer:
    """The cam slope from two points."""
    found = cam_slope(
        (given.plunger_1_mm, given.plunger_2_mm),
        (given.angle_1_deg, given.angle_2_deg),
        gauge_difference(given.plunger_step_mm, given.plunger_limit_mm),
        resolution(given.scale_step_deg),
        _scatter(given.plunger_1_mm, given.plunger_2_mm),
        _scatter(given.angle_1_deg, given.angle_2_deg),
    )
    measured = f"Cam slope {plain(found.value, 3)} ±{plain(found.half_width, 3)} mm/° (95 %)"
    said = [note("plunger_2_mm", f"{measured}, as a mean between the two points.")]
    agrees = None
    if given.stated_slope is not None:
        doubt = given.stated_slope * (given.stated_within_percent or 0.0) / 100.0
        agrees = found.agrees_with(given.stated_slope, doubt)
        stated = f"the slope in use, {plain(given.stated_slope, 3)} mm/°" + (f" (u {plain(doubt, 3)})" if doubt else "")
        words = (
            f"It agrees with {stated}."
            if agrees
            else f"It does not agree with {stated}. Read both points again, ahead only. If it stays so, the lift table or the "
            "reference settings do not belong to this cam, or the cam is worn."
        )
        said.append(note("stated_slope", words))
        if doubt > found.u:
            words = "What you have measured is known better than the slope in use: a lift table helps."
            said.append(beside("stated_within_percent", words))
    said += _no_repeats(found)
    lift = _apart(given.plunger_1_mm, given.plunger_2_mm)
    turn = _apart(given.angle_1_deg, given.angle_2_deg)
    return Answer(
        CamSlopeResult(slope=found.value, u_slope=found.u, expanded=found.half_width, agrees=agrees),
        tuple(said),
        _working(found, "cam slope", "change of the lift / change of the angle", lift, turn, " mm/°"),
    )


def _ratio_from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
    """The job's gauges and the event's ratio."""
    path = RATIO_PATH.get(str(typed.get("event")))
    return {**gauges_of(job, "plunger", "valve"), "stated_ratio": value_at(job, path) if path else None}


def _slope_from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
    """The job's plunger gauge and scale; the slope in use: of the lift table between the two lifts, else the unit's secant."""
    known = {**gauges_of(job, "plunger"), "scale_step_deg": value_at(job, "instruments.angle_scale.step_deg")}
    unit, event = settings_of(job).units.get(typed.get("unit") or 0), typed.get("event")
    lifts = [mean(typed[name]) for name in ("plunger_1_mm", "plunger_2_mm") if typed.get(name)]
    if unit is None or event not in unit.flank:
        return known
    flank = unit.flank[event]
    if flank.curve is None:
        return {**known, "stated_slope": round(flank.slope, 5), "stated_within_percent": 100.0 * SECANT_RELATIVE_U}
    slope = _chord(flank.curve, lifts) or flank.slope
    return {**known, "stated_slope": round(slope, 5), "stated_within_percent": None}


def _chord(curve: CamCurve, lifts: list[float]) -> float | None:
    """The table's mean slope between two lifts [mm/deg]; None where it does not reach both."""
    if len(lifts) < 2 or lifts[0] == lifts[1] or not all(curve.lowest_mm <= lift <= curve.highest_mm for lift in lifts):
        return None
    return (lifts[1] - lifts[0]) / (curve.angle_at(lifts[1]) - curve.angle_at(lifts[0]))


VALVE_RATIO = Calculation(
    name="valve_ratio",
    title="Valve ratio from two points",
    what="valve movement per plunger movement, measured at two points",
    say="Read plunger and valve gauge at two points near the event, the valve open at both, the rods untouched.",
    given=ValveRatioInput,
    result=ValveRatioResult,
    compute=_ratio,
    rules=_ratio_rules,
    example={
        "event": SUCTION_CLOSING,
        "plunger_1_mm": [12.00, 12.01],
        "valve_1_mm": [0.03, 0.03],
        "plunger_2_mm": [11.00, 11.00],
        "valve_2_mm": [0.83, 0.84],
        "plunger_step_mm": 0.01,
        "plunger_limit_mm": 0.012,
        "valve_step_mm": 0.01,
        "valve_limit_mm": 0.004,
        "stated_ratio": 0.8,
    },
    source=f"{LAW} and G.3",
    page="calculate/push-rod.html#valve_ratio",
    step=steps.CORRECTION,
    from_job=_ratio_from_job,
)

CAM_SLOPE = Calculation(
    name="cam_slope",
    title="Cam slope from two points",
    what="slope of the cam between two points, against the slope in use",
    say="Read plunger lift and crank angle at two points near the event, turning ahead only.",
    given=CamSlopeInput,
    result=CamSlopeResult,
    compute=_slope,
    rules=_slope_rules,
    example={
        "plunger_1_mm": [9.00, 9.01],
        "angle_1_deg": [-20.00, -20.05],
        "plunger_2_mm": [10.50, 10.51],
        "angle_2_deg": [-19.00, -19.00],
        "plunger_step_mm": 0.01,
        "plunger_limit_mm": 0.012,
        "scale_step_deg": 0.05,
        "stated_slope": 1.5,
        "stated_within_percent": 15,
    },
    source=f"{LAW} and G.3",
    page="calculate/cam.html#cam_slope",
    step=steps.CORRECTION,
    from_job=_slope_from_job,
    beside_job=("unit", "event"),
)
