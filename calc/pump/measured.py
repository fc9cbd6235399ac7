"""Valve ratio and cam slope, each measured from two points near an event instead of taken from a paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, sqrt

from calc.measure.gum import Term, combined, effective_dof, expanded
from calc.measure.pool import Repeatability, mean
from calc.pump.doubt import ANGLE_REPEATS, ANGLE_SCALE, LIFT_REPEATS, PLUNGER_GAUGE, VALVE_GAUGE, VALVE_REPEATS

NO_SCATTER = Repeatability(0.0, inf)


@dataclass(frozen=True, slots=True)
class Measured:
    """A quotient of two differences, with its budget: value [one unit], lines of its doubt [that unit]."""

    value: float
    terms: tuple[Term, ...]

    @property
    def u(self) -> float:
        """Standard uncertainty [the unit of the value]."""
        return combined(self.terms)

    @property
    def dof(self) -> float:
        """Effective degrees of freedom."""
        return effective_dof(self.terms)

    @property
    def half_width(self) -> float:
        """Half-width of the 95 % range [the unit of the value]."""
        return expanded(self.u, self.dof)

    def agrees_with(self, other: float, u_other: float = 0.0) -> bool:
        """Whether another value of the same unit lies within 95 % of this one, both doubts counted.

        >>> Measured(1.6, (Term("scale", 0.05),)).agrees_with(1.69), Measured(1.6, (Term("scale", 0.05),)).agrees_with(1.8, 0.1)
        (True, True)
        """
        terms = (*self.terms, Term("other", u_other))
        return abs(self.value - other) <= expanded(combined(terms), effective_dof(terms))


def _scatter(scatter: Repeatability, first: Sequence[float], second: Sequence[float], name: str, per: float) -> Term:
    """The line of the repeats: two means, each of its own number of readings."""
    return Term(name, scatter.s * sqrt(1.0 / len(first) + 1.0 / len(second)) * abs(per), scatter.dof)


def valve_ratio(
    plunger_mm: tuple[Sequence[float], Sequence[float]],
    valve_mm: tuple[Sequence[float], Sequence[float]],
    u_plunger_mm: float,
    u_valve_mm: float,
    plunger_scatter: Repeatability = NO_SCATTER,
    valve_scatter: Repeatability = NO_SCATTER,
) -> Measured:
    """Valve movement per plunger movement between two points near an event, the rods untouched.

    Formula: i = |v2 - v1| / |h2 - h1|; u^2(i) = (u_v / dh)^2 + (i u_p / dh)^2 + repeats. Parameters: readings of each point,
    repeats side by side, the valve off its seat at both [mm]; u of a difference of each gauge [mm]. Returns: ratio [mm/mm].
    Source: JCGM 100:2008, equation 10.

    >>> found = valve_ratio(([12.0], [11.0]), ([0.03], [0.83]), 0.01, 0.005)
    >>> round(found.value, 6), round(found.u, 4)
    (0.8, 0.0094)
    """
    lift = mean(plunger_mm[1]) - mean(plunger_mm[0])
    ratio = abs((mean(valve_mm[1]) - mean(valve_mm[0])) / lift)
    return Measured(
        ratio,
        (
            Term(VALVE_GAUGE, abs(u_valve_mm / lift)),
            Term(PLUNGER_GAUGE, abs(ratio * u_plunger_mm / lift)),
            _scatter(valve_scatter, *valve_mm, VALVE_REPEATS, 1.0 / lift),
            _scatter(plunger_scatter, *plunger_mm, LIFT_REPEATS, ratio / lift),
        ),
    )


def cam_slope(
    plunger_mm: tuple[Sequence[float], Sequence[float]],
    angle_deg: tuple[Sequence[float], Sequence[float]],
    u_plunger_mm: float,
    u_scale_deg: float,
    plunger_scatter: Repeatability = NO_SCATTER,
    angle_scatter: Repeatability = NO_SCATTER,
) -> Measured:
    """Slope of the cam between two points near an event, both reached turning ahead.

    Formula: k = (h2 - h1) / (f2 - f1); u^2(k) = (u_p / df)^2 + 2 (k q / (sqrt(12) df))^2 + repeats. The pointer is the same at
    both points and cancels. Parameters: readings of each point, repeats side by side [mm], [deg]; u of a difference on the
    plunger gauge [mm]; u of one reading of the scale, q / sqrt(12) [deg]. Returns: slope [mm/deg].
    Source: JCGM 100:2008, equation 10.

    >>> found = cam_slope(([11.5], [12.5]), ([-4.8], [-4.2]), 0.01, 0.03)
    >>> round(found.value, 4), round(found.u, 4)
    (1.6667, 0.119)
    """
    turn = mean(angle_deg[1]) - mean(angle_deg[0])
    slope = (mean(plunger_mm[1]) - mean(plunger_mm[0])) / turn
    return Measured(
        slope,
        (
            Term(PLUNGER_GAUGE, abs(u_plunger_mm / turn)),
            Term(ANGLE_SCALE, abs(slope * sqrt(2.0) * u_scale_deg / turn)),
            _scatter(plunger_scatter, *plunger_mm, LIFT_REPEATS, 1.0 / turn),
            _scatter(angle_scatter, *angle_deg, ANGLE_REPEATS, slope / turn),
        ),
    )
