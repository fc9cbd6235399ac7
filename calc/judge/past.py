"""What a trend needs of one past check: little, so that a hundred thousand of them fit into memory."""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple, TypeVar
from zlib import crc32

from calc import recalls
from calc.findings import Findings
from calc.job.model import AS_LEFT, CAM, SPILL_ROD, SUCTION_ROD, Job

T = TypeVar("T")

BEGINNING, END = "beginning", "end"
EVENTS = (BEGINNING, END)
# Which events a part moves.
_MOVES = {SUCTION_ROD: (BEGINNING,), SPILL_ROD: (END,), CAM: EVENTS}


class Place(NamedTuple):
    """Which deviation it is. moved: as found, and rod or cam was turned afterwards without a reading as left."""

    unit: int
    event: str
    left: bool = False
    moved: bool = False


class Reading(NamedTuple):
    """One deviation [°] of one event, with the running hours [h] it was read at."""

    place: Place
    hours: float
    deviation_deg: float


class Engine(NamedTuple):
    """What tells one engine from another: vessel (as a key), units, and the direction that its settings are for."""

    vessel: str
    units: int
    direction: str


@dataclass(frozen=True, slots=True)
class Check:
    """One past check.

    name: of its file or job. vessel: as written. places and deviations [°] belong together, one by one; checks of one engine
    mostly share the places. settings, gauges: what tells whether they are the same as in another check.
    recalled: the recalled versions that worked on it, and why, in words; empty where none did.
    """

    name: str
    engine: Engine
    vessel: str
    hours: float
    tolerance_deg: float
    places: tuple[Place, ...]
    deviations: array[float]
    settings: int = 0
    gauges: int = 0
    demo: bool = False
    recalled: str = ""

    @property
    def readings(self) -> Iterator[Reading]:
        """Its deviations."""
        for place, deviation in zip(self.places, self.deviations, strict=True):
            yield Reading(place, self.hours, deviation)

    def is_same_as(self, other: Check) -> bool:
        """Whether both hold the same readings at the same hours: a copy of it, and no second check."""
        return (self.hours, self.places, self.deviations) == (other.hours, other.places, other.deviations)

    def to_tree(self) -> list[Any]:
        """As plain values, to be carried to another process or kept by a page."""
        values = (self.name, self.engine, self.vessel, self.hours, self.tolerance_deg, self.places, [*self.deviations])
        return [*values, self.settings, self.gauges, self.demo, self.recalled]


def check_of(job: Job, found: Findings, name: str = "") -> Check | None:
    """The part of a judged job that a trend needs; None without running hours.

    Parameters: job; its findings; name of its file.
    """
    if job.running_hours is None:
        return None
    moved = set(_moved(job))
    read_again = {
        (unit.unit, event) for unit in found.units if unit.stage == AS_LEFT for event in EVENTS if getattr(unit, event)
    }
    places, deviations = [], array("d")
    for unit in found.units:
        for name_of_event in EVENTS:
            event = getattr(unit, name_of_event)
            if event is not None:
                left, key = unit.stage == AS_LEFT, (unit.unit, name_of_event)
                places.append(Place(*key, left, not left and key in moved and key not in read_again))
                deviations.append(event.deviation_deg)
    vessel = " ".join((job.vessel or "").split())
    return Check(
        name=name,
        engine=Engine(vessel.casefold(), job.engine.units, job.direction),
        vessel=vessel,
        hours=job.running_hours,
        tolerance_deg=job.reference.angle_tolerance_deg,
        places=_shared(tuple(places)),
        deviations=deviations,
        settings=_mark(
            (unit.unit, unit.pre_stroke_mm, unit.beginning_deg, unit.spill_lift_mm, unit.end_deg)
            for unit in sorted(job.reference.units, key=lambda each: each.unit)
        ),
        gauges=_mark([job.instruments.plunger_gauge.serial, job.instruments.valve_gauge.serial]),
        demo=bool(job.demo),
        recalled="; ".join(
            f"{' and '.join(versions)} (notice {recall.number})" for recall, versions in recalls.recalled(job.written_by)
        ),
    )


def check_from(tree: list[Any]) -> Check:
    """A check from what `to_tree` has made of it."""
    name, engine, vessel, hours, tolerance, places, deviations, settings, gauges, demo, recalled = tree
    found = _shared(tuple(Place(*each) for each in places))
    marks = (_shared(settings), _shared(gauges), demo, _shared(recalled))
    return Check(
        name, _shared(Engine(*engine)), _shared(vessel), hours, _shared(tolerance), found, array("d", deviations), *marks
    )


# What thousands of checks have in common is kept once.
_SHARED: dict[Any, Any] = {}


def _shared(value: T) -> T:
    # A place compares equal to a tuple of the same values, and 1.0 to 1.
    shared: T = _SHARED.setdefault((type(value), value), value)
    return shared


def _moved(job: Job) -> Iterator[tuple[int, str]]:
    for each in job.adjustments or ():
        if each.flats_turned or each.cam_turned_deg:
            for event in _MOVES[each.part]:
                yield each.unit, event


def _mark(values: Iterable[object]) -> int:
    """A number that differs where the values differ, the same in every process; 0 where none of them is known."""
    known = list(values)
    return crc32(repr(known).encode()) if any(each is not None for each in known) else 0


def by_engine(checks: Iterable[Check]) -> Mapping[Engine, list[Check]]:
    """Checks of each engine in the order of their hours, engines in the order of their names; a copy of a check comes twice."""
    found: dict[Engine, list[Check]] = {}
    for check in checks:
        found.setdefault(check.engine, []).append(check)
    for mine in found.values():
        # Files come in any order, and the answer must not depend on it.
        mine.sort(key=lambda check: (check.hours, check.name))
    return dict(sorted(found.items()))
