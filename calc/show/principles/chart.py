"""What the pages' pictures add to a panel: uprights with names, shaded ranges, areas; and the frame of a figure."""

from __future__ import annotations

from collections.abc import Sequence

from calc.show.draw import THIN, dot, text
from calc.show.markup import Markup, element, joined
from calc.show.plots import Panel, Points

DASHES = "6 4"


class Chart(Panel):
    """A panel of a page."""

    def upright(self, value: float, words: str = "", row: int = 0, anchor: str = "middle") -> Markup:
        """A thin upright line from top to bottom, its name above the panel; `row` counts lines of words upwards."""
        at = self.x.at(value)
        line = element("path", {"d": f"M{at:.1f} {self.y.right - 2.0:.1f}V{self.y.left:.1f}", **THIN, "class": "sm-reference"})
        return joined(line, text(at, self.y.right - 5.0 - 13.0 * row, words, anchor) if words else None)

    def stretch(self, low: float, high: float, strong: bool = False) -> Markup:
        """A range of the angle, shaded from top to bottom."""
        left, right = self.x.at(low), self.x.at(high)
        shape = {"x": left, "y": self.y.right, "width": right - left, "height": self.y.left - self.y.right}
        return element(
            "rect", {"class": "sm-band", **shape, "fill": "currentColor", "fill-opacity": "0.2" if strong else "0.08"}
        )

    def area(self, points: Points) -> Markup:
        """What lies between a curve and the axis."""
        path = "L".join(f"{self.x.at(x):.1f} {self.y.at(y):.1f}" for x, y in points)
        ends = (self.x.at(points[0][0]), self.x.at(points[-1][0]))
        shape = f"M{ends[0]:.1f} {self.y.left:.1f}L{path}L{ends[1]:.1f} {self.y.left:.1f}Z"
        return element("path", {"class": "sm-area", "d": shape, "fill": "currentColor", "fill-opacity": "0.25"})

    def cam(self, points: Points, dashed: bool = False) -> Markup:
        """The cam's curve."""
        return element("g", {"class": "sm-cam"}, self.curve(points, DASHES if dashed else None))

    def words(self, x: float, y: float, said: str, anchor: str = "start", up: float = 0.0) -> Markup:
        """Words beside a value."""
        aside = {"start": 5.0, "middle": 0.0, "end": -5.0}[anchor]
        return text(self.x.at(x) + aside, self.y.at(y) - up, said, anchor)

    def dot(self, x: float, y: float, filled: bool = False) -> Markup:
        """One value: hollow where it was, filled where it is now."""
        return dot(self.x.at(x), self.y.at(y), filled)

    def level_at(self, value: float, words: str = "", dashed: bool = False, above: bool = True) -> Markup:
        """A thin level across the panel, its name at the right end."""
        at, (left, right) = self.y.at(value), (self.x.left, self.x.right)
        dashes = DASHES if dashed else None
        line = element("path", {"d": f"M{left:g} {at:.1f}H{right:g}", **THIN, "stroke-dasharray": dashes})
        return joined(line, text(right, at - 4.0 if above else at + 13.0, words, "end") if words else None)


def spread(low: float, high: float, steps: int = 80) -> list[float]:
    """Evenly spread values, both ends among them.

    >>> spread(0.0, 1.0, 2)
    [0.0, 0.5, 1.0]
    """
    return [low + (high - low) * k / steps for k in range(steps + 1)]


def figure(drawn: Markup, caption: str) -> str:
    """A picture with what it shows, as Markdown.

    >>> print(figure(Markup("<svg></svg>"), "A line."))
    <figure class="sm-figure" markdown="0">
    <svg></svg>
    <figcaption>A line.</figcaption>
    </figure>
    """
    return f'<figure class="sm-figure" markdown="0">\n{drawn}\n{element("figcaption", None, caption)}\n</figure>'


def table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A Markdown table.

    >>> print(table(["a", "b"], [["1", "2"]]))
    | a | b |
    |---|---|
    | 1 | 2 |
    """
    lines = [heads, ["---"] * len(heads), *rows]
    return "\n".join("|---" * len(line) + "|" if line[0] == "---" else f"| {' | '.join(line)} |" for line in lines)


def page_part(*pieces: str) -> str:
    """Pieces of Markdown, a blank line between them."""
    return "\n\n".join(pieces) + "\n"
