"""Jobs that a released version has kept in the browser open in this one, in a database that this one has made."""

import json
from pathlib import Path
from typing import Any

import pytest

from calc.version import PROGRAM
from site_demo.keep_released import RELEASED

from .conftest import BOTH, ONE
from .tab import Tab
from .test_store import STORED, TITLE, act, count_jobs, keep, open_kept, open_list, open_with_python, stored, wait_for_title
from .test_worksheet import PAGE, texts

FOLDERS = sorted(folder for folder in RELEASED.iterdir() if folder.is_dir())

# As the worksheet of that version has written them, beside each other in the two stores.
BRING = """new Promise((resolve, reject) => {
    const asked = indexedDB.open("spillmark");
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => {
        const writing = asked.result.transaction(["jobs", "contents"], "readwrite");
        for (const content of CONTENTS) {
            writing.objectStore("contents").put(content);
            writing.objectStore("jobs").put({job: content.job, revision: 1, title: content.texts.title,
                changed: 1, used: 1, progress: {units: 0, read: {}}});
        }
        writing.oncomplete = () => { asked.result.close(); resolve(true); };
    };
})"""


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
@BOTH
def test_kept_jobs_of_a_released_version_open(tab: Tab, folder: Path) -> None:
    contents: list[dict[str, Any]] = json.loads((folder / "kept.json").read_text("utf-8"))
    open_kept(tab)
    tab.evaluate(BRING.replace("CONTENTS", json.dumps(contents)))
    tab.open(PAGE)
    count_jobs(tab, len(contents))
    for content in contents:
        open_list(tab)
        title = content["texts"]["title"]
        if tab.value(TITLE) != title:
            tab.click(act(f"Open {title}"))
        wait_for_title(tab, title)
        assert texts(tab) == content["texts"]
    keep(tab, "Changed")
    kept = {each["job"]: each for each in stored(tab)["contents"]}
    for content in contents:
        assert kept[content["job"]]["base"] == content["base"]


@ONE
def test_the_browser_keeps_which_version_worked_on_a_job(tab: Tab) -> None:
    """Also for a job that is never saved to a file, so that a later version can tell of a recall."""
    open_with_python(tab)
    keep(tab, "Mine")
    tab.wait_for(f"(await {STORED}).contents.some(each => each.base.written_by === {json.dumps(PROGRAM)})")
    assert stored(tab)["contents"][0]["texts"] == {"title": "Mine"}
