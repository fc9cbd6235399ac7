"""Pictures of the calculations, as SVG text: curves, dots and whiskers over two axes, with the same marks everywhere.

Marks: measured a hollow dot, asked for or as left a filled one; a limit a dashed level; the range that is allowed, or where
a value may lie, a pale band. A picture says in its description what it shows; the numbers stand in the table beside it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import cos, fsum, log10, pi, sin
from typing import TYPE_CHECKING, Any

from calc.job.words import short
from calc.measure.gum import Term
from calc.measure.line import Line, fit_line
from calc.measure.monotone import MonotoneCubic
from calc.plan import change_over as plan
from calc.pump.dead_centre import find_dead_centre
from calc.show.charts import budget
from calc.show.draw import LINE, THIN, Axis, apart, dot, picture, text, ticks
from calc.show.markup import Markup, element, joined

if TYPE_CHECKING:
    # The findings draw one of these pictures; they should not wait for the calculations.
    from calc.compute.run import Computed

Points = Sequence[tuple[float, float]]
_LEFT, _RIGHT = 62.0, 388.0
_STEPS = 80


class Panel:
    """Two axes and what is drawn over them."""

    def __init__(self, x: tuple[float, float], y: tuple[float, float], top: float, height: float) -> None:
        self.x = Axis(*apart(*x), _LEFT, _RIGHT)
        self.y = Axis(*apart(*y), top + height, top)

    def frame(self, x_label: str, y_label: str, logarithmic: bool = False, whole: bool = False) -> Markup:
        """Axes with round numbers and their words. Logarithmic: y holds powers of ten; whole: x counts something."""
        bottom, parts = self.y.left, []
        parts.append(element("path", {"d": f"M{_LEFT:g} {self.y.right:.1f}V{bottom:.1f}H{_RIGHT:g}", **THIN}))
        for value in ticks(self.x.low, self.x.high, 6):
            if whole and value != round(value):
                continue
            parts.append(element("path", {"d": f"M{self.x.at(value):.1f} {bottom:.1f}v4", **THIN}))
            parts.append(text(self.x.at(value), bottom + 16.0, short(value), "middle"))
        for value, words in self._levels(logarithmic):
            parts.append(element("path", {"d": f"M{_LEFT:g} {self.y.at(value):.1f}h-4", **THIN}))
            parts.append(text(_LEFT - 6.0, self.y.at(value) + 4.0, words, "end"))
        parts.append(text(_LEFT + 4.0, self.y.right - 5.0, y_label))
        parts.append(text(_RIGHT, bottom + 30.0, x_label, "end"))
        return joined(*parts)

    def _levels(self, logarithmic: bool) -> list[tuple[float, str]]:
        if not logarithmic:
            return [(value, short(value)) for value in ticks(self.y.low, self.y.high, 5)]
        decades = range(int(self.y.low // 1), int(self.y.high // 1) + 1)
        marks = (1.0, 2.0, 5.0) if self.y.high - self.y.low < 3.0 else (1.0,)
        found = [(decade + log10(mark), short(mark * 10.0**decade)) for decade in decades for mark in marks]
        return [(value, words) for value, words in found if self.y.low <= value <= self.y.high]

    def curve(self, points: Points, dashes: str | None = None) -> Markup:
        """A line through points; what lies outside the panel is left out."""
        inside = [(x, y) for x, y in points if self.x.low <= x <= self.x.high and self.y.low <= y <= self.y.high]
        if len(inside) < 2:
            return Markup("")
        path = "L".join(f"{self.x.at(x):.1f} {self.y.at(y):.1f}" for x, y in inside)
        return element("path", {"d": f"M{path}", **LINE, "stroke-dasharray": dashes})

    def level(self, value: float, words: str = "") -> Markup:
        """A limit: a dashed level with its name."""
        if not self.y.low <= value <= self.y.high:
            return Markup("")
        at = self.y.at(value)
        line = element("path", {"d": f"M{_LEFT:g} {at:.1f}H{_RIGHT:g}", **THIN, "stroke-dasharray": "5 4"})
        # What these pictures show falls from the left, so there is room above the level there.
        return joined(line, text(_LEFT + 6.0, at - 4.0, words))

    def band(self, low: float, high: float) -> Markup:
        """The range that is allowed."""
        top, bottom = self.y.at(min(high, self.y.high)), self.y.at(max(low, self.y.low))
        shape = {"class": "sm-band", "x": _LEFT, "y": top, "width": _RIGHT - _LEFT, "height": max(0.0, bottom - top)}
        return element("rect", {**shape, "fill": "currentColor", "fill-opacity": "0.08"})

    def dots(self, points: Points, filled: bool = False) -> Markup:
        """Single values."""
        return joined(*(dot(self.x.at(x), self.y.at(y), filled) for x, y in points if self._holds(x, y)))

    def _holds(self, x: float, y: float) -> bool:
        return self.x.low <= x <= self.x.high and self.y.low <= y <= self.y.high


def _around(values: Sequence[float], share: float = 0.08) -> tuple[float, float]:
    low, high = apart(min(values), max(values))
    room = share * (high - low)
    return low - room, high + room


def _spread(low: float, high: float) -> list[float]:
    return [low + (high - low) * k / _STEPS for k in range(_STEPS + 1)]


def picture_of(computed: Computed) -> Markup | None:
    """The picture of an answer; None where it has none."""
    if computed.answer is None or computed.calculation.name not in _PICTURES:
        return None
    return _PICTURES[computed.calculation.name](computed.given, computed.answer.result) or None


# ---------------------------------------------------------------- fuel


def _viscosity(given: Any, result: Any) -> Markup:
    from calc.compute.fuel_oil import viscosity_line
    from calc.compute.limits import COLDEST_C, HOTTEST_C

    line = viscosity_line(given.points)
    asked = [(t, v) for t, v in zip(given.at_c or (), result.viscosity_mm2_s, strict=True) if v is not None]
    asked += [(t, v) for v, t in zip(given.for_mm2_s or (), result.temperature_c, strict=True) if t is not None]
    asked = [(t, v) for t, v in asked if COLDEST_C <= t <= HOTTEST_C]
    shown = [*given.points, *asked]
    x = _around([t for t, _ in shown])
    curve = [(t, log10(v)) for t in _spread(max(x[0], -270.0), x[1]) if (v := line.at(t)) is not None]
    panel = Panel(x, _around([level for _, level in curve] + [log10(v) for _, v in shown], 0.04), 22.0, 170.0)
    said = "; ".join(f"{short(t)} °C {short(v)} mm²/s" for t, v in shown)
    return picture(
        "viscosity",
        236.0,
        "Viscosity over temperature",
        f"The viscosity falls as the fuel warms, on a logarithmic scale. Points: {said}.",
        panel.frame("°C", "mm²/s", logarithmic=True),
        panel.curve(curve),
        panel.dots([(t, log10(v)) for t, v in given.points]),
        panel.dots([(t, log10(v)) for t, v in asked], filled=True),
    )


def _dilution(given: Any, result: Any) -> Markup | None:
    if result.volumes is None:
        return None
    end = max(1.25 * result.volumes, 1.0)
    to_hours = given.volume_m3 / given.flow_m3_h
    curve = [(to_hours * n, plan.mixed(given.start, given.feed, n)) for n in _spread(0.0, end)]
    panel = Panel((0.0, to_hours * end), _around([given.start, given.feed, given.target]), 22.0, 150.0)
    return picture(
        "dilution",
        216.0,
        "Content over time",
        f"The content goes from {short(given.start)} towards {short(given.feed)} and comes to {short(given.target)} after "
        f"{short(result.hours)} h.",
        panel.frame("h", "content"),
        panel.level(given.target, "target"),
        panel.curve(curve),
        panel.dots([(result.hours, given.target)], filled=True),
    )


def _cooling(given: Any, result: Any) -> Markup:
    to_minutes = 60.0 * given.volume_m3 / given.flow_m3_h
    end = max(3.0 * to_minutes, 1.2 * result.least_minutes)
    curve = [(t, plan.mixed(given.start_c, given.feed_c, t / to_minutes)) for t in _spread(0.0, end)]
    panel = Panel((0.0, end), _around([given.start_c, given.feed_c]), 22.0, 150.0)
    ramp = [(0.0, given.start_c), (result.least_minutes, given.feed_c)]
    return picture(
        "cooling",
        216.0,
        "Temperature over time",
        f"By mixing alone the temperature changes fastest at the start, by {short(result.steepest_c_per_min)} °C/min. Dashed: "
        f"a straight ramp at the limit takes {short(result.least_minutes)} min.",
        panel.frame("min", "°C"),
        panel.curve(curve),
        panel.curve(ramp, "6 4"),
    )


_GAP, _TALL = 56.0, 104.0


def _change_over(given: Any, result: Any) -> Markup:
    table = result.timetable
    end = table[-1].hours
    kinds: list[tuple[str, str, float | None, str]] = [("old_percent", "old fuel, %", given.residue_percent, "changed over")]
    if table[0].sulphur_percent is not None:
        kinds.append(("sulphur_percent", "sulphur, %", given.sulphur_limit_percent, "limit"))
    if table[0].temperature_c is not None:
        kinds.append(("temperature_c", "temperature, °C", None, ""))
    if all(row.viscosity_mm2_s is not None for row in table):
        kinds.append(("viscosity_mm2_s", "viscosity, mm²/s", given.least_mm2_s, "least"))
    hours = _spread(0.0, end)
    moments = plan.timetable(*_fuels(given), given.volume_m3, given.flow_m3_h, hours)
    panels = []
    for j, (key, label, limit, words) in enumerate(kinds):
        values = [(each.hours, getattr(each, key)) for each in moments if getattr(each, key) is not None]
        levels = [value for _, value in values] + ([limit] if limit is not None else [])
        panel = Panel((0.0, end), _around(levels), 22.0 + j * (_TALL + _GAP), _TALL)
        panels.append(panel.frame("h after the change-over valve was turned", label))
        panels.append(panel.curve(values))
        if limit is not None:
            panels.append(panel.level(limit, words))
        panels.append(panel.dots([(row.hours, getattr(row, key)) for row in (table[0], table[-2], table[-1])], filled=True))
    said = ", ".join(label.rpartition(",")[0] for _, label, _, _ in kinds)
    stop = f"The engine stops after {short(end)} h." if result.start_before_stop_h is not None else ""
    return picture(
        "change-over",
        22.0 + len(kinds) * (_TALL + _GAP),
        "The fuel at the pumps from the change-over on",
        f"Over the hours: {said}. The old fuel is down to {short(given.residue_percent)} % after "
        f"{short(result.changed_over_h)} h. {stop}",
        panels,
    )


def _fuels(given: Any) -> tuple[plan.Fuel, plan.Fuel]:
    from calc.compute.fuel_oil import viscosity_line

    old = viscosity_line(given.old_points) if given.old_points else None
    new = viscosity_line(given.new_points) if given.new_points else None
    return (
        plan.Fuel(given.old_c, given.old_sulphur_percent, old),
        plan.Fuel(given.new_c, given.new_sulphur_percent, new),
    )


# ---------------------------------------------------------------- trend


def _trend(given: Any, result: Any) -> Markup | None:
    line = fit_line(given.hours, given.values)
    points = [(hours, value, False) for hours, value in zip(given.hours, given.values, strict=True)]
    proven = "A drift is proven." if result.provable else "No drift is proven."
    return _trend_picture(line, points, given.limit, given.at_hours, f"{proven} {_limit_words(result.hours_to_limit)}")


def _limit_words(hours: float | None) -> str:
    return "" if hours is None else f"The 95 % range reaches the limit {short(hours)} h after the last value."


def _trend_picture(
    line: Line | None, points: Sequence[tuple[float, float, bool]], limit: float, at_hours: float, said: str
) -> Markup:
    """Values over hours with the limits as a band, the line, and dashed the range of one new value."""
    x = _around([*(hours for hours, _, _ in points), at_hours], 0.05)
    y = _around([*(value for _, value, _ in points), -limit, limit])
    panel = Panel(x, y, 22.0, 170.0)
    drawn: list[Markup] = []
    if line is not None:
        drawn.append(panel.curve([(at, line.value(at)) for at in _spread(*x)]))
    if line is not None and line.dof > 0:
        ranges = [(at, line.prediction(at)) for at in _spread(*x)]
        drawn += [panel.curve([(at, each[side]) for at, each in ranges], "6 4") for side in (0, 1)]
    values = ", ".join(f"{short(value)} at {short(hours)} h" for hours, value, _ in points[:30])
    return picture(
        "trend",
        236.0,
        "Deviation over running hours",
        f"Values: {values}. The band is within ±{short(limit)}; dashed, where one new value falls with 95 %. {said}",
        panel.band(-limit, limit),
        panel.frame("h", "deviation"),
        drawn,
        panel.dots([(hours, value) for hours, value, left in points if not left]),
        panel.dots([(hours, value) for hours, value, left in points if left], filled=True),
    )


# ---------------------------------------------------------------- pump


def _tdc(given: Any, result: Any) -> Markup:
    middles = find_dead_centre(given.pairs).midpoints_deg
    mean = fsum(middles) / len(middles)
    panel = Panel((0.5, len(middles) + 0.5), _around([*middles, mean], 0.2), 22.0, 110.0)
    u = result.u_deg or 0.0
    said = ", ".join(f"{short(each)}°" for each in middles[:30])
    return picture(
        "tdc",
        176.0,
        "Midpoint of each pair",
        f"Midpoints: {said}. Their mean, the reading at TDC, is the level; the band is its standard uncertainty.",
        panel.band(mean - u, mean + u),
        panel.frame("pair", "midpoint, °", whole=True),
        panel.level(mean),
        panel.dots(list(enumerate(middles, 1))),
    )


def _cam(given: Any, result: Any) -> Markup | None:
    if result.phase_deg is None or result.residual_mm is None:
        return None
    return cam_picture(given.reference, given.measured, result.phase_deg, result.residual_mm)


def cam_picture(reference: Points, measured: Points, phase_deg: float, residual_mm: Sequence[float]) -> Markup:
    """A measured cam above its reference, and below what is left once that is moved by the phase."""
    curve = MonotoneCubic.through([angle for angle, _ in reference], [lift for _, lift in reference])
    angles = [angle for angle, _ in measured]
    x = _around([*angles, curve.x[0], curve.x[-1]], 0.03)
    upper = Panel(x, _around([*curve.y, *(lift for _, lift in measured)]), 22.0, 150.0)
    lower = Panel(x, _around([0.0, *residual_mm], 0.15), 250.0, 90.0)
    line = [(at, curve.value(at)) for at in _spread(curve.x[0], curve.x[-1])]
    bars = [
        element("path", {"d": f"M{lower.x.at(at):.1f} {lower.y.at(0.0):.1f}V{lower.y.at(left):.1f}", **LINE})
        for at, left in zip(angles, residual_mm, strict=True)
    ]
    worst = max(range(len(angles)), key=lambda j: abs(residual_mm[j]))
    return picture(
        "cam-survey",
        386.0,
        "Measured cam against its reference",
        f"Above: reference, and dashed the same moved by {short(phase_deg)}°; dots are measured. Below: what is left, "
        f"largest {short(residual_mm[worst])} mm at {short(angles[worst])}°.",
        upper.frame("cam angle, °", "lift, mm"),
        upper.curve(line),
        upper.curve([(at + phase_deg, lift) for at, lift in line], "6 4"),
        upper.dots(measured),
        lower.frame("cam angle, °", "measured − reference, mm"),
        lower.level(0.0),
        bars,
        lower.dots(list(zip(angles, residual_mm, strict=True))),
    )


def _fuel_index(given: Any, result: Any) -> Markup:
    points = [point for unit in given.units for point in unit.points]
    zeros = {row.unit: row for row in result.units if row.zero_index is not None and row.zero_index > -1000.0}
    x = _around([index for index, _ in points] + [row.zero_index for row in zeros.values()] + [0.0])
    y = _around([lift for _, lift in points] + [unit.start_lift_mm for unit in given.units])
    panel = Panel(x, y, 22.0, 200.0)
    drawn = []
    for unit in given.units:
        row = zeros.get(unit.unit)
        if row is not None:
            start = (row.zero_index, unit.start_lift_mm)
            end = max(index for index, _ in unit.points)
            drawn.append(panel.curve([start, (end, unit.start_lift_mm + row.mm_per_index * (end - row.zero_index))]))
            drawn.append(panel.dots([start], filled=True))
        drawn.append(panel.dots(unit.points))
    said = " ".join(f"Unit {unit}: index {short(row.zero_index)}." for unit, row in zeros.items())
    return picture(
        "fuel-index",
        266.0,
        "Spill lift over fuel index",
        f"A line a unit; hollow dots are readings, filled ones where nothing is delivered. {said}",
        panel.frame("fuel index", "spill lift, mm"),
        drawn,
    )


def _budget(given: Any, result: Any) -> Markup:
    return budget([Term(part.name, part.u) for part in result.parts], "Where the doubt comes from")


# ---------------------------------------------------------------- tightening


_MOST_DRAWN = 40


def _bolts(given: Any, result: Any) -> Markup | None:
    """Bolts round a circle: outside their numbers, inside when each is drawn."""
    n = given.bolts
    if n > _MOST_DRAWN:
        return None
    order = {bolt: step for step, bolt in enumerate(result.passes[0], 1)}
    middle, radius = 200.0, 150.0
    drawn = [element("circle", {"cx": middle, "cy": middle, "r": radius, **THIN})]
    for bolt in range(1, n + 1):
        across, up = sin(2.0 * pi * (bolt - 1) / n), cos(2.0 * pi * (bolt - 1) / n)
        x, y = middle + radius * across, middle - radius * up
        drawn.append(element("circle", {"cx": x, "cy": y, "r": 9.0, "fill": "Canvas", "stroke": "currentColor"}))
        drawn.append(text(x, y + 4.0, str(bolt), "middle", **{"font-size": "10"}))
        inner = radius - 26.0
        drawn.append(
            text(middle + inner * across, middle - inner * up + 4.0, str(order[bolt]), "middle", **{"font-weight": "bold"})
        )
    said = "-".join(map(str, result.passes[0]))
    return picture(
        "bolts",
        400.0,
        "Order of the bolts",
        f"Bolts are numbered round the circle; inside, bold, when each is drawn. Crosswise: {said}.",
        drawn,
        text(middle, middle, "bold: drawn as", "middle"),
        text(middle, middle + 16.0, "1st, 2nd, 3rd …", "middle"),
    )


def _due(given: Any, result: Any) -> Markup | None:
    if result.days is None or not given.calls:
        return None
    x = _around([0.0, result.days, *(days for days, _ in given.calls)], 0.06)
    panel = Panel(x, (0.0, max(1.0, 1.25 * max(hours for _, hours in given.calls))), 22.0, 100.0)
    at = panel.x.at(result.days)
    columns = [
        element("path", {"d": f"M{panel.x.at(days):.1f} {panel.y.at(0.0):.1f}V{panel.y.at(hours):.1f}", **LINE})
        for days, hours in given.calls
    ]
    fits = "No call fits." if result.call is None else f"Call {result.call} fits."
    return picture(
        "due",
        166.0,
        "Port calls and the date that the check is due",
        f"Each upright is a port call, as tall as its hours. The check is due in {short(result.days)} days. {fits}",
        panel.frame("days from today", "hours in port"),
        columns,
        panel.dots(given.calls),
        panel.dots([given.calls[result.call - 1]] if result.call is not None else [], filled=True),
        element("path", {"d": f"M{at:.1f} {panel.y.right:.1f}V{panel.y.left:.1f}", **THIN, "stroke-dasharray": "5 4"}),
        text(at, panel.y.right - 5.0, "due", "middle"),
    )


_PICTURES: dict[str, Callable[[Any, Any], Markup | None]] = {
    "viscosity": _viscosity,
    "dilution": _dilution,
    "cooling": _cooling,
    "change_over": _change_over,
    "trend": _trend,
    "tdc": _tdc,
    "cam_survey": _cam,
    "fuel_index": _fuel_index,
    "budget": _budget,
    "bolt_order": _bolts,
    "due": _due,
}
