"""A whole job as a person does it: from "a check is due" to the printed record, through a blackout, and on another machine."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from pypdf import PdfReader

from calc.job.catalogue import INSPECTED, POSITIONS
from calc.job.steps import STEPS
from calc.job.write import checksum
from calc.version import PROGRAM

from .conftest import Browsers, Desk
from .tab import Tab
from .test_store import STORED, open_with_python, wait_for_title
from .test_worksheet import READY, field, load, open_sheet, texts, type_into, visible, wait_for_verdict

SECOND, CHIEF = "T. Lindqvist, 2/E", "A. Moreau, C/E"
TITLE = "Unit 2 after the new push rod"

# An invented engine of two units. Nothing of it is any engine's: 1.5 mm of lift a degree, a thread that moves 0.24 mm a flat.
DUE = {
    "title": TITLE,
    "vessel": "Invented ship",
    "date": "2026-11-23",
    "running_hours": "30 412",
    "reason": "A push rod of unit 2 was replaced.",
    "instruments.plunger_gauge.step_mm": "0,01",
    "instruments.plunger_gauge.error_limit_mm": "± 0.012 mm",
    "instruments.plunger_gauge.serial": "PG-7",
    "instruments.valve_gauge.step_mm": "0.002",
    "instruments.valve_gauge.error_limit_mm": "0.003",
    "instruments.angle_scale.step_deg": "0.1",
    "instruments.pointer_u_deg": "0.03",
}
QUESTIONS = {
    "reversible": "no",
    "variable_timing": "no",
    "fuel_offset": "no",
    "shut_down_device": "no",
    "lift_off_gear": "yes",
    "heated_fuel": "no",
    "second_fuel": "no",
    "camshaft_lubricators": "no",
}
SETTINGS = {
    "engine.units": "2",
    "engine.firing_order": "1 2",
    "engine.valve_ratio_suction": "0.8",
    "engine.valve_ratio_spill": "1.1",
    "engine.rod_pitch_mm": "1.44",
    "reference.source": "Trial record, sheet 9",
    "reference.fuel_index": "57",
    "reference.angle_tolerance_deg": "± 0,4°",
    "reference.seat_contact_mm": "0.05",
    "reference.zero_index_opening_min_mm": "1.3",
    "reference.lift_off_clearance_min_mm": "2.6",
    **{
        f"reference.units/{unit}/{name}": text
        for unit in (1, 2)
        for name, text in {
            "pre_stroke_mm": "12.4",
            "beginning_deg": "5.2 before",
            "spill_lift_mm": "33,4",
            "end_deg": "8.8 after",
        }.items()
    },
}
CHOSEN = {"engine.rod_thread": "single", "engine.rod_lengthening_opens": "true"}


def readings(stage: str, unit: int, start: tuple[str, str], end: tuple[str, str]) -> dict[str, str]:
    """What is typed for start and end of a unit: lift and angle, both with repeats."""
    found: dict[str, str] = {}
    for event, (lift, angle) in {"suction_closing": start, "spill_opening": end}.items():
        row = f"readings/{unit}/{stage}/{event}/ahead"
        found |= {f"{row}/plunger_lift_mm": lift, f"{row}/crank_angle_deg": angle}
    return found


AS_FOUND = {
    **readings("as_found", 1, ("12.41 12.40", "5.2 before; 5.2 before"), ("33.40 33.41", "8.8 8.8")),
    # Its suction rod is 0.9 mm of lift off, which is 0.6°.
    **readings("as_found", 2, ("13.30 13.31", "4.6 before; 4.6 before"), ("33.40 33.39", "8.8 8.8")),
}
AS_LEFT = readings("as_left", 2, ("12.40 12.41", "−5.2 −5,2"), ("33.40 33.40", "8.8 8.8"))


def step(tab: Tab, code: str) -> None:
    """Go to a step by the map, as a person does."""
    link = f'nav a[data-step="{code}"]'
    if not visible(tab, link):
        tab.click(".ws-mapbox > summary")
    tab.click(link)
    assert here(tab) == code


def here(tab: Tab) -> str:
    """The step that is open: only that one, and map and address say the same."""
    sections = "[...document.querySelectorAll('section[data-step]')].filter(each => each.checkVisibility())"
    shown = tab.evaluate(f"{sections}.map(each => each.dataset.step)")
    assert len(shown) == 1
    assert tab.attribute("nav a[aria-current=step]", "data-step") == shown[0]
    assert tab.evaluate("location.hash") == f"#step-{shown[0]}"
    return str(shown[0])


def sign_as(tab: Tab, name: str) -> None:
    """Say who is at the page."""
    tab.fill("#signing", name)


def sign(tab: Tab, within: str, label: str) -> None:
    """Press every button of that label that is on show within a place."""
    signed = tab.evaluate(
        f"""[...document.querySelectorAll({json.dumps(within + " .ws-sign")})]
            .filter(each => each.checkVisibility() && each.innerText === {json.dumps(label)})
            .map((each, at) => each.setAttribute("data-to-sign", at)).length"""
    )
    assert signed > 0, f"nothing to sign: {label} in {within}"
    for at in range(signed):
        tab.click(f'[data-to-sign="{at}"]')
    tab.evaluate("void document.querySelectorAll('[data-to-sign]').forEach(each => each.removeAttribute('data-to-sign'))")


def confirm(tab: Tab, code: str) -> None:
    """Confirm one thing with the mouse."""
    tab.click(f'[data-row="confirmations/{code}"] .ws-sign')


def wait_for_state(tab: Tab, code: str, words: str) -> None:
    """Wait until the map says this of a step."""
    tab.wait_for(f"document.querySelector('nav a[data-step=\"{code}\"] .ws-state').innerText.trim() === {json.dumps(words)}")


def wait_for_answer(tab: Tab, unit: int, words: str) -> None:
    """Wait until the findings of a unit say so, in sight or not."""
    article = f"document.querySelector('#findings article[data-unit=\"{unit}\"]')"
    tab.wait_for(f"{article}.textContent.includes({json.dumps(words)})")


def still_open(tab: Tab, code: str) -> list[str]:
    """What a step says is open in it."""
    found: list[str] = tab.evaluate(
        f"[...document.querySelectorAll('section[data-step=\"{code}\"] .ws-open li')].map(each => each.textContent)"
    )
    return found


def with_keys(tab: Tab, key: str, text: str, label: str) -> None:
    """Type what a row asks for, go on to its button, and sign: without the mouse."""
    tab.fill(field(key), text)
    tab.press("Tab")
    while tab.evaluate("document.activeElement.innerText") != label:
        assert tab.evaluate("document.activeElement.matches('.ws-sign')"), f"no button {label} after {key}"
        tab.press("Tab")
    tab.press("Enter")


def prepare(tab: Tab) -> None:
    """From the reason of the check to the inspection."""
    assert here(tab) == "due"
    type_into(tab, DUE)
    for question, answer in QUESTIONS.items():
        tab.select(field(f"arrangement.{question}"), "true" if answer == "yes" else "false")
    # What is not understood is as open as what is missing.
    wait_for_state(tab, "due", "1 open")
    assert "Running hours: 2 numbers found" in still_open(tab, "due")[0]
    tab.click('[data-step="due"] .ws-open a')
    assert tab.evaluate("document.activeElement.name") == "running_hours"
    tab.fill(field("running_hours"), "30412 h")
    wait_for_state(tab, "due", "done")

    tab.click('[data-step="due"] .ws-next')
    assert here(tab) == "settings"
    type_into(tab, SETTINGS)
    for key, value in CHOSEN.items():
        tab.select(field(key), value)
    wait_for_state(tab, "settings", "done")

    step(tab, "safe")
    first = '[data-row="confirmations/manual"]'
    tab.click(f"{first} .ws-sign")
    # Nobody signs without a name, and nothing signs by itself.
    assert "Type your name" in tab.text(".ws-signing [role=status]")
    assert tab.evaluate("document.activeElement.id") == "signing"
    tab.type(SECOND)
    assert tab.value(field("confirmations/manual/by")) == ""
    tab.press("Enter")
    tab.press("Enter")
    assert SECOND in tab.text(f"{first} .ws-said-by")
    for row in tab.evaluate(
        "[...document.querySelectorAll('[data-step=safe] .ws-confirm:not(.is-settled)')].map(each => each.dataset.row)"
    ):
        confirm(tab, row.partition("/")[2])
    tab.fill(field("paper.permit"), "W-31")
    wait_for_state(tab, "safe", "done")

    step(tab, "positions")
    type_into(tab, {"positions/control_air/not_needed": "stays on", "positions/alarms/not_needed": "none is blocked"})
    for item in moved():
        with_keys(tab, f"positions/{item}/as_found", "shut", "Sign")
    tab.click('[data-step="positions"] [data-add]')
    assert tab.evaluate("document.activeElement.name") == "positions/own-1/name"
    tab.type("borrowed torque spanner")
    with_keys(tab, "positions/own-1/as_found", "on unit 2", "Sign")
    wait_for_state(tab, "positions", "done")

    step(tab, "turning")
    confirm(tab, "drill")
    confirm(tab, "one_voice")
    type_into(tab, {"paper.commander": SECOND, "paper.people": "3"})
    wait_for_state(tab, "turning", "done")

    step(tab, "inspection")
    for unit in (1, 2):
        tab.click(f'[data-step="inspection"] .ws-pick [data-unit="{unit}"]')
        for part in INSPECTED:
            tab.select(field(f"inspections/{unit}/{part}/condition"), "sound")
    wait_for_state(tab, "inspection", "done")


def moved() -> list[str]:
    """What this engine has that is moved, but for what stays."""
    return [
        each.code for each in POSITIONS if each.needs in ("", "lift_off_gear") and each.code not in ("control_air", "alarms")
    ]


def read_as_found(tab: Tab) -> None:
    """Readings as found, and what the findings say."""
    step(tab, "found")
    for code in ("index_held_found", "springs_out_found", "drill_found"):
        confirm(tab, code)
    tab.click('[data-step="found"] .ws-setall button')
    type_into(tab, AS_FOUND)
    tab.fill(field("paper.readings_by"), SECOND)
    wait_for_state(tab, "found", "done")
    wait_for_verdict(tab, "outside")
    wait_for_answer(tab, 2, "Shorten it by 3 flats")
    wait_for_answer(tab, 2, "suction push rod")
    wait_for_answer(tab, 1, "Leave this unit alone")
    wait_for_state(tab, "findings", "done")
    wait_for_state(tab, "correction", "3 open")


def correct(tab: Tab) -> None:
    """What was turned, proved again, and each unit cut out."""
    sign_as(tab, SECOND)
    confirm(tab, "rods_measured")
    tab.click('[data-step="correction"] .ws-pick [data-unit="2"]')
    row = "adjustments/2/suction_rod"
    type_into(tab, {f"{row}/length_before_mm": "388.4", f"{row}/flats_turned": "−3", f"{row}/length_after_mm": "387.68"})
    tab.select(field(f"{row}/locked"), "true")
    sign(tab, f'[data-row="{row}"]', "Sign")
    tab.fill(field("paper.correction_by"), SECOND)
    wait_for_state(tab, "correction", "done")

    step(tab, "left")
    for code in ("index_held_left", "lock_nuts", "drill_left"):
        confirm(tab, code)
    for event in ("suction_closing", "spill_opening"):
        tab.select(field(f"readings/2/as_left/{event}/ahead/method"), "at_contact")
    type_into(tab, AS_LEFT)
    tab.fill(field("paper.left_by"), SECOND)
    wait_for_state(tab, "left", "done")
    wait_for_verdict(tab, "within")

    step(tab, "cut-out")
    for unit, stage in ((1, "as_found"), (2, "as_left")):
        row = f"readings/{unit}/{stage}"
        type_into(tab, {f"{row}/zero_index/ahead/valve_lift_mm": "1.82 1.82", f"{row}/lift_off/ahead/clearance_mm": "3.1"})
    tab.fill(field("paper.cut_out_by"), SECOND)
    wait_for_state(tab, "cut-out", "done")


def close_up_and_put_back(tab: Tab) -> None:
    """Closing, and everything moved back where it was: one person restores, another one checks."""
    step(tab, "close")
    for code in ("clean", "springs_in", "tightened", "counted_out", "vented", "leak_test"):
        confirm(tab, code)
    wait_for_state(tab, "close", "done")

    step(tab, "restore")
    things = [*moved(), "own-1"]
    for item in things:
        with_keys(tab, f"positions/{item}/restored", "as found", "Sign: restored by")
    assert "Borrowed torque spanner" in tab.text('[data-step="restore"] [data-row="positions/own-1"]')
    assert "As found: on unit 2" in tab.text('[data-step="restore"] [data-row="positions/own-1"]')
    assert not visible(tab, '[data-step="restore"] [data-row="positions/alarms"]')
    for code in ("gear_out", "slow_start", "stop_proved", "load_watched"):
        confirm(tab, code)
    wait_for_state(tab, "restore", f"{len(things)} open")
    # The same person cannot check what they have put back themselves.
    sign(tab, '[data-step="restore"]', "Sign: checked by")
    tab.wait_for(
        "[...document.querySelectorAll('section[data-step=restore] .ws-open li')]"
        ".every(each => each.textContent.includes('one name stands for restoring and checking. Another person checks'))"
    )
    assert len(still_open(tab, "restore")) == len(things)
    assert "not complete" in tab.text(".ws-whole")
    sign_as(tab, CHIEF)
    sign(tab, '[data-step="restore"]', "Sign: checked by")
    wait_for_state(tab, "restore", "done")


def finish(tab: Tab) -> None:
    """The last step: then the page says that the job is complete, and not before."""
    step(tab, "record")
    tab.fill(field("paper.checked_by"), SECOND)
    confirm(tab, "record_book")
    tab.wait_for(
        "document.querySelector('[data-step=record] .ws-open').textContent.includes('the person who corrected does not check')"
    )
    assert "not complete" in tab.text(".ws-whole")
    tab.fill(field("paper.checked_by"), CHIEF)
    tab.wait_for("document.querySelector('.ws-whole.is-complete')")
    assert "The job is complete" in tab.text(".ws-whole")
    for code in (each.code for each in STEPS):
        assert tab.text(f'nav a[data-step="{code}"] .ws-state') == "done", code


def printed(tab: Tab, path: Path) -> list[str]:
    """The words of each page on paper, without spaces."""
    tab.pdf(path)
    return ["".join(page.extract_text().split()) for page in PdfReader(path).pages]


@pytest.fixture
def elsewhere(request: pytest.FixtureRequest, browsers: Browsers, bases: dict[str, str], tmp_path: Path) -> Iterator[Tab]:
    """Another machine: a fresh profile of the other browser, and the site in a folder."""
    downloads = tmp_path / "elsewhere"
    downloads.mkdir()
    other = "firefox" if "chromium" in request.node.callspec.id else "chromium"
    tab = browsers[other].tab(base=bases["file"], downloads=downloads)
    yield tab
    tab.close()


@pytest.mark.parametrize("desk", ["chromium-file", "firefox-http"], indirect=True)
def test_a_whole_job_is_carried_from_due_to_the_printed_record(
    desk: Desk, elsewhere: Tab, browsers: Browsers, tmp_path: Path
) -> None:
    tab = desk.tab()
    tab.set_viewport(1280)
    open_with_python(tab)
    tab.wait_for(READY, timeout_s=60)
    prepare(tab)
    read_as_found(tab)

    # Called away, and then a blackout.
    step(tab, "correction")
    before = texts(tab)
    # What was typed last is kept within a second, and so is the step.
    tab.wait_for(f"(await {STORED}).contents.some(each => each.texts['paper.readings_by'] === {json.dumps(SECOND)})")
    tab.wait_for(f"(await {STORED}).jobs.some(each => each.step === 'correction')")
    desk.kill_and_come_back()
    tab = desk.tab()
    tab.set_viewport(1280)
    open_with_python(tab)
    wait_for_title(tab, TITLE)
    assert here(tab) == "correction"
    assert texts(tab) == before
    tab.wait_for(READY, timeout_s=60)
    wait_for_verdict(tab, "outside")
    wait_for_state(tab, "correction", "3 open")

    correct(tab)
    close_up_and_put_back(tab)
    finish(tab)
    saved = tab.download("#save-job")
    record = tab.download("#save-record")
    assert tab.complaints() == []

    job = json.loads(saved.read_text("utf-8"))
    elsewhere.set_viewport(1280)
    open_sheet(elsewhere)
    load(elsewhere, saved)
    wait_for_verdict(elsewhere, "within")
    elsewhere.wait_for("document.querySelector('.ws-whole.is-complete')")
    assert elsewhere.text(".ws-whole") == tab.text(".ws-whole")
    assert elsewhere.text("#findings .ws-summary") == tab.text("#findings .ws-summary")
    assert not visible(elsewhere, ".ws-kept")
    assert json.loads(elsewhere.download("#save-job").read_text("utf-8")) == job
    load(tab, saved)
    assert texts(elsewhere) == texts(tab)
    assert elsewhere.complaints() == []

    record.rename(tmp_path / "record.html")
    paper = browsers["chromium"].tab(base=f"{tmp_path.as_uri()}/", downloads=tmp_path)
    paper.open("record.html")
    pages = printed(paper, tmp_path / "record.pdf")
    assert paper.complaints() == []
    paper.close()
    assert 3 <= len(pages) <= 6
    for page in pages:
        assert checksum(job) in page
        assert PROGRAM.replace(" ", "") in page
    words = "".join(pages)
    for text in (TITLE, "Trial record, sheet 9", "W-31", "PG-7", "30412", SECOND, CHIEF, "13.30"):
        assert "".join(text.split()) in words, text
