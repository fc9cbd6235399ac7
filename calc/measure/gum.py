"""Standard uncertainties and their combination.

Source: JCGM 100:2008 (GUM), 4.3.7, F.2.2.1, equations 10 and G.2b.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import floor, fsum, inf, isinf, sqrt
from typing import NamedTuple

from calc.measure.student import t_quantile

COVERAGE = 0.95


class Term(NamedTuple):  # a tuple, since a job makes hundreds of them
    """One line of an uncertainty budget: where the doubt comes from, how large, how well known.

    `name` is a key for people and pictures; `u` is the standard uncertainty in the unit of the result (the
    sensitivity is already in it); `dof` its degrees of freedom, infinite where it does not come from repeats.

    >>> Term("pointer", 0.05).dof
    inf
    """

    name: str
    u: float
    dof: float = inf


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value that lies anywhere within +/- half_width.

    Formula: a / sqrt(3). Parameters: half_width [any unit, not negative]. Returns: the same unit.
    Source: JCGM 100:2008, 4.3.7.

    >>> round(rectangular(0.005), 6)
    0.002887
    """
    return half_width / sqrt(3.0)


def resolution(step: float) -> float:
    """Standard uncertainty of one reading to the nearest step.

    Formula: step / sqrt(12). Parameters: step [any unit, not negative]. Returns: the same unit.
    Source: JCGM 100:2008, F.2.2.1.

    >>> round(resolution(0.1), 5)
    0.02887
    """
    return step / sqrt(12.0)


def root_sum_square(values: Iterable[float]) -> float:
    """Length of a sum of independent parts: sqrt of the sum of squares.

    Parameters: values [one unit]. Returns: [that unit]. Source: JCGM 100:2008, equation 10.

    >>> root_sum_square([3.0, 4.0])
    5.0
    """
    return sqrt(fsum(value * value for value in values))


def combined(terms: Iterable[Term]) -> float:
    """Combined standard uncertainty of independent terms.

    Formula: sqrt(sum u_i^2). Returns: the unit of the terms. Source: JCGM 100:2008, equation 10.

    >>> round(combined([Term("a", 0.25), Term("b", 0.57), Term("c", 0.82)]), 2)
    1.03
    """
    total = 0.0
    for term in terms:
        total += term.u * term.u
    return sqrt(total)


def welch_satterthwaite(terms: Iterable[Term]) -> float:
    """Effective degrees of freedom of a combination.

    Formula: u_c^4 / sum(u_i^4 / nu_i). Returns: [1, above 0], infinity when no term has a finite one.
    Source: JCGM 100:2008, equation G.2b.

    >>> round(welch_satterthwaite([Term("a", 0.25, 9), Term("b", 0.57, 4), Term("c", 0.82, 14)]), 1)
    19.0
    """
    terms = list(terms)
    u = combined(terms)
    doubt = 0.0
    for term in terms:
        if term.dof != inf and term.u > 0.0:
            # Relative size first: a fourth power of a very small or large number would leave the range of a double.
            doubt += (term.u / u) ** 4 / term.dof
    return 1.0 / doubt if doubt > 0.0 else inf


def effective_dof(terms: Iterable[Term]) -> float:
    """Effective degrees of freedom rounded down to a whole number, at least 1.

    The rounding down forgives 1e-9, so that a sum that is exactly whole is not cut by its last bit.
    Source: JCGM 100:2008, G.6.4.

    >>> effective_dof([Term("repeats", 3.0, 5), Term("step", 1.0)])
    6.0
    """
    dof = welch_satterthwaite(terms)
    return dof if isinf(dof) else float(max(1, floor(dof + 1e-9)))


def expanded(u: float, dof: float, coverage: float = COVERAGE) -> float:
    """Half-width of the interval that covers the true value with the stated probability.

    Formula: U = t_p(nu) * u. Parameters: u [any unit, not negative]; dof [1, above 0]; coverage [1, 0 to 1].
    Returns: the unit of u. Source: JCGM 100:2008, G.3.2.

    >>> round(expanded(1.03, 19), 1)
    2.2
    """
    return t_quantile(0.5 + 0.5 * coverage, dof) * u
