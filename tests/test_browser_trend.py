"""What the worksheet asks of trends, without a browser: one check after the other, then all of them."""

import json
from pathlib import Path
from typing import Any

import pytest

from calc.command.main import main, parser
from calc.job.describe import fields_of
from calc.job.form import spread
from calc.judge.wanted import OPTIONS, Wanted
from calc.show.trend_asked import describe
from site_demo.history import FOLDER, texts
from tests.invented import both, engine_job
from tests.test_browser import ask

WANTED = {"interval_h": "7500", "now_hours": "22100", "hours_per_day": "18,5", "needs_h": "30", "calls": "40 20\n190 36"}


def asked_of(sources: dict[str, str]) -> list[Any]:
    return [ask(do="past", name=name, text=text)["check"] for name, text in sources.items()]


def test_files_and_kept_jobs_say_the_same_of_a_check() -> None:
    for name, text in texts().items():
        tree = json.loads(text)
        by_file = ask(do="past", name=name, text=text)
        assert by_file == ask(do="past", name=name, texts=spread(tree), base=tree)
        assert str(tree["running_hours"]) in by_file["words"]


def test_the_answer_is_that_of_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    options = ["--interval", "7500", "--now", "22100", "--hours-per-day", "18,5", "--needs", "30", "--call", "40:20"]
    assert main(["trend", "--json", *options, "--call", "190:36", str(FOLDER)]) == 0
    command = json.loads(capsys.readouterr().out)["engines"][0]
    answer = ask(do="trend", checks=asked_of(texts()), typed=WANTED)
    assert command["next_check"]["port_call"] == 2
    assert command["next_check"]["text"] in answer["html"]
    for unit in command["units"]:
        for noun, event in (("start", unit["beginning"]), ("end", unit["end"])):
            slope = f"{abs(event['slope_per_1000_h']):.3f}°"
            row = answer["html"].split(f">{unit['unit']}, {noun}</th>")[1].split("</tr>")[0]
            assert slope in row
            assert ("yes" if event["provable"] else "no") in row
    assert answer["said"].startswith(command["next_check"]["text"])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{", "JSON"),
        ("[]", "job"),
        ('{"format": "spillmark-job", "version": 1}', "more to mend"),
        (b"\xff".decode("latin-1"), "JSON"),
    ],
)
def test_a_bad_file_is_told_with_its_reason(text: str, said: str) -> None:
    answer = ask(do="past", name="bad.json", text=text)
    assert "check" not in answer
    assert said in answer["reason"]


def test_other_formats_are_told_apart() -> None:
    assert ask(do="past", name="a.json", text='{"format": "spillmark-findings", "version": 1}')["other"] is True


def test_a_job_without_hours_and_one_with_gaps_take_no_part() -> None:
    tree = engine_job(readings=both(1))
    del tree["running_hours"]
    assert "no running hours" in ask(do="past", name="a", text=json.dumps(tree))["reason"]
    form = spread(engine_job(readings=both(1)))
    form["engine.units"] = ""
    answer = ask(do="past", name="a", texts=form, base={})
    assert "number of units" in answer["reason"]


def test_slips_are_told_at_their_field_and_the_rest_is_answered() -> None:
    checks = asked_of(texts())
    answer = ask(do="trend", checks=checks, typed={**WANTED, "now_hours": "soon", "hours_per_day": "25"})
    assert set(answer["fields"]) == {"now_hours", "hours_per_day", "calls"}
    assert "error" in answer["fields"]["now_hours"]
    assert answer["fields"]["calls"] == {"echo": "2 rows"}
    assert "counts as empty until it is mended" in answer["html"]
    assert "due at 27228 h" in answer["html"]
    assert "Give running hours a day as well" in answer["html"]


def test_without_any_check_it_says_what_to_do() -> None:
    answer = ask(do="trend", checks=[], typed={})
    assert "open past job files" in answer["html"]


def test_two_engines_are_shown_apart() -> None:
    other = engine_job(readings=both(1))
    checks = [*asked_of(texts()), ask(do="past", name="other.json", text=json.dumps(other))["check"]]
    html = ask(do="trend", checks=checks, typed={})["html"]
    assert html.count("<section") == 2
    assert "Invented ship" in html
    assert "One check shows no drift." in html


def test_paper_names_what_takes_no_part() -> None:
    made = ask(do="trend_paper", checks=asked_of(texts()), typed=WANTED, left_out={"bad.json": "It ends too early."})
    assert made["name"] == "trend.html"
    assert "bad.json" in made["text"]
    assert "due at 27228 h" in made["text"]


def test_the_form_is_described_once_for_page_and_command() -> None:
    names = [field.name for field in fields_of(Wanted)]
    assert [face["key"] for face in describe()["fields"]] == names == list(OPTIONS)
    options = parser().parse_args(["trend", "folder"])
    assert set(names) <= set(vars(options))
