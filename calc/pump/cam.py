"""The cam's rising flank: how lift and crank angle belong together.

With a lift table the flank is the monotone cubic through it; without one it is the secant of the reference settings,
whose slope is known to 15 % only. A two-stroke's camshaft turns at crank speed, so a cam degree is a crank degree.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calc.measure.monotone import MonotoneCubic

SECANT_RELATIVE_U = 0.15
LEVEL_MM_PER_DEG = 1e-6  # Flatter than this is level: what is left of a slope there is rounding noise.


def secant_slope(pre_stroke_mm: float, beginning_deg: float, spill_lift_mm: float, end_deg: float) -> float:
    """Mean slope of the flank between the two reference events.

    Formula: (h_o - h_c) / (f_o - f_c). Parameters: lifts [mm], angles [deg after TDC]. Returns: [mm/deg, above 0 for
    settings in order]. Source: definition of a secant.

    >>> round(secant_slope(12.0, -4.5, 36.0, 10.4), 3)
    1.611
    """
    return (spill_lift_mm - pre_stroke_mm) / (end_deg - beginning_deg)


@dataclass(frozen=True, slots=True)
class CamCurve:
    """The rising side of a lift table, up to its first maximum.

    >>> cam = CamCurve.from_table([(-40, 0), (-20, 8), (0, 40), (20, 58), (30, 60), (40, 58)])
    >>> cam.lowest_mm, cam.highest_mm, round(cam.angle_at(40), 9)
    (0, 60, 0)
    """

    rise: MonotoneCubic

    @classmethod
    def from_table(cls, rows: Sequence[tuple[float, float]]) -> CamCurve:
        """The curve through all rows [deg, mm], angles rising strictly, lift not falling before its maximum."""
        angles = [angle for angle, _ in rows]
        lifts = [lift for _, lift in rows]
        # All rows shape the slopes; only the rise can be inverted.
        return cls(MonotoneCubic.through(angles, lifts).up_to(lifts.index(max(lifts))))

    @property
    def lowest_mm(self) -> float:
        """Lift of the first row [mm]."""
        return self.rise.y[0]

    @property
    def highest_mm(self) -> float:
        """Lift of the first maximum [mm]."""
        return self.rise.y[-1]

    def angle_at(self, lift_mm: float) -> float:
        """The table's angle at which the rising plunger first reaches a lift. Raises: ValueError beyond the table."""
        return self.rise.inverse(lift_mm)

    def slope_at(self, lift_mm: float) -> float:
        """Slope of the curve where it first reaches a lift [mm/deg]. Raises: ValueError beyond the table."""
        return self.rise.slope(self.rise.inverse(lift_mm))

    def flank_at(self, lift_mm: float) -> Flank | None:
        """The flank as seen from a reference lift; None where the table does not reach it or is level there."""
        if len(self.rise.x) < 2 or not self.lowest_mm <= lift_mm <= self.highest_mm:
            return None
        start = self.rise.inverse(lift_mm)
        slope = self.rise.slope(start)
        return Flank(lift_mm, slope, self, start) if slope > LEVEL_MM_PER_DEG else None


@dataclass(frozen=True, slots=True)
class Flank:
    """The cam around one reference lift: its slope there, and how far to turn for a lift error.

    `slope` [mm/deg] is used for uncertainties; `travel` follows the curve where there is one.

    >>> Flank(12.0, 1.6).travel(0.8)
    0.5
    """

    lift_mm: float
    slope: float
    curve: CamCurve | None = None
    start_deg: float = 0.0

    @property
    def is_secant(self) -> bool:
        """Whether the slope is the secant's, known to 15 % only."""
        return self.curve is None

    def travel(self, lift_error_mm: float) -> float:
        """Crank angle from the reference lift to the reference lift plus an error.

        Formula: along the curve, angle(h + D) - angle(h); beyond the table straight on with slope k; on a secant D / k.
        Parameters: lift_error_mm [mm, any sign]. Returns: [deg, the sign of the error].

        >>> cam = CamCurve.from_table([(-40, 0), (-20, 8), (0, 40), (20, 58), (30, 60)])
        >>> round(cam.flank_at(8).travel(32.0), 6)
        20.0
        """
        if self.curve is None or lift_error_mm == 0.0:
            return lift_error_mm / self.slope
        target = self.lift_mm + lift_error_mm
        inside = min(max(target, self.curve.lowest_mm), self.curve.highest_mm)
        return self.curve.angle_at(inside) - self.start_deg + (target - inside) / self.slope

    def leaves_table(self, lift_error_mm: float) -> bool:
        """Whether the travel goes on beyond the table.

        >>> Flank(12.0, 1.6).leaves_table(50.0)
        False
        """
        if self.curve is None:
            return False
        return not self.curve.lowest_mm <= self.lift_mm + lift_error_mm <= self.curve.highest_mm


def secant_doubt(travel_deg: float) -> float:
    """Standard uncertainty of a travel that was found with a secant slope.

    Formula: 0.15 |D / k|. Parameters: travel_deg [deg]. Returns: [deg].
    Source: 15 % relative standard uncertainty, this project's own choice for a flank between its two events.

    >>> secant_doubt(-0.5)
    0.075
    """
    return SECANT_RELATIVE_U * abs(travel_deg)
