"""Questions of lesson 4: what a push rod does, what the cam does, and how to tell them apart."""

from __future__ import annotations

from dataclasses import dataclass

from calc.job.words import angle_words, plain, signed
from calc.pump.cause import named
from calc.pump.correction import lift_from_rod
from calc.pump.reading import cam_part
from calc.teach.delivery import LATE_EARLY
from calc.teach.draw import Draw
from calc.teach.engine import Engine, deg, event, mm
from calc.teach.question import Question, Slip, asks_choice, asks_number, slips_of
from calc.working import Line


@dataclass(frozen=True, slots=True)
class CamPart:
    """The part of an angle deviation that no rod can cure, at the start."""

    engine: Engine
    lift_mm: float
    angle_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> CamPart:
        """A rod error, with a cam error or without."""
        engine = Engine.drawn(draw)
        lift_error = draw.either(0.2, 0.8, 0.01)
        own = draw.pick((0.0, 0.0, draw.either(0.2, 0.8, 0.1)))
        angle = round(engine.beginning_deg + lift_error / engine.slope + own, 1)
        return cls(engine, round(engine.pre_stroke_mm + lift_error, 2), angle)

    def question(self) -> Question:
        """A − D / k."""
        e, k = self.engine, self.engine.slope
        lift_error, off = self.lift_mm - e.pre_stroke_mm, self.angle_deg - e.beginning_deg
        travel = lift_error / k
        part = cam_part(off, travel)
        return Question(
            text=(
                "The start of this unit was read at contact.",
                "How large is the cam part: the part that no push rod can cure?",
            ),
            given=(*e.settings, ("start, read", event(self.lift_mm, self.angle_deg))),
            field=asks_number("cam part", "°"),
            answer=part,
            slips=(
                Slip(off, "That is the whole deviation. First take off what the lift error explains."),
                Slip(travel, "That is the rod's share. The cam part is what is left of the deviation."),
                Slip(off + travel, "You added the travel. What the rod explains is taken off."),
                Slip(off - lift_error * k, "You multiplied by the slope. Lift over slope gives degrees."),
            ),
            working=(
                e.slope_line,
                Line(
                    "lift deviation D",
                    "H_c − h_c",
                    f"{plain(self.lift_mm, 2)} − {plain(e.pre_stroke_mm, 2)}",
                    f"{signed(lift_error, 2)} mm",
                ),
                Line("travel of D", "D / k", f"{plain(lift_error, 2)} / {plain(k, 4)}", deg(travel, 4)),
                Line("angle deviation A", "F − f", f"{plain(self.angle_deg, 1)} − ({plain(e.beginning_deg, 1)})", deg(off)),
                Line("cam part P", "A − D / k", f"{plain(off, 2)} − ({plain(travel, 4)})", deg(part, 4)),
            ),
            so="What a rod does moves lift and angle along the cam together. The rest is the cam's, the drive's or the "
            "pointer's.",
            sides=LATE_EARLY,
        )


_RODS_AND_CAM = {
    "rod": "The suction push rod",
    "cam": "The cam",
    "both": "Both, the rod and the cam",
    "neither": "Neither is named",
}


@dataclass(frozen=True, slots=True)
class RodOrCam:
    """Which of the two is named as the cause."""

    engine: Engine
    tolerance_deg: float
    lift_error_mm: float
    off_deg: float

    U_LIFT_MM = 0.02
    U_PART_DEG = 0.03

    @classmethod
    def drawn(cls, draw: Draw) -> RodOrCam:
        """Errors that are clearly there, or clearly not."""
        engine, tolerance = Engine.drawn(draw), draw.pick((0.35, 0.4, 0.45, 0.5))
        lift_error = draw.pick((draw.either(0.01, 0.03, 0.01), draw.either(0.5, 0.9, 0.01)))
        part = draw.pick((draw.either(0.01, 0.03, 0.01), draw.either(0.3, 0.7, 0.01)))
        return cls(engine, tolerance, lift_error, round(part + lift_error / engine.slope, 2))

    def question(self) -> Question:
        """Each against 3 u and a third of the tolerance."""
        k, lift_error, tolerance = self.engine.slope, self.lift_error_mm, self.tolerance_deg
        travel = lift_error / k
        part = cam_part(self.off_deg, travel)
        by_rod = named(lift_error, self.U_LIFT_MM, travel, tolerance)
        by_cam = named(part, self.U_PART_DEG, part, tolerance)
        answer = {(True, True): "both", (True, False): "rod", (False, True): "cam", (False, False): "neither"}[by_rod, by_cam]
        rod_words = f"The lift deviation is {signed(lift_error, 2)} mm. It moves the start by {deg(travel)}."
        cam_words = f"The cam part is {deg(part)}."
        reasons = {
            "rod": f"{cam_words} A rod cannot cure that." if by_cam else f"{rod_words} That is too little to name the rod.",
            "cam": f"{rod_words} That part is the rod's doing." if by_rod else f"{cam_words} That is too little to name it.",
            "both": f"{rod_words} {cam_words} One of them is too small to be named.",
            "neither": f"{rod_words} {cam_words} What is beyond 3 u and moves the start by a third of the tolerance is named.",
        }
        return Question(
            text=("The start of this unit was read at contact.", "What stands behind the deviation?"),
            given=(
                ("lift deviation D", f"{signed(lift_error, 2)} mm, u {mm(self.U_LIFT_MM)}"),
                ("angle deviation A", deg(self.off_deg)),
                ("cam slope k", f"{plain(k, 3)} mm/°"),
                ("u of the cam part", f"{plain(self.U_PART_DEG, 2)}°"),
                ("tolerance", f"±{plain(tolerance, 2)}°"),
            ),
            field=asks_choice("The cause", _RODS_AND_CAM),
            answer=answer,
            slips=slips_of(reasons, answer),
            working=(
                Line("travel of D", "D / k", f"{plain(lift_error, 2)} / {plain(k, 3)}", deg(travel, 3)),
                Line("cam part P", "A − D / k", f"{plain(self.off_deg, 2)} − ({plain(travel, 3)})", deg(part, 3)),
                Line("a third of the tolerance", "T / 3", f"{plain(tolerance, 2)} / 3", f"{plain(tolerance / 3.0, 3)}°"),
                Line("is the rod named?", "D beyond 3 u, its travel at least T/3", "", "yes" if by_rod else "no"),
                Line("is the cam named?", "P beyond 3 u, at least T/3", "", "yes" if by_cam else "no"),
            ),
            so="The lift tells the rod. What the lift does not explain tells the cam.",
        )


@dataclass(frozen=True, slots=True)
class RodMoves:
    """How far a rod moves the lift of its event."""

    ratio: float
    change_mm: float
    spill: bool

    @classmethod
    def drawn(cls, draw: Draw) -> RodMoves:
        """Either rod, longer or shorter."""
        return cls(draw.pick((0.7, 0.75, 0.85, 0.9)), draw.either(0.1, 0.6, 0.05), draw.pick((False, True)))

    def question(self) -> Question:
        """+ change / i for the suction rod, − change / i for the spill rod."""
        r, i = self.change_mm, self.ratio
        moved = lift_from_rod(r, i, self.spill)
        valve, act = ("spill valve", "opens") if self.spill else ("suction valve", "closes")
        minus = "−" if self.spill else ""
        sign = -1.0 if self.spill else 1.0
        verb = "lengthen" if r > 0 else "shorten"
        return Question(
            text=(
                f"You {verb} the push rod of the {valve} by {mm(abs(r))}. A longer rod holds its valve further open.",
                f"By how much does the plunger lift change at which the {valve} {act}?",
            ),
            given=(("valve ratio i", plain(i, 2)),),
            field=asks_number("change of the lift", "mm"),
            answer=moved,
            slips=(
                Slip(
                    -moved,
                    "A longer rod holds its valve further open: the suction valve closes later, the spill valve opens earlier. "
                    "No rod always advances.",
                ),
                Slip(sign * r * i, "You multiplied by the valve ratio. Valve movement over ratio is plunger lift."),
                Slip(sign * r, "That is the movement of the valve. The plunger has to move more: divide by the ratio."),
            ),
            working=(
                Line(
                    "change of the lift",
                    f"{minus}change / i",
                    f"{minus}({plain(r, 2)}) / {plain(i, 2)}",
                    f"{signed(moved, 4)} mm",
                ),
            ),
            so=f"The {valve} {act} {'later' if moved > 0 else 'earlier'}.",
            decimals=3,
            sides=("higher", "lower"),
        )


@dataclass(frozen=True, slots=True)
class CamMoved:
    """What a cam does to the lift of an event: nothing."""

    engine: Engine
    cam_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> CamMoved:
        """A cam moved by a little."""
        return cls(Engine.drawn(draw), draw.either(0.2, 0.9, 0.1))

    def question(self) -> Question:
        """The lift stays."""
        e, off, k = self.engine, self.cam_deg, self.engine.slope
        moved = off * k
        return Question(
            text=(
                f"The cam of this unit sits {plain(abs(off), 1)}° {'late' if off > 0 else 'early'}. Nothing else is wrong. "
                "You read the start at contact.",
                "Which plunger lift do you read?",
            ),
            given=(*e.settings, ("cam slope k", f"{plain(k, 3)} mm/°")),
            field=asks_number("plunger lift", "mm"),
            answer=e.pre_stroke_mm,
            slips=(
                Slip(
                    e.pre_stroke_mm + moved,
                    "A cam moves the angle, not the lift. The rocker follows the plunger, wherever the crank is.",
                ),
                Slip(
                    e.pre_stroke_mm - moved,
                    "A cam moves the angle, not the lift. The rocker follows the plunger, wherever the crank is.",
                ),
            ),
            working=(
                Line("lift at contact", "h_c: the rod decides it", "", mm(e.pre_stroke_mm)),
                Line(
                    "angle at contact",
                    "f_c + cam error",
                    f"{plain(e.beginning_deg, 1)} + ({plain(off, 1)})",
                    angle_words(round(e.beginning_deg + off, 1)),
                ),
            ),
            so="So a right lift at a wrong angle speaks of the cam, the drive or the pointer.",
        )
