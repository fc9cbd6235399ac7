"""Middle and scatter of values of which some may be far off."""

from __future__ import annotations

from collections.abc import Collection
from statistics import median

SIGMA_OF_MAD = 1.4826  # Of a normal distribution, rounded as it is usually printed.


def middle_and_scatter(values: Collection[float]) -> tuple[float, float]:
    """The median, and the standard deviation told from the median distance to it.

    Formula: scatter = 1.4826 median(|x - median(x)|). Parameters: values [any unit], one at least. Returns: both in that unit.
    Source: F. R. Hampel, J. Am. Stat. Assoc. 69 (1974) 383.

    >>> middle, scatter = middle_and_scatter([12.01, 12.03, 12.02, 12.04, 12.35])
    >>> middle, round(scatter, 6)
    (12.03, 0.014826)
    """
    middle = median(values)
    return middle, SIGMA_OF_MAD * median([abs(each - middle) for each in values])
