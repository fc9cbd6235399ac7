"""Fixtures of the page tests. What is missing fails with its remedy; nothing skips."""

import shutil
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from functools import partial
from pathlib import Path

import pytest

from . import built, finding
from .chromium import Chromium, ChromiumTab
from .firefox import Firefox
from .served import served
from .tab import Browser, Person, Profile, Tab

_BROWSERS: dict[str, Callable[[], Browser]] = {"chromium": partial(Chromium, compiles_once=True), "firefox": Firefox}


# Where a behaviour could differ, it is tried. Above a test with `tab` or `desk`; without one of these, all four.
def _on(name: str, *combinations: str) -> pytest.MarkDecorator:
    return pytest.mark.parametrize(name, combinations, indirect=True)


# What JavaScript, Python or the page's own markup decides, and no browser.
ONE = _on("tab", "chromium-file")
# What a browser decides: keys, focus, layout, files, storage, the end of a worker.
BOTH = _on("tab", "chromium-file", "firefox-file")
# Each browser and each scheme at least once; the whole job (`test_job.py`) goes by the other two ways.
CROSSED = _on("tab", "chromium-http", "firefox-file")
CROSSED_TABS = _on("new_tab", "chromium-http", "firefox-file")
CROSSED_DESKS = _on("desk", "chromium-http", "firefox-file")


class Browsers:
    """The running browsers of this session, each started when first asked for."""

    def __init__(self) -> None:
        self._running: dict[str, Browser] = {}
        self._missing: dict[str, str] = {}

    def __getitem__(self, name: str) -> Browser:
        if name in self._missing:
            pytest.fail(self._missing[name], pytrace=False)
        if name not in self._running:
            try:
                self._running[name] = _BROWSERS[name]()
            except finding.Missing as missing:
                self._missing[name] = str(missing)
                pytest.fail(str(missing), pytrace=False)
        return self._running[name]

    def close(self) -> None:
        """End them all, even when one does not end well."""
        with ExitStack() as stack:
            for browser in self._running.values():
                stack.callback(browser.close)


@pytest.fixture(scope="session")
def browsers() -> Iterator[Browsers]:
    """The browsers by name."""
    running = Browsers()
    yield running
    running.close()


@pytest.fixture(scope="session")
def site() -> Path:
    """The folder of the built site."""
    try:
        return built.folder()
    except finding.Missing as missing:
        pytest.fail(str(missing), pytrace=False)


@pytest.fixture(scope="session")
def bases(site: Path) -> Iterator[dict[str, str]]:
    """The site's address by scheme: from its folder, and from a server on this machine."""
    with served(site) as address:
        yield {"file": site.as_uri() + "/", "http": address}


@pytest.fixture(params=["chromium-file", "chromium-http", "firefox-file", "firefox-http"])
def tab(request: pytest.FixtureRequest, browsers: Browsers, bases: dict[str, str], tmp_path: Path) -> Iterator[Tab]:
    """A tab in a fresh profile, once for each browser and scheme.

    A test also fails when the page complained of anything during it. One that provokes complaints
    looks at them, then calls `tab.forget()`.
    """
    browser, scheme = request.param.split("-")
    yield from _sound_tab(browsers[browser], bases[scheme], tmp_path)


class Desk:
    """One person's browser for a whole test: its tabs share a profile, and it comes back after it was killed."""

    def __init__(self, browser: Browser, *, base: str, folder: Path) -> None:
        self._browser = browser
        self._base = base
        self._folder = folder
        self._profile: Profile = browser.profile(folder)

    def tab(self) -> Tab:
        """Another tab, beside those that are open."""
        return self._profile.tab(base=self._base, downloads=self._folder)

    def kill_and_come_back(self) -> float:
        """End the browser's processes at once and start it again on the same profile. Returns: when they were ended."""
        when = self._profile.kill()
        self._profile = self._browser.profile(self._folder)
        return when

    def close(self) -> None:
        """End the browser."""
        self._profile.close()


@pytest.fixture(params=["chromium-file", "chromium-http", "firefox-file", "firefox-http"])
def desk(request: pytest.FixtureRequest, browsers: Browsers, bases: dict[str, str], tmp_path: Path) -> Iterator[Desk]:
    """A browser that can be killed and comes back, once for each browser and scheme: where `new_tab` is not enough."""
    browser, scheme = request.param.split("-")
    opened = Desk(browsers[browser], base=bases[scheme], folder=tmp_path / "profile")
    yield opened
    opened.close()


NewTab = Callable[[], Tab]


@pytest.fixture(params=["chromium-file", "chromium-http", "firefox-file", "firefox-http"])
def new_tab(request: pytest.FixtureRequest, browsers: Browsers, bases: dict[str, str], tmp_path: Path) -> Iterator[NewTab]:
    """Opens tabs that share a fresh profile, once for each browser and scheme."""
    browser, scheme = request.param.split("-")
    downloads = tmp_path / "downloads"
    downloads.mkdir()
    person: Person = browsers[browser].person(downloads)
    yield lambda: person.tab(base=bases[scheme], downloads=downloads)
    person.close()


@pytest.fixture
def chromium_tab(browsers: Browsers, bases: dict[str, str], tmp_path: Path) -> Iterator[ChromiumTab]:
    """As `tab`, from the folder in Chromium alone: for looks, paper and weight."""
    for tab in _sound_tab(browsers["chromium"], bases["file"], tmp_path):
        assert isinstance(tab, ChromiumTab)
        yield tab


@pytest.fixture
def tab_without_python(browsers: Browsers, site: Path, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Tab]:
    """A tab on a copy of the site from which Python's file is missing."""
    folder = tmp_path / "without"
    shutil.copytree(site, folder)
    (folder / "generated" / "app" / "python-payload.js").unlink()
    downloads = tmp_path / "downloads"
    downloads.mkdir()
    tab = browsers[request.param].tab(base=folder.as_uri() + "/", downloads=downloads)
    yield tab
    tab.close()


def _sound_tab(browser: Browser, base: str, tmp_path: Path) -> Iterator[Tab]:
    downloads = tmp_path / "downloads"
    downloads.mkdir()
    opened = browser.tab(base=base, downloads=downloads)
    try:
        yield opened
        complaints = opened.complaints()
    finally:
        opened.close()
    assert not complaints, "\n".join(complaints)
