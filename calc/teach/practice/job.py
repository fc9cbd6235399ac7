"""The practice engine's record and the readings in the notebook as a job file."""

from __future__ import annotations

from typing import Any

from calc.teach.practice.engine import (
    ANGLE_SCATTER_DEG,
    DIAL_TURN_MM,
    EVENTS,
    GAUGE_STEP_MM,
    LIFT_SCATTER_MM,
    SCALE_STEP_DEG,
    SPILL,
    SUCTION,
    Engine,
)
from calc.teach.practice.rig import AS_FOUND, ASTERN, CONTACT, ZERO_INDEX, Entry, Rig

Tree = dict[str, Any]


def job_tree(rig: Rig) -> Tree:
    """The job as its file holds it."""
    return {**record_tree(rig.engine), "readings": _readings(rig)}


def record_tree(engine: Engine) -> Tree:
    """What the engine's papers say."""
    law = engine.law
    return {
        "format": "spillmark-job",
        "version": 1,
        "title": f"Practice engine no. {engine.number}, level {engine.level}",
        "vessel": "Practice: invented numbers",
        "engine": {
            "units": engine.units,
            "firing_order": list(engine.firing_order),
            "tdc_deg": [round(engine.tdc_deg(unit), 3) for unit in engine.settings],
            "valve_ratio_suction": engine.ratio[SUCTION],
            "valve_ratio_spill": engine.ratio[SPILL],
            "rod_pitch_mm": engine.pitch_mm,
            "rod_thread": "left_right" if engine.left_right else "single",
            "rod_lengthening_opens": True,
            "cam_lift_table": law.table(2.0),
            "cam_peak_deg": law.peak_deg,
            "base_circle_from_deg": law.back_deg + 2.0,
            "base_circle_to_deg": law.foot_deg - 2.0,
        },
        "reference": {
            "fuel_index": engine.index,
            "fuel_index_u": 0.0,
            "angle_tolerance_deg": engine.tolerance_deg,
            "seat_contact_mm": engine.seat_mm,
            "zero_index_opening_min_mm": engine.opening_min_mm,
            "units": [
                {
                    "unit": unit,
                    "pre_stroke_mm": settings.lift_mm[SUCTION],
                    "beginning_deg": settings.angle_deg[SUCTION],
                    "spill_lift_mm": settings.lift_mm[SPILL],
                    "end_deg": settings.angle_deg[SPILL],
                    "peak_lift_mm": law.peak_mm,
                }
                for unit, settings in engine.settings.items()
            ],
        },
        "instruments": {
            "plunger_gauge": {
                "step_mm": GAUGE_STEP_MM,
                "error_limit_mm": engine.plunger_error_mm,
                "repeatability_mm": 1.5 * LIFT_SCATTER_MM,
                "mm_per_turn": DIAL_TURN_MM,
            },
            "valve_gauge": {
                "step_mm": GAUGE_STEP_MM,
                "error_limit_mm": engine.valve_error_mm,
                "repeatability_mm": LIFT_SCATTER_MM,
            },
            "angle_scale": {"step_deg": SCALE_STEP_DEG, "repeatability_deg": ANGLE_SCATTER_DEG},
            "pointer_u_deg": engine.pointer_u_deg,
        },
    }


def entries_that_count(rig: Rig) -> list[Entry]:
    """The lines of the notebook that stand: not struck out, not overtaken by a correction or by the cadet's own reading."""
    found: dict[tuple[int, str, str, str], list[Entry]] = {}
    for entry in rig.notebook:
        if entry.struck or (entry.stage != AS_FOUND and entry.epoch != rig.epoch[entry.unit]):
            continue
        group = found.setdefault((entry.unit, entry.stage, entry.event, entry.reached), [])
        # Repeats are of one hand and one method.
        if group and (group[-1].other_watch, group[-1].method) != (entry.other_watch, entry.method):
            group.clear()
        group.append(entry)
    return [entry for group in found.values() for entry in group]


def _readings(rig: Rig) -> list[Tree]:
    lists: dict[tuple[int, str, str, str], Tree] = {}
    for entry in entries_that_count(rig):
        key = (entry.unit, entry.stage, entry.event, entry.reached)
        reading = lists.get(key)
        if reading is None:
            reading = lists[key] = {"unit": entry.unit, "stage": entry.stage, "event": entry.event}
            if entry.event in EVENTS:
                reading["method"] = entry.method
                if entry.reached == ASTERN:
                    reading["reached"] = ASTERN
        if entry.event == ZERO_INDEX or (entry.event in EVENTS and entry.method != CONTACT):
            reading.setdefault("valve_lift_mm", []).append(entry.valve_mm)
        else:
            reading.setdefault("plunger_lift_mm", []).append(entry.plunger_mm)
        if entry.event in EVENTS:
            reading.setdefault("crank_angle_deg", []).append(entry.angle_deg)
    return list(lists.values())
