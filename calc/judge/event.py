"""Each reading by itself: its scatter, what it says of the event, and how well."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum

from calc.findings import Event, Notice
from calc.job.model import (
    AT_CONTACT,
    SPILL_OPENING,
    SUCTION_CLOSING,
    VALVE_EVENTS,
    Reading,
    lists_of,
)
from calc.job.words import short
from calc.judge.settings import Settings, UnitSettings
from calc.measure import conformity
from calc.measure.gum import Term, combined, effective_dof, expanded
from calc.measure.pool import Repeatability, dominant, mean, pooled
from calc.pump import doubt
from calc.pump.cut_out import lift_beyond_seat
from calc.pump.reading import cam_part, on_seat, spill_lift_from_valve, suction_lift_from_valve

Kind = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Placed:
    """A reading and its place in the job file."""

    index: int
    reading: Reading

    @property
    def where(self) -> str:
        """Its JSON path."""
        return f"readings[{self.index}]"


def kind_of(reading: Reading, key: str) -> Kind:
    """Which pool a list of a reading belongs to: same list, same method; the other events are kinds of their own.

    >>> kind_of(Reading(unit=1, stage="as_found", event="peak", plunger_lift_mm=(60.0,)), "plunger_lift_mm")
    ('plunger_lift_mm', 'peak')
    """
    way = reading.method if reading.event in VALVE_EVENTS else reading.event
    return (key, way or "")


def sits(reading: Reading) -> bool:
    """Whether a valve event read at reference lift has a repeat with the valve on its seat: no number comes of it."""
    at_lift = reading.event in VALVE_EVENTS and reading.method != AT_CONTACT
    return at_lift and reading.valve_lift_mm is not None and on_seat(reading.valve_lift_mm)


def scatter_by_kind(
    placed: Sequence[Placed], settings: Settings, steps: dict[str, float]
) -> tuple[dict[Kind, Repeatability], list[Notice]]:
    """Repeatability of every kind of reading, pooled over units, events and stages.

    Parameters: the readings that are judged; settings; `steps` of each list's instrument. Returns: scatter by kind, and
    a notice for a group that dominates its pool.
    """
    groups: dict[Kind, list[tuple[Placed, tuple[float, ...]]]] = {}
    for each in placed:
        for key in lists_of(each.reading.event, each.reading.method):
            values = getattr(each.reading, key)
            if key in settings.stated_repeatability:
                groups.setdefault(kind_of(each.reading, key), []).append((each, values))
    scatter, notices = {}, []
    for kind, members in groups.items():
        values_only = [values for _, values in members]
        scatter[kind] = pooled(values_only, settings.stated_repeatability[kind[0]])
        largest = dominant(values_only)
        if largest is None:
            continue
        culprit, values = members[largest]
        # Repeats a step or two apart, or as far as the instrument's own scatter, are no slip.
        usual = max(2.5 * steps[kind[0]], 4.0 * settings.stated_repeatability[kind[0]])
        if max(values) - min(values) > usual:
            span = f"from {short(min(values))} to {short(max(values))}"
            notices.append(
                Notice(
                    code="repeat_dominates",
                    where=f"{culprit.where}.{kind[0]}",
                    text=f"Unit {culprit.reading.unit}: these repeats run {span} and make up most of the scatter that all "
                    "readings are judged with. Read them again: one slip hides everything else.",
                )
            )
    return scatter, notices


@dataclass(frozen=True, slots=True)
class JudgedEvent:
    """An event of a unit with everything that led to its finding."""

    placed: Placed
    unit: UnitSettings
    event: str
    ratio: float
    count: int
    read_lift_mm: float
    read_angle_deg: float
    travel_deg: float
    budgets: doubt.Budgets
    dof: float
    finding: Event

    @property
    def lift_error_mm(self) -> float:
        """Lift deviation D [mm]."""
        return self.finding.lift_deviation_mm

    @property
    def at_contact(self) -> bool:
        """Whether it was read at contact, else at reference lift."""
        return self.placed.reading.method == AT_CONTACT


def index_doubt_mm(settings: Settings, unit: UnitSettings, opening_mm: float | None) -> float | None:
    """Doubt of the spill lift from the fuel index [mm]; None where the zero-index opening that it needs is unknown."""
    if opening_mm is None:
        return None
    w = lift_beyond_seat(opening_mm, settings.seat_contact_mm, settings.ratio[SPILL_OPENING])
    return doubt.of_index(unit.stroke_mm, w, settings.fuel_index, settings.fuel_index_u)


def judge_event(
    placed: Placed,
    settings: Settings,
    unit: UnitSettings,
    scatter: dict[Kind, Repeatability],
    index_mm: float,
) -> JudgedEvent:
    """What a reading of a valve event says.

    Parameters: a reading that is judged and has its valve off the seat; `index_mm` doubt of the spill lift from the index.
    """
    reading = placed.reading
    event, ratio, flank = reading.event, settings.ratio[reading.event], unit.flank[reading.event]
    reference_lift, reference_angle = unit.lift_mm[event], unit.angle_deg[event]
    key, _ = lists_of(event, reading.method)
    values, angles = getattr(reading, key), reading.crank_angle_deg
    assert values is not None
    assert angles is not None
    read_lift, read_angle, count = mean(values), mean(angles), len(values)
    lift_scatter = scatter[kind_of(reading, key)]
    angle_scatter = scatter[kind_of(reading, "crank_angle_deg")]
    at_contact = reading.method == AT_CONTACT
    if at_contact:
        lift = read_lift
    else:
        from_valve = suction_lift_from_valve if event == SUCTION_CLOSING else spill_lift_from_valve
        lift = from_valve(reference_lift, read_lift, settings.seat_contact_mm, ratio)
    error = lift - reference_lift
    travel = flank.travel(error)
    angle = read_angle if at_contact else read_angle + travel
    deviation = angle - reference_angle
    own = cam_part(deviation, travel) if at_contact else read_angle - reference_angle
    budget = doubt.at_contact if at_contact else doubt.at_reference_lift
    budgets = budget(settings.quality, flank, ratio, travel, lift_scatter, angle_scatter, count, index_mm)
    u, dof = combined(budgets.angle), effective_dof(budgets.angle)
    tolerance = settings.tolerance_deg
    probability = conformity.probability_between(deviation, u, dof, -tolerance, tolerance)
    read = conformity.as_read(deviation, -tolerance, tolerance)
    verdict = conformity.verdict(probability, read)
    finding = Event(
        angle_deg=angle,
        deviation_deg=deviation,
        u_deg=u,
        expanded_deg=expanded(u, dof),
        as_read=read,
        probability_within=probability,
        verdict=verdict,
        lift_mm=lift,
        lift_deviation_mm=error,
        u_lift_mm=combined(budgets.lift),
        cam_part_deg=own,
        u_cam_part_deg=combined(budgets.cam_part),
        settle=_settle_words(deviation, tolerance, budgets.angle, count) if verdict == conformity.UNCLEAR else None,
    )
    return JudgedEvent(placed, unit, event, ratio, count, read_lift, read_angle, travel, budgets, dof, finding)


_FINER = {
    doubt.ANGLE_SCALE: "a flywheel scale that is read to a finer step",
    doubt.POINTER: "a better TDC check of the flywheel pointer",
    doubt.VALVE_GAUGE: "a finer valve gauge",
    doubt.PLUNGER_GAUGE: "a finer plunger gauge",
    doubt.SLOPE: "the cam's lift table",
    doubt.INDEX: "a fuel index that is held more exactly",
}


def settlement(deviation: float, tolerance: float, terms: Sequence[Term], count: int) -> conformity.Settlement:
    """What would settle a verdict, from the lines of its budget."""
    fixed, single = split_repeats(terms, count)
    return conformity.settle(deviation, tolerance, fixed, single)


def split_repeats(terms: Sequence[Term], count: int) -> tuple[list[tuple[str, float]], float]:
    """The lines of a budget that repeats do not shrink, name and u, and the scatter of a single reading."""
    fixed = [(term.name, term.u) for term in terms if term.name not in doubt.REPEATED]
    single = fsum(term.u**2 * count for term in terms if term.name in doubt.REPEATED) ** 0.5
    return fixed, single


def _settle_words(deviation: float, tolerance: float, terms: Sequence[Term], count: int) -> str:
    found = settlement(deviation, tolerance, terms, count)
    finer = _FINER.get(found.limits, "finer instruments")
    if not found.provable:
        return f"With these instruments ±{tolerance:g}° can never be proven, however often you read. What helps is {finer}."
    if found.u_needed is None:
        return "The reading lies at the limit itself: no instrument settles that. Correct it, or read it again."
    if found.repeats is not None and found.repeats > count:
        return f"{found.repeats} readings in all would settle it, if they agree with these."
    if found.repeats is not None:
        # The repeats are many enough for a normal distribution; what is missing is knowledge of their scatter.
        return "One or two more readings would settle it, if they agree with these."
    return (
        f"More readings alone do not settle it. The doubt must fall to ±{1.96 * found.u_needed:.2f}° (95\u00a0%). "
        f"What helps most is {finer}."
    )
