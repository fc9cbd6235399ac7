"""`python -m calc record`, `handover` and `csv`: what they write, where, and with which status."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from calc import assess, read_job
from calc.command.main import main
from calc.job.write import checksum
from calc.show.blank import blank_form
from calc.show.handover import handover_page
from calc.show.record import record
from calc.show.sheet import findings_csv, readings_csv, table_csv, table_names
from calc.work.begun import begun_file
from tests.jobs import DEMO_FILES, MAIN, tree

ROOT = Path(__file__).parent.parent.parent
FINE = DEMO_FILES[1]
JOB = read_job(MAIN.read_bytes())
WRITES: dict[tuple[str, ...], str] = {
    ("record",): record(assess(JOB), JOB),
    ("record", "--blank"): blank_form(begun_file(tree())),
    ("handover",): handover_page(begun_file(tree())),
    ("csv",): readings_csv(JOB),
    ("csv", "--findings"): findings_csv(assess(JOB)),
    **{("csv", "--table", name): table_csv(JOB, name) for name in table_names()},
}


@pytest.mark.parametrize("arguments", list(WRITES), ids=" ".join)
def test_it_writes_to_standard_output_or_to_a_file(arguments: tuple[str, ...], tmp_path: Path) -> None:
    out = tmp_path / "out"
    for option in ("--out", "-o"):
        assert main([*arguments, str(MAIN), option, str(out)]) == 1
        assert out.read_bytes() == WRITES[arguments].encode()
        out.unlink()
    done = subprocess.run(
        [sys.executable, "-m", "calc", *arguments, str(MAIN)],
        cwd=ROOT,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        capture_output=True,
        check=False,
    )
    # UTF-8 whatever the terminal speaks: it is a file.
    assert done.stdout == WRITES[arguments].encode()
    assert done.stderr == b""
    assert done.returncode == 1


def test_status_is_that_of_check(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = str(tmp_path / "out")
    for path in DEMO_FILES:
        expected = main(["check", str(path)])
        assert main(["record", str(path), "--out", out]) == expected
        assert main(["csv", str(path), "--out", out]) == expected
    assert main(["record", str(FINE), "--out", out]) == 0


@pytest.mark.parametrize("command", ["record", "csv"])
def test_a_job_that_cannot_be_used_gives_the_errors_of_check_and_no_file(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tree()
    del job["reference"]["fuel_index"]
    job["engine"]["units"] = 25
    path, out = tmp_path / "bad.json", tmp_path / "out"
    path.write_text(json.dumps(job), "utf-8")
    assert main(["check", str(path)]) == 2
    expected = capsys.readouterr().err
    assert main([command, str(path), "--out", str(out)]) == 2
    shown = capsys.readouterr()
    assert shown.err == expected
    assert "reference.fuel_index" in shown.err
    assert not out.exists()
    assert main([command, str(tmp_path / "missing.json")]) == 2
    assert "no such file" in capsys.readouterr().err


def test_a_place_that_cannot_be_written_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", str(MAIN), "--out", str(tmp_path)]) == 2
    shown = capsys.readouterr()
    assert str(tmp_path) in shown.err
    assert "cannot be written: is a directory" in shown.err


def test_half_a_character_does_not_stop_it(tmp_path: Path) -> None:
    job = tree()
    job["title"] = "lone \ud800"
    job["readings"][0]["gauges"] = "\udfff"
    path, out = tmp_path / "job.json", tmp_path / "out"
    path.write_text(json.dumps(job), "utf-8")
    for arguments in WRITES:
        assert main([*arguments, str(path), "--out", str(out)]) == 1
        out.read_bytes().decode("utf-8")


@pytest.mark.parametrize("arguments", [("handover",), ("record", "--blank")], ids=" ".join)
def test_a_job_with_gaps_gives_a_handover_page_and_forms(arguments: tuple[str, ...], tmp_path: Path) -> None:
    path, out = tmp_path / "begun.json", tmp_path / "out.html"
    path.write_text('{"format": "spillmark-job", "version": 1, "vessel": "Begun", "engine": {"units": 3}}', "utf-8")
    assert main([*arguments, str(path), "--out", str(out)]) == 1
    assert "Begun" in out.read_text("utf-8")
    out.unlink()
    path.write_text('{"format": "spillmark-findings"}', "utf-8")
    assert main([*arguments, str(path), "--out", str(out)]) == 2
    assert not out.exists()


def test_the_check_sum_of_a_faulty_file_is_that_of_the_file(tmp_path: Path) -> None:
    job = tree()
    job["engine"]["units"] = "seven"
    path, out = tmp_path / "bad.json", tmp_path / "out.html"
    path.write_text(json.dumps(job), "utf-8")
    assert main(["handover", str(path), "--out", str(out)]) == 1
    assert checksum(job) in out.read_text("utf-8")


def test_findings_and_another_list_do_not_go_into_one_table(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["csv", "--findings", "--table", "runs", str(MAIN)])
    assert "not allowed with" in capsys.readouterr().err
