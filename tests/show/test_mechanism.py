"""The drawing of the pump: sound, named in the project's words, and a mechanism whose parts stay together as it moves."""

import re
from math import cos, hypot, radians, sin
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.moving import cam, pump
from calc.moving.controls import WORDS
from calc.moving.pump import Place, Setting
from calc.show import mechanism as parts
from calc.show import mechanism_pictures as pictures
from tests.moving.test_pump import flywheels, settings

PICTURES = {
    "model": pictures.moving(),
    "pump-cut-open": pictures.pump_cut_open(),
    "rockers-and-rods": pictures.rockers_and_rods(),
    "eccentric-index": pictures.eccentric_index(),
}
# The words that stand on the drawings, besides readings: trade terms of the glossary and plain words.
NAMES = {
    *(
        "suction valve",
        "spill valve",
        "delivery valve",
        "plunger",
        "pressure chamber",
        "push rod",
        "rocker",
        "fulcrum",
        "cam",
        "roller",
    ),
    *("eccentric fulcrum", "valve stem", "plunger drive", "fuel index", "ahead", "TDC", "fuel", "to the injector"),
    *("gap at index 7", "index 3, dashed:", "opens earlier", "index 7: opens later", "Suction valve", "Spill valve"),
    *("Plunger", "Chamber", "Fuel index"),
}
READING = re.compile(r"\d+(\.\d+)?( mm|° before|° after)?|at TDC")


@pytest.mark.parametrize("name", list(PICTURES))
def test_every_picture_is_sound_and_described(name: str) -> None:
    svg = str(PICTURES[name])
    picture = ElementTree.fromstring(svg)
    title, description = picture.find("title"), picture.find("desc")
    assert picture.get("role") == "img"
    assert title is not None
    assert title.text
    assert description is not None
    assert len(description.text or "") > 100
    assert picture.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"
    ids = [each.get("id") for each in picture.iter() if each.get("id")]
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]+)\)", svg)) <= set(ids)
    assert all(str(each).startswith(f"{name}-") for each in ids)
    assert "nan" not in svg
    assert "style=" not in svg


def test_pictures_of_one_page_share_no_id() -> None:
    found = [each for svg in PICTURES.values() for each in re.findall(r' id="([^"]+)"', svg)]
    assert len(found) == len(set(found))


@pytest.mark.parametrize("name", list(PICTURES))
def test_names_on_the_pictures_are_the_projects_own_words(name: str) -> None:
    words = {"".join(each.itertext()) for each in ElementTree.fromstring(PICTURES[name]).iter("text")}
    strange = {each for each in words - NAMES - set(WORDS.values()) if not READING.fullmatch(each)}
    assert not strange
    assert words & NAMES


def test_files_are_figures_that_a_page_includes_as_they_are() -> None:
    found = pictures.files()
    assert set(found) == {f"pictures/{name}.html" for name in PICTURES if name != "model"}
    for text in found.values():
        assert text.startswith("<figure ")
        assert "\n\n" not in text  # A blank line would end the block for the Markdown reader.
        assert "invented" in text or "Schematic" in text


# ---------------------------------------------------------------- the mechanism


def at(place: Place, setting: Setting) -> dict[str, list[float]]:
    """The numbers of every part's transform."""
    return {
        part: [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", transform)]
        for part, transform in parts.transforms(place, setting).items()
    }


def on_bar(bar: list[float], x: float) -> float:
    """Height of a rocker's middle line at an upright."""
    _, slope, _, _, _, y = bar
    return y + slope * x


@given(flywheels, settings)
def test_rockers_go_through_their_pins(flywheel: int, setting: Setting) -> None:
    found = at(Place(flywheel), setting)
    pin_y = parts.PIN_Y + found["drive"][1]
    near = 0.03
    assert on_bar(found["suction-rocker"], parts.FULCRUM_X) == pytest.approx(parts.LEVEL_Y, abs=near)
    assert on_bar(found["suction-rocker"], parts.PLUNGER_X) == pytest.approx(pin_y, abs=near)
    assert on_bar(found["spill-rocker"], parts.PLUNGER_X) == pytest.approx(pin_y, abs=near)
    assert on_bar(found["spill-rocker"], parts.ECCENTRIC_X) == pytest.approx(found["strap"][1], abs=near)
    suction_foot = parts.LEVEL_Y - 0.8 * parts.LEVEL_MM + found["suction-rod-foot"][1]
    assert on_bar(found["suction-rocker"], parts.SUCTION_X) == pytest.approx(suction_foot, abs=near)
    assert on_bar(found["spill-rocker"], parts.SPILL_X) == pytest.approx(parts.LEVEL_Y + found["spill-rod-foot"][1], abs=near)


@given(flywheels, flywheels, settings)
def test_a_rod_keeps_its_length_until_it_is_turned(one: int, two: int, setting: Setting) -> None:
    """Head and foot of a rod move together, whatever the cam does; a longer rod has its head further from its foot."""
    longer = Setting(setting.index, setting.suction + 5, setting.spill + 5, setting.cam, setting.wear, setting.play)
    first, second, third = at(Place(one), setting), at(Place(two), setting), at(Place(two), longer)
    for rod in ("suction-rod", "spill-rod"):
        length = first[rod][1] - first[f"{rod}-foot"][1]
        assert second[rod][1] - second[f"{rod}-foot"][1] == pytest.approx(length, abs=0.03)
        assert third[rod][1] - third[f"{rod}-foot"][1] == pytest.approx(length - 0.05, abs=0.03)


@given(settings, settings, flywheels)
def test_the_eccentric_moves_the_spill_rod_without_making_it_longer(one: Setting, two: Setting, flywheel: int) -> None:
    same = Setting(two.index, one.suction, one.spill, one.cam, one.wear, one.play)
    first, second = at(Place(flywheel), one), at(Place(flywheel), same)
    for found in (first, second):
        assert hypot(found["strap"][0] - parts.SHAFT_X, found["strap"][1] - parts.LEVEL_Y) == pytest.approx(
            parts.THROW, abs=0.02
        )
    assert second["spill-rod"][1] - second["spill-rod-foot"][1] == pytest.approx(
        first["spill-rod"][1] - first["spill-rod-foot"][1], abs=0.03
    )
    assert second["suction-rod"] == first["suction-rod"]


@given(flywheels, settings)
def test_a_valve_rides_on_its_rod_or_sits(flywheel: int, setting: Setting) -> None:
    found = at(Place(flywheel), setting)
    for valve in ("suction", "spill"):
        rod, lift = found[f"{valve}-rod"][1], found[f"{valve}-valve"][1]
        assert lift == (rod if rod < 0.0 else 0.0)


@given(st.integers(-18_000, 18_000))
def test_the_roller_always_touches_the_cam_and_never_bites_into_it(flywheel: int) -> None:
    lift = cam.lift(flywheel) / cam.PER_MM
    roller = 0.0, -(parts.CAM_BASE + parts.ROLLER + lift)
    turn = radians(flywheel / cam.PER_DEG)
    outline = [parts._flank(float(angle), 0.0) for angle in range(-180, 180, 2)]
    turned = [(x * cos(turn) - y * sin(turn), x * sin(turn) + y * cos(turn)) for x, y in outline]
    near = min(hypot(x - roller[0], y - roller[1]) for x, y in turned)
    # The outline is drawn by a point every two degrees, so the nearest point may lie beside the contact.
    assert parts.ROLLER - 0.05 <= near <= parts.ROLLER + 0.2


@given(settings)
def test_the_drawing_keeps_within_its_frame(setting: Setting) -> None:
    """Nothing that moves leaves its room: valves in their chambers, the index lever on its scale."""
    assert parts.eccentric(0)[0] <= parts.eccentric(setting.index)[0] <= parts.eccentric(pump.INDEX_STEPS)[0]
    for flywheel in range(-18_000, 18_000, 500):
        found = at(Place(flywheel), setting)
        for valve in ("suction-valve", "spill-valve"):
            assert -22.0 <= found[valve][1] <= 0.0
