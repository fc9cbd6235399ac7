"""What holds for every page of the built site, from a folder and from a server."""

import json
import os
import re
import shutil
from pathlib import Path

import pytest
from pypdf import PdfReader

from calc.compute.registry import CALCULATIONS
from site_demo.app import ICONS

from . import built
from .chromium import DARK, LIGHT, ChromiumTab
from .conftest import ONE
from .served import served
from .tab import Tab
from .weight import files_loaded, script_and_style_bytes

# The scripts of the pages that calculate, by what their front matter says of Python; all other pages load none.
SCRIPTS = {
    "true": "generated/app/worksheet.js",
    "calculator": "generated/app/calculator.js",
    "lesson": "generated/app/lesson.js",
    "practice": "generated/app/practice.js",
}
# What only those load: Python itself, and the scripts that start it.
PYTHON_FILES = ("generated/app/python-payload.js", *SCRIPTS.values())
CONTENT_LIMIT_KB = 300
WIDTHS = (390, 1280)
IMAGE = re.compile(r"<(?:img|source|image)\b[^>]*?\b(?:src|srcset|href)=[\"']?([^\"' >]+)")
A4_POINTS = (595.3, 841.9)
# A4 less its margins, at 96 pixels an inch.
PAPER_PX = 680


# The folders of the site, and what lies in none: pages that are looked at one folder at a time, by several workers at once.
PARTS = ("before", "calculate", "generated", "learn", "look-up", "principles", ".")


def pages_of(site: Path, part: str) -> list[str]:
    """The pages of one of `PARTS`."""
    return [path for path in built.pages(site) if str(Path(path).parent) == part]


def test_the_parts_are_all_of_the_site(site: Path) -> None:
    assert sorted(path for part in PARTS for path in pages_of(site, part)) == built.pages(site)


def content_pages(site: Path) -> list[str]:
    """The pages that do not calculate."""
    return [path for path in built.pages(site) if path not in built.calculating(site)]


def test_a_page_that_calculates_has_its_own_script_and_no_other(site: Path) -> None:
    pages = built.calculating(site)
    assert set(pages.values()) == set(SCRIPTS)
    for path, said in pages.items():
        scripts = [Path(target).name for target in built.links(site / path).targets if target.endswith(".js")]
        assert {Path(each).name for each in SCRIPTS.values()} & set(scripts) == {Path(SCRIPTS[said]).name}


def test_every_place_for_a_calculation_names_one(site: Path) -> None:
    """On a page that loads the forms, and once on that page."""
    forms = [path for path, said in built.calculating(site).items() if said == "calculator"]
    for path in built.pages(site):
        names = re.findall(r'data-calculation="?([^" >]*)', (site / path).read_text("utf-8"))
        assert set(names) <= set(CALCULATIONS), path
        assert len(names) == len(set(names)), path
        assert bool(names) == (path in forms), path


def test_links_within_the_site_lead_somewhere(site: Path) -> None:
    broken = built.broken_links(site)
    assert not broken, "\n".join(broken)


@pytest.mark.parametrize("tab", ["chromium-file", "chromium-http"], indirect=True)
def test_the_page_of_a_wrong_address_leads_on(tab: Tab, site: Path) -> None:
    """Where a server shows it for any address its links start at the root; opened from the folder they work as well."""
    tab.open("404.html")
    assert tab.text("h1") == "There is no such page"
    links = tab.evaluate("[...document.querySelectorAll('article a')].map(each => each.href)")
    root = tab.evaluate("location.href").removesuffix("404.html")
    assert {"worksheet.html", "before/index.html", "learn/index.html", "index.html"} <= {
        one.removeprefix(root) for one in links
    }
    assert all((site / one.removeprefix(root)).is_file() for one in links)
    tab.click("article a[href$='learn/index.html']")
    tab.wait_for("document.title.startsWith('Learn')")
    # From the folder, what it asked for at the root of a server was not there before the links were mended.
    tab.forget()


@pytest.mark.parametrize("tab", ["chromium-http", "firefox-http"], indirect=True)
def test_in_a_folder_of_a_server_the_page_of_a_wrong_address_finds_the_site(tab: Tab, site: Path, tmp_path: Path) -> None:
    """Some servers show it for every wrong address below the folder; here it lies at one."""
    top = tmp_path / "tools" / "timing"
    shutil.copytree(site, top, copy_function=os.link)
    wrong = top / "no" / "such"
    wrong.mkdir(parents=True)
    shutil.copy(site / "404.html", wrong / "page.html")
    with served(tmp_path) as base:
        tab.goto(f"{base}tools/timing/no/such/page.html")
        tab.wait_for("getComputedStyle(document.querySelector('.md-header')).position === 'sticky'")
        links = tab.evaluate("[...document.querySelectorAll('article a')].map(each => each.href)")
        found = {each.removeprefix(f"{base}tools/timing/") for each in links}
        assert {"worksheet.html", "before/index.html", "index.html"} <= found
        assert all((site / each).is_file() for each in found)
        # The search and its index, too.
        tab.set_viewport(1280)
        tab.wait_for("document.documentElement.classList.contains('js')")
        tab.focus(".md-search__input")
        tab.type("spill lift")
        tab.click(".md-search-result__link")
        tab.wait_for("location.pathname.startsWith('/tools/timing/') && !location.pathname.includes('/no/such/')")
        assert (site / tab.evaluate("location.pathname").removeprefix("/tools/timing/")).is_file()
        tab.goto("about:blank")
    # What it asked for at the server's root was not there; and the whole server is none that this tab was made for.
    tab.forget()


@ONE
def test_the_start_page_leads_each_reader_without_scrolling(tab: Tab) -> None:
    """On a small phone the ways in stand in the first screen, each one click away."""
    tab.set_viewport(WIDTHS[0], 667)
    tab.open("index.html")
    ways = tab.evaluate(
        "[...document.querySelectorAll('.sm-ways a')]"
        ".map(each => [each.getAttribute('href'), each.getBoundingClientRect().bottom])"
    )
    assert [way for way, _ in ways] == ["worksheet.html", "before/index.html", "learn/index.html", "look-up/index.html"]
    assert all(bottom <= 667 for _, bottom in ways)


def test_search_finds_a_page_by_a_word_of_its_title(tab: Tab, site: Path) -> None:
    documents = [one for one in built.search_documents(site) if "#" not in one["location"]]
    wanted = max(documents, key=lambda one: max(map(len, re.findall(r"\w+", one["title"]))))
    word = max(re.findall(r"\w+", wanted["title"]), key=len)
    tab.set_viewport(1280)
    tab.open("index.html")
    tab.focus(".md-search__input")
    tab.type(word)
    tab.wait_for_element(f".md-search-result__link[href*='{wanted['location']}']")


@ONE
def test_search_finds_nothing_for_a_word_that_no_page_has(tab: Tab) -> None:
    tab.set_viewport(1280)
    tab.open("index.html")
    tab.focus(".md-search__input")
    tab.type("qqzzxxvv")
    tab.wait_for("/\\bNo\\b/i.test(document.querySelector('.md-search-result__meta').innerText)")
    assert tab.count(".md-search-result__link") == 0


def test_content_pages_are_light_load_no_python_and_print_to_a4_with_nothing_cut(
    chromium_tab: ChromiumTab, site: Path, tmp_path: Path
) -> None:
    for name in PYTHON_FILES:
        assert (site / name).is_file(), f"{name} is no longer where this test looks for it"
    wrong = []
    for path in content_pages(site):
        chromium_tab.forget()
        chromium_tab.open(path)
        kilobytes = script_and_style_bytes(chromium_tab, site) / 1000
        if not 0 < kilobytes <= CONTENT_LIMIT_KB:
            wrong.append(f"{path}: {kilobytes:.0f} kB")
        wrong += [f"{path}: {name}" for name in PYTHON_FILES if name in files_loaded(chromium_tab)]
        chromium_tab.pdf(tmp_path / "page.pdf")
        for sheet in PdfReader(tmp_path / "page.pdf").pages:
            assert (float(sheet.mediabox.width), float(sheet.mediabox.height)) == pytest.approx(A4_POINTS, abs=1.0), path
        # As wide as the text on A4, nothing hangs over.
        chromium_tab.set_viewport(PAPER_PX)
        chromium_tab.emulate(paper=True)
        if not chromium_tab.evaluate("document.documentElement.scrollWidth <= innerWidth"):
            wrong.append(f"{path}: wider than the paper")
        chromium_tab.emulate(paper=False)
    assert not wrong, "\n".join(wrong)


# By day on a phone, by night on a desk.
LOOKS = ((WIDTHS[0], False), (WIDTHS[1], True))
# One page of each kind, for what stands around the text of a page.
FRAMES = ("index.html", "learn/lesson-1.html", "before/read.html", "calculate/push-rod.html", "generated/job-file.html")


@pytest.mark.parametrize("part", PARTS)
def test_every_page_is_accessible_and_fits_on_phone_and_desk_by_day_and_night(
    chromium_tab: ChromiumTab, site: Path, part: str
) -> None:
    """Each page in two looks: so every rule is held at both widths, and every colour of its text in both schemes.

    No width changes a colour, but of the moving model, which has a test of its own. What shows at one width alone is what
    stands around the text, alike on all pages: `FRAMES` are seen in all four looks.
    """
    pages = pages_of(site, part)
    assert pages
    wrong = []
    for path in pages:
        chromium_tab.set_viewport(WIDTHS[0])
        chromium_tab.open(path)
        others = [(width, not dark) for width, dark in LOOKS] if path in FRAMES else []
        for width, dark in (*LOOKS, *others):
            chromium_tab.set_viewport(width)
            chromium_tab.emulate(dark=dark, reduced_motion=True)
            assert chromium_tab.attribute("body", "data-md-color-scheme") == (DARK if dark else LIGHT)
            wrong += [f"{path} at {width} px, {'dark' if dark else 'light'}: {one}" for one in chromium_tab.axe()]
            needed = chromium_tab.evaluate("document.documentElement.scrollWidth")
            if needed > width:
                wrong.append(f"{path} at {width} px: {needed} px wide")
    assert not wrong, "\n".join(wrong)


def test_pictures_are_drawn_and_not_photographed(site: Path) -> None:
    raster = {".png", ".jpg", ".jpeg", ".gif", ".webp", ".avif", ".bmp"}
    # The theme's own icon of a browser's tab, which no page shows, and the app's icons, made from its drawing.
    files = {path.relative_to(site).as_posix() for path in site.rglob("*") if path.suffix.lower() in raster}
    assert files <= {"assets/images/favicon.png", *(f"assets/{name}" for name, *_ in ICONS)}
    shown = [(path, src) for path in built.pages(site) for src in IMAGE.findall((site / path).read_text("utf-8"))]
    assert [each for each in shown if not each[1].startswith("data:image/svg") and not each[1].endswith(".svg")] == []


# What people type, and a page that has to be among the first three.
TYPED = {
    "TDC": "look-up/glossary.html",
    "top dead center": "look-up/glossary.html",
    "prestroke": "look-up/glossary.html",
    "dial indicator": "look-up/glossary.html",
    "dial guage": "before/gauges.html",
    "VIT": "look-up/glossary.html",
    "fuel pump timing": "worksheet.html",
    "push rod length": "principles/rod-or-cam.html",
    "pushrod": "principles/rod-or-cam.html",
    "advance timing": "principles/rod-or-cam.html",
    "worn cam": "principles/rod-or-cam.html",
    "cam profile": "principles/cam.html",
    "cut off": "principles/fuel-index.html",
    "fuel rack": "principles/fuel-index.html",
    "excentric": "principles/fuel-index.html",
    "engine will not stop": "principles/fuel-index.html",
    "how does the pump work": "principles/pump.html",
    "suctoin valve": "principles/pump.html",
    "pmax": "principles/combustion.html",
    "exhaust temp": "principles/combustion.html",
    "backlash": "principles/backlash.html",
    "uncertanty": "principles/uncertainty.html",
    "flyweel scale": "principles/half-degree.html",
    "viscosty": "calculate/fuel.html",
    "changeover": "calculate/change-over.html",
    "ISO 14253": "generated/sources.html",
    "blind spots": "look-up/limits.html",
    "license": "third-party.html",
    "usb stick": "look-up/deliver.html",
    "checksum": "look-up/deliver.html",
    "how many repeats": "calculate/doubt.html",
    "torque": "calculate/tightening.html",
    "fault finding": "before/does-not-add-up.html",
    "turning gear": "before/turning.html",
    "adjust push rod": "before/correct.html",
    "animation": "learn/model.html",
    "ccai": "calculate/fuel.html",
    "drift": "trend.html",
    "fewest turns": "turning-plan.html",
    "install": "look-up/app.html",
    "find TDC": "calculate/dead-centre.html",
    "cut out": "before/cut-out.html",
    "timing too early": "principles/rod-or-cam.html",
    "advance or retard": "principles/rod-or-cam.html",
    "late injection": "principles/combustion.html",
    "rack position": "principles/fuel-index.html",
    "pump lead": "principles/pump.html",
    "barring gear": "before/turning.html",
    "lock out tag out": "before/make-safe.html",
    "permit to work": "before/make-safe.html",
    "starting air": "before/make-safe.html",
    "black smoke": "principles/combustion.html",
    "knoking": "principles/combustion.html",
    "spill port": "principles/pump.html",
    "gauge does not return to zero": "before/gauges.html",
    "pointer off": "calculate/dead-centre.html",
    "how many flats": "calculate/push-rod.html",
    "lock nut torque": "calculate/tightening.html",
    "sulfur limit": "calculate/change-over.html",
    "excercise": "learn/index.html",
    "quiz": "learn/index.html",
    "simulator": "learn/practice.html",
    "sign off": "learn/record.html",
    "blank form": "worksheet.html",
    "runing hours": "before/due.html",
    "ignition qualty": "calculate/fuel.html",
    "unbalanced cylinders": "calculate/quantity.html",
    "lift off clearance": "before/cut-out.html",
    "tolerence": "principles/half-degree.html",
    "checklist": "before/index.html",
    "leak test": "before/close.html",
    "slow turning": "before/restore.html",
    "bunker": "calculate/fuel.html",
    "superintendent": "fleet.html",
    "barrel": "before/inspect.html",
    "magnetic base": "before/gauges.html",
    "port call": "before/port.html",
    "gear backlash": "principles/backlash.html",
    "timing to late": "principles/rod-or-cam.html",
    "record book": "before/after-work.html",
    "out of tolerance": "before/judge.html",
    "cam wear": "calculate/cam.html",
    "repeat readings": "before/read.html",
}
FIRST_THREE = """[...document.querySelectorAll(".md-search-result__item")].slice(0, 3)
    .map(each => each.querySelector("a").getAttribute("href"))"""
TAGS = "[...document.querySelectorAll('.md-search-result .md-tags')]"


@ONE
def test_search_finds_what_people_type(tab: Tab) -> None:
    tab.set_viewport(1280)
    tab.open("index.html")
    seen = 0
    for typed, wanted in TYPED.items():
        tab.fill(".md-search__input", "")
        tab.wait_for("!document.querySelector('.md-search-result__item')")
        # It looks again with every key: here with the last one.
        tab.evaluate(f"void (document.querySelector('.md-search__input').value = {json.dumps(typed[:-1])})")
        tab.type(typed[-1])
        try:
            tab.wait_for(f"({FIRST_THREE}).some(each => each.includes({json.dumps(wanted)}))", timeout_s=20)
        except AssertionError:
            pytest.fail(f"{typed!r} finds {tab.evaluate(FIRST_THREE)}, not {wanted}", pytrace=False)
        seen += tab.count(".md-search-result .md-tags")
        assert not tab.evaluate(f"{TAGS}.some(each => each.checkVisibility())")
    # The words by which pages are found are there, and nobody has to read them.
    assert seen
