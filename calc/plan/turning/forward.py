"""What can be done next: the successors of a state of the work, in the order of time.

Each successor has one more task done: a gauge set mounted at a peak, a base visit, or a reading. A unit's bits in a state:
waiting, mounted, based (see `calc.plan.turning.circle`).
"""

from __future__ import annotations

from collections.abc import Callable

from calc.plan.turning.circle import SPOT_BITS, SPOT_MASK, Circle, by_distance, inside

# How the flywheel came to where it stands: astern; nobody knows; it begins here; ahead. Any mode from SHORT on: ahead, with
# a run of (mode - SHORT) ticks that does not yet let every unit be read.
ASTERN, FRESH, START, AHEAD, SHORT = 0, 1, 2, 3, 4
SEGMENTS = 3
NOWHERE = -1
LONG = -1  # A run ahead that lets every unit be read.

# cost [ticks], key, spot of the turning point on the way or NOWHERE
Successor = tuple[int, int, int]
Expand = Callable[[int], list[Successor]]

_MOUNT, _BASE, _READ, _TURN = 2, 0, 1, 3  # In the order in which they are dealt with at one angle.


def tasks_left(state: int, count: int) -> int:
    """How many of mounting, base visit and reading are left in a state of so many units.

    >>> tasks_left(0b000_100_011, 3)
    8
    """
    ones = (1 << count) - 1
    waiting, mounted, based = (state >> (segment * count) & ones for segment in range(SEGMENTS))
    return 3 * waiting.bit_count() + 2 * mounted.bit_count() + based.bit_count()


def forward(circle: Circle, sets: int, reversal: int, *, ahead_only: bool, locked: int = 0, start_run: int = LONG) -> Expand:
    """The function that gives the successors of a state.

    Parameters: circle; sets, how many there are; reversal, cost of a change of direction [ticks]; ahead_only; locked, the
    units that stand between their start and their end at the beginning (bits): nothing moves astern before they are read;
    start_run, the run ahead that lies behind the beginning [ticks].

    >>> from calc.plan.turning.circle import Place, key_of, taken_apart
    >>> one = Circle((Place(30, 30, 100, 318, 350, 10, 20),), 360)
    >>> expand = forward(one, 1, 20, ahead_only=False)
    >>> sorted((cost, bin(taken_apart(key, 3)[0])) for cost, key, _ in expand(key_of(0b010, one.spot(30)[0], START, 3)))
    [(70, '0b100'), (72, '0b100')]
    """
    count, turn = circle.count, circle.turn
    width = SEGMENTS * count
    state_bits = (1 << width) - 1
    mode_at = width + SPOT_BITS
    based_bits = ((1 << count) - 1) << (2 * count)
    locked <<= 2 * count
    ends = {
        1 << (unit + 2 * count): circle.spot(place.opening)[0]
        for unit, place in enumerate(circle.places)
        if locked >> (unit + 2 * count) & 1
    }
    rotations = [rotation.of for rotation in circle.whole(SEGMENTS)]
    here, ahead_all, ahead_full, astern, short, blocked = _tables(circle)

    def reached(state: int, spot: int, run: int) -> int:
        """The key after a move ahead, with a run behind it that was short before."""
        if run >= 0 and state & blocked[spot]:
            for units, distance, need in short[spot]:
                if state & units and distance + run < need:
                    return (SHORT + run) << mode_at | spot << width | state
        return AHEAD << mode_at | spot << width | state

    def sweep(out: list[Successor], state: int, spot: int, run: int, cost: int, via: int) -> None:
        """Go ahead up to the first task that does itself, with a stop at a peak on the way as a choice."""
        if run >= 0 and not state & blocked[spot]:
            run = LONG
        full = (state >> count).bit_count() >= sets
        for distance, kind, test, flip, target, cell, need in ahead_full[spot] if full else ahead_all[spot]:
            if state & test and (run < 0 or kind != _READ or run + distance >= need):
                after = state ^ flip
                if cell:
                    after = rotations[cell](after)
                if run < 0:
                    out.append((cost + distance, AHEAD << mode_at | target << width | after, via))
                else:
                    out.append((cost + distance, reached(after, target, run + distance), via))
                if kind != _MOUNT:
                    return
        if run < 0 or not state & based_bits:
            return
        # All that wait for a reading were passed too early in the run: go on for whole turns.
        options = []
        for distance, kind, test, flip, target, cell, need in ahead_full[spot]:
            if kind == _READ and state & test:
                more = -(-max(need - run - distance, 0) // turn) * turn
                options.append((distance + more, flip, target, cell))
        distance, flip, target, cell = min(options)
        out.append((cost + distance, reached(rotations[cell](state ^ flip), target, run + distance), via))

    def expand(key: int) -> list[Successor]:
        state, rest = key & state_bits, key >> width
        spot, mode = rest & SPOT_MASK, rest >> SPOT_BITS
        out: list[Successor] = []
        free = (state >> count).bit_count() < sets
        if free:
            for test, flip in here[spot]:
                if state & test:
                    out.append((0, key ^ flip, NOWHERE))
        if mode == START:
            for unit, end in ends.items():
                if state & unit and end == spot:
                    # It stands at the end of a unit whose start was read: there is nothing to turn.
                    return [(0, key ^ unit, NOWHERE)]
        run = 0 if mode < START else mode - SHORT if mode >= SHORT else start_run if mode == START else LONG
        sweep(out, state, spot, run, reversal if mode == ASTERN else 0, NOWHERE)
        if ahead_only or state & locked:
            return out
        cost = reversal if mode >= AHEAD else 0
        for distance, kind, test, flip, target, cell in astern[spot]:
            if state & test:
                if kind == _TURN:
                    turned = rotations[cell](state) if cell else state
                    sweep(out, turned, target, 0, cost + distance + reversal, target)
                elif free or kind == _BASE:
                    after = rotations[cell](state ^ flip) if cell else state ^ flip
                    out.append((cost + distance, ASTERN << mode_at | target << width | after, NOWHERE))
                    if kind == _BASE:
                        break
        return out

    return expand


def _tables(circle: Circle) -> tuple[list, list, list, list, list, list[int]]:  # type: ignore[type-arg]
    """For each spot what a move from it meets, nearest first.

    Peaks that are met at once; moves ahead with all sets free to go, and without one; moves astern; the units that cannot
    be read by a move ahead that begins here, with distance and need; the same units as bits of any status.
    """
    turn, count = circle.turn, circle.count
    here, ahead_all, ahead_full, astern, short, blocked = [], [], [], [], [], []
    for angle in circle.spots:
        at, ahead, back, runs, never = [], [], [], [], 0
        for unit, place in enumerate(circle.places):
            waiting, mounted, based = (1 << (unit + segment * count) for segment in range(SEGMENTS))
            mount, base = (waiting, waiting | mounted), (mounted, mounted | based)
            if inside(angle, place.peak_from, place.peak_to, turn):
                at.append(mount)
            else:
                ahead.append(((place.peak_from - angle) % turn, _MOUNT, *mount, *circle.spot(place.peak_from), 0))
                back.append(((angle - place.peak_to) % turn, _MOUNT, *mount, *circle.spot(place.peak_to)))
            on_base = inside(angle, place.base_from, place.base_to, turn)
            entry, exit_ = (angle, angle) if on_base else (place.base_from, place.base_to)
            ahead.append(((entry - angle) % turn, _BASE, *base, *circle.spot(entry), 0))
            back.append(((angle - exit_) % turn, _BASE, *base, *circle.spot(exit_)))
            distance = (place.opening - angle) % turn
            ahead.append((distance, _READ, based, based, *circle.spot(place.opening), place.need))
            if angle != place.window:
                back.append(((angle - place.window) % turn, _TURN, based, 0, *circle.spot(place.window)))
            if distance < place.need:
                runs.append((waiting | mounted | based, distance, place.need))
                never |= waiting | mounted | based
        here.append(tuple(at))
        ahead_all.append(by_distance(ahead))
        ahead_full.append(by_distance([event for event in ahead if event[1] != _MOUNT]))
        astern.append(by_distance(back))
        short.append(tuple(runs))
        blocked.append(never)
    return here, ahead_all, ahead_full, astern, short, blocked
