"""Nothing that was typed is lost: kept by itself, listed, renamed, copied, deleted, brought back; and when keeping fails."""

import json
from pathlib import Path
from typing import Any

import pytest

from .chromium import ChromiumTab
from .conftest import BOTH, CROSSED_DESKS, CROSSED_TABS, ONE, Desk, NewTab
from .tab import Tab
from .test_worksheet import HOSTILE, PAGE, TYPED, field, job, load, open_sheet, put, texts, type_into, visible

TITLE = field("title")
NOTICE = "document.querySelector('.ws-keeping').innerText"
UNSAVED = "!window.dispatchEvent(new Event('beforeunload', {cancelable: true}))"

# What pages that are gone have left behind.
LEFT = "Object.keys(localStorage).filter(name => name.includes('last-words'))"
# Python is spared its start.
WITHOUT_PYTHON = "delete globalThis.WebAssembly;"
LAST_TYPED = list(TYPED)[-1]

# What is in the database, without the page's help.
STORED = """new Promise((resolve, reject) => {
    const asked = indexedDB.open("spillmark");
    // Making a database is the page's business.
    asked.onupgradeneeded = () => asked.transaction.abort();
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => {
        const reading = asked.result.transaction(["jobs", "contents"]);
        const [jobs, contents] = ["jobs", "contents"].map(name => reading.objectStore(name).getAll());
        reading.oncomplete = () => {
            asked.result.close();
            resolve({jobs: jobs.result, contents: contents.result});
        };
    };
})"""


def open_kept(tab: Tab) -> None:
    """Open the worksheet and wait until it has looked for kept jobs. It needs no Python."""
    tab.run_before_pages(WITHOUT_PYTHON)
    open_with_python(tab)


def open_with_python(tab: Tab) -> None:
    """As people have it: Python starts meanwhile."""
    tab.open(PAGE)
    wait_until_kept(tab)


def wait_until_kept(tab: Tab) -> None:
    """Wait until the database has answered."""
    tab.wait_for("document.querySelector('#jobs').dataset.kept === 'yes'")


def stored(tab: Tab) -> dict[str, list[dict[str, Any]]]:
    """Everything in the database."""
    found: dict[str, list[dict[str, Any]]] = tab.evaluate(STORED)
    return found


def wait_for_stored(tab: Tab, text: str) -> None:
    """Wait until the database holds a text."""
    tab.wait_for(f"JSON.stringify(await {STORED}).includes({json.dumps(json.dumps(text)[1:-1])})")


def keep(tab: Tab, title: str, entries: dict[str, str] | None = None) -> None:
    """Type a job and wait until it is in the database."""
    type_into(tab, {**(entries or {}), "title": title})
    wait_for_stored(tab, title)


def wait_for_title(tab: Tab, title: str) -> None:
    """Wait until the form shows this title."""
    tab.wait_for(f"document.querySelector({json.dumps(TITLE)}).value === {json.dumps(title)}")


def wait_for_notice(tab: Tab, words: str) -> None:
    """Wait until the page says so about keeping."""
    tab.wait_for(f"{NOTICE}.includes({json.dumps(words)})")


def titles(tab: Tab) -> list[str]:
    """The titles in the list, from top to bottom."""
    found: list[str] = tab.evaluate("[...document.querySelectorAll('#jobs li strong')].map(each => each.innerText)")
    return found


def open_list(tab: Tab) -> None:
    """Open the list of jobs."""
    if not tab.evaluate("document.querySelector('#jobs').open"):
        # A page that is still scrolling runs away from Firefox's mouse.
        tab.evaluate("void document.querySelector('#jobs summary').click()")
        tab.wait_for("document.querySelector('#jobs').open")


def act(label: str) -> str:
    """Selector of a job's button by what a screen reader says."""
    return f"#jobs button[aria-label={json.dumps(label)}]"


def count_jobs(tab: Tab, count: int) -> None:
    """Wait until the list has so many rows."""
    tab.wait_for(f"document.querySelectorAll('#jobs li').length === {count}")


# Kept by itself.


@BOTH
def test_a_change_is_in_the_database_within_a_second(tab: Tab) -> None:
    open_kept(tab)
    # A second as the page lives it: turns of at least 5 ms, each with a look into the database. A clock would also count
    # the time in which a busy machine lets nobody work.
    turns = tab.evaluate(
        f"""(async () => {{
            const input = document.querySelector({json.dumps(field("vessel"))});
            input.value = "Aurelia";
            input.dispatchEvent(new Event("input", {{bubbles: true}}));
            let turns = 0;
            while (turns < 1000 && !JSON.stringify(await {STORED}).includes("Aurelia")) {{
                await new Promise(go => setTimeout(go, 5));
                turns++;
            }}
            return turns;
        }})()"""
    )
    assert turns <= 1000 / 5, turns


@BOTH
def test_what_was_typed_survives_an_immediate_reload(tab: Tab) -> None:
    open_kept(tab)
    type_into(tab, {"engine.units": "2", "title": "Left at once", "reference.units/2/beginning_deg": "4.5 before"})
    before = texts(tab)
    tab.open(PAGE)
    wait_for_title(tab, "Left at once")
    assert texts(tab) == before
    assert tab.dialogs == []


def come_back(desk: Desk, expected: dict[str, str]) -> Tab:
    """Open the worksheet anew: the job that was typed is there, with these texts."""
    tab = desk.tab()
    open_with_python(tab)
    wait_for_title(tab, TYPED["title"])
    assert texts(tab) == expected
    return tab


@CROSSED_DESKS
def test_what_was_typed_survives_closing_the_tab_and_killing_the_browser(desk: Desk) -> None:
    tab = desk.tab()
    open_with_python(tab)
    type_into(tab, TYPED)
    before = texts(tab)
    # At once, in the middle of a write.
    tab.close_by_hand()
    tab = desk.tab()
    open_with_python(tab)
    tab.wait_for(f"document.querySelector({json.dumps(field(LAST_TYPED))}).value === {json.dumps(TYPED[LAST_TYPED])}")
    assert texts(tab) == before
    # A driver closes a tab without asking the page, and then Firefox sometimes stops the page's scripts in the middle of what
    # they do at the end. So this is a crash, from which all comes back that is older than a second.
    tab.fill(field("vessel"), "Before the crash")
    wait_for_stored(tab, "Before the crash")
    tab.close()
    tab = come_back(desk, {**before, "vessel": "Before the crash"})
    tab.fill(field("vessel"), "Before the blackout")
    wait_for_stored(tab, "Before the blackout")
    desk.kill_and_come_back()
    tab = come_back(desk, {**before, "vessel": "Before the blackout"})
    assert tab.complaints() == []


@BOTH
def test_what_a_page_could_no_longer_write_comes_with_the_next_one(tab: Tab) -> None:
    open_kept(tab)
    keep(tab, "Kept")
    # As when the browser ends the page before the write: none arrives any more.
    tab.evaluate("void (IDBTransaction.prototype.commit = function () { this.abort(); })")
    tab.fill(field("vessel"), "Last word")
    assert "Last word" not in json.dumps(stored(tab))
    tab.open(PAGE)
    wait_for_stored(tab, "Last word")
    tab.wait_for(f"document.querySelector({json.dumps(field('vessel'))}).value === 'Last word'")
    assert len(stored(tab)["jobs"]) == 1
    assert tab.evaluate(LEFT) == []


@pytest.mark.parametrize(
    ("change", "stays"),
    [({"revision": 1}, False), ({"texts": "nonsense"}, False), ({"version": 99, "revision": 1000}, True)],
    ids=["older", "damaged", "newer version"],
)
def test_words_that_are_no_later_ones_change_nothing(chromium_tab: ChromiumTab, change: dict[str, Any], stays: bool) -> None:
    tab = chromium_tab
    open_kept(tab)
    keep(tab, "Kept")
    keep(tab, "Kept again")
    before = stored(tab)
    content = before["contents"][0]
    words = {**content, "texts": {"title": "Words"}, "revision": 1000, "at": 0, **change}
    tab.evaluate(
        f"void localStorage.setItem('spillmark-last-words-' + {json.dumps(content['job'])}, {json.dumps(json.dumps(words))})"
    )
    open_kept(tab)
    wait_for_title(tab, "Kept again")
    assert stored(tab)["contents"] == before["contents"]
    assert len(tab.evaluate(LEFT)) == int(stays)


@ONE
def test_what_was_taken_out_does_not_come_back(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    load(tab, put(tmp_path, job(vessel="A ship")))
    tab.fill(field("vessel"), "")
    tab.fill(TITLE, "Without a ship")
    wait_for_stored(tab, "Without a ship")
    before = texts(tab)
    open_sheet(tab)
    wait_for_title(tab, "Without a ship")
    assert texts(tab) == before
    saved = json.loads(tab.download("#save-job").read_text("utf-8"))
    assert "vessel" not in saved


@BOTH
def test_leaving_warns_only_of_what_is_kept_nowhere(tab: Tab) -> None:
    open_kept(tab)
    keep(tab, "Kept")
    assert not tab.evaluate(UNSAVED)
    tab.evaluate(f"void (IDBObjectStore.prototype.put = () => {{ throw {FULL}; }})")
    tab.fill(TITLE, "Not kept")
    wait_for_notice(tab, "no room")
    assert tab.evaluate(UNSAVED)
    tab.download("#save-job")
    tab.wait_for("document.querySelector('.ws-news').innerText.includes('is saved')")
    assert not tab.evaluate(UNSAVED)


# Which job is kept, and which one opens.


@BOTH
def test_a_blank_form_keeps_nothing_and_a_new_one_keeps_the_old(tab: Tab) -> None:
    open_kept(tab)
    assert stored(tab)["jobs"] == []
    assert tab.text("#jobs summary") == "Jobs on this computer: 0"
    keep(tab, "First")
    tab.click("#new-job")
    assert texts(tab) == {}
    keep(tab, "Second")
    tab.open(PAGE)
    wait_for_title(tab, "Second")
    count_jobs(tab, 2)
    open_list(tab)
    tab.click(act("Open First"))
    wait_for_title(tab, "First")
    # The last job is the one that was open last, not the one typed in last.
    tab.wait_for(f"(await {STORED}).jobs.sort((a, b) => b.used - a.used)[0].title === 'First'")
    tab.open(PAGE)
    wait_for_title(tab, "First")


@ONE
def test_the_demo_never_overwrites_a_job_and_is_kept_only_when_typed_in(tab: Tab) -> None:
    open_sheet(tab)
    keep(tab, "Mine", {"engine.units": "1"})
    before = texts(tab)
    tab.click("#show-demo")
    tab.wait_for("document.querySelector('.ws-demo').checkVisibility()")
    open_list(tab)
    assert titles(tab) == ["Mine"]
    tab.open(PAGE)
    wait_for_title(tab, "Mine")
    assert texts(tab) == before
    open_sheet(tab)
    tab.click("#show-demo")
    tab.wait_for("document.querySelector('.ws-demo').checkVisibility()")
    tab.fill(TITLE, "Demo that I changed")
    wait_for_stored(tab, "Demo that I changed")
    tab.open(PAGE)
    wait_for_title(tab, "Demo that I changed")
    assert visible(tab, ".ws-demo")
    count_jobs(tab, 2)
    open_list(tab)
    tab.click(act("Open Mine"))
    wait_for_title(tab, "Mine")
    assert texts(tab) == before


@BOTH
def test_an_opened_file_is_kept_at_once_as_a_job_of_its_own(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    keep(tab, "Mine")
    load(tab, put(tmp_path, job(title="From a file", unheard_of={"kept": True})))
    wait_for_stored(tab, "From a file")
    tab.open(PAGE)
    wait_for_title(tab, "From a file")
    count_jobs(tab, 2)
    tab.wait_for("document.documentElement.dataset.calc === 'ready'", timeout_s=60)
    saved = json.loads(tab.download("#save-job").read_text("utf-8"))
    assert saved["unheard_of"] == {"kept": True}


@ONE
def test_undo_goes_back_to_the_job_and_goes_on_keeping_it(tab: Tab) -> None:
    open_kept(tab)
    keep(tab, "Mine")
    tab.click("#new-job")
    tab.click("#undo")
    wait_for_title(tab, "Mine")
    keep(tab, "Mine, gone on")
    assert [each["title"] for each in stored(tab)["jobs"]] == ["Mine, gone on"]


@BOTH
def test_kept_jobs_need_no_python(tab: Tab) -> None:
    tab.run_before_pages("window.Worker = function () { throw new Error('no workers'); };")
    open_kept(tab)
    keep(tab, "Without Python", {"engine.units": "2"})
    tab.open(PAGE)
    wait_for_title(tab, "Without Python")
    assert tab.attribute("html", "data-calc") == "failed"
    open_list(tab)
    assert "as found 0 of 2" in tab.text("#jobs li")


# The list.


@ONE
def test_the_list_tells_title_date_and_how_far_each_job_is(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    tree = job()
    tree["readings"] = tree["readings"][:3]
    load(tab, put(tmp_path, tree))
    wait_for_stored(tab, "Two units")
    tab.click("#new-job")
    tab.fill(field("vessel"), "Aurelia")
    wait_for_stored(tab, "Aurelia")
    count_jobs(tab, 2)
    open_list(tab)
    assert titles(tab) == ["Job without a title", "Two units"]
    told = tab.evaluate("[...document.querySelectorAll('#jobs li')].map(each => each.innerText)")
    assert "The number of units is missing." in told[0]
    assert "Units with start and end typed: as found 1 of 2." in told[1]
    year = tab.evaluate("new Date().getFullYear()")
    assert all(f"{year}" in each for each in told)
    assert tab.attribute("#jobs li", "aria-current") == "true"
    assert tab.count("#jobs li[aria-current]") == 1


@BOTH
def test_jobs_are_renamed_on_the_sheet_and_in_the_list(tab: Tab) -> None:
    open_kept(tab)
    keep(tab, "First")
    tab.click("#new-job")
    keep(tab, "Second")
    open_list(tab)
    count_jobs(tab, 2)
    tab.click(act("Rename Second"))
    assert tab.evaluate("document.activeElement.value") == "Second"
    tab.press("Control+a")
    tab.type("On the sheet")
    tab.press("Enter")
    wait_for_title(tab, "On the sheet")
    tab.wait_for_element(act("Rename On the sheet"))
    tab.click(act("Rename First"))
    tab.press("Control+a")
    tab.type("In the list")
    tab.press("Enter")
    tab.wait_for_element(act("Open In the list"))
    # The focus has not gone astray, and Escape leaves all as it was.
    assert tab.evaluate("document.activeElement.ariaLabel") == "Rename In the list"
    tab.press("Enter")
    tab.type("Nonsense")
    tab.press("Escape")
    assert tab.evaluate("document.activeElement.ariaLabel") == "Rename In the list"
    assert sorted(each["title"] for each in stored(tab)["jobs"]) == ["In the list", "On the sheet"]
    tab.click(act("Open In the list"))
    wait_for_title(tab, "In the list")


@ONE
def test_a_copy_goes_its_own_way(tab: Tab) -> None:
    open_kept(tab)
    keep(tab, "Mine", {"vessel": "Aurelia"})
    open_list(tab)
    tab.click(act("Copy Mine"))
    tab.wait_for_element(act("Open Mine (copy)"))
    wait_for_notice(tab, "Mine (copy)")
    # It is not the one that is being worked on.
    tab.open(PAGE)
    wait_for_title(tab, "Mine")
    tab.wait_for_element(act("Open Mine (copy)"))
    open_list(tab)
    tab.click(act("Open Mine (copy)"))
    wait_for_title(tab, "Mine (copy)")
    assert tab.value(field("vessel")) == "Aurelia"
    tab.fill(field("vessel"), "Borealis")
    wait_for_stored(tab, "Borealis")
    tab.click(act("Open Mine"))
    wait_for_title(tab, "Mine")
    assert tab.value(field("vessel")) == "Aurelia"


@ONE
def test_a_deleted_job_comes_back_until_the_next_visit(tab: Tab) -> None:
    open_kept(tab)
    keep(tab, "First")
    tab.click("#new-job")
    keep(tab, "Second")
    open_list(tab)
    count_jobs(tab, 2)
    # One that is not open.
    tab.click(act("Delete First"))
    tab.wait_for_element(act("Undo: bring back First"))
    assert tab.text("#jobs summary") == "Jobs on this computer: 1"
    tab.click(act("Undo: bring back First"))
    tab.wait_for_element(act("Open First"))
    # The one on the sheet.
    tab.click(act("Delete Second"))
    tab.wait_for_element(act("Undo: bring back Second"))
    assert texts(tab) == {}
    tab.click(act("Undo: bring back Second"))
    tab.click(act("Open Second"))
    wait_for_title(tab, "Second")
    tab.click(act("Delete First"))
    tab.wait_for_element(act("Undo: bring back First"))
    tab.open(PAGE)
    wait_for_title(tab, "Second")
    count_jobs(tab, 1)
    assert [each["title"] for each in stored(tab)["jobs"]] == ["Second"]
    assert len(stored(tab)["contents"]) == 1


@ONE
def test_a_deleted_job_that_undo_brings_back_to_the_sheet_is_a_job_again(tab: Tab) -> None:
    open_kept(tab)
    keep(tab, "Mine")
    open_list(tab)
    tab.click(act("Delete Mine"))
    tab.wait_for_element(act("Undo: bring back Mine"))
    # A blank form has nothing to undo but this.
    tab.click("#new-job")
    assert titles(tab) == ["Mine"]
    tab.click(act("Undo: bring back Mine"))
    tab.wait_for_element(act("Open Mine"))
    tab.click(act("Open Mine"))
    wait_for_title(tab, "Mine")
    keep(tab, "Mine again")
    tab.open(PAGE)
    wait_for_title(tab, "Mine again")


def test_the_list_works_by_keyboard_is_accessible_and_large_enough(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    open_kept(tab)
    keep(tab, "First")
    tab.click("#new-job")
    keep(tab, HOSTILE)
    tab.focus("#jobs summary")
    tab.press("Enter")
    count_jobs(tab, 2)
    tab.press("Tab")
    assert tab.evaluate("document.activeElement.dataset.act") == "Rename"
    for width in (390, 1280):
        for dark in (False, True):
            tab.set_viewport(width)
            tab.emulate(dark=dark, reduced_motion=True)
            tab.click(act("Delete First"))
            tab.wait_for_element(act("Undo: bring back First"))
            tab.evaluate("void [...document.querySelectorAll('#jobs [data-act=Rename]')][0].click()")
            assert [str(one) for one in tab.axe(colours_alone=dark)] == []
            small = tab.evaluate(
                """[...document.querySelectorAll(":is(#jobs, .ws-keeping) :is(button, input, summary)")]
                    .filter(each => each.checkVisibility() && each.getBoundingClientRect().height < 44)
                    .map(each => each.outerHTML.slice(0, 80))"""
            )
            assert small == []
            assert tab.evaluate("document.documentElement.scrollWidth") <= width
            tab.press("Escape")
            tab.click(act("Undo: bring back First"))
            tab.wait_for_element(act("Delete First"))
    assert tab.evaluate("window.broken") is None
    tab.emulate(paper=True)
    assert not visible(tab, "#jobs")


# Two tabs.


@CROSSED_TABS
def test_a_second_tab_works_on_a_copy_and_overwrites_nothing(new_tab: NewTab) -> None:
    first, second = new_tab(), new_tab()
    open_kept(first)
    keep(first, "Mine", {"vessel": "Aurelia"})
    open_kept(second)
    wait_for_title(second, "Mine")
    wait_for_notice(second, "open in another tab")
    assert visible(second, "#work-on-copy")
    # Typing at once, without having read that.
    second.fill(field("vessel"), "Borealis")
    wait_for_notice(second, "copy")
    wait_for_title(second, "Mine (copy)")
    wait_for_stored(second, "Borealis")
    first.fill(field("engine.units"), "3")
    wait_for_stored(first, "as_found")
    first.wait_for(f"(await {STORED}).contents.some(each => each.texts['engine.units'] === '3')")
    kept = {each["texts"]["title"]: each["texts"] for each in stored(first)["contents"]}
    assert kept == {
        "Mine": {"title": "Mine", "vessel": "Aurelia", "engine.units": "3"},
        "Mine (copy)": {"title": "Mine (copy)", "vessel": "Borealis"},
    }
    # The list of the first tab has learned of it.
    open_list(first)
    first.wait_for_element(act("Open Mine (copy)"))
    # What is open elsewhere is neither renamed nor deleted from here.
    first.click(act("Delete Mine (copy)"))
    wait_for_notice(first, "open in another tab")
    assert len(stored(first)["contents"]) == 2
    assert first.complaints() == []
    assert second.complaints() == []


@CROSSED_TABS
def test_a_second_tab_waits_and_goes_on_with_what_the_first_one_typed(new_tab: NewTab) -> None:
    first, second = new_tab(), new_tab()
    open_kept(first)
    keep(first, "Mine")
    open_kept(second)
    wait_for_notice(second, "open in another tab")
    first.fill(TITLE, "Typed in the first")
    wait_for_stored(first, "Typed in the first")
    first.close()
    wait_for_notice(second, "go on here")
    wait_for_title(second, "Typed in the first")
    assert not visible(second, "#work-on-copy")
    second.fill(TITLE, "Gone on in the second")
    wait_for_stored(second, "Gone on in the second")
    assert [each["title"] for each in stored(second)["jobs"]] == ["Gone on in the second"]
    assert second.complaints() == []


@CROSSED_TABS
def test_a_copy_can_be_chosen(new_tab: NewTab) -> None:
    first, second = new_tab(), new_tab()
    open_kept(first)
    keep(first, "Mine")
    open_kept(second)
    wait_for_notice(second, "open in another tab")
    second.click("#work-on-copy")
    wait_for_title(second, "Mine (copy)")
    wait_for_stored(second, "Mine (copy)")
    assert len(stored(first)["jobs"]) == 2


@CROSSED_TABS
def test_without_locks_no_tab_overwrites_another_either(new_tab: NewTab) -> None:
    # As over http from another machine.
    first, second = new_tab(), new_tab()
    for each in (first, second):
        each.run_before_pages("delete Navigator.prototype.locks;")
    open_kept(first)
    assert first.evaluate("navigator.locks === undefined")
    keep(first, "Mine")
    open_kept(second)
    wait_for_title(second, "Mine")
    second.fill(field("vessel"), "Borealis")
    wait_for_stored(second, "Borealis")
    first.fill(field("vessel"), "Aurelia")
    wait_for_notice(first, "copy")
    wait_for_stored(first, "Aurelia")
    kept = {each["texts"]["title"]: each["texts"]["vessel"] for each in stored(first)["contents"]}
    assert kept == {"Mine": "Borealis", "Mine (copy)": "Aurelia"}


# When keeping fails, the page works on and says what to do.

FULL = "new DOMException('The quota has been exceeded.', 'QuotaExceededError')"


def saves_and_warns(tab: Tab, title: str) -> None:
    """The text is still in the form, leaving warns, and the file takes it."""
    assert tab.value(TITLE) == title
    assert "Save the job file" in tab.text(".ws-keeping")
    assert tab.evaluate(UNSAVED)
    saved = json.loads(tab.download("#save-job").read_text("utf-8"))
    assert saved["title"] == title
    tab.wait_for("document.querySelector('.ws-news').innerText.includes('is saved')")
    assert not tab.evaluate(UNSAVED)


@pytest.mark.parametrize(
    "refusal",
    [
        "Object.defineProperty(window, 'indexedDB', {value: undefined});",
        "IDBFactory.prototype.open = () => { throw new DOMException('The operation is insecure.', 'SecurityError'); };",
        """IDBFactory.prototype.open = () => {
            const asked = new EventTarget();
            Object.defineProperty(asked, 'error', {value: new DOMException('No.', 'UnknownError')});
            setTimeout(() => asked.dispatchEvent(new Event('error')));
            Object.setPrototypeOf(asked, IDBOpenDBRequest.prototype);
            return asked;
        };""",
    ],
    ids=["missing", "throws", "fails"],
)
@ONE
def test_where_storage_is_refused_the_page_works_on(tab: Tab, refusal: str) -> None:
    tab.run_before_pages(refusal)
    open_sheet(tab)
    assert not tab.evaluate(UNSAVED)
    tab.fill(TITLE, "In this page only")
    wait_for_notice(tab, "does not keep jobs")
    saves_and_warns(tab, "In this page only")


@ONE
def test_where_storage_is_full_the_page_works_on_and_keeps_again_later(tab: Tab) -> None:
    open_sheet(tab)
    keep(tab, "Kept")
    tab.evaluate(f"void (window.put = IDBObjectStore.prototype.put, IDBObjectStore.prototype.put = () => {{ throw {FULL}; }})")
    tab.fill(TITLE, "Too much")
    wait_for_notice(tab, "no room")
    saves_and_warns(tab, "Too much")
    assert [each["title"] for each in stored(tab)["jobs"]] == ["Kept"]
    # Room was made: it is tried again without being asked.
    tab.evaluate("void (IDBObjectStore.prototype.put = window.put)")
    wait_for_stored(tab, "Too much")
    tab.wait_for(f"!{NOTICE}.includes('no room')")
    assert [each["title"] for each in stored(tab)["jobs"]] == ["Too much"]


@BOTH
def test_a_quota_that_is_found_out_at_the_end_is_told_as_well(tab: Tab) -> None:
    # Browsers count while they write: the transaction ends with the error.
    open_sheet(tab)
    keep(tab, "Kept")
    tab.evaluate(
        f"""void (() => {{
            const {{put}} = IDBObjectStore.prototype;
            IDBObjectStore.prototype.put = function (...given) {{
                const asked = put.apply(this, given);
                this.transaction.abort();
                Object.defineProperty(this.transaction, "error", {{value: {FULL}}});
                return asked;
            }};
        }})()"""
    )
    tab.fill(TITLE, "Too much")
    wait_for_notice(tab, "Save the job file")
    saves_and_warns(tab, "Too much")


BREAK = """new Promise((resolve, reject) => {
    const asked = indexedDB.open("spillmark");
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => {
        const writing = asked.result.transaction(["jobs", "contents"], "readwrite");
        const contents = writing.objectStore("contents");
        contents.getAll().onsuccess = ({target}) => target.result.forEach(content => { CHANGE });
        writing.oncomplete = () => { asked.result.close(); resolve(true); };
    };
})"""


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("contents.put({...content, texts: 'nonsense'})", "damaged"),
        ("contents.delete(content.job)", "damaged"),
        ("contents.put({...content, version: 99, texts: 7})", "newer version"),
    ],
    ids=["corrupt", "gone", "newer"],
)
@ONE
def test_a_job_that_cannot_be_read_is_told_and_left_alone(tab: Tab, change: str, words: str) -> None:
    open_kept(tab)
    keep(tab, "Mine")
    tab.evaluate(BREAK.replace("CHANGE", change))
    tab.open(PAGE)
    wait_for_notice(tab, words)
    assert "job file" in tab.text(".ws-keeping")
    assert texts(tab) == {}
    before = stored(tab)
    keep(tab, "Another")
    after = stored(tab)
    assert all(each in after["contents"] for each in before["contents"])
    count_jobs(tab, 2)
    open_list(tab)
    tab.click(act("Open Mine"))
    wait_for_notice(tab, words)
    assert tab.value(TITLE) == "Another"


@ONE
def test_a_job_that_is_damaged_in_part_opens_with_the_rest(tab: Tab) -> None:
    open_kept(tab)
    keep(tab, "Mine", {"vessel": "Aurelia"})
    change = "contents.put({...content, base: 7, opened: 'x', texts: {...content.texts, vessel: {}, title: 'Mine'}})"
    tab.evaluate(BREAK.replace("CHANGE", change))
    tab.evaluate(BREAK.replace("CHANGE", "writing.objectStore('jobs').put({job: content.job, title: [], progress: 'x'})"))
    tab.open(PAGE)
    wait_for_notice(tab, "damaged")
    assert texts(tab) == {"title": "Mine"}
    open_list(tab)
    assert titles(tab) == ["Job without a title"]


@BOTH
def test_a_database_of_a_newer_version_is_left_alone(tab: Tab) -> None:
    tab.open("index.html")
    tab.evaluate(
        """new Promise((resolve, reject) => {
            const asked = indexedDB.open("spillmark", 99);
            asked.onerror = reject;
            asked.onsuccess = () => { asked.result.close(); resolve(true); };
        })"""
    )
    if tab.evaluate("navigator.userAgent.includes('Firefox') && location.protocol === 'file:'"):
        # There each page of a folder has a database of its own.
        tab.open(PAGE)
        tab.wait_for("document.querySelector('#jobs').dataset.kept === 'yes'")
        tab.evaluate(
            """new Promise((resolve, reject) => {
                const asked = indexedDB.open("spillmark", 99);
                asked.onerror = reject;
                asked.onsuccess = () => { asked.result.close(); resolve(true); };
            })"""
        )
    open_sheet(tab)
    wait_for_notice(tab, "newer version")
    tab.fill(TITLE, "Mine")
    saves_and_warns(tab, "Mine")


@BOTH
def test_a_database_that_is_deleted_under_way_is_made_again(tab: Tab) -> None:
    open_kept(tab)
    keep(tab, "Mine", {"vessel": "Aurelia"})
    tab.evaluate(
        """new Promise((resolve, reject) => {
            const asked = indexedDB.deleteDatabase("spillmark");
            asked.onsuccess = () => resolve(true);
            asked.onerror = asked.onblocked = reject;
        })"""
    )
    tab.fill(TITLE, "Mine, gone on")
    wait_for_stored(tab, "Mine, gone on")
    tab.open(PAGE)
    wait_for_title(tab, "Mine, gone on")
    assert tab.value(field("vessel")) == "Aurelia"


@CROSSED_TABS
def test_where_another_tab_holds_an_older_database_the_page_says_so_and_goes_on(new_tab: NewTab) -> None:
    other, tab = new_tab(), new_tab()
    other.open(PAGE)
    other.wait_for("document.querySelector('#jobs').dataset.kept === 'yes'")
    # Something in that tab does not make way.
    other.evaluate(
        """new Promise((resolve, reject) => {
            window.held = indexedDB.open("spillmark");
            held.onsuccess = () => resolve(true);
            held.onerror = reject;
        })"""
    )
    tab.run_before_pages(
        """const {open} = IDBFactory.prototype;
        IDBFactory.prototype.open = function (name, version) { return open.call(this, name, version && version + 1); };"""
    )
    tab.open(PAGE)
    wait_for_notice(tab, "Close the other tabs")
    tab.fill(TITLE, "Typed meanwhile")
    assert tab.evaluate(UNSAVED)
    other.close()
    tab.wait_for(f"{NOTICE} === ''")
    wait_for_stored(tab, "Typed meanwhile")
