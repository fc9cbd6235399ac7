"""Measurements in Chromium: starting, calculating, and the weight of a page."""

import inspect
import io
import json
import statistics
import tempfile
import time
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from site_demo.measured import Figure
from tests.pages import built, finding
from tests.pages.chromium import Chromium, ChromiumTab
from tests.pages.served import served
from tests.pages.weight import script_and_style_bytes

from . import keystrokes, timed
from .engine import UNITS, twelve_unit_job

# As a page would be written that knows nothing of workers or folders.
_BARE_PAGE = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Bare</title>
<link rel="icon" href="data:,"></head><body><script type="module">
import { loadPyodide } from "./pyodide/pyodide.mjs";
globalThis.python = await loadPyodide();
globalThis.answer = globalThis.python.runPython("1 + 1");
globalThis.doneAt = performance.now();
</script></body></html>"""

# Asks for the demo as soon as the page stands, and notes when the findings are there.
_ASK_FOR_DEMO = """
let asked = false;
function look() {
  const button = document.querySelector("#show-demo");
  if (!asked && document.readyState === "complete" && button && !button.disabled) {
    asked = true;
    button.click();
  }
  if (asked && !globalThis.doneAt
      && document.querySelector("#findings[data-verdict] [data-unit][data-verdict]")) {
    globalThis.doneAt = performance.now();
  }
}
addEventListener("load", () => setTimeout(look));
new MutationObserver(look).observe(document, {
  childList: true, subtree: true, attributeFilter: ["data-verdict", "disabled"],
});
"""

# Notes when the worker says that a part of starting has begun.
_WATCH_WORKER = """
globalThis.parts = {};
globalThis.Worker = class extends Worker {
  constructor(...given) {
    super(...given);
    parts.page = performance.now();
    this.addEventListener("message", ({ data }) => (parts[data.phase ?? data.kind] ??= performance.now()));
  }
};
"""
# What takes from each of these to the next.
_PARTS = {
    "page": "The page until it asks for Python",
    "unpacking": "Two workers come to life and get Python's files; the page draws the form meanwhile",
    "starting": "They unpack the WebAssembly and compile it",
    "ready": "One worker makes an instance of it, the other unpacks the snapshot; then Python gets its memory back and answers",
    "done": "Python judges the demo, and the page shows it",
}

# The served site has kept all its files in the browser.
_IS_WHOLE = "document.querySelector('#kept-copy').dataset.phase === 'whole'"
# Seconds until a browser that was just started, or a page that was closed, leaves the machine alone.
_AT_REST_S = 1.5

# Notes when the form's first field can be typed in: it comes into the page with all that listens to it; then a frame is drawn.
_FIRST_FIELD = """
const watching = new MutationObserver(() => {
  const first = document.querySelector("#sheet .ws-form input[type=text]");
  if (!first || first.disabled) return;
  watching.disconnect();
  requestAnimationFrame(() => setTimeout(() => (globalThis.doneAt = performance.now())));
});
watching.observe(document, { childList: true, subtree: true });
"""

# Goes to a blank form, then opens the kept job; a frame after that in which it was drawn, it is painted.
_OPEN_FROM_LIST = """(async () => {
  const until = async (is) => { while (!is()) await new Promise((go) => setTimeout(go, 1)); };
  const last = () => document.querySelector('[name="readings/12/as_left/spill_opening/ahead/crank_angle_deg"]');
  const frame = () => new Promise((go) => requestAnimationFrame(go));
  document.querySelector("#new-job").click();
  await until(() => !last() && document.querySelector("#jobs [data-act=Open]"));
  await new Promise((go) => setTimeout(go, 500));
  const begun = performance.now();
  document.querySelector("#jobs [data-act=Open]").click();
  await new Promise((go) => {
    const look = () => (last()?.value ? go() : setTimeout(look));
    look();
  });
  await frame();
  await frame();
  return performance.now() - begun;
})()"""


def starts(site: Path, *, runs: int) -> Iterator[Figure]:
    """How quickly the worksheet is there: the first time from its folder, the second time from a server, and to type in."""
    worksheet = built.page(site, "worksheet")
    first, again, bare, typed = [], [], [], []
    with _bare_folder() as folder, served(folder) as bare_address, served(site) as address:
        # In turn, so that a busy spell of the machine hits all of them.
        for _ in range(runs):
            bare.append(_done_at_s(bare_address + "index.html"))
            first.append(_done_at_s(f"{site.as_uri()}/{worksheet}", script=_ASK_FOR_DEMO))
            with _fresh_tab(address) as tab:
                tab.run_before_pages(_ASK_FOR_DEMO)
                # As somebody comes back later: the app has all its files, the page before was closed, the browser was not.
                _finished_s(tab, address + worksheet)
                tab.goto(address + built.page(site, "look-up/app"))
                tab.wait_for(_IS_WHOLE, timeout_s=120)
                tab.goto("about:blank")
                time.sleep(_AT_REST_S)
                again.append(_finished_s(tab, address + worksheet))
            typed.append(_typing_possible_s(f"{site.as_uri()}/{worksheet}"))
    bare_s = statistics.median(bare)
    beside = (
        f"over a bare loadPyodide over http on the page's thread to its first result, median {bare_s:.2f} s "
        f"({_list(bare)}); Chromium, in turn, each browser at rest for {_AT_REST_S} s before"
    )
    for name, goal, times, what in (
        ("start_file_ratio", 0.40, first, "worksheet from file:// in a fresh profile"),
        (
            "start_again_ratio",
            0.30,
            again,
            "worksheet from a server on this machine, next visit once the app has its files,",
        ),
    ):
        median = statistics.median(times)
        yield Figure(
            name=name,
            value=median / bare_s,
            unit="",
            goal=goal,
            how=f"{what} to the demo's verdict, median {median:.2f} s ({_list(times)}), {beside}",
        )
    yield Figure(
        name="typing_possible_s",
        value=statistics.median(typed),
        unit="s",
        goal=0.3,
        how="worksheet from file:// in a fresh profile: from its opening until a frame is drawn with its first field, "
        f"median of {runs} ({_list(typed)}); Chromium",
    )


def parts_of_start(site: Path, *, runs: int) -> str:
    """Where the time of a start goes, in words."""
    address = f"{site.as_uri()}/{built.page(site, 'worksheet')}"
    seen = []
    for _ in range(runs):
        with _fresh_tab(address) as tab:
            tab.run_before_pages(_WATCH_WORKER + _ASK_FOR_DEMO)
            _finished_s(tab, address)
            seen.append(json.loads(tab.evaluate("JSON.stringify({ ...parts, done: doneAt })")))
    at = [statistics.median(each[part] for each in seen) for part in _PARTS]
    took = (f"{what}: {end - begin:.0f} ms." for what, begin, end in zip(_PARTS.values(), [0.0, *at], at, strict=False))
    return f"Where a start from file:// goes, median of {runs}. {' '.join(took)}"


def memory(site: Path) -> Figure:
    """What the worksheet's process holds with the demo on show."""
    browser = Chromium()
    try:
        with tempfile.TemporaryDirectory() as downloads:
            tab = browser.tab(base=site.as_uri() + "/", downloads=Path(downloads))
            empty = max(map(_own_bytes, browser.processes("renderer")))
            tab.run_before_pages(_ASK_FOR_DEMO)
            _finished_s(tab, f"{site.as_uri()}/{built.page(site, 'worksheet')}")
            # What was only needed to start is given back in a while.
            tab.evaluate("new Promise((go) => setTimeout(go, 10000))")
            held = max(map(_own_bytes, browser.processes("renderer")))
    finally:
        browser.close()
    return Figure(
        name="page_memory_mb",
        value=(held - empty) / 1e6,
        unit="MB",
        goal=200.0,
        how="worksheet from file:// with the demo's findings for 10 s: what its process holds alone (private memory), less "
        f"that of an empty page ({empty / 1e6:.0f} MB); Chromium on Linux",
    )


def _own_bytes(process: int) -> int:
    lines = Path(f"/proc/{process}/smaps_rollup").read_text("ascii").splitlines()
    return sum(int(line.split()[1]) * 1024 for line in lines if line.startswith(("Private_Clean", "Private_Dirty")))


def assess_in_browser(*, calc: Path) -> list[Figure]:
    """The calculation in the browser's Python."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for file in sorted(calc.rglob("*.py")):
            archive.write(file, file.relative_to(calc.parent))
    with _bare_folder() as folder, served(folder) as address, _fresh_tab(address) as tab:
        (folder / "calc.zip").write_bytes(packed.getvalue())
        tab.open("index.html")
        tab.wait_for("globalThis.doneAt", timeout_s=120)
        tab.evaluate(
            f"""fetch("calc.zip").then(answer => answer.arrayBuffer()).then(bytes => {{
                python.FS.writeFile("/calc.zip", new Uint8Array(bytes));
                python.globals.set("job_text", {json.dumps(twelve_unit_job())});
                python.runPython({json.dumps(inspect.getsource(timed))});
                python.runPython("import sys; sys.path.insert(0, '/calc.zip')");
            }})"""
        )
        version = tab.evaluate("python.runPython('sys.version.split()[0]')")
        calibration = float(tab.evaluate("python.runPython('calibration_ms()')"))
        median = float(tab.evaluate("python.runPython('assess_ms(job_text)')"))
    return [
        Figure(
            name="assess_12_browser_ms",
            value=median,
            unit="ms",
            goal=16.0,
            how=f"calc.assess of a 12-unit job with lift table, median of 31, Python {version} of "
            f"pyodide in Chromium; beside a calibration loop of {calibration:.1f} ms",
        ),
        Figure(
            name="calibration_browser_ms",
            value=calibration,
            unit="ms",
            goal=None,
            how=f"100 000 floating-point steps, median of 11, Python {version} of pyodide in Chromium",
        ),
    ]


def open_job(site: Path, *, runs: int) -> Figure:
    """From the press on a kept job in the list to its painted form."""
    with _fresh_tab(site.as_uri() + "/") as tab:
        _open_twelve_units(tab, site)
        # The step with the most fields; the job is taken up there again.
        tab.evaluate("location.hash = '#step-left'")
        tab.wait_for("document.querySelector('#step-left').checkVisibility()")
        time.sleep(_AT_REST_S)
        times = [float(tab.evaluate(_OPEN_FROM_LIST)) for _ in range(max(runs, 5))]
    return Figure(
        name="open_job_ms",
        value=statistics.median(times),
        unit="ms",
        goal=100.0,
        how="worksheet from file://: press on a kept 12-unit job in the list to its painted form, in the step with the most "
        f"fields, median of {len(times)} ({', '.join(f'{one:.0f}' for one in times)}), Chromium",
    )


def type_to_paint(site: Path) -> Figure:
    """From a key to the painted findings."""
    with _fresh_tab(site.as_uri() + "/") as tab:
        keystrokes.watch(tab)
        _open_twelve_units(tab, site)
        tab.wait_for(f"document.querySelectorAll('#findings article').length === {2 * UNITS}")
        # Nobody types the moment a file is open; the browser still compiles then.
        time.sleep(_AT_REST_S)
        return keystrokes.figure(keystrokes.strokes(tab))


def _open_twelve_units(tab: ChromiumTab, site: Path) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "job.json"
        file.write_text(twelve_unit_job(), "utf-8")
        tab.open(built.page(site, "worksheet"))
        tab.wait_for("document.documentElement.dataset.calc === 'ready'", timeout_s=120)
        tab.upload("#open-job", file)
        tab.wait_for("document.querySelector('#jobs li[aria-current]')")


def content_page_kb(site: Path) -> Figure:
    """What the home page loads."""
    with _fresh_tab(site.as_uri() + "/") as tab:
        tab.open("index.html")
        weight = script_and_style_bytes(tab, site) / 1000
    return Figure(
        name="content_page_kb",
        value=weight,
        unit="kB",
        goal=300.0,
        how="scripts and style sheets that the home page loads, uncompressed, in 1000 bytes, without the search index",
    )


def _done_at_s(address: str, *, script: str = "") -> float:
    with _fresh_tab(address) as tab:
        if script:
            tab.run_before_pages(script)
        return _finished_s(tab, address)


def _finished_s(tab: ChromiumTab, address: str) -> float:
    tab.goto(address)
    tab.wait_for("globalThis.doneAt", timeout_s=120)
    return float(tab.evaluate("globalThis.doneAt")) / 1000


def _typing_possible_s(address: str) -> float:
    with _fresh_tab(address) as tab:
        tab.run_before_pages(_FIRST_FIELD)
        return _finished_s(tab, address)


@contextmanager
def _fresh_tab(base: str) -> Iterator[ChromiumTab]:
    """A tab of a browser started for it alone, so that nothing is warm.

    It is at rest: what a browser does for itself when it starts is no page's doing.
    """
    browser = Chromium()
    try:
        with tempfile.TemporaryDirectory() as downloads:
            tab = browser.tab(base=base, downloads=Path(downloads))
            time.sleep(_AT_REST_S)
            yield tab
    finally:
        browser.close()


@contextmanager
def _bare_folder() -> Iterator[Path]:
    """A folder with the bare page and pyodide as it comes from npm."""
    pyodide = finding.npm_file("pyodide/pyodide.mjs").parent
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "index.html").write_text(_BARE_PAGE, "utf-8")
        (folder / "pyodide").symlink_to(pyodide, target_is_directory=True)
        yield folder


def _list(seconds: list[float]) -> str:
    return ", ".join(f"{one:.2f}" for one in seconds)
