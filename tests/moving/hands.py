"""A person at the moving model: turns ahead, looks at the gauges, and writes a job file from what they show."""

from __future__ import annotations

from typing import Any

from calc.moving import cam, pump
from calc.moving.pump import Place, Setting, shown, turned
from tests.pump.forward import EVENTS, SUCTION

Tree = dict[str, Any]
SEAT_DIGITS = 5  # The seat-contact reading, as the valve gauges show it.
UNITS = 5
TOLERANCE = 0.3


def reaches(event: str, place: Place, setting: Setting) -> bool:
    """Whether the event's gauge shows contact, or has gone past it."""
    now = shown(place, setting)
    return now.suction <= SEAT_DIGITS if event == SUCTION else now.spill >= SEAT_DIGITS


def at_contact(event: str, setting: Setting) -> tuple[float, float]:
    """Turn ahead from well before until the valve gauge shows contact; plunger lift [mm] and flywheel angle [deg]."""
    place = turned(Place(-2500, 10 * setting.play), 1000, setting)
    while not reaches(event, place, setting):
        place = turned(place, 1, setting)
    return shown(place, setting).plunger / 100.0, round(place.flywheel / 10.0) / 10.0


def opening_at_index_0(setting: Setting) -> float:
    """Spill-valve reading at index 0 when the suction valve is just closing [mm]."""
    zero = Setting(0, setting.suction, setting.spill, setting.cam, setting.wear, setting.play)
    place = turned(Place(-2500, 10 * zero.play), 1000, zero)
    while not reaches(SUCTION, place, zero):
        place = turned(place, 1, zero)
    return shown(place, zero).spill / 100.0


def job(settings: dict[int, Setting]) -> Tree:
    """The job of an engine whose units are models; those that are not named stand at the reference."""
    units = [settings.get(unit, pump.REFERENCE) for unit in range(1, UNITS + 1)]
    found = pump.events(pump.REFERENCE)
    readings: list[Tree] = []
    for unit, setting in enumerate(units, 1):
        for event in EVENTS:
            lift, angle = at_contact(event, setting)
            readings.append(
                {
                    "unit": unit,
                    "stage": "as_found",
                    "event": event,
                    "method": "at_contact",
                    "plunger_lift_mm": [lift],
                    "crank_angle_deg": [angle],
                }
            )
        readings.append(
            {"unit": unit, "stage": "as_found", "event": "zero_index", "valve_lift_mm": [opening_at_index_0(setting)]}
        )
    return {
        "format": "spillmark-job",
        "version": 1,
        "title": "The moving model, read by hand",
        "engine": {
            "units": UNITS,
            "firing_order": [1, 3, 5, 2, 4],
            "valve_ratio_suction": pump.SUCTION_FIFTHS / pump.FIFTHS,
            "valve_ratio_spill": pump.SPILL_FIFTHS / pump.FIFTHS,
            "rod_pitch_mm": 1.2,
            "rod_thread": "single",
            "rod_lengthening_opens": True,
            "cam_lift_table": [[float(angle), cam.lift_law_mm(float(angle))] for angle in range(-30, 42)],
        },
        "reference": {
            "fuel_index": pump.REFERENCE_INDEX / 10.0,
            "fuel_index_u": 0.0,
            "angle_tolerance_deg": TOLERANCE,
            "seat_contact_mm": pump.SEAT / cam.PER_MM,
            "units": [
                {
                    "unit": unit,
                    "pre_stroke_mm": found.start_lift / cam.PER_MM,
                    "beginning_deg": found.start / cam.PER_DEG,
                    "spill_lift_mm": found.end_lift / cam.PER_MM,
                    "end_deg": found.end / cam.PER_DEG,
                }
                for unit in range(1, UNITS + 1)
            ],
        },
        "instruments": {
            "plunger_gauge": {"step_mm": 0.01, "error_limit_mm": 0.01, "repeatability_mm": 0.005},
            "valve_gauge": {"step_mm": 0.01, "error_limit_mm": 0.005, "repeatability_mm": 0.003},
            "angle_scale": {"step_deg": 0.1, "repeatability_deg": 0.02},
            "pointer_u_deg": 0.03,
        },
        "readings": readings,
    }
