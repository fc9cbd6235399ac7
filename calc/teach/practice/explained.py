"""Which pages explain what a result tells: one table, from what was lost to what to read next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from calc.teach.practice.engine import (
    ASTERN_PLAY,
    CAM,
    DIAL_TURN,
    DRIVE,
    GAUGE_ZERO,
    LINKAGE,
    POINTER,
    SPILL_ROD,
    SUCTION_ROD,
    TIMING,
    WRONG_MARK,
)


@dataclass(frozen=True, slots=True)
class Page:
    """A page of the site: what it is called, and its address from the site's root."""

    title: str
    address: str


def _lesson(number: int, title: str) -> Page:
    # This part knows none of the lessons; a test holds the titles against theirs.
    return Page(f"lesson {number}, {title}", f"learn/lesson-{number}.html")


_ANGLES = _lesson(2, "angles, signs and the flywheel")
_CONTACT = _lesson(3, "reading at contact and at reference lift")
_ROD_OR_CAM = _lesson(4, "rod or cam")
_CUT_OUT = _lesson(5, "the fuel index and cutting out")
_DOUBT = _lesson(6, "how sure is a reading")
_CORRECT = _lesson(7, "correct a unit")
_ALL_UNITS = _lesson(8, "all units together")
_MISTAKES = _lesson(9, "reading mistakes")
_FIND = _lesson(10, "find the fault")
_PLAY = Page("play, and why ahead only", "principles/backlash.html")
_DEAD_CENTRE = Page("top dead centre", "calculate/dead-centre.html")
_INDEX = Page("the fuel index", "principles/fuel-index.html")
_TOGETHER = Page("when all units are off together", "principles/rod-or-cam.html#when-all-units-are-off-together")
_GAUGES = Page("gauges", "before/gauges.html")
_AGAIN = Page("read again, as left", "before/read.html#read-again-as-left")
_TURNING = Page("turning", "before/turning.html")
_OPENING = Page("cut-out checks", "before/cut-out.html")
_ROD = Page("what each of them moves", "principles/rod-or-cam.html#what-each-of-them-moves")
_BEFORE_YOU_CORRECT = Page("correct", "before/correct.html")
_READ = Page("read", "before/read.html")

# How to tell each cause.
CAUSE: Mapping[str, tuple[Page, ...]] = {
    SUCTION_ROD: (_ROD_OR_CAM,),
    SPILL_ROD: (_ROD_OR_CAM,),
    CAM: (_ROD_OR_CAM,),
    POINTER: (_ALL_UNITS, _DEAD_CENTRE),
    DRIVE: (_ALL_UNITS, _DEAD_CENTRE),
    LINKAGE: (_TOGETHER, _INDEX),
    TIMING: (_TOGETHER,),
    GAUGE_ZERO: (_MISTAKES, _GAUGES),
    DIAL_TURN: (_MISTAKES,),
    ASTERN_PLAY: (_MISTAKES, _PLAY),
    WRONG_MARK: (_MISTAKES, _ANGLES),
}
# Which way, and how far, by the part.
WAY: Mapping[str, tuple[Page, ...]] = {
    SUCTION_ROD: (_CORRECT, _ROD),
    SPILL_ROD: (_CORRECT, _ROD),
    CAM: (_ANGLES, _ROD),
    POINTER: (_ALL_UNITS, _DEAD_CENTRE),
    DRIVE: (_ANGLES, _ALL_UNITS),
    LINKAGE: (_INDEX,),
    TIMING: (_TOGETHER,),
}
SIZE: Mapping[str, tuple[Page, ...]] = {
    SUCTION_ROD: (_CORRECT,),
    SPILL_ROD: (_CORRECT,),
    CAM: (_ROD_OR_CAM,),
    POINTER: (_ALL_UNITS, _DEAD_CENTRE),
    DRIVE: (_ALL_UNITS,),
    LINKAGE: (_INDEX, _CUT_OUT),
    TIMING: (_TOGETHER,),
}
# The rest of the work.
ORDER = (_FIND,)
NO_CORRECTION = (_BEFORE_YOU_CORRECT,)
ACCUSED = (_DOUBT, _FIND)
LEFT_ALONE = (_BEFORE_YOU_CORRECT,)
PROOF = (_AGAIN,)
CUT_OUT = (_CUT_OUT, _OPENING)
TURNING = (_TURNING,)
SAFETY = (_TURNING,)
NO_READING = (_CONTACT, _READ)


def all_pages() -> list[Page]:
    """Every page that a result can point to."""
    tables = (*CAUSE.values(), *WAY.values(), *SIZE.values())
    rest = (ORDER, NO_CORRECTION, ACCUSED, LEFT_ALONE, PROOF, CUT_OUT, TURNING, SAFETY, NO_READING)
    return list(dict.fromkeys(page for pages in (*tables, *rest) for page in pages))
