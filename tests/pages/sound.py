"""What holds for every part of a page that is worked with: in light and dark, on a phone and on a wide screen."""

from __future__ import annotations

from collections.abc import Iterator

from .chromium import DARK, LIGHT, ChromiumTab
from .tab import Tab

WIDTHS = (390, 1280)
TARGET_PX = 44


def looks(tab: ChromiumTab) -> Iterator[int]:
    """Show the page in each look, one after the other, and hold it to what each has to be. Yields: the width [px].

    By night nothing but the colours is another: the rules of accessibility that ask for more are held by day.
    """
    for dark in (False, True):
        tab.emulate(dark=dark, reduced_motion=True)
        for width in WIDTHS:
            tab.set_viewport(width)
            assert tab.attribute("body", "data-md-color-scheme") == (DARK if dark else LIGHT)
            assert tab.axe(colours_alone=dark) == []
            assert tab.evaluate("document.documentElement.scrollWidth") <= width
            yield width


def too_small(tab: Tab, selector: str) -> list[str]:
    """The targets in sight that a gloved finger misses."""
    found: list[str] = tab.evaluate(
        f"[...document.querySelectorAll({selector!r})].filter(each => each.checkVisibility())"
        f".filter(each => Math.min(each.offsetWidth, each.offsetHeight) < {TARGET_PX}).map(each => each.outerHTML)"
    )
    return found
