"""A job for astern: the mirrored engine gives the same findings, with the words changed; mixtures judge their own direction."""

import copy
import json

import pytest
from hypothesis import given

from calc import assess, read_job
from calc.findings import Findings
from calc.job.direction import mirrored
from calc.job.form import compose, spread
from calc.job.write import job_to_tree
from calc.show import page, terminal
from calc.show.blank import blank_form
from calc.show.record import record
from calc.show.sheet import findings_csv, readings_csv
from calc.work.begun import begun_file
from tests.invented import SPILL, SUCTION, Tree, both, contact, engine_job, entry, judged, notice, opening, rod_error
from tests.job.trees import job_trees
from tests.jobs import DEMO_FILES, tree
from tests.judge import measured

OTHER = {"ahead": "astern", "astern": "ahead"}


def mirror(ahead: Tree) -> Tree:
    """The same numbers read in the other direction, on an engine whose cranks and firing order run the other way."""
    job = copy.deepcopy(ahead)
    job["reference"]["rotation"] = OTHER[job["reference"].get("rotation", "ahead")]
    for reading in job.get("readings", []):
        reading["reached"] = OTHER[reading.get("reached", "ahead")]
    first, *rest = job["engine"]["firing_order"]
    job["engine"]["firing_order"] = [first, *reversed(rest)]
    if "tdc_deg" in job["engine"]:
        job["engine"]["tdc_deg"] = [-angle % 360 for angle in job["engine"]["tdc_deg"]]
    return job


def told(found: Findings) -> Tree:
    """What must be the same: all of it but the check sum, the direction itself, and what is only said of astern."""
    found_tree = found.to_json()
    for key in ("checksum", "rotation"):
        found_tree["job"].pop(key, None)
    kept = [each for each in found_tree["notices"] if each["code"] != "both_directions"]
    for each in kept:
        each["code"] = each["code"].replace("ahead_reading", "astern_reading")
        # Only a job file can leave the direction of a reading open.
        each["text"] = each["text"].replace(" Nothing was entered, which means ahead.", "")
    return {**found_tree, "notices": kept}


def assert_told_alike(found: Tree, expected: Tree) -> None:
    """Equal to the last rounding, and word for word once the two directions change places."""
    assert found.keys() == expected.keys()
    for key, value in expected.items():
        _assert_alike(found[key], value, key)


def _assert_alike(found: object, expected: object, at: str) -> None:
    if isinstance(expected, dict):
        assert isinstance(found, dict)
        assert found.keys() == expected.keys(), at
        for key, value in expected.items():
            _assert_alike(found[key], value, f"{at}.{key}")
    elif isinstance(expected, list):
        assert isinstance(found, list)
        assert len(found) == len(expected), at
        for i, (one, other) in enumerate(zip(found, expected, strict=True)):
            _assert_alike(one, other, f"{at}[{i}]")
    elif isinstance(expected, float):
        assert found == pytest.approx(expected, rel=1e-9, abs=1e-12), at
    elif isinstance(expected, str) and at.endswith((".text", ".settle", ".check_next")):
        assert found == mirrored(expected, "astern"), at
    else:
        assert found == expected, at


@given(job_trees(max_units=4))
def test_any_job_reads_the_same_in_the_mirror(ahead: Tree) -> None:
    ahead["reference"].pop("rotation", None)
    assert_told_alike(told(judged(mirror(ahead))), told(judged(ahead)))


@pytest.mark.parametrize("name", DEMO_FILES, ids=lambda name: str(name)[-40:])
def test_the_demo_in_the_mirror(name: object) -> None:
    ahead = tree(name)  # type: ignore[arg-type]
    assert_told_alike(told(judged(mirror(ahead))), told(judged(ahead)))


def test_a_reading_mistake_in_the_mirror() -> None:
    """Marks of other cylinders follow the other way round; play was taken up by the wrong direction."""
    codes = set()
    for seed in range(70_000, 70_012):
        it = measured.engine(seed, method="at_contact", table=True, repeats=2)
        measured.astern(it, 2)
        readings = it.read()
        measured.other_mark(it, readings, 1)
        ahead, astern = judged(it.job(readings)), judged(mirror(it.job(readings)))
        assert_told_alike(told(astern), told(ahead))
        codes |= {each.code for unit in astern.units for each in unit.suspicions}
        for unit in astern.units:
            for each in unit.suspicions:
                if each.code == "astern_play":
                    assert "turning astern only" in each.settle
                    assert "was reached ahead" in unit.text
    assert {"wrong_tdc_mark", "astern_play"} <= codes


# ---------------------------------------------------------------- mixtures


def astern_job(*readings: Tree) -> Tree:
    return engine_job(readings=readings, change=lambda tree: tree["reference"].update(rotation="astern"))


def turned(readings: list[Tree], reached: str) -> list[Tree]:
    return [{**each, "reached": reached} for each in readings]


def test_only_its_own_direction_is_judged() -> None:
    right = [contact(1, SUCTION, 0.0, 0.1), contact(1, SPILL, 0.0, 0.1)]
    wrong = [contact(1, SUCTION, 0.0, [5.0, 9.0]), contact(1, SPILL, 0.0, -4.0)]
    mixed = astern_job(*turned(right, "astern"), *turned(wrong, "ahead"))
    found = judged(mixed)
    beginning = entry(found, 1).beginning
    assert beginning is not None
    assert beginning.deviation_deg == pytest.approx(0.1)
    # Nor are its repeats in any pool.
    assert found.units == judged(astern_job(*turned(right, "astern"))).units
    assert [each.where for each in found.notices if each.code == "ahead_reading"] == ["readings[2]", "readings[3]"]


def test_without_a_word_a_reading_was_reached_ahead() -> None:
    found = judged(astern_job(*both(1)))
    assert entry(found, 1).beginning is None
    assert entry(found, 1).verdict == "incomplete"
    unsaid, said = (
        notice(judged(astern_job(*readings)), "ahead_reading").text for readings in (both(1)[:1], turned(both(1)[:1], "ahead"))
    )
    assert "Nothing was entered, which means ahead" in unsaid
    assert "Nothing was entered" not in said


def test_absent_is_ahead_without_a_notice() -> None:
    silent, said = engine_job(readings=both(1)), engine_job(readings=both(1))
    said["reference"]["rotation"] = "ahead"
    assert judged(silent).units == judged(said).units
    assert judged(silent).notices == judged(said).notices


def test_an_ahead_reading_replaces_nothing_and_cures_nothing() -> None:
    off = turned([contact(1, SUCTION, 0.0, 2.0), contact(1, SPILL, 0.0, 2.0)], "astern")
    left = turned([contact(1, SUCTION, stage="as_left"), contact(1, SPILL, stage="as_left")], "ahead")
    others = [each for unit in range(2, 6) for each in turned(both(unit), "astern")]
    assert judged(astern_job(*off, *left, *others)).summary.verdict == "outside"
    assert judged(astern_job(*off, *turned(left, "astern"), *others)).summary.verdict == "within"


# ---------------------------------------------------------------- words


def faulty() -> Tree:
    return astern_job(
        *turned([rod_error(1, SPILL, -0.8), contact(1, SUCTION), opening(1, 1.75)], "astern"),
        *turned(both(2), "ahead"),
    )


def test_every_place_says_astern() -> None:
    job = read_job(json.dumps(faulty()))
    found = assess(job)
    drawn = page.findings(found, job, whole=True)["html"]
    assert "Astern." in drawn["summary"]
    assert "in astern rotation" in drawn["summary"]
    assert "Unit 1, as found, astern" in drawn["units"][0]["html"]
    assert "crank angle after TDC, astern" in drawn["units"][0]["html"]
    assert "Start of delivery, astern" in page.working(found, job, 1, "as_found")
    assert "Astern. Before and after TDC are meant in astern rotation." in terminal.report(found)
    paper = record(found, job)
    assert '<p class="direction">Astern. Before and after TDC' in paper
    assert "ahead: not judged" in paper
    form = blank_form(begun_file(job_to_tree(job)))
    assert '<p class="direction">Astern. ' in form
    assert "Turn astern for every reading" in form
    assert "Turn ahead" not in form
    for text in (readings_csv(job), findings_csv(found)):
        head, *rows = text.splitlines()
        assert head.endswith(",rotation")
        assert rows
        assert all(row.endswith(",astern") for row in rows)
    assert found.to_json()["job"]["rotation"] == "astern"


def test_a_job_for_ahead_says_nothing_of_astern() -> None:
    job = read_job(json.dumps(engine_job(readings=[rod_error(1, SPILL, -0.8), contact(1, SUCTION)])))
    found = assess(job)
    # Blank forms ask for the reversing gear until somebody says that there is none.
    form = blank_form(begun_file({**job_to_tree(job), "arrangement": {"reversible": False}}))
    for text in (record(found, job), form, terminal.report(found), json.dumps(page.findings(found, job, True))):
        assert "astern" not in text.lower()
    assert "rotation" not in found.to_json()["job"]
    job = read_job(json.dumps(mirror(mirror(engine_job(readings=both(1))))))
    assert '<p class="direction">Ahead. </p>' in record(assess(job), job)


def test_changing_the_direction_keeps_everything_typed() -> None:
    texts = spread(faulty())
    for rotation in ("ahead", "", "astern"):
        changed = {**texts, "reference.rotation": rotation}
        composed = compose(changed)
        assert not composed.slips
        assert {**spread(composed.tree), "reference.rotation": rotation} == changed
