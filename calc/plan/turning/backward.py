"""The least that a number of tasks can cost, found by undoing the work from its end.

Undoing runs the film backwards: a set comes onto a unit at its opening, the unit's reading is undone by moving astern past
its start and the take-up run without turning, then its base visit, and its set goes off at the peak. Whatever the state
of the work, the tasks that are left cost at least what undoing as many costs from the end. This sees neither which units
are left nor where the flywheel stands, and yet is within a few percent, because work goes on at a steady rate.

A unit's bits in a state: done, reading being undone, base visit to be undone, peak to be undone; no bit is *all undone*.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from heapq import heapify, heappop, heappush

from calc.plan.turning.circle import Circle, by_distance, inside

SEGMENTS = 4
_END, _DOWN, _UP = 0, 1, 2

_Undone = tuple[int, int, int, int]  # cost [ticks], state, spot, way of coming there
_READ, _BASE, _PEAK, _CHOICE = 0, 1, 2, 3  # In the order in which they are dealt with at one angle.


class LeastCosts:
    """Least cost of each number of tasks up to `total` [ticks], as far as it is known.

    `radius` [ticks]: what is not known yet costs at least this.
    """

    def __init__(self, total: int) -> None:
        self.known: list[int] = [0]
        self.total = total
        self.radius = 0

    def of(self, tasks: int) -> int:
        """At least this [ticks] for so many tasks.

        >>> least = LeastCosts(3)
        >>> least.known.append(52)
        >>> least.radius = 60
        >>> least.of(1), least.of(2)
        (52, 60)
        """
        return self.known[tasks] if tasks < len(self.known) else self.radius

    @property
    def complete(self) -> bool:
        """Whether everything is known."""
        return len(self.known) > self.total


def least_costs(
    circle: Circle, sets: int, reversal: int, total: int, *, ahead_only: bool, up_to: int, most_states: int
) -> Iterator[LeastCosts]:
    """Find the least costs by Dijkstra's algorithm, step by step.

    Parameters: as for `forward`; total, how many tasks there are; up_to, the cost [ticks] beyond which nothing is looked
    for; most_states, how many states may be looked at. Yields: what is known so far, every few hundred states.

    >>> from calc.plan.turning.circle import Place
    >>> one = Circle((Place(30, 30, 100, 318, 350, 10, 20),), 360)
    >>> *_, least = least_costs(one, 1, 20, 3, ahead_only=False, up_to=999, most_states=999)
    >>> least.known
    [0, 0, 52, 144]
    """
    count = circle.count
    ones = (1 << count) - 1
    least = LeastCosts(total)
    undo = _backward(circle, sets, reversal, ahead_only=ahead_only)
    found: dict[tuple[int, int, int], int] = {}
    heap: list[_Undone] = []
    for unit, place in enumerate(circle.places[: circle.per_cell]):
        spot, cell = circle.spot(place.opening)
        state = circle.whole(SEGMENTS)[cell].of(ones ^ 1 << unit | 1 << (unit + count))
        heap.append((0, state, spot, _END))
    heapify(heap)
    seen = 0
    while heap:
        cost, state, spot, mode = heappop(heap)
        if found.get((state, spot, mode), cost + 1) <= cost:
            continue
        found[state, spot, mode] = cost
        least.radius = cost
        done, reading, mounted, based = (state >> (segment * count) & ones for segment in range(SEGMENTS))
        undone = 3 * (count - done.bit_count()) - 2 * (reading | mounted).bit_count() - based.bit_count()
        while len(least.known) <= min(undone, total):
            least.known.append(cost)
        seen += 1
        if least.complete or cost >= up_to or seen >= most_states:
            break
        if seen % 500 == 0:
            yield least
        for more, after, target, way in undo(state, spot, mode):
            if found.get((after, target, way), cost + more + 1) > cost + more:
                heappush(heap, (cost + more, after, target, way))
    yield least


def _backward(circle: Circle, sets: int, reversal: int, *, ahead_only: bool) -> Callable[[int, int, int], list[_Undone]]:
    """The function that gives what a state can be undone to. "Down" is against the ahead direction."""
    count = circle.count
    reading_bits = ((1 << count) - 1) << count
    rotations = [rotation.of for rotation in circle.whole(SEGMENTS)]
    down, up = _tables(circle)

    def undo(state: int, spot: int, mode: int) -> list[_Undone]:
        out: list[_Undone] = []
        free = (state >> count).bit_count() < sets
        cost = reversal if mode == _UP else 0
        for distance, kind, test, flip, target, cell in down[spot]:
            if state & test and (kind != _CHOICE or free):
                out.append((cost + distance, rotations[cell](state ^ flip), target, _DOWN))
                if kind != _CHOICE:
                    break
        if ahead_only or state & reading_bits:
            return out
        cost = reversal if mode == _DOWN else 0
        for distance, kind, test, flip, target, cell in up[spot]:
            if state & test and (kind != _CHOICE or free):
                after = rotations[cell](state ^ flip)
                if kind != _CHOICE:
                    out.append((cost + distance, after, target, _UP))
                    break
                # Up to the end of a unit that is to be undone, and down again.
                out.append((cost + distance + reversal, after, target, _DOWN))
        return out

    return undo


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
