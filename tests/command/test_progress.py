"""`python -m calc progress`: its statuses, its words for people, and its JSON, which is what the worksheet says."""

import copy
import json
from pathlib import Path

import pytest

from calc.browser import respond
from calc.command.main import main
from calc.job.describe import RECORDS, fields_of
from calc.job.form import compose
from calc.job.steps import STEPS
from calc.job.write import checksum
from calc.work.report import Report
from tests.invented import Tree, both, opening
from tests.jobs import DEMO_FILES, MAIN, tree
from tests.work.sheets import whole_job

SOUND = [reading for unit in range(1, 6) for reading in both(unit)]


def put(folder: Path, content: object) -> str:
    path = folder / "job.json"
    path.write_text(content if isinstance(content, str) else json.dumps(content), "utf-8")
    return str(path)


def whole() -> Tree:
    return copy.deepcopy(compose(whole_job(SOUND, [opening(unit, 1.75) for unit in range(1, 6)])).tree)


def test_status_says_whether_the_job_is_complete(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["progress", put(tmp_path, whole())]) == 0
    assert capsys.readouterr().out.startswith("Complete\n")
    less = whole()
    del less["positions"][3]["restored"]
    assert main(["progress", put(tmp_path, less)]) == 1
    shown = capsys.readouterr().out
    assert shown.startswith("Not complete\n")
    assert "13 Put back: begun, 1 open\n   - Control and safety air: not put back yet." in shown
    assert main(["progress", put(tmp_path, [])]) == 2
    assert "not a job" in capsys.readouterr().err
    assert main(["progress", str(tmp_path / "none.json")]) == 2
    assert "no such file" in capsys.readouterr().err


def test_a_job_that_check_cannot_use_has_its_progress(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tree()
    del job["reference"]["fuel_index"]
    job["engine"]["speed_rpm"] = "rather fast"
    path = put(tmp_path, job)
    assert main(["check", path]) == 2
    capsys.readouterr()
    assert main(["progress", path]) == 1
    shown = " ".join(capsys.readouterr().out.split())
    assert "fuel index of the check: missing" in shown
    assert "To mend: typed, but counted nowhere" in shown
    assert "rather fast" in shown


@pytest.mark.parametrize("path", DEMO_FILES, ids=lambda path: path.stem)
def test_json_says_what_the_worksheet_says(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["progress", "--json", str(path)])
    made = json.loads(capsys.readouterr().out)
    form = json.loads(respond(json.dumps({"do": "open_file", "text": path.read_text("utf-8")})))
    work = json.loads(respond(json.dumps({"do": "assess", **form})))["work"]
    assert (made["complete"], made["text"]) == (work["complete"], work["text"])
    assert [(each["step"], each["state"], each["open"]) for each in made["steps"]] == [
        (each["id"], each["state"], each["missing"]) for each in work["steps"]
    ]
    assert [each["open"] for each in made["closing"]] == [each["items"] for each in work["closing"]]
    assert made["job"]["checksum"] == checksum(tree(path))
    assert [each["step"] for each in made["steps"]] == [step.code for step in STEPS]


def test_json_has_every_field_that_is_described(capsys: pytest.CaptureFixture[str]) -> None:
    main(["progress", "--json", str(MAIN)])
    made = json.loads(capsys.readouterr().out)
    assert list(made) == [field.name for field in fields_of(Report)]
    for field in fields_of(Report):
        if field.kind == RECORDS and field.record is not None:
            for row in made[field.name]:
                assert list(row) == [each.name for each in fields_of(field.record)]


def test_a_title_cannot_steer_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tree()
    job["title"] = "a\x1b[31mb"
    main(["progress", put(tmp_path, job)])
    assert "\x1b" not in capsys.readouterr().out
