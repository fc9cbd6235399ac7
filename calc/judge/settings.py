"""The job's settings, ready to work with: stand-ins filled in (each with a notice), the cam's flanks laid out."""

from __future__ import annotations

from dataclasses import dataclass, field

from calc.findings import Notice
from calc.job.describe import field_of
from calc.job.model import SPILL_OPENING, SUCTION_CLOSING, Job, UnitReference
from calc.measure.gum import resolution
from calc.pump.cam import CamCurve, Flank, secant_slope
from calc.pump.correction import effective_pitch
from calc.pump.doubt import Quality, gauge_difference

RATIO_SUCTION, RATIO_SPILL = "engine.valve_ratio_suction", "engine.valve_ratio_spill"
ROD_THREAD, LENGTHENING = "engine.rod_thread", "engine.rod_lengthening_opens"

# What rests on each stand-in, for its notice.
_RESTS = {
    RATIO_SUCTION: "Start lifts read at reference lift, and the suction rod's change and flats, rest on it.",
    RATIO_SPILL: "End lifts read at reference lift, the spill rod's change and flats, and the cut-out rest on it.",
    ROD_THREAD: "Turns and flats rest on it.",
    LENGTHENING: "The direction of every rod change rests on it.",
    "engine.tdc_deg": "The flywheel angles of the other units rest on it.",
    "instruments.plunger_gauge.repeatability_mm": "The doubt of lifts that were read once rests on it.",
    "instruments.valve_gauge.repeatability_mm": "The doubt of valve readings that were taken once rests on it.",
    "instruments.angle_scale.repeatability_deg": "The doubt of angles that were read once rests on it.",
}


@dataclass(frozen=True, slots=True)
class UnitSettings:
    """Reference settings of one unit by event, and the cam's flank there."""

    index: int
    lift_mm: dict[str, float]
    angle_deg: dict[str, float]
    flank: dict[str, Flank]

    @property
    def stroke_mm(self) -> float:
        """Reference effective stroke [mm]."""
        return self.lift_mm[SPILL_OPENING] - self.lift_mm[SUCTION_CLOSING]

    @property
    def delivery_deg(self) -> float:
        """Reference delivery angle [deg]."""
        return self.angle_deg[SPILL_OPENING] - self.angle_deg[SUCTION_CLOSING]


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything about engine, reference and instruments that judging needs."""

    tolerance_deg: float
    seat_contact_mm: float
    fuel_index: float
    fuel_index_u: float
    ratio: dict[str, float]
    pitch_mm: float | None
    lengthening_opens: bool
    quality: Quality
    stated_repeatability: dict[str, float]
    units: dict[int, UnitSettings]
    assumed: frozenset[str]
    notices: list[Notice] = field(default_factory=list)


def settings_of(job: Job) -> Settings:
    """Resolve a job's settings.

    Returns: settings and the notices about stand-ins and the cam table.
    """
    engine, reference, instruments = job.engine, job.reference, job.instruments
    notices: list[Notice] = []
    assumed: set[str] = set()

    def value_or_fallback(owner: object, path: str) -> object:
        described = field_of(Job, path)
        value = getattr(owner, described.name)
        if value is not None:
            return value
        assumed.add(path)
        notices.append(_fallback_notice(path))
        return described.fallback

    ratio = {
        SUCTION_CLOSING: value_or_fallback(engine, RATIO_SUCTION),
        SPILL_OPENING: value_or_fallback(engine, RATIO_SPILL),
    }
    thread = value_or_fallback(engine, ROD_THREAD)
    lengthening = value_or_fallback(engine, LENGTHENING)
    value_or_fallback(engine, "engine.tdc_deg")
    stated = {
        "plunger_lift_mm": value_or_fallback(instruments.plunger_gauge, "instruments.plunger_gauge.repeatability_mm"),
        "valve_lift_mm": value_or_fallback(instruments.valve_gauge, "instruments.valve_gauge.repeatability_mm"),
        "crank_angle_deg": value_or_fallback(instruments.angle_scale, "instruments.angle_scale.repeatability_deg"),
    }
    curve = CamCurve.from_table(engine.cam_lift_table) if engine.cam_lift_table else None
    units = {}
    for j, unit in enumerate(reference.units):
        units[unit.unit] = _unit_settings(j, unit, curve, notices)
        if curve is not None:
            _compare_with_table(j, unit, units[unit.unit], reference.angle_tolerance_deg, notices)
    return Settings(
        tolerance_deg=reference.angle_tolerance_deg,
        seat_contact_mm=reference.seat_contact_mm,
        fuel_index=reference.fuel_index,
        fuel_index_u=reference.fuel_index_u or 0.0,
        ratio=ratio,  # type: ignore[arg-type]
        pitch_mm=None if engine.rod_pitch_mm is None else effective_pitch(engine.rod_pitch_mm, thread == "left_right"),
        lengthening_opens=bool(lengthening),
        quality=Quality(
            plunger_mm=gauge_difference(instruments.plunger_gauge.step_mm, instruments.plunger_gauge.error_limit_mm),
            valve_mm=gauge_difference(instruments.valve_gauge.step_mm, instruments.valve_gauge.error_limit_mm),
            scale_deg=resolution(instruments.angle_scale.step_deg),
            pointer_deg=instruments.pointer_u_deg,
        ),
        stated_repeatability=stated,  # type: ignore[arg-type]
        units=units,
        assumed=frozenset(assumed),
        notices=notices,
    )


def _fallback_notice(path: str) -> Notice:
    described = field_of(Job, path)
    fallback = described.fallback
    if isinstance(fallback, float):
        stands_in = f"{fallback:g} is used"
    else:
        stands_in = {True: "yes", "single": "one thread", "even": "even firing intervals"}[fallback]
        stands_in += " are assumed" if fallback == "even" else " is assumed"
    find = f" Find it: {described.find[:1].lower()}{described.find[1:]}" if described.find else ""
    words = f"{described.label[:1].upper()}{described.label[1:]}: missing; {stands_in}. {_RESTS[path]}{find}"
    return Notice(code="fallback", where=path, text=words)


def _unit_settings(j: int, unit: UnitReference, curve: CamCurve | None, notices: list[Notice]) -> UnitSettings:
    secant = secant_slope(unit.pre_stroke_mm, unit.beginning_deg, unit.spill_lift_mm, unit.end_deg)
    lift = {SUCTION_CLOSING: unit.pre_stroke_mm, SPILL_OPENING: unit.spill_lift_mm}
    flank = {}
    for event, key in ((SUCTION_CLOSING, "pre_stroke_mm"), (SPILL_OPENING, "spill_lift_mm")):
        on_curve = curve.flank_at(lift[event]) if curve else None
        if curve and on_curve is None:
            notices.append(
                Notice(
                    code="lift_outside_table",
                    where=f"reference.units[{j}].{key}",
                    text=f"Unit {unit.unit}: the cam lift table does not rise at {lift[event]:g} mm (it runs from "
                    f"{curve.lowest_mm:g} to {curve.highest_mm:g} mm). The secant slope is used, known to 15 %.",
                )
            )
        flank[event] = on_curve or Flank(lift[event], secant)
    angle = {SUCTION_CLOSING: unit.beginning_deg, SPILL_OPENING: unit.end_deg}
    return UnitSettings(j, lift, angle, flank)


def _compare_with_table(
    j: int, unit: UnitReference, settings: UnitSettings, tolerance_deg: float, notices: list[Notice]
) -> None:
    start, end = settings.flank[SUCTION_CLOSING], settings.flank[SPILL_OPENING]
    if start.is_secant or end.is_secant:
        return
    travel = end.start_deg - start.start_deg
    stated = unit.end_deg - unit.beginning_deg
    if abs(travel - stated) > tolerance_deg:
        notices.append(
            Notice(
                code="table_disagrees",
                where=f"reference.units[{j}]",
                text=f"Unit {unit.unit}: the cam table turns {travel:.2f}° from the start lift to the end lift, the reference "
                f"angles {stated:.2f}°. One of them does not belong to this engine, or is mistyped.",
            )
        )
