"""The steps of the job on the page: the map, what applies, keys alone, small screens and large text, and how they are told."""

import contextlib
import json
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from calc.job import steps
from calc.job.form import compose
from tests.invented import SPILL, SUCTION, both, contact, opening, rod_error
from tests.work.sheets import confirm as confirm_texts
from tests.work.sheets import whole_job

from .chromium import DARK, LIGHT, ChromiumTab
from .conftest import BOTH
from .tab import Tab
from .test_job import here, sign_as, step, still_open, wait_for_state
from .test_store import STORED, wait_for_stored
from .test_worksheet import (
    PAGE,
    READY,
    field,
    load,
    open_sheet,
    put,
    texts,
    type_into,
    visible,
    wait_for_verdict,
)

ORDER = [each.code for each in (*steps.STEPS, *steps.ASIDE)]
START = "readings/1/as_found/suction_closing/ahead"
# WCAG 2.2, 2.5.5 (enhanced): 44 by 44 CSS pixels. 2.5.8 (minimum) asks for 24.
TARGET_PX = 44


def filled() -> dict[str, Any]:
    """An invented job of three units with every step filled in: unit 2 was off, was corrected, and was read again."""
    units = range(1, 4)
    found = [
        reading for unit in units for reading in ((rod_error(2, SUCTION, 0.8), contact(2, SPILL)) if unit == 2 else both(unit))
    ]
    left = [{**reading, "stage": "as_left"} for reading in (*both(2), opening(2, 1.75))]
    typed = whole_job([*found, *left], [opening(unit, 1.75) for unit in units], len(units))
    row = "adjustments/2/suction_rod"
    typed |= {
        "title": "Every step filled in",
        "arrangement.reversible": "yes",
        "arrangement.heated_fuel": "yes",
        f"{row}/length_before_mm": "412.5",
        f"{row}/flats_turned": "-3",
        f"{row}/length_after_mm": "411.9",
        f"{row}/locked": "yes",
        f"{row}/by": "R. Senn, 2/E",
        "inspections/2/cam/condition": "worn",
        "inspections/2/cam/finding": "Pits on the rising side, about 3 mm wide",
        "positions/own-1/name": "borrowed torque spanner",
        "positions/own-1/as_found": "on unit 2",
        "positions/tools/not_needed": "counted in the store",
        "paper.correction_by": "R. Senn, 2/E",
        "paper.left_by": "R. Senn, 2/E",
    }
    confirm_texts(typed, step=steps.CORRECTION)
    confirm_texts(typed, step=steps.LEFT)
    return compose(typed).tree


def load_filled(tab: Tab, folder: Path) -> None:
    """Open the filled job and wait for its findings."""
    load(tab, put(folder, filled(), "filled.json"))
    wait_for_verdict(tab, "within")


def reload(tab: Tab) -> None:
    """Load the page again, as the browser's button does."""
    tab.evaluate("void setTimeout(() => location.reload(), window.before = 20)")
    end = time.monotonic() + tab.patience_s
    while time.monotonic() < end:
        # A page that is just going answers nothing.
        with contextlib.suppress(Exception):
            if tab.evaluate("window.before === undefined && document.readyState === 'complete'"):
                return
        time.sleep(0.05)
    raise AssertionError("the page was not loaded again")


def focused(tab: Tab) -> str:
    """What has the focus: a field's name, else what it says."""
    return str(
        tab.evaluate("document.activeElement.name || document.activeElement.ariaLabel || document.activeElement.innerText")
    )


# ---------------------------------------------------------------- the map


@BOTH
def test_any_step_opens_at_any_time_and_the_page_comes_back_to_it(tab: Tab, tmp_path: Path) -> None:
    tab.set_viewport(1280)
    open_sheet(tab)
    assert here(tab) == "due"
    assert tab.evaluate("[...document.querySelectorAll('.ws-map a')].map(each => each.dataset.step)") == ORDER
    # Blank, every step says how much is open, and none is called done.
    tab.wait_for("document.querySelectorAll('.ws-map a[data-state]').length === 14")
    assert tab.count(".ws-map a[data-state=done]") == 0
    for code in reversed(ORDER):
        step(tab, code)
        if code != steps.HANDOVER:
            assert tab.text(f'nav a[data-step="{code}"] .ws-state') == f"{len(still_open(tab, code))} open"
    # Back leads to the steps before; the focus comes along.
    tab.evaluate("history.go(-2)")
    tab.wait_for("location.hash === '#step-positions' || location.hash === '#step-safe'")
    tab.wait_for("document.querySelector('section[data-step=safe]').checkVisibility()")
    assert here(tab) == "safe"
    assert focused(tab) == "3. Make safe"

    # What is missing may be asked for in another step.
    step(tab, "inspection")
    tab.click('[data-step="inspection"] .ws-open a')
    assert here(tab) == "settings"
    assert focused(tab) == "engine.units"
    tab.type("2")
    wait_for_state(tab, "inspection", "2 open")
    tab.evaluate("history.back()")
    tab.wait_for("document.querySelector('section[data-step=inspection]').checkVisibility()")
    assert here(tab) == "inspection"
    tab.click('[data-step="inspection"] .ws-pick [data-unit="2"]')
    assert visible(tab, field("inspections/2/roller/condition"))
    assert not visible(tab, field("inspections/1/roller/condition"))
    tab.evaluate("void document.querySelector('[data-step=inspection] .ws-open a').click()")
    assert focused(tab) == "inspections/1/cam/condition"
    assert visible(tab, field("inspections/1/cam/condition"))

    reload(tab)
    assert here(tab) == "inspection"
    # Also when the address names another place on the page by now.
    step(tab, "findings")
    tab.click('[data-step="findings"] a[href="#findings"]')
    tab.wait_for("location.hash === '#findings'")
    assert visible(tab, '[data-step="findings"]')
    reload(tab)
    assert visible(tab, '[data-step="findings"]')

    # A job is taken up where it was left, each at its own step.
    tab.wait_for(READY, timeout_s=60)
    tab.fill(field("title"), "First")
    step(tab, "close")
    wait_for_stored(tab, "First")
    tab.wait_for(f"(await {STORED}).jobs.some(each => each.step === 'close')")
    tab.click("#new-job")
    assert here(tab) == "due"
    type_into(tab, {"title": "Second"})
    step(tab, "turning")
    wait_for_stored(tab, "Second")
    tab.wait_for(f"(await {STORED}).jobs.some(each => each.step === 'turning')")
    tab.open("index.html")
    tab.open(PAGE)
    tab.wait_for(f"document.querySelector('{field('title')}').value === 'Second'")
    assert here(tab) == "turning"
    tab.evaluate("void document.querySelector('#jobs button[aria-label=\"Open First\"]').click()")
    tab.wait_for(f"document.querySelector('{field('title')}').value === 'First'")
    assert here(tab) == "close"


# ---------------------------------------------------------------- what applies


@BOTH
def test_only_what_applies_is_asked_and_nothing_typed_is_lost(tab: Tab) -> None:
    tab.set_viewport(1280)
    open_sheet(tab)
    tab.fill(field("engine.units"), "2")
    heating, gauges = "positions/fuel_heating", "positions/gauges"

    # What the engine has decides what is asked; what is typed stays in sight all the same.
    assert tab.count(field(f"{heating}/as_found")) == 0
    step(tab, "restore")
    assert not visible(tab, '[data-row="confirmations/astern_proved"]')
    tab.select(field("arrangement.reversible"), "true")
    tab.select(field("arrangement.heated_fuel"), "true")
    step(tab, "restore")
    assert visible(tab, '[data-row="confirmations/astern_proved"]')
    tab.fill(field(f"{heating}/as_found"), "on, 85 °C")
    tab.select(field("arrangement.heated_fuel"), "false")
    step(tab, "positions")
    assert visible(tab, field(f"{heating}/as_found"))
    tab.wait_for("!document.querySelector('[data-step=positions] .ws-open').textContent.includes('Fuel heating')")
    # A row that is emptied is not taken away from under the hands.
    tab.focus(field(f"{heating}/as_found"))
    tab.press("Control+a")
    tab.press("Delete")
    assert focused(tab) == f"{heating}/as_found"
    tab.type("off")
    assert texts(tab)[f"{heating}/as_found"] == "off"
    tab.fill(field(f"{heating}/as_found"), "")
    tab.fill(field(f"{gauges}/as_found"), "4 on unit 1")
    assert tab.count(field(f"{heating}/as_found")) == 0

    # What does not apply is not put back. If it does after all, what was typed there is still there.
    tab.fill(field(f"{gauges}/restored"), "off")
    tab.fill(field(f"{gauges}/not_needed"), "none fitted")
    step(tab, "restore")
    assert not visible(tab, f'[data-step="restore"] [data-row="{gauges}"]')
    tab.wait_for("!document.querySelector('[data-step=restore] .ws-open').textContent.includes('Dial gauges')")

    # Rows of one's own, with their own names.
    tab.click('[data-step="positions"] [data-add]')
    tab.type("hoist")
    tab.fill(field("positions/own-1/as_found"), "over unit 1")
    tab.click('[data-step="positions"] [data-add]')
    assert focused(tab) == "positions/own-2/name"
    tab.type("lamp")
    assert "Hoist" in tab.text('[data-step="restore"] [data-row="positions/own-1"] legend')

    # Only a moved cam asks for the maker's procedure, and only a change for the record book.
    asked = [f'[data-row="confirmations/{code}"]' for code in ("cam_procedure", "cam_other_timing", "record_book")]
    for selector in asked:
        step(tab, "record" if "record" in selector else "correction")
        assert not visible(tab, selector)
    tab.fill(field("adjustments/1/cam/cam_turned_deg"), "0.2")
    for selector in asked:
        step(tab, "record" if "record" in selector else "correction")
        tab.wait_for(f"document.querySelector({json.dumps(selector)}).checkVisibility()")

    # Nothing is lifted off without the gear for it; what was read all the same stays in sight.
    clearance = field("readings/1/as_found/lift_off/ahead/clearance_mm")
    step(tab, "cut-out")
    assert visible(tab, clearance)
    tab.select(field("arrangement.lift_off_gear"), "false")
    step(tab, "cut-out")
    assert not visible(tab, clearance)
    assert visible(tab, field("readings/1/as_found/zero_index/ahead/valve_lift_mm"))
    tab.select(field("arrangement.lift_off_gear"), "true")
    tab.fill(clearance, "3.1")
    tab.select(field("arrangement.lift_off_gear"), "false")
    step(tab, "cut-out")
    assert visible(tab, clearance)

    # Broken off: what to close, in order, each leading to its field.
    step(tab, "handover")
    tab.wait_for("document.querySelectorAll('.ws-phases > li').length === 5")
    phases = tab.evaluate("[...document.querySelectorAll('.ws-phases > li > strong')].map(each => each.innerText)")
    assert phases[0] == "People, tools and gauges out"
    assert phases[-1] == "Prove it before the ship relies on it"
    hoist = "[...document.querySelectorAll('.ws-phases a')].find(each => each.dataset.key === 'positions/own-1/restored')"
    assert tab.evaluate(f"{hoist}.innerText") == "Hoist: put back. As found: over unit 1"
    tab.evaluate(f"void {hoist}.click()")
    assert here(tab) == "restore"
    assert focused(tab) == "positions/own-1/restored"

    before = texts(tab)
    tab.fill(field("vessel"), "Aurelia")
    wait_for_stored(tab, "Aurelia")
    reload(tab)
    tab.wait_for(f"document.querySelector('{field('vessel')}').value === 'Aurelia'")
    assert texts(tab) == {**before, "vessel": "Aurelia"}
    # Each of these texts has its field, shown or not.
    assert not visible(tab, ".ws-kept")
    tab.fill(field(f"{gauges}/not_needed"), "")
    step(tab, "restore")
    assert visible(tab, field(f"{gauges}/restored"))


def test_who_signs_and_when(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    # Half a day from Greenwich, so that no other clock is taken for the ship's.
    tab.set_time_zone("Pacific/Auckland")
    open_sheet(tab)
    tab.fill(field("paper.permit"), "W-1")
    before = texts(tab)
    row = "confirmations/starting_air"
    tab.click(f'[data-row="{row}"] .ws-sign')
    assert focused(tab) == "You sign as (name and rank)" or tab.evaluate("document.activeElement.id") == "signing"
    assert "Type your name first" in tab.text(".ws-signing [role=status]")
    assert texts(tab) == before
    sign_as(tab, "T. Lindqvist, 2/E")
    assert tab.text(".ws-signing [role=status]") == ""
    tab.press("Enter")
    assert focused(tab).startswith("Confirm: Starting air is shut")
    tab.press("Enter")
    signed = texts(tab)
    assert signed[f"{row}/by"] == "T. Lindqvist, 2/E"
    written = datetime.strptime(signed[f"{row}/at"], "%Y-%m-%d %H:%M").replace(tzinfo=UTC)
    there = datetime.now(UTC) + timedelta(minutes=-tab.evaluate("new Date().getTimezoneOffset()"))
    assert timedelta(0) <= there - written < timedelta(minutes=3)
    assert abs(written - datetime.now(UTC)) > timedelta(hours=10)
    assert f"Confirmed by T. Lindqvist, 2/E, {signed[f'{row}/at']}" in tab.text(f'[data-row="{row}"]')
    # Another one signs after; the first stays as signed.
    sign_as(tab, "A. Moreau, C/E")
    tab.click('[data-row="confirmations/cocks"] .ws-sign')
    assert texts(tab)["confirmations/cocks/by"] == "A. Moreau, C/E"
    assert texts(tab)[f"{row}/by"] == "T. Lindqvist, 2/E"


# ---------------------------------------------------------------- keys, and what is told


# Of what has the focus: whether it is in sight, marked, and on top of all else.
FOCUS = """(() => {
    const each = document.activeElement;
    if (each === document.body) return {lost: true};
    const box = each.getBoundingClientRect();
    const on = document.elementFromPoint(box.left + Math.min(box.width, 30) / 2, box.top + Math.min(box.height, 30) / 2);
    const style = getComputedStyle(each);
    return {
        lost: !each.checkVisibility(),
        inside: Boolean(each.closest("#sheet")),
        marked: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2,
        covered: !(on && (each.contains(on) || on.contains(each))),
        is: each.name || each.id || each.ariaLabel || each.innerText || each.outerHTML.slice(0, 80),
    };
})()"""


def tab_to(tab: Tab, predicate: str, *, most: int = 60) -> None:
    """Press Tab until a predicate on the focused `it` holds; the focus is in sight and marked all the way."""
    for _ in range(most):
        tab.press("Tab")
        focus = tab.evaluate(FOCUS)
        assert not focus["lost"], focus
        if focus["inside"]:
            assert focus["marked"], focus
            # The theme's search takes a moment to clear the page.
            if focus["covered"]:
                tab.wait_for(f"!{FOCUS}.covered", timeout_s=3)
        if tab.evaluate(f"(it => {predicate})(document.activeElement)"):
            return
    raise AssertionError(f"not reached by {most} times Tab: {predicate}; at {tab.evaluate(FOCUS)}")


@BOTH
def test_everything_is_done_with_keys_alone(tab: Tab, tmp_path: Path) -> None:
    tab.set_viewport(1280)
    open_sheet(tab)
    load_filled(tab, tmp_path)
    # The top of the page: the link that skips the rest of its head.
    tab.evaluate("void document.querySelector('a.md-skip').focus()")
    tab_to(tab, "it.closest('.ws-map') && it.dataset.step === 'found'")
    tab.press("Enter")
    assert here(tab) == "found"
    assert focused(tab) == "7. Readings as found"
    tab_to(tab, "it.matches('[data-row=\"confirmations/drill_found\"] .ws-sign')")
    tab.press("Enter")
    assert tab.evaluate("document.activeElement.id") == "signing"
    tab.type("A. Moreau, C/E")
    tab.press("Enter")
    tab.press("Enter")
    assert texts(tab)["confirmations/drill_found/by"] == "A. Moreau, C/E"
    tab_to(tab, f"it.name === '{START}/plunger_lift_mm'")
    tab.type("9.5 9.51")
    tab.press("Enter")
    tab.type("19,5 before; 19.4 before")
    tab.press("Enter")
    tab.wait_for(f"document.getElementById('note-{START}/crank_angle_deg').innerText.includes('19.4')")
    assert focused(tab) == "readings/1/as_found/spill_opening/ahead/plunger_lift_mm"
    # Up to the way of reading, and back down: a row that changes keeps the focus.
    tab.press("Shift+Tab")
    assert focused(tab) == "readings/1/as_found/spill_opening/ahead/method"
    tab.press("ArrowDown")
    tab.press("Tab")
    tab.press("Tab")
    assert focused(tab) == "readings/1/as_found/spill_opening/ahead/valve_lift_mm"
    tab_to(tab, "it.matches('.ws-next')")
    tab.press("Enter")
    assert here(tab) == "findings"
    tab_to(tab, "it.matches('[data-step=findings] a[href=\"#findings\"]')")
    tab_to(tab, "it.closest('#findings') && it.matches('summary')", most=30)
    tab.press("Enter")
    tab.wait_for("document.activeElement.closest('details').open")


@BOTH
def test_a_settled_verdict_is_told_once_and_nothing_else_is(tab: Tab, tmp_path: Path) -> None:
    tab.set_viewport(1280)
    open_sheet(tab)
    load_filled(tab, tmp_path)
    tab.uncover(field(f"{START}/crank_angle_deg"))
    tab.wait_for("document.querySelector('#findings [role=status]').textContent.includes('within')")
    tab.evaluate(
        """void (() => {
            window.told = [];
            for (const each of document.querySelectorAll("[role=status], [aria-live]")) {
                const watch = new MutationObserver(changes => window.told.push(...changes.map(() => each.textContent)));
                watch.observe(each, {childList: true, characterData: true, subtree: true});
            }
        })()"""
    )
    verdicts = "document.querySelector('#findings').dataset.verdict"
    tab.focus(field(f"{START}/crank_angle_deg"))
    tab.press("Control+a")
    # On the way there it is 1° after TDC, then 18°, then no angle at all: nobody wants to hear of that.
    tab.type("18.1 before")
    tab.wait_for(f"{verdicts} === 'outside'")
    tab.wait_for("window.told.length > 0")
    tab.evaluate("new Promise(done => setTimeout(done, 2500))")
    told = tab.evaluate("window.told")
    assert len(told) == 1, told
    assert "Outside" in told[0]
    assert "unit 1" in told[0].lower()


# ---------------------------------------------------------------- looks


def show_every_step(tab: Tab) -> None:
    """All steps one below the other, and all that is folded open, so that one look sees them all; of the workings one."""
    tab.evaluate("void document.querySelector('.ws-working:not([open]) > summary')?.click()")
    tab.evaluate("void document.querySelectorAll('section[data-step]').forEach(each => (each.hidden = false))")
    tab.evaluate("void document.querySelectorAll('#sheet details:not(.ws-working)').forEach(each => (each.open = true))")
    # Units out of sight are laid out as well.
    tab.evaluate(
        "void document.querySelectorAll('#findings article').forEach(each => (each.style.contentVisibility = 'visible'))"
    )
    tab.wait_for("[...document.querySelectorAll('.ws-working[open] .ws-lines')].every(each => each.childElementCount)")


def make_errors(tab: Tab) -> None:
    """Entries of several kinds that are to mend, told at the top and at their fields."""
    for key in ("running_hours", "engine.units", f"{START}/crank_angle_deg", "adjustments/2/suction_rod/flats_turned"):
        tab.evaluate(
            f"""void (() => {{
                const each = document.querySelector({json.dumps(field(key))});
                each.dispatchEvent(new FocusEvent("focusout", {{bubbles: true}}));
                each.value += " so and so";
                each.dispatchEvent(new InputEvent("input", {{bubbles: true}}));
            }})()"""
        )
    tab.wait_for("document.querySelectorAll('.ws-errors li').length >= 4")


def states(tab: ChromiumTab, tmp_path: Path) -> Iterator[str]:
    """Bring the worksheet into one state after the other, every step shown."""
    for state in ("blank", "filled", "with errors"):
        if state == "filled":
            load_filled(tab, tmp_path)
        if state == "with errors":
            make_errors(tab)
        show_every_step(tab)
        yield state


def test_every_step_is_accessible_by_day_and_night(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    tab = chromium_tab
    tab.emulate(reduced_motion=True)
    open_sheet(tab)
    tab.wait_for("document.querySelectorAll('.ws-map a[data-state]').length === 14")
    violations = []
    for state in states(tab, tmp_path):
        for width, dark in ((390, False), (1280, False), (1280, True), (390, True)):
            tab.set_viewport(width)
            tab.emulate(dark=dark)
            assert tab.attribute("body", "data-md-color-scheme") == (DARK if dark else LIGHT)
            # By night nothing but the colours is another.
            violations += [f"{state}, {width} px{', dark' * dark}: {one}" for one in tab.axe(colours_alone=dark)]
    assert not violations, "\n".join(violations)


# Boxes that stand on each other, run over their own edge, or off the page; and choices whose words are cut.
CROWDED = r"""(() => {
    const sheet = document.getElementById("sheet");
    const textSize = parseFloat(getComputedStyle(document.documentElement).fontSize) / 20;
    const all = [...sheet.querySelectorAll(`:is(.ws-control, .ws-button, label, legend, summary, h2, h3, h4, p, li > a, th,
        caption, .ws-unit, .ws-name, .ws-note, .ws-empty, .ws-state, .sm-verdict, dt, dd)`)]
        .filter(each => each.checkVisibility() && !each.matches(".ws-hidden, .ws-foot, .ws-foot *"));
    const say = each => `${each.tagName}.${each.className} ${each.name || each.innerText}`.replaceAll("\n", " ").slice(0, 70);
    // What can be scrolled into sight stands where its own box shows it.
    const seen = each => {
        let {left, top, right, bottom} = each.getBoundingClientRect();
        for (let around = each.parentElement; around !== sheet; around = around.parentElement) {
            if (getComputedStyle(around).overflowY !== "auto") continue;
            const box = around.getBoundingClientRect();
            [left, top] = [Math.max(left, box.left), Math.max(top, box.top)];
            [right, bottom] = [Math.min(right, box.right), Math.min(bottom, box.bottom)];
        }
        return {left, top, right, bottom};
    };
    const boxes = all.map(each => ({each, box: seen(each)}))
        .filter(({box}) => box.right - box.left > 1 && box.bottom - box.top > 1).sort((a, b) => a.box.top - b.box.top);
    const found = [];
    for (const [at, {each, box}] of boxes.entries()) {
        for (const other of boxes.slice(at + 1)) {
            if (other.box.top > box.bottom - 2) break;
            const wide = Math.min(box.right, other.box.right) - Math.max(box.left, other.box.left);
            const high = Math.min(box.bottom, other.box.bottom) - other.box.top;
            if (wide < 2 || high < 2 || each.contains(other.each) || other.each.contains(each)) continue;
            found.push(`${say(each)} stands on ${say(other.each)}`);
        }
        if (box.left < 0 || box.right > innerWidth + 1) found.push(`${say(each)} is off the page`);
        const isText = !each.matches("input, select, textarea") && getComputedStyle(each).display !== "inline";
        if (isText && each.scrollWidth > each.clientWidth + 2) found.push(`${say(each)} runs over its edge`);
        // A very narrow box may cut a choice; the browser shows it whole in its own list.
        if (each.matches("select:not(#demo-job)") && innerWidth / textSize >= 390) {
            const style = getComputedStyle(each);
            const pen = new OffscreenCanvas(1, 1).getContext("2d");
            pen.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
            const room = each.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight) - 18;
            const word = [...each.options].map(({text}) => text).find(text => pen.measureText(text).width > room);
            if (word) found.push(`${say(each)} cuts ${word}: ${room}`);
        }
    }
    if (sheet.scrollWidth > sheet.clientWidth) found.push(`the worksheet is ${sheet.scrollWidth} px wide`);
    return found;
})()"""


def test_nothing_overlaps_or_is_cut_at_any_width_or_size_of_text(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    """WCAG 2.2, 1.4.4 (text twice as large) and 1.4.10 (no scrolling sideways at 320 px); zoomed to 200 %, 1280 px are 640."""
    tab = chromium_tab
    tab.set_viewport(1280)
    open_sheet(tab)
    crowded = []
    for state in states(tab, tmp_path):
        for width, size in ((1280, 1), (1024, 1), (640, 1), (390, 1), (320, 1), (1280, 2), (390, 2)):
            tab.set_viewport(width)
            tab.evaluate(f"void (document.documentElement.style.fontSize = '{size * 125}%')")
            tab.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
            crowded += [f"{state}, {width} px, text × {size}: {each}" for each in tab.evaluate(CROWDED)[:12]]
    assert not crowded, "\n".join(crowded)


def test_targets_are_large_enough_for_gloves(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    tab = chromium_tab
    open_sheet(tab)
    load_filled(tab, tmp_path)
    tab.fill(field("vessel"), "")
    tab.wait_for("document.querySelectorAll('[data-step=due] .ws-open a').length > 0")
    show_every_step(tab)
    for width in (390, 1280):
        tab.set_viewport(width)
        small = tab.evaluate(
            f"""[...document.querySelectorAll(`#sheet :is(button, .ws-control, summary, label.ws-button, .ws-map a, .ws-foot,
                :is(.ws-open, .ws-problems, .ws-closing) a)`)]
                .filter(each => each.checkVisibility()).map(each => ({{each, box: each.getBoundingClientRect()}}))
                .filter(({{box}}) => box.height < {TARGET_PX} || box.width < {TARGET_PX})
                .map(({{each, box}}) => `${{box.width}} × ${{box.height}}: ${{each.outerHTML.slice(0, 100)}}`)"""
        )
        assert small == []


def test_a_phone_has_the_map_to_unfold_and_one_column(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    tab = chromium_tab
    tab.set_viewport(390, 844)
    open_sheet(tab)
    load_filled(tab, tmp_path)
    link = 'nav a[data-step="{}"]'.format
    for code in ORDER:
        assert not visible(tab, link(code))
        tab.click(".ws-mapbox > summary")
        tab.click(link(code))
        assert not visible(tab, link(code))
        assert here(tab) == code
        assert tab.evaluate("document.activeElement.closest('section').dataset.step") == code
        assert 0 <= tab.evaluate("document.activeElement.getBoundingClientRect().top") < 300
        assert tab.evaluate("document.documentElement.scrollWidth") <= 390
        title = next(each.title for each in (*steps.STEPS, *steps.ASIDE) if each.code == code)
        assert title in tab.text(".ws-mapbox > summary")
    # Turned on its side, or on a wide screen, the map stands open.
    tab.set_viewport(900, 400)
    tab.wait_for("document.querySelector('.ws-map').checkVisibility()")
    tab.set_viewport(390, 844)
    tab.wait_for("!document.querySelector('.ws-map').checkVisibility()")
    # Enter goes on to the next unit, which is then the one on show.
    tab.focus(field("readings/1/as_found/spill_opening/ahead/crank_angle_deg"))
    tab.press("Enter")
    assert focused(tab) == "readings/2/as_found/suction_closing/ahead/plunger_lift_mm"
    assert not visible(tab, field(f"{START}/plunger_lift_mm"))
    # On every width one unit at a time is inspected.
    for width in (390, 1280):
        tab.set_viewport(width)
        tab.click('[data-step="inspection"] .ws-pick [data-unit="3"]')
        assert visible(tab, field("inspections/3/cam/condition"))
        assert not visible(tab, field("inspections/2/cam/condition"))


def test_every_picture_is_told_in_words(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    tab = chromium_tab
    open_sheet(tab)
    load_filled(tab, tmp_path)
    pictures = tab.evaluate(
        """[...document.querySelectorAll("#findings svg.sm-chart")].map(each => ({
            role: each.getAttribute("role"), name: each.ariaLabel, words: each.querySelector("desc")?.textContent ?? "",
            table: each.closest("article")?.querySelector("table.sm-numbers")?.textContent ?? null,
        }))"""
    )
    assert len(pictures) == 5
    strip, *curves = pictures
    for unit in range(1, 4):
        for event in ("start", "end"):
            assert f"Unit {unit} as found, {event}: " in strip["words"]
    assert "Unit 2 as left, start: on its reference" in strip["words"]
    for curve in curves:
        assert curve["role"] == "img"
        assert curve["name"].startswith("Unit ")
        assert "Start: read" in curve["words"]
        assert "reference" in curve["words"]
        assert "Crank angle" in curve["table"]
