"""From a way of working to the stops that people make: where, which way, how far, and which task with which gauge set.

A search fixes when sets are mounted and units are read. What is left open costs nothing, and is chosen here: each base
visit is put to a stop that is made anyway if that lies well inside the base circle, else to one that serves as many units
as it can; and a free set goes to the unit that it is nearest to.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from calc.plan.turning.circle import taken_apart
from calc.plan.turning.forward import AHEAD, ASTERN, NOWHERE, SEGMENTS
from calc.plan.turning.request import Request
from calc.plan.turning.search import Move
from calc.plan.turning.solve import Way
from calc.plan.turning.stations import BASE, CLOSING, OPENING, PEAK

WELL_INSIDE_DEG = 2.0  # So far from the ends of the base circle a visit cannot slip off it.
AHEAD_WORD, ASTERN_WORD, START_WORD = "ahead", "astern", "start"

# At one stop what frees a set comes before what needs one.
_ORDER = {OPENING: 0, CLOSING: 1, PEAK: 2, BASE: 3}


@dataclass(frozen=True, slots=True)
class Done:
    """One task at a stop."""

    unit: int
    task: str
    gauge_set: int


@dataclass(slots=True)
class Halt:
    """One stop: flywheel angle and how far it was turned to get there [ticks], which way, and what is done there in order."""

    angle: int
    direction: str
    turned: int
    tasks: list[Done] = field(default_factory=list)


def halts_of(request: Request, way: Way) -> list[Halt]:
    """The stops of a way of working.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> from calc.plan.turning.solve import ways
    >>> from calc.plan.turning.request import request_of
    >>> job = read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8"))
    >>> request = request_of(job, sets=1, units=[1])
    >>> *_, last = ways(request)
    >>> [(request.turning.degrees(halt.angle), halt.direction) for halt in halts_of(request, last.way)]
    [(34.0, 'start'), (323.0, 'astern'), (348.89, 'ahead'), (2.45, 'ahead')]
    """
    if not way.moves:
        return []
    trip = _Trip(request, way)
    trip.put_base_visits()
    return trip.halts()


@dataclass(slots=True)
class _Leg:
    """A stretch turned one way: path length where it begins and ends, angle where it begins [ticks], +1 ahead, -1 astern."""

    begin: int
    end: int
    angle: int
    sign: int


@dataclass(frozen=True, slots=True)
class _Window:
    """A stretch of the path [ticks] on which a unit's base visit could be made."""

    begin: int
    end: int


class _Trip:
    """The whole way, measured along the path. `at`: path length at which each task of a unit (by index) is done."""

    def __init__(self, request: Request, way: Way) -> None:
        self.request, self.circle = request, way.circle
        self.units = request.turning.units
        self.turn = request.turning.turn
        self.legs: list[_Leg] = []
        self.length = 0
        self.at: dict[str, dict[int, int]] = {PEAK: {}, BASE: {}, CLOSING: {}, OPENING: {}}
        self.begun: dict[int, str] = {}
        state, spot, _ = self._apart(way.moves[0])
        self.first = self.angle = self.circle.spots[spot]
        standing = request.standing
        if standing is None:
            self.at[PEAK][self._mounted(state).bit_length() - 1] = 0
        else:
            self.begun = {k: standing.last_task[u.unit] for k, u in enumerate(self.units) if u.unit in standing.last_task}
        for before, after in pairwise(way.moves):
            self._follow(before, after)

    def _apart(self, move: Move) -> tuple[int, int, int]:
        return taken_apart(move.key, SEGMENTS * self.circle.count)

    def _mounted(self, state: int) -> int:
        return state >> self.circle.count & ((1 << self.circle.count) - 1)

    def _follow(self, before: Move, after: Move) -> None:
        old, _, came = self._apart(before)
        new, spot, mode = self._apart(after)
        spots, reversal = self.circle.spots, self.request.turning.reversal
        ahead_cost = after.cost
        if after.via != NOWHERE:
            back = (self.angle - spots[after.via]) % self.turn
            self._go(-1, back)
            ahead_cost -= back + reversal * (2 if came >= AHEAD else 1)
        elif came == ASTERN and mode >= AHEAD:
            ahead_cost -= reversal
        if mode == ASTERN:
            self._go(-1, (self.angle - spots[spot]) % self.turn)
        else:
            self._go(1, ahead_cost)
        # Of the bits that changed, the lowest tells unit and task: waiting, mounted and based lie in this order.
        segment, unit = divmod((old & ~new).bit_length() - 1, self.circle.count)
        task = (PEAK, BASE, OPENING)[segment]
        if task != BASE:
            self.at[task][unit] = self.length
        if task == OPENING and self.begun.get(unit) != CLOSING:
            stations = self.units[unit]
            self.at[CLOSING][unit] = self.length - (stations.opening - stations.closing) % self.turn

    def _go(self, sign: int, distance: int) -> None:
        if not distance:
            return
        if self.legs and self.legs[-1].sign == sign:
            self.legs[-1].end += distance
        else:
            self.legs.append(_Leg(self.length, self.length + distance, self.angle, sign))
        self.length += distance
        self.angle = (self.angle + sign * distance) % self.turn

    def put_base_visits(self) -> None:
        """Choose where each base visit is made."""
        made = {0, *(leg.end for leg in self.legs), *(at for tasks in self.at.values() for at in tasks.values())}
        left: dict[int, list[_Window]] = {}
        for unit in self.at[OPENING]:
            if self.begun.get(unit) in (BASE, CLOSING):
                continue
            windows = list(self._windows(unit))
            options = [at for at in made if any(window.begin <= at <= window.end for window in windows)]
            if options:
                self.at[BASE][unit] = max(options, key=lambda at: (self._inside(unit, at), -at))
            else:
                left[unit] = windows
        while left:
            # Between two edges of windows nothing changes, so edges and middles are enough to look at.
            edges = sorted({edge for windows in left.values() for each in windows for edge in (each.begin, each.end)})
            options = [*edges, *((one + other) // 2 for one, other in pairwise(edges))]
            served = {
                at: [unit for unit, windows in left.items() if any(each.begin <= at <= each.end for each in windows)]
                for at in options
            }
            best = max(
                options, key=lambda at: (len(served[at]), min((self._inside(u, at) for u in served[at]), default=-1), -at)
            )
            for unit in served[best]:
                self.at[BASE][unit] = best
                del left[unit]

    def _windows(self, unit: int) -> Iterator[_Window]:
        """Where the unit's base visit can be made: well inside the base circle, or as far inside as the way ever comes."""
        place = self.units[unit]
        size = (place.base_to - place.base_from) % self.turn
        first, last = self.at[PEAK].get(unit, 0), self.at[CLOSING][unit]
        stretches = []
        for leg in self.legs:
            begin, end = max(leg.begin, first), min(leg.end, last)
            if begin > end:
                continue
            angle = leg.angle + leg.sign * (begin - leg.begin)
            # How far beyond the end of the base circle that is met first.
            beyond = (angle - place.base_from if leg.sign > 0 else place.base_to - angle) % self.turn
            entry = begin - beyond
            while entry <= end:
                if entry + size >= begin:
                    stretches.append((entry, max(entry, begin), min(entry + size, end)))
                entry += self.turn
        deepest = max(
            min(max(min(middle, end), begin) - entry, entry + size - max(min(middle, end), begin))
            for entry, begin, end in stretches
            for middle in (entry + size // 2,)
        )
        margin = min(deepest, self.request.turning.ticks(WELL_INSIDE_DEG))
        for entry, begin, end in stretches:
            begin, end = max(begin, entry + margin), min(end, entry + size - margin)
            if begin <= end:
                yield _Window(begin, end)

    def _inside(self, unit: int, at: int) -> int:
        """How far inside the base circle a point of the path lies [ticks]."""
        place, angle = self.units[unit], self._angle(at)
        return min((angle - place.base_from) % self.turn, (place.base_to - angle) % self.turn)

    def _angle(self, at: int) -> int:
        for leg in self.legs:
            if at <= leg.end:
                return (leg.angle + leg.sign * (at - leg.begin)) % self.turn
        return self.angle

    def halts(self) -> list[Halt]:
        """The stops in order, each with its tasks and gauge sets."""
        tasks = sorted((at, _ORDER[task], unit, task) for task, done in self.at.items() for unit, at in done.items())
        lengths = sorted({0, *(leg.end for leg in self.legs[:-1]), *(at for at, *_ in tasks)})
        halts: dict[int, Halt] = {}
        before = 0
        for at in lengths:
            sign = next((leg.sign for leg in self.legs if leg.begin < at <= leg.end), 0)
            halts[at] = Halt(self._angle(at), {1: AHEAD_WORD, -1: ASTERN_WORD, 0: START_WORD}[sign], at - before)
            before = at
        sets = _Sets(self.request)
        for at, _, unit, task in tasks:
            number = self.units[unit].unit
            halts[at].tasks.append(Done(number, task, sets.on(number, task)))
        return list(halts.values())


class _Sets:
    """Which gauge set is where."""

    def __init__(self, request: Request) -> None:
        self.mounted: dict[int, int] = dict(request.standing.gauge_set) if request.standing else {}
        self.free: dict[int, int | None] = {
            number: None for number in range(1, request.sets + 1) if number not in self.mounted.values()
        }

    def on(self, unit: int, task: str) -> int:
        """The set with which a unit's task is done: mounted at the peak, free again from the opening on."""
        if task == PEAK:
            number = min(self.free, key=lambda each: (_distance(self.free[each], unit), each))
            del self.free[number]
            self.mounted[unit] = number
        number = self.mounted[unit]
        if task == OPENING:
            self.free[self.mounted.pop(unit)] = unit
        return number


def _distance(last: int | None, unit: int) -> int:
    """Units between where a set comes from and where it goes; one that was not used yet goes first."""
    return -1 if last is None else abs(last - unit)


def turned(halts: Sequence[Halt]) -> int:
    """How far all stops turn [ticks].

    >>> turned([Halt(0, "start", 0), Halt(5, "ahead", 5)])
    5
    """
    return sum(halt.turned for halt in halts)


def reversals(halts: Sequence[Halt]) -> int:
    """How often the direction changes between turns.

    >>> reversals([Halt(0, "start", 0), Halt(5, "ahead", 5), Halt(4, "astern", 1)])
    1
    """
    ways = [halt.direction for halt in halts if halt.turned]
    return sum(one != other for one, other in pairwise(ways))
