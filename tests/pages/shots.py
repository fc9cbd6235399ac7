"""Pictures of pages, to look at: `python -m tests.pages.shots OUTDIR [PAGE…]`.

Each page at both widths, light and dark, and as the printer gets it. Without PAGE, every page.
"""

import argparse
import sys
import tempfile
from pathlib import Path

from . import built, finding
from .chromium import Chromium
from .served import served

WIDTHS = (390, 1280)
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
                    name = path.removesuffix(".html").replace("/", "-")
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
    except finding.Missing as missing:
        print(missing, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
