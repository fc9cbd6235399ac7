"""The pictures of the principles pages, and the skeleton that the moving model moves, from the parts of `mechanism`."""

from __future__ import annotations

from calc.moving.controls import WORDS, angle_said, described, hundredths
from calc.moving.pump import REFERENCE, Place, Setting, cam_angle, chamber, plunger, shown
from calc.show import mechanism as parts
from calc.show.draw import text
from calc.show.markup import Markup, element

_START = Place(-650)  # Just before the start of delivery: everything is about to happen.


def _svg(name: str, box: str, title: str, description: str, state: str, *shapes: object) -> Markup:
    return element(
        "svg",
        {
            "class": f"sm-mechanism sm-{name}",
            "viewBox": box,
            "role": "img",
            "aria-labelledby": f"{name}-title {name}-desc",
            "font-size": "12",
            "font-family": "inherit",
            "data-chamber": state,
        },
        element("title", {"id": f"{name}-title"}, title),
        element("desc", {"id": f"{name}-desc"}, description),
        parts.patterns(name),
        *shapes,
    )


def _state(place: Place, setting: Setting) -> str:
    return chamber(plunger(place, setting), cam_angle(place, setting), setting)


def moving(place: Place = _START, setting: Setting = REFERENCE) -> Markup:
    """The whole pump with its gauges: what the moving model moves."""
    name, at, now = "model", parts.transforms(place, setting), shown(place, setting)
    return _svg(
        name,
        f"0 0 {parts.WIDTH:g} {parts.HEIGHT:g}",
        "Valve-controlled injection pump, cut open, with dial gauges and flywheel",
        described(place, setting),
        now.chamber,
        parts.body(name),
        parts.fuel(name, place, setting),
        parts.gauge(
            "suction",
            at,
            parts.SUCTION_GAUGE,
            parts.valve_feeler("suction-valve", at, parts.SUCTION_X),
            f"{hundredths(now.suction)} mm",
        ),
        parts.gauge(
            "spill", at, parts.SPILL_GAUGE, parts.valve_feeler("spill-valve", at, parts.SPILL_X), f"{hundredths(now.spill)} mm"
        ),
        parts.drive(at),
        parts.valves(at),
        parts.rods(at),
        parts.index_scale(),
        parts.rockers(at),
        parts.rod_pins(at),
        parts.fulcrum(name),
        parts.spill_fulcrum(at),
        parts.cam(at, setting.wear > 0),
        parts.roller(at),
        parts.drive_pin(at),
        parts.gauge("plunger", at, parts.PLUNGER_GAUGE, parts.plunger_feeler(at), f"{hundredths(now.plunger)} mm"),
        parts.flywheel(at, angle_said(place.flywheel, short=True)),
        text(parts.SUCTION_X, 14.0, "Suction valve", "middle", **{"class": "sm-name"}),
        text(parts.SPILL_X, 14.0, "Spill valve", "middle", **{"class": "sm-name"}),
        text(parts.PLUNGER_GAUGE[0], 494.0, "Plunger", "middle", **{"class": "sm-name"}),
        text(356.0, 126.0, "Chamber", "end", **{"class": "sm-name"}),
        text(356.0, 142.0, WORDS[now.chamber], "end", **{"class": "sm-digits", "data-shown": "chamber"}),
        text(354.0, 340.0, "Fuel index", "end", **{"class": "sm-name"}),
        text(354.0, 326.0, hundredths(10 * setting.index, 1), "end", **{"class": "sm-digits", "data-shown": "index"}),
    )


def pump_cut_open() -> Markup:
    """Valves, plunger and pressure chamber, just before delivery starts."""
    name, place = "pump-cut-open", Place(-1000)
    at = parts.transforms(place, REFERENCE)
    return _svg(
        name,
        "0 52 360 300",
        "The pump cut open",
        "A plunger rises in a barrel. Above it lies the pressure chamber. The suction valve on the left and the spill valve on "
        "the right open into the chamber, lifted from below by push rods. The delivery valve is at the top. "
        + described(place, REFERENCE),
        _state(place, REFERENCE),
        parts.body(name),
        parts.fuel(name, place, REFERENCE),
        parts.drive(at, gauge=False),
        parts.valves(at),
        parts.rods(at),
        parts.label(12.0, 140.0, "suction valve", (64.0, 190.0)),
        parts.label(348.0, 140.0, "spill valve", (260.0, 196.0), anchor="end"),
        parts.label(214.0, 120.0, "delivery valve", (186.0, 141.0)),
        parts.label(194.0, 76.0, "to the injector"),
        parts.label(50.0, 114.0, "pressure chamber", (122.0, 181.0)),
        parts.label(206.0, 334.0, "plunger", (190.0, 290.0)),
        parts.label(24.0, 262.0, "fuel", (34.0, 226.0)),
        parts.label(336.0, 262.0, "fuel", (326.0, 226.0), anchor="end"),
        parts.label(62.0, 332.0, "push rod", (72.0, 316.0), anchor="end"),
        parts.label(262.0, 344.0, "push rod", (252.0, 322.0)),
    )


def rockers_and_rods() -> Markup:
    """Plunger drive, both rockers and push rods, halfway up the flank."""
    name, place = "rockers-and-rods", Place(300)
    at = parts.transforms(place, REFERENCE)
    return _svg(
        name,
        "0 276 360 302",
        "Rockers and push rods",
        "The cam lifts the roller and the plunger drive. The drive lifts one end of both rockers. The suction rocker has its "
        "fulcrum in the middle, so its push rod sinks as the plunger rises. The spill rocker turns about an eccentric at its "
        "far end, so its push rod rises. " + described(place, REFERENCE),
        _state(place, REFERENCE),
        parts.drive(at, gauge=False),
        parts.valves(at),
        parts.rods(at),
        parts.index_scale(),
        parts.rockers(at),
        parts.rod_pins(at),
        parts.fulcrum(name),
        parts.spill_fulcrum(at),
        parts.cam(at, False),
        parts.roller(at),
        parts.drive_pin(at),
        parts.label(60.0, 340.0, "push rod", (70.0, 352.0), anchor="end"),
        parts.label(264.0, 322.0, "push rod", (255.0, 330.0)),
        parts.label(88.0, 296.0, "valve stem", (76.0, 291.0)),
        parts.label(268.0, 296.0, "valve stem", (256.0, 291.0)),
        parts.label(88.0, 376.0, "rocker", (96.0, 406.0)),
        parts.label(204.0, 376.0, "rocker", (222.0, 399.0)),
        parts.label(76.0, 456.0, "fulcrum", (112.0, 424.0)),
        parts.label(354.0, 480.0, "eccentric fulcrum", (304.0, 412.0), anchor="end"),
        parts.label(232.0, 548.0, "cam", (206.0, 536.0)),
        parts.label(92.0, 486.0, "roller", (172.0, 446.0), anchor="end"),
        parts.label(150.0, 336.0, "plunger", (178.0, 356.0), anchor="end"),
    )


def eccentric_index() -> Markup:
    """The spill side at two fuel indices, plunger at the same lift."""
    name, place = "eccentric-index", Place(300)
    low, high = Setting(index=30), Setting(index=70)

    at, lower = parts.transforms(place, high), parts.transforms(place, low)
    enlarged = {"transform": "scale(1.7) translate(-148 -276)"}
    return _svg(
        name,
        "0 0 360 300",
        "The fuel index turns an eccentric",
        "The spill rocker at two fuel indices, with the plunger at the same lift. Solid lines: index 7. The fulcrum is low, a "
        "gap is left between push rod and valve stem, and the valve opens later. Dashed lines: index 3. The fulcrum is high, "
        "the push rod is higher, and the valve opens earlier.",
        _state(place, high),
        element(
            "g",
            enlarged,
            element("g", None, parts.spill_side(at)),
            element("g", {"class": "sm-ghost"}, parts.spill_side(lower)),
            parts.drive_pin(at),
        ),
        parts.label(12.0, 150.0, "plunger drive", (54.0, 222.0)),
        parts.label(80.0, 22.0, "valve stem", (172.0, 20.0)),
        parts.label(206.0, 36.0, "gap at index 7", (181.0, 39.0)),
        parts.label(76.0, 100.0, "push rod", (172.0, 96.0)),
        parts.label(66.0, 274.0, "rocker", (112.0, 228.0)),
        parts.label(226.0, 104.0, "index 3, dashed:"),
        parts.label(226.0, 120.0, "opens earlier", (322.0, 190.0)),
        parts.label(232.0, 286.0, "index 7: opens later", (304.0, 264.0)),
    )


def figure(svg: Markup, caption: str) -> Markup:
    """A picture as a page includes it."""
    return element("figure", {"class": "sm-figure"}, svg, element("figcaption", None, caption))


def files() -> dict[str, str]:
    """The pictures that pages include: path below the folder for generated files, and the markup."""
    schematic = "Schematic, drawn for this project."
    pictures = {
        "pump-cut-open": (pump_cut_open(), f"The pump cut open, 10° before TDC. The valve springs are out. {schematic}"),
        "rockers-and-rods": (rockers_and_rods(), f"Rockers and push rods, 3° after TDC: both valves are shut. {schematic}"),
        "eccentric-index": (
            eccentric_index(),
            f"The eccentric fulcrum at index 7 (solid) and index 3 (dashed), the plunger at the same lift. {schematic}",
        ),
    }
    return {f"pictures/{name}.html": figure(svg, caption) + "\n" for name, (svg, caption) in pictures.items()}
