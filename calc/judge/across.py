"""What the units of one stage share: a common setting at an event, and the common part of their cam positions."""

from __future__ import annotations

from collections.abc import Sequence

from calc.findings import Cause, CommonPart, Notice
from calc.job.model import EVENTS, SPILL_OPENING, STAGES, SUCTION_CLOSING, VALVE_EVENTS
from calc.job.words import signed
from calc.judge.settings import Settings
from calc.judge.unit import JudgedUnit, lift_errors
from calc.pump import cause

SETTING_CHECK = {
    SUCTION_CLOSING: "Check the variable injection timing, the timing offset for the fuel in use, and the seat-contact "
    "reading. Turn no rod of this event until it is cleared.",
    SPILL_OPENING: "Check the fuel index at every unit, the index linkage, and the timing offset for the fuel in use. "
    "Turn no rod of this event until it is cleared.",
}
SHIFT_CHECK = (
    "Check the flywheel pointer by a TDC check with equal heights. If the pointer is right, the camshaft drive has moved: the "
    "maker's procedure."
)


def find_common_settings(units: Sequence[JudgedUnit], settings: Settings, notices: list[Notice]) -> frozenset[str]:
    """Events at which all units share a lift error. Adds the cause to every unit that took part."""
    cleared = set()
    for event in VALVE_EVENTS:
        took_part = [(unit, error) for unit in units if (error := lift_errors(unit, event)) is not None]
        shared = cause.common_setting([error for _, error in took_part], settings.tolerance_deg)
        if shared is None:
            continue
        cleared.add(event)
        for unit, error in took_part:
            unit.causes.append(
                Cause(
                    code=cause.COMMON_SETTING,
                    event=event,
                    size=shared.value,
                    unit="mm",
                    u=shared.u,
                    effect_deg=error.effect_deg,
                    check_next=SETTING_CHECK[event],
                )
            )
        stage = STAGES[units[0].stage]
        notices.append(
            Notice(
                code="settings_first",
                where="readings",
                text=f"{EVENTS[event].split(':')[0].capitalize()}, {stage}: all {len(took_part)} units are off by about "
                f"{signed(shared.value, 2)} mm of lift. That is a setting that they share, not their rods. Clear it first.",
            )
        )
    return frozenset(cleared)


def find_common_part(units: Sequence[JudgedUnit], settings: Settings) -> CommonPart | None:
    """The common part of a stage; sets every unit's own cam part and names a common shift. None below three units."""
    took_part = [unit for unit in units if unit.cam_part is not None]
    if len(took_part) < cause.UNITS_FOR_COMMON:
        return None
    shared = cause.common_part([unit.cam_part for unit in took_part if unit.cam_part], settings.quality.pointer_deg)
    value, u = shared.common.value, shared.common.u
    significant = cause.named(value, u, value, settings.tolerance_deg)
    shift = Cause(code=cause.COMMON_SHIFT, size=value, unit="deg", u=u, effect_deg=value, check_next=SHIFT_CHECK)
    hint = cause.hinted(value, u, value, settings.tolerance_deg)
    for unit, own in zip(took_part, shared.own, strict=True):
        unit.own_cam_part = own
        if significant:
            unit.causes.append(shift)
        elif hint:
            unit.hints.append(shift)
    return CommonPart(value=value, u=u, units_used=len(took_part), significant=significant, alone=shared.common.alone)
