"""Undoing the work from its end, which tells what so many tasks cost at least.

Undoing runs the film backwards: a set comes onto a unit at its opening, the unit's reading is undone by moving astern past
its start and the take-up run without turning, then its base visit, and its set goes off at the peak. Whatever the state
of the work, the tasks that are left cost at least what undoing as many costs from the end.

A unit's bits in a state: done, reading being undone, base visit to be undone, peak to be undone; no bit is *all undone*.
"""

from __future__ import annotations

from calc.plan.turning.circle import SPOT_BITS, SPOT_MASK, Circle, by_distance, inside, key_of
from calc.plan.turning.forward import NOWHERE, Expand, Successor

SEGMENTS = 4
_END, _DOWN, _UP = 0, 1, 2

_READ, _BASE, _PEAK, _CHOICE = 0, 1, 2, 3  # In the order in which they are dealt with at one angle.


def undoing(circle: Circle, sets: int, reversal: int, *, ahead_only: bool) -> Expand:
    """The function that gives what a state can be undone to. Parameters as for `forward`.

    >>> from calc.plan.turning.circle import Place, taken_apart
    >>> one = Circle((Place(30, 30, 100, 318, 350, 10, 20),), 360)
    >>> undo = undoing(one, 1, 20, ahead_only=False)
    >>> [(cost, bin(taken_apart(key, 4)[0])) for end in ends(one) for cost, key, _ in undo(end)]
    [(20, '0b100')]
    """
    count = circle.count
    width = SEGMENTS * count
    state_bits = (1 << width) - 1
    came_down, came_up = _DOWN << (width + SPOT_BITS), _UP << (width + SPOT_BITS)
    reading_bits = ((1 << count) - 1) << count
    rotations = [rotation.of for rotation in circle.whole(SEGMENTS)]
    down, up = _tables(circle)

    def undo(key: int) -> list[Successor]:
        state, rest = key & state_bits, key >> width
        spot, mode = rest & SPOT_MASK, rest >> SPOT_BITS
        out: list[Successor] = []
        free = (state >> count).bit_count() < sets
        cost = reversal if mode == _UP else 0
        for distance, kind, test, flip, target, cell in down[spot]:
            if state & test and (kind != _CHOICE or free):
                after = rotations[cell](state ^ flip) if cell else state ^ flip
                out.append((cost + distance, came_down | target << width | after, NOWHERE))
                if kind != _CHOICE:
                    break
        if ahead_only or state & reading_bits:
            return out
        cost = reversal if mode == _DOWN else 0
        for distance, kind, test, flip, target, cell in up[spot]:
            if state & test and (kind != _CHOICE or free):
                after = rotations[cell](state ^ flip) if cell else state ^ flip
                if kind != _CHOICE:
                    out.append((cost + distance, came_up | target << width | after, NOWHERE))
                    break
                # Up to the end of a unit that is to be undone, and down again.
                out.append((cost + distance + reversal, came_down | target << width | after, NOWHERE))
        return out

    return undo


def ends(circle: Circle) -> list[int]:
    """The keys with which all work can end: a unit has just been read, and all others are done.

    >>> from calc.plan.turning.circle import Place, taken_apart
    >>> [taken_apart(end, 4) for end in ends(Circle((Place(30, 30, 100, 318, 350, 10, 20),), 360))]
    [(2, 0, 0)]
    """
    every = (1 << circle.count) - 1
    rotations = circle.whole(SEGMENTS)
    found = []
    for unit, place in enumerate(circle.places[: circle.per_cell]):
        spot, cell = circle.spot(place.opening)
        state = rotations[cell].of(every ^ (1 << unit) | 1 << (unit + circle.count))
        found.append(key_of(state, spot, _END, SEGMENTS * circle.count))
    return found


def tasks_undone(state: int, count: int) -> int:
    """How many of mounting, base visit and reading are undone in a state of so many units.

    >>> tasks_undone(0b0001, 1), tasks_undone(0b0010, 1), tasks_undone(0b1000, 1), tasks_undone(0, 1)
    (0, 1, 2, 3)
    """
    ones = (1 << count) - 1
    done, reading, mounted, based = (state >> (segment * count) & ones for segment in range(SEGMENTS))
    return 3 * (count - done.bit_count()) - 2 * (reading | mounted).bit_count() - based.bit_count()


def _tables(circle: Circle) -> tuple[list, list]:  # type: ignore[type-arg]
    """For each spot what a move down and a move up meet, nearest first."""
    turn, count = circle.turn, circle.count
    down, up = [], []
    for angle in circle.spots:
        falling, rising = [], []
        for unit, place in enumerate(circle.places):
            done, reading, mounted, based = (1 << (unit + segment * count) for segment in range(SEGMENTS))
            start, base, peak = (done, done | reading), (mounted, mounted | based), (based, based)
            falling.append(((angle - place.window) % turn, _READ, reading, reading | mounted, *circle.spot(place.window)))
            falling.append(((angle - place.opening) % turn, _CHOICE, *start, *circle.spot(place.opening)))
            if angle != place.opening:
                rising.append(((place.opening - angle) % turn, _CHOICE, *start, *circle.spot(place.opening)))
            for kind, flip, arc in (
                (_BASE, base, (place.base_from, place.base_to)),
                (_PEAK, peak, (place.peak_from, place.peak_to)),
            ):
                first, last = (angle, angle) if inside(angle, *arc, turn) else arc
                falling.append(((angle - last) % turn, kind, *flip, *circle.spot(last)))
                rising.append(((first - angle) % turn, kind, *flip, *circle.spot(first)))
        down.append(by_distance(falling))
        up.append(by_distance(rising))
    return down, up
