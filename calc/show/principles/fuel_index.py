"""The eccentric and the fuel index: the start stays, the end moves, and at some index nothing is left."""

from __future__ import annotations

from calc.job.model import SPILL_OPENING, SUCTION_CLOSING
from calc.job.words import angle_words, plain
from calc.pump.cut_out import lift_beyond_seat, zero_delivery_index
from calc.show.draw import picture
from calc.show.principles.chart import Chart, figure, page_part, table
from calc.show.principles.example import Example


def line(given: Example) -> str:
    """Spill lift over fuel index, the level of the start, and the index of zero delivery."""
    settings, unit = given.settings, given.unit
    h_c, h_o, index = unit.lift_mm[SUCTION_CLOSING], unit.lift_mm[SPILL_OPENING], settings.fuel_index
    w = lift_beyond_seat(given.opening_mm, settings.seat_contact_mm, settings.ratio[SPILL_OPENING])
    zero = zero_delivery_index(index, unit.stroke_mm, w)
    assert zero is not None
    step = (unit.stroke_mm + w) / index

    def spill_lift(at: float) -> float:
        return h_c - w + step * at

    most = 1.12 * index
    panel = Chart((0.0, most), (0.0, 1.2 * h_o), 24.0, 210.0)
    drawn = [
        panel.frame("fuel index", "plunger lift, mm"),
        panel.level_at(h_c, "start of delivery: the index does not move it", dashed=True, above=False),
        panel.cam([(0.0, spill_lift(0.0)), (most, spill_lift(most))]),
        panel.upright(zero),
        panel.dot(zero, h_c, filled=True),
        panel.dot(index, h_o),
        panel.words(index, h_o, "end at the reference index", "end", up=8.0),
        panel.words(zero, 0.0, f"nothing below index {plain(zero, 1)}", up=6.0),
    ]
    rows = []
    for share in (1.0, 0.75, 0.5, 0.25):
        at = round(share * index)
        lift = spill_lift(at)
        end = round(unit.angle_deg[SPILL_OPENING] + given.end.travel(lift - h_o), 2)
        rows.append(
            [
                f"{at}",
                f"{plain(h_c, 2)} mm",
                f"{plain(lift, 2)} mm",
                angle_words(end),
                f"{plain(lift - h_c, 2)} mm",
                f"{plain(end - unit.angle_deg[SUCTION_CLOSING], 2)}°",
            ]
        )
    rows.append(
        ["0", f"{plain(h_c, 2)} mm", f"{plain(spill_lift(0.0), 2)} mm", "before the start", "none: the unit is cut out", "none"]
    )
    said = (
        f"The spill lift rises by {plain(step, 3)} mm for each step of the index, to {plain(h_o, 2)} mm at index "
        f"{plain(index, 0)}. The start stays at {plain(h_c, 2)} mm. The two meet at index {plain(zero, 2)}: below it nothing "
        "is delivered."
    )
    return page_part(
        figure(
            picture("index", 276.0, "Spill lift over fuel index", said, drawn),
            "The line is where delivery ends, the dashed level where it starts. What lies between them is delivered.",
        ),
        table(["Fuel index", "Start", "End", "End at", "Effective stroke", "Delivery angle"], rows),
        f"At index 0 the spill valve of this unit stands {plain(given.opening_mm, 2)} mm open when the suction valve is just "
        f"closing. That is {plain(w, 2)} mm of plunger lift beyond the seat. So nothing is delivered up to index "
        f"{plain(zero, 2)}.",
    )
