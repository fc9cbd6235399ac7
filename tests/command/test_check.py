"""`python -m calc check`: output for people and programs, several files, status."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from calc import assess, read_job
from calc.command.main import main
from tests.jobs import DEMO_FILES, DEMO_FOLDER, MAIN, tree

ROOT = Path(__file__).parent.parent.parent
FINE = DEMO_FILES[1]


def write(folder: Path, name: str, content: object) -> Path:
    path = folder / name
    path.write_text(content if isinstance(content, str) else json.dumps(content), encoding="utf-8")
    return path


def python(*arguments: str, **environment: str) -> "subprocess.CompletedProcess[bytes]":
    return subprocess.run(
        [sys.executable, "-m", "calc", *arguments],
        cwd=ROOT,
        env={**os.environ, **environment},
        capture_output=True,
        check=False,
    )


@pytest.mark.parametrize(("path", "status"), [(FINE, 0), (MAIN, 1), (DEMO_FILES[2], 1)])
def test_status_follows_the_summary(path: Path, status: int, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(path)]) == status
    assert capsys.readouterr().err == ""


def test_json_is_the_findings(capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", "--json", str(MAIN)])
    out = capsys.readouterr().out
    assert json.loads(out) == json.loads(json.dumps(assess(read_job(MAIN.read_bytes())).to_json()))
    assert out.isascii()


def test_people_read_the_answer_first_in_80_columns_without_colour() -> None:
    done = python("check", str(MAIN), PYTHONIOENCODING="utf-8")
    lines = done.stdout.decode().splitlines()
    assert lines[0] == "Outside"
    assert "invented" in lines[2]
    assert max(map(len, lines)) <= 80
    assert b"\x1b" not in done.stdout
    assert done.returncode == 1


def test_a_terminal_without_the_signs_still_gets_words() -> None:
    done = python("check", str(MAIN), PYTHONIOENCODING="ascii")
    assert done.returncode == 1
    assert b"+/-" in done.stdout
    assert b" deg" in done.stdout


def test_colour_only_on_a_terminal() -> None:
    from calc.show.terminal import report

    found = assess(read_job(MAIN.read_bytes()))
    assert "\x1b[31mOutside" in report(found, colour=True)
    assert "\x1b" not in report(found)


def test_text_from_a_file_cannot_steer_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tree()
    job["title"] = "a\x1b[2Jb\x07\u202e"
    main(["check", str(write(tmp_path, "job.json", job))])
    out = capsys.readouterr().out
    assert "a?[2Jb??" in out
    assert "\x1b" not in out


def test_a_lone_surrogate_does_not_stop_it(tmp_path: Path) -> None:
    job = tree()
    job["title"] = "lone \ud800"
    path = write(tmp_path, "job.json", job)
    for extra in ([], ["--json"]):
        done = python("check", str(path), *extra)
        assert done.returncode == 1
        assert done.stderr == b""


def test_errors_all_at_once_on_stderr_and_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tree()
    del job["reference"]["fuel_index"]
    job["engine"]["units"] = 25
    job["readings"][0]["plunger_lift_mm"] = ["12,3", 12.3]
    path = write(tmp_path, "bad.json", job)
    assert main(["check", str(path)]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    for place in ("engine.units", "reference.fuel_index", "readings[0].plunger_lift_mm[0]"):
        assert place in shown.err
    assert main(["check", "--json", str(path)]) == 2
    shown = capsys.readouterr()
    errors = json.loads(shown.out)
    assert (errors["format"], errors["version"]) == ("spillmark-errors", 1)
    assert [error["where"] for error in errors["errors"]] == [
        "engine.units",
        "reference.fuel_index",
        "readings[0].plunger_lift_mm[0]",
    ]
    assert all(error.keys() == {"where", "found", "text"} for error in errors["errors"])
    assert "engine.units" in shown.err


@pytest.mark.parametrize("name", ["missing.json", ""])
def test_a_file_that_cannot_be_read(tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(tmp_path / name)]) == 2
    err = capsys.readouterr().err
    assert ("no such file" in err) if name else ("no job file (*.json) in this folder" in err)


def test_several_files_give_a_line_each(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = write(tmp_path, "bad.json", "{")
    assert main(["check", "--json", str(FINE), str(bad), str(MAIN)]) == 2
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [line["file"] for line in lines] == [str(FINE), str(bad), str(MAIN)]
    assert [line["format"] for line in lines] == ["spillmark-findings", "spillmark-errors", "spillmark-findings"]
    assert next(iter(lines[0])) == "file"


def test_a_folder_by_name_not_deeper_other_formats_passed_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(tmp_path, "b.json", tree(FINE))
    write(tmp_path, "a.json", tree(MAIN))
    write(tmp_path, "findings.json", {"format": "spillmark-findings", "version": 1})
    write(tmp_path, "notes.txt", "x")
    (tmp_path / "deeper").mkdir()
    write(tmp_path / "deeper", "c.json", tree())
    assert main(["check", "--json", str(tmp_path)]) == 1
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [Path(line["file"]).name for line in lines] == ["a.json", "b.json"]
    assert main(["check", str(tmp_path)]) == 1
    assert "a.json" in capsys.readouterr().out


def test_a_folder_of_other_formats_only_is_empty(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(tmp_path, "findings.json", {"format": "spillmark-findings", "version": 1})
    assert main(["check", "--json", str(tmp_path)]) == 2
    assert json.loads(capsys.readouterr().out)["format"] == "spillmark-errors"


def test_a_broken_file_in_a_folder_stops_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(tmp_path, "1.json", "no JSON")
    write(tmp_path, "2.json", tree(FINE))
    assert main(["check", "--json", str(tmp_path)]) == 2
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [line["format"] for line in lines] == ["spillmark-errors", "spillmark-findings"]


def test_the_working_names_its_sources(capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", "--working", "3", str(MAIN)])
    out = capsys.readouterr().out
    assert "Unit 3, as found: Start of delivery" in out
    assert "[JCGM 100:2008, eq. 10]" in out
    main(["check", "--working", "9", str(MAIN)])
    assert "Unit 9 has no reading in this job." in capsys.readouterr().out


def test_a_reader_that_goes_away_makes_no_noise() -> None:
    job = f"{sys.executable} -m calc check --json {DEMO_FOLDER} {DEMO_FOLDER} {DEMO_FOLDER} | head -c 10"
    done = subprocess.run(["sh", "-c", job], cwd=ROOT, capture_output=True, check=False)
    assert len(done.stdout) == 10
    assert done.stderr == b""


def test_help_is_made_from_the_fields(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["check", "--help"])
    out = capsys.readouterr().out
    assert "reference.angle_tolerance_deg" in out
    assert "Status: 0 within" in out
    assert main([]) == 0
    assert "check" in capsys.readouterr().out


def test_fields_lists_what_a_job_holds(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["fields", "instruments"]) == 0
    out = capsys.readouterr().out
    assert "instruments.plunger_gauge.step_mm  (needed)" in out
    assert "a number above 0, at most 10 mm" in out
    assert "engine" not in out
    assert main(["fields", "nothing"]) == 2
    assert "nothing" in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [["check"], ["judge"], ["check", "--sets", "3", "x"]])
def test_usage_errors_have_status_2(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 2
    assert "usage:" in capsys.readouterr().err
