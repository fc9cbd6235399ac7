"""The pictures: well-formed, described in words, and where the numbers say."""

import re
from xml.etree import ElementTree

import pytest

from calc import assess, read_job
from calc.findings import Findings
from calc.measure.gum import Term
from calc.show import charts
from calc.show.draw import ticks
from calc.show.marks import WORDS, mark
from tests.jobs import DEMO_FILES, MAIN

TOLERANCE = 0.45


def findings(path: object = MAIN) -> Findings:
    return assess(read_job(path.read_bytes()))  # type: ignore[attr-defined]


def parsed(svg: str | None) -> ElementTree.Element:
    assert svg
    return ElementTree.fromstring(svg)


def circles(picture: ElementTree.Element, stage: str) -> list[ElementTree.Element]:
    groups = [group for group in picture.iter("g") if group.get("class") == f"sm-reading sm-{stage}"]
    return [circle for group in groups for circle in group.iter("circle")]


@pytest.mark.parametrize("path", DEMO_FILES, ids=lambda path: path.stem)
def test_every_picture_is_well_formed_and_described(path: object) -> None:
    found = findings(path)
    pictures = [charts.strip(found.units, TOLERANCE), *(charts.lift_curve(unit, TOLERANCE) for unit in found.units)]
    for svg in pictures:
        picture = parsed(svg)
        assert picture.get("role") == "img"
        title, description = picture.find("title"), picture.find("desc")
        assert title is not None
        assert title.text
        assert description is not None
        assert description.text
        assert "nan" not in str(svg)
        assert "style=" not in str(svg)


def test_the_strip_says_every_unit_in_words() -> None:
    found = findings()
    words = parsed(charts.strip(found.units, TOLERANCE)).findtext("desc") or ""
    for unit in found.units:
        assert f"Unit {unit.unit} {'as left' if unit.stage == 'as_left' else 'as found'}, start:" in words
    assert "±0.45°" in words


def test_a_dot_lies_in_the_band_exactly_where_the_reading_is_within() -> None:
    found = findings()
    picture = parsed(charts.strip(found.units, TOLERANCE))
    band = next(rect for rect in picture.iter("rect") if rect.get("class") == "sm-band")
    left = float(band.get("x", "nan"))
    right = left + float(band.get("width", "nan"))
    shown = [(event.deviation_deg, event) for unit in found.units for event in (unit.beginning, unit.end) if event]
    dots = [float(dot.get("cx", "nan")) for stage in ("as_found", "as_left") for dot in circles(picture, stage)]
    assert len(dots) == len(shown)
    centre, half = 0.5 * (left + right), 0.5 * (right - left)
    expected = sorted(centre + half * deviation / TOLERANCE for deviation, _ in shown)
    assert sorted(dots) == pytest.approx(expected, abs=0.02)


def test_as_found_is_hollow_and_as_left_filled() -> None:
    picture = parsed(charts.strip(findings().units, TOLERANCE))
    assert {dot.get("fill") for dot in circles(picture, "as_found")} == {"none"}
    assert {dot.get("fill") for dot in circles(picture, "as_left")} == {"currentColor"}


def test_a_reading_beyond_the_picture_becomes_an_arrow_at_its_edge() -> None:
    text = MAIN.read_text("utf-8")
    job = re.sub(r'("unit": 1,\s*"stage": "as_found",\s*"event": "suction_closing".*?"crank_angle_deg": )\[[^]]*\]', r"\1[40.0, 40.0]", text, count=1, flags=re.DOTALL)  # fmt: skip  # noqa: E501
    assert job != text
    found = assess(read_job(job))
    picture = parsed(charts.strip(found.units, TOLERANCE))
    arrows = [path for path in picture.iter("path") if path.get("class") == "sm-reading sm-as_found"]
    assert len(arrows) == 1
    assert "late" in (picture.findtext("desc") or "")


def test_a_unit_without_a_number_has_no_curve() -> None:
    found = findings()
    unit = found.units[0]
    assert unit.judged is not None
    unit.judged.events.clear()
    assert charts.lift_curve(unit, TOLERANCE) is None


def test_the_curve_goes_through_reference_and_reading_on_the_same_axes() -> None:
    found = findings()
    unit = next(each for each in found.units if each.unit == 5)
    picture = parsed(charts.lift_curve(unit, TOLERANCE))
    main_dots = [
        dot for dot in circles(picture, "as_found") if float(dot.get("cy", "0")) < 230 and float(dot.get("cx", "0")) > 70
    ]
    assert len(main_dots) >= 2
    assert unit.beginning is not None
    assert unit.end is not None
    x = sorted(float(dot.get("cx", "nan")) for dot in main_dots)[-2:]
    assert x[0] < x[1]


def test_budget_bars_are_largest_first_and_add_up() -> None:
    picture = parsed(charts.budget([Term("small", 0.03), Term("large", 0.04), Term("none", 0.0)], "doubt"))
    widths = [float(bar.get("width", "nan")) for bar in picture.iter("rect")]
    assert widths == sorted(widths, reverse=True)
    assert sum(widths) == pytest.approx(180.0, abs=0.1)
    assert picture.findtext("desc") == "Share of the variance: large 64 %, small 36 %."


@pytest.mark.parametrize("verdict", WORDS)
def test_marks_differ_in_shape_not_only_in_colour(verdict: str) -> None:
    shapes = {other: re.sub(r'class="[^"]*"', "", mark(other)) for other in WORDS}
    assert sum(shape == shapes[verdict] for shape in shapes.values()) == 1


@pytest.mark.parametrize(("low", "high", "most"), [(-0.7, 0.7, 5), (0.0, 60.0, 6), (-16.4, -1.2, 6), (0.001, 0.0021, 4)])
def test_ticks_are_round_few_and_inside(low: float, high: float, most: int) -> None:
    found = ticks(low, high, most)
    assert 2 <= len(found) <= most + 1
    assert low - 1e-9 <= found[0]
    assert found[-1] <= high + 1e-9
