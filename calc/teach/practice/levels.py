"""The levels: what may be wrong with an engine, and what the cadet is told before."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Level:
    """One level: its number, its title, and its task in words."""

    number: int
    title: str
    say: str


_ALL = (
    Level(1, "One push rod", "One push rod of one unit has the wrong length. All else is right."),
    Level(2, "Two push rods", "Two units have one wrong push rod each. All else is right."),
    Level(3, "A cam", "The cam of one unit stands wrong on its shaft. No rod is wrong."),
    Level(
        4,
        "All units together",
        "All units look early or late by the same angle. It is the camshaft drive or the flywheel pointer. "
        "A check of TDC by equal heights tells which.",
    ),
    Level(
        5,
        "A setting that all units share",
        "All units are off in lift. It is the index linkage (ends of delivery alone) or the timing setting (starts and ends).",
    ),
    Level(
        6,
        "A mistake on the sheet",
        "Another watch has read all units already. One unit was read with a mistake. Another unit has a wrong push rod. "
        "Tell the one from the other.",
    ),
)
LEVELS = {level.number: level for level in _ALL}
