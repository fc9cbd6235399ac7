"""Search by number of tasks left: every state comes from those with one task more left, so one layer follows another.

With a width only the cheapest states of each layer go on, which soon gives a good way of working. Without one, all states
go on that could still lead to something cheaper than what is known: what comes out then is proven.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from heapq import nsmallest

from calc.plan.turning.forward import NOWHERE, Expand
from calc.plan.turning.least import LeastCosts

STEP = 500  # States between two signs of life.


@dataclass(frozen=True, slots=True)
class Move:
    """One step of a way of working: what is reached, the spot of a turning point on the way, and the step's cost [ticks]."""

    key: int
    via: int = NOWHERE
    cost: int = 0


@dataclass
class Course:
    """How far a search is.

    cost [ticks]: of the best way of working, None where there is none below the limit; moves: that way, where it was kept;
    bound [ticks]: every way of working costs at least this, or at least the limit; seen: states so far; left: tasks left in
    the layer at work; complete: nothing was passed over.
    """

    cost: int | None = None
    moves: list[Move] = field(default_factory=list)
    bound: int = 0
    seen: int = 0
    left: int = 0
    complete: bool = True


def search(
    expand: Expand,
    starts: Sequence[int],
    tasks: int,
    *,
    width: int | None = None,
    below: int | None = None,
    least: LeastCosts | None = None,
    keep_moves: bool = True,
    most_states: int | None = None,
) -> Iterator[Course]:
    """Search for the cheapest way of working.

    Parameters: expand (see `forward`); starts, keys; tasks, how many are left in each of these; width, how many states of a
    layer go on; below, the cost to undercut [ticks]; least, what so many tasks cost at least; keep_moves, whether the way
    itself is wanted; most_states, how many in one layer are too many. Yields: the course, every few hundred states and at
    the end.

    >>> *_, last = search(lambda key: [(5, key + 10, -1), (4, key + 11, -1)], [20], 2)
    >>> last.cost, last.complete, [move.key for move in last.moves]
    (8, True, [20, 31, 42])
    """
    course = Course(left=tasks)
    limit = float("inf") if below is None else below
    costs: dict[int, int] = dict.fromkeys(starts, 0)
    origins: list[dict[int, tuple[int, int, int]]] = []
    for left in range(tasks - 1, -1, -1):
        course.left = left
        layer = list(costs.items())
        if width is not None and len(layer) > width:
            layer = nsmallest(width, layer, key=lambda item: item[1])
            course.complete = False
        rest = least.of(left) if least is not None else 0
        room = limit - rest
        following: dict[int, int] = {}
        origin: dict[int, tuple[int, int, int]] = {}
        for key, so_far in layer:
            for cost, after, via in expand(key):
                total = so_far + cost
                if total < room and total < following.get(after, limit):
                    following[after] = total
                    if keep_moves:
                        origin[after] = (key, via, cost)
            course.seen += 1
            if not course.seen % STEP:
                yield course
        if not following:
            yield course
            return
        if course.complete:
            course.bound = max(course.bound, min(following.values()) + rest)
        if most_states is not None and len(following) > most_states:
            course.complete = False
            yield course
            return
        costs = following
        origins.append(origin)
    end, course.cost = min(costs.items(), key=lambda item: item[1])
    if keep_moves:
        course.moves = _traced(origins, end)
    yield course


def _traced(origins: list[dict[int, tuple[int, int, int]]], end: int) -> list[Move]:
    """The way to an end, first step first."""
    moves = []
    for origin in reversed(origins):
        before, via, cost = origin[end]
        moves.append(Move(end, via, cost))
        end = before
    return [Move(end), *reversed(moves)]
