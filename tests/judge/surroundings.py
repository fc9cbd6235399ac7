"""What is measured around a check, on the simulated engines: equal piston heights, worn cams, spill lifts over the index.

Independent of `calc`. The truth is physical: a pointer that shows too much on a scale engraved for ahead, a camshaft turned
against the crankshaft, metal missing from a cam. A person turns ahead or astern, reads the same scale, and writes angles down
as they count in the direction of the job.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from tests.judge import measured
from tests.pump.forward import SPILL, SUCTION, Array, Cycloid, Pump

Tree = dict[str, Any]
CRANK_OVER_ROD = 0.4
SCATTER_DEG, STEP_DEG = 0.05, 0.1


def angle_at_drop(share: float) -> float:
    """True crank angle after TDC [deg] at which the piston has dropped by a share of the crank radius (slider crank)."""
    low, high = 0.0, 180.0
    for _ in range(80):
        middle = 0.5 * (low + high)
        s = CRANK_OVER_ROD * math.sin(math.radians(middle))
        drop = 1.0 - math.cos(math.radians(middle)) + (1.0 - math.sqrt(1.0 - s * s)) / CRANK_OVER_ROD
        low, high = (middle, high) if drop < share else (low, middle)
    return low


def pairs(
    chance: random.Random, pointer_deg: float, astern: bool = False, count: int = 4, scatter: float = SCATTER_DEG
) -> list[list[float]]:
    """Angles at equal heights as a person writes them, before and after in the direction of turning."""
    found = []
    for j in range(count):
        theta = angle_at_drop(0.1 + 0.07 * j)
        # On the scale, which is engraved for ahead; turning astern the piston comes to its height from the other side.
        first, last = (theta, -theta) if astern else (-theta, theta)
        pair = []
        for true in (first, last):
            scale = true + pointer_deg + chance.gauss(0.0, scatter)
            scale = round(round(scale / STEP_DEG) * STEP_DEG, 6)
            pair.append(-scale if astern else scale)
        found.append(pair)
    return found


@dataclass(frozen=True)
class Worn:
    """A sound cam with metal missing around one place of its flank."""

    sound: Cycloid
    depth_mm: float
    at_deg: float
    width_deg: float = 5.0

    def lift_at(self, angle_deg: Array | float) -> Array:
        away = (np.asarray(angle_deg, dtype=float) - self.at_deg) / self.width_deg
        return np.asarray(self.sound.lift_at(angle_deg) - self.depth_mm * np.exp(-(away**2)))

    def angle_at(self, lift_mm: Array | float) -> Array:
        grid = np.linspace(self.sound.foot_deg + 2.0, self.sound.foot_deg + self.sound.span_deg - 2.0, 20001)
        return np.asarray(np.interp(np.asarray(lift_mm, dtype=float), self.lift_at(grid), grid))


@dataclass
class WornPump(Pump):
    """A pump on a worn cam. Its settings were taken when the cam was sound."""

    worn: Worn | None = None

    def crank_deg(self, event: str, plunger_mm: float) -> float:
        assert self.worn is not None
        travel = self.worn.angle_at(plunger_mm) - self.cam.angle_at(self.reference_mm[event])
        return float(self.reference_deg[event] + travel + self.cam_deg)


def wear(it: measured.Engine, unit: int, event: str, depth_mm: float) -> None:
    """Wear a cam where an event of its unit lies."""
    pump = it.pumps[unit]
    worn = Worn(it.cam, depth_mm, float(it.cam.angle_at(pump.reference_mm[event])))
    it.pumps[unit] = WornPump(**{name: getattr(pump, name) for name in Pump.__dataclass_fields__}, worn=worn)


def survey(it: measured.Engine, unit: int, step_deg: float = 4.0, off_deg: float = 0.0, zero_mm: float = 0.0) -> Tree:
    """Rows of a unit's cam, read at the same pointer. off_deg: counted from a mark that is off; zero_mm: a zero that is off."""
    pump, chance = it.pumps[unit], it.chance
    cam = pump.worn if isinstance(pump, WornPump) and pump.worn is not None else it.cam
    # The unit's settings are those of the table but for their rounding.
    settings = pump.reference_deg[SUCTION] - float(it.cam.angle_at(pump.reference_mm[SUCTION]))
    zero = chance.uniform(-0.5, 0.5) * it.step_mm + chance.uniform(-1.0, 1.0) * measured.PLUNGER_ERROR + zero_mm
    rows = []
    first = it.cam.foot_deg - 4.0
    for j in range(int((it.cam.span_deg + 8.0) / step_deg) + 1):
        scale = first + j * step_deg
        # Turned until the scale shows a round angle, as well as a hand can.
        scale = round(round(scale / STEP_DEG) * STEP_DEG, 6)
        true = (
            scale + chance.gauss(0.0, SCATTER_DEG) + chance.uniform(-0.5, 0.5) * STEP_DEG - it.shift - pump.cam_deg - settings
        )
        shown = float(cam.lift_at(true)) + zero + chance.gauss(0.0, 0.006)
        rows.append([round(scale + off_deg, 6), round(round(shown / it.step_mm) * it.step_mm, 6)])
    return {"unit": unit, "measured": rows}


def index_points(
    it: measured.Engine, unit: int, indices: tuple[float, ...], stage: str = "as_found", linkage: float = 0.0
) -> Tree:
    """Spill lifts at contact at several indices, linear in the index. linkage: steps that this unit's index shows too much."""
    pump, chance = it.pumps[unit], it.chance
    at_reference = pump.contact_mm(SPILL)
    per_step = (it.references[unit][SPILL][0] - it.references[unit][SUCTION][0] + pump.w_mm) / it.index
    zero = chance.uniform(-1.0, 1.0) * measured.PLUNGER_ERROR
    points = []
    for index in indices:
        true = at_reference + per_step * (index - linkage - it.index)
        shown = true + zero + chance.gauss(0.0, 0.006)
        points.append([index, round(round(shown / it.step_mm) * it.step_mm, 6)])
    return {"unit": unit, "stage": stage, "points": points}


def opening(it: measured.Engine, unit: int, stage: str = "as_found") -> Tree:
    """The opening at index 0, with the suction valve just closing."""
    shown = it.pumps[unit].opening_at_index_0_mm() + it.chance.uniform(-1.0, 1.0) * measured.VALVE_ERROR
    return {"unit": unit, "stage": stage, "event": "zero_index", "valve_lift_mm": [round(round(shown / 0.01) * 0.01, 6)]}


def engine(seed: int, **fixed: Any) -> measured.Engine:
    """A sound engine that is read at contact, with a lift table, and with a pointer that is right unless told otherwise."""
    it = measured.engine(seed, **{"method": "at_contact", "table": True, "repeats": 2, "extras": False, **fixed})
    it.shift = 0.0
    return it


def job(it: measured.Engine, readings: list[Tree] | None = None, **more: Any) -> Tree:
    """The job file of an engine with what was measured around it."""
    return {**it.job(it.read() if readings is None else readings), **more}


def shifted(it: measured.Engine, pointer_deg: float, drive_deg: float, astern: bool = False) -> measured.Engine:
    """The engine with its pointer and its camshaft off, as they are in ahead rotation; read in either direction.

    A pointer that shows too much on a scale engraved for ahead shows too little of an angle that counts astern. A camshaft
    that stands late when the engine runs ahead stands early when it runs astern.
    """
    sign = -1.0 if astern else 1.0
    moved = {number: replace(pump, cam_deg=pump.cam_deg + sign * drive_deg) for number, pump in it.pumps.items()}
    return replace(it, pumps=moved, shift=sign * pointer_deg)
