"""Python in the browser starts, answers, fails in words and comes back. A stand-in for `calc` misbehaves on request."""

import base64
import gzip
import json
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from site_demo.build import SCRIPTS, bundle
from site_demo.payload import pack, packed, script_text
from site_demo.setup_env import NODE_MODULES

from .chromium import ChromiumTab
from .conftest import BOTH, Browsers
from .served import served
from .tab import Tab

STARTED = "['ready', 'failed'].includes(document.documentElement.dataset.calc)"
PARTS = Path(__file__).with_name("runtime")


@pytest.fixture(scope="session")
def probe(site: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A site of one page, under the worksheet's own policy, with the stand-in inside its payload."""
    folder = tmp_path_factory.mktemp("runtime")
    worksheet = (site / "worksheet.html").read_text("utf-8")
    policy = re.search(r'<meta http-equiv="Content-Security-Policy"[^>]*>', worksheet)
    assert policy
    (folder / "index.html").write_text(
        f'<!doctype html><html lang="en"><meta charset="utf-8">{policy[0]}<link rel="icon" href="data:,">'
        '<title>Runtime</title><script defer src="probe.js"></script>',
        encoding="utf-8",
    )
    bundle(PARTS / "probe.js", folder / "probe.js", "--format=iife")
    shutil.copyfile(SCRIPTS / "python-start.js", folder / "python-start.js")
    name = json.loads((SCRIPTS / "python.json").read_text("utf-8"))["program"]
    pack(PARTS / "calc", folder, name=name, requests=['{"do": "echo"}'])
    return folder


@pytest.fixture(scope="session")
def probe_bases(probe: Path) -> Iterator[dict[str, str]]:
    """Its address by scheme."""
    with served(probe) as address:
        yield {"file": probe.as_uri() + "/", "http": address}


@pytest.fixture
def probe_tab(tab: Tab, probe_bases: dict[str, str]) -> Tab:
    """A tab in each browser and scheme, on that site."""
    tab.base = probe_bases[tab.base.partition(":")[0]]
    return tab


@pytest.fixture(scope="module", params=["chromium", "firefox"])
def running_tab(
    request: pytest.FixtureRequest, browsers: Browsers, probe_bases: dict[str, str], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Tab]:
    """A tab in which Python has started, for all that leaves it as it was."""
    tab = browsers[request.param].tab(base=probe_bases["file"], downloads=tmp_path_factory.mktemp("downloads"))
    assert start(tab) == "ready"
    yield tab
    tab.close()


@pytest.fixture
def running(running_tab: Tab) -> Iterator[Tab]:
    """That tab for one test, which must leave no complaint."""
    yield running_tab
    complaints = running_tab.complaints()
    running_tab.forget()
    assert not complaints, "\n".join(complaints)


@pytest.fixture
def probe_chromium(chromium_tab: ChromiumTab, probe_bases: dict[str, str]) -> ChromiumTab:
    """A tab in Chromium alone, on that site, from its folder."""
    chromium_tab.base = probe_bases["file"]
    return chromium_tab


Spoil = Callable[..., str]


@pytest.fixture
def spoiled(probe: Path, tmp_path: Path) -> Spoil:
    """A copy of that site with other files, or without them (None); gives the address of its page."""

    def spoil(**files: str | None) -> str:
        copy = tmp_path / "spoiled"
        shutil.copytree(probe, copy)
        for part, text in files.items():
            file = copy / f"python-{part}.js"
            file.unlink()
            if text is not None:
                file.write_text(text, encoding="utf-8")
        return (copy / "index.html").as_uri()

    return spoil


def text_of(probe: Path, part: str) -> str:
    """The script of a part of the payload."""
    return (probe / f"python-{part}.js").read_text("ascii")


def parts_of(probe: Path, part: str) -> dict[str, str]:
    """What it adds to the payload."""
    parts: dict[str, str] = json.loads(text_of(probe, part).partition(",")[2].removesuffix(");\n"))
    return parts


def outcome(tab: Tab, promise: str) -> Any:
    """What came of a promise in the page."""
    return tab.evaluate(f"outcome({promise})")


def start(tab: Tab, address: str | None = None) -> str:
    """Open the page and wait until Python has started or failed; gives which."""
    if address:
        tab.goto(address)
    else:
        tab.open("index.html")
    tab.wait_for(STARTED, timeout_s=90)
    return str(tab.evaluate("document.documentElement.dataset.calc"))


def failure(tab: Tab, address: str) -> dict[str, str]:
    """The last phase of a start that has to fail; what the browser complained of is then forgotten."""
    assert start(tab, address) == "failed"
    said = tab.evaluate("phases.at(-1)")
    assert said["phase"] == "failed"
    assert outcome(tab, "python.ready")["trouble"] == said["text"]
    assert outcome(tab, "python.call({do: 'hello'})")["trouble"] == said["text"]
    tab.forget()
    return dict(said)


def started_from(tab: Tab) -> str:
    """What Python has started from."""
    return str(tab.evaluate("document.documentElement.dataset.start"))


def test_python_starts_and_says_how_far_it_is(probe_tab: Tab) -> None:
    assert start(probe_tab) == "ready"
    phases = probe_tab.evaluate("phases.map(({phase}) => phase)")
    assert phases == ["reading", "unpacking", "starting", "ready"]
    assert started_from(probe_tab) == "snapshot"
    assert outcome(probe_tab, "python.ready") == {"value": {"version": "test"}}


@BOTH
def test_without_its_snapshot_it_starts_from_nothing(probe_tab: Tab, spoiled: Spoil) -> None:
    assert start(probe_tab, spoiled(snapshot=None)) == "ready"
    phases = probe_tab.evaluate("phases.map(({phase}) => phase)")
    # It may have begun to unpack what was there.
    last = [phase for at, phase in enumerate(phases) if phase not in phases[at + 1 :]]
    assert last == ["reading", "unpacking", "starting", "loading", "ready"]
    assert started_from(probe_tab) == "cold"
    assert outcome(probe_tab, "python.call({do: 'echo', n: 1})") == {"value": {"do": "echo", "n": 1}}
    # That the file is missing is told on the console, and does no harm.
    probe_tab.forget()


@pytest.mark.parametrize("how", ["cut short", "damaged", "of another program", "of another pyodide"])
def test_a_snapshot_that_does_not_serve_is_left(probe_chromium: ChromiumTab, probe: Path, spoiled: Spoil, how: str) -> None:
    text, parts = text_of(probe, "snapshot"), parts_of(probe, "snapshot")
    memory = bytearray(gzip.decompress(base64.b64decode(parts["snapshot"])))
    # Pyodide's mark of the build that a snapshot is of.
    memory[16] ^= 1
    bad = {
        "cut short": text[: len(text) // 2],
        "damaged": script_text({**parts, "snapshot": parts["snapshot"][: len(parts["snapshot"]) // 8 * 4]}),
        "of another program": script_text({**parts, "snapshotOf": "0"}),
        "of another pyodide": script_text({**parts, "snapshot": packed(bytes(memory))}),
    }
    assert start(probe_chromium, spoiled(snapshot=bad[how])) == "ready"
    assert started_from(probe_chromium) == "cold"
    assert outcome(probe_chromium, "python.call({do: 'echo', n: 1})") == {"value": {"do": "echo", "n": 1}}
    probe_chromium.forget()


def test_questions_wait_while_it_starts_a_second_time(probe_chromium: ChromiumTab, probe: Path, spoiled: Spoil) -> None:
    parts = parts_of(probe, "snapshot")
    half = parts["snapshot"][: len(parts["snapshot"]) // 8 * 4]
    probe_chromium.goto(spoiled(snapshot=script_text({**parts, "snapshot": half})))
    assert outcome(probe_chromium, "python.call({do: 'echo', n: 1})") == {"value": {"do": "echo", "n": 1}}
    assert started_from(probe_chromium) == "cold"
    probe_chromium.forget()


@BOTH
def test_what_the_snapshot_lacks_is_there_after_a_second_start(probe_tab: Tab) -> None:
    start(probe_tab)
    refused = outcome(probe_tab, "python.call({do: 'late'})")
    assert refused["trouble"] == "Python stopped while it was calculating. It is being started again."
    probe_tab.wait_for(STARTED, timeout_s=90)
    assert started_from(probe_tab) == "cold"
    assert outcome(probe_tab, "python.call({do: 'late'})") == {"value": {"late": "wave"}}


@BOTH
def test_a_restored_python_draws_numbers_of_its_own(probe_tab: Tab) -> None:
    drawn = set()
    for _ in range(2):
        start(probe_tab)
        assert started_from(probe_tab) == "snapshot"
        drawn.add(outcome(probe_tab, "python.call({do: 'random'})")["value"]["drawn"])
    assert len(drawn) == 2


@BOTH
def test_it_is_not_ready_before_python_has_answered(probe_tab: Tab) -> None:
    probe_tab.open("index.html")
    # Asked at once, answered after "ready" and not before.
    first = probe_tab.evaluate(
        "python.call({do: 'echo'}).then(() => [document.documentElement.dataset.calc, phases.at(-1).phase])"
    )
    assert first == ["ready", "ready"]


def test_questions_are_answered_each_its_own(running: Tab) -> None:
    answers = running.evaluate("Promise.all([1, 2, 3].map(n => python.call({do: 'echo', n})))")
    assert [answer["n"] for answer in answers] == [1, 2, 3]


def test_text_of_every_kind_comes_back_unchanged(running: Tab) -> None:
    text = "4.5° before − ≤ \u2028 \u0000 </script> 𝄞"
    assert outcome(running, f"python.call({json.dumps({'do': 'echo', 'text': text})})")["value"]["text"] == text


def test_only_the_newest_question_of_a_kind_waits(running: Tab) -> None:
    answers = running.evaluate(
        """Promise.all([
            ...[1001, 1002, 1003, 1004].map(to => python.callLatest("assess", {do: "count", to})),
            python.callLatest("other", {do: "count", to: 1005}),
            python.call({do: "count", to: 1006}),
        ])"""
    )
    assert [answer and answer["counted"] for answer in answers] == [1001, None, None, 1004, 1005, 1006]


@pytest.mark.parametrize(("do", "detail"), [("raise", "ValueError: raised on request"), ("nan", "JSON")])
def test_a_wrong_answer_is_told_and_python_lives_on(running: Tab, do: str, detail: str) -> None:
    result = outcome(running, f"python.call({{do: '{do}'}})")
    assert result["known"]
    assert result["trouble"].startswith("The calculation stopped on these entries. What you typed is kept.")
    assert detail in result["detail"]
    assert outcome(running, "python.call({do: 'echo'})") == {"value": {"do": "echo"}}


@BOTH
def test_python_that_has_died_is_started_again(probe_tab: Tab) -> None:
    start(probe_tab)
    results = probe_tab.evaluate("Promise.all([{do: 'die'}, {do: 'echo'}].map(request => outcome(python.call(request))))")
    for result in results:
        assert result["trouble"] == "Python stopped while it was calculating. It is being started again."
    probe_tab.wait_for(STARTED, timeout_s=90)
    assert outcome(probe_tab, "python.call({do: 'echo'})") == {"value": {"do": "echo"}}
    probe_tab.forget()


def test_python_that_dies_again_and_again_is_given_up(probe_chromium: ChromiumTab) -> None:
    tab = probe_chromium
    start(tab)
    for _ in range(4):
        outcome(tab, "python.call({do: 'die'})")
        tab.wait_for(STARTED, timeout_s=90)
    said = tab.evaluate("phases.at(-1)")
    assert (said["phase"], said["text"].split(".")[0]) == ("failed", "Python has stopped 4 times")
    assert outcome(tab, "python.call({do: 'echo'})")["trouble"] == said["text"]
    tab.forget()


@BOTH
def test_stopping_and_restarting(probe_tab: Tab) -> None:
    start(probe_tab)
    stopped = probe_tab.evaluate(
        "(() => { const open = outcome(python.call({do: 'count', to: 1e9})); python.stop(); return open; })()"
    )
    assert stopped["trouble"] == "Python was stopped."
    assert outcome(probe_tab, "python.call({do: 'echo'})")["trouble"] == "Python was stopped."
    assert outcome(probe_tab, "python.restart()") == {"value": {"version": "test"}}
    assert outcome(probe_tab, "python.call({do: 'echo'})") == {"value": {"do": "echo"}}


@pytest.mark.parametrize("part", ["payload", "library", "program"])
def test_a_missing_file(probe_chromium: ChromiumTab, spoiled: Spoil, part: str) -> None:
    said = failure(probe_chromium, spoiled(snapshot=None, **{part: None}))
    assert said["text"] == "The Python file is missing. Copy the whole site folder again, with all its files."
    assert said["detail"].endswith(f"/python-{part}.js")


@BOTH
def test_a_file_cut_short(probe_tab: Tab, probe: Path, spoiled: Spoil) -> None:
    text = text_of(probe, "payload")
    said = failure(probe_tab, spoiled(payload=text[: len(text) // 2]))
    assert said["text"] == "The Python file is damaged. Copy the whole site folder again."


@pytest.mark.parametrize("part", ["wasm", "asm", "stdlib", "calc", "lock"])
def test_a_file_with_a_damaged_part(probe_chromium: ChromiumTab, probe: Path, spoiled: Spoil, part: str) -> None:
    file = {"stdlib": "library", "calc": "program"}.get(part, "payload")
    parts = parts_of(probe, file)
    parts[part] = parts[part][: len(parts[part]) // 8 * 4]
    said = failure(probe_chromium, spoiled(**{"snapshot": None, file: script_text(parts)}))
    assert said["text"].startswith("Python did not start in this browser. What you typed is kept.")
    assert said["detail"]


def test_a_program_of_another_version(probe_chromium: ChromiumTab, probe: Path, spoiled: Spoil) -> None:
    other = script_text({**parts_of(probe, "program"), "calcOf": "0"})
    said = failure(probe_chromium, spoiled(snapshot=None, program=other))
    assert said["text"] == "The Python file is of another version of this site. Copy the whole site folder again."


def test_a_pyodide_of_another_version(probe_chromium: ChromiumTab, probe: Path, spoiled: Spoil) -> None:
    other = script_text({**parts_of(probe, "payload"), "pyodide": "0.0.1"})
    said = failure(probe_chromium, spoiled(payload=other))
    version = json.loads((NODE_MODULES / "pyodide" / "package.json").read_text("utf-8"))["version"]
    assert said["detail"] == f"the payload holds pyodide 0.0.1, the worksheet needs {version}"


@pytest.mark.parametrize(
    ("script", "words"),
    [
        ("delete globalThis.DecompressionStream", "This browser cannot unpack the Python file"),
        ("delete globalThis.WebAssembly", "This browser cannot run WebAssembly"),
        ("delete globalThis.Worker", "This browser has no workers"),
        ("globalThis.Worker = class { constructor() { throw new Error('no') } }", "This browser refused to start"),
    ],
)
def test_a_browser_that_lacks_something(probe_chromium: ChromiumTab, probe: Path, script: str, words: str) -> None:
    probe_chromium.run_before_pages(script)
    said = failure(probe_chromium, (probe / "index.html").as_uri())
    assert said["text"].startswith(words)


def test_a_worker_that_the_policy_forbids(probe_chromium: ChromiumTab, spoiled: Spoil) -> None:
    address = spoiled(snapshot=None)
    page = Path(address.removeprefix("file://"))
    page.write_text(page.read_text("utf-8").replace("worker-src 'self' data:", "worker-src 'self'"), "utf-8")
    said = failure(probe_chromium, address)
    # Which of the two the browser notices first does not matter: both are told.
    assert said["text"].startswith(("This browser refused", "Python did not start", "The Python file is missing"))
