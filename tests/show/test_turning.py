"""What people see of a turning plan: words, timetable, picture, sheet."""

import json
import re
from dataclasses import replace
from functools import cache
from xml.etree import ElementTree

import jsonschema
import pytest

from calc.job.model import Job
from calc.job.schema import schema_of
from calc.job.write import job_to_tree
from calc.plan.turning.timetable import Plan
from calc.show.turning_chart import turning_chart
from calc.show.turning_page import turning_plan
from calc.show.turning_sheet import turning_sheet
from calc.show.turning_terminal import report
from calc.show.turning_words import NOTHING_TO_DO, TURN_BACK, stop_words, summary
from calc.work.begun import begun_file
from tests.judge.test_words import assert_plain
from tests.plan.engines import engine, job_of, planned

CASES = [
    (1, 1, False, None),
    (6, 1, True, None),
    (6, 2, False, None),
    (6, 3, False, None),
    (12, 4, False, None),
    (5, 2, False, 123.0),
]


@cache
def case(units: int, sets: int, ahead_only: bool, from_deg: float | None) -> tuple[Plan, Job]:
    tree = engine(units, spread=0.6, seed=units)
    tree["title"] = "<b>Turning</b> & more"
    tree["vessel"] = "MV <Invented>"
    done = {1: "base", 2: "opening"} if from_deg is not None else None
    until = "bounding" if units > 6 else None
    return planned(tree, sets, ahead_only=ahead_only, from_deg=from_deg, done=done, until=until), job_of(tree)


@pytest.mark.parametrize("which", CASES, ids=str)
def test_the_words_are_plain(which: tuple[int, int, bool, float | None]) -> None:
    plan, job = case(*which)
    for words in summary(plan, job):
        assert_plain(words)
    for stop in stop_words(plan):
        for line in stop.lines:
            assert_plain(line)
    for notice in plan.notices:
        assert_plain(notice.text)


def test_how_good_the_plan_is() -> None:
    proven, job = case(6, 2, False, None)
    assert "It is proven that no plan costs less." in summary(proven, job)[0]
    some, none = replace(proven, optimal=False, lower_bound_deg=1000.0), replace(proven, optimal=False, lower_bound_deg=0.0)
    share = 100.0 * (1.0 - 1000.0 / proven.cost_deg)
    assert f"No plan costs less than 1000.0°: at most {share:.1f} % could be saved." in summary(some, job)[0]
    assert "not looked at yet" in summary(none, job)[0]


@pytest.mark.parametrize("which", CASES, ids=str)
def test_every_task_is_told_at_its_stop(which: tuple[int, int, bool, float | None]) -> None:
    plan, _ = case(*which)
    for stop, words in zip(plan.stops, stop_words(plan), strict=True):
        assert len(words.do) == max(1, len(stop.tasks))
        for task, line in zip(stop.tasks, words.do, strict=False):
            assert line.startswith(f"Unit {task.unit}")
            assert f"set {task.set}" in line
        if not stop.tasks:
            assert words.do == [NOTHING_TO_DO if stop.direction == "start" else TURN_BACK]


def test_a_set_that_moves_is_told_from_where_to_where() -> None:
    plan, _ = case(6, 2, False, None)
    lines = [line for words in stop_words(plan) for line in words.do]
    mounted = [re.match(r"Unit (\d+): mount set (\d)(?: from unit (\d+))?", line) for line in lines]
    where: dict[str, str] = {}
    moves = [found.groups() for found in mounted if found]
    assert len(moves) == 6
    for unit, number, before in moves:
        assert before == where.get(number)
        where[number] = unit


def test_passing_a_unit_backwards_is_a_caution_and_only_then() -> None:
    """Astern from a peak down to the base circle the unit's end and start are passed; ahead nothing of the kind is said."""
    plan, _ = case(1, 1, False, None)
    words = stop_words(plan)
    assert [each.on_the_way for each in words] == [None, "On the way do not read unit 1: turning astern.", None, None]
    ahead, _ = case(6, 1, True, None)
    assert not any(each.on_the_way for each in stop_words(ahead))


def test_a_job_for_astern_reads_mirrored() -> None:
    tree = engine(1)
    tree["reference"]["rotation"] = "astern"
    plan = planned(tree, 1)
    words = stop_words(plan)
    assert [each.on_the_way for each in words] == [None, "On the way do not read unit 1: turning ahead.", None, None]
    assert [stop.direction for stop in plan.stops] == ["start", "ahead", "astern", "astern"]
    sheet = turning_sheet(plan, begun_file(tree))
    assert '<p class="direction">Astern. Before and after TDC are meant in astern rotation.</p>' in sheet
    assert "turn back well beyond, and come up astern again." in sheet


@pytest.mark.parametrize("which", CASES, ids=str)
def test_the_terminal_has_80_columns_and_no_steering(which: tuple[int, int, bool, float | None]) -> None:
    plan, job = case(*which)
    text = report(plan, job)
    assert max(map(len, text.splitlines())) <= 80
    assert "\x1b" not in text
    assert "\x1b[1m" in report(plan, job, colour=True)


@pytest.mark.parametrize("which", CASES, ids=str)
def test_the_picture_shows_every_stop_and_every_time_a_set_is_mounted(which: tuple[int, int, bool, float | None]) -> None:
    plan, _ = case(*which)
    svg = ElementTree.fromstring(turning_chart(plan).replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1))
    name = "{http://www.w3.org/2000/svg}"
    assert len(svg.findall(f".//{name}circle")) == len(plan.stops)
    groups = [each for each in svg.findall(f".//{name}g") if each.get("class") == "sm-set"]
    assert sorted(int(str(each.get("data-unit"))) for each in groups) == sorted(plan.units)
    texts = [each.text for each in svg.findall(f".//{name}text")]
    for number in range(1, plan.sets + 1):
        assert f"set {number}" in texts
    width, height = map(float, str(svg.get("viewBox")).split()[2:])
    for each in svg.iter():
        for key, most in (("x", width), ("cx", width), ("y", height), ("cy", height)):
            if each.get(key) is not None:
                assert 0.0 <= float(str(each.get(key))) <= most
        for key in ("width", "height"):
            assert each.get(key) is None or float(str(each.get(key))) > 0.0


def test_the_picture_is_told_in_words() -> None:
    plan, _ = case(1, 1, False, None)
    described = re.search(r"<desc>(.*?)</desc>", turning_chart(plan))
    assert described is not None
    turn = [stop.turn_deg for stop in plan.stops]
    assert described.group(1) == (f"From 30.00°: astern {turn[1]:.2f}°, ahead {turn[2] + turn[3]:.2f}°. Set 1 is on unit 1.")


def test_no_colour_is_needed() -> None:
    """Ink and paper: nothing in the picture has a colour of its own."""
    for which in CASES:
        fills = set(re.findall(r'(?:fill|stroke)="([^"]+)"', turning_chart(case(*which)[0])))
        assert fills <= {"currentColor", "none", "var(--md-default-bg-color, white)"}


@pytest.mark.parametrize("which", CASES, ids=str)
def test_the_table_says_what_the_picture_shows(which: tuple[int, int, bool, float | None]) -> None:
    plan, job = case(*which)
    page = turning_plan(plan, job)
    assert page.count('<th scope="row">') == len(plan.stops)
    for stop in plan.stops:
        assert f"{stop.flywheel_deg:.2f}°" in page
    assert f'data-optimal="{"true" if plan.optimal else "false"}"' in page
    assert page.count("<svg") == 1


def test_the_sheet_is_escaped_large_and_has_boxes_to_tick() -> None:
    plan, job = case(6, 2, False, None)
    sheet = turning_sheet(plan, begun_file(job_to_tree(job)))
    assert "<b>Turning" not in sheet
    assert "&lt;b&gt;Turning&lt;/b&gt; &amp; more" in sheet
    assert sheet.count("☐ Unit") == 24
    assert 'class="station"' in sheet
    assert (
        sheet.index("Warning: One person commands.") < sheet.index("Before every move: count everyone") < sheet.index("<table")
    )
    assert "☐ On the way" not in sheet


def test_nothing_left_makes_no_empty_table() -> None:
    tree = engine(2)
    plan, job = planned(tree, 1, done={1: "opening", 2: "opening"}), job_of(tree)
    assert "<table" not in turning_plan(plan, job)
    assert "<svg" not in turning_sheet(plan, begun_file(tree))
    assert "Nothing is left to do." in report(plan, job)


@pytest.mark.parametrize("which", CASES, ids=str)
def test_the_plan_fits_its_schema(which: tuple[int, int, bool, float | None]) -> None:
    plan, _ = case(*which)
    jsonschema.validate(json.loads(json.dumps(plan.to_json())), schema_of(Plan, "Spillmark plan", result=True))
