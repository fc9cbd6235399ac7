"""How much thread still holds a push rod together once it has been turned."""

from __future__ import annotations


def engagement(thread_length_mm: float, visible_mm: float) -> float:
    """Length of thread inside the rod.

    Formula: thread length - visible thread. Parameters: [mm]. Returns: [mm, above 0 while the thread holds].

    >>> engagement(45.0, 18.0)
    27.0
    """
    return thread_length_mm - visible_mm


def engagement_after(engagement_mm: float, rod_change_mm: float, left_and_right: bool) -> float:
    """Length of thread inside the rod at one end, once the rod's length has been changed.

    Formula: lengthening screws thread out: the whole change at the one end, half of it at each end of a left-and-right-hand
    thread. Parameters: [mm], change [mm, positive lengthens]. Returns: [mm]; at or below 0 the rod has come apart.

    >>> engagement_after(27.0, 1.5, False), engagement_after(27.0, 1.5, True)
    (25.5, 26.25)
    """
    return engagement_mm - (0.5 * rod_change_mm if left_and_right else rod_change_mm)
