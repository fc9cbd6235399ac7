"""The trends of an engine at a glance, as SVG text."""

from __future__ import annotations

from collections.abc import Callable

from calc.history import EngineTrend, EventTrend
from calc.job.words import plain, short
from calc.show.draw import LINE, THIN, Axis, apart, dot, picture, text
from calc.show.markup import Markup, element, joined

_SMALL_WIDE, _SMALL_TALL, _SMALL_GAP = 150.0, 40.0, 12.0
_LEFT, _APART, _TOP, _BOTTOM = 26.0, 36.0, 30.0, 22.0


def trend_strip(engine: EngineTrend) -> Markup:
    """All units of an engine at a glance: a row per unit, start and end beside each other, deviation over running hours."""
    x = apart(engine.first_hours, engine.last_hours)
    tolerance = engine.tolerance_deg
    lefts = (_LEFT, _LEFT + _SMALL_WIDE + _APART)
    foot = _TOP + len(engine.units) * (_SMALL_TALL + _SMALL_GAP)
    rows, said = [], []
    for i, unit in enumerate(engine.units):
        top = _TOP + i * (_SMALL_TALL + _SMALL_GAP)
        rows.append(text(4.0, top + 0.5 * _SMALL_TALL + 4.0, str(unit.unit), **{"font-weight": "bold"}))
        for left, noun, event in ((lefts[0], "start", unit.beginning), (lefts[1], "end", unit.end)):
            if event is None:
                continue
            rows.append(_small(event, _across(x, left), tolerance, left, top))
            drift = "no trend" if event.slope_per_1000_h is None else f"{short(event.slope_per_1000_h)}° in 1000 h"
            said.append(f"Unit {unit.unit}, {noun}: {drift}, {'proven' if event.provable else 'not proven'}.")
    hours = sorted({engine.first_hours, engine.last_hours})
    return picture(
        "trends",
        foot + _BOTTOM,
        "All units: deviation over running hours",
        f"Band: within ±{tolerance:g}°. Hollow as found, filled as left. {' '.join(said)}",
        *(text(left, 18.0, f"{noun}, band ±{tolerance:g}°") for left, noun in zip(lefts, ("Start", "End"), strict=True)),
        rows,
        *(
            text(_across(x, left).at(at), foot + 8.0, f"{plain(at, 0)} h", anchor, **{"font-size": "10"})
            for left in lefts
            for at, anchor in zip(hours, ("start", "end"), strict=False)
        ),
    )


def _across(x: tuple[float, float], left: float) -> Axis:
    return Axis(*x, left + 6.0, left + _SMALL_WIDE - 6.0)


def _small(event: EventTrend, across: Axis, tolerance: float, left: float, top: float) -> Markup:
    reach = 1.6 * tolerance
    up = Axis(-reach, reach, top + _SMALL_TALL, top)
    high, low = up.at(tolerance), up.at(-tolerance)
    shape = {"class": "sm-band", "x": left, "y": high, "width": _SMALL_WIDE, "height": low - high}

    def height(value: float) -> float:
        """A value beyond the panel stands at its edge."""
        return up.at(max(-reach, min(reach, value)))

    mark = "drifts" if event.provable else ""
    # Later is up, as a deviation is later where it is positive.
    dots = [dot(across.at(hours), height(value), as_left) for hours, value, as_left in event.points]
    return joined(
        element("rect", {**shape, "fill": "currentColor", "fill-opacity": "0.08"}),
        element(
            "path",
            {"d": f"M{left:g} {high:.1f}h{_SMALL_WIDE:g}M{left:g} {low:.1f}h{_SMALL_WIDE:g}", **THIN, "stroke-opacity": "0.5"},
        ),
        element("path", {"d": f"M{left:g} {up.at(0.0):.1f}h{_SMALL_WIDE:g}", **THIN, "stroke-width": "0.7"}),
        _drift(event, across, height) if event.provable else None,
        dots,
        text(left + _SMALL_WIDE + 2.0, top + 0.5 * _SMALL_TALL + 4.0, mark, **{"font-size": "10"}),
    )


def _drift(event: EventTrend, across: Axis, height: Callable[[float], float]) -> Markup | None:
    """The line of the last run: what the drift is told from."""
    if event.slope_per_1000_h is None or event.value is None or event.run_from is None:
        return None
    last = max(hours for hours, _, _ in event.points)
    begins = event.value - event.slope_per_1000_h * (last - event.run_from) / 1000.0
    ends = [(across.at(event.run_from), height(begins)), (across.at(last), height(event.value))]
    return element("path", {"d": "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in ends), **LINE})
