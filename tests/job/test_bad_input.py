"""Everything that can be wrong with a job file: each with its place, what was found, what is allowed, how to mend it."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from calc.job.parse import MOST_BYTES, parse
from calc.job.problems import MOST_PROBLEMS, JobErrors, NotANumber, Problem, shown
from calc.job.read import examine, read_job
from tests.invented import SUCTION, Tree, at_lift, both, engine_job, opening, plunger_reading
from tests.soon import done_soon

Change = Callable[[Tree], object]
# Where, and what the message says of: the place, what was found, what is allowed, how to mend it.
Expected = tuple[str, tuple[str, ...]]

CHECK_NUMBER = "Check the decimal point and the sign"
CORRECT = "Correct it"
RECORD_OF_THE_TRIAL = "shop-trial record"


def job(change: Change | None = None) -> Tree:
    readings = [*both(1), opening(1, 1.7), at_lift(2, SUCTION, 0.1)]
    return engine_job(readings=readings, change=change)


def at(path: str, value: Any) -> Change:
    """Put a value at a path such as `reference.units[0].unit`."""
    *parents, last = path.replace("[", ".[").split(".")

    def change(tree: Tree) -> None:
        node: Any = tree
        for name in parents:
            node = node[int(name[1:-1])] if name.startswith("[") else node[name]
        node[int(last[1:-1]) if last.startswith("[") else last] = value

    return change


def without(path: str) -> Change:
    """Take a key away."""
    *parents, last = path.replace("[", ".[").split(".")

    def change(tree: Tree) -> None:
        node: Any = tree
        for name in parents:
            node = node[int(name[1:-1])] if name.startswith("[") else node[name]
        del node[last]

    return change


def errors_of(source: str | bytes) -> tuple[Problem, ...]:
    with pytest.raises(JobErrors) as refused:
        read_job(source)
    assert str(refused.value).count("\n") == len(refused.value.errors) - 1
    return refused.value.errors


def assert_says(problem: Problem, where: str, words: tuple[str, ...]) -> None:
    assert problem.where == where
    for word in words:
        assert word in problem.text, f"{word!r} is not in {problem.text!r}"
    assert problem.text[-1] == "."
    assert "{" not in problem.text
    assert "invalid" not in problem.text.lower()
    assert problem.to_json() == {"where": problem.where, "found": problem.found, "text": problem.text}


def units_up_to(count: int) -> list[Tree]:
    units: list[Tree] = job()["reference"]["units"]
    return units[:count]


NUMBERS: list[tuple[str, Any, str, str, str]] = [
    # path, value, place in words, what was found, what is allowed
    ("running_hours", -1, "Running hours", "-1 found", "0 or more h"),
    ("engine.units", 0, "Engine, number of units", "0 found", "a whole number from 1 to 24"),
    ("engine.units", 25, "number of units", "25 found", "from 1 to 24"),
    ("engine.units", 2.5, "number of units", "2.5 found", "a whole number"),
    ("engine.tdc_deg[4]", 360, "flywheel angle at each unit's TDC, number 5", "360 found", "below 360 °"),
    ("engine.tdc_deg[0]", -0.1, "number 1", "-0.1 found", "0 or more"),
    ("engine.firing_order[4]", 4.5, "firing order, ahead, number 5", "4.5 found", "whole number"),
    ("engine.speed_rpm", 0, "Engine, speed", "0 found", "above 0, at most 3000 rpm"),
    ("engine.speed_rpm", 3000.5, "Engine, speed", "3000.5 found", "at most 3000 rpm"),
    ("engine.plunger_diameter_mm", 1001, "plunger diameter", "1001 found", "at most 1000 mm"),
    ("engine.valve_ratio_suction", 0, "valve ratio, suction", "0 found", "above 0, at most 10"),
    ("engine.valve_ratio_spill", 10.5, "valve ratio, spill", "10.5 found", "at most 10"),
    ("engine.rod_pitch_mm", 20.5, "push-rod thread pitch", "20.5 found", "at most 20 mm"),
    ("engine.cam_peak_deg", 181, "cam peak", "181 found", "from -180 to 180 °"),
    ("engine.turning_deg_per_min", -1, "turning speed", "-1 found", "0 or more °/min"),
    ("reference.fuel_index", 0, "fuel index of the check", "0 found", "above 0, at most 1000"),
    ("reference.angle_tolerance_deg", 0, "tolerance of an angle", "0 found", "above 0, at most 30 °"),
    ("reference.angle_tolerance_deg", 30.5, "tolerance of an angle", "30.5 found", "at most 30 °"),
    ("reference.seat_contact_mm", 1.5, "seat-contact reading", "1.5 found", "from 0 to 1 mm"),
    ("reference.units[0].pre_stroke_mm", 1001, "unit 1, start: plunger lift (pre-stroke)", "1001 found", "from 0 to 1000 mm"),
    ("reference.units[2].beginning_deg", -181, "unit 3, start: crank angle", "-181 found", "from -180 to 180 °"),
    ("instruments.plunger_gauge.step_mm", 0, "Instruments, plunger gauge, step", "0 found", "above 0, at most 10 mm"),
    ("instruments.valve_gauge.error_limit_mm", -0.01, "valve gauge, error limit, ±", "-0.01 found", "from 0 to 10 mm"),
    ("instruments.angle_scale.step_deg", 10.5, "flywheel scale, step", "10.5 found", "above 0, at most 10 °"),
    ("instruments.pointer_u_deg", 11, "flywheel pointer known to", "11 found", "from 0 to 10 °"),
    ("fuel.density_15_kg_m3", 0.958, "Fuel, density at 15 °C", "0.958 found", "from 600 to 1100 kg/m³"),
    ("fuel.temperature_c", 401, "Fuel, temperature at the pump", "401 found", "from -50 to 400 °C"),
    ("readings[0].unit", 0, "unit 0, as found, suction closing, unit", "0 found", "a whole number from 1 to 24"),
    (
        "readings[0].plunger_lift_mm[0]",
        -0.1,
        "Readings, unit 1, as found, suction closing, plunger lift",
        "-0.1 found",
        "from 0 to 1000 mm",
    ),
    (
        "readings[1].crank_angle_deg[0]",
        180.5,
        "unit 1, as found, spill opening, crank angle",
        "180.5 found",
        "from -180 to 180 °",
    ),
    ("readings[2].valve_lift_mm[0]", 50.5, "unit 1, as found, zero index, valve reading", "50.5 found", "from -50 to 50 mm"),
]


@pytest.mark.parametrize(
    ("path", "value", "place", "found", "allowed"), NUMBERS, ids=[f"{row[0]} = {row[1]}" for row in NUMBERS]
)
def test_numbers_outside_their_range(path: str, value: Any, place: str, found: str, allowed: str) -> None:
    tree = job(at(path, value))
    problem = next(each for each in errors_of(json.dumps(tree)) if each.where == path)
    assert_says(problem, path, (place, found, "Allowed: ", allowed, CHECK_NUMBER))
    assert problem.found == repr(value)


LIMITS: list[tuple[str, list[float]]] = [
    ("engine.speed_rpm", [3000, 1e-9]),
    ("engine.tdc_deg[0]", [0, 359.999]),
    ("engine.valve_ratio_spill", [10, 1e-9]),
    ("engine.cam_peak_deg", [-180, 180]),
    ("reference.angle_tolerance_deg", [30, 1e-9]),
    ("reference.seat_contact_mm", [0, 1]),
    ("instruments.plunger_gauge.error_limit_mm", [0, 10]),
    ("instruments.pointer_u_deg", [0, 10]),
    ("fuel.density_15_kg_m3", [600, 1100]),
    ("fuel.temperature_c", [-50, 400]),
    ("readings[0].plunger_lift_mm[0]", [0, 1000]),
    ("readings[1].crank_angle_deg[0]", [-180, 180]),
    ("readings[2].valve_lift_mm[0]", [-50, 50]),
    ("engine.units", [5.0]),
    ("version", [1.0]),
]


@pytest.mark.parametrize(("path", "value"), [(path, value) for path, values in LIMITS for value in values])
def test_limits_themselves_are_allowed(path: str, value: float) -> None:
    read_job(json.dumps(job(at(path, value))))


CASES: dict[str, tuple[Change, list[Expected]]] = {
    "another format": (at("format", "x"), [("format", ('the text "x" found', '"spillmark-job"', "Open a job file"))]),
    "no format": (without("format"), [("format", ("Format: missing", "spillmark-job"))]),
    "a newer version": (at("version", 2), [("version", ("2 found", "reads 1", "newer program", "open it with that one"))]),
    "an older version": (at("version", 0), [("version", ("0 found", "reads 1", "Version 1 is the first one"))]),
    "half a version": (at("version", 1.5), [("version", ("1.5 found", "Allowed: 1"))]),
    "a number as title": (at("title", 5), [("title", ("Title: 5 found", "a text", CORRECT))]),
    "null for an optional text": (at("title", None), [("title", ("Title: null found", "a text", "Leave the key out"))]),
    "null for an optional number": (
        at("engine.speed_rpm", None),
        [("engine.speed_rpm", ("null found", "3000 rpm", "Leave the key out"))],
    ),
    "null for an optional object": (at("fuel", None), [("fuel", ("Fuel: null found", "an object", "Leave the key out"))]),
    "null for a required number": (
        at("reference.fuel_index", None),
        [("reference.fuel_index", ("null found", "above 0, at most 1000", CORRECT))],
    ),
    "null among repeats": (
        at("readings[0].plunger_lift_mm", [None]),
        [("readings[0].plunger_lift_mm[0]", ("plunger lift: null found", "from 0 to 1000 mm", "Remove it"))],
    ),
    "no engine": (without("engine"), [("engine", ("Engine: missing",))]),
    "a list as engine": (at("engine", []), [("engine", ("an empty list found", "an object"))]),
    "true as number": (at("engine.units", True), [("engine.units", ("true found", "a whole number from 1 to 24"))]),
    "true among repeats": (
        at("readings[0].plunger_lift_mm", [True]),
        [("readings[0].plunger_lift_mm[0]", ("true found", "from 0 to 1000 mm"))],
    ),
    "a text as number": (
        at("engine.speed_rpm", "131"),
        [("engine.speed_rpm", ('the text "131" found', "3000 rpm", "as a number, without quotation marks"))],
    ),
    "a text among repeats": (
        at("readings[0].plunger_lift_mm", ["9,5"]),
        [("readings[0].plunger_lift_mm[0]", ('the text "9,5" found', "as a number, without quotation marks"))],
    ),
    "one number where a list belongs": (
        at("readings[0].plunger_lift_mm", 9.5),
        [("readings[0].plunger_lift_mm", ("9.5 found", "one or more numbers", "square brackets"))],
    ),
    "a text where a list belongs": (
        at("engine.firing_order", "12345"),
        [("engine.firing_order", ('the text "12345" found', "one or more whole numbers", "square brackets"))],
    ),
    "an object where a list belongs": (
        at("readings", {}),
        [("readings", ("Readings: an object found", "a list of objects", "square brackets"))],
    ),
    "an empty list of repeats": (
        at("readings[0].plunger_lift_mm", []),
        [("readings[0].plunger_lift_mm", ("an empty list found", "one or more numbers", "fill the list"))],
    ),
    "one as flag": (
        at("engine.rod_lengthening_opens", 1),
        [("engine.rod_lengthening_opens", ("1 found", "true or false", "leave the key out"))],
    ),
    "a word as flag": (
        at("engine.rod_lengthening_opens", "yes"),
        [("engine.rod_lengthening_opens", ('"yes" found', "true or false"))],
    ),
    "an unknown thread": (
        at("engine.rod_thread", "double"),
        [("engine.rod_thread", ('"double" found', '"single" or "left_right"'))],
    ),
    "a firing order that lacks units": (
        at("engine.firing_order", [1, 2, 3]),
        [
            (
                "engine.firing_order",
                ("firing order: missing: 4, 5", "3 numbers for 5 units", "every unit from 1 to 5 once", "papers"),
            )
        ],
    ),
    "a firing order with a unit twice": (
        at("engine.firing_order", [1, 2, 3, 4, 4]),
        [("engine.firing_order", ("missing: 5", "more than once: 4", "every unit from 1 to 5 once"))],
    ),
    "a firing order with an unknown unit": (
        at("engine.firing_order", [1, 2, 3, 4, 9]),
        [("engine.firing_order", ("missing: 5", "every unit from 1 to 5 once"))],
    ),
    "true in the firing order": (
        at("engine.firing_order", [1, 2, 3, 4, True]),
        [("engine.firing_order[4]", ("number 5: true found", "whole number"))],
    ),
    "an empty firing order": (
        at("engine.firing_order", []),
        [("engine.firing_order", ("an empty list found", "one or more whole numbers"))],
    ),
    "TDC for three of five": (
        at("engine.tdc_deg", [0, 1, 2]),
        [("engine.tdc_deg", ("3 found for 5 units", "one a unit", "leave it out for even firing intervals"))],
    ),
    "a table of one row": (
        at("engine.cam_lift_table", [[0, 0]]),
        [("engine.cam_lift_table", ("a list of 1 found", "2 to 2000 rows", "crank angle (°) and plunger lift (mm)"))],
    ),
    "a table of too many rows": (
        at("engine.cam_lift_table", [[i / 100, i / 10] for i in range(2001)]),
        [("engine.cam_lift_table", ("a list of 2001 found", "2 to 2000 rows"))],
    ),
    "a table whose angles stand still": (
        at("engine.cam_lift_table", [[0, 0], [5, 1], [5, 2]]),
        [("engine.cam_lift_table", ("row 3", "5 follows 5", "rise from row to row", "Sort the rows"))],
    ),
    "a table that falls before its peak": (
        at("engine.cam_lift_table", [[0, 0], [1, 5], [2, 4], [3, 9]]),
        [("engine.cam_lift_table", ("row 3", "falls from 5 to 4", "peak of 9", "Correct the lift"))],
    ),
    "a table that falls at once": (
        at("engine.cam_lift_table", [[0, 5], [1, 4], [2, 9]]),
        [("engine.cam_lift_table", ("row 2", "falls from 5 to 4", "peak of 9"))],
    ),
    "a table with half a row": (
        at("engine.cam_lift_table", [[0, 0], [1]]),
        [("engine.cam_lift_table[1]", ("row 2: a list of 1 found", "a pair of numbers", "crank angle and plunger lift"))],
    ),
    "a table with a text": (
        at("engine.cam_lift_table", [[0, 0], [1, "2"]]),
        [
            (
                "engine.cam_lift_table[1][1]",
                ("row 2, plunger lift", 'the text "2" found', "from 0 to 1000 mm", "quotation marks"),
            )
        ],
    ),
    "a table beyond half a turn": (
        at("engine.cam_lift_table", [[0, 0], [181, 2]]),
        [("engine.cam_lift_table[1][0]", ("row 2, crank angle", "181 found", "from -180 to 180 °"))],
    ),
    "no tolerance": (
        without("reference.angle_tolerance_deg"),
        [
            (
                "reference.angle_tolerance_deg",
                ("tolerance of an angle: missing", "Enter a number above 0, at most 30 °", "Find it: the engine's manual"),
            )
        ],
    ),
    "no gauge": (without("instruments.angle_scale"), [("instruments.angle_scale", ("flywheel scale: missing",))]),
    "no instruments": (without("instruments"), [("instruments", ("Instruments: missing",))]),
    "no settings at all": (at("reference.units", []), [("reference.units", ("an empty list found",))]),
    "an object as settings": (
        at("reference.units", {}),
        [("reference.units", ("an object found", "a list of objects", "square brackets"))],
    ),
    "a unit without settings": (
        at("reference.units", units_up_to(4)),
        [("reference.units", ("nothing for unit 5", "Every unit needs its four settings", RECORD_OF_THE_TRIAL))],
    ),
    "two units without settings": (
        at("reference.units", units_up_to(3)),
        [("reference.units", ("nothing for units 4, 5", "Every unit needs", RECORD_OF_THE_TRIAL))],
    ),
    "a unit with settings twice": (
        at("reference.units[1].unit", 1),
        [
            ("reference.units[1].unit", ("Reference settings, unit 1", "has settings already", "one entry a unit")),
            ("reference.units", ("nothing for unit 2",)),
        ],
    ),
    "settings of a unit that the engine lacks": (
        at("reference.units[4].unit", 6),
        [
            ("reference.units[4].unit", ("unit 6: the engine has units 1 to 5", "Correct the unit number")),
            ("reference.units", ("nothing for unit 5",)),
        ],
    ),
    "a spill lift not above the pre-stroke": (
        at("reference.units[0].spill_lift_mm", 9.5),
        [
            (
                "reference.units[0]",
                ("unit 1", "spill lift 9.5 mm", "not above", "pre-stroke 9.5 mm", "Compare both with the record"),
            )
        ],
    ),
    "an end not after the beginning": (
        at("reference.units[0].end_deg", -19.5),
        [
            (
                "reference.units[0]",
                ("unit 1", "the end at -19.5°", "not after", "Before TDC is negative", "Compare both with the record"),
            )
        ],
    ),
    "a setting missing": (
        without("reference.units[1].end_deg"),
        [("reference.units[1].end_deg", ("unit 2, end: crank angle: missing", "from -180 to 180 °", RECORD_OF_THE_TRIAL))],
    ),
    "a number as settings": (
        at("reference.units[0]", 5),
        [("reference.units[0]", ("entry 1: 5 found", "An entry is an object")), ("reference.units", ("nothing for unit 1",))],
    ),
    "a reading of a unit that the engine lacks": (
        at("readings[0].unit", 6),
        [("readings[0].unit", ("Readings, unit 6", "the engine has units 1 to 5", "Correct the unit number"))],
    ),
    "a reading without its unit": (
        without("readings[0].unit"),
        [("readings[0].unit", ("entry 1, unit: missing", "from 1 to 24"))],
    ),
    "an unknown stage": (
        at("readings[0].stage", "before"),
        [("readings[0].stage", ('"before" found', '"as_found" or "as_left"'))],
    ),
    "an unknown event": (
        at("readings[0].event", "opening"),
        [("readings[0].event", ('"opening" found', '"suction_closing" or "spill_opening"'))],
    ),
    "an unknown method": (
        at("readings[0].method", "other"),
        [("readings[0].method", ('"other" found', '"at_contact" or "at_reference_lift"'))],
    ),
    "no method": (
        without("readings[0].method"),
        [
            (
                "readings[0].method",
                ("unit 1, as found, suction closing, way of reading: missing", '"at_contact" or "at_reference_lift"'),
            )
        ],
    ),
    "an unknown direction": (
        at("readings[0].reached", "both"),
        [("readings[0].reached", ('"both" found', '"ahead" or "astern"'))],
    ),
    "no lift": (
        without("readings[0].plunger_lift_mm"),
        [("readings[0].plunger_lift_mm", ("plunger lift: missing", "one or more readings", "remove the entry"))],
    ),
    "no opening": (
        without("readings[2].valve_lift_mm"),
        [("readings[2].valve_lift_mm", ("unit 1, as found, zero index, valve lift: missing", "remove the entry"))],
    ),
    "lists of unequal length": (
        at("readings[0].plunger_lift_mm", [9.5, 9.6]),
        [
            (
                "readings[0]",
                (
                    "2 in plunger_lift_mm, 1 in crank_angle_deg",
                    "Each repeat needs a number in every list",
                    "Add the missing one",
                ),
            )
        ],
    ),
    "a second reading": (
        lambda tree: tree["readings"].append(tree["readings"][0]),
        [
            (
                "readings[4]",
                ("unit 1, as found, suction closing", "entry 1 has the same unit, stage and event", "into one entry"),
            )
        ],
    ),
    "a number as reading": (
        lambda tree: tree["readings"].append(5),
        [("readings[4]", ("entry 5: 5 found", "An entry is an object"))],
    ),
    "a return to zero far below": (
        lambda tree: tree["readings"].append(plunger_reading(3, "base_return", -50.5)),
        [
            (
                "readings[4].plunger_lift_mm[0]",
                ("unit 3, as found, base return, plunger lift", "-50.5 found", "from -50 to 1000 mm"),
            )
        ],
    ),
    "a draft that is no text": (
        at("drafts", {"a": 1}),
        [("drafts.a", ("Typed but not understood, a: 1 found", "A text belongs here"))],
    ),
    "a list of drafts": (at("drafts", []), [("drafts", ("an empty list found", "an object whose values are texts"))]),
}


@pytest.mark.parametrize(("change", "expected"), list(CASES.values()), ids=list(CASES))
def test_each_fault_is_told(change: Change, expected: list[Expected]) -> None:
    errors = errors_of(json.dumps(job(change)))
    assert [problem.where for problem in errors] == [where for where, _ in expected]
    for problem, (where, words) in zip(errors, expected, strict=True):
        assert_says(problem, where, words)


def test_a_place_is_named_once() -> None:
    """The words in front of a message lead to the place without saying a part of it twice."""
    for path, value in (("reference.units[0].pre_stroke_mm", 1001), ("readings[0].plunger_lift_mm", 5)):
        text = errors_of(json.dumps(job(at(path, value))))[0].text
        assert text.lower().count("reference settings") <= 1, text


def test_astern_and_ahead_are_two_readings() -> None:
    read_job(json.dumps(job(lambda tree: tree["readings"].append({**tree["readings"][0], "reached": "astern"}))))
    twice = job(lambda tree: tree["readings"].append({**tree["readings"][0], "reached": "ahead"}))
    assert [problem.where for problem in errors_of(json.dumps(twice))] == ["readings[4]"]


def test_everything_wrong_is_told_at_once_and_in_file_order() -> None:
    def spoil(tree: Tree) -> None:
        for change in (
            at("title", 5),
            at("engine.speed_rpm", -1),
            without("reference.seat_contact_mm"),
            at("reference.units[2].pre_stroke_mm", "x"),
            at("instruments.pointer_u_deg", True),
            at("fuel.density_15_kg_m3", 0.9),
            at("readings[0].crank_angle_deg", []),
            at("readings[3].method", "x"),
            at("engine.firing_order", [1, 1, 1, 1, 1]),
        ):
            change(tree)

    assert [problem.where for problem in errors_of(json.dumps(job(spoil)))] == [
        "title",
        "engine.speed_rpm",
        "reference.seat_contact_mm",
        "reference.units[2].pre_stroke_mm",
        "instruments.pointer_u_deg",
        "fuel.density_15_kg_m3",
        "readings[0].crank_angle_deg",
        "readings[3].method",
        "engine.firing_order",
    ]


def test_one_slip_is_told_once() -> None:
    """A lift that is out of its range does not come back as a pair in the wrong order, nor a bad list as an unequal one."""
    for path, value in (
        ("reference.units[0].spill_lift_mm", -5),
        ("readings[0].plunger_lift_mm", []),
        ("readings[0].event", "x"),
        ("engine.units", "five"),
    ):
        assert len(errors_of(json.dumps(job(at(path, value))))) == 1, path


def test_a_job_without_readings_is_a_job() -> None:
    assert read_job(json.dumps(engine_job())).readings is None
    assert read_job(json.dumps({**engine_job(), "readings": []})).readings == ()


# ---------------------------------------------------------------- text that is no file of ours

VALID = json.dumps(job())

LITERALS = {
    "NaN": "NaN",
    "Infinity": "Infinity",
    "-Infinity": "-Infinity",
    "1e999": "1e999",
    "-1e999": "-1e999",
    "401 digits": "1" + 400 * "0",
    "5001 digits": 5001 * "7",
}


@pytest.mark.parametrize("literal", list(LITERALS.values()), ids=list(LITERALS))
def test_numbers_that_no_double_holds(literal: str) -> None:
    (problem,) = errors_of(VALID.replace('"fuel_index": 63.0', f'"fuel_index": {literal}'))
    assert_says(
        problem, "reference.fuel_index", ("fuel index of the check", " found", "Allowed: a number above 0, at most 1000")
    )
    assert problem.found.startswith(literal[:10])
    assert len(problem.text) < 300


@pytest.mark.parametrize("literal", [*LITERALS.values(), 300 * "9"], ids=[*LITERALS, "300 digits"])
def test_such_numbers_among_repeats_and_in_tables(literal: str) -> None:
    (problem,) = errors_of(VALID.replace('"plunger_lift_mm": [9.5]', f'"plunger_lift_mm": [{literal}]'))
    assert problem.where == "readings[0].plunger_lift_mm[0]"
    assert len(problem.found) <= 60
    table = VALID.replace('"engine": {', f'"engine": {{"cam_lift_table": [[0, 1], [5, {literal}]], ')
    assert [each.where for each in errors_of(table)] == ["engine.cam_lift_table[1][1]"]


@pytest.mark.parametrize("literal", ["NaN", "1e999", 5001 * "7"], ids=["NaN", "1e999", "5001 digits"])
def test_such_numbers_where_nobody_knows_the_key(literal: str) -> None:
    (problem,) = errors_of(VALID.replace('"engine": {', f'"extra": {{"deep": [0, {literal}]}}, "engine": {{', 1))
    assert_says(problem, "extra.deep[1]", (" found", "Write a number that JSON has"))
    assert "extra.deep[1]" in problem.text


def test_keys_that_stand_twice() -> None:
    source = (
        VALID.replace('"speed_rpm": 131.0', '"speed_rpm": 131.0, "speed_rpm": 132.0')
        .replace('"title"', '"title": "x", "title"', 1)
        .replace('"engine": {', '"extra": {"a": 1, "a": 2}, "engine": {', 1)
    )
    errors = errors_of(source)
    assert {problem.where for problem in errors} == {"title", "engine.speed_rpm", "extra.a"}
    for problem in errors:
        assert_says(problem, problem.where, ("the key stands twice", "Keep one of the two"))


WHOLE_FILES: dict[str, tuple[str | bytes, tuple[str, ...]]] = {
    "empty": ("", ("not JSON", "line 1, column 1", "Mend it there")),
    "no bytes": (b"", ("not JSON",)),
    "words": ("hello", ("not JSON", "line 1, column 1")),
    "cut off": (VALID[: len(VALID) // 2], ("not JSON", "Mend it there, or open an older copy")),
    "something behind": (VALID + "x", ("not JSON", "something follows the end")),
    "single quotes": ("{'a': 1}", ("not JSON", "line 1, column 2")),
    "a control character": ('{"title": "a\x00b"}', ("not JSON", "line 1")),
    "a number": ("5", ("one JSON object", "5 was found", "right file")),
    "null": ("null", ("one JSON object", "null was found")),
    "a text": ('"job"', ("one JSON object", 'the text "job" was found')),
    "a list": ("[]", ("one JSON object", "a list was found")),
    "NaN alone": ("NaN", ("one JSON object", "NaN was found")),
    "Latin-1": ('{"title": "Übung"}'.encode("latin-1"), ("not UTF-8", "Save it again as UTF-8")),
    "UTF-16": (VALID.encode("utf-16"), ("not UTF-8", "Save it again as UTF-8")),
    "half a pair in bytes": (b'{"title": "\xed\xa0\x80"}', ("not UTF-8",)),
    "nested in lists, never closed": (100_000 * "[", ("nested deeper", "right file")),
    "nested in lists": (100_000 * "[" + 100_000 * "]", ("nested deeper",)),
    "nested in objects": (100_000 * '{"a":' + "1" + 100_000 * "}", ("nested deeper",)),
    "just too deep": (65 * '{"a":' + "1" + 65 * "}", ("nested deeper",)),
    "2 MB of spaces": (2_000_000 * b" " + b"{}", ("larger than 1 MB", "right file")),
    "2 MB of text": ('{"title": "' + 2_000_000 * "x" + '"}', ("larger than 1 MB",)),
}


@pytest.mark.parametrize(("source", "words"), list(WHOLE_FILES.values()), ids=list(WHOLE_FILES))
def test_what_concerns_the_whole_file_has_no_place(source: str | bytes, words: tuple[str, ...]) -> None:
    (problem,) = errors_of(source)
    assert_says(problem, "", words)
    assert " at at " not in problem.text


def test_a_byte_order_mark_is_passed_over() -> None:
    plain = read_job(VALID)
    assert read_job("\ufeff".encode() + VALID.encode()) == plain
    assert read_job("\ufeff" + VALID) == plain
    assert read_job(VALID.encode()) == plain


def test_one_megabyte_is_the_limit() -> None:
    assert parse((MOST_BYTES - 2) * " " + "{}") == {}
    assert errors_of((MOST_BYTES - 1) * " " + "{}")[0].where == ""


@pytest.mark.parametrize("value", [500 * "x", int(300 * "9"), NotANumber(500 * "9")], ids=["text", "number", "no number"])
def test_what_was_found_is_cut_where_it_is_long(value: object) -> None:
    found = shown(value).removeprefix('the text "').removesuffix('"')
    assert len(found) == 60
    assert found[-1] == "…"


def test_64_levels_are_enough() -> None:
    tree: Any = parse(63 * '{"a":' + "{}" + 63 * "}")
    assert isinstance(tree, dict)


def test_half_a_surrogate_pair_is_no_crash() -> None:
    """JSON can escape half of a pair; whether it is refused or kept, it is told in words or comes back as it was."""
    read, problems = examine(parse(json.dumps(job(at("title", "\ud800")))))
    assert [problem.where for problem in problems] in ([], ["title"])
    assert read is None or read.title == "\ud800"


# ---------------------------------------------------------------- hostile sizes


def hostile() -> dict[str, str]:
    """Files of close to 1 MB, each a worst case for one part of the reader."""
    tree = job()
    many = MOST_BYTES - 5000
    filled = {
        "a million brackets": many * "[",
        "many keys that nobody knows": json.dumps({**tree, **{f"k{i}": 0 for i in range(60_000)}}),
        "one key a hundred thousand times": "{" + ",".join(50_000 * ['"a":0']) + "}",
        "a long firing order": json.dumps(job(at("engine.firing_order", list(range(120_000))))),
        "many settings": json.dumps(job(at("reference.units", 8000 * [tree["reference"]["units"][0]]))),
        "many readings": json.dumps(job(at("readings", 6000 * [tree["readings"][0]]))),
        "many empty readings": json.dumps(job(at("readings", 200_000 * [{}]))),
        "many repeats": json.dumps(job(at("readings[0].plunger_lift_mm", 200_000 * [1]))),
        "a long table": json.dumps(job(at("engine.cam_lift_table", 100_000 * [[0, 0]]))),
        "many bad repeats": json.dumps(job(at("readings[0].plunger_lift_mm", 1000 * ["x"]))),
        "long digits": VALID.replace("63.0", many * "9"),
        "many long digits": json.dumps(tree)[:-1] + ', "x": [' + ",".join(190 * [5000 * "9"]) + "]}",
        "a deep exponent": VALID.replace("63.0", "1e" + many * "9"),
        "nested keys that nobody knows": json.dumps({**tree, "x": json.loads(60 * "[" + 60 * "]")}),
        "many NaN": VALID[:-1] + ', "x": [' + ",".join(200_000 * ["NaN"]) + "]}",
        "a long key": json.dumps({**tree, many * "k": 0}),
        "long drafts": json.dumps({**tree, "drafts": {str(i): 0 for i in range(60_000)}}),
    }
    assert max(map(len, filled.values())) <= MOST_BYTES, {name: len(text) for name, text in filled.items()}
    return filled


@pytest.mark.parametrize("source", list(hostile().values()), ids=list(hostile()))
def test_hostile_files_end_soon(source: str) -> None:
    def read() -> tuple[Problem, ...]:
        try:
            read_job(source)
        except JobErrors as error:
            return error.errors
        return ()

    errors = done_soon(read)
    assert len(errors) <= MOST_PROBLEMS + 1
    assert sum(len(problem.text) for problem in errors) < 200_000


def test_more_problems_than_anybody_reads_are_cut() -> None:
    _, problems = examine(job(at("readings[0].plunger_lift_mm", 1000 * ["x"])))
    assert len(problems) == MOST_PROBLEMS + 1
    last = problems[-1]
    assert (last.where, last.found) == ("", f"more than {MOST_PROBLEMS} problems")
    assert_says(last, "", ("Mend these, then check again",))
