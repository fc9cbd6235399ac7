"""The engine in the cadet's hands: physics of the flywheel, the cams, the levers and the gauges, and a notebook.

A state is a list of actions from the start; the same list gives the same state. Each action is a short list: its name, then
what it needs. What cannot be done is `Refused` in words.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from math import floor
from typing import Any

from calc.job.words import angle_words, flats_words, plain, short
from calc.teach.practice.chance import Chance
from calc.teach.practice.draw import draw
from calc.teach.practice.engine import (
    ANGLE_SCATTER_DEG,
    DRIVE,
    EVENTS,
    GAUGE_STEP_MM,
    LIFT_SCATTER_MM,
    LINKAGE,
    OF_ALL,
    POINTER,
    RODS,
    SCALE_STEP_DEG,
    SPILL,
    SUCTION,
    TIMING,
    Engine,
)

Action = Sequence[Any]
PLUNGER = "plunger"
GAUGES = {PLUNGER: "plunger gauge", SUCTION: "suction valve's gauge", SPILL: "spill valve's gauge"}
NOUN = {SUCTION: "start", SPILL: "end"}
BASE_RETURN, PEAK, ZERO_INDEX = "base_return", "peak", "zero_index"
READINGS = (*EVENTS, BASE_RETURN, PEAK, ZERO_INDEX)
CONTACT, AT_LIFT = "at_contact", "at_reference_lift"
AHEAD, ASTERN = "ahead", "astern"
AS_FOUND, AS_LEFT = "as_found", "as_left"
# The longest way that the turning gear creeps while somebody watches a gauge.
CREEP_DEG = 5.0
# Piston drops of a TDC check, as crank angles on either side.
TDC_CHECK_DEG = (20.0, 30.0, 40.0)
_HANDLED = {
    LINKAGE: "the index linkage",
    TIMING: "the timing setting",
    POINTER: "the flywheel pointer",
    DRIVE: "the camshaft drive",
}
_COMMON_UNIT = {LINKAGE: " steps of the index", TIMING: " mm", POINTER: "°", DRIVE: "°"}


class Refused(Exception):  # noqa: N818 - nothing went wrong: somebody is told no
    """An action that cannot be done, and what to do instead."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the notebook, as a person writes it.

    Lifts in mm, the angle in degrees after the TDC of `mark`. `epoch` counts the corrections that the unit had seen. `zeroed`
    is hidden: whether the plunger gauge was zeroed on the base circle.
    """

    number: int
    unit: int
    event: str
    stage: str
    reached: str = AHEAD
    method: str | None = None
    plunger_mm: float | None = None
    valve_mm: float | None = None
    angle_deg: float | None = None
    mark: int = 0
    epoch: int = 0
    other_watch: bool = False
    struck: bool = False
    zeroed: bool = True


@dataclass(frozen=True, slots=True)
class TdcCheck:
    """Angles of equal piston drop on either side of a unit's TDC mark [deg]."""

    unit: int
    before_deg: tuple[float, ...]
    after_deg: tuple[float, ...]
    epoch: int


@dataclass(slots=True)
class Tally:
    """What the work has cost."""

    turned_deg: float = 0.0
    reversals: int = 0
    stops: int = 0
    hurried: int = 0
    asked: int = 0


@dataclass(slots=True)
class Zero:
    """A gauge on its unit: what it would show more than 0 there, where it was zeroed, and its own curve of errors."""

    offset_mm: float
    at_mm: float
    curve: tuple[object, ...]
    is_set: bool = False


@dataclass(slots=True)
class Moved:
    """What the cadet has moved, added up: rods by unit and event [mm], cams [deg], and what all units share."""

    rod_mm: dict[int, dict[str, float]]
    cam_deg: dict[int, float]
    common: dict[str, float] = field(default_factory=lambda: dict.fromkeys(OF_ALL, 0.0))
    touched: set[int | str] = field(default_factory=set)


def to_step(value: float, step: float, digits: int) -> float:
    """A value as it is read from a scale; in its own unit."""
    return round(round(value / step) * step, digits) + 0.0


def wrapped(angle_deg: float) -> float:
    """An angle from above -180 to 180 deg."""
    turned = angle_deg % 360.0
    return turned - 360.0 if turned > 180.0 else turned


class Rig:
    """One engine and everything that was done to it."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        start = Chance("start", engine.number, engine.level)
        # Angles in crank degrees of unit 1, counted on without end. The play lies between crank and camshaft.
        self.crank_deg = start.between(0.0, 360.0)
        self.shaft_deg = self.crank_deg + start.between(0.0, 1.0) * engine.play_deg
        self.direction = 0
        self.moves = 0
        self.mounted: int | None = None
        self.mounts = 0
        self.zeros: dict[str, Zero] = {}
        self.index = engine.index
        self.mark = 1
        self.clear = False
        self.notebook: list[Entry] = []
        self.tdc_checks: list[TdcCheck] = []
        self.tally = Tally()
        units = list(engine.settings)
        self.moved = Moved({unit: dict.fromkeys(EVENTS, 0.0) for unit in units}, dict.fromkeys(units, 0.0))
        self.epoch = dict.fromkeys(units, 0)
        # Whether the last creep has come to what it was for.
        self.came = False
        self._stood = True

    # ------------------------------------------------------------ what is there, hidden

    def common(self, part: str) -> float:
        """What all units share, as it stands now: hidden error and what was moved."""
        return self.engine.of(part) + self.moved.common[part]

    @property
    def pointer_deg(self) -> float:
        """How much too much the flywheel pointer shows [deg]."""
        return self.engine.pointer_deg + self.common(POINTER)

    def late_deg(self, unit: int) -> float:
        """How much a unit's cam is late [deg], against its record."""
        return self.engine.cam_deg[unit] + self.moved.cam_deg[unit] + self.common(DRIVE)

    def plunger_mm(self, unit: int, shaft_deg: float) -> float:
        """A plunger's lift, from the camshaft."""
        engine = self.engine
        return engine.law.lift(shaft_deg - engine.tdc_deg(unit) - engine.phase_deg[unit] - self.late_deg(unit))

    def event_mm(self, unit: int, event: str, index: float | None = None) -> float:
        """Plunger lift at which a valve's gauge shows the seat-contact reading; at the index that the lever shows."""
        engine = self.engine
        lift = engine.settings[unit].lift_mm
        longer = (engine.rod_mm[unit][event] + self.moved.rod_mm[unit][event]) / engine.ratio[event]
        if event == SUCTION:
            return lift[SUCTION] + self.common(TIMING) + longer
        stands = (self.index if index is None else index) + self.common(LINKAGE)
        return lift[SPILL] + (stands - engine.index) * engine.per_index_mm + self.common(TIMING) - longer

    def event_deg(self, unit: int, event: str) -> float:
        """True crank angle of an event, turning ahead, at the reference index."""
        engine = self.engine
        angle = engine.law.angle(self.event_mm(unit, event, engine.index))
        return angle + engine.phase_deg[unit] + self.late_deg(unit)

    def opening_mm(self, unit: int) -> float:
        """What the spill valve truly opens at index 0 when the suction valve just closes."""
        engine = self.engine
        travel = self.event_mm(unit, SUCTION) - self.event_mm(unit, SPILL, 0.0)
        return engine.seat_mm + engine.ratio[SPILL] * travel

    def _stands_mm(self, gauge: str, unit: int, shaft_deg: float) -> float:
        lift = self.plunger_mm(unit, shaft_deg)
        if gauge == PLUNGER:
            return lift
        opening = lift - self.event_mm(unit, gauge) if gauge == SPILL else self.event_mm(unit, gauge) - lift
        return max(0.0, self.engine.seat_mm + self.engine.ratio[gauge] * opening)

    def _with_error(self, gauge: str, stands_mm: float) -> float:
        """With a gauge's own error: a crooked line of hidden points that differ by no more than its limit."""
        limit = self.engine.plunger_error_mm if gauge == PLUNGER else self.engine.valve_error_mm
        curve = self.zeros[gauge].curve
        at = stands_mm / 7.0
        first = floor(at)
        low, high = (Chance(*curve, point).between(-0.5 * limit, 0.5 * limit) for point in (first, first + 1))
        return stands_mm + low + (high - low) * (at - first)

    def _raw(self, gauge: str, shaft_deg: float) -> float:
        assert self.mounted is not None
        return self._with_error(gauge, self._stands_mm(gauge, self.mounted, shaft_deg)) - self.zeros[gauge].offset_mm

    def _chance(self, *key: object) -> Chance:
        return Chance(self.engine.number, self.engine.level, *key)

    # ------------------------------------------------------------ what can be seen

    def shows(self, gauge: str) -> float | None:
        """What a gauge shows now [mm]; None where there is none."""
        if self.mounted is None:
            return None
        scatter = 0.0 if gauge != PLUNGER else self._chance("lift", self.moves).spread(LIFT_SCATTER_MM)
        return to_step(self._raw(gauge, self.shaft_deg) + scatter, GAUGE_STEP_MM, 2)

    @property
    def scale_deg(self) -> float:
        """What the flywheel scale shows [deg], from TDC of unit 1, from 0 to below 360."""
        scatter = self._chance("scale", self.moves).spread(ANGLE_SCATTER_DEG)
        return to_step(self.crank_deg + self.pointer_deg + scatter, SCALE_STEP_DEG, 1) % 360.0

    def angle_deg(self, unit: int) -> float:
        """What the scale shows, counted from a unit's TDC mark [deg]."""
        return to_step(wrapped(self.scale_deg - self.engine.tdc_deg(unit)), SCALE_STEP_DEG, 1)

    def is_base(self, unit: int) -> bool:
        """Whether a unit is on the base circle by its record and the scale."""
        law, angle = self.engine.law, self.angle_deg(unit)
        return not law.foot_deg - 2.0 < angle < law.back_deg + 2.0

    def is_peak(self, unit: int) -> bool:
        """Whether a unit is at its cam's peak by its record and the scale."""
        return abs(wrapped(self.angle_deg(unit) - self.engine.law.peak_deg)) <= 3.0

    # ------------------------------------------------------------ what can be done

    def do(self, action: Action) -> str:
        """Do one thing; gives what there is to say of it. Raises: Refused."""
        try:
            name, *given = action
            act: Callable[..., str] = _ACTS[name]
            said = act(self, *given)
        except (KeyError, TypeError, ValueError, IndexError, AssertionError) as trouble:
            raise Refused(f"This engine knows no such action: {action!r}.") from trouble
        if name not in ("turn", "to", "creep", "tdc"):
            if name not in ("clear", "mark", "ask", "strike") and not self._stood:
                self.tally.stops += 1
                self._stood = True
            if name in ("mount", "zero", "rod", "cam", "common", "index"):
                # Hands were at the engine: everyone is counted again before it moves.
                self.clear = False
        return said

    def _shift(self, degrees: float) -> None:
        way = 1 if degrees > 0.0 else -1
        if self.direction == -way:
            self.tally.reversals += 1
        self.direction = way
        self.tally.turned_deg += abs(degrees)
        self.crank_deg += degrees
        self.shaft_deg = self._shaft_at(self.crank_deg)
        self.moves += 1
        self._stood = False

    def _shaft_at(self, crank_deg: float) -> float:
        """Where the camshaft will be: pushed along ahead, and left behind by the play astern."""
        return min(max(self.shaft_deg, crank_deg), crank_deg + self.engine.play_deg)

    def _may_turn(self) -> bool:
        if not self.clear:
            self.tally.hurried += 1
        return self.clear

    def _all_clear(self) -> str:
        self.clear = True
        return "All clear: everyone is counted, hands are off, and it was said aloud."

    def _turn(self, degrees: float) -> str:
        size = abs(float(degrees))
        if not 0.0 < size <= 720.0:
            raise Refused(f"{plain(degrees, 1)}° is not possible. Turn between 0.1° and 720°.")
        if not self._may_turn():
            return _STOP
        self._shift(float(degrees))
        return f"{plain(size, 1)}° {AHEAD if degrees > 0 else ASTERN}. {self._where()}"

    def _to(self, unit: int, angle_deg: float) -> str:
        if not abs(float(angle_deg)) <= 360.0:
            raise Refused(f"{plain(float(angle_deg), 1)}° is not possible. Turn to an angle between 360° before and after TDC.")
        if not self._may_turn():
            return _STOP
        way = (self.engine.tdc_deg(unit) + float(angle_deg) - self.crank_deg - self.pointer_deg) % 360.0
        if way > 359.95 or way < 0.05:
            return f"The flywheel stands there already. {self._where()}"
        self._shift(way)
        return f"Ahead to {angle_words(float(angle_deg))} of unit {unit}. {self._where()}"

    def _where(self) -> str:
        return f"The scale shows {angle_words(self.angle_deg(self.mark))} of unit {self.mark}."

    def _mount(self, unit: int) -> str:
        assert unit in self.engine.settings
        self.mounted = unit
        self.mounts += 1
        self.zeros = {}
        for gauge in GAUGES:
            key = (self.engine.number, self.engine.level, "gauge", gauge, self.mounts)
            self.zeros[gauge] = Zero(0.0, 0.0, key)
            # A gauge that is just put on shows anything.
            self.zeros[gauge].offset_mm = self._raw(gauge, self.shaft_deg) - Chance(*key).between(0.13, 0.87)
        return f"The gauges are on unit {unit}. They show anything until you zero them."

    def _zero(self, gauge: str) -> str:
        zero = self._gauge(gauge)
        zero.offset_mm = 0.0
        # Where the needle stands when it is called 0: anywhere between two marks.
        between = self._chance("zero", gauge, self.mounts, self.moves).between(-0.45, 0.45) * GAUGE_STEP_MM
        zero.offset_mm = self._raw(gauge, self.shaft_deg) - between
        assert self.mounted is not None
        zero.at_mm = self._stands_mm(gauge, self.mounted, self.shaft_deg)
        zero.is_set = True
        return f"The {GAUGES[gauge]} is set to 0 here. {self._where()}"

    def _gauge(self, gauge: str) -> Zero:
        if self.mounted is None:
            raise Refused("No unit has gauges. Put them on a unit first.")
        return self.zeros[gauge]

    def _creep(self, gauge: str, way: int = 1) -> str:
        """Turn slowly until a valve's gauge shows the seat-contact reading, or the plunger's a reference lift."""
        self._gauge(gauge)
        assert way in (1, -1)
        if not self._may_turn():
            return _STOP
        jitter = self._chance("creep", self.moves).between(-0.45, 0.45) * GAUGE_STEP_MM
        wanted = self._wanted(gauge)
        stands = self._raw(gauge, self.shaft_deg)
        above = stands > wanted + jitter
        at, step = 0.0, 0.05
        while at < CREEP_DEG:
            if (self._raw(gauge, self._shaft_at(self.crank_deg + way * (at + step))) > wanted + jitter) != above:
                break
            at += step
        else:
            self.came = False
            self._shift(way * CREEP_DEG)
            return (
                f"After {CREEP_DEG:.0f}° the {GAUGES[gauge]} has not come to {plain(wanted, 2)} mm: it shows "
                f"{plain(self.shows(gauge) or 0.0, 2)}. {self._where()}"
            )
        low, high = at, at + step
        for _ in range(40):
            middle = 0.5 * (low + high)
            if (self._raw(gauge, self._shaft_at(self.crank_deg + way * middle)) > wanted + jitter) == above:
                low = middle
            else:
                high = middle
        self.came = True
        self._shift(way * high)
        return f"The {GAUGES[gauge]} shows {plain(self.shows(gauge) or 0.0, 2)} mm. {self._where()}"

    def _wanted(self, gauge: str) -> float:
        if gauge != PLUNGER:
            return self.engine.seat_mm
        assert self.mounted is not None
        lifts = self.engine.settings[self.mounted].lift_mm
        shows = self._raw(PLUNGER, self.shaft_deg)
        return min(lifts.values(), key=lambda lift: abs(lift - shows))

    def _set_index(self, index: float) -> str:
        assert index in (0, self.engine.index)
        self.index = float(index)
        return f"The fuel index is at {short(self.index)}."

    def _use_mark(self, unit: int) -> str:
        assert unit in self.engine.settings
        self.mark = unit
        return f"Angles are counted from the TDC mark of unit {unit}. {self._where()}"

    # ------------------------------------------------------------ reading

    def _read(self, event: str) -> str:
        assert event in READINGS
        unit = self.mounted
        if unit is None:
            raise Refused("No unit has gauges. Put them on a unit first.")
        if event != ZERO_INDEX and self.index != self.engine.index:
            raise Refused(f"The fuel index is at 0. This reading counts at {short(self.engine.index)}: move the lever back.")
        shown = {gauge: self.shows(gauge) or 0.0 for gauge in GAUGES}
        entry = Entry(
            number=len(self.notebook) + 1,
            unit=unit,
            event=event,
            stage=AS_LEFT if self.epoch[unit] else AS_FOUND,
            reached=ASTERN if self.direction < 0 else AHEAD,
            mark=self.mark,
            epoch=self.epoch[unit],
            zeroed=self.zeros[PLUNGER].is_set and self.zeros[PLUNGER].at_mm < 0.02,
        )
        entry = replace(entry, **self._noted(event, unit, shown))
        last = next((each for each in reversed(self.notebook) if not each.struck and not each.other_watch), None)
        if last is not None and replace(last, number=entry.number) == entry and self._stood:
            raise Refused("That is the same reading at the same stop. For a repeat, turn back well before it and come again.")
        self.notebook.append(entry)
        return f"Noted: {entry_words(entry)}"

    def _noted(self, event: str, unit: int, shown: dict[str, float]) -> dict[str, Any]:
        """What is written down of an event. Raises: Refused, where the flywheel does not stand at it."""
        seat = self.engine.seat_mm
        if event in EVENTS:
            lift = self.engine.settings[unit].lift_mm[event]
            if abs(shown[event] - seat) < 1.5 * GAUGE_STEP_MM:
                return {"method": CONTACT, "plunger_mm": max(0.0, shown[PLUNGER]), "angle_deg": self.angle_deg(self.mark)}
            if abs(shown[PLUNGER] - lift) < 1.5 * GAUGE_STEP_MM:
                return {"method": AT_LIFT, "valve_mm": shown[event], "angle_deg": self.angle_deg(self.mark)}
            raise Refused(
                f"Not at the {NOUN[event]} of delivery: the {GAUGES[event]} shows {plain(shown[event], 2)} mm, contact is "
                f"{plain(seat, 2)} mm. The plunger gauge shows {plain(shown[PLUNGER], 2)} mm, the reference is "
                f"{plain(lift, 2)} mm. Creep to one of them."
            )
        if event == ZERO_INDEX:
            if self.index != 0.0:
                raise Refused(f"The fuel index is at {short(self.index)}. Move the lever to 0 for this reading.")
            if abs(shown[SUCTION] - seat) >= 1.5 * GAUGE_STEP_MM:
                raise Refused(
                    f"The suction valve is not just closing: its gauge shows {plain(shown[SUCTION], 2)} mm, contact is "
                    f"{plain(seat, 2)} mm. Creep ahead to it."
                )
            return {"valve_mm": shown[SPILL]}
        stands, place = (self.is_base, "on the base circle") if event == BASE_RETURN else (self.is_peak, "at the cam's peak")
        if not stands(unit):
            raise Refused(f"By the scale, unit {unit} is not {place}: it stands at {angle_words(self.angle_deg(unit))}.")
        return {"plunger_mm": shown[PLUNGER]}

    def _strike(self, number: int) -> str:
        assert number >= 1
        entry = self.notebook[number - 1]
        self.notebook[number - 1] = replace(entry, struck=not entry.struck)
        return f"Line {number} {'counts again' if entry.struck else 'is struck out'}."

    def _check_tdc(self, unit: int) -> str:
        """Equal piston drops before and after TDC, all reached ahead."""
        if not self._may_turn():
            return _STOP
        chance = self._chance("tdc", unit, self.moves)
        first = -TDC_CHECK_DEG[-1] - 5.0
        self._to(unit, first)
        pairs = []
        for angle in TDC_CHECK_DEG:
            true = angle + chance.between(-2.0, 2.0)
            read = [side * true + self.pointer_deg + chance.spread(ANGLE_SCATTER_DEG) for side in (-1.0, 1.0)]
            pairs.append([to_step(each, SCALE_STEP_DEG, 1) for each in read])
        self._shift(TDC_CHECK_DEG[-1] - first)
        self.tally.stops += 2 * len(pairs)
        self._stood = True
        before, after = zip(*pairs, strict=True)
        self.tdc_checks.append(TdcCheck(unit, before, after, len(self.moved.touched)))
        return f"TDC check of unit {unit}: {tdc_words(self.tdc_checks[-1])}"

    # ------------------------------------------------------------ correcting

    def _touch(self, *units: int) -> None:
        for unit in units:
            self.epoch[unit] += 1

    def _turn_rod(self, unit: int, part: str, flats: float) -> str:
        event, size = RODS[part], float(flats)
        if not 0.0 < abs(size) <= 36.0:
            raise Refused("Turn a rod between a quarter of a flat and 36 flats.")
        self.moved.rod_mm[unit][event] += size * self.engine.flat_mm
        self.moved.touched.add(unit)
        self._touch(unit)
        rod = "suction" if event == SUCTION else "spill"
        return (
            f"Unit {unit}: the {rod} push rod is {flats_words(size)} {'longer' if size > 0 else 'shorter'}, lock nut tight. "
            "Read again as left."
        )

    def _move_cam(self, unit: int, degrees: float) -> str:
        size = _degrees(degrees)
        self.moved.cam_deg[unit] += size
        self.moved.touched.add(unit)
        self._touch(unit)
        return (
            f"Unit {unit}: the cam is moved {plain(abs(size), 2)}° {'later' if size > 0 else 'earlier'}, by the maker's "
            "procedure. On a real engine check exhaust and starting-air timing as well, and tell class. Read again as left."
        )

    def _move_common(self, part: str, amount: float) -> str:
        size = float(amount)
        if not 0.0 < abs(size) <= 30.0:
            raise Refused("Move it by more than 0 and at most 30.")
        self.moved.common[part] += size
        self.moved.touched.add(part)
        self._touch(*self.epoch)
        return (
            f"Moved by {'+' if size > 0 else ''}{plain(size, 2)}{_COMMON_UNIT[part]}: {_HANDLED[part]}. It moves all units. "
            "Read again as left."
        )

    def _ask(self) -> str:
        self.tally.asked += 1
        return "The findings of your readings are shown. The result will say that you asked."


_STOP = (
    "Stop. The flywheel was not turned: nobody has said all clear since hands were at the engine. Count everyone, then press "
    "All clear."
)


def _degrees(degrees: float) -> float:
    size = float(degrees)
    if not 0.0 < abs(size) <= 10.0:
        raise Refused("Move a cam by more than 0° and at most 10°.")
    return size


_ACTS: dict[str, Callable[..., str]] = {
    "clear": Rig._all_clear,
    "turn": Rig._turn,
    "to": Rig._to,
    "creep": Rig._creep,
    "mount": Rig._mount,
    "zero": Rig._zero,
    "mark": Rig._use_mark,
    "index": Rig._set_index,
    "read": Rig._read,
    "strike": Rig._strike,
    "tdc": Rig._check_tdc,
    "rod": Rig._turn_rod,
    "cam": Rig._move_cam,
    "common": Rig._move_common,
    "ask": Rig._ask,
}


def entry_words(entry: Entry) -> str:
    """A line of the notebook in words."""
    where = f"unit {entry.unit}, {'as left' if entry.stage == AS_LEFT else 'as found'}, "
    if entry.event in EVENTS:
        assert entry.angle_deg is not None
        read = (
            f"{NOUN[entry.event]} of delivery at contact: plunger lift {plain(entry.plunger_mm or 0.0, 2)} mm"
            if entry.method == CONTACT
            else f"{NOUN[entry.event]} of delivery at reference lift: valve reading {plain(entry.valve_mm or 0.0, 2)} mm"
        )
        return f"{where}{read}, {angle_words(entry.angle_deg)} of unit {entry.mark}, reached {entry.reached}."
    if entry.event == ZERO_INDEX:
        return f"{where}zero-index opening {plain(entry.valve_mm or 0.0, 2)} mm."
    name = "return to zero" if entry.event == BASE_RETURN else "peak lift"
    return f"{where}{name} {plain(entry.plunger_mm or 0.0, 2)} mm."


def tdc_words(check: TdcCheck) -> str:
    """Equal drops in words."""
    pairs = zip(check.before_deg, check.after_deg, strict=True)
    return (
        "equal piston drops at "
        + "; ".join(f"{plain(-low, 1)}° before and {plain(high, 1)}° after" for low, high in pairs)
        + "."
    )


def play(number: int, level: int, actions: Sequence[Action]) -> Rig:
    """The engine after these actions. Raises: Refused."""
    from calc.teach.practice.earlier import earlier_sheet

    engine = draw(number, level)
    rig = Rig(engine)
    rig.notebook += earlier_sheet(engine)
    for action in actions:
        rig.do(action)
    return rig
