"""Would a correction spoil the cut-out? Told before any nut turns."""

from __future__ import annotations

from calc.findings import AfterCorrection
from calc.measure.conformity import SLACK

WARNING, DANGER = "warning", "danger"


def worst_opening(exact: AfterCorrection | None, by_hand: AfterCorrection | None) -> float | None:
    """The smaller zero-index opening [mm] of the exact correction and of the one a hand can make; None where unknown.

    >>> worst_opening(AfterCorrection(zero_index_opening_mm=0.7), None)
    0.7
    """
    openings = [each.zero_index_opening_mm for each in (exact, by_hand) if each is not None]
    known = [each for each in openings if each is not None]
    return min(known) if known else None


def cut_out_after(
    exact: AfterCorrection | None, by_hand: AfterCorrection | None, limit_mm: float | None, seat_contact_mm: float
) -> str | None:
    """How bad the opening after correction is.

    Rule: at or below the seat-contact reading the unit injects at index 0, a danger; below its limit a warning.
    Returns: "danger", "warning" or None.

    >>> cut_out_after(AfterCorrection(zero_index_opening_mm=0.7), None, 0.9, 0.03)
    'warning'
    """
    opening = worst_opening(exact, by_hand)
    if opening is None:
        return None
    if opening <= seat_contact_mm + SLACK:
        return DANGER
    return WARNING if limit_mm is not None and opening < limit_mm - SLACK else None
