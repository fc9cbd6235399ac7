"""The trend as a picture, as a part of a page, on paper and in the page's own example."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from calc.history import EngineTrend, HistoryNotice
from calc.job.typed import read_typed
from calc.judge.history import each_engine
from calc.judge.past import Check
from calc.judge.wanted import Wanted
from calc.show.history import ending, lines_of
from calc.show.trend_example import trend_example
from calc.show.trend_page import trend_paper, trend_part, trend_said
from calc.show.trend_strip import trend_strip
from site_demo.history import texts
from tests.site_demo.test_history import checks

HOSTILE = '<img src=x onerror="alert(1)">&'


@pytest.fixture(scope="module")
def past() -> list[Check]:
    return checks()


@pytest.fixture(scope="module")
def told(past: list[Check]) -> list[tuple[EngineTrend, list[HistoryNotice]]]:
    return list(each_engine(past, Wanted(interval_h=7500.0)))


def test_the_picture_shows_every_reading_and_the_drift(told: list[tuple[EngineTrend, list[HistoryNotice]]]) -> None:
    engine = told[0][0]
    picture = ElementTree.fromstring(trend_strip(engine))
    dots = list(picture.iter("circle"))
    events = [event for unit in engine.units for event in (unit.beginning, unit.end) if event is not None]
    assert len(dots) == sum(event.readings for event in events)
    assert len([each for each in dots if each.get("fill") == "none"]) == len(dots) - 4  # Four events were read as left.
    words = [each.text or "" for each in picture.iter("text")]
    assert words.count("drifts") == 1
    assert "20960 h" in words
    # The line begins where the last run does, and ends at the last dot.
    [line] = [each.get("d") or "" for each in picture.iter("path") if "L" in (each.get("d") or "")]
    begin, end = (float(each.split()[0]) for each in line.removeprefix("M").split("L"))
    at_left = max(float(each.get("cx") or 0) for each in dots if each.get("fill") == "currentColor")
    assert (begin, end) == pytest.approx((at_left, max(float(each.get("cx") or 0) for each in dots)), abs=0.06)
    described = picture.find("desc")
    assert described is not None
    assert "Unit 6, end: −0.0255178° in 1000 h, proven." in (described.text or "")


def test_the_page_gives_the_answer_first(told: list[tuple[EngineTrend, list[HistoryNotice]]]) -> None:
    part = trend_part(told)
    order = ["MV Quillmere", "The next check is due at 27228 h", "Unit 6, end: drifts", "<svg", "<table"]
    places = [part.index(each) for each in order]
    assert places == sorted(places)
    assert part.count("<tr>") == 15
    assert trend_said(told).startswith("The next check is due at 27228 h: the trend reaches the tolerance.")


def test_terminal_page_and_paper_give_the_same_numbers(
    past: list[Check], told: list[tuple[EngineTrend, list[HistoryNotice]]]
) -> None:
    paper = trend_paper(told, past, read_typed(Wanted, {"interval_h": "7500"}), {})
    lines = "\n".join([*lines_of(told[0][0]), *ending(told[0][1], 8)])
    for text in (lines, trend_part(told), paper):
        assert "6268 h" in text
        assert "drifts by 0.026° earlier in 1000 h, proven." in " ".join(text.split())
    assert max(map(len, lines.splitlines())) <= 80


def test_paper_holds_what_it_rests_on(past: list[Check], told: list[tuple[EngineTrend, list[HistoryNotice]]]) -> None:
    typed = read_typed(Wanted, {"interval_h": "7500", "now_hours": "soon", "calls": "40 20\n190 36"})
    paper = trend_paper(told, past, typed, {"bad.json": "It ends too early."})
    assert "<svg" in paper
    assert "Demo: ship and numbers are invented." in paper
    for check in past:
        assert f'<th scope="row">{check.name}</th>' in paper
    assert '<th scope="row">bad.json</th><td>It ends too early.</td>' in paper
    assert "<dd>7500 h</dd>" in paper
    assert "<dd>not understood</dd>" in paper
    assert "<dd>in 40 days, 20 h; in 190 days, 36 h</dd>" in paper
    # Nothing is loaded and nothing runs.
    assert 'content="default-src &#x27;none&#x27;;' in paper
    assert not re.search(r"<script|https?://|<link|<img", paper)


def test_nothing_from_a_file_becomes_markup(past: list[Check]) -> None:
    hostile = [replace(each, name=HOSTILE, vessel=HOSTILE, settings=at) for at, each in enumerate(past, 1)]
    told = list(each_engine(hostile, Wanted()))
    assert told[0][1][0].code == "settings_changed"
    for text in (trend_part(told), trend_paper(told, hostile, read_typed(Wanted, {}), {HOSTILE: HOSTILE})):
        assert "<img" not in text
        assert "&lt;img" in text


def test_one_check_has_a_picture_too(past: list[Check]) -> None:
    told = list(each_engine(past[:1], Wanted()))
    assert "One check shows no drift." in trend_part(told)
    assert len(list(ElementTree.fromstring(trend_strip(told[0][0])).iter("circle"))) == 14


def test_the_pages_example_can_be_followed_by_hand() -> None:
    example = trend_example(texts(), Wanted(interval_h=7500.0, now_hours=22100.0), 6, "end")
    rows = re.findall(r"\| (\d+) \| as (found|left) \| ([+−]\d\.\d+)° \| (\d) \|", example)
    assert len(rows) == 9
    x, y, runs = [], [], []
    for hours, _, deviation, run in rows:
        x.append(float(hours))
        y.append(float(deviation.replace("−", "-")))
        runs.append(run)
    sxx = sxy = 0.0
    for run in set(runs):
        mine = [at for at, each in enumerate(runs) if each == run]
        mean_x, mean_y = (sum(values[at] for at in mine) / len(mine) for values in (x, y))
        sxx += sum((x[at] - mean_x) ** 2 for at in mine)
        sxy += sum((x[at] - mean_x) * (y[at] - mean_y) for at in mine)
    told = re.search(r"= (−[\d.]+)° in 1000 h", example)
    assert told is not None
    assert float(told[1].replace("−", "-")) == pytest.approx(1000.0 * sxy / sxx, rel=1e-3)
