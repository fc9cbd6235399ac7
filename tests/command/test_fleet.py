"""Many files: in order, by several processes or one, whatever is wrong with some of them."""

import json
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from calc import assess
from calc.command import check, fleet
from calc.command.check import Checked
from calc.command.main import main
from calc.findings import Findings
from calc.job.model import Job
from site_demo.history import FOLDER
from site_demo.stamps import ROOT

MODELS = [path.read_text("utf-8") for path in sorted(FOLDER.glob("*.json"))]


def many(place: Path, count: int) -> Path:
    """So many job files, the last but one broken, one of another format."""
    for number in range(count):
        (place / f"job-{number:03}.json").write_text(MODELS[number % len(MODELS)], "utf-8")
    (place / f"job-{count - 2:03}.json").write_text("{", "utf-8")
    (place / "other.json").write_text('{"format": "spillmark-findings", "version": 1}', "utf-8")
    (place / "notes.txt").write_text("no job", "utf-8")
    return place


def name(checked: Checked) -> str:
    return Path(checked.file).name


def names(places: list[Path], processes: int | None = None) -> list[str]:
    return list(fleet.each([str(place) for place in places], name, processes))


def test_files_come_in_order_and_others_are_passed_over(tmp_path: Path) -> None:
    assert names([many(tmp_path, 3)]) == ["job-000.json", "job-001.json", "job-002.json"]
    single = tmp_path / "job-002.json"
    assert names([single, tmp_path, single])[::4] == ["job-002.json", "job-002.json"]


def test_two_processes_say_what_one_says(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    place = many(tmp_path, 40)
    told = []
    for processes in ("1", "2"):
        status = main(["check", "--json", "--processes", processes, str(place)])
        trend = main(["trend", "--json", "--processes", processes, str(place)])
        shown = capfd.readouterr()
        told.append((status, trend, shown.out, shown.err))
    assert told[0] == told[1]
    status, trend, out, err = told[0]
    assert (status, trend) == (2, 2)
    assert out.count('"spillmark-errors"') == 2
    assert err.count("job-038.json") == 1


class FaultError(Exception):
    """What no file should cause."""


def test_a_fault_of_the_program_costs_one_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def faulty(job: Job) -> Findings:
        if "6950" in (job.title or ""):
            raise FaultError("out of range")
        return assess(job)

    for at, text in enumerate(MODELS):
        (tmp_path / f"{at}.json").write_text(text, "utf-8")
    monkeypatch.setattr(check, "assess", faulty)
    found = {name(each): each for each in fleet.each([str(tmp_path)], lambda checked: checked)}
    assert len(found) == len(MODELS)
    bad = [each for each in found.values() if each.findings is None]
    assert [name(each) for each in bad] == ["2.json"]
    assert "The program failed on this file (FaultError: out of range). Report it" in bad[0].errors[0].text


def test_an_empty_folder_is_refused_and_the_others_are_told(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "full").mkdir()
    many(tmp_path / "full", 3)
    assert names([tmp_path / "empty", tmp_path / "full"])[-1] == "empty"


def test_answers_are_taken_as_they_are_wanted(tmp_path: Path) -> None:
    """Who reads slowly does not fill the memory: nothing is judged before it is asked for, but for the little ahead."""
    judged: list[str] = []

    def note(checked: Checked) -> str:
        judged.append(checked.file)
        return checked.file

    told = fleet.each([str(many(tmp_path, 30))], note, 1)
    next(told)
    assert len(judged) == 1
    next(told)
    assert len(judged) == 2


def test_processes_work_only_a_little_ahead() -> None:
    taken: list[int] = []

    def numbers() -> Iterator[fleet.File]:
        for number in range(10_000):
            taken.append(number)
            yield "", f"{number}", False

    told = fleet._by_all(_echo, numbers(), 2)
    assert next(told) == "0"
    assert len(taken) <= fleet._AHEAD * 2 * fleet._AT_ONCE
    told.close()


def _echo(file: fleet.File) -> str:
    return file[1]


def test_progress_is_on_standard_error(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fleet, "_TELL_FIRST_S", 0.0)
    monkeypatch.setattr(fleet, "_TELL_EVERY_S", 0.0)
    assert main(["check", "--json", str(many(tmp_path, 4))]) == 2
    shown = capsys.readouterr()
    assert shown.err.splitlines()[0].startswith("1 of 5 files, ")
    assert shown.err.splitlines()[-1].startswith("5 of 5 files, ")
    assert all(json.loads(line)["file"] for line in shown.out.splitlines())


def test_stopped_by_hand_it_says_so_and_leaves_nothing_running(tmp_path: Path) -> None:
    place = many(tmp_path, 3000)
    command = [sys.executable, "-m", "calc", "check", "--json", "--processes", "2", str(place)]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.readline()
        running.send_signal(signal.SIGINT)
        # The pipes end when the last process that holds them has ended.
        running.stdout.read()
        err = running.stderr.read()
    assert running.returncode == 130
    assert err.splitlines()[-1] == "Stopped by hand."
    assert "Traceback" not in err
