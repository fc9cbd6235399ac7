"""What one part of `make soak` gives back."""

from dataclasses import dataclass

from site_demo.measured import Figure


@dataclass(frozen=True)
class Found:
    """Figures, and paragraphs (Markdown) for what no number says."""

    figures: tuple[Figure, ...]
    told: tuple[str, ...] = ()


def count(name: str, value: float, how: str, *, goal: float | None = None, at_least: float | None = None) -> Figure:
    """A figure that counts something."""
    return Figure(name=name, value=value, unit="", goal=goal, how=how, at_least=at_least)
