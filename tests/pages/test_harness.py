"""The test tools themselves: a page that misbehaves must be caught, in every browser and scheme."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from . import finding
from .chromium import ChromiumTab
from .conftest import BOTH, Browsers
from .served import served
from .tab import Tab

PAGE = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Probe</title>
<meta name="viewport" content="width=device-width"><link rel="icon" href="data:,">
<script src="probe.js"></script></head><body><main><h1>Probe</h1>
<label>Text <input id="text" value="before"></label>
<label>Choice <select id="choice"><option>one</option><option value="2">two</option></select>
</label>
<label>File <input id="file" type="file"></label>
<a id="save" href="#">Save</a> <button id="ask">Ask</button>
</main></body></html>"""

SCRIPT = """
window.keys = [];
document.addEventListener("keydown", event => window.keys.push(event.key));
document.addEventListener("click", event => {
  if (event.target.id === "ask") window.answer = confirm("Go on?");
  if (event.target.id === "save") {
    const blob = new Blob(['{"units": 6}'], {type: "application/json"});
    event.target.href = URL.createObjectURL(blob);
    event.target.download = "job.json";
  }
});
"""

# A worker as the site starts its own: a module from a `data:` address.
CALLING_WORKER = """new Promise(resolve => {
  const code = `fetch("http://outside.example/from-worker").catch(() => postMessage(1))`;
  const worker = new Worker("data:text/javascript," + encodeURIComponent(code), {type: "module"});
  worker.onmessage = () => resolve(true);
})"""


@pytest.fixture(scope="module")
def probe_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("probe")
    (folder / "index.html").write_text(PAGE, "utf-8")
    (folder / "probe.js").write_text(SCRIPT, "utf-8")
    return folder


@pytest.fixture(scope="module")
def bases(probe_folder: Path) -> Iterator[dict[str, str]]:
    """In place of the site's: these tests need none."""
    with served(probe_folder) as address:
        yield {"file": probe_folder.as_uri() + "/", "http": address}


def test_a_sound_page_has_no_complaints(tab: Tab) -> None:
    tab.open("index.html")
    assert tab.complaints() == []
    assert tab.text("h1") == "Probe"
    assert tab.attribute("#save", "href") == "#"
    assert tab.attribute("#save", "download") is None
    assert "<h1>Probe</h1>" in tab.html()


def test_every_kind_of_complaint_is_seen(tab: Tab) -> None:
    tab.open("index.html")
    tab.evaluate("void console.error('wrong here')")
    tab.evaluate("void setTimeout(() => { throw new Error('thrown here') })")
    tab.evaluate("fetch('http://outside.example/from-page').catch(() => 0)")
    tab.evaluate(CALLING_WORKER)
    seen = "\n".join(tab.complaints())
    assert "console error: wrong here" in seen
    assert "thrown here" in seen
    assert "request out of the site: http://outside.example/from-page" in seen
    assert "request out of the site: http://outside.example/from-worker" in seen
    assert "failed request: http://outside.example/from-page" in seen
    tab.forget()
    assert tab.complaints() == []


@BOTH
def test_messages_keep_their_kind(tab: Tab) -> None:
    tab.open("index.html")
    tab.evaluate("void (console.log('a'), console.warn('b'))")
    assert [(line.kind, line.text) for line in tab.messages] == [("log", "a"), ("warning", "b")]


def test_the_strict_file_policy_is_on(tab: Tab) -> None:
    """A page from a folder may not read its neighbours; one from a server may."""
    tab.open("index.html")
    outcome = tab.evaluate("fetch('probe.js').then(answer => answer.status, () => 'refused')")
    module = tab.evaluate("import('./probe.js').then(() => 'imported', () => 'refused')")
    from_folder = tab.base.startswith("file:")
    assert outcome == ("refused" if from_folder else 200)
    assert module == ("refused" if from_folder else "imported")
    tab.forget()


def test_what_the_server_lacks_is_a_failure(browsers: Browsers, bases: dict[str, str], tmp_path: Path) -> None:
    for name in ("chromium", "firefox"):
        tab = browsers[name].tab(base=bases["http"], downloads=tmp_path)
        tab.open("index.html")
        tab.evaluate("fetch('missing.js').then(() => 0)")
        assert any("missing.js (status 404)" in text for text in tab.complaints()), name
        tab.close()


@BOTH
def test_keys_are_real(tab: Tab) -> None:
    tab.open("index.html")
    tab.fill("#text", "4,5° before −")
    assert tab.value("#text") == "4,5° before −"
    assert "4" in tab.evaluate("window.keys")
    tab.press("Tab")
    assert tab.evaluate("document.activeElement.id") == "choice"
    tab.press("Shift+Tab")
    assert tab.evaluate("document.activeElement.id") == "text"
    tab.fill("#text", "")
    assert tab.value("#text") == ""
    tab.select("#choice", "2")
    assert tab.value("#choice") == "2"


@BOTH
def test_files_go_in_and_out(tab: Tab, tmp_path: Path) -> None:
    job = tmp_path / "given.json"
    job.write_text("{}", "utf-8")
    tab.open("index.html")
    tab.upload("#file", job)
    assert tab.evaluate("document.querySelector('#file').files[0].name") == "given.json"
    saved = tab.download("#save")
    assert saved.name == "job.json"
    assert json.loads(saved.read_text("utf-8")) == {"units": 6}


@BOTH
def test_dialogs_are_answered_and_kept(tab: Tab) -> None:
    tab.open("index.html")
    tab.click("#ask")
    tab.wait_for("window.answer === true")
    assert tab.dialogs == ["Go on?"]


def test_every_tab_starts_with_an_empty_memory(browsers: Browsers, bases: dict[str, str], tmp_path: Path) -> None:
    for name in ("chromium", "firefox"):
        for _ in range(2):
            tab = browsers[name].tab(base=bases["http"], downloads=tmp_path)
            tab.open("index.html")
            assert tab.evaluate("localStorage.getItem('kept')") is None, name
            tab.evaluate("void localStorage.setItem('kept', 'yes')")
            tab.open("index.html")
            assert tab.evaluate("localStorage.getItem('kept')") == "yes", name
            tab.close()


@BOTH
def test_waiting_in_vain_says_for_what(tab: Tab) -> None:
    tab.open("index.html")
    with pytest.raises(AssertionError, match=r"still not so: window\.never\.comes"):
        tab.wait_for("window.never.comes", timeout_s=0.05)


@BOTH
def test_pictures_and_paper_are_saved(tab: Tab, tmp_path: Path) -> None:
    tab.set_viewport(390)
    tab.open("index.html")
    assert tab.evaluate("innerWidth") == 390
    tab.screenshot(tmp_path / "page.png")
    tab.pdf(tmp_path / "page.pdf")
    assert (tmp_path / "page.png").read_bytes().startswith(b"\x89PNG")
    assert (tmp_path / "page.pdf").read_bytes().startswith(b"%PDF")


@BOTH
def test_axe_finds_what_is_wrong(tab: Tab) -> None:
    tab.open("index.html")
    assert tab.axe() == []
    tab.evaluate("void document.querySelector('main').append(document.createElement('img'))")
    assert [one.rule for one in tab.axe()] == ["image-alt"]
    assert tab.axe(colours_alone=True) == []
    tab.evaluate("void (document.querySelector('h1').style.cssText = 'color: #ddd; background: #fff')")
    assert [one.rule for one in tab.axe(colours_alone=True)] == ["color-contrast"]


def test_emulation_reaches_the_page(chromium_tab: ChromiumTab) -> None:
    chromium_tab.emulate(dark=True, reduced_motion=True, forced_colors=True, paper=True)
    chromium_tab.open("index.html")
    for query in (
        "(prefers-color-scheme: dark)",
        "(prefers-reduced-motion: reduce)",
        "(forced-colors: active)",
        "print",
    ):
        assert chromium_tab.evaluate(f"matchMedia('{query}').matches"), query


def test_a_missing_program_names_the_command_that_mends_it(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    for variable in ("PLAYWRIGHT_CHROMIUM_EXECUTABLE", "FIREFOX_EXECUTABLE"):
        monkeypatch.delenv(variable, raising=False)
    with pytest.raises(finding.Missing, match="apt-get install -y chromium"):
        finding.chromium(str(tmp_path / "none"))
    with pytest.raises(finding.Missing, match="apt-get install -y firefox-esr"):
        finding.firefox()
    monkeypatch.setenv("FIREFOX_EXECUTABLE", str(tmp_path / "none"))
    with pytest.raises(finding.Missing, match="FIREFOX_EXECUTABLE names"):
        finding.firefox()
