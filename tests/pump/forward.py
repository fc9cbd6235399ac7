"""A pump to measure: what its gauges would show, given where its valves truly close and open.

Independent of `calc`: the cam is a formula, valves are levers, gauges are read to a step from a zero that stands anywhere
between two marks. Two things are built on it. `Pump` has rods to turn and shows exact readings, so that a correction can be
carried out and read again. `simulate` draws many engines and many measurements, so that the scatter of the results can be
compared with the uncertainty that was claimed for them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
SUCTION, SPILL = "suction_closing", "spill_opening"
EVENTS = (SUCTION, SPILL)


class Cam(Protocol):
    """Plunger lift [mm] over crank angle [deg], rising."""

    def lift_at(self, angle_deg: Array | float) -> Array: ...

    def angle_at(self, lift_mm: Array | float) -> Array: ...


@dataclass(frozen=True)
class Cycloid:
    """A cycloidal rise: no jerk at its ends, and steep in the middle."""

    peak_mm: float
    span_deg: float
    foot_deg: float

    def lift_at(self, angle_deg: Array | float) -> Array:
        u = np.clip((np.asarray(angle_deg, dtype=float) - self.foot_deg) / self.span_deg, 0.0, 1.0)
        return np.asarray(self.peak_mm * (u - np.sin(2.0 * np.pi * u) / (2.0 * np.pi)))

    def slope_at(self, angle_deg: Array | float) -> Array:
        u = (np.asarray(angle_deg, dtype=float) - self.foot_deg) / self.span_deg
        return np.asarray(self.peak_mm / self.span_deg * (1.0 - np.cos(2.0 * np.pi * u)))

    def angle_at(self, lift_mm: Array | float) -> Array:
        """The law inverted: from a fine table, then by Newton to the last digit."""
        grid = np.linspace(self.foot_deg, self.foot_deg + self.span_deg, 2001)
        angle = np.interp(np.asarray(lift_mm, dtype=float), self.lift_at(grid), grid)
        for _ in range(6):
            angle = angle - (self.lift_at(angle) - lift_mm) / self.slope_at(angle)
        return np.asarray(angle)

    def table(self, step_deg: float) -> list[tuple[float, float]]:
        """Rows of a lift table."""
        count = round(self.span_deg / step_deg) + 1
        angles = self.foot_deg + step_deg * np.arange(count)
        return [(float(angle), float(self.lift_at(angle))) for angle in angles]


@dataclass(frozen=True)
class Straight:
    """A cam with one slope [mm/deg] through one point: what a secant takes every cam for."""

    slope: Array | float
    lift_mm: float = 0.0
    angle_deg: float = 0.0

    def lift_at(self, angle_deg: Array | float) -> Array:
        return np.asarray(self.lift_mm + self.slope * (np.asarray(angle_deg) - self.angle_deg))

    def angle_at(self, lift_mm: Array | float) -> Array:
        return np.asarray(self.angle_deg + (np.asarray(lift_mm) - self.lift_mm) / self.slope)


# ---------------------------------------------------------------- a pump with rods to turn


@dataclass
class Pump:
    """One unit with exact readings. `rod_mm` is how much each rod has been lengthened; `off_mm` where it was found.

    A rod that is 1 mm longer moves its valve 1 mm, further open or further shut. At index 0 the spill valve opens `w_mm` of
    plunger lift before the suction valve closes, if both stand at their reference.
    """

    cam: Cam
    reference_mm: dict[str, float]
    reference_deg: dict[str, float]
    ratio: dict[str, float]
    seat_mm: float
    w_mm: float
    pitch_mm: float
    left_right: bool = False
    opens: bool = True
    off_mm: dict[str, float] = field(default_factory=lambda: dict.fromkeys(EVENTS, 0.0))
    cam_deg: float = 0.0
    rod_mm: dict[str, float] = field(default_factory=lambda: dict.fromkeys(EVENTS, 0.0))

    def valve_mm(self, event: str, plunger_mm: float) -> float:
        """What the valve's gauge shows at a plunger lift; 0 once the valve sits."""
        travel = plunger_mm - (self.reference_mm[event] + self.off_mm[event])
        opening = travel if event == SPILL else -travel
        held = self.rod_mm[event] if self.opens else -self.rod_mm[event]
        return max(0.0, self.seat_mm + self.ratio[event] * opening + held)

    def contact_mm(self, event: str) -> float:
        """Plunger lift at which the valve's gauge shows the seat-contact reading."""
        held = self.rod_mm[event] if self.opens else -self.rod_mm[event]
        late = held / self.ratio[event]
        return self.reference_mm[event] + self.off_mm[event] + (late if event == SUCTION else -late)

    def crank_deg(self, event: str, plunger_mm: float) -> float:
        """Crank angle at a plunger lift, on this unit's scale."""
        travel = self.cam.angle_at(plunger_mm) - self.cam.angle_at(self.reference_mm[event])
        return float(self.reference_deg[event] + travel + self.cam_deg)

    def at_contact(self, event: str) -> tuple[float, float]:
        """Plunger lift and crank angle of a reading at contact."""
        lift = self.contact_mm(event)
        return lift, self.crank_deg(event, lift)

    def at_reference_lift(self, event: str) -> tuple[float, float]:
        """Valve reading and crank angle of a reading at reference lift."""
        lift = self.reference_mm[event]
        return self.valve_mm(event, lift), self.crank_deg(event, lift)

    def opening_at_index_0_mm(self) -> float:
        """Spill-valve gauge with the index at 0 and the suction valve just closing.

        From the reference index to 0 the fulcrum brings the spill valve's opening down by the stroke and w.
        """
        whole = self.reference_mm[SPILL] - self.reference_mm[SUCTION] + self.w_mm
        travel = self.contact_mm(SUCTION) - (self.contact_mm(SPILL) - whole)
        return self.seat_mm + self.ratio[SPILL] * travel

    def turn(self, event: str, flats: float) -> None:
        """Turn a rod by flats of its hexagon; positive lengthens."""
        self.rod_mm[event] += flats / 6.0 * self.pitch_mm * (2.0 if self.left_right else 1.0)


# ---------------------------------------------------------------- many measurements of many pumps


@dataclass(frozen=True)
class Gauge:
    """A dial gauge: read to a step, and wrong by up to +/- a limit in any difference of two readings [mm]."""

    step: float
    limit: float

    def read(self, position: Array) -> Array:
        return np.asarray(self.step * np.round(position / self.step))

    def zero(self, chance: np.random.Generator, count: int) -> Array:
        """Where the needle stands when it is called 0: anywhere between two marks."""
        return chance.uniform(0.0, self.step, count)

    def difference(self, zero: Array, true: Array, error: Array) -> Array:
        """The reading of a movement from zero."""
        return self.read(zero + true + error) - self.read(zero)

    def stands_where_it_shows(self, chance: np.random.Generator, zero: Array, error: Array) -> Array:
        """How far the part truly is from where the gauge shows it to be."""
        return self.read(zero) - zero - error + chance.uniform(-0.5 * self.step, 0.5 * self.step, len(zero))

    def two_errors(self, chance: np.random.Generator, count: int) -> tuple[Array, Array]:
        """Errors of two movements from one zero, each evenly spread within the limit, and their difference within it too.

        The second is a step of at most the limit away from the first, folded back at the ends, which keeps it evenly spread.
        """
        first = chance.uniform(-self.limit, self.limit, count)
        second = first + chance.uniform(-self.limit, self.limit, count)
        second = np.where(np.abs(second) > self.limit, np.sign(second) * 2.0 * self.limit - second, second)
        return first, second


@dataclass(frozen=True)
class Case:
    """What is measured, how, and with what."""

    method: str
    plunger: Gauge
    valve: Gauge
    scale_deg: float
    pointer_deg: float
    lift_scatter: float
    angle_scatter: float
    ratio: dict[str, float]
    off_mm: dict[str, float]
    repeats: int = 1
    secant: bool = False
    secant_relative_u: float = 0.15
    index_mm: float = 0.0


@dataclass(frozen=True)
class Errors:
    """Result minus truth for every draw, by event; and of what the two events make together."""

    lift: dict[str, Array]
    angle: dict[str, Array]
    cam_part: dict[str, Array]

    @property
    def stroke(self) -> Array:
        return self.lift[SPILL] - self.lift[SUCTION]

    @property
    def delivery(self) -> Array:
        return self.angle[SPILL] - self.angle[SUCTION]

    @property
    def disagreement(self) -> Array:
        return self.cam_part[SUCTION] - self.cam_part[SPILL]


def simulate(case: Case, cam: Cycloid, reference_mm: dict[str, float], count: int, seed: int) -> Errors:
    """Measure `count` pumps once each.

    The true lift and cam part of every pump are drawn, so that rounding is not always the same. Both events share the
    pointer and the zero of the plunger gauge. On a secant the true slope is drawn around the secant's.
    """
    chance = np.random.default_rng(seed)
    pointer = chance.normal(0.0, case.pointer_deg, count)
    index_error = chance.normal(0.0, 1.0, count) * case.index_mm
    plunger_zero = case.plunger.zero(chance, count)
    plunger_errors = dict(zip(EVENTS, case.plunger.two_errors(chance, count), strict=True))
    lift, angle, cam_part = {}, {}, {}
    for event in EVENTS:
        # Scatter wide enough that neither lift nor angle stands in step with its gauge.
        off = case.off_mm[event] + chance.uniform(-0.5, 0.5, count) * 4.0 * max(case.plunger.step, case.valve.step)
        true_part = chance.uniform(-0.5, 0.5, count) * 4.0 * case.scale_deg
        h = reference_mm[event]
        f = float(cam.angle_at(h))
        belief: Cam = cam
        truth: Cam = cam
        if case.secant:
            start, end = (float(cam.angle_at(reference_mm[each])) for each in EVENTS)
            slope = (reference_mm[SPILL] - reference_mm[SUCTION]) / (end - start)
            belief = Straight(slope, h, f)
            truth = Straight(slope / (1.0 + case.secant_relative_u * chance.normal(0.0, 1.0, count)), h, f)
        true_lift = h + off
        # The index of this reading is not quite the reference one; the truth is what the reference index would give.
        read_lift = true_lift + (index_error if event == SPILL else 0.0)
        drawn = _Draw(case, event, chance, plunger_zero, plunger_errors[event], pointer)
        read = drawn.at_contact if case.method == "at_contact" else drawn.at_reference_lift
        got_lift, event_angle, part = read(h, f, read_lift, true_part, truth, belief)
        true_angle = truth.angle_at(true_lift) + true_part
        lift[event] = got_lift - true_lift
        angle[event] = event_angle - true_angle
        cam_part[event] = part - true_part
    return Errors(lift, angle, cam_part)


@dataclass(frozen=True)
class _Draw:
    case: Case
    event: str
    chance: np.random.Generator
    plunger_zero: Array
    plunger_error: Array
    pointer: Array

    def _mean_angle(self, crank: Array) -> Array:
        step, case = self.case.scale_deg, self.case
        phase = self.chance.uniform(0.0, step, len(crank))
        shown = [
            step * np.round((crank + self.pointer + phase + self.chance.normal(0.0, case.angle_scatter, len(crank))) / step)
            - phase
            for _ in range(case.repeats)
        ]
        return np.asarray(np.mean(shown, axis=0))

    def _mean_lift(self, gauge: Gauge, zero: Array, true: Array, error: Array) -> Array:
        shown = [
            gauge.difference(zero, true + self.chance.normal(0.0, self.case.lift_scatter, len(true)), error)
            for _ in range(self.case.repeats)
        ]
        return np.asarray(np.mean(shown, axis=0))

    def at_contact(
        self, h: float, f: float, event_mm: Array, part: Array, truth: Cam, belief: Cam
    ) -> tuple[Array, Array, Array]:
        """Turn until the valve gauge shows the seat-contact reading; read plunger lift and angle."""
        case, count = self.case, len(event_mm)
        valve = case.valve
        error = self.chance.uniform(-valve.limit, valve.limit, count)
        off = valve.stands_where_it_shows(self.chance, valve.zero(self.chance, count), error) / case.ratio[self.event]
        stands = event_mm + (off if self.event == SPILL else -off)
        lift = self._mean_lift(case.plunger, self.plunger_zero, stands, self.plunger_error)
        angle = self._mean_angle(truth.angle_at(stands) + part)
        travel = belief.angle_at(lift) - belief.angle_at(h)
        return lift, angle, angle - f - travel

    def at_reference_lift(
        self, h: float, f: float, event_mm: Array, part: Array, truth: Cam, belief: Cam
    ) -> tuple[Array, Array, Array]:
        """Turn until the plunger gauge shows the reference lift; read the valve gauge and the angle."""
        case, count = self.case, len(event_mm)
        stands = h + case.plunger.stands_where_it_shows(self.chance, self.plunger_zero, self.plunger_error)
        opening = (event_mm - stands) if self.event == SUCTION else (stands - event_mm)
        ratio = case.ratio[self.event]
        valve = case.valve
        error = self.chance.uniform(-valve.limit, valve.limit, count)
        # The seat-contact reading is the same on both sides of the difference, so it is left out.
        shown = self._mean_lift(valve, valve.zero(self.chance, count), ratio * opening, error)
        lift = h + (shown if self.event == SUCTION else -shown) / ratio
        angle = self._mean_angle(truth.angle_at(stands) + part)
        return lift, angle + belief.angle_at(lift) - belief.angle_at(h), angle - f
