"""The built site as files: which pages it has, what they weigh, where their links lead."""

import json
import os
import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from calc.job.steps import ASIDE, STEPS

from . import finding

# Only a web server ever shows this one, so it addresses the site from the server's root.
SERVER_ONLY = {"404.html"}


def folder() -> Path:
    """The folder of the built site: SPILLMARK_SITE, else `site/`."""
    site = Path(os.environ.get("SPILLMARK_SITE") or finding.ROOT / "site").resolve()
    if not (site / "index.html").is_file():
        raise finding.Missing(f"There is no built site in {site}. Build it: make build")
    return site


def pages(site: Path) -> list[str]:
    """Every page of the site, as a path from its root."""
    found = (file.relative_to(site).as_posix() for file in site.rglob("*.html"))
    return sorted(path for path in found if path not in SERVER_ONLY)


def page(site: Path, name: str) -> str:
    """The path of one page: `name.html` or `name/index.html`, whichever was built."""
    for path in (f"{name}.html", f"{name}/index.html"):
        if (site / path).is_file():
            return path
    raise FileNotFoundError(f"the built site has neither {name}.html nor {name}/index.html")


def calculating(site: Path) -> dict[str, str]:
    """The pages that calculate, and what the front matter of their sources says of Python."""
    docs = finding.ROOT / "docs"
    found = {}
    for source in sorted(docs.rglob("*.md")):
        said = re.match(r"---\n(?:.*\n)*?python: (\w+)\n(?:.*\n)*?---\n", source.read_text("utf-8"))
        if said:
            found[page(site, source.relative_to(docs).with_suffix("").as_posix())] = said[1]
    return found


def search_documents(site: Path) -> list[dict[str, Any]]:
    """The entries of the site's own search index."""
    script = (site / "search" / "search_index.js").read_text("utf-8")
    index = json.loads(script.removeprefix("var __index = "))
    documents: list[dict[str, Any]] = index["docs"]
    return documents


@dataclass
class Links:
    """What one page offers to links (`ids`) and where its own links lead (`targets`)."""

    ids: set[str] = field(default_factory=set)
    targets: list[str] = field(default_factory=list)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.links = Links()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if not value:
                continue
            if name == "id" or (tag == "a" and name == "name"):
                self.links.ids.add(value)
            if name in ("href", "src", "data-src", "poster"):
                self.links.targets.append(value)


def links(file: Path) -> Links:
    """Ids and link targets of one page."""
    reader = _Reader()
    reader.feed(file.read_text("utf-8"))
    reader.close()
    return reader.links


def broken_links(site: Path) -> list[str]:
    """Links of the site into itself that lead nowhere, as `page: link: reason`."""
    read = {path: links(site / path) for path in pages(site)}
    # The worksheet's script opens a step by these.
    read.get("worksheet.html", Links()).ids.update(f"step-{step.code}" for step in (*STEPS, *ASIDE))
    broken = []
    for path, found in read.items():
        for target in found.targets:
            reason = _broken(site, path, target, read)
            if reason:
                broken.append(f"{path}: {target}: {reason}")
    return broken


def _broken(site: Path, path: str, target: str, read: dict[str, Links]) -> str:
    parts = urlsplit(target)
    if parts.scheme or parts.netloc:
        return ""
    if parts.path.startswith("/"):
        return "starts at the root of a server, which a folder does not have"
    file = ((site / path).parent / unquote(parts.path)).resolve() if parts.path else site / path
    if not file.is_relative_to(site.resolve()):
        return "leads out of the site"
    if file.is_dir():
        return "leads to a folder, which a browser opens as a list of files"
    if not file.is_file():
        return "no such file"
    fragment = unquote(parts.fragment)
    name = file.relative_to(site.resolve()).as_posix()
    # Only pages have ids to look up: the fragment of a picture or a PDF means something else.
    if fragment and name in read and fragment not in read[name].ids:
        return f"no element with id {fragment}"
    return ""
