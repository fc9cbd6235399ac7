"""An engine to practise on: what its record says, and what is hidden."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import fsum

SUCTION, SPILL = "suction_closing", "spill_opening"
EVENTS = (SUCTION, SPILL)

# Instruments of every practice engine: what they are read to.
GAUGE_STEP_MM, SCALE_STEP_DEG, DIAL_TURN_MM = 0.01, 0.1, 1.0
# How far repeated readings scatter.
LIFT_SCATTER_MM, ANGLE_SCATTER_DEG = 0.004, 0.03

# What can be wrong. The first three belong to one unit, the next four to all, the last four to the hand that read.
SUCTION_ROD, SPILL_ROD, CAM = "suction_rod", "spill_rod", "cam"
POINTER, DRIVE, LINKAGE, TIMING = "pointer", "drive", "linkage", "timing"
GAUGE_ZERO, DIAL_TURN, ASTERN_PLAY, WRONG_MARK = "gauge_zero", "dial_turn", "astern_play", "wrong_tdc_mark"
RODS = {SUCTION_ROD: SUCTION, SPILL_ROD: SPILL}
OF_UNIT = (SUCTION_ROD, SPILL_ROD, CAM)
OF_ALL = (POINTER, DRIVE, LINKAGE, TIMING)
MISTAKES = (GAUGE_ZERO, DIAL_TURN, ASTERN_PLAY, WRONG_MARK)


@dataclass(frozen=True, slots=True)
class Law:
    """The cam: rise, dwell, fall, base circle. Angles are crank degrees after the unit's own TDC, lifts mm.

    The rise is the 3-4-5 polynomial of the textbooks on cams: no jump in speed or acceleration, and nothing but products and
    sums, so that every computer gives the same digits.
    """

    peak_mm: float
    foot_deg: float
    rise_deg: float
    dwell_deg: float

    @property
    def peak_deg(self) -> float:
        """The middle of the dwell at full lift [deg]."""
        return self.foot_deg + self.rise_deg + 0.5 * self.dwell_deg

    @property
    def back_deg(self) -> float:
        """Where the roller is back on the base circle [deg]."""
        return self.foot_deg + 2.0 * self.rise_deg + self.dwell_deg

    def lift(self, angle_deg: float) -> float:
        """Plunger lift [mm] at a crank angle [deg] after the foot's own turn of the cam; it repeats after 360 deg."""
        past = (angle_deg - self.foot_deg) % 360.0
        if past > self.rise_deg:
            past = 2.0 * self.rise_deg + self.dwell_deg - max(past, self.rise_deg + self.dwell_deg)
        u = min(1.0, max(0.0, past / self.rise_deg))
        return self.peak_mm * u * u * u * (10.0 - 15.0 * u + 6.0 * u * u)

    def slope(self, angle_deg: float) -> float:
        """Rise of the lift [mm/deg] at a crank angle on the rising side."""
        u = (angle_deg - self.foot_deg) / self.rise_deg
        return self.peak_mm / self.rise_deg * 30.0 * u * u * (1.0 - u) * (1.0 - u)

    def angle(self, lift_mm: float) -> float:
        """Crank angle [deg] of a lift on the rising side, by halving."""
        low, high = self.foot_deg, self.foot_deg + self.rise_deg
        for _ in range(60):
            middle = 0.5 * (low + high)
            if self.lift(middle) < lift_mm:
                low = middle
            else:
                high = middle
        return 0.5 * (low + high)

    def table(self, step_deg: float) -> list[list[float]]:
        """Rows of angle and lift of the rising side, as a record gives them."""
        rows = round(self.rise_deg / step_deg)
        angles = [self.foot_deg + row * step_deg for row in range(rows + 1)]
        return [[round(angle, 2), round(self.lift(angle), 3)] for angle in angles]


@dataclass(frozen=True, slots=True)
class Settings:
    """The record of one unit: lift [mm] and angle [deg] of each event."""

    lift_mm: dict[str, float]
    angle_deg: dict[str, float]


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that is wrong. Size: mm that a rod is too long, deg or mm or index steps too much; none of a mistake's own."""

    part: str
    unit: int | None
    size: float


@dataclass(frozen=True, slots=True, eq=False)
class Engine:
    """One practice engine. From `play_deg` on everything is hidden from the cadet."""

    number: int
    level: int
    units: int
    firing_order: tuple[int, ...]
    law: Law
    settings: dict[int, Settings]
    ratio: dict[str, float]
    pitch_mm: float
    left_right: bool
    index: float
    seat_mm: float
    tolerance_deg: float
    opening_min_mm: float
    plunger_error_mm: float
    valve_error_mm: float
    pointer_u_deg: float
    play_deg: float
    per_index_mm: float
    pointer_deg: float
    phase_deg: dict[int, float]
    rod_mm: dict[int, dict[str, float]]
    cam_deg: dict[int, float]
    faults: tuple[Fault, ...] = field(default=())

    def tdc_deg(self, unit: int) -> float:
        """TDC of a unit on the flywheel [deg], counted from that of unit 1."""
        at = self.firing_order.index(unit) - self.firing_order.index(1)
        return at * 360.0 / self.units % 360.0

    @property
    def flat_mm(self) -> float:
        """Rod length of one flat of the hexagon [mm]."""
        return self.pitch_mm * (2.0 if self.left_right else 1.0) / 6.0

    def beyond_mm(self, unit: int) -> float:
        """Plunger lift [mm] by which the spill valve opens before the suction valve closes, at index 0."""
        lift = self.settings[unit].lift_mm
        return self.index * self.per_index_mm - (lift[SPILL] - lift[SUCTION])

    def slope(self, unit: int, event: str) -> float:
        """Rise of the plunger's lift [mm/deg] at the recorded event of a unit."""
        return self.law.slope(self.settings[unit].angle_deg[event] - self.phase_deg[unit])

    @property
    def mistaken_unit(self) -> int | None:
        """The unit that the other watch has read with a mistake."""
        return next((fault.unit for fault in self.faults if fault.part in MISTAKES), None)

    def of(self, part: str) -> float:
        """The hidden size of something that all units share; 0 where it is right."""
        return fsum(fault.size for fault in self.faults if fault.part == part and fault.unit is None)
