"""The calculations that the steps of the worksheet offer: they answer, take what the job knows, and lead to their page."""

import json

from calc.compute.registry import CALCULATIONS

from .chromium import ChromiumTab
from .test_worksheet import open_sheet, wait_for_verdict

# Its place in the list of the demo's jobs: a scale so coarse that verdicts are unclear.
TOO_COARSE = "2"


def said(name: str, words: str) -> str:
    return f"document.querySelector('#calculation-{name} .ws-tried').innerText.includes({json.dumps(words)})"


def echo(name: str, field: str) -> str:
    """What the page says of a field, as an expression."""
    return (
        f"document.getElementById(document.querySelector('[name=\"calculation/{name}/{field}\"]')"
        ".getAttribute('aria-describedby')?.split(' ').at(-1))?.textContent"
    )


def put(tab: ChromiumTab, name: str, **texts: str) -> None:
    for field, text in texts.items():
        tab.fill(f'[name="calculation/{name}/{field}"]', text)


def fold_out(tab: ChromiumTab, name: str) -> None:
    tab.click(f"#calculation-{name} > summary")


def test_each_step_answers_with_what_the_job_knows(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    open_sheet(tab)
    tab.select("#demo-job", TOO_COARSE)
    tab.click("#show-demo")
    wait_for_verdict(tab, "unclear")
    # Findings: the event that is closest to call, and which one it is.
    fold_out(tab, "repeats")
    tab.wait_for(said("repeats", "Largest standard uncertainty that is clear"))
    unit = tab.evaluate(echo("repeats", "unit"))
    assert unit.endswith("from this job")
    assert "from this job" in tab.evaluate(echo("repeats", "event"))
    tolerance = tab.evaluate(echo("repeats", "tolerance"))
    # A pair of angles, typed in two lines; with the mark the common part of the findings is split.
    fold_out(tab, "tdc")
    tab.wait_for(said("tdc", "Still needed"))
    tab.evaluate(
        """(() => {
            const field = document.querySelector('[name="calculation/tdc/pairs"]');
            field.value = "-24.1 24.7\\n-30.2 30.9";
            field.dispatchEvent(new Event("input", {bubbles: true}));
        })()"""
    )
    tab.wait_for(said("tdc", "0.325°"))
    put(tab, "tdc", mark_deg="0")
    tab.wait_for(said("tdc", "Rest of the common part"))
    assert tab.axe() == []
    # Due: the running hours of the job.
    tab.fill('[name="running_hours"]', "41000")
    fold_out(tab, "due")
    put(tab, "due", last_check_hours="36000", interval_h="6000")
    tab.wait_for(said("due", "42000 h"))
    tab.fill('[name="running_hours"]', "42500")
    tab.wait_for(said("due", "due since 500 running hours"))
    # What is open in another step is asked again when that step comes into sight.
    tab.fill('[name="reference.angle_tolerance_deg"]', "7")
    wait_for_verdict(tab, "within")
    tab.uncover("#calculation-repeats")
    tab.wait_for(f"{echo('repeats', 'tolerance')} !== {json.dumps(tolerance)}")
    # Close up: nothing of the job is needed.
    fold_out(tab, "bolt_order")
    put(tab, "bolt_order", bolts="8", stages="30 70 100")
    tab.wait_for(said("bolt_order", "Pass 4"))


def test_every_form_of_the_worksheet_leads_to_the_page_that_explains_it(chromium_tab: ChromiumTab) -> None:
    tab = chromium_tab
    open_sheet(tab)
    links = {
        name: tab.attribute(f"#calculation-{name} a[href^='calculate/']", "href")
        for name in CALCULATIONS
        if tab.count(f"#calculation-{name}")
    }
    assert links
    assert links == {name: CALCULATIONS[name].page for name in links}
    for page in {address.partition("#")[0] for address in links.values() if address}:
        tab.open(page)
        for name in [name for name, address in links.items() if address and address.startswith(page)]:
            assert tab.count(f'[data-calculation="{name}"]') == 1
