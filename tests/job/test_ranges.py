"""The ranges that the file format promises, each tried on both sides of each limit; and which values it asks for."""

import json
import math
from typing import Any

import pytest

from calc.job.describe import RECORD, RECORDS, field_of, walk
from calc.job.model import Job
from calc.job.read import examine
from tests.invented import SPILL, Tree, at_lift, both, clearance, engine_job, plunger_reading

ANGLE, LIFT, NOT_NEGATIVE = "[-180, 180]", "[0, 1000]", "[0, )"
STEP, SCATTER = "(0, 10]", "[0, 10]"

# Path -> range; a round bracket leaves the limit itself out.
RANGES = {
    "running_hours": NOT_NEGATIVE,
    "engine.units": "[1, 24]",
    "engine.tdc_deg[0]": "[0, 360)",
    "engine.speed_rpm": "(0, 3000]",
    "engine.plunger_diameter_mm": "(0, 1000]",
    "engine.valve_ratio_suction": "(0, 10]",
    "engine.valve_ratio_spill": "(0, 10]",
    "engine.rod_pitch_mm": "(0, 20]",
    "engine.cam_lift_table[0][0]": "[-180, ",
    "engine.cam_lift_table[1][0]": ", 180]",
    "engine.cam_lift_table[0][1]": "[0, ",
    "engine.cam_lift_table[1][1]": ", 1000]",
    "engine.cam_peak_deg": ANGLE,
    "engine.base_circle_from_deg": ANGLE,
    "engine.base_circle_to_deg": ANGLE,
    "engine.turning_deg_per_min": NOT_NEGATIVE,
    "engine.minutes_per_stop": NOT_NEGATIVE,
    "engine.take_up_deg": NOT_NEGATIVE,
    "engine.reversal_deg": NOT_NEGATIVE,
    "reference.fuel_index": "(0, 1000]",
    "reference.fuel_index_u": NOT_NEGATIVE,
    "reference.angle_tolerance_deg": "(0, 30]",
    "reference.seat_contact_mm": "[0, 1]",
    "reference.lift_off_clearance_min_mm": NOT_NEGATIVE,
    "reference.units[0].pre_stroke_mm": "[0, ",
    "reference.units[0].beginning_deg": "[-180, ",
    "reference.units[0].spill_lift_mm": ", 1000]",
    "reference.units[0].end_deg": ", 180]",
    "reference.units[0].peak_lift_mm": LIFT,
    "instruments.plunger_gauge.step_mm": STEP,
    "instruments.plunger_gauge.error_limit_mm": SCATTER,
    "instruments.plunger_gauge.repeatability_mm": SCATTER,
    "instruments.valve_gauge.step_mm": STEP,
    "instruments.valve_gauge.error_limit_mm": SCATTER,
    "instruments.valve_gauge.repeatability_mm": SCATTER,
    "instruments.angle_scale.step_deg": STEP,
    "instruments.angle_scale.repeatability_deg": SCATTER,
    "instruments.pointer_u_deg": SCATTER,
    "fuel.density_15_kg_m3": "[600, 1100]",
    "fuel.temperature_c": "[-50, 400]",
    "readings[0].plunger_lift_mm[0]": LIFT,
    "readings[0].crank_angle_deg[0]": ANGLE,
    "readings[0].temperature_c": "[-50, 400]",
    "readings[1].valve_lift_mm[0]": "[-50, 50]",
    "readings[2].plunger_lift_mm[0]": "[-50, 1000]",
    "readings[3].plunger_lift_mm[0]": LIFT,
    "readings[4].clearance_mm[0]": NOT_NEGATIVE,
}


def job() -> Tree:
    readings = [
        *both(1)[:1],
        at_lift(1, SPILL),
        plunger_reading(1, "base_return", 0.0),
        plunger_reading(1, "peak", 44.0),
        clearance(1, 3.0),
    ]
    tree = engine_job(readings=readings)
    tree["engine"] |= {"cam_lift_table": [[-30, 1], [30, 40]], "tdc_deg": [7, 0, 0, 0, 0]}
    return tree


def places(path: str) -> list[str | int]:
    return [int(name[:-1]) if name.endswith("]") else name for name in path.replace("[", ".").split(".")]


def wrong_places(path: str, value: float) -> set[str]:
    """Where the reader finds fault with the job once this value is put into it."""
    tree = job()
    node: Any = tree
    *parents, last = places(path)
    for name in parents:
        node = node[name]
    node[last] = value
    return {problem.where for problem in examine(json.loads(json.dumps(tree)))[1]}


def limits() -> list[tuple[str, float, bool]]:
    """Path, value, and whether the value is allowed."""
    cases: list[tuple[str, float, bool]] = []
    for path, text in RANGES.items():
        low, _, high = text.partition(",")
        whole = path == "engine.units"
        if low.strip():
            limit = float(low[1:])
            beyond = limit - 1 if whole else math.nextafter(limit, -math.inf)
            # A number above 0 has a few digits: what is smaller than 1e-9 is none that people mean.
            cases += [(path, beyond, False), (path, limit, low[0] == "["), (path, 1e-9 if low[0] == "(" else limit + 1, True)]
        if high.strip(" )]"):
            limit = float(high.strip(" )]"))
            beyond = limit + 1 if whole else math.nextafter(limit, math.inf)
            cases += [(path, beyond, False), (path, limit, high[-1] == "]"), (path, limit - 1, True)]
    return cases


@pytest.mark.parametrize(("path", "value", "allowed"), limits())
def test_both_sides_of_each_limit(path: str, value: float, allowed: bool) -> None:
    # Other places may object as well, such as a firing order for another number of units.
    assert (path in wrong_places(path, value)) is not allowed


def test_the_job_to_spoil_is_sound() -> None:
    assert examine(job())[1] == []


REQUIRED = {
    "format",
    "version",
    "engine",
    "engine.units",
    "engine.firing_order",
    "reference",
    "reference.fuel_index",
    "reference.angle_tolerance_deg",
    "reference.seat_contact_mm",
    "reference.units",
    *(f"reference.units[].{key}" for key in ("unit", "pre_stroke_mm", "beginning_deg", "spill_lift_mm", "end_deg")),
    "instruments",
    "instruments.plunger_gauge",
    "instruments.plunger_gauge.step_mm",
    "instruments.plunger_gauge.error_limit_mm",
    "instruments.valve_gauge",
    "instruments.valve_gauge.step_mm",
    "instruments.valve_gauge.error_limit_mm",
    "instruments.angle_scale",
    "instruments.angle_scale.step_deg",
    "instruments.pointer_u_deg",
    *(f"readings[].{key}" for key in ("unit", "stage", "event")),
    # What names an entry of a list.
    "confirmations[].code",
    "positions[].item",
    *(f"{rows}[].{key}" for rows in ("inspections", "adjustments") for key in ("unit", "part")),
    "runs[].when",
    *(f"service[].{key}" for key in ("when", "unit")),
    # An entry of these is there only with its table.
    *(f"cam_surveys[].{key}" for key in ("unit", "measured")),
    *(f"index_readings[].{key}" for key in ("stage", "unit", "points")),
}


def test_what_a_file_must_have() -> None:
    """These and no others: a file of an earlier version stays usable."""
    assert {path for path, field in walk(Job) if field.required} == REQUIRED


@pytest.mark.parametrize("path", sorted(path for path in REQUIRED if "[]" not in path))
def test_what_is_missing_is_told_at_its_place(path: str) -> None:
    tree = job()
    node = tree
    *parents, last = path.split(".")
    for name in parents:
        node = node[name]
    del node[last]
    problems = {problem.where: problem for problem in examine(tree)[1]}
    assert path in problems
    assert problems[path].found == "nothing"
    # A missing object is one error, at the object.
    inside = [where for where in problems if where.startswith(f"{path}.")]
    assert inside == []


def test_what_stands_in_for_what_is_absent() -> None:
    found = {path: field.fallback for path, field in walk(Job) if field.fallback is not None}
    assert found == {
        "engine.tdc_deg": "even",
        "engine.valve_ratio_suction": 1.0,
        "engine.valve_ratio_spill": 1.0,
        "engine.rod_thread": "single",
        "engine.rod_lengthening_opens": True,
        "engine.minutes_per_stop": 0.0,
        "engine.take_up_deg": 5.0,
        "engine.reversal_deg": 20.0,
        "instruments.plunger_gauge.repeatability_mm": 0.0,
        "instruments.valve_gauge.repeatability_mm": 0.0,
        "instruments.angle_scale.repeatability_deg": 0.0,
    }


def test_a_value_that_must_be_there_has_no_stand_in() -> None:
    for path in REQUIRED:
        field = field_of(Job, path)
        assert field.fallback is None or field.kind in (RECORD, RECORDS)


@pytest.mark.parametrize("units", [1, 24])
def test_the_smallest_and_the_largest_engine(units: int) -> None:
    tree = engine_job(units=units, readings=both(units))
    assert examine(tree)[1] == []
    tree["readings"][0]["unit"] = units + 1
    assert {problem.where for problem in examine(tree)[1]} == {"readings[0].unit"}
    settings = engine_job(units=units)
    settings["reference"]["units"][-1]["unit"] = units + 1
    assert f"reference.units[{units - 1}].unit" in {problem.where for problem in examine(settings)[1]}


@pytest.mark.parametrize(("rows", "sound"), [(1, False), (2, True), (2000, True), (2001, False)])
def test_rows_of_a_table(rows: int, sound: bool) -> None:
    tree = engine_job(readings=both(1))
    tree["engine"]["cam_lift_table"] = [[-40 + 0.03 * j, 0.02 * j] for j in range(rows)]
    assert ([problem.where for problem in examine(tree)[1]] == []) is sound
