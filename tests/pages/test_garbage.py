"""Storage that holds what no page of ours has written, or is full, or is shut: the pages work on."""

import json

import pytest

from .chromium import ChromiumTab
from .conftest import BOTH, ONE
from .tab import Tab
from .test_store import (
    TITLE,
    UNSAVED,
    act,
    keep,
    open_list,
    open_with_python,
    saves_and_warns,
    titles,
    wait_for_notice,
    wait_for_stored,
)
from .test_worksheet import PAGE, field, open_sheet

GARBAGE = [
    "",
    "null",
    "7",
    "true",
    "[]",
    "{}",
    '"text"',
    "[[]]",
    '[["x", {"a": 7}]]',
    '{"a": {"b": []}}',
    "{",
    "\0",
    "zzz~~1.2.3",
    "~a.1.1.1.!",
    '[{"score": "x", "level": {}, "date": 7, "seed": []}]',
    '{"number": 1e999, "level": -1, "actions": [7], "answers": {"1": 7}}',
    "x" * 10_000,
]
# Every text of ours reads as garbage, and what is written is kept as always.
SPOILED = """
const { getItem } = Storage.prototype;
Storage.prototype.getItem = function (name) {
  return name.startsWith("spillmark") && !name.includes("last-words") ? GARBAGE : getItem.call(this, name);
};
"""
SHUT = """
for (const name of ["localStorage", "sessionStorage"]) {
  Object.defineProperty(window, name, { get() { throw new DOMException("The operation is insecure.", "SecurityError"); } });
}
"""
PAGES = {
    PAGE: "document.querySelector('#jobs').dataset.kept === 'yes'",
    "learn/index.html": "document.querySelector('[data-act=forget]')",
    "learn/record.html": "document.querySelector('input')",
    "learn/lesson-1.html": "document.querySelector('[data-act=another]')",
    "learn/practice.html": "document.querySelector('.practice, #practice, select')",
    "calculate/fuel.html": "document.querySelector('.calculation input')",
}


@pytest.mark.parametrize("page", list(PAGES))
@ONE
def test_garbage_in_the_small_storage_stops_no_page(tab: Tab, page: str) -> None:
    tab.run_before_pages("delete globalThis.WebAssembly;")
    for text in GARBAGE:
        tab.run_before_pages(SPOILED.replace("GARBAGE", json.dumps(text)))
        tab.open(page)
        tab.wait_for(PAGES[page])
    assert tab.complaints() == []


@pytest.mark.parametrize("page", list(PAGES))
@ONE
def test_a_small_storage_that_is_shut_stops_no_page(tab: Tab, page: str) -> None:
    tab.run_before_pages(f"delete globalThis.WebAssembly;{SHUT}")
    tab.open(page)
    tab.wait_for(PAGES[page])
    # The theme's own scripts look there too and complain; ours do not.
    ours = [line for line in tab.complaints() if "generated/app" in line]
    tab.forget()
    assert ours == []


@pytest.mark.parametrize("tab", ["firefox-file"], indirect=True)
def test_a_cookie_that_no_page_has_coded_is_passed_over(tab: Tab) -> None:
    tab.open("learn/index.html")
    for name in ("spillmark.lessons", "spillmark.practice"):
        tab.evaluate(f"void (document.cookie = '{name}=%E0%A4%A; samesite=strict')")
    for page in ("learn/index.html", "learn/record.html"):
        tab.open(page)
        tab.wait_for(PAGES[page])
    assert tab.complaints() == []


PUT = """new Promise((resolve, reject) => {
    const asked = indexedDB.open("spillmark");
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => {
        const writing = asked.result.transaction(["jobs", "contents"], "readwrite");
        ENTRIES.forEach(each => writing.objectStore("jobs").put(each));
        CONTENTS.forEach(each => writing.objectStore("contents").put(each));
        writing.oncomplete = () => { asked.result.close(); resolve(true); };
        writing.onerror = () => reject(writing.error);
    };
})"""
ENTRIES = """[
    {job: "a"}, {job: 7, title: 7}, {job: [1, "b"], title: []}, {job: new Date(0), changed: "yesterday"},
    {job: "c", title: "Far away", changed: 1e300, used: Infinity, revision: 2 ** 80, progress: {units: "six"}, step: 9},
    {job: "d", title: "Never", changed: NaN, used: NaN, revision: NaN, progress: {units: 1e9, read: {as_found: {}}},
     deleted: "x"},
    {job: "e", title: "<img src=x onerror=window.broken=1>", changed: new Date(), progress: []},
    {job: "f", title: "x".repeat(1e5), changed: -1e18, used: -Infinity}
]"""
CONTENTS = """[
    {job: "a", version: "1", texts: {}}, {job: 7, version: NaN, texts: []}, {job: [1, "b"], texts: null},
    {job: "c", version: 1, texts: {title: "Far away", constructor: "x", "engine.units": "9e99", "": "", "/": "x"},
     base: {engine: 7, readings: {}, reference: [], format: null}, opened: [1, null, "title"],
     beside: {plan: 7, whatif: [], x: {y: 1}}},
    {job: "d", version: -1, texts: new Map([["title", "x"]])}, {job: "e", version: 1, texts: {title: 7}, base: null},
    {job: "nobody's", version: 1, texts: {title: "Without an entry"}}
]"""


@BOTH
def test_records_of_any_kind_in_the_database_stop_nothing(tab: Tab) -> None:
    open_with_python(tab)
    keep(tab, "Mine", {"vessel": "Aurelia"})
    tab.evaluate(PUT.replace("ENTRIES", ENTRIES).replace("CONTENTS", CONTENTS))
    open_sheet(tab)
    # Each can be looked at, in turn; what cannot be opened says so, and what can is there.
    open_list(tab)
    tab.wait_for("document.querySelectorAll('#jobs li').length >= 9")
    assert {"Mine", "Far away", "Never"} <= set(titles(tab))
    count = tab.count("#jobs [data-act=Open]")
    for number in range(count):
        tab.evaluate(f"void document.querySelectorAll('#jobs [data-act=Open]')[{number}]?.click()")
        tab.wait_for("document.querySelector('#jobs').dataset.kept === 'yes'")
    tab.click("#new-job")
    tab.wait_for_element(act("Open Mine"))
    tab.click(act("Open Mine"))
    tab.wait_for(f"document.querySelector({json.dumps(TITLE)}).value === 'Mine'")
    assert tab.value(field("vessel")) == "Aurelia"
    keep(tab, "Mine, gone on")
    assert tab.evaluate("window.broken") is None
    assert tab.complaints() == []


@pytest.mark.parametrize("tab", ["chromium-http"], indirect=True)
def test_a_disk_that_is_really_full_is_told_and_tried_again(tab: Tab) -> None:
    """The browser itself refuses: its quota for the site is less than the job takes."""
    assert isinstance(tab, ChromiumTab)
    # Before the database is opened: the browser asks for the room that there is only now and then.
    tab.open("index.html")
    origin = tab.evaluate("location.origin")
    session = tab.session()
    session.send("Storage.overrideQuotaForOrigin", {"origin": origin, "quotaSize": 1_000_000})
    open_sheet(tab)
    keep(tab, "Kept")
    vessel = "x" * 3_000_000
    tab.evaluate(
        f"""void (() => {{
            const input = document.querySelector({json.dumps(field("vessel"))});
            input.value = {json.dumps(vessel)};
            input.dispatchEvent(new Event("input", {{bubbles: true}}));
        }})()"""
    )
    tab.fill(TITLE, "Too much")
    wait_for_notice(tab, "no room")
    assert tab.evaluate(UNSAVED)
    saves_and_warns(tab, "Too much")
    # Room again.
    session.send("Storage.overrideQuotaForOrigin", {"origin": origin})
    wait_for_stored(tab, "Too much")
    tab.wait_for("!document.querySelector('.ws-keeping').innerText.includes('no room')")
