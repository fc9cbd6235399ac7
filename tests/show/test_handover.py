"""The handover page: danger first, then the order of closing, then what is open; and it never waits for a whole job."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.job.form import spread
from calc.show.handover import handover_page
from calc.work.begun import begun, begun_file
from tests.invented import SPILL, SUCTION, Tree, both, contact, engine_job, opening, rod_error
from tests.job.trees import job_trees
from tests.jobs import tree
from tests.show.test_record import Paper, assert_sound
from tests.work.sheets import Texts, full_job, whole_job

OFF = [*both(1), rod_error(2, SUCTION, 0.8), contact(2, SPILL), *both(3), *both(4), *both(5)]


def test_what_was_measured_around_the_check_is_handed_over() -> None:
    job_tree = engine_job(readings=OFF)
    assert "TDC check" not in Paper(handover_page(begun_file(job_tree))).words
    job_tree["tdc_check"] = {"pairs": [[-24.1, 24.7], [-30.0, 30.6], [-35.2, 35.8]]}
    job_tree["index_readings"] = [{"stage": "as_found", "unit": 1, "points": [[20, 14.0], [40, 20.0], [60, 26.0]]}]
    words = Paper(handover_page(begun_file(job_tree))).words
    for text in (
        "TDC check3 pairs.",
        "Fuel index, unit 1, as found3 readings. By the line",
    ):
        assert text in words


@pytest.fixture
def broken_off() -> Texts:
    """Unit 2 was turned and nothing was proved after it."""
    texts = whole_job(OFF, [opening(unit, 1.75) for unit in range(1, 6)])
    texts |= {
        "adjustments/2/suction_rod/length_before_mm": "412.5",
        "adjustments/2/suction_rod/flats_turned": "-3",
        "handover.by": "R. Senn, 2/E",
        "handover.to": "P. Kaur, 3/E",
        "handover.reason": "The ship shifts berth",
        "handover.remarks": "The gauge of unit 2 is in the blue box.",
    }
    for code in ("starting_air", "fuel_inlets", "gauges"):
        for name in ("restored", "restored_by", "checked_by"):
            del texts[f"positions/{code}/{name}"]
    for code in ("leak_test", "slow_start"):
        del texts[f"confirmations/{code}/by"]
    return texts


def words_of(texts: Texts) -> str:
    html = handover_page(begun(texts))
    paper = Paper(html)
    assert_sound(html, paper)
    return paper.words[paper.words.rindex("Handing over:") :]


def test_danger_comes_first_and_names_the_unit_that_was_turned_and_not_proved(broken_off: Texts) -> None:
    words = words_of(broken_off)
    order = [
        "Danger: do not start the engine before this is cleared.",
        "Unit 2: suction push rod turned and not locked.",
        "Unit 2: suction push rod turned and the timing not proved since.",
        "Unit 2: suction push rod turned and its cut-out not proved since. The engine may not stop.",
        "The ship shifts berth",
        "The gauge of unit 2 is in the blue box.",
        "Close and prove, in this order",
        "Dial gauges and holders: put back. As found: open",
        "Fuel inlet valves of the units: put back. As found: open",
        "The leak test is done: no leak.",
        "Starting-air valves: put back. As found: open",
        "The engine was started slowly, with someone at the stop.",
        "Open in each step",
        "Handed over by",
        "P. Kaur, 3/E",
    ]
    places = [words.index(each) for each in order]
    assert places == sorted(places)


def test_a_unit_that_was_proved_again_is_no_danger(broken_off: Texts) -> None:
    broken_off["adjustments/2/suction_rod/locked"] = "yes"
    for reading in (*both(2, stage="as_left"), opening(2, 1.75, "as_left")):
        broken_off |= spread({"readings": [reading]})
    words = words_of(broken_off)
    assert "not proved since" not in words
    assert "not locked" not in words
    broken_off["readings/2/as_left/zero_index/ahead/valve_lift_mm"] = "0.2"
    assert "Unit 2: the zero-index opening is not proved. Ask the maker" in words_of(broken_off)


def test_a_complete_job_has_nothing_dangerous_left() -> None:
    words = Paper(handover_page(begun_file(full_job(3)))).words
    assert "Handing over: the job is complete" in words
    assert "Nothing dangerous is open that this job knows of." in words
    assert "Open in each step" not in words


def test_it_does_not_wait_for_a_whole_job() -> None:
    words = words_of({})
    assert "Handing over: the job is not finished" in words
    assert "Open in each step" in words
    words = words_of({"engine.units": "4", "adjustments/3/cam/cam_turned_deg": "half a degree", "engine.speed_rpm": "fast"})
    assert "Unit 3: cam turned and the timing not proved since." in words
    assert "cam half a degree" in words
    assert "To mend: typed, but counted nowhere" in words
    assert "fast" in words


def test_units_that_are_alike_share_a_line() -> None:
    words = Paper(handover_page(begun_file(tree()))).words
    assert "1, 2, 4, 7 Within——" in words
    assert "3, 5 Outside——" in words
    assert "spill push rod −2.5 flats, before 388.2 mm" in words


@given(job_trees(max_units=3), st.integers(0, 2**32))
def test_any_job_with_any_gaps_can_be_handed_over(job_tree: Tree, seed: int) -> None:
    texts = spread(job_tree)
    kept = {key: text for place, (key, text) in enumerate(texts.items()) if (seed >> (place % 32)) & 1}
    so_far = begun(kept)
    html = handover_page(so_far)
    paper = Paper(html)
    assert_sound(html, paper)
    for phase in so_far.closing:
        for each in phase.items:
            assert " ".join(each.text.split()) in paper.words
    for step in so_far.progress.steps:
        if step.missing:
            assert f"{len(step.missing)} open. {' '.join(step.missing[0].text.split())}" in paper.words
