"""What a measurement yields, and how it is shown and kept."""

import json
from dataclasses import asdict, dataclass
from pathlib import Path


@dataclass(frozen=True)
class Figure:
    """One measured number; `goal` is the most it may be, `at_least` the least; neither where it only serves to compare."""

    name: str
    value: float
    unit: str
    goal: float | None
    how: str
    at_least: float | None = None

    def __str__(self) -> str:
        most, least = self.goal, self.at_least
        goal = f"(at most {most:g})" if most is not None else f"(at least {least:g})" if least is not None else ""
        missed = (most is not None and self.value > most) or (least is not None and self.value < least)
        return f"{self.name:24} {self.value:8.3g} {self.unit:3} {goal:15} {'MISSED' if missed else ''}"


def write(figures: list[Figure], file: Path) -> None:
    """Keep the figures as a JSON list."""
    text = json.dumps([asdict(figure) for figure in figures], indent=2)
    file.write_text(text + "\n", "utf-8")
