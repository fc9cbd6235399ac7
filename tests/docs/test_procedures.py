"""The procedures: the whole job in its order, cautions first, no value of the maker, and nothing that differs from `calc`."""

import re

import pytest

from calc.findings import CAUSES, SUSPICIONS
from calc.job.catalogue import EVERY_CONFIRMATION, INSPECTED, POSITIONS
from calc.job.steps import ASIDE, STEPS, Step
from calc.judge.suspect_words import settle_in_general
from calc.show import fault_tree, procedures
from site_demo.stamps import ROOT
from tests.pages import built

from .article import pieces

DOCS = ROOT / "docs"
NAV = re.findall(r"^ {6}- (?:[^:\n]+: )?before/(\S+\.md)$", (ROOT / "mkdocs.yml").read_text("utf-8"), re.MULTILINE)
PAGES = {name: (DOCS / "before" / name).read_text("utf-8") for name in NAV}
# Pages that lead to others and have no steps at the engine.
GUIDES = {"index.md", "does-not-add-up.md"}
PROCEDURES = [name for name in NAV if name not in GUIDES]
PARTS = ("You need", "Before you start", "Steps", "When it does not work", "Write down")
STEP_LINK = re.compile(r"\]\(\.\./worksheet\.md#step-([a-z-]+)\)")
VALUE = re.compile(r"\d\s*(?:mm|°C?|bar|N·?m|%|h\b|hours?|minutes?|rpm|cSt|turns?\b|flats?\b)")
NO_SOURCE = "common practice, no source"


def test_every_page_is_in_the_site_map() -> None:
    assert sorted(NAV) == sorted(path.name for path in (DOCS / "before").glob("*.md"))


def test_the_whole_job_stands_in_the_order_of_the_worksheet() -> None:
    lines = re.findall(r"^\d+\. .*$", PAGES["index.md"], re.MULTILINE)
    assert [STEP_LINK.findall(line) for line in lines] == [[step.code] for step in STEPS]
    told = {link.partition("#")[0] for link in re.findall(r"\]\(([\w-]+\.md(?:#[\w-]+)?)\)", PAGES["index.md"])}
    assert told == set(NAV) - {"index.md"}


def test_every_step_of_the_worksheet_has_its_page() -> None:
    linked = {code for name in PROCEDURES for code in STEP_LINK.findall(PAGES[name])}
    assert linked == {step.code for step in (*STEPS, *ASIDE)}


@pytest.mark.parametrize("step", [*STEPS, *ASIDE], ids=lambda step: step.code)
def test_the_worksheet_leads_to_the_place_that_says_how(step: Step) -> None:
    page, _, place = step.page.partition("#")
    text = (built.folder() / page).read_text("utf-8")
    assert f"worksheet.html#step-{step.code}" in text
    assert not place or f'id="{place}"' in text


@pytest.mark.parametrize("name", PROCEDURES)
def test_a_procedure_has_its_parts_in_order(name: str) -> None:
    found = [title for title in re.findall(r"^## (.*)$", PAGES[name], re.MULTILINE) if title in PARTS]
    assert found == list(PARTS)


@pytest.mark.parametrize("name", NAV)
def test_the_caution_stands_before_the_first_step(name: str) -> None:
    text = PAGES[name]
    caution = re.search(r"^(?:!!! (?:danger|warning|caution) \"|\{!parts/caution-)", text, re.MULTILINE)
    first = re.search(r"^(?:1\. |## |\{!generated/)", text, re.MULTILINE)
    assert caution, f"{name} has no caution"
    assert first, f"{name} has no step"
    assert caution.start() < first.start()


def test_a_caution_names_hazard_and_way_out_under_its_signal_word() -> None:
    sources = [*PAGES.values(), *(path.read_text("utf-8") for path in (DOCS / "parts").glob("caution-*.md"))]
    cautions = [
        (signal, title, body)
        for text in sources
        for signal, title, body in re.findall(
            r'^!!! (danger|warning|caution) "([^"]*)"\n((?:    .*\n|\n)+)', text, re.MULTILINE
        )
    ]
    assert len(cautions) >= 10
    for signal, title, body in cautions:
        assert title.startswith(f"{signal.capitalize()}: "), title
        assert len(re.findall(r"[.?!](?:\s|$)", body)) >= 2, f"{title}: what happens, and how to keep clear of it"


@pytest.mark.parametrize("name", PROCEDURES)
def test_a_procedure_ends_with_its_step_and_the_next_page(name: str) -> None:
    tail = PAGES[name].rpartition("## Write down")[2]
    assert STEP_LINK.search(tail)
    after = NAV[NAV.index(name) + 1]
    assert re.search(rf"\[Next: [^\]]+\]\({re.escape(after)}\)", tail)


def test_no_page_gives_a_value_that_belongs_to_the_maker() -> None:
    site = built.folder()
    given = []
    for name in NAV:
        path = f"before/{name.removesuffix('.md')}.html"
        for piece in pieces(path, (site / path).read_text("utf-8")):
            if VALUE.search(piece.text) and NO_SOURCE not in piece.text.lower():
                given.append(f"{path}: {piece.text}")
    assert not given, "\n".join(given)


@pytest.mark.parametrize("text", ["Leave 0.8 mm.", "Tighten to 120 Nm.", "Every 6000 hours.", "Hold ±0.3°.", "To 40 bar."])
def test_a_value_is_seen(text: str) -> None:
    assert VALUE.search(text)


# ---------------------------------------------------------------- what comes from `calc`


def questions() -> list[fault_tree.Question]:
    return [each for top in fault_tree.QUESTIONS for each in (top, *top.below)]


def test_the_fault_tree_holds_every_cause_and_every_mistake_once() -> None:
    assert sorted(code for each in questions() for code in each.causes) == sorted(CAUSES)
    assert sorted(code for each in questions() for code in each.slips) == sorted(SUSPICIONS)


def test_a_no_leads_on_to_the_next_question_that_is_not_inside_it() -> None:
    page = fault_tree.fault_tree()
    led = re.findall(r"^#+ (\S+)\. .*?(?:If not, go on to \[question (\S+)\]|\Z)", page, re.MULTILINE | re.DOTALL)
    tops = [str(number) for number in range(1, len(fault_tree.QUESTIONS) + 1)]
    onward = dict(led)
    assert [(top, onward[top]) for top in tops] == list(zip(tops, [*tops[1:], ""], strict=True))
    assert (onward["4.1"], onward["4.3"]) == ("4.2", "5")


def test_the_fault_tree_asks_no_question_without_an_end() -> None:
    assert len({each.code for each in questions()}) == len(questions())
    for each in questions():
        assert each.yes or each.causes or each.slips or each.below, each.code


@pytest.mark.parametrize("code", SUSPICIONS)
def test_what_settles_a_mistake_is_said_without_a_finding(code: str) -> None:
    words = settle_in_general(code)
    assert words[0].isupper()
    assert words[-1] in ".?"
    assert "{" not in words
    assert "  " not in words
    assert words in fault_tree.fault_tree()


def test_every_end_of_the_tree_can_be_linked_to() -> None:
    page = (built.folder() / "before" / "does-not-add-up.html").read_text("utf-8")
    wanted = (
        {f"cause-{code}" for code in CAUSES} | {f"mistake-{code}" for code in SUSPICIONS} | {each.code for each in questions()}
    )
    assert wanted <= set(re.findall(r' id="([^"]+)"', page))


def test_pages_ask_for_what_the_worksheet_asks_for() -> None:
    said = procedures.parts()
    for step in {each.step for each in EVERY_CONFIRMATION}:
        asked = [each.label for each in EVERY_CONFIRMATION if each.step == step]
        lines = said[f"before/confirm-{step}.md"].splitlines()
        assert len(lines) == len(asked)
        assert all(label in line for label, line in zip(asked, lines, strict=True))
    for each in POSITIONS:
        assert each.note in said["before/positions.md"]
        assert each.label in said["before/closing.md"]
    assert all(f"- {label}\n" in said["before/inspected.md"] for label in INSPECTED.values())


def test_every_generated_part_is_on_a_page() -> None:
    pages = [*PAGES.values(), (DOCS / "worksheet.md").read_text("utf-8")]
    included = {part for text in pages for part in re.findall(r"\{!generated/(before/[\w-]+\.md)!\}", text)}
    assert included == set(procedures.parts())
