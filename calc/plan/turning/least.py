"""What so many tasks cost at least, counted from the beginning or from the end of the work.

This sees neither which units are meant nor where the flywheel stands, and yet is within a few percent of what they do
cost, because work goes on at a steady rate.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from heapq import heapify, heappop, heappush

from calc.plan.turning.forward import Expand

STEP = 500  # States between two signs of life.


class LeastCosts:
    """The least cost of each number of tasks up to `total` [ticks], as far as it is known.

    known: of 0, 1, 2, ... tasks; radius: what is not known yet costs at least this; seen: how many states were looked at.
    """

    def __init__(self, total: int) -> None:
        self.known: list[int] = []
        self.total = total
        self.radius = 0
        self.seen = 0

    def of(self, tasks: int) -> int:
        """At least this for so many tasks [ticks].

        >>> least = LeastCosts(3)
        >>> least.known, least.radius = [0, 52], 60
        >>> least.of(1), least.of(2)
        (52, 60)
        """
        return self.known[tasks] if tasks < len(self.known) else self.radius

    @property
    def complete(self) -> bool:
        """Whether everything is known."""
        return len(self.known) > self.total


def find_least_costs(least: LeastCosts, expand: Expand, starts: Sequence[int], tasks: Callable[[int], int]) -> Iterator[None]:
    """Find least costs by Dijkstra's algorithm.

    Parameters: least, to be filled; expand, what follows a key; starts, keys; tasks, how many a key has behind it. Yields:
    every few hundred states, and for ever once all is known.

    >>> least = LeastCosts(3)
    >>> steps = find_least_costs(least, lambda key: [(7, key + 1, -1)], [0], int)
    >>> next(steps)
    >>> least.known
    [0, 7, 14, 21]
    """
    found = dict.fromkeys(starts, 0)
    heap = [(0, start) for start in starts]
    heapify(heap)
    while heap and not least.complete:
        cost, key = heappop(heap)
        if found[key] < cost:
            continue
        least.radius = cost
        behind = tasks(key)
        while len(least.known) <= min(behind, least.total):
            least.known.append(cost)
        for more, after, _ in expand(key):
            total = cost + more
            if after not in found or total < found[after]:
                found[after] = total
                heappush(heap, (total, after))
        least.seen += 1
        if not least.seen % STEP:
            yield
    assert least.complete
    while True:
        yield
