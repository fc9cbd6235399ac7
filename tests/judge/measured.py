"""Whole engines to measure, healthy or faulty, and hands that make one mistake: job files for the suspicions.

Built on the simulated pump, independent of `calc`: cams are formulas, gauges are wrong within their limits and read to their
step. A mistake is made where a hand would make it: at the gauge, at the flywheel, or with the pencil.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from calc.pump.mistakes import even_tdc
from tests.pump.forward import EVENTS, SPILL, SUCTION, Cycloid, Pump

Tree = dict[str, Any]
CONTACT, AT_LIFT = "at_contact", "at_reference_lift"
VALVE_ERROR, PLUNGER_ERROR = 0.004, 0.015
POINTER_U = 0.05


@dataclass
class Hand:
    """What the person at the gauges gets wrong at one unit in one stage; nothing, unless told otherwise."""

    offset: dict[str, float] = field(default_factory=lambda: dict.fromkeys(EVENTS, 0.0))
    tilt: float = 0.0
    stop_mm: float | None = None
    play: dict[str, float] = field(default_factory=lambda: dict.fromkeys(EVENTS, 0.0))
    seat_mm: float | None = None
    base_mm: float = 0.0
    peak_mm: float = 0.0


@dataclass
class Engine:
    """One invented engine, its pumps as they are, and the way it is read."""

    chance: random.Random
    units: int
    cam: Cycloid
    method: str
    repeats: int
    extras: bool
    table: bool
    tolerance: float
    seat: float
    index: float
    ratio: dict[str, float]
    pitch: float
    firing_order: list[int]
    references: dict[int, dict[str, tuple[float, float]]]
    pumps: dict[int, Pump]
    step_mm: float = 0.01
    step_deg: float = 0.1
    shift: float = 0.0
    hands: dict[tuple[int, str], Hand] = field(default_factory=dict)
    left_right: bool = False
    stated_left_right: bool = False
    stated_ratio: dict[str, float] | None = None

    def hand(self, unit: int, stage: str = "as_found") -> Hand:
        """The hand at one unit, to be made clumsy."""
        return self.hands.setdefault((unit, stage), Hand())

    @property
    def peak_mm(self) -> float:
        """The cam's whole lift."""
        return self.cam.peak_mm

    def slope(self, unit: int, event: str) -> float:
        """True slope of the cam at a unit's event [mm/deg]."""
        return float(self.cam.slope_at(float(self.cam.angle_at(self.references[unit][event][0]))))

    def job(self, readings: list[Tree]) -> Tree:
        """The job file."""
        stated = self.stated_ratio or self.ratio
        return {
            "format": "spillmark-job",
            "version": 1,
            "title": "Invented engine, simulated",
            "engine": {
                "units": self.units,
                "firing_order": self.firing_order,
                "valve_ratio_suction": stated[SUCTION],
                "valve_ratio_spill": stated[SPILL],
                "rod_pitch_mm": self.pitch,
                "rod_thread": "left_right" if self.stated_left_right else "single",
                "rod_lengthening_opens": True,
                **({"cam_lift_table": [list(row) for row in self.cam.table(2.0)]} if self.table else {}),
            },
            "reference": {
                "fuel_index": self.index,
                "angle_tolerance_deg": self.tolerance,
                "seat_contact_mm": self.seat,
                "units": [
                    {
                        "unit": unit,
                        "pre_stroke_mm": settings[SUCTION][0],
                        "beginning_deg": settings[SUCTION][1],
                        "spill_lift_mm": settings[SPILL][0],
                        "end_deg": settings[SPILL][1],
                        "peak_lift_mm": self.peak_mm,
                    }
                    for unit, settings in self.references.items()
                ],
            },
            "instruments": {
                "plunger_gauge": {
                    "step_mm": self.step_mm,
                    "error_limit_mm": PLUNGER_ERROR,
                    "repeatability_mm": 0.006,
                    "mm_per_turn": 1.0,
                },
                "valve_gauge": {"step_mm": 0.01, "error_limit_mm": VALVE_ERROR, "repeatability_mm": 0.004},
                "angle_scale": {"step_deg": self.step_deg, "repeatability_deg": 0.05},
                "pointer_u_deg": POINTER_U,
            },
            "readings": readings,
        }

    def read(self, stage: str = "as_found", units: list[int] | None = None) -> list[Tree]:
        """All readings of a stage."""
        found = []
        for unit in units or self.pumps:
            found += self.read_unit(unit, stage)
        return found

    def read_unit(self, unit: int, stage: str) -> list[Tree]:
        """Both events of one unit, and the return to zero and the peak lift where this engine's people take them."""
        chance, hand, pump = self.chance, self.hands.get((unit, stage), Hand()), self.pumps[unit]
        zero = chance.uniform(-0.5, 0.5) * self.step_mm
        found: list[Tree] = []
        for event in EVENTS:
            gauge = zero + chance.uniform(-PLUNGER_ERROR, PLUNGER_ERROR)
            valve = chance.uniform(-VALVE_ERROR, VALVE_ERROR) + chance.uniform(-0.005, 0.005)
            lifts, angles = [], []
            for _ in range(self.repeats):
                if self.method == CONTACT:
                    off = (valve + (0.0 if hand.seat_mm is None else hand.seat_mm - self.seat)) / self.ratio[event]
                    true = pump.contact_mm(event) + (off if event == SPILL else -off)
                    shown = true * (1.0 + hand.tilt) + hand.offset[event] + gauge + chance.gauss(0.0, 0.006)
                    if hand.stop_mm is not None:
                        shown = min(shown, hand.stop_mm)
                    lifts.append(max(0.0, self._to_step(shown, self.step_mm)))
                else:
                    wanted = self.references[unit][event][0]
                    true = (wanted - hand.offset[event] - gauge) / (1.0 + hand.tilt) + chance.gauss(0.0, 0.003)
                    lifts.append(self._to_step(pump.valve_mm(event, true) + valve + chance.gauss(0.0, 0.004), 0.01))
                crank = pump.crank_deg(event, true) + self.shift - hand.play[event]
                angles.append(self._to_step(crank + chance.gauss(0.0, 0.05), self.step_deg))
            key = "plunger_lift_mm" if self.method == CONTACT else "valve_lift_mm"
            found.append(
                {"unit": unit, "stage": stage, "event": event, "method": self.method, key: lifts, "crank_angle_deg": angles}
            )
        if self.extras:
            for event, true, off in (
                ("base_return", 0.0, hand.base_mm),
                ("peak", self.peak_mm, hand.peak_mm + hand.tilt * self.peak_mm),
            ):
                shown = true + off + zero + chance.uniform(-PLUNGER_ERROR, PLUNGER_ERROR)
                if hand.stop_mm is not None:
                    shown = min(shown, hand.stop_mm)
                found.append(
                    {"unit": unit, "stage": stage, "event": event, "plunger_lift_mm": [self._to_step(shown, self.step_mm)]}
                )
        return found

    @staticmethod
    def _to_step(value: float, step: float) -> float:
        return round(round(value / step) * step, 6)


def engine(seed: int, **fixed: Any) -> Engine:
    """An engine drawn at random; healthy but for the small scatter that every engine has."""
    chance = random.Random(seed)
    units = chance.randint(4, 9)
    cam = Cycloid(
        peak_mm=round(chance.uniform(42.0, 68.0), 1),
        span_deg=chance.uniform(80.0, 105.0),
        foot_deg=chance.uniform(-62.0, -48.0),
    )
    start, end = chance.uniform(0.18, 0.25) * cam.peak_mm, chance.uniform(0.5, 0.62) * cam.peak_mm
    ratio = {event: round(chance.uniform(0.6, 1.1), 2) for event in EVENTS}
    seat = round(chance.uniform(0.02, 0.06), 2)
    order = list(range(1, units + 1))
    chance.shuffle(order)
    references, pumps = {}, {}
    for unit in range(1, units + 1):
        lifts = {
            SUCTION: round(start + chance.uniform(-0.3, 0.3), 2),
            SPILL: round(end + chance.uniform(-0.4, 0.4), 2),
        }
        angles = {event: round(float(cam.angle_at(lifts[event])), 2) for event in EVENTS}
        references[unit] = {event: (lifts[event], angles[event]) for event in EVENTS}
        pumps[unit] = Pump(
            cam=cam,
            reference_mm=lifts,
            reference_deg=angles,
            ratio=ratio,
            seat_mm=seat,
            w_mm=1.4,
            pitch_mm=1.5,
            off_mm={event: chance.gauss(0.0, 0.02) for event in EVENTS},
            cam_deg=chance.gauss(0.0, 0.03),
        )
    drawn: dict[str, Any] = {
        "method": CONTACT if chance.random() < 0.7 else AT_LIFT,
        "repeats": chance.choice((1, 2, 2, 3)),
        "extras": chance.random() < 0.5,
        "table": chance.random() < 0.6,
        "tolerance": round(chance.uniform(0.3, 0.5), 2),
        "index": round(chance.choice((7.0, 63.0, 52.0)), 1),
    }
    drawn.update(fixed)
    return Engine(
        chance=chance,
        units=units,
        cam=cam,
        seat=seat,
        ratio=ratio,
        pitch=1.5,
        firing_order=order,
        references=references,
        pumps=pumps,
        shift=chance.gauss(0.0, POINTER_U),
        **drawn,
    )


def either(chance: random.Random, low: float, high: float) -> float:
    """A size of either sign."""
    return chance.choice((-1.0, 1.0)) * chance.uniform(low, high)


# ---------------------------------------------------------------- honest faults


def rod_off(it: Engine, unit: int) -> None:
    it.pumps[unit].off_mm[it.chance.choice(EVENTS)] += either(it.chance, 0.3, 1.2)


def both_rods_off(it: Engine, unit: int) -> None:
    for event in EVENTS:
        it.pumps[unit].off_mm[event] += either(it.chance, 0.3, 1.2)


def cam_off(it: Engine, unit: int) -> None:
    it.pumps[unit].cam_deg += either(it.chance, 0.4, 1.5)


def rod_and_cam_off(it: Engine, unit: int) -> None:
    rod_off(it, unit)
    cam_off(it, unit)


def worn(it: Engine, unit: int) -> None:
    wear = either(it.chance, 0.1, 0.4)
    it.pumps[unit].off_mm[SUCTION] += wear / it.ratio[SUCTION]
    it.pumps[unit].off_mm[SPILL] -= wear / it.ratio[SPILL]


def shifted(it: Engine, _: int) -> None:
    """Pointer or camshaft drive."""
    it.shift += either(it.chance, 0.3, 1.2)


def section_shifted(it: Engine, _: int) -> None:
    """One section of the camshaft: half of the units."""
    size = either(it.chance, 0.4, 1.0)
    for unit in list(it.pumps)[: it.units // 2]:
        it.pumps[unit].cam_deg += size


def drifted(it: Engine, _: int) -> None:
    """Every rod a little off, as after years of small corrections."""
    for pump in it.pumps.values():
        for event in EVENTS:
            pump.off_mm[event] += it.chance.gauss(0.0, 0.1)


HONEST: dict[str, Callable[[Engine, int], None]] = {
    "rod": rod_off,
    "both rods": both_rods_off,
    "cam": cam_off,
    "rod and cam": rod_and_cam_off,
    "wear": worn,
    "common shift": shifted,
    "camshaft section": section_shifted,
    "drift": drifted,
}


# ---------------------------------------------------------------- mistakes, made while reading


def _both(it: Engine, unit: int, size: float) -> None:
    for event in EVENTS:
        it.hand(unit).offset[event] = size


def zero_off(it: Engine, unit: int) -> None:
    size = either(it.chance, 0.4, 1.6)
    _both(it, unit, size)
    it.hand(unit).base_mm = it.hand(unit).peak_mm = size


def bumped(it: Engine, unit: int) -> None:
    size = either(it.chance, 0.5, 2.0)
    it.hand(unit).offset[SPILL] = it.hand(unit).base_mm = it.hand(unit).peak_mm = size


def tilted(it: Engine, unit: int) -> None:
    it.hand(unit).tilt = either(it.chance, 0.02, 0.05)


def turn_missed(it: Engine, unit: int) -> None:
    _both(it, unit, it.chance.choice((-1.0, 1.0, 1.0, -2.0)))


def bottomed(it: Engine, unit: int) -> None:
    it.hand(unit).stop_mm = it.references[unit][SPILL][0] - it.chance.uniform(0.6, 3.0)


def astern(it: Engine, unit: int) -> None:
    it.hand(unit).play[it.chance.choice(EVENTS)] = it.chance.uniform(0.4, 1.2)


AT_THE_GAUGE: dict[str, tuple[str, Callable[[Engine, int], None]]] = {
    "zero": ("gauge_zero", zero_off),
    "bumped": ("gauge_zero", bumped),
    "tilt": ("gauge_tilt", tilted),
    "turn": ("dial_turn", turn_missed),
    "bottomed": ("gauge_bottomed", bottomed),
    "astern, one event": ("astern_play", astern),
}


# ---------------------------------------------------------------- mistakes, made with the pencil


def _of(readings: list[Tree], unit: int, event: str) -> Tree:
    return next(each for each in readings if each["unit"] == unit and each["event"] == event)


def other_mark(it: Engine, readings: list[Tree], unit: int) -> set[int]:
    tdc = even_tdc(it.firing_order)
    other = it.chance.choice([each for each in it.pumps if each != unit])
    for event in EVENTS:
        read = _of(readings, unit, event)
        shown = [(angle + tdc[unit] - tdc[other] + 180.0) % 360.0 - 180.0 for angle in read["crank_angle_deg"]]
        read["crank_angle_deg"] = [round(angle, 6) for angle in shown]
    return {unit}


def sign_lost(it: Engine, readings: list[Tree], unit: int) -> set[int]:
    events = it.chance.choice(((SUCTION,), (SPILL,), EVENTS))
    for event in events:
        read = _of(readings, unit, event)
        if abs(read["crank_angle_deg"][0]) < 0.5:
            return set()
        read["crank_angle_deg"] = [-angle for angle in read["crank_angle_deg"]]
    return {unit}


def sign_lost_everywhere(it: Engine, readings: list[Tree], _: int) -> set[int]:
    event = it.chance.choice(EVENTS)
    if abs(it.references[1][event][1]) < 0.5:
        return set()
    for unit in it.pumps:
        read = _of(readings, unit, event)
        read["crank_angle_deg"] = [-angle for angle in read["crank_angle_deg"]]
    return set(it.pumps)


def _slip(it: Engine, value: float, digits: int) -> float | None:
    text = f"{abs(value):.{digits}f}"
    sign = -1.0 if value < 0.0 else 1.0
    if it.chance.random() < 0.4:
        return round(value * it.chance.choice((10.0, 0.1)), 6)
    places = [i for i, letter in enumerate(text) if letter != "."]
    pairs = [(i, j) for i, j in pairwise(places) if text[i] != text[j]]
    if not pairs:
        return None
    i, j = it.chance.choice(pairs)
    letters = list(text)
    letters[i], letters[j] = letters[j], letters[i]
    return sign * float("".join(letters))


def slipped(it: Engine, readings: list[Tree], unit: int) -> set[int]:
    """One number written wrongly, by enough to matter; the same for each repeat."""
    event = it.chance.choice(EVENTS)
    read = _of(readings, unit, event)
    keys = ["crank_angle_deg"] + (["plunger_lift_mm"] if "plunger_lift_mm" in read else [])
    key = it.chance.choice(keys)
    right = read[key][0]
    wrong = _slip(it, right, 2 if key == "plunger_lift_mm" else 1)
    scale = 1.0 if key == "crank_angle_deg" else it.slope(unit, event)
    low, high = (0.0, 1000.0) if key == "plunger_lift_mm" else (-180.0, 180.0)
    if wrong is None or not low <= wrong <= high or abs(wrong - right) / scale < 0.5:
        return set()
    read[key] = [wrong] * len(read[key])
    return {unit}


def slipped_once(it: Engine, readings: list[Tree], unit: int) -> set[int]:
    """One of several repeats written wrongly."""
    event = it.chance.choice(EVENTS)
    read = _of(readings, unit, event)
    if len(read["crank_angle_deg"]) < 2:
        return set()
    key = it.chance.choice([each for each in ("crank_angle_deg", "plunger_lift_mm", "valve_lift_mm") if each in read])
    place = it.chance.randrange(len(read[key]))
    right = read[key][place]
    wrong = _slip(it, right, 1 if key == "crank_angle_deg" else 2)
    limits = {"crank_angle_deg": (-180.0, 180.0), "plunger_lift_mm": (0.0, 1000.0), "valve_lift_mm": (0.01, 50.0)}[key]
    if wrong is None or not limits[0] <= wrong <= limits[1] or abs(wrong - right) < 0.5:
        return set()
    read[key][place] = wrong
    return {unit}


def events_swapped(_: Engine, readings: list[Tree], unit: int) -> set[int]:
    one, other = (_of(readings, unit, event) for event in EVENTS)
    one["event"], other["event"] = other["event"], one["event"]
    return {unit}


def units_swapped(it: Engine, readings: list[Tree], unit: int) -> set[int]:
    """Two units whose settings differ clearly."""
    index = 0 if it.method == CONTACT else 1
    apart = 0.12 if it.method == CONTACT else 0.5
    for other in it.pumps:
        if other != unit and all(abs(it.references[unit][e][index] - it.references[other][e][index]) > apart for e in EVENTS):
            for each in readings:
                if each["unit"] in (unit, other):
                    each["unit"] = other if each["unit"] == unit else unit
            return {unit, other}
    return set()


def backwards(it: Engine, readings: list[Tree], unit: int) -> set[int]:
    """The part of a turn read along the wrong numbers; the whole turns are right."""
    if it.method != CONTACT:
        return set()
    for event in it.chance.choice(((SUCTION,), (SPILL,), EVENTS)):
        read = _of(readings, unit, event)
        wrong = [round(int(lift) + 1.0 - (lift - int(lift)), 6) for lift in read["plunger_lift_mm"]]
        if abs(wrong[0] - read["plunger_lift_mm"][0]) < 0.4:
            return set()
        read["plunger_lift_mm"] = wrong
    return {unit}


def form_copied(it: Engine, readings: list[Tree], unit: int) -> set[int]:
    """Angles (and lifts) of the reference written down; they carry more digits than the scale has."""
    count = 0
    for event in EVENTS:
        read, (lift, angle) = _of(readings, unit, event), it.references[unit][event]
        read["crank_angle_deg"] = [angle] * len(read["crank_angle_deg"])
        if "plunger_lift_mm" in read:
            read["plunger_lift_mm"] = [lift] * len(read["plunger_lift_mm"])
        count += abs(angle / it.step_deg - round(angle / it.step_deg)) > 0.01
    return {unit} if count == 2 else set()


# Each returns the units that it touches; none where the slip cannot be made here.
WITH_THE_PENCIL: dict[str, tuple[str, Callable[[Engine, list[Tree], int], set[int]]]] = {
    "other TDC mark": ("wrong_tdc_mark", other_mark),
    "sign": ("before_after", sign_lost),
    "sign, all units": ("before_after", sign_lost_everywhere),
    "slip": ("digit_slip", slipped),
    "slip in one repeat": ("digit_slip", slipped_once),
    "events": ("events_swapped", events_swapped),
    "units": ("units_swapped", units_swapped),
    "dial backwards": ("dial_backwards", backwards),
    "copied": ("form_copied", form_copied),
}


# ---------------------------------------------------------------- mistakes that all units share


def index_wrong(it: Engine) -> None:
    size = either(it.chance, 0.6, 2.0)
    for unit, pump in it.pumps.items():
        stroke = it.references[unit][SPILL][0] - it.references[unit][SUCTION][0]
        mean_stroke = 22.0
        pump.off_mm[SPILL] += size * (stroke + pump.w_mm) / mean_stroke


def timing_wrong(it: Engine) -> None:
    size = either(it.chance, 0.5, 1.5)
    kept = it.chance.random() < 0.5
    for pump in it.pumps.values():
        pump.off_mm[SUCTION] += size
        if kept:
            pump.off_mm[SPILL] += size


def seat_wrong(it: Engine) -> None:
    used = it.seat + it.chance.uniform(0.25, 0.5)
    for unit in it.pumps:
        it.hand(unit).seat_mm = used


FOR_ALL: dict[str, tuple[str, Callable[[Engine], None]]] = {
    "index": ("index_off", index_wrong),
    "timing": ("timing_offset", timing_wrong),
    "seat contact": ("seat_contact", seat_wrong),
}
