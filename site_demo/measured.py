"""What the long measurements found: each command's last report, kept in tests/measured/, and the page that shows all of them.

    make bench        writes tests/measured/bench.json, and so on

A report is kept with the project, so that a build needs no measurement and a reader sees what was measured, when, and on what.
"""

import datetime
import json
import os
import platform
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from site_demo.stamps import ROOT

MEASURED = ROOT / "tests" / "measured"
# How many digits of a measured number mean something on a noisy machine.
DIGITS = 3


@dataclass(frozen=True)
class Figure:
    """One measured number; `goal` is the most it may be, `at_least` the least; neither where it only serves to compare."""

    name: str
    value: float
    unit: str
    goal: float | None
    how: str
    at_least: float | None = None

    @property
    def missed(self) -> bool:
        """Whether the number is beyond its goal."""
        most, least = self.goal, self.at_least
        return (most is not None and self.value > most) or (least is not None and self.value < least)

    @property
    def limit(self) -> str:
        """The goal in words; empty where there is none."""
        if self.goal is not None:
            return f"at most {self.goal:g}"
        return "" if self.at_least is None else f"at least {self.at_least:g}"

    @property
    def measured(self) -> str:
        """The number, with as many digits as mean something, a large one without a power of ten."""
        return f"{self.value:.0f}" if abs(self.value) >= 10**DIGITS else f"{self.value:.{DIGITS}g}"

    def __str__(self) -> str:
        goal = f"({self.limit})" if self.limit else ""
        return f"{self.name:24} {self.measured:>8} {self.unit:3} {goal:15} {'MISSED' if self.missed else ''}"


@dataclass(frozen=True)
class Report:
    """What one command measured in one run. `told` are paragraphs (Markdown) for what no number says."""

    title: str
    command: str
    date: str
    machine: str
    version: str
    figures: tuple[Figure, ...]
    told: tuple[str, ...] = ()


def machine_class() -> str:
    """What kind of machine this is, without saying which one."""
    memory = f", {os.sysconf('SC_PAGE_SIZE') * os.sysconf('SC_PHYS_PAGES') / 2**30:.0f} GiB" if hasattr(os, "sysconf") else ""
    return f"{os.cpu_count()} cores, {platform.machine()}, {platform.system()}{memory}"


def keep(
    name: str, title: str, figures: Sequence[Figure], *, command: str, told: Iterable[str] = (), folder: Path = MEASURED
) -> Path:
    """Write a report under its name, over the last one. `command` is the line that makes it again."""
    # Here, since a process that serves the site has loaded an older `calc` long ago.
    from calc.version import VERSION

    today = datetime.datetime.now(datetime.UTC).date().isoformat()
    report = Report(title, command, today, machine_class(), VERSION, tuple(figures), tuple(told))
    folder.mkdir(exist_ok=True)
    file = folder / f"{name}.json"
    file.write_text(json.dumps(asdict(report), indent=2, ensure_ascii=False) + "\n", "utf-8")
    return file


def reports(folder: Path = MEASURED) -> list[Report]:
    """All kept reports, in order of their titles."""
    trees = [json.loads(file.read_text("utf-8")) for file in sorted(folder.glob("*.json"))]
    return sorted(map(_report, trees), key=lambda report: report.title)


def _report(tree: dict[str, Any]) -> Report:
    figures = tuple(Figure(**figure) for figure in tree["figures"])
    return Report(**{**tree, "figures": figures, "told": tuple(tree["told"])})


def page(found: Sequence[Report]) -> str:
    """The page of all reports (Markdown)."""
    lines = [
        "---\ntags:\n  - bench\n  - speed\n  - performance\n  - soak\n  - mutation\n---\n",
        "# What was measured\n",
        "Each table names the command that makes it again. A number holds for the machine and the day that stand with it.",
        "“Missed” marks a number beyond its goal. Where a number is a ratio, one run measured both sides.\n",
    ]
    for report in found:
        lines += [f"## {report.title}\n", f"`{report.command}`, {report.date}, {report.machine}, version {report.version}.\n"]
        if report.figures:
            lines += ["| Figure | Measured | Goal | How |", "|---|---|---|---|", *map(_row, report.figures), ""]
        lines += [f"{text}\n" for text in report.told]
    return "\n".join(lines)


def _row(figure: Figure) -> str:
    # `|` would end a cell.
    how = figure.how.replace("|", "\\|")
    goal = figure.limit + (": **missed**" if figure.missed else "")
    return f"| `{figure.name}` | {f'{figure.measured} {figure.unit}'.strip()} | {goal} | {how} |"
