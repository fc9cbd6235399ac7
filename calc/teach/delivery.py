"""Questions of lessons 1 and 2: what starts and ends delivery, how long it lasts, and which way angles count."""

from __future__ import annotations

from dataclasses import dataclass

from calc.job.words import angle_words, plain, signed
from calc.measure.circle import wrapped
from calc.pump.quantity import injection_ms
from calc.teach.draw import Draw
from calc.teach.engine import Engine, late, mm
from calc.teach.question import Question, Slip, asks_choice, asks_number, slips_of
from calc.working import Line

LATE_EARLY = ("late", "early")


@dataclass(frozen=True, slots=True)
class Delivering:
    """Whether the unit delivers at a plunger lift."""

    pre_stroke_mm: float
    spill_lift_mm: float
    lift_mm: float

    @classmethod
    def drawn(cls, draw: Draw) -> Delivering:
        """Numbers in each of the three parts of the stroke."""
        engine = Engine.drawn(draw)
        h, top = engine.pre_stroke_mm, engine.spill_lift_mm
        low, high = draw.pick(((1.5, h - 1.0), (h + 1.0, top - 1.0), (top + 1.0, top + 8.0)))
        return cls(h, top, draw.number(low, high, 0.5))

    def question(self) -> Question:
        """Which of the three parts it is."""
        choices = {
            "before": "Not yet: the suction valve is still open",
            "delivers": "It delivers: both valves are shut",
            "after": "No more: the spill valve is open",
        }
        part = "before" if self.lift_mm < self.pre_stroke_mm else "after" if self.lift_mm > self.spill_lift_mm else "delivers"
        reasons = {
            "before": {
                "delivers": "The plunger rises, but the suction valve is still open. Fuel runs back through it until "
                "the pre-stroke "
                "is reached.",
                "after": "The spill valve opens last, at the spill lift. It ends delivery. It never starts it.",
            },
            "delivers": {
                "before": "The pre-stroke is behind it, so the suction valve has closed. That is what starts delivery.",
                "after": "The spill valve opens at the spill lift. The plunger is not there yet.",
            },
            "after": {
                "before": "The suction valve closed at the pre-stroke. It is shut until the plunger is far down again.",
                "delivers": "The plunger still rises, but the spill valve is open. The pressure is gone and delivery "
                "has ended.",
            },
        }[part]
        h, top, lift = mm(self.pre_stroke_mm), mm(self.spill_lift_mm), mm(self.lift_mm)
        return Question(
            text=("The plunger of this unit is on its way up.", "What does the unit do at this lift?"),
            given=(("pre-stroke", h), ("spill lift", top), ("plunger lift now", lift)),
            field=asks_choice("At this lift", choices),
            answer=part,
            slips=slips_of(reasons, part),
            working=(
                Line(
                    "suction valve",
                    "shut from the pre-stroke on",
                    f"{lift} against {h}",
                    "open" if part == "before" else "shut",
                ),
                Line(
                    "spill valve", "open from the spill lift on", f"{lift} against {top}", "open" if part == "after" else "shut"
                ),
            ),
            so="Delivery lasts from the suction valve's closing to the spill valve's opening.",
        )


@dataclass(frozen=True, slots=True)
class EffectiveStroke:
    """The part of the stroke that delivers."""

    pre_stroke_mm: float
    spill_lift_mm: float

    @classmethod
    def drawn(cls, draw: Draw) -> EffectiveStroke:
        """The settings of an engine, to a tenth."""
        return cls(draw.number(9.0, 14.0, 0.1), draw.number(30.0, 40.0, 0.1))

    def question(self) -> Question:
        """Spill lift less pre-stroke."""
        h, top = self.pre_stroke_mm, self.spill_lift_mm
        return Question(
            text=("Both lifts are counted from the base circle.", "How long is the effective stroke?"),
            given=(("suction valve closes at", mm(h)), ("spill valve opens at", mm(top))),
            field=asks_number("effective stroke", "mm"),
            answer=top - h,
            slips=(
                Slip(top, "You took the whole way to the spill valve. Until the suction valve closes, nothing is delivered."),
                Slip(h, "That is the pre-stroke. There delivery only starts."),
                Slip(top + h, "You added the two lifts. Both count from the base circle, so the stroke is their difference."),
            ),
            working=(Line("effective stroke", "H_o − H_c", f"{plain(top, 2)} − {plain(h, 2)}", mm(top - h)),),
            so="This is all that the plunger delivers in one turn.",
        )


@dataclass(frozen=True, slots=True)
class DeliveryAngle:
    """The angle from start to end of delivery."""

    beginning_deg: float
    end_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> DeliveryAngle:
        """A start before and an end after TDC."""
        return cls(-draw.number(3.0, 8.0, 0.1), draw.number(6.0, 13.0, 0.1))

    def question(self) -> Question:
        """End less start."""
        f, end = self.beginning_deg, self.end_deg
        return Question(
            text=("This unit starts before TDC and ends after it.", "How large is the delivery angle?"),
            given=(("start of delivery", angle_words(f)), ("end of delivery", angle_words(end))),
            field=asks_number("delivery angle", "°"),
            answer=end - f,
            slips=(
                Slip(end + f, "You subtracted the sizes. The start lies before TDC, so it is negative: minus a minus adds."),
                Slip(end, "You counted from TDC. Delivery starts before it."),
                Slip(-f, "That is the part before TDC alone."),
            ),
            working=(Line("delivery angle", "F_o − F_c", f"{plain(end, 1)} − ({plain(f, 1)})", f"{plain(end - f, 1)}°"),),
            so="A distance between two sides of TDC is the sum of the two sizes.",
            decimals=1,
        )


@dataclass(frozen=True, slots=True)
class DeliveryTime:
    """How long delivery lasts."""

    beginning_deg: float
    end_deg: float
    speed_rpm: float

    @classmethod
    def drawn(cls, draw: Draw) -> DeliveryTime:
        """Angles and a slow engine's speed."""
        angles = DeliveryAngle.drawn(draw)
        return cls(angles.beginning_deg, angles.end_deg, draw.number(72.0, 126.0, 1.0))

    def question(self) -> Question:
        """Angle over speed."""
        f, end, n = self.beginning_deg, self.end_deg, self.speed_rpm
        angle = end - f
        answer = injection_ms(angle, n)
        return Question(
            text=("The engine runs at a steady speed.", "How long does delivery last?"),
            given=(("start of delivery", angle_words(f)), ("end of delivery", angle_words(end)), ("speed", f"{n:g} rpm")),
            field=asks_number("time of delivery", "ms"),
            answer=answer,
            slips=(
                Slip(injection_ms(end + f, n), "You subtracted the sizes. The start lies before TDC, so it is negative."),
                Slip(
                    2.0 * answer, "You halved the speed for the camshaft. In a two-stroke it turns as fast as the crankshaft."
                ),
                Slip(answer / 60.0, "You took turns a minute for turns a second. One rpm is 6° a second."),
            ),
            working=(
                Line("delivery angle", "F_o − F_c", f"{plain(end, 1)} − ({plain(f, 1)})", f"{plain(angle, 1)}°"),
                Line(
                    "time of delivery",
                    "angle / (6 n) · 1000",
                    f"{plain(angle, 1)} / (6 · {n:g}) · 1000",
                    f"{plain(answer, 2)} ms",
                ),
            ),
            so="Injection lasts about as long, but starts a little later: the pressure has to rise first.",
            decimals=1,
        )


@dataclass(frozen=True, slots=True)
class Deviation:
    """How late an event is."""

    reference_deg: float
    read_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> Deviation:
        """A start, before TDC, a little off."""
        reference = -draw.number(3.0, 8.0, 0.1)
        return cls(reference, round(reference + draw.either(0.1, 0.9, 0.05), 2))

    def question(self) -> Question:
        """Read less reference."""
        f, read = self.reference_deg, self.read_deg
        off = read - f
        return Question(
            text=("You turned ahead and read the start of delivery.", "By how much is it late or early?"),
            given=(("reference", angle_words(f)), ("read", angle_words(read))),
            field=asks_number("deviation", "°"),
            answer=off,
            slips=(
                Slip(
                    -off,
                    f"You subtracted the sizes. Before TDC a smaller number is later: {angle_words(max(f, read))} comes after "
                    f"{angle_words(min(f, read))}.",
                ),
                Slip(-f - read, "You added the two. Both lie on the same side of TDC, so the deviation is their difference."),
            ),
            working=(Line("angle deviation A", "F − f", f"{plain(read, 2)} − ({plain(f, 2)})", f"{signed(off, 2)}°"),),
            so=f"The start is {late(off)}.",
            sides=LATE_EARLY,
        )


@dataclass(frozen=True, slots=True)
class Flywheel:
    """A unit's crank angle from the flywheel's scale."""

    unit: int
    mark_deg: float
    scale_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> Flywheel:
        """A unit of a five- to eight-unit engine, and a reading near its TDC."""
        units = draw.whole(5, 8)
        mark = round(360.0 * draw.whole(1, units - 1) / units, 1)
        return cls(draw.whole(2, units), mark, round(mark + draw.pick((-1.0, -1.0, 1.0)) * draw.number(2.0, 11.0, 0.1), 1))

    def question(self) -> Question:
        """Scale less mark."""
        at = wrapped(self.scale_deg - self.mark_deg)
        return Question(
            text=(
                "The scale on this flywheel runs from 0° to 360°. Its numbers rise while the engine turns ahead.",
                f"What is the crank angle of unit {self.unit}, counted from its own TDC?",
            ),
            given=(
                ("TDC of unit 1", "0.0° on the scale"),
                (f"TDC of unit {self.unit}", f"{plain(self.mark_deg, 1)}° on the scale"),
                ("the pointer shows", f"{plain(self.scale_deg, 1)}°"),
            ),
            field=asks_number("crank angle", "°", angle=True),
            answer=at,
            slips=(
                Slip(-at, "The numbers rise as you turn ahead. A reading below the mark lies before TDC, one above it after."),
                Slip(wrapped(self.scale_deg), f"You counted from TDC of unit 1. Unit {self.unit} has a mark of its own."),
            ),
            working=(
                Line(
                    "crank angle",
                    "scale − TDC mark",
                    f"{plain(self.scale_deg, 1)} − {plain(self.mark_deg, 1)}",
                    angle_words(round(at, 1)),
                ),
            ),
            so="Each unit counts from its own TDC.",
            decimals=1,
        )


@dataclass(frozen=True, slots=True)
class AsternSign:
    """The same position of the crank, counted for the other direction."""

    ahead_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> AsternSign:
        """A position on either side of TDC."""
        return cls(draw.either(2.0, 12.0, 0.1))

    def question(self) -> Question:
        """Mirrored at TDC."""
        read = self.ahead_deg
        return Question(
            text=(
                "You prove the astern settings of a reversible engine. The engine turns astern. The scale is engraved "
                "for ahead.",
                "How does this position count in astern rotation?",
            ),
            given=(("the scale shows", angle_words(read)),),
            field=asks_number("crank angle in astern rotation", "°", angle=True),
            answer=-read,
            slips=(
                Slip(
                    read,
                    "The sign changes with the direction. Turning astern, the crank meets this position on the other side of "
                    "TDC.",
                ),
            ),
            working=(Line("angle for astern", "− angle for ahead", f"−({plain(read, 1)})", angle_words(-read)),),
            so="What comes first while the engine turns is before.",
            decimals=1,
        )
