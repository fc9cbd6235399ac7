"""The three pictures of the findings, as SVG text: all units at a glance, one unit's lift curve, where the doubt comes from.

Marks: reference a thin upright line; tolerance a pale band with solid edges; a reading a dot with a whisker for its 95 %
range, hollow as found, filled as left. The same text serves page, paper and tests; colour comes from the page.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from calc.findings import Event, UnitFindings
from calc.job.direction import named
from calc.job.model import AS_FOUND, AS_LEFT, SPILL_OPENING, STAGES, SUCTION_CLOSING, VALVE_EVENTS
from calc.job.words import angle_words, late_words, plain, signed
from calc.judge.after import PREDICTED
from calc.judge.unit import JudgedUnit
from calc.measure.gum import Term, combined
from calc.pump.cam import Flank
from calc.show.draw import LINE as _LINE
from calc.show.draw import THIN as _THIN
from calc.show.draw import Axis as _Axis
from calc.show.draw import picture as _picture
from calc.show.draw import text as _text
from calc.show.draw import ticks
from calc.show.marks import WORDS, shape
from calc.show.markup import Markup, element, joined

_BOLD = {"stroke-width": "1.6"}
NOUNS = {SUCTION_CLOSING: "start", SPILL_OPENING: "end"}


# ---------------------------------------------------------------- all units


# Every kind of mark, in the order in which they stand in a row; the last one's number is written out.
_STAGE_WORDS = {**STAGES, PREDICTED: "after these moves"}
_LEFT, _RIGHT = 62.0, 268.0
_ROW, _GAP, _TOP = 20.0, 8.0, 30.0


def strip(units: Sequence[UnitFindings], tolerance_deg: float, linked: bool = False) -> Markup:
    """All units at a glance: a row per unit, start above end, deviation along one axis with the tolerance band.

    Parameters: units, those of a stage that is only predicted among them; linked: whether each row leads to its unit, where
    the units stand on the same page.
    """
    numbers = sorted({unit.unit for unit in units})
    events = [event for unit in units for event in (unit.beginning, unit.end) if event is not None]
    reach = max([abs(event.deviation_deg) + event.expanded_deg for event in events], default=0.0)
    limit = max(1.6 * tolerance_deg, min(1.05 * reach, 5.0 * tolerance_deg))
    height = _TOP + len(numbers) * (2.0 * _ROW + _GAP) + 26.0
    axis = _Axis(-limit, limit, _LEFT, _RIGHT)
    rows = []
    for i, number in enumerate(numbers):
        by_stage = {unit.stage: unit for unit in units if unit.unit == number}
        rows.append(_strip_unit(number, by_stage, axis, _TOP + i * (2.0 * _ROW + _GAP), linked))
    bottom = height - 22.0
    return _picture(
        "strip",
        height,
        "All units: deviation of start and end",
        _strip_words(units, tolerance_deg),
        _band(axis, tolerance_deg, bottom),
        rows,
        _axis_below(axis, bottom),
        # A picture's parts are hidden from screen readers; links must not be.
        role="group" if linked else "img",
    )


def _band(axis: _Axis, tolerance: float, bottom: float) -> Markup:
    left, right = axis.at(-tolerance), axis.at(tolerance)
    top = _TOP - 6.0
    return joined(
        element(
            "rect",
            {
                "class": "sm-band",
                "x": left,
                "y": top,
                "width": right - left,
                "height": bottom - top,
                "fill": "currentColor",
                "fill-opacity": "0.08",
            },
        ),
        element("path", {"d": f"M{left:.1f} {top:g}V{bottom:g}M{right:.1f} {top:g}V{bottom:g}", **_THIN}),
        element(
            "path",
            {"class": "sm-reference", "d": f"M{axis.at(0.0):.1f} {top:g}V{bottom:g}", **_THIN, "stroke-width": "0.7"},
        ),
        _text(left, _TOP - 12.0, f"−{tolerance:g}°", "middle"),
        _text(right, _TOP - 12.0, f"+{tolerance:g}°", "middle"),
        _text(axis.left - 58.0, _TOP - 12.0, "early ◂"),
        _text(axis.right + 6.0, _TOP - 12.0, "▸ late"),
    )


def _axis_below(axis: _Axis, bottom: float) -> Markup:
    marks = "".join(f"M{axis.at(value):.1f} {bottom:g}v4" for value in ticks(axis.low, axis.high, 6))
    return joined(
        element("path", {"d": f"M{axis.left:g} {bottom:g}H{axis.right:g}{marks}", **_THIN}),
        [_text(axis.at(value), bottom + 17.0, f"{plain(value, 1)}°", "middle") for value in ticks(axis.low, axis.high, 6)],
    )


def _strip_unit(number: int, by_stage: dict[str, UnitFindings], axis: _Axis, top: float, linked: bool) -> Markup:
    latest = list(by_stage.values())[-1]
    parts = []
    for row, name in enumerate(("beginning", "end")):
        y = top + row * _ROW + 0.5 * _ROW
        shown = {stage: event for stage in _STAGE_WORDS if stage in by_stage and (event := getattr(by_stage[stage], name))}
        for at, (stage, event) in enumerate(shown.items()):
            parts.append(_whisker(axis, event, stage, y + 4.0 * (2 * at - len(shown) + 1)))
        event = list(shown.values())[-1] if shown else None
        parts.append(_text(26.0, y + 4.0, "start" if row == 0 else "end"))
        parts.append(_text(_RIGHT + 58.0, y + 4.0, f"{signed(event.deviation_deg, 2)}°" if event else "—", "end"))
        parts.append(shape(event.verdict if event else "incomplete", _RIGHT + 68.0, y - 6.0))
    label = _text(4.0, top + 0.5 * _ROW + 4.0, str(number), **{"font-weight": "bold"})
    if not linked:
        return element("g", None, label, parts)
    return element("a", {"href": f"#unit-{number}-{latest.stage}"}, label, parts)


def _whisker(axis: _Axis, event: Event, stage: str, y: float) -> Markup:
    """A dot with its 95 % range; an arrow at the edge where it lies beyond the picture."""
    kind = f"sm-reading sm-{stage}"
    value = event.deviation_deg
    if abs(value) > axis.high:
        x, turn = (axis.right, -1) if value > 0 else (axis.left, 1)
        fill = _FILL[stage]
        return element(
            "path",
            {
                "class": kind,
                "d": f"M{x:g} {y:g}l{7 * turn:g} -4v8z",
                "fill": fill,
                "stroke": "currentColor",
                "stroke-width": "1.4",
            },
        )
    low, high = (axis.at(min(max(value + side * event.expanded_deg, axis.low), axis.high)) for side in (-1.0, 1.0))
    x = axis.at(value)
    line = f"M{low:.1f} {y:g}H{min(x - 3.5, high):.1f}" if low < x - 3.5 else ""
    line += f"M{max(x + 3.5, low):.1f} {y:g}H{high:.1f}" if high > x + 3.5 else ""
    line += f"M{low:.1f} {y - 3:g}v6M{high:.1f} {y - 3:g}v6"
    return element("g", {"class": kind}, element("path", {"d": line, **_LINE}), _dot(x, y, stage))


# As found hollow, as left filled; what is only predicted is no dot but a hollow diamond.
_FILL = {AS_FOUND: "none", AS_LEFT: "currentColor", PREDICTED: "none"}


@lru_cache(maxsize=512)
def _dot(x: float, y: float, stage: str) -> Markup:
    fill = _FILL[stage]
    if stage == PREDICTED:
        return element(
            "path", {"d": f"M{x:.1f} {y - 4.5:g}l4.5 4.5l-4.5 4.5l-4.5 -4.5z", "fill": fill, "stroke": "currentColor", **_BOLD}
        )
    return element("circle", {"cx": x, "cy": y, "r": 3.5, "fill": fill, "stroke": "currentColor", "stroke-width": "1.6"})


def sample(stage: str) -> Markup:
    """The mark of a stage by itself, for a legend; the words beside it say what it is, so it is hidden from screen readers."""
    return element(
        "svg",
        {"class": f"sm-sample sm-{stage}", "viewBox": "0 0 24 12", "width": 24, "height": 12, "aria-hidden": "true"},
        element("path", {"d": "M2 6H8.5M15.5 6H22M2 3v6M22 3v6", **_LINE}),
        _dot(12.0, 6.0, stage),
    )


def _strip_words(units: Sequence[UnitFindings], tolerance: float) -> str:
    words = [f"Tolerance ±{tolerance:g}°."]
    for unit in units:
        for noun, event in (("start", unit.beginning), ("end", unit.end)):
            said = (
                "no number"
                if event is None
                else f"{late_words(event.deviation_deg)} ±{plain(event.expanded_deg, 2)}°, " + (WORDS[event.verdict].lower())
            )
            words.append(f"Unit {unit.unit} {_STAGE_WORDS[unit.stage]}, {noun}: {said}.")
    return " ".join(words)


# ---------------------------------------------------------------- one unit


_CURVE_HEIGHT, _CURVE_LEFT, _CURVE_RIGHT, _CURVE_TOP, _CURVE_BOTTOM = 470.0, 74.0, 392.0, 10.0, 210.0
_LENS_TOP, _LENS_WIDTH, _LENS_HEIGHT = 296.0, 186.0, 140.0


def lift_curve(unit: UnitFindings, tolerance_deg: float) -> Markup | None:
    """Plunger lift over crank angle: the cam, the reference at each event, the readings with both whiskers.

    Below it both events enlarged, with the tolerance band: a rod moves a reading along the cam line, a cam moves it off.
    None where no event has a number. The cam's curve is laid through the reference.
    """
    judged = unit.judged
    if judged is None or not judged.events:
        return None
    reference = judged.settings
    angles = [*reference.angle_deg.values(), *(each.finding.angle_deg for each in judged.events.values())]
    lifts = [*reference.lift_mm.values(), *(each.finding.lift_mm for each in judged.events.values())]
    wide, high = max(angles) - min(angles), max(lifts) - min(lifts)
    x = _Axis(min(angles) - 0.18 * wide, max(angles) + 0.14 * wide, _CURVE_LEFT, _CURVE_RIGHT)
    y = _Axis(max(0.0, min(lifts) - 0.25 * high), max(lifts) + 0.3 * high, _CURVE_BOTTOM, _CURVE_TOP)
    return _picture(
        "lift",
        _CURVE_HEIGHT,
        f"{named(f'Unit {unit.unit}, {STAGES[unit.stage]}', judged.direction)}: plunger lift over crank angle",
        _curve_words(judged),
        _frame(x, y, named("crank angle after TDC", judged.direction)),
        _cam_line(reference.flank[SUCTION_CLOSING], reference.angle_deg[SUCTION_CLOSING], x, y),
        [_reference_cross(reference.angle_deg[event], reference.lift_mm[event], x, y) for event in VALVE_EVENTS],
        [_event_point(judged, event, unit.stage, x, y) for event in judged.events],
        None if judged.stroke_mm is None or judged.delivery_deg is None else _measures(judged, x, y),
        [_lens(judged, event, unit.stage, tolerance_deg) for event in judged.events],
    )


@lru_cache(maxsize=128)
def _frame(x: _Axis, y: _Axis, angle_words: str) -> Markup:
    parts: list[object] = [
        element("path", {"d": f"M{x.left:g} {y.right:g}V{y.left:g}H{x.right:g}", **_THIN}),
        _text(x.left + 4.0, y.right + 8.0, "plunger lift, mm"),
        _text(x.right, _CURVE_BOTTOM + 32.0, angle_words, "end"),
    ]
    for value in ticks(x.low, x.high, 6):
        parts.append(element("path", {"d": f"M{x.at(value):.1f} {y.left:g}v4", **_THIN}))
        parts.append(_text(x.at(value), y.left + 16.0, f"{plain(value, 0)}°", "middle"))
    for value in ticks(y.low, y.high, 6):
        parts.append(element("path", {"d": f"M{x.left:g} {y.at(value):.1f}h-4", **_THIN}))
        parts.append(_text(x.left - 6.0, y.at(value) + 4.0, plain(value, 0), "end"))
    return joined(*parts)


@lru_cache(maxsize=64)
def _cam_points(start: Flank, start_deg: float, low_mm: float, high_mm: float) -> tuple[tuple[float, float], ...]:
    count = 2 if start.is_secant else 40
    lifts = [low_mm + (high_mm - low_mm) * i / (count - 1) for i in range(count)]
    return tuple((start_deg + start.travel(lift - start.lift_mm), lift) for lift in lifts)


@lru_cache(maxsize=128)
def _cam_line(flank: Flank, start_deg: float, x: _Axis, y: _Axis) -> Markup:
    points = _cam_points(flank, start_deg, y.low, y.high)
    inside = [(angle, lift) for angle, lift in points if x.low <= angle <= x.high]
    path = "M" + "L".join(f"{x.at(angle):.1f} {y.at(lift):.1f}" for angle, lift in inside)
    dashes = "6 4" if flank.is_secant else None
    return element("path", {"class": "sm-cam", "d": path, **_LINE, "stroke-dasharray": dashes}) if inside else Markup("")


@lru_cache(maxsize=128)
def _reference_cross(angle_deg: float, lift_mm: float, x: _Axis, y: _Axis) -> Markup:
    at_x, at_y = x.at(angle_deg), y.at(lift_mm)
    return element(
        "path", {"class": "sm-reference", "d": f"M{at_x:.1f} {at_y - 16:.1f}v32M{at_x - 16:.1f} {at_y:.1f}h32", **_THIN}
    )


def _event_point(judged: JudgedUnit, event: str, stage: str, x: _Axis, y: _Axis) -> Markup:
    found = judged.events[event].finding
    at_x, at_y = x.at(found.angle_deg), y.at(found.lift_mm)
    wide = 0.5 * (x.at(found.angle_deg + found.expanded_deg) - x.at(found.angle_deg - found.expanded_deg))
    tall = 0.5 * abs(y.at(found.lift_mm + 1.96 * found.u_lift_mm) - y.at(found.lift_mm - 1.96 * found.u_lift_mm))
    line = f"M{at_x - wide:.1f} {at_y - 4:.1f}v8M{at_x + wide:.1f} {at_y - 4:.1f}v8"
    line += f"M{at_x - 4:.1f} {at_y - tall:.1f}h8M{at_x - 4:.1f} {at_y + tall:.1f}h8"
    if wide > 3.5:
        line += f"M{at_x - wide:.1f} {at_y:.1f}H{at_x - 3.5:.1f}M{at_x + 3.5:.1f} {at_y:.1f}H{at_x + wide:.1f}"
    start = event == SUCTION_CLOSING
    label_x, label_y, anchor = (at_x + 20.0, at_y + 16.0, "start") if start else (at_x - 20.0, at_y - 18.0, "end")
    return element(
        "g",
        {"class": f"sm-reading sm-{stage}"},
        element("path", {"d": line, **_LINE}),
        _dot(at_x, at_y, stage),
        _text(label_x, label_y, NOUNS[event], anchor),
        _text(label_x, label_y + 14.0, f"{plain(found.lift_mm, 2)} mm, {angle_words(round(found.angle_deg, 2))}", anchor),
    )


def _lens(judged: JudgedUnit, event: str, stage: str, tolerance_deg: float) -> Markup:
    """One event enlarged around its reference."""
    each = judged.events[event]
    found, flank = each.finding, judged.settings.flank[event]
    u_lift = 1.96 * found.u_lift_mm
    wide = max(1.5 * tolerance_deg, 1.15 * (abs(found.deviation_deg) + found.expanded_deg))
    tall = max(wide * flank.slope, 1.15 * (abs(found.lift_deviation_mm) + u_lift))
    x, y = _lens_axes(wide, tall)
    at_x, at_y = x.at(found.deviation_deg), y.at(found.lift_deviation_mm)
    left, right = (x.at(found.deviation_deg + side * found.expanded_deg) for side in (-1.0, 1.0))
    top, bottom = (y.at(found.lift_deviation_mm + side * u_lift) for side in (1.0, -1.0))
    whiskers = f"M{left:.1f} {at_y:.1f}H{at_x - 3.5:.1f}M{at_x + 3.5:.1f} {at_y:.1f}H{right:.1f}"
    whiskers += (
        f"M{left:.1f} {at_y - 4:.1f}v8M{right:.1f} {at_y - 4:.1f}v8M{at_x - 4:.1f} {top:.1f}h8M{at_x - 4:.1f} {bottom:.1f}h8"
    )
    ground, around = _lens_ground(event, flank, judged.settings.angle_deg[event], tolerance_deg, wide, tall)
    reading = element(
        "g", {"class": f"sm-reading sm-{stage}"}, element("path", {"d": whiskers, **_LINE}), _dot(at_x, at_y, stage)
    )
    place = _LENS_PLACE[event]
    inside = {"x": place, "y": _LENS_TOP, "width": _LENS_WIDTH, "height": _LENS_HEIGHT, "overflow": "hidden"}
    return joined(element("svg", inside, ground, reading), around)


_LENS_PLACE = {SUCTION_CLOSING: 8.0, SPILL_OPENING: 206.0}


def _lens_axes(wide: float, tall: float) -> tuple[_Axis, _Axis]:
    return _Axis(-wide, wide, 0.0, _LENS_WIDTH), _Axis(-tall, tall, _LENS_HEIGHT, 0.0)


@lru_cache(maxsize=128)
def _lens_ground(
    event: str, flank: Flank, angle_deg: float, tolerance_deg: float, wide: float, tall: float
) -> tuple[Markup, Markup]:
    """What a reading is seen against: within the lens band, reference and cam, and around it frame and words."""
    x, y = _lens_axes(wide, tall)
    lift = flank.lift_mm
    errors = [tall * (i / 8.0 - 1.0) for i in range(17)]
    cam = "L".join(f"{x.at(flank.travel(error)):.1f} {y.at(error):.1f}" for error in errors if lift + error >= 0.0)
    left, right = x.at(-tolerance_deg), x.at(tolerance_deg)
    ground = joined(
        element(
            "rect",
            {
                "class": "sm-band",
                "x": left,
                "y": 0,
                "width": right - left,
                "height": _LENS_HEIGHT,
                "fill": "currentColor",
                "fill-opacity": "0.08",
            },
        ),
        element("path", {"d": f"M{left:.1f} 0V{_LENS_HEIGHT:g}M{right:.1f} 0V{_LENS_HEIGHT:g}", **_THIN}),
        element(
            "path",
            {
                "class": "sm-reference",
                "d": f"M{x.at(0.0):.1f} 0V{_LENS_HEIGHT:g}M0 {y.at(0.0):.1f}H{_LENS_WIDTH:g}",
                **_THIN,
            }
            | {"stroke-width": "0.7"},
        ),
        element("path", {"class": "sm-cam", "d": f"M{cam}", **_LINE, "stroke-dasharray": "6 4" if flank.is_secant else None}),
    )
    place, below = _LENS_PLACE[event], _LENS_TOP + _LENS_HEIGHT
    around = joined(
        element("rect", {"x": place, "y": _LENS_TOP, "width": _LENS_WIDTH, "height": _LENS_HEIGHT, **_THIN}),
        _text(place, _LENS_TOP - 6.0, f"{NOUNS[event]}, enlarged"),
        _text(place + left, below + 15.0, f"−{tolerance_deg:g}°", "middle"),
        _text(place + right, below + 15.0, f"+{tolerance_deg:g}°", "middle"),
        _text(place + 0.5 * _LENS_WIDTH, below + 28.0, f"{angle_words(angle_deg)}, {plain(lift, 2)} mm", "middle"),
    )
    return ground, around


def _measures(judged: JudgedUnit, x: _Axis, y: _Axis) -> Markup:
    start, end = (judged.events[event].finding for event in VALVE_EVENTS)
    low, high = y.at(start.lift_mm), y.at(end.lift_mm)
    left, right = x.at(start.angle_deg), x.at(end.angle_deg)
    return _brackets(low, high, left, right, plain(judged.stroke_mm or 0.0, 2), plain(judged.delivery_deg or 0.0, 2))


@lru_cache(maxsize=128)
def _brackets(low: float, high: float, left: float, right: float, stroke_mm: str, delivery_deg: str) -> Markup:
    below = _CURVE_BOTTOM + 40.0
    middle = 0.5 * (low + high)
    return joined(
        element("path", {"class": "sm-bracket", "d": f"M36 {low:.1f}h-8V{high:.1f}h8", **_LINE}),
        _text(22.0, middle, f"stroke {stroke_mm} mm", "middle", transform=f"rotate(-90 22 {middle:.1f})"),
        element("path", {"class": "sm-bracket", "d": f"M{left:.1f} {below - 8:g}v8H{right:.1f}v-8", **_LINE}),
        _text(0.5 * (left + right), below + 15.0, f"delivery {delivery_deg}°", "middle"),
    )


def _curve_words(judged: JudgedUnit) -> str:
    words = []
    for event, each in judged.events.items():
        found, reference = each.finding, judged.settings
        words.append(
            f"{NOUNS[event].capitalize()}: read {plain(found.lift_mm, 2)} mm at {angle_words(round(found.angle_deg, 2))}, "
            f"reference {plain(reference.lift_mm[event], 2)} mm at {angle_words(reference.angle_deg[event])}."
        )
    if judged.stroke_mm is not None and judged.delivery_deg is not None:
        words.append(f"Effective stroke {plain(judged.stroke_mm, 2)} mm, delivery angle {plain(judged.delivery_deg, 2)}°.")
    return " ".join(words)


# ---------------------------------------------------------------- the doubt


def budget(terms: Sequence[Term], title: str) -> Markup:
    """Where the doubt comes from: bars of variance, largest first."""
    total = combined(terms) ** 2
    ordered = sorted((term for term in terms if term.u > 0.0), key=lambda term: -term.u)
    if not ordered or total <= 0.0:
        return Markup("")
    bars = []
    for i, term in enumerate(ordered):
        share = term.u**2 / total
        y = 6.0 + 22.0 * i
        bars.append(_text(132.0, y + 12.0, term.name, "end"))
        bars.append(
            element(
                "rect",
                {
                    "class": "sm-bar",
                    "x": 138.0,
                    "y": y,
                    "width": max(1.0, 180.0 * share),
                    "height": 15.0,
                    "fill": "currentColor",
                    "fill-opacity": "0.7",
                },
            )
        )
        bars.append(_text(144.0 + 180.0 * share, y + 12.0, f"{100.0 * share:.0f} %"))
    words = ", ".join(f"{term.name} {100.0 * term.u**2 / total:.0f} %" for term in ordered)
    return _picture("budget", 12.0 + 22.0 * len(ordered), title, f"Share of the variance: {words}.", bars)
