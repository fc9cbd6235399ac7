"""As left compared with as found: was each rod turned the right way, at all, and by the right amount?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, log, sqrt

from calc.findings import RodCorrection
from calc.job.model import AS_FOUND, AS_LEFT, AT_CONTACT
from calc.judge.event import JudgedEvent
from calc.judge.seen import FAULT, MISTAKE, ROD, SOUND
from calc.judge.settings import Settings
from calc.judge.suspect_unit import HONEST, Explanation
from calc.judge.unit import EVENT_OF, JudgedUnit
from calc.measure.conformity import WITHIN
from calc.measure.evidence import log_either, log_normal
from calc.pump import mistakes
from calc.pump.correction import FLAT_STEP, rod_per_flat
from calc.pump.mistakes import NOT_MOVED, RATIO_INVERTED, THREAD_TYPE, WRONG_WAY

PARTLY = 0.1  # How often a rod is corrected in part, by anything up to nine tenths.
PARTLY_MOST = 0.9
TELL_APART = 4.0  # A remainder nearer to 0 than so many standard uncertainties tells nothing.
LONE, JOINT = (WRONG_WAY, NOT_MOVED), (WRONG_WAY, NOT_MOVED, THREAD_TYPE, RATIO_INVERTED)
IN_STEP = 0.9  # Share of the rods that a mistake of the whole job is taken to have met.


@dataclass(frozen=True, slots=True)
class Turned:
    """A rod that was to be corrected: what it was off by, what it is off by now [mm], and their standard uncertainties."""

    unit: int
    event: str
    found: float
    left: float
    u_found: float
    u_left: float
    ratio: float
    contact: bool
    hand_mm: float
    sound: float
    fault: float

    @property
    def log_honest(self) -> float:
        """Log density of what is left after an honest correction: none, a fault of its own, or part of the old one."""
        sound = self.u_left**2 + self.sound**2 + self.hand_mm**2
        whole = log_either(log_normal(self.left, sound), log_normal(self.left, sound + self.fault**2), ROD)
        share = self.left / self.found
        if not 0.0 < share < PARTLY_MOST:
            return whole
        return log_either(whole, -log(PARTLY_MOST * abs(self.found)), PARTLY)

    def spread(self, share: float) -> float:
        """Standard deviation of what is left where a mistake leaves this share [mm]."""
        return sqrt(self.u_left**2 + (share * self.u_found) ** 2 + ((1.0 - share) * self.hand_mm) ** 2)

    def log_left(self, code: str, left_right: bool) -> float | None:
        """Log density of what is left under a mistake; None where that is too near a landed correction to be told."""
        share = mistakes.left_share(code, self.ratio, left_right)
        spread = self.spread(share)
        if abs(share * self.found) < TELL_APART * spread or (code == RATIO_INVERTED and not self.contact):
            return None
        return log_normal(self.left - share * self.found, spread**2)


def turned_rods(units: Sequence[JudgedUnit], settings: Settings) -> list[Turned]:
    """Every rod that was to be corrected and has been read again."""
    left = {unit.number: unit for unit in units if unit.stage == AS_LEFT}
    if not left:
        return []
    found = []
    for unit in units:
        again = left.get(unit.number)
        if unit.stage != AS_FOUND or again is None or unit.suspicions:
            continue
        if all(each.finding.verdict == WITHIN for each in unit.events.values()):
            continue  # It was to be left alone.
        for each in unit.corrections:
            if isinstance(each, RodCorrection) and EVENT_OF[each.part] in again.events:
                found.append(_turned(unit.events[EVENT_OF[each.part]], again.events[EVENT_OF[each.part]], unit, settings))
    return found


def _turned(before: JudgedEvent, after: JudgedEvent, unit: JudgedUnit, settings: Settings) -> Turned:
    event = before.event
    scale = settings.tolerance_deg * unit.settings.flank[event].slope
    hand = 0.0 if settings.pitch_mm is None else rod_per_flat(settings.pitch_mm) * FLAT_STEP / before.ratio / sqrt(12.0)
    return Turned(
        unit=unit.number,
        event=event,
        found=before.lift_error_mm,
        left=after.lift_error_mm,
        u_found=before.finding.u_lift_mm,
        u_left=after.finding.u_lift_mm,
        ratio=before.ratio,
        contact=before.placed.reading.method == AT_CONTACT == after.placed.reading.method,
        hand_mm=hand,
        sound=SOUND * scale,
        fault=FAULT * scale,
    )


def joint(rods: Sequence[Turned], settings: Settings, left_right: bool) -> list[tuple[Explanation, list[Turned]]]:
    """Mistakes that meet two and more rods alike, each with those rods, and the honest explanation of all of them."""
    if len(rods) < 2:
        return []
    honest = [rod.log_honest for rod in rods]
    found = [(Explanation(HONEST, (), fsum(honest)), list(rods))]
    for code in JOINT:
        if code == THREAD_TYPE and settings.pitch_mm is None:
            continue
        fits = [rod.log_left(code, left_right) for rod in rods]
        agree = [fit is not None and fit > plain for fit, plain in zip(fits, honest, strict=True)]
        if sum(agree) < 2:
            continue
        weight = log(MISTAKE)
        for fit, plain in zip(fits, honest, strict=True):
            weight += plain if fit is None else log_either(plain, fit, IN_STEP)
        touched = [rod for rod, yes in zip(rods, agree, strict=True) if yes]
        found.append((Explanation(code, (), weight), touched))
    return found


def alone(rod: Turned, left_right: bool) -> list[Explanation]:
    """Mistakes with one rod, and the honest explanation."""
    found = [Explanation(HONEST, (), rod.log_honest)]
    for code in LONE:
        fit = rod.log_left(code, left_right)
        if fit is not None:
            found.append(Explanation(code, (rod.event,), log(MISTAKE) + fit, rod.left, "mm"))
    return found
