"""What the page of the practice engine is told."""

import json
import posixpath
import re
from typing import Any

import pytest

from calc.browser import respond
from calc.job.read import read_job
from calc.show.practice import answer
from calc.teach.lessons import LESSONS
from calc.teach.practice import explained
from calc.teach.practice.answers import MEASURE
from calc.teach.practice.engine import MISTAKES, OF_ALL, OF_UNIT
from calc.teach.practice.levels import LEVELS
from tests.pages import built

BEFORE = [["mount", 1], ["clear"], ["turn", 10.0]]


def ask(**more: Any) -> dict[str, Any]:
    return answer({"number": 5, "level": 1, "actions": BEFORE, **more})


def test_the_page_asks_through_the_one_entry() -> None:
    told = json.loads(respond(json.dumps({"do": "practice", "number": 5, "level": 1, "actions": BEFORE, "want": "engine"})))
    assert told == json.loads(json.dumps(ask(want="engine")))


def test_the_table_of_explanations_knows_every_cause_and_every_correction() -> None:
    assert set(explained.CAUSE) == {*OF_UNIT, *OF_ALL, *MISTAKES}
    assert set(explained.WAY) == set(explained.SIZE) == set(MEASURE)


def test_what_was_lost_leads_to_pages_that_explain_it() -> None:
    """Every page that the table names, and every link of a result, as they stand beside the practice engine's page."""
    site = built.folder()
    lessons = {f"learn/{each.name}.html": f"lesson {at}, {each.title.lower()}" for at, each in enumerate(LESSONS, 1)}
    for page in explained.all_pages():
        path, _, anchor = page.address.partition("#")
        assert (site / path).is_file(), page
        assert lessons.get(page.address, page.title) == page.title
        assert not anchor or anchor in built.links(site / path).ids, page
    answers = {"1": {"cause": "cam", "way": "+", "amount": "0.5"}}
    told = answer({"number": 5, "level": 1, "actions": [], "want": "score", "answers": answers})["result"]
    links = re.findall(r'<a href="([^"]*)">', told)
    assert len(links) >= 4
    pages = {page.address for page in explained.all_pages()}
    assert {posixpath.normpath(f"learn/{link}") for link in links} <= pages


@pytest.mark.parametrize("level", LEVELS)
def test_the_hidden_is_not_told_with_the_engine(level: int) -> None:
    """Whoever looks into the answer finds the record and the choices, and none of the faults."""
    told = answer({"number": 5, "level": level, "actions": [], "want": "engine"})
    assert set(told["engine"]) == {
        "title", "say", "units", "tdc", "index", "index_words", "record", "causes", "measures", "ways",
    }  # fmt: skip
    assert set(told) == {"said", "refused", "actions", "panel", "rim", "notebook", "engine"}


def test_an_action_that_is_done_joins_the_list_and_one_that_is_refused_does_not() -> None:
    done = ask(act=["turn", 1.0])
    assert (done["actions"], done["refused"]) == ([*BEFORE, ["turn", 1.0]], False)
    assert done["said"].startswith("1.0° ahead.")
    refused = ask(act=["read", "peak"])
    assert (refused["actions"], refused["refused"]) == (BEFORE, True)
    assert "not at the cam's peak" in refused["said"]
    typed = ask(act={"do": "to", "unit": 1, "typed": "nowhere"})
    assert (typed["actions"], typed["refused"]) == (BEFORE, True)
    assert "not understood" in typed["said"]
    assert ask(act={"do": "to", "unit": 1, "typed": "20,5 before"})["actions"][-1] == ["to", 1, -20.5]
    moved = ask(act={"do": "correct", "unit": 2, "cause": "drive", "way": "-", "amount": "0.5"})
    assert moved["actions"][-1] == ["common", "drive", -0.5]


def test_a_list_that_is_not_known_is_cut_where_it_fails() -> None:
    told = ask(actions=[*BEFORE, ["fly", 3], ["turn", 1.0]])
    assert told["actions"] == BEFORE
    assert "not known here" in told["said"]


@pytest.mark.parametrize(("number", "level"), [(0, 1), (100000, 1), (5, 0), (5, 7), ("5", 1)])
def test_an_engine_that_does_not_exist_is_told(number: Any, level: int) -> None:
    assert "Numbers go from 1 to 99999" in answer({"number": number, "level": level, "actions": []})["errors"][0]


def test_the_notebook_shows_the_sheet_of_another_watch() -> None:
    told = answer({"number": 5, "level": 6, "actions": [["strike", 1]]})
    assert "other watch" in told["notebook"]
    assert "(struck out)" in told["notebook"]
    assert told["notebook"].count("<li") == told["notebook"].count("data-strike")


def test_the_job_file_is_one() -> None:
    told = answer({"number": 5, "level": 6, "actions": [], "want": "job"})
    assert told["name"] == "practice-5-level-6.json"
    assert len(read_job(told["text"]).readings or ()) >= 8


def test_findings_in_words_need_a_reading() -> None:
    assert "no reading to judge" in ask(want="findings")["findings"]
    assert "as found" in answer({"number": 5, "level": 6, "actions": [], "want": "findings"})["findings"]


def test_a_result_waits_for_answers_that_are_clear() -> None:
    told = ask(
        want="score", answers={"1": {"cause": "cam", "way": "+", "amount": ""}, "9": {"cause": "cam"}, "2": {"cause": "<b>"}}
    )
    assert told["troubles"] == ["Unit 1: Cam position: choose a way and write how far, in degrees."]
    result = ask(want="score", answers={})
    assert result["score"] == 0
    assert "0 of 100 points" in result["result"]
