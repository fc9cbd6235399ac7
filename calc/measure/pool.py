"""Repeats of several groups pooled into one deviation.

Source: JCGM 100:2008, 4.2.4 and H.3.6 (pooled experimental standard deviation); the same as the within-groups
mean square of a one-way analysis of variance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, inf, sqrt

from calc.measure.gum import Term


def mean(values: Sequence[float]) -> float:
    """Arithmetic mean of one or more readings.

    Formula: sum / n. Returns: the unit of the readings.

    >>> mean([12.31, 12.30])
    12.305
    """
    return fsum(values) / len(values)


def sum_of_squares(values: Sequence[float]) -> float:
    """Sum of squared distances from the mean; 0 for a single reading.

    >>> sum_of_squares([1.0, 3.0])
    2.0
    """
    if len(values) == 1:
        return 0.0
    middle = mean(values)
    total = 0.0
    for value in values:
        total += (value - middle) ** 2
    return total


@dataclass(frozen=True, slots=True)
class Repeatability:
    """How far repeats of one kind of reading scatter: `s` for a single reading, with `dof` degrees of freedom.

    `dof` is infinite where `s` was stated and not found from repeats.
    """

    s: float
    dof: float

    @property
    def from_repeats(self) -> bool:
        """Whether the readings themselves told the scatter.

        >>> Repeatability(0.01, 4).from_repeats
        True
        """
        return self.dof != inf

    def of_mean(self, count: int, name: str, sensitivity: float = 1.0) -> Term:
        """Budget line for the mean of `count` repeats.

        Formula: s / sqrt(n) * sensitivity. Parameters: count [1, 1 and up]; sensitivity [result per reading].

        >>> Repeatability(0.02, 3).of_mean(4, "repeats")
        Term(name='repeats', u=0.01, dof=3)
        """
        return Term(name, self.s / sqrt(count) * abs(sensitivity), self.dof)


def pooled(groups: Sequence[Sequence[float]], stated: float) -> Repeatability:
    """Scatter of single readings, from every group of repeats together.

    Formula: s^2 = sum of squares within groups / sum(n_i - 1). Where no group has a repeat, the stated
    repeatability takes its place. Parameters: groups [any unit]; stated [the same unit, not negative].

    >>> pooled([[1.0, 3.0], [2.0, 2.0]], stated=0.5)
    Repeatability(s=1.0, dof=2)
    >>> pooled([[1.0], [2.0]], stated=0.5)
    Repeatability(s=0.5, dof=inf)
    """
    dof = sum(len(group) - 1 for group in groups)
    if dof == 0:
        return Repeatability(stated, inf)
    return Repeatability(sqrt(fsum(sum_of_squares(group) for group in groups) / dof), dof)


def dominant(groups: Sequence[Sequence[float]]) -> int | None:
    """Index of the group that makes up more than half of the pooled sum of squares, if one of several does.

    One slip of the hand in a pool hides everything else, so people are told. With a single group of repeats there
    is nothing to compare it with.

    >>> dominant([[1.0, 1.1], [2.0, 2.0], [3.0, 4.0]])
    2
    """
    if sum(len(group) > 1 for group in groups) < 2:
        return None
    squares = [sum_of_squares(group) for group in groups]
    largest = max(range(len(squares)), key=squares.__getitem__)
    return largest if squares[largest] > 0.5 * fsum(squares) else None
