"""How well an explanation fits what the gauges of a unit showed, with the honest faults beside it.

Every density is a natural logarithm. Rods, cam and wear may stand beside any mistake, each with its own prior.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

from calc.job.model import VALVE_EVENTS
from calc.judge.seen import CAM, LOCAL_WEAR, ROD, WEAR, Numbers, SeenUnit
from calc.measure.evidence import Quadratic, log_either, log_shared, log_sum, reading, shared_readings
from calc.pump.mistakes import wear_shows


def log_honest(unit: SeenUnit, numbers: Sequence[Numbers], base_mm: float | None = 0.0, peak_mm: float | None = 0.0) -> float:
    """Log density of a unit's numbers if nothing but rods, cam and wear stand behind them.

    Parameters: numbers of its events, what a mistake added already taken out; what the gauge is off by at the return to zero
    and at the peak [mm; None leaves it out: the mistake has its own say on it].
    """
    lifts = 0.0
    parts, variances = [], []
    for seen, (error, part, offset) in zip(unit.events, numbers, strict=True):
        if error is None:
            lifts += seen.log_on_seat(offset)
        else:
            lifts += seen.log_rod(error)
        parts.append(part - unit.expect)
        variances.append(seen.var_part_at(error, offset))
    if len(numbers) == len(VALVE_EVENTS) and numbers[0][0] is not None and numbers[1][0] is not None:
        apart = numbers[0][0] * numbers[1][0] < 0.0  # As worn seats move start and end.
        lifts = log_either(lifts, _log_wear(unit, numbers[0][0], numbers[1][0]), WEAR) if apart else lifts
    sound = unit.var_expect + unit.cam_sound**2
    cams = log_either(log_shared(parts, variances, sound), log_shared(parts, variances, sound + unit.cam_fault**2), CAM)
    if len(parts) == len(VALVE_EVENTS):
        worn = [
            log_shared(parts, [each + (unit.cam_fault**2 if j == place else 0.0) for j, each in enumerate(variances)], sound)
            for place in range(len(parts))
        ]
        cams = log_either(cams, log_sum(worn) - log(2.0), LOCAL_WEAR)
    return lifts + cams + unit.log_extras(base_mm, peak_mm)


def _log_wear(unit: SeenUnit, start_mm: float, end_mm: float) -> float:
    start, end = unit.events
    gains = wear_shows(1.0, start.ratio, end.ratio)
    typical = start.fault * start.ratio
    return (
        reading(start_mm, gains[0].lift_mm, start.var_sound)
        + reading(end_mm, gains[1].lift_mm, end.var_sound)
        + reading(0.0, 1.0, typical**2)
    ).log_integral


@dataclass(frozen=True, slots=True)
class Sized:
    """An explanation of unknown size: log density with the size integrated out, and the size that fits best."""

    log_density: float
    size: float


def log_sized(
    unit: SeenUnit,
    gains: Sequence[tuple[float, float]],
    typical: float,
    *,
    positive: bool = False,
    base_gain: float = 0.0,
    peak_gain: float | None = 0.0,
) -> Sized:
    """Log density of a unit's numbers if a mistake of unknown size stands beside rods and cam.

    Parameters: gains: what one unit of size adds to lift deviation [mm] and cam part [deg] of each event; typical: standard
    deviation of the size beforehand; positive: it cannot be below 0; what it adds to the return to zero and to the peak lift
    [mm] (peak_gain None: the mistake has its own say on the peak).
    """
    rest: list[float | None] = [None] * len(gains)
    found = _sized(unit, gains, rest, typical, positive, base_gain, peak_gain)
    if any(seen.flank.is_secant for seen in unit.events):
        # The slope's doubt acts on what truly travels, which is known once the size is.
        rest = [found.size * lift for lift, _ in gains]
        found = _sized(unit, gains, rest, typical, positive, base_gain, peak_gain)
    return found


def _sized(
    unit: SeenUnit,
    gains: Sequence[tuple[float, float]],
    offsets: Sequence[float | None],
    typical: float,
    positive: bool,
    base_gain: float,
    peak_gain: float | None,
) -> Sized:
    choices: list[list[tuple[float, Quadratic]]] = []
    parts, variances = [], []
    start = reading(0.0, 1.0, typical**2)
    constant = 0.0
    for seen, (gain, _), offset in zip(unit.events, gains, offsets, strict=True):
        error, part, _ = seen.numbers
        if error is not None:
            if gain:
                choices.append(
                    [
                        (log(1.0 - ROD), reading(error, gain, seen.var_sound)),
                        (log(ROD), reading(error, gain, seen.var_fault)),
                    ]
                )
            else:
                constant += seen.log_rod(error)
        parts.append(part - unit.expect)
        variances.append(seen.var_part_at(error if offset is None or error is None else error - offset, offset or 0.0))
    sound = unit.var_expect + unit.cam_sound**2
    angle_gains = [gain for _, gain in gains]
    choices.append(
        [
            (log(1.0 - CAM), shared_readings(parts, angle_gains, variances, sound)),
            (log(CAM), shared_readings(parts, angle_gains, variances, sound + unit.cam_fault**2)),
        ]
    )
    if base_gain and unit.base is not None:
        start += reading(unit.base, base_gain, unit.var_gauge)
    if peak_gain and unit.peak is not None:
        start += reading(unit.peak, peak_gain, unit.var_gauge)
    own_say = peak_gain is None or (peak_gain != 0.0 and unit.peak is not None)
    constant += unit.log_extras(None if base_gain else 0.0, None if own_say else 0.0)
    combined = [(constant, start)]
    for options in choices:
        combined = [(weight + more, sum_ + each) for weight, sum_ in combined for more, each in options]
    terms: list[float] = []
    size = 0.0
    for weight, sum_ in combined:
        value = weight + sum_.log_integral + (log(2.0) + sum_.log_positive if positive else 0.0)
        for seen, (gain, _) in zip(unit.events, gains, strict=True):
            if seen.numbers[0] is None:
                value += seen.log_on_seat(gain * sum_.size)
        if not terms or value > max(terms):
            size = sum_.size
        terms.append(value)
    return Sized(log_sum(terms), size)
