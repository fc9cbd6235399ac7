"""Nothing is missing from the pages for looking things up: no source, no formula, no word."""

import re
from pathlib import Path

import pytest

from calc.show.look_up.formulas import SYMBOLS, formulas_page, written
from calc.show.look_up.publications import PUBLICATIONS, Publication, kinds_of, named_in
from calc.show.look_up.said import FORMULA, citations, sayings
from calc.show.look_up.sources import Check, sources_page
from site_demo.build import check_values
from site_demo.stamps import ROOT

CHECKS = [Check(*each) for each in check_values()]
CITATIONS = list(citations())
SOURCES = sources_page(CHECKS)
FORMULAS = formulas_page()
DOCS = [path for path in sorted((ROOT / "docs").rglob("*.md")) if "generated" not in path.parts]
STANDARD = re.compile(r"\b(?:ISO|JCGM|ASTM|VDI|ASME|NIST|ANSI|DIN|JIS) [A-Z]*\d[\w.-]*|NOx Technical Code|Heywood|Payri")


def test_every_source_in_the_code_is_on_the_page() -> None:
    assert len(CITATIONS) > 150
    strangers = {each.text for each in CITATIONS if not named_in(each.text) and not kinds_of(each.text)}
    assert not strangers, "Enter them in calc/show/look_up/publications.py."


def test_every_source_of_a_check_value_is_on_the_page_with_its_test() -> None:
    assert {check.name for check in CHECKS} == {path.stem for path in (ROOT / "tests" / "data").glob("*.json")}
    strangers = [
        source
        for check in CHECKS
        for source, _ in check.statements()
        if source and not named_in(source) and not kinds_of(source)
    ]
    assert not strangers, "Enter them in calc/show/look_up/publications.py."
    for check in CHECKS:
        assert check.tests, f"no test reads tests/data/{check.name}.json"
        assert f"`tests/data/{check.name}.json`" in SOURCES
        assert all(f"`{test}`" in SOURCES for test in check.tests)


@pytest.mark.parametrize("each", PUBLICATIONS, ids=[each.short for each in PUBLICATIONS])
def test_every_publication_on_the_page_serves_something(each: Publication) -> None:
    assert each.names(each.title) or each.names(each.short)
    cited = any(each.names(citation.text) for citation in CITATIONS)
    checked = any(each.names(f"{source}; {seen}") for check in CHECKS for source, seen in check.statements())
    on_pages = any(each.names(path.read_text("utf-8")) for path in DOCS)
    assert cited or checked or (each.pages and on_pages) or "cautions" in each.pages


@pytest.mark.parametrize("path", DOCS, ids=[path.relative_to(ROOT / "docs").as_posix() for path in DOCS])
def test_every_standard_that_a_page_names_is_on_the_page_of_sources(path: Path) -> None:
    strangers = [name for name in STANDARD.findall(path.read_text("utf-8")) if not named_in(name)]
    assert not strangers


def test_what_is_from_memory_is_said_to_be() -> None:
    memory = SOURCES.partition("## From memory")[2]
    remembered = [each for each in CITATIONS if "from memory" in each.text]
    assert remembered
    for each in remembered:
        assert each.text.rstrip(".")[-20:] in memory.replace("\\", "")


def test_every_formula_is_on_the_page() -> None:
    stated = [each for each in sayings() if FORMULA in each.parts]
    assert len(stated) > 100
    assert [each.place for each in stated if f"`{each.place}` | {written(each.parts[FORMULA])} |" not in FORMULAS] == []


def test_the_symbols_of_the_pump_are_explained() -> None:
    known = {letter for symbol in SYMBOLS for letter in re.split(r", | \(", symbol.symbol)}
    used = {
        name
        for each in sayings()
        if FORMULA in each.parts
        and each.module in ("calc.pump.reading", "calc.pump.doubt", "calc.pump.cut_out", "calc.pump.correction")
        for name in re.findall(r"\b(?:[A-Za-z]|rep)(?:_[a-zA-Z]+)?\b(?!\()", each.parts[FORMULA])
    }
    # Words of one letter, and the changes and results that their own formula explains.
    assert used - known - {"A", "a", "dH_c", "dH_o", "u_1", "u_2"} == set()


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("u_c^4 / sum(u_i^4 / nu_i)", "u<sub>c</sub>⁴ / sum(u<sub>i</sub>⁴ / ν<sub>i</sub>)"),
        ("60 x limit x V / |start - feed|", "60 × limit × V / &#124;start − feed&#124;"),
        ("3.167e-3 rho, left-and-right", "3.167e-3 ρ, left-and-right"),
    ],
)
def test_formulas_are_written_as_people_write_them(typed: str, shown: str) -> None:
    assert written(typed) == shown


# The words of the trade that the project uses, and no others for the same things.
WORDS = """unit; suction valve; spill valve; delivery valve; plunger lift; pre-stroke; spill lift; effective stroke;
start of delivery; end of delivery; top dead centre; delivery angle; fuel index;
reference settings; seat-contact reading; zero-index opening;
lift-off clearance; base circle; push rod; rocker; ahead; astern; turning gear; as found; as left; cam position; camshaft drive;
flywheel pointer; timing offset for the fuel in use; variable injection timing; within; too close to tell; standard uncertainty;
valve ratio; flat; play; eccentric; cam part; angle deviation; lift deviation"""


def test_the_glossary_has_every_word_once_with_one_meaning() -> None:
    text = (ROOT / "docs" / "look-up" / "glossary.md").read_text("utf-8")
    entries = re.findall(r"^### (.+)\n\n(.+)$", text, re.MULTILINE)
    names = [re.sub(r" \(.*\)", "", name).lower() for name, _ in entries]
    assert [word for word in re.split(r";\s+", WORDS) if word not in names] == []
    assert len(names) == len(set(names)) == text.count("\n### ")
    assert names == sorted(names)
