"""The flywheel as a search sees it: the few angles where anything can happen, and what comes next from each of them.

A state of the work is one whole number: for each unit a bit for *waiting*, one for *mounted* (peak done, base not) and one
for *based* (zeroed, to be read); no bit is *done*. Only these need to be told apart, because two things are never worse
done at once: zeroing the moment the flywheel stands on the base circle, and reading a unit the moment its end is reached
ahead with its start and the take-up run behind it in the same move. So a reading is one event at the unit's end, and what
is free to choose is where to turn and whose peak to stop at.

A state, the spot where the flywheel stands and the way in which it came there make up a *key*, one whole number too: the
state in the lowest bits, then `SPOT_BITS` for the spot, then the mode. Searches hold hundreds of thousands of them.

Where the units are alike, all states that differ by a rotation are one: a circle of several cells keeps the flywheel in
its first cell and rotates the units instead.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

SPOT_BITS = 10
SPOT_MASK = (1 << SPOT_BITS) - 1


@dataclass(frozen=True, slots=True)
class Place:
    """One unit's stations [ticks, 0 to below a turn].

    The peak is an arc, so that it can stand for several that are nearly alike. `window` is the last angle from which the
    unit can be read by one move ahead to its opening, `need` how much ahead motion that takes (start to end, and take-up).
    """

    peak_from: int
    peak_to: int
    base_from: int
    base_to: int
    window: int
    opening: int
    need: int

    @property
    def corners(self) -> tuple[int, ...]:
        """The angles at which a move can end for this unit's sake [ticks]."""
        return (self.peak_from, self.peak_to, self.base_from, self.base_to, self.window, self.opening)


@dataclass(frozen=True)
class Circle:
    """All units' stations and the angles between which a search moves.

    places: of each unit; with several cells in order of angle, each cell like the first. turn: ticks a turn. cells: equal
    parts of the circle, 1 where the units differ. extra: more angles where the flywheel may stand at the beginning.
    """

    places: tuple[Place, ...]
    turn: int
    cells: int = 1
    extra: tuple[int, ...] = ()

    @property
    def count(self) -> int:
        """How many units."""
        return len(self.places)

    @property
    def per_cell(self) -> int:
        """How many units a cell has."""
        return self.count // self.cells

    @property
    def cell(self) -> int:
        """Size of a cell [ticks]."""
        return self.turn // self.cells

    @cached_property
    def spots(self) -> tuple[int, ...]:
        """The angles in the first cell where anything can happen [ticks, rising]."""
        angles = [angle for place in self.places[: self.per_cell] for angle in place.corners]
        return tuple(sorted({angle % self.cell for angle in (*angles, *self.extra)}))

    def spot(self, angle: int) -> tuple[int, int]:
        """Index of the spot at an angle [ticks], and the cell that it lies in."""
        cell, inside = divmod(angle % self.turn, self.cell)
        return bisect_left(self.spots, inside), cell

    def whole(self, segments: int) -> list[Rotation]:
        """How to rotate a state of so many bits a unit, for each cell."""
        return [Rotation.by(cell * self.per_cell, self.count, segments) for cell in range(self.cells)]


@dataclass(frozen=True, slots=True)
class Rotation:
    """Renumbers the units of a state so that the one at `down` becomes the first.

    >>> Rotation.by(1, 3, 2).of(0b010_001) == 0b001_100
    True
    """

    down: int
    up: int
    low: int
    high: int

    @classmethod
    def by(cls, down: int, count: int, segments: int) -> Rotation:
        """Rotate by so many units of `count`, in each of the segments of the state."""
        ones = sum(1 << (segment * count) for segment in range(segments))
        low = ((1 << down) - 1) * ones
        return cls(down, count - down, low, ((1 << count) - 1) * ones & ~low)

    def of(self, state: int) -> int:
        """The state, rotated."""
        return (state & self.high) >> self.down | (state & self.low) << self.up


def inside(angle: int, arc_from: int, arc_to: int, turn: int) -> bool:
    """Whether an angle lies on the arc that runs ahead from one angle to another, its ends included [ticks].

    >>> inside(350, 340, 20, 360), inside(20, 340, 20, 360), inside(21, 340, 20, 360)
    (True, True, False)
    """
    return (angle - arc_from) % turn <= (arc_to - arc_from) % turn


def key_of(state: int, spot: int, mode: int, width: int) -> int:
    """The key of a state of so many bits.

    >>> taken_apart(key_of(0b101, 7, 3, 3), 3)
    (5, 7, 3)
    """
    return ((mode << SPOT_BITS | spot) << width) | state


def taken_apart(key: int, width: int) -> tuple[int, int, int]:
    """State, spot and mode in a key, the state of so many bits.

    >>> taken_apart(key_of(0, 1, 0, 9), 9)
    (0, 1, 0)
    """
    rest = key >> width
    return key & ((1 << width) - 1), rest & SPOT_MASK, rest >> SPOT_BITS


def by_distance(events: Sequence[tuple[int, ...]]) -> tuple[tuple[int, ...], ...]:
    """Events as a move meets them: by distance, at equal distance by what is second in them.

    >>> by_distance([(3, 0), (1, 1), (1, 0)])
    ((1, 0), (1, 1), (3, 0))
    """
    return tuple(sorted(events))
