"""The finished pages allow their own inline scripts and no others."""

import base64
import hashlib
import re
from pathlib import Path

import pytest

from site_demo.pages import GLOSSARY, NEVER_READ, PageError, choose_colours, finish, label_cells, link_abbreviations, tighten
from site_demo.stamps import ROOT
from tests.pages import built

POLICY = "<meta content=\"script-src 'self' 'unsafe-inline'; style-src 'unsafe-inline'\">"
READS_INDEX = 'x();return location.protocol==="file:"?_t(`${new URL("search/search_index.js",b)}`):ze(1)'
LETTERS = 'switch(c.type){case"f":case"s":case"/":i.focus(),i.select(),c.claim();break}'
BUNDLE = READS_INDEX + LETTERS


def site_with(folder: Path, *, page: str = POLICY, bundle: str = BUNDLE) -> Path:
    """The least that the finishing touches expect of a site."""
    scripts = folder / "assets" / "javascripts"
    scripts.mkdir(parents=True)
    (folder / "index.html").write_text(page, encoding="utf-8")
    (scripts / "bundle.0.min.js").write_text(bundle, encoding="utf-8")
    (scripts / "bundle.0.min.js.map").touch()
    for name in NEVER_READ:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).touch()
    return folder


def test_inline_scripts_are_allowed_by_their_hash() -> None:
    # "alert('°')" in UTF-8, hashed here by other means than the page's own code.
    expected = base64.b64encode(hashlib.sha256(b"alert('\xc2\xb0')").digest()).decode()
    page = tighten(POLICY + "<script>alert('°')</script>")
    assert f"script-src 'self' 'sha256-{expected}'; style-src 'unsafe-inline'" in page


def test_scripts_from_files_and_data_are_no_inline_scripts() -> None:
    page = tighten(POLICY + '<script src="a.js"></script><script type="application/json">{}</script>')
    assert "sha256" not in page


@pytest.mark.parametrize("page", ["<p>no policy</p>", POLICY + POLICY])
def test_a_page_without_exactly_one_policy_stops_the_build(tmp_path: Path, page: str) -> None:
    with pytest.raises(PageError, match=r"index\.html: . loose script policies found where there must be one"):
        finish(site_with(tmp_path, page=page))


@pytest.mark.parametrize("bundle", ["x()", BUNDLE + BUNDLE])
def test_a_theme_that_reads_its_index_otherwise_stops_the_build(tmp_path: Path, bundle: str) -> None:
    with pytest.raises(PageError, match=r"bundle\.0\.min\.js: . places read the search index"):
        finish(site_with(tmp_path, bundle=bundle))


@pytest.mark.parametrize("bundle", [READS_INDEX, BUNDLE + LETTERS])
def test_a_theme_that_opens_its_search_by_other_keys_stops_the_build(tmp_path: Path, bundle: str) -> None:
    with pytest.raises(PageError, match=r"bundle\.0\.min\.js: . places open the search at a letter"):
        finish(site_with(tmp_path, bundle=bundle))


def test_no_letter_opens_the_search_and_the_page_at_hand_is_named(tmp_path: Path) -> None:
    site = site_with(
        tmp_path, page=POLICY + '<a href="./" class="md-nav__link md-nav__link--active"><a href="b" class="md-nav__link">'
    )
    finish(site)
    assert "switch(c.type){}" in next(site.rglob("bundle.*")).read_text(encoding="utf-8")
    assert (site / "index.html").read_text(encoding="utf-8").count('aria-current="page"') == 1


def test_links_to_neighbours_and_source_maps_go(tmp_path: Path) -> None:
    site = site_with(tmp_path, page=POLICY + '\n<link rel="next" href="b.html"><link rel="icon" href="i">')
    finish(site)
    assert (site / "index.html").read_text(encoding="utf-8").endswith('"><link rel="icon" href="i">')
    assert not list(site.rglob("*.map"))
    assert 'return true?_t(`${new URL("search/' in next(site.rglob("bundle.*")).read_text(encoding="utf-8")


def test_what_no_page_reads_goes(tmp_path: Path) -> None:
    site = site_with(tmp_path)
    (site / "assets" / "javascripts" / "lunr").unlink()
    (site / "assets" / "javascripts" / "lunr" / "min").mkdir(parents=True)
    finish(site)
    assert not [name for name in NEVER_READ if (site / name).exists()]


def test_what_the_theme_no_longer_makes_stops_the_build(tmp_path: Path) -> None:
    site = site_with(tmp_path)
    (site / NEVER_READ[0]).unlink()
    with pytest.raises(PageError, match=r"sitemap\.xml is missing\. Compare NEVER_READ"):
        finish(site)


def table(columns: int) -> str:
    heads = "".join(f"<th>Head &lt;<em>{j}</em></th>" for j in range(columns))
    cells = "".join(f"<td>{j}</td>" for j in range(columns))
    return f"<table>\n<thead><tr>{heads}</tr></thead>\n<tbody><tr>{cells}</tr><tr>{cells}</tr></tbody></table>"


def test_cells_of_wide_tables_carry_the_name_of_their_column() -> None:
    labelled = label_cells(f"<p>a</p>{table(4)}<p>b</p>")
    assert re.findall(r'<td data-label="([^"]*)">(\d)</td>', labelled) == [(f"Head &lt;{j}", f"{j}") for j in range(4)] * 2
    assert label_cells(table(3)) == table(3)


def article(inner: str) -> str:
    return f'<body><abbr title="t">TDC</abbr><article class="md-content__inner md-typeset">{inner}</article>'


def test_the_first_use_of_an_abbreviation_in_a_text_leads_to_the_glossary() -> None:
    short = '<abbr title="top dead centre">TDC</abbr>'
    untouched = f'<h2>{short}</h2><p><a href="x.html">the {short}</a></p><svg><a>{short}</a></svg>'
    page = article(f"{untouched}<p>At {short}, then {short}.</p>")
    linked = article(f'{untouched}<p>At <a href="../g.html#top">{short}</a>, then {short}.</p>')
    assert link_abbreviations(page, "../g.html", {"TDC": "top"}) == linked
    assert link_abbreviations("<p>no article</p>", "../g.html", {}) == "<p>no article</p>"


def test_an_abbreviation_without_its_entry_stops_the_build(tmp_path: Path) -> None:
    site = site_with(tmp_path, page=POLICY + article('<p><abbr title="t">TDC</abbr></p>'))
    with pytest.raises(PageError, match=r"index\.html: the abbreviation TDC has no entry in docs/look-up/glossary\.md"):
        finish(site)


def test_built_pages_link_what_they_abbreviate() -> None:
    """Each abbreviation that a page explains by a tooltip is also a link on that page, but on the glossary itself."""
    site = ROOT / "site"
    linked = 0
    for page in (site / path for path in built.pages(site)):
        elsewhere = r"<(h[1-6])\b.*?</\1>|<a (?![^>]*glossary\.html#).*?</a>"
        text = re.sub(elsewhere, "", page.read_text("utf-8"), flags=re.DOTALL)
        for short in set(re.findall(r"<abbr title=[^>]*>([^<]+)</abbr>", text)):
            entry = re.search(rf'<a href="[^"]*glossary\.html#[^"]+"><abbr title="[^"]*">{short}</abbr></a>', text)
            assert bool(entry) is (page != site / GLOSSARY), (page, short)
            linked += bool(entry)
    assert linked


def test_the_built_site_allows_no_inline_script_and_no_request() -> None:
    pages = sorted((ROOT / "site").rglob("*.html"))
    assert pages, "there is no built site: make build"
    calculating = {ROOT / "site" / path for path in built.calculating(ROOT / "site")}
    for page in pages:
        policy = re.search(r'Content-Security-Policy" content="([^"]*)"', page.read_text(encoding="utf-8"))
        assert policy, page
        rules = dict(rule.strip().split(" ", 1) for rule in policy[1].split(";"))
        assert rules["default-src"] == rules["connect-src"] == "'none'", page
        assert "'unsafe-inline'" not in rules["script-src"], page
        assert "'unsafe-eval'" not in rules["script-src"], page
        # Only pages that calculate may run Python.
        assert ("'wasm-unsafe-eval'" in rules["script-src"]) is (page in calculating), page


def test_the_palette_keeps_the_rules_of_the_sites_own_colours_alone(tmp_path: Path) -> None:
    """Those for all colours stay too."""
    kept = "@media screen{[data-md-color-scheme=slate]{x:y}}[data-md-color-accent=indigo]{a:b}"
    kept += "[data-md-color-primary=blue-grey]{c:d}"
    other = "[data-md-color-accent=red]{a:b}[data-md-color-primary=white] .md-tabs,[data-md-color-primary=black] p{e:f}"
    site = site_with(tmp_path)
    palette = site / "assets" / "stylesheets" / "palette.0.min.css"
    palette.parent.mkdir(parents=True)
    palette.write_text(kept + other, encoding="utf-8")
    finish(site)
    assert palette.read_text("utf-8") == kept
    with pytest.raises(PageError, match=r"palette\.0\.min\.css has no rules for other colours"):
        choose_colours(site)
