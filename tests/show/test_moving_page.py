"""What the moving model's page is given: the table holds the cam, the links and the figures in the text are the model's."""

import json
import re
from html.parser import HTMLParser
from itertools import accumulate
from urllib.parse import parse_qsl

import pytest

from calc.moving import cam, pump
from calc.moving.controls import CONTROLS, made, said
from calc.moving.pump import Place, Setting, shown
from calc.show import moving_page

FILES = moving_page.files()
LINK = re.compile(r"\[[^]]+\]\(model\.md\?([^)]+)\)")
TABLE = json.loads(FILES["model.json"])


def test_the_table_holds_the_whole_cam() -> None:
    lifts = accumulate(accumulate(TABLE["bends"]))
    rows = {(TABLE["lift_from"] + at) % 3600: lift for at, lift in enumerate(lifts)}
    assert [rows.get(row, 0) for row in range(3600)] == list(cam.LIFTS)
    worn = {(TABLE["worn_from"] + at) % 3600: depth for at, depth in enumerate(TABLE["worn"])}
    assert [worn.get(row, 0) for row in range(3600)] == list(cam.WORN)
    assert TABLE["spill_lifts"] == [pump.spill_lift(index) for index in range(81)]


def test_the_table_is_small_and_of_whole_numbers_where_gauges_come_from() -> None:
    assert len(FILES["model.json"]) < 16_000
    for key in ("bends", "worn", "spill_lifts", "rise", "rising", "falling"):
        assert all(isinstance(each, int) for each in TABLE[key]), key


class _Fields(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.inputs: dict[str, dict[str, str | None]] = {}
        self.labelled: set[str | None] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        attributes = dict(attrs)
        if tag == "input":
            self.inputs[str(attributes["id"])] = attributes
        if tag == "label":
            self.labelled.add(attributes["for"])


def test_every_slider_has_a_label_its_range_and_its_value_in_words() -> None:
    fields = _Fields()
    fields.feed(FILES["pictures/model.html"])
    assert set(fields.inputs) == {"model-angle", *(f"model-{control.name}" for control in CONTROLS)} == fields.labelled
    for control in CONTROLS:
        attributes = fields.inputs[f"model-{control.name}"]
        at = getattr(pump.REFERENCE, control.name)
        assert [attributes[key] for key in ("min", "max", "step", "value")] == [
            str(each) for each in (control.low, control.high, control.step, at)
        ]
        assert attributes["aria-valuetext"] == said(control, at)


def state_of(query: str) -> tuple[Place, Setting]:
    """What a link sets, read here on its own; a value that no slider can take fails."""
    values = dict(parse_qsl(query, strict_parsing=True))
    astern = values.pop("turned", "ahead") == "astern"
    flywheel = round(float(values.pop("angle")) * 100)
    assert -18_000 <= flywheel <= 18_000
    by_name = {control.name: control for control in CONTROLS}
    steps = {}
    for name, text in values.items():
        control = by_name[name]
        exact = float(text) * 100 / control.hundredths
        assert exact == pytest.approx(round(exact))
        assert control.low <= round(exact) <= control.high
        assert round(exact) % control.step == 0
        steps[name] = round(exact)
    setting = Setting(**steps)
    return Place(flywheel, 10 * setting.play if astern else 0), setting


LINES = [line for line in FILES["model-tasks.md"].splitlines() if line]


@pytest.mark.parametrize("line", LINES, ids=[line.partition("**")[2].partition(".")[0] for line in LINES])
def test_every_figure_of_a_task_is_seen_in_the_states_that_it_links_to(line: str) -> None:
    states = [state_of(query) for query in LINK.findall(line)]
    assert states
    seen = {"0.05 mm"}
    for place, setting in states:
        now = shown(place, setting)
        seen |= {f"{digits / 100:.2f} mm" for digits in (now.plunger, now.suction, now.spill)}
        for text in made(setting).values():
            seen |= set(re.findall(r"\d+\.\d\d(?: mm|°)", text))
    prose = LINK.sub("", line)
    figures = re.findall(r"\d+\.\d\d(?: mm|°)", prose)
    assert set(figures) <= seen, set(figures) - seen


def test_ten_tasks_each_of_them_sets_the_model() -> None:
    assert len(LINES) == 10
    assert all(LINK.search(line) for line in LINES)


def test_no_id_of_the_page_stands_twice() -> None:
    found = re.findall(r' id="([^"]+)"', FILES["pictures/model.html"])
    assert len(found) == len(set(found)) > len(CONTROLS)


def test_no_block_has_a_blank_line_that_would_end_it() -> None:
    assert "\n\n" not in FILES["pictures/model.html"]
