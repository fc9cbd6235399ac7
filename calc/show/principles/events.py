"""What opens when, and what the cam's slope does."""

from __future__ import annotations

from calc.job.model import SPILL_OPENING, SUCTION_CLOSING
from calc.job.words import angle_words, plain
from calc.pump.trial import gauge_at_reference_lift
from calc.show.draw import picture
from calc.show.markup import Markup
from calc.show.principles.chart import Chart, figure, page_part, spread, table
from calc.show.principles.example import Example

_ROOM_DEG = 6.0
_ERROR_MM = 0.1


def what_opens_when(given: Example) -> str:
    """Plunger lift and both valves over the crank angle, from the base circle to the peak."""
    unit, seat = given.unit, given.settings.seat_contact_mm
    start, end = unit.angle_deg[SUCTION_CLOSING], unit.angle_deg[SPILL_OPENING]
    h_c, h_o = unit.lift_mm[SUCTION_CLOSING], unit.lift_mm[SPILL_OPENING]
    angles = spread(given.foot_deg - _ROOM_DEG, given.peak_deg, 120)
    x = (angles[0], angles[-1])

    def valve(event: str, angle: float) -> float:
        spill = event == SPILL_OPENING
        lift_error = unit.lift_mm[event] - given.lift_at(angle)
        return gauge_at_reference_lift(seat, lift_error, given.settings.ratio[event], spill) or 0.0

    lifts = [(angle, given.lift_at(angle)) for angle in angles]
    suction = [(angle, valve(SUCTION_CLOSING, angle)) for angle in angles]
    spill = [(angle, valve(SPILL_OPENING, angle)) for angle in angles]
    peak = given.curve.highest_mm
    panels = [
        Chart(x, (0.0, 1.05 * peak), 40.0, 150.0),
        Chart(x, (0.0, 1.1 * max(v for _, v in suction)), 254.0, 70.0),
        Chart(x, (0.0, 1.1 * max(v for _, v in spill)), 388.0, 70.0),
    ]
    labels = ("plunger lift, mm", "suction valve, mm", "spill valve, mm")
    drawn: list[Markup] = []
    for panel, label, points in zip(panels, labels, (lifts, suction, spill), strict=True):
        drawn += [panel.stretch(start, end), panel.frame("crank angle after TDC, °", label), panel.cam(points)]
        drawn += [panel.upright(start), panel.upright(end)]
    top = panels[0]
    drawn += [
        top.dot(start, h_c),
        top.dot(end, h_o),
        top.words(start, h_c, "start", "end", up=8.0),
        top.words(end, h_o, "end", "end", up=8.0),
        top.words(0.5 * (start + end), 1.0, "delivery", "middle", up=3.0),
    ]
    said = (
        f"The plunger rises from the base circle at {angle_words(given.foot_deg)} to {plain(peak, 1)} mm. The suction valve "
        f"closes at {plain(h_c, 2)} mm, {angle_words(start)}: delivery starts. The spill valve opens at {plain(h_o, 2)} mm, "
        f"{angle_words(end)}: delivery ends."
    )
    caption = (
        "From the base circle to the peak: plunger and both valves. Fuel goes to the injector only in the shaded part, where "
        "both valves are shut. The numbers are those of the demo, an invented ship."
    )
    rows = [
        ["Base circle", "rests", "open", "shut", "flows in through the suction valve"],
        [
            f"Pre-stroke, to {plain(h_c, 2)} mm",
            "rises",
            "open, closing",
            "shut",
            "goes back the way it came; nothing is delivered",
        ],
        [
            f"Delivery, {plain(h_c, 2)} to {plain(h_o, 2)} mm ({angle_words(start)} to {angle_words(end)})",
            "rises",
            "shut",
            "shut",
            "pressure rises, the delivery valve opens, fuel goes to the injector",
        ],
        [
            f"Spill, {plain(h_o, 2)} to {plain(peak, 2)} mm",
            "still rises",
            "shut",
            "open, opening further",
            "escapes through the spill valve; the pressure collapses",
        ],
        ["Return", "falls", "opens again", "shuts again", "flows in again"],
    ]
    return page_part(
        figure(picture("opens", 512.0, "What opens when", said, drawn), caption),
        table(["Part of the revolution", "Plunger", "Suction valve", "Spill valve", "The fuel"], rows),
    )


def slope(given: Example) -> str:
    """The cam's lift and, below it, its slope, with both events."""
    unit = given.unit
    start, end = unit.angle_deg[SUCTION_CLOSING], unit.angle_deg[SPILL_OPENING]
    angles = spread(given.foot_deg, given.peak_deg, 120)
    x = (angles[0] - 1.0, angles[-1] + 1.0)
    slopes = [(angle, given.slope_at(angle)) for angle in angles]
    steepest, most = max(slopes, key=lambda each: each[1])
    upper = Chart(x, (0.0, 1.05 * given.curve.highest_mm), 40.0, 150.0)
    lower = Chart(x, (0.0, 1.15 * most), 262.0, 110.0)
    drawn = [
        upper.frame("crank angle after TDC, °", "plunger lift, mm"),
        upper.cam([(angle, given.lift_at(angle)) for angle in angles]),
        lower.frame("crank angle after TDC, °", "slope, mm for each degree"),
        lower.cam(slopes),
    ]
    for angle, name in ((start, "start"), (end, "end")):
        drawn += [upper.upright(angle, name, row=1), lower.upright(angle)]
        drawn += [upper.dot(angle, given.lift_at(angle)), lower.dot(angle, given.slope_at(angle))]
    k_c, k_o = given.start.slope, given.end.slope
    said = (
        f"The slope is {plain(k_c, 2)} mm for each degree at the start and {plain(k_o, 2)} at the end. It is largest, "
        f"{plain(most, 2)}, at {angle_words(round(steepest, 1))}."
    )
    places = [
        ("near the foot", 2.0, given.angle_at(2.0)),
        ("start of delivery", unit.lift_mm[SUCTION_CLOSING], start),
        ("end of delivery", unit.lift_mm[SPILL_OPENING], end),
        ("near the peak", given.curve.highest_mm - 1.0, given.angle_at(given.curve.highest_mm - 1.0)),
    ]
    rows = []
    for name, lift, angle in places:
        flank = given.curve.flank_at(lift)
        assert flank is not None
        rows.append(
            [
                f"{name}, {plain(lift, 2)} mm",
                angle_words(round(angle, 2)),
                f"{plain(flank.slope, 2)} mm for each degree",
                f"{plain(flank.travel(_ERROR_MM), 2)}°",
            ]
        )
    return page_part(
        figure(
            picture("slope", 416.0, "Cam lift and its slope", said, drawn),
            "Above, how far the plunger has risen. Below, how fast it rises: millimetres for each degree of the crank. The "
            "small waves come from the rows of the lift table: between them the slope is only as good as the table.",
        ),
        table(["Where", "Crank angle", "Slope", f"{plain(_ERROR_MM, 1)} mm of lift is"], rows),
    )


_ZOOM_DEG, _ZOOM_MM, _SHOWN_MM = 1.5, 1.2, 0.4


def steep_and_flat(given: Example) -> str:
    """The same lift error on a flat and on a steep place of the same cam."""
    drawn: list[Markup] = []
    travels = []
    for i, (name, lift) in enumerate((("near the foot", 2.0), ("end of delivery", given.unit.lift_mm[SPILL_OPENING]))):
        at = given.angle_at(lift)
        flank = given.curve.flank_at(lift)
        assert flank is not None
        turn = flank.travel(_SHOWN_MM)
        travels.append((name, lift, turn))
        panel = Chart((-_ZOOM_DEG, _ZOOM_DEG), (-_ZOOM_MM, _ZOOM_MM), 24.0 + i * 186.0, 126.0)
        curve = [(angle, given.lift_at(at + angle) - lift) for angle in spread(-_ZOOM_DEG, _ZOOM_DEG)]
        drawn += [
            panel.frame("degrees from there", f"mm from there: {name}"),
            panel.stretch(0.0, turn),
            panel.level_at(0.0),
            panel.level_at(_SHOWN_MM, f"+{plain(_SHOWN_MM, 1)} mm" if i else "", dashed=True),
            panel.cam(curve),
            panel.dot(0.0, 0.0),
            panel.dot(turn, _SHOWN_MM, filled=True),
            panel.words(turn, -_ZOOM_MM, f"{plain(turn, 2)}°", "start", up=6.0),
        ]
        if not i:
            drawn.append(panel.words(-_ZOOM_DEG, _SHOWN_MM, f"+{plain(_SHOWN_MM, 1)} mm", up=4.0))
    (_, low, flat), (_, high, steep) = travels
    said = (
        f"A lift error of {plain(_SHOWN_MM, 1)} mm takes {plain(flat, 2)}° at {plain(low, 2)} mm, where the cam is flat, and "
        f"{plain(steep, 2)}° at {plain(high, 2)} mm, where it is steep."
    )
    return page_part(
        figure(
            picture("steep", 388.0, "The same lift error on a flat and a steep place", said, drawn),
            f"The same {plain(_SHOWN_MM, 1)} mm too high: {plain(flat, 2)}° late where the cam is flat, "
            f"{plain(steep, 2)}° late where it is steep.",
        )
    )
