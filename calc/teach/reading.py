"""Questions of lesson 3: from what the gauges show to the lift and angle of an event."""

from __future__ import annotations

from dataclasses import dataclass

from calc.job.words import angle_words, plain
from calc.pump.reading import on_seat, spill_lift_from_valve, suction_lift_from_valve
from calc.teach.draw import Draw
from calc.teach.engine import Engine, mm
from calc.teach.question import Question, Slip, asks_choice, asks_number, slips_of
from calc.working import Line


def _valve_read(draw: Draw, engine: Engine) -> float:
    """A valve reading off the seat, far enough from the seat-contact reading [mm]."""
    return round(engine.seat_mm + draw.number(0.1, 0.5, 0.01), 2)


@dataclass(frozen=True, slots=True)
class SuctionAtLift:
    """The lift at which the suction valve closes, from its gauge at the reference lift."""

    engine: Engine
    valve_mm: float

    @classmethod
    def drawn(cls, draw: Draw) -> SuctionAtLift:
        """An engine, and a valve that is still open."""
        engine = Engine.drawn(draw)
        return cls(engine, _valve_read(draw, engine))

    @property
    def lift_mm(self) -> float:
        """Where it closes [mm]."""
        return suction_lift_from_valve(self.engine.pre_stroke_mm, self.valve_mm, self.engine.seat_mm, self.engine.ratio)

    @property
    def lift_line(self) -> Line:
        """The line that finds it."""
        e = self.engine
        return Line(
            "event lift H_c",
            "h_c + (v − s) / i",
            f"{plain(e.pre_stroke_mm, 2)} + ({plain(self.valve_mm, 2)} − {plain(e.seat_mm, 2)}) / {plain(e.ratio, 2)}",
            mm(self.lift_mm, 4),
        )

    def question(self) -> Question:
        """h + (v − s) / i."""
        e, v, h = self.engine, self.valve_mm, self.engine.pre_stroke_mm
        gap = v - e.seat_mm
        return Question(
            text=(
                "You turn ahead until the plunger gauge shows the pre-stroke. The suction valve is still open there.",
                "At which plunger lift does it close?",
            ),
            given=(("pre-stroke h", mm(h)), ("suction valve reads v", mm(v)), *e.valve),
            field=asks_number("plunger lift", "mm"),
            answer=self.lift_mm,
            slips=(
                Slip(h - gap / e.ratio, "A valve that is still open closes later, at a higher lift. You went the other way."),
                Slip(
                    h + gap * e.ratio,
                    "You multiplied by the valve ratio. The ratio is valve per plunger, so divide to get plunger lift.",
                ),
                Slip(h + gap, "You left out the valve ratio. The valve moves less than the plunger."),
                Slip(
                    h + v / e.ratio,
                    "You left out the seat-contact reading. The valve counts as shut at that reading, not at 0.",
                ),
            ),
            working=(self.lift_line,),
            so="It closes late by lift. The angle is late by the same way along the cam.",
            decimals=3,
        )


@dataclass(frozen=True, slots=True)
class AngleAtLift(SuctionAtLift):
    """The angle at which the suction valve closes, from the same reading."""

    angle_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> AngleAtLift:
        """The same, and an angle near the reference."""
        engine = Engine.drawn(draw)
        return cls(engine, _valve_read(draw, engine), round(engine.beginning_deg + draw.either(0.0, 0.5, 0.1), 1))

    def question(self) -> Question:
        """F + D / k."""
        e, angle, k = self.engine, self.angle_deg, self.engine.slope
        lift_error = self.lift_mm - e.pre_stroke_mm
        travel = lift_error / k
        return Question(
            text=(
                "You turn ahead to the pre-stroke and read the suction valve and the flywheel.",
                "At which crank angle does the suction valve close?",
            ),
            given=(
                *e.settings,
                ("suction valve reads v", mm(self.valve_mm)),
                ("crank angle F there", angle_words(angle)),
                *e.valve,
            ),
            field=asks_number("crank angle", "°", angle=True),
            answer=angle + travel,
            slips=(
                Slip(angle, "That is the angle of the pre-stroke, where you read. The valve was still open there."),
                Slip(angle - travel, "The valve closes after this point, so the engine turns on: add the travel."),
                Slip(angle + lift_error * k, "You multiplied by the slope. Lift over slope gives degrees."),
            ),
            working=(
                self.lift_line,
                e.slope_line,
                Line("travel", "(H_c − h_c) / k", f"{plain(lift_error, 4)} / {plain(k, 4)}", f"{plain(travel, 4)}°"),
                Line("event angle", "F + travel", f"{plain(angle, 2)} + {plain(travel, 4)}", f"{plain(angle + travel, 4)}°"),
            ),
            so="The plunger has to rise a little further, and the crank has to turn for it.",
        )


@dataclass(frozen=True, slots=True)
class SpillAtLift:
    """The lift at which the spill valve opens, from its gauge at the reference lift."""

    engine: Engine
    valve_mm: float

    @classmethod
    def drawn(cls, draw: Draw) -> SpillAtLift:
        """An engine, and a spill valve that has opened already."""
        engine = Engine.drawn(draw)
        return cls(engine, _valve_read(draw, engine))

    def question(self) -> Question:
        """h − (v − s) / i."""
        e, v, h = self.engine, self.valve_mm, self.engine.spill_lift_mm
        gap = v - e.seat_mm
        lift = spill_lift_from_valve(h, v, e.seat_mm, e.ratio)
        return Question(
            text=(
                "You turn ahead until the plunger gauge shows the spill lift.",
                "At which plunger lift did the spill valve open?",
            ),
            given=(("spill lift h", mm(h)), ("spill valve reads v", mm(v)), *e.valve),
            field=asks_number("plunger lift", "mm"),
            answer=lift,
            slips=(
                Slip(
                    h + gap / e.ratio,
                    "A spill valve that is open already has opened earlier, at a lower lift. You went the other way.",
                ),
                Slip(
                    h - gap * e.ratio, "You multiplied by the valve ratio. Divide: valve movement over ratio is plunger lift."
                ),
                Slip(h - gap, "You left out the valve ratio."),
                Slip(h - v / e.ratio, "You left out the seat-contact reading. The valve counts as just open there, not at 0."),
            ),
            working=(
                Line(
                    "event lift H_o",
                    "h_o − (v − s) / i",
                    f"{plain(h, 2)} − ({plain(v, 2)} − {plain(e.seat_mm, 2)}) / {plain(e.ratio, 2)}",
                    mm(lift, 4),
                ),
            ),
            so="Delivery ends early by lift.",
            decimals=3,
        )


@dataclass(frozen=True, slots=True)
class OnSeat:
    """What a valve gauge tells, and what a valve on its seat does not."""

    engine: Engine
    valve_mm: float

    @classmethod
    def drawn(cls, draw: Draw) -> OnSeat:
        """A reading at or below 0 as often as one above it."""
        engine = Engine.drawn(draw)
        return cls(engine, draw.pick((0.0, -0.01, 0.0, _valve_read(draw, engine), _valve_read(draw, engine))))

    def question(self) -> Question:
        """A number, or none."""
        e, v, h = self.engine, self.valve_mm, self.engine.pre_stroke_mm
        lift = suction_lift_from_valve(h, v, e.seat_mm, e.ratio)
        choices = {
            "told": f"At {mm(lift)}: the ratio turns the reading into lift",
            "there": f"At {mm(h)}: the plunger stands there now",
            "unknown": "Nobody can tell from this reading: read at contact",
        }
        sits = on_seat((v,))
        answer = "unknown" if sits else "told"
        there = "The plunger stands there because you put it there. The valve acts at a lift of its own."
        reasons = (
            {
                "told": "The valve sits on its seat. It may have closed just now or long ago: its gauge shows the same.",
                "there": there,
            }
            if sits
            else {"unknown": "The valve is off its seat, so its gauge does tell the distance.", "there": there}
        )
        return Question(
            text=(
                "You turn ahead to the pre-stroke and read the suction valve.",
                "At which plunger lift does the suction valve close?",
            ),
            given=(("pre-stroke h", mm(h)), ("suction valve reads v", mm(v)), *e.valve),
            field=asks_choice("The suction valve closes", choices),
            answer=answer,
            slips=slips_of(reasons, answer),
            working=(
                Line("does the valve sit?", "v at or below 0", mm(v), "yes" if sits else "no"),
                *(
                    ()
                    if sits
                    else (
                        Line(
                            "event lift H_c",
                            "h_c + (v − s) / i",
                            f"{plain(h, 2)} + ({plain(v, 2)} − {plain(e.seat_mm, 2)}) / {plain(e.ratio, 2)}",
                            mm(lift),
                        ),
                    )
                ),
            ),
            so="Turn back beyond the event, then ahead to contact, and read the plunger."
            if sits
            else "Valve movement over ratio is lift.",
        )
