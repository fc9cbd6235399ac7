"""Forms of calculations on the pages that explain them, as a person uses them."""

import json
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from calc.compute.registry import CALCULATIONS
from calc.compute.run import compute
from calc.show.computed import page_part

from .chromium import ChromiumTab
from .conftest import BOTH, CROSSED, ONE
from .sound import looks, too_small
from .tab import Tab

PAGE = "calculate/all.html"
READY = "document.documentElement.dataset.calc === 'ready'"
PYTHON_S = 90
LOADED = "performance.getEntriesByType('resource').filter(each => each.name.endsWith('python-payload.js')).length"


def box(name: str) -> str:
    return f"[data-calculation={name}]"


def field(name: str, key: str) -> str:
    return f'[name="calculation/{name}/{key}"]'


def answer(name: str) -> str:
    return f"document.querySelector({json.dumps(f'{box(name)} .ws-tried')})"


def said_at(name: str, key: str) -> str:
    return f"document.getElementById('note-calculation/{name}/{key}').textContent"


def open_page(tab: Tab) -> None:
    tab.open(PAGE)
    tab.wait_for(READY, timeout_s=PYTHON_S)


def act(tab: Tab, name: str, what: str) -> None:
    tab.click(f"{box(name)} [data-act={what}]")


def kept(tab: Tab, name: str) -> Any:
    return json.loads(tab.evaluate(f"localStorage.getItem('spillmark-calculation-{name}')") or "null")


def is_answered(tab: Tab, name: str, **given: Any) -> None:
    """The form shows what this input is answered elsewhere."""
    expected = json.dumps(page_part(compute(CALCULATIONS[name], json.dumps(given))))
    as_read = f"(() => {{ const box = document.createElement('div'); box.innerHTML = {expected}; return box.innerHTML; }})()"
    tab.wait_for(f"{answer(name)}.innerHTML === {as_read}")


def test_every_example_is_answered_as_on_the_command_line(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    tab = chromium_tab
    open_page(tab)
    for name, calculation in CALCULATIONS.items():
        act(tab, name, "example")
        is_answered(tab, name, **calculation.example)
        assert "invented" in tab.text(f"{box(name)} .ws-demo")
    assert tab.outside_requests() == []
    for _ in looks(tab):
        assert too_small(tab, ".calculation :is(button, input, select, textarea, summary)") == []
    # On paper stand what was typed, all of it, and the answer; no buttons.
    tab.pdf(tmp_path / "all.pdf")
    paper = " ".join(" ".join(page.extract_text() for page in PdfReader(tmp_path / "all.pdf").pages).split())
    assert "441.299 N·m" in paper
    assert "69.9642 mm²/s" in paper
    assert "Example: invented numbers" in paper
    assert "Fill in the example" not in paper
    assert "Save input" not in paper
    rows = "document.querySelector('[name=\"calculation/cam_survey/reference\"]')"
    tab.emulate(paper=True)
    assert tab.evaluate(f"{rows}.scrollHeight <= {rows}.clientHeight + 1")


@CROSSED
def test_a_form_is_typed_by_hand_and_told_what_is_wrong_and_outlives_its_page(tab: Tab) -> None:
    open_page(tab)
    tab.fill(field("density", "density_15_kg_m3"), "965,5 kg/m³")
    tab.press("Tab")
    tab.wait_for(f"{said_at('density', 'density_15_kg_m3')} === '965.5 kg/m³'")
    tab.wait_for(f"{answer('density')}.textContent.includes('Temperatures to tell the density at: missing')")
    tab.type("50 98,5 hot")
    # Nobody is interrupted in the middle of a field.
    tab.wait_for(f"{answer('density')}.textContent.includes('Mend what is marked')")
    assert tab.attribute(field("density", "at_c"), "aria-invalid") is None
    tab.press("Tab")
    tab.wait_for(f"{said_at('density', 'at_c')}.includes('“50 98,5 hot” is not understood')")
    assert tab.attribute(field("density", "at_c"), "aria-invalid") == "true"
    tab.fill(field("density", "at_c"), "50 98,5")
    is_answered(tab, "density", density_15_kg_m3=965.5, at_c=[50, 98.5])
    tab.wait_for(f"document.querySelector({json.dumps(field('density', 'at_c'))}).getAttribute('aria-invalid') === null")
    open_page(tab)
    assert tab.value(field("density", "density_15_kg_m3")) == "965,5 kg/m³"
    is_answered(tab, "density", density_15_kg_m3=965.5, at_c=[50, 98.5])
    # The other forms are as empty as they were, and nothing is said of them.
    assert tab.evaluate(f"{answer('ignition')}.textContent") == ""


@BOTH
def test_rows_are_added_removed_and_brought_back_by_keys_alone(tab: Tab) -> None:
    open_page(tab)
    tab.focus(field("blend", "parts/0/mass_t"))
    # Mass, viscosity, density, sulphur, the button that removes the row: twice; then the button that adds one.
    for keys in ("90", "380", "975", "0,6", "", "30", "4", "", "", ""):
        tab.type(keys) if keys else None
        tab.press("Tab")
    assert tab.evaluate("document.activeElement.textContent") == "Add a fuel"
    tab.press("Enter")
    assert tab.evaluate("document.activeElement.name") == "calculation/blend/parts/2/mass_t"
    tab.type("-5")
    tab.press("Tab")
    tab.type("4")
    tab.press("Tab")
    # Once the row has been left, its slip is told in it, by its number.
    tab.press("Tab")
    tab.press("Tab")
    tab.press("Tab")
    tab.wait_for(f"{said_at('blend', 'parts/2/mass_t')}.includes('fuel 3, mass: -5 found')")
    rows = {f"parts/{at}/mass_t": mass for at, mass in enumerate(("90", "30", "-5"))}
    typed = kept(tab, "blend")
    assert rows.items() <= typed.items()
    # The second row goes, the third takes its place, and the focus stays there.
    tab.focus(f"{box('blend')} [aria-label='Remove Fuel 2']")
    tab.press("Enter")
    assert tab.evaluate("document.activeElement.name") == "calculation/blend/parts/1/mass_t"
    assert tab.count(f"{box('blend')} .ws-row") == 2
    assert tab.value(field("blend", "parts/1/mass_t")) == "-5"
    tab.press("Shift+Tab")
    tab.wait_for(f"{said_at('blend', 'parts/1/mass_t')}.includes('fuel 2, mass: -5 found')")
    assert "Fuel 2 is removed." in tab.text(f"{box('blend')} .ws-list .ws-news")
    tab.focus(f"{box('blend')} [data-act=undo]")
    tab.press("Enter")
    assert kept(tab, "blend") == typed
    assert tab.count(f"{box('blend')} .ws-row") == 3
    tab.fill(field("blend", "parts/2/mass_t"), "5")
    fuels = [{"mass_t": 90, "viscosity_mm2_s": 380, "density_15_kg_m3": 975, "sulphur_percent": 0.6}]
    fuels += [{"mass_t": mass, "viscosity_mm2_s": 4} for mass in (30, 5)]
    is_answered(tab, "blend", parts=fuels)
    # The last row that is left cannot be removed: there is always one to type in.
    for _ in range(2):
        tab.focus(f"{box('blend')} [aria-label='Remove Fuel 1']")
        tab.press("Enter")
    assert tab.evaluate(f"document.querySelector({json.dumps(box('blend') + ' .ws-remove')}).checkVisibility()") is False
    is_answered(tab, "blend", parts=fuels[2:])


@ONE
def test_the_example_and_clearing_can_be_undone_and_the_input_saved(tab: Tab) -> None:
    open_page(tab)
    tab.select(field("convert", "from"), "kgf.m")
    tab.fill(field("convert", "value"), "45")
    act(tab, "convert", "save")
    tab.wait_for(f"document.querySelector({json.dumps(box('convert'))}).textContent.includes('Still needed: unit wanted.')")
    tab.select(field("convert", "to"), "N.m")
    saved = tab.download(f"{box('convert')} [data-act=save]")
    assert saved.name == "convert.json"
    assert json.loads(saved.read_text("utf-8")) == {"value": 45, "from": "kgf.m", "to": "N.m"}
    tab.wait_for(f"document.querySelector({json.dumps(box('convert'))}).textContent.includes('python -m calc compute convert')")
    is_answered(tab, "convert", **{"value": 45, "from": "kgf.m", "to": "N.m"})
    typed = kept(tab, "convert")
    act(tab, "convert", "clear")
    assert kept(tab, "convert") is None
    assert tab.value(field("convert", "value")) == ""
    tab.wait_for(f"{answer('convert')}.textContent === ''")
    act(tab, "convert", "undo")
    assert kept(tab, "convert") == typed
    # What Undo has taken the place of comes back by one more.
    act(tab, "convert", "undo")
    assert kept(tab, "convert") is None
    act(tab, "convert", "undo")
    assert tab.value(field("convert", "from")) == "kgf.m"
    # A screen reader hears the answer of a form once it rests.
    act(tab, "thread", "example")
    tab.wait_for(
        f"document.querySelector({json.dumps(box('thread') + ' .ws-hidden')}).textContent.includes('Thread engagement')"
    )


@ONE
def test_python_comes_when_a_form_comes_near_and_not_before(tab: Tab) -> None:
    tab.set_viewport(1280, 240)
    tab.open(PAGE)
    tab.wait_for_element(field("viscosity", "points"))
    assert tab.evaluate(LOADED) == 0
    assert tab.evaluate("document.documentElement.dataset.calc") is None
    tab.evaluate(f"document.querySelector({json.dumps(box('energy'))}).scrollIntoView(), 0")
    # While it starts, the form says so, and takes what is typed.
    tab.wait_for(f"document.querySelector({json.dumps(box('energy') + ' .ws-phase')}).textContent.includes('type meanwhile')")
    act(tab, "energy", "example")
    tab.wait_for(READY, timeout_s=PYTHON_S)
    is_answered(tab, "energy", **CALCULATIONS["energy"].example)
    assert tab.text(f"{box('energy')} .ws-phase") == ""


@ONE
def test_what_the_browser_keeps_and_no_form_has_kept_is_ignored(tab: Tab) -> None:
    strange = {
        "density": "no JSON",
        "ignition": '["a"]',
        "energy": "null",
        "blend": '{"parts/0/mass_t": 90, "parts/x/mass_t": "1", "colour": "blue", "parts/1/mass_t": "30"}',
    }
    tab.open(PAGE)
    for name, text in strange.items():
        tab.evaluate(f"localStorage.setItem('spillmark-calculation-{name}', {json.dumps(text)}), 0")
    tab.open(PAGE)
    for name in strange:
        tab.wait_for_element(f"{box(name)} .ws-control")
    assert tab.value(field("blend", "parts/0/mass_t")) == ""
    assert tab.value(field("blend", "parts/1/mass_t")) == "30"
    tab.fill(field("blend", "parts/0/mass_t"), "90")
    assert kept(tab, "blend") == {"parts/0/mass_t": "90", "parts/1/mass_t": "30"}


@pytest.mark.parametrize("tab_without_python", ["chromium"], indirect=True)
def test_without_python_what_is_typed_is_kept(tab_without_python: Tab) -> None:
    tab = tab_without_python
    tab.open(PAGE)
    tab.wait_for("document.documentElement.dataset.calc === 'failed'")
    advice = tab.text(f"{box('density')} .ws-failed")
    for words in ("did not start", "What you typed is kept", "another browser", "is missing", "Try again"):
        assert words in advice
    assert "job file" not in advice
    tab.fill(field("density", "density_15_kg_m3"), "965")
    tab.open(PAGE)
    assert tab.value(field("density", "density_15_kg_m3")) == "965"
    act(tab, "density", "save")
    tab.wait_for(f"document.querySelector({json.dumps(box('density'))}).textContent.includes('The input was not saved.')")
