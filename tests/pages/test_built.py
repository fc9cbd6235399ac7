"""Reading a built site as files: broken links of every kind are found, sound ones are not."""

from pathlib import Path

import pytest

from . import built, finding


@pytest.fixture
def small_site(tmp_path: Path) -> Path:
    site = tmp_path / "site"
    (site / "more").mkdir(parents=True)
    (site / "more" / "page.html").write_text('<h1 id="top">More</h1>', "utf-8")
    (site / "404.html").write_text('<a href="/index.html">Home</a>', "utf-8")
    (tmp_path / "beside.html").write_text("", "utf-8")
    return site


@pytest.mark.parametrize(
    ("target", "reason"),
    [
        ("more/page.html", ""),
        ("more/page.html#top", ""),
        ("more/../more/page.html?q=1#top", ""),
        ("#here", ""),
        ("#", ""),
        ("data:,x", ""),
        ("https://outside.example/", ""),
        ("more/none.html", "no such file"),
        ("more/page.html#none", "no element with id none"),
        ("#none", "no element with id none"),
        ("more/", "leads to a folder"),
        ("/more/page.html", "starts at the root of a server"),
        ("../beside.html", "leads out of the site"),
    ],
)
def test_links_are_judged(small_site: Path, target: str, reason: str) -> None:
    (small_site / "index.html").write_text(f'<p id="here"><a href="{target}">x</a></p>', "utf-8")
    broken = built.broken_links(small_site)
    if reason:
        (only,) = broken
        assert only.startswith(f"index.html: {target}: {reason}")
    else:
        assert broken == []


def test_pages_are_those_that_a_folder_shows(small_site: Path) -> None:
    (small_site / "index.html").write_text("", "utf-8")
    assert built.pages(small_site) == ["index.html", "more/page.html"]
    assert built.page(small_site, "more/page") == "more/page.html"
    with pytest.raises(FileNotFoundError, match=r"neither worksheet\.html nor"):
        built.page(small_site, "worksheet")


def test_an_unbuilt_site_names_the_command_that_builds_it(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("SPILLMARK_SITE", str(tmp_path))
    with pytest.raises(finding.Missing, match="make build"):
        built.folder()
