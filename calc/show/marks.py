"""The verdict's mark: a shape that says it without colour.

Within: a dot inside a bracket. Outside: a dot beside it. Too close to tell: a whisker across the bracket's edge. Not
complete: a bracket with no dot.
"""

from __future__ import annotations

from functools import lru_cache

from calc.measure.conformity import INCOMPLETE, OUTSIDE, UNCLEAR, WITHIN
from calc.show.markup import Markup, element, joined

WORDS = {WITHIN: "Within", UNCLEAR: "Too close to tell", OUTSIDE: "Outside", INCOMPLETE: "Not complete"}
WIDTH, HEIGHT = 24.0, 12.0

_LINE = {"fill": "none", "stroke": "currentColor", "stroke-width": "1.6"}


@lru_cache(maxsize=256)
def shape(verdict: str, x: float = 0.0, y: float = 0.0) -> Markup:
    """The mark as SVG shapes, its top left corner at x, y; 24 wide and 12 high."""
    bracket = element("path", {"d": f"M{x + 5:g} {y + 1:g}h-3v10h3M{x + 13:g} {y + 1:g}h3v10h-3", **_LINE})
    middle = y + 6.0
    if verdict == WITHIN:
        inside: Markup | None = element("circle", {"cx": x + 9.0, "cy": middle, "r": 2.6, "fill": "currentColor"})
    elif verdict == OUTSIDE:
        inside = element("circle", {"cx": x + 21.0, "cy": middle, "r": 2.6, "fill": "currentColor"})
    elif verdict == UNCLEAR:
        whisker = element(
            "path", {"d": f"M{x + 9:g} {middle:g}h14M{x + 23:g} {middle - 3:g}v6M{x + 9:g} {middle - 3:g}v6", **_LINE}
        )
        inside = joined(whisker, element("circle", {"cx": x + 16.0, "cy": middle, "r": 2.6, "fill": "currentColor"}))
    else:
        inside = None
    return element("g", {"class": f"sm-mark sm-{verdict}"}, bracket, inside)


def mark(verdict: str) -> Markup:
    """The mark as a small picture of its own; the word stands beside it, so it is hidden from screen readers."""
    return element(
        "svg",
        {"class": f"sm-mark sm-{verdict}", "viewBox": "0 0 24 12", "width": 24, "height": 12, "aria-hidden": "true"},
        shape(verdict),
    )


@lru_cache
def labelled(verdict: str) -> Markup:
    """Mark and word together."""
    return element("span", {"class": f"sm-verdict sm-{verdict}"}, mark(verdict), " ", WORDS[verdict])
