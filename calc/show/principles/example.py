"""The unit that the pages take as their example: its settings, its cam, its readings."""

from __future__ import annotations

from dataclasses import dataclass

from calc.job.model import SPILL_OPENING, SUCTION_CLOSING, Job
from calc.job.read import read_job
from calc.judge.assess import assess
from calc.judge.settings import Settings, UnitSettings, settings_of
from calc.judge.unit import JudgedUnit
from calc.pump.cam import CamCurve, Flank


@dataclass(frozen=True, slots=True)
class Example:
    """One unit of a job, read as found, with a lift table."""

    job: Job
    settings: Settings
    unit: UnitSettings
    judged: JudgedUnit
    curve: CamCurve
    opening_mm: float

    @property
    def start(self) -> Flank:
        """The flank where the suction valve closes."""
        return self.unit.flank[SUCTION_CLOSING]

    @property
    def end(self) -> Flank:
        """The flank where the spill valve opens."""
        return self.unit.flank[SPILL_OPENING]

    def lift_at(self, angle_deg: float) -> float:
        """Plunger lift [mm] on the rising side, 0 before the table begins. The curve is laid through the start's reference."""
        at = angle_deg - self._offset_deg
        rise = self.curve.rise
        return rise.value(min(max(at, rise.x[0]), rise.x[-1]))

    def slope_at(self, angle_deg: float) -> float:
        """Slope of the rising side [mm/deg], 0 before the table begins."""
        at = angle_deg - self._offset_deg
        rise = self.curve.rise
        return rise.slope(at) if rise.x[0] <= at <= rise.x[-1] else 0.0

    def angle_at(self, lift_mm: float) -> float:
        """Crank angle [deg] at which the rising plunger has a lift."""
        return self.curve.angle_at(lift_mm) + self._offset_deg

    @property
    def foot_deg(self) -> float:
        """Where the table begins to rise [deg]."""
        return self.curve.rise.x[0] + self._offset_deg

    @property
    def peak_deg(self) -> float:
        """Where the table ends its rise [deg]."""
        return self.curve.rise.x[-1] + self._offset_deg

    @property
    def _offset_deg(self) -> float:
        return self.unit.angle_deg[SUCTION_CLOSING] - self.start.start_deg


def example_of(source: str, unit: int) -> Example:
    """The example from a job file. Raises: ValueError where the job does not hold what the pages show."""
    job = read_job(source)
    settings = settings_of(job)
    judged = next((each.judged for each in assess(job).units if each.unit == unit), None)
    if judged is None or judged.opening_mm is None:
        raise ValueError(f"Unit {unit}: the pages need both events and the opening at index 0.")
    curve = settings.units[unit].flank[SUCTION_CLOSING].curve
    if curve is None:
        raise ValueError("The pages need a job with a lift table.")
    return Example(job, settings, settings.units[unit], judged, curve, judged.opening_mm)
