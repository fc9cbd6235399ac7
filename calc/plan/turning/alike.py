"""A circle that a rotation turns into itself, made from one whose units are nearly alike.

Every arc is widened so far that it holds the arc of each unit that it stands for: any of their peaks, latest start,
earliest end. So whatever can be done on the real engine can be done on this one at the same cost or less, and what work
costs at least here, it costs at least there. As all rotations of a state are the same, there are far fewer of them.
"""

from __future__ import annotations

from calc.plan.turning.circle import Circle, Place
from calc.plan.turning.stations import Stations, Turning

# Units of one kind lie apart from their even places by at most this share of the mean distance between two units.
_MOST_SPREAD = 0.1


def places_of(turning: Turning) -> tuple[Place, ...]:
    """The stations of the units as a search sees them [ticks].

    >>> from calc.plan.turning.stations import Stations, Turning
    >>> turning = Turning((Stations(1, 30, 100, 318, 355, 10),), (1,), 1, 5, 20, None, 0.0)
    >>> places_of(turning)[0].opening
    10
    """
    return tuple(
        Place(
            peak_from=each.peak,
            peak_to=each.peak,
            base_from=each.base_from,
            base_to=each.base_to,
            window=(each.closing - turning.take_up) % turning.turn,
            opening=each.opening,
            need=(each.opening - each.closing) % turning.turn + turning.take_up,
        )
        for each in turning.units
    )


def alike(turning: Turning, standing: int | None = None) -> tuple[Circle, list[int]] | None:
    """The circle of equal cells that bounds the real one.

    Parameters: turning; standing, where the flywheel stands at the beginning [ticks], if not free.
    Returns: the circle, and for each planned unit its place there; None where the units are too different.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> from calc.plan.turning.stations import turning_of
    >>> turning = turning_of(read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8")))
    >>> circle, slots = alike(turning)
    >>> circle.cells, slots
    (7, [0, 5, 2, 3, 4, 1, 6])
    """
    for cells in range(turning.engine_units, 1, -1):
        if turning.engine_units % cells == 0:
            found = _with_cells(turning, cells, standing)
            if found is not None:
                return found
    return None


def _with_cells(turning: Turning, cells: int, standing: int | None) -> tuple[Circle, list[int]] | None:
    turn, cell = turning.turn, turning.turn // cells
    most = int(_MOST_SPREAD * turn / turning.engine_units)
    origin, phases = _kinds([unit.peak for unit in turning.units], cell, most)
    if len(phases) * cells > turning.engine_units:
        return None
    kinds: list[list[tuple[Stations, int]]] = [[] for _ in phases]
    slots = []
    for unit in turning.units:
        index, phase = divmod((unit.peak - origin) % turn, cell)
        kind = max(k for k, first in enumerate(phases) if first <= phase)
        kinds[kind].append((unit, phase - phases[kind]))
        slots.append(index * len(phases) + kind)
    if len(set(slots)) < len(slots):
        return None
    first_cell = []
    for kind, phase in enumerate(phases):
        place = _widened(kinds[kind], origin + phase, turning, most)
        if place is None:
            return None
        first_cell.append(place)
    places = tuple(_moved(place, index * cell, turn) for index in range(cells) for place in first_cell)
    extra = [unit.peak for unit in turning.units] if standing is None else [standing]
    return Circle(places, turn, cells, tuple(extra)), slots


def _kinds(peaks: list[int], cell: int, most: int) -> tuple[int, list[int]]:
    """Where cells begin [ticks], so that no kind of unit is cut in two, and where in a cell each kind begins."""
    phases = sorted(peak % cell for peak in peaks)
    gaps = [((phase - phases[k - 1]) % cell or (cell if len(set(phases)) == 1 else 0), phase) for k, phase in enumerate(phases)]
    origin = max(gaps)[1]
    inside = sorted((phase - origin) % cell for phase in phases)
    return origin, [phase for k, phase in enumerate(inside) if k == 0 or phase - inside[k - 1] > most]


def _widened(units: list[tuple[Stations, int]], begin: int, turning: Turning, most: int) -> Place | None:
    """One place for all units of a kind, in the first cell. Each comes with how far it lies behind the first of them."""
    turn = turning.turn

    def offsets(station: str) -> list[int]:
        return [late + (getattr(unit, station) - unit.peak) % turn for unit, late in units]

    every = [offsets(station) for station in ("peak", "base_from", "base_to", "closing", "opening")]
    if any(max(each) - min(each) > most for each in every):
        return None
    peak, base_from, base_to, closing, opening = every
    if max(closing) >= min(opening) or max(peak) >= min(base_from) or max(base_to) - min(base_from) >= turn:
        return None
    return Place(
        peak_from=(begin + min(peak)) % turn,
        peak_to=(begin + max(peak)) % turn,
        base_from=(begin + min(base_from)) % turn,
        base_to=(begin + max(base_to)) % turn,
        window=(begin + max(closing) - turning.take_up) % turn,
        opening=(begin + min(opening)) % turn,
        need=min(opening) - max(closing) + turning.take_up,
    )


def _moved(place: Place, by: int, turn: int) -> Place:
    peak_from, peak_to, base_from, base_to, window, opening = ((angle + by) % turn for angle in place.corners)
    return Place(peak_from, peak_to, base_from, base_to, window, opening, place.need)
