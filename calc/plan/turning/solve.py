"""A plan at once, then what bounds it, then the proof: one step after another, each telling how far it is.

1. Narrow searches by layers give a good way of working within a fraction of a second, wider ones a better one.
2. In between, on a circle of units made alike, the least costs of so many tasks are found from both ends of the work; then
   the least cost of all of it: a bound that mostly lies within a percent.
3. The full search, cut short by what tasks cost at least, proves the best way, or gives up where it grows too large.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from calc.plan.turning.alike import alike, places_of
from calc.plan.turning.backward import ends, tasks_undone, undoing
from calc.plan.turning.circle import Circle, key_of
from calc.plan.turning.forward import FRESH, LONG, SEGMENTS, START, Expand, Successor, forward, tasks_left
from calc.plan.turning.least import LeastCosts, find_least_costs
from calc.plan.turning.request import Request
from calc.plan.turning.search import Course, Move, search
from calc.plan.turning.stations import BASE, CLOSING, PEAK

WIDTHS = (100, 500, 2000)  # Of the searches that look for a plan: at once, soon, and with some patience.
# So many states are looked at from the end for each state of a search's width, before the next, wider search.
UNDONE_A_WIDTH = 10
# Beyond these a computer's memory, not its time, is the limit.
MOST_IN_A_LAYER, MOST_UNDONE = 200_000, 500_000
# How far the costs are looked for from the end; from there on the search from the beginning is the cheaper one.
_FROM_THE_END = 0.55

PLANNING, BOUNDING, PROVING, ENDED = "planning", "bounding", "proving", "ended"
STEPS = {
    PLANNING: "Looking for a plan",
    BOUNDING: "Looking for what no plan can undercut",
    PROVING: "Looking at all that is left",
    ENDED: "Done",
}


@dataclass(frozen=True, slots=True)
class Way:
    """A way of working: its cost [ticks] and its moves on a circle."""

    cost: int
    moves: tuple[Move, ...]
    circle: Circle


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the work is: the best way so far, and what every way costs at least [ticks]; step and its share done."""

    step: str
    share: float
    way: Way | None
    bound: int

    @property
    def optimal(self) -> bool:
        """Whether the best way is proven to be the best."""
        return self.way is not None and self.bound >= self.way.cost


def ways(request: Request) -> Iterator[Progress]:
    """Better and better ways of working, and bounds, until the best is proven or nothing more can be done.

    Yields: the progress, many times a second. It can be left at any time; the last progress counts.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> from calc.plan.turning.request import request_of
    >>> request = request_of(read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8")), sets=2)
    >>> *_, last = ways(request)
    >>> last.optimal, request.turning.degrees(last.way.cost)
    (True, 1052.36)
    """
    return _Solver(request).run() if request.turning.units else _nothing_to_do(request)


def one_after_another(request: Request) -> Way:
    """The best way with one set that takes the units one after another in firing order, from anywhere.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> from calc.plan.turning.request import request_of
    >>> request = request_of(read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8")), sets=2)
    >>> request.turning.degrees(one_after_another(request).cost)
    1531.03
    """
    turning = request.turning
    circle = Circle(places_of(turning), turning.turn)
    if not turning.units:
        return Way(0, (), circle)
    index = {unit.unit: k for k, unit in enumerate(turning.units)}
    order = [index[unit] for unit in turning.firing_order if unit in index]
    every = (1 << circle.count) - 1
    waiting = {sum(1 << unit for unit in order[k:]) for k in range(len(order) + 1)}
    expand = forward(circle, 1, turning.reversal, ahead_only=request.never_astern)
    start = _starts(Request(turning, 1), circle, range(circle.count))[order[0]]
    *_, course = search(
        lambda key: [each for each in expand(key) if each[1] & every in waiting], [start], tasks_left(start, circle.count)
    )
    assert course.cost is not None
    return Way(course.cost, tuple(course.moves), circle)


def _nothing_to_do(request: Request) -> Iterator[Progress]:
    yield Progress(ENDED, 1.0, Way(0, (), Circle((), request.turning.turn)), 0)


class _Solver:
    """One request at work."""

    def __init__(self, request: Request) -> None:
        self.request = request
        turning, standing = request.turning, request.standing
        # Units that stand between their start and their end (bits). They are read at their end, whatever the run behind it.
        last_task = standing.last_task if standing else {}
        self.locked = sum(1 << k for k, unit in enumerate(turning.units) if last_task.get(unit.unit) == CLOSING)
        places = [replace(place, need=0) if self.locked >> k & 1 else place for k, place in enumerate(places_of(turning))]
        self.circle = Circle(tuple(places), turning.turn, extra=() if standing is None else (standing.angle,))
        # A unit that is between its start and its end may stand beyond where the units made alike would be read.
        self.bounding = None if self.locked else alike(turning, standing.angle if standing else None)
        self.starts = _starts(request, self.circle, range(len(turning.units)))
        self.tasks = tasks_left(self.starts[0], self.circle.count)
        self.way: Way | None = None
        self.bound = 0
        # Bounds are found on the circle of units made alike, where there is one.
        wide, slots = self.bounding or (self.circle, range(self.circle.count))
        self.wide_expand = self._expand(wide)
        self.wide_starts = _starts(request, wide, slots)
        undo = undoing(wide, request.sets, turning.reversal, ahead_only=request.never_astern)
        self.ahead, self.back = LeastCosts(self.tasks), LeastCosts(self.tasks)
        self.ahead_steps = find_least_costs(
            self.ahead, self.wide_expand, self.wide_starts, lambda key: self.tasks - tasks_left(key, wide.count)
        )
        self.back_steps = find_least_costs(self.back, undo, ends(wide), lambda key: tasks_undone(key, wide.count))

    def run(self) -> Iterator[Progress]:
        for width in WIDTHS:
            if not self._proven:
                yield from self._plan(width)
            if not self._proven:
                yield from self._bound_from_both_ends(width * UNDONE_A_WIDTH)
        if not self._proven:
            yield from self._bound_from_both_ends(MOST_UNDONE)
        if not self._proven and self.bounding is not None:
            yield from self._bound_by_alike()
        if not self._proven:
            expand = self._expand(self.circle)
            yield from self._search(PROVING, expand, self.starts, whole=True, most_states=MOST_IN_A_LAYER)
        yield self._progress(ENDED, 1.0)

    def _plan(self, width: int) -> Iterator[Progress]:
        """A narrow search from one unit of each kind, then, for nearly alike units, the same order of work from the others."""
        expand = self._expand(self.circle)
        if self.bounding is None or self.request.standing is not None:
            yield from self._search(PLANNING, expand, self.starts, whole=True, width=width)
            return
        circle, slots = self.bounding
        kinds = {slots[k] % circle.per_cell: k for k in reversed(range(self.circle.count))}
        yield from self._search(PLANNING, expand, [self.starts[k] for k in sorted(kinds.values())], width=width)
        if not self._proven:
            yield from self._search(PLANNING, self._in_like_order(expand), self.starts)

    def _in_like_order(self, expand: Expand) -> Expand:
        """Successors that keep to the order of units of the best way, or to it rotated by some cells."""
        assert self.way is not None
        assert self.bounding is not None
        circle, slots = self.bounding
        count = self.circle.count
        every = (1 << count) - 1
        unit_at = {slot: unit for unit, slot in enumerate(slots)}
        waiting: set[int] = set()
        done: set[int] = set()
        for cell in range(circle.cells):
            others = [unit_at.get((slot + cell * circle.per_cell) % circle.count) for slot in slots]
            if None in others:
                continue
            for move in self.way.moves:
                state = move.key & ((1 << SEGMENTS * count) - 1)
                for masks, mask in ((waiting, state & every), (done, _done(state, count))):
                    masks.add(sum(1 << other for unit, other in enumerate(others) if mask >> unit & 1 and other is not None))

        def limited(key: int) -> list[Successor]:
            return [each for each in expand(key) if each[1] & every in waiting and _done(each[1], count) in done]

        return limited

    def _bound_from_both_ends(self, most: int) -> Iterator[Progress]:
        """Find what so many tasks cost at least, up to so many states looked at from the end; goes on where it was left."""
        assert self.way is not None
        end = _FROM_THE_END * self.way.cost
        back, ahead = self.back, self.ahead
        while not back.complete and back.radius < end and back.seen < most:
            next(self.back_steps if ahead.complete or back.seen <= 2 * ahead.seen else self.ahead_steps)
            self._raise_bound(max(ahead.of(done) + back.of(self.tasks - done) for done in range(self.tasks + 1)))
            yield self._progress(BOUNDING, 0.5 * min(1.0, back.radius / end))

    def _bound_by_alike(self) -> Iterator[Progress]:
        """Find what all of it costs at least, were the units alike."""
        assert self.way is not None
        course = Course()
        for course in search(
            self.wide_expand,
            self.wide_starts,
            self.tasks,
            below=self.way.cost,
            least=self.back,
            keep_moves=False,
            most_states=MOST_IN_A_LAYER,
        ):
            self._raise_bound(course.bound)
            yield self._progress(BOUNDING, 1.0 - 0.5 * course.left / self.tasks)
        if course.complete:
            self._raise_bound(self.way.cost if course.cost is None else course.cost)

    def _search(
        self,
        step: str,
        expand: Expand,
        starts: Sequence[int],
        *,
        whole: bool = False,
        width: int | None = None,
        most_states: int | None = None,
    ) -> Iterator[Progress]:
        """Search the real circle for something better than what is known. `whole`: nothing is left out."""
        below = None if self.way is None else self.way.cost
        course = Course()
        for course in search(expand, starts, self.tasks, width=width, below=below, least=self.back, most_states=most_states):
            yield self._progress(step, 1.0 - course.left / self.tasks)
        if course.cost is not None:
            self.way = Way(course.cost, tuple(course.moves), self.circle)
        if whole and course.complete and self.way is not None:
            self.bound = self.way.cost
        yield self._progress(step, 1.0)

    @property
    def _proven(self) -> bool:
        return self.way is not None and self.bound >= self.way.cost

    def _expand(self, circle: Circle) -> Expand:
        request = self.request
        locked = self.locked if circle is self.circle else 0
        return forward(
            circle,
            request.sets,
            request.turning.reversal,
            ahead_only=request.never_astern,
            locked=locked,
            # The play is taken up where a start was read, but another unit's start counts only from here on.
            start_run=request.turning.take_up - 1 if locked else LONG,
        )

    def _raise_bound(self, bound: int) -> None:
        self.bound = max(self.bound, bound if self.way is None else min(bound, self.way.cost))

    def _progress(self, step: str, share: float) -> Progress:
        return Progress(step, share, self.way, self.bound)


def _done(state: int, count: int) -> int:
    """The units that are done with in a state (bits)."""
    return ((1 << count) - 1) & ~(state | state >> count | state >> (2 * count))


def _starts(request: Request, circle: Circle, slots: Sequence[int]) -> list[int]:
    """The states in which the work can begin, on a circle on which the units have these places."""
    units = [(slots[k], unit) for k, unit in enumerate(request.turning.units)]
    rotations = circle.whole(SEGMENTS)
    keys: dict[int, None] = {}
    if request.standing is None:
        waiting = sum(1 << slot for slot, _ in units)
        for slot, unit in units:
            spot, cell = circle.spot(unit.peak)
            state = rotations[cell].of(waiting ^ (1 << slot | 1 << (slot + circle.count)))
            keys[key_of(state, spot, START, SEGMENTS * circle.count)] = None
        return list(keys)
    last_task = request.standing.last_task
    segment = {PEAK: 1, BASE: 2, CLOSING: 2}
    state = sum(1 << (slot + circle.count * segment.get(last_task.get(unit.unit, ""), 0)) for slot, unit in units)
    spot, cell = circle.spot(request.standing.angle)
    # Nothing has moved astern since a start was read. Else nobody knows how the flywheel came to where it stands.
    mode = START if CLOSING in last_task.values() else FRESH
    return [key_of(rotations[cell].of(state), spot, mode, SEGMENTS * circle.count)]
