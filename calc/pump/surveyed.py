"""What a cam survey says of a unit: where its whole cam stands, and where it stands at start and end, wear included.

The readings' cam part P_e is how late the cam brings the reference lift h_e. A survey shows the same: the angle a_e at which
the measured cam reaches h_e, so S_e = a_e - f_e. The table's own angles need not be those of the settings; each unit stands
off the table by o_e = f_e - (the table's angle at h_e), and the whole cam's part is the phase less that.

Wear takes lift away in one place. There the angle comes later than the whole cam stands: by the residual over the slope.

What is counted where: survey and readings are taken at the same pointer, so its error is in both and cancels when they are
compared. Each has its own zero of the plunger gauge, so that counts in both.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import fsum, sqrt
from statistics import median

from calc.measure.gum import root_sum_square
from calc.measure.spread import SIGMA_OF_MAD
from calc.pump.cam import Flank
from calc.pump.cause import Estimate, named
from calc.pump.survey import Rows, Survey, compare

AGREES, WEAR, CONTRADICTS, ZERO_OFF, UNKNOWN = "agrees", "wear", "contradicts", "zero_off", "unknown"
WHOLE = "whole"  # The whole cam, beside its events.
NEAR_DEG = 5.0  # Rows further away say nothing of an event: wear is a matter of a few degrees. This project's own choice.
_LOW_SHARE = 0.1  # Level rows below this share of the cam's lift are its base circle.
_ROUNDS = 3


@dataclass(frozen=True, slots=True)
class Reader:
    """How well rows were read: gauge difference and scatter of a lift [mm], scale's u and scatter of an angle [deg]."""

    plunger_mm: float
    lift_scatter_mm: float
    scale_deg: float
    angle_scatter_deg: float

    @property
    def angle_deg(self) -> float:
        """Standard deviation of the angle of a single row [deg]."""
        return root_sum_square((self.scale_deg, self.angle_scatter_deg))


@dataclass(frozen=True, slots=True)
class AtEvent:
    """The surveyed cam at one event: its cam part there [deg], what is left of lift there [mm], and how late that makes it."""

    cam_part: Estimate
    left: Estimate
    later_deg: float

    def worn(self, tolerance_deg: float) -> bool:
        """Whether lift is missing here by the test of a cause; lift in excess is no wear. Parameters: tolerance [deg]."""
        return self.left.value < 0.0 and self.stands_out(tolerance_deg)

    def stands_out(self, tolerance_deg: float) -> bool:
        """Whether lift is missing or in excess here, by the test of a cause. Parameters: tolerance [deg]."""
        return named(self.left.value, self.left.u, self.later_deg, tolerance_deg)


@dataclass(frozen=True, slots=True)
class Surveyed:
    """A survey held against a unit's reference settings.

    phase: the one that wear does not pull, where there is one. residual_mm: what is left of each row by it. cam_part: of the
    whole cam, None where the table does not reach the reference lifts. events: those that have rows around them. zero: what
    is read on the base circle [mm], None without a row there; zero_deg: by how much that moves the whole.
    """

    found: Survey
    phase: Estimate
    residual_mm: tuple[float, ...]
    cam_part: Estimate | None
    events: Mapping[str, AtEvent]
    offsets_deg: Mapping[str, float]
    zero: Estimate | None = None
    zero_deg: float = 0.0

    def zero_is_off(self, tolerance_deg: float) -> bool:
        """Whether the gauge did not stand at the reference's lift on the base circle. Parameters: tolerance [deg]."""
        return self.zero is not None and named(self.zero.value, self.zero.u, self.zero_deg, tolerance_deg)


def hold_against(
    reference: Rows,
    measured: Rows,
    found: Survey,
    flanks: Mapping[str, Flank],
    angles_deg: Mapping[str, float],
    reader: Reader,
) -> Surveyed | None:
    """A survey against a unit's settings.

    Formulas: S = phase - mean o_e, u^2 = u^2(phase) + (u_p / k)^2 + (o_c - o_o)^2 / 12; S_e = a_e - f_e, u^2 = (s^2 + u_p^2) /
    k_e^2, s the scatter of the rows, no less than their readings explain.
    Parameters: the tables [deg, mm] and their `survey`; flank and reference angle [deg] of each event; reader. Returns: None
    for a single row, which has no scatter. Source: JCGM 100:2008; rows near an event are joined by straight lines.

    >>> from calc.pump.cam import CamCurve
    >>> from calc.pump.survey import survey
    >>> rise = [(-40.0, 0.0), (-20.0, 8.0), (0.0, 40.0), (20.0, 58.0), (30.0, 60.0)]
    >>> later = [(angle + 0.5, lift) for angle, lift in rise]
    >>> flanks, angles = {"end": CamCurve.from_table(rise).flank_at(40.0)}, {"end": 0.1}
    >>> held = hold_against(rise, later, survey(rise, later), flanks, angles, Reader(0.01, 0.01, 0.03, 0.05))
    >>> round(held.cam_part.value, 6)
    0.4
    """
    fitted = (found.phase_deg, found.u_phase_deg)
    if found.robust_phase_deg is not None and found.u_robust_deg is not None:
        fitted = (found.robust_phase_deg, found.u_robust_deg)
    phase, u_fit = fitted
    if u_fit is None:
        return None
    residuals, slopes = compare(reference, measured, phase)
    steepest = max(map(abs, slopes))
    flank_rows = [j for j, slope in enumerate(slopes) if abs(slope) > 0.05 * steepest]
    steep = fsum(slopes[j] ** 2 for j in flank_rows)
    # An angle read wrongly counts by the slope of its row; the fit takes all rows for equally good.
    u_phase = max(u_fit, reader.angle_deg * sqrt(fsum(slopes[j] ** 4 for j in flank_rows)) / steep)
    # By how much a zero that is off moves the whole: its error over the slope that the fit sees.
    seen_slope = steep / fsum(abs(slopes[j]) for j in flank_rows)
    scatter = SIGMA_OF_MAD * median(abs(residuals[j]) for j in flank_rows)
    offsets = {event: angles_deg[event] - flank.start_deg for event, flank in flanks.items() if not flank.is_secant}
    whole = None
    if offsets:
        apart = (max(offsets.values()) - min(offsets.values())) / sqrt(12.0)
        u = root_sum_square((u_phase, reader.plunger_mm / seen_slope, apart))
        whole = Estimate(phase - fsum(offsets.values()) / len(offsets), u, u)
    events = {}
    for event in offsets:
        one = _at_event(measured, residuals, phase, flanks[event], offsets[event], scatter, u_phase, reader)
        if one is not None:
            events[event] = one
    zero = _zero(reference, measured, residuals, set(range(len(slopes))) - set(flank_rows), reader)
    moves = 0.0 if zero is None else zero.value / seen_slope
    return Surveyed(found, Estimate(phase, u_phase, u_phase), residuals, whole, events, offsets, zero, moves)


def _zero(
    reference: Rows, measured: Rows, residuals: Sequence[float], level: Collection[int], reader: Reader
) -> Estimate | None:
    """What is left on the base circle, where no phase and no wear of the flank counts."""
    low = _LOW_SHARE * max(lift for _, lift in reference)
    there = [residuals[j] for j in level if measured[j][1] - residuals[j] <= low]
    if not there:
        return None
    u = root_sum_square((reader.plunger_mm, reader.lift_scatter_mm / sqrt(len(there))))
    return Estimate(median(there), u, u)


def _at_event(
    measured: Rows,
    residuals: Sequence[float],
    phase: float,
    flank: Flank,
    offset_deg: float,
    scatter_mm: float,
    u_phase: float,
    reader: Reader,
) -> AtEvent | None:
    k = flank.slope
    rows = sorted((angle, left) for (angle, _), left in zip(measured, residuals, strict=True))
    sound = flank.start_deg + phase
    angle, left = sound, 0.0
    for _ in range(_ROUNDS):
        # Where lift is missing the event comes later, and what is missing there counts.
        between = _between(rows, angle)
        if between is None:
            return None
        left = between
        angle = sound + flank.travel(-left)
    s = max(scatter_mm, root_sum_square((k * reader.angle_deg, reader.lift_scatter_mm)))
    u = root_sum_square((s, reader.plunger_mm)) / k
    u_left = root_sum_square((s, k * u_phase, reader.plunger_mm))
    later = angle - sound
    return AtEvent(Estimate(phase - offset_deg + later, u, u), Estimate(left, u_left, u_left), later)


def _between(rows: Sequence[tuple[float, float]], angle: float) -> float | None:
    """The residual at an angle, between the rows on both sides of it; None where one of them is too far away."""
    for (before, low), (after, high) in pairwise(rows):
        if before <= angle <= after and angle - before <= NEAR_DEG and after - angle <= NEAR_DEG:
            return low if after == before else low + (high - low) * (angle - before) / (after - before)
    return None


@dataclass(frozen=True, slots=True)
class Compared:
    """What survey and readings say of each other.

    says: agrees, wear (they agree, and lift is missing at an event), contradicts, zero_off (the survey's gauge stood off on
    the base circle), or unknown. worn, high: the events at which lift is missing or in excess. apart: by event, and for the
    whole cam, readings less survey [deg].
    """

    says: str
    worn: tuple[str, ...]
    high: tuple[str, ...]
    apart: Mapping[str, Estimate]


def set_beside(surveyed: Surveyed, read: Mapping[str, Estimate], whole: Estimate | None, tolerance_deg: float) -> Compared:
    """Whether the readings' cam parts are those of the survey. 3 u and a third of the tolerance, as for every cause.

    Parameters: read: cam part of each event that has one [deg]; only `alone` counts of its doubt, since the pointer is the
    same. whole: cam part of the unit, None where its events contradict each other. tolerance_deg [deg]. An event without rows
    around it is held against the whole cam.

    >>> from calc.pump.survey import Survey
    >>> there = AtEvent(Estimate(0.4, 0.05, 0.05), Estimate(-0.5, 0.05, 0.05), 0.3)
    >>> seen = Surveyed(Survey(0, 0, (), (), 0, 0), Estimate(0.1, 0.03, 0.03), (), None, {"end": there}, {"end": 0.0})
    >>> set_beside(seen, {"end": Estimate(0.45, 0.06, 0.05)}, None, 0.4).says
    'wear'
    """
    apart = {}
    for event, part in read.items():
        offset = surveyed.offsets_deg.get(event)
        if event in surveyed.events:
            expected = surveyed.events[event].cam_part
        elif surveyed.cam_part is not None and offset is not None:
            expected = Estimate(surveyed.phase.value - offset, surveyed.cam_part.u, surveyed.cam_part.u)
        else:
            continue
        u = root_sum_square((part.alone, expected.u))
        apart[event] = Estimate(part.value - expected.value, u, u)
    worn = tuple(event for event, each in surveyed.events.items() if each.worn(tolerance_deg))
    high = tuple(event for event, each in surveyed.events.items() if each.left.value > 0.0 and each.stands_out(tolerance_deg))
    if whole is not None and surveyed.cam_part is not None and not worn and not high:
        # Wear moves the readings off the whole cam; without it they have to show the same.
        u = root_sum_square((whole.alone, surveyed.cam_part.u))
        apart[WHOLE] = Estimate(whole.value - surveyed.cam_part.value, u, u)
    if surveyed.zero_is_off(tolerance_deg):
        return Compared(ZERO_OFF, worn, high, apart)
    if not apart:
        return Compared(UNKNOWN, worn, high, apart)
    if any(named(each.value, each.u, each.value, tolerance_deg) for each in apart.values()):
        return Compared(CONTRADICTS, worn, high, apart)
    return Compared(WEAR if worn else AGREES, worn, high, apart)


def stands_off(part: Estimate, tolerance_deg: float) -> bool:
    """Whether a cam part is off by the test of a cause. Parameters: part and tolerance [deg].

    >>> stands_off(Estimate(0.5, 0.1, 0.1), 0.4), stands_off(Estimate(0.5, 0.2, 0.2), 0.4)
    (True, False)
    """
    return named(part.value, part.u, part.value, tolerance_deg)
