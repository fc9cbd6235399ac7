"""The record and the forms as a printer gets them: nothing asked for, nothing cut, check sum and version on every page."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from pypdf import PdfReader

from calc import assess, read_job
from calc.job.write import checksum
from calc.show.blank import blank_form
from calc.show.handover import handover_page
from calc.show.record import record
from calc.show.record_unit import answer_words
from calc.version import PROGRAM
from calc.work.begun import begun_file
from tests.invented import Tree, both, clearance, engine_job, opening, plunger_reading
from tests.jobs import tree
from tests.work.sheets import full_job

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


def all_turned() -> Tree:
    """The longest summary: 24 units, both rods of each turned, and nothing else written down."""
    job_tree = many_units(24)
    rods = [(unit, rod) for unit in range(1, 25) for rod in ("suction_rod", "spill_rod")]
    job_tree["adjustments"] = [{"unit": unit, "part": rod, "flats_turned": -2.5} for unit, rod in rods]
    return job_tree


JOBS = {
    "demo": tree(),
    "six": many_units(6),
    "twelve": many_units(12),
    "most": many_units(24),
    "turned": all_turned(),
    "full-7": full_job(7),
    "full-12": full_job(12),
    "full-24": full_job(24),
}
# As measured and no more: two units a page, four where they are left alone, and what stands before and behind the units.
MOST_PAGES = {
    "demo": 9,
    "six": 8,
    "twelve": 14,
    "most": 28,
    "turned": 29,
    "full-7": 11,
    "full-12": 15,
    "full-24": 25,
}
# Confirmations, what is moved, inspection and readings of every six units, what is measured around the check, correction.
FORM_PAGES = {"demo": 8, "six": 6, "twelve": 8, "nothing": 6}
BEGUN = {"format": "spillmark-job", "version": 1}


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("papers")
    for name, job_tree in JOBS.items():
        job = read_job(json.dumps(job_tree))
        (folder / f"{name}.html").write_text(record(assess(job), job), "utf-8")
    for name in FORM_PAGES:
        (folder / f"{name}-form.html").write_text(blank_form(begun_file(JOBS.get(name, BEGUN))), "utf-8")
    (folder / "demo-handover.html").write_text(handover_page(begun_file(JOBS["demo"])), "utf-8")
    (folder / "nothing-handover.html").write_text(handover_page(begun_file(broken_off())), "utf-8")
    return folder


def broken_off() -> Tree:
    """The worst time to be called away: everything is open or loose, and three units are turned and not proved."""
    job_tree = full_job(6)
    for row in job_tree["positions"]:
        for name in ("restored", "restored_by", "checked_by"):
            row.pop(name, None)
    job_tree["confirmations"] = [each for each in job_tree["confirmations"] if each["code"] in ("permit", "master")]
    job_tree["readings"] = [each for each in job_tree["readings"] if each["stage"] == "as_found"]
    job_tree["adjustments"] = job_tree["adjustments"][:3]
    del job_tree["instruments"]
    return job_tree


@pytest.fixture(scope="module")
def bases(papers: Path) -> Iterator[dict[str, str]]:
    """In place of the site's: paper needs no site."""
    with served(papers) as address:
        yield {"file": papers.as_uri() + "/", "http": address}


@pytest.fixture
def printer(browsers: Browsers, bases: dict[str, str], tmp_path: Path) -> Iterator[Tab]:
    """A tab that opens the files from their folder, as people do."""
    yield from _sound_tab(browsers["chromium"], bases["file"], tmp_path)


@pytest.fixture
def other_printer(browsers: Browsers, bases: dict[str, str], tmp_path: Path) -> Iterator[Tab]:
    """The same in Firefox, which knows no margin boxes."""
    yield from _sound_tab(browsers["firefox"], bases["file"], tmp_path)


def printed(tab: Tab, name: str, folder: Path) -> list[str]:
    """The words of each printed page."""
    tab.open(f"{name}.html")
    path = folder / "paper.pdf"
    tab.pdf(path)
    pages = PdfReader(path).pages
    for page in pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(A4_POINTS, abs=1.0)
    return ["".join(page.extract_text().split()) for page in pages]


def assert_a_foot_on_each(pages: list[str], checksum_: str) -> None:
    for number, page in enumerate(pages, 1):
        assert checksum_ in page
        assert PROGRAM.replace(" ", "") in page
        assert f"Page{number}of{len(pages)}" in page


@pytest.mark.parametrize("name", list(JOBS))
def test_a_record_prints_on_few_pages_each_with_its_foot_after_a_summary_of_one(
    printer: Tab, name: str, tmp_path: Path
) -> None:
    pages = printed(printer, name, tmp_path)
    assert 3 <= len(pages) <= MOST_PAGES[name]
    assert_a_foot_on_each(pages, checksum(JOBS[name]))
    assert "Recordofinjectiontiming" in pages[0]
    # The end of the summary.
    assert "ISO14253-1:2017" in pages[0]
    assert "Eachunit" in pages[1]


def test_firefox_prints_it_too_with_a_foot_on_each_page(other_printer: Tab, tmp_path: Path) -> None:
    pages = printed(other_printer, "demo", tmp_path)
    assert 3 <= len(pages) <= MOST_PAGES["demo"] + 2
    for page in pages:
        assert checksum(JOBS["demo"]) in page
        assert PROGRAM.replace(" ", "") in page
    assert "ISO14253-1:2017" in pages[0]


def test_a_unit_is_never_cut(printer: Tab, tmp_path: Path) -> None:
    pages = printed(printer, "full-12", tmp_path)
    job = read_job(json.dumps(JOBS["full-12"]))
    found = assess(job)
    for number in range(1, 13):
        words = ["".join(f"Unit {number}".split()), f"before41{number}.5mm"]
        words += ["".join(answer_words(unit).split()) for unit in found.units if unit.unit == number]
        assert any(all(each in page for each in words) for page in pages), number


@pytest.mark.parametrize("name", list(FORM_PAGES))
def test_forms_print_on_a_page_each(printer: Tab, name: str, tmp_path: Path) -> None:
    pages = printed(printer, f"{name}-form", tmp_path)
    assert len(pages) == FORM_PAGES[name]
    assert_a_foot_on_each(pages, checksum(JOBS.get(name, BEGUN)))
    titles = ["Formforconfirmations", "Formforwhatismoved"]
    assert [title in page for title, page in zip(titles, pages, strict=False)] == [True, True]
    assert sum("Cut-outandgaugechecks" in page for page in pages) == (FORM_PAGES[name] - 4) // 2
    assert all("Form" in page for page in pages)


def test_the_handover_page_is_one_page_and_two_where_everything_is_open(printer: Tab, tmp_path: Path) -> None:
    pages = printed(printer, "demo-handover", tmp_path)
    assert len(pages) == 1
    assert_a_foot_on_each(pages, checksum(JOBS["demo"]))
    assert "Demo:shipandnumbersareinvented." in pages[0]
    pages = printed(printer, "nothing-handover", tmp_path)
    assert len(pages) == 2
    assert "Danger:donotstarttheengine" in pages[0]
    # What is dangerous and what to close stand on the first page.
    assert "Proveitbeforetheshipreliesonit" in pages[0]


PAPERS = ("turned", "full-12", "twelve-form", "nothing-form", "demo-handover", "nothing-handover")


def test_nothing_is_wider_than_the_paper(printer: Tab) -> None:
    """At the width of the text on A4, no part hangs over."""
    printer.set_viewport(688)
    for name in PAPERS:
        printer.open(f"{name}.html")
        assert printer.evaluate("document.documentElement.scrollWidth <= innerWidth"), name


def test_paper_is_accessible(printer: Tab) -> None:
    for name in ("demo", "full-7", *PAPERS[2:]):
        printer.open(f"{name}.html")
        assert [str(each) for each in printer.axe()] == [], name
