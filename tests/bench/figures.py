"""What a measurement yields, and how it is shown and kept."""

import json
from dataclasses import asdict, dataclass
from pathlib import Path


@dataclass(frozen=True)
class Figure:
    """One measured number; `goal` is the most it may be, None where it only serves to compare."""

    name: str
    value: float
    unit: str
    goal: float | None
    how: str

    def __str__(self) -> str:
        goal = "" if self.goal is None else f"(at most {self.goal:g})"
        missed = self.goal is not None and self.value > self.goal
        return f"{self.name:24} {self.value:8.3g} {self.unit:3} {goal:14} {'MISSED' if missed else ''}"


def write(figures: list[Figure], file: Path) -> None:
    """Keep the figures as a JSON list."""
    text = json.dumps([asdict(figure) for figure in figures], indent=2)
    file.write_text(text + "\n", "utf-8")
