"""The sheet of another watch: all units read once, one of them with a mistake."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from calc.teach.practice.engine import (
    ASTERN_PLAY,
    DIAL_TURN,
    DIAL_TURN_MM,
    EVENTS,
    GAUGE_ZERO,
    MISTAKES,
    SPILL,
    SUCTION,
    WRONG_MARK,
    Engine,
    Fault,
)
from calc.teach.practice.rig import GAUGES, PLUNGER, Entry, Rig


@lru_cache(maxsize=8)
def earlier_sheet(engine: Engine) -> tuple[Entry, ...]:
    """The readings that the cadet is handed; none but where the level has a mistake on the sheet."""
    if engine.mistaken_unit is None:
        return ()
    rig = Rig(engine)
    for unit in engine.settings:
        fault = next((each for each in engine.faults if each.unit == unit and each.part in MISTAKES), None)
        _read_unit(rig, unit, fault)
    return tuple(replace(entry, number=at, other_watch=True) for at, entry in enumerate(rig.notebook, 1))


def _read_unit(rig: Rig, unit: int, fault: Fault | None) -> None:
    engine = rig.engine
    law, part = engine.law, fault.part if fault else ""
    rig.do(["mount", unit])
    _to(rig, unit, law.peak_deg)
    rig.do(["zero", SUCTION])
    _to(rig, unit, law.back_deg + 20.0)
    for gauge in (PLUNGER, SPILL):
        rig.do(["zero", gauge])
    if fault and part == GAUGE_ZERO:
        # Zeroed where the roller has left the base circle already.
        _to(rig, unit, law.angle(fault.size) + engine.phase_deg[unit])
        rig.do(["zero", PLUNGER])
    rig.do(["mark", int(fault.size) if fault and part == WRONG_MARK else unit])
    for event in EVENTS:
        # Far enough off that the gauge creeps to the event, wherever a fault has put it.
        away = -1.0 if part != ASTERN_PLAY else 1.0
        _to(rig, unit, engine.settings[unit].angle_deg[event] + 6.0 * away)
        if part == ASTERN_PLAY:
            rig.do(["turn", 6.0])
            rig.do(["turn", -4.0])
        _creep(rig, event, int(-away))
        rig.do(["read", event])
    if fault:
        _as_written(rig, fault)


def _to(rig: Rig, unit: int, angle_deg: float) -> None:
    rig.do(["clear"])
    rig.do(["to", unit, angle_deg])


def _creep(rig: Rig, event: str, way: int) -> None:
    assert event in GAUGES
    rig.do(["clear"])
    for _ in range(4):
        rig.do(["creep", event, way])
        if rig.came:
            return


def _as_written(rig: Rig, fault: Fault) -> None:
    """The pencil's part: nobody wrote that it was astern, nor how often the dial went round."""
    for at, entry in enumerate(rig.notebook):
        if entry.unit != fault.unit:
            continue
        missed = fault.size * DIAL_TURN_MM if fault.part == DIAL_TURN else 0.0
        lift = None if entry.plunger_mm is None else round(max(0.0, entry.plunger_mm + missed), 2)
        rig.notebook[at] = replace(entry, reached="ahead", plunger_mm=lift)
