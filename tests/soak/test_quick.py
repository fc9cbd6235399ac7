"""The machinery of `make soak` sees what it looks for. The long runs themselves are no part of the tests."""

import json
import math
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from calc.browser import respond
from calc.job import form
from calc.job.problems import Problem
from site_demo import measured
from tests.pages import finding
from tests.soak import __main__ as soak
from tests.soak import cases
from tests.soak.fuzz import made, others, taken
from tests.soak.fuzz import tally as counting
from tests.soak.kills import _FIELDS, kept_of
from tests.soak.memory import OTHER_JOBS, other_jobs
from tests.soak.part import Found, count
from tests.soak.same_numbers import apart, numbers, same_numbers


def test_some_files_and_other_inputs_go_through() -> None:
    chance = Random(7)
    fates = [taken.taken(made.any_file(chance), turn) for turn in range(25)]
    fates += [others.any_input(chance)[1] for _ in range(25)]
    assert [fate.crash for fate in fates if fate.crash] == []
    assert [fate.placeless for fate in fates if fate.placeless] == []
    assert all(fate.seconds > 0.0 for fate in fates)


def test_drawn_files_are_of_all_kinds() -> None:
    chance = Random(3)
    files = [made.any_file(chance) for _ in range(400)]
    assert len(set(files)) > 300
    sound = sum(taken.taken(file, 1).slowest != "read" for file in files[:60])
    assert 5 < sum("errors" not in taken.asked("open_file", text=file.decode("utf-8", "replace")) for file in files[:100]) < 100
    assert sound > 5


def test_a_crash_a_hang_and_an_error_without_a_place_are_seen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(counting, "BROKEN", tmp_path)

    def crash(_: taken.Fate) -> Iterator[str]:
        yield "divide"
        1 / 0  # noqa: B018

    def placeless(fate: taken.Fate) -> Iterator[str]:
        yield "read"
        taken.look_for_places((Problem("", "x", "Something is wrong."), Problem("engine", "x", "Engine: wrong.")), fate)

    total = counting.Tally()
    total.count(b"one", taken.watched(crash))
    total.count(b"two", taken.watched(placeless))
    monkeypatch.setattr(taken, "HANG_S", -1.0)
    total.count(b"three", taken.watched(lambda _: iter(())))
    assert (total.files, total.crashes, total.placeless, total.hangs) == (3, 1, 1, 1)
    assert sorted(file.read_bytes() for file in tmp_path.iterdir()) == [b"one", b"three", b"two"]
    assert any("divide: ZeroDivisionError" in said for said in total.said)


@pytest.mark.parametrize(
    "told",
    [
        {"html": "<p><img src=x onerror=alert(1)></p>"},
        {"deep": [{"text": "<a href='javascript:alert(1)'>"}]},
        {"text": "\ufeffa,b\r\n1,=1+1\r\n"},
        {"text": "\ufeffa,b\r\n1,-2+3\r\n"},
    ],
)
def test_markup_and_formulas_in_an_answer_are_seen(told: dict[str, object]) -> None:
    with pytest.raises(taken.BrokenPromiseError):
        taken.look_for_markup(told)
    taken.look_for_markup({"html": "<p>&lt;img src=x&gt;</p>", "text": "\ufeffa,b\r\n-1.5,'=1+1\r\n"})


def test_a_difference_of_numbers_is_seen_wherever_it_is() -> None:
    assert apart({"a": [1.0, "x", None]}, {"a": [1.0, "x", None]}) == 0.0
    assert apart({"a": [1.0]}, {"a": [1.0 + 1e-9]}) == pytest.approx(1e-9)
    assert apart("a,0.12345678901,b", "a,0.12345678902,b") == pytest.approx(8.1e-11, rel=0.01)
    for other in ({"b": 1.0}, {"a": 1}, {"a": math.inf}, [1.0], {"a": "1.0"}):
        assert apart({"a": 1.0}, other) == math.inf
    assert apart("a 0.12345678901", "b 0.12345678901") == math.inf
    assert list(numbers({"a": [1.5, 2, "3.5", {"b": 4.5}]})) == [1.5, 4.5]
    assert [figure.value for figure in same_numbers(quick=True).figures] == [0, 0, 0]


def test_what_a_kill_took_is_seen() -> None:
    whole = {name: f"{number} {number * 1000}" for name, number in zip(_FIELDS, (6, 7, 2, 3, 4, 5), strict=True)}
    assert kept_of(whole) == (7, 7.0, 0)
    assert kept_of({**whole, _FIELDS[0]: "0 0"})[2] == 1
    assert kept_of({name: text for name, text in whole.items() if name != _FIELDS[5]})[2] == 1
    assert kept_of({}) == (-1, 0.0, 0)


def test_what_python_remembers_is_full_before_its_memory_is_compared() -> None:
    remembers = (form._understood, form._read_row)
    for each in remembers:
        each.cache_clear()
    for request in other_jobs(OTHER_JOBS):
        assert json.loads(respond(request))["errors"] == []
    assert [each.cache_info().currsize for each in remembers] == [4096, 1024]
    assert all(each.cache_info().currsize == each.cache_info().maxsize for each in remembers)


def test_a_case_that_fails_or_is_not_there_is_seen(tmp_path: Path) -> None:
    report = tmp_path / "report.xml"
    report.write_text(
        '<testsuites><testsuite><testcase name="sound"/><testcase name="fails"><failure/></testcase>'
        '<testcase name="breaks"><error/></testcase><testcase name="skipped"><skipped/></testcase></testsuite></testsuites>'
    )
    counted = cases.counted(report)
    assert counted == (1, ["fails", "breaks", "skipped"])
    found = cases.told({"tabs": counted, "clock": (3, []), "storage": (0, [])})
    assert {figure.name: figure.missed for figure in found.figures} == {
        "cases_tabs": True,
        "cases_clock": False,
        "cases_storage": True,
    }
    assert found.told == ("Failed: fails", "Failed: breaks", "Failed: skipped")


def test_the_report_is_kept_when_every_part_has_been_measured(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(soak, "LEFT", tmp_path / "left")
    monkeypatch.setattr(
        soak, "PARTS", {name: lambda quick: Found((count("figure", 3, "counted"),), ("Told.",)) for name in "ab"}
    )
    for name, kept in (("a", False), ("b", True)):
        monkeypatch.setattr("sys.argv", ["soak", "--only", name, "--keep-in", str(tmp_path / "kept")])
        assert soak.main() == 0
        assert (tmp_path / "kept" / "soak.json").exists() == kept
    (report,) = measured.reports(tmp_path / "kept")
    assert [figure.value for figure in report.figures] == [3, 3]
    assert json.loads((tmp_path / "left" / "a.json").read_text("utf-8"))["told"] == ["Told."]
    assert report.told == (
        "Told.",
        "Told.",
        "**Runs.** Not everything comes from one run. These parts ran later, by themselves: b.",
    )
    monkeypatch.setattr("sys.argv", ["soak", "--keep-in", str(tmp_path / "kept")])
    assert soak.main() == 0
    (report,) = measured.reports(tmp_path / "kept")
    assert report.told == ("Told.", "Told.")


def test_a_run_of_all_parts_keeps_nothing_of_earlier_runs(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def stopped(_: bool) -> Found:
        raise finding.Missing("No browser.")

    monkeypatch.setattr(soak, "LEFT", tmp_path / "left")
    monkeypatch.setattr(soak, "PARTS", {"a": lambda quick: Found(()), "b": stopped})
    for name in "ab":
        soak.leave(name, Found((count("figure", 3, "counted in an earlier run"),)), 1.0)
    monkeypatch.setattr("sys.argv", ["soak", "--keep-in", str(tmp_path / "kept")])
    assert soak.main() == 1
    assert [file.name for file in (tmp_path / "left").iterdir()] == ["a.json"]
    assert soak.left() is None
    assert not (tmp_path / "kept").exists()
