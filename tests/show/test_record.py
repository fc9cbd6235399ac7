"""The record, the handover page and the blank forms: whole, self-contained, inert, with the figures of `assess`."""

import itertools
import json
import re
from html.parser import HTMLParser
from typing import Any

import pytest
from hypothesis import given

from calc import assess, read_job
from calc.findings import Findings
from calc.job.catalogue import EVERY_CONFIRMATION, INSPECTED, POSITIONS
from calc.job.describe import RECORD, RECORDS, TEXT, fields_of
from calc.job.model import EVENTS, METHODS, Job, Node
from calc.job.write import checksum
from calc.show.blank import UNITS_A_SHEET, blank_form
from calc.show.handover import handover_page
from calc.show.paper import BOX, raw
from calc.show.record import record
from calc.version import PROGRAM
from calc.work.begun import begun, begun_file
from tests.invented import SPILL, SUCTION, Tree, at_lift, both, contact, engine_job, rod_error
from tests.job.trees import job_trees
from tests.jobs import DEMO_FILES, MAIN, tree
from tests.show.test_page import HOSTILE, Balanced
from tests.work.sheets import full_job


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


def papers_of(job_tree: Tree) -> tuple[str, str, str]:
    """Record, handover page and blank forms of a job."""
    so_far = begun_file(job_tree)
    return record(*job_of(job_tree)), handover_page(so_far), blank_form(so_far)


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
    for html in papers_of(tree(path)):
        assert_sound(html, Paper(html))
        assert "://" not in html
        assert "url(" not in html
        assert "@import" not in html
        assert html.count("<style>") == 1
        assert "default-src 'none'; style-src 'unsafe-inline'" in html.replace("&#x27;", "'")


@given(job_trees(max_units=3))
def test_papers_of_any_job_are_sound(job_tree: Tree) -> None:
    for html in papers_of(job_tree):
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


# What the file's rules fix to a few words.
FIXED = {"format", "stage", "event", "method", "reached", "rotation", "rod_thread", "part", "condition", "when", "code", "item"}


def spoiled(value: Any) -> Any:
    """A tree with every text in it made hostile but for codes that the file's rules fix."""
    if isinstance(value, dict):
        return {key: each if key in FIXED else spoiled(each) for key, each in value.items()}
    if isinstance(value, list):
        return [spoiled(each) for each in value]
    return HOSTILE if isinstance(value, str) else value


def test_text_from_the_file_never_becomes_markup() -> None:
    for job_tree in (spoiled(tree()), spoiled(full_job(2))):
        job_tree[HOSTILE] = {"a": HOSTILE}
        job_tree["positions"].append({"item": "own-9", "name": HOSTILE, "as_found": HOSTILE, "not_needed": HOSTILE})
        job_tree["confirmations"].append({"code": HOSTILE, "by": HOSTILE, "not_needed": HOSTILE})
        job_tree["drafts"] = {HOSTILE: HOSTILE, "engine.speed_rpm": HOSTILE}
        for html in papers_of(job_tree):
            paper = Paper(html)
            assert_sound(html, paper)
            assert HOSTILE in "".join(paper.text)
            assert HOSTILE not in re.findall(r"<style>(.*?)</style>", html, re.DOTALL)[0]


def texts_in(node: Node) -> list[tuple[str, str]]:
    """Every text that a person has entered, by field."""
    found: list[tuple[str, str]] = []
    for field in fields_of(type(node)):
        value = getattr(node, field.name)
        if value is None or field.exactly is not None:
            continue
        if field.kind == TEXT:
            found.append((field.name, value))
        elif field.kind == RECORD:
            found += texts_in(value)
        elif field.kind == RECORDS:
            found += [each for row in value for each in texts_in(row)]
    return found


def numbered(job_tree: Tree) -> Tree:
    """The job with each text told apart by a number, so that one that is left out is missed; codes stay."""
    count = itertools.count(1)

    def number(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: each if key in FIXED else number(each) for key, each in value.items()}
        if isinstance(value, list):
            return [number(each) for each in value]
        return f"text{next(count)}." if isinstance(value, str) else value

    made: Tree = number(job_tree)
    return made


def missing_from_the_record(job_tree: Tree) -> tuple[list[str], int]:
    """Texts that were entered and are not on the record; and how many there are in all."""
    paper, _, job = paper_of(job_tree)
    listed = {each.code for each in (*POSITIONS, *EVERY_CONFIRMATION)}
    entered = [text for name, text in texts_in(job) if name not in ("item", "code") or (name == "code" and text not in listed)]
    entered += (job.drafts or {}).values()
    return [text for text in entered if " ".join(text.split()) not in paper.words], len(entered)


@given(job_trees(max_units=3))
def test_every_text_that_was_entered_is_on_the_record(job_tree: Tree) -> None:
    assert missing_from_the_record(job_tree)[0] == []
    assert missing_from_the_record(numbered(job_tree))[0] == []


def test_every_text_of_a_full_job_is_on_the_record() -> None:
    absent, count = missing_from_the_record(numbered(full_job(2)))
    assert absent == []
    assert count > 150


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
    named += ["2025-06-02", PROGRAM, found.summary.text, job_tree["vessel"], job_tree["title"], job_tree["date"], "27340 h"]
    for words in named:
        assert words in paper.words, words
    for act in ("Made safe", "Everything moved put back", "Final check of it, by another person", "Whole job checked"):
        assert act in paper.words


def test_the_check_sum_is_that_of_the_file() -> None:
    job_tree = tree()
    for html in papers_of(job_tree):
        assert html.count(checksum(job_tree)) >= 2
        # The margin box of each page carries it.
        assert re.search(rf'@bottom-left {{ content: "{PROGRAM}, job {checksum(job_tree)}"', html)


def test_the_demo_is_named_and_only_the_demo() -> None:
    for html in papers_of(tree()):
        assert "numbers are invented" in Paper(html).words
    for html in papers_of(engine_job(readings=both(1))):
        assert "numbers are invented" not in Paper(html).words


def test_the_line_for_the_record_book_is_there_where_timing_or_parts_changed() -> None:
    code = "NOx Technical Code 2008"
    asked = engine_job(readings=[contact(unit, event) for unit in (1, 2, 3, 4) for event in (SUCTION, SPILL)])
    asked["readings"] += [rod_error(5, SUCTION, 1.5), contact(5, SPILL)]
    paper, found, _ = paper_of(asked)
    assert any(unit.corrections for unit in found.units)
    assert code not in paper.words, "nothing was changed yet"
    turned = {**asked, "adjustments": [{"unit": 5, "part": "suction_rod", "flats_turned": -4.5, "by": "A. Fitter"}]}
    assert f"{code}" in paper_of(turned)[0].words
    assert "suction push rod 4.5 flats shorter" in paper_of(turned)[0].words
    replaced = {**asked, "inspections": [{"unit": 2, "part": "roller", "serial": "R-1", "new_serial": "R-2"}]}
    assert "roller replaced: serial number R-1, now R-2" in paper_of(replaced)[0].words
    silent = {**asked, "readings": [*asked["readings"], contact(5, SUCTION, stage="as_left")]}
    assert "Read as left. Write what was changed" in paper_of(silent)[0].words
    looked = {**asked, "adjustments": [{"unit": 5, "part": "suction_rod", "length_before_mm": 400.0, "note": "left"}]}
    assert code not in paper_of(looked)[0].words


def test_a_warning_stands_before_the_answer() -> None:
    paper, found, _ = paper_of(tree())
    third = next(unit for unit in found.units if unit.unit == 3)
    assert third.judged is not None
    assert third.judged.said is not None
    assert "might not cut out" in " ".join(third.judged.said.stop)
    assert f"Warning: Stop. {' '.join(third.judged.said.stop)} {third.judged.said.todo[0]}" in paper.words


def test_a_job_without_readings_has_a_record() -> None:
    paper, _, _ = paper_of(engine_job())
    assert "There is no reading in this job." in paper.words
    assert "Not complete" in paper.words


def test_a_unit_without_a_number_says_why_in_words() -> None:
    job_tree = engine_job(readings=[contact(1, SUCTION), {**at_lift(1, SPILL), "valve_lift_mm": [0.0]}])
    paper, found, _ = paper_of(job_tree)
    (unit,) = found.units
    assert unit.end is None
    assert unit.text in paper.words


# ---------------------------------------------------------------- the whole job


def test_a_complete_job_says_so_and_an_open_one_says_where() -> None:
    paper, _, _ = paper_of(full_job(3))
    assert "The job is complete" in paper.words
    assert "Still open" not in paper.words
    less = full_job(3)
    del less["positions"][0]["restored"]
    less["confirmations"] = [each for each in less["confirmations"] if each["code"] != "leak_test"]
    paper, _, _ = paper_of(less)
    assert "The job is not complete: 2 entries are open." in paper.words
    assert "Open entries: close up 1, put back 1." in paper.words
    assert "To confirm: The leak test is done: no leak." in paper.words
    # The first page says it before the units.
    assert paper.words.index("Open entries") < paper.words.index("Each unit")


def test_what_was_turned_stands_between_as_found_and_as_left() -> None:
    job_tree = full_job(3)
    paper, found, _ = paper_of(job_tree)
    done = "Done: suction push rod 1.75 flats shorter; length before 412.5 mm, after 412.0 mm; locked; "
    done += "R. Senn, 2/E, 2026-03-14 11:20."
    at = paper.words.index(done)
    unit = next(each for each in found.units if each.unit == 2)
    assert unit.beginning is not None
    worked_out = paper.words.rindex("Worked out: suction push rod", 0, at)
    assert worked_out > paper.words.rindex("Unit 2", 0, at)
    assert "Trial flat as foretold." in paper.words[at : at + len(done) + 40]


def test_a_held_correction_is_marked_while_a_reading_mistake_is_suspected() -> None:
    job_tree = full_job(3)
    paper, found, _ = paper_of(job_tree)
    held = [each for unit in found.units for each in unit.corrections if each.held]
    assert held
    assert paper.words.count("Held: read again first.") == len(held)
    sound = tree()
    assert "Held:" not in paper_of(sound)[0].words


def test_a_unit_that_was_turned_and_never_read_is_on_the_record() -> None:
    job_tree = engine_job(readings=both(1))
    job_tree["adjustments"] = [{"unit": 4, "part": "cam", "cam_turned_deg": -0.4, "locked": False, "note": "By the maker"}]
    words = paper_of(job_tree)[0].words
    assert "Done: cam 0.4° earlier; not locked." in words
    assert "not read again after it was turned: unit 4" in words


def test_one_name_for_restoring_and_checking_is_told() -> None:
    job_tree = full_job(2)
    assert "another person checks" not in paper_of(job_tree)[0].words
    job_tree["positions"][2]["checked_by"] = job_tree["positions"][2]["restored_by"]
    words = paper_of(job_tree)[0].words
    assert words.count("One name stands for both: another person checks.") == 1
    moved = len(job_tree["positions"])
    assert f"{moved} moved, {moved} put back, {moved - 1} checked by another person" in words


def test_what_is_absent_and_matters_is_told_in_a_line() -> None:
    words = paper_of(engine_job(readings=both(1)))[0].words
    for line in (
        "No part was inspected, or nothing was written down.",
        "No position is written down in this job.",
        "Nothing is confirmed in this job.",
        "No figures in service are written down, neither before nor after the job.",
        "not read: all units",
    ):
        assert line in words
    for title in ("Handed over", "Typed but not understood", "For the engine's record book of parameters"):
        assert title not in words


def test_figures_in_service_stand_side_by_side() -> None:
    job_tree = full_job(2)
    words = paper_of(job_tree)[0].words
    assert "Firing pressure, before" in words
    assert "101.5 bar351 °C55.5104 bar351 °C55.5" in words
    assert "After the job: 2026-03-15, speed 92 rpm." in words
    job_tree["service"] = [each for each in job_tree["service"] if each["when"] == "before"]
    job_tree["runs"] = job_tree["runs"][:1]
    assert "Not written down: after the job." in paper_of(job_tree)[0].words


def test_parts_of_which_only_the_condition_is_known_share_a_line() -> None:
    job_tree = engine_job(units=3, readings=both(1))
    job_tree["inspections"] = [
        {"unit": unit, "part": part, "condition": "sound"}
        for unit in (1, 2, 3)
        for part in INSPECTED
        if (unit, part) != (3, "cam")
    ]
    job_tree["inspections"].append({"unit": 3, "part": "cam", "condition": "worn", "finding": "A step of 0.1 mm"})
    words = paper_of(job_tree)[0].words
    assert "Units 1 and 2: all parts: sound." in words
    assert "Unit 3: roller, suction valve and its seat" in words
    assert "worn or damaged: unit 3" in words
    assert "A step of 0.1 mm" in words


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
    html = blank_form(begun_file(engine_job(units=13)))
    boxes = _Boxes()
    boxes.feed(html)
    assert sorted(boxes.rows) == sorted((str(unit), event) for unit in range(1, 14) for event in (SUCTION, SPILL))
    assert set(boxes.rows.values()) == {8}
    # Confirmations, what is moved, around the check, correction; and inspection and readings for every six units.
    assert html.count("<h1>") == 4 + 2 * -(-13 // UNITS_A_SHEET)
    words = Paper(html).words
    for text in ("9.5 mm", "19.5° before TDC", "27.25 mm", "1° after TDC", "0.0625 mm", "at least 1.25 mm", f"{BOX} as left"):
        assert text in words
    # The caution stands before the first box.
    assert words.index("Danger: the engine can start") < words.index("Start and end")


def test_forms_ask_for_what_the_engine_has_and_for_everything_while_that_is_not_known() -> None:
    def asked(texts: dict[str, str]) -> str:
        return Paper(blank_form(begun(texts))).words

    every = asked({})
    for each in (*POSITIONS, *EVERY_CONFIRMATION):
        assert f"{each.label[:1].upper()}{each.label[1:]}" in every
    for label in INSPECTED.values():
        assert label in every
    without = asked(
        {"arrangement.shut_down_device": "no", "arrangement.heated_fuel": "no", "arrangement.variable_timing": "yes"}
    )
    assert "Shut-down device of the pumps" not in without
    assert "The fuel has its temperature and viscosity again." not in without
    assert "Variable injection timing" in without
    own = asked({"positions/own-1/name": "Floor plate", "positions/gauges/not_needed": "none used"})
    assert "Floor plate" in own
    assert "Dial gauges and holders" not in own


def test_forms_of_a_job_with_gaps_carry_what_is_known_and_not_wrong() -> None:
    job_tree = engine_job(units=3)
    del job_tree["instruments"]
    job_tree["reference"]["units"][0]["pre_stroke_mm"] = 1001.5
    del job_tree["reference"]["units"][1]["end_deg"]
    job_tree["reference"]["fuel_index"] = "sixty"
    html = blank_form(begun_file(job_tree))
    words = Paper(html).words
    assert "1001.5" not in words
    assert "sixty" not in words
    assert words.count("9.5 mm") == 2
    assert words.count("19.5° before TDC") == 3
    boxes = _Boxes()
    boxes.feed(html)
    assert {unit for unit, _ in boxes.rows} == {"1", "2", "3"}


def test_the_forms_have_a_place_for_what_is_measured_around_the_check() -> None:
    words = Paper(blank_form(begun_file(tree()))).words
    for text in (
        "Form for top dead centre, cam and fuel index",
        "Angle before TDC, °",
        "Cam survey of unit",
        "Spill lift 4, mm",
    ):
        assert text in words
    astern = engine_job(units=2)
    astern["reference"]["rotation"] = "astern"
    mirrored = Paper(blank_form(begun_file(astern))).words
    assert "Turn astern to both angles of a pair" in mirrored
    assert "Turn ahead to both" not in mirrored


def test_the_form_holds_no_reading() -> None:
    words = Paper(blank_form(begun_file(tree()))).words
    assert "10.61" in Paper(record(*job_of(tree()))).words
    assert "10.61" not in words
    for text in ("T. Nordvik", "Bridge, control room or engine side."):
        assert (text in words) == (text != "T. Nordvik")


def test_main_is_the_demo_with_corrections() -> None:
    """The tests above rest on it."""
    found, _ = job_of(tree(MAIN))
    assert any(unit.corrections for unit in found.units)
