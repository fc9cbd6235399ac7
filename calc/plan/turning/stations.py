"""Where on the flywheel each unit has to be visited, taken from a job.

Ahead is the direction that the job is for. In a job for astern the flywheel is looked at from its other side: its angles are
counted the other way round, and what lies ahead here is reached turning astern. So nobody else has to know of directions.

All angles are whole numbers of ticks of the flywheel scale, so that sums are exact and angles that coincide are equal.
A tick is a degree over 10⁹ times the number of units: even firing intervals are whole then, whatever their number.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Any

from calc.job.describe import field_of
from calc.job.direction import mirrored
from calc.job.model import ASTERN, Engine, Job, UnitReference
from calc.job.problems import JobErrors, Problem
from calc.job.words import angle_words

TICKS_A_DEGREE = 10**9
MET_WITHIN_DEG = 1e-6  # Two stations this close are one stop.
LEAST_RUN_DEG = 2.0 * MET_WITHIN_DEG  # Without any play a reading still has to be reached ahead.

PEAK, BASE, CLOSING, OPENING = "peak", "base", "closing", "opening"
TASKS = (PEAK, BASE, CLOSING, OPENING)

_STATION_FIELDS = ("cam_peak_deg", "base_circle_from_deg", "base_circle_to_deg")


@dataclass(frozen=True, slots=True)
class Stations:
    """One unit's stations on the flywheel [ticks, 0 to below a turn]."""

    unit: int
    peak: int
    base_from: int
    base_to: int
    closing: int
    opening: int


@dataclass(frozen=True, slots=True)
class Turning:
    """What has to be turned: the stations of the units, and what turning costs.

    scale: ticks a degree; take_up, reversal [ticks]; engine_units: cylinders, planned or not; astern: whether the job is for
    astern, so that all angles are counted against the flywheel's scale.
    """

    units: tuple[Stations, ...]
    firing_order: tuple[int, ...]
    engine_units: int
    take_up: int
    reversal: int
    turning_deg_per_min: float | None
    minutes_per_stop: float
    astern: bool = False

    @property
    def scale(self) -> int:
        """Ticks a degree."""
        return TICKS_A_DEGREE * self.engine_units

    @property
    def turn(self) -> int:
        """Ticks a turn of the flywheel."""
        return 360 * self.scale

    def ticks(self, angle_deg: float) -> int:
        """An angle in ticks; not wrapped.

        >>> Turning((), (1,), 1, 0, 0, None, 0.0).ticks(-4.5)
        -4500000000
        """
        # Beyond 2^53 nano-degrees a float has no fraction left to round.
        nano = round(angle_deg * TICKS_A_DEGREE) if abs(angle_deg) < 1e6 else int(angle_deg) * TICKS_A_DEGREE
        return nano * self.engine_units

    def degrees(self, ticks: int) -> float:
        """Ticks in degrees.

        >>> Turning((), (1,), 1, 0, 0, None, 0.0).degrees(-4500000000)
        -4.5
        """
        return ticks / self.scale

    def turned_round(self, angle: int) -> int:
        """An angle as it is counted here from the flywheel's scale, and the other way about [ticks].

        >>> Turning((), (1,), 1, 0, 0, None, 0.0).turned_round(90), Turning((), (1,), 1, 0, 0, None, 0.0, True).turned_round(90)
        (90, 359999999910)
        """
        return (-angle if self.astern else angle) % self.turn


def turning_of(job: Job, units: Collection[int] | None = None) -> Turning:
    """The stations of a job's units.

    Parameters: job; units, the numbers of those to plan, all where None. Flywheel angle = crank angle of unit 1 [deg];
    another unit's station lies at its own angle after TDC plus the flywheel angle of its TDC. In a job for astern crank angles
    are meant in astern rotation, and so the flywheel is; TDCs and firing order, given for ahead, are turned round.
    Returns: stations [ticks]. Raises: JobErrors where cam peak or base circle is missing, or where a unit's angles do not
    follow each other ahead as end of the base circle, start, end, peak, start of the base circle.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> turning = turning_of(read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8")))
    >>> [turning.degrees(each.peak) for each in turning.units][:3]
    [34.0, 291.1, 136.9]
    """
    engine = job.engine
    wanted = [unit for unit in range(1, engine.units + 1) if units is None or unit in units]
    problems = missing_fields(vars(engine))
    if problems:
        raise JobErrors(problems)
    assert engine.cam_peak_deg is not None
    assert engine.base_circle_from_deg is not None
    assert engine.base_circle_to_deg is not None
    entries = {entry.unit: (j, entry) for j, entry in enumerate(job.reference.units)}
    for unit in wanted:
        j, entry = entries[unit]
        problem = _out_of_order(
            job.direction, j, entry, engine.cam_peak_deg, engine.base_circle_from_deg, engine.base_circle_to_deg
        )
        if problem is not None:
            problems.append(problem)
    if problems:
        raise JobErrors(sorted(problems, key=lambda each: int(each.where.partition("[")[2].rstrip("]"))))
    speed = engine.turning_deg_per_min
    turning = Turning(
        units=(),
        # Astern the same unit comes first, then the others from the last to the second.
        firing_order=engine.firing_order[:1] + engine.firing_order[:0:-1] if job.direction == ASTERN else engine.firing_order,
        engine_units=engine.units,
        take_up=0,
        reversal=0,
        # A gear that does not turn tells no time.
        turning_deg_per_min=speed if speed else None,
        minutes_per_stop=_stated(engine, "minutes_per_stop"),
        astern=job.direction == ASTERN,
    )
    tdc = _tdc(job, turning)
    stations = []
    for unit in wanted:
        _, entry = entries[unit]
        angles = (
            engine.cam_peak_deg,
            engine.base_circle_from_deg,
            engine.base_circle_to_deg,
            entry.beginning_deg,
            entry.end_deg,
        )
        stations.append([(turning.turned_round(tdc[unit]) + turning.ticks(angle)) % turning.turn for angle in angles])
    _merge(stations, turning)
    return replace(
        turning,
        units=tuple(Stations(unit, *angles) for unit, angles in zip(wanted, stations, strict=True)),
        take_up=turning.ticks(max(_stated(engine, "take_up_deg"), LEAST_RUN_DEG)),
        reversal=turning.ticks(_stated(engine, "reversal_deg")),
    )


def missing_fields(engine: Mapping[str, Any]) -> list[Problem]:
    """What a plan needs and the engine lacks: cam peak and base circle.

    >>> [problem.where for problem in missing_fields({"cam_peak_deg": 30.0})]
    ['engine.base_circle_from_deg', 'engine.base_circle_to_deg']
    """
    problems = []
    for name in _STATION_FIELDS:
        if engine.get(name) is None:
            where = f"engine.{name}"
            field = field_of(Job, where)
            problems.append(
                Problem(
                    where,
                    "nothing",
                    f"Engine, {field.label}: missing. The turning plan needs it. Enter its crank angle, from −180° to 180°. "
                    "Take it from the cam's drawing, or measure it at the plunger.",
                )
            )
    return problems


def _stated(engine: Engine, name: str) -> float:
    """A field of the engine, or what stands in for it."""
    value = getattr(engine, name)
    return float(field_of(Engine, name).fallback if value is None else value)


def _tdc(job: Job, turning: Turning) -> dict[int, int]:
    """Flywheel angle at each unit's TDC, against unit 1 [ticks]."""
    engine = job.engine
    if engine.tdc_deg is not None:
        own = [turning.ticks(angle) for angle in engine.tdc_deg]
        return {unit: own[unit - 1] - own[0] for unit in range(1, engine.units + 1)}
    first = engine.firing_order.index(1)
    order = engine.firing_order[first:] + engine.firing_order[:first]
    return {unit: k * turning.turn // engine.units for k, unit in enumerate(order)}


def _out_of_order(
    direction: str, j: int, entry: UnitReference, peak: float, base_from: float, base_to: float
) -> Problem | None:
    named = [
        ("the end of the base circle", base_to),
        ("the start", entry.beginning_deg),
        ("the end", entry.end_deg),
        ("the cam peak", peak),
        ("the start of the base circle", base_from),
    ]
    ahead = [(angle - base_to) % 360.0 for _, angle in named]
    # Zero but for rounding, just below a whole turn.
    ahead = [0.0 if 360.0 - angle <= MET_WITHIN_DEG else angle for angle in ahead]
    for k in range(1, len(named)):
        if ahead[k] <= ahead[k - 1] + MET_WITHIN_DEG:
            (before, one), (after, other) = named[k - 1], named[k]
            return Problem(
                f"reference.units[{j}]",
                f"{one:g} then {other:g}",
                f"Unit {entry.unit}: {after} ({angle_words(other)}) does not follow {before} ({angle_words(one)}). "
                f"{mirrored('Turning ahead', direction)}, these follow each other: end of the base circle, start, end, cam "
                "peak, start of the base circle. Compare the unit's angles with the cam's.",
            )
    return None


def _merge(stations: list[list[int]], turning: Turning) -> None:
    """Give angles that are one stop one value, in place."""
    reach = turning.ticks(MET_WITHIN_DEG)
    merged: dict[int, int] = {}
    first = None
    every = sorted({angle for angles in stations for angle in angles})
    for angle in every:
        if first is None or angle - first > reach:
            first = angle
        merged[angle] = first
    # Across the zero of the scale.
    for angle in reversed(every):
        if turning.turn - angle + every[0] > reach:
            break
        merged[angle] = every[0]
    for angles in stations:
        angles[:] = [merged[angle] for angle in angles]
