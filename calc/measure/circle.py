"""Angles on a scale that goes round: there is no plain mean where 359 degrees and 1 degree are neighbours."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, cos, degrees, fsum, hypot, radians, sin


def wrapped(angle_deg: float) -> float:
    """The same direction from -180 up to below 180 degrees. Parameters: [deg]. Returns: [deg].

    >>> wrapped(359.25), wrapped(180.0), wrapped(540.5), wrapped(-181.0)
    (-0.75, -180.0, -179.5, 179.0)
    """
    turned = (angle_deg + 180.0) % 360.0 - 180.0
    return -180.0 if turned >= 180.0 else turned


def unrolled(angles_deg: Sequence[float]) -> list[float]:
    """Directions as numbers on a straight scale, each within half a turn of where most of them point.

    Parameters: [deg, any scale]. Returns: [deg]; their mean and differences are those round the circle.

    >>> [round(each, 6) for each in unrolled([359.0, 1.0, 2.0])]
    [-1.0, 1.0, 2.0]
    """
    east = fsum(cos(radians(each)) for each in angles_deg)
    north = fsum(sin(radians(each)) for each in angles_deg)
    # Where they point everywhere, any of them will do.
    middle = degrees(atan2(north, east)) if hypot(east, north) > 1e-9 * len(angles_deg) else angles_deg[0]
    centre = wrapped(middle)
    return [centre + wrapped(each - centre) for each in angles_deg]


def midpoint(before_deg: float, after_deg: float) -> float:
    """Middle of the arc from one direction ahead to another. Parameters: [deg, any scale]. Returns: [deg, -180 to below 180].

    Formula: before + ((after - before) mod 360) / 2.

    >>> midpoint(350.0, 20.0), midpoint(-24.0, 24.5)
    (5.0, 0.25)
    """
    return wrapped(before_deg + 0.5 * arc(before_deg, after_deg))


def arc(before_deg: float, after_deg: float) -> float:
    """How far it is ahead from one direction to another. Parameters: [deg]. Returns: [deg, 0 to below 360].

    >>> arc(350.0, 20.0)
    30.0
    """
    turn = (after_deg - before_deg) % 360.0
    return 0.0 if turn >= 360.0 else turn
