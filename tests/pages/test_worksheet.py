"""The worksheet as a person uses it: typed, opened, saved, mended; and what happens when Python does not come."""

import copy
import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from calc.job.write import checksum
from tests.bench.engine import twelve_unit_job

from .chromium import ChromiumTab
from .conftest import BOTH, CROSSED, ONE, Browsers
from .tab import Tab

PAGE = "worksheet.html"
READY = "document.documentElement.dataset.calc === 'ready'"
PYTHON_S = 60.0
TOLERANCE = "reference.angle_tolerance_deg"
START = "readings/1/as_found/suction_closing/ahead"
END = "readings/1/as_found/spill_opening/ahead"
HOSTILE = '<img src=x onerror="window.broken=1"><script>window.broken=1</script>\'">&lt;b&gt;'

# A job of one unit as somebody types it: commas, words, units and signs of every kind.
TYPED = {
    "title": "Hand-typed check",
    "engine.units": "1",
    "engine.firing_order": "1",
    "reference.fuel_index": "62",
    TOLERANCE: "0,5",
    "reference.seat_contact_mm": "0.03 mm",
    "reference.units/1/pre_stroke_mm": "11.5",
    "reference.units/1/beginning_deg": "6 before",
    "reference.units/1/spill_lift_mm": "35.5",
    "reference.units/1/end_deg": "10",
    "instruments.pointer_u_deg": "0.04",
    "instruments.plunger_gauge.step_mm": "0.01",
    "instruments.plunger_gauge.error_limit_mm": "0.012",
    "instruments.valve_gauge.step_mm": "0.01",
    "instruments.valve_gauge.error_limit_mm": "0.004",
    "instruments.angle_scale.step_deg": "0.1",
}
READ = {
    f"{START}/plunger_lift_mm": "11.52 11.50",
    f"{START}/crank_angle_deg": "−6.0 -6,0",
    f"{END}/plunger_lift_mm": "35.48",
    f"{END}/crank_angle_deg": "10.0",
}


def job(**changes: Any) -> dict[str, Any]:
    """A complete job file of two units."""
    tree: dict[str, Any] = {
        "format": "spillmark-job",
        "version": 1,
        "title": "Two units",
        "engine": {"units": 2, "firing_order": [1, 2]},
        "reference": {
            "fuel_index": 62.0,
            "angle_tolerance_deg": 0.5,
            "seat_contact_mm": 0.03,
            "units": [
                {"unit": unit, "pre_stroke_mm": 11.5, "beginning_deg": -6.0, "spill_lift_mm": 35.5, "end_deg": 10.0}
                for unit in (1, 2)
            ],
        },
        "instruments": {
            "plunger_gauge": {"step_mm": 0.01, "error_limit_mm": 0.012},
            "valve_gauge": {"step_mm": 0.01, "error_limit_mm": 0.004},
            "angle_scale": {"step_deg": 0.1},
            "pointer_u_deg": 0.04,
        },
        "readings": [
            {
                "unit": unit,
                "stage": "as_found",
                "event": event,
                "method": "at_contact",
                "plunger_lift_mm": [lift],
                "crank_angle_deg": [angle],
            }
            for unit in (1, 2)
            for event, lift, angle in (("suction_closing", 11.5, -6.0), ("spill_opening", 35.5, 10.0))
        ],
    }
    return {**tree, **changes}


def put(folder: Path, tree: object, name: str = "job.json") -> Path:
    """A file to open."""
    path = folder / name
    path.write_text(tree if isinstance(tree, str) else json.dumps(tree), encoding="utf-8")
    return path


def field(key: str) -> str:
    """Selector of the control of one form key."""
    return f'[name="{key}"]'


def note(key: str) -> str:
    """Selector of what the page says beneath it."""
    return f'[id="note-{key}"]'


def open_sheet(tab: Tab) -> None:
    """Open the worksheet and wait for Python."""
    tab.open(PAGE)
    tab.wait_for(READY, timeout_s=PYTHON_S)


def load(tab: Tab, file: Path) -> None:
    """Choose a job file and wait until it is in the form."""
    tab.upload("#open-job", file)
    tab.wait_for(f"document.querySelector('.ws-news').innerText.includes({json.dumps(file.name + ' is open')})")


def type_into(tab: Tab, entries: dict[str, str]) -> None:
    """Type one field after the other."""
    for key, text in entries.items():
        tab.fill(field(key), text)


def texts(tab: Tab) -> dict[str, str]:
    """Every text in the form, by key."""
    found: dict[str, str] = tab.evaluate(
        "Object.fromEntries([...document.querySelectorAll('#sheet .ws-control[name]')]"
        ".map(each => [each.name, each.value]).filter(([, text]) => text))"
    )
    return found


def verdict(tab: Tab) -> str | None:
    """The verdict on show."""
    return tab.attribute("#findings", "data-verdict")


def wait_for_verdict(tab: Tab, word: str) -> None:
    """Wait until the findings say so."""
    tab.wait_for(f"document.querySelector('#findings').dataset.verdict === {json.dumps(word)}")


def visible(tab: Tab, selector: str) -> bool:
    """Whether the first match takes up room."""
    return bool(tab.evaluate(f"document.querySelector({json.dumps(selector)})?.checkVisibility() ?? false"))


def open_everything(tab: Tab) -> None:
    """Open all that is closed, the workings too, and wait until they are there."""
    tab.evaluate("void document.querySelectorAll('#sheet details:not([open]) > summary').forEach(each => each.click())")
    tab.wait_for("[...document.querySelectorAll('.ws-lines')].every(each => each.childElementCount)")


@BOTH
def test_it_opens_blank(tab: Tab) -> None:
    open_sheet(tab)
    tab.wait_for("document.querySelector('.ws-missing').checkVisibility()")
    assert texts(tab) == {}
    assert verdict(tab) is None
    assert tab.count("#findings [data-unit]") == 0
    assert tab.count("#open-job[type=file]") == 1
    assert not visible(tab, ".ws-demo")
    assert not visible(tab, ".ws-errors")
    assert tab.evaluate("!document.title.startsWith('Error')")
    # Common practice stands beside the field, and only there.
    assert "no source" in tab.text(f'[id="empty-{TOLERANCE}"]')


@CROSSED
def test_a_job_typed_by_hand_is_judged(tab: Tab) -> None:
    open_sheet(tab)
    type_into(tab, TYPED)
    tab.select(field(f"{START}/method"), "at_contact")
    tab.select(field(f"{END}/method"), "at_contact")
    type_into(tab, READ)
    wait_for_verdict(tab, "within")
    assert tab.attribute("#findings [data-unit='1'][data-stage='as_found']", "data-verdict") == "within"
    assert tab.count("#findings .sm-lift") == 1
    assert tab.count("#findings .sm-strip") == 1
    tab.fill(field(f"{END}/crank_angle_deg"), "12.5")
    wait_for_verdict(tab, "outside")
    assert tab.attribute("#findings [data-unit='1']", "data-verdict") == "outside"


@ONE
def test_what_was_understood_is_echoed(tab: Tab) -> None:
    open_sheet(tab)
    type_into(tab, {"engine.units": "1", TOLERANCE: "0,5", "reference.units/1/beginning_deg": "-6"})
    tab.wait_for(f"document.querySelector({json.dumps(note(TOLERANCE))}).innerText === '±0.5°'")
    tab.wait_for_element(note("reference.units/1/beginning_deg"))
    tab.wait_for(f"document.querySelector({json.dumps(note('reference.units/1/beginning_deg'))}).innerText === '6° before TDC'")


@BOTH
def test_a_job_file_is_opened(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    load(tab, put(tmp_path, job()))
    wait_for_verdict(tab, "within")
    assert tab.value(field("title")) == "Two units"
    assert tab.value(field("readings/2/as_found/spill_opening/ahead/plunger_lift_mm")) == "35.5"
    assert tab.count("#findings article[data-unit][data-stage][data-verdict]") == 2
    assert not visible(tab, ".ws-demo")


@BOTH
def test_the_demo_comes_on_request_and_says_so(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    assert not visible(tab, ".ws-demo")
    tab.click("#show-demo")
    tab.wait_for("document.querySelector('#findings').dataset.verdict")
    assert visible(tab, ".ws-demo")
    assert "invented" in tab.text(".ws-demo")
    saved = tab.download("#save-job")
    # A demo that was saved is still a demo; a job of one's own is not.
    load(tab, put(tmp_path, job(), "own.json"))
    assert not visible(tab, ".ws-demo")
    load(tab, saved)
    assert visible(tab, ".ws-demo")


def test_every_demo_job_can_be_chosen_and_judged(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    open_sheet(tab)
    count = tab.count("#demo-job option")
    assert count >= 3
    for at in range(count):
        tab.select("#demo-job", str(at))
        title = tab.evaluate(f"document.querySelector('#demo-job').options[{at}].text")
        tab.click("#show-demo")
        tab.wait_for(f"document.querySelector('{field('title')}').value === {json.dumps(title)}")
        tab.wait_for("document.querySelector('#findings').dataset.verdict")
        assert not visible(tab, ".ws-errors"), title
        assert not visible(tab, ".ws-missing"), title


def test_python_answers_alike_from_its_snapshot_and_from_nothing(browsers: Browsers, site: Path, tmp_path: Path) -> None:
    without = tmp_path / "without"
    shutil.copytree(site, without)
    (without / "generated" / "app" / "python-snapshot.js").unlink()
    shown: dict[str, list[str]] = {}
    for start, folder in (("snapshot", site), ("cold", without)):
        tab = browsers["chromium"].tab(base=folder.as_uri() + "/", downloads=tmp_path)
        open_sheet(tab)
        assert tab.evaluate("document.documentElement.dataset.start") == start
        shown[start] = []
        for at in range(tab.count("#demo-job option")):
            tab.select("#demo-job", str(at))
            title = tab.evaluate(f"document.querySelector('#demo-job').options[{at}].text")
            tab.click("#show-demo")
            tab.wait_for(f"document.querySelector('{field('title')}').value === {json.dumps(title)}")
            tab.wait_for("document.querySelector('#findings [data-unit][data-verdict]')")
            # Only units in sight are drawn at once; the saved job and the record have all of it.
            shown[start] += [
                tab.download(button).read_text("utf-8") for button in ("#save-record", "#save-findings", "#save-job")
            ]
        tab.close()
    assert len(shown["cold"]) == 9
    assert shown["snapshot"] == shown["cold"]


@BOTH
def test_errors_are_told_at_the_top_and_at_the_field_until_mended(tab: Tab) -> None:
    open_sheet(tab)
    tab.fill(field(TOLERANCE), "half")
    tab.wait_for("document.querySelector('.ws-missing').checkVisibility()")
    # Nobody is corrected while still typing.
    assert not visible(tab, ".ws-errors")
    assert tab.attribute(field(TOLERANCE), "aria-invalid") is None
    tab.press("Tab")
    tab.wait_for("document.querySelector('.ws-errors').checkVisibility()")
    told = tab.text(note(TOLERANCE))
    assert "half" in told
    assert told in tab.text(".ws-errors a")
    assert tab.attribute(field(TOLERANCE), "aria-invalid") == "true"
    assert f"note-{TOLERANCE}" in str(tab.attribute(field(TOLERANCE), "aria-describedby"))
    assert tab.evaluate("document.title").startswith("Error: ")
    tab.click(".ws-errors a")
    assert tab.evaluate("document.activeElement.name") == TOLERANCE
    tab.fill(field(TOLERANCE), "0.5")
    tab.wait_for("!document.querySelector('.ws-errors').checkVisibility()")
    assert tab.attribute(field(TOLERANCE), "aria-invalid") is None
    assert not tab.evaluate("document.title").startswith("Error: ")


@ONE
def test_a_files_errors_are_told_at_once(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    tree = job()
    tree["reference"]["seat_contact_mm"] = 2
    tree["readings"][3]["plunger_lift_mm"] = [-1]
    load(tab, put(tmp_path, tree))
    tab.wait_for("document.querySelectorAll('.ws-errors li').length === 2")
    assert tab.evaluate("document.activeElement.matches('.ws-errors')")
    tab.evaluate("void document.querySelectorAll('.ws-errors a')[1].click()")
    assert tab.evaluate("document.activeElement.name") == "readings/2/as_found/spill_opening/ahead/plunger_lift_mm"


@ONE
def test_what_is_missing_leads_to_its_field(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    tree = job()
    del tree["instruments"]["pointer_u_deg"]
    load(tab, put(tmp_path, tree))
    tab.wait_for("document.querySelectorAll('.ws-missing li').length === 1")
    assert not visible(tab, ".ws-errors")
    tab.click(".ws-missing a")
    assert tab.evaluate("document.activeElement.name") == "instruments.pointer_u_deg"
    tab.type("0.04")
    wait_for_verdict(tab, "within")
    assert not visible(tab, ".ws-missing")


@BOTH
def test_saved_and_opened_again_nothing_has_changed(tab: Tab) -> None:
    open_sheet(tab)
    type_into(tab, TYPED)
    tab.select(field(f"{START}/method"), "at_contact")
    type_into(
        tab, {f"{START}/plunger_lift_mm": "11.52 11.5", f"{START}/crank_angle_deg": "so and so", "fuel.temperature_c": "hot"}
    )
    before = texts(tab)
    saved = tab.download("#save-job")
    assert json.loads(saved.read_text("utf-8"))["engine"]["units"] == 1
    tab.click("#new-job")
    assert texts(tab) == {}
    load(tab, saved)
    understood = {TOLERANCE: "0.5", "reference.seat_contact_mm": "0.03", "reference.units/1/beginning_deg": "-6"}
    assert texts(tab) == {**before, **understood}


@BOTH
def test_leaving_warns_only_of_what_would_be_lost(tab: Tab) -> None:
    asks = "!window.dispatchEvent(new Event('beforeunload', {cancelable: true}))"
    # Where the browser keeps nothing, only the file does.
    tab.run_before_pages("IDBFactory.prototype.open = () => { throw new DOMException('No.', 'SecurityError'); };")
    open_sheet(tab)
    assert not tab.evaluate(asks)
    tab.fill(field("title"), "Unsaved")
    assert tab.evaluate(asks)
    tab.download("#save-job")
    tab.wait_for("document.querySelector('.ws-news').innerText.includes('saved')")
    assert not tab.evaluate(asks)
    tab.fill(field("title"), "Unsaved again")
    # Still there behind Undo, and nowhere else.
    tab.click("#new-job")
    assert tab.evaluate(asks)


@ONE
def test_undo_brings_back_what_a_file_replaced(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    type_into(tab, {"title": "Mine", TOLERANCE: "0,7"})
    load(tab, put(tmp_path, job()))
    assert tab.value(field("title")) == "Two units"
    tab.click("#undo")
    assert texts(tab) == {"title": "Mine", TOLERANCE: "0,7"}


def test_a_file_that_is_no_job_is_refused_and_nothing_is_lost(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    tab = chromium_tab
    open_sheet(tab)
    tab.fill(field("title"), "Mine")
    refused = {
        "UTF-8": b"\xff\xfe\x00",
        "not JSON": b"{",
        "something-else": b'{"format": "something-else"}',
        "not a job": b"[]",
    }
    for number, (words, content) in enumerate(refused.items()):
        name = f"other-{number}.json"
        (tmp_path / name).write_bytes(content)
        tab.upload("#open-job", tmp_path / name)
        tab.wait_for(f"document.querySelector('.ws-news').innerText.includes({json.dumps(name)})")
        assert "was not opened" in tab.text(".ws-news")
        assert words in tab.text(".ws-news")
        assert texts(tab) == {"title": "Mine"}


@BOTH
def test_text_from_a_file_never_becomes_markup(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    markup = "[...document.querySelectorAll('main img, main script, main b')].length"
    before = tab.evaluate(markup)
    keys = tab.evaluate("[...document.querySelectorAll('#sheet .ws-control[name]')].map(each => each.name)")
    tree = job(title=HOSTILE, vessel=HOSTILE, date=HOSTILE)
    tree[HOSTILE] = {HOSTILE: HOSTILE}
    tree["engine"][HOSTILE] = HOSTILE
    for reading in tree["readings"]:
        reading["gauges"] = HOSTILE
    plain = copy.deepcopy(tree)
    tree["drafts"] = {HOSTILE: HOSTILE, f"readings/2/as_left/{HOSTILE}/ahead/x": HOSTILE}
    for content, name in ((plain, f"{HOSTILE[:4]}plain.json"), (tree, "drafts.json")):
        load(tab, put(tmp_path, content, name))
        tab.wait_for_element("#findings article")
        open_everything(tab)
        assert tab.evaluate(markup) == before
    everything = job(drafts=dict.fromkeys([*keys, f"{START}/method", f"{START}/crank_angle_deg"], HOSTILE))
    load(tab, put(tmp_path, everything, "everywhere.json"))
    tab.wait_for("document.querySelectorAll('.ws-errors li').length > 10")
    assert tab.value(field(TOLERANCE)) == HOSTILE
    assert tab.evaluate(markup) == before
    assert tab.evaluate("window.broken") is None


@pytest.mark.parametrize("tab_without_python", ["chromium", "firefox"], indirect=True)
def test_without_python_what_was_typed_is_kept_and_saved(
    tab_without_python: Tab, browsers: Browsers, bases: dict[str, str], tmp_path: Path
) -> None:
    tab = tab_without_python
    tab.open(PAGE)
    tab.wait_for("document.documentElement.dataset.calc === 'failed'")
    advice = tab.text(".ws-failed")
    for words in ("did not start", "safe in this page", "Save the job file", "another browser", "is missing", "Try again"):
        assert words in advice
    type_into(tab, {**TYPED, f"{START}/crank_angle_deg": "6 before", "title": HOSTILE})
    before = texts(tab)
    assert verdict(tab) is None
    saved = tab.download("#save-job")
    assert texts(tab) == before
    other = browsers["chromium"].tab(base=bases["file"], downloads=tmp_path)
    open_sheet(other)
    load(other, saved)
    assert texts(other) == before
    assert other.complaints() == []
    other.close()


@pytest.mark.parametrize("tab_without_python", ["chromium", "firefox"], indirect=True)
def test_python_is_started_again_on_request(tab_without_python: Tab, site: Path, tmp_path: Path) -> None:
    tab = tab_without_python
    tab.open(PAGE)
    tab.wait_for("document.documentElement.dataset.calc === 'failed'")
    tab.fill(field(TOLERANCE), "0,5")
    payload = Path("generated", "app", "python-payload.js")
    shutil.copy(site / payload, tmp_path / "without" / payload)
    tab.click(".ws-failed button")
    tab.wait_for(READY, timeout_s=PYTHON_S)
    tab.wait_for(f"document.querySelector({json.dumps(note(TOLERANCE))}).innerText === '±0.5°'")
    assert not visible(tab, ".ws-failed")


def test_when_python_dies_what_was_taken_out_does_not_come_back(chromium_tab: ChromiumTab, tmp_path: Path) -> None:
    tab = chromium_tab
    # Every worker can be ended from outside, and none can be started afterwards.
    tab.run_before_pages(
        """const running = [];
        window.endAll = () => {
            window.Worker = function () { throw new Error("no more workers"); };
            running.forEach(each => each.onerror(new ErrorEvent("error", {message: "ended by the test"})));
        };
        window.Worker = class extends Worker {
            constructor(...given) { super(...given); running.push(this); }
        };"""
    )
    open_sheet(tab)
    load(tab, put(tmp_path, job(vessel="A ship")))
    wait_for_verdict(tab, "within")
    tab.evaluate("void window.endAll()")
    tab.wait_for("document.documentElement.dataset.calc === 'failed'")
    assert verdict(tab) is None
    assert "Python has stopped" in tab.text(".ws-failed")
    for key in ("vessel", f"{END}/plunger_lift_mm", f"{END}/crank_angle_deg", f"{END}/method"):
        if key.endswith("method"):
            tab.select(field(key), "")
        else:
            tab.fill(field(key), "")
    before = texts(tab)
    saved = tab.download("#save-job")
    open_sheet(tab)
    load(tab, saved)
    assert texts(tab) == before


def test_the_page_is_used_before_python_is_ready(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    # Python's worker gets nothing until the test says so.
    tab.run_before_pages(
        """const held = [];
        window.letGo = () => { window.gone = true; held.forEach(send => send()); };
        window.Worker = class extends Worker {
            postMessage(...message) {
                if (window.gone) super.postMessage(...message);
                else held.push(() => super.postMessage(...message));
            }
        };"""
    )
    tab.open(PAGE)
    type_into(tab, TYPED)
    tab.select(field(f"{START}/method"), "at_contact")
    tab.select(field(f"{END}/method"), "at_contact")
    type_into(tab, READ)
    assert tab.attribute("html", "data-calc") == "loading"
    assert "You can read and type meanwhile" in tab.text(".ws-phase")
    assert verdict(tab) is None
    tab.evaluate("void window.letGo()")
    tab.wait_for(READY, timeout_s=PYTHON_S)
    wait_for_verdict(tab, "within")
    assert not visible(tab, ".ws-phase")


@BOTH
def test_enter_goes_from_reading_to_reading(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    load(tab, put(tmp_path, job()))
    tab.focus(field(f"{START}/plunger_lift_mm"))
    tab.press("Enter")
    assert tab.evaluate("document.activeElement.name") == f"{START}/crank_angle_deg"
    tab.press("Enter")
    assert tab.evaluate("document.activeElement.name") == f"{END}/plunger_lift_mm"


@ONE
def test_the_way_of_reading_is_chosen_and_never_assumed(tab: Tab) -> None:
    open_sheet(tab)
    tab.fill(field("engine.units"), "2")
    lift, valve = f"{START}/plunger_lift_mm", f"{START}/valve_lift_mm"
    assert tab.value(field(f"{START}/method")) == ""
    assert not visible(tab, field(lift))
    assert not visible(tab, field(valve))
    tab.select(field(f"{START}/method"), "at_reference_lift")
    assert visible(tab, field(valve))
    tab.fill(field(valve), "0.05")
    tab.click(".ws-stage .ws-setall button")
    # Only rows that had none are set; and a number is never hidden.
    assert tab.value(field(f"{START}/method")) == "at_reference_lift"
    assert tab.value(field("readings/2/as_found/spill_opening/ahead/method")) == "at_contact"
    tab.select(field(f"{START}/method"), "at_contact")
    assert visible(tab, field(lift))
    assert visible(tab, field(valve))


@ONE
def test_a_reading_reached_astern_is_shown_and_kept(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    tree = job()
    tree["readings"].append({**tree["readings"][0], "reached": "astern"})
    load(tab, put(tmp_path, tree))
    wait_for_verdict(tab, "within")
    assert tab.value(field("readings/1/as_found/suction_closing/astern/plunger_lift_mm")) == "11.5"
    assert "kept, not judged" in tab.text(".ws-timed")
    saved = json.loads(tab.download("#save-job").read_text("utf-8"))
    assert [each.get("reached") for each in saved["readings"]].count("astern") == 1
    load(tab, put(tmp_path, job(), "ahead.json"))
    assert tab.count('[name*="/astern/"]') == 0


@BOTH
def test_a_job_for_astern_has_rows_for_astern(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    load(tab, put(tmp_path, job()))
    wait_for_verdict(tab, "within")
    assert "Turn ahead for every reading." in tab.text("section[data-step=found]")
    tab.select(field("reference.rotation"), "astern")
    wait_for_verdict(tab, "incomplete")
    # Nothing typed is gone: it is shown as what it is now.
    assert "Turn astern for every reading." in tab.text("section[data-step=found]")
    assert "reached ahead: kept, not judged" in tab.text(".ws-timed")
    assert tab.value(field(f"{START}/plunger_lift_mm")) == "11.5"
    astern = START.replace("ahead", "astern")
    tab.select(field(f"{astern}/method"), "at_contact")
    tab.fill(field(f"{astern}/plunger_lift_mm"), "11.5")
    tab.fill(field(f"{astern}/crank_angle_deg"), "6 before")
    tab.wait_for("document.querySelector('#findings article[data-unit=\"1\"]')?.textContent.includes('6° before TDC')")
    assert "in astern rotation" in tab.text("#findings .ws-summary")
    saved = json.loads(tab.download("#save-job").read_text("utf-8"))
    assert saved["reference"]["rotation"] == "astern"
    assert [each.get("reached") for each in saved["readings"]].count("astern") == 1
    tab.select(field("reference.rotation"), "")
    wait_for_verdict(tab, "within")
    assert tab.value(field(f"{START}/plunger_lift_mm")) == "11.5"
    assert "reached astern: kept, not judged" in tab.text(".ws-timed")


@ONE
def test_turns_of_the_dial_are_understood(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    load(tab, put(tmp_path, job()))
    wait_for_verdict(tab, "within")
    lift = f"{START}/plunger_lift_mm"
    tab.fill(field(lift), "11t 0.52")
    tab.fill(field("instruments.plunger_gauge.mm_per_turn"), "")
    note = f'[id="note-{lift}"]'
    tab.wait_for(f"document.querySelector({json.dumps(note)}).innerText.includes('Enter it under')")
    tab.fill(field("instruments.plunger_gauge.mm_per_turn"), "1")
    tab.wait_for(f"document.querySelector({json.dumps(note)}).innerText.includes('11 turns of 1 mm and 0.52 mm')")
    saved = json.loads(tab.download("#save-job").read_text("utf-8"))
    assert saved["readings"][0]["plunger_lift_mm"] == [11.52]


@BOTH
def test_units_out_of_sight_follow_those_in_sight(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    load(tab, put(tmp_path, json.loads(twelve_unit_job())))
    shown = "[...document.querySelectorAll('#findings article')]"
    tab.wait_for(f"{shown}.length === 24 && {shown}.every((each) => each.querySelector('.sm-numbers'))")
    lift = "readings/12/as_left/spill_opening/ahead/plunger_lift_mm"
    tab.click("[data-stage='as_left']")
    tab.fill(field(lift), "30.5")
    tab.fill(field(lift.replace("plunger_lift_mm", "crank_angle_deg")), "5")
    last = "document.querySelector('#findings article[data-unit=\"12\"][data-stage=as_left]')"
    tab.wait_for(f"{last}.textContent.includes('30.500 mm') && {last}.dataset.verdict === 'outside'")
    tab.wait_for(f"{shown}.every((each) => each.querySelector('.sm-numbers'))")


@BOTH
def test_the_working_is_shown_and_stays_open_while_typing(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    load(tab, put(tmp_path, job()))
    wait_for_verdict(tab, "within")
    tab.click("#findings article[data-unit='2'] .ws-working summary")
    lines = "document.querySelector('#findings article[data-unit=\"2\"] .ws-lines').textContent"
    tab.wait_for(f"{lines}.includes('10.0000°')")
    tab.fill(field("readings/2/as_found/spill_opening/ahead/crank_angle_deg"), "10.125")
    tab.wait_for(f"{lines}.includes('10.1250°')")
    assert tab.evaluate("document.querySelector('#findings article[data-unit=\"2\"] .ws-working').open")


@BOTH
def test_a_phone_shows_one_unit_at_a_time(tab: Tab, tmp_path: Path) -> None:
    tab.set_viewport(390)
    open_sheet(tab)
    load(tab, put(tmp_path, job()))
    wait_for_verdict(tab, "within")
    second = field("readings/2/as_found/suction_closing/ahead/plunger_lift_mm")
    tab.uncover(second)
    assert visible(tab, field(f"{START}/plunger_lift_mm"))
    assert not visible(tab, second)
    assert not visible(tab, "#findings article[data-unit='2']")
    # The row's own links are SVG, which has no click() of its own.
    tab.evaluate(
        "void document.querySelectorAll('#findings .sm-strip a')[1]"
        ".dispatchEvent(new Event('click', {bubbles: true, cancelable: true}))"
    )
    assert visible(tab, "#findings article[data-unit='2']")
    assert not visible(tab, "#findings article[data-unit='1']")
    assert visible(tab, second)
    assert tab.evaluate("document.documentElement.scrollWidth") <= 390


def test_paper_carries_banner_findings_and_where_the_record_is_but_no_form_and_no_buttons(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    open_sheet(tab)
    tab.click("#show-demo")
    tab.wait_for("document.querySelector('#findings').dataset.verdict")
    assert not visible(tab, ".ws-onpaper")
    tab.emulate(paper=True)
    for selector in (".ws-demo", ".ws-onpaper", "#findings .sm-strip", "#findings .sm-lift", "#findings .sm-numbers"):
        assert visible(tab, selector), selector
    assert "The paper to file is the record" in tab.text(".ws-onpaper")
    assert (
        tab.evaluate(
            "[...document.querySelectorAll('#sheet :is(button, input, select, textarea)')].some(each => each.checkVisibility())"
        )
        is False
    )


@CROSSED
def test_the_record_forms_and_tables_are_saved(tab: Tab, tmp_path: Path) -> None:
    open_sheet(tab)
    load(tab, put(tmp_path, job()))
    wait_for_verdict(tab, "within")
    saved = json.loads(tab.download("#save-job").read_text("utf-8"))
    record = tab.download("#save-record")
    assert record.name.startswith("two-units")
    assert record.name.endswith("-record.html")
    assert checksum(saved) in record.read_text("utf-8")
    assert "at reference lift" in tab.download("#save-forms").read_text("utf-8")
    assert b"\xef\xbb\xbfentry,unit,stage" in tab.download("#save-readings").read_bytes()
    assert b"\xef\xbb\xbfunit,stage,verdict" in tab.download("#save-findings").read_bytes()
    tab.select("#csv-table", "inspections")
    assert b"\xef\xbb\xbfunit,part,condition" in tab.download("#save-list").read_bytes()
    handover = tab.download("#save-handover")
    assert handover.name.endswith("-handover.html")
    assert checksum(saved) in handover.read_text("utf-8")


def test_the_record_of_a_job_with_gaps_is_refused_with_reasons_but_handing_over_does_not_wait(
    chromium_tab: ChromiumTab, tmp_path: Path
) -> None:
    tab = chromium_tab
    open_sheet(tab)
    unfinished = job()
    del unfinished["reference"]["fuel_index"]
    load(tab, put(tmp_path, unfinished))
    tab.click("#save-record")
    tab.wait_for("document.querySelector('.ws-news.is-error')")
    assert "fuel index of the check: missing" in tab.text(".ws-news")
    assert "is not finished" in tab.download("#save-handover").read_text("utf-8")
    assert "Form for confirmations" in tab.download("#save-forms").read_text("utf-8")
