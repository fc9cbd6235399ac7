"""The pages that explain the calculations: each has its place, its example and its source there; the language is plain."""

import re
from collections.abc import Iterator
from html import escape
from pathlib import Path

import pytest

from calc.compute.registry import CALCULATIONS
from calc.compute.run import compute_tree
from calc.job.describe import fields_of
from calc.job.steps import STEPS
from calc.show.computed import grids, rows
from calc.show.examples import examples
from calc.show.markup import lettered
from calc.show.plots import picture_of
from tests.judge.test_words import HYPHEN_AS_MINUS, sentences

DOCS = Path(__file__).parents[2] / "docs"
PAGES = {path.name: path.read_text("utf-8") for path in sorted((DOCS / "calculate").glob("*.md"))}
WITH_FORMS = [name for name, text in PAGES.items() if "data-calculation=" in text]
NAMES = list(CALCULATIONS)
MOST_WORDS, MOST_WORDS_IN_STEP = 25, 20
FORBIDDEN = re.compile(r"please|simply|invalid|error occurred|\bthe the\b|\.\.", re.IGNORECASE)
STANDARD = re.compile(r"(?:JCGM|ASTM|ISO|VDI|NIST SP|ASME)[ -][A-Z]*-?\d+")


def place(name: str) -> str:
    return f'<div class="calculation" data-calculation="{name}" markdown="0"></div>'


def page_of(name: str) -> str:
    """The page that its calculation names, as source."""
    address = CALCULATIONS[name].page
    assert address.startswith("calculate/"), f"{name} has no page"
    return PAGES[address.partition("#")[0].removeprefix("calculate/").replace(".html", ".md")]


@pytest.mark.parametrize("name", NAMES)
def test_each_calculation_has_its_form_on_the_one_page_that_it_names(name: str) -> None:
    holding = [page for page, text in PAGES.items() if place(name) in text]
    assert len(holding) == 1
    assert PAGES[holding[0]] == page_of(name)
    assert page_of(name).count(place(name)) == 1


@pytest.mark.parametrize("name", NAMES)
def test_the_address_leads_to_the_part_of_the_page_that_explains_it(name: str) -> None:
    page, _, anchor = CALCULATIONS[name].page.partition("#")
    text = page_of(name)
    if not anchor:
        assert text.count('data-calculation="') == 1, f"{page} explains several: name the part"
        return
    part = re.search(rf"^## .*{{#{anchor}}}$(.*?)(?=^## |\Z)", text, re.MULTILINE | re.DOTALL)
    assert part, f"{page} has no part {anchor}"
    assert place(name) in part[1]
    assert f"{{!generated/examples/{name}.md!}}" in part[1]


def test_no_page_holds_a_form_that_does_not_exist() -> None:
    told = [name for text in PAGES.values() for name in re.findall(r'data-calculation="([^"]*)"', text)]
    assert sorted(told) == sorted(NAMES)
    assert sum(text.count('class="calculation"') for text in PAGES.values()) == len(NAMES)


@pytest.mark.parametrize("page", WITH_FORMS)
def test_a_page_with_forms_loads_them_and_stands_in_the_map(page: str) -> None:
    head = PAGES[page].split("---")[1]
    assert "python: calculator" in head.splitlines()
    assert f": calculate/{page}" in (DOCS.parent / "mkdocs.yml").read_text("utf-8")


@pytest.mark.parametrize("name", NAMES)
def test_the_index_leads_to_each(name: str) -> None:
    link = CALCULATIONS[name].page.removeprefix("calculate/").replace(".html", ".md")
    assert f"]({link})" in PAGES["index.md"]


@pytest.mark.parametrize("name", NAMES)
def test_a_page_tells_where_the_worksheet_offers_it_and_how_the_command_line_does(name: str) -> None:
    text = page_of(name)
    assert "python -m calc compute" in text
    assert re.search(rf"`(python -m calc compute )?{name}( < input.json)?`", text)
    assert f"(../generated/calculations.md#{name})" in text
    step = next((step for step in STEPS if step.code == CALCULATIONS[name].step), None)
    before_form = text.partition(place(name))[0].rpartition("##")[2]
    if step is not None:
        assert f"In the worksheet: step *{step.title}*, under *{step.around}*." in before_form
    else:
        assert "worksheet" not in before_form


@pytest.mark.parametrize("name", NAMES)
def test_every_standard_that_a_calculation_rests_on_is_named_on_its_page(name: str) -> None:
    calculation = CALCULATIONS[name]
    done = compute_tree(calculation, dict(calculation.example))
    assert done.answer is not None
    sources = [calculation.source, *(line.source for line in done.answer.working)]
    sources += [field.source for field in fields_of(calculation.result)]
    named = {standard for source in sources for standard in STANDARD.findall(source)}
    assert not {standard for standard in named if standard not in page_of(name)}


# ---------------------------------------------------------------- examples


def test_every_calculation_has_an_example_and_no_other() -> None:
    assert set(examples()) == {f"examples/{name}.md" for name in NAMES}


@pytest.mark.parametrize("name", NAMES)
def test_an_example_is_what_the_program_computes(name: str) -> None:
    """Input, values, tables, words, picture and working, each as `calc` gives it, and the working lies open."""
    calculation = CALCULATIONS[name]
    done = compute_tree(calculation, dict(calculation.example))
    assert done.answer is not None
    text = examples()[f"examples/{name}.md"]
    for field in fields_of(calculation.given):
        if field.name in calculation.example:
            assert escape(field.label[1:], quote=False) in text
    wanted = [each for row in rows(done) for each in (row.label, row.value)]
    wanted += [cell for grid in grids(done) for cells in (grid.cells, (grid.heads,)) for row in cells for cell in row]
    wanted += [notice.text for notice in done.answer.notices]
    wanted += [part for line in done.answer.working for part in (line.numbers, line.value)]
    missing = [each for each in wanted if escape(each, quote=False) not in text]
    missing += [part for line in done.answer.working for part in (line.what, line.formula) if lettered(part) not in text]
    assert not missing
    picture = picture_of(done)
    assert picture is None or picture in text
    assert '<details class="ws-working" open="">' in text
    # A line that is empty would end the HTML within a Markdown page.
    assert len(text.splitlines()) == 1


def test_an_example_shows_its_tables_and_lists_of_records() -> None:
    text = examples()["examples/fuel_index.md"]
    assert "<td>13.2</td><td>3: 23.4; 5: 31.2; 7: 38.9</td>" in text
    assert "<caption>Pairs of scale readings at equal piston height</caption>" in examples()["examples/tdc.md"]


# ---------------------------------------------------------------- language


def plain(text: str) -> str:
    """What a person reads of Markdown: links by their words, code as one word, no marks."""
    text = re.sub(r"`[^`]*`", "code", text)
    text = re.sub(r"\[([^]]*)\]\([^)]*\)", r"\1", text)
    text = re.sub(r"<[^>]*>", "", text)
    return re.sub(r"\s+", " ", text.replace("**", "").replace("*", "")).strip()


def blocks(text: str) -> Iterator[tuple[str, str]]:
    """Each paragraph, list item and table cell: its kind, and its words."""
    kind, kept = "text", ""
    for line in [*text.split("---\n", 2)[2].splitlines(), ""]:
        bare = line.strip()
        item = re.match(r"(\d+\.|-) ", bare)
        starts = not bare or item or bare[:1] in "#|<" or bare[:3] == "!!!" or bare[:2] == "{!"
        if starts and kept:
            yield kind, plain(kept)
            kept = ""
        if bare.startswith("|"):
            yield from (("cell", plain(cell)) for cell in re.split(r"(?<!\\)\|", bare)[1:-1] if cell.strip(" -"))
        elif bare.startswith("#"):
            yield "heading", plain(re.sub(r"{#.*}", "", bare.lstrip("# ")))
        elif bare.startswith("!!!"):
            yield "heading", bare.split('"')[1]
        elif item:
            kind, kept = ("step" if bare[0].isdigit() else "text"), bare[item.end() :]
        elif bare and bare[0] != "<" and bare[:2] != "{!":
            kind, kept = (kind, f"{kept} {bare}") if kept else ("text", bare)


def test_blocks_are_told_apart() -> None:
    text = (
        "---\na: b\n---\n# One {#two}\n\nA [link](x.md) and\n`code --x`.\n\n1. Do *this*\n   now.\n\n| A b | c |\n|---|---|\n"
    )
    assert list(blocks(text)) == [
        ("heading", "One"),
        ("text", "A link and code."),
        ("step", "Do this now."),
        ("cell", "A b"),
        ("cell", "c"),
    ]


@pytest.mark.parametrize("page", list(PAGES))
def test_sentences_are_short_and_plain(page: str) -> None:
    wrong = []
    for kind, text in blocks(PAGES[page]):
        found = FORBIDDEN.search(text)
        if found or HYPHEN_AS_MINUS.search(text):
            wrong.append(f"words that people stumble over: {text!r}")
        if kind in ("text", "step") and text[-1] not in ".?:":
            wrong.append(f"no end: {text!r}")
        for sentence in sentences(text):
            # Of a formula only the words count.
            words = [word for word in sentence.split() if kind != "cell" or re.search(r"[a-z]{2}", word)]
            if len(words) > (MOST_WORDS_IN_STEP if kind == "step" else MOST_WORDS):
                wrong.append(f"{len(words)} words in a {kind}: {sentence!r}")
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("page", WITH_FORMS)
def test_the_cautions_stand_before_the_first_step(page: str) -> None:
    text = PAGES[page]
    first = re.search(r"^1\. ", text, re.MULTILINE)
    assert first
    before = text[: first.start()]
    works_on_the_engine = page in ("dead-centre.md", "cam.md", "push-rod.md", "quantity.md")
    assert ("{!parts/caution-before.md!}" in before and "{!parts/caution-while.md!}" in before) == works_on_the_engine
    assert "caution" in before.lower() or "danger" in before.lower() or page in ("next-check.md", "doubt.md")
    # And those that belong to one part before the steps of that part.
    for part in re.split(r"^#+ ", text, flags=re.MULTILINE):
        steps = re.search(r"^1\. ", part, re.MULTILINE)
        assert not steps or not re.search(r"^(!!!|{!parts/)", part[steps.start() :], re.MULTILINE), part[:200]
