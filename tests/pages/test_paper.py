"""The record and the forms as a printer gets them: nothing asked for, nothing cut, check sum and version on every page."""

import json
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

from calc import assess, read_job
from calc.job.write import checksum
from calc.show.blank import blank_form
from calc.show.record import record
from calc.version import PROGRAM
from tests.invented import Tree, both, clearance, engine_job, opening, plunger_reading
from tests.jobs import tree

from .conftest import Browsers, _sound_tab
from .served import served
from .tab import Tab

A4_POINTS = (595.3, 841.9)


def many_units(units: int) -> Tree:
    """Everything read, both stages, all units off by something."""
    readings: list[Tree] = []
    for unit in range(1, units + 1):
        for stage in ("as_found", "as_left"):
            readings += both(unit, 0.25 * (unit % 5), 0.25 * (unit % 3), stage)
            readings += [
                opening(unit, 1.5, stage),
                clearance(unit, 2.5, stage),
                plunger_reading(unit, "base_return", 0.0, stage),
            ]
    return engine_job(units=units, readings=readings)


JOBS = {"demo": tree(), "six": many_units(6), "twelve": many_units(12), "most": many_units(24)}
# Two units a page where their answer is long, and what stands before and behind the units.
MOST_PAGES = {"demo": 9, "six": 10, "twelve": 20, "most": 37}


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("papers")
    for name, job_tree in JOBS.items():
        job = read_job(json.dumps(job_tree))
        (folder / f"{name}.html").write_text(record(assess(job), job), "utf-8")
        (folder / f"{name}-form.html").write_text(blank_form(job), "utf-8")
    return folder


@pytest.fixture(scope="module")
def bases(papers: Path) -> Iterator[dict[str, str]]:
    """In place of the site's: paper needs no site."""
    with served(papers) as address:
        yield {"file": papers.as_uri() + "/", "http": address}


# Firefox rests after each printed page, the first ten long: five seconds a paper, whatever is on it (a slow machine took more
# than thirty for the most units). So each paper is printed once, and in Firefox only those that are used.
Printed = Callable[[str], list[str]]


@pytest.fixture(params=["chromium", "firefox"])
def printer(request: pytest.FixtureRequest, browsers: Browsers, bases: dict[str, str], tmp_path: Path) -> Iterator[Tab]:
    """A tab that opens the files from their folder, as people do."""
    yield from _sound_tab(browsers[request.param], bases["file"], tmp_path)


@pytest.fixture(scope="module", params=["chromium", "firefox"])
def printed(
    request: pytest.FixtureRequest, browsers: Browsers, bases: dict[str, str], tmp_path_factory: pytest.TempPathFactory
) -> Printed:
    """Prints a paper, and gives the words of each page."""

    @cache
    def pages_of(name: str) -> list[str]:
        folder = tmp_path_factory.mktemp(name)
        path = folder / "paper.pdf"
        for tab in _sound_tab(browsers[request.param], bases["file"], folder):
            tab.open(f"{name}.html")
            tab.pdf(path)
        pages = PdfReader(path).pages
        for page in pages:
            assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(A4_POINTS, abs=1.0)
        return ["".join(page.extract_text().split()) for page in pages]

    return pages_of


@pytest.mark.parametrize(
    ("printed", "name"),
    [*(("chromium", name) for name in JOBS), ("firefox", "twelve"), ("firefox", "most")],
    indirect=["printed"],
)
def test_a_record_prints_on_few_pages_each_with_its_foot(printed: Printed, name: str) -> None:
    pages = printed(name)
    assert 3 <= len(pages) <= MOST_PAGES[name]
    for page in pages:
        assert checksum(JOBS[name]) in page
        assert PROGRAM.replace(" ", "") in page


def test_the_summary_is_one_page_even_for_the_most_units(printed: Printed) -> None:
    pages = printed("most")
    assert "Recordofinjectiontiming" in pages[0]
    # The foot of the summary, and of its table's last row.
    assert "ISO14253-1:2017" in pages[0]
    assert "Eachunit" in pages[1]


def test_a_unit_is_never_cut(printed: Printed) -> None:
    pages = printed("twelve")
    job = read_job(json.dumps(JOBS["twelve"]))
    for unit in assess(job).units:
        assert any("".join(unit.text.split()) in page for page in pages), unit.unit


def test_a_form_is_a_page_for_six_units(printed: Printed) -> None:
    pages = printed("twelve-form")
    assert len(pages) == 2
    for page in pages:
        assert "Cut-outandgaugechecks" in page
        assert checksum(JOBS["twelve"]) in page


def test_nothing_is_wider_than_the_paper(printer: Tab) -> None:
    """At the width of the text on A4, no part hangs over."""
    printer.set_viewport(688)
    for name in ("twelve", "twelve-form"):
        printer.open(f"{name}.html")
        assert printer.evaluate("document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.parametrize("printed", ["chromium"], indirect=True)
def test_pages_are_numbered_where_margin_boxes_are_known(printed: Printed) -> None:
    pages = printed("demo")
    for number, page in enumerate(pages, 1):
        assert f"Page{number}of{len(pages)}" in page


def test_the_record_is_accessible(printer: Tab) -> None:
    for name in ("demo", "demo-form"):
        printer.open(f"{name}.html")
        assert [str(each) for each in printer.axe()] == []
