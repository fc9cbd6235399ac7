"""What every picture is made of: the frame, text, axes, round numbers along them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, floor, log10

from calc.show.markup import Markup, element

WIDTH = 400.0
THIN = {"stroke": "currentColor", "stroke-width": "1", "fill": "none"}
LINE = {"stroke": "currentColor", "stroke-width": "1.6", "fill": "none"}


def picture(name: str, height: float, title: str, description: str, *shapes: object, role: str = "img") -> Markup:
    """An SVG picture with its name and, for who cannot see it, what it shows."""
    return element(
        "svg",
        {
            "class": f"sm-chart sm-{name}",
            "viewBox": f"0 0 {WIDTH:g} {height:g}",
            "role": role,
            "aria-label": title,
            "font-size": "12",
            "font-family": "inherit",
        },
        element("title", None, title),
        element("desc", None, description),
        *shapes,
    )


@lru_cache(maxsize=2048)
def text(x: float, y: float, words: str, anchor: str = "start", **attributes: object) -> Markup:
    """Words at a place."""
    return element("text", {"x": x, "y": y, "text-anchor": anchor, "fill": "currentColor", **attributes}, words)


def ticks(low: float, high: float, most: int) -> list[float]:
    """Round numbers between two ends, at most so many.

    >>> ticks(-0.7, 0.7, 5)
    [-0.5, 0.0, 0.5]
    """
    raw = (high - low) / most
    step = 10.0 ** floor(log10(raw))
    step *= next(factor for factor in (1.0, 2.0, 5.0, 10.0) if factor * step >= raw)
    first = ceil(low / step - 1e-9)
    return [round(each * step, 10) + 0.0 for each in range(first, floor(high / step + 1e-9) + 1)]


@dataclass(frozen=True, slots=True)
class Axis:
    """A scale from values to places on the picture.

    >>> Axis(0.0, 10.0, 100.0, 200.0).at(2.5)
    125.0
    """

    low: float
    high: float
    left: float
    right: float

    def at(self, value: float) -> float:
        """The place of a value."""
        return self.left + (value - self.low) / (self.high - self.low) * (self.right - self.left)


def apart(low: float, high: float) -> tuple[float, float]:
    """Two ends of an axis that are never the same.

    >>> apart(0.0, 5.0), apart(2.0, 2.0)
    ((0.0, 5.0), (1.999998, 2.000002))
    """
    least = max(1e-6, 1e-6 * max(abs(low), abs(high)))
    return (low, high) if high - low > least else (low - least, high + least)


def dot(x: float, y: float, filled: bool) -> Markup:
    """One value."""
    fill = "currentColor" if filled else "none"
    return element("circle", {"cx": x, "cy": y, "r": 3.5, "fill": fill, "stroke": "currentColor", "stroke-width": "1.6"})
