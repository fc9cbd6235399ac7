"""Flywheel pointer or camshaft drive: what a TDC check by equal heights makes of the part that all units share.

Signs: a pointer that shows d too much makes every angle read d late, so that the common part c is the drive's own part plus
d. A TDC check read on the same scale finds that same d. So the drive's part is c - d.

What is counted where: the common part's uncertainty holds u_t, for the pointer is not known better than that without a
check. The check measures the very pointer that the readings were taken with, so its error is in c and in d alike and
cancels in c - d; so does whatever the mark was read wrong by. Left are the scatter of the common part alone, and the doubt
of the check itself. Adding u_t once more would count the pointer twice and hide a drive that has moved.
"""

from __future__ import annotations

from math import sqrt

from calc.measure.gum import resolution, root_sum_square
from calc.pump.cause import Estimate, named
from calc.pump.dead_centre import DeadCentre

POINTER, DRIVE, BOTH, NEITHER, UNKNOWN = "pointer", "camshaft_drive", "both", "neither", "unknown"


def check_doubt(found: DeadCentre, step_deg: float, scatter_deg: float) -> float | None:
    """Standard uncertainty of the scale reading at TDC, for a decision.

    Formula: u^2 = q^2 / 24 + max(s^2, r^2 / 2) / n: a midpoint is the mean of two readings, each to a step q and scattering
    by r. The scatter s of the midpoints counts where it is larger. Three pairs that happen to agree prove little: without
    the r that all angles of the job show, one honest pointer in ten would be called wrong.
    Parameters: step q and usual scatter r of a single angle [deg]. Returns: [deg], None for one pair.
    Source: JCGM 100:2008, 4.2 and F.2.2.1; the smaller limit is this project's own choice.

    >>> from calc.pump.dead_centre import find_dead_centre
    >>> round(check_doubt(find_dead_centre([(-24.0, 24.6), (-30.0, 30.6), (-36.0, 36.6)]), 0.1, 0.05), 4)
    0.0289
    """
    if found.u_deg is None:
        return None
    n = len(found.midpoints_deg)
    return root_sum_square((resolution(step_deg) / sqrt(2.0), max(found.u_deg, scatter_deg / sqrt(2.0 * n))))


def drive_part(common: Estimate, pointer: Estimate) -> Estimate:
    """What is left of the common part once the pointer's error is taken out: the camshaft drive, positive late.

    Formula: c - d; u^2 = (u^2(c) - u_t^2) + u^2(d). Returns: [deg].

    >>> drive = drive_part(Estimate(0.5, 0.07, 0.03), Estimate(0.1, 0.04, 0.04))
    >>> round(drive.value, 9), round(drive.u, 9)
    (0.4, 0.05)
    """
    u = root_sum_square((common.alone, pointer.u))
    return Estimate(common.value - pointer.value, u, u)


def what_is_off(pointer: Estimate, drive: Estimate, tolerance_deg: float) -> str:
    """Which of the two is off, by the test that every cause has to pass: beyond 3 u and at least a third of the tolerance.

    Parameters: both parts and the tolerance [deg]. Returns: one of the words above.

    >>> what_is_off(Estimate(0.4, 0.03, 0.03), Estimate(0.05, 0.05, 0.05), 0.4)
    'pointer'
    """
    shows = named(pointer.value, pointer.u, pointer.value, tolerance_deg)
    turned = named(drive.value, drive.u, drive.value, tolerance_deg)
    return {(True, False): POINTER, (False, True): DRIVE, (True, True): BOTH, (False, False): NEITHER}[shows, turned]
