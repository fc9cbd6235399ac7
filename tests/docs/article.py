"""What people read on a built page: its article in pieces, each with what it is (step, text, table cell, heading)."""

from dataclasses import dataclass
from html.parser import HTMLParser

STEP, TEXT, CELL, HEADING = "step", "text", "cell", "heading"

_HEADINGS = {"h1", "h2", "h3", "h4", "h5", "h6"}
_BLOCKS = {*_HEADINGS, "p", "li", "td", "th", "dt", "dd", "summary", "figcaption", "caption", "option", "blockquote", "div"}
_BLOCKS |= {"label", "legend"}
# What stands there for machines, or is no sentence.
_PASSED_OVER = {"pre", "script", "style", "svg", "select", "sub", "sup"}
_VOID = {"br", "hr", "img", "input", "wbr", "link", "meta", "source", "col"}


@dataclass(frozen=True, slots=True)
class Piece:
    """One block of text. page: path of its page; section: the tab that the page stands under; kind: what it is."""

    page: str
    section: str
    kind: str
    text: str


class _Reader(HTMLParser):
    """Collects the article. Inline code counts as one word that can begin a sentence: a name that people copy."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.section: list[str] = []
        self.found: list[tuple[str, str]] = []
        self._tab_at = self._article_at = self._skip_at = 0
        self._kind, self._text = TEXT, ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        classes = (dict(attrs).get("class") or "").split()
        if tag in _VOID:
            self._text += " "
            return
        self.open.append(tag)
        if "md-tabs__item--active" in classes:
            self._tab_at = len(self.open)
        elif "md-content__inner" in classes:
            self._article_at = len(self.open)
        elif not self._skip_at and (tag in _PASSED_OVER or "headerlink" in classes):
            self._skip_at = len(self.open)
        if tag == "code":
            self._text += " Code "
            self._skip_at = self._skip_at or len(self.open)
        if tag in _BLOCKS:
            self._flush()

    def handle_endtag(self, tag: str) -> None:
        if tag not in self.open:
            return
        while self.open:
            last = self.open.pop()
            if last in _BLOCKS:
                self._flush()
            depth = len(self.open)
            self._tab_at = self._tab_at if depth >= self._tab_at else 0
            self._article_at = self._article_at if depth >= self._article_at else 0
            self._skip_at = self._skip_at if depth >= self._skip_at else 0
            if last == tag:
                return

    def handle_data(self, data: str) -> None:
        if self._tab_at and data.strip():
            self.section.append(data.strip())
        if self._article_at and not self._skip_at:
            if data.strip() and not self._text.strip():
                self._kind = self._kind_here()
            self._text += data

    def _kind_here(self) -> str:
        for tag in reversed(self.open):
            if tag in _HEADINGS:
                return HEADING
            if tag in ("td", "th"):
                return CELL
            if tag in ("ul", "ol"):
                return STEP if tag == "ol" else TEXT
        return TEXT

    def _flush(self) -> None:
        text = " ".join(self._text.split())
        if text:
            self.found.append((self._kind, text))
        self._kind, self._text = TEXT, ""


def pieces(page: str, html: str) -> list[Piece]:
    """The article of a built page. Parameters: its path, its HTML."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    section = " ".join(reader.section)
    return [Piece(page, section, kind, text) for kind, text in reader.found]
