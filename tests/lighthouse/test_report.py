"""What the report of Lighthouse says: the lowest score of all pages, and which pages and audits are to blame."""

from typing import Any

from tests.lighthouse.__main__ import figures, told


def result(path: str, accessibility: float, *failed: str) -> dict[str, Any]:
    return {
        "path": path,
        "version": "1.2.3",
        "accessibility": {"score": accessibility, "failed": [{"id": each} for each in failed]},
        "best-practices": {"score": 100, "failed": []},
    }


RESULTS = [result("a.html", 100), result("b.html", 96, "target-size", "label"), result("c.html", 98, "label")]


def test_the_lowest_page_counts_and_less_than_full_score_is_missed() -> None:
    pages, accessibility, practice = figures(RESULTS)
    assert pages.value == 3
    assert (accessibility.value, accessibility.missed) == (96, True)
    assert (practice.value, practice.missed) == (100, False)
    assert "1.2.3" in accessibility.how


def test_pages_below_full_score_are_named_with_their_audits() -> None:
    accessibility, practice = told(RESULTS)
    assert accessibility == "Below 100 in accessibility: `b.html` (target-size, label); `c.html` (label)."
    assert practice == "No page is below 100 in best-practices."
