"""Python's worker is ended in the middle of a calculation, and everything is there again without anybody's help."""

import random
import tempfile
import time
from pathlib import Path

from calc.job.steps import TURNING
from tests.jobs import DEMO_FILES
from tests.pages import built
from tests.pages.chromium import Chromium
from tests.pages.tab import Tab
from tests.pages.test_job import step
from tests.pages.test_store import wait_for_stored
from tests.pages.test_worksheet import field, load, texts

from .part import Found, count
from .worker_watch import WATCH

KILLS = 20
# A page gives Python up after the fourth time: then something is wrong that no restart mends.
_A_PAGE = 3
_READY = "document.documentElement.dataset.calc === 'ready'"


def one_kill(tab: Tab, number: int, chance: random.Random) -> float:
    """End the worker while it judges, or looks for a plan. Returns: seconds until the page showed its findings again."""
    planning = number % 2 == 1
    if planning:
        step(tab, TURNING)
        tab.fill(field("plan.sets"), "2")
        tab.select(field("plan.ahead_only"), "false")
        tab.click("#plan-make")
    title = f"Kill {number}"
    tab.fill(field("title"), title)
    tolerance = f"0.{50 + number}"
    # Python is asked within the same turn, so some of these end it while it answers, some before and some after.
    tab.evaluate(
        f"""new Promise(done => {{
            const input = document.querySelector({field("reference.angle_tolerance_deg")!r});
            input.value = {tolerance!r};
            input.dispatchEvent(new Event("input", {{bubbles: true}}));
            setTimeout(() => {{ killWorker(); done(); }}, {chance.uniform(0, 150):.0f});
        }})"""
    )
    begun = time.monotonic()
    before = texts(tab)
    assert before["reference.angle_tolerance_deg"] == tolerance
    answered = tab.evaluate("answered")
    tab.wait_for(f"{_READY} && answered > {answered}", timeout_s=90)
    tab.wait_for("document.querySelector('#findings').dataset.verdict", timeout_s=30)
    took = time.monotonic() - begun
    assert texts(tab) == before
    wait_for_stored(tab, title)
    if planning:
        # The search has ended by what it had, or by what the page says; another one can be made.
        step(tab, TURNING)
        tab.wait_for("document.querySelector('#plan-make').checkVisibility()")
    return took


def workers(quick: bool) -> Found:
    """Twenty times."""
    times, troubles = ended(2 if quick else KILLS, random.Random())
    return told(times, troubles, quick)


def ended(kills: int, chance: random.Random) -> tuple[list[float], list[str]]:
    """End it so many times, in pages of their own, three times in each. Returns: seconds to come back, and what went wrong."""
    times: list[float] = []
    troubles: list[str] = []
    browser = Chromium()
    try:
        for begun in range(0, kills, _A_PAGE):
            with tempfile.TemporaryDirectory() as folder:
                tab = browser.tab(base=built.folder().as_uri() + "/", downloads=Path(folder))
                tab.run_before_pages(WATCH)
                tab.open("worksheet.html")
                tab.wait_for(_READY, timeout_s=120)
                load(tab, DEMO_FILES[1])
                tab.wait_for("document.querySelector('#findings').dataset.verdict")
                for number in range(begun, min(begun + _A_PAGE, kills)):
                    try:
                        times.append(one_kill(tab, number, chance))
                    except AssertionError as trouble:
                        troubles.append(f"kill {number}: {trouble}")
                tab.close()
    finally:
        browser.close()
    return times, troubles


def told(times: list[float], troubles: list[str], quick: bool) -> Found:
    """The figures of some kills."""
    figures = (
        count(
            "worker_kills",
            len(times) + len(troubles),
            "Python's worker ended at random while it judged (every other time with a search for a "
            "turning plan under way), in the worksheet from file://, Chromium",
            at_least=None if quick else KILLS,
        ),
        count("worker_kills_lost", len(troubles), "times that a text was gone, or no findings came by themselves", goal=0),
        count(
            "worker_back_s",
            max(times, default=0.0),
            "seconds until the findings were there again, at most; "
            f"median {sorted(times)[len(times) // 2] if times else 0.0:.1f} s",
        ),
    )
    return Found(figures, tuple(f"Lost: {trouble}" for trouble in troubles))
