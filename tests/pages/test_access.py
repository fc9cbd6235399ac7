"""For everybody: what WCAG 2.2 AA asks beyond what axe sees. docs/look-up/accessibility.md says what is tested where."""

import json
from collections import Counter
from pathlib import Path
from typing import Any

from calc.job.write import checksum

from . import built
from .chromium import DARK, LIGHT, ChromiumTab
from .keyboard import KeyboardTab
from .test_job import TITLE, close_up_and_put_back, correct, finish, prepare, printed, read_as_found, step
from .test_steps import load_filled, states
from .test_worksheet import PYTHON_S, READY, field, open_sheet

# 1280 by 1024 at 400 %.
ZOOMED = (320, 256)
# Of the theme's size of letters, which is 125 % of the browser's.
TWICE = "250%"
SPACED = """*:not(svg *) { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important; }
    p { margin-bottom: 2em !important; }"""

# Texts that their own box cuts. What repeats the page's heading in the head of the page may be cut.
CUT = """[...document.querySelectorAll("body *:not(svg *, script, style, .md-header__topic *, .ws-hidden)")]
    .filter(each => each.clientWidth > 4 && each.clientHeight > 4 && each.checkVisibility({visibilityProperty: true}))
    .filter(each => [...each.childNodes].some(one => one.nodeType === 3 && one.textContent.trim()))
    .filter(each => {
        const {overflowX, overflowY} = getComputedStyle(each);
        const hides = way => way === "hidden" || way === "clip";
        return (hides(overflowX) && each.scrollWidth > each.clientWidth + 1)
            || (hides(overflowY) && each.scrollHeight > each.clientHeight + 1);
    }).map(each => each.innerText.slice(0, 40))"""
WIDTH = "document.documentElement.scrollWidth"
# What makes a page wider than the window, but for what scrolls in a box of its own.
HANGING = """[...document.querySelectorAll("body *")].filter(each => each.checkVisibility())
    .filter(each => each.getBoundingClientRect().right > innerWidth + 1 && !each.closest(".sm-scroll, .md-sidebar, pre"))
    .slice(-3).map(each => `${each.tagName}.${each.className} ${each.innerText}`.slice(0, 60))"""
# How much of the window is covered by what stays where it is, wherever the page is scrolled to.
STUCK = """(() => {
    scrollTo(0, document.documentElement.scrollHeight / 2);
    const rows = new Set();
    for (const each of document.querySelectorAll("body *")) {
        if (!["fixed", "sticky"].includes(getComputedStyle(each).position)) continue;
        if (!each.checkVisibility({visibilityProperty: true, opacityProperty: true})) continue;
        const box = each.getBoundingClientRect();
        if (box.width < innerWidth / 2 || box.bottom <= 0 || box.top >= innerHeight) continue;
        for (let row = Math.max(0, Math.floor(box.top)); row < Math.min(innerHeight, box.bottom); row++) rows.add(row);
    }
    scrollTo(0, 0);
    return rows.size;
})()"""
STRUCTURE = """(() => {
    const at = id => document.getElementById(id);
    const named = each => (each.ariaLabel || at(each.getAttribute("aria-labelledby"))?.textContent || "").trim();
    const shown = each => each.checkVisibility();
    return {
        lang: document.documentElement.lang,
        title: document.title,
        headings: [...document.querySelectorAll("h1, h2, h3, h4, h5, h6")].filter(shown).map(each => Number(each.tagName[1])),
        first: document.querySelector("a[href]").className,
        skips: at(document.querySelector(".md-skip").hash.slice(1)) !== null,
        landmarks: ["header", "main", "footer"].map(tag => [...document.querySelectorAll(tag)].filter(shown).length),
        unnamed: [...document.querySelectorAll("nav, section[aria-labelledby], svg[role=img], [role=dialog], table.sm-numbers")]
            .filter(shown).filter(each => !named(each) && !each.querySelector(":scope > :is(title, caption)"))
            .map(each => each.outerHTML.slice(0, 90)),
        tabs: [...document.querySelectorAll(".md-tabs__link")].map(each => each.innerText.trim()),
        foot: [...document.querySelectorAll(".md-copyright")].map(each => each.innerText.trim()),
        headless: [...document.querySelectorAll("main table")].filter(each => !each.querySelector("th")).length,
    };
})()"""
# Of every drawn line, shape and word of the pictures: how it stands out from the page.
CONTRASTS = """(() => {
    const pen = new OffscreenCanvas(1, 1).getContext("2d", {willReadFrequently: true});
    const seen = new Map();
    function rgba(colour) {
        if (!seen.has(colour)) {
            pen.clearRect(0, 0, 1, 1);
            pen.fillStyle = colour;
            pen.fillRect(0, 0, 1, 1);
            seen.set(colour, [...pen.getImageData(0, 0, 1, 1).data]);
        }
        return seen.get(colour);
    }
    const linear = part => (part /= 255) <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
    const light = ([r, g, b]) => 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
    const ground = rgba(getComputedStyle(document.body).backgroundColor);
    function contrast(colour, opacity) {
        const [r, g, b, a] = rgba(colour);
        const share = a / 255 * opacity;
        const mixed = [r, g, b].map((part, at) => part * share + ground[at] * (1 - share));
        const [low, high] = [light(mixed), light(ground)].sort((one, other) => one - other);
        return (high + 0.05) / (low + 0.05);
    }
    const found = {};
    const drawings = "main svg:is(.sm-chart, .sm-mechanism, .sm-mark, [role=img])";
    for (const each of document.querySelectorAll(`${drawings} :is(text, path, line, circle, rect, polyline, polygon)`)) {
        if (!each.checkVisibility() || each.closest("defs, pattern")) continue;
        const style = getComputedStyle(each);
        let opacity = 1;
        for (let up = each; up && up.tagName !== "svg"; up = up.parentElement) opacity *= Number(getComputedStyle(up).opacity);
        const {fill, stroke, fillOpacity, strokeOpacity} = style;
        const drawn = [];
        if (fill !== "none" && !fill.startsWith("url")) drawn.push(contrast(fill, opacity * fillOpacity));
        if (stroke !== "none" && each.tagName !== "text") drawn.push(contrast(stroke, opacity * strokeOpacity));
        if (!drawn.length) continue;
        let named = each;
        while (named.tagName !== "svg" && !named.getAttribute("class")) named = named.parentElement;
        const kind = each.tagName === "text" ? "text" : named.tagName === "svg" ? each.tagName : named.getAttribute("class");
        found[kind] = Math.min(found[kind] ?? 99, Math.max(...drawn));
    }
    return found;
})()"""


def switch(tab: ChromiumTab, scheme: str) -> None:
    """The other scheme on the page as it stands: only colours change, so nothing has to be loaded anew."""
    tab.evaluate(f"void (document.body.dataset.mdColorScheme = {json.dumps(scheme)})")


# Shapes that carry nothing by themselves: a ground to write on, a wash whose edge is drawn, hatching of what is fixed.
QUIET = {"sm-band", "sm-area", "sm-ground", "sm-cut", "sm-grid"}


def too_pale(kind: str, contrast: float) -> bool:
    """WCAG 2.2, 1.4.3 for words and 1.4.11 for what is drawn."""
    return contrast < (4.5 if kind == "text" else 3) and not QUIET & set(kind.split())


def test_every_page_bears_zoom_spacing_and_large_text_and_is_built_alike(chromium_tab: ChromiumTab, site: Path) -> None:
    """WCAG 2.2: 1.3.1, 1.4.3, 1.4.4, 1.4.10, 1.4.11, 1.4.12, 2.4.1, 2.4.2, 2.4.6, 3.1.1, 3.2.3, 3.2.4."""
    tab = chromium_tab
    tab.emulate(reduced_motion=True)
    wrong: list[str] = []
    titles: Counter[str] = Counter()
    alike: set[str] = set()
    pale: Counter[str] = Counter()
    for path in built.pages(site):
        tab.set_viewport(1280)
        tab.open(path)
        found: dict[str, Any] = tab.evaluate(STRUCTURE)
        titles[found["title"]] += 1
        alike.add(json.dumps([found["tabs"], found["foot"]]))
        steps = [(before, after) for before, after in zip(found["headings"], found["headings"][1:], strict=False)]
        wrong += [
            f"{path}: {what}"
            for what, holds in {
                "its language is not said": found["lang"] == "en",
                f"headings leave a level out: {found['headings']}": all(after - before <= 1 for before, after in steps),
                "it has not exactly one first heading": found["headings"].count(1) == 1 and found["headings"][0] == 1,
                "the first link skips nothing": found["first"].startswith("md-skip") and found["skips"],
                f"header, main, footer: {found['landmarks']}": found["landmarks"] == [1, 1, 1],
                f"without a name: {found['unnamed']}": found["unnamed"] == [],
                f"{found['headless']} tables without heads": found["headless"] == 0,
            }.items()
            if not holds
        ]
        for scheme in (DARK, LIGHT):
            switch(tab, scheme)
            for kind, contrast in tab.evaluate(CONTRASTS).items():
                if too_pale(kind, contrast):
                    pale[f"{kind} in {scheme}: {contrast:.2f}, first on {path}"] += 1
        tab.evaluate(f"void (document.documentElement.style.fontSize = '{TWICE}')")
        if tab.evaluate(WIDTH) > 1280:
            wrong.append(f"{path}: with text twice as large it is {tab.evaluate(WIDTH)} px wide")
        tab.evaluate("void (document.documentElement.style.fontSize = '')")
        tab.set_viewport(*ZOOMED)
        if tab.evaluate(WIDTH) > ZOOMED[0]:
            wrong.append(f"{path}: at 400 % it is {tab.evaluate(WIDTH)} px wide")
        if tab.evaluate(STUCK) > ZOOMED[1] / 2:
            wrong.append(f"{path}: at 400 % {tab.evaluate(STUCK)} of {ZOOMED[1]} px are always covered")
        tab.evaluate(f"void document.head.appendChild(document.createElement('style')).append({json.dumps(SPACED)})")
        if tab.evaluate(WIDTH) > ZOOMED[0]:
            wrong.append(f"{path}: at 400 %, with text spaced, it is {tab.evaluate(WIDTH)} px wide: {tab.evaluate(HANGING)}")
        wrong += [f"{path}: cut when text is spaced: {text}" for text in tab.evaluate(CUT)]
    assert not wrong, "\n".join(wrong)
    assert not pale, "\n".join(pale)
    assert [title for title, times in titles.items() if times > 1] == []
    assert len(alike) == 1


# ---------------------------------------------------------------- the menu and the search of the theme


def drawer_is_open(tab: KeyboardTab) -> bool:
    return bool(tab.evaluate("document.getElementById('__drawer').checked"))


def test_menu_and_search_are_reached_by_keys_where_the_window_is_narrow(chromium_tab: ChromiumTab) -> None:
    """WCAG 2.2: 2.1.1, 2.1.2, 2.1.4, 2.4.1, 2.4.3, 2.4.7, 2.4.11, 2.3.3, 4.1.2. A wide screen at 400 % is as narrow as this."""
    tab = KeyboardTab(chromium_tab)
    tab.emulate(reduced_motion=True)
    tab.set_viewport(*ZOOMED)
    tab.open("before/read.html")
    tab.press("Tab")
    assert "Skip to content" in tab.stop()["is"]
    tab.press("Enter")
    tab.press("Tab")
    assert tab.evaluate("document.activeElement.closest('main') !== null")
    for letter in "fs/":
        tab.press(letter)
        assert not tab.evaluate("document.activeElement.matches('input')")

    # A moment after the address has changed, as it did by the link that skips, the theme closes its menu.
    tab.evaluate("new Promise(done => setTimeout(done, 300))")
    menu = ".md-header__button[for=__drawer] > button"
    tab.walk(menu)
    assert tab.attribute(menu, "aria-expanded") == "false"
    tab.press("Enter")
    assert drawer_is_open(tab)
    assert tab.attribute(menu, "aria-expanded") == "true"
    # One moves where the reader is: the list of this part of the site, with the way back to all parts.
    assert "Back from Before the job" in tab.stop()["is"]
    assert tab.axe() == []
    tab.press("Tab")
    assert "The whole job" in tab.stop()["is"]
    tab.press("Shift+Tab")
    tab.press("Space")
    assert "Before the job" in tab.stop()["is"]
    tab.press("Tab")
    assert "How it works" in tab.stop()["is"]
    tab.press("Enter")
    assert "Back from How it works" in tab.stop()["is"]
    tab.press("Tab")
    tab.stop()
    assert tab.evaluate("document.activeElement.getAttribute('href')") == "../principles/index.html"
    tab.press("Escape")
    assert not drawer_is_open(tab)
    assert tab.stop(menu)["there"]
    # Whoever goes on behind the last entry leaves the menu, which closes.
    tab.press("Enter")
    for _ in range(40):
        if not drawer_is_open(tab):
            break
        tab.press("Tab")
        tab.stop()
    assert not drawer_is_open(tab)

    search = ".md-header__button[for=__search] > button"
    tab.open("before/read.html")
    tab.walk(search)
    tab.press("Space")
    tab.wait_for("document.activeElement.matches('.md-search__input')")
    tab.type("gauge")
    tab.wait_for_element(".md-search-result__link")
    assert tab.axe() == []
    assert tab.evaluate("document.getAnimations().every(each => each.effect.getComputedTiming().duration <= 1)")
    tab.press("ArrowDown")
    tab.wait_for("document.activeElement.matches('.md-search-result__link')")
    tab.press("Escape")
    tab.wait_for("!document.getElementById('__search').checked")
    # Wide, with text twice as large, the open search is no wider than the window and cuts nothing.
    tab.set_viewport(1280)
    tab.evaluate(f"void (document.documentElement.style.fontSize = '{TWICE}')")
    tab.walk(".md-search__input")
    tab.type("u")
    tab.wait_for("document.querySelector('.md-search-result__item') !== null")
    assert tab.evaluate(WIDTH) <= 1280
    assert tab.evaluate("(each => each.scrollWidth <= each.clientWidth)(document.querySelector('.md-search__scrollwrap'))")
    assert tab.faults == []


# ---------------------------------------------------------------- a whole job by keys


def test_a_whole_job_is_done_with_keys_alone(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    """From the start page to the printed record. WCAG 2.2: 2.1.1, 2.1.2, 2.4.3, 2.4.7, 2.4.11, 3.2.1, 3.2.2."""
    tab = KeyboardTab(chromium_tab)
    tab.set_viewport(1280)
    tab.open("index.html")
    tab.follow(".sm-ways a[href^='worksheet.html']")
    tab.wait_for(READY, timeout_s=PYTHON_S)
    prepare(tab)
    read_as_found(tab)
    step(tab, "correction")
    correct(tab)
    close_up_and_put_back(tab)
    finish(tab)
    saved = json.loads(tab.download("#save-job").read_text("utf-8"))
    record = tab.download("#save-record")
    assert saved["title"] == TITLE
    assert tab.complaints() == []
    chromium_tab.goto(record.as_uri())
    paper = printed(chromium_tab, tmp_path / "record.pdf")
    # The record lies where the person has saved it, which is out of the site.
    tab.forget()
    assert checksum(saved) in paper[0]
    assert tab.stops > 300
    assert tab.faults == []


# ---------------------------------------------------------------- what a screen reader is given

# What people work with, by role.
FIELDS = {"textbox", "combobox", "checkbox", "radio", "slider", "spinbutton"}
PRESSED = {"button", "link", "DisclosureTriangle"}


def value(node: dict[str, Any], what: str) -> str:
    return str(node.get(what, {}).get("value", ""))


def state(node: dict[str, Any], name: str) -> Any:
    return next((each["value"].get("value") for each in node.get("properties", []) if each["name"] == name), None)


# Fields that are wrong without a word of what is.
UNTOLD = """[...document.querySelectorAll("#sheet [aria-invalid=true]")].filter(each =>
    !each.getAttribute("aria-describedby").split(" ").map(id => document.getElementById(id))
        .some(note => note?.matches(".is-error") && note.textContent.trim())).map(each => each.name)"""


def told_wrongly(nodes: list[dict[str, Any]]) -> list[str]:
    """What a listener could not tell apart, or not use."""
    by_id = {node["nodeId"]: node for node in nodes}

    def called(node: dict[str, Any]) -> str:
        """Its name; what is folded is called by the line that unfolds it."""
        inside = (by_id[child] for child in node.get("childIds", ()) if child in by_id)
        line = next((value(each, "name") for each in inside if value(each, "role") == "DisclosureTriangle"), "")
        return value(node, "name") or line

    def around(node: dict[str, Any]) -> tuple[str, ...]:
        names = []
        at = by_id.get(node.get("parentId", ""))
        while at is not None:
            names.append(called(at))
            at = by_id.get(at.get("parentId", ""))
        return tuple(name for name in names if name)

    wrong = []
    fields: Counter[tuple[str, ...]] = Counter()
    buttons: Counter[tuple[str, ...]] = Counter()
    for node in nodes:
        if node["ignored"]:
            continue
        role, name = value(node, "role"), value(node, "name").strip()
        if role in FIELDS | PRESSED and not name:
            wrong.append(f"a {role} without a name in {around(node)[:2]}")
        if role in FIELDS:
            fields[(role, name, *around(node))] += 1
        if role == "button":
            buttons[(role, name, *around(node))] += 1
        if (
            role in ("group", "Details")
            and not called(node)
            and FIELDS & {value(by_id[each], "role") for each in node["childIds"]}
        ):
            wrong.append(f"a group of fields without a name in {around(node)[:2]}")
    wrong += [f"{times} times the same: {' in '.join(key[:4])}" for key, times in (fields + buttons).items() if times > 1]
    return wrong


def test_the_worksheet_is_told_to_screen_readers_in_every_state(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    """WCAG 2.2: 1.1.1, 1.3.1, 1.4.1, 1.4.11, 2.4.6, 2.5.3, 3.3.1, 3.3.2, 4.1.2, 4.1.3; and the pictures in forced colours."""
    tab = chromium_tab
    tab.emulate(reduced_motion=True)
    tab.set_viewport(1280)
    open_sheet(tab)
    wrong: list[str] = []
    for name in states(tab, tmp_path):
        tree = tab.told()
        wrong += [f"{name}: {each}" for each in told_wrongly(tree)]
        nodes = [node for node in tree if not node["ignored"]]
        roles = Counter(value(node, "role") for node in nodes)
        assert roles["main"] == 1
        assert roles["status"] >= 3
        if name == "with errors":
            assert sum(state(node, "invalid") == "true" for node in nodes) >= 3
            assert tab.evaluate(UNTOLD) == []
    assert not wrong, "\n".join(wrong)
    # A new error is heard as well as seen.
    assert tab.text(".ws-problems [role=status]").startswith("To mend: ")

    # The unit is heard with the name, not only seen beside the field.
    typed = {value(node, "name") for node in nodes if value(node, "role") == "textbox"}
    assert "Running hours, h" in typed
    assert "Running hours" not in typed

    for scheme, forced in ((LIGHT, False), (DARK, False), (LIGHT, True), (DARK, True)):
        tab.emulate(forced_colors=forced)
        tab.emulate(dark=scheme == DARK)
        pale = {kind: round(contrast, 2) for kind, contrast in tab.evaluate(CONTRASTS).items() if too_pale(kind, contrast)}
        assert pale == {}, f"{scheme}{', forced colours' if forced else ''}"
        lost = tab.evaluate(
            """[...document.querySelectorAll("#sheet :is(button, input, select)")].filter(each => each.checkVisibility())
                .filter(each => !each.matches("[type=file], [type=checkbox], .ws-hidden"))
                .filter(each => parseFloat(getComputedStyle(each).borderTopWidth) < 1)
                .map(each => each.outerHTML.slice(0, 90))"""
        )
        assert lost == [], f"without an edge: {lost}"


def test_typing_is_not_talked_over(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    """WCAG 2.2: 4.1.3. Half a minute of a person's typing, as fast as the page takes it: what would be spoken is counted."""
    tab = chromium_tab
    open_sheet(tab)
    load_filled(tab, tmp_path)
    tab.evaluate(
        """void (() => {
            window.heard = [];
            for (const each of document.querySelectorAll("[role=status], [role=alert], [aria-live]")) {
                const watch = new MutationObserver(() => each.textContent.trim() && window.heard.push(each.textContent));
                watch.observe(each, {childList: true, characterData: true, subtree: true});
            }
        })()"""
    )
    typed = 0
    for unit in (1, 2, 3):
        for event in ("suction_closing", "spill_opening"):
            for name, text in (
                ("plunger_lift_mm", "9.51 9.52 9.50"),
                ("crank_angle_deg", "19.5 before; 19.4 before; 19.6 before"),
            ):
                tab.fill(field(f"readings/{unit}/as_found/{event}/ahead/{name}"), text)
                typed += len(text)
    # An average hand types about 150 of these in half a minute.
    assert typed > 250
    tab.wait_for("window.heard.length > 0")
    tab.evaluate("new Promise(done => setTimeout(done, 2500))")
    heard = tab.evaluate("window.heard")
    assert 1 <= len(heard) <= 6, heard


# ---------------------------------------------------------------- paper by night


DIM = """(() => {
    const linear = part => (part /= 255) <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
    const dim = new Map();
    for (const each of document.querySelectorAll("main *, #sheet *")) {
        const words = [...each.childNodes].some(one => one.nodeType === 3 && one.textContent.trim());
        if (!words || !each.checkVisibility()) continue;
        const style = getComputedStyle(each);
        const [r, g, b, a = 1] = (each.closest("svg") ? style.fill : style.color).match(/[\\d.]+/g)?.map(Number) ?? [0, 0, 0];
        const [red, green, blue] = [r, g, b].map(part => linear(part * a + 255 * (1 - a)));
        const contrast = 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05);
        const says = each.textContent.trim().slice(0, 30);
        if (contrast < 4.5) dim.set(`${each.tagName}.${each.className}`, `${contrast.toFixed(1)} ${says}`);
    }
    return [...dim];
})()"""


def test_the_night_watch_prints_dark_on_white(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    tab.emulate(dark=True, reduced_motion=True)
    for path in ("index.html", "before/does-not-add-up.html", "principles/cam.html", "learn/model.html", "worksheet.html"):
        tab.open(path)
        assert tab.attribute("body", "data-md-color-scheme") == DARK
        tab.emulate(paper=True)
        assert not tab.evaluate(DIM), f"{path}: {tab.evaluate(DIM)}"
        tab.emulate(paper=False)
