"""`python -m calc plan`: the plan for people and programs, subsets, interruptions, refusals, status."""

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from calc import assess, read_job
from calc.command import plan as command
from calc.command.main import main, parser
from calc.plan.turning.solve import ways
from calc.plan.turning.stations import OPENING, TASKS
from calc.plan.turning.timetable import Plan
from calc.show.reference import commands
from tests.command.test_check import python, write
from tests.jobs import MAIN, tree
from tests.plan.engines import engine, planned
from tests.plan.replay import replay

ROOT = Path(__file__).parent.parent.parent


def given(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    """The plan as JSON, from a command that succeeds and says nothing else."""
    assert main(["plan", *arguments, "--json"]) == 0
    shown = capsys.readouterr()
    assert shown.err == ""
    plan: dict[str, Any] = json.loads(shown.out)
    return plan


def test_json_is_the_plan_and_keeps_the_rules(capsys: pytest.CaptureFixture[str]) -> None:
    plan = given(capsys, str(MAIN), "--sets", "2")
    assert (plan["format"], plan["version"], plan["sets"], plan["ahead_only"]) == ("spillmark-plan", 1, 2, False)
    assert plan["optimal"] is True
    assert plan["lower_bound_deg"] == plan["cost_deg"] == pytest.approx(replay(tree(), plan))
    assert plan["stops"][0].keys() == {"flywheel_deg", "direction", "turn_deg", "tasks"}
    assert plan["stops"][0]["tasks"][0].keys() == {"unit", "task", "set"}
    assert plan["one_by_one"]["cost_deg"] > plan["cost_deg"]
    assert plan["from_deg"] is None


def test_ahead_only(capsys: pytest.CaptureFixture[str]) -> None:
    plan = given(capsys, str(MAIN), "--sets", "3", "--ahead-only")
    assert plan["reversals"] == 0
    replay(tree(), plan)


def test_some_units_only(capsys: pytest.CaptureFixture[str]) -> None:
    for spelled in ("1,3,5", "5, 3 ,1", "1 3 5"):
        plan = given(capsys, str(MAIN), "--sets", "2", "--units", spelled)
        assert plan["units"] == [1, 3, 5]
        replay(tree(), plan, units=[1, 3, 5])


def test_going_on_after_an_interruption(capsys: pytest.CaptureFixture[str]) -> None:
    done = {1: "opening", 6: "base", 3: "peak"}
    for spelled in (["1", "--done", "6:base:2", "--done", "3:peak"], ["1:opening,6:base:2, 3:peak"]):
        plan = given(capsys, "--sets", "2", "--from", "120", "--done", *spelled, str(MAIN))
        replay(tree(), plan, from_deg=120.0, done=done)
        sets = {task["unit"]: task["set"] for stop in plan["stops"] for task in stop["tasks"] if task["unit"] in (3, 6)}
        assert sets == {6: 2, 3: 1}
        assert plan["units"] == [2, 3, 4, 5, 6, 7]
        assert plan["one_by_one"] is None


def test_people_read_what_it_costs_first_then_stop_after_stop_in_80_columns() -> None:
    done = python("plan", str(MAIN), "--sets", "3", PYTHONIOENCODING="utf-8")
    lines = done.stdout.decode().splitlines()
    assert done.returncode == 0
    assert done.stderr == b""
    assert lines[0] == "Turning plan: 7 units, 3 gauge sets, ahead and astern"
    assert max(map(len, lines)) <= 80
    assert b"\x1b" not in done.stdout
    text = " ".join(done.stdout.decode().split())
    for words in ("Demo: ship and numbers are invented.", "It is proven that no plan costs less.", "One person commands."):
        assert words in text
    assert re.search(r"This plan saves \d+ %\. It takes about ", text)
    stops = [line for line in lines if re.match(r" +\d+ +\d+\.\d\d° +(begin here|ahead|astern)", line)]
    assert len(stops) > 10
    assert "(engine.take_up_deg)" in text


def test_a_terminal_without_the_signs_still_gets_words() -> None:
    done = python("plan", str(MAIN), "--sets", "1", PYTHONIOENCODING="ascii")
    assert done.returncode == 0
    assert b" deg" in done.stdout


def test_a_plan_that_is_cut_short_says_so(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(MAIN), "--sets", "3", "--seconds", "0"]) == 0
    assert "Whether another plan costs less is not looked at yet." in " ".join(capsys.readouterr().out.split())
    plan = given(capsys, str(MAIN), "--sets", "3", "--seconds", "0")
    assert plan["optimal"] is False
    assert plan["lower_bound_deg"] < plan["cost_deg"]
    replay(tree(), plan)


def test_ctrl_c_takes_the_plan_so_far(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    def stopped(request: Any) -> Any:
        for progress in ways(request):
            yield progress
            if progress.way is not None:
                raise KeyboardInterrupt

    monkeypatch.setattr(command, "ways", stopped)
    plan = given(capsys, str(MAIN), "--sets", "3")
    assert plan["optimal"] is False
    replay(tree(), plan)


def test_somebody_who_watches_sees_how_far_it_is(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    monkeypatch.setattr(command, "_SIGNS_OF_LIFE_S", 0.0)
    assert main(["plan", str(MAIN), "--sets", "3"]) == 0
    told = capsys.readouterr().err
    assert re.search(r"Looking for a plan, \d+ %", told)
    assert re.search(r"Looking for what no plan can undercut, \d+ %\. Plan: \d+\.\d, no plan below \d+\.\d\. Ctrl-C", told)
    assert told.endswith("\r")


def test_a_job_that_lacks_what_a_plan_needs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tree()
    del job["engine"]["cam_peak_deg"]
    path = str(write(tmp_path, "job.json", job))
    assert main(["plan", path, "--sets", "1"]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert "engine.cam_peak_deg" in shown.err
    assert main(["plan", path, "--sets", "1", "--json"]) == 2
    shown = capsys.readouterr()
    errors = json.loads(shown.out)
    assert errors["format"] == "spillmark-errors"
    assert [error["where"] for error in errors["errors"]] == ["engine.cam_peak_deg"]
    assert "engine.cam_peak_deg" in shown.err


def test_all_that_is_wrong_is_told_in_one_pass(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tree()
    job["engine"]["base_circle_from_deg"] = "100"
    del job["engine"]["cam_peak_deg"]
    del job["reference"]["fuel_index"]
    assert main(["plan", str(write(tmp_path, "job.json", job)), "--sets", "1", "--json"]) == 2
    errors = json.loads(capsys.readouterr().out)["errors"]
    assert [error["where"] for error in errors] == [
        "engine.base_circle_from_deg",
        "reference.fuel_index",
        "engine.cam_peak_deg",
    ]


@pytest.mark.parametrize("content", ["{", "[]", "{}", '{"engine": 3}'])
def test_no_job_at_all(content: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(write(tmp_path, "job.json", content)), "--sets", "1", "--json"]) == 2
    assert json.loads(capsys.readouterr().out)["errors"]


def test_a_file_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(tmp_path / "none.json"), "--sets", "1"]) == 2
    assert "no such file" in capsys.readouterr().err


USAGE = [
    ([], "--sets"),
    (["--sets", "0"], "A plan needs 1 or more"),
    (["--sets", "-1"], "A plan needs 1 or more"),
    (["--sets", "two"], "--sets"),
    (["--sets", "1", "--units", "1;2"], "--units: '1;2' found. Write unit numbers with commas"),
    (["--sets", "1", "--units", "8"], "The engine has units 1 to 7"),
    (["--sets", "1", "--units", ","], "an empty list found"),
    (["--sets", "1", "--done", "1:lunch"], "--done: '1:lunch' found. Write unit, last task and set"),
    (["--sets", "1", "--done", "x"], "--done: 'x' found"),
    (["--sets", "1", "--done", "1:peak:a"], "--done: '1:peak:a' found"),
    (["--sets", "1", "--done", "1:peak:1:1"], "found"),
    (["--sets", "1", "--done", "1:peak", "--done", "1:base"], "unit 1 found twice"),
    (["--sets", "1", "--done", "1:peak"], "where the flywheel stands is missing"),
    (["--sets", "1", "--from", "400"], "Enter an angle from 0 to 360"),
    (["--sets", "1", "--from", "nan"], "Enter an angle from 0 to 360"),
]


@pytest.mark.parametrize(("arguments", "words"), USAGE)
def test_usage_errors_have_status_2(arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["plan", str(MAIN), *arguments])
    assert ended.value.code == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "usage:" in told
    assert words in told


def test_the_sheet_goes_to_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = tmp_path / "sheet.html"
    assert main(["plan", str(MAIN), "--sets", "2", "--sheet", str(sheet)]) == 0
    assert sheet.read_text("utf-8").startswith("<!doctype html>")
    assert main(["plan", str(MAIN), "--sets", "2", "--sheet", str(tmp_path / "no" / "sheet.html")]) == 2
    assert "cannot be written" in capsys.readouterr().err


def test_a_job_for_astern(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = engine(3)
    job["reference"]["rotation"] = "astern"
    path = str(write(tmp_path, "job.json", job))
    plan = given(capsys, path, "--sets", "1", "--ahead-only")
    assert {stop["direction"] for stop in plan["stops"]} == {"start", "astern"}
    replay(job, plan)
    assert main(["plan", path, "--sets", "1", "--ahead-only"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "1 gauge set, astern only" in text
    assert "Astern. Before and after TDC are meant in astern rotation." in text
    assert "Read start and end only when they are reached astern." in text
    assert re.search(r"\bahead\b", text, re.IGNORECASE) is None


def test_the_help_names_every_task() -> None:
    done = next(action for action in commands(parser())["plan"]._actions if action.dest == "done")
    assert f"({', '.join(TASKS)}; {OPENING} where none is named)" in str(done.help)


def test_no_page_and_no_other_command_waits_for_the_plan() -> None:
    """What starts with the worksheet and what judges a job load none of it; asking for a plan does."""
    source = (
        "import json, sys\n"
        "from calc import browser\n"
        "from calc.command.main import main\n"
        "there = lambda: sum('turning' in name or name == 'calc.command.plan' for name in sys.modules)\n"
        "main(['check', sys.argv[1], '--json'])\n"
        "main(['record', sys.argv[1]])\n"
        "browser.respond(json.dumps({'do': 'assess', 'texts': {}, 'base': {}}))\n"
        "before = there()\n"
        "main(['plan', sys.argv[1], '--sets', '1', '--units', '1'])\n"
        "print(before, there() > 5)\n"
    )
    done = subprocess.run([sys.executable, "-c", source, MAIN], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.stderr == ""
    assert done.stdout.splitlines()[-1] == "0 True"


def test_what_only_a_plan_rests_on_is_told_in_a_plan_and_not_with_the_findings() -> None:
    job = tree()
    alone = {f"engine.{name}" for name in ("take_up_deg", "reversal_deg", "minutes_per_stop")}
    for path in alone:
        job["engine"].pop(path.partition(".")[2], None)
    found = assess(read_job(json.dumps(job)))
    assert not {notice.where for notice in found.notices} & alone
    assert alone <= {notice.where for notice in planned(job, 1, units=[1]).notices}


def test_an_engine_of_one_unit_and_nothing_left(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = str(write(tmp_path, "job.json", engine(1)))
    assert main(["plan", path, "--sets", "1"]) == 0
    assert "saves" not in capsys.readouterr().out
    assert main(["plan", path, "--sets", "1", "--done", "1"]) == 0
    assert "Nothing is left to do." in capsys.readouterr().out


def test_the_plan_keeps_every_field_of_its_description(capsys: pytest.CaptureFixture[str]) -> None:
    from calc.job.describe import fields_of

    plan = given(capsys, str(MAIN), "--sets", "1", "--units", "1")
    # The direction is left out where the job names none, as in the findings.
    assert list(plan) == [field.name for field in fields_of(Plan) if field.name != "rotation"]
