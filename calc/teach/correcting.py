"""Questions of lesson 7: rod length, flats, the trial flat, and what a correction does to the cut-out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from calc.job.words import flats_words, plain, signed
from calc.pump.correction import (
    effective_pitch,
    flats,
    lift_from_rod,
    spill_rod_change,
    suction_rod_change,
    turns,
    zero_index_opening_after,
)
from calc.pump.what_if import rod_from_flats
from calc.teach.draw import Draw
from calc.teach.engine import mm
from calc.teach.question import Question, Slip, asks_number
from calc.working import Line

FLATS = "flats"
LONGER_SHORTER = ("longer", "shorter")
_RATIOS = (0.7, 0.75, 0.85, 0.9)
_PITCHES = (1.0, 1.25, 1.5, 1.75, 2.0)


@dataclass(frozen=True, slots=True)
class RodChange:
    """The rod change that cures a lift deviation."""

    deviation_mm: float
    ratio: float
    spill: bool

    @classmethod
    def drawn(cls, draw: Draw) -> RodChange:
        """Either event, off either way."""
        return cls(draw.either(0.15, 0.8, 0.01), draw.pick(_RATIOS), draw.pick((False, True)))

    @property
    def change_mm(self) -> float:
        """The change [mm, positive lengthens]."""
        return (spill_rod_change if self.spill else suction_rod_change)(self.deviation_mm, self.ratio)

    @property
    def line(self) -> Line:
        """The line that finds it."""
        e, sign = ("o", "") if self.spill else ("c", "−")
        return Line(
            "rod change",
            f"{sign}i_{e} D_{e}",
            f"{sign}{plain(self.ratio, 2)} · ({plain(self.deviation_mm, 4)})",
            f"{signed(self.change_mm, 4)} mm",
        )

    @property
    def known(self) -> tuple[tuple[str, str], ...]:
        """What is known, in words."""
        act = "opens" if self.spill else "closes"
        valve = "spill valve" if self.spill else "suction valve"
        side = "too late" if self.deviation_mm > 0 else "too early"
        return (
            (
                f"the {valve} {act}",
                f"{mm(abs(self.deviation_mm), 4 if round(self.deviation_mm, 2) != self.deviation_mm else 2)} {side}, in lift",
            ),
            ("valve ratio i", plain(self.ratio, 2)),
        )

    @property
    def reason(self) -> str:
        """Why the rod goes this way."""
        way = "longer" if self.change_mm > 0 else "shorter"
        if self.spill:
            held = "not held open far enough" if self.change_mm > 0 else "held open too far"
        else:
            held = "held open too far" if self.change_mm < 0 else "not held open far enough"
        return f"The valve is {held}, so the rod gets {way}."

    def question(self) -> Question:
        """−i D at the start, +i D at the end."""
        d, i, change = self.deviation_mm, self.ratio, self.change_mm
        sign = 1.0 if self.spill else -1.0
        return Question(
            text=("A longer rod holds its valve further open.", "By how much does the length of the push rod have to change?"),
            given=self.known,
            field=asks_number("rod change", "mm"),
            answer=change,
            slips=(
                Slip(-change, self.reason),
                Slip(sign * d, "You left out the valve ratio. The valve moves less than the plunger."),
                Slip(sign * d / i, "You divided by the valve ratio. From plunger lift to valve movement you multiply."),
            ),
            working=(self.line,),
            so=self.reason,
            decimals=3,
            sides=LONGER_SHORTER,
        )


@dataclass(frozen=True, slots=True)
class Flats(RodChange):
    """The same in flats."""

    pitch_mm: float

    @classmethod
    def drawn(cls, draw: Draw) -> Flats:
        """A single thread."""
        change = RodChange.drawn(draw)
        return cls(change.deviation_mm, change.ratio, change.spill, draw.pick(_PITCHES))

    def question(self) -> Question:
        """6 · change / pitch."""
        change, pitch = self.change_mm, self.pitch_mm
        turned = turns(change, effective_pitch(pitch, False))
        answer = flats(turned)
        bare = (1.0 if self.spill else -1.0) * self.deviation_mm
        return Question(
            text=(
                "A longer rod holds its valve further open. The rod has a single thread and a hexagon.",
                "How many flats do you turn the rod?",
            ),
            given=(*self.known, ("pitch", f"{plain(pitch, 2)} mm")),
            field=asks_number("turn it by", FLATS),
            answer=answer,
            slips=(
                *_by_hand(answer),
                Slip(-answer, self.reason),
                Slip(turned, "Those are turns. A turn has six flats."),
                Slip(answer / 2.0, "You doubled the pitch. Only a left-and-right-hand thread moves two pitches a turn."),
                Slip(flats(turns(bare, pitch)), "You left out the valve ratio. The valve moves less than the plunger."),
            ),
            working=(
                self.line,
                Line("turns", "change / pitch", f"{plain(change, 4)} / {plain(pitch, 2)}", signed(turned, 4)),
                Line("flats", "6 · turns", f"6 · ({plain(turned, 4)})", signed(answer, 3)),
            ),
            so=f"{self.reason} Write down its length before you turn it.",
            sides=LONGER_SHORTER,
        )


def _by_hand(answer: float) -> Iterator[Slip]:
    """What a hand would set, where it differs enough to be told from the sum."""
    quarter = round(4.0 * answer) / 4.0
    if abs(quarter - answer) > 0.05:
        yield Slip(quarter, "That is the nearest quarter of a flat, as a hand sets it. Give the sum first, to 2 decimals.")


@dataclass(frozen=True, slots=True)
class LeftAfter:
    """The lift error that whole flats leave at the start."""

    deviation_mm: float
    ratio: float
    pitch_mm: float
    flats: float

    @classmethod
    def drawn(cls, draw: Draw) -> LeftAfter:
        """Quarter flats near the exact number."""
        deviation, ratio, pitch = draw.either(0.2, 0.8, 0.01), draw.pick(_RATIOS), draw.pick(_PITCHES)
        exact = flats(turns(suction_rod_change(deviation, ratio), pitch))
        return cls(deviation, ratio, pitch, draw.pick((-0.25, 0.0, 0.25)) + round(exact * 4.0) / 4.0)

    def question(self) -> Question:
        """D + rod / i."""
        d, i, pitch = self.deviation_mm, self.ratio, self.pitch_mm
        rod = rod_from_flats(self.flats, pitch)
        moved = lift_from_rod(rod, i, spill=False)
        way = "longer" if self.flats > 0 else "shorter"
        return Question(
            text=(
                f"You turn the suction push rod {flats_words(self.flats)} {way}. It has a single thread, and a longer "
                "rod holds its "
                "valve further open.",
                "Which lift deviation is left at the start?",
            ),
            given=(
                ("lift deviation as found", f"{signed(d, 2)} mm"),
                ("valve ratio i", plain(i, 2)),
                ("pitch", f"{plain(pitch, 2)} mm"),
            ),
            field=asks_number("lift deviation left", "mm"),
            answer=d + moved,
            slips=(
                Slip(d - moved, "The rod moved the other way. A shorter rod lets the suction valve close earlier."),
                Slip(d + rod, "You left out the valve ratio. Rod movement over ratio is plunger lift."),
                Slip(d + rod * i, "You multiplied by the valve ratio. Divide to get plunger lift."),
                Slip(d + 2.0 * moved, "You doubled the pitch. This rod has a single thread."),
            ),
            working=(
                Line(
                    "rod change", "flats · pitch / 6", f"{plain(self.flats, 2)} · {plain(pitch, 2)} / 6", f"{signed(rod, 4)} mm"
                ),
                Line("change of the lift", "change / i", f"{plain(rod, 4)} / {plain(i, 2)}", f"{signed(moved, 4)} mm"),
                Line("left", "D + change of the lift", f"{plain(d, 2)} + ({plain(moved, 4)})", f"{signed(d + moved, 4)} mm"),
            ),
            so="Read again as left: a prediction is no proof.",
            decimals=4,
            sides=("too high", "too low"),
        )


@dataclass(frozen=True, slots=True)
class LeftAndRight:
    """What one turn of a left-and-right-hand thread does to the lift of the start."""

    pitch_mm: float
    ratio: float
    flats: float

    @classmethod
    def drawn(cls, draw: Draw) -> LeftAndRight:
        """A trial of a flat or a little more."""
        return cls(draw.pick(_PITCHES), draw.pick(_RATIOS), draw.pick((0.5, 0.75, 1.0, 1.25, 1.5)))

    def question(self) -> Question:
        """flats · 2 p / 6 / i."""
        single = rod_from_flats(self.flats, self.pitch_mm)
        rod = rod_from_flats(self.flats, effective_pitch(self.pitch_mm, True))
        answer = lift_from_rod(rod, self.ratio, spill=False)
        return Question(
            text=(
                f"The suction push rod has a left-and-right-hand thread. You turn it {flats_words(self.flats)} longer.",
                "How much higher is the plunger lift at which the suction valve closes?",
            ),
            given=(("pitch of each thread", f"{plain(self.pitch_mm, 2)} mm"), ("valve ratio i", plain(self.ratio, 2))),
            field=asks_number("change of the lift", "mm"),
            answer=answer,
            slips=(
                Slip(
                    lift_from_rod(single, self.ratio, spill=False), "You counted one end. Both ends move: two pitches a turn."
                ),
                Slip(rod, "That is the length of rod. Rod movement over the valve ratio is plunger lift."),
                Slip(rod * self.ratio, "You multiplied by the valve ratio. Divide to get plunger lift."),
            ),
            working=(
                Line(
                    "rod change",
                    "flats · 2 · pitch / 6",
                    f"{plain(self.flats, 2)} · 2 · {plain(self.pitch_mm, 2)} / 6",
                    mm(rod, 4),
                ),
                Line("change of the lift", "change / i", f"{plain(rod, 4)} / {plain(self.ratio, 2)}", mm(answer, 4)),
            ),
            so="The wrong kind of thread in the settings shows as twice or half the movement.",
            decimals=3,
        )


@dataclass(frozen=True, slots=True)
class OpeningAfter:
    """The opening at index 0 once both rods are corrected."""

    opening_mm: float
    ratio: float
    start_mm: float
    end_mm: float

    @classmethod
    def drawn(cls, draw: Draw) -> OpeningAfter:
        """Two rods that are off."""
        return cls(draw.number(0.9, 1.6, 0.01), draw.pick(_RATIOS), draw.either(0.15, 0.6, 0.01), draw.either(0.15, 0.6, 0.01))

    def question(self) -> Question:
        """z + i (D_o − D_c)."""
        z, i, start, end = self.opening_mm, self.ratio, self.start_mm, self.end_mm
        after = zero_index_opening_after(z, i, -start, -end)
        digits = 2 if round(end, 2) == end else 4
        return Question(
            text=(
                "You correct both rods of this unit in full.",
                "What will the spill valve show at index 0, when the suction valve is just closing?",
            ),
            given=(
                ("opening now, z", mm(z)),
                ("lift deviation of the start, D_c", f"{signed(start, 2)} mm"),
                ("lift deviation of the end, D_o", f"{signed(end, digits)} mm"),
                ("valve ratio i", plain(i, 2)),
            ),
            field=asks_number("opening after it", "mm"),
            answer=after,
            slips=(
                Slip(z, "Correcting rods moves the cut-out as well. Work it out before any nut turns."),
                Slip(
                    z - i * (end - start),
                    "You went the other way. A spill valve that gets to open later is less open at index 0.",
                ),
                Slip(z + end - start, "You left out the valve ratio. Lift times ratio is valve movement."),
                Slip(
                    z + i * end,
                    "You counted the spill rod alone. The suction valve's closing moves too, and with it the moment of "
                    "reading.",
                ),
                Slip(z - i * start, "You counted the suction rod alone. The spill rod moves its own valve too."),
            ),
            working=(
                Line(
                    "opening after it",
                    "z + i_o (D_o − D_c)",
                    f"{plain(z, 2)} + {plain(i, 2)} · ({plain(end, digits)} − ({plain(start, 2)}))",
                    mm(after, 4),
                ),
            ),
            so="Hold it against the limit. Stop and think before you turn a nut.",
            decimals=3,
        )
