"""The trend of past checks as a person uses it: kept jobs, files, a folder, the demo's past; told, chosen, printed."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

from site_demo.history import FOLDER
from site_demo.stamps import ROOT
from tests.invented import both, engine_job

from .chromium import ChromiumTab
from .conftest import BOTH, ONE
from .sound import looks, too_small
from .tab import Tab
from .test_store import wait_until_kept
from .test_worksheet import field, load, open_sheet, put, texts, wait_for_verdict

HISTORY = sorted(FOLDER.glob("*.json"))
ASKED = {"interval_h": "7500", "now_hours": "22100", "hours_per_day": "18,5", "needs_h": "30", "calls": "190 36"}
OPTIONS = ("--interval", "7500", "--now", "22100", "--hours-per-day", "18.5", "--needs", "30", "--call", "190:36")
SPAN = "document.querySelector('#trend .sm-span')?.textContent"
INTERVAL = field("trend.interval_h")


def open_trend(tab: Tab) -> None:
    """Open the panel, and wait until it has looked what there is."""
    tab.click("#trend > summary")
    tab.wait_for("document.querySelector('#trend fieldset > p').textContent !== ''")


def wait_for_checks(tab: Tab, count: int) -> None:
    """Wait until a trend over so many checks is told."""
    tab.wait_for(f"{SPAN}?.includes(', {count} check')")


def listed(tab: Tab) -> dict[str, str]:
    """What is in the list: name, and what is said of it."""
    found: dict[str, str] = tab.evaluate(
        "Object.fromEntries([...document.querySelectorAll('.ws-pasts li')].map(each =>"
        "[each.querySelector('strong').textContent, each.querySelector('.ws-quiet').textContent]))"
    )
    return found


def tick(tab: Tab, name: str) -> None:
    """Tick or untick the check of this name, by the mouse on its name."""
    at = list(listed(tab)).index(name) + 1
    tab.evaluate(f"document.querySelector('.ws-pasts li:nth-child({at})').scrollIntoView({{block: 'center'}}), 0")
    tab.click(f".ws-pasts li:nth-child({at}) label")


def told_by_the_command() -> dict[str, Any]:
    """The one engine of the demo's past, as the command tells it."""
    command = [sys.executable, "-m", "calc", "trend", "--json", *OPTIONS, str(FOLDER)]
    done = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True)
    [engine] = json.loads(done.stdout)["engines"]
    assert isinstance(engine, dict)
    return engine


@BOTH
def test_kept_jobs_and_files_say_what_the_command_says(tab: Tab, tmp_path: Path) -> None:
    other, no_hours = engine_job(readings=both(1)), engine_job(readings=both(1))
    del no_hours["running_hours"]
    bad, other_file = put(tmp_path, "{", "bad.json"), put(tmp_path, other, "other ship.json")
    # The demo is a job only when something is typed in it.
    mine = {key: value for key, value in json.loads(HISTORY[0].read_text("utf-8")).items() if key != "demo"}
    open_sheet(tab)
    load(tab, put(tmp_path, mine))
    open_trend(tab)
    wait_for_checks(tab, 1)
    assert "One check shows no drift." in tab.text("#trend .ws-tried")
    # A bad file among many is told by name, and stops no other.
    tab.upload("#trend-files", *HISTORY[1:4], bad, other_file, put(tmp_path, no_hours, "no hours.json"))
    wait_for_checks(tab, 1)
    tab.wait_for("document.querySelectorAll('#trend .sm-trend').length === 2")
    tab.wait_for("document.querySelectorAll('#trend .sm-trend')[1].textContent.includes('4 checks')")
    said = listed(tab)
    assert said["bad.json"].startswith("Takes no part. ")
    assert "no running hours" in said["no hours.json"]
    assert "2 cannot: the list says why." in tab.text("#trend fieldset")
    # Kept as jobs, those of this engine take part by themselves, and the other ship's does not.
    tab.click("#trend-keep")
    tab.wait_for("document.querySelector('.ws-news').innerText.includes('5 files are jobs')")
    tab.wait_for("document.querySelectorAll('#trend .sm-trend').length === 1")
    wait_for_checks(tab, 4)
    assert list(listed(tab)).count("bad.json") == 1
    tab.upload("#trend-files", *HISTORY[4:])
    wait_for_checks(tab, 8)
    for name, text in (
        ("interval_h", "7500"),
        ("now_hours", "22100"),
        ("hours_per_day", "18,5"),
        ("needs_h", "30"),
        ("calls", "190 36"),
    ):
        tab.fill(field(f"trend.{name}"), text)
    engine = told_by_the_command()
    tab.wait_for(f"document.querySelector('#trend .sm-answer').textContent === {json.dumps(engine['next_check']['text'])}")
    shown = tab.evaluate("[...document.querySelectorAll('#trend .sm-trend li')].map(each => each.textContent)")
    assert " ".join(shown) == engine["text"]
    rows = tab.evaluate(
        "[...document.querySelectorAll('#trend tbody tr')].map(each => [...each.children].map(cell => cell.textContent))"
    )
    events = [event for unit in engine["units"] for event in (unit["beginning"], unit["end"])]
    assert [row[1] for row in rows] == [str(event["readings"]) for event in events]
    assert [row[3] for row in rows] == ["yes" if event["provable"] else "no" for event in events]
    for row, event in zip(rows, events, strict=True):
        assert float(row[2].split("°")[0].replace("−", "-")) == round(event["slope_per_1000_h"], 3)
    # It goes into no job file; and the page comes back with it.
    assert "trend." not in tab.download("#save-job").read_text("utf-8")
    wait_until_kept(tab)
    tab.open("worksheet.html")
    open_trend(tab)
    wait_for_checks(tab, 4)
    assert tab.value(INTERVAL) == "7500"
    assert tab.value(field("trend.calls")) == "190 36"


@ONE
def test_a_folder_brings_its_job_files_and_passes_others_over(tab: Tab, tmp_path: Path) -> None:
    folder = tmp_path / "past"
    folder.mkdir()
    for path in HISTORY[:3]:
        put(folder, path.read_text("utf-8"), path.name)
    put(folder, '{"format": "spillmark-findings", "version": 1}', "findings.json")
    put(folder, "no job", "notes.txt")
    open_sheet(tab)
    open_trend(tab)
    assert "There is no check yet." in tab.text("#trend fieldset")
    tab.upload("#trend-folder", folder)
    wait_for_checks(tab, 3)
    assert list(listed(tab)) == [f"past/{path.name}" for path in HISTORY[:3]]
    # The same folder again brings nothing twice; a copy is told.
    tab.upload("#trend-folder", folder)
    tab.upload("#trend-files", HISTORY[0])
    tab.wait_for("document.querySelector('#trend .ws-tried').textContent.includes('another file holds the same check')")
    wait_for_checks(tab, 3)
    assert len(listed(tab)) == 4
    tick(tab, HISTORY[0].name)
    tab.wait_for("!document.querySelector('#trend .ws-tried').textContent.includes('another file')")
    tab.click("#trend-none")
    tab.wait_for("document.querySelector('#trend .ws-tried').textContent.startsWith('No check takes part yet.')")
    tab.click("#trend-all")
    wait_for_checks(tab, 3)
    tab.click("#trend-away")
    tab.wait_for("document.querySelectorAll('.ws-pasts li').length === 0")


def test_the_demos_past_by_keyboard_on_every_screen_and_on_paper(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    tab = chromium_tab
    open_sheet(tab)
    tab.click("#show-demo")
    wait_for_verdict(tab, "outside")
    typed = texts(tab)
    tab.focus("#trend > summary")
    tab.press("Enter")
    wait_for_checks(tab, 1)
    tab.focus("#trend-demo")
    tab.press("Enter")
    wait_for_checks(tab, 9)
    # The demo's main job has a step of all units: that is told before any drift.
    assert "all units moved together" in tab.text("#trend .sm-signal")
    tab.focus(".ws-pasts li:first-child input")
    tab.press("Space")
    wait_for_checks(tab, 8)
    assert "due at 27228 h" in tab.text("#trend .sm-answer")
    tab.wait_for("document.querySelector('#trend > [role=status]').textContent.includes('due at 27228 h')")
    tab.fill(INTERVAL, "soon")
    tab.press("Tab")
    tab.wait_for(f"document.querySelector({json.dumps(INTERVAL)}).getAttribute('aria-invalid') === 'true'")
    targets = "#trend :is(button, input:not([type=file], [type=checkbox]), label.ws-take, label.ws-button, summary)"
    for _ in looks(tab):
        assert too_small(tab, targets) == []
    tab.fill(INTERVAL, "7500")
    tab.wait_for("document.querySelector('#trend > [role=status]').textContent.includes('due at 27228 h')")
    paper = tab.download("#trend-paper")
    html = paper.read_text("utf-8")
    assert "<svg" in html
    assert "Demo: ship and numbers are invented." in html
    assert HISTORY[0].name in html
    # Nothing of it changed the job.
    assert {key: text for key, text in texts(tab).items() if not key.startswith("trend.")} == typed
