"""The practice engine's page, played to its end by its buttons and fields."""

import json
from typing import Any

from calc.show.practice import answer
from calc.teach.practice.answers import named_all
from calc.teach.practice.engine import SUCTION
from calc.teach.practice.rig import play
from calc.teach.practice.score import score
from tests.teach.solver import Texts, solve

from .chromium import ChromiumTab
from .conftest import ONE
from .sound import looks, too_small
from .tab import Tab

PAGE = "learn/practice.html"
NUMBER, LEVEL = 1234, 1
PYTHON_S = 90
DESK = "document.querySelector('#practice .pr-desk')"


def played() -> tuple[list[list[Any]], Texts]:
    """What a cadet does with this engine, and what it answers."""
    cadet = solve(play(NUMBER, LEVEL, []))
    return cadet.seen.actions, cadet.answers


def begin(tab: Tab) -> None:
    tab.open(PAGE)
    tab.select("[name=level]", str(LEVEL))
    tab.fill("[name=number]", str(NUMBER))
    tab.click("[data-act=start]")
    tab.wait_for(f"!{DESK}.hidden && {DESK}.dataset.done === '0'", timeout_s=PYTHON_S)


def do(tab: Tab, action: list[Any]) -> None:
    """One action, as a hand does it at the page."""
    name, *given = action
    if name in ("mount", "mark"):
        tab.select(f"[name={name}]", str(given[0]))
    elif name == "to":
        unit, angle = given
        assert tab.value("[name=mark]") == str(unit)
        tab.fill("[name=angle]", f"{abs(angle):.1f} {'before' if angle < 0 else 'after'}")
        tab.click("[data-act=to]")
    elif name == "index":
        tab.click(f"[data-act=index-{'full' if given[0] else '0'}]")
    elif name == "rod":
        unit, part, flats = given
        tab.select("[name=move-unit]", str(unit))
        tab.select("[name=move-part]", part)
        tab.select("[name=move-way]", "+" if flats > 0 else "-")
        tab.fill("[name=move-far]", f"{abs(flats)} flats")
        tab.click("[data-act=move]")
    elif name == "clear":
        tab.click("[data-act=clear]")
    else:
        tab.click(f"[data-{name}='{given[0]}']")


def told(actions: list[list[Any]], part: str) -> str:
    """What Python itself shows after these actions, as the browser reads it."""
    html = answer({"number": NUMBER, "level": LEVEL, "actions": actions})[part]
    return (
        f"(() => {{ const box = document.createElement('div'); box.innerHTML = {json.dumps(html)}; return box.innerHTML; }})()"
    )


def kept(tab: Tab, place: str) -> Any:
    return json.loads(tab.evaluate(f"localStorage.getItem({json.dumps(place)})") or "null")


@ONE
def test_an_engine_is_played_to_its_end_over_a_reload(tab: Tab) -> None:
    actions, answers = played()
    # Angles are typed to a tenth, so the same work is written down as the page does it.
    actions = [[*each[:2], round(each[2], 1)] if each[0] == "to" else each for each in actions]
    actions = [[*each, 1] if each[0] == "creep" else each for each in actions]
    begin(tab)
    for at, action in enumerate(actions, 1):
        if at == len(actions) // 2:
            tab.open(PAGE)
            tab.wait_for(f"!{DESK}.hidden && {DESK}.dataset.done === '{at - 1}'", timeout_s=PYTHON_S)
            assert kept(tab, "spillmark.practice.open")["actions"] == actions[: at - 1]
        do(tab, action)
        tab.wait_for(f"{DESK}.dataset.done === '{at}'")
    assert tab.evaluate(f"document.querySelector('.pr-notebook').innerHTML === {told(actions, 'notebook')}")
    for key, each in answers.items():
        tab.select(f"[name='answer/{key}/cause']", each["cause"])
        if each["way"]:
            tab.select(f"[name='answer/{key}/way']", each["way"])
            tab.fill(f"[name='answer/{key}/amount']", each["amount"])
    rig = play(NUMBER, LEVEL, actions)
    expected = score(rig, named_all(answers, rig.engine)).total
    tab.click("[data-act=check]")
    tab.wait_for(f"document.querySelector('.pr-result').textContent.includes('{expected} of 100 points')")
    result = kept(tab, "spillmark.practice")
    assert [(each["seed"], each["level"], each["score"]) for each in result] == [(NUMBER, LEVEL, expected)]
    assert len(result[0]["date"]) == len("2026-01-01")
    assert expected == 100
    saved = json.loads(tab.download("[data-act=save]").read_text("utf-8"))
    assert saved["format"] == "spillmark-job"
    assert {each["stage"] for each in saved["readings"]} == {"as_found", "as_left"}
    # Asking is allowed, and the next result says so.
    tab.click("[data-act=findings]")
    tab.wait_for("document.querySelector('.pr-findings').textContent.includes('as left')")
    tab.click("[data-act=check]")
    tab.wait_for("document.querySelector('.pr-result').textContent.includes('You asked for the findings once.')")
    # Only the first result of an engine is kept: it tells the truth.
    assert kept(tab, "spillmark.practice") == result


@ONE
def test_what_goes_wrong_is_told_and_costs_nothing_but_haste(tab: Tab) -> None:
    begin(tab)
    said = "document.querySelector('.pr-said').textContent"
    tab.click("[data-turn='1']")
    tab.wait_for(f"{said}.startsWith('Stop.')")
    tab.click(f"[data-read={SUCTION}]")
    tab.wait_for(f"{said}.includes('No unit has gauges')")
    tab.fill("[name=angle]", "much")
    tab.click("[data-act=to]")
    tab.wait_for(f"{said}.includes('not understood')")
    tab.select("[name='answer/1/cause']", "cam")
    tab.click("[data-act=check]")
    tab.wait_for(f"{said}.includes('Unit 1: Cam position: choose a way')")
    assert kept(tab, "spillmark.practice") is None
    # What was lost names a page that explains it, and the link leads there.
    tab.select("[name='answer/1/cause']", "")
    tab.click("[data-act=check]")
    tab.wait_for("document.querySelector('.pr-result a') !== null")
    tab.click(".pr-result a")
    tab.wait_for("document.querySelector('article h1') !== null && !location.pathname.endsWith('practice.html')")
    tab.open(PAGE)
    tab.wait_for(f"!{DESK}.hidden", timeout_s=PYTHON_S)
    tab.fill("[name=number]", "0")
    tab.click("[data-act=start]")
    tab.wait_for("document.querySelector('.pr-trouble').textContent.includes('Write a whole number from 1 to 99999')")
    # What another program left in the browser's storage is no engine.
    tab.evaluate("localStorage.setItem('spillmark.practice.open', '{\"number\": \"x\"}'), 0")
    tab.evaluate("localStorage.setItem('spillmark.practice', '7'), 0")
    tab.open(PAGE)
    tab.wait_for_element("[data-act=start]")
    assert tab.evaluate(f"{DESK}.hidden") is True


def test_it_is_for_everybody(chromium_tab: ChromiumTab) -> None:
    """Light and dark, both widths: axe, nothing to scroll sideways, targets for gloves."""
    tab = chromium_tab
    begin(tab)
    actions, _ = played()
    for at, action in enumerate(actions[:14], 1):
        do(tab, action)
        tab.wait_for(f"{DESK}.dataset.done === '{at}'")
    tab.click("[data-act=findings]")
    tab.wait_for("document.querySelector('.pr-findings').textContent !== ''")
    tab.click("[data-act=check]")
    tab.wait_for("document.querySelector('.pr-result').textContent !== ''")
    tab.click(".pr-record summary")
    for _ in looks(tab):
        assert too_small(tab, "#practice :is(button, input, select, summary)") == []
    assert tab.evaluate("getComputedStyle(document.querySelector('.pr-needle')).transitionDuration") == "0s"
    assert tab.outside_requests() == []
