"""What is measured around a check speaks of causes, with the right sign in both directions, and changes no number."""

import copy
import json
from collections import Counter
from typing import Any

import numpy as np
import pytest
from hypothesis import given

from calc.findings import Findings, UnitFindings
from calc.job.read import examine
from tests.invented import SPILL, SUCTION, Tree, both, contact, engine_job, entry, judged, opening
from tests.job.trees import job_trees
from tests.jobs import DEMO_FILES, tree
from tests.judge import surroundings as around
from tests.judge.measured import Engine
from tests.judge.test_symmetries import assert_same
from tests.published import load

AROUND = ("tdc_check", "cam_surveys", "index_readings")
UNIT = 2


def for_astern(tree: Tree) -> Tree:
    tree["reference"]["rotation"] = "astern"
    for reading in tree["readings"]:
        reading["reached"] = "astern"
    return tree


def checked(seed: int, pointer: float, drive: float, astern: bool = False, count: int = 4, **more: Any) -> Findings:
    """An engine with pointer and camshaft off, read in one direction, and its TDC check."""
    it = around.shifted(around.engine(seed), pointer, drive, astern)
    pairs = around.pairs(it.chance, pointer, astern, count)
    tree = around.job(it, tdc_check={"pairs": pairs, "mark_deg": 0, **more})
    return judged(for_astern(tree) if astern else tree)


def stage_of(found: Findings) -> Any:
    assert found.tdc_check is not None
    assert found.tdc_check.as_found is not None
    return found.tdc_check.as_found


# ---------------------------------------------------------------- nothing else changes


def numbers_only(tree: Tree) -> Tree:
    """Findings without words, and without what is told of the surroundings."""
    tree = copy.deepcopy(tree)
    for key in ("job", "summary", "notices", "tdc_check"):
        tree.pop(key, None)
    for unit in tree["units"]:
        for key in ("cam_survey", "index_line"):
            unit.pop(key, None)
        for each in (*unit["causes"], *unit["hints"]):
            each.pop("check_next")
    return tree


@given(job_trees(max_units=5))
def test_no_number_and_no_verdict_of_the_readings_changes(tree: Tree) -> None:
    bare = {key: value for key, value in tree.items() if key not in AROUND}
    full, without = judged(tree), judged(bare)
    assert full.summary.verdict == without.summary.verdict
    assert_same(numbers_only(full.to_json()), numbers_only(without.to_json()))


def test_findings_without_them_have_no_key_of_them() -> None:
    plain = judged(engine_job(readings=both(1))).to_json()
    assert "tdc_check" not in plain
    assert not {"cam_survey", "index_line"} & plain["units"][0].keys()


# ---------------------------------------------------------------- pointer or drive

CASES = [
    (0.5, 0.0, "pointer"),
    (-0.5, 0.0, "pointer"),
    (0.0, 0.5, "camshaft_drive"),
    (0.0, -0.6, "camshaft_drive"),
    (0.5, 0.5, "both"),
    (-0.5, 0.5, "both"),
    (0.0, 0.0, "neither"),
]


@pytest.mark.parametrize("astern", [False, True], ids=["ahead", "astern"])
@pytest.mark.parametrize(("pointer", "drive", "said"), CASES)
def test_the_right_one_is_named_with_its_sign(pointer: float, drive: float, said: str, astern: bool) -> None:
    """The truth is on the engine; what counts astern has the other sign of what counts ahead."""
    sign = -1.0 if astern else 1.0
    for seed in range(500, 512):
        found = checked(seed, pointer, drive, astern)
        stage = stage_of(found)
        assert stage.says == said, (seed, stage)
        assert found.tdc_check is not None
        assert found.tdc_check.pointer_deg == pytest.approx(sign * pointer, abs=0.1)
        assert stage.camshaft_deg == pytest.approx(sign * drive, abs=0.15)
        assert found.tdc_check.pointer_off is (pointer != 0.0)
        side = "late" if sign * (pointer or drive) > 0 else "early"
        words = {
            "pointer": f"{side} (±",
            "camshaft_drive": f"{side} (±",
            "both": "both are off",
            "neither": "finds neither off",
        }
        assert words[said] in stage.text


def test_honest_engines_are_accused_of_nothing() -> None:
    """Three pairs a check: no drive and no pointer is named, and errors stay within the claimed doubt."""
    said: Counter[str] = Counter()
    ratios = []
    for seed in range(2000, 2150):
        found = checked(seed, 0.0, 0.0, count=3)
        stage = stage_of(found)
        said[stage.says] += 1
        ratios.append(stage.camshaft_deg / stage.u_camshaft_deg)
    assert said == {"neither": 150}
    assert 0.4 < float(np.std(ratios)) < 1.1


def test_a_pointer_off_is_said_where_the_common_shift_is_told() -> None:
    found = checked(501, 0.5, 0.0)
    assert "First set the flywheel pointer:" in found.summary.text
    assert "the TDC check finds it off." in found.summary.text
    for unit in found.units:
        (shift,) = [each for each in unit.causes if each.code == "common_shift"]
        assert "Set the pointer, not the cam" in shift.check_next
    drive = checked(501, 0.0, 0.5)
    assert "First see to the camshaft drive:" in drive.summary.text
    (shift,) = [each for each in drive.units[0].causes if each.code == "common_shift"]
    for words in ("pointer is right", "maker's procedure", "class has to agree", "exhaust, starting-air"):
        assert words in shift.check_next
    outside = next(unit for unit in drive.units if unit.verdict != "within")
    assert "the camshaft drive makes it" in outside.text


def test_two_that_hide_each_other_are_told() -> None:
    """The readings look sound; the engine is half a degree late all the same."""
    found = checked(503, -0.5, 0.5)
    assert found.common_part_deg.as_found is not None
    assert not found.common_part_deg.as_found.significant
    assert "The two hide each other" in stage_of(found).text
    assert "First set the flywheel pointer: the TDC check finds it off" in found.summary.text
    assert "pointer_off" in {each.code for each in found.notices}


def test_a_check_tells_of_a_drive_that_a_vague_pointer_hides() -> None:
    """The common part is not known better than the pointer; the check measures that very pointer."""
    it = around.shifted(around.engine(504), 0.0, 0.5)
    tree = around.job(it, tdc_check={"pairs": around.pairs(it.chance, 0.0), "mark_deg": 0})
    tree["instruments"]["pointer_u_deg"] = 0.4
    found = judged(tree)
    assert found.common_part_deg.as_found is not None
    assert not found.common_part_deg.as_found.significant
    assert stage_of(found).says == "camshaft_drive"
    assert "First see to the camshaft drive" in found.summary.text


def test_the_published_pair_gives_the_pointer_to_the_last_digit() -> None:
    case = load("dead-centre")["offset"]
    tree = engine_job(readings=[each for unit in (1, 2, 3) for each in both(unit)])
    tree["tdc_check"] = {"pairs": [case["pair"]], "mark_deg": 0}
    found = judged(tree).tdc_check
    assert found is not None
    assert found.pointer_deg == pytest.approx(case["scale"], abs=1e-12)
    # One pair decides nothing, however large.
    assert (found.u_deg, found.u_pointer_deg, found.pointer_off) == (None, None, None)
    assert found.as_found is not None
    assert (found.as_found.says, found.as_found.u_camshaft_deg) == ("unknown", None)


def test_any_scale_will_do() -> None:
    """On a scale from 0 to 360, and counted from a mark that stands anywhere."""
    base = engine_job(readings=[each for unit in (1, 2, 3) for each in both(unit)])
    pairs = [[-24.1, 24.7], [-30.2, 30.9], [-36.1, 36.7]]
    expected = judged({**base, "tdc_check": {"pairs": pairs, "mark_deg": 0}}).tdc_check
    turned = [[(angle + 117.3) % 360.0 for angle in pair] for pair in pairs]
    found = judged({**base, "tdc_check": {"pairs": turned, "mark_deg": 117.3}}).tdc_check
    assert expected is not None
    assert found is not None
    assert found.pointer_deg == pytest.approx(expected.pointer_deg, abs=1e-9)


def left_too(pointer_deg: float, **check: object) -> Tree:
    """Read as found and as left, all of it late by what the pointer shows."""
    readings = [contact(unit, event, 0.0, pointer_deg) for unit in (1, 2, 3) for event in (SUCTION, SPILL)]
    readings += [contact(unit, event, 0.0, 0.0, "as_left") for unit in (1, 2, 3) for event in (SUCTION, SPILL)]
    pairs = [
        [-24.1 + pointer_deg, 24.1 + pointer_deg],
        [-30.0 + pointer_deg, 30.05 + pointer_deg],
        [-36.0, 36.0 + 2 * pointer_deg],
    ]
    return engine_job(readings=readings, change=lambda tree: tree.update(tdc_check={"pairs": pairs, "mark_deg": 0, **check}))


@pytest.mark.parametrize(("was_set", "as_left"), [(True, None), (False, "both"), (None, None)])
def test_a_pointer_that_was_set_is_another_one(was_set: bool | None, as_left: str | None) -> None:
    """Set after the check, it is right as left: the old check would accuse the drive."""
    tree = left_too(0.6) if was_set is None else left_too(0.6, pointer_set=was_set)
    found = judged(tree)
    assert stage_of(found).says == "pointer"
    assert found.tdc_check is not None
    left = found.tdc_check.as_left
    assert (left and left.says) == as_left
    assert ("tdc_pointer_set" in {each.code for each in found.notices}) is (was_set is None)


def test_a_pointer_that_is_right_is_right_as_left_too() -> None:
    found = judged(left_too(0.0)).tdc_check
    assert found is not None
    assert found.as_left is not None
    assert found.as_left.says == "neither"


@pytest.mark.parametrize(
    ("check", "missing"), [({"pairs": [[-24, 24.5], [-30, 30.5]]}, "mark_deg"), ({"mark_deg": 0}, "pairs")]
)
def test_half_a_check_says_what_is_missing(check: Tree, missing: str) -> None:
    found = judged(engine_job(readings=both(1), change=lambda tree: tree.update(tdc_check=check)))
    (told,) = [each for each in found.notices if each.where == f"tdc_check.{missing}"]
    assert told.code == "missing"
    assert "the error of the flywheel pointer cannot be told" in told.text


def test_fewer_than_three_units_have_nothing_to_split() -> None:
    tree = engine_job(readings=[*both(1), *both(2)])
    tree["tdc_check"] = {"pairs": [[-24.0, 25.0], [-30.0, 31.0], [-36.0, 37.0]], "mark_deg": 0}
    found = judged(tree)
    assert found.tdc_check is not None
    assert found.tdc_check.as_found is None
    assert found.tdc_check.pointer_off
    assert "First set the flywheel pointer: the TDC check finds it off" in found.summary.text


# ---------------------------------------------------------------- cam surveys


def surveyed(
    seed: int, cam: float = 0.0, worn: tuple[str, float] | None = None, pointer: float = 0.0, **survey: Any
) -> tuple[UnitFindings, Engine]:
    """One unit whose cam has moved, or is worn at an event, and what its survey says."""
    it = around.shifted(around.engine(seed), pointer, 0.0)
    it.pumps[UNIT].cam_deg += cam
    if worn is not None:
        around.wear(it, UNIT, *worn)
    return entry(judged(around.job(it, cam_surveys=[around.survey(it, UNIT, **survey)])), UNIT), it


def survey_of(unit: UnitFindings) -> Any:
    assert unit.cam_survey is not None
    return unit.cam_survey


SURVEYS: dict[str, tuple[dict[str, Any], str]] = {
    "sound": ({}, "agrees"),
    "pointer off": ({"pointer": 0.6}, "agrees"),
    "moved late": ({"cam": 0.8}, "agrees"),
    "moved early": ({"cam": -0.8}, "agrees"),
    "worn at the start": ({"worn": (SUCTION, 0.9)}, "wear"),
    "worn at the end": ({"worn": (SPILL, 1.1)}, "wear"),
    "moved and worn": ({"cam": 0.8, "worn": (SUCTION, 0.9)}, "wear"),
    "from another mark": ({"off_deg": 0.8}, "contradicts"),
    "moved, and from another mark": ({"cam": 0.8, "off_deg": -0.8}, "contradicts"),
    "not zeroed": ({"zero_mm": 1.2}, "zero_off"),
}


@pytest.mark.parametrize("name", list(SURVEYS))
def test_what_a_survey_says(name: str) -> None:
    """Of 25 engines, all but one at the most: 3 u leave a few in a thousand, wear of this size a few in a hundred."""
    given_, said = SURVEYS[name]
    found = [survey_of(surveyed(seed, **given_)[0]) for seed in range(600, 625)]
    assert sum(each.says != said for each in found) <= 1, Counter(each.says for each in found)
    for each in found:
        if each.says != said:
            continue
        if said in ("agrees", "wear"):
            # Its own: a pointer that is off is in every unit's.
            assert each.own_cam_part_deg == pytest.approx(given_.get("cam", 0.0), abs=0.4)
        worn = {name for name in ("beginning", "end") if getattr(each, name) is not None and getattr(each, name).worn}
        expected = {"wear": {"beginning"} if "start" in name or "and" in name else {"end"}}
        assert worn >= expected.get(said, set())


def test_a_survey_errs_no_more_than_it_says() -> None:
    ratios = []
    for seed in range(640, 700):
        unit, it = surveyed(seed, cam=0.5)
        each = survey_of(unit)
        ratios.append((each.cam_part_deg - it.pumps[UNIT].cam_deg) / each.u_cam_part_deg)
    assert abs(float(np.mean(ratios))) < 0.5
    assert 0.6 < float(np.std(ratios)) < 1.4


def test_what_is_said_stands_where_the_cause_is_told() -> None:
    unit, _ = surveyed(601, cam=0.9)
    (cam,) = [each for each in unit.causes if each.code == "cam_position"]
    assert cam.check_next.startswith("The cam survey agrees: by the survey this cam's own part is 0.")
    assert "look at the mark first" in cam.check_next
    assert "The cam survey agrees." in unit.text
    unit, _ = surveyed(601, worn=(SUCTION, 0.9))
    (apart,) = [each for each in unit.causes if each.code == "readings_disagree"]
    assert "explains the readings by wear. At the start 0." in apart.check_next
    assert "mm of lift is missing" in apart.check_next
    assert "worn at the start" in unit.text
    unit, _ = surveyed(601, cam=0.9, off_deg=-0.9)
    assert "contradicts the readings: measure again before you move anything" in unit.text


def test_the_worst_row_stands_where_the_cam_is_worn() -> None:
    unit, it = surveyed(601, worn=(SUCTION, 0.9))
    found = survey_of(unit)
    assert found.worst_mm == pytest.approx(-0.9, abs=0.2)
    assert found.worst_at_deg == pytest.approx(it.pumps[UNIT].reference_deg[SUCTION], abs=5.0)


def test_ranges_that_are_said_cover_95_percent() -> None:
    unit, _ = surveyed(601, cam=0.9)
    found = survey_of(unit)
    assert f"±{1.96 * found.u_own_cam_part_deg:.2f}°" in found.text


@pytest.mark.parametrize("phase", [0.0, 3.5, -7.0])
def test_a_table_in_phase_with_nothing_will_do(phase: float) -> None:
    """The settings' own angles count, not those of the table: moving the table by itself moves no cam part."""
    it = around.engine(620)
    it.pumps[UNIT].cam_deg += 0.7
    tree = around.job(it, cam_surveys=[around.survey(it, UNIT)])
    expected = survey_of(entry(judged(tree), UNIT))
    tree["engine"]["cam_lift_table"] = [[angle + phase, lift] for angle, lift in tree["engine"]["cam_lift_table"]]
    found = survey_of(entry(judged(tree), UNIT))
    assert found.phase_deg == pytest.approx(expected.phase_deg - phase, abs=1e-6)
    assert found.cam_part_deg == pytest.approx(expected.cam_part_deg, abs=1e-6)
    assert found.says == expected.says == "agrees"


def test_a_survey_belongs_to_the_first_stage_that_was_read() -> None:
    """What was moved since is not in it."""
    it = around.engine(621)
    tree = around.job(it, [*it.read(), *it.read("as_left")], cam_surveys=[around.survey(it, UNIT)])
    found = judged(tree)
    assert entry(found, UNIT).cam_survey is not None
    assert entry(found, UNIT, "as_left").cam_survey is None


# ---------------------------------------------------------------- fuel index


def indexed(seed: int, linkage: float = 0.0, share: tuple[float, ...] = (0.4, 0.6, 0.8, 1.0)) -> tuple[UnitFindings, Engine]:
    it = around.engine(seed)
    rows = [
        around.index_points(
            it, unit, tuple(round(each * it.index, 3) for each in share), linkage=linkage * it.index * (unit == UNIT)
        )
        for unit in (UNIT, UNIT + 1)
    ]
    return entry(judged(around.job(it, [*it.read(), around.opening(it, UNIT)], index_readings=rows)), UNIT), it


@pytest.mark.parametrize(("linkage", "differ"), [(0.0, False), (0.04, True), (-0.04, True)])
def test_two_ways_to_the_index_of_zero_delivery(linkage: float, differ: bool) -> None:
    ratios = []
    for seed in range(700, 740):
        unit, it = indexed(seed, linkage)
        line = unit.index_line
        assert line is not None
        assert line.by_opening is not None
        assert unit.cut_out is not None
        assert line.by_opening == unit.cut_out.zero_delivery_index
        assert line.u_zero_index is not None
        assert line.u_by_opening is not None
        assert line.differ is differ
        assert ("they agree" in line.text) is not differ
        both_u = float(np.hypot(line.u_zero_index, line.u_by_opening))
        ratios.append((line.zero_index - line.by_opening - linkage * it.index) / both_u)
    assert 0.5 < float(np.std(ratios)) < 1.3
    assert abs(float(np.mean(ratios))) < 0.6


def test_the_balance_at_low_load_is_that_of_the_lowest_common_index() -> None:
    unit, it = indexed(750)
    line = unit.index_line
    assert line is not None
    assert line.low_index == pytest.approx(0.4 * it.index, abs=1e-3)
    assert line.low_imbalance_percent is not None
    # A pointer of the index that stands 4 % of the check's index too high delivers less, and most so at low load.
    less, _ = indexed(750, linkage=0.04)
    assert less.index_line is not None
    assert less.index_line.low_imbalance_percent is not None
    assert less.index_line.low_imbalance_percent < line.low_imbalance_percent - 3.0
    for one in (line, less.index_line):
        share = one.low_imbalance_percent
        assert share is not None
        assert f"{abs(share):.1f} % {'more' if share > 0.0 else 'less'} than the mean" in one.text


def test_each_stage_has_its_own_line() -> None:
    """The rods stand otherwise as left."""
    readings = [*both(1), *both(1, stage="as_left"), opening(1, 1.75)]
    rows = [{"unit": 1, "stage": "as_left", "points": [[21, 15.0], [42, 21.1], [63, 27.25]]}]
    found = judged(engine_job(readings=readings, change=lambda tree: tree.update(index_readings=rows)))
    assert entry(found, 1).index_line is None
    line = entry(found, 1, "as_left").index_line
    assert line is not None
    assert line.by_opening is None
    assert line.differ is None
    assert line.low_index is None


# ---------------------------------------------------------------- bad input

BAD: dict[str, tuple[Tree, str, str]] = {
    "a pair of three": ({"tdc_check": {"pairs": [[1, 2, 3]]}}, "tdc_check.pairs[0]", "a row is a pair of numbers"),
    "no pairs": ({"tdc_check": {"pairs": []}}, "tdc_check.pairs", "an empty list"),
    "a text for the mark": ({"tdc_check": {"mark_deg": "0"}}, "tdc_check.mark_deg", "without quotation marks"),
    "beyond a turn": ({"tdc_check": {"pairs": [[-24, 400]]}}, "tdc_check.pairs[0][1]", "from -360 to 360"),
    "an unknown unit": ({"cam_surveys": [{"unit": 9, "measured": [[0, 1]]}]}, "cam_surveys[0].unit", "units 1 to 5"),
    "a survey twice": (
        {"cam_surveys": [{"unit": 1, "measured": [[0, 1]]}, {"unit": 1, "measured": [[0, 1]]}]},
        "cam_surveys[1]",
        "keep one of the two",
    ),
    "a survey without rows": ({"cam_surveys": [{"unit": 1}]}, "cam_surveys[0].measured", "missing"),
    "a stage that is none": (
        {"index_readings": [{"unit": 1, "stage": "later", "points": [[1, 2]]}]},
        "index_readings[0].stage",
        "as_found",
    ),
    "an index below 0": (
        {"index_readings": [{"unit": 1, "stage": "as_left", "points": [[-1, 2]]}]},
        "index_readings[0].points[0][0]",
        "from 0 to 1000",
    ),
}


@pytest.mark.parametrize("name", list(BAD))
def test_bad_input_says_where_and_how_to_mend_it(name: str) -> None:
    part, where, words = BAD[name]
    _, problems = examine({**json.loads(json.dumps(engine_job(readings=both(1)))), **part})
    (problem,) = problems
    assert problem.where == where
    assert words in f"{problem.found} {problem.text}".replace("A row", "a row").replace("Keep", "keep")


# ---------------------------------------------------------------- the demo


def test_the_demo_shows_a_pointer_that_is_off_and_a_sound_cam() -> None:
    """Its invented truth: the first pointer shows 0.24 degrees too little; the cam of unit 5 was put right for the second."""
    found = judged(tree(DEMO_FILES[0]))
    assert found.tdc_check is not None
    assert found.tdc_check.pointer_deg == pytest.approx(-0.24, abs=0.01)
    assert stage_of(found).says == "pointer"
    survey = survey_of(entry(judged(tree(DEMO_FILES[1])), 5))
    assert survey.says == "agrees"
    assert survey.own_cam_part_deg == pytest.approx(0.0, abs=0.06)
