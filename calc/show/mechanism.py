"""The parts of the model's pump as SVG shapes, and where each stands: one drawing for the moving model and all pictures of it.

One unit of the drawing is one millimetre of the pump. A part that moves is a group with a `data-part`; `transforms` says where
it stands, and the browser moves it by the same rules. Fixed metal is hatched, moving parts are plain with a thick outline,
fuel has a pattern of its own. Colours come from the page.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import asin, cos, degrees, hypot, pi, radians, sin

from calc.moving.cam import PER_DEG, PER_MM, lift_law_mm
from calc.moving.pump import (
    BOTH,
    CLOSED,
    DELIVERING,
    FIFTHS,
    INDEX_STEPS,
    SPILL,
    SUCTION,
    Place,
    Setting,
    cam_angle,
    chamber,
    flow,
    plunger,
    spill_held,
    spill_lift,
    suction_held,
)
from calc.show.draw import text
from calc.show.markup import Markup, element, joined

# Uprights, from left to right: push rods, fulcrums and the plunger all keep to their own.
SUCTION_X, FULCRUM_X, PLUNGER_X, SPILL_X, ECCENTRIC_X = 72.0, 120.0, 180.0, 252.0, 300.0
LEVEL_Y = 403.0  # Where both rockers lie level: plunger and spill lift at half of the peak.
LEVEL_MM = 20.0
STEM_Y = 296.0  # Foot of both valve stems, valves on their seats.
CAM_Y, CAM_BASE, ROLLER = 520.0, 44.0, 13.0
SHAFT_X, THROW, DISC = 290.0, 13.0, 17.0  # The eccentric: its shaft, how far the disc is off it, the disc.
LEVER = 54.0
PIN_Y = LEVEL_Y + LEVEL_MM  # The rockers' pin in the plunger drive at lift 0.
PLUNGER_TOP_Y = 246.0
PLUNGER_GAUGE, SUCTION_GAUGE, SPILL_GAUGE, FLYWHEEL = (46.0, 540.0), (72.0, 79.0), (252.0, 79.0), (314.0, 540.0)
DIAL = 41.0
PLUNGER_DEG_PER_MM, VALVE_DEG_PER_MM = 36.0, 360.0  # A turn of the needle: 10 mm, 1 mm.
DELIVERY_LIFT = 5.0
WIDTH, HEIGHT = 360.0, 612.0

_SUCTION_ARM, _PIN_TO_FULCRUM = FULCRUM_X - SUCTION_X, PLUNGER_X - FULCRUM_X
_SPILL_SHARE = (ECCENTRIC_X - SPILL_X) / (ECCENTRIC_X - PLUNGER_X)


# ---------------------------------------------------------------- where everything stands


def fulcrum_y(index: int) -> float:
    """Height of the spill rocker's fulcrum at an index [tenths]: a later end of delivery needs a lower fulcrum."""
    return LEVEL_Y + (spill_lift(index) / PER_MM - LEVEL_MM) * _SPILL_SHARE / (1.0 - _SPILL_SHARE)


def eccentric(index: int) -> tuple[float, float, float]:
    """The eccentric at an index [tenths]: its angle [deg], and the centre of its disc."""
    angle = asin((fulcrum_y(index) - LEVEL_Y) / THROW)
    return degrees(angle), SHAFT_X + THROW * cos(angle), fulcrum_y(index)


def transforms(place: Place, setting: Setting) -> dict[str, str]:
    """The `transform` of every moving part.

    >>> transforms(Place(-10000), Setting())["drive"], transforms(Place(900), Setting())["spill-valve"]
    ('translate(0 0)', 'translate(0 -0.05)')
    """
    lift = plunger(place, setting)
    mm = lift / PER_MM
    suction, spill = (held(lift, setting) / FIFTHS / PER_MM for held in (suction_held, spill_held))
    angle, disc_x, disc_y = eccentric(setting.index)
    spill_end = (1.0 - _SPILL_SHARE) * disc_y + _SPILL_SHARE * (PIN_Y - mm)
    delivering = chamber(lift, cam_angle(place, setting), setting) == DELIVERING
    return {
        "cam": _rotate(cam_angle(place, setting) / PER_DEG),
        "flywheel": _rotate(place.flywheel / PER_DEG),
        "drive": _up(mm),
        "suction-valve": _up(max(0.0, suction)),
        "spill-valve": _up(max(0.0, spill)),
        "suction-rod": _up(suction),
        "spill-rod": _up(spill),
        "suction-rod-foot": _up(-_SUCTION_ARM / _PIN_TO_FULCRUM * mm),
        "spill-rod-foot": _up(LEVEL_Y - spill_end),
        "suction-rocker": _bar((LEVEL_MM - mm) / _PIN_TO_FULCRUM, FULCRUM_X, LEVEL_Y),
        "spill-rocker": _bar((disc_y - PIN_Y + mm) / (ECCENTRIC_X - PLUNGER_X), PLUNGER_X, PIN_Y - mm),
        "eccentric": _rotate(angle),
        "strap": f"translate({_number(disc_x)} {_number(disc_y)})",
        "delivery-valve": _up(DELIVERY_LIFT if delivering else 0.0),
        "plunger-needle": _rotate(PLUNGER_DEG_PER_MM * mm),
        "suction-needle": _rotate(VALVE_DEG_PER_MM * max(0.0, suction)),
        "spill-needle": _rotate(VALVE_DEG_PER_MM * max(0.0, spill)),
    }


def _number(value: float) -> str:
    text_ = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text_ == "-0" else text_


def _up(by: float) -> str:
    return f"translate(0 {_number(-by)})"


def _rotate(by: float) -> str:
    return f"rotate({_number(by)})"


def _bar(slope: float, x: float, y: float) -> str:
    """A level bar, tilted about a point; points keep to their uprights, as the pins in its slots do."""
    return f"matrix(1 {slope:.4f} 0 1 0 {_number(y - slope * x)})"


def scene() -> dict[str, object]:
    """What the browser needs to move the parts by the rules of `transforms`."""
    return {
        "pin_y": PIN_Y,
        "level_y": LEVEL_Y,
        "level_mm": LEVEL_MM,
        "fulcrum_x": FULCRUM_X,
        "plunger_x": PLUNGER_X,
        "pin_to_fulcrum": _PIN_TO_FULCRUM,
        "pin_to_eccentric": ECCENTRIC_X - PLUNGER_X,
        "suction_share": _SUCTION_ARM / _PIN_TO_FULCRUM,
        "spill_share": _SPILL_SHARE,
        "delivery_lift": DELIVERY_LIFT,
        "plunger_deg_per_mm": PLUNGER_DEG_PER_MM,
        "valve_deg_per_mm": VALVE_DEG_PER_MM,
        "eccentric": [[round(value, 2) for value in eccentric(index)] for index in range(INDEX_STEPS + 1)],
    }


# ---------------------------------------------------------------- words of the drawing


def group(part: str, at: dict[str, str], *children: object, **more: object) -> Markup:
    """A part that moves, where it stands."""
    return element("g", {"data-part": part, "transform": at[part], **more}, *children)


def _shape(kind: str, d: str, **more: object) -> Markup:
    return element("path", {"class": f"sm-{kind}", "d": d, **more})


def _box(kind: str, left: float, top: float, right: float, bottom: float, **more: object) -> Markup:
    return _shape(kind, f"M{left:g} {top:g}H{right:g}V{bottom:g}H{left:g}z", **more)


def _circle(kind: str, x: float, y: float, r: float) -> Markup:
    return element("circle", {"class": f"sm-{kind}", "cx": x, "cy": y, "r": r})


def patterns(name: str) -> Markup:
    """The patterns of a picture; `name` keeps those of several pictures on one page apart."""

    def pattern(kind: str, size: int, d: str, turn: int = 0) -> Markup:
        return element(
            "pattern",
            {
                "id": f"{name}-{kind}",
                "width": size,
                "height": size,
                "patternUnits": "userSpaceOnUse",
                "patternTransform": f"rotate({turn})",
            },
            element("path", {"class": f"sm-{kind}", "d": d}),
        )

    return element(
        "defs",
        None,
        pattern("cut", 6, "M0 0V6", 45),
        pattern("open", 10, "M1 3h4M6 8h4"),
        pattern("pressed", 5, "M0 0V5M0 0H5", 45),
        pattern("spilling", 8, "M0 2h2M4 6h2", 45),
    )


def label(x: float, y: float, words: str, *to: tuple[float, float], anchor: str = "start") -> Markup:
    """A name beside a part, with a thin line to each place where the part is; the lines start at the name's near edge."""
    half = 3.05 * len(words)
    middle = x + (half if anchor == "start" else -half if anchor == "end" else 0.0)
    lines = []
    for to_x, to_y in to:
        if to_y < y - 14.0 or to_y > y + 6.0:
            from_x, from_y = middle, y - 11.0 if to_y < y else y + 4.0
        else:
            from_x, from_y = middle + (half + 3.0) * (1.0 if to_x > middle else -1.0), y - 4.0
        lines.append(_shape("leader", f"M{from_x:.1f} {from_y:.1f}L{to_x:g} {to_y:g}"))
        lines.append(_circle("leader-end", to_x, to_y, 1.8))
    return joined(lines, text(x, y, words, anchor, **{"class": "sm-name"}))


# ---------------------------------------------------------------- the pump


_CHAMBER = "M50 172H274V205H230V190H200V256H160V190H94V205H50z"


def body(name: str) -> Markup:
    """The fixed metal, cut open, with everything hollow in it."""
    cut = {"fill": f"url(#{name}-cut)"}
    housing = "M20 150H158V104H202V150H340V270H216V312H144V270H20z"
    hollows = (
        "M60 205H84V235H20V213H60z",
        "M240 205H264V213H340V235H240z",
        "M172 172V146H164V112H175V64H185V112H196V146H188V172z",
        # Where the valve gauges reach the valves, and where the stems go out.
        "M67 150H77V172H67z",
        "M247 150H257V172H247z",
        "M68 235H76V270H68z",
        "M248 235H256V270H248z",
        "M160 250H200V312H160z",
    )
    return joined(
        _shape("ground", housing),
        _shape("fixed", housing, **cut),
        [_shape("hollow", d) for d in hollows],
        _shape("hollow", _CHAMBER),
    )


def fuel(name: str, place: Place, setting: Setting) -> Markup:
    """The pressure chamber's state as a pattern, and arrows where fuel goes."""
    cam = cam_angle(place, setting)
    arrows = {1: "M0 0H26M19 -5L27 0L19 5", -1: "M27 0H1M8 -5L0 0L8 5"}
    way = flow(cam)
    states = ((SUCTION, "open"), (BOTH, "open"), (DELIVERING, "pressed"), (SPILL, "spilling"), (CLOSED, ""))
    return joined(
        [
            _shape(f"when sm-when-{state}", _CHAMBER, fill=f"url(#{name}-{kind})" if kind else "none")
            for state, kind in states
            if kind
        ],
        element(
            "g",
            {"data-part": "flow", "data-way": way},
            *(
                element(
                    "g",
                    {"class": f"sm-flow sm-flow-{valve}", "transform": f"translate({x:g} 224)"},
                    *(_shape(f"arrow sm-way-{'out' if direction > 0 else 'in'}", d) for direction, d in pair),
                )
                for valve, x, pair in (
                    ("suction", 27.0, ((1, arrows[-1]), (-1, arrows[1]))),
                    ("spill", 306.0, ((1, arrows[1]), (-1, arrows[-1]))),
                )
            ),
            element(
                "g",
                {"class": "sm-flow sm-flow-delivery", "transform": "translate(180 104) rotate(-90)"},
                _shape("arrow sm-way-out", arrows[1]),
            ),
        ),
    )


def _valve(x: float) -> Markup:
    """A valve that a rod from below lifts off its seat."""
    return joined(
        _box("moving", x - 3.0, 204.0, x + 3.0, STEM_Y),
        _shape("moving", f"M{x - 17:g} 194H{x + 17:g}V199L{x + 12:g} 205H{x - 12:g}L{x - 17:g} 199z"),
        _box("moving", x - 7.0, STEM_Y - 5.0, x + 7.0, STEM_Y),
    )


def valves(at: dict[str, str]) -> Markup:
    """Suction, spill and delivery valve."""
    return joined(
        group("suction-valve", at, _valve(SUCTION_X)),
        group("spill-valve", at, _valve(SPILL_X)),
        group("delivery-valve", at, _shape("moving", "M168 136H192V141L186 147H174L168 141z")),
    )


def _rod_head(x: float) -> Markup:
    return joined(_box("moving", x - 3.0, STEM_Y + 4.0, x + 3.0, 352.0), _box("moving", x - 7.0, STEM_Y, x + 7.0, STEM_Y + 6.0))


def _rod_foot(x: float, y: float) -> Markup:
    return joined(_box("moving", x - 5.0, y - 50.0, x + 5.0, y), _box("moving", x - 8.0, y - 56.0, x + 8.0, y - 47.0))


_SUCTION_END_Y = LEVEL_Y - _SUCTION_ARM / _PIN_TO_FULCRUM * LEVEL_MM  # The suction rocker's end at lift 0.


def rods(at: dict[str, str]) -> Markup:
    """Both push rods: a foot that follows the rocker, and a head that screws into it."""
    return joined(
        group("suction-rod", at, _rod_head(SUCTION_X)),
        group("suction-rod-foot", at, _rod_foot(SUCTION_X, _SUCTION_END_Y)),
        group("spill-rod", at, _rod_head(SPILL_X)),
        group("spill-rod-foot", at, _rod_foot(SPILL_X, LEVEL_Y)),
    )


def _bar_shape(left: float, right: float) -> Markup:
    return _shape("moving", f"M{left:g} -6H{right:g}A6 6 0 0 1 {right:g} 6H{left:g}A6 6 0 0 1 {left:g} -6z")


def rockers(at: dict[str, str]) -> Markup:
    """Both rockers as level bars, tilted where they stand. They lie in the plunger drive's pin."""
    return joined(
        group("suction-rocker", at, _bar_shape(SUCTION_X - 3.0, PLUNGER_X + 3.0)),
        group("spill-rocker", at, _bar_shape(PLUNGER_X - 3.0, ECCENTRIC_X)),
    )


def fulcrum(name: str) -> Markup:
    """The suction rocker's fixed fulcrum."""
    x, y = FULCRUM_X, LEVEL_Y
    return joined(
        _shape("fixed", f"M{x:g} {y:g}L{x + 13:g} {y + 24:g}H{x - 13:g}z"),
        _box("fixed", x - 18.0, y + 24.0, x + 18.0, y + 31.0, fill=f"url(#{name}-cut)"),
        _circle("pin", x, y, 4.0),
    )


def rod_pins(at: dict[str, str]) -> Markup:
    """The pins between push rods and rockers."""
    return joined(
        group("suction-rod-foot", at, _circle("pin", SUCTION_X, _SUCTION_END_Y, 3.5)),
        group("spill-rod-foot", at, _circle("pin", SPILL_X, LEVEL_Y, 3.5)),
    )


def spill_side(at: dict[str, str]) -> Markup:
    """Valve stem, push rod, rocker and fulcrum of the spill side alone."""
    stem = joined(
        _box("moving", SPILL_X - 3.0, STEM_Y - 30.0, SPILL_X + 3.0, STEM_Y),
        _box("moving", SPILL_X - 7.0, STEM_Y - 5.0, SPILL_X + 7.0, STEM_Y),
    )
    return joined(
        group("spill-valve", at, stem),
        group("spill-rod", at, _rod_head(SPILL_X)),
        group("spill-rod-foot", at, _rod_foot(SPILL_X, LEVEL_Y)),
        group("spill-rocker", at, _bar_shape(PLUNGER_X - 3.0, ECCENTRIC_X)),
        group("spill-rod-foot", at, _circle("pin", SPILL_X, LEVEL_Y, 3.5)),
        spill_fulcrum(at),
    )


def index_scale() -> Markup:
    """The scale that the index lever points to, a mark for each whole index."""
    marks, numbers = [], []
    for index in range(0, INDEX_STEPS + 1, 10):
        angle = radians(eccentric(index)[0])
        x, y = cos(angle), sin(angle)
        marks.append(f"M{SHAFT_X + (LEVER - 4) * x:.1f} {LEVEL_Y + (LEVER - 4) * y:.1f}l{5 * x:.1f} {5 * y:.1f}")
        if index % 20 == 0:
            place = SHAFT_X + (LEVER + 6) * x - 2.0, LEVEL_Y + (LEVER + 6) * y + 4.0
            numbers.append(text(*place, f"{index // 10}", **{"class": "sm-number"}))
    return joined(_shape("scale", "".join(marks)), numbers)


def spill_fulcrum(at: dict[str, str]) -> Markup:
    """The eccentric on its shaft with the index lever, and the strap in which the spill rocker ends."""
    return joined(
        group("strap", at, _circle("moving", 0.0, 0.0, DISC + 5.0)),
        element(
            "g",
            {"transform": f"translate({SHAFT_X:g} {LEVEL_Y:g})"},
            group(
                "eccentric",
                at,
                _circle("disc", THROW, 0.0, DISC),
                _shape("lever", f"M0 0H{LEVER - 8:g}"),
                _shape("pointer", f"M{LEVER - 5:g} 0l-9 -4v8z"),
            ),
            _circle("fixed-pin", 0.0, 0.0, 5.0),
        ),
    )


def drive(at: dict[str, str], gauge: bool = True) -> Markup:
    """Plunger, roller guide and roller; with the arm that the plunger gauge feels."""
    x, roller_y = PLUNGER_X, CAM_Y - CAM_BASE - ROLLER
    arm = _shape("arm", f"M{x - 18:g} {roller_y - 4:g}V{roller_y + 12:g}H{PLUNGER_GAUGE[0] - 7:g}")
    return group(
        "drive",
        at,
        arm if gauge else None,
        _box("moving", x - 6.0, 344.0, x + 6.0, PIN_Y - 12.0),
        _box("moving", x - 19.0, PLUNGER_TOP_Y, x + 19.0, 346.0),
        _box("moving", x - 24.0, PIN_Y - 20.0, x + 24.0, roller_y + 2.0),
    )


def roller(at: dict[str, str]) -> Markup:
    """The roller, before the cam, and the pin that both rockers hang on."""
    roller_y = CAM_Y - CAM_BASE - ROLLER
    return joined(
        group("drive", at, _circle("moving", PLUNGER_X, roller_y, ROLLER), _circle("pin", PLUNGER_X, roller_y, 4.0)),
    )


def drive_pin(at: dict[str, str]) -> Markup:
    """The pin of both rockers, in front of them."""
    return group("drive", at, _circle("pin", PLUNGER_X, PIN_Y, 4.0))


def _flank(cam_deg: float, beyond: float) -> tuple[float, float]:
    """A point of the cam's outline, pushed out by so much; the cam stands at TDC.

    The roller's centre runs on base circle + roller + lift; the outline lies a roller below, square to that path.
    """

    def centre(at: float) -> tuple[float, float]:
        r, turn = CAM_BASE + ROLLER + lift_law_mm(at), radians(-at)
        return r * sin(turn), -r * cos(turn)

    (x, y), (x1, y1), (x2, y2) = centre(cam_deg), centre(cam_deg - 0.01), centre(cam_deg + 0.01)
    length = hypot(x2 - x1, y2 - y1)
    inward = ROLLER - beyond
    # Along the path to the left of an observer who faces ahead lies the shaft.
    return x - inward * (y1 - y2) / length, y - inward * (x2 - x1) / length


def _line(points: Sequence[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)


def cam(at: dict[str, str], worn: bool) -> Markup:
    """The cam on its shaft; where the flank is worn, a dashed line beside it."""
    outline = _line([_flank(float(angle), 0.0) for angle in range(-180, 180, 2)]) + "z"
    beside = _line([_flank(float(angle), 3.5) for angle in range(-14, 18, 2)])
    return element(
        "g",
        {"transform": f"translate({PLUNGER_X:g} {CAM_Y:g})"},
        group(
            "cam",
            at,
            _shape("moving", outline),
            _shape("base", f"M0 {-CAM_BASE:g}A{CAM_BASE:g} {CAM_BASE:g} 0 1 1 -0.1 {-CAM_BASE:g}z"),
            _shape("worn", beside, **{"data-worn": "yes" if worn else "no"}),
            _shape("key", "M0 -22V-12"),
        ),
        _circle("fixed-pin", 0.0, 0.0, 11.0),
    )


# ---------------------------------------------------------------- gauges and flywheel


def _ring(count: int, r: float, depth: Callable[[int], float]) -> str:
    """So many marks around a dial, each as deep as it should be."""
    marks = []
    for step in range(count):
        x, y = sin(2.0 * pi * step / count), -cos(2.0 * pi * step / count)
        inner = r - depth(step)
        marks.append(f"M{inner * x:.1f} {inner * y:.1f}L{r * x:.1f} {r * y:.1f}")
    return "".join(marks)


def gauge(part: str, at: dict[str, str], centre: tuple[float, float], feeler: Markup, digits: str) -> Markup:
    """A dial gauge: a hundred marks, a needle, and its reading in digits."""
    marks = _ring(50, DIAL - 2.0, lambda step: 8.0 if step % 5 == 0 else 3.5)
    numbers = [
        text(sin(turn) * 25.0, -cos(turn) * 25.0 + 4.0, str(step), "middle", **{"class": "sm-number"})
        for step in (0, 2, 4, 6, 8)
        for turn in (radians(36.0 * step),)
    ]
    return joined(
        feeler,
        element(
            "g",
            {"transform": f"translate({centre[0]:g} {centre[1]:g})", "class": "sm-gauge"},
            _circle("dial", 0.0, 0.0, DIAL),
            _shape("scale", marks),
            numbers,
            group(f"{part}-needle", at, _shape("needle", f"M0 9L-1.6 0L0 {5 - DIAL:g}L1.6 0z")),
            _circle("pin", 0.0, 0.0, 3.0),
            text(
                0.0,
                DIAL + 15.0 if part == "plunger" else -DIAL - 8.0,
                digits,
                "middle",
                **{"class": "sm-digits", "data-shown": part},
            ),
        ),
    )


def valve_feeler(part: str, at: dict[str, str], x: float) -> Markup:
    """The rod of a valve's gauge, down on the valve."""
    return group(part, at, _box("feeler", x - 1.0, SUCTION_GAUGE[1] + DIAL, x + 1.0, 194.0))


def plunger_feeler(at: dict[str, str]) -> Markup:
    """The rod of the plunger's gauge, up to the drive's arm."""
    x = PLUNGER_GAUGE[0]
    top = CAM_Y - CAM_BASE - ROLLER + 12.0
    return group("drive", at, _box("feeler", x - 1.0, top, x + 1.0, top + 60.0))


def flywheel(at: dict[str, str], digits: str) -> Markup:
    """The flywheel's rim with a mark every ten degrees, TDC the longest, under a fixed pointer."""
    r = DIAL - 1.0
    marks = _ring(36, r, lambda step: 9.0 if step % 9 == 0 else 5.0)
    return element(
        "g",
        {"transform": f"translate({FLYWHEEL[0]:g} {FLYWHEEL[1]:g})"},
        group(
            "flywheel",
            at,
            _circle("rim", 0.0, 0.0, r),
            _shape("scale", marks),
            text(0.0, -r + 21.0, "TDC", "middle", **{"class": "sm-number"}),
            _shape("pointer", f"M0 {-r:g}l-4 9h8z"),
        ),
        _circle("pin", 0.0, 0.0, 4.0),
        _shape("pointer", f"M0 {-r - 1:g}l-5 -9h10z"),
        text(44.0, DIAL + 15.0, digits, "end", **{"class": "sm-digits", "data-shown": "flywheel"}),
        _shape(
            "ahead",
            f"M{-r:.1f} {-0.6 * r:.1f}A{1.16 * r:.1f} {1.16 * r:.1f} 0 0 1 {-0.5 * r:.1f} {-1.05 * r:.1f}l-7 0m7 0l-3 6",
        ),
        text(-27.0, -r - 11.0, "ahead", "middle", **{"class": "sm-name"}),
    )
