"""What the worksheet asks of Python, without a browser."""

import json
from typing import Any

import pytest

from calc import assess, read_job
from calc.browser import respond
from calc.job.write import checksum
from calc.show.blank import blank_form
from calc.show.handover import handover_page
from calc.show.record import record
from calc.show.sheet import findings_csv, readings_csv, table_csv
from calc.work.begun import begun_file
from tests.jobs import DEMO_FILES, MAIN, tree


def ask(**request: Any) -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(respond(json.dumps(request)))
    return answer


def opened(job: object) -> dict[str, Any]:
    return ask(do="open_file", text=job if isinstance(job, str) else json.dumps(job))


@pytest.mark.parametrize("path", DEMO_FILES, ids=lambda path: path.stem)
def test_open_and_save_give_the_same_job(path: Any) -> None:
    saved = ask(do="save", **opened(path.read_text("utf-8")))
    assert json.loads(saved["text"]) == tree(path)
    assert saved["name"].startswith("demo-")
    assert saved["name"].endswith(".json")


def test_open_keeps_what_the_form_does_not_show() -> None:
    job = tree()
    job["future"] = {"a": [1, 2]}
    job["engine"]["colour"] = "grey"
    job["readings"][0]["weather"] = "calm"
    job["reference"]["units"][2]["note"] = "new cam"
    job["instruments"]["plunger_gauge"]["serial"] = "A-17"
    assert json.loads(ask(do="save", **opened(job))["text"]) == job


def test_a_faulty_job_opens_all_the_same_and_nothing_is_lost() -> None:
    job = tree()
    job["engine"]["units"] = "seven"
    job["readings"][0]["plunger_lift_mm"] = [None]
    job["readings"].append({"unit": 77, "stage": "as_found", "event": "peak", "plunger_lift_mm": [1]})
    job["readings"].append(dict(job["readings"][1]))
    job["readings"].append("not a reading")
    form = opened(job)
    assert form["texts"]["engine.units"] == "seven"
    kept = json.dumps(ask(do="save", **form)["text"])
    for word in ("seven", "null", "77", "not a reading"):
        assert word in kept
    answer = ask(do="assess", **form)
    assert any(error["key"] == "engine.units" for error in answer["errors"])


@pytest.mark.parametrize(
    ("text", "where", "words"),
    [
        ("{", "", "not JSON"),
        ("[]", "", "not a job"),
        ('{"format": "spillmark-findings"}', "format", "no job file"),
        ('{"format": "spillmark-job", "version": 2}', "version", "newer program"),
        ("[" * 5000, "", "nested"),
    ],
)
def test_what_is_no_job_is_refused_with_a_reason(text: str, where: str, words: str) -> None:
    answer = opened(text)
    assert [error["where"] for error in answer["errors"]] == [where]
    assert words in answer["errors"][0]["text"]


def test_a_blank_form_misses_fields_by_name_and_shows_no_error() -> None:
    answer = ask(do="assess", texts={}, base={})
    assert answer["errors"] == []
    assert answer["fields"] == {}
    assert answer["verdict"] == "incomplete"
    keys = [item["key"] for item in answer["missing"]]
    assert "engine.units" in keys
    assert "instruments.plunger_gauge.step_mm" in keys


def test_findings_grow_while_the_form_is_unfinished() -> None:
    form = opened(MAIN.read_text("utf-8"))
    texts = {key: text for key, text in form["texts"].items() if not key.startswith("reference.units/4/")}
    texts["engine.firing_order"] = ""
    texts["readings/2/as_found/spill_opening/ahead/crank_angle_deg"] = "forty"
    answer = ask(do="assess", texts=texts, base=form["base"])
    assert answer["verdict"] == "incomplete"
    assert {unit["unit"] for unit in answer["html"]["units"]} == {1, 2, 3, 5, 6, 7}
    assert [error["key"] for error in answer["errors"]] == ["readings/2/as_found/spill_opening/ahead/crank_angle_deg"]
    assert any("unit 4" in item["text"] for item in answer["missing"])


def test_a_slip_is_told_at_its_field_and_in_the_list_with_the_same_words() -> None:
    form = opened(MAIN.read_text("utf-8"))
    key = "readings/1/as_found/suction_closing/ahead/plunger_lift_mm"
    form["texts"][key] = "1,234"
    answer = ask(do="assess", **form)
    assert answer["errors"] == [{"key": key, "text": answer["fields"][key]["error"]}]
    assert "1.234 or 1234" in answer["fields"][key]["error"]
    assert json.loads(ask(do="save", **form)["text"])["drafts"] == {key: "1,234"}


def test_a_number_out_of_range_is_told_at_its_field() -> None:
    form = opened(MAIN.read_text("utf-8"))
    form["texts"]["reference.angle_tolerance_deg"] = "45"
    answer = ask(do="assess", **form)
    assert "at most 30" in answer["fields"]["reference.angle_tolerance_deg"]["error"]


def test_what_is_to_mend_is_open_in_its_step() -> None:
    texts = {**opened(tree())["texts"], "running_hours": "30 412", "reference.angle_tolerance_deg": "-1"}
    steps = {each["id"]: each["missing"] for each in ask(do="assess", texts=texts)["work"]["steps"]}
    assert "running_hours" in {each["key"] for each in steps["due"]}
    assert "reference.angle_tolerance_deg" in {each["key"] for each in steps["settings"]}


def test_commas_and_words_are_understood_and_echoed() -> None:
    form = opened(MAIN.read_text("utf-8"))
    key = "readings/1/as_found/suction_closing/ahead/crank_angle_deg"
    form["texts"][key] = "19,2 before 19,3 before"
    answer = ask(do="assess", **form)
    assert answer["errors"] == []
    assert answer["fields"][key]["echo"] == "2 readings, mean 19.25° before TDC"


def test_the_working_of_one_unit() -> None:
    form = opened(MAIN.read_text("utf-8"))
    html = ask(do="working", **form, unit=3, stage="as_found")["html"]
    assert "Start of delivery" in html
    assert "JCGM 100:2008" in html
    assert ask(do="working", texts={}, base={}, unit=1, stage="as_found") == {"html": ""}


KINDS: list[dict[str, Any]] = [
    {"do": "record"},
    {"do": "handover"},
    {"do": "blank"},
    {"do": "csv"},
    {"do": "csv", "findings": True},
    {"do": "csv", "table": "positions"},
]


@pytest.mark.parametrize("kind", KINDS, ids=str)
def test_paper_of_a_whole_job(kind: dict[str, Any]) -> None:
    form = opened(MAIN.read_text("utf-8"))
    made = ask(**kind, **form)
    assert made.keys() == {"text", "name"}
    assert made["name"].startswith("demo-two-rods")
    assert made["name"].endswith(".csv" if kind["do"] == "csv" else ".html")
    job = read_job(MAIN.read_bytes())
    found = assess(job)
    so_far = begun_file(tree())
    expected = [record(found, job), handover_page(so_far), blank_form(so_far), readings_csv(job), findings_csv(found)]
    assert made["text"] == [*expected, table_csv(job, "positions")][KINDS.index(kind)]


def test_the_check_sum_on_paper_is_that_of_the_saved_file() -> None:
    form = opened(MAIN.read_text("utf-8"))
    form["texts"]["engine.speed_rpm"] = "rather fast"
    saved = json.loads(ask(do="save", **form)["text"])
    assert saved["drafts"] == {"engine.speed_rpm": "rather fast"}
    for kind in ("record", "handover", "blank"):
        assert checksum(saved) in ask(do=kind, **form)["text"]


def test_no_record_and_no_table_of_a_job_that_is_not_whole() -> None:
    form = opened(MAIN.read_text("utf-8"))
    form["texts"]["reference.fuel_index"] = ""
    for kind in ("record", "csv"):
        answer = ask(do=kind, **form)
        assert [error["where"] for error in answer["errors"]] == ["reference.fuel_index"]
        assert "text" not in answer


def test_moves_that_are_tried_are_shown_and_stored_nowhere() -> None:
    form = opened(MAIN.read_text("utf-8"))
    before = ask(do="assess", **form)
    start = ask(do="what_if", **form, moves={})
    assert start["unit"] == 3  # the first one that has a correction
    assert [each["listed"]["suction_flats"] for each in start["units"] if each["unit"] == 3] == [-3.25]
    answer = ask(do="what_if", **form, moves={"3": {"suction_flats": -1.25, "spill_flats": "0,5", "cam_deg": "x"}}, unit=3)
    assert [each["unit"] for each in answer["units"]] == [1, 2, 3, 4, 5, 6, 7]
    assert [control["value"] for control in answer["controls"]] == ["-1.25", "0.5", "0"]
    assert "shorter by 1¼ flats" in answer["controls"][0]["echo"]
    assert "not understood" in answer["controls"][2]["error"]
    assert answer["html"]["strip"].count("sm-predicted") > 2
    assert answer["said"].startswith("Unit 3.")
    after = ask(do="assess", **form)
    assert {**after, "number": before["number"]} == before
    assert json.loads(ask(do="save", **form)["text"]) == tree(MAIN)


def test_a_danger_of_moves_is_said_first() -> None:
    answer = ask(do="what_if", **opened(MAIN.read_text("utf-8")), moves={"3": {"suction_flats": -6}}, unit=3)
    assert {each["unit"]: each["level"] for each in answer["units"]}[3] == "danger"
    assert answer["html"]["unit"].startswith('<div class="sm-signal sm-danger"')
    assert "Danger" in answer["said"]


def test_nothing_can_be_moved_while_nothing_is_read() -> None:
    answer = ask(do="what_if", texts={}, base={}, moves={})
    assert answer["units"] == []
    assert "Enter the readings" in answer["html"]["unit"]


def test_a_calculation_takes_what_is_empty_from_the_job() -> None:
    form = opened(MAIN.read_text("utf-8"))
    typed = {"unit": "3", "event": "suction_closing", "direction": "longer", "flats": "1"}
    answer = ask(do="compute", **form, name="trial", typed=typed)
    assert answer["fields"]["pitch_mm"] == {"echo": "1.25 mm, from this job"}
    assert "0.208 mm of rod" in answer["said"]
    form["texts"]["engine.rod_pitch_mm"] = ""
    assert ask(do="compute", **form, name="trial", typed=typed)["missing"] == ["pitch_mm"]


def test_what_is_typed_into_a_calculation_becomes_no_markup() -> None:
    typed = {"flats": "<img src=x onerror=alert(1)>", "direction": "<b>"}
    answer = ask(do="compute", texts={}, base={}, name="thread", typed=typed)
    assert "<img" not in answer["html"]
    assert "<img" in answer["fields"]["flats"]["error"]  # a text, which the page inserts as one


def test_a_unit_that_is_as_it_was_is_not_told_again() -> None:
    """By the number of the answer that the page holds; to a page that holds none, or an older one, all is told."""
    form = opened(MAIN.read_text("utf-8"))
    texts = form["texts"]

    def told(holds: int) -> tuple[int, dict[tuple[int, str], str | None]]:
        answer = ask(do="assess", **form, holds=holds)
        return answer["number"], {(each["unit"], each["stage"]): each["html"] for each in answer["html"]["units"]}

    first, whole = told(0)
    assert all(whole.values())
    second, nothing = told(first)
    assert second > first
    assert list(nothing) == list(whole)
    assert not any(nothing.values())
    key = next(each for each in texts if each.startswith("readings/2/") and each.endswith("plunger_lift_mm"))
    texts[key] = f"{float(texts[key].split()[0]) + 0.4:g}"
    third, changed = told(second)
    fourth, all_of_it = told(0)
    assert changed[2, key.split("/")[2]] is not None
    assert {name: changed[name] or whole[name] for name in whole} == all_of_it
    # What has changed since an answer that came before is told as well.
    _, since = told(first)
    assert since == changed
    assert third < fourth


def test_units_out_of_sight_are_left_for_later() -> None:
    form = opened(MAIN.read_text("utf-8"))
    whole = ask(do="assess", **form)["html"]["units"]
    key = next(each for each in form["texts"] if each.startswith("readings/2/") and each.endswith("plunger_lift_mm"))
    form["texts"][key] = f"{float(form['texts'][key].split()[0]) + 0.4:g}"
    in_sight = [[whole[0]["unit"], whole[0]["stage"]]]
    begun = ask(do="assess", **form, holds=0, first=in_sight)
    assert [each["html"] is not None for each in begun["html"]["units"]] == [True, *[False] * (len(whole) - 1)]
    # A key that comes before the rest was asked for changes nothing: what it leaves is told as well.
    again = ask(do="assess", **form, holds=begun["number"], first=[])
    rest = ask(do="rest", holds=again["number"])
    told = {(each["unit"], each["stage"]): each["html"] for each in rest["units"]}
    assert told.pop((whole[0]["unit"], whole[0]["stage"])) is None
    assert told
    expected = {(each["unit"], each["stage"]): each["html"] for each in ask(do="assess", **form)["html"]["units"]}
    shown = {(each["unit"], each["stage"]): each["html"] for each in (*whole, *begun["html"]["units"]) if each["html"]}
    shown.update({name: html for name, html in told.items() if html})
    assert shown == expected
    assert not any(each["html"] for each in ask(do="rest", holds=rest["number"])["units"])


def test_there_is_no_rest_of_nothing() -> None:
    ask(do="assess", texts={}, base={})
    assert ask(do="rest", holds=0)["units"] == []


@pytest.mark.parametrize("kind", ["handover", "blank"])
def test_handing_over_and_forms_take_a_job_with_gaps(kind: str) -> None:
    form = opened(MAIN.read_text("utf-8"))
    form["texts"]["reference.fuel_index"] = ""
    saved = json.loads(ask(do="save", **form)["text"])
    # What is left open for the check leaves nothing in the job that the sum is of.
    assert "fuel_index" not in saved["reference"]
    assert checksum(saved) in ask(do=kind, **form)["text"]
    for texts in ({}, {"vessel": "Begun"}, {"engine.units": "many"}, {"engine.units": "99", "reference.rotation": "sideways"}):
        made = ask(do=kind, texts=texts, base={})
        assert made["text"].startswith("<!doctype html>")
        assert checksum(json.loads(ask(do="save", texts=texts, base={})["text"])) in made["text"]
