"""Questions of lesson 10: the readings of a whole engine, judged by the same rules as a job."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from calc.findings import Findings
from calc.job.model import AHEAD, AS_FOUND, AT_CONTACT, SPILL_OPENING, SUCTION_CLOSING
from calc.job.read import job_from_tree
from calc.job.words import plain, signed
from calc.judge.assess import assess
from calc.measure.conformity import OUTSIDE, UNCLEAR, WITHIN
from calc.pump.mistakes import cam_shows, rod_shows
from calc.teach.draw import Draw
from calc.teach.engine import Engine, deg, event
from calc.teach.question import Question, asks_choice, slips_of
from calc.working import Line

UNITS = 4
# Lift and angle deviation of start and end [mm, deg] of one unit, as its gauges show them.
Off = tuple[tuple[float, float], tuple[float, float]]


def judged(engine: Engine, tolerance_deg: float, offs: tuple[Off, ...], scale_step_deg: float) -> Findings:
    """The findings of an invented job in which these deviations were read at contact. Parameters: tolerance, step [deg]."""
    readings = [
        {
            "unit": unit,
            "stage": AS_FOUND,
            "event": each,
            "method": AT_CONTACT,
            "reached": AHEAD,
            "plunger_lift_mm": [round(lift + off_mm, 2)],
            "crank_angle_deg": [round(angle + off_deg, 2)],
        }
        for unit, both in enumerate(offs, 1)
        for each, lift, angle, (off_mm, off_deg) in (
            (SUCTION_CLOSING, engine.pre_stroke_mm, engine.beginning_deg, both[0]),
            (SPILL_OPENING, engine.spill_lift_mm, engine.end_deg, both[1]),
        )
    ]
    tree: dict[str, Any] = {
        "format": "spillmark-job",
        "version": 1,
        "engine": {
            "units": len(offs),
            "firing_order": list(range(1, len(offs) + 1)),
            "valve_ratio_suction": engine.ratio,
            "valve_ratio_spill": engine.ratio,
            "rod_lengthening_opens": True,
        },
        "reference": {
            "fuel_index": 60.0,
            "angle_tolerance_deg": tolerance_deg,
            "seat_contact_mm": engine.seat_mm,
            "units": [
                {
                    "unit": unit,
                    "pre_stroke_mm": engine.pre_stroke_mm,
                    "beginning_deg": engine.beginning_deg,
                    "spill_lift_mm": engine.spill_lift_mm,
                    "end_deg": engine.end_deg,
                }
                for unit in range(1, len(offs) + 1)
            ],
        },
        "instruments": {
            "plunger_gauge": {"step_mm": 0.01, "error_limit_mm": 0.012, "repeatability_mm": 0.006},
            "valve_gauge": {"step_mm": 0.005, "error_limit_mm": 0.004, "repeatability_mm": 0.003},
            "angle_scale": {"step_deg": scale_step_deg, "repeatability_deg": 0.02},
            "pointer_u_deg": 0.02,
        },
        "readings": readings,
    }
    return assess(job_from_tree(tree))


def _healthy(draw: Draw, slope: float) -> tuple[float, float]:
    lift = draw.either(0.0, 0.03, 0.01)
    return lift, round(lift / slope, 2)


SUCTION_ROD, SPILL_ROD, CAM, SHARED = "suction_rod", "spill_rod", "cam_position", "common_shift"


@dataclass(frozen=True, slots=True)
class FindFault:
    """One fault in an engine of four units."""

    engine: Engine
    tolerance_deg: float
    offs: tuple[Off, ...]
    unit: int

    @classmethod
    def drawn(cls, draw: Draw) -> FindFault:
        """One of four faults, in one unit or in all."""
        engine, unit = Engine.drawn(draw), draw.whole(1, UNITS)
        fault, k = draw.pick((SUCTION_ROD, SPILL_ROD, CAM, SHARED)), engine.slope
        lift = rod_shows(draw.either(0.8, 1.3, 0.01)).lift_mm
        part = cam_shows(draw.either(0.6, 1.1, 0.05)).part_deg
        offs = []
        for each in range(1, UNITS + 1):
            start, end = _healthy(draw, k), _healthy(draw, k)
            if fault == SUCTION_ROD and each == unit:
                start = lift, round(lift / k, 2)
            if fault == SPILL_ROD and each == unit:
                end = lift, round(lift / k, 2)
            if fault == SHARED or (fault == CAM and each == unit):
                start, end = (start[0], round(start[1] + part, 2)), (end[0], round(end[1] + part, 2))
            offs.append((start, end))
        return cls(engine, draw.pick((0.4, 0.45, 0.5)), tuple(offs), unit)

    def question(self) -> Question:
        """What the findings name."""
        e = self.engine
        found = judged(e, self.tolerance_deg, self.offs, 0.05)
        causes = {(cause.code, unit.unit) for unit in found.units for cause in unit.causes}
        shared = found.common_part_deg.as_found
        answer = SHARED if shared is not None and shared.significant else next(iter(sorted(code for code, _ in causes)))
        mine = f"Unit {self.unit}"
        # None of them names the unit: to find it is half of the question.
        choices = {
            SUCTION_ROD: "One unit: its suction push rod",
            SPILL_ROD: "One unit: its spill push rod",
            CAM: "One unit: its cam",
            SHARED: "All units: the camshaft drive or the flywheel pointer",
        }
        (lift_c, _), (lift_o, _) = self.offs[self.unit - 1]
        if answer == SHARED:
            most = max(abs(lift) for both in self.offs for lift, _ in both)
            no_rod = f"A rod moves the lift. At no unit is a lift off by more than {plain(most, 2)} mm."
            reasons = {
                SUCTION_ROD: no_rod,
                SPILL_ROD: no_rod,
                CAM: "A cam of its own would move the angles of one unit alone. Look at the other units: they show it too.",
            }
        else:
            reasons = {
                SUCTION_ROD: f"{mine} stands out, and its start is {signed(lift_c, 2)} mm off by lift. That rod is not what is "
                "wrong.",
                SPILL_ROD: f"{mine} stands out, and its end is {signed(lift_o, 2)} mm off by lift. That rod is not what is "
                "wrong.",
                CAM: f"A cam of its own would move both angles of {mine.lower()}, and no lift.",
                SHARED: f"What all share shows at all units. Only {mine.lower()} stands out.",
            }
        return Question(
            text=(
                "All units of this engine have the same settings. They were read at contact. D is the lift deviation, "
                "A the angle deviation.",
                "What is the fault?",
            ),
            given=(
                *e.settings,
                ("cam slope k", f"{plain(e.slope, 3)} mm/°"),
                ("tolerance", f"±{plain(self.tolerance_deg, 2)}°"),
                *(
                    (f"unit {unit}", f"start D {signed(a, 2)} mm, A {deg(b)}; end D {signed(c, 2)} mm, A {deg(d)}")
                    for unit, ((a, b), (c, d)) in enumerate(self.offs, 1)
                ),
            ),
            field=asks_choice("The fault", choices),
            answer=answer,
            slips=slips_of(reasons, answer),
            working=(
                *(
                    Line(
                        f"cam parts of unit {unit}",
                        "A − D / k, start and end",
                        "",
                        f"{deg(b - a / e.slope)}, {deg(d - c / e.slope)}",
                    )
                    for unit, ((a, b), (c, d)) in enumerate(self.offs, 1)
                ),
                Line(f"rods of unit {self.unit}", "D of start and end", "", f"{signed(lift_c, 2)} mm, {signed(lift_o, 2)} mm"),
                *((Line("common part", "median of the cam parts", "", deg(shared.value)),) if shared is not None else ()),
            ),
            so=next((unit.text for unit in found.units if unit.unit == self.unit), found.summary.text),
        )


@dataclass(frozen=True, slots=True)
class WhatNext:
    """What to do about a unit."""

    engine: Engine
    tolerance_deg: float
    lift_mm: float
    scale_step_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> WhatNext:
        """A start that is inside, outside, or near the limit on a coarse scale."""
        engine, tolerance = Engine.drawn(draw), draw.pick((0.4, 0.45, 0.5))
        off, step = draw.pick(((0.05, 0.05), (1.8, 0.05), (0.85, 0.5), (1.05, 0.5)))
        return cls(engine, tolerance, round(off * tolerance * engine.slope, 2), step)

    def question(self) -> Question:
        """By the verdict of the findings."""
        e, lift = self.engine, self.lift_mm
        angle = round(lift / e.slope, 2)
        found = judged(e, self.tolerance_deg, (((lift, angle), (0.0, 0.0)),), self.scale_step_deg)
        start = found.units[0].beginning
        assert start is not None
        assert start.probability_within is not None
        verdict = start.verdict
        p = f"{plain(100.0 * start.probability_within, 1)} %"
        choices = {
            OUTSIDE: "Correct the suction push rod, one flat first as a trial",
            UNCLEAR: "Turn nothing yet: read again with a finer scale",
            WITHIN: "Leave the unit alone",
        }
        reasons = {
            OUTSIDE: f"A rod is turned for what is proven. The probability of being within is {p}.",
            UNCLEAR: f"These readings are good enough to decide. The probability of being within is {p}.",
            WITHIN: "Within as read is no proof, and outside is no reason to leave it. The probability of being "
            f"within is {p}.",
        }
        return Question(
            text=("You have read this start at contact. Nothing else is wrong.", "What do you do next?"),
            given=(
                ("start, reference", event(e.pre_stroke_mm, e.beginning_deg)),
                ("lift deviation D", f"{signed(lift, 2)} mm"),
                ("angle deviation A", f"{deg(angle)}, u {plain(start.u_deg or 0.0, 3)}°"),
                ("flywheel scale, read to", f"{self.scale_step_deg:g}°"),
                ("tolerance", f"±{plain(self.tolerance_deg, 2)}°"),
            ),
            field=asks_choice("Next", choices),
            answer=verdict,
            slips=slips_of(reasons, verdict),
            working=(
                Line("probability of being within", "F((T − A)/u) − F((−T − A)/u)", "", p, "JCGM 106:2012, 7"),
                Line(
                    "verdict",
                    "within from 95 %, outside up to 5 %",
                    "",
                    {WITHIN: "within", OUTSIDE: "outside"}.get(verdict, "too close to tell"),
                ),
            ),
            so="Read, judge, then turn. Never the other way round.",
        )
