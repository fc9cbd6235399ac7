"""Monotone piecewise cubic through points that rise, and its inverse.

Source: F. N. Fritsch, J. Butland, "A method for constructing local monotone piecewise cubic interpolants", SIAM J.
Sci. Stat. Comput. 5 (1984) 300; ends as in C. Moler, "Numerical Computing with MATLAB" (2004), 3.6.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise


def fritsch_butland_slopes(x: Sequence[float], y: Sequence[float]) -> list[float]:
    """Slope of the monotone cubic at every point.

    Formula: inside, the weighted harmonic mean of the neighbouring chords, 0 where they turn; at the ends a
    three-point formula that keeps the shape. Parameters: x [rising strictly, 2 and more], y [as many].
    Returns: slopes [y per x]. Source: Fritsch and Butland (1984).

    >>> [round(slope, 4) for slope in fritsch_butland_slopes([0, 1, 2.5, 4], [0, 0.1, 1.2, 3])]
    [0.0, 0.1675, 0.9103, 1.4333]
    """
    width = [b - a for a, b in pairwise(x)]
    chord = [(b - a) / w for (a, b), w in zip(pairwise(y), width, strict=True)]
    if len(chord) == 1:
        return [chord[0], chord[0]]
    inner = []
    for i in range(1, len(chord)):
        before, after = chord[i - 1], chord[i]
        if before * after <= 0.0:
            inner.append(0.0)
        else:
            w1 = 2.0 * width[i] + width[i - 1]
            w2 = width[i] + 2.0 * width[i - 1]
            inner.append((w1 + w2) / (w1 / before + w2 / after))
    first = _end_slope(width[0], width[1], chord[0], chord[1])
    last = _end_slope(width[-1], width[-2], chord[-1], chord[-2])
    return [first, *inner, last]


def _end_slope(near: float, far: float, chord: float, next_chord: float) -> float:
    slope = ((2.0 * near + far) * chord - near * next_chord) / (near + far)
    if slope * chord <= 0.0:
        return 0.0
    if chord * next_chord <= 0.0 and abs(slope) > 3.0 * abs(chord):
        return 3.0 * chord
    return slope


@dataclass(frozen=True, slots=True)
class MonotoneCubic:
    """A curve y(x) through points with rising x; rising in y where the points rise.

    >>> curve = MonotoneCubic.through([0, 1, 2.5, 4, 6, 7], [0, 0.1, 1.2, 3, 3.6, 3.6])
    >>> round(curve.value(3), 6), round(curve.slope(3), 6), round(curve.inverse(2.0), 6)
    (1.814064, 1.435294, 3.127988)
    """

    x: tuple[float, ...]
    y: tuple[float, ...]
    slopes: tuple[float, ...]

    @classmethod
    def through(cls, x: Sequence[float], y: Sequence[float]) -> MonotoneCubic:
        """The curve through these points. x must rise strictly; 2 points give a straight line."""
        return cls(tuple(x), tuple(y), tuple(fritsch_butland_slopes(x, y)))

    def up_to(self, last: int) -> MonotoneCubic:
        """The same curve, cut off behind point number `last` (slopes are those of the whole curve).

        >>> MonotoneCubic.through([0, 1, 2], [0, 1, 0]).up_to(1).slopes
        (2.0, 0.0)
        """
        return MonotoneCubic(self.x[: last + 1], self.y[: last + 1], self.slopes[: last + 1])

    def _local(self, i: int) -> tuple[float, float, float, float]:
        """Width and the coefficients of y = y_i + s (b + s (c + s d)), s the distance from point i."""
        h = self.x[i + 1] - self.x[i]
        chord = (self.y[i + 1] - self.y[i]) / h
        b = self.slopes[i]
        c = (3.0 * chord - 2.0 * b - self.slopes[i + 1]) / h
        d = (b + self.slopes[i + 1] - 2.0 * chord) / (h * h)
        return h, b, c, d

    def _interval(self, at: float) -> int:
        return min(max(bisect_right(self.x, at) - 1, 0), len(self.x) - 2)

    def value(self, at: float) -> float:
        """y at x. The cubic of the first or last interval goes on outside the points."""
        i = self._interval(at)
        _, b, c, d = self._local(i)
        s = at - self.x[i]
        return self.y[i] + s * (b + s * (c + s * d))

    def slope(self, at: float) -> float:
        """dy/dx at x."""
        i = self._interval(at)
        _, b, c, d = self._local(i)
        s = at - self.x[i]
        return b + s * (2.0 * c + s * 3.0 * d)

    def inverse(self, level: float) -> float:
        """The first x at which a curve that never falls reaches this level.

        Parameters: level [unit of y, from the first to the last y]. Returns: x. Raises: ValueError outside.
        Bisection, sped up by Newton steps that stay inside the bracket; on a level stretch its first x.
        """
        if not self.y[0] <= level <= self.y[-1]:
            raise ValueError(f"the curve runs from {self.y[0]} to {self.y[-1]} and never reaches {level}")
        i = bisect_left(self.y, level)
        if self.y[i] == level:
            return self.x[i]
        i -= 1
        h, b, c, d = self._local(i)
        target = level - self.y[i]
        low, high = 0.0, h
        s = h * target / (self.y[i + 1] - self.y[i])
        for _ in range(200):
            miss = s * (b + s * (c + s * d)) - target
            if miss > 0.0:
                high = s
            elif miss < 0.0:
                low = s
            else:
                break
            slope = b + s * (2.0 * c + s * 3.0 * d)
            step = s - miss / slope if slope > 0.0 else low
            following = step if low < step < high else 0.5 * (low + high)
            if following in (s, low, high) or abs(following - s) <= 1e-15 * h:
                s = following
                break
            s = following
        return self.x[i] + s
