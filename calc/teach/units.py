"""Questions of lesson 8: what all units share, what one has alone, and how evenly they deliver."""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum

from calc.job.words import angle_words, plain, signed
from calc.measure.pool import mean
from calc.pump.cause import CommonPart, Estimate, common_part
from calc.pump.dead_centre import find_dead_centre
from calc.pump.quantity import imbalance_percent
from calc.pump.reading import spill_lift_from_valve
from calc.teach.delivery import LATE_EARLY
from calc.teach.draw import Draw
from calc.teach.engine import Engine, deg, late, mm
from calc.teach.question import Question, Slip, asks_choice, asks_number, slips_of
from calc.working import Line


@dataclass(frozen=True, slots=True)
class StrokeRead:
    """The effective stroke of a unit whose start was read at contact and whose end was read at reference lift."""

    engine: Engine
    start_mm: float
    valve_mm: float

    @classmethod
    def drawn(cls, draw: Draw) -> StrokeRead:
        """A start that is off, and a spill valve that opens early."""
        engine = Engine.drawn(draw)
        start = round(engine.pre_stroke_mm + draw.either(0.1, 0.8, 0.01), 2)
        return cls(engine, start, round(engine.seat_mm + draw.number(0.08, 0.5, 0.01), 2))

    @property
    def end_mm(self) -> float:
        """Where the spill valve opens [mm]."""
        return spill_lift_from_valve(self.engine.spill_lift_mm, self.valve_mm, self.engine.seat_mm, self.engine.ratio)

    @property
    def stroke_mm(self) -> float:
        """The effective stroke [mm]."""
        return self.end_mm - self.start_mm

    @property
    def known(self) -> tuple[tuple[str, str], ...]:
        """What was read, in words."""
        e = self.engine
        return (
            ("reference", f"{mm(e.pre_stroke_mm)} to {mm(e.spill_lift_mm)}"),
            ("start, read at contact", mm(self.start_mm)),
            ("spill valve, read at the spill lift", mm(self.valve_mm)),
            *e.valve,
        )

    @property
    def lines(self) -> tuple[Line, ...]:
        """The lines that find it."""
        e = self.engine
        return (
            Line(
                "event lift H_o",
                "h_o − (v − s) / i",
                f"{plain(e.spill_lift_mm, 2)} − ({plain(self.valve_mm, 2)} − {plain(e.seat_mm, 2)}) / {plain(e.ratio, 2)}",
                mm(self.end_mm, 4),
            ),
            Line(
                "effective stroke", "H_o − H_c", f"{plain(self.end_mm, 4)} − {plain(self.start_mm, 2)}", mm(self.stroke_mm, 4)
            ),
        )

    def question(self) -> Question:
        """H_o − H_c."""
        e, gap = self.engine, self.valve_mm - self.engine.seat_mm
        return Question(
            text=("You have read both events of this unit.", "How long is its effective stroke?"),
            given=self.known,
            field=asks_number("effective stroke", "mm"),
            answer=self.stroke_mm,
            slips=(
                Slip(e.stroke_mm, "That is the reference. This unit starts and ends elsewhere."),
                Slip(
                    e.spill_lift_mm - self.start_mm, "You let it end at its reference. The spill valve is open there already."
                ),
                Slip(
                    e.spill_lift_mm + gap / e.ratio - self.start_mm,
                    "A spill valve that is open already has opened earlier: subtract.",
                ),
                Slip(
                    e.spill_lift_mm - gap - self.start_mm,
                    "You left out the valve ratio. Valve movement over ratio is plunger lift.",
                ),
            ),
            working=self.lines,
            so="Both rods change it. The cam does not.",
        )


@dataclass(frozen=True, slots=True)
class StrokeLoss(StrokeRead):
    """How much less than its reference a unit delivers."""

    def question(self) -> Question:
        """Percent of the reference stroke."""
        stroke, reference = self.stroke_mm, self.engine.stroke_mm
        loss = imbalance_percent(stroke, reference)
        return Question(
            text=(
                "You have read both events of this unit.",
                "By how many percent does its effective stroke differ from the reference?",
            ),
            given=self.known,
            field=asks_number("deviation of the stroke", "%"),
            answer=loss,
            slips=(
                Slip(-loss, "It delivers less where its stroke is shorter. Take the reference off, not the other way round."),
                Slip(stroke - reference, "Those are millimetres. Divide by the reference stroke."),
                Slip(100.0 + loss, "That is the share of the reference. The deviation from it is asked for."),
                Slip(
                    imbalance_percent(stroke, self.engine.spill_lift_mm),
                    "Divide by the reference stroke, not by the spill lift.",
                ),
            ),
            working=(
                *self.lines,
                Line(
                    "deviation",
                    "(stroke − reference) / reference · 100",
                    f"({plain(stroke, 4)} − {plain(reference, 2)}) / {plain(reference, 2)} · 100",
                    f"{signed(loss, 3)} %",
                ),
            ),
            so=f"So much {'less' if loss < 0.0 else 'more'} fuel goes into this cylinder at the same index.",
            decimals=1,
            sides=("more", "less"),
        )


@dataclass(frozen=True, slots=True)
class Imbalance:
    """How far a unit's stroke is from the mean of all units."""

    strokes_mm: tuple[float, ...]
    unit: int

    @classmethod
    def drawn(cls, draw: Draw) -> Imbalance:
        """Strokes around one length, one of them well off."""
        middle, units = draw.number(20.0, 27.0, 0.5), draw.whole(4, 6)
        strokes = [round(middle + draw.either(0.0, 0.3, 0.01), 2) for _ in range(units)]
        unit = draw.whole(1, units)
        strokes[unit - 1] = round(middle + draw.either(0.6, 1.4, 0.01), 2)
        return cls(tuple(strokes), unit)

    def question(self) -> Question:
        """(stroke − mean) / mean."""
        stroke, middle = self.strokes_mm[self.unit - 1], mean(self.strokes_mm)
        others = mean([each for unit, each in enumerate(self.strokes_mm, 1) if unit != self.unit])
        answer = imbalance_percent(stroke, middle)
        return Question(
            text=(
                f"These are the effective strokes of all units. What is the imbalance of unit {self.unit}, against the mean?",
            ),
            given=tuple((f"unit {unit}", mm(each)) for unit, each in enumerate(self.strokes_mm, 1)),
            field=asks_number("imbalance", "%"),
            answer=answer,
            slips=(
                Slip(-answer, "More than the mean is plus, less is minus."),
                Slip(
                    imbalance_percent(stroke, others),
                    "You took the mean of the other units. The imbalance is against the mean of all.",
                ),
                Slip(stroke - middle, "Those are millimetres. Divide by the mean."),
            ),
            working=(
                Line(
                    "mean of the units", "sum / n", f"{plain(fsum(self.strokes_mm), 2)} / {len(self.strokes_mm)}", mm(middle, 4)
                ),
                Line(
                    "imbalance",
                    "(stroke − mean) / mean · 100",
                    f"({plain(stroke, 2)} − {plain(middle, 4)}) / {plain(middle, 4)} · 100",
                    f"{signed(answer, 2)} %",
                ),
            ),
            so="Equal strokes give equal fuel, not equal power: timing, injectors and compression count as well.",
            sides=("more", "less"),
        )


def _shared(parts: tuple[float, ...]) -> CommonPart:
    """The common part of cam parts that are all known alike; how well does not move a median."""
    return common_part([Estimate(part, 0.05, 0.04) for part in parts], 0.03)


@dataclass(frozen=True, slots=True)
class Common:
    """What the cam parts of all units share."""

    parts_deg: tuple[float, ...]
    unit: int

    @classmethod
    def drawn(cls, draw: Draw) -> Common:
        """An odd number of units, one of them with a fault of its own."""
        units, shift = draw.pick((5, 7)), draw.either(0.3, 0.7, 0.01)
        parts = [round(shift + draw.either(0.0, 0.05, 0.01), 2) for _ in range(units)]
        unit = draw.whole(1, units)
        parts[unit - 1] = round(shift + draw.either(0.7, 1.5, 0.01), 2)
        return cls(tuple(parts), unit)

    @property
    def known(self) -> tuple[tuple[str, str], ...]:
        """The cam parts in words."""
        return tuple((f"cam part of unit {unit}", deg(part)) for unit, part in enumerate(self.parts_deg, 1))

    @property
    def median_line(self) -> Line:
        """The line that finds the median."""
        ordered = ", ".join(signed(part, 2) for part in sorted(self.parts_deg))
        return Line("common part", "median: the middle one in order", ordered, deg(_shared(self.parts_deg).common.value))

    def question(self) -> Question:
        """The median."""
        parts = self.parts_deg
        shared = _shared(parts).common.value
        return Question(
            text=("These are the cam parts of all units.", "How large is the common part: what the units share?"),
            given=self.known,
            field=asks_number("common part", "°"),
            answer=shared,
            slips=(
                Slip(
                    mean(parts),
                    f"You took the mean. Unit {self.unit} stands apart and pulls it. The median does not care how far off one "
                    "unit is.",
                ),
                Slip(parts[self.unit - 1], f"That is unit {self.unit}'s alone. The common part is what most units show."),
                Slip(0.0, "Most units are off the same way. That is no accident."),
            ),
            working=(self.median_line,),
            so=f"The camshaft drive or the flywheel pointer makes all units {late(shared)}. A TDC check tells which of "
            "the two.",
            sides=LATE_EARLY,
        )


@dataclass(frozen=True, slots=True)
class Own(Common):
    """What one unit has for itself."""

    def question(self) -> Question:
        """Its part less the median."""
        parts, shared = self.parts_deg, _shared(self.parts_deg)
        part, own = parts[self.unit - 1], shared.own[self.unit - 1].value
        return Question(
            text=(f"These are the cam parts of all units. How large is the own cam part of unit {self.unit}?",),
            given=self.known,
            field=asks_number("own cam part", "°"),
            answer=own,
            slips=(
                Slip(part, "That is the whole cam part. Take off what all units share."),
                Slip(part + shared.common.value, "You added the common part. It is in the reading already: take it off."),
                Slip(part - mean(parts), "You took off the mean. This unit pulls the mean: take the median."),
                Slip(shared.common.value, "That is what the others share."),
            ),
            working=(
                self.median_line,
                Line(
                    "own cam part", "cam part − common part", f"{plain(part, 2)} − ({plain(shared.common.value, 2)})", deg(own)
                ),
            ),
            so=f"This unit's cam sits {late(own)} among the others. An error of its TDC mark looks the same.",
            sides=LATE_EARLY,
        )


@dataclass(frozen=True, slots=True)
class TdcCheck:
    """What the scale shows at TDC, from a pair of angles at equal piston height."""

    before_deg: float
    after_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> TdcCheck:
        """A pointer that is a little off."""
        side = draw.number(20.0, 35.0, 0.5)
        off = draw.either(0.2, 0.8, 0.05)
        return cls(round(off - side, 2), round(off + side, 2))

    @property
    def tdc_deg(self) -> float:
        """The reading at TDC [deg]."""
        return find_dead_centre([(self.before_deg, self.after_deg)]).tdc_deg

    @property
    def line(self) -> Line:
        """The line that finds it."""
        numbers = f"({plain(self.before_deg, 2)} + {plain(self.after_deg, 2)}) / 2"
        return Line("scale at TDC", "(before + after) / 2", numbers, deg(self.tdc_deg))

    def question(self) -> Question:
        """Half way between."""
        before, after = self.before_deg, self.after_deg
        return Question(
            text=(
                "The piston stands at the same height at these two angles. Play was taken up turning ahead both times.",
                "What does the scale show at the true TDC?",
            ),
            given=(("before TDC, the scale shows", angle_words(before)), ("after TDC, the scale shows", angle_words(after))),
            field=asks_number("scale at TDC", "°"),
            answer=self.tdc_deg,
            slips=(
                Slip(before + after, "That is the difference of the two sizes. TDC lies half way between the angles."),
                Slip(-self.tdc_deg, "Mind the sign: the side with the larger size is the side where the scale's TDC is found."),
                Slip(
                    (after - before) / 2.0,
                    "That is half the way from one to the other. The mean of the two signed angles is asked for.",
                ),
            ),
            working=(self.line,),
            so="Every angle that you read has this error in it.",
            sides=("after", "before"),
        )


@dataclass(frozen=True, slots=True)
class PointerOrDrive:
    """What a common part comes from."""

    check: TdcCheck
    common_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> PointerOrDrive:
        """A pointer that explains all of it, or nothing."""
        check = TdcCheck.drawn(draw)
        if draw.pick((True, False)):
            return cls(check, round(check.tdc_deg + draw.either(0.0, 0.04, 0.01), 2))
        right = TdcCheck(round(check.before_deg - check.tdc_deg, 2), round(check.after_deg - check.tdc_deg, 2))
        return cls(right, round(check.tdc_deg, 2))

    def question(self) -> Question:
        """Common part against TDC check."""
        tdc, common = self.check.tdc_deg, self.common_deg
        answer = "pointer" if abs(common - tdc) < abs(common) / 2.0 else "drive"
        choices = {
            "pointer": "The flywheel pointer is off, the pumps are right",
            "drive": "The camshaft drive is off, the pointer is right",
            "cams": "Each unit's cam has moved by the same",
        }
        reasons = {
            "pointer": f"The pointer is right to {plain(abs(tdc), 2)}°. It cannot explain {deg(common)}.",
            "drive": f"The scale shows {deg(tdc)} at the true TDC. That explains the {deg(common)}.",
            "cams": "All cams by the same amount would be a strange accident. What they share is the drive, and the pointer.",
        }
        return Question(
            text=(
                f"All units of this engine share a common part of {deg(common)}. You do a TDC check.",
                "Where does it come from?",
            ),
            given=(
                ("equal heights, before", angle_words(self.check.before_deg)),
                ("equal heights, after", angle_words(self.check.after_deg)),
            ),
            field=asks_choice("The common part", choices),
            answer=answer,
            slips=slips_of(reasons, answer),
            working=(
                self.check.line,
                Line(
                    "left for the drive",
                    "common part − scale at TDC",
                    f"{plain(common, 2)} − ({plain(tdc, 2)})",
                    deg(common - tdc),
                ),
            ),
            so="Set the pointer before anything else."
            if answer == "pointer"
            else "Moving the drive is the maker's procedure, and class wants to know.",
        )
