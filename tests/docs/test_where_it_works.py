"""The page on where it works says what the code does: which browsers, which page keeps what, and where."""

import re

from site_demo import oldest
from tests.pages import built, finding

DOCS = finding.ROOT / "docs"
PAGE = (DOCS / "look-up" / "where-it-works.md").read_text("utf-8")
# Names of locks and channels, and of saved files: nothing is kept under them.
NOT_KEPT = {"spillmark-jobs", "spillmark-visit", "spillmark-job-", "spillmark-job", "spillmark.try"}
NAMES = re.compile(r"[\"'`](spillmark(?:[-.][a-z-]+)*[-.]?)(?=[\"'`$])")
WRITES = re.compile(r"localStorage\.setItem|sessionStorage\.setItem|document\.cookie =|openDB\(|caches\.open|share\(")


def test_every_feature_that_is_needed_is_used() -> None:
    for feature in oldest.FEATURES:
        if feature.used:
            path, text = feature.used
            assert text in (finding.ROOT / path).read_text("utf-8"), feature.name


def test_the_page_names_every_place_where_something_is_kept() -> None:
    sources = {path: path.read_text("utf-8") for path in sorted((DOCS / "app").rglob("*.js"))}
    writers = [text for text in sources.values() if WRITES.search(text)]
    names = {name.removesuffix(".open") for text in writers for name in NAMES.findall(text)} - NOT_KEPT
    assert len(names) > 8
    named = set(re.findall(r"`(spillmark[^`]*)`", PAGE))
    assert names == named


def test_only_the_worksheet_has_the_database_of_jobs() -> None:
    site = built.folder()
    scripts = {path.name: path.read_text("utf-8") for path in (site / "generated" / "app").glob("*.js")}
    holders = {name for name, text in scripts.items() if "spillmark-last-words-" in text or "indexedDB" in text}
    # Python's payload is packed, and its worker cannot keep anything.
    assert holders == {"worksheet.js"}
    loaded = [path for path in built.pages(site) if "generated/app/worksheet.js" in (site / path).read_text("utf-8")]
    assert loaded == ["worksheet.html"]


def test_the_oldest_browsers_stand_on_the_page() -> None:
    page = (built.folder() / "look-up" / "where-it-works.html").read_text("utf-8")
    for version in oldest.oldest().values():
        assert f"<strong>{version}</strong>" in page
