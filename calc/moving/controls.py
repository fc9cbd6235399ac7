"""What a reader of the moving model can move, and how the model says what it shows.

The page's sliders, the links into the model and the browser's words all come from here, as texts with places in braces.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass

from calc.moving.cam import WEAR_STEPS
from calc.moving.pump import (
    AHEAD,
    ASTERN,
    BETWEEN,
    BOTH,
    CLOSED,
    DELIVERING,
    INDEX_STEPS,
    REFERENCE,
    SEAT,
    SPILL,
    SUCTION,
    Place,
    Setting,
    events,
    opening_at_index_0,
    shown,
    side,
)


@dataclass(frozen=True, slots=True)
class Control:
    """One slider. A value is a whole number of hundredths of what people read; `more`, `less` and `none` say it."""

    name: str
    label: str
    low: int
    high: int
    step: int
    digits: int
    more: str
    less: str
    none: str
    hundredths: int  # Hundredths of what people read in one step of the setting.


CONTROLS = (
    Control("index", "Fuel index", 0, INDEX_STEPS, 1, 1, "{n}", "", "0.0", 10),
    Control("suction", "Suction push rod", -150, 150, 5, 2, "{n} mm longer", "{n} mm shorter", "as the reference", 1),
    Control("spill", "Spill push rod", -150, 150, 5, 2, "{n} mm longer", "{n} mm shorter", "as the reference", 1),
    Control("cam", "Cam position", -30, 30, 1, 1, "{n}° late", "{n}° early", "as the reference", 10),
    Control("wear", "Wear of the cam's flank", 0, WEAR_STEPS, 1, 2, "{n} mm", "", "none", 5),
    Control("play", "Play in the drive", 0, 20, 1, 1, "{n}°", "", "none", 10),
)
CRANK_LOW_DEG, CRANK_HIGH_DEG = -180, 180

WORDS = {
    "before": "{n}° before TDC",
    "after": "{n}° after TDC",
    "tdc": "at TDC",
    "before_short": "{n}° before",
    "after_short": "{n}° after",
    "flywheel": "Flywheel {angle}",
    AHEAD: "turned ahead. Readings count.",
    BETWEEN: "inside the play. The cam stands still.",
    ASTERN: "turned astern. Readings do not count.",
    "plunger": "Plunger lift {n} mm.",
    "suction_open": "The suction valve is open {n} mm.",
    "suction_contact": "The suction valve is at contact: {n} mm.",
    "suction_seat": "The suction valve is on its seat.",
    "spill_open": "The spill valve is open {n} mm.",
    "spill_contact": "The spill valve is at contact: {n} mm.",
    "spill_seat": "The spill valve is on its seat.",
    SUCTION: "open to suction",
    BOTH: "open to both",
    DELIVERING: "delivering",
    SPILL: "spilling",
    CLOSED: "closed",
    "chamber": "The pressure chamber is {state}.",
    "lift_angle": "{n} mm, {angle}",
    "mm": "{n} mm",
    "degrees": "{n}°",
    "nothing": "nothing is delivered",
    "play": "Play",
    "pause": "Pause",
    "step": "Step 5°",
    "playing": "The engine is turned ahead. Pause to read the gauges.",
    "link_value": "The link says {name} = {found}. The model knows {name} from {low} to {high}, in steps of its slider. It "
    "stays at its reference. Mend the link, or set the slider.",
    "link_turned": "The link says turned = {found}. The model knows ahead and astern. It stands as turned ahead. Mend the "
    "link.",
    "link_name": "The link says {name}. The model knows only {names}. Mend the link.",
}


def hundredths(value: int, digits: int = 2) -> str:
    """A number of hundredths as people read it; with one digit it is whole tenths.

    >>> hundredths(-605), hundredths(25), hundredths(250, 1)
    ('6.05', '0.25', '2.5')
    """
    return f"{abs(value) // 100}.{abs(value) % 100:02d}"[: None if digits == 2 else -1]


def said(control: Control, value: int) -> str:
    """A slider's value in words.

    >>> [said(control, value) for control, value in zip(CONTROLS, (70, -25, 5, -5, 4, 10))]
    ['7.0', '0.25 mm shorter', '0.05 mm longer', '0.5° early', '0.20 mm', '1.0°']
    """
    text = control.none if value == 0 else control.more if value > 0 else control.less
    return text.replace("{n}", hundredths(value * control.hundredths, control.digits))


def angle_said(angle: int, short: bool = False) -> str:
    """A flywheel angle in words; `short` where TDC is clear. Parameters: [hundredths of a deg].

    >>> angle_said(-605), angle_said(0), angle_said(900), angle_said(900, short=True)
    ('6.05° before TDC', 'at TDC', '9.00° after TDC', '9.00° after')
    """
    if angle == 0:
        return WORDS["tdc"]
    return WORDS[("before" if angle < 0 else "after") + ("_short" if short else "")].replace("{n}", hundredths(angle))


def described(place: Place, setting: Setting) -> str:
    r"""All that the picture shows, as sentences.

    >>> print(*described(Place(-650), REFERENCE).split(". "), sep=".\n")
    Flywheel 6.50° before TDC, turned ahead.
    Readings count.
    Plunger lift 7.57 mm.
    The suction valve is open 0.39 mm.
    The spill valve is on its seat.
    The pressure chamber is open to suction.
    """
    now = shown(place, setting)
    return " ".join(
        (
            f"{WORDS['flywheel'].replace('{angle}', angle_said(place.flywheel))}, {WORDS[side(place, setting)]}",
            WORDS["plunger"].replace("{n}", hundredths(now.plunger)),
            _valve_said("suction", now.suction),
            _valve_said("spill", now.spill),
            WORDS["chamber"].replace("{state}", WORDS[now.chamber]),
        )
    )


def _valve_said(valve: str, reading: int) -> str:
    state = "seat" if reading == 0 else "contact" if reading == lift_digits(SEAT) else "open"
    return WORDS[f"{valve}_{state}"].replace("{n}", hundredths(reading))


def made(setting: Setting) -> dict[str, str]:
    """What a setting makes, in words: start, end, effective stroke, delivery angle, opening at index 0.

    >>> made(REFERENCE)["start"], made(REFERENCE)["stroke"], made(Setting(index=0))["stroke"]
    ('8.00 mm, 6.00° before TDC', '16.00 mm', 'nothing is delivered')
    """
    found = events(setting)
    return {
        "start": _event_said(found.start_lift, found.start),
        "end": _event_said(found.end_lift, found.end),
        "stroke": WORDS["mm"].replace("{n}", hundredths(lift_digits(found.stroke))) if found.stroke else WORDS["nothing"],
        "delivery": WORDS["degrees"].replace("{n}", hundredths(found.delivery)) if found.stroke else WORDS["nothing"],
        "opening": WORDS["mm"].replace("{n}", hundredths(opening_at_index_0(setting))),
    }


def _event_said(lift: int, angle: int) -> str:
    return WORDS["lift_angle"].replace("{n}", hundredths(lift_digits(lift))).replace("{angle}", angle_said(angle))


def lift_digits(lift: int) -> int:
    """A lift as a gauge shows it [hundredths of a mm]. Parameters: lift [hundred-thousandths of a mm].

    >>> lift_digits(1_006_250)
    1006
    """
    return (lift + 500) // 1000


def descriptions() -> list[dict[str, object]]:
    """The sliders as plain values, with the reference setting of each.

    >>> descriptions()[0]["name"], descriptions()[0]["reference"]
    ('index', 50)
    """
    return [{**asdict(control), "reference": getattr(REFERENCE, control.name)} for control in CONTROLS]
