"""How well explanations fit: densities of readings under small Gaussian models, and their shares by Bayes' rule.

All densities are natural logarithms, so that a very bad fit stays a number.
Source: D. S. Sivia, J. Skilling, "Data Analysis: A Bayesian Tutorial" (2006), chapter 4 (comparing models by their marginal
likelihood; from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import erfc, exp, fsum, inf, log, pi, sqrt
from typing import TypeVar

LOG_TWO_PI = log(2.0 * pi)
NONE = -inf  # The log density of what cannot be.

Key = TypeVar("Key")


def log_normal(distance: float, variance: float) -> float:
    """Log density of a normal value at a distance from its expectation.

    Formula: -(x^2 / v + ln(2 pi v)) / 2. Parameters: distance x [any unit], variance v [its square, above 0].

    >>> round(log_normal(0.0, 1.0), 6)
    -0.918939
    """
    return -0.5 * (distance * distance / variance + log(variance) + LOG_TWO_PI)


def log_sum(terms: Iterable[float]) -> float:
    """Logarithm [1] of a sum of terms that are given as logarithms [1].

    >>> round(log_sum([-1000.0, -1000.0]), 6)
    -999.306853
    """
    terms = list(terms)
    largest = max(terms, default=NONE)
    if largest == NONE:
        return NONE
    return largest + log(fsum(exp(term - largest) for term in terms))


def log_either(first: float, second: float, share: float) -> float:
    """Log density of a value that follows the second law with probability `share`, else the first.

    Parameters: log densities; share [1, above 0, below 1].

    >>> round(log_either(-1.0, -1.0, 0.08), 6)
    -1.0
    """
    first, second = first + log(1.0 - share), second + log(share)
    if first < second:
        first, second = second, first
    return first + log(1.0 + exp(second - first))


def log_below(limit: float, variance: float) -> float:
    """Log probability that a normal value with expectation 0 lies below a limit; never less than -700.

    Formula: ln(erfc(-x / sqrt(2 v)) / 2). Parameters: limit x [any unit], variance v [its square, above 0].

    >>> round(log_below(0.0, 4.0), 6)
    -0.693147
    """
    probability = 0.5 * erfc(-limit / sqrt(2.0 * variance))
    return log(probability) if probability > 1e-300 else -700.0


@dataclass(frozen=True, slots=True)
class Quadratic:
    """The log density of some readings as a function of one unknown size x: -(a x^2 - 2 b x + c) / 2.

    `c` holds the normalising terms too, so quadratics of independent readings add up.
    """

    a: float
    b: float
    c: float

    def __add__(self, other: Quadratic) -> Quadratic:
        """Both groups of readings together.

        >>> Quadratic(1.0, 2.0, 3.0) + Quadratic(1.0, 0.0, 1.0)
        Quadratic(a=2.0, b=2.0, c=4.0)
        """
        return Quadratic(self.a + other.a, self.b + other.b, self.c + other.c)

    @property
    def size(self) -> float:
        """The size that fits best.

        >>> Quadratic(2.0, 1.0, 0.0).size
        0.5
        """
        return self.b / self.a

    @property
    def log_integral(self) -> float:
        """Log of the density with the size integrated out.

        Formula: -(c - b^2 / a) / 2 + ln(2 pi / a) / 2.

        >>> round((reading(1.0, 1.0, 0.5) + reading(0.0, 1.0, 0.5)).log_integral, 6) == round(log_normal(1.0, 1.0), 6)
        True
        """
        return 0.5 * (self.b * self.b / self.a - self.c + LOG_TWO_PI - log(self.a))

    @property
    def log_positive(self) -> float:
        """Log of the share of the integral that has a size above 0.

        >>> round(Quadratic(1.0, 0.0, 0.0).log_positive, 6)
        -0.693147
        """
        return log_below(self.b / sqrt(self.a), 1.0)


def reading(value: float, gain: float, variance: float) -> Quadratic:
    """A reading [any unit] that is `gain` [reading per size] times the unknown size, with this variance [unit squared].

    >>> reading(3.0, 2.0, 1.0).size
    1.5
    """
    return Quadratic(gain * gain / variance, gain * value / variance, value * value / variance + log(variance) + LOG_TWO_PI)


def shared_readings(values: Sequence[float], gains: Sequence[float], variances: Sequence[float], shared: float) -> Quadratic:
    """Readings that are `gains` times the unknown size, each with its own variance and all with one shared error.

    Formula: the covariance diag(v_i) + s 11^T, inverted by Sherman and Morrison. Parameters: variances v_i [above 0],
    shared s [not negative], both [square of the readings' unit].

    >>> shared_readings([3.0], [2.0], [0.5], 0.5) == reading(3.0, 2.0, 1.0)
    True
    """
    total = gains_only = values_only = squares = products = gain_squares = 0.0
    log_det = 0.0
    for value, gain, variance in zip(values, gains, variances, strict=True):
        weight = 1.0 / variance
        total += weight
        gains_only += weight * gain
        values_only += weight * value
        gain_squares += weight * gain * gain
        products += weight * gain * value
        squares += weight * value * value
        log_det += log(variance)
    taken = shared / (1.0 + shared * total)
    return Quadratic(
        gain_squares - taken * gains_only * gains_only,
        products - taken * gains_only * values_only,
        squares - taken * values_only * values_only + log_det + log(1.0 + shared * total) + len(values) * LOG_TWO_PI,
    )


def log_shared(values: Sequence[float], variances: Sequence[float], shared: float) -> float:
    """Log density of readings around 0, each with its own variance and all with one shared error.

    >>> round(log_shared([1.0], [0.5], 0.5), 9) == round(log_normal(1.0, 1.0), 9)
    True
    """
    return -0.5 * shared_readings(values, [0.0] * len(values), variances, shared).c


def shares(weights: Mapping[Key, float]) -> dict[Key, float]:
    """The probability [1] of each explanation from its log weight [1] (log prior plus log density).

    Source: Bayes' rule. Returns: shares that add up to 1.

    >>> shares({"a": -800.0, "b": -800.0})
    {'a': 0.5, 'b': 0.5}
    """
    largest = max(weights.values())
    scaled = {key: exp(weight - largest) for key, weight in weights.items()}
    total = fsum(scaled.values())
    return {key: weight / total for key, weight in scaled.items()}
