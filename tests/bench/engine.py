"""An invented engine with twelve units, big enough to be worth timing."""

import json
import math
import random
from typing import Any

UNITS = 12
_PEAK_MM, _FOOT_DEG, _PEAK_DEG = 47.0, -44.0, 27.0
_RATIO = 0.7


def twelve_unit_job() -> str:
    """A job file: lift table, both events read three times as found and as left, and cut-outs.

    Some units have a rod or a cam out of place, one disagrees with itself, so that causes,
    corrections and suspicions are all computed. The same text every time.
    """
    chance = random.Random(12)
    settings = [_settings(unit) for unit in range(1, UNITS + 1)]
    readings: list[dict[str, Any]] = []
    for stage in ("as_found", "as_left"):
        for one in settings:
            readings += _readings(one, stage, chance)
    job = {
        "format": "spillmark-job",
        "version": 1,
        "title": "Invented engine for timing the calculation",
        "date": "2026-01-01",
        "engine": {
            "units": UNITS,
            "firing_order": [1, 8, 12, 4, 2, 9, 10, 5, 3, 7, 11, 6],
            "speed_rpm": 88.0,
            "plunger_diameter_mm": 51.0,
            "valve_ratio_suction": _RATIO,
            "valve_ratio_spill": _RATIO,
            "rod_pitch_mm": 1.25,
            "rod_thread": "single",
            "rod_lengthening_opens": True,
            "cam_lift_table": [[angle, round(_lift(angle), 3)] for angle in (_FOOT_DEG + 2.5 * step for step in range(29))],
            "cam_peak_deg": _PEAK_DEG,
        },
        "reference": {
            "fuel_index": 6.2,
            "fuel_index_u": 0.01,
            "angle_tolerance_deg": 0.45,
            "seat_contact_mm": 0.04,
            "zero_index_opening_min_mm": 0.7,
            "units": settings,
        },
        "instruments": {
            "plunger_gauge": {"step_mm": 0.01, "error_limit_mm": 0.012, "repeatability_mm": 0.01},
            "valve_gauge": {"step_mm": 0.01, "error_limit_mm": 0.005, "repeatability_mm": 0.005},
            "angle_scale": {"step_deg": 0.1, "repeatability_deg": 0.06},
            "pointer_u_deg": 0.06,
        },
        "fuel": {"density_15_kg_m3": 951.0, "temperature_c": 112.0},
        "readings": readings,
    }
    return json.dumps(job)


def _lift(angle_deg: float) -> float:
    turn = (angle_deg - _FOOT_DEG) / (_PEAK_DEG - _FOOT_DEG)
    return _PEAK_MM * (1 - math.cos(math.pi * min(turn, 1.0))) / 2


def _angle(lift_mm: float) -> float:
    turn = math.acos(1 - 2 * lift_mm / _PEAK_MM) / math.pi
    return _FOOT_DEG + turn * (_PEAK_DEG - _FOOT_DEG)


def _settings(unit: int) -> dict[str, Any]:
    pre_stroke, spill_lift = 9.0 + 0.1 * (unit % 3), 29.0 + 0.1 * (unit % 4)
    return {
        "unit": unit,
        "pre_stroke_mm": pre_stroke,
        "beginning_deg": round(_angle(pre_stroke), 2),
        "spill_lift_mm": spill_lift,
        "end_deg": round(_angle(spill_lift), 2),
    }


def _readings(settings: dict[str, Any], stage: str, chance: random.Random) -> list[dict[str, Any]]:
    unit = settings["unit"]
    left = stage == "as_left"
    rod_mm = 0.0 if left else {3: 0.45, 7: -0.5}.get(unit, 0.0)
    cam_deg = {5: 0.6}.get(unit, 0.05)
    slip_deg = 0.0 if left else {9: 1.0}.get(unit, 0.0)
    readings = []
    for event, lift, off_deg in (
        ("suction_closing", settings["pre_stroke_mm"] + rod_mm, cam_deg + slip_deg),
        ("spill_opening", settings["spill_lift_mm"], cam_deg),
    ):
        angle = _angle(lift) + off_deg
        readings.append(
            {
                "unit": unit,
                "stage": stage,
                "event": event,
                "method": "at_contact",
                "plunger_lift_mm": [round(lift + chance.gauss(0, 0.01), 2) for _ in range(3)],
                "crank_angle_deg": [round(angle + chance.gauss(0, 0.06), 1) for _ in range(3)],
            }
        )
    opening = round(0.95 + chance.gauss(0, 0.02), 2)
    readings.append({"unit": unit, "stage": stage, "event": "zero_index", "valve_lift_mm": [opening]})
    return readings
