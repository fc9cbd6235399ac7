"""Valve ratio and cam slope, each measured from two points near an event."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from calc.findings import Findings
from calc.job.describe import choice, flag, number, record
from calc.job.model import EVENTS, SUCTION_CLOSING, VALVE_EVENTS, Job
from calc.job.words import plain
from calc.judge.settings import settings_of
from calc.judge.unit import RATIO_PATH
from calc.measure.gum import resolution
from calc.measure.pool import Repeatability, mean, pooled
from calc.pump.cam import SECANT_RELATIVE_U, CamCurve
from calc.pump.doubt import gauge_difference
from calc.pump.measured import Measured, cam_slope, valve_ratio
from calc.side.calculation import NOTICE, SETTINGS, Answer, Calculation, Say, gauges_of, like, value_at

_EVENTS = {event: EVENTS[event] for event in VALVE_EVENTS}
_SAME_LENGTH = "as many readings here as of the other gauge at this point: they are taken side by side. Enter them again."


@record
class ValveRatioInput:
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
    stated_ratio: float | None = number(
        "ratio to compare with", low=0, low_open=True, high=10, serves=SETTINGS, help="The valve ratio of the settings."
    )


@record
class ValveRatioResult:
    """The ratio, how well it is known, and whether it is the stated one."""

    ratio: float = number("valve movement per plunger movement", required=True)
    u_ratio: float = number("standard uncertainty", required=True, source="JCGM 100:2008, equation 10")
    expanded: float = number("half-width of the 95 % range", required=True, source="JCGM 100:2008, G.3")
    agrees: bool | None = flag("agrees with the stated ratio")


@record
class CamSlopeInput:
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
    stated_slope: float | None = number(
        "slope to compare with",
        unit="mm/°",
        low=0,
        low_open=True,
        high=100,
        serves=SETTINGS,
        help="Of the lift table, or the secant's.",
    )
    stated_within_percent: float | None = number(
        "that slope is known to",
        unit="%",
        low=0,
        high=100,
        serves=SETTINGS,
        help="Relative standard uncertainty; 15 % for a secant.",
    )


@record
class CamSlopeResult:
    """The slope, how well it is known, and whether it is the one in use."""

    slope: float = number("cam slope", unit="mm/°", required=True)
    u_slope: float = number("standard uncertainty", unit="mm/°", required=True, source="JCGM 100:2008, equation 10")
    expanded: float = number("half-width of the 95 % range", unit="mm/°", required=True, source="JCGM 100:2008, G.3")
    agrees: bool | None = flag("agrees with the slope in use")


def _scatter(*groups: tuple[float, ...]) -> Repeatability:
    return pooled(groups, stated=0.0)


def _unequal(given: Any, first: str, second: str) -> dict[str, str]:
    """Points whose gauges were not read equally often."""
    wrong = {}
    for point in (1, 2):
        names = [f"{name}_{point}_{unit}" for name, unit in (first.split(" "), second.split(" "))]
        one, other = (getattr(given, name) for name in names)
        if len(one) != len(other):
            place = "First" if point == 1 else "Second"
            wrong[names[1]] = f"{place} point: {len(other)} and {len(one)} readings found. Allowed: {_SAME_LENGTH}"
    return wrong


def _no_repeats(found: Measured) -> tuple[Say, ...]:
    if found.dof != float("inf"):
        return ()
    return (
        Say("Nothing was read twice, so the scatter of your readings is not in this doubt. Read each point again.", NOTICE),
    )


def run_ratio(given: ValveRatioInput) -> Answer:
    """The valve ratio from two points."""
    wrong = _unequal(given, "plunger mm", "valve mm")
    for point in (1, 2):
        if min(getattr(given, f"valve_{point}_mm")) <= 0.0:
            wrong[f"valve_{point}_mm"] = (
                f"{'First' if point == 1 else 'Second'} point, valve reading: at 0 or below the valve sits, and its "
                "distance is unknown. Take a point where it is open."
            )
    lift = mean(given.plunger_2_mm) - mean(given.plunger_1_mm)
    moved = mean(given.valve_2_mm) - mean(given.valve_1_mm)
    u_plunger = gauge_difference(given.plunger_step_mm, given.plunger_limit_mm)
    if abs(lift) <= 2.0 * u_plunger:
        wrong["plunger_2_mm"] = "Second point, plunger lift: too close to the first one for a ratio. Take points further apart."
    if wrong:
        return Answer(None, wrong=wrong)
    closes = given.event == SUCTION_CLOSING
    if moved == 0.0 or (moved / lift < 0.0) != closes:
        way = "closes" if closes else "opens"
        return Answer(
            None,
            wrong={
                "valve_2_mm": f"Second point, valve reading: this valve {way} while the plunger rises, so with more lift it "
                f"must show {'less' if closes else 'more'}. Check which point is which."
            },
        )
    found = valve_ratio(
        (given.plunger_1_mm, given.plunger_2_mm),
        (given.valve_1_mm, given.valve_2_mm),
        u_plunger,
        gauge_difference(given.valve_step_mm, given.valve_limit_mm),
        _scatter(given.plunger_1_mm, given.plunger_2_mm),
        _scatter(given.valve_1_mm, given.valve_2_mm),
    )
    said = [Say(f"Valve ratio {plain(found.value, 3)} ±{plain(found.half_width, 3)} (95 %).")]
    agrees = None
    if given.stated_ratio is not None:
        agrees = found.agrees_with(given.stated_ratio)
        said.append(_ratio_words(found, given.stated_ratio, agrees))
    said += _no_repeats(found)
    return Answer(ValveRatioResult(ratio=found.value, u_ratio=found.u, expanded=found.half_width, agrees=agrees), tuple(said))


def _ratio_words(found: Measured, stated: float, agrees: bool) -> Say:
    if agrees:
        return Say(f"It agrees with the stated {plain(stated, 3)}. Leave that as it is.")
    turned = found.agrees_with(1.0 / stated)
    hint = " It is the stated one upside down: plunger over valve." if turned else ""
    return Say(
        f"It does not agree with the stated {plain(stated, 3)}.{hint} Measure again at two other points. If it stays so, enter "
        f"{plain(found.value, 3)} and write down where it comes from."
    )


def run_slope(given: CamSlopeInput) -> Answer:
    """The cam slope from two points."""
    wrong = _unequal(given, "plunger mm", "angle deg")
    lift = mean(given.plunger_2_mm) - mean(given.plunger_1_mm)
    turn = mean(given.angle_2_deg) - mean(given.angle_1_deg)
    u_scale = resolution(given.scale_step_deg)
    if abs(turn) <= 2.0 * 2.0**0.5 * u_scale:
        wrong["angle_2_deg"] = "Second point, crank angle: too close to the first one for a slope. Take points further apart."
    elif lift * turn <= 0.0:
        wrong["plunger_2_mm"] = (
            "Second point, plunger lift: on the rising side the plunger is higher at the later angle. Check which point is "
            "which, and before or after TDC."
        )
    if wrong:
        return Answer(None, wrong=wrong)
    found = cam_slope(
        (given.plunger_1_mm, given.plunger_2_mm),
        (given.angle_1_deg, given.angle_2_deg),
        gauge_difference(given.plunger_step_mm, given.plunger_limit_mm),
        u_scale,
        _scatter(given.plunger_1_mm, given.plunger_2_mm),
        _scatter(given.angle_1_deg, given.angle_2_deg),
    )
    said = [
        Say(f"Cam slope {plain(found.value, 3)} ±{plain(found.half_width, 3)} mm/° (95 %), as a mean between the two points.")
    ]
    agrees = None
    if given.stated_slope is not None:
        doubt = given.stated_slope * (given.stated_within_percent or 0.0) / 100.0
        agrees = found.agrees_with(given.stated_slope, doubt)
        stated = f"the slope in use, {plain(given.stated_slope, 3)} mm/°" + (f" (u {plain(doubt, 3)})" if doubt else "")
        said.append(
            Say(f"It agrees with {stated}.")
            if agrees
            else Say(
                f"It does not agree with {stated}. Read both points again, ahead only. If it stays so, the lift table or the "
                "reference settings do not belong to this cam, or the cam is worn."
            )
        )
        if doubt > found.u:
            said.append(Say("What you have measured is known better than the slope in use: a lift table helps.", NOTICE))
    said += _no_repeats(found)
    return Answer(CamSlopeResult(slope=found.value, u_slope=found.u, expanded=found.half_width, agrees=agrees), tuple(said))


def ratio_from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
    """The job's gauges and the event's ratio."""
    path = RATIO_PATH.get(str(typed.get("event")))
    return {**gauges_of(job, "plunger", "valve"), "stated_ratio": value_at(job, path) if path else None}


def slope_from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
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
    what="Read plunger and valve gauge at two points near the event, the valve open at both, the rods untouched.",
    inputs=ValveRatioInput,
    run=run_ratio,
    from_job=ratio_from_job,
)

CAM_SLOPE = Calculation(
    name="cam_slope",
    title="Cam slope from two points",
    what="Read plunger lift and crank angle at two points near the event, turning ahead only.",
    inputs=CamSlopeInput,
    run=run_slope,
    from_job=slope_from_job,
)
