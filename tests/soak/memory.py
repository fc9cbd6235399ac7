"""A thousand recalculations in one page: what it holds on to."""

import json
import re
import tempfile
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import CDPSession

from calc.job.form import spread
from tests.bench.engine import twelve_unit_job
from tests.pages import built
from tests.pages.chromium import Chromium, ChromiumTab

from .part import Found, count
from .worker_watch import WATCH

TIMES, FIRST, OTHER_JOBS = 1000, 100, 40
MOST_PERCENT = 5.0
_KEYS = (
    "reference.angle_tolerance_deg",
    "readings/3/as_found/suction_closing/ahead/plunger_lift_mm",
    "vessel",
    "readings/7/as_left/spill_opening/ahead/crank_angle_deg",
)
# A key in one field after the other; each waits until Python has answered all that the page asked because of it.
_RECALCULATE = """(async (keys, from, to) => {
    for (let at = from; at < to; at++) {
        const input = document.querySelector(`[name="${keys[at % keys.length]}"]`);
        const before = answered;
        globalThis.typedBefore ??= {};
        const first = (typedBefore[input.name] ??= input.value);
        // No value comes again, so that what is remembered of each would be seen to grow.
        input.value = input.name === "vessel" ? `Ship ${at}` : (parseFloat(first) + (1 + at) / 2500).toFixed(4);
        input.dispatchEvent(new Event("input", {bubbles: true}));
        const end = performance.now() + 20_000;
        while (answered === before) {
            if (performance.now() > end) throw new Error(`no answer to key ${at}, ${input.value} in ${input.name}`);
            await new Promise(go => setTimeout(go, 4));
        }
        await new Promise(go => requestAnimationFrame(() => setTimeout(go, 20)));
    }
    return answered;
})"""


@dataclass(frozen=True)
class Size:
    """What the page holds, after the garbage was collected."""

    heap: float
    wasm: float
    python: float
    nodes: float
    listeners: float


def size(tab: ChromiumTab, session: CDPSession) -> Size:
    """Collect the garbage, and measure."""
    for _ in range(2):
        session.send("HeapProfiler.collectGarbage")
        tab.evaluate("new Promise(go => setTimeout(go, 200))")
    metrics = {each["name"]: each["value"] for each in session.send("Performance.getMetrics")["metrics"]}
    heap = session.send("Runtime.getHeapUsage")["usedSize"]
    wasm, python = map(float, tab.evaluate("workerBytes()"))
    return Size(heap, wasm, python, metrics["Nodes"], metrics["JSEventListeners"])


def other_jobs(jobs: int) -> list[str]:
    """Requests for findings of the same job with other numbers: enough of them fill what Python remembers of texts and rows."""
    tree = json.loads(twelve_unit_job())
    texts = spread(tree)

    def other(text: str, more: float) -> str:
        return re.sub(r"\d+\.\d+", lambda number: f"{float(number[0]) + more:.4f}", text)

    return [
        json.dumps(
            {"do": "assess", "base": tree, "texts": {name: other(text, (1 + at) / 10_000) for name, text in texts.items()}}
        )
        for at in range(jobs)
    ]


def memory(quick: bool) -> Found:
    """Type a key a thousand times into a job of twelve units, from file://."""
    first, times = (3, 9) if quick else (FIRST, TIMES)
    browser = Chromium()
    try:
        with tempfile.TemporaryDirectory() as folder:
            tab = browser.tab(base=built.folder().as_uri() + "/", downloads=Path(folder))
            tab.run_before_pages(WATCH)
            file = Path(folder) / "job.json"
            file.write_text(twelve_unit_job(), "utf-8")
            tab.open("worksheet.html")
            tab.wait_for("document.documentElement.dataset.calc === 'ready'", timeout_s=120)
            tab.upload("#open-job", file)
            tab.wait_for("document.querySelector('#findings').dataset.verdict")
            session = tab.session()
            session.send("Performance.enable")
            blank = size(tab, session)
            tab.evaluate(f"askWorker({json.dumps(other_jobs(1 if quick else OTHER_JOBS))}).then(answers => answers.length)")
            keys = json.dumps(_KEYS)
            tab.evaluate(f"{_RECALCULATE}({keys}, 0, {first})")
            before = size(tab, session)
            assert before.wasm > before.python > 0, "the memory of Python in the worker was not found"
            answers = 0
            for begun in range(first, times, 100):
                answers = tab.evaluate(f"{_RECALCULATE}({keys}, {begun}, {min(begun + 100, times)})")
            after = size(tab, session)
            assert answers >= times, f"{answers} answers to {times} keys"
            assert tab.complaints() == []
    finally:
        browser.close()
    grown = {name: 100 * (getattr(after, name) / getattr(before, name) - 1) for name in Size.__annotations__}
    span = f"from the {first}th recalculation to the {times}th, percent"
    figures = (
        count(
            "recalculations",
            times,
            "keys in four fields of a job of 12 units, never the same value twice, each followed by Python's answer and "
            "a painted page; worksheet from file://, Chromium",
            at_least=None if quick else 1000,
        ),
        count(
            "memory_heap_growth",
            grown["heap"],
            f"the page's heap after its garbage was collected, {span}: {before.heap / 2**20:.2f} MiB, "
            f"then {after.heap / 2**20:.2f} MiB",
            goal=MOST_PERCENT,
        ),
        count(
            "memory_wasm_growth",
            grown["wasm"],
            f"the memory of Python in the worker, which never shrinks, {span}: "
            f"{before.wasm / 2**20:.1f} MiB, then {after.wasm / 2**20:.1f} MiB",
            goal=MOST_PERCENT,
        ),
        count(
            "memory_python_growth",
            grown["python"],
            f"what Python holds in that memory after its garbage was collected, {span}: "
            f"{before.python / 2**20:.2f} MiB, then {after.python / 2**20:.2f} MiB",
            goal=MOST_PERCENT,
        ),
        count(
            "memory_nodes_growth",
            grown["nodes"],
            f"nodes of the page, {span}: {before.nodes:.0f}, then {after.nodes:.0f}",
            goal=MOST_PERCENT,
        ),
        count(
            "memory_listeners_growth",
            grown["listeners"],
            f"event listeners, {span}: {before.listeners:.0f}, then {after.listeners:.0f}",
            goal=MOST_PERCENT,
        ),
    )
    kept = (before.python - blank.python) / 2**20
    told = (
        "**Memory.** Python remembers the last 4096 texts and 1024 rows that it understood, so that no key makes it read the "
        f"whole job again. {OTHER_JOBS} other jobs fill that first, and a hundred recalculations fill what is kept of pictures "
        f"and tables. Both together took {kept:.1f} MiB. Only what grows after that would be a leak. Between two collections a "
        f"heap differs by a percent or two by chance. Findings that were held after every key would make the page many times "
        f"as large. So {MOST_PERCENT:g} % tells a leak from chance.",
    )
    return Found(figures, told)
