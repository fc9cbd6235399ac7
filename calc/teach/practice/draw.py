"""Drawing an engine from its number. Draws whose faults the instruments could not tell apart are thrown away."""

from __future__ import annotations

from functools import lru_cache
from itertools import count
from math import sqrt

from calc.teach.practice.chance import Chance
from calc.teach.practice.engine import (
    ANGLE_SCATTER_DEG,
    ASTERN_PLAY,
    CAM,
    DIAL_TURN,
    DIAL_TURN_MM,
    DRIVE,
    EVENTS,
    GAUGE_STEP_MM,
    GAUGE_ZERO,
    LIFT_SCATTER_MM,
    LINKAGE,
    MISTAKES,
    POINTER,
    RODS,
    SCALE_STEP_DEG,
    SPILL,
    SUCTION,
    TIMING,
    WRONG_MARK,
    Engine,
    Fault,
    Law,
    Settings,
)

# A fault has to stand out of the doubt of one reading this many times, and to be beyond the tolerance by that many.
CLEAR_IN_LIFT, CLEAR_BEYOND = 6.0, 3.0


@lru_cache(maxsize=8)
def draw(number: int, level: int) -> Engine:
    """The engine with this number at a level: always the same.

    >>> draw(1234, 1).units
    5
    """
    for attempt in count():
        engine = _attempt(Chance("practice engine", level, number, attempt), number, level)
        if all(is_clear(engine, fault) for fault in engine.faults):
            return engine
    raise AssertionError("a count has no end")


def _attempt(chance: Chance, number: int, level: int) -> Engine:
    units = chance.whole(4, 6)
    law = Law(
        peak_mm=round(chance.between(44.0, 64.0), 1),
        foot_deg=float(chance.whole(-56, -46)),
        rise_deg=float(2 * chance.whole(43, 50)),
        dwell_deg=8.0,
    )
    start = round(law.angle(chance.between(0.20, 0.25) * law.peak_mm), 1)
    end = round(law.angle(chance.between(0.52, 0.60) * law.peak_mm), 1)
    phase = {unit: round(chance.between(-0.3, 0.3), 1) for unit in range(1, units + 1)}
    settings = {unit: _record(chance, law, phase[unit], start, end) for unit in phase}
    ratio = {event: round(chance.between(0.7, 1.1), 2) for event in EVENTS}
    index = chance.pick((6.0, 7.0, 50.0, 60.0))
    seat = round(chance.between(0.02, 0.05), 2)
    strokes = [each.lift_mm[SPILL] - each.lift_mm[SUCTION] for each in settings.values()]
    # Every unit can be cut out: the smallest opening at index 0 belongs to the longest stroke.
    beyond = chance.between(1.4, 2.0)
    rods = {unit: {event: chance.spread(0.006) * ratio[event] for event in EVENTS} for unit in phase}
    cams = {unit: chance.spread(0.02) for unit in phase}
    pointer_u = chance.pick((0.04, 0.05, 0.06))
    engine = Engine(
        number=number,
        level=level,
        units=units,
        firing_order=(1, *chance.shuffled(range(2, units + 1))),
        law=law,
        settings=settings,
        ratio=ratio,
        pitch_mm=chance.pick((1.5, 1.75, 2.0)),
        left_right=chance.pick((False, False, True)),
        index=index,
        seat_mm=seat,
        tolerance_deg=chance.pick((0.35, 0.4, 0.45)),
        opening_min_mm=round(ratio[SPILL] * beyond + seat - 0.25, 1),
        plunger_error_mm=chance.pick((0.010, 0.012, 0.015)),
        valve_error_mm=chance.pick((0.003, 0.004)),
        pointer_u_deg=pointer_u,
        play_deg=round(chance.between(0.7, 1.4), 2),
        per_index_mm=(max(strokes) + beyond) / index,
        # Never so far off that a healthy pointer would look like one that is not.
        pointer_deg=chance.between(-1.2, 1.2) * pointer_u,
        phase_deg=phase,
        rod_mm=rods,
        cam_deg=cams,
    )
    faults = tuple(_faults(chance, engine))
    for fault in faults:
        if fault.part in RODS and fault.unit is not None:
            rods[fault.unit][RODS[fault.part]] = fault.size
        elif fault.part == CAM and fault.unit is not None:
            cams[fault.unit] = fault.size
    return Engine(**{name: getattr(engine, name) for name in Engine.__slots__ if name != "faults"}, faults=faults)


def _record(chance: Chance, law: Law, phase: float, start: float, end: float) -> Settings:
    """Settings as a shop trial would find them on this cam: the lifts follow from the angles."""
    angle = {
        SUCTION: round(start + phase + 0.1 * chance.whole(-2, 2), 1),
        SPILL: round(end + phase + 0.1 * chance.whole(-2, 2), 1),
    }
    return Settings({event: round(law.lift(angle[event] - phase), 2) for event in EVENTS}, angle)


def _faults(chance: Chance, engine: Engine) -> list[Fault]:
    one, other = chance.shuffled(range(1, engine.units + 1))[:2]
    match engine.level:
        case 1:
            return [_rod(chance, engine, one)]
        case 2:
            return [_rod(chance, engine, one), _rod(chance, engine, other)]
        case 3:
            return [Fault(CAM, one, chance.either(0.3, 1.4))]
        case 4:
            return [Fault(chance.pick((POINTER, DRIVE)), None, chance.either(0.3, 1.4))]
        case 5:
            part = chance.pick((LINKAGE, TIMING))
            lift = chance.either(0.4, 2.2)
            return [Fault(part, None, lift / engine.per_index_mm if part == LINKAGE else lift)]
    return [_mistake(chance, engine, one), _rod(chance, engine, other)]


def _rod(chance: Chance, engine: Engine, unit: int) -> Fault:
    part = chance.pick(tuple(RODS))
    return Fault(part, unit, chance.either(0.3, 2.0) * engine.ratio[RODS[part]])


def _mistake(chance: Chance, engine: Engine, unit: int) -> Fault:
    """What the other watch did wrong at a unit. Size: lift [mm] where the gauge was zeroed, turns, or the other mark."""
    part = chance.pick(MISTAKES)
    if part == GAUGE_ZERO:
        return Fault(part, unit, chance.between(0.8, 2.6))
    if part == DIAL_TURN:
        return Fault(part, unit, chance.pick((-1.0, 1.0, 2.0)))
    if part == WRONG_MARK:
        return Fault(part, unit, float(chance.pick([each for each in range(1, engine.units + 1) if each != unit])))
    return Fault(part, unit, engine.play_deg)


def doubt_of_lift(engine: Engine, event: str) -> float:
    """Standard uncertainty of one lift at contact [mm]: steps, limits of error and scatter (JCGM 100, 4.3.7 and 5.1.2)."""
    gauge, valve = engine.plunger_error_mm, engine.valve_error_mm
    steps = GAUGE_STEP_MM * GAUGE_STEP_MM / 6.0
    at_valve = (steps + valve * valve / 3.0) / (engine.ratio[event] * engine.ratio[event])
    return sqrt(steps + gauge * gauge / 3.0 + at_valve + LIFT_SCATTER_MM * LIFT_SCATTER_MM)


def doubt_of_angle(engine: Engine) -> float:
    """Standard uncertainty of one angle of an event [deg]: scale, pointer, scatter, and lift along the cam."""
    by_lift = max(doubt_of_lift(engine, event) / engine.slope(1, event) for event in EVENTS)
    scale = SCALE_STEP_DEG * SCALE_STEP_DEG / 12.0 + ANGLE_SCATTER_DEG * ANGLE_SCATTER_DEG
    return sqrt(scale + engine.pointer_u_deg * engine.pointer_u_deg + by_lift * by_lift)


def is_clear(engine: Engine, fault: Fault) -> bool:
    """Whether these instruments can tell the fault, and tell it from the others."""
    least = engine.tolerance_deg + CLEAR_BEYOND * doubt_of_angle(engine)
    if fault.part in MISTAKES:
        if fault.part == GAUGE_ZERO:
            # A whole turn would look like a turn that was missed.
            off = fault.size % DIAL_TURN_MM
            return min(off, DIAL_TURN_MM - off) > 0.2
        return fault.part != ASTERN_PLAY or engine.play_deg >= least
    if fault.part in RODS:
        event = RODS[fault.part]
        lift = abs(fault.size) / engine.ratio[event]
        assert fault.unit is not None
        return lift >= CLEAR_IN_LIFT * doubt_of_lift(engine, event) and lift / engine.slope(fault.unit, event) >= least
    if fault.part in (LINKAGE, TIMING):
        # Every unit has to show it, so the steepest cam counts.
        lift = abs(fault.size) * (engine.per_index_mm if fault.part == LINKAGE else 1.0)
        events = (SPILL,) if fault.part == LINKAGE else EVENTS
        return all(lift / engine.slope(unit, event) >= least for unit in engine.settings for event in events)
    return abs(fault.size) >= least
