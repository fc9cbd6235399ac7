"""Notices: every code is produced by some job, no other appears, and each says where, what, and what to do."""

from collections.abc import Callable

import pytest

from calc import recalls
from calc.findings import NOTICES, RodCorrection
from tests.invented import (
    ANGLE,
    CAM,
    LIFT,
    SEAT,
    SPILL,
    SUCTION,
    Tree,
    at_lift,
    both,
    codes,
    contact,
    engine_job,
    judged,
    notice,
    opening,
    rod_error,
    with_table,
)
from tests.recall import RECALL

FULL = [reading for unit in range(1, 6) for reading in both(unit)]


def job(*readings: Tree, change: Callable[[Tree], object] | None = None) -> Tree:
    return engine_job(readings=readings or FULL, change=change)


def seated() -> Tree:
    reading = at_lift(1, SUCTION)
    reading["valve_lift_mm"] = [0.0]
    return reading


def short_table(tree: Tree) -> None:
    with_table(tree)
    tree["engine"]["cam_lift_table"] = [row for row in tree["engine"]["cam_lift_table"] if row[1] < 20.0]


def narrow_table(tree: Tree) -> None:
    """It reaches both reference lifts, and little more."""
    with_table(tree, step_deg=0.5)
    tree["engine"]["cam_lift_table"] = [row for row in tree["engine"]["cam_lift_table"] if 9.0 < row[1] < 27.7]


def stretched_table(tree: Tree) -> None:
    with_table(tree)
    tree["engine"]["cam_lift_table"] = [[1.1 * angle, lift] for angle, lift in tree["engine"]["cam_lift_table"]]


def for_astern(tree: Tree) -> None:
    tree["reference"]["rotation"] = "astern"


PAIRS = [[-24.1, 24.7], [-30.2, 30.8], [-36.1, 36.7]]
RISE = [[angle, float(CAM.lift_at(angle))] for angle in range(-60, 44, 4)]
STEPS = [[21.0, 15.0], [42.0, 21.1], [63.0, 27.25]]


def with_check(*readings: Tree, **check: object) -> Tree:
    """A job with a TDC check that finds the pointer 0.3 degrees off."""
    return job(*readings, change=lambda tree: tree.update(tdc_check={"pairs": PAIRS, "mark_deg": 0, **check}))


def with_survey(*readings: Tree, rows: object = RISE, unit: int = 2, table: bool = True) -> Tree:
    tree = job(*readings, change=lambda each: each.update(cam_surveys=[{"unit": unit, "measured": rows}]))
    return with_table(tree) if table else tree


def with_steps(*readings: Tree, points: object = STEPS) -> Tree:
    rows = [{"unit": 1, "stage": "as_found", "points": points}]
    return job(*readings, change=lambda tree: tree.update(index_readings=rows))


# code -> a job that produces it, the place, and words of its text
EXAMPLES: dict[str, tuple[Tree, str, tuple[str, ...]]] = {
    "fallback": (
        job(change=lambda tree: tree["engine"].pop("rod_thread")),
        "engine.rod_thread",
        ("Push-rod thread: missing", "one thread is assumed", "Turns and flats rest on it", "Find it:"),
    ),
    "missing": (
        job(change=lambda tree: tree["engine"].pop("speed_rpm")),
        "engine.speed_rpm",
        ("Speed: missing", "the injection time cannot be told", "Find it: the trial record"),
    ),
    "not_read": (
        job(*FULL, contact(1, SUCTION, stage="as_left")),
        "readings",
        ("Unit 1, as left", "the end was not read", "not judged"),
    ),
    "unknown_key": (
        job(change=lambda tree: tree["fuel"].update(colour="red")),
        "fuel.colour",
        ("fuel.colour", "does not know the key", "kept"),
    ),
    "drafts": (
        job(change=lambda tree: tree.update(drafts={"engine.speed_rpm": "fast"})),
        "drafts",
        ("1 entry was", "not understood", "worksheet"),
    ),
    "astern_reading": (
        job(*FULL, contact(1, SUCTION, reached="astern")),
        "readings[10]",
        ("Unit 1, as found", "reached astern", "not judged"),
    ),
    "ahead_reading": (
        job(contact(1, SUCTION), contact(1, SPILL, reached="ahead"), change=for_astern),
        "readings[0]",
        ("Unit 1, as found", "reached ahead", "only when reached turning astern", "not judged", "means ahead"),
    ),
    "both_directions": (
        job(
            rod_error(1, SPILL, -0.8, reached="astern"),
            contact(1, SUCTION, reached="astern"),
            opening(1, 1.75, reached="astern"),
            change=for_astern,
        ),
        "reference.rotation",
        ("serves both directions", "the job for ahead", "before you turn a nut"),
    ),
    "valve_on_seat": (
        job(seated(), contact(1, SPILL)),
        "readings[0].valve_lift_mm",
        ("Unit 1, as found", "closes early", "Read it at contact"),
    ),
    "lift_outside_table": (
        job(change=short_table),
        "reference.units[0].spill_lift_mm",
        ("Unit 1", "27.25 mm", "The secant slope is used, known to 15 %"),
    ),
    "beyond_table": (
        job(*FULL[2:], contact(1, SUCTION), contact(1, SPILL, 0.7, 0.8), change=narrow_table),
        "readings[9]",
        ("Unit 1, as found", "the end at 27.95 mm", "beyond the cam lift table", "taken as straight", "Check the reading"),
    ),
    "table_disagrees": (
        job(change=stretched_table),
        "reference.units[0]",
        ("Unit 1", "the cam table turns 22.57°", "the reference angles 20.50°", "mistyped"),
    ),
    "repeat_dominates": (
        job(
            *FULL[4:],
            contact(1, SUCTION, [0.0, 0.9], [0.0, 0.0]),
            contact(1, SPILL, [0.0, 0.01]),
            contact(2, SUCTION, [0.0, 0.01]),
        ),
        "readings[6].plunger_lift_mm",
        ("Unit 1", "from 9.5 to 10.4", "most of the scatter", "Read them again"),
    ),
    "index_not_counted": (
        job(both(1)[0], both(1)[1], change=lambda tree: tree["reference"].update(fuel_index_u=0.5)),
        "reference.fuel_index_u",
        ("Unit 1, as found", "without a zero-index opening", "cannot be counted"),
    ),
    "instruments_too_coarse": (
        job(change=lambda tree: tree["instruments"]["angle_scale"].update(step_deg=2.0)),
        "instruments",
        ("The instruments alone leave", "They can never prove ±0.5°"),
    ),
    "no_zero_index": (
        job(opening(1, 1.75)),
        "readings[0]",
        ("Unit 1, as found", "no index of zero delivery", "not both known"),
    ),
    "cut_out_after_unknown": (
        job(rod_error(1, SPILL, -0.8), contact(1, SUCTION)),
        "readings",
        ("Unit 1, as found", "it was not read", "before you turn a rod"),
    ),
    "cut_out_after_warning": (
        job(rod_error(1, SPILL, -0.8), contact(1, SUCTION), opening(1, 1.75)),
        "readings[2]",
        ("Unit 1, as found", "0.85 mm at index 0", "the limit is 1.25 mm", "Ask the maker"),
    ),
    "cut_out_after_danger": (
        job(rod_error(1, SPILL, -0.8), contact(1, SUCTION), opening(1, 0.95)),
        "readings[2]",
        ("Unit 1, as found", "0.05 mm at index 0", "would inject at index 0", "the engine might not stop", "Turn no nut"),
    ),
    "density_range": (
        job(change=lambda tree: tree["fuel"].update(temperature_c=200)),
        "fuel.temperature_c",
        ("ASTM D1250", "rough figure"),
    ),
    "imbalance_needs_two": (job(*both(1)), "readings", ("As found", "one unit alone has no imbalance", "Read the others")),
    "settings_first": (
        job(*[reading for unit in (1, 2, 3) for reading in (contact(unit, SUCTION), rod_error(unit, SPILL, 0.8))]),
        "readings",
        ("End, as found", "all 3 units", "+0.80 mm of lift", "Clear it first"),
    ),
    "worn_part": (
        job(change=lambda tree: tree.update(inspections=[{"unit": 2, "part": "roller", "condition": "worn"}])),
        "inspections[0].condition",
        ("Unit 2, roller: worn", "Push rods do not cure"),
    ),
    "pointer_off": (
        with_check(),
        "tdc_check",
        ("every angle read 0.30° late", "the true angles are 0.30° earlier", "judged as read", "Set the pointer"),
    ),
    "tdc_pairs": (
        with_check(pairs=[[-24.1, 24.7], [24.7, -24.1]]),
        "tdc_check.pairs[1]",
        ("pair 2: 24.7° before and −24.1° after", "311.2° apart", "not swapped", "not used until then"),
    ),
    "tdc_far": (
        with_check(mark_deg=120),
        "tdc_check.mark_deg",
        ("0.3° is read at TDC and 120° at the mark", "20° off", "of one cylinder, on one scale"),
    ),
    "tdc_one_pair": (with_check(pairs=PAIRS[:1]), "tdc_check.pairs", ("one pair has no spread", "Read two more pairs")),
    "tdc_pointer_set": (
        with_check(*FULL, *[reading for unit in (1, 2, 3) for reading in both(unit, stage="as_left")]),
        "tdc_check.pointer_set",
        ("finds the pointer off", "nobody says whether it was set", "as found alone", "Say whether"),
    ),
    "survey_without_table": (
        with_survey(table=False),
        "cam_surveys[0].measured",
        ("cam lift table is missing", "Enter the table", "Find it:"),
    ),
    "survey_tells_nothing": (
        with_survey(rows=[[-60, 0.0], [-59, 0.0], [-58, 0.01]]),
        "cam_surveys[0].measured",
        ("Unit 2, cam survey", "no row lies on a flank", "Measure where the lift changes"),
    ),
    "survey_not_comparable": (
        with_survey(*both(1)),
        "cam_surveys[0].measured",
        ("Unit 2, cam survey", "nothing was read on this unit", "Read its start and end"),
    ),
    "survey_beyond_table": (
        with_survey(rows=[[angle - 3.0, lift] for angle, lift in RISE]),
        "cam_surveys[0].measured",
        ("Unit 2, cam survey", "beyond the engine's lift table", "taken as straight"),
    ),
    "index_tells_nothing": (
        with_steps(points=[[63.0, 27.25], [42.0, 28.0]]),
        "index_readings[0].points",
        ("Unit 1, as found", "does not rise with the index", "Check the readings"),
    ),
    "index_two_readings": (
        with_steps(points=STEPS[:2]),
        "index_readings[0].points",
        ("Unit 1, as found", "two readings have no scatter", "Read a third index"),
    ),
    "index_without_start": (
        with_steps(contact(1, SPILL)),
        "index_readings[0].points",
        ("Unit 1, as found", "start of delivery has no number", "Read the start"),
    ),
    "recalled": (
        job(change=lambda tree: tree.update(written_by="Spillmark 0.0.2, Spillmark 9.9.9")),
        "written_by",
        ("Spillmark 0.0.2 worked on this job", RECALL.wrong, "Look again", "computed anew"),
    ),
    "few_units": (job(*both(1), *both(2)), "readings", ("As found", "only 2", "three units")),
}


@pytest.fixture(autouse=True)
def invented_recall(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(recalls, "RECALLS", (RECALL,))


@pytest.mark.parametrize("code", list(NOTICES))
def test_every_code_has_a_job_that_produces_it(code: str) -> None:
    tree, where, words = EXAMPLES[code]
    told = [each for each in judged(tree).notices if each.code == code]
    assert told, code
    assert where in [each.where for each in told]
    text = next(each.text for each in told if each.where == where)
    for word in words:
        assert word in text, f"{word!r} is not in {text!r}"
    assert text[-1] in ".?"
    assert not text[0].islower() or code == "unknown_key"


def test_no_other_code_appears() -> None:
    assert set(EXAMPLES) == set(NOTICES)
    for tree, _, _ in EXAMPLES.values():
        assert codes(judged(tree)) <= set(NOTICES)


def test_a_complete_healthy_job_has_no_notice() -> None:
    assert judged(job()).notices == ()
    assert judged(with_table(job())).notices == ()


# ---------------------------------------------------------------- stand-ins

FALLBACKS = {
    "engine.valve_ratio_suction": ("Valve ratio, suction: missing; 1 is used", "Start lifts read at reference lift"),
    "engine.valve_ratio_spill": ("Valve ratio, spill: missing; 1 is used", "the cut-out rest on it"),
    "engine.rod_thread": ("one thread is assumed", "Turns and flats rest on it"),
    "engine.rod_lengthening_opens": ("yes is assumed", "direction of every rod change"),
    "engine.tdc_deg": ("even firing intervals are assumed", "flywheel angles of the other units"),
    "instruments.plunger_gauge.repeatability_mm": ("0 is used", "lifts that were read once"),
    "instruments.valve_gauge.repeatability_mm": ("0 is used", "valve readings that were taken once"),
    "instruments.angle_scale.repeatability_deg": ("0 is used", "angles that were read once"),
}


def without(path: str) -> Callable[[Tree], object]:
    *parents, last = path.split(".")

    def change(tree: Tree) -> None:
        node = tree
        for name in parents:
            node = node[name]
        del node[last]

    return change


@pytest.mark.parametrize(("path", "words"), list(FALLBACKS.items()))
def test_each_stand_in_is_told(path: str, words: tuple[str, str]) -> None:
    told = notice(judged(job(change=without(path))), "fallback")
    assert told.where == path
    for word in words:
        assert word in told.text


STANDS_IN = [
    ("engine.valve_ratio_suction", 1),
    ("engine.valve_ratio_spill", 1.0),
    ("engine.rod_thread", "single"),
    ("engine.rod_lengthening_opens", True),
    ("instruments.plunger_gauge.repeatability_mm", 0),
    ("instruments.valve_gauge.repeatability_mm", 0),
    ("instruments.angle_scale.repeatability_deg", 0),
]


@pytest.mark.parametrize(("path", "value"), STANDS_IN)
def test_a_stand_in_is_what_the_file_format_says(path: str, value: object) -> None:
    """The same numbers as with the value written out."""
    readings = [at_lift(1, SUCTION, 0.3, 0.1), rod_error(1, SPILL, 0.5), opening(1, 1.75)]

    def put(tree: Tree) -> None:
        *parents, last = path.split(".")
        node = tree
        for name in parents:
            node = node[name]
        node[last] = value

    absent = judged(job(*readings, change=without(path))).to_json()["units"]
    stated = judged(job(*readings, change=put)).to_json()["units"]
    for one, other in zip(absent, stated, strict=True):
        for each in (*one["corrections"], *other["corrections"]):
            each["assumes"] = []
        one.pop("text")
        other.pop("text")
    assert absent == stated


@pytest.mark.parametrize(
    ("path", "event", "rests"),
    [
        ("engine.valve_ratio_suction", SUCTION, True),
        ("engine.valve_ratio_suction", SPILL, False),
        ("engine.valve_ratio_spill", SPILL, True),
        ("engine.valve_ratio_spill", SUCTION, False),
        ("engine.rod_thread", SUCTION, True),
        ("engine.rod_lengthening_opens", SPILL, True),
    ],
)
def test_a_correction_names_the_stand_ins_that_it_rests_on(path: str, event: str, rests: bool) -> None:
    (unit,) = judged(job(rod_error(1, event, 0.5), change=without(path))).units
    (correction,) = unit.corrections
    assert isinstance(correction, RodCorrection)
    assert (path in correction.assumes) is rests
    assert ("rests on what you have not entered" in unit.text) is rests


# ---------------------------------------------------------------- the table


def test_a_level_stretch_at_a_reference_lift_falls_back_to_the_secant() -> None:
    tree = job()
    tree["engine"]["cam_lift_table"] = [[-40, 0], [-20, 9.5], [-15, 9.5], [1, 27.25], [20, 44]]
    found = judged(tree)
    told = [each for each in found.notices if each.code == "lift_outside_table"]
    assert [each.where for each in told] == [f"reference.units[{j}].pre_stroke_mm" for j in range(5)]
    assert "does not rise at 9.5 mm" in told[0].text


@pytest.mark.parametrize(("stretch", "expected"), [(1.02, False), (1.03, True), (0.98, False), (0.97, True)])
def test_a_table_disagrees_by_more_than_the_tolerance(stretch: float, expected: bool) -> None:
    """20.52 degrees in the table against 20.5 in the settings; the tolerance is half a degree."""
    tree = with_table(job())
    tree["engine"]["cam_lift_table"] = [[stretch * angle, lift] for angle, lift in tree["engine"]["cam_lift_table"]]
    assert ("table_disagrees" in codes(judged(tree))) is expected


def test_within_the_table_there_is_no_word_of_it() -> None:
    for off, expected in ((-0.1, False), (-0.6, True)):
        tree = job(contact(1, SUCTION, off, off), change=narrow_table)
        assert ("beyond_table" in codes(judged(tree))) is expected


# ---------------------------------------------------------------- repeats, unknown keys, drafts


@pytest.mark.parametrize(
    ("spread", "repeatability", "expected"),
    [(0.012, 0.003, False), (0.013, 0.003, True), (0.039, 0.01, False), (0.041, 0.01, True)],
)
def test_repeats_a_step_or_two_apart_are_no_slip(spread: float, repeatability: float, expected: bool) -> None:
    """Two and a half steps of 0.005 mm, or four times the stated scatter, are worth a word."""
    readings = [contact(1, SUCTION, [0.0, spread]), contact(1, SPILL, [0.0, 0.0]), contact(2, SPILL, [0.0, 0.0])]
    tree = job(*readings)
    tree["instruments"]["plunger_gauge"]["repeatability_mm"] = repeatability
    assert ("repeat_dominates" in codes(judged(tree))) is expected


def test_one_group_alone_dominates_nothing() -> None:
    assert "repeat_dominates" not in codes(judged(job(contact(1, SUCTION, [0.0, 0.9]))))


def test_unknown_keys_are_named_with_their_raw_path() -> None:
    def change(tree: Tree) -> None:
        tree["x"] = 1
        tree["engine"]["colour of paint"] = 2
        tree["reference"]["units"][1]["Note"] = 3
        tree["readings"][0]["ö"] = 4
        tree["instruments"]["valve_gauge"]["k" * 300] = 5

    found = judged(job(change=change))
    assert {each.where for each in found.notices if each.code == "unknown_key"} == {
        "x",
        "engine.colour of paint",
        "reference.units[1].Note",
        "readings[0].ö",
        f"instruments.valve_gauge.{'k' * 300}",
    }
    assert all(len(each.text) < 250 for each in found.notices)


def test_drafts_are_counted() -> None:
    tree = job(change=lambda each: each.update(drafts={"a": "x", "b": "y"}))
    assert "2 entries were" in notice(judged(tree), "drafts").text


@pytest.mark.parametrize(
    ("path", "readings"),
    [
        ("engine.plunger_diameter_mm", FULL),
        ("engine.speed_rpm", FULL),
        ("fuel.density_15_kg_m3", FULL),
        ("fuel.temperature_c", FULL),
        ("engine.rod_pitch_mm", [rod_error(1, SUCTION, 0.5)]),
        ("reference.zero_index_opening_min_mm", [opening(1, 1.75)]),
        ("reference.lift_off_clearance_min_mm", [{"unit": 1, "stage": "as_found", "event": "lift_off", "clearance_mm": [3.0]}]),
    ],
)
def test_what_is_missing_is_told_once_and_only_where_it_is_needed(path: str, readings: list[Tree]) -> None:
    told = [each for each in judged(job(*readings, change=without(path))).notices if each.where == path]
    assert [each.code for each in told] == ["missing"]
    idle = judged(engine_job(change=without(path)))
    assert path not in [each.where for each in idle.notices]


def at_fuel(temperature: float, density: float) -> Callable[[Tree], object]:
    return lambda tree: tree.update(fuel={"temperature_c": temperature, "density_15_kg_m3": density})


def test_density_is_doubted_outside_its_range_only() -> None:
    for temperature, density, where in (
        (150, 958, None),
        (150.5, 958, "fuel.temperature_c"),
        (-50, 958, None),
        (88, 612, None),
        (88, 610, "fuel.density_15_kg_m3"),
        (88, 1100, None),
    ):
        found = judged(job(change=at_fuel(temperature, density)))
        assert [each.where for each in found.notices if each.code == "density_range"] == ([where] if where else [])


def test_the_seat_contact_reading_at_reference_lift_is_no_deviation() -> None:
    """A valve that shows just the seat-contact reading at the reference lift is at its reference."""
    reading = at_lift(1, SUCTION)
    assert reading["valve_lift_mm"] == [SEAT]
    (unit,) = judged(job(reading)).units
    assert unit.beginning is not None
    assert (unit.beginning.lift_mm, unit.beginning.angle_deg) == (LIFT[SUCTION], ANGLE[SUCTION])


@pytest.mark.parametrize(
    ("part", "words"), [("cam", "do not cure a worn cam"), ("suction_valve", "Repair or replace it first")]
)
def test_wear_is_told_by_the_part_and_a_sound_part_is_not(part: str, words: str) -> None:
    seen = [{"unit": 1, "part": part, "condition": "damaged"}, {"unit": 3, "part": part, "condition": "sound"}]
    told = [
        each
        for each in judged(job(change=lambda tree: tree.update(inspections=[*seen, {"unit": 4, "part": part}]))).notices
        if each.code == "worn_part"
    ]
    assert [each.where for each in told] == ["inspections[0].condition"]
    assert words in told[0].text
