"""Pictures of pages, to look at: `python -m tests.pages.shots OUTDIR [PAGE…]`.

Each page at both widths, light and dark, and as the printer gets it; and of each page two contact sheets, `…-looks.png` and
`…-paper.png`, for who looks at all of them. Without PAGE, every page.
"""

import argparse
import sys
import tempfile
from pathlib import Path

from . import built, contact, finding
from .chromium import Chromium
from .served import served

WIDTHS = (390, 1280)
# On the contact sheet: large enough to read where it is light on a phone and dark on a screen, small for the other two.
LOOKS = {"390-light": 0.5, "1280-dark": 0.33, "390-dark": 0.2, "1280-light": 0.2}
FINDINGS = "#findings[data-verdict] [data-unit][data-verdict]"


def take(*, site: Path, pages: list[str], into: Path, prepare: str = "") -> list[Path]:
    """Take the pictures; `prepare` is a CSS selector to click first, where the page has it."""
    taken = []
    browser = Chromium()
    try:
        with served(site) as base, tempfile.TemporaryDirectory() as downloads:
            for dark in (False, True):
                # A profile each: the theme remembers the first scheme that it shows.
                tab = browser.tab(base=base, downloads=Path(downloads))
                tab.emulate(dark=dark, reduced_motion=True)
                for path in pages:
                    name = _name(path)
                    tab.set_viewport(WIDTHS[-1])
                    tab.open(path)
                    if prepare and tab.count(prepare):
                        tab.click(prepare)
                        tab.wait_for_element(FINDINGS, timeout_s=60)
                    for width in WIDTHS:
                        tab.set_viewport(width)
                        shot = into / f"{name}-{width}-{'dark' if dark else 'light'}.png"
                        tab.screenshot(shot)
                        taken.append(shot)
                    if not dark:
                        paper = into / f"{name}.pdf"
                        tab.pdf(paper)
                        taken.append(paper)
                tab.close()
    finally:
        browser.close()
    return taken


def sheets(*, pages: list[str], into: Path) -> list[Path]:
    """The contact sheets of pages that were taken: how they look, and how they print."""
    made = []
    browser = Chromium()
    try:
        with tempfile.TemporaryDirectory() as downloads:
            tab = browser.tab(base="", downloads=Path(downloads))
            for name in map(_name, pages):
                looks = [contact.Strip(into / f"{name}-{look}.png", scale) for look, scale in LOOKS.items()]
                made.append(contact.sheet(tab, looks, into / f"{name}-looks.png"))
                printed = contact.papers(into / f"{name}.pdf")
                made.append(contact.sheet(tab, [contact.Strip(each, 1.0) for each in printed], into / f"{name}-paper.png"))
    finally:
        browser.close()
    return made


def _name(path: str) -> str:
    return path.removesuffix(".html").replace("/", "-")


def main() -> int:
    """Parse the command line and take the pictures."""
    parser = argparse.ArgumentParser(prog="python -m tests.pages.shots", description=__doc__)
    parser.add_argument("into", type=Path, metavar="OUTDIR")
    parser.add_argument("pages", nargs="*", metavar="PAGE", help="such as worksheet.html")
    parser.add_argument("--click", default="", metavar="SELECTOR", help="such as #show-demo")
    options = parser.parse_args()
    try:
        site = built.folder()
        options.into.mkdir(parents=True, exist_ok=True)
        pages = options.pages or built.pages(site)
        for shot in take(site=site, pages=pages, into=options.into, prepare=options.click):
            print(shot)
        for shot in sheets(pages=pages, into=options.into):
            print(shot)
    except finding.Missing as missing:
        print(missing, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
