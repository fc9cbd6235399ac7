"""What MkDocs cannot do to a finished site: tighten its policy, label cells, link abbreviations, mend search, drop the rest."""

import base64
import hashlib
import html
import re
import shutil
from collections.abc import Mapping
from pathlib import Path

INLINE_SCRIPT = re.compile(r"<script>(.*?)</script>", re.DOTALL)
# Firefox fetches the next page ahead; the policy refuses that, with a complaint on the console.
NEIGHBOUR_LINK = re.compile(r'\s*<link rel="(?:prev|next)"[^>]*>')
LOOSE_POLICY = re.compile(r"(script-src [^;]*)'unsafe-inline'")
# The theme reads its search index by a script on file:// and by a request elsewhere. The policy
# forbids every request, so the script is right for both.
INDEX_BY_REQUEST = re.compile(r'location\.protocol==="file:"\?(?=\w+\(`\$\{new URL\("search/)')
# The theme opens the search at single letters; who speaks or slips types letters too (WCAG 2.2, 2.1.4).
LETTER_KEYS = re.compile(r'case"f":case"s":case"/":\w+\.focus\(\),\w+\.select\(\),\w+\.claim\(\);break')
# The page at hand is marked by its colour alone.
HERE = re.compile(r'(<a href="[^"]*" class="md-nav__link md-nav__link--active")(?=>)')

# What MkDocs and the theme put into every site and this one never reads: a map for crawlers, which is empty without
# an address of the site and bears the time of the build; the search index for those who fetch; search in other languages.
NEVER_READ = ("sitemap.xml", "sitemap.xml.gz", "search/search_index.json", "assets/javascripts/lunr")

# Rules of the theme for colours that mkdocs.yml does not choose.
OTHER_COLOURS = re.compile(r"\[data-md-color-(?:primary|accent)=(?!blue-grey\]|indigo\])[a-z-]+\][^{}]*\{[^{}]*\}")

# What Markdown makes of a table; from so many columns on it stacks on a phone (see stylesheets/site.css).
TABLE = re.compile(r"<table>.*?</table>", re.DOTALL)
HEAD = re.compile(r"<th\b[^>]*>(.*?)</th>", re.DOTALL)
ROW = re.compile(r"<tr>.*?</tr>", re.DOTALL)
CELL = re.compile(r"<td\b")
TAGS = re.compile(r"<[^>]*>")
WIDE = 4

ARTICLE = re.compile(r'(?<=<article class="md-content__inner md-typeset">).*?(?=</article>)', re.DOTALL)
MARK = re.compile(r"<abbr title=\"[^\"]*\">([^<]*)</abbr>|<(/?)(a|h[1-6]|summary|svg)\b")
GLOSSARY = Path("look-up") / "glossary.html"
GLOSSARY_ENTRY = re.compile(r'<h3 id="([^"]*)">(.*?)<a class="headerlink"')


class PageError(Exception):
    """A finished page or script is not what this module expects of the pinned theme."""


def script_hashes(page: str) -> str:
    """The hash sources that allow exactly the inline scripts of a page."""
    digests = {base64.b64encode(hashlib.sha256(script.encode()).digest()).decode() for script in INLINE_SCRIPT.findall(page)}
    return " ".join(f"'sha256-{digest}'" for digest in sorted(digests))


def tighten(page: str) -> str:
    """The page with the hashes of its inline scripts in the place of 'unsafe-inline'."""
    tight, found = LOOSE_POLICY.subn(lambda policy: policy[1] + script_hashes(page), page)
    if found != 1:
        raise PageError(f"{found} loose script policies found where there must be one")
    return NEIGHBOUR_LINK.sub("", tight)


def label_cells(page: str) -> str:
    """The page with the name of its column on every cell of a wide table: on a phone such a table stacks, cell under cell."""

    def labelled(table: re.Match[str]) -> str:
        heads = [html.escape(html.unescape(TAGS.sub("", head)).strip()) for head in HEAD.findall(table[0])]
        if len(heads) < WIDE:
            return table[0]
        return ROW.sub(lambda row: _label_row(row[0], heads), table[0])

    return TABLE.sub(labelled, page)


def _label_row(row: str, heads: list[str]) -> str:
    names = iter(heads)
    return CELL.sub(lambda cell: f'<td data-label="{next(names, "")}"', row)


def glossary_anchors(glossary: str) -> dict[str, str]:
    """Where the glossary explains each abbreviation that it has: an entry of that name, or with it in brackets.

    >>> glossary_anchors('<h3 id="top"><abbr title="t">TDC</abbr> mark<a class="headerlink"')
    {'TDC mark': 'top'}
    >>> glossary_anchors('<h3 id="top-dead">Top dead (TDC)<a class="headerlink"')
    {'TDC': 'top-dead'}
    """
    entries = [(anchor, TAGS.sub("", words)) for anchor, words in GLOSSARY_ENTRY.findall(glossary)]
    return {words.partition("(")[2].rstrip(")") or words: anchor for anchor, words in entries}


def link_abbreviations(page: str, glossary: str, anchors: Mapping[str, str]) -> str:
    """The page with the first use of each abbreviation in its text as a link to the glossary, whose address is given.

    A tooltip is out of reach of the keyboard and of a finger. What stands within a link, a heading or a picture is left alone.
    """
    found = ARTICLE.search(page)
    if not found:
        return page
    seen: set[str] = set()
    parts, at, within = [], 0, 0
    article = found[0]
    for mark in MARK.finditer(article):
        short = mark[1]
        if not short:
            within += -1 if mark[2] else 1
        elif not within and short not in seen:
            if short not in anchors:
                raise PageError(f"the abbreviation {short} has no entry in docs/look-up/glossary.md")
            seen.add(short)
            parts += [article[at : mark.start()], f'<a href="{glossary}#{anchors[short]}">{mark[0]}</a>']
            at = mark.end()
    return page[: found.start()] + "".join(parts) + article[at:] + page[found.end() :]


def finish(site: Path) -> None:
    """Finish a built site in place."""
    anchors = glossary_anchors((site / GLOSSARY).read_text(encoding="utf-8")) if (site / GLOSSARY).is_file() else {}
    for path in sorted(site.rglob("*.html")):
        try:
            page = label_cells(tighten(HERE.sub(r'\1 aria-current="page"', path.read_text(encoding="utf-8"))))
            if path != site / GLOSSARY:
                to_top = "../" * (len(path.relative_to(site).parts) - 1)
                page = link_abbreviations(page, f"{to_top}{GLOSSARY.as_posix()}", anchors)
            path.write_text(page, encoding="utf-8")
        except PageError as trouble:
            raise PageError(f"{path.relative_to(site)}: {trouble}. See docs/overrides/main.html.") from None
    bundles = list((site / "assets" / "javascripts").glob("bundle.*.min.js"))
    for bundle in bundles:
        text, found = INDEX_BY_REQUEST.subn("true?", bundle.read_text(encoding="utf-8"))
        if found != 1:
            raise PageError(
                f"{bundle.relative_to(site)}: {found} places read the search index where there must "
                "be one. Compare INDEX_BY_REQUEST in site_demo/pages.py with the theme's script."
            )
        text, found = LETTER_KEYS.subn("", text)
        if found != 1:
            raise PageError(
                f"{bundle.relative_to(site)}: {found} places open the search at a letter where there must "
                "be one. Compare LETTER_KEYS in site_demo/pages.py with the theme's script."
            )
        bundle.write_text(text, encoding="utf-8")
    if not bundles:
        raise PageError("The theme's script assets/javascripts/bundle.*.min.js is missing.")
    # Maps for debugging the theme: half as big again as the pages, and of no use on a ship.
    for source_map in site.rglob("*.map"):
        source_map.unlink()
    choose_colours(site)
    for name in NEVER_READ:
        drop(site / name)


def choose_colours(site: Path) -> None:
    """Take the rules for other colours than the site's out of the theme's palette: every page loads it."""
    for palette in (site / "assets" / "stylesheets").glob("palette.*.css"):
        text, found = OTHER_COLOURS.subn("", palette.read_text(encoding="utf-8"))
        if not found:
            raise PageError(
                f"{palette.name} has no rules for other colours. Compare OTHER_COLOURS in site_demo/pages.py with it."
            )
        palette.write_text(text, encoding="utf-8")


def drop(path: Path) -> None:
    """Take away a file, or a folder with all that is in it."""
    if not path.exists():
        raise PageError(f"{path.name} is missing. Compare NEVER_READ in site_demo/pages.py with what the theme makes.")
    if path.is_dir():
        shutil.rmtree(path)
    else:
        path.unlink()
