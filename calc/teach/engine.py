"""An invented engine for a question, and its numbers in words."""

from __future__ import annotations

from dataclasses import dataclass

from calc.job.words import angle_words, plain, signed
from calc.pump.cam import secant_slope
from calc.teach.draw import Draw
from calc.working import Line


def mm(value: float, digits: int = 2) -> str:
    """A length. Parameters: [mm].

    >>> mm(12.3)
    '12.30 mm'
    """
    return f"{plain(value, digits)} mm"


def deg(value: float, digits: int = 2) -> str:
    """An angle deviation with its sign. Parameters: [deg].

    >>> deg(0.2)
    '+0.20°'
    """
    return f"{signed(value, digits)}°"


def event(lift_mm: float, angle_deg: float) -> str:
    """A lift and the angle it belongs to. Parameters: [mm], [deg].

    >>> event(12.0, -4.5)
    '12.00 mm at 4.5° before TDC'
    """
    return f"{mm(lift_mm)} at {angle_words(angle_deg)}"


def late(value: float, digits: int = 2) -> str:
    """A deviation in words. Parameters: [deg].

    >>> late(-0.2)
    '0.20° early'
    """
    return f"{plain(abs(value), digits)}° {'late' if value > 0 else 'early'}"


@dataclass(frozen=True, slots=True)
class Engine:
    """What a question needs of one unit's reference settings [mm], [deg after TDC], one ratio for both valves [mm/mm]."""

    pre_stroke_mm: float
    beginning_deg: float
    spill_lift_mm: float
    end_deg: float
    ratio: float
    seat_mm: float

    @classmethod
    def drawn(cls, draw: Draw) -> Engine:
        """Numbers of an engine that could be, and that nobody has."""
        return cls(
            pre_stroke_mm=draw.number(9.0, 14.0, 0.5),
            beginning_deg=-draw.number(3.0, 7.0, 0.1),
            spill_lift_mm=draw.number(30.0, 40.0, 0.5),
            end_deg=draw.number(8.0, 13.0, 0.1),
            ratio=draw.pick((0.7, 0.75, 0.85, 0.9)),
            seat_mm=draw.pick((0.03, 0.04, 0.05)),
        )

    @property
    def stroke_mm(self) -> float:
        """Reference effective stroke [mm]."""
        return self.spill_lift_mm - self.pre_stroke_mm

    @property
    def slope(self) -> float:
        """Secant slope of the cam [mm/deg]."""
        return secant_slope(self.pre_stroke_mm, self.beginning_deg, self.spill_lift_mm, self.end_deg)

    @property
    def settings(self) -> tuple[tuple[str, str], ...]:
        """The reference settings in words."""
        return (
            ("start, reference", event(self.pre_stroke_mm, self.beginning_deg)),
            ("end, reference", event(self.spill_lift_mm, self.end_deg)),
        )

    @property
    def valve(self) -> tuple[tuple[str, str], ...]:
        """What a valve reading needs, in words."""
        return (("valve ratio i", plain(self.ratio, 2)), ("seat-contact reading s", mm(self.seat_mm)))

    @property
    def slope_line(self) -> Line:
        """The line of the working that finds the slope."""
        h, top = plain(self.pre_stroke_mm, 2), plain(self.spill_lift_mm, 2)
        f, end = plain(self.beginning_deg, 1), plain(self.end_deg, 1)
        return Line(
            "cam slope k (secant)",
            "(h_o − h_c) / (f_o − f_c)",
            f"({top} − {h}) / ({end} − ({f}))",
            f"{plain(self.slope, 4)} mm/°",
        )
