"""What holds for every page of the built site, from a folder and from a server."""

import re
from pathlib import Path

import pytest

from calc.compute.registry import CALCULATIONS

from . import built
from .chromium import ChromiumTab
from .conftest import ONE
from .tab import Tab
from .weight import files_loaded, script_and_style_bytes

# The scripts of the pages that calculate, by what their front matter says of Python; all other pages load none.
SCRIPTS = {
    "true": "generated/app/worksheet.js",
    "calculator": "generated/app/calculator.js",
    "practice": "generated/app/practice.js",
}
# What only those load: Python itself, and the scripts that start it.
PYTHON_FILES = ("generated/app/python-payload.js", *SCRIPTS.values())
CONTENT_LIMIT_KB = 300
WIDTHS = (390, 1280)


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


def test_every_page_opens_without_complaint(tab: Tab, site: Path) -> None:
    complaints = []
    for path in built.pages(site):
        tab.open(path)
        assert tab.evaluate("document.title"), f"{path} has no title"
        complaints += [f"{path}: {text}" for text in tab.complaints()]
        tab.forget()
    assert not complaints, "\n".join(complaints)


def test_links_within_the_site_lead_somewhere(site: Path) -> None:
    broken = built.broken_links(site)
    assert not broken, "\n".join(broken)


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


def test_content_pages_are_light_and_load_no_python(chromium_tab: ChromiumTab, site: Path) -> None:
    for name in PYTHON_FILES:
        assert (site / name).is_file(), f"{name} is no longer where this test looks for it"
    heavy, with_python = [], []
    for path in content_pages(site):
        chromium_tab.forget()
        chromium_tab.open(path)
        kilobytes = script_and_style_bytes(chromium_tab, site) / 1000
        if not 0 < kilobytes <= CONTENT_LIMIT_KB:
            heavy.append(f"{path}: {kilobytes:.0f} kB")
        with_python += [f"{path}: {name}" for name in PYTHON_FILES if name in files_loaded(chromium_tab)]
    assert not heavy, "\n".join(heavy)
    assert not with_python, "\n".join(with_python)


@pytest.mark.parametrize(("width", "dark"), [(390, True), (1280, False)], ids=["phone at night", "desk by day"])
def test_every_page_is_accessible(chromium_tab: ChromiumTab, site: Path, width: int, dark: bool) -> None:
    chromium_tab.set_viewport(width)
    chromium_tab.emulate(dark=dark, reduced_motion=True)
    scheme = "slate" if dark else "default"
    violations = []
    for path in built.pages(site):
        chromium_tab.open(path)
        assert chromium_tab.attribute("body", "data-md-color-scheme") == scheme
        violations += [f"{path}: {one}" for one in chromium_tab.axe()]
    assert not violations, "\n".join(violations)


@pytest.mark.parametrize("width", WIDTHS)
def test_no_page_scrolls_sideways(chromium_tab: ChromiumTab, site: Path, width: int) -> None:
    chromium_tab.set_viewport(width)
    too_wide = []
    for path in built.pages(site):
        chromium_tab.open(path)
        needed = chromium_tab.evaluate("document.documentElement.scrollWidth")
        if needed > width:
            too_wide.append(f"{path}: {needed} px")
    assert not too_wide, "\n".join(too_wide)
