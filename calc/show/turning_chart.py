"""The picture of a turning plan, as SVG text: where the flywheel goes, and below it which gauge set is on which unit.

To the right: degrees turned so far. The line rises while the engine turns ahead and falls while it turns astern; a full dot is
a stop with something to do, a hollow one a turning point. In a set's lane a bar lasts as long as the set is on a unit: a notch
for the gauges' zero on the base circle, its black end for the reading from start to end.
"""

from __future__ import annotations

from dataclasses import dataclass

from calc.job.model import ASTERN
from calc.job.words import plain
from calc.plan.turning.stations import BASE, CLOSING, OPENING, PEAK
from calc.plan.turning.timetable import Plan
from calc.show.draw import THIN, Axis, picture, text, ticks
from calc.show.markup import Markup, element, joined
from calc.show.turning_words import angle

_LEFT, _RIGHT, _TOP, _WAY_HEIGHT = 46.0, 392.0, 20.0, 170.0
_LANE, _BAR = 24.0, 15.0


@dataclass(slots=True)
class _Mounted:
    """A set on a unit: how far was turned when it went on, at its zero, at the start, and at the end."""

    unit: int
    gauge_set: int
    on: float
    zero: float | None = None
    start: float | None = None
    off: float | None = None


def turning_chart(plan: Plan) -> Markup:
    """The picture. Its description tells the way in words; the timetable is its equivalent in numbers.

    >>> from calc.plan.turning.timetable import Stop
    >>> turning_chart(Plan(sets=1, turned_deg=0.0, stops=()))[:4]
    '<svg'
    """
    path = [0.0]
    way = [0.0]
    for stop in plan.stops[1:]:
        path.append(path[-1] + stop.turn_deg)
        way.append(way[-1] + (-stop.turn_deg if stop.direction == ASTERN else stop.turn_deg))
    first = plan.stops[0].flywheel_deg if plan.stops else 0.0
    way = [first + each for each in way]
    x = Axis(0.0, max(plan.turned_deg, 1.0), _LEFT, _RIGHT)
    y = Axis(min(way), max(max(way), min(way) + 1.0), _TOP + _WAY_HEIGHT, _TOP)
    lanes_top = _TOP + _WAY_HEIGHT + 16.0
    bottom = lanes_top + plan.sets * _LANE
    return picture(
        "turning",
        bottom + 36.0,
        "Turning plan: flywheel angle and gauge sets over degrees turned",
        _words(plan),
        _grid(x, y),
        _way(plan, path, way, x, y),
        [_lane(number, lanes_top + (number - 1) * _LANE) for number in range(1, plan.sets + 1)],
        [_bar(each, lanes_top + (each.gauge_set - 1) * _LANE, x) for each in _mounted(plan, path)],
        _axis_below(x, bottom),
    )


def _grid(x: Axis, y: Axis) -> Markup:
    """A line at every quarter, half or whole turn of the flywheel, as there is room."""
    span = y.high - y.low
    step = next((step for step in (90.0, 180.0, 360.0) if span / step <= 8.0), 720.0)
    lines: list[object] = [text(4.0, 11.0, "flywheel, rising is ahead")]
    value = step * -(-y.low // step)
    while value <= y.high:
        lines.append(element("path", {"d": f"M{x.left:g} {y.at(value):.1f}H{x.right:g}", **THIN, "stroke-opacity": "0.5"}))
        lines.append(text(x.left - 5.0, y.at(value) + 4.0, f"{plain(value % 360.0, 0)}°", "end"))
        value += step
    return joined(*lines)


def _way(plan: Plan, path: list[float], way: list[float], x: Axis, y: Axis) -> Markup:
    points = [f"{x.at(turned):.1f} {y.at(place):.1f}" for turned, place in zip(path, way, strict=True)]
    dots = [
        element(
            "circle",
            {
                "cx": x.at(turned),
                "cy": y.at(place),
                "r": 2.6,
                "fill": "currentColor" if stop.tasks else "var(--md-default-bg-color, white)",
                "stroke": "currentColor",
                "stroke-width": "1.2",
            },
        )
        for stop, turned, place in zip(plan.stops, path, way, strict=False)
    ]
    line = {"d": "M" + "L".join(points), "fill": "none", "stroke": "currentColor", "stroke-width": "1.4"}
    return joined(element("path", {"class": "sm-way", **line}), dots)


def _lane(number: int, top: float) -> Markup:
    middle = top + 0.5 * _BAR
    return joined(
        text(_LEFT - 5.0, middle + 4.0, f"set {number}", "end"),
        element("path", {"d": f"M{_LEFT:g} {middle:g}H{_RIGHT:g}", **THIN, "stroke-opacity": "0.5"}),
    )


def _bar(each: _Mounted, top: float, x: Axis) -> Markup:
    left, right = x.at(each.on), x.at(x.high if each.off is None else each.off)
    parts: list[object] = [
        element(
            "rect",
            {
                "x": left,
                "y": top,
                "width": max(right - left, 1.0),
                "height": _BAR,
                "fill": "var(--md-default-bg-color, white)",
                "stroke": "currentColor",
                "stroke-width": "1.2",
            },
        )
    ]
    if each.zero is not None:
        parts.append(element("path", {"d": f"M{x.at(each.zero):.1f} {top:g}v{_BAR:g}", **THIN, "stroke-dasharray": "2 2"}))
    if each.off is not None:
        begin = x.at(each.on if each.start is None else each.start)
        parts.append(
            element(
                "rect",
                {"x": begin, "y": top, "width": max(right - begin, 1.5), "height": _BAR, "fill": "currentColor"},
            )
        )
    parts.append(text(left + 3.0, top + 11.5, str(each.unit)))
    return element("g", {"class": "sm-set", "data-unit": each.unit}, parts)


def _axis_below(x: Axis, bottom: float) -> Markup:
    values = ticks(x.low, x.high, 6)
    marks = "".join(f"M{x.at(value):.1f} {bottom:g}v4" for value in values)
    return joined(
        element("path", {"d": f"M{x.left:g} {bottom:g}H{x.right:g}{marks}", **THIN}),
        [text(x.at(value), bottom + 16.0, f"{plain(value, 0)}°", "middle") for value in values],
        text(x.right, bottom + 31.0, "degrees turned", "end"),
    )


def _mounted(plan: Plan, path: list[float]) -> list[_Mounted]:
    """Each time that a set is on a unit, in order of mounting; one that was on before the plan begins, from its beginning."""
    found: list[_Mounted] = []
    current: dict[int, _Mounted] = {}
    for stop, turned in zip(plan.stops, path, strict=False):
        for task in stop.tasks:
            if task.unit not in current:
                current[task.unit] = _Mounted(task.unit, task.set, turned if task.task == PEAK else 0.0)
                found.append(current[task.unit])
            each = current[task.unit]
            if task.task == BASE:
                each.zero = turned
            elif task.task == CLOSING:
                each.start = turned
            elif task.task == OPENING:
                each.off = turned
    return found


def _words(plan: Plan) -> str:
    """The picture in words: the moves, then where each set goes."""
    moves: list[tuple[str, float]] = []
    for stop in plan.stops:
        if stop.turn_deg and moves and moves[-1][0] == stop.direction:
            moves[-1] = (stop.direction, moves[-1][1] + stop.turn_deg)
        elif stop.turn_deg:
            moves.append((stop.direction, stop.turn_deg))
    begin = f"From {angle(plan.stops[0].flywheel_deg)}: " if plan.stops else ""
    turns = ", ".join(f"{direction} {angle(degrees)}" for direction, degrees in moves) or "no turn"
    sets: dict[int, list[str]] = {}
    for each in _mounted(plan, [0.0] * len(plan.stops)):
        sets.setdefault(each.gauge_set, []).append(str(each.unit))
    lanes = " ".join(f"Set {number} is on unit {', then '.join(units)}." for number, units in sorted(sets.items()))
    return f"{begin}{turns}. {lanes}".strip()
