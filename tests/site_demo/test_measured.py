"""Reports of long measurements: kept, read again, shown."""

from pathlib import Path

import pytest

from site_demo.measured import MEASURED, Figure, keep, page, reports

SLOW = Figure("start_s", 2.5, "s", 2.0, "median of 5 | cold")
FAST = Figure("jobs_per_s", 393.05, "/s", None, "one core", at_least=200.0)


def test_what_is_kept_is_read_again(tmp_path: Path) -> None:
    """Numbers, text and order come back as they went."""
    keep("b", "Zeal", [SLOW], command="make b", folder=tmp_path)
    keep("a", "Age", [FAST, SLOW], command="make a", told=["A word."], folder=tmp_path)
    age, zeal = reports(tmp_path)
    assert (age.title, age.command, age.figures, age.told) == ("Age", "make a", (FAST, SLOW), ("A word.",))
    assert zeal.figures == (SLOW,)


def test_a_report_replaces_the_last_of_its_name(tmp_path: Path) -> None:
    """One report for each command."""
    keep("a", "Old", [SLOW], command="make a", folder=tmp_path)
    keep("a", "New", [FAST], command="make a", folder=tmp_path)
    assert [report.title for report in reports(tmp_path)] == ["New"]


@pytest.mark.parametrize(("figure", "missed"), [(SLOW, True), (FAST, False), (Figure("x", 199.0, "", None, "", 200.0), True)])
def test_a_missed_goal_is_marked(figure: Figure, missed: bool) -> None:
    """On the terminal and on the page."""
    assert figure.missed is missed
    assert ("MISSED" in str(figure)) is missed


def test_the_page_says_what_was_missed_and_keeps_its_table_whole(tmp_path: Path) -> None:
    """A bar in a text is no border of a cell."""
    keep("a", "Speed", [SLOW, FAST], command="make a", folder=tmp_path)
    text = page(reports(tmp_path))
    assert "| `start_s` | 2.5 s | at most 2: **missed** | median of 5 \\| cold |" in text
    assert "| `jobs_per_s` | 393 /s | at least 200 | one core |" in text


@pytest.mark.parametrize(
    ("value", "text"), [(21000.0, "21000"), (7241.2, "7241"), (0.0, "0"), (7.39e-15, "7.39e-15"), (45.16, "45.2")]
)
def test_a_large_number_is_written_out(value: float, text: str) -> None:
    """A tiny one has no other way."""
    assert Figure("x", value, "", None, "").measured == text


def test_the_projects_own_reports_are_whole() -> None:
    """Each says by what, when and on what it was measured."""
    found = reports()
    assert len(found) == len(list(MEASURED.glob("*.json")))
    for report in found:
        assert report.command.startswith("make ")
        assert report.figures or report.told
