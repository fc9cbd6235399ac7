"""What the gauges of a unit showed, laid out for weighing, and how well the honest faults explain it.

Priors are this project's own choice: how often a push rod, a cam or a seat is off where a check is made, and how far.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, fsum, log, sqrt
from statistics import median

from calc.job.model import ASTERN, AT_CONTACT, BASE_RETURN, PEAK, SUCTION_CLOSING, VALVE_EVENTS, Job, Reading, lists_of
from calc.judge.event import Kind, kind_of
from calc.judge.settings import Settings
from calc.judge.unit import JudgedUnit
from calc.measure.circle import wrapped
from calc.measure.evidence import LOG_TWO_PI, log_below, log_either, log_normal
from calc.measure.pool import Repeatability, mean, pooled
from calc.measure.spread import SIGMA_OF_MAD
from calc.pump.cam import Flank, secant_doubt
from calc.pump.cause import UNITS_FOR_COMMON, median_variance
from calc.pump.doubt import INDEX
from calc.pump.mistakes import even_tdc
from calc.pump.reading import spill_lift_from_valve, suction_lift_from_valve

# How often, before anything is read.
ROD, CAM, WEAR, MISTAKE = 0.08, 0.06, 0.015, 0.01
# A cam that is worn at one event alone: start and end contradict each other, and nobody has made a mistake.
LOCAL_WEAR = 0.001
DRIFT = 0.2  # A rod that has moved a little since the reference settings, and is no fault.
# How far, as a standard deviation in tolerances: a fault, a drift, and what a sound engine has as well.
FAULT, DRIFTED, SOUND = 2.0, 0.25, 0.05
# The scatter from few repeats is little known: it is drawn towards the stated one as if that came from so many repeats more.
STATED_WEIGHT = 5.0
# Repeats further apart than so many of their standard deviations, and than so many steps, hold a slip.
APART, APART_STEPS = 6.0, 2.5
# A gauge may be touched after the last reading, and a stated peak be a little off: neither harms a reading.
LOOSE, LOOSE_MM = 0.02, 0.5
PEAK_RANGE_MM = 20.0  # Where no peak lift is stated, it lies anywhere within so much above the spill lift.

Numbers = tuple[float | None, float, float]
"""Lift deviation [mm; None where the valve sits], cam part [deg], and the gauge's offset that was taken out [mm]."""


@dataclass(slots=True, eq=False)
class SeenEvent:
    """One valve event as it was read. Variances are of lift [mm2] and cam part [deg2], without pointer and slope doubt.

    var_sound, var_drift, var_fault: variance of the lift deviation where the rod is right, a little off, or off [mm2].
    """

    event: str
    contact: bool
    lifts: tuple[float, ...]
    angles: tuple[float, ...]
    reference_lift: float
    reference_angle: float
    flank: Flank
    ratio: float
    seat: float
    lift_step: float
    angle_step: float
    var_lift: float
    var_part: float
    var_sound: float
    var_drift: float
    var_fault: float
    fault: float
    numbers: Numbers = (None, 0.0, 0.0)

    def log_rod(self, error_mm: float) -> float:
        """Log density of a lift deviation that nothing but the rod stands behind."""
        square = error_mm * error_mm
        return (
            log(
                (1.0 - ROD - DRIFT) * exp(-0.5 * square / self.var_sound) / sqrt(self.var_sound)
                + DRIFT * exp(-0.5 * square / self.var_drift) / sqrt(self.var_drift)
                + ROD * exp(max(-0.5 * square / self.var_fault, -600.0)) / sqrt(self.var_fault)
            )
            - 0.5 * LOG_TWO_PI
        )

    def told(self, lifts: Sequence[float], angles: Sequence[float]) -> Numbers:
        """The two numbers of this event, had these readings been typed."""
        lift, deviation = mean(lifts), mean(angles) - self.reference_angle
        if self.contact:
            error = lift - self.reference_lift
            return error, wrapped(deviation - self.flank.travel(error)), 0.0
        if min(lifts) <= 0.0:
            return None, wrapped(deviation), 0.0
        from_valve = suction_lift_from_valve if self.event == SUCTION_CLOSING else spill_lift_from_valve
        return from_valve(self.reference_lift, lift, self.seat, self.ratio) - self.reference_lift, wrapped(deviation), 0.0

    def without(self, offset_mm: float) -> Numbers:
        """The two numbers, had the plunger gauge not shown `offset_mm` too much."""
        error, part, _ = self.numbers
        if self.contact and error is not None:
            return error - offset_mm, part + self.flank.travel(error) - self.flank.travel(error - offset_mm), offset_mm
        return None if error is None else error - offset_mm, part - self.flank.travel(-offset_mm), offset_mm

    def chord(self) -> float:
        """Degrees of travel per millimetre over the lift deviation that was read."""
        error = self.numbers[0]
        if error is None or abs(error) < 1e-6:
            return 1.0 / self.flank.slope
        return self.flank.travel(error) / error if self.contact else self.flank.travel(-error) / -error

    def var_part_at(self, lift_error_mm: float | None, offset_mm: float) -> float:
        """Variance of the cam part once the slope's doubt is in it [deg2]; the slope acts on what truly travels."""
        if not self.flank.is_secant:
            return self.var_part
        travels = (lift_error_mm or 0.0) if self.contact else offset_mm
        return self.var_part + secant_doubt(travels / self.flank.slope) ** 2

    def log_on_seat(self, offset_mm: float) -> float:
        """Log probability that the valve sits at the reference lift, its gauge's offset counted."""
        early = -self.seat / self.ratio
        limit = early - offset_mm if self.event == SUCTION_CLOSING else early + offset_mm
        return log_either(log_below(limit, self.var_sound), log_below(limit, self.var_fault), ROD)


@dataclass(slots=True)
class SeenUnit:
    """A unit in a stage as its gauges showed it.

    expect: cam part to expect from the other units [deg] and its variance. base, peak: mean of the return to zero, and of the
    peak lift less its reference [mm]; peak_spill: peak lift less the lift read at the spill [mm]; None where unknown.
    """

    judged: JudgedUnit
    events: tuple[SeenEvent, ...]
    base: float | None
    peak: float | None
    peak_spill: float | None
    var_gauge: float
    cam_sound: float
    cam_fault: float
    expect: float
    var_expect: float

    @property
    def numbers(self) -> list[Numbers]:
        """The numbers of its events as read."""
        return [each.numbers for each in self.events]

    def log_extras(self, base_mm: float | None, peak_mm: float | None) -> float:
        """Log density of return to zero and peak lift if the gauge is off by so much at each; None leaves one out."""
        total = 0.0
        for value, offset in ((self.base, base_mm), (self.peak, peak_mm)):
            if value is not None and offset is not None:
                distance = value - offset
                total += log_either(
                    log_normal(distance, self.var_gauge), log_normal(distance, self.var_gauge + LOOSE_MM**2), LOOSE
                )
        if self.peak is None and self.peak_spill is not None and peak_mm is not None:
            total -= log(PEAK_RANGE_MM)
        return total


def steadied(found: Repeatability | None, stated: float, step: float) -> float:
    """Scatter of single readings of a kind, steadied where it comes from few repeats [unit of the reading].

    Formula: s^2 = (nu s^2 + 5 s_0^2) / (nu + 5), s_0 the stated repeatability but at least half a step.

    >>> steadied(None, 0.0, 0.01), round(steadied(Repeatability(0.02, 5), 0.01, 0.01), 4)
    (0.005, 0.0158)
    """
    known = max(stated, 0.5 * step)
    if found is None or not found.from_repeats:
        return known
    return sqrt((found.dof * found.s**2 + STATED_WEIGHT * known**2) / (found.dof + STATED_WEIGHT))


@dataclass(frozen=True, slots=True)
class Engine:
    """What the mistakes of one unit need to know of the rest: lift per turn of the dial, TDC of every unit [deg]."""

    mm_per_turn: float | None
    tdc_deg: dict[int, float]


class Layout:
    """What laying out any unit needs: settings, steps, scatter, and which units have repeats that lie far apart.

    One slip in a repeat would spoil the scatter of all readings of its kind, so such repeats are left out of it here.
    """

    def __init__(self, job: Job, settings: Settings, scatter: dict[Kind, Repeatability], units: Sequence[JudgedUnit]) -> None:
        instruments = job.instruments
        self.settings = settings
        self.steps = {
            "plunger_lift_mm": instruments.plunger_gauge.step_mm,
            "valve_lift_mm": instruments.valve_gauge.step_mm,
            "crank_angle_deg": instruments.angle_scale.step_deg,
        }
        self._job = job
        self._scatter = {
            kind: steadied(found, settings.stated_repeatability[kind[0]], self.steps[kind[0]])
            for kind, found in scatter.items()
        }
        self.apart: set[tuple[int, str]] = set()
        for kind, found in scatter.items():
            if found.from_repeats and found.s > max(settings.stated_repeatability[kind[0]], 0.5 * self.steps[kind[0]]):
                self._leave_out_slips(kind, units)

    def _leave_out_slips(self, kind: Kind, units: Sequence[JudgedUnit]) -> None:
        """Take the widest groups of repeats out of a pool while they lie too far apart for the rest of it."""
        stated, step = self.settings.stated_repeatability[kind[0]], self.steps[kind[0]]
        groups = []
        for unit in units:
            for placed in unit.readings.values():
                values = getattr(placed.reading, kind[0])
                if values is not None and len(values) > 1 and kind_of(placed.reading, kind[0]) == kind:
                    groups.append((max(values) - min(values), values, (unit.number, unit.stage)))
        groups.sort(key=lambda each: each[0])
        least = max(APART * max(stated, 0.5 * step), APART_STEPS * step)
        while groups and groups[-1][0] > least:
            rest = [values for _, values, _ in groups[:-1]]
            scatter = steadied(pooled(rest, stated) if rest else None, stated, step)
            _, values, owner = groups[-1]
            if not far_apart(values, scatter, step):
                return
            self.apart.add(owner)
            self._scatter[kind] = scatter
            groups.pop()

    def scatter(self, kind: Kind) -> float:
        """Usual scatter of single readings of a kind [their unit]."""
        found = self._scatter.get(kind)
        return steadied(None, self.settings.stated_repeatability[kind[0]], self.steps[kind[0]]) if found is None else found

    @property
    def engine(self) -> Engine:
        """The rest of the engine."""
        engine = self._job.engine
        tdc = even_tdc(engine.firing_order)
        if engine.tdc_deg is not None:
            tdc = dict(enumerate(engine.tdc_deg, start=1))
        if self._job.direction == ASTERN:
            tdc = {unit: -angle for unit, angle in tdc.items()}  # The engine's data are for ahead.
        return Engine(self._job.instruments.plunger_gauge.mm_per_turn, tdc)

    def gauge(self, unit: JudgedUnit) -> tuple[float | None, float | None, float]:
        """Return to zero, peak lift less its reference [mm; None where unknown], and the variance of either [mm2]."""
        base = peak = None
        if BASE_RETURN in unit.readings:
            base = _lift(unit.readings[BASE_RETURN].reading)
        if PEAK in unit.readings:
            stated = self._job.reference.units[unit.settings.index].peak_lift_mm
            read = _lift(unit.readings[PEAK].reading)
            peak = None if stated is None or read is None else read - stated
        sound = SOUND * self.settings.tolerance_deg * unit.settings.flank[SUCTION_CLOSING].slope
        scatter = self.scatter(("plunger_lift_mm", PEAK))
        return base, peak, self.settings.quality.plunger_mm**2 + scatter**2 + sound**2

    def gauge_strays(self, unit: JudgedUnit, beyond: float, effect_deg: float) -> bool:
        """Whether return to zero or peak lift is off by enough to matter."""
        if BASE_RETURN not in unit.readings and PEAK not in unit.readings:
            return False
        base, peak, variance = self.gauge(unit)
        least = max(beyond * sqrt(variance), effect_deg * unit.settings.flank[SUCTION_CLOSING].slope)
        return any(value is not None and abs(value) > least for value in (base, peak))


def _lift(read: Reading) -> float | None:
    return mean(read.plunger_lift_mm) if read.plunger_lift_mm else None


def far_apart(values: Sequence[float], scatter: float, step: float) -> bool:
    """Whether repeats lie further apart than their scatter and their instrument explain.

    >>> far_apart([12.31, 12.30], 0.006, 0.01), far_apart([12.31, 12.13], 0.006, 0.01)
    (False, True)
    """
    return max(values) - min(values) > max(APART * scatter, APART_STEPS * step)


def usual_spread(deviations: Sequence[float]) -> float:
    """How far the sound rods of one engine lie from their references, in tolerances.

    Formula: 1.4826 times the median of the distances, a standard deviation that faults hardly touch; no less than a sound
    engine's and no more than a drifted one's. Parameters: lift deviations in tolerances' worth of lift.
    Source: P. J. Rousseeuw, C. Croux, "Alternatives to the median absolute deviation", J. Am. Stat. Assoc. 88 (1993) 1273
    (from memory).

    >>> usual_spread([0.01, -0.1, 0.1, 2.0, -0.1])
    0.14826
    """
    if len(deviations) < UNITS_FOR_COMMON:
        return SOUND
    return min(max(SIGMA_OF_MAD * median(abs(each) for each in deviations), SOUND), DRIFTED)


class StageParts:
    """The cam parts of all events of a stage, so that each unit can be compared with the others."""

    def __init__(self, units: Sequence[JudgedUnit], layout: Layout) -> None:
        self._units = units
        self._layout = layout
        self._parts: list[tuple[int, float, float]] | None = None

    def spread(self, without: Sequence[int]) -> float:
        """How far this engine's sound rods lie from their references, in tolerances, told by all but some units."""
        tolerance = self._layout.settings.tolerance_deg
        return usual_spread(
            [
                judged.lift_error_mm / (tolerance * unit.settings.flank[event].slope)
                for unit in self._units
                if unit.number not in without
                for event, judged in unit.events.items()
            ]
        )

    def _all(self) -> list[tuple[int, float, float]]:
        """Unit, cam part [deg] and its variance [deg2], with pointer and slope left out."""
        if self._parts is None:
            quality = self._layout.settings.quality
            self._parts = []
            for unit in self._units:
                for event in VALVE_EVENTS:
                    placed = unit.readings.get(event)
                    if placed is None:
                        continue
                    judged = unit.events.get(event)
                    if judged is not None:
                        part = judged.finding.cam_part_deg
                    else:
                        part = mean(placed.reading.crank_angle_deg or (0.0,)) - unit.settings.angle_deg[event]
                    scatter = self._layout.scatter(kind_of(placed.reading, "crank_angle_deg"))
                    count = len(placed.reading.crank_angle_deg or (0.0,))
                    gauge = quality.plunger_mm / unit.settings.flank[event].slope
                    self._parts.append((unit.number, wrapped(part), quality.scale_deg**2 + scatter**2 / count + gauge**2))
        return self._parts

    def expect(self, number: int) -> tuple[float, float]:
        """Cam part to expect of a unit from the others: the median of their events [deg], and its variance.

        A pointer or drive that is off is the same for all, so only a unit read alone, or nearly so, has to allow for it.
        """
        settings = self._layout.settings
        others = [(part, variance) for unit, part, variance in self._all() if unit != number]
        alone = settings.quality.pointer_deg**2 + settings.tolerance_deg**2
        if not others:
            return 0.0, alone
        sound = (SOUND * settings.tolerance_deg) ** 2
        variance = median_variance([each for _, each in others]) + sound / (len(self._units) - 1)
        return median(part for part, _ in others), variance + (alone if len(self._units) < UNITS_FOR_COMMON else 0.0)

    def sits_oddly(self, unit: JudgedUnit, beyond: float) -> bool:
        """Whether an event whose valve sits was read at an angle that does not fit the other units."""
        if all(event in unit.events for event in VALVE_EVENTS if event in unit.readings):
            return False
        expected, variance = self.expect(unit.number)
        own = [(part, each) for number, part, each in self._all() if number == unit.number]
        return any(abs(part - expected) > beyond * sqrt(each + variance) for part, each in own)


def see(judged: JudgedUnit, layout: Layout, parts: StageParts, without: Sequence[int] = ()) -> SeenUnit:
    """Lay out one unit in one stage. `without`: further units that have no say in how far sound rods lie off here."""
    spread = parts.spread((judged.number, *without))
    events = tuple(
        _see_event(judged.readings[event].reading, judged, layout, spread) for event in VALVE_EVENTS if event in judged.readings
    )
    base, peak, variance = layout.gauge(judged)
    peak_spill = None
    if PEAK in judged.readings and events and events[-1].event != SUCTION_CLOSING and events[-1].contact:
        read = _lift(judged.readings[PEAK].reading)
        peak_spill = None if read is None else read - mean(events[-1].lifts)
    expect, var_expect = parts.expect(judged.number)
    tolerance = layout.settings.tolerance_deg
    return SeenUnit(judged, events, base, peak, peak_spill, variance, SOUND * tolerance, FAULT * tolerance, expect, var_expect)


def _see_event(read: Reading, judged: JudgedUnit, layout: Layout, spread: float) -> SeenEvent:
    event, settings = read.event, layout.settings
    flank, ratio = judged.settings.flank[event], settings.ratio[event]
    key, angle_key = lists_of(event, read.method)
    lifts, angles = getattr(read, key), getattr(read, angle_key)
    contact = read.method == AT_CONTACT
    quality, slope = settings.quality, flank.slope
    lift_scatter, angle_scatter = (layout.scatter(kind_of(read, each)) ** 2 / len(lifts) for each in (key, angle_key))
    scale = settings.tolerance_deg * slope
    gauge = quality.plunger_mm**2 + (lift_scatter if contact else 0.0)
    known = judged.events.get(event)
    index_mm = 0.0 if known is None else fsum(term.u for term in known.budgets.lift if term.name == INDEX)
    var_lift = gauge + (quality.valve_mm / ratio) ** 2 + index_mm**2 + (0.0 if contact else lift_scatter / ratio**2)
    seen = SeenEvent(
        event=event,
        contact=contact,
        lifts=lifts,
        angles=angles,
        reference_lift=judged.settings.lift_mm[event],
        reference_angle=judged.settings.angle_deg[event],
        flank=flank,
        ratio=ratio,
        seat=settings.seat_contact_mm,
        lift_step=layout.steps[key],
        angle_step=layout.steps[angle_key],
        var_lift=var_lift,
        var_part=quality.scale_deg**2 + angle_scatter + gauge / slope**2,
        var_sound=var_lift + (spread * scale) ** 2,
        var_drift=var_lift + (DRIFTED * scale) ** 2,
        var_fault=var_lift + (FAULT * scale) ** 2,
        fault=FAULT * scale,
    )
    seen.numbers = seen.told(lifts, angles)
    return seen
