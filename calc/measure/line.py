"""A straight line through points by least squares: how sure its slope is, and where a new value would fall.

Source: JCGM 100:2008, H.3 (line fit); N. R. Draper, H. Smith, "Applied Regression Analysis" (1998), 1.4 and 3.1
(interval for one new value). Values are centred first, so that large hours do not cost digits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, inf, sqrt

from calc.measure.gum import COVERAGE
from calc.measure.student import t_quantile

# A slope that moves the values by less than this share of their size over the whole range is rounding noise.
_NOISE = 1e-12


@dataclass(frozen=True, slots=True)
class Line:
    """y = mean_y + slope (x - mean_x), with what is needed to tell how sure it is.

    `s` is the scatter of one value about the line, with `dof` degrees of freedom; both of no meaning where dof is 0.

    >>> line = fit_line([0.0, 1.0, 2.0, 3.0], [1.0, 2.1, 2.9, 4.0])
    >>> round(line.slope, 3), round(line.s, 3), line.dof, line.slope_proven()
    (0.98, 0.095, 2, True)
    """

    mean_x: float
    mean_y: float
    slope: float
    sxx: float
    s: float
    dof: int
    count: int
    noise: bool

    def value(self, x: float) -> float:
        """The line at x. Returns: the unit of y."""
        return self.mean_y + self.slope * (x - self.mean_x)

    @property
    def u_slope(self) -> float:
        """Standard uncertainty of the slope. Formula: s / sqrt(Sxx)."""
        return self.s / sqrt(self.sxx)

    @property
    def intercept(self) -> float:
        """The line at x = 0."""
        return self.value(0.0)

    @property
    def u_intercept(self) -> float:
        """Standard uncertainty of the line at x = 0."""
        return self.u_value(0.0)

    def u_value(self, x: float) -> float:
        """Standard uncertainty of the line at x. Formula: s sqrt(1/n + (x - mean_x)^2 / Sxx)."""
        return self.s * sqrt(1.0 / self.count + (x - self.mean_x) ** 2 / self.sxx)

    def u_new(self, x: float) -> float:
        """Standard uncertainty of one new value at x. Formula: s sqrt(1 + 1/n + (x - mean_x)^2 / Sxx)."""
        return self.s * sqrt(1.0 + 1.0 / self.count + (x - self.mean_x) ** 2 / self.sxx)

    def prediction(self, x: float, coverage: float = COVERAGE) -> tuple[float, float]:
        """The interval in which one new value at x falls, with this probability. Student's t with `dof`."""
        half = t_quantile(0.5 + 0.5 * coverage, self.dof) * self.u_new(x)
        return self.value(x) - half, self.value(x) + half

    def slope_proven(self, coverage: float = COVERAGE) -> bool:
        """Whether the slope differs from 0 with this confidence, on both sides."""
        if self.dof < 1 or self.noise:
            return False
        return abs(self.slope) > t_quantile(0.5 + 0.5 * coverage, self.dof) * self.u_slope


def fit_line(x: Sequence[float], y: Sequence[float]) -> Line | None:
    """The line of least squares.

    Formula: slope = Sxy / Sxx, s^2 = RSS / (n - 2). Parameters: x, y [any unit each; as many]. Returns: the line, None
    where all x are the same (one point too). Source: JCGM 100:2008, H.3.

    >>> fit_line([1.0, 1.0], [2.0, 3.0]) is None
    True
    """
    return fit_common_line([0] * len(x), x, y)


def fit_common_line(groups: Sequence[int], x: Sequence[float], y: Sequence[float]) -> Line | None:
    """One slope for several runs of values, each with its own level; the line returned runs through the last one.

    Formula: as for one line, with x and y counted from the means of their group; s^2 = RSS / (n - groups - 1).
    Parameters: groups: a number for each value, rising; x, y [any unit each]. Returns: the line at the level of the last
    group, None where no group has two different x. Source: analysis of covariance, Draper and Smith (1998), 14.

    >>> round(fit_common_line([0, 0, 1, 1], [0.0, 1.0, 2.0, 3.0], [0.0, 1.0, 0.0, 1.0]).slope, 9)
    1.0
    """
    centred_x, centred_y = list(x), list(y)
    last_x = last_y = 0.0
    last_count = 0
    for group in dict.fromkeys(groups):
        members = [i for i, each in enumerate(groups) if each == group]
        last_count = len(members)
        last_x, last_y = (fsum(values[i] for i in members) / last_count for values in (x, y))
        for i in members:
            centred_x[i] -= last_x
            centred_y[i] -= last_y
    sxx = fsum(each * each for each in centred_x)
    if sxx <= 0.0 or len(set(x)) < 2:
        return None
    slope = fsum(a * b for a, b in zip(centred_x, centred_y, strict=True)) / sxx
    rss = fsum((b - slope * a) ** 2 for a, b in zip(centred_x, centred_y, strict=True))
    dof = len(x) - len(set(groups)) - 1
    s = sqrt(rss / dof) if dof > 0 else inf
    size = max(abs(each) for each in y)
    noise = abs(slope) * max(abs(each) for each in centred_x) <= _NOISE * size
    return Line(last_x, last_y, slope, sxx, s, dof, last_count, noise)


def steps_to_reach(line: Line, start: float, limit: float, most: float, coverage: float = COVERAGE) -> float | None:
    """How far beyond `start` the interval for one new value first touches plus or minus `limit`.

    Parameters: start, most [unit of x]; limit [unit of y, above 0]. Returns: [unit of x], 0 where it does so at the start,
    None where it does not within `most`. The upper end of the interval is a convex curve and the lower a concave one, so
    one that lies inside at the start crosses at most once: bisection finds it.

    >>> line = fit_line([0.0, 1.0, 2.0, 3.0], [0.0, 1.0, 2.0, 3.0])
    >>> round(steps_to_reach(line, 3.0, 5.0, 100.0), 6)
    2.0
    """

    def reached(distance: float) -> bool:
        low, high = line.prediction(start + distance, coverage)
        return high >= limit or low <= -limit

    if reached(0.0):
        return 0.0
    if not reached(most):
        return None
    below, beyond = 0.0, most
    while True:
        middle = 0.5 * (below + beyond)
        if middle in (below, beyond):
            return beyond
        if reached(middle):
            beyond = middle
        else:
            below = middle
