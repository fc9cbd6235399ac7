"""Units as their gauges showed them, made of plain numbers or of a job, so that a density can be worked out beside `calc`."""

from __future__ import annotations

import json
from types import SimpleNamespace
from typing import Any
from unittest import mock

from calc import assess, read_job
from calc.judge import assess as assessing
from calc.judge.seen import SeenEvent, SeenUnit
from calc.pump.cam import CamCurve, Flank
from tests.pump.forward import SPILL, SUCTION

# A curved cam: a rod and an offset travel different ways along it.
TABLE = [(-40.0, 0.0), (-30.0, 2.0), (-20.0, 8.0), (-10.0, 20.0), (0.0, 40.0), (10.0, 51.0), (20.0, 58.0), (30.0, 60.0)]
CURVE = CamCurve.from_table(TABLE)
LIFT = {SUCTION: 12.0, SPILL: 36.0}
ANGLE = {SUCTION: -16.0, SPILL: -2.0}


def flank(event: str, secant: bool = False) -> Flank:
    """The cam at an event: the curve's, or 2 mm a degree."""
    found = CURVE.flank_at(LIFT[event])
    assert found is not None
    return Flank(LIFT[event], 2.0) if secant else found


def seen_event(event: str, **given: Any) -> SeenEvent:
    """An event that was read at its reference, unless told otherwise."""
    plain: dict[str, Any] = {
        "event": event,
        "contact": True,
        "lifts": (LIFT[event],),
        "angles": (ANGLE[event],),
        "reference_lift": LIFT[event],
        "reference_angle": ANGLE[event],
        "flank": flank(event),
        "ratio": {SUCTION: 0.8, SPILL: 1.25}[event],
        "seat": 0.05,
        "lift_step": 0.01,
        "angle_step": 0.1,
        "var_lift": 0.0004,
        "var_part": {SUCTION: 0.01, SPILL: 0.02}[event],
        "var_sound": {SUCTION: 0.0009, SPILL: 0.0016}[event],
        "var_drift": {SUCTION: 0.01, SPILL: 0.02}[event],
        "var_fault": {SUCTION: 0.5, SPILL: 0.7}[event],
        "fault": {SUCTION: 0.6, SPILL: 0.8}[event],
    }
    made = SeenEvent(**(plain | given))
    if "numbers" not in given:
        made.numbers = made.told(made.lifts, made.angles)
    return made


def seen_unit(*events: SeenEvent, number: int = 1, readings: Any = None, **given: Any) -> SeenUnit:
    """A unit with these events, and nothing else known of it."""
    plain: dict[str, Any] = {
        "base": None,
        "peak": None,
        "peak_spill": None,
        "var_gauge": 0.0025,
        "cam_sound": 0.02,
        "cam_fault": 0.8,
        "expect": 0.1,
        "var_expect": 0.003,
    }
    judged: Any = SimpleNamespace(number=number, readings=readings or {})
    return SeenUnit(judged=judged, events=events, **(plain | given))


def before_suspicions(tree: dict[str, Any]) -> Any:
    """Job, settings, judged units and scatter as they are when suspicions are looked for."""
    with mock.patch.object(assessing, "find_suspicions") as find:
        assess(read_job(json.dumps(tree)))
    return find.call_args.args
