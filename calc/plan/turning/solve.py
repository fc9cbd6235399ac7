"""A plan at once, then what bounds it, then the proof: one step after another, each telling how far it is.

1. A narrow search by layers gives a good way of working within a fraction of a second.
2. On a circle of units made alike, the least costs of so many tasks are found from the end of the work, then the least cost
   of all of it: a bound that mostly lies within a percent.
3. A wider search may find a better way.
4. The full search, cut short by what tasks cost at least, proves the best way, or gives up where it grows too large.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from calc.plan.turning.alike import alike, places_of
from calc.plan.turning.backward import LeastCosts, least_costs
from calc.plan.turning.circle import Circle
from calc.plan.turning.forward import FRESH, SEGMENTS, START, Expand, forward, tasks_left
from calc.plan.turning.search import Course, Key, Move, search
from calc.plan.turning.stations import BASE, CLOSING, PEAK, Turning

NARROW, WIDE = 300, 2000
# Beyond these a computer's memory, not its time, is the limit.
MOST_IN_A_LAYER, MOST_UNDONE = 300_000, 1_000_000
# How far the costs are looked for from the end; from there on the search from the beginning is the cheaper one.
_FROM_THE_END = 0.55

PLANNING, BOUNDING, WIDENING, PROVING, ENDED = "planning", "bounding", "widening", "proving", "ended"


@dataclass(frozen=True, slots=True)
class Standing:
    """Where an interrupted job stands.

    angle: of the flywheel [ticks]; last_task: of each planned unit that was begun, the last task done.
    """

    angle: int
    last_task: Mapping[int, str]


@dataclass(frozen=True, slots=True)
class Request:
    """What a plan is wanted for: stations, sets, whether ahead only, and where it begins if not anywhere."""

    turning: Turning
    sets: int
    ahead_only: bool = False
    standing: Standing | None = None

    @property
    def never_astern(self) -> bool:
        """Whether turning astern is forbidden, or could never pay: going ahead all the time costs less."""
        most = 2 * self.turning.turn * (len(self.turning.units) + 1)
        return self.ahead_only or max(self.turning.reversal, self.turning.take_up) >= most


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
    >>> from calc.plan.turning.stations import turning_of
    >>> turning = turning_of(read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8")))
    >>> *_, last = ways(Request(turning, 2))
    >>> last.optimal, turning.degrees(last.way.cost)
    (True, 0.0)
    """
    return _Solver(request).run()


class _Solver:
    """One request at work."""

    def __init__(self, request: Request) -> None:
        self.request = request
        turning, standing = request.turning, request.standing
        self.circle = Circle(places_of(turning), turning.turn, extra=() if standing is None else (standing.angle,))
        self.starts = _starts(request, self.circle, list(range(len(turning.units))))
        self.tasks = tasks_left(self.starts[0][0], self.circle.count)
        self.way: Way | None = None
        self.bound = 0

    def run(self) -> Iterator[Progress]:
        expand = self._expand(self.circle)
        narrow = search(expand, self.starts, self.tasks, width=NARROW)
        yield from self._follow(PLANNING, narrow)
        if self._proven:
            yield self._progress(ENDED, 1.0)
            return
        assert self.way is not None
        least = LeastCosts(self.tasks)
        bounding = alike(self.request.turning, self.request.standing.angle if self.request.standing else None)
        circle, slots = bounding or (self.circle, [])
        undone = least_costs(
            circle,
            self.request.sets,
            self.request.turning.reversal,
            self.tasks,
            ahead_only=self.request.never_astern,
            up_to=int(_FROM_THE_END * self.way.cost),
            most_states=MOST_UNDONE,
        )
        for least in undone:
            self._raise_bound(least.of(self.tasks))
            yield self._progress(BOUNDING, 0.5 * min(1.0, least.radius / (_FROM_THE_END * self.way.cost)))
        if bounding is not None:
            starts = _starts(self.request, circle, slots)
            bounded = search(
                self._expand(circle),
                starts,
                self.tasks,
                below=self.way.cost,
                least=least,
                keep_moves=False,
                most_states=MOST_IN_A_LAYER,
            )
            for course in bounded:
                self._raise_bound(course.bound)
                yield self._progress(BOUNDING, 1.0 - 0.5 * course.left / self.tasks)
            if course.complete:
                self._raise_bound(self.way.cost if course.cost is None else course.cost)
        if not self._proven:
            wide = search(expand, self.starts, self.tasks, width=WIDE, below=self.way.cost, least=least)
            yield from self._follow(WIDENING, wide)
        if not self._proven:
            full = search(
                expand, self.starts, self.tasks, below=self.way.cost, least=least, most_states=MOST_IN_A_LAYER
            )
            yield from self._follow(PROVING, full)
        yield self._progress(ENDED, 1.0)

    @property
    def _proven(self) -> bool:
        return self.way is not None and self.bound >= self.way.cost

    def _expand(self, circle: Circle) -> Expand:
        request = self.request
        locked = 0
        if circle.cells == 1 and request.standing is not None:
            units = [unit.unit for unit in request.turning.units]
            locked = sum(1 << units.index(unit) for unit, task in request.standing.last_task.items() if task == CLOSING)
        return forward(circle, request.sets, request.turning.reversal, ahead_only=request.never_astern, locked=locked)

    def _follow(self, step: str, courses: Iterator[Course]) -> Iterator[Progress]:
        """Follow a search on the real circle to its end."""
        for course in courses:
            if course.complete:
                self._raise_bound(course.bound)
            yield self._progress(step, 1.0 - course.left / self.tasks)
        if course.cost is not None:
            self.way = Way(course.cost, tuple(course.moves), self.circle)
        if course.complete and self.way is not None:
            self.bound = self.way.cost
        yield self._progress(step, 1.0)

    def _raise_bound(self, bound: int) -> None:
        self.bound = max(self.bound, bound if self.way is None else min(bound, self.way.cost))

    def _progress(self, step: str, share: float) -> Progress:
        return Progress(step, share, self.way, self.bound)


def _starts(request: Request, circle: Circle, slots: Sequence[int]) -> list[Key]:
    """The states in which the work can begin, on a circle on which the units have these places."""
    units = [(slots[k], unit) for k, unit in enumerate(request.turning.units)]
    rotations = circle.whole(SEGMENTS)
    keys: dict[Key, None] = {}
    if request.standing is None:
        waiting = sum(1 << slot for slot, _ in units)
        for slot, unit in units:
            spot, cell = circle.spot(unit.peak)
            keys[rotations[cell].of(waiting ^ (1 << slot | 1 << (slot + circle.count))), spot, START] = None
        return list(keys)
    last_task = request.standing.last_task
    segment = {PEAK: 1, BASE: 2, CLOSING: 2}
    state = sum(1 << (slot + circle.count * segment.get(last_task.get(unit.unit, ""), 0)) for slot, unit in units)
    spot, cell = circle.spot(request.standing.angle)
    # Nothing has moved astern since a start was read. Else nobody knows how the flywheel came to where it stands.
    mode = START if CLOSING in last_task.values() else FRESH
    return [(rotations[cell].of(state), spot, mode)]
