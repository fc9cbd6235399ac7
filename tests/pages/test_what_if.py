"""Moves tried on the screen, and the small calculations beside the job, as a person uses them."""

import json

from .chromium import ChromiumTab
from .sound import looks, too_small
from .test_worksheet import open_sheet, texts, wait_for_verdict

BOX = ".ws-whatif"
SUCTION, SPILL, CAM = ('[id="whatif-suction_flats"]', '[id="whatif-spill_flats"]', '[id="whatif-cam_deg"]')


def open_demo(tab: ChromiumTab) -> None:
    open_sheet(tab)
    tab.click("#show-demo")
    wait_for_verdict(tab, "outside")
    tab.uncover(BOX)
    tab.evaluate(f"document.querySelector('{BOX}').scrollIntoView(), 0")
    tab.wait_for(f"document.querySelector('{SUCTION}')?.value === '-3.25'")


def echo(selector: str, words: str) -> str:
    return f"document.querySelector('{selector}').getAttribute('aria-describedby') && " + (
        f"document.getElementById(document.querySelector('{selector}').getAttribute('aria-describedby'))"
        f".textContent.includes({json.dumps(words)})"
    )


def step(tab: ChromiumTab, words: str) -> None:
    """Press the button that a screen reader calls so, by keyboard."""
    tab.evaluate(f"document.querySelector('{BOX} button[aria-label={json.dumps(words)}]').focus(), 0")
    tab.press("Enter")


def test_moves_are_tried_by_buttons_and_by_typing_and_change_nothing(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    open_demo(tab)
    typed = texts(tab)
    # It opens with the unit that has a correction, and says what that would do to the cut-out.
    assert tab.attribute(f"{BOX} .ws-pick [aria-pressed=true]", "data-unit") == "3"
    tab.wait_for(f"document.querySelector('{BOX} .sm-signal.sm-warning') !== null")
    for press in range(3):
        step(tab, "Suction push rod: 1 flat shorter")
        tab.wait_for(f"document.querySelector('{SUCTION}').value === '{-4.25 - press}'")
    tab.wait_for(f"document.querySelector('{BOX} .sm-signal.sm-danger')?.innerText.includes('might not stop')")
    assert "!" in tab.text(f"{BOX} .ws-pick [data-unit='3']")
    step(tab, "Spill push rod: ¼ flat longer")
    tab.wait_for(echo(SPILL, "longer by ¼ flat"))
    tab.fill(CAM, "0,2")
    tab.wait_for(f"document.querySelector('{BOX} .sm-notice-line')?.innerText.includes('procedure')")
    tab.press("Tab")
    tab.wait_for(echo(CAM, "0.20° later"))
    # Told once all rests, and by a screen reader too.
    tab.wait_for(f"document.querySelector('{BOX} [role=status]').textContent.includes('Danger')")
    tab.click("#whatif-nothing")
    tab.wait_for(f"document.querySelector('{BOX} .sm-signal') === null && document.querySelector('{SUCTION}').value === '0'")
    tab.click("#whatif-listed")
    tab.wait_for(f"document.querySelector('{SUCTION}').value === '-3.25'")
    assert texts(tab) == typed
    assert tab.attribute("#findings", "data-verdict") == "outside"


def test_moves_outlive_other_units_and_new_readings_but_not_another_job(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    open_demo(tab)
    tab.fill(SUCTION, "-1.5")
    tab.wait_for(echo(SUCTION, "1½ flats"))
    tab.click(f"{BOX} .ws-pick [data-unit='5']")
    tab.wait_for(f"document.querySelector('{CAM}').value === '-0.88'")
    tab.fill('[name="engine.speed_rpm"]', "101")
    tab.evaluate(f"document.querySelector('{BOX}').scrollIntoView(), 0")
    tab.click(f"{BOX} .ws-pick [data-unit='3']")
    tab.wait_for(f"document.querySelector('{SUCTION}').value === '-1.5'")
    tab.fill(SUCTION, "a flat")
    tab.press("Tab")
    tab.wait_for(f"document.querySelector('{SUCTION}').getAttribute('aria-invalid') === 'true'")
    assert "a flat" in tab.value(SUCTION)
    tab.select("#demo-job", "1")
    tab.click("#show-demo")
    wait_for_verdict(tab, "within")
    tab.evaluate(f"document.querySelector('{BOX}').scrollIntoView(), 0")
    tab.wait_for(f"document.querySelector('{SUCTION}').value === '0'")


def test_it_is_sound_in_every_state_and_nothing_is_too_small(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    open_demo(tab)
    for _ in looks(tab):
        assert too_small(tab, f"{BOX} button, {BOX} input, .ws-calculations summary") == []


def test_a_trial_takes_what_the_job_knows_and_asks_for_the_rest(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    open_demo(tab)
    tab.click("#calculation-trial > summary")
    tab.wait_for("document.querySelector('#calculation-trial .ws-tried').innerText.includes('Still needed')")
    tab.fill('[name="calculation/trial/unit"]', "3")
    tab.select('[name="calculation/trial/event"]', "suction_closing")
    tab.select('[name="calculation/trial/direction"]', "longer")
    tab.fill('[name="calculation/trial/flats"]', "1")
    tab.wait_for("document.querySelector('#calculation-trial .ws-tried').innerText.includes('from 0.035 to 0.243 mm')")
    tab.fill('[name="calculation/trial/valve_after_mm"]', "0,45")
    tab.wait_for("document.querySelector('#calculation-trial .ws-tried').innerText.includes('left-and-right thread')")
    # What is typed there belongs to no job file.
    assert "calculation/" not in tab.download("#save-job").read_text("utf-8")
    assert tab.axe() == []
    # A setting that the job does not have is asked for in sight.
    tab.fill('[name="engine.rod_pitch_mm"]', "")
    tab.uncover("#calculation-trial")
    tab.wait_for("document.querySelector('#calculation-trial .ws-tried').innerText.includes('push-rod thread pitch')")
    # The pitch was taken out in another step; here its field has opened by itself.
    assert tab.evaluate("document.querySelector('[name=\"calculation/trial/pitch_mm\"]').closest('details').open")
