"""Answers and trends for people: tables, pictures, and text from a file that stays text."""

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from calc.command.main import main
from calc.compute.registry import CALCULATIONS
from calc.compute.run import Computed, compute_tree
from calc.show.computed import clock, page_part, report
from calc.show.plots import picture_of
from tests.command.test_trend import folder
from tests.compute.answers import example

PICTURED = ("viscosity", "change_over", "trend", "cam_survey", "budget", "bolt_order", "fuel_index", "due", "tdc")


def done(name: str, **changes: object) -> Computed:
    return compute_tree(CALCULATIONS[name], example(name, **changes))


@pytest.mark.parametrize("name", PICTURED)
def test_these_have_a_picture_in_words_too(name: str) -> None:
    picture = picture_of(done(name))
    assert picture is not None
    tree = ElementTree.fromstring(picture)
    assert tree.attrib["role"] == "img"
    assert tree.attrib["aria-label"] == tree.findtext("title")
    assert len((tree.findtext("desc") or "").split()) > 8 or name == "budget"


def test_a_name_from_the_input_stays_text() -> None:
    evil = "<b onclick='x'>&</b>"
    shown = page_part(done("budget", parts=[{"name": evil, "u": 0.09}]))
    assert "<b " not in shown
    assert "&lt;b onclick" in shown
    assert "\x1b" not in report(done("budget", parts=[{"name": "a\x1b[2J", "u": 0.09}]))


def test_the_timetable_is_a_table_with_hours_and_minutes() -> None:
    said = report(done("change_over"))
    assert "from start  to stop  old fuel  temperature  sulphur  viscosity" in said
    assert "4:50     1:30" in said
    html = page_part(done("change_over"))
    assert "<caption>Timetable</caption>" in html
    assert '<th scope="col">old fuel, %</th>' in html


def test_a_cam_is_told_row_by_row() -> None:
    said = report(done("cam_survey"))
    assert "cam angle  measured  difference  slope of the flank" in said
    assert "Measured minus reference" not in said


def test_the_order_of_bolts_reads_as_passes() -> None:
    lines = [" ".join(line.split()) for line in report(done("bolt_order")).splitlines()]
    assert "Pass 2 1 5 3 7 2 6 4 8" in lines
    assert "Torque of each pass, 2 448 N·m" in lines


def test_hours_and_minutes_round_to_the_minute() -> None:
    assert clock(0.99999) == "1:00"
    assert clock(999.5) == "999:30"


def test_a_picture_to_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    from tests.command.test_compute import run

    place = tmp_path / "cam.svg"
    assert run(monkeypatch, example("cam_survey"), "cam_survey", "--picture", str(place)) == 0
    assert ElementTree.parse(place).getroot().tag == "{http://www.w3.org/2000/svg}svg"
    assert run(monkeypatch, example("torque"), "torque", "--picture", str(tmp_path / "no.svg")) == 0
    assert "has no picture" in capsys.readouterr().err
    assert run(monkeypatch, example("tdc"), "tdc", "--picture", str(tmp_path / "no" / "a.svg")) == 2
    assert "Name a file in a folder that you can write to." in capsys.readouterr().err


def test_a_picture_file_is_xml_whatever_a_name_holds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from tests.command.test_compute import run

    given = example("budget", parts=[{"name": "a\x01\ud800<b>", "u": 0.09}])
    assert run(monkeypatch, given, "budget", "--picture", str(tmp_path / "a.svg")) == 0
    assert "a??<b>" in "".join(ElementTree.parse(tmp_path / "a.svg").getroot().itertext())


def test_a_picture_of_each_engine(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    jobs = tmp_path / "jobs"
    jobs.mkdir()
    folder(jobs)
    other = json.loads((jobs / "check-0.json").read_text(encoding="utf-8"))
    other["vessel"] = "Another invented ship"
    (jobs / "other.json").write_text(json.dumps(other), encoding="utf-8")
    assert main(["trend", str(jobs), "--picture", str(tmp_path / "all.svg")]) == 0
    capsys.readouterr()
    first, second = (ElementTree.parse(tmp_path / name).getroot() for name in ("all.svg", "all-2.svg"))
    said = {"".join(root.itertext()) for root in (first, second)}
    assert any("Unit 1, end: 0.01" in words and "proven." in words for words in said)
    assert any("no trend" in words for words in said)
    assert main(["trend", str(jobs), "--picture", str(tmp_path / "no" / "a.svg")]) == 2
