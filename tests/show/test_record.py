"""The record and the blank forms: whole, self-contained, inert, and with the figures of `assess`."""

import json
import re
from html.parser import HTMLParser
from typing import Any

import pytest
from hypothesis import given

from calc import assess, read_job
from calc.findings import Findings
from calc.job.model import EVENTS, METHODS, Job
from calc.job.write import checksum
from calc.show.blank import BOX, UNITS_A_SHEET, blank_form
from calc.show.paper import raw
from calc.show.record import record
from calc.version import PROGRAM
from tests.invented import SPILL, SUCTION, Tree, both, contact, engine_job, rod_error
from tests.job.trees import job_trees
from tests.jobs import DEMO_FILES, MAIN, tree
from tests.show.test_page import HOSTILE, Balanced


class Paper(Balanced):
    """A paper taken apart: its text, its figures with all digits, its readings and notices."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.text: list[str] = []
        self.figures: dict[str, float] = {}
        self.readings: dict[int, str] = {}
        self.notices: list[str] = []
        self.boxes = 0
        self._reading: int | None = None
        self._notice = False
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        # Void as well, and only in the head of a file.
        if tag == "meta":
            return
        super().handle_starttag(tag, attrs)
        given = {name: value or "" for name, value in attrs}
        if tag == "data":
            assert given["data-of"] not in self.figures
            self.figures[given["data-of"]] = float(given["value"])
        if tag == "span" and "data-reading" in given:
            self._reading = int(given["data-reading"])
            self.readings[self._reading] = ""
        if tag == "li" and "data-notice" in given:
            self._notice = True
            self.notices.append("")

    def handle_endtag(self, tag: str) -> None:
        super().handle_endtag(tag)
        self._reading = None if tag == "span" else self._reading
        self._notice = self._notice and tag != "li"

    def handle_data(self, data: str) -> None:
        self.text.append(data)
        if self._reading is not None:
            self.readings[self._reading] += data
        if self._notice:
            self.notices[-1] += data

    @property
    def words(self) -> str:
        return " ".join("".join(self.text).split())


def job_of(job_tree: Tree) -> tuple[Findings, Job]:
    job = read_job(json.dumps(job_tree))
    return assess(job), job


def paper_of(job_tree: Tree) -> tuple[Paper, Findings, Job]:
    found, job = job_of(job_tree)
    return Paper(record(found, job)), found, job


def value_at(found: Findings, place: str) -> float:
    """The finding that a figure on paper says it shows."""
    number, stage, *names = place.split("/")
    node: Any = next(unit for unit in found.units if (str(unit.unit), unit.stage) == (number, stage))
    for name in names:
        node = getattr(node, name)
    return float(node)


def assert_sound(html: str, paper: Paper) -> None:
    assert html.startswith("<!doctype html>\n<html")
    assert (paper.wrong, paper.open) == ([], [])
    assert not paper.tags & {"script", "img", "link", "iframe", "object", "a", "form", "base"}
    assert not any(name.startswith("on") or name in ("src", "style", "srcset") for name in paper.attributes)


@pytest.mark.parametrize("path", DEMO_FILES, ids=lambda path: path.stem)
def test_papers_are_sound_and_need_nothing_else(path: Any) -> None:
    found, job = job_of(tree(path))
    for html in (record(found, job), blank_form(job)):
        assert_sound(html, Paper(html))
        assert "://" not in html
        assert "url(" not in html
        assert "@import" not in html
        assert html.count("<style>") == 1
        assert "default-src 'none'; style-src 'unsafe-inline'" in html.replace("&#x27;", "'")


@given(job_trees(max_units=3))
def test_papers_of_any_job_are_sound(job_tree: Tree) -> None:
    found, job = job_of(job_tree)
    for html in (record(found, job), blank_form(job)):
        assert_sound(html, Paper(html))


@given(job_trees(max_units=3))
def test_every_figure_is_that_of_assess(job_tree: Tree) -> None:
    paper, found, _ = paper_of(job_tree)
    for place, value in paper.figures.items():
        assert value == value_at(found, place)
    for unit in found.units:
        for name, event in (("beginning", unit.beginning), ("end", unit.end)):
            shown = f"{unit.unit}/{unit.stage}/{name}/deviation_deg"
            assert (shown in paper.figures) == (event is not None)


def test_the_words_of_a_figure_round_it() -> None:
    html = record(*job_of(tree()))
    checked = 0
    for value, words in re.findall(r'<data value="([^"]+)"[^>]*>([^<]+)</data>', html):
        digits = re.search(r"\d+(\.\d+)?", words)
        if digits is None:
            assert words in ("at TDC", "on its reference")
            continue
        places = len((digits[1] or ".")[1:])
        assert abs(float(digits[0]) - abs(float(value))) <= 0.5 * 10 ** -max(places, 1) + 1e-9, (value, words)
        checked += 1
    assert checked > 100


@given(job_trees(max_units=3))
def test_every_reading_stands_as_entered(job_tree: Tree) -> None:
    paper, _, job = paper_of(job_tree)
    assert sorted(paper.readings) == list(range(len(job.readings or ())))
    for j, reading in enumerate(job.readings or ()):
        for values in (reading.plunger_lift_mm, reading.valve_lift_mm, reading.clearance_mm):
            assert "; ".join(map(raw, values or ())) in paper.readings[j]
        for angle in reading.crank_angle_deg or ():
            assert (raw(abs(angle)) + "°" if angle else "at TDC") in paper.words
        assert EVENTS[reading.event] in paper.words
        if reading.method:
            assert METHODS[reading.method] in paper.words


@given(job_trees(max_units=3))
def test_every_notice_is_there(job_tree: Tree) -> None:
    paper, found, _ = paper_of(job_tree)
    assert sorted(paper.notices) == sorted(notice.text for notice in found.notices)


def test_what_was_assumed_stands_apart() -> None:
    job_tree = engine_job(readings=both(1), change=lambda job: job["engine"].pop("valve_ratio_spill"))
    paper, found, _ = paper_of(job_tree)
    assumed = [notice.text for notice in found.notices if notice.code == "fallback"]
    assert len(assumed) == 1
    assert paper.words.index("What was assumed") < paper.words.index(assumed[0]) < paper.words.index("Notes on the findings")
    assert "Nothing: every value" in paper_of(engine_job(readings=both(1)))[0].words


def test_text_from_the_file_never_becomes_markup() -> None:
    job_tree = tree()
    job_tree["title"] = job_tree["vessel"] = job_tree["date"] = HOSTILE
    job_tree["paper"] = {"permit": HOSTILE, "readings_by": HOSTILE, "correction_by": HOSTILE, "checked_by": HOSTILE}
    job_tree["reference"]["source"] = job_tree["fuel"]["name"] = HOSTILE
    job_tree["instruments"]["plunger_gauge"] |= {"serial": HOSTILE, "calibrated": HOSTILE}
    job_tree[HOSTILE] = {"a": HOSTILE}
    for reading in job_tree["readings"]:
        reading["gauges"] = HOSTILE
    found, job = job_of(job_tree)
    for html in (record(found, job), blank_form(job)):
        paper = Paper(html)
        assert_sound(html, paper)
        assert HOSTILE in "".join(paper.text)
        assert HOSTILE not in re.findall(r"<style>(.*?)</style>", html, re.DOTALL)[0]


def test_what_others_ask_for_is_named() -> None:
    job_tree = tree()
    job_tree["paper"] = {
        "permit": "Permit 4711",
        "readings_by": "A. Reader",
        "correction_by": "B. Fitter",
        "checked_by": "C. Checker",
    }
    job_tree["reference"]["source"] = "Invented trial sheet 3"
    job_tree["fuel"]["name"] = "Invented residual"
    job_tree["instruments"]["plunger_gauge"] |= {"serial": "PG-17", "calibrated": "2025-06-01"}
    job_tree["instruments"]["valve_gauge"] |= {"serial": "VG-18", "calibrated": "2025-06-02"}
    paper, found, _ = paper_of(job_tree)
    named = [*job_tree["paper"].values(), "Invented trial sheet 3", "Invented residual", "PG-17", "2025-06-01", "VG-18"]
    named += ["2025-06-02", PROGRAM, found.summary.text, job_tree["vessel"], job_tree["title"], job_tree["date"], "28460 h"]
    for words in named:
        assert words in paper.words, words
    for act in ("Made safe", "Everything moved put back", "Final check, by another person"):
        assert act in paper.words


def test_the_check_sum_is_that_of_the_file() -> None:
    job_tree = tree()
    found, job = job_of(job_tree)
    for html in (record(found, job), blank_form(job)):
        assert html.count(checksum(job_tree)) >= 2
        # The margin box of each page carries it.
        assert re.search(rf'@bottom-left {{ content: "{PROGRAM}, job {checksum(job_tree)}"', html)


def test_the_demo_is_named_and_only_the_demo() -> None:
    found, job = job_of(tree())
    assert "numbers are invented" in Paper(record(found, job)).words
    assert "numbers are invented" in Paper(blank_form(job)).words
    assert "numbers are invented" not in paper_of(engine_job(readings=both(1)))[0].words


def test_emission_papers_are_named_where_something_is_corrected() -> None:
    corrected = engine_job(readings=[contact(unit, event) for unit in (1, 2, 3, 4) for event in (SUCTION, SPILL)])
    corrected["readings"] += [rod_error(5, SUCTION, 1.5), contact(5, SPILL)]
    paper, found, _ = paper_of(corrected)
    assert any(unit.corrections for unit in found.units)
    assert "NOx Technical Code 2008" in paper.words
    paper, found, _ = paper_of(engine_job(readings=both(1)))
    assert not any(unit.corrections for unit in found.units)
    assert "NOx Technical Code" not in paper.words


def test_a_warning_stands_before_the_answer() -> None:
    paper, found, _ = paper_of(tree())
    third = next(unit for unit in found.units if unit.unit == 3)
    assert "might not cut out" in third.text
    assert f"Warning: {third.text}" in paper.words


def test_a_job_without_readings_has_a_record() -> None:
    paper, _, _ = paper_of(engine_job())
    assert "There is no reading in this job." in paper.words
    assert "Not complete" in paper.words


class _Boxes(HTMLParser):
    """Units and events of a form's rows, and the empty boxes of each."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: dict[tuple[str, str], int] = {}
        self._row: tuple[str, str] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "tr":
            self._row = (given["data-unit"], given["data-event"]) if "data-unit" in given else None
            if self._row:
                self.rows[self._row] = 0
        elif tag == "td" and self._row:
            self.rows[self._row] += 1


def test_the_blank_form_has_a_row_for_each_unit_and_event_with_its_reference() -> None:
    job_tree = engine_job(units=13)
    _, job = job_of(job_tree)
    html = blank_form(job)
    boxes = _Boxes()
    boxes.feed(html)
    assert sorted(boxes.rows) == sorted((str(unit), event) for unit in range(1, 14) for event in (SUCTION, SPILL))
    assert set(boxes.rows.values()) == {8}
    assert html.count("<h1>") == -(-13 // UNITS_A_SHEET)
    words = Paper(html).words
    for text in ("9.5 mm", "19.5° before TDC", "27.25 mm", "1° after TDC", "0.0625 mm", "at least 1.25 mm", f"{BOX} as left"):
        assert text in words
    # The caution stands before the first box.
    assert words.index("Danger:") < words.index("Start and end")


def test_the_form_holds_no_reading() -> None:
    _, job = job_of(tree())
    words = Paper(blank_form(job)).words
    assert "10.61" in Paper(record(*job_of(tree()))).words
    assert "10.61" not in words


def test_main_is_the_demo_with_corrections() -> None:
    """The tests above rest on it."""
    found, _ = job_of(tree(MAIN))
    assert any(unit.corrections for unit in found.units)
