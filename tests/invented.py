"""One invented engine for the tests of `calc`. No ship has it, and its numbers are none that the trade is used to."""

import copy
import json
from collections.abc import Callable, Sequence
from typing import Any

from calc import assess, read_job
from calc.findings import Findings, UnitFindings
from calc.job.model import AS_FOUND, SPILL_OPENING, SUCTION_CLOSING
from tests.pump.forward import Cycloid

Tree = dict[str, Any]
SUCTION, SPILL = SUCTION_CLOSING, SPILL_OPENING

CAM = Cycloid(peak_mm=44.0, span_deg=96.0, foot_deg=-57.0)
UNITS = 5
RATIO = {SUCTION: 0.625, SPILL: 1.125}
TOLERANCE, SEAT = 0.5, 0.0625
LIFT = {SUCTION: 9.5, SPILL: 27.25}
# The angles are round, so that deviations typed in round numbers are exact; the table belongs to the same cam.
ANGLE = {SUCTION: -19.5, SPILL: 1.0}
SLOPE = (LIFT[SPILL] - LIFT[SUCTION]) / (ANGLE[SPILL] - ANGLE[SUCTION])
KEYS = {SUCTION: ("pre_stroke_mm", "beginning_deg"), SPILL: ("spill_lift_mm", "end_deg")}


def engine_job(*, units: int = UNITS, readings: Sequence[Tree] = (), change: Callable[[Tree], object] | None = None) -> Tree:
    """The engine's job file as a tree: settings for every unit, fine instruments, and the readings that are given.

    `change` alters the tree in place.
    """
    tree: Tree = {
        "format": "spillmark-job",
        "version": 1,
        "title": "Invented engine",
        "vessel": "Invented ship",
        "date": "2026-02-03",
        "running_hours": 12345.5,
        "engine": {
            "units": units,
            "firing_order": [*range(1, units + 1, 2), *range(2, units + 1, 2)],
            "tdc_deg": [round(360.0 * unit / units, 3) for unit in range(units)],
            "speed_rpm": 131.0,
            "plunger_diameter_mm": 47.0,
            "valve_ratio_suction": RATIO[SUCTION],
            "valve_ratio_spill": RATIO[SPILL],
            "rod_pitch_mm": 1.75,
            "rod_thread": "single",
            "rod_lengthening_opens": True,
        },
        "reference": {
            "fuel_index": 63.0,
            "fuel_index_u": 0.0,
            "angle_tolerance_deg": TOLERANCE,
            "seat_contact_mm": SEAT,
            "zero_index_opening_min_mm": 1.25,
            "lift_off_clearance_min_mm": 2.25,
            "units": [
                {
                    "unit": unit,
                    "pre_stroke_mm": LIFT[SUCTION],
                    "beginning_deg": ANGLE[SUCTION],
                    "spill_lift_mm": LIFT[SPILL],
                    "end_deg": ANGLE[SPILL],
                }
                for unit in range(1, units + 1)
            ],
        },
        "instruments": {
            "plunger_gauge": {"step_mm": 0.005, "error_limit_mm": 0.008, "repeatability_mm": 0.003},
            "valve_gauge": {"step_mm": 0.002, "error_limit_mm": 0.003, "repeatability_mm": 0.002},
            "angle_scale": {"step_deg": 0.05, "repeatability_deg": 0.02},
            "pointer_u_deg": 0.03,
        },
        "fuel": {"density_15_kg_m3": 958.0, "temperature_c": 88.0},
    }
    if readings:
        tree["readings"] = copy.deepcopy(list(readings))
    if change is not None:
        change(tree)
    return tree


def with_table(tree: Tree, step_deg: float = 1.0) -> Tree:
    """The same job with the cam's lift table, in phase with nothing: only its shape counts."""
    tree["engine"]["cam_lift_table"] = [[angle, lift] for angle, lift in CAM.table(step_deg)]
    return tree


def contact(
    unit: int,
    event: str,
    lift_off: float | Sequence[float] = 0.0,
    angle_off: float | Sequence[float] = 0.0,
    stage: str = AS_FOUND,
    **more: Any,
) -> Tree:
    """A reading at contact, given as distances from the reference; a single one goes with each repeat of the other."""
    lifts, angles = _pairs(lift_off, angle_off)
    return {
        "unit": unit,
        "stage": stage,
        "event": event,
        "method": "at_contact",
        "plunger_lift_mm": [LIFT[event] + off for off in lifts],
        "crank_angle_deg": [ANGLE[event] + off for off in angles],
        **more,
    }


def at_lift(
    unit: int,
    event: str,
    valve_off: float | Sequence[float] = 0.0,
    angle_off: float | Sequence[float] = 0.0,
    stage: str = AS_FOUND,
    **more: Any,
) -> Tree:
    """A reading at reference lift: the valve gauge from the seat-contact reading, the angle from the reference."""
    valves, angles = _pairs(valve_off, angle_off)
    return {
        "unit": unit,
        "stage": stage,
        "event": event,
        "method": "at_reference_lift",
        "valve_lift_mm": [SEAT + off for off in valves],
        "crank_angle_deg": [ANGLE[event] + off for off in angles],
        **more,
    }


def opening(unit: int, valve: float | Sequence[float], stage: str = AS_FOUND, **more: Any) -> Tree:
    """A zero-index opening."""
    return {"unit": unit, "stage": stage, "event": "zero_index", "valve_lift_mm": _many(valve), **more}


def clearance(unit: int, gap: float | Sequence[float], stage: str = AS_FOUND, **more: Any) -> Tree:
    """A lift-off clearance."""
    return {"unit": unit, "stage": stage, "event": "lift_off", "clearance_mm": _many(gap), **more}


def plunger_reading(unit: int, event: str, lift: float | Sequence[float], stage: str = AS_FOUND) -> Tree:
    """A return to zero, or a peak lift."""
    return {"unit": unit, "stage": stage, "event": event, "plunger_lift_mm": _many(lift)}


def _many(value: float | Sequence[float]) -> list[float]:
    return [value] if isinstance(value, (int, float)) else list(value)


def _pairs(one: float | Sequence[float], other: float | Sequence[float]) -> tuple[list[float], list[float]]:
    first, second = _many(one), _many(other)
    count = max(len(first), len(second))
    return (first * count if len(first) == 1 else first), (second * count if len(second) == 1 else second)


def both(unit: int, lift_off: float = 0.0, angle_off: float = 0.0, stage: str = AS_FOUND) -> list[Tree]:
    """Both events of a unit at contact, off by the same."""
    return [contact(unit, event, lift_off, angle_off, stage) for event in (SUCTION, SPILL)]


def rod_error(unit: int, event: str, lift_off: float, stage: str = AS_FOUND, **more: Any) -> Tree:
    """A reading at contact of an event whose rod is off: lift and angle move together along the secant."""
    return contact(unit, event, lift_off, lift_off / SLOPE, stage, **more)


def judged(tree: Tree) -> Findings:
    """The findings of a tree, by way of its file."""
    return assess(read_job(json.dumps(tree)))


def entry(findings: Findings, unit: int, stage: str = AS_FOUND) -> UnitFindings:
    """One unit in one stage."""
    return next(each for each in findings.units if (each.unit, each.stage) == (unit, stage))


def absent(*values: object) -> bool:
    """Whether none of them is there."""
    return all(value is None for value in values)


def codes(findings: Findings) -> set[str]:
    """The codes of all notices."""
    return {notice.code for notice in findings.notices}


def notice(findings: Findings, code: str) -> Any:
    """The one notice with a code."""
    found = [each for each in findings.notices if each.code == code]
    assert len(found) == 1, f"{len(found)} notices with the code {code}: {[each.text for each in found]}"
    return found[0]
