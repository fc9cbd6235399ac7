"""The turning plan as a person uses it: made, stopped, ticked off, gone on with, kept, printed."""

import json
import re
from pathlib import Path
from typing import Any

from calc.job.steps import TURNING
from tests.invented import Tree
from tests.jobs import DEMO_FILES, tree
from tests.plan.engines import engine
from tests.plan.replay import replay

from .chromium import ChromiumTab
from .conftest import BOTH
from .sound import looks, too_small
from .tab import Tab
from .test_job import here, step
from .test_steps import focused, reload, tab_to
from .test_store import STORED
from .test_worksheet import READY, field, load, note, open_sheet, put, texts, visible

BOX = ".ws-plan"
MAKE, STOP, REST, BACK, PRINT = (f"#plan-{name}" for name in ("make", "stop", "rest", "back", "print"))
SETS, AHEAD_ONLY, FROM = (field(f"plan.{name}") for name in ("sets", "ahead_only", "from_deg"))
DONE = f"document.querySelector('{PRINT}').checkVisibility()"
SAID = f"document.querySelector('{BOX} > [role=status]').textContent"
# Counts what the page asks of Python, and notes its last plan, without the page's help.
WATCH = """
globalThis.asked = [];
const { postMessage } = Worker.prototype;
Worker.prototype.postMessage = function (message, ...others) {
  if (message.kind === "ask") globalThis.asked.push(JSON.parse(message.text).do);
  return postMessage.call(this, message, ...others);
};
"""


def small() -> Tree:
    """The demo's second job, as somebody's own."""
    job = tree(DEMO_FILES[1])
    del job["demo"]
    return job


def open_job(tab: Tab, job: Tree, folder: Path) -> None:
    open_sheet(tab)
    load(tab, put(folder, job))
    step(tab, TURNING)


def choose(tab: Tab, sets: str, ahead_only: str = "false") -> None:
    tab.fill(SETS, sets)
    tab.select(AHEAD_ONLY, ahead_only)


def kept(tab: Tab) -> dict[str, Any]:
    """What the browser keeps with the job."""
    found: dict[str, Any] = tab.evaluate(f"(await {STORED}).contents[0].beside.plan".join(("(async () => ", ")()")))
    return found


def wait_for_kept(tab: Tab, predicate: str) -> dict[str, Any]:
    tab.wait_for(f"(it => {predicate})((await {STORED}).contents[0].beside.plan)")
    return kept(tab)


def rows(tab: Tab) -> list[list[str]]:
    """The timetable as it is read."""
    found: list[list[str]] = tab.evaluate(
        f"[...document.querySelectorAll('{BOX} .turning tbody tr')]"
        ".map(row => [...row.cells].map(cell => cell.innerText.trim()))"
    )
    return found


def assert_shown(tab: Tab, plan: Tree) -> None:
    """Every stop of a plan stands in the timetable with its angle, turn and tasks."""
    table = rows(tab)
    assert len(table) == len(plan["stops"])
    for (_, angle, turn, do), stop in zip(table, plan["stops"], strict=True):
        assert angle == f"{stop['flywheel_deg']:.2f}°"
        assert turn == ("begin here" if stop["direction"] == "start" else f"{stop['direction']} {stop['turn_deg']:.2f}°")
        found = re.findall(r"^Unit (\d+)(?:, set (\d+))?:(?: mount set (\d+))?", do, re.MULTILINE)
        assert [(int(unit), int(one or other)) for unit, one, other in found] == [
            (task["unit"], task["set"]) for task in stop["tasks"]
        ]


def scroll_to_plan(tab: Tab) -> None:
    """What nobody sees waits until somebody looks."""
    tab.evaluate(f"void document.querySelector('{BOX}').scrollIntoView()")


def ticked(tab: Tab) -> list[int]:
    found: list[int] = tab.evaluate(
        f"[...document.querySelectorAll('{BOX} .sm-tick input:checked')].map(each => Number(each.dataset.stop))"
    )
    return found


@BOTH
def test_made_ticked_kept_gone_on_with_and_printed(tab: Tab, tmp_path: Path) -> None:
    tab.set_viewport(1280)
    job = small()
    open_job(tab, job, tmp_path)
    before = texts(tab)

    # What is open is named and leads to its field.
    tab.click(MAKE)
    tab.wait_for("document.activeElement.matches('.ws-needs')")
    assert [text.strip() for text in tab.text(".ws-needs ul:last-child").splitlines() if text.strip()] == [
        "Gauge sets: missing. Enter a whole number from 1 to 24.",
        "Turning back: missing. Choose one.",
    ]
    tab.click(".ws-needs a")
    assert focused(tab) == "plan.sets"
    choose(tab, "two")
    tab.press("Tab")
    tab.wait_for(f"document.querySelector('{note('plan.sets')}').innerText.includes('not understood')")
    choose(tab, "2")
    tab.click(MAKE)
    tab.wait_for(DONE)
    assert not visible(tab, ".ws-needs")
    first = wait_for_kept(tab, "it.made.plan.optimal")["made"]
    replay(job, first["plan"])
    assert_shown(tab, first["plan"])
    assert "It is proven that no plan costs less." in tab.text(".ws-planwords")
    tab.wait_for(f"{SAID}.includes('no plan costs less')")
    assert tab.count(f"{BOX} svg[role=img]") == 1

    # Stops are ticked off; all before a done one are done.
    tab.click('.sm-tick input[data-stop="4"]')
    assert ticked(tab) == [1, 2, 3, 4]
    tab.click('.sm-tick input[data-stop="4"]')
    assert ticked(tab) == [1, 2, 3]
    tab.wait_for(f"{SAID} === '3 of 25 stops are done.'")
    wait_for_kept(tab, "it.made.ticks === 3")
    reload(tab)
    tab.wait_for(READY, timeout_s=60)
    scroll_to_plan(tab)
    tab.wait_for(f"document.querySelectorAll('{BOX} .sm-tick').length === 25")
    assert here(tab) == TURNING
    assert ticked(tab) == [1, 2, 3]
    assert_shown(tab, first["plan"])
    assert tab.value(SETS) == "2"
    assert not visible(tab, "#plan-stale")

    # On paper stands what the plan says.
    paper = tab.download(PRINT)
    sheet = paper.read_text("utf-8")
    assert paper.name.endswith("-turning.html")
    assert all(f"{stop['flywheel_deg']:.2f}°" in sheet for stop in first["plan"]["stops"])
    assert "Before every move: count everyone aloud." in sheet

    # Interrupted: the rest from where it stands, with nothing typed.
    tab.click(REST)
    tab.wait_for(f"{DONE} && document.querySelectorAll('{BOX} .sm-tick input:checked').length === 0")
    second = wait_for_kept(tab, "it.before && it.made.plan.optimal && it.made.typed.from_deg")
    third_stop = first["plan"]["stops"][2]
    assert float(tab.value(FROM)) == third_stop["flywheel_deg"]
    done = {task["unit"]: task["task"] for stop in first["plan"]["stops"][:3] for task in stop["tasks"]}
    for unit, task in done.items():
        assert tab.value(field(f"plan.done/{unit}/last_task")) == task
    replay(job, second["made"]["plan"], from_deg=third_stop["flywheel_deg"], done=done)
    assert_shown(tab, second["made"]["plan"])

    # And back again, ticks and choices included.
    tab.click(BACK)
    tab.wait_for("document.querySelectorAll('.sm-tick input:checked').length === 3")
    assert_shown(tab, first["plan"])
    assert tab.value(FROM) == ""
    tab.wait_for("!document.querySelector('#plan-stale').checkVisibility()")

    # Nothing of it is in the job file. A changed angle makes the plan stale, and changed back it is none.
    saved = json.loads(tab.download("#save-job").read_text("utf-8"))
    assert saved == job
    assert {key: text for key, text in texts(tab).items() if not key.startswith("plan.")} == before
    peak = field("engine.cam_peak_deg")
    tab.fill(peak, "35")
    scroll_to_plan(tab)
    tab.wait_for("document.querySelector('#plan-stale').innerText.includes('Do not turn by it')")
    tab.fill(peak, "")
    scroll_to_plan(tab)
    tab.wait_for("document.querySelector('.ws-needs').innerText.includes('cam peak: missing')")
    tab.click(".ws-needs a")
    assert focused(tab) == "engine.cam_peak_deg"
    tab.type("34")
    scroll_to_plan(tab)
    tab.wait_for("!document.querySelector('#plan-stale').checkVisibility() && document.querySelector('.ws-needs').hidden")


@BOTH
def test_a_long_search_shows_how_far_it_is_lets_people_type_and_stops(tab: Tab, tmp_path: Path) -> None:
    tab.set_viewport(1280)
    tab.run_before_pages(WATCH)
    job = engine(14, spread=0.6, seed=1)
    open_job(tab, job, tmp_path)
    choose(tab, "4")
    tab.click(MAKE)
    tab.wait_for(f"document.querySelectorAll('{BOX} .sm-tick').length > 14")
    assert focused(tab) == "Stop"
    assert tab.attribute(f"{BOX} progress", "max") == "100"
    assert tab.attribute(f"{BOX} progress", "aria-labelledby") == "plan-line"
    seen = tab.evaluate(
        """(async () => {
            const lines = new Set(), bars = new Set();
            while (lines.size < 4 || bars.size < 3) {
                lines.add(document.querySelector("#plan-line").innerText);
                bars.add(document.querySelector(".ws-plan progress").value);
                await new Promise(go => setTimeout(go, 50));
            }
            return [...lines];
        })()"""
    )
    assert all(re.match(r"[A-Z][a-z ]+: \d+ %\. The plan costs", line) for line in seen), seen
    tab.wait_for("/at most [0-9.]+ % could be saved/.test(document.querySelector('#plan-line').innerText)")

    # Typed meanwhile, a number is judged before the search is through.
    tab.evaluate("void (globalThis.asked.length = 0)")
    tab.fill(field("reference.angle_tolerance_deg"), "0,4")
    tab.wait_for(f"document.querySelector('{note('reference.angle_tolerance_deg')}').textContent.includes('0.4°')")
    step(tab, TURNING)
    assert visible(tab, STOP), "the search was through before anything could be typed"
    tab.wait_for("globalThis.asked.filter(each => each === 'plan_on').length > 3")

    tab.focus(STOP)
    tab.press("Enter")
    assert focused(tab) == "Make the plan"
    assert re.fullmatch(r"Stopped\. The plan costs [\d.]+°: at most [\d.]+ % could be saved\.", tab.text("#plan-result"))
    tab.wait_for(f"{SAID}.startsWith('Stopped.')")
    tab.evaluate("new Promise(go => setTimeout(go, 300))")
    tab.evaluate("void (globalThis.asked.length = 0)")
    tab.evaluate("new Promise(go => setTimeout(go, 700))")
    assert "plan_on" not in tab.evaluate("globalThis.asked")
    plan = wait_for_kept(tab, "it.made.plan.lower_bound_deg > 0")["made"]["plan"]
    assert not plan["optimal"]
    replay(job, plan)
    assert_shown(tab, plan)

    # Who ticks off a stop works by this plan: no other one comes under the hands.
    tab.click(MAKE)
    tab.wait_for(f"document.querySelector('{STOP}').checkVisibility() && document.querySelectorAll('.sm-tick input').length")
    tab.wait_for("document.querySelector('#plan-line').innerText.includes('The plan costs')")
    tab.click('.sm-tick input[data-stop="2"]')
    assert not visible(tab, STOP)
    assert ticked(tab) == [1, 2]
    # Another job has no plan yet; this one has its own when it is opened again.
    tab.click("#new-job")
    tab.wait_for("document.querySelectorAll('.sm-tick').length === 0")
    assert tab.value(SETS) == ""
    tab.evaluate("void document.querySelector('#undo').click()")
    step(tab, TURNING)
    scroll_to_plan(tab)
    tab.wait_for("document.querySelectorAll('.sm-tick input:checked').length === 2")
    assert tab.value(SETS) == "4"


def test_with_keys_alone_and_sound_in_every_state(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    tab = chromium_tab
    tab.set_viewport(1280)
    open_job(tab, small(), tmp_path)
    tab_to(tab, "it.name === 'plan.sets'", most=40)
    tab.type("2")
    tab.press("Tab")
    tab.press("ArrowDown")
    tab_to(tab, "it.id === 'plan-make'")
    tab.press("Enter")
    tab.wait_for(DONE)
    assert focused(tab) == "Make the plan"
    tab_to(tab, "it.dataset.stop === '1'")
    tab.press("Space")
    tab.press("Tab")
    tab.press("Space")
    assert ticked(tab) == [1, 2]
    tab_to(tab, "it.id === 'plan-rest'")
    tab.press("Enter")
    tab.wait_for(f"{DONE} && document.querySelector('{FROM}').value !== ''")
    for _ in looks(tab):
        assert too_small(tab, f"{BOX} :is(button, input:not([type=checkbox]), select, summary, .sm-tick)") == []
    # A screen reader is not told of every step of a search.
    assert tab.count(f"{BOX} [aria-live]") == 1
