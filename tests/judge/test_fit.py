"""Densities of a unit's numbers against scipy: each law of the honest faults written out, sizes integrated by linear algebra.

The priors stand here as numbers. They are choices of this project: whoever changes one changes what is suspected on board.
"""

from itertools import product
from math import exp, log, sqrt
from typing import Any

import numpy as np
import pytest
from scipy import integrate, stats

from calc.judge.fit import log_honest, log_sized
from calc.judge.seen import SeenEvent, SeenUnit
from tests.judge.by_hand import flank, seen_event, seen_unit
from tests.pump.forward import SPILL, SUCTION

ROD, DRIFT, CAM, WEAR, LOCAL_WEAR = 0.08, 0.2, 0.06, 0.015, 0.001
LOOSE, LOOSE_MM, PEAK_RANGE = 0.02, 0.5, 20.0


def normal(value: float, variance: float) -> float:
    return float(stats.norm.pdf(value, 0.0, sqrt(variance)))


def joint(values: list[float], covariance: Any) -> float:
    return float(stats.multivariate_normal([0.0] * len(values), covariance).pdf(values))


def rod(seen: SeenEvent, error: float) -> float:
    """Seven rods in ten are right, two have drifted, eight in a hundred are off."""
    return (
        (1.0 - ROD - DRIFT) * normal(error, seen.var_sound)
        + DRIFT * normal(error, seen.var_drift)
        + ROD * normal(error, seen.var_fault)
    )


def on_seat(seen: SeenEvent, offset: float = 0.0) -> float:
    """The valve rests where its rod brings contact later (suction: earlier) than the reference by the seat-contact reading."""
    early = -seen.seat / seen.ratio
    limit = early - offset if seen.event == SUCTION else early + offset
    sound, fault = (float(stats.norm.cdf(limit, 0.0, sqrt(each))) for each in (seen.var_sound, seen.var_fault))
    return (1.0 - ROD) * sound + ROD * fault


def cams(unit: SeenUnit, parts: list[float], variances: list[float]) -> float:
    """The cam is right, or off for both events alike; seldom one event's cam alone is worn."""
    moved = [part - unit.expect for part in parts]
    own = np.diag(variances)
    sound = unit.var_expect + unit.cam_sound**2
    found = (1.0 - CAM) * joint(moved, own + sound) + CAM * joint(moved, own + sound + unit.cam_fault**2)
    if len(parts) < 2:
        return found
    worn = [joint(moved, own + np.diag(alone) + sound) for alone in ([unit.cam_fault**2, 0.0], [0.0, unit.cam_fault**2])]
    return (1.0 - LOCAL_WEAR) * found + LOCAL_WEAR * 0.5 * (worn[0] + worn[1])


def wear(unit: SeenUnit, start: float, end: float) -> float:
    """Both seats worn by one amount, as large beforehand as a fault of the start's valve: start and end move apart."""
    one, other = unit.events
    typical = one.fault * one.ratio

    def with_seat(seat: float) -> float:
        return (
            normal(seat, typical**2)
            * normal(start - seat / one.ratio, one.var_sound)
            * normal(end + seat / other.ratio, other.var_sound)
        )

    likeliest = start * one.ratio
    return float(integrate.quad(with_seat, likeliest - 0.5, likeliest + 0.5, points=[likeliest], epsabs=0.0)[0])


def extras(unit: SeenUnit, base_off: float = 0.0, peak_off: float = 0.0) -> float:
    """A gauge is touched after the last reading twice in a hundred times; a peak that nobody knows lies anywhere in 20 mm."""
    found = 1.0
    for value, off in ((unit.base, base_off), (unit.peak, peak_off)):
        if value is not None:
            away = value - off
            found *= (1.0 - LOOSE) * normal(away, unit.var_gauge) + LOOSE * normal(away, unit.var_gauge + LOOSE_MM**2)
    if unit.peak is None and unit.peak_spill is not None:
        found /= PEAK_RANGE
    return found


def pair(start: tuple[float, float], end: tuple[float, float], **given: Any) -> SeenUnit:
    """Both events with these lift deviations and cam parts."""
    return seen_unit(seen_event(SUCTION, numbers=(*start, 0.0)), seen_event(SPILL, numbers=(*end, 0.0)), **given)


NUMBERS = [
    ((0.01, 0.12), (-0.02, 0.05)),
    ((0.3, 0.1), (0.01, 0.2)),
    ((0.02, 0.9), (0.05, 0.95)),
    ((-0.04, 0.1), (0.02, 1.4)),
    ((-0.5, -1.1), (-0.6, 0.3)),
]


@pytest.mark.parametrize(("start", "end"), NUMBERS)
def test_rods_and_cam_of_both_events(start: tuple[float, float], end: tuple[float, float]) -> None:
    unit = pair(start, end)
    expected = rod(unit.events[0], start[0]) * rod(unit.events[1], end[0])
    if start[0] * end[0] < 0.0:
        expected = (1.0 - WEAR) * expected + WEAR * wear(unit, start[0], end[0])
    expected *= cams(unit, [start[1], end[1]], [0.01, 0.02])
    assert log_honest(unit, unit.numbers) == pytest.approx(log(expected), abs=1e-7)


def test_worn_seats_part_start_and_end() -> None:
    """0.16 mm of wear: the start 0.16 / 0.8 = 0.2 mm late, the end 0.16 / 1.25 = 0.128 mm early; so exactly no rod is off."""
    unit = pair((0.2, 0.1), (-0.128, 0.1))
    rods = rod(unit.events[0], 0.2) * rod(unit.events[1], -0.128)
    worn = wear(unit, 0.2, -0.128)
    assert worn > rods
    expected = ((1.0 - WEAR) * rods + WEAR * worn) * cams(unit, [0.1, 0.1], [0.01, 0.02])
    assert log_honest(unit, unit.numbers) == pytest.approx(log(expected), abs=1e-7)


def test_wear_that_only_one_event_shows_is_a_rod() -> None:
    unit = pair((0.2, 0.1), (0.0, 0.1))
    expected = rod(unit.events[0], 0.2) * rod(unit.events[1], 0.0) * cams(unit, [0.1, 0.1], [0.01, 0.02])
    assert log_honest(unit, unit.numbers) == pytest.approx(log(expected), abs=1e-9)


@pytest.mark.parametrize("event", [SUCTION, SPILL])
@pytest.mark.parametrize("part", [0.1, 1.2])
def test_one_event_alone(event: str, part: float) -> None:
    unit = seen_unit(seen_event(event, numbers=(0.05, part, 0.0)))
    seen = unit.events[0]
    expected = rod(seen, 0.05) * cams(unit, [part], [seen.var_part])
    assert log_honest(unit, unit.numbers) == pytest.approx(log(expected), abs=1e-9)


@pytest.mark.parametrize("offset", [0.0, 0.2, -0.15])
def test_a_valve_on_its_seat_has_a_probability_and_no_density(offset: float) -> None:
    events = [seen_event(event, contact=False, numbers=(None, 0.1, offset)) for event in (SUCTION, SPILL)]
    unit = seen_unit(*events)
    expected = on_seat(events[0], offset) * on_seat(events[1], offset) * cams(unit, [0.1, 0.1], [0.01, 0.02])
    assert log_honest(unit, unit.numbers) == pytest.approx(log(expected), abs=1e-9)


def test_one_valve_on_its_seat_shows_no_wear() -> None:
    unit = seen_unit(
        seen_event(SUCTION, contact=False, numbers=(None, 0.1, 0.0)), seen_event(SPILL, contact=False, numbers=(-0.3, 0.1, 0.0))
    )
    expected = on_seat(unit.events[0]) * rod(unit.events[1], -0.3) * cams(unit, [0.1, 0.1], [0.01, 0.02])
    assert log_honest(unit, unit.numbers) == pytest.approx(log(expected), abs=1e-9)


def test_doubt_of_a_secant_slope_is_of_what_travels() -> None:
    """15 % of the travel: at contact that of the lift deviation, at reference lift the offset.s, at 2 mm a degree."""
    contact = seen_event(SUCTION, numbers=(0.4, 0.1, 0.0), flank=flank(SUCTION, secant=True))
    at_lift = seen_event(SPILL, numbers=(0.4, 0.1, 0.6), contact=False, flank=flank(SPILL, secant=True))
    unit = seen_unit(contact, at_lift)
    variances = [0.01 + (0.15 * 0.4 / 2.0) ** 2, 0.02 + (0.15 * 0.6 / 2.0) ** 2]
    expected = rod(contact, 0.4) * rod(at_lift, 0.4) * cams(unit, [0.1, 0.1], variances)
    assert log_honest(unit, unit.numbers) == pytest.approx(log(expected), abs=1e-9)


@pytest.mark.parametrize(
    ("base", "peak", "spill"), [(0.04, None, None), (None, -0.9, 0.1), (0.7, 0.6, 24.0), (None, None, 24.0)]
)
def test_return_to_zero_and_peak_lift(base: float | None, peak: float | None, spill: float | None) -> None:
    unit = pair((0.01, 0.12), (0.02, 0.05), base=base, peak=peak, peak_spill=spill)
    alone = pair((0.01, 0.12), (0.02, 0.05))
    gauges = log_honest(unit, unit.numbers) - log_honest(alone, alone.numbers)
    assert gauges == pytest.approx(log(extras(unit)), abs=1e-9)
    off = log_honest(unit, unit.numbers, 0.5, -0.4) - log_honest(alone, alone.numbers)
    assert off == pytest.approx(log(extras(unit, 0.5, -0.4)), abs=1e-9)


def test_extras_can_be_left_out_one_by_one() -> None:
    unit = pair((0.01, 0.12), (0.02, 0.05), base=0.3, peak=0.4)
    assert unit.log_extras(None, None) == 0.0
    assert unit.log_extras(0.0, None) + unit.log_extras(None, 0.0) == pytest.approx(unit.log_extras(0.0, 0.0))
    unknown = pair((0.01, 0.12), (0.02, 0.05), peak_spill=24.0)
    assert unknown.log_extras(0.0, None) == 0.0
    assert unknown.log_extras(None, 0.0) == pytest.approx(-log(20.0))


# ---------------------------------------------------------------- a mistake of unknown size


class Sizes:
    """The same by covariances: which rods and which cam are off is tried in every combination."""

    def __init__(self, unit: SeenUnit, gains: list[tuple[float, float]], typical: float, **more: Any) -> None:
        self.unit, self.gains, self.typical = unit, gains, typical
        self.base_gain, self.peak_gain = more.get("base_gain", 0.0), more.get("peak_gain", 0.0)
        self.positive = more.get("positive", False)
        self.travels: list[float | None] = more.get("travels", [0.0] * len(gains))

    def variance_of_part(self, place: int) -> float:
        seen = self.unit.events[place]
        travel = self.travels[place]
        return seen.var_part + (0.15 * travel / seen.flank.slope) ** 2 if travel and seen.flank.is_secant else seen.var_part

    def terms(self) -> list[tuple[float, float]]:
        """Density and likeliest size of every combination."""
        unit, events = self.unit, self.unit.events
        moved = [
            j for j, (seen, gain) in enumerate(zip(events, self.gains, strict=True)) if seen.numbers[0] is not None and gain[0]
        ]
        found = []
        for *rods, cam_off in product((False, True), repeat=len(moved) + 1):
            values, gains, noise, prior = list[float](), list[float](), list[float](), 1.0
            for j, off in zip(moved, rods, strict=True):
                values.append(events[j].numbers[0] or 0.0)
                gains.append(self.gains[j][0])
                noise.append(events[j].var_fault if off else events[j].var_sound)
                prior *= ROD if off else 1.0 - ROD
            first = len(values)
            for j, seen in enumerate(events):
                values.append(seen.numbers[1] - unit.expect)
                gains.append(self.gains[j][1])
                noise.append(self.variance_of_part(j))
            covariance = np.diag(noise)
            shared = unit.var_expect + unit.cam_sound**2 + (unit.cam_fault**2 if cam_off else 0.0)
            covariance[first:, first:] += shared
            prior *= CAM if cam_off else 1.0 - CAM
            for value, gain in ((unit.base, self.base_gain), (unit.peak, self.peak_gain or 0.0)):
                if value is not None and gain:
                    values.append(value)
                    gains.append(gain)
                    covariance = np.block(
                        [[covariance, np.zeros((len(noise), 1))], [np.zeros((1, len(noise))), np.array([[unit.var_gauge]])]]
                    )
                    noise.append(unit.var_gauge)
            gain_of, value_of = np.array(gains), np.array(values)
            precision = 1.0 / self.typical**2 + gain_of @ np.linalg.solve(covariance, gain_of)
            size = float(gain_of @ np.linalg.solve(covariance, value_of) / precision)
            density = prior * joint(values, covariance + self.typical**2 * np.outer(gain_of, gain_of))
            if self.positive:
                density *= 2.0 * float(stats.norm.cdf(size * sqrt(precision)))
            for j, seen in enumerate(events):
                if seen.numbers[0] is None:
                    density *= on_seat(seen, self.gains[j][0] * size)
                elif not self.gains[j][0]:
                    density *= rod(seen, seen.numbers[0])
            found.append((density, size))
        return found

    @property
    def density(self) -> float:
        unit, rest = self.unit, 1.0
        if not self.base_gain:
            rest *= extras(seen_unit(base=unit.base, var_gauge=unit.var_gauge))
        if self.peak_gain == 0.0:
            rest *= extras(seen_unit(peak=unit.peak, peak_spill=unit.peak_spill, var_gauge=unit.var_gauge))
        elif self.peak_gain and unit.peak is None and unit.peak_spill is not None:
            rest /= PEAK_RANGE
        return rest * sum(density for density, _ in self.terms())

    @property
    def size(self) -> float:
        return max(self.terms())[1]


CASES: list[tuple[list[tuple[float, float]], dict[str, Any]]] = [
    ([(1.0, -0.7), (1.0, -0.5)], {}),
    ([(0.0, 0.0), (1.0, -0.5)], {}),
    ([(0.0, 0.0), (-1.0, 0.5)], {"positive": True}),
    ([(0.0, -1.0), (0.0, 0.0)], {"positive": True}),
    ([(12.0, -8.0), (36.0, -17.0)], {}),
]


@pytest.mark.parametrize(("start", "end"), [*NUMBERS, ((0.9, -0.6), (0.92, -0.4)), ((0.0, 0.1), (-0.9, 0.6))])
@pytest.mark.parametrize(("gains", "more"), CASES)
def test_size_is_integrated_out(
    gains: list[tuple[float, float]], more: dict[str, Any], start: tuple[float, float], end: tuple[float, float]
) -> None:
    unit = pair(start, end)
    found, other = log_sized(unit, gains, 0.9, **more), Sizes(unit, gains, 0.9, **more)
    assert found.log_density == pytest.approx(log(other.density), abs=1e-7)
    assert found.size == pytest.approx(other.size, abs=1e-9)


@pytest.mark.parametrize(
    ("base_gain", "peak_gain"), [(0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 55.0), (0.0, None), (1.0, None)]
)
@pytest.mark.parametrize(
    ("base", "peak", "spill"), [(None, None, 24.0), (0.4, None, 24.0), (0.4, 0.5, 24.0), (None, 0.5, None)]
)
def test_size_is_told_by_return_to_zero_and_peak_too(
    base: float | None, peak: float | None, spill: float | None, base_gain: float, peak_gain: float | None
) -> None:
    unit = pair((0.45, -0.2), (0.4, -0.1), base=base, peak=peak, peak_spill=spill)
    more: dict[str, Any] = {"base_gain": base_gain, "peak_gain": peak_gain}
    gains = [(1.0, -0.7), (1.0, -0.5)]
    found, other = log_sized(unit, gains, 0.9, **more), Sizes(unit, gains, 0.9, **more)
    assert found.log_density == pytest.approx(log(other.density), abs=1e-7)
    assert found.size == pytest.approx(other.size, abs=1e-9)


def test_size_with_a_valve_on_its_seat() -> None:
    unit = seen_unit(
        seen_event(SUCTION, contact=False, numbers=(None, -0.4, 0.0)),
        seen_event(SPILL, contact=False, numbers=(0.7, -0.3, 0.0)),
    )
    gains = [(1.0, -0.7), (1.0, -0.5)]
    found, other = log_sized(unit, gains, 0.9), Sizes(unit, gains, 0.9)
    assert found.log_density == pytest.approx(log(other.density), abs=1e-7)
    assert found.size == pytest.approx(other.size, abs=1e-9)


@pytest.mark.parametrize("contact", [True, False])
def test_size_on_a_secant_is_found_twice(contact: bool) -> None:
    """First as if all travelled (contact) or nothing did (reference lift); then with the travel that the first size leaves."""
    numbers = [(0.9, -0.3, 0.0), (0.8, -0.2, 0.0)]
    unit = seen_unit(
        *(
            seen_event(event, numbers=each, contact=contact, flank=flank(event, secant=True))
            for event, each in zip((SUCTION, SPILL), numbers, strict=True)
        )
    )
    gains = [(1.0, -0.5), (1.0, -0.5)]
    first = Sizes(unit, gains, 0.9, travels=[0.9, 0.8] if contact else [0.0, 0.0]).size
    other = Sizes(unit, gains, 0.9, travels=[0.9 - first, 0.8 - first] if contact else [first, first])
    found = log_sized(unit, gains, 0.9)
    assert found.log_density == pytest.approx(log(other.density), abs=1e-7)
    assert found.size == pytest.approx(other.size, abs=1e-9)


def test_size_on_a_secant_with_a_valve_on_its_seat() -> None:
    """Nothing is known of a seated valve's lift: only what the size adds travels."""
    unit = seen_unit(
        seen_event(SUCTION, contact=False, numbers=(None, -0.4, 0.0), flank=flank(SUCTION, secant=True)),
        seen_event(SPILL, contact=False, numbers=(0.7, -0.3, 0.0), flank=flank(SPILL, secant=True)),
    )
    gains = [(1.0, -0.5), (1.0, -0.5)]
    first = Sizes(unit, gains, 0.9).size
    other = Sizes(unit, gains, 0.9, travels=[first, first])
    assert log_sized(unit, gains, 0.9).log_density == pytest.approx(log(other.density), abs=1e-7)


def test_a_far_rod_keeps_a_finite_density() -> None:
    seen = seen_event(SUCTION)
    far = seen.log_rod(1000.0)
    assert far == pytest.approx(log(ROD) - 600.0 - 0.5 * log(2.0 * np.pi * seen.var_fault))
    assert exp(far) >= 0.0
