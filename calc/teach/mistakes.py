"""Questions of lesson 9: mistakes of the hand, and what they make the gauges show."""

from __future__ import annotations

from dataclasses import dataclass

from calc.job.words import angle_words, plain, signed
from calc.measure.circle import wrapped
from calc.pump.mistakes import cam_shows, even_tdc, mark_shift, offset_shows, play_shows, rod_shows
from calc.teach.draw import Draw
from calc.teach.engine import Engine, deg, event, mm
from calc.teach.question import Question, Slip, asks_choice, asks_number, slips_of
from calc.working import Line


@dataclass(frozen=True, slots=True)
class MissedTurn:
    """A full turn of the dial too many or too few."""

    engine: Engine
    turn_mm: float
    read_mm: float
    missed: int

    @classmethod
    def drawn(cls, draw: Draw) -> MissedTurn:
        """A healthy start, read a turn off."""
        engine, turn, missed = Engine.drawn(draw), draw.pick((0.5, 1.0, 2.0)), draw.pick((-1, 1))
        true = engine.pre_stroke_mm + draw.either(0.02, 0.12, 0.01)
        return cls(engine, turn, round(true + missed * turn, 2), missed)

    def question(self) -> Question:
        """The reading less the turn."""
        e, read, turn = self.engine, self.read_mm, self.turn_mm
        true = offset_shows(read - self.missed * turn, 0.0).lift_mm
        off = read - e.pre_stroke_mm
        return Question(
            text=(
                "The start was read at contact. Its angle is right on the reference, its lift is far off. The angle is "
                "that of contact, "
                "so the lift was read wrongly.",
                "Which plunger lift did the gauge really show?",
            ),
            given=(
                ("start, reference", event(e.pre_stroke_mm, e.beginning_deg)),
                ("start, read", event(read, e.beginning_deg)),
                ("one turn of the dial", mm(turn)),
            ),
            field=asks_number("plunger lift", "mm"),
            answer=true,
            slips=(
                Slip(
                    read,
                    "A rod that is off so far would have moved the angle as well. The lift is off by a whole turn of the dial.",
                ),
                Slip(read + self.missed * turn, "The other way: count the turn back."),
                Slip(
                    e.pre_stroke_mm, "Do not write the reference. Only whole turns were missed: the rest of the reading stands."
                ),
            ),
            working=(
                Line("lift deviation D", "H − h", f"{plain(read, 2)} − {plain(e.pre_stroke_mm, 2)}", f"{signed(off, 2)} mm"),
                Line(
                    "whole turns in it",
                    "D / turn, to the next whole",
                    f"{plain(off, 2)} / {plain(turn, 2)}",
                    f"{self.missed:+d}".replace("-", "−"),
                ),
                Line(
                    "lift",
                    "H − turns · turn",
                    f"{plain(read, 2)} − ({self.missed}) · {plain(turn, 2)}".replace("-", "−"),
                    mm(true),
                ),
            ),
            so="Read it again. Nobody corrects a reading from a pattern alone.",
        )


@dataclass(frozen=True, slots=True)
class GaugeZero:
    """A plunger gauge that was not zeroed on the base circle."""

    read_mm: float
    reference_mm: float
    return_mm: float

    @classmethod
    def drawn(cls, draw: Draw) -> GaugeZero:
        """A return that is not 0."""
        reference, zero = draw.number(9.0, 14.0, 0.5), draw.either(0.15, 0.7, 0.01)
        return cls(round(reference + zero + draw.either(0.02, 0.1, 0.01), 2), reference, zero)

    def question(self) -> Question:
        """Reading less return."""
        read, zero = self.read_mm, self.return_mm
        return Question(
            text=(
                "Back on the base circle the plunger gauge does not return to 0. Nobody has touched it since it was set.",
                "At which plunger lift did the suction valve close?",
            ),
            given=(
                ("pre-stroke", mm(self.reference_mm)),
                ("start, read at contact", mm(read)),
                ("return to the base circle", mm(zero)),
            ),
            field=asks_number("plunger lift", "mm"),
            answer=read - zero,
            slips=(
                Slip(read, "Lift counts from the base circle. The gauge shows something else there than 0."),
                Slip(read + zero, "What the gauge shows too much is taken off."),
                Slip(self.reference_mm, "Do not write the reference: the rest of the reading stands."),
            ),
            working=(Line("lift", "H − return", f"{plain(read, 2)} − ({plain(zero, 2)})", mm(read - zero)),),
            so="Set the gauge to 0 and read again. If it was bumped between, this sum is wrong too.",
        )


@dataclass(frozen=True, slots=True)
class WrongMark:
    """Whose TDC mark was taken."""

    order: tuple[int, ...]
    unit: int
    mark: int
    reference_deg: float
    off_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> WrongMark:
        """Two units of an engine with even firing."""
        order = draw.pick(((1, 4, 2, 5, 3), (1, 5, 3, 4, 2, 6), (1, 3, 5, 2, 4), (1, 5, 2, 6, 3, 4)))
        unit = draw.pick(order)
        mark = draw.pick([each for each in order if each != unit])
        return cls(order, unit, mark, -draw.number(3.0, 7.0, 0.1), draw.either(0.0, 0.3, 0.1))

    def question(self) -> Question:
        """The mark whose distance is the deviation."""
        tdc = even_tdc(self.order)
        read = round(wrapped(self.reference_deg + self.off_deg + mark_shift(tdc[self.unit], tdc[self.mark])), 1)
        off = wrapped(read - self.reference_deg)
        others = sorted(each for each in self.order if each != self.unit)
        choices = {str(each): f"That of unit {each}" for each in others}
        shifts = {each: mark_shift(tdc[self.unit], tdc[each]) for each in others}
        answer = str(min(others, key=lambda each: abs(wrapped(shifts[each] - off))))
        reasons = {
            str(each): f"The mark of unit {each} would shift unit {self.unit} by {signed(shift, 1)}°, not by {signed(off, 1)}°."
            for each, shift in shifts.items()
        }
        step = 360.0 / len(self.order)
        return Question(
            text=(
                f"The start of unit {self.unit} was read at contact. Its lift is right, its angle is not. Another "
                "unit's TDC mark was "
                "taken for its own.",
                "Which one?",
            ),
            given=(
                ("firing order", " ".join(map(str, self.order))),
                ("firing interval", f"{step:g}°"),
                ("start, reference", angle_words(self.reference_deg)),
                ("start, read", angle_words(read)),
            ),
            field=asks_choice("The mark", choices),
            answer=answer,
            slips=slips_of(reasons, answer),
            working=(
                Line("deviation", "F − f, within ±180°", f"{plain(read, 1)} − ({plain(self.reference_deg, 1)})", deg(off, 1)),
                Line("firing intervals in it", "deviation / interval", f"{plain(off, 1)} / {step:g}", plain(off / step, 2)),
                *(
                    Line(
                        f"mark of unit {each}",
                        "t_own − t_mark, within ±180°",
                        f"{plain(tdc[self.unit], 1)} − {plain(tdc[each], 1)}",
                        deg(shift, 1),
                    )
                    for each, shift in shifts.items()
                ),
            ),
            so="A fault of the pump is never as large as a firing interval.",
        )


@dataclass(frozen=True, slots=True)
class AsternPlay:
    """What the pointer shows when the same lift is reached astern."""

    true_deg: float
    play_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> AsternPlay:
        """A start, and the play of the drive."""
        return cls(-draw.number(3.0, 7.0, 0.1), draw.number(0.3, 1.2, 0.1))

    def question(self) -> Question:
        """The play makes it look early."""
        true, play = self.true_deg, self.play_deg
        shown = true + play_shows(play).part_deg
        return Question(
            text=(
                "You turned too far and go back astern to contact. The crank takes up the play of the drive before the "
                "cam follows it.",
                "Which crank angle do you read?",
            ),
            given=(("start, reached ahead", angle_words(true)), ("play of the drive", f"{plain(play, 1)}°")),
            field=asks_number("crank angle", "°", angle=True),
            answer=shown,
            slips=(
                Slip(true, "The lift is right, but the crank has gone on astern by the play before the plunger moved."),
                Slip(true + play, "Going astern the crank turns back, to earlier angles. The play makes the event look early."),
                Slip(true - play / 2.0, "All of the play is taken up, not half of it."),
            ),
            working=(
                Line("angle reached astern", "F − play", f"{plain(true, 1)} − {plain(play, 1)}", angle_words(round(shown, 1))),
            ),
            so="Settings count ahead only: turn back well beyond the event, then come ahead again.",
            decimals=1,
        )


_PATTERNS = {
    "rods": "Both push rods are off",
    "cam": "The cam sits off",
    "gauge": "The plunger gauge was not zeroed on the base circle",
    "sign": "Before and after were confused at the start",
}


@dataclass(frozen=True, slots=True)
class Pattern:
    """Which of four explanations fits the two events."""

    engine: Engine
    pattern: str
    start_mm: float
    end_mm: float
    part_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> Pattern:
        """Sizes that leave no doubt."""
        d = draw.either(0.6, 1.1, 0.05)
        return cls(Engine.drawn(draw), draw.pick(tuple(_PATTERNS)), d, draw.pick((-1.0, 0.5)) * d, draw.either(0.4, 0.9, 0.1))

    def _shown(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Lift and angle deviation of start and end, as this pattern makes the gauges show them."""
        e = self.engine
        small = 0.01
        if self.pattern == "rods":
            lifts = rod_shows(self.start_mm).lift_mm, rod_shows(self.end_mm).lift_mm
            return (lifts[0], lifts[0] / e.slope), (lifts[1], lifts[1] / e.slope)
        if self.pattern == "cam":
            part = cam_shows(self.part_deg).part_deg
            return (small, part), (-small, part)
        if self.pattern == "gauge":
            shown = offset_shows(self.start_mm, self.start_mm / e.slope)
            return (shown.lift_mm, 0.0), (shown.lift_mm, 0.0)
        return (small, -2.0 * e.beginning_deg), (-small, 0.0)

    def question(self) -> Question:
        """By lift, angle and what is left."""
        (lift_c, angle_c), (lift_o, angle_o) = self._shown()
        k = self.engine.slope
        reasons = {
            "rods": "A rod moves lift and angle together along the cam. Hold A against D / k, event by event.",
            "cam": "A cam moves both angles by the same and no lift.",
            "gauge": "A gauge that was zeroed wrongly shows both lifts off by the same, while the angles are right.",
            "sign": "With before and after confused, one angle is off by twice its size, and its lift is right.",
        }
        answer = self.pattern
        return Question(
            text=("Both events of this unit were read at contact.", "Which explanation fits?"),
            given=(
                ("start, reference", event(self.engine.pre_stroke_mm, self.engine.beginning_deg)),
                ("start: D and A", f"{signed(lift_c, 2)} mm, {deg(angle_c)}"),
                ("end: D and A", f"{signed(lift_o, 2)} mm, {deg(angle_o)}"),
                ("cam slope k", f"{plain(k, 3)} mm/°"),
            ),
            field=asks_choice("It is", _PATTERNS),
            answer=answer,
            slips=slips_of(reasons, answer),
            working=tuple(
                Line(
                    f"cam part of the {name}",
                    "A − D / k",
                    f"{plain(angle, 2)} − ({plain(lift, 2)}) / {plain(k, 3)}",
                    deg(angle - lift / k),
                )
                for name, lift, angle in (("start", lift_c, angle_c), ("end", lift_o, angle_o))
            ),
            so=reasons[answer],
        )
