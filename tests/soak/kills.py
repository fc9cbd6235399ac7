"""The browser is killed while somebody types, again and again, and what is there afterwards is held against what was typed."""

import random
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.pages import built
from tests.pages.chromium import Chromium
from tests.pages.conftest import Desk
from tests.pages.firefox import Firefox
from tests.pages.tab import Browser, Tab
from tests.pages.test_store import open_kept, open_with_python
from tests.pages.test_worksheet import texts

from .part import Found, count

KILLS = {"chromium": 50, "firefox": 10}
MOST_S = 1.0
_BROWSERS: dict[str, Callable[[], Browser]] = {"chromium": Chromium, "firefox": Firefox}
_EACH_MS = 40
_FIELDS = (
    "title",
    "vessel",
    "reference.angle_tolerance_deg",
    "engine.speed_rpm",
    "instruments.pointer_u_deg",
    "reference.fuel_index",
)

# Types "number time" into one field after the other, by the page's own clock, which is the machine's.
_TYPE = """((names, first, each) => {
    let number = first;
    setInterval(() => {
        const input = document.querySelector(`[name="${names[number % names.length]}"]`);
        input.value = `${number} ${Date.now()}`;
        input.dispatchEvent(new Event("input", {bubbles: true}));
        number++;
    }, each);
    return Date.now();
})"""


@dataclass(frozen=True)
class Loss:
    """What one kill took. `age_s`: at most so old was the oldest text lost; `torn`: fields that were older than the rest."""

    age_s: float
    torn: int
    kept: int


def kept_of(found: dict[str, str]) -> tuple[int, float, int]:
    """The newest number that was kept, when it was typed (s), and in how many fields an older text stands than should."""
    read = {name: found[name].split() for name in _FIELDS if name in found}
    if not read:
        return -1, 0.0, 0
    newest, when = max((int(number), float(stamp)) for number, stamp in read.values())
    torn = 0
    for at, name in enumerate(_FIELDS):
        right = newest - (newest - at) % len(_FIELDS)
        torn += right >= 0 and (name not in read or int(read[name][0]) != right)
    return newest, when / 1000, torn


def come_back(tab: Tab, with_python: bool) -> dict[str, str]:
    """Open the worksheet and see what is there, once the page has looked for kept jobs."""
    (open_with_python if with_python else open_kept)(tab)
    tab.wait_for("document.querySelector('#jobs li[aria-current]') || !document.querySelector('#jobs li')")
    return texts(tab)


def killed(browser: Browser, kills: int, chance: random.Random, folder: Path) -> list[Loss]:
    """Type and kill, so many times, always in the same job."""
    desk = Desk(browser, base=built.folder().as_uri() + "/", folder=folder)
    losses: list[Loss] = []
    try:
        tab = desk.tab()
        come_back(tab, with_python=False)
        newest = -1
        for turn in range(kills):
            begun = float(tab.evaluate(f"{_TYPE}({list(_FIELDS)!r}, {newest + 1}, {_EACH_MS})")) / 1000
            time.sleep(chance.uniform(0.1, 3.0))
            when = desk.kill_and_come_back()
            tab = desk.tab()
            number, typed, torn = kept_of(come_back(tab, with_python=turn % 3 == 0))
            assert number >= newest, f"after kill {turn + 1} number {number} is there, and {newest} had been there before"
            losses.append(Loss(when - max(typed, begun), torn, number - newest))
            newest = number
    finally:
        desk.close()
    return losses


def kills(quick: bool) -> Found:
    """Both browsers."""
    losses: dict[str, list[Loss]] = {}
    for name, number in KILLS.items():
        browser = _BROWSERS[name]()
        with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
            try:
                losses[name] = killed(browser, 2 if quick else number, random.Random(), Path(folder) / "profile")
            finally:
                browser.close()
        if quick:
            break
    return told(losses, quick)


def told(losses: dict[str, list[Loss]], quick: bool) -> Found:
    """The figures of some kills, by browser."""
    every = [loss for found in losses.values() for loss in found]
    ages = sorted(loss.age_s for loss in every)
    where = ", ".join(f"{name.capitalize()} {len(found)}" for name, found in losses.items())
    figures = (
        count(
            "kills",
            len(every),
            f"all processes of the browser ended by SIGKILL at a random moment of typing, from file://: {where}; "
            f"a text every {_EACH_MS} ms into {len(_FIELDS)} fields in turn, every third time while Python starts",
            at_least=None if quick else 50,
        ),
        count(
            "kills_lost_older_than_1s",
            sum(age > MOST_S for age in ages),
            "kills after which a text older than one second was gone",
            goal=0,
        ),
        count(
            "kills_worst_age_lost_s",
            ages[-1],
            "from the newest text that was there afterwards to the kill: no lost text can be older; "
            f"median {ages[len(ages) // 2]:.2f} s; "
            + ", ".join(
                f"{name.capitalize()} at most {max(loss.age_s for loss in found):.2f} s" for name, found in losses.items()
            ),
            goal=MOST_S,
        ),
        count(
            "kills_torn",
            sum(loss.torn for loss in every),
            "fields in which an older text stood than in the others: a job comes back as it was at one moment",
            goal=0,
        ),
    )
    return Found(figures)
