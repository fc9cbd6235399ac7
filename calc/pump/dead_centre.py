"""Top dead centre found by equal piston heights before and after it.

At TDC itself the piston hardly moves (0.02 mm in a quarter of a degree on a stroke of 2400 mm), so it cannot be read
there. Half way between two angles of equal height it can. Play is taken up in the turning direction each time:
play taken up on one side only moves the result by half of it. Source: geometry of the slider crank.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from calc.measure.circle import midpoint, unrolled, wrapped
from calc.measure.pool import mean, sum_of_squares


@dataclass(frozen=True, slots=True)
class DeadCentre:
    """Scale reading at TDC [deg], its standard uncertainty [deg, None for one pair], and the midpoints it rests on."""

    tdc_deg: float
    u_deg: float | None
    midpoints_deg: tuple[float, ...]

    @property
    def spread_deg(self) -> float:
        """Largest minus smallest midpoint [deg].

        >>> round(find_dead_centre([(-24.0, 24.6), (-30.0, 30.8)]).spread_deg, 9)
        0.1
        """
        return max(self.midpoints_deg) - min(self.midpoints_deg)


def find_dead_centre(pairs: Sequence[tuple[float, float]]) -> DeadCentre:
    """TDC from pairs of angles at equal piston height, the first before and the second after TDC.

    Formula: mean of the midpoints round the circle; u = s / sqrt(n). Parameters: pairs [deg, any scale].
    Returns: reading of the scale at TDC [deg, -180 to below 180].

    >>> found = find_dead_centre([(335.98370, 24.75630), (330.0, 30.8)])
    >>> round(found.tdc_deg, 4), round(found.u_deg, 4)
    (0.385, 0.015)
    """
    middles = unrolled([midpoint(before, after) for before, after in pairs])
    n = len(middles)
    u = sqrt(sum_of_squares(middles) / (n - 1) / n) if n > 1 else None
    return DeadCentre(wrapped(mean(middles)), u, tuple(middles))
