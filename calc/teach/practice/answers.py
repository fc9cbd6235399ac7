"""What the cadet answers: a cause for each unit and for all together, with the correction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from calc.job.describe import NUMBER, Field
from calc.job.entry import EntryError, understand
from calc.teach.practice.engine import (
    ASTERN_PLAY,
    CAM,
    DIAL_TURN,
    DRIVE,
    GAUGE_ZERO,
    LINKAGE,
    MISTAKES,
    OF_ALL,
    OF_UNIT,
    POINTER,
    SPILL_ROD,
    SUCTION_ROD,
    TIMING,
    WRONG_MARK,
    Engine,
    Fault,
)

WITHIN, NOTHING = "within", "nothing"
ALL = "all"

# What each cause is called, and which unit its correction has.
CAUSES = {
    WITHIN: "within: leave it alone",
    SUCTION_ROD: "suction push rod",
    SPILL_ROD: "spill push rod",
    CAM: "cam position",
    GAUGE_ZERO: "reading mistake: plunger gauge not zeroed on the base circle",
    DIAL_TURN: "reading mistake: a turn of the dial missed",
    ASTERN_PLAY: "reading mistake: reached astern",
    WRONG_MARK: "reading mistake: wrong TDC mark",
    NOTHING: "nothing",
    DRIVE: "camshaft drive",
    POINTER: "flywheel pointer",
    LINKAGE: "index linkage",
    TIMING: "timing setting",
}
FLATS, DEGREES, STEPS, MM = "flats", "°", "index steps", "mm"
MEASURE = {SUCTION_ROD: FLATS, SPILL_ROD: FLATS, CAM: DEGREES, DRIVE: DEGREES, POINTER: DEGREES, LINKAGE: STEPS, TIMING: MM}
# More of it, and less of it, in the words of its part.
WAYS = {
    SUCTION_ROD: ("longer", "shorter"),
    SPILL_ROD: ("longer", "shorter"),
    CAM: ("later", "earlier"),
    DRIVE: ("later", "earlier"),
    POINTER: ("so that it shows more", "so that it shows less"),
    LINKAGE: ("higher", "lower"),
    TIMING: ("later", "earlier"),
}


@dataclass(frozen=True, slots=True)
class Named:
    """One answer: the cause, and the correction in the measure of its part; None where there is none, or it is not clear."""

    cause: str
    amount: float | None = None
    trouble: str = ""


def causes_of(level: int, of_all: bool) -> tuple[str, ...]:
    """The causes to choose from: mistakes of another watch only where there was one."""
    if of_all:
        return (NOTHING, *OF_ALL)
    return (WITHIN, *OF_UNIT, *(MISTAKES if level == 6 else ()))


def named(typed: Mapping[str, str]) -> Named:
    """An answer from the texts `cause`, `way` (+ or -) and `amount`.

    >>> named({"cause": "spill_rod", "way": "-", "amount": "1 1/4"})
    Named(cause='spill_rod', amount=-1.25, trouble='')
    """
    cause = typed.get("cause", "")
    measure = MEASURE.get(cause)
    if measure is None:
        return Named(cause)
    text, way = typed.get("amount", "").strip(), typed.get("way", "")
    if not text or way not in ("+", "-"):
        return Named(
            cause, None, f"{CAUSES[cause].capitalize()}: choose a way and write how far, in {_measure_words(measure)}."
        )
    unit = "" if measure == STEPS else measure
    try:
        size = understand(Field("amount", NUMBER, "how far", unit=unit), text)
    except EntryError as trouble:
        return Named(cause, None, str(trouble))
    if size < 0.0:
        return Named(cause, None, f"{text} has a sign of its own. Write how far, and choose the way beside it.")
    return Named(cause, size if way == "+" else -size)


def _measure_words(measure: str) -> str:
    return "degrees" if measure == DEGREES else measure


def named_all(answers: Mapping[str, Mapping[str, str]], engine: Engine) -> dict[str, Named]:
    """All answers by key: a unit's number, or `all`. Those that were not given are left out."""
    keys = [*map(str, engine.settings), ALL]
    found = {key: named(answers[key]) for key in keys if answers.get(key, {}).get("cause")}
    return {key: each for key, each in found.items() if each.cause in CAUSES}


def right_answer(engine: Engine, fault: Fault) -> Named:
    """What the cadet should have answered to a fault."""
    if fault.part in MISTAKES:
        return Named(fault.part)
    return Named(fault.part, -fault.size / (engine.flat_mm if MEASURE[fault.part] == FLATS else 1.0))


def key_of(fault: Fault) -> str:
    """Where a fault's answer stands."""
    return ALL if fault.unit is None else str(fault.unit)
