"""The site as an app from a server: kept whole after one visit, renewed without mixing, forgotten when asked; and nothing of it
from a folder."""

import contextlib
import json
import shutil
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import pytest
from playwright.sync_api import Error as PlaywrightError

from calc.version import VERSION
from site_demo.app import CODE, RETIRED_CODE, WORKER, write_worker

from .chromium import ChromiumTab
from .conftest import Browsers, _on
from .firefox import FirefoxError
from .served import served
from .sound import looks, too_small
from .tab import Person, Tab
from .test_store import wait_for_title
from .test_worksheet import PAGE, field, open_sheet, type_into

PLACE = "look-up/app.html"
PHASE = "document.querySelector('#kept-copy').dataset.phase"
LOAD = "Load the new version"
RELOADED = "performance.getEntriesByType('navigation')[0].type === 'reload'"
NOTICE = "document.querySelector('.sm-version').innerText"
PAYLOAD = "generated/app/python-payload.js"
# A page and a script, to be changed in a next version. The script is there for the tests alone.
CHANGED_PAGE, CHANGED_SCRIPT = "look-up/glossary.html", "generated/app/said.js"
OLD, NEW = "Glossary", "Glossary of the next version"
HEADING = '<h1 id="glossary">{}<'

# Not on the small site.
LEFT_OUT = ("python-*.js", "*.json", "lunr", "before", "calculate", "learn", "principles")

IN_BOTH = pytest.mark.parametrize("browser", ["chromium", "firefox"])
IN_CHROMIUM = pytest.mark.parametrize("browser", ["chromium"])

# Paths of the kept files.
KEPT = """(async () => {
    const names = (await caches.keys()).filter(name => name.startsWith("spillmark-files"));
    const lists = await Promise.all(names.map(async name => (await caches.open(name)).keys()));
    return lists.flat().map(({url}) => decodeURIComponent(new URL(url).pathname.slice(1)));
})()"""
# What the script that changes says when a page loads it now; the query gets past the browser's own cache.
SAID = f"""new Promise((done, failed) => {{
    const script = document.createElement("script");
    script.src = "/{CHANGED_SCRIPT}?" + Math.random();
    script.onload = () => done(globalThis.said);
    script.onerror = () => failed(new Error("no script"));
    document.head.append(script);
}})"""


class Site:
    """A copy of the built site on a server of its own, which a test can change, damage and switch off."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.seen: list[str] = []
        self.most = 10**9
        # A path that is answered when the line lets it through.
        self.slow = ""
        self.goes_on = threading.Event()
        self.base = ""
        self._serving: Any = None

    def start(self) -> None:
        """Serve it; again at the same address."""
        port = urlsplit(self.base).port or 0
        self._serving = served(self.folder, port=port, seen=self.seen, hangs_up=self._hangs_up)
        self.base = self._serving.__enter__()

    def stop(self) -> None:
        """Switch the server off."""
        self.goes_on.set()
        if self._serving:
            self._serving.__exit__(None, None, None)
            self._serving = None

    def _hangs_up(self, path: str) -> bool:
        if path == self.slow:
            self.goes_on.wait()
        return len(self.seen) >= self.most

    def write(self, path: str, text: str) -> None:
        """Put a file onto the server."""
        (self.folder / path).write_text(text, "utf-8")

    def read(self, path: str) -> str:
        """A file of the server."""
        return (self.folder / path).read_text("utf-8")

    def bring_next_version(self, version: str = "next") -> None:
        """Copy a next version onto the server: one page and one script differ."""
        self.write(CHANGED_PAGE, self.read(CHANGED_PAGE).replace(HEADING.format(OLD), HEADING.format(NEW)))
        self.write(CHANGED_SCRIPT, 'globalThis.said = "new";')
        self.list_files(version)

    def list_files(self, version: str = VERSION) -> None:
        """Write the worker for the files as they are."""
        write_worker(self.folder, version, CODE.read_text("utf-8"))

    def asked(self) -> list[str]:
        """Paths of the files, but the worker's, that were handed out since this was last asked."""
        paths = [unquote(urlsplit(line.split(" ", 1)[1]).path)[1:] for line in self.seen if not line.startswith("404")]
        self.seen.clear()
        return [path for path in paths if path != WORKER]


@pytest.fixture
def whole_site(site: Path, tmp_path: Path) -> Iterator[Site]:
    """The site with all its files."""
    copy = Site(tmp_path / "site")
    shutil.copytree(site, copy.folder)
    copy.start()
    yield copy
    copy.stop()


@pytest.fixture
def small_site(site: Path, tmp_path: Path) -> Iterator[Site]:
    """The site without Python and without pages that no test with it opens: each visit fetches and keeps every file of it."""
    copy = Site(tmp_path / "site")
    shutil.copytree(site, copy.folder, ignore=shutil.ignore_patterns(*LEFT_OUT))
    copy.write(CHANGED_SCRIPT, 'globalThis.said = "old";')
    copy.list_files()
    copy.start()
    yield copy
    copy.stop()


@pytest.fixture
def person(browsers: Browsers, browser: str, tmp_path: Path) -> Iterator[Person]:
    """Somebody who comes for the first time."""
    came = browsers[browser].person(tmp_path)
    yield came
    came.close()


def tab_on(person: Person, site: Site, tmp_path: Path) -> Tab:
    """A tab for the site."""
    return person.tab(base=site.base, downloads=tmp_path)


def wait_for_phase(tab: Tab, phase: str) -> None:
    """Wait until the page says so of the copy."""
    tab.wait_for(f"{PHASE} === {json.dumps(phase)}")


def visit(tab: Tab) -> None:
    """Open the page of the copy, and leave it open until the copy is whole."""
    tab.open(PLACE)
    wait_for_phase(tab, "whole")


def look_again(tab: Tab) -> None:
    """Have the browser look for a new version, by opening a page."""
    tab.open(PLACE)


def heading(tab: Tab) -> str:
    """The changed page's heading, as this tab gets the page now: past the browser's own cache."""
    tab.open(f"{CHANGED_PAGE}?{time.time_ns()}")
    return tab.text("h1").replace("¶", "").strip()


def wait_through(tab: Tab, predicate: str) -> None:
    """Wait until something is so of a page that loads itself anew meanwhile."""
    end = time.monotonic() + tab.patience_s
    while time.monotonic() < end:
        # The page that was asked may be gone before it answers.
        with contextlib.suppress(PlaywrightError, FirefoxError):
            if tab.evaluate(f"(async () => {{ try {{ return Boolean({predicate}); }} catch {{ return false; }} }})()"):
                return
        time.sleep(0.05)
    raise AssertionError(f"still not so: {predicate}")


def press(tab: Tab, label: str) -> None:
    """Press a button of the app by its words. The page may be gone at once, so nothing waits for the click's end."""
    # A file that is on its way when the page goes is told as one that failed.
    tab.wait_for("document.readyState === 'complete' && typeof __index !== 'undefined'")
    buttons = "[...document.querySelectorAll('.sm-button')]"
    tab.wait_for(f"{buttons}.some(each => each.innerText === {json.dumps(label)} && each.checkVisibility())")
    tab.evaluate(f"void setTimeout(() => {buttons}.find(each => each.innerText === {json.dumps(label)}).click())")


# Without a network.


@IN_BOTH
def test_after_one_visit_everything_works_without_the_server(person: Person, whole_site: Site, tmp_path: Path) -> None:
    tab = tab_on(person, whole_site, tmp_path)
    visit(tab)
    assert "This site works without a network now" in tab.text("#kept-copy")
    assert VERSION in tab.text("#kept-copy")
    listed = json.loads(whole_site.read(WORKER).split("=", 1)[1].split(";\n", 1)[0])["files"]
    assert sorted(tab.evaluate(KEPT)) == sorted(listed)
    whole_site.stop()
    # With a query that nothing on the way can have seen before.
    for path in (
        "index.html",
        "",
        "learn/",
        "learn",
        "learn/lesson-1.html?fresh",
        "look-up/glossary?fresh#play",
        "learn/model.html?angle=4",
    ):
        tab.open(path)
        assert tab.evaluate(
            "document.querySelector('h1').innerText.length > 3 && getComputedStyle(document.body).margin === '0px'"
        ), path
    tab.set_viewport(1280)
    tab.open("index.html?search")
    tab.focus(".md-search__input")
    tab.type("spill")
    tab.wait_for_element(".md-search-result__link")
    open_sheet(tab)
    tab.click("#show-demo")
    tab.wait_for("document.querySelector('#findings').dataset.verdict === 'outside'")
    assert tab.complaints() == []


@IN_BOTH
def test_an_address_without_a_page_is_told_without_the_server(person: Person, small_site: Site, tmp_path: Path) -> None:
    tab = tab_on(person, small_site, tmp_path)
    visit(tab)
    small_site.stop()
    tab.open("no/such/page.html")
    assert any("status 404" in text for text in tab.failures)
    assert tab.text("h1").startswith("There is no such page")
    assert tab.evaluate("getComputedStyle(document.querySelector('.md-header')).position") == "sticky"
    tab.forget()


@IN_CHROMIUM
def test_two_sites_of_one_server_do_not_meet(person: Person, small_site: Site, tmp_path: Path) -> None:
    """In folders of their own; an address without a page leads back to the right first page."""
    copies = [small_site.folder / name for name in ("one", "two")]
    for copy in copies:
        shutil.copytree(small_site.folder, copy, ignore=shutil.ignore_patterns("one", "two"))
    tab = tab_on(person, small_site, tmp_path)
    for copy in copies:
        tab.open(f"{copy.name}/{PLACE}")
        wait_for_phase(tab, "whole")
    small_site.stop()
    tab.open("one/nothing")
    assert tab.attribute("a", "href") == "/one/"
    tab.forget()
    tab.open(f"two/{PLACE}")
    press(tab, "Forget the kept copy")
    wait_for_phase(tab, "off")
    assert all(name.endswith("/one/") for name in tab.evaluate("caches.keys()"))
    tab.open("one/look-up/glossary.html")
    assert OLD in tab.text("h1")
    assert tab.complaints() == []


@IN_CHROMIUM
def test_browsers_may_install_it(browsers: Browsers, browser: str, small_site: Site, tmp_path: Path) -> None:
    # Nothing is installed where the browser forgets it.
    at_home = browsers[browser].profile(tmp_path / "profile")
    tab = tab_on(at_home, small_site, tmp_path)
    assert isinstance(tab, ChromiumTab)
    visit(tab)
    said = tab.ask_devtools("Page.getAppManifest")
    assert said["errors"] == []
    assert said["url"] == f"{small_site.base}manifest.webmanifest"
    assert json.loads(said["data"])["name"] == "Spillmark"
    assert tab.ask_devtools("Page.getInstallabilityErrors")["installabilityErrors"] == []
    at_home.close()


# A new version.


@IN_BOTH
def test_a_new_version_comes_when_it_is_asked_for(person: Person, small_site: Site, tmp_path: Path) -> None:
    first, second = (tab_on(person, small_site, tmp_path) for _ in range(2))
    visit(first)
    second.open("look-up/limits.html")
    small_site.bring_next_version()
    small_site.asked()
    look_again(first)
    first.wait_for(f"{NOTICE}.includes('A new version of this site is ready: next.')")
    # Only what differs was fetched.
    assert sorted(small_site.asked()) == sorted([CHANGED_PAGE, CHANGED_SCRIPT])
    # Until somebody asks for it, every page is the old one.
    assert heading(first) == OLD
    assert first.evaluate(SAID) == "old"
    first.wait_for(f"{NOTICE}.includes('is ready')")
    press(first, LOAD)
    wait_through(first, f"document.querySelector('h1').innerText.includes({json.dumps(NEW)})")
    assert first.evaluate(SAID) == "new"
    # The other tab is told, and goes on with the old files.
    second.wait_for(f"{NOTICE}.includes('Another tab has loaded another version of this site: next')")
    assert second.evaluate(SAID) == "old"
    press(second, LOAD)
    wait_through(second, RELOADED)
    assert second.evaluate(SAID) == "new"
    small_site.stop()
    assert heading(second) == NEW
    assert [*first.complaints(), *second.complaints()] == []


@IN_BOTH
def test_a_new_version_comes_by_itself_when_all_tabs_are_closed(person: Person, small_site: Site, tmp_path: Path) -> None:
    tab = tab_on(person, small_site, tmp_path)
    visit(tab)
    small_site.bring_next_version()
    look_again(tab)
    tab.wait_for(f"{NOTICE}.includes('is ready')")
    # The browser itself stays.
    other = person.tab(base="about:", downloads=tmp_path)
    other.goto("about:blank")
    tab.close_by_hand()
    later = tab_on(person, small_site, tmp_path)
    assert heading(later) == NEW
    assert later.evaluate(SAID) == "new"
    visit(later)
    assert later.evaluate(f"{NOTICE}") == ""


@IN_BOTH
def test_an_upload_that_is_half_done_changes_nothing(person: Person, small_site: Site, tmp_path: Path) -> None:
    tab = tab_on(person, small_site, tmp_path)
    visit(tab)
    old_page = small_site.read(CHANGED_PAGE)
    small_site.bring_next_version()
    new_page = small_site.read(CHANGED_PAGE)
    small_site.write(CHANGED_PAGE, old_page)
    look_again(tab)
    wait_for_phase(tab, "stopped")
    assert f"{CHANGED_PAGE} is not as it should be" in tab.text("#kept-copy")
    assert "works without a network now" in tab.text("#kept-copy")
    assert tab.evaluate(NOTICE) == ""
    assert heading(tab) == OLD
    assert tab.evaluate(SAID) == "old"
    # The upload is finished.
    small_site.write(CHANGED_PAGE, new_page)
    visit(tab)
    tab.wait_for(f"{NOTICE}.includes('is ready')")
    press(tab, LOAD)
    wait_through(tab, RELOADED)
    assert heading(tab) == NEW
    assert tab.complaints() == []


@IN_BOTH
def test_a_first_copy_of_two_versions_is_none(person: Person, small_site: Site, tmp_path: Path) -> None:
    small_site.write(CHANGED_PAGE, small_site.read(CHANGED_PAGE) + "<!-- other -->")
    tab = tab_on(person, small_site, tmp_path)
    tab.open(PLACE)
    wait_for_phase(tab, "stopped")
    assert "works without a network" not in tab.text("#kept-copy")
    small_site.asked()
    tab.open("look-up/limits.html?fresh")
    assert "look-up/limits.html" in small_site.asked()


@IN_BOTH
def test_what_was_kept_before_an_interruption_is_not_fetched_again(person: Person, whole_site: Site, tmp_path: Path) -> None:
    tab = tab_on(person, whole_site, tmp_path)
    whole_site.most = 120
    tab.open(PLACE)
    wait_for_phase(tab, "stopped")
    assert "The server cannot be reached now." in tab.text("#kept-copy")
    kept = set(tab.evaluate(KEPT))
    assert len(kept) > 80
    whole_site.stop()
    whole_site.most = 10**9
    loaded = set(whole_site.asked()) - kept
    whole_site.start()
    visit(tab)
    asked = whole_site.asked()
    # The page itself still comes from the server, since there was no whole copy.
    own = {PLACE, *tab.evaluate("performance.getEntriesByType('resource').map(each => new URL(each.name).pathname.slice(1))")}
    again = [path for path in asked if path in kept - own - loaded]
    assert again == []
    assert PAYLOAD in asked
    assert set(tab.evaluate(KEPT)) > kept


@IN_CHROMIUM
def test_a_page_asks_on_while_a_slow_line_brings_the_copy(person: Person, small_site: Site, tmp_path: Path) -> None:
    """Otherwise the browser would end the worker. Here the pause of 20 s between two questions is made shorter."""
    tab = tab_on(person, small_site, tmp_path)
    tab.run_before_pages(
        "globalThis.asked = 0;"
        "const wait = setTimeout; globalThis.setTimeout = (act, ms) => wait(act, ms === 20_000 ? 200 : ms);"
        "const post = ServiceWorker.prototype.postMessage;"
        "ServiceWorker.prototype.postMessage = function (message) { asked++; post.call(this, message); };"
    )
    small_site.slow = f"/{CHANGED_PAGE}"
    tab.open(PLACE)
    wait_for_phase(tab, "keeping")
    tab.wait_for("asked > 5")
    assert "Kept for use without a network" in tab.text("#kept-copy")
    small_site.goes_on.set()
    wait_for_phase(tab, "whole")
    # However often it was asked for.
    assert sum(line.endswith(f" /{CHANGED_PAGE}") for line in small_site.seen) == 1
    asked = tab.evaluate("asked")
    tab.evaluate("new Promise(go => setTimeout(go, 1000))")
    assert tab.evaluate("asked") == asked


@IN_BOTH
def test_nothing_typed_is_lost_when_a_new_version_is_loaded(person: Person, small_site: Site, tmp_path: Path) -> None:
    tab = tab_on(person, small_site, tmp_path)
    visit(tab)
    small_site.bring_next_version()
    # Python is not on this server, and the worksheet works on without.
    tab.open(PAGE)
    tab.wait_for(f"{NOTICE}.includes('is ready')")
    type_into(tab, {"engine.units": "2", "title": "Typed at the last moment"})
    # At once, within the time in which a change is still to be written.
    press(tab, LOAD)
    wait_through(tab, RELOADED)
    wait_for_title(tab, "Typed at the last moment")
    assert tab.value(field("engine.units")) == "2"
    assert tab.dialogs == []


@IN_CHROMIUM
def test_the_notice_is_for_everybody(person: Person, small_site: Site, tmp_path: Path) -> None:
    tab = tab_on(person, small_site, tmp_path)
    assert isinstance(tab, ChromiumTab)
    visit(tab)
    small_site.bring_next_version()
    look_again(tab)
    tab.wait_for(f"{NOTICE}.includes('is ready')")
    assert tab.attribute(".sm-version", "role") == "status"
    for _width in looks(tab):
        assert too_small(tab, ".sm-version button, #kept-copy button") == []
        # It hides nothing for good: the page's foot can be scrolled above it.
        assert tab.evaluate(
            """(() => {
                scrollTo({top: document.documentElement.scrollHeight, behavior: "instant"});
                const box = selector => document.querySelector(selector).getBoundingClientRect();
                return box(".md-footer-meta").bottom <= box(".sm-version").top + 1;
            })()"""
        )
    # Put off, it stays away for this tab.
    tab.click(".sm-version button:last-child")
    visit(tab)
    assert tab.evaluate(NOTICE) == ""


# A copy that is damaged, refused, or not wanted.


LOSE = """path => caches.keys().then(async names => {
    const files = await caches.open(names.find(name => name.startsWith("spillmark-files")));
    for (const request of await files.keys()) if (request.url.includes(path)) await files.delete(request);
})"""


@IN_BOTH
def test_a_kept_file_that_is_lost_is_mended(person: Person, small_site: Site, tmp_path: Path) -> None:
    tab = tab_on(person, small_site, tmp_path)
    visit(tab)
    tab.evaluate(f"({LOSE})({json.dumps(CHANGED_PAGE)})")
    small_site.asked()
    assert heading(tab) == OLD
    assert CHANGED_PAGE in small_site.asked()
    small_site.stop()
    assert heading(tab) == OLD


@IN_BOTH
def test_a_lost_file_that_the_server_has_otherwise_brings_the_page_from_there(
    person: Person, small_site: Site, tmp_path: Path
) -> None:
    tab = tab_on(person, small_site, tmp_path)
    visit(tab)
    tab.evaluate(f"({LOSE})({json.dumps(CHANGED_PAGE)})")
    small_site.bring_next_version()
    assert heading(tab) == NEW
    assert tab.evaluate(SAID) == "new"
    visit(tab)
    small_site.stop()
    assert heading(tab) == NEW


@IN_BOTH
def test_the_copy_can_be_forgotten_and_kept_again(person: Person, small_site: Site, tmp_path: Path) -> None:
    tab = tab_on(person, small_site, tmp_path)
    visit(tab)
    press(tab, "Forget the kept copy")
    wait_for_phase(tab, "off")
    assert tab.evaluate("caches.keys()") == []
    tab.wait_for("(await navigator.serviceWorker.getRegistrations()).length === 0")
    tab.open("index.html")
    tab.open(PLACE)
    wait_for_phase(tab, "off")
    press(tab, "Keep a copy")
    wait_through(tab, f"{PHASE} === 'whole'")


@IN_BOTH
def test_a_server_can_take_the_copies_back(person: Person, small_site: Site, tmp_path: Path) -> None:
    """As `make serve` does, so that nobody who works on the pages sees old ones."""
    tab = tab_on(person, small_site, tmp_path)
    visit(tab)
    small_site.write(WORKER, RETIRED_CODE.read_text("utf-8"))
    small_site.write(CHANGED_PAGE, small_site.read(CHANGED_PAGE).replace(HEADING.format(OLD), HEADING.format(NEW)))
    look_again(tab)
    wait_for_phase(tab, "retired")
    assert tab.evaluate("caches.keys()") == []
    assert heading(tab) == NEW
    tab.open(PLACE)
    wait_for_phase(tab, "retired")
    assert tab.complaints() == []


@IN_CHROMIUM
def test_no_room_is_told_and_the_site_works_on(person: Person, small_site: Site, tmp_path: Path) -> None:
    tab = tab_on(person, small_site, tmp_path)
    assert isinstance(tab, ChromiumTab)
    tab.open("index.html")
    tab.ask_devtools("Storage.overrideQuotaForOrigin", origin=small_site.base.rstrip("/"), quotaSize=1_000_000)
    tab.open(PLACE)
    wait_for_phase(tab, "stopped")
    assert "There is no room for the whole copy" in tab.text("#kept-copy")
    tab.ask_devtools("Storage.overrideQuotaForOrigin", origin=small_site.base.rstrip("/"))
    press(tab, "Try again")
    wait_for_phase(tab, "whole")


REFUSALS = {
    "insecure": "Object.defineProperty(Navigator.prototype, 'serviceWorker', {value: undefined});"
    "Object.defineProperty(globalThis, 'isSecureContext', {value: false});",
    "unsupported": "Object.defineProperty(Navigator.prototype, 'serviceWorker', {value: undefined});",
    "refused": "ServiceWorkerContainer.prototype.register = async () => { throw new DOMException('no', 'SecurityError'); };",
    "unreachable": "ServiceWorkerContainer.prototype.register = async () => { throw new TypeError('no'); };",
}


@pytest.mark.parametrize("refusal", REFUSALS)
@_on("tab", "chromium-http")
def test_a_browser_that_keeps_nothing_is_told_kindly(tab: Tab, refusal: str) -> None:
    tab.run_before_pages(REFUSALS[refusal])
    tab.open(PLACE)
    wait_for_phase(tab, refusal)
    assert len(tab.text("#kept-copy [role=status]")) > 40


@_on("tab", "chromium-file", "firefox-file")
def test_from_a_folder_nothing_of_it_is_tried(tab: Tab) -> None:
    tab.run_before_pages(
        "globalThis.tried = [];"
        "if (globalThis.ServiceWorkerContainer) ServiceWorkerContainer.prototype.register = (...all) => tried.push(all);"
    )
    for path in ("index.html", PLACE):
        tab.open(path)
        tab.wait_for("document.readyState === 'complete'")
        assert tab.messages == []
        assert tab.evaluate("tried.length") == 0
        assert tab.count("link[rel=manifest]") == 0
    assert "Open this page from a server" in tab.text("#kept-copy")
