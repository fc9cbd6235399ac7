"""What was measured around a check on page, paper, terminal and in the working: all of it, and only where it was measured."""

import json

from calc import assess, read_job
from calc.show import page, terminal
from calc.show.paper import raw
from calc.show.record import record
from calc.show.sheet import findings_csv, table_csv
from tests.invented import SUCTION, Tree, both, engine_job, opening
from tests.jobs import DEMO_FILES, tree
from tests.judge import surroundings
from tests.show.test_page import shown_of
from tests.show.test_record import Paper, assert_sound

STEPS = [[21.0, 15.0], [42.0, 21.1], [63.0, 27.25]]


def surrounded() -> Tree:
    """An engine whose pointer is off, one cam worn, and a line over the index."""
    it = surroundings.shifted(surroundings.engine(601), 0.5, 0.0)
    surroundings.wear(it, 2, SUCTION, 0.9)
    pairs = surroundings.pairs(it.chance, 0.5)
    lines = [surroundings.index_points(it, unit, (3.0, 5.0, 7.0)) for unit in (1, 3)]
    readings = [*it.read(), surroundings.opening(it, 1)]
    return surroundings.job(
        it,
        readings,
        tdc_check={"pairs": pairs, "mark_deg": 0, "pointer_set": False},
        cam_surveys=[surroundings.survey(it, 2)],
        index_readings=lines,
    )


def test_the_record_holds_every_pair_and_every_row_as_entered_and_what_they_say() -> None:
    job_tree = surrounded()
    job = read_job(json.dumps(job_tree))
    found = assess(job)
    html = record(found, job)
    paper = Paper(html)
    assert_sound(html, paper)
    for before, after in job_tree["tdc_check"]["pairs"]:
        assert f"{raw(before)}° and {raw(after)}°" in paper.words
    for angle, lift in job_tree["cam_surveys"][0]["measured"]:
        assert f"{raw(angle)}°: {raw(lift)} mm" in paper.words
    for row in job_tree["index_readings"]:
        for index, lift in row["points"]:
            assert f"{raw(index)}: {raw(lift)} mm" in paper.words
    assert found.tdc_check is not None
    assert found.tdc_check.as_found is not None
    assert found.tdc_check.as_found.text in paper.words
    told = [unit.cam_survey.text for unit in found.units if unit.cam_survey]
    told += [unit.index_line.text for unit in found.units if unit.index_line]
    assert len(told) == 3
    for text in told:
        assert text in paper.words
    assert "Pointer set after this checkno" in paper.words
    assert "changes no number of theirs and no verdict" in paper.words


def test_a_survey_too_long_for_paper_stays_in_the_file() -> None:
    job_tree = surrounded()
    rows = [[-60.0 + j / 2.0, 0.0] for j in range(61)]
    job_tree["cam_surveys"] = [{"unit": 3, "measured": rows}]
    job = read_job(json.dumps(job_tree))
    assert "61 rows, from −60.0° to −30.0°; they stand in the job file." in Paper(record(assess(job), job)).words


def test_page_terminal_and_working_say_it() -> None:
    html, found, job = shown_of(surrounded())
    assert found.tdc_check is not None
    assert found.tdc_check.as_found is not None
    assert html.count('id="tdc-check"') == 1
    assert found.tdc_check.as_found.text in html
    assert html.count("sm-cam-survey") == 1
    second = next(unit for unit in found.units if unit.unit == 2)
    assert second.cam_survey is not None
    # Told once, where the cause is told.
    assert html.count(second.cam_survey.text) == 1
    for words in ("camshaft drive", "cam part of the survey S<sub>c</sub>", "lift for each step b", "u(d)"):
        assert words in html
    said = " ".join(terminal.report(found).split())
    assert f"TDC check, as found: {found.tdc_check.as_found.text}" in said
    assert second.cam_survey.text in said
    working = terminal.working(found, job, 2)
    assert "Unit 2, as found: Cam survey" in working
    assert all(len(line) <= terminal.WIDTH for line in terminal.report(found).splitlines())


def test_without_them_nothing_is_said() -> None:
    job_tree = engine_job(readings=[*both(1), opening(1, 1.75)])
    html, found, job = shown_of(job_tree)
    for text in (html, terminal.report(found), record(found, job), findings_csv(found)):
        assert "survey" not in text.lower()
        assert "TDC check" not in text.replace("TDC check with equal heights", "").replace("better TDC check", "")
        assert "index_line" not in text


def test_tables_in_a_list_have_a_line_for_each_row() -> None:
    job_tree = engine_job(readings=both(1))
    job_tree["index_readings"] = [{"unit": 1, "stage": "as_left", "points": STEPS}]
    lines = table_csv(read_job(json.dumps(job_tree)), "index_readings").lstrip("\ufeff").splitlines()
    assert lines == [
        "stage,unit,points.fuel_index,points.spill_lift_mm [mm]",
        "as_left,1,21.0,15.0",
        "as_left,1,42.0,21.1",
        "as_left,1,63.0,27.25",
    ]


def test_findings_have_a_column_where_any_unit_has_it() -> None:
    head = findings_csv(assess(read_job(json.dumps(surrounded())))).splitlines()[0]
    assert "cam_survey.own_cam_part_deg" in head
    assert "index_line.zero_index" in head


def test_the_demo_says_it_on_the_page() -> None:
    html, _, _ = shown_of(tree(DEMO_FILES[0]))
    assert "Set the pointer, not the cam" in html
    html, _, job = shown_of(tree(DEMO_FILES[1]))
    assert "The cam survey agrees" in html
    assert page.working(assess(job), job, 5, "as_found").count("cam part of the survey") == 3
