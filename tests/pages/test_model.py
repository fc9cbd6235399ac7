"""The moving model in a browser: its gauges are `calc`'s, and it is moved by keys, buttons, links and by itself."""

import json
import random
import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from calc.moving import pump
from calc.moving.controls import CONTROLS, WORDS, angle_said, described, hundredths, made, said
from calc.moving.pump import Place, Setting, shown, turned
from calc.show import mechanism, mechanism_pictures
from calc.show.moving_page import START

from .chromium import DARK, LIGHT, ChromiumTab
from .conftest import BOTH, ONE
from .tab import Tab
from .weight import files_loaded

PAGE = "learn/model.html"
LIMIT_KB = 60
READ = """(() => {
    const text = selector => document.querySelector(`#model ${selector}`).textContent;
    return ["plunger", "suction", "spill", "chamber", "flywheel", "index"].map(name => text(`[data-shown="${name}"]`));
})()"""


def open_model(tab: Tab, state: str = "") -> None:
    tab.open(PAGE + state)
    tab.wait_for_element("#model[data-ready]")


def on_screen(place: Place, setting: Setting) -> list[str]:
    """What the texts of the picture should say."""
    now = shown(place, setting)
    return [
        *(f"{hundredths(digits)} mm" for digits in (now.plunger, now.suction, now.spill)),
        WORDS[now.chamber],
        angle_said(place.flywheel, short=True),
        hundredths(10 * setting.index, 1),
    ]


def crank(tab: Tab, angles: list[int]) -> list[list[str]]:
    """Set the flywheel's slider to these angles one after the other, and read the picture's texts at each."""
    found: list[list[str]] = tab.evaluate(
        f"""(() => {{
            const slider = document.querySelector("#model-angle");
            return {json.dumps(angles)}.map(angle => {{
                slider.value = String(angle / 100);
                slider.dispatchEvent(new Event("input", {{ bubbles: true }}));
                return {READ};
            }});
        }})()"""
    )
    return found


def set_sliders(tab: Tab, setting: Setting) -> None:
    values = {control.name: getattr(setting, control.name) for control in CONTROLS}
    tab.evaluate(
        f"""(() => {{
            for (const [name, value] of Object.entries({json.dumps(values)})) {{
                const slider = document.querySelector(`#model-${{name}}`);
                slider.value = String(value);
                slider.dispatchEvent(new Event("input", {{ bubbles: true }}));
            }}
        }})()"""
    )


def texts_of(tab: Tab, kind: str) -> dict[str, str]:
    """The texts of the page outside the picture, by what they tell."""
    nodes = f"[...document.querySelectorAll('#model [data-{kind}]')]"
    found: dict[str, str] = tab.evaluate(f"Object.fromEntries({nodes}.map(each => [each.dataset.{kind}, each.textContent]))")
    return found


def some_settings(count: int) -> list[Setting]:
    """The ends of every slider, and settings drawn from all of them."""
    chance = random.Random(6)
    ends = [
        Setting(**{control.name: end}) for control in CONTROLS for end in (control.low, control.high) if end or control.low == 0
    ]
    drawn = [
        Setting(
            **{
                control.name: chance.randrange(control.low // control.step, control.high // control.step + 1) * control.step
                for control in CONTROLS
            }
        )
        for _ in range(count)
    ]
    return [pump.REFERENCE, *ends, *drawn]


def differences(tab: Tab, place: Place, setting: Setting, angles: list[int]) -> tuple[list[str], Place]:
    """Where the screen and `calc` differ while the flywheel goes through these angles; and where that leaves it."""
    found = []
    for angle, texts in zip(angles, crank(tab, angles), strict=True):
        place = turned(place, angle - place.flywheel, setting)
        if texts != on_screen(place, setting):
            found.append(f"{setting} {place}: {texts} instead of {on_screen(place, setting)}")
    return found, place


@ONE
def test_the_gauges_show_what_calc_says_over_a_whole_revolution(tab: Tab) -> None:
    """Every tenth of a degree at the reference, ahead and astern."""
    open_model(tab)
    place = START
    for angles in ([-17_999, *range(-17_990, 18_001, 10)], list(range(18_000, -18_000, -10))):
        wrong, place = differences(tab, place, pump.REFERENCE, angles)
        assert not wrong, "\n".join(wrong[:5])


@ONE
def test_the_gauges_show_what_calc_says_over_every_slider(tab: Tab) -> None:
    """A revolution ahead and back through hundredths of a degree drawn at random, most of them where the plunger rises."""
    open_model(tab)
    chance = random.Random(7)
    place = START
    for setting in some_settings(30):
        set_sliders(tab, setting)
        place = Place(place.flywheel, min(place.slack, 10 * setting.play))
        angles = sorted(
            {chance.randrange(-17_999, 18_001) for _ in range(60)} | {chance.randrange(-3500, 4500) for _ in range(60)}
        )
        for way in (angles, angles[::-1]):
            wrong, place = differences(tab, place, setting, way)
            assert not wrong, "\n".join(wrong[:5])
        assert texts_of(tab, "made") == made(setting)
        values = {control.name: said(control, getattr(setting, control.name)) for control in CONTROLS}
        assert texts_of(tab, "said") == {**values, "angle": angle_said(place.flywheel)}


@ONE
def test_the_parts_stand_where_calc_puts_them(tab: Tab) -> None:
    open_model(tab)
    place = START
    for setting, angle in zip(some_settings(10), range(-2900, 18_000, 790), strict=False):
        set_sliders(tab, setting)
        place = Place(place.flywheel, min(place.slack, 10 * setting.play))
        crank(tab, [angle])
        place = turned(place, angle - place.flywheel, setting)
        stands: list[list[str]] = tab.evaluate(
            "[...document.querySelectorAll('#model svg [data-part]')]"
            ".map(each => [each.dataset.part, each.getAttribute('transform')])"
        )
        wanted = mechanism.transforms(place, setting)
        moved = 0
        for part, transform in stands:
            if part == "flow":
                continue
            assert numbers(transform) == pytest.approx(numbers(wanted[part]), abs=0.011), part
            moved += 1
        assert moved > len(wanted) - 1


def numbers(transform: str) -> list[float]:
    return [float(each) for each in re.findall(r"-?\d+(?:\.\d+)?", transform)]


# ---------------------------------------------------------------- moving it


@BOTH
def test_keys_turn_the_flywheel(tab: Tab) -> None:
    open_model(tab, "?angle=-10")
    tab.focus("#model-angle")
    place = Place(-1000)
    for key, by in (
        ("ArrowRight", 50),
        ("ArrowUp", 50),
        ("PageUp", 500),
        ("ArrowLeft", -50),
        ("PageDown", -500),
        ("Shift+ArrowRight", 1),
        ("Shift+ArrowLeft", -1),
        ("ArrowDown", -50),
        ("Home", 1000),
    ):
        tab.press(key)
        place = turned(place, by, pump.REFERENCE)
        assert tab.evaluate(READ) == on_screen(place, pump.REFERENCE), key
        assert tab.attribute("#model-angle", "aria-valuetext") == angle_said(place.flywheel)
    assert place.flywheel == 0
    # Another slider goes by its own steps.
    tab.focus("#model-suction")
    tab.press("ArrowRight")
    assert tab.attribute("#model-suction", "aria-valuetext") == "0.05 mm longer"


@BOTH
def test_buttons_turn_the_flywheel_and_the_way_back_takes_up_the_play(tab: Tab) -> None:
    open_model(tab, "?angle=-6")
    lift = tab.text('#model [data-shown="plunger"]')
    tab.click('[data-turn="-50"]')
    # Inside the play the cam stands still.
    assert tab.text('#model [data-shown="plunger"]') == lift
    tab.wait_for(f"document.querySelector('#model-says').textContent.includes({json.dumps(WORDS['between'])})")
    tab.click('[data-turn="-500"]')
    tab.wait_for(f"document.querySelector('#model-says').textContent.includes({json.dumps(WORDS['astern'])})")
    tab.click('[data-turn="500"]')
    tab.click('[data-turn="50"]')
    assert tab.evaluate(READ) == on_screen(Place(-600), pump.REFERENCE)
    tab.wait_for(f"document.querySelector('#model-says').textContent === {json.dumps(described(Place(-600), pump.REFERENCE))}")


@BOTH
def test_it_plays_pauses_and_says_where_it_stands(tab: Tab) -> None:
    open_model(tab)
    was = tab.text('#model [data-shown="flywheel"]')
    assert tab.text("#model-run") == "Play"
    tab.click("#model-run")
    tab.wait_for(f"document.querySelector('#model [data-shown=flywheel]').textContent !== {json.dumps(was)}")
    assert tab.text("#model-run") == "Pause"
    assert tab.text("#model-says") == WORDS["playing"]
    tab.click("#model-run")
    tab.wait_for("document.querySelector('#model-says').textContent.startsWith('Flywheel')")
    angle = round(100 * float(tab.value("#model-angle")))
    assert tab.text("#model-says") == described(Place(angle), pump.REFERENCE)
    assert tab.evaluate(READ) == on_screen(Place(angle), pump.REFERENCE)


def test_where_nothing_may_move_by_itself_play_goes_step_by_step(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    tab.emulate(reduced_motion=True)
    open_model(tab)
    frames = "requestAnimationFrame = () => { throw new Error('moves by itself') }, 0"
    tab.evaluate(frames)
    for step in (1, 2):
        assert tab.text("#model-run") == "Step 5°"
        tab.click("#model-run")
        assert tab.evaluate(READ) == on_screen(Place(START.flywheel + 500 * step), pump.REFERENCE)


@ONE
def test_words_are_told_once_when_everything_rests(tab: Tab) -> None:
    open_model(tab)
    tab.wait_for(f"document.querySelector('#model-says').textContent === {json.dumps(described(START, pump.REFERENCE))}")
    told = tab.evaluate(
        """(async () => {
            const told = [];
            new MutationObserver(() => told.push(document.querySelector("#model-says").textContent))
                .observe(document.querySelector("#model-says"), { childList: true, characterData: true, subtree: true });
            for (let i = 0; i < 10; i++) document.querySelector('[data-turn="50"]').click();
            while (!told.length) await new Promise(resolve => setTimeout(resolve, 20));
            await new Promise(resolve => setTimeout(resolve, 600));
            return told;
        })()"""
    )
    assert told == [described(Place(START.flywheel + 500), pump.REFERENCE)]


# ---------------------------------------------------------------- links


@BOTH
def test_a_link_sets_the_model(tab: Tab) -> None:
    state = "angle=-4.5&index=7&suction=+0.25&spill=-0,10&cam=%E2%88%920.5&wear=0.2&play=1.5&turned=astern"
    setting = Setting(index=70, suction=25, spill=-10, cam=-5, wear=4, play=15)
    wanted = on_screen(Place(-450, 150), setting)
    for mark in ("?", "#"):
        tab.goto("about:blank")
        open_model(tab, mark + state)
        assert tab.evaluate(READ) == wanted
        assert tab.evaluate("document.querySelector('#model-note').textContent") == ""


@BOTH
def test_a_link_of_the_page_sets_it_where_it_is_and_going_back_sets_it_back(tab: Tab) -> None:
    open_model(tab)
    tab.evaluate("window.stayed = true, 0")
    tab.click('a[href*="cam=1.0"]')
    late = on_screen(Place(-600), Setting(cam=10))
    tab.wait_for(f"JSON.stringify({READ}) === JSON.stringify({json.dumps(late)})")
    tab.click('a[href*="index=7.0"]')
    more = on_screen(Place(900), Setting(index=70))
    tab.wait_for(f"JSON.stringify({READ}) === JSON.stringify({json.dumps(more)})")
    tab.evaluate("history.back(), 0")
    tab.wait_for(f"JSON.stringify({READ}) === JSON.stringify({json.dumps(late)})")
    assert tab.evaluate("window.stayed")
    # Turned away from the state, the same link sets it once more.
    tab.click('[data-turn="500"]')
    tab.click('a[href*="cam=1.0"]')
    assert tab.evaluate(READ) == late
    tab.click("#model-reset")
    assert tab.evaluate(READ) == on_screen(Place(-600), pump.REFERENCE)


@ONE
def test_what_a_link_cannot_mean_is_named_and_the_rest_is_set(tab: Tab) -> None:
    open_model(tab, "?angle=999&index=7&suction=0.33&spill=long&turned=sideways&crank=3")
    assert tab.evaluate(READ) == on_screen(START, Setting(index=70))
    note = tab.text("#model-note")
    for words in ("angle = 999", "from −180 to 180", "suction = 0.33", "from −1.5 to 1.5", "spill = long", "sideways", "crank"):
        assert words in note
    tab.click("#model-reset")
    assert tab.evaluate("document.querySelector('#model-note').textContent") == ""


# ---------------------------------------------------------------- the page


def test_it_is_sound_in_every_state_and_nothing_is_too_small(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    for dark in (False, True):
        tab.emulate(dark=dark, reduced_motion=True)
        for width in (390, 1280):
            tab.set_viewport(width)
            open_model(tab, "?angle=999&wear=0.5")
            assert tab.attribute("body", "data-md-color-scheme") == (DARK if dark else LIGHT)
            tab.evaluate("document.querySelector('#model-made').open = true, 0")
            assert tab.axe(colours_alone=dark) == []
            assert tab.evaluate("document.documentElement.scrollWidth") <= width
            small = tab.evaluate(
                "[...document.querySelectorAll('#model :is(button, input, summary)')]"
                ".filter(each => Math.min(each.offsetWidth, each.offsetHeight) < 44).map(each => each.outerHTML)"
            )
            assert small == []
            assert unread(tab) == []


def unread(tab: Tab) -> list[str]:
    """Texts of the drawings on the page that are small, lie on another, or leave their picture."""
    found: list[str] = tab.evaluate(
        """[...document.querySelectorAll("svg.sm-mechanism")].flatMap(svg => {
            const frame = svg.getBoundingClientRect(), scale = frame.width / svg.viewBox.baseVal.width;
            const texts = [...svg.querySelectorAll("text")].map(node => ({ node, box: node.getBoundingClientRect() }));
            const wrong = [];
            for (const { node, box } of texts) {
                const turns = node.closest('[data-part="flywheel"]');
                if (parseFloat(getComputedStyle(node).fontSize) * scale < 10.5) wrong.push(`small: ${node.textContent}`);
                if (box.left < frame.left - 1 || box.right > frame.right + 1 ||
                    box.top < frame.top - 1 || box.bottom > frame.bottom + 1)
                    wrong.push(`outside: ${node.textContent}`);
                for (const other of texts)
                    if (other.node !== node && !turns && !other.node.closest('[data-part="flywheel"]') &&
                        box.left < other.box.right - 1 && other.box.left < box.right - 1 &&
                        box.top < other.box.bottom - 4 && other.box.top < box.bottom - 4)
                        wrong.push(`${node.textContent} on ${other.node.textContent}`);
            }
            return wrong;
        })"""
    )
    return found


def test_names_on_the_pictures_can_be_read_on_a_phone(chromium_tab: ChromiumTab, site: Path, tmp_path: Path) -> None:
    """The pictures of other pages, with the site's own style sheets and as wide as a phone shows them."""
    sheets = "".join(
        f"<style>{(site / 'stylesheets' / name).read_text('utf-8')}</style>" for name in ("site.css", "pictures.css")
    )
    page = tmp_path / "pictures.html"
    shown_here = "".join(mechanism_pictures.files().values())
    page.write_text(
        f"<!doctype html><meta charset=utf-8><title>Pictures</title>{sheets}<body style='font-family: sans-serif'>{shown_here}",
        "utf-8",
    )
    chromium_tab.set_viewport(374)
    chromium_tab.goto(page.as_uri())
    # It is no page of the site.
    chromium_tab.forget()
    assert chromium_tab.count("svg.sm-mechanism") == 3
    assert unread(chromium_tab) == []


def test_it_loads_a_small_script_and_no_python(chromium_tab: ChromiumTab, site: Path) -> None:
    chromium_tab.forget()
    open_model(chromium_tab)
    loaded = files_loaded(chromium_tab)
    assert "generated/app/model.js" in loaded
    assert "stylesheets/model.css" in loaded
    assert not [name for name in loaded if "python" in name or "worksheet" in name]
    assert (site / "generated/app/model.js").stat().st_size < 1000 * LIMIT_KB
    assert "wasm" not in str(chromium_tab.attribute("meta[http-equiv=Content-Security-Policy]", "content"))


def test_the_printer_gets_a_still_picture_with_all_numbers(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    setting = Setting(index=63, suction=35)
    open_model(chromium_tab, "?angle=-3.21&index=6.3&suction=0.35")
    chromium_tab.wait_for(
        f"document.querySelector('#model-says').textContent === {json.dumps(described(Place(-321), setting))}"
    )
    paper = tmp_path / "model.pdf"
    chromium_tab.pdf(paper)
    first = re.sub(r"\s+", " ", PdfReader(paper).pages[0].extract_text())
    now = shown(Place(-321), setting)
    for words in ("3.21° before TDC", f"{hundredths(now.plunger)} mm", "0.35 mm longer", "6.3", made(setting)["end"]):
        assert words in first, f"{words!r} is not in {first!r}"
    assert "Play 1" not in first
    assert "+0.01°" not in first


@ONE
def test_without_its_script_the_page_still_shows_the_pump(tab: Tab, site: Path) -> None:
    page = (site / PAGE).read_text("utf-8")
    assert described(START, pump.REFERENCE) in page
    assert "<noscript>" in page
