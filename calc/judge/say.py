"""The answer in words: first what to do, then why, with number and doubt. Short sentences, second person."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from calc.findings import (
    AfterCorrection,
    CamCorrection,
    CommonPart,
    CutOut,
    LiftOff,
    RodCorrection,
    TdcCheck,
    UnitFindings,
)
from calc.job.describe import field_of
from calc.job.model import SPILL_OPENING, STAGES, SUCTION_CLOSING, VALVE_EVENTS, Job
from calc.job.words import angle_words, flats_words, late_words, listed, plain, signed, units_words
from calc.judge.cut_out_after import DANGER, WARNING, cut_out_after, worst_opening
from calc.judge.settings import Settings
from calc.judge.suspect_words import read_again
from calc.judge.unit import EVENT_OF, JudgedUnit
from calc.measure.conformity import INCOMPLETE, OUTSIDE, UNCLEAR, WITHIN, as_read
from calc.pump import cause

NOUN = {SUCTION_CLOSING: "start", SPILL_OPENING: "end"}
VERDICT_WORDS = {WITHIN: "within", UNCLEAR: "too close to tell", OUTSIDE: "outside", INCOMPLETE: "not complete"}
ROD_WORDS = {cause.SUCTION_ROD: "suction push rod", cause.SPILL_ROD: "spill push rod"}


@dataclass(frozen=True, slots=True)
class Said:
    """The answer for one unit in one stage, in the order in which it is told.

    stop: a hazard, its consequence and how to avoid it; level: "danger" or "warning" with it. todo: what to do. facts: what
    was found. settle: what would settle an unclear verdict.
    """

    stop: tuple[str, ...]
    level: str | None
    todo: tuple[str, ...]
    facts: tuple[str, ...]
    settle: tuple[str, ...]

    @property
    def text(self) -> str:
        """All of it in one paragraph."""
        first = ("Stop.",) if self.stop else ()
        return " ".join((*first, *self.stop, *self.todo, *self.facts, *self.settle))


def unit(
    judged: JudgedUnit,
    settings: Settings,
    verdict: str,
    opening: CutOut | None,
    clearance: LiftOff | None,
    exact: AfterCorrection | None,
    by_hand: AfterCorrection | None,
    opening_limit_mm: float | None,
) -> Said:
    """The answer for one unit in one stage."""
    # A unit that is within is left alone: nobody is warned of a correction that nobody should make.
    level = None if verdict == WITHIN else cut_out_after(exact, by_hand, opening_limit_mm, settings.seat_contact_mm)
    return Said(
        stop=tuple(
            stop_words(judged.number, level, worst_opening(exact, by_hand), opening_limit_mm, "If you make this correction")
        ),
        level=level,
        todo=(
            *_cut_out_first(judged, opening, clearance),
            *_read_again_first(judged, verdict),
            *_todo(judged, settings, verdict, by_hand or exact),
        ),
        facts=(*_timing(judged), *_cut_out(opening), *_lift_off(clearance), *_around(judged)),
        settle=tuple(_settle(judged)),
    )


def stop_words(number: int, level: str | None, opening: float | None, limit_mm: float | None, when: str) -> list[str]:
    """Hazard, consequence and how to avoid it, where a unit's cut-out would be lost. `when` says by what it would be.

    >>> stop_words(3, "warning", 0.7, 0.9, "If you make this correction")[1]
    'The limit is 0.90 mm, so unit 3 might not cut out.'
    """
    if level is None or opening is None:
        return []
    far = f"opens only {plain(opening, 2)} mm" if opening > 0.0 else "does not open"
    moved = f"{when}, the spill valve {far} at index 0."
    if level == DANGER:
        return [
            moved,
            f"Unit {number} would inject at index 0, and the engine might not stop.",
            "Turn no nut. Ask the maker first.",
        ]
    assert level == WARNING
    assert limit_mm is not None
    return [
        moved,
        f"The limit is {plain(limit_mm, 2)} mm, so unit {number} might not cut out.",
        "Ask the maker before you go on.",
    ]


def _cut_out_first(judged: JudgedUnit, opening: CutOut | None, clearance: LiftOff | None) -> list[str]:
    """A unit that cannot be cut out matters more than its timing."""
    words = []
    if opening is not None and opening.limit_mm is not None and opening.verdict in (OUTSIDE, UNCLEAR):
        found = (
            f"The spill valve opens {plain(opening.opening_mm, 2)} mm at index 0, the limit is {plain(opening.limit_mm, 2)} mm"
        )
        if opening.verdict == OUTSIDE:
            words.append(f"{found}: unit {judged.number} might not cut out. Ask the maker before the engine runs.")
        else:
            words.append(f"{found}: too close to tell. Read the opening again, several times.")
    if clearance is not None and clearance.verdict == OUTSIDE and clearance.limit_mm is not None:
        words.append(
            f"The lift-off clearance is {plain(clearance.clearance_mm, 2)} mm, the limit is {plain(clearance.limit_mm, 2)} mm: "
            "the roller might still touch the cam."
        )
    return words


def _read_again_first(judged: JudgedUnit, verdict: str) -> list[str]:
    """A reading that may be a slip is read again before anything is moved by it."""
    if not judged.suspicions:
        return []
    words = read_again(judged.suspicions, judged.direction)
    if judged.corrections and verdict != WITHIN:
        words.append("Settle this before you correct anything. If the numbers stand:")
    return words


# What comes first by what a TDC check says of the common part, and what it says.
_FIRST: dict[str | None, str] = {
    None: "First check the flywheel pointer",
    "pointer": "First set the flywheel pointer",
    "camshaft_drive": "First see to the camshaft drive",
    "both": "First set the flywheel pointer",
    "neither": "First read more pairs of the TDC check",
}
_SAID: dict[str | None, str] = {
    "pointer": "the TDC check finds it off",
    "camshaft_drive": "the TDC check finds it off, and the pointer right",
    "both": "the TDC check finds it off, and the camshaft drive as well",
    "neither": "it decides nothing yet",
}
_TOGETHER: dict[str | None, str] = {
    None: "check the flywheel pointer first",
    "pointer": "the TDC check says that the pointer makes it, so set the pointer and not the cam",
    "camshaft_drive": "the TDC check says that the camshaft drive makes it, which is the maker's procedure",
    "both": "the TDC check says that pointer and camshaft drive make it, so set the pointer first",
    "neither": "the TDC check does not tell why, so read more pairs",
}


def _todo(judged: JudgedUnit, settings: Settings, verdict: str, after: AfterCorrection | None) -> list[str]:
    if judged.disagrees:
        return [disagreement_words(judged)]
    if verdict == WITHIN:
        shared = next((each.size for each in judged.causes if each.code == cause.COMMON_SHIFT), 0.0)
        for event, each in judged.events.items():
            alone = each.finding.deviation_deg - shared
            if as_read(alone, -settings.tolerance_deg, settings.tolerance_deg) == OUTSIDE:
                return [
                    f"Within only because errors cancel: all units are {late_words(shared)} together. Without that, this "
                    f"unit's {NOUN[event]} would be {late_words(alone)}.",
                    "Clear what all units share, then read this unit again.",
                ]
        return ["Leave this unit alone."]
    return _what_to_do(judged, settings, after)


def disagreement_words(judged: JudgedUnit) -> str:
    """Start and end contradict each other: nothing is corrected by such readings."""
    assert judged.disagreement is not None
    size = plain(abs(judged.disagreement.value), 2)
    said = f"Start and end contradict each other by {size}°. Correct nothing. Read both again."
    return f"{said} {judged.survey.brief}" if judged.survey is not None and judged.survey.brief else said


def _settle(judged: JudgedUnit) -> list[str]:
    """What would settle it; once, where start and end want the same. Not while something larger must be cleared first."""
    if judged.disagrees or any(each.code in (cause.COMMON_SHIFT, cause.COMMON_SETTING) for each in judged.causes):
        return []
    said = [(NOUN[event], each.finding.settle) for event, each in judged.events.items() if each.finding.settle]
    if len(said) == len(VALVE_EVENTS) and said[0][1] == said[1][1]:
        return [f"Start and end: {_lower(said[0][1])}"]
    return [f"{noun.capitalize()}: {_lower(words)}" for noun, words in said]


def _lower(words: str | None) -> str:
    return "" if not words else f"{words[:1].lower()}{words[1:]}"


def _timing(judged: JudgedUnit) -> list[str]:
    words = []
    for event in VALVE_EVENTS:
        noun = NOUN[event].capitalize()
        each = judged.events.get(event)
        if each is not None:
            found = each.finding
            words.append(
                f"{noun} at {angle_words(round(found.angle_deg, 2))}, {late_words(found.deviation_deg)} "
                f"(±{plain(found.expanded_deg, 2)}°): {VERDICT_WORDS[found.verdict]}."
            )
        elif event in judged.readings:
            side = "earlier" if event == SUCTION_CLOSING else "later"
            words.append(
                f"{noun}: the valve sits, so it is {side} than its reference by an unknown amount. Read it at contact."
            )
        else:
            words.append(f"{noun}: not read.")
    return words


def shared_words(judged: JudgedUnit) -> list[str]:
    """What all units share: it is cleared before any rod or cam of one unit is moved."""
    words = []
    for found in judged.causes:
        if found.code == cause.COMMON_SETTING and found.event:
            words.append(
                f"Turn no rod for the {NOUN[found.event]}: all units are off by about {signed(found.size, 2)} mm of lift, so "
                "it is a setting that they share."
            )
        elif found.code == cause.COMMON_SHIFT:
            says = judged.tdc.stage.says if judged.tdc is not None and judged.tdc.stage is not None else None
            words.append(f"All units are {late_words(found.size)} together: {_TOGETHER.get(says, _TOGETHER[None])}.")
    return words


def _what_to_do(judged: JudgedUnit, settings: Settings, after: AfterCorrection | None) -> list[str]:
    words = shared_words(judged)
    if judged.opening_mm is None and any(isinstance(each, RodCorrection) for each in judged.corrections):
        words.append("First read the opening at index 0: a rod moves it.")
    for each in judged.corrections:
        if isinstance(each, CamCorrection):
            side = "earlier" if each.change_deg < 0 else "later"
            words.append(
                f"This unit's own cam is {late_words(-each.change_deg)}. It would move {plain(abs(each.change_deg), 2)}° "
                f"{side}. First look at its TDC mark. Moving a cam is the maker's procedure."
            )
            if judged.survey is not None and judged.survey.brief:
                words.append(judged.survey.brief)
        else:
            words.append(_rod_words(judged, each, settings, after))
    unproven = [each for each in judged.events.values() if each.finding.verdict in (OUTSIDE, UNCLEAR)]
    if unproven and not judged.causes:
        if all(each.finding.as_read == WITHIN for each in unproven):
            words.append("As read it is within, but that is not proven. Correct nothing yet.")
        else:
            words.append("No single cause stands out. Read again before you move anything.")
    return words


def _rod_words(judged: JudgedUnit, each: RodCorrection, settings: Settings, after: AfterCorrection | None) -> str:
    event = EVENT_OF[each.part]
    verb = "Lengthen" if each.change_mm > 0 else "Shorten"
    length = f"{plain(abs(each.change_mm), 2)} mm"
    if each.hand_flats is None:
        how = f"{verb} it by {length}."
    elif each.hand_flats == 0.0:
        how = f"The rod is {length} off, less than a quarter of a flat: leave it."
    else:
        how = f"{verb} it by {flats_words(each.hand_flats)} ({plain(abs(each.hand_change_mm or 0.0), 2)} mm; exactly {length})."
    effect = late_words(judged.events[event].travel_deg)
    words = [f"The {ROD_WORDS[each.part]} makes the {NOUN[event]} {effect}. {how}"]
    left = None
    if after is not None:
        left = after.beginning_deviation_deg if event == SUCTION_CLOSING else after.end_deviation_deg
    if left is not None and each.hand_flats != 0.0:
        read = as_read(left, -settings.tolerance_deg, settings.tolerance_deg)
        words.append(f"The {NOUN[event]} will then be {late_words(left)}: {read}.")
    if each.assumes:
        words.append(assumed_words(each.assumes))
    return " ".join(words)


def assumed_words(paths: Iterable[str]) -> str:
    """On which missing entries something rests.

    >>> assumed_words(["engine.rod_thread"])
    'This rests on what you have not entered: “push-rod thread”.'
    """
    return f"This rests on what you have not entered: {listed([f'“{field_of(Job, path).label}”' for path in paths])}."


def _cut_out(opening: CutOut | None) -> list[str]:
    if opening is None:
        return []
    words = f"Opening at index 0: {plain(opening.opening_mm, 2)} mm"
    if opening.verdict is None:
        words += "."
    else:
        words += f", limit {plain(opening.limit_mm or 0.0, 2)} mm: {VERDICT_WORDS[opening.verdict]}."
    if opening.zero_delivery_index is not None:
        words += f" No delivery below index {plain(opening.zero_delivery_index, 2)}."
    return [words]


def _around(judged: JudgedUnit) -> list[str]:
    """What was measured around the check says of this unit."""
    return [each.finding.text for each in (judged.survey, judged.index_line) if each is not None]


def _lift_off(clearance: LiftOff | None) -> list[str]:
    if clearance is None:
        return []
    words = f"Lift-off clearance {plain(clearance.clearance_mm, 2)} mm"
    if clearance.verdict is None:
        return [f"{words}."]
    return [f"{words}, limit {plain(clearance.limit_mm or 0.0, 2)} mm: {VERDICT_WORDS[clearance.verdict]} as read."]


def summary(
    job: Job,
    verdict: str,
    verdicts: Mapping[int, str],
    findings: list[UnitFindings],
    common: Mapping[str, CommonPart | None],
    check: TdcCheck | None = None,
) -> str:
    """The answer for the whole engine. `check`: what a TDC check found."""
    if not findings:
        return "No reading yet. Enter the readings of the first unit."
    latest = {each.unit: each for each in findings}  # as left comes after as found
    suspected = [found.unit for found in latest.values() if found.suspicions]
    again = [f"Read {units_words(suspected)} again first: the numbers look like a reading mistake."] if suspected else []
    shared = _shared(latest.values(), common, check)
    if verdict == WITHIN:
        all_within = f"All {job.engine.units} units are within."
        leave = "Leave the rods alone." if shared or again else "Leave them alone."
        return " ".join([all_within, leave, *again, *shared])
    words = [*again, *shared]
    contradicting = [
        found.unit
        for found in latest.values()
        if not found.suspicions and any(each.code == cause.READINGS_DISAGREE for each in found.causes)
    ]
    if contradicting:
        words.append(f"Read {units_words(contradicting)} again: start and end contradict each other.")
    for name, start in (
        (OUTSIDE, "Outside"),
        (UNCLEAR, "Too close to tell"),
        (INCOMPLETE, "Not complete"),
        (WITHIN, "Within as read" if shared else "Within, leave alone"),
    ):
        numbers = [number for number, each in verdicts.items() if each == name]
        if numbers:
            words.append(f"{start}: {units_words(numbers)}.")
    return " ".join(words)


def _shared(latest: Iterable[UnitFindings], common: Mapping[str, CommonPart | None], check: TdcCheck | None) -> list[str]:
    """What all units share, and so must be cleared before any single unit is corrected."""
    words = []
    newest = next(((stage, part) for stage in reversed(list(STAGES)) if (part := common.get(stage)) is not None), None)
    split = None if check is None or newest is None else getattr(check, newest[0])
    says = None if split is None else split.says
    if newest is not None and newest[1].significant:
        stage, part = newest
        together = f"{part.units_used} units are {late_words(part.value)} together ({STAGES[stage]})"
        told = f"{_SAID[says]}. {together}" if says in _SAID else together
        words.append(f"{_FIRST.get(says, _FIRST[None])}: {told}.")
    elif says in _SAID and says != "neither":
        words.append(f"{_FIRST[says]}: {_SAID[says]}.")
    elif check is not None and newest is None and check.pointer_off:
        words.append(f"{_FIRST['pointer']}: {_SAID['pointer']}.")
    if any(each.code == cause.COMMON_SETTING for found in latest for each in found.causes):
        words.append("First clear the setting that all units share.")
    return words
