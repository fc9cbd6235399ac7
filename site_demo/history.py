"""The demo's past checks: write them anew with `python -m site_demo.history`. Ship, engine and numbers are invented.

Same engine and settings as the demo's jobs. The spill rod of unit 6 drifts earlier throughout and is corrected once; the
cam of unit 4 is turned once; nothing else moves, it only scatters. The same files every time; a test holds them to that.
"""

import json
import sys
from pathlib import Path
from random import Random
from typing import Any

from calc.job.write import file_text
from calc.pump.cam import CamCurve

FOLDER = Path(__file__).with_name("history")
_MODEL = Path(__file__).with_name("jobs") / "2-all-within.json"
# Date and running hours of each check; the demo's main job follows 7500 h after the last.
_CHECKS = (
    ("2021-12-06", 1480),
    ("2022-06-01", 4310),
    ("2022-11-10", 6950),
    ("2023-05-09", 9820),
    ("2023-10-28", 12640),
    ("2024-05-02", 15720),
    ("2024-10-03", 18210),
    ("2025-03-11", 20960),
)
_DRIFT_DEG_PER_H = -0.027e-3
_DRIFTS, _CAM = 6, 4  # Units.
_CAM_TURNED, _ROD_TURNED = 6950, 12640  # At these hours.
_CAM_DEG, _FLATS = -0.35, -2.5
# One whose scatter looks like no drift in any other event, as most do.
_SEED = 7


def texts() -> dict[str, str]:
    """Every past check: file name and text."""
    model = json.loads(_MODEL.read_text(encoding="utf-8"))
    chance = Random(_SEED)
    return {f"{date}-at-{hours}-h.json": file_text(_job(model, date, hours, chance)) for date, hours in _CHECKS}


def _job(model: dict[str, Any], date: str, hours: int, chance: Random) -> dict[str, Any]:
    job = {
        "format": "spillmark-job",
        "version": 1,
        "title": f"Demo: past check at {hours} h",
        "vessel": model["vessel"],
        "date": date,
        "running_hours": hours,
        "demo": True,
        "engine": model["engine"],
        "reference": model["reference"],
        "instruments": model["instruments"],
        "fuel": model["fuel"],
        "readings": _readings(model, hours, "as_found", chance),
    }
    if hours == _CAM_TURNED:
        job["adjustments"] = [{"unit": _CAM, "part": "cam", "cam_turned_deg": _CAM_DEG, "locked": True}]
    if hours == _ROD_TURNED:
        job["adjustments"] = [{"unit": _DRIFTS, "part": "spill_rod", "flats_turned": _FLATS, "locked": True}]
    if "adjustments" in job:
        job["readings"] += _readings(model, hours, "as_left", chance, only=job["adjustments"][0]["unit"])
    return job


def _readings(model: dict[str, Any], hours: int, stage: str, chance: Random, only: int | None = None) -> list[dict[str, Any]]:
    """Start and end of the units, read twice at contact."""
    engine = model["engine"]
    cam = CamCurve.from_table([(angle, lift) for angle, lift in engine["cam_lift_table"]])
    step_deg = model["instruments"]["angle_scale"]["step_deg"]
    readings = []
    for settings in model["reference"]["units"]:
        unit = settings["unit"]
        if only not in (None, unit):
            continue
        turned = hours > _CAM_TURNED or (hours == _CAM_TURNED and stage == "as_left")
        cam_deg = 0.0 if unit != _CAM else 0.36 + (_CAM_DEG if turned else 0.0)
        for event, lift, angle in (
            ("suction_closing", settings["pre_stroke_mm"], settings["beginning_deg"]),
            ("spill_opening", settings["spill_lift_mm"], settings["end_deg"]),
        ):
            rod_deg = 0.0
            if unit == _DRIFTS and event == "spill_opening":
                rod_deg = -0.10 + _DRIFT_DEG_PER_H * hours
                if hours > _ROD_TURNED or (hours == _ROD_TURNED and stage == "as_left"):
                    moved_mm = -_FLATS * engine["rod_pitch_mm"] / 6.0 / engine["valve_ratio_spill"]
                    rod_deg += moved_mm / cam.slope_at(lift)
            # Each check seats the valves a little differently, so its own repeats do not show all of the scatter.
            rod_mm = rod_deg * cam.slope_at(lift) + chance.gauss(0.0, 0.025)
            event_deg = angle + rod_mm / cam.slope_at(lift) + cam_deg
            readings.append(
                {
                    "unit": unit,
                    "stage": stage,
                    "event": event,
                    "method": "at_contact",
                    "plunger_lift_mm": [round(lift + rod_mm + chance.gauss(0.0, 0.006), 2) for _ in range(2)],
                    "crank_angle_deg": [
                        round(round((event_deg + chance.gauss(0.0, 0.017)) / step_deg) * step_deg, 2) for _ in range(2)
                    ],
                }
            )
    return readings


def _on_scale(angle_deg: float, step_deg: float) -> float:
    return round(round(angle_deg / step_deg) * step_deg, 2)


def main() -> int:
    """Write them, and take away what is not of them."""
    wanted = texts()
    FOLDER.mkdir(exist_ok=True)
    for path in FOLDER.glob("*.json"):
        if path.name not in wanted:
            path.unlink()
    for name, text in wanted.items():
        (FOLDER / name).write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
