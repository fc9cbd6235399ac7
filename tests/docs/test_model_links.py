"""Links from pages into the moving model set what the model can be set to, and what the words around them say."""

import re
from fractions import Fraction
from urllib.parse import parse_qsl

import pytest

from calc.moving.controls import CONTROLS, CRANK_HIGH_DEG, CRANK_LOW_DEG
from calc.moving.pump import AHEAD, ASTERN, REFERENCE, events
from tests.pages.finding import ROOT

DOCS = ROOT / "docs"
LINK = re.compile(r"model\.md\?([^)\s]+)\)")
SETTABLE = {control.name: control for control in CONTROLS}
LINKS = [
    (path.relative_to(DOCS).as_posix(), state)
    for path in sorted(DOCS.rglob("*.md"))
    if "generated" not in path.parts
    for state in LINK.findall(path.read_text("utf-8"))
]


def fits(name: str, text: str) -> bool:
    """Whether the model takes this value from a link."""
    if name == "turned":
        return text in (AHEAD, ASTERN)
    value = Fraction(text) * 100
    if name == "angle":
        return value.denominator == 1 and CRANK_LOW_DEG * 100 <= value <= CRANK_HIGH_DEG * 100
    control = SETTABLE[name]
    steps = value / control.hundredths
    return control.low <= steps <= control.high and steps % control.step == 0


@pytest.mark.parametrize(("page", "state"), LINKS)
def test_a_link_sets_what_the_model_has(page: str, state: str) -> None:
    pairs = parse_qsl(state, strict_parsing=True)
    assert pairs
    assert all(fits(name, text) for name, text in pairs), (page, state)


def test_pages_that_explain_and_lessons_lead_into_the_model() -> None:
    pages = {page for page, _ in LINKS}
    assert {f"principles/{name}.md" for name in ("pump", "cam", "rod-or-cam", "fuel-index", "backlash")} <= pages
    assert {f"learn/lesson-{number}.md" for number in (1, 2, 3, 4, 5, 7, 9)} <= pages


def test_start_and_end_of_the_links_are_those_of_the_model() -> None:
    made = events(REFERENCE)
    page = (DOCS / "principles" / "pump.md").read_text("utf-8")
    angles = dict(re.findall(r"\[(start of its delivery|end)\]\([^)]*angle=(-?[\d.]+)\)", page))
    assert {name: Fraction(text) * 100 for name, text in angles.items()} == {
        "start of its delivery": made.start,
        "end": made.end,
    }
