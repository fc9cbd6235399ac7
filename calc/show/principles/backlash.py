"""Play in the drive: why the same place of the cam is read at two angles."""

from __future__ import annotations

from calc.job.model import SUCTION_CLOSING
from calc.job.words import angle_words, plain, signed
from calc.pump.mistakes import play_shows
from calc.show.draw import THIN, picture
from calc.show.markup import element
from calc.show.principles.chart import Chart, figure, page_part, spread, table
from calc.show.principles.example import Example

_PLAY_DEG = 0.4  # Invented, and said so.
_BEFORE, _BEYOND = 2.0, 1.2


def loop(given: Example) -> str:
    """Plunger lift over flywheel angle, turning ahead beyond the start and back astern."""
    h, f = given.unit.lift_mm[SUCTION_CLOSING], given.unit.angle_deg[SUCTION_CLOSING]
    tolerance = given.settings.tolerance_deg
    low, high = f - _BEFORE, f + _BEYOND
    ahead = [(angle, given.lift_at(angle)) for angle in spread(low, high)]
    astern = [(angle - _PLAY_DEG, lift) for angle, lift in ahead]
    panel = Chart((low - 1.4 * _PLAY_DEG, high + _PLAY_DEG), (ahead[0][1] - 0.6, ahead[-1][1] + 0.6), 24.0, 210.0)
    read = f + play_shows(_PLAY_DEG).part_deg
    turns = [
        element("path", {"d": f"M{panel.x.at(a):.1f} {panel.y.at(lift):.1f}H{panel.x.at(b):.1f}", **THIN})
        for a, b, lift in ((high, high - _PLAY_DEG, ahead[-1][1]), (low - _PLAY_DEG, low, ahead[0][1]))
    ]
    drawn = [
        panel.frame("flywheel angle after TDC, °", "plunger lift, mm"),
        panel.level_at(h, "suction valve closes", above=False),
        panel.cam(ahead),
        panel.cam(astern, dashed=True),
        turns,
        panel.dot(f, h, filled=True),
        panel.dot(read, h),
        panel.words(f - 1.0, given.lift_at(f - 1.0), "turning ahead", up=-14.0),
        panel.words(read - 0.6, given.lift_at(f - 0.6), "turning back", "end", up=4.0),
        panel.words(high, ahead[-1][1], "the flywheel turns back, the cam waits", "end", up=8.0),
    ]
    difference = given.lift_at(f + _PLAY_DEG) - h
    rows = [
        ["Ahead", f"{plain(h, 2)} mm", angle_words(round(f, 2)), signed(0.0, 2) + "°"],
        ["Astern", f"{plain(h, 2)} mm", angle_words(round(read, 2)), f"{signed(read - f, 2)}°"],
    ]
    said = (
        f"Turning ahead the plunger reaches {plain(h, 2)} mm at {angle_words(round(f, 2))}. Turning back, the flywheel first "
        f"moves {plain(_PLAY_DEG, 1)}° without the cam, so the same lift is read at {angle_words(round(read, 2))}."
    )
    share = 100.0 * _PLAY_DEG / tolerance
    return page_part(
        figure(
            picture("backlash", 276.0, "Plunger lift ahead and astern", said, drawn),
            f"With {plain(_PLAY_DEG, 1)}° of play (invented). Solid: turning ahead. Dashed: turning back. The two never meet.",
        ),
        table(["Reached", "Plunger lift", "Flywheel shows", "Looks off by"], rows),
        f"So {plain(_PLAY_DEG, 1)}° of play looks like a start that is {plain(_PLAY_DEG, 1)}° early. That is "
        f"{plain(share, 0)} % of this engine's tolerance of ±{plain(tolerance, 2)}°. Read at a fixed flywheel angle instead, "
        f"the plunger stands {plain(difference, 2)} mm higher when it was reached astern.",
    )
