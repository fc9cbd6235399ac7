"""Questions of lesson 5: what the fuel index moves, and whether a unit can be cut out."""

from __future__ import annotations

from dataclasses import dataclass

from calc.job.words import plain
from calc.pump.cut_out import lift_beyond_seat, zero_delivery_index
from calc.pump.fuel_index import index_line
from calc.teach.draw import Draw
from calc.teach.engine import Engine, mm
from calc.teach.question import Question, Slip, asks_choice, asks_number, slips_of
from calc.working import Line


@dataclass(frozen=True, slots=True)
class StartAtIndex:
    """The start of delivery at another index: the same."""

    engine: Engine
    reference_index: float
    index: float

    @classmethod
    def drawn(cls, draw: Draw) -> StartAtIndex:
        """An index well below the reference."""
        reference = draw.number(50.0, 80.0, 5.0)
        return cls(Engine.drawn(draw), reference, reference - draw.number(10.0, 40.0, 5.0))

    def question(self) -> Question:
        """The index moves the end alone."""
        e, index, reference = self.engine, self.index, self.reference_index
        share = index / reference
        return Question(
            text=(
                f"The settings hold at fuel index {reference:g}. You read at index {index:g}.",
                "At which plunger lift does delivery start?",
            ),
            given=e.settings,
            field=asks_number("plunger lift at the start", "mm"),
            answer=e.pre_stroke_mm,
            slips=(
                Slip(
                    e.pre_stroke_mm * share,
                    "The fuel index turns the spill valve's fulcrum alone. The suction valve closes where it did.",
                ),
                Slip(
                    e.spill_lift_mm - e.stroke_mm * share,
                    "You let the start come later and kept the end. It is the other way round: the index moves the end.",
                ),
            ),
            working=(
                Line(
                    "start at another index", "h_c", "the suction valve's rocker does not know the index", mm(e.pre_stroke_mm)
                ),
            ),
            so="A start that is off is never the index's doing.",
        )


@dataclass(frozen=True, slots=True)
class StrokeAtIndex:
    """The effective stroke at another index."""

    engine: Engine
    reference_index: float
    zero_index: float
    index: float

    @classmethod
    def drawn(cls, draw: Draw) -> StrokeAtIndex:
        """An index between that of zero delivery and the reference."""
        reference = draw.number(50.0, 80.0, 5.0)
        return cls(Engine.drawn(draw), reference, draw.number(4.0, 9.0, 0.5), reference - draw.number(15.0, 35.0, 5.0))

    def question(self) -> Question:
        """Linear between the index of zero delivery and the reference."""
        e, full, none, index = self.engine, self.reference_index, self.zero_index, self.index
        line = index_line([(none, e.pre_stroke_mm), (full, e.spill_lift_mm)], e.pre_stroke_mm)
        assert line is not None
        stroke = line.stroke_mm(index)
        proportional = e.stroke_mm * index / full
        return Question(
            text=("The spill lift rises evenly with the fuel index.", f"How long is the effective stroke at index {index:g}?"),
            given=(
                ("effective stroke", f"{mm(e.stroke_mm)} at index {full:g}"),
                ("no delivery at and below", f"index {plain(none, 1)}"),
            ),
            field=asks_number("effective stroke", "mm"),
            answer=stroke,
            slips=(
                Slip(
                    proportional,
                    "You went in proportion to the index. Delivery does not begin at index 0: count from the index of zero "
                    "delivery.",
                ),
                Slip(e.stroke_mm - proportional, "That is what is lost from full delivery, in proportion to the index."),
                Slip(e.stroke_mm - stroke, "That is what the lower index takes away."),
            ),
            working=(
                Line(
                    "share of the stroke",
                    "(I − I_0) / (I_ref − I_0)",
                    f"({index:g} − {plain(none, 1)}) / ({full:g} − {plain(none, 1)})",
                    plain((index - none) / (full - none), 4),
                ),
                Line(
                    "effective stroke",
                    "share · reference stroke",
                    f"{plain((index - none) / (full - none), 4)} · {plain(e.stroke_mm, 2)}",
                    mm(stroke, 3),
                ),
            ),
            so="All of it is taken from the end of delivery.",
        )


@dataclass(frozen=True, slots=True)
class ZeroDelivery:
    """The fuel index below which nothing is delivered."""

    stroke_mm: float
    index: float
    opening_mm: float
    seat_mm: float
    ratio: float

    @classmethod
    def drawn(cls, draw: Draw) -> ZeroDelivery:
        """An opening of a unit that cuts out."""
        engine = Engine.drawn(draw)
        index = draw.number(50.0, 80.0, 5.0)
        return cls(engine.stroke_mm, index, draw.number(0.9, 1.9, 0.05), engine.seat_mm, engine.ratio)

    def question(self) -> Question:
        """I w / (stroke + w)."""
        z, s, i, stroke, index = self.opening_mm, self.seat_mm, self.ratio, self.stroke_mm, self.index
        w = lift_beyond_seat(z, s, i)
        answer = zero_delivery_index(index, stroke, w)
        assert answer is not None
        bare, unseated = z - s, z / i
        return Question(
            text=(
                "At index 0 the spill valve is open already when the suction valve is just closing.",
                "Up to which fuel index does the unit deliver nothing?",
            ),
            given=(
                ("spill valve reads z, at index 0", mm(z)),
                ("effective stroke", f"{mm(stroke)} at index {index:g}"),
                ("valve ratio i", plain(i, 2)),
                ("seat-contact reading s", mm(s)),
            ),
            field=asks_number("index of zero delivery"),
            answer=answer,
            slips=(
                Slip(
                    index * w / stroke,
                    "You left w out below the line. From index 0 to the reference the spill lift travels stroke plus w.",
                ),
                Slip(
                    index * bare / (stroke + bare),
                    "You took valve movement for plunger lift. Divide it by the valve ratio first.",
                ),
                Slip(
                    index * unseated / (stroke + unseated),
                    "You left out the seat-contact reading. The valve counts as shut there.",
                ),
            ),
            working=(
                Line("lift beyond the seat w", "(z − s) / i", f"({plain(z, 2)} − {plain(s, 2)}) / {plain(i, 2)}", mm(w, 4)),
                Line(
                    "index of zero delivery",
                    "I w / (stroke + w)",
                    f"{index:g} · {plain(w, 4)} / ({plain(stroke, 2)} + {plain(w, 4)})",
                    plain(answer, 3),
                ),
            ),
            so="Above it the unit delivers. Below it the spill valve is open before the suction valve shuts.",
            decimals=3,
        )


@dataclass(frozen=True, slots=True)
class CutsOut:
    """What an opening at index 0 means."""

    opening_mm: float
    limit_mm: float
    seat_mm: float

    @classmethod
    def drawn(cls, draw: Draw) -> CutsOut:
        """An opening on each side of limit and seat."""
        seat, limit = draw.pick((0.03, 0.04, 0.05)), draw.number(0.6, 1.2, 0.05)
        low, high = draw.pick(((0.0, seat), (seat + 0.05, limit - 0.05), (limit + 0.05, limit + 0.5)))
        return cls(draw.number(low, high, 0.01), limit, seat)

    def question(self) -> Question:
        """Above the limit, below it, or on the seat."""
        z, limit, seat = self.opening_mm, self.limit_mm, self.seat_mm
        choices = {
            "out": "It cuts out, with the margin that is asked for",
            "thin": "It still cuts out, but with less margin than the limit asks for",
            "injects": "It injects at index 0: the engine might not stop",
        }
        answer = "injects" if z <= seat else "thin" if z < limit else "out"
        reasons = {
            "out": f"The limit is {mm(limit)}. The valve opens less than that.",
            "thin": f"Compare again: limit {mm(limit)}, seat-contact reading {mm(seat)}, opening {mm(z)}.",
            "injects": f"The valve is off its seat: {mm(z)} is more than {mm(seat)}. Fuel runs back before any "
            "pressure builds.",
        }
        return Question(
            text=(
                "The fuel index is 0 and the suction valve is just closing. You read the spill valve.",
                "What does the reading say?",
            ),
            given=(("spill valve reads z", mm(z)), ("limit of the opening", mm(limit)), ("seat-contact reading s", mm(seat))),
            field=asks_choice("The unit", choices),
            answer=answer,
            slips=slips_of(reasons, answer),
            working=(
                Line(
                    "is the valve open?", "z above s", f"{plain(z, 2)} against {plain(seat, 2)}", "no" if z <= seat else "yes"
                ),
                Line(
                    "is it open far enough?",
                    "z at least the limit",
                    f"{plain(z, 2)} against {plain(limit, 2)}",
                    "yes" if z >= limit else "no",
                ),
            ),
            so="At index 0 the spill valve must be well open before the suction valve shuts.",
        )
