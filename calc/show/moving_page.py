"""The moving model's page: its controls, its table for the browser, and what to look for, with figures from the model."""

from __future__ import annotations

import json
from itertools import pairwise

from calc.moving import cam, pump
from calc.moving.controls import (
    CONTROLS,
    CRANK_HIGH_DEG,
    CRANK_LOW_DEG,
    WORDS,
    Control,
    angle_said,
    described,
    descriptions,
    hundredths,
    lift_digits,
    made,
    said,
)
from calc.moving.pump import FIFTHS, REFERENCE, Place, Setting, events, opening_at_index_0, shown
from calc.show import mechanism_pictures
from calc.show.markup import Markup, element
from calc.show.mechanism import scene

START = Place(-650)  # Just before the start of delivery.
_TURNS = (-500, -50, 1, 10, 50, 500)
_MADE = {
    "start": "Start of delivery",
    "end": "End of delivery",
    "stroke": "Effective stroke",
    "delivery": "Delivery angle",
    "opening": "Opening of the spill valve at index 0",
}


def files() -> dict[str, str]:
    """Every generated file of the model: path below the folder for generated files, and its text."""
    return {
        **mechanism_pictures.files(),
        "pictures/model.html": str(model()) + "\n",
        "model.json": json.dumps(table(), ensure_ascii=False, separators=(",", ":")) + "\n",
        "model-settings.md": settings(),
        "model-tasks.md": tasks(),
    }


def table() -> dict[str, object]:
    """All that the browser reads: the cam by tenths of a degree, and the whole numbers that it adds to it."""
    lifted = range(cam.RISE_ROWS[0], -(-cam.FALLING[1] // cam.ROW) + 1)
    worn = [row for row in cam.RISE_ROWS if cam.WORN[row]]
    return {
        "lift_from": lifted[0],
        "bends": _second_differences([cam.LIFTS[row] for row in lifted]),
        "worn_from": worn[0],
        "worn": [cam.WORN[row] for row in range(worn[0], worn[-1] + 1)],
        "rise": [cam.RISE_ROWS[0], cam.RISE_ROWS[-1]],
        "rising": list(cam.RISING),
        "falling": list(cam.FALLING),
        "row": cam.ROW,
        "per_turn": cam.PER_TURN,
        "per_mm": cam.PER_MM,
        "per_deg": cam.PER_DEG,
        "fifths": FIFTHS,
        "suction_fifths": pump.SUCTION_FIFTHS,
        "spill_fifths": pump.SPILL_FIFTHS,
        "seat": pump.SEAT,
        "seat_digits": lift_digits(pump.SEAT),
        "pre_stroke": pump.PRE_STROKE,
        "spill_lifts": [pump.spill_lift(index) for index in range(pump.INDEX_STEPS + 1)],
        "start": START.flywheel,
        "crank": [CRANK_LOW_DEG, CRANK_HIGH_DEG],
        "controls": descriptions(),
        "words": WORDS,
        "scene": scene(),
    }


def _second_differences(values: list[int]) -> list[int]:
    """By how much each step differs from the step before; adding up twice gives the values back. A third of the letters."""
    steps = [here - before for before, here in pairwise([0, *values])]
    return [here - before for before, here in pairwise([0, *steps])]


def model() -> Markup:
    """The model with its controls, standing at its start; a script moves it."""
    return element(
        "div",
        {"id": "model", "class": "mo"},
        element("div", {"class": "mo-picture"}, mechanism_pictures.moving(START, REFERENCE)),
        element("div", {"class": "mo-crank"}, _crank(), _turning()),
        element(
            "div",
            {"class": "mo-side"},
            element("p", {"id": "model-says", "class": "mo-says", "role": "status"}, described(START, REFERENCE)),
            element("p", {"id": "model-note", "class": "mo-note", "role": "status"}),
            [_slider(control) for control in CONTROLS],
            element("p", None, element("button", {"type": "button", "id": "model-reset"}, "Back to the reference")),
            element(
                "details",
                {"id": "model-made"},
                element("summary", None, "What this setting makes"),
                element(
                    "table",
                    {"class": "mo-made"},
                    [
                        element(
                            "tr",
                            None,
                            element("th", {"scope": "row"}, label),
                            element("td", {"data-made": name}, made(REFERENCE)[name]),
                        )
                        for name, label in _MADE.items()
                    ],
                ),
            ),
        ),
    )


def _crank() -> Markup:
    return element(
        "div",
        {"class": "mo-control"},
        element("label", {"for": "model-angle"}, "Flywheel"),
        element("output", {"for": "model-angle", "data-said": "angle"}, angle_said(START.flywheel)),
        element(
            "input",
            {
                "type": "range",
                "id": "model-angle",
                "min": CRANK_LOW_DEG,
                "max": CRANK_HIGH_DEG,
                "step": "0.01",
                "value": hundredths_plain(START.flywheel),
                "aria-valuetext": angle_said(START.flywheel),
                "aria-describedby": "model-keys",
            },
        ),
    )


def hundredths_plain(value: int) -> str:
    """A number of hundredths as a program reads it.

    >>> hundredths_plain(-650)
    '-6.50'
    """
    return f"{'-' if value < 0 else ''}{hundredths(value)}"


def _turning() -> Markup:
    """The buttons that turn: astern, play, ahead."""

    def turn(by: int) -> Markup:
        size = hundredths(by).rstrip("0").rstrip(".")
        way = "ahead" if by > 0 else "astern"
        sign = "+" if by > 0 else "−"
        return element("button", {"type": "button", "data-turn": by, "aria-label": f"Turn {way} {size}°"}, f"{sign}{size}°")

    play = element("button", {"type": "button", "id": "model-run"}, "Play")
    buttons = [turn(by) for by in _TURNS]
    return element(
        "div",
        {"class": "mo-turning", "role": "group", "aria-label": "Turn the flywheel"},
        *buttons[:2],
        play,
        *buttons[2:],
    )


def _slider(control: Control) -> Markup:
    at = getattr(REFERENCE, control.name)
    return element(
        "div",
        {"class": "mo-control"},
        element("label", {"for": f"model-{control.name}"}, control.label),
        element("output", {"for": f"model-{control.name}", "data-said": control.name}, said(control, at)),
        element(
            "input",
            {
                "type": "range",
                "id": f"model-{control.name}",
                "min": control.low,
                "max": control.high,
                "step": control.step,
                "value": at,
                "aria-valuetext": said(control, at),
            },
        ),
    )


def settings() -> str:
    """The model's reference settings and its limits, as Markdown."""
    reference = events(REFERENCE)
    ratios = (f"{fifths / FIFTHS:g}" for fifths in (pump.SUCTION_FIFTHS, pump.SPILL_FIFTHS))
    rows = (
        ("Start of delivery", made(REFERENCE)["start"]),
        ("End of delivery", made(REFERENCE)["end"]),
        ("Fuel index of these settings", said(CONTROLS[0], REFERENCE.index)),
        ("Seat-contact reading", f"{hundredths(lift_digits(pump.SEAT))} mm"),
        ("Valve ratio, suction and spill", " and ".join(ratios)),
        ("Peak lift of the cam", f"{cam.PEAK_MM:.2f} mm"),
        ("Opening of the spill valve at index 0", made(REFERENCE)["opening"]),
        ("Delivery angle", f"{hundredths(reference.delivery)}°"),
    )
    return "\n".join(["| Setting of the model | Value |", "|---|---|", *(f"| {name} | {value} |" for name, value in rows), ""])


def _link(words: str, angle: int, **state: str) -> str:
    query = "&".join(f"{key}={value}" for key, value in {"angle": hundredths_plain(angle), **state}.items())
    return f"[{words}](model.md?{query})"


def _mm(value: int) -> str:
    return f"{hundredths(value)} mm"


def tasks() -> str:
    """What to look for, as Markdown; every figure is the model's own."""
    seat = _mm(lift_digits(pump.SEAT))
    start, end = events(REFERENCE).start, events(REFERENCE).end
    ahead, astern = (shown(Place(start, slack), REFERENCE).plunger for slack in (0, 10 * REFERENCE.play))
    longer, more, both_short = Setting(suction=40), made(Setting(index=70)), Setting(index=0, suction=-100, spill=-100)
    worn, usual = made(Setting(wear=10)), made(REFERENCE)
    nothing_at = max(index for index in range(pump.INDEX_STEPS + 1) if not events(Setting(index=index)).stroke)
    listed = (
        (
            "Find the start",
            f"{_link('Stand at 10° before TDC', -1000)}. Turn ahead in small steps. Stop when the suction valve's gauge shows "
            f"the seat-contact reading, {seat}. Read the plunger gauge and the flywheel: {usual['start']}.",
        ),
        (
            "Find the end",
            f"{_link('Stand at TDC', 0)}. Turn ahead until the spill valve's gauge shows {seat}: {usual['end']}. Delivery has "
            "ended, although the plunger still rises.",
        ),
        (
            "A gauge at 0 tells nothing",
            f"{_link('Stand at TDC', 0)}, then {_link('at 20° after TDC', 2000)}. The suction valve's gauge shows 0.00 mm at "
            "both. Only the gap between push rod and valve has grown.",
        ),
        (
            "Ahead only",
            f"{_link('Reach the start ahead', start, turned='ahead')}: the plunger gauge shows {_mm(ahead)}. "
            f"{_link('Reach the same angle astern', start, turned='astern')}: it shows {_mm(astern)}. The play in the drive "
            "makes the difference. Now turn ahead: first nothing moves.",
        ),
        (
            "A longer rod",
            f"{_link('Lengthen the suction push rod by 0.40 mm', start, suction='0.40')}. The valve is still open "
            f"{_mm(shown(Place(start), longer).suction)}. Turn ahead until it closes: {made(longer)['start']}. Lift and angle "
            "have both moved, along the cam.",
        ),
        (
            "A late cam",
            f"{_link('Set the cam 1° late', start, cam='1.0')}. The valve closes at {made(Setting(cam=10))['start']}. The lift "
            "is the same as before; only the angle has moved. No push rod cures that.",
        ),
        (
            "The fuel index",
            f"{_link('Set index 7', end, index='7.0')}. The eccentric has lowered the fulcrum of the spill rocker. Delivery "
            f"ends at {more['end']}. It starts at {more['start']}, as before.",
        ),
        (
            "Index 0",
            f"{_link('Set index 0', start, index='0.0')}. When the suction valve closes, the spill valve is open "
            f"{usual['opening']}. Nothing is delivered up to index {hundredths(10 * nothing_at, 1)}.",
        ),
        (
            "A spoiled cut-out",
            f"{_link('Shorten both rods by 1.00 mm', events(both_short).start, index='0.0', suction='-1.00', spill='-1.00')}. "
            f"The opening at index 0 is {_mm(opening_at_index_0(both_short))}. A little shorter still, and the unit injects at "
            "index 0.",
        ),
        (
            "A worn cam",
            f"{_link('Wear the flank by 0.50 mm', start, wear='0.50')}. Delivery starts at {worn['start']} and ends at "
            f"{worn['end']}. The lifts are right and the angles late, as with a late cam.",
        ),
    )
    return "".join(f"{number}. **{title}.** {words}\n" for number, (title, words) in enumerate(listed, 1))
