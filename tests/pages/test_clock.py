"""A clock that is set back or ahead: nothing that was kept is lost, and what came last stays the last."""

import json

import pytest

from .conftest import BOTH, ONE
from .tab import Tab
from .test_store import LEFT, act, count_jobs, keep, open_kept, open_list, stored, wait_for_stored, wait_for_title
from .test_worksheet import PAGE, field

DAY_S = 24 * 3600
YEAR_S = 365 * DAY_S
# From now on the page's clock is that much ahead of the machine's.
CLOCK = """(() => {
    const Right = globalThis.rightDate ??= Date;
    const now = () => Right.now() + 1000 * SECONDS;
    globalThis.Date = class extends Right {
        constructor(...given) { super(...(given.length ? given : [now()])); }
        static now() { return now(); }
    };
})()"""


def set_clock(tab: Tab, seconds: int) -> None:
    """For the pages to come."""
    tab.run_before_pages(CLOCK.replace("SECONDS", str(seconds)))


@pytest.mark.parametrize(("first", "then"), [(0, -DAY_S), (YEAR_S, 0), (0, YEAR_S)], ids=["set back", "right again", "ahead"])
@ONE
def test_the_last_job_stays_the_last_and_nothing_is_lost(tab: Tab, first: int, then: int) -> None:
    set_clock(tab, first)
    open_kept(tab)
    keep(tab, "First", {"vessel": "Aurelia"})
    tab.click("#new-job")
    keep(tab, "Second", {"vessel": "Borealis"})
    set_clock(tab, then)
    tab.open(PAGE)
    wait_for_title(tab, "Second")
    # Going on with an older job makes it the last, whatever the clock says.
    count_jobs(tab, 2)
    open_list(tab)
    tab.click(act("Open First"))
    wait_for_title(tab, "First")
    tab.wait_for_element("#jobs li[aria-current] strong")
    tab.open(PAGE)
    wait_for_title(tab, "First")
    tab.fill(field("vessel"), "Aurelia, gone on")
    wait_for_stored(tab, "Aurelia, gone on")
    tab.open(PAGE)
    wait_for_title(tab, "First")
    assert tab.value(field("vessel")) == "Aurelia, gone on"
    kept = {each["texts"]["title"]: each["texts"]["vessel"] for each in stored(tab)["contents"]}
    assert kept == {"First": "Aurelia, gone on", "Second": "Borealis"}


@BOTH
def test_a_clock_that_jumps_while_somebody_types_loses_nothing(tab: Tab) -> None:
    open_kept(tab)
    keep(tab, "Kept")
    for seconds, word in ((-DAY_S, "back"), (YEAR_S, "ahead"), (-YEAR_S, "far back")):
        tab.evaluate(f"void {CLOCK.replace('SECONDS', str(seconds))}")
        tab.fill(field("vessel"), word)
        wait_for_stored(tab, word)
    # And what a page leaves that can no longer write is newer than all of it.
    tab.evaluate("void (IDBTransaction.prototype.commit = function () { this.abort(); })")
    tab.fill(field("vessel"), "Last word")
    tab.open(PAGE)
    wait_for_stored(tab, "Last word")
    tab.wait_for(f"document.querySelector({json.dumps(field('vessel'))}).value === 'Last word'")
    assert len(stored(tab)["jobs"]) == 1
    assert tab.evaluate(LEFT) == []


LESSON = "learn/lesson-1.html"
PLACE = "spillmark.lessons"


def progress(*, reset: float, tries: int, right: bool, at: float, tab: Tab) -> str:
    """The text in which a page keeps one question."""
    numbers = [tab.evaluate(f"({int(each)}).toString(36)") for each in (reset, at)]
    return f"{numbers[0]}~delivering-1.{tries}.0.{int(right)}.{numbers[1]}"


@pytest.mark.parametrize("tab", ["firefox-file"], indirect=True)
def test_what_is_forgotten_stays_forgotten_when_the_clock_was_set_back(tab: Tab) -> None:
    """There each page has a place of its own, and brings it together with the one that all pages share."""
    tab.open(LESSON)
    now = tab.evaluate("Date.now() / 1000")
    before = progress(reset=0, tries=2, right=True, at=now + DAY_S, tab=tab)
    tab.evaluate(f"void localStorage.setItem({PLACE!r}, {before!r})")
    tab.open(LESSON)
    tab.open("learn/index.html")
    tab.wait_for("document.querySelector('[data-act=forget]').disabled === false")
    tab.click("[data-act=forget]")
    tab.wait_for("document.querySelector('[data-act=forget]').disabled")
    # The page of the lesson has a place of its own, where it still stands.
    tab.open(LESSON)
    tab.wait_for(f"!(localStorage.getItem({PLACE!r}) ?? '').includes('delivering-1')")
