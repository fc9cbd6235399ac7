"""`python -m calc trend`: a folder of past jobs to drift and the next check."""

import json
from pathlib import Path
from typing import Any

import pytest

from calc import assess, read_job
from calc.command.main import main
from calc.judge.history import history
from calc.judge.past import check_of
from calc.judge.wanted import Wanted
from tests.invented import both, engine_job


def folder(place: Path, slope: float = 0.012, count: int = 5) -> Path:
    """Past checks of one invented engine: unit 1 drifts, unit 2 stays."""
    for k in range(count):
        hours, wobble = 5000.0 + 6000.0 * k, 0.004 * (-1) ** k
        readings = [*both(1, angle_off=slope * 6.0 * k + wobble), *both(2, angle_off=0.1 + 2 * wobble)]
        tree = engine_job(readings=readings)
        tree["running_hours"] = hours
        (place / f"check-{k}.json").write_text(json.dumps(tree), encoding="utf-8")
    return place


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, Any, str]:
    status = main(["trend", "--json", *arguments])
    shown = capsys.readouterr()
    return status, json.loads(shown.out), shown.err


def test_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, found, err = run(capsys, str(folder(tmp_path)), "--interval", "7200", "--hours-per-day", "20")
    assert (status, err) == (0, "")
    assert (found["format"], found["version"], found["files"], found["errors"]) == ("spillmark-trend", 1, 5, [])
    [engine] = found["engines"]
    assert (engine["vessel"], engine["checks"], engine["last_hours"]) == ("Invented ship", 5, 29000.0)
    first, second = engine["units"]
    assert first["end"]["slope_per_1000_h"] == pytest.approx(0.012, abs=0.001)
    assert first["end"]["provable"] is True
    assert second["beginning"]["provable"] is False
    assert "points" not in first["end"]
    assert engine["next_check"]["hours"] <= 29000.0 + 7200.0


def test_told_engine_by_engine_it_is_the_history_of_all(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The command writes one engine after the other; together they are one valid file, the same as made at once."""
    for number, path in enumerate(sorted(folder(tmp_path).glob("*.json"))):
        tree = json.loads(path.read_text("utf-8"))
        tree["vessel"] = f"Invented ship {number % 2}"
        path.write_text(json.dumps(tree), encoding="utf-8")
    checks = []
    for path in sorted(tmp_path.glob("*.json")):
        job = read_job(path.read_text("utf-8"))
        check = check_of(job, assess(job), str(path))
        assert check is not None
        checks.append(check)
    status, found, _ = run(capsys, str(tmp_path), "--interval", "7200")
    assert status == 0
    assert found == {**history(checks, 5, [], Wanted(interval_h=7200.0)).to_json(), "errors": []}
    assert len(found["engines"]) == 2


def test_people_get_the_answer_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["trend", str(folder(tmp_path))]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "Invented ship"
    assert lines[1] == "5 units, 5 checks, 5000 to 29000 h, tolerance ±0.5°"
    assert "drifts by 0.012° later in 1000 h, proven" in " ".join(lines)
    assert max(map(len, lines)) <= 80


def test_a_bad_file_stops_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder(tmp_path) / "bad.json").write_text("{", encoding="utf-8")
    (tmp_path / "other.json").write_text('{"format": "spillmark-findings", "version": 1}', encoding="utf-8")
    status, found, err = run(capsys, str(tmp_path))
    assert status == 2
    assert found["engines"][0]["checks"] == 5
    assert [Path(each["file"]).name for each in found["errors"]] == ["bad.json"]
    assert found["errors"][0]["errors"][0]["where"] == ""
    assert "bad.json" in err


def test_an_empty_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, found, err = run(capsys, str(tmp_path))
    assert status == 2
    assert found["engines"] == []
    assert "no job file (*.json) in this folder" in err


def test_jobs_without_hours_are_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tree = engine_job(readings=both(1))
    del tree["running_hours"]
    (folder(tmp_path) / "later.json").write_text(json.dumps(tree), encoding="utf-8")
    status, found, _ = run(capsys, str(tmp_path), "--interval", "9000")
    assert status == 0
    assert [(notice["code"], Path(notice["where"]).name) for notice in found["notices"]] == [("no_hours", "later.json")]


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--interval", "x", "“x” is not understood"),
        ("--interval", "-1", "above 0, at most 1000000 h"),
        ("--hours-per-day", "25", "at most 24 h"),
        ("--call", "40", "A line holds days from today (d) and hours in port (h)"),
        ("--now", "nan", "“nan” is not understood"),
        ("--processes", "0", "whole number from 1 to 1024"),
    ],
)
def test_options_that_cannot_be(option: str, value: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["trend", str(tmp_path), f"{option}={value}"])
    assert ended.value.code == 2
    assert said in " ".join(capsys.readouterr().err.split())
