"""What every picture is drawn with, as SVG text: a frame with its words, lettering, an axis, round numbers along it."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, log10

from calc.show.markup import Markup, element

WIDTH = 400.0
THIN = {"stroke": "currentColor", "stroke-width": "1", "fill": "none"}


def picture(name: str, height: float, title: str, description: str, *shapes: object, role: str = "img") -> Markup:
    """A picture with its title and description, for those who cannot see it."""
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


def label(x: float, y: float, words: str, anchor: str = "start", **attributes: object) -> Markup:
    """Words in a picture."""
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
    """Where on the picture a value lies.

    >>> Axis(0.0, 10.0, 100.0, 200.0).at(5.0)
    150.0
    """

    low: float
    high: float
    left: float
    right: float

    def at(self, value: float) -> float:
        """The place of a value."""
        return self.left + (value - self.low) / (self.high - self.low) * (self.right - self.left)
