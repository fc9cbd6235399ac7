"""One unit in one stage: its cam part, its causes, what to correct."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from calc.findings import CamCorrection, Cause, Correction, RodCorrection, Suspicion
from calc.job.direction import mirrored
from calc.job.model import AHEAD, LIFT_OFF, SPILL_OPENING, SUCTION_CLOSING, VALVE_EVENTS, ZERO_INDEX
from calc.judge.event import JudgedEvent, Placed
from calc.judge.settings import LENGTHENING, RATIO_SPILL, RATIO_SUCTION, ROD_THREAD, Settings, UnitSettings
from calc.measure.conformity import SLACK
from calc.measure.gum import Term
from calc.measure.pool import mean
from calc.pump import cause, correction, doubt
from calc.pump.cause import Estimate

if TYPE_CHECKING:
    from calc.judge.index_lines import IndexWork
    from calc.judge.say import Said
    from calc.judge.surveys import SurveyWork
    from calc.judge.tdc import TdcWork

ROD_OF = {SUCTION_CLOSING: cause.SUCTION_ROD, SPILL_OPENING: cause.SPILL_ROD}
EVENT_OF = {rod: event for event, rod in ROD_OF.items()}
RATIO_PATH = {SUCTION_CLOSING: RATIO_SUCTION, SPILL_OPENING: RATIO_SPILL}


@dataclass(slots=True)
class JudgedUnit:
    """A unit in a stage while it is being judged. Filled step by step, then turned into `UnitFindings`."""

    number: int
    stage: str
    settings: UnitSettings
    readings: dict[str, Placed] = field(default_factory=dict)
    direction: str = AHEAD
    events: dict[str, JudgedEvent] = field(default_factory=dict)
    disagreement: Estimate | None = None
    cam_part: Estimate | None = None
    own_cam_part: Estimate | None = None
    causes: list[Cause] = field(default_factory=list)
    hints: list[Cause] = field(default_factory=list)
    corrections: list[Correction] = field(default_factory=list)
    suspicions: list[Suspicion] = field(default_factory=list)
    said: Said | None = None
    opening_budget: tuple[Term, ...] = ()
    # What was measured around the check, where it was: see `calc.judge.around`.
    tdc: TdcWork | None = None
    survey: SurveyWork | None = None
    index_line: IndexWork | None = None

    @property
    def opening_mm(self) -> float | None:
        """The zero-index opening as read [mm]; None where it was not read."""
        placed = self.readings.get(ZERO_INDEX)
        return None if placed is None or not placed.reading.valve_lift_mm else mean(placed.reading.valve_lift_mm)

    @property
    def clearance_mm(self) -> float | None:
        """The lift-off clearance as read [mm]; None where it was not read."""
        placed = self.readings.get(LIFT_OFF)
        return None if placed is None or not placed.reading.clearance_mm else mean(placed.reading.clearance_mm)

    @property
    def stroke_mm(self) -> float | None:
        """Effective stroke H_o - H_c [mm]; None unless both events have a number."""
        if len(self.events) < len(VALVE_EVENTS):
            return None
        return self.events[SPILL_OPENING].finding.lift_mm - self.events[SUCTION_CLOSING].finding.lift_mm

    @property
    def delivery_deg(self) -> float | None:
        """Delivery angle F_o - F_c [deg]; None unless both events have a number."""
        if len(self.events) < len(VALVE_EVENTS):
            return None
        return self.events[SPILL_OPENING].finding.angle_deg - self.events[SUCTION_CLOSING].finding.angle_deg

    @property
    def disagrees(self) -> bool:
        """Whether start and end contradict each other; then nothing is corrected."""
        return any(each.code == cause.READINGS_DISAGREE for each in self.causes)


BOTH_AGAIN = (
    "Read both events again: zero the plunger gauge on the base circle, turn ahead only, look at the flywheel mark of this "
    "unit. Take the return to zero and the peak lift as well."
)


def find_cam_part(unit: JudgedUnit, settings: Settings) -> None:
    """The unit's cam part, or the disagreement of its two events. Fills `cam_part` or `causes`."""
    events = [unit.events[event] for event in VALVE_EVENTS if event in unit.events]
    parts = [
        Estimate(each.finding.cam_part_deg, each.finding.u_cam_part_deg, doubt.without_pointer(each.budgets.cam_part))
        for each in events
    ]
    if len(parts) == len(VALVE_EVENTS):
        size = parts[0].value - parts[1].value
        u = doubt.of_angle_difference(events[0].budgets.cam_part, events[1].budgets.cam_part)
        unit.disagreement = Estimate(size, u, u)
        if cause.named(size, u, size, settings.tolerance_deg):
            unit.causes.append(
                Cause(
                    code=cause.READINGS_DISAGREE,
                    size=size,
                    unit="deg",
                    u=u,
                    effect_deg=size,
                    check_next=mirrored(BOTH_AGAIN, unit.direction),
                )
            )
            return
    if parts:
        unit.cam_part = cause.unit_cam_part(parts, settings.quality.pointer_deg)


def lift_errors(unit: JudgedUnit, event: str) -> cause.LiftError | None:
    """The unit's lift error at an event, for the test of a common setting; None where it does not take part."""
    judged = unit.events.get(event)
    if judged is None or unit.disagrees:
        return None
    return cause.LiftError(judged.lift_error_mm, judged.finding.u_lift_mm, judged.travel_deg)


ROD_CHECK = {
    SUCTION_CLOSING: "Look at the suction valve's lock nut, rod ends and seat before you turn the rod: wear looks the same.",
    SPILL_OPENING: "Look at the spill valve's lock nut, rod ends, seat and index linkage before you turn the rod: wear looks "
    "the same.",
}
CAM_CHECK = (
    "Look at this unit's cam, roller and TDC mark: a wrong mark looks like a moved cam. Moving a cam is the maker's procedure."
)


def find_rod_causes(unit: JudgedUnit, settings: Settings, cleared: frozenset[str]) -> None:
    """Name the push rods. `cleared`: events whose lift error is a common setting and no rod's."""
    if unit.disagrees:
        return
    for event in VALVE_EVENTS:
        judged = unit.events.get(event)
        if judged is None or event in cleared:
            continue
        size, u, effect = judged.lift_error_mm, judged.finding.u_lift_mm, judged.travel_deg
        found = Cause(code=ROD_OF[event], size=size, unit="mm", u=u, effect_deg=effect, check_next=ROD_CHECK[event])
        if cause.named(size, u, effect, settings.tolerance_deg):
            unit.causes.append(found)
        elif cause.hinted(size, u, effect, settings.tolerance_deg):
            unit.hints.append(found)


def find_cam_cause(unit: JudgedUnit, settings: Settings) -> None:
    """Name this unit's cam where its own part is known; else show a large cam part as a hint."""
    if unit.disagrees:
        return
    part = unit.own_cam_part or unit.cam_part
    if part is None:
        return
    found = Cause(code=cause.CAM_POSITION, size=part.value, unit="deg", u=part.u, effect_deg=part.value, check_next=CAM_CHECK)
    beyond = cause.named(part.value, part.u, part.value, settings.tolerance_deg)
    if beyond and unit.own_cam_part is not None:
        unit.causes.append(found)
    elif beyond or cause.hinted(part.value, part.u, part.value, settings.tolerance_deg):
        unit.hints.append(found)


def find_corrections(unit: JudgedUnit, settings: Settings) -> None:
    """The correction of every cause that has one."""
    for each in unit.causes:
        if each.code in EVENT_OF:
            unit.corrections.append(_rod_correction(unit.events[EVENT_OF[each.code]], each, settings))
        elif each.code == cause.CAM_POSITION and abs(each.size) > settings.tolerance_deg + SLACK:
            unit.corrections.append(CamCorrection(part="cam", change_deg=-each.size))


def _rod_correction(judged: JudgedEvent, found: Cause, settings: Settings) -> RodCorrection:
    event = judged.event
    spill = event == SPILL_OPENING
    change_for = correction.spill_rod_change if spill else correction.suction_rod_change
    change = change_for(found.size, judged.ratio, settings.lengthening_opens)
    rests_on = [RATIO_PATH[event], LENGTHENING]
    pitch = settings.pitch_mm
    if pitch is None:
        turns = flats = hand_flats = hand_change = trial = None
    else:
        rests_on.append(ROD_THREAD)
        turns = correction.turns(change, pitch)
        flats = correction.flats(turns)
        move = correction.by_hand(change, found.size, pitch, judged.ratio, spill, settings.lengthening_opens)
        hand_flats, hand_change = move.flats, move.change_mm
        one_flat = correction.rod_per_flat(pitch) * (1.0 if change > 0.0 else -1.0)
        trial = judged.finding.lift_mm + correction.lift_from_rod(one_flat, judged.ratio, spill, settings.lengthening_opens)
    return RodCorrection(
        part=found.code,
        change_mm=change,
        turns=turns,
        flats=flats,
        hand_flats=hand_flats,
        hand_change_mm=hand_change,
        trial_lift_mm=trial,
        assumes=tuple(path for path in rests_on if path in settings.assumed),
    )
