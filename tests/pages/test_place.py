"""Where a page lies and what opens it: what browsers keep by its address, a folder that moved, a page alone, an old browser."""

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

from site_demo import oldest

from . import built
from .chromium import ChromiumTab
from .conftest import BOTH, ONE
from .tab import Tab
from .test_store import TITLE, WITHOUT_PYTHON, keep, wait_for_title, wait_until_kept
from .test_worksheet import PAGE

KEEP = """(async () => {
    localStorage.setItem("kept", "here");
    document.cookie = "kept=here; max-age=99999";
    await new Promise((resolve, reject) => {
        const asked = indexedDB.open("kept");
        asked.onsuccess = () => resolve(asked.result.close());
        asked.onerror = () => reject(asked.error);
    });
    await (await caches.open("kept")).put("https://kept.invalid/", new Response("here"));
})()"""
FIND = """(async () => [
    localStorage.getItem("kept") !== null,
    (await indexedDB.databases()).some(({name}) => name === "kept"),
    (await caches.keys()).includes("kept"),
    document.cookie.includes("kept=here"),
    location.origin,
])()"""
NOTES = "[...document.querySelectorAll('.ws-wherenote')].map(each => [each.dataset.matter, each.innerText])"


@BOTH
def test_what_browsers_keep_for_pages_from_folders_is_as_the_site_says(tab: Tab, tmp_path: Path) -> None:
    """The table in `look-up/where-it-works.md`, and what `docs/app/store/whereabouts.js` and `docs/app/shared.js` build on."""
    for path in ("one/a.html", "one/b.html", "two/a.html"):
        (tmp_path / path).parent.mkdir(exist_ok=True)
        (tmp_path / path).write_text('<!doctype html><link rel="icon" href="data:,"><title>Place</title>', "utf-8")

    def found(path: str) -> dict[str, bool]:
        tab.goto((tmp_path / path).as_uri())
        local, database, cache, cookie, origin = tab.evaluate(FIND)
        assert origin == ("file://" if shares else "null")
        # The three that hold much go together.
        assert local == database == cache
        return {"store": local, "cookie": cookie}

    shares = isinstance(tab, ChromiumTab)
    tab.base = tmp_path.as_uri() + "/"
    tab.goto((tmp_path / "one/a.html").as_uri())
    tab.evaluate(KEEP)
    assert found("one/a.html") == {"store": True, "cookie": not shares}
    assert found("one/b.html") == {"store": shares, "cookie": not shares}
    assert found("two/a.html") == {"store": shares, "cookie": False}
    (tmp_path / "one").rename(tmp_path / "moved")
    assert found("moved/a.html") == {"store": shares, "cookie": False}
    (tmp_path / "moved").rename(tmp_path / "one")
    assert found("one/a.html") == {"store": True, "cookie": not shares}


@pytest.fixture
def copied(site: Path, tmp_path: Path) -> Callable[[str], str]:
    """Puts the worksheet, without Python, into another folder; gives the folder's address."""

    def copy(name: str) -> str:
        folder = tmp_path / name
        if not folder.exists():
            shutil.copytree(
                site, folder, ignore=shutil.ignore_patterns("python-payload.js", "calculate", "learn", "before", "principles")
            )
        return folder.as_uri() + "/"

    return copy


def open_in(tab: Tab, folder: str) -> None:
    """Open the worksheet of a copy, and wait until it has looked for its jobs and for where it is."""
    tab.base = folder
    tab.open(PAGE)
    wait_until_kept(tab)
    tab.wait_for("(localStorage.getItem('spillmark-places') ?? '').includes(location.pathname.split('/').at(-2))")


@BOTH
def test_a_folder_that_moved_is_noticed_once_and_says_where_the_jobs_are(tab: Tab, copied: Callable[[str], str]) -> None:
    shares = isinstance(tab, ChromiumTab)
    tab.run_before_pages(WITHOUT_PYTHON)
    first, second = copied("one"), copied("two & more")
    open_in(tab, first)
    assert [matter for matter, _ in tab.evaluate(NOTES)] == ([] if shares else ["none"])
    keep(tab, "Before the move")
    open_in(tab, first)
    assert tab.evaluate(NOTES) == []

    open_in(tab, second)
    [[matter, words]] = tab.evaluate(NOTES)
    assert matter == ("moved" if shares else "none")
    assert "/two & more/" in words
    assert ("/one/" in words) == shares
    if shares:
        wait_for_title(tab, "Before the move")
    else:
        assert tab.value(TITLE) == ""
    # By keyboard, and the focus goes on to the list that it was about.
    tab.focus(".ws-wherenote button")
    tab.press("Enter")
    tab.wait_for("document.querySelectorAll('.ws-wherenote').length === 0")
    assert tab.evaluate("document.activeElement.closest('#jobs') !== null")
    for folder in (second, first):
        open_in(tab, folder)
        assert tab.evaluate(NOTES) == []
    wait_for_title(tab, "Before the move")
    tab.forget()


@ONE
def test_a_newer_copy_and_a_temporary_folder_are_told(tab: Tab, copied: Callable[[str], str]) -> None:
    tab.run_before_pages(WITHOUT_PYTHON)
    open_in(tab, copied("one"))
    tab.evaluate(
        """(() => {
            const past = JSON.parse(localStorage.getItem("spillmark-places"));
            localStorage.setItem("spillmark-places", JSON.stringify({...past, version: "99.1.0"}));
        })()"""
    )
    open_in(tab, copied("Temp1_site.zip"))
    (first, temporary), (second, newer) = tab.evaluate(NOTES)
    assert (first, second) == ("temporary", "newer")
    assert "/Temp1_site.zip/" in temporary
    assert "Version 99.1.0" in newer
    assert tab.axe() == []
    # The version stays known; what was put away stays away, but for a danger.
    for button in range(2):
        tab.click(".ws-wherenote button")
        tab.wait_for(f"document.querySelectorAll('.ws-wherenote').length === {1 - button}")
    open_in(tab, copied("Temp1_site.zip"))
    assert [matter for matter, _ in tab.evaluate(NOTES)] == ["temporary"]
    tab.forget()


# Alone, or with a part missing.

SHOWN = "document.querySelector('.sm-alone').getClientRects().length > 0"
# Looks at every picture that the browser draws of the page, from the first on.
WATCH = f"""window.flashed = 0;
(function look() {{
    if (document.querySelector(".sm-alone") && {SHOWN}) window.flashed++;
    requestAnimationFrame(look);
}})();"""


@BOTH
def test_a_page_out_of_a_zip_that_was_not_unpacked_says_so(tab: Tab, site: Path, tmp_path: Path) -> None:
    for path in ("index.html", "worksheet.html"):
        folder = tmp_path / Path(path).stem
        folder.mkdir()
        shutil.copy(site / path, folder)
        tab.goto((folder / path).as_uri())
        assert tab.evaluate(SHOWN)
        # In sight, above the theme's pictures, which fill the window.
        assert tab.evaluate("document.querySelector('.sm-alone').getBoundingClientRect().top") < 300
        assert "Unpack the whole zip" in tab.text(".sm-alone")
    tab.forget()


@BOTH
def test_a_page_with_its_files_shows_no_notice_and_none_flashes_up(tab: Tab) -> None:
    tab.run_before_pages(WATCH)
    for path in ("index.html", PAGE, "learn/model.html"):
        tab.open(path)
        assert not tab.evaluate(SHOWN)
        assert tab.evaluate("window.flashed") == 0
        assert tab.evaluate("[...document.querySelectorAll('.sm-hitch')].every(each => !each.getClientRects().length)")


def test_what_a_page_may_have_to_say_is_no_part_of_its_text(site: Path) -> None:
    assert "This page is alone" not in json.dumps(built.search_documents(site))
    for path in built.pages(site):
        page = (site / path).read_text("utf-8")
        [at] = [found.start() for found in re.finditer("sm-alone", page)]
        assert page.index("<body") < at < page.index("<header") < page.index("<article"), path


@ONE
def test_a_file_that_is_missing_is_named(tab: Tab, copied: Callable[[str], str], tmp_path: Path) -> None:
    tab.base = copied("one")
    (tmp_path / "one/generated/app/worksheet.js").unlink()
    (tmp_path / "one/stylesheets/worksheet.css").unlink()
    tab.open(PAGE)
    said = tab.text("#file-missing")
    assert "app/worksheet.js" in said
    assert "stylesheets/worksheet.css" in said
    tab.forget()


# Old browsers, and none of JavaScript.


@pytest.mark.parametrize(
    ("page", "lost", "named"),
    [
        (PAGE, "delete globalThis.DecompressionStream", "DecompressionStream"),
        (PAGE, "delete Element.prototype.checkVisibility", "checkVisibility"),
        (PAGE, "delete WebAssembly.Exception", "WebAssembly with exceptions"),
        (
            "calculate/push-rod.html",
            "delete globalThis.Worker; delete globalThis.WebAssembly",
            "WebAssembly with exceptions",
        ),
        ("learn/model.html", "delete Array.prototype.at", "JavaScript of 2022"),
    ],
)
@ONE
def test_a_browser_that_is_too_old_is_told_what_it_lacks(tab: Tab, page: str, lost: str, named: str) -> None:
    tab.run_before_pages(lost)
    tab.open(page)
    said = tab.text("#too-old")
    assert f"It lacks: {named}." in said
    assert oldest.sentence() in said
    assert tab.evaluate("document.querySelector('#too-old').getClientRects().length > 0")
    if page == "learn/model.html":
        assert tab.axe() == []
    # What lacks something goes on complaining until it is left.
    tab.goto("about:blank")
    tab.forget()


def test_what_speaks_to_old_browsers_is_written_for_them(site: Path) -> None:
    script = (site / "generated/app/first.js").read_text("utf-8")
    assert not re.search(r"=>|`|\b(?:const|let|class|async|await)\s|\?\.|\?\?", script)
    # It stands before the script that may not even be read.
    for path in built.calculating(site):
        page = (site / path).read_text("utf-8")
        assert page.index("generated/app/first.js") < page.index("<script defer"), path


def test_every_page_can_be_read_and_printed_without_javascript(chromium_tab: ChromiumTab, site: Path, tmp_path: Path) -> None:
    calculating = built.calculating(site)
    chromium_tab.forbid_scripts()
    wrong = []
    for path in built.pages(site):
        chromium_tab.open(path)
        heading, text, notes = chromium_tab.evaluate(
            "[document.querySelector('article h1').innerText, document.querySelector('article').innerText,"
            "[...document.querySelectorAll('.sm-alone, .sm-hitch')].filter(each => each.getClientRects().length).length]"
        )
        if not heading or len(text) < 300 or notes:
            wrong.append(f"{path}: {heading!r}, {len(text)} letters, {notes} notices")
        if path in calculating and "JavaScript" not in text:
            wrong.append(f"{path}: it does not say what it needs JavaScript for")
        if path in ("index.html", PAGE, "before/read.html"):
            chromium_tab.pdf(tmp_path / "page.pdf")
            printed = " ".join(sheet.extract_text() for sheet in PdfReader(tmp_path / "page.pdf").pages)
            assert heading.strip("¶\n ") in printed, path
    assert not wrong, "\n".join(wrong)
    # The links are links.
    chromium_tab.open("index.html")
    chromium_tab.click("article a[href='before/index.html']")
    assert chromium_tab.evaluate("location.pathname").endswith("/before/index.html")
