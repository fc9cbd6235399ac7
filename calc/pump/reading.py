"""From what the gauges show to the lift and angle of an event.

At contact the valve gauge shows the seat-contact reading, and plunger lift and angle are the event's own. At reference
lift the plunger stands where the event should be, and the valve gauge tells how far the valve still is from it.
"""

from __future__ import annotations


def suction_lift_from_valve(reference_lift_mm: float, valve_mm: float, seat_contact_mm: float, ratio: float) -> float:
    """Plunger lift at which the suction valve closes, from its gauge at the reference lift.

    Formula: H_c = h_c + (v - s) / i. A valve still open closes later, at a higher lift. Parameters: lifts and readings
    [mm], v above 0; ratio i, valve movement per plunger movement [mm/mm, above 0]. Returns: [mm].

    >>> round(suction_lift_from_valve(12.0, 0.35, 0.03, 0.8), 6)
    12.4
    """
    return reference_lift_mm + (valve_mm - seat_contact_mm) / ratio


def spill_lift_from_valve(reference_lift_mm: float, valve_mm: float, seat_contact_mm: float, ratio: float) -> float:
    """Plunger lift at which the spill valve opens, from its gauge at the reference lift.

    Formula: H_o = h_o - (v - s) / i. A valve already open has opened earlier, at a lower lift. Parameters and units as
    for the suction valve. Returns: [mm].

    >>> round(spill_lift_from_valve(36.0, 0.10, 0.03, 0.8), 4)
    35.9125
    """
    return reference_lift_mm - (valve_mm - seat_contact_mm) / ratio


def on_seat(valve_readings_mm: tuple[float, ...]) -> bool:
    """Whether any repeat of a valve reading is at or below 0: the valve sits, and its distance is unknown.

    >>> on_seat((0.05, 0.0)), on_seat((0.05,))
    (True, False)
    """
    return min(valve_readings_mm) <= 0.0


def cam_part(angle_deviation_deg: float, travel_deg: float) -> float:
    """The part of an angle deviation that no push rod can cure.

    Formula: P = A - D / k. Parameters: deviation of the event's angle and travel of its lift error [deg]. Returns: [deg,
    positive is late].

    >>> round(cam_part(0.2, 0.192), 3)
    0.008
    """
    return angle_deviation_deg - travel_deg
