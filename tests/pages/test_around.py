"""What is measured around a check, typed in the worksheet: the answer about what all units share, and about a cam, changes."""

from pathlib import Path

from tests.invented import CAM, SPILL, SUCTION, Tree, contact, engine_job, with_table

from .conftest import ONE
from .tab import Tab
from .test_job import step
from .test_worksheet import field, load, note, open_sheet, put, visible, wait_for_verdict

PAIRS, SURVEY = "tdc_check.pairs", "cam_surveys/2/measured"


def all_late() -> Tree:
    """Every unit is 0.6 degrees late, and unit 2 is 0.8 later than that."""
    readings = [contact(unit, event, 0.0, 0.6 + 0.8 * (unit == 2)) for unit in (1, 2, 3, 4, 5) for event in (SUCTION, SPILL)]
    return with_table(engine_job(readings=readings))


def rows(late: float) -> str:
    """Rows of that cam as people type them: words, commas, minus signs."""
    lines = []
    for angle in range(-60, 44, 4):
        place = f"{-angle} before" if angle < 0 else f"{angle} after"
        # The invented cam's formula is off its settings by as much as they are.
        lift = f"{float(CAM.lift_at(angle - late + _OFF)):.2f}".replace(".", ",")
        lines.append(f"{place} {lift}")
    return "\n".join(lines)


_OFF = float(CAM.angle_at(9.5)) + 19.5


@ONE
def test_three_pairs_and_a_survey_change_what_is_said(tab: Tab, tmp_path: Path) -> None:
    tab.set_viewport(1280)
    open_sheet(tab)
    load(tab, put(tmp_path, all_late()))
    wait_for_verdict(tab, "outside")
    assert "First check the flywheel pointer:" in tab.text("#findings .sm-answer")
    before = tab.evaluate("document.querySelector('#findings').dataset.verdict")

    step(tab, "found")
    tab.fill(field(PAIRS), "23.5 before 24.7 after\n29.6 before 30,8 after")
    tab.wait_for(f"document.querySelector('{note(PAIRS)}').innerText === '2 rows'")
    tab.press("End")
    tab.type("\n-35.4 36.6")
    tab.fill(field("tdc_check.mark_deg"), "0")
    tab.wait_for("document.querySelector('#findings .sm-answer').innerText.includes('First set the flywheel pointer:')")
    assert "every angle reads 0.60° late (±0.03°)" in tab.text("#tdc-check")
    assert "Set the pointer, not the cam" in tab.text("#tdc-check")
    # No verdict changes by it.
    assert tab.evaluate("document.querySelector('#findings').dataset.verdict") == before

    # A slip is told at its line.
    tab.fill(field(PAIRS), "23.5 before")
    tab.press("Tab")
    tab.wait_for(f"document.querySelector('{note(PAIRS)}').innerText.includes('Line 1: 1 numbers')")

    step(tab, "inspection")
    tab.click('[data-table="cam_surveys"] .ws-pick [data-unit="2"]')
    assert visible(tab, field(SURVEY))
    assert not visible(tab, field("cam_surveys/3/measured"))
    tab.fill(field(SURVEY), rows(1.4))
    unit = "#findings [data-unit='2'][data-stage='as_found']"
    tab.wait_for(f'document.querySelector("{unit} .sm-cam-survey") !== null')
    assert "The cam survey agrees" in tab.text(unit)
    assert "0.80° late" in tab.text(unit)
    tab.click(f"{unit} .ws-working summary")
    tab.wait_for(f"document.querySelector(\"{unit} .ws-lines\").innerText.includes('cam part of the survey S')")
    # As somebody counted from another mark.
    tab.fill(field(SURVEY), rows(0.0))
    tab.wait_for(f"document.querySelector(\"{unit}\").innerText.includes('The cam survey contradicts the readings')")
    assert not tab.axe()
