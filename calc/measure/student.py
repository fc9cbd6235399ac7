"""Student's t and the normal distribution, accurate enough to stand behind a verdict.

Sources: M. Abramowitz, I. A. Stegun, "Handbook of Mathematical Functions" (1964), 26.5.8 and 26.7.1;
G. W. Hill, "Algorithm 395: Student's t-distribution", Communications of the ACM 13 (1970) 617.
"""

from __future__ import annotations

from functools import lru_cache
from math import erfc, exp, inf, isinf, lgamma, log, log1p, pi, sqrt
from statistics import NormalDist

_NORMAL = NormalDist()
_MANY = 400.0  # From here on Hill's expansion is as exact as the continued fraction, and much faster.


def normal_cdf(z: float) -> float:
    """Probability that a standard normal variable is at most z.

    Formula: erfc(-z / sqrt(2)) / 2. Parameters: z [1, any]. Returns: probability [1, 0 to 1].
    Source: Abramowitz and Stegun 26.2.29.

    >>> round(normal_cdf(1.96), 4)
    0.975
    """
    return 0.5 * erfc(-z / sqrt(2.0))


def t_cdf(t: float, dof: float) -> float:
    """Probability that Student's t with `dof` degrees of freedom is at most t.

    Formula: half the regularised incomplete beta function I_x(dof/2, 1/2) at x = dof / (dof + t^2).
    Parameters: t [1, any]; dof [1, above 0, infinite means normal]. Returns: probability [1, 0 to 1].
    Source: Abramowitz and Stegun 26.7.1; Hill (1970) for many degrees of freedom.

    >>> round(t_cdf(2.776445, 4), 6)
    0.975
    """
    if t != t or not dof > 0:
        raise ValueError(f"t_cdf needs a number and degrees of freedom above 0, found t={t!r}, dof={dof!r}")
    tail = _upper_tail(abs(t), dof)
    return tail if t < 0 else 1.0 - tail


def _upper_tail(t: float, dof: float) -> float:
    if isinf(dof) or isinf(t):
        return normal_cdf(-t)
    spread = t * t / dof  # may overflow to inf for a huge t: the tail is then 0
    if isinf(spread):
        return 0.0
    if dof >= _MANY:
        return normal_cdf(-_hill_normal(t, dof))
    return 0.5 * _beta_tail(0.5 * dof, spread)


def _hill_normal(t: float, dof: float) -> float:
    """Normal deviate with the same tail as t (Hill 1970, the asymptotic expansion of t in dof)."""
    a = dof - 0.5
    b = 48.0 * a * a
    y = a * log1p(t * t / dof)
    inner = (((-0.4 * y - 3.3) * y - 24.0) * y - 85.5) / (0.8 * y * y + 100.0 + b)
    return ((inner + y + 3.0) / b + 1.0) * sqrt(y)


def _beta_tail(a: float, spread: float) -> float:
    """I_x(a, 1/2) at x = 1 / (1 + spread), both ends kept free of cancellation."""
    if spread == 0.0:
        return 1.0
    x = 1.0 / (1.0 + spread)
    y = spread / (1.0 + spread)
    front = exp(lgamma(a + 0.5) - lgamma(a) - 0.5 * log(pi) - a * log1p(spread) + 0.5 * log(y))
    if x < (a + 1.0) / (a + 2.5):
        return front * _beta_fraction(a, 0.5, x) / a
    return 1.0 - front * _beta_fraction(0.5, a, y) / 0.5


def _beta_fraction(a: float, b: float, x: float) -> float:
    """Continued fraction of the incomplete beta function (26.5.8), evaluated by Lentz's method."""
    tiny = 1e-300
    c = 1.0
    d = 1.0 - (a + b) * x / (a + 1.0)
    d = 1.0 / (d if abs(d) > tiny else tiny)
    value = d
    for m in range(1, 500):
        step = m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m))
        for _ in range(2):
            d = 1.0 + step * d
            d = 1.0 / (d if abs(d) > tiny else tiny)
            c = 1.0 + step / c
            c = c if abs(c) > tiny else tiny
            value *= d * c
            change = d * c
            step = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0))
        if abs(change - 1.0) < 1e-15:
            break
    return value


@lru_cache(maxsize=4096)
def t_quantile(probability: float, dof: float) -> float:
    """The t that Student's t with `dof` degrees of freedom stays below with this probability.

    Parameters: probability [1, between 0 and 1, ends excluded]; dof [1, above 0, infinite means normal].
    Returns: t [1]. Raises: ValueError outside those ranges. Found by bisection on `t_cdf`, so the two agree.
    Source: JCGM 100:2008, table G.2, prints it for two-sided coverage.

    >>> round(t_quantile(0.975, 16), 2)
    2.12
    """
    if not 0.0 < probability < 1.0 or not dof > 0.0:
        raise ValueError(f"t_quantile needs 0 < probability < 1 and dof > 0, found {probability!r}, {dof!r}")
    if isinf(dof):
        return _NORMAL.inv_cdf(probability)
    if probability == 0.5:
        return 0.0
    tail = min(probability, 1.0 - probability)
    sign = -1.0 if probability < 0.5 else 1.0
    low = 0.0
    high = max(1.0, -_NORMAL.inv_cdf(tail))
    while _upper_tail(high, dof) > tail and high < inf:
        low, high = high, 2.0 * high
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if _upper_tail(middle, dof) > tail:
            low = middle
        else:
            high = middle
    return sign * 0.5 * (low + high)
