"""What a unit's readings would be once something has been moved: the listed corrections, or whatever a person tries."""

from __future__ import annotations

from calc.findings import AfterCorrection, CamCorrection
from calc.job.model import SPILL_OPENING, SUCTION_CLOSING, VALVE_EVENTS
from calc.judge.settings import Settings
from calc.judge.unit import EVENT_OF, JudgedUnit
from calc.pump import correction
from calc.pump.what_if import Shift, deviation_after

# The stage of what is only predicted; no reading has it.
PREDICTED = "predicted"


def lift_change(shift: Shift, event: str) -> float:
    """How far an event's lift is moved [mm]."""
    return shift.start_mm if event == SUCTION_CLOSING else shift.end_mm


def after_shift(unit: JudgedUnit, settings: Settings, shift: Shift) -> AfterCorrection:
    """The deviations, stroke and zero-index opening of a unit after a shift; None what was not read."""
    deviation: dict[str, float | None] = {}
    for event in VALVE_EVENTS:
        judged = unit.events.get(event)
        deviation[event] = (
            None
            if judged is None
            else deviation_after(
                judged.finding.deviation_deg,
                judged.lift_error_mm,
                judged.travel_deg,
                lift_change(shift, event),
                shift.cam_deg,
                unit.settings.flank[event],
            )
        )
    stroke, opening = unit.stroke_mm, unit.opening_mm
    return AfterCorrection(
        beginning_deviation_deg=deviation[SUCTION_CLOSING],
        end_deviation_deg=deviation[SPILL_OPENING],
        effective_stroke_mm=None if stroke is None else stroke + shift.stroke_mm,
        zero_index_opening_mm=None
        if opening is None
        else correction.zero_index_opening_after(opening, settings.ratio[SPILL_OPENING], shift.start_mm, shift.end_mm),
    )


def after_correction(unit: JudgedUnit, settings: Settings, by_hand: bool) -> AfterCorrection | None:
    """The deviations, stroke and zero-index opening that the corrections would leave.

    Parameters: by_hand: with rods moved by the quarter flats that a hand can turn; None where a pitch is missing for that.
    """
    if not unit.corrections:
        return None
    moved = dict.fromkeys(VALVE_EVENTS, 0.0)
    cam_change = 0.0
    for each in unit.corrections:
        if isinstance(each, CamCorrection):
            cam_change = each.change_deg
            continue
        event = EVENT_OF[each.part]
        if not by_hand:
            moved[event] = -unit.events[event].lift_error_mm
        elif each.hand_change_mm is None:
            return None
        else:
            moved[event] = correction.lift_from_rod(
                each.hand_change_mm, settings.ratio[event], event == SPILL_OPENING, settings.lengthening_opens
            )
    return after_shift(unit, settings, Shift(moved[SUCTION_CLOSING], moved[SPILL_OPENING], cam_change))
