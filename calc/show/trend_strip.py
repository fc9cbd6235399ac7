"""The trends of an engine at a glance, as SVG text."""

from __future__ import annotations

from calc.history import EngineTrend, EventTrend
from calc.job.words import short
from calc.show.draw import THIN, Axis, apart, dot, picture, text
from calc.show.markup import Markup, element, joined

_SMALL_WIDE, _SMALL_TALL, _SMALL_GAP = 150.0, 40.0, 12.0


def trend_strip(engine: EngineTrend) -> Markup:
    """All units of an engine at a glance: a row per unit, start and end beside each other, deviation over running hours."""
    x = apart(engine.first_hours, engine.last_hours)
    tolerance = engine.tolerance_deg
    rows, said = [], []
    for i, unit in enumerate(engine.units):
        top = 30.0 + i * (_SMALL_TALL + _SMALL_GAP)
        rows.append(text(4.0, top + 0.5 * _SMALL_TALL + 4.0, str(unit.unit), **{"font-weight": "bold"}))
        for j, (noun, event) in enumerate((("start", unit.beginning), ("end", unit.end))):
            if event is None:
                continue
            left = 30.0 + j * (_SMALL_WIDE + 36.0)
            rows.append(_small(event, x, tolerance, left, top))
            drift = "no trend" if event.slope_per_1000_h is None else f"{short(event.slope_per_1000_h)}° in 1000 h"
            said.append(f"Unit {unit.unit}, {noun}: {drift}, {'proven' if event.provable else 'not proven'}.")
    return picture(
        "trends",
        34.0 + len(engine.units) * (_SMALL_TALL + _SMALL_GAP),
        "All units: deviation over running hours",
        f"Band: within ±{tolerance:g}°. Hollow as found, filled as left. {' '.join(said)}",
        text(30.0, 20.0, "start"),
        text(66.0 + _SMALL_WIDE, 20.0, "end"),
        rows,
    )


def _small(event: EventTrend, x: tuple[float, float], tolerance: float, left: float, top: float) -> Markup:
    reach = 1.6 * tolerance
    across, up = Axis(*x, left + 6.0, left + _SMALL_WIDE - 6.0), Axis(-reach, reach, top + _SMALL_TALL, top)
    high, low = up.at(tolerance), up.at(-tolerance)
    shape = {"class": "sm-band", "x": left, "y": high, "width": _SMALL_WIDE, "height": low - high}
    # A value beyond the panel stands at its edge.
    dots = [dot(across.at(hours), up.at(max(-reach, min(reach, value))), as_left) for hours, value, as_left in event.points]
    mark = "drifts" if event.provable else ""
    return joined(
        element("rect", {**shape, "fill": "currentColor", "fill-opacity": "0.08"}),
        element("path", {"d": f"M{left:g} {up.at(0.0):.1f}h{_SMALL_WIDE:g}", **THIN, "stroke-width": "0.7"}),
        dots,
        text(left + _SMALL_WIDE + 2.0, top + 0.5 * _SMALL_TALL + 4.0, mark, **{"font-size": "10"}),
    )
