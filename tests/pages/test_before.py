"""The procedures in a browser: from a page into the worksheet's step, and what paper leaves out."""

import re
from pathlib import Path

from calc.job.steps import ASIDE, STEPS

from .chromium import ChromiumTab
from .conftest import ONE
from .tab import Tab


def links_into_steps(site: Path) -> dict[str, str]:
    """For each step the page that first leads to it."""
    found: dict[str, str] = {}
    for page in sorted((site / "before").glob("*.html")):
        for code in re.findall(r'href="\.\./worksheet\.html#step-([a-z-]+)"', page.read_text("utf-8")):
            found.setdefault(code, f"before/{page.name}")
    return found


@ONE
def test_every_step_opens_from_its_procedure(tab: Tab, site: Path) -> None:
    links = links_into_steps(site)
    assert set(links) == {step.code for step in (*STEPS, *ASIDE)}
    for code, page in links.items():
        tab.open(page)
        tab.click(f"a[href$='worksheet.html#step-{code}']")
        tab.wait_for_element(f"#step-{code}[data-step]:not([hidden])")
        shown = tab.evaluate(
            "[...document.querySelectorAll('[data-step].ws-step:not([hidden])')].map((each) => each.dataset.step)"
        )
        assert shown == [code]
        assert tab.count(f"#step-{code}") == 1


def test_paper_has_the_steps_and_no_buttons(chromium_tab: ChromiumTab) -> None:
    chromium_tab.open("before/make-safe.html")
    for paper in (False, True):
        chromium_tab.emulate(paper=paper)
        assert chromium_tab.evaluate("document.querySelector('article ol').checkVisibility()")
        assert chromium_tab.evaluate("document.querySelector('article .md-button').checkVisibility()") is not paper
