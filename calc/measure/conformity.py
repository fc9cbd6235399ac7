"""Is a value inside its limits, given how well it is known?

Source: JCGM 106:2012, 7 (probability of conformity) and 8 (decision rules); ISO 14253-1:2017 for the 95 % limit.
Three answers: within and outside are proven, unclear is neither.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, inf, isinf, log, sqrt

from calc.measure.gum import root_sum_square
from calc.measure.student import normal_cdf, t_cdf, t_quantile

WITHIN, UNCLEAR, OUTSIDE, INCOMPLETE = "within", "unclear", "outside", "incomplete"
WORST_FIRST = (OUTSIDE, UNCLEAR, INCOMPLETE, WITHIN)
PROVEN = 0.95
SLACK = 1e-9  # Limits are typed in decimals; a last-bit difference must not turn a verdict.


def probability_between(value: float, u: float, dof: float, low: float = -inf, high: float = inf) -> float:
    """Probability that the true value lies between two limits.

    Formula: F((high - value) / u) - F((low - value) / u), F Student's t with dof degrees of freedom.
    Parameters: value, low, high [one unit]; u [that unit, above 0]; dof [1, above 0]. Returns: [1, 0 to 1].
    Source: JCGM 106:2012, 7.4.

    >>> round(probability_between(13.6, 1.8, inf, 12.5, 16.3), 2)
    0.66
    """
    if value > 0.5 * (low + high) and not isinf(low) and not isinf(high):
        # Mirror, so that a value beyond the upper limit does not lose its small probability in 1 - 1.
        value, low, high = -value, -high, -low
    upper = 1.0 if isinf(high) else t_cdf((high - value) / u, dof)
    lower = 0.0 if isinf(low) else t_cdf((low - value) / u, dof)
    return max(0.0, upper - lower)


def as_read(value: float, low: float = -inf, high: float = inf) -> str:
    """The answer of someone who takes the reading for the truth: within or outside.

    Parameters: value, low, high [one unit]. Returns: the word. Limits are compared with a slack of 1e-9 of that unit.

    >>> as_read(0.4, -0.4, 0.4), as_read(0.41, -0.4, 0.4)
    ('within', 'outside')
    """
    return WITHIN if low - SLACK <= value <= high + SLACK else OUTSIDE


def verdict(probability: float, read: str) -> str:
    """Three-way verdict from the probability of conformity and the answer as read.

    `within` from 95 %; `outside` up to 5 % and only where the reading itself is outside (a huge uncertainty makes every
    probability small); else `unclear`. Parameters: probability [1, 0 to 1]; read: "within" or "outside".
    Source: ISO 14253-1:2017; JCGM 106:2012, 8.

    >>> verdict(0.96, "within"), verdict(0.04, "outside"), verdict(0.04, "within"), verdict(0.5, "within")
    ('within', 'outside', 'unclear', 'unclear')
    """
    if probability >= PROVEN - SLACK:
        return WITHIN
    if probability <= 1.0 - PROVEN + SLACK and read == OUTSIDE:
        return OUTSIDE
    return UNCLEAR


def worst(verdicts: list[str]) -> str:
    """The verdict of a whole from the verdicts of its parts; incomplete where there is no part.

    >>> worst(["within", "unclear", "incomplete"])
    'unclear'
    """
    return min(verdicts, key=WORST_FIRST.index, default=INCOMPLETE)


def symmetric_probability(deviation: float, u: float, tolerance: float) -> float:
    """Probability that a deviation lies within +/- tolerance, for a normal distribution.

    Formula: F((T - x) / u) - F((-T - x) / u). Parameters: deviation, u, tolerance [one unit; u above 0]. Returns: [1].
    Source: JCGM 106:2012, 7.4.

    >>> round(symmetric_probability(0.28, 0.10, 0.4), 3)
    0.885
    """
    return normal_cdf((tolerance - deviation) / u) - normal_cdf((-tolerance - deviation) / u)


def largest_provable_u(tolerance: float) -> float:
    """The standard uncertainty above which +/- tolerance can never be proven, even at deviation 0.

    Formula: T / z(0.975). Returns: the unit of the tolerance. Source: JCGM 106:2012, 8.3 (guard band as wide as the
    tolerance).

    >>> round(largest_provable_u(0.4), 3)
    0.204
    """
    return tolerance / t_quantile(0.5 + 0.5 * PROVEN, inf)


def largest_provable_deviation(u: float, tolerance: float) -> float | None:
    """The largest deviation that can still be proven to lie within +/- tolerance.

    Formula: the x at which F((T - x) / u) - F((-T - x) / u) = 0.95, for a normal distribution. Parameters: u, tolerance
    [one unit, above 0]. Returns: that unit; None where not even deviation 0 can be proven. Source: JCGM 106:2012, 8.3.

    >>> round(largest_provable_deviation(0.10, 0.4), 3), largest_provable_deviation(0.21, 0.4)
    (0.236, None)
    """
    if u > largest_provable_u(tolerance):
        return None
    return _root(lambda deviation: symmetric_probability(deviation, u, tolerance) - PROVEN, 0.0, tolerance)


def u_needed(deviation: float, tolerance: float) -> float | None:
    """The largest standard uncertainty up to which the verdict on a deviation is clear.

    Formula: the u at which the probability of conformity is 0.95 (inside) or 0.05 (outside), for a normal distribution.
    Parameters: deviation, tolerance [one unit]. Returns: that unit; None at the very limit, where nothing settles it;
    infinity far outside, where no uncertainty makes it unclear.

    >>> round(u_needed(0.28, 0.4), 4)
    0.073
    """
    near, far = abs(abs(deviation) - tolerance), abs(deviation) + tolerance
    if near <= SLACK:
        return None
    one_sided, two_sided = t_quantile(PROVEN, inf), t_quantile(0.5 + 0.5 * PROVEN, inf)
    if abs(deviation) < tolerance:
        goal, low, high = PROVEN, near / two_sided, near / one_sided
    else:
        goal, low = 1.0 - PROVEN, near / one_sided
        # Beyond this u the probability falls again, since the tolerance becomes a slit in a wide bell.
        high = sqrt((far**2 - near**2) / (2.0 * log(far / near)))
        if symmetric_probability(deviation, high, tolerance) <= goal:
            return inf
    return _root(lambda u: symmetric_probability(deviation, u, tolerance) - goal, low, high)


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a function changes sign between two points (false position, Illinois variant)."""
    at_low, at_high = function(low), function(high)
    if at_low * at_high >= 0.0:
        # One end is the root, to the last bit.
        return low if abs(at_low) <= abs(at_high) else high
    point = low
    for _ in range(100):
        previous = point
        point = (low * at_high - high * at_low) / (at_high - at_low)
        value = function(point)
        if value == 0.0 or abs(point - previous) <= 1e-14 * point:
            break
        if value * at_high < 0.0:
            low, at_low = high, at_high
        else:
            at_low *= 0.5
        high, at_high = point, value
    return point


@dataclass(frozen=True, slots=True)
class Settlement:
    """What would turn an unclear verdict into a clear one, if the reading stays where it is.

    `u_needed` is the uncertainty to get below (None at the limit itself); `repeats` the fewest readings that do it
    with these instruments (None where no number does); `limits` names the budget line that stands in the way most.
    """

    u_needed: float | None
    repeats: int | None
    limits: str
    provable: bool


def settle(
    deviation: float, tolerance: float, parts: list[tuple[str, float]], repeat_s: float, most_repeats: int = 20
) -> Settlement:
    """How to make an unclear verdict clear: more repeats, or a finer instrument.

    Formula: u^2(n) = u_fixed^2 + s^2 / n must fall to u_needed^2. Parameters: deviation, tolerance [one unit];
    parts: budget lines that repeats do not shrink, name and u [that unit]; repeat_s: scatter of a single reading
    [that unit]; most_repeats: beyond it nobody reads on [1].

    >>> settle(0.30, 0.4, [("angle scale", 0.03), ("pointer", 0.03)], repeat_s=0.10).repeats
    6
    """
    needed = u_needed(deviation, tolerance)
    fixed = root_sum_square(u for _, u in parts)
    limits = max(parts, key=lambda part: part[1], default=("", 0.0))[0]
    provable = fixed <= largest_provable_u(tolerance)
    repeats = None
    if needed is not None and needed > fixed:
        count = max(1, ceil(repeat_s**2 / (needed**2 - fixed**2) - SLACK))
        repeats = count if count <= most_repeats else None
    return Settlement(needed, repeats, limits, provable)
