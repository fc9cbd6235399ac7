"""One unit in the record: as found, the correction worked out and what was turned, and as left, side by side."""

from __future__ import annotations

from collections.abc import Mapping

from calc.findings import AfterCorrection, CamCorrection, Correction, Deviation, Event, UnitFindings
from calc.job.model import (
    ADJUSTED,
    AS_FOUND,
    AS_LEFT,
    CAM,
    SPILL_OPENING,
    SPILL_ROD,
    STAGES,
    SUCTION_CLOSING,
    SUCTION_ROD,
    Adjustment,
)
from calc.job.words import angle_words, flats_words, late_words, plain, signed
from calc.judge.say import ROD_WORDS
from calc.judge.unit import EVENT_OF
from calc.measure.conformity import WITHIN
from calc.show.marks import labelled
from calc.show.markup import Markup, element, joined
from calc.show.page import CAUSE_WORDS, SIGNAL_WORDS, size_words
from calc.show.paper import NOTHING, between, raw, signed_by, table

Adjustments = Mapping[str, Adjustment]

_ROD_OF = {SUCTION_CLOSING: SUCTION_ROD, SPILL_OPENING: SPILL_ROD}
HELD = "Held: read again first."


def brief(each: Correction) -> str:
    """A correction in a few words, for a table of all units."""
    if isinstance(each, CamCorrection):
        return f"cam {plain(abs(each.change_deg), 2)}° {'earlier' if each.change_deg < 0 else 'later'}"
    return f"{ROD_WORDS[each.part]} {plain(abs(each.change_mm), 3)} mm {'longer' if each.change_mm > 0 else 'shorter'}"


def correction_words(each: Correction) -> str:
    """A correction for the unit itself, with the flats that a hand can do, and whether it has to wait."""
    flats = None if isinstance(each, CamCorrection) else each.hand_flats
    return f"{brief(each)}{'' if flats is None else f', {flats_words(flats)}'}.{f' {HELD}' if each.held else ''}"


def was_turned(each: Adjustment) -> bool:
    """Whether a part was moved; a row can also say only why it was not."""
    return (each.cam_turned_deg if each.part == CAM else each.flats_turned) is not None


def turned_brief(each: Adjustment) -> str:
    """What was turned, in a few words and as it was entered; see `was_turned`.

    >>> turned_brief(Adjustment(unit=3, part="spill_rod", flats_turned=-2.5))
    'spill push rod 2.5 flats shorter'
    """
    if each.cam_turned_deg is not None:
        return f"{ADJUSTED[CAM]} {raw(abs(each.cam_turned_deg))}° {'earlier' if each.cam_turned_deg < 0 else 'later'}"
    flats = each.flats_turned or 0.0
    return f"{ADJUSTED[each.part]} {raw(abs(flats))} flats {'shorter' if flats < 0 else 'longer'}"


def lengths_words(each: Adjustment) -> str:
    """A rod's length before and after; empty where neither was written down."""
    pairs = (("before", each.length_before_mm), ("after", each.length_after_mm))
    known = [f"{when} {raw(length)} mm" for when, length in pairs if length is not None]
    return f"length {', '.join(known)}" if known else ""


def _done(each: Adjustment) -> Markup:
    """All that was entered about one part: what was turned, its lengths, whether it is locked, who, when, remarks."""
    locked = {True: "locked", False: "not locked", None: "" if not was_turned(each) else "locked: not said"}[each.locked]
    turned = f"Done: {turned_brief(each)}" if was_turned(each) else "Not turned"
    words = "; ".join(part for part in (turned, lengths_words(each), locked, signed_by(each.by, each.at)) if part)
    return joined(element("strong", None, f"{words}."), f" {each.note}" if each.note else None)


def verdict_of(unit: UnitFindings | None) -> object:
    """A unit's verdict in a stage, or that it was not read there."""
    return NOTHING if unit is None else labelled(unit.verdict)


def _figure(unit: UnitFindings, path: str, value: float, words: str) -> Markup:
    """A figure for people, with all its digits for whoever compares paper and findings."""
    return element("data", {"value": repr(value), "data-of": f"{unit.unit}/{unit.stage}/{path}"}, words)


def left_alone(found: UnitFindings | None, left: UnitFindings | None, done: Adjustments) -> bool:
    """Whether there is only one column to show: read once, within, and nothing done to it."""
    return left is None and found is not None and found.verdict == WITHIN and not found.corrections and not done


def unit_section(number: int, found: UnitFindings | None, left: UnitFindings | None, done: Adjustments) -> Markup:
    """One unit: as found, correction, as left, side by side.

    Parameters: its number, its findings in either stage, and what was done to it, by part.
    """
    both = (found, left)
    asked = next((unit for unit in both if unit is not None and unit.corrections), None)
    after = None if asked is None else asked.after_by_hand or asked.after_correction
    rows: list[tuple[object, ...]] = [
        ("Start of delivery", *_in_three("beginning", SUCTION_CLOSING, both, asked, after, done)),
        ("End of delivery", *_in_three("end", SPILL_OPENING, both, asked, after, done)),
        ("Own cam position", _cam(found), _correction(asked, None, done, None) or NOTHING, _cam(left)),
        (
            "Effective stroke",
            _deviation(found, "effective_stroke_mm", " mm"),
            _after(asked, after, "effective_stroke_mm"),
            _deviation(left, "effective_stroke_mm", " mm"),
        ),
        (
            "Delivery angle",
            _deviation(found, "delivery_angle_deg", "°"),
            NOTHING,
            _deviation(left, "delivery_angle_deg", "°"),
        ),
        ("Opening at index 0", _cut_out(found), _after(asked, after, "zero_index_opening_mm"), _cut_out(left)),
        ("Lift-off clearance", _lift_off(found), NOTHING, _lift_off(left)),
        ("Causes", _causes(found), NOTHING, _causes(left)),
    ]
    answers = [
        element("p", None, element("strong", None, f"{STAGES[unit.stage].capitalize()}. "), _stop(unit), answer_words(unit))
        for unit in both
        if unit is not None
    ]
    alone = left_alone(found, left, done)
    heads = ["What", _head(AS_FOUND, found), "Correction", _head(AS_LEFT, left)]
    shown = [row for row in rows if any(cell != NOTHING for cell in row[1:])]
    return element(
        "section",
        {"class": "keep", "id": f"unit-{number}"},
        element("h3", None, f"Unit {number}"),
        table(heads[:2] if alone else heads, [row[:2] if alone else row for row in shown], css="two" if alone else "three"),
        answers,
    )


def answer_words(unit: UnitFindings) -> str:
    """What to do. What was found stands in the table above; only what gave no number there is told in words as well."""
    said = unit.judged.said if unit.judged else None
    if said is None or unit.beginning is None or unit.end is None:
        return unit.text
    first = ("Stop.",) if said.stop else ()
    return " ".join((*first, *said.stop, *said.todo, *said.settle)) or "Nothing to do."


def _head(stage: str, unit: UnitFindings | None) -> Markup:
    name = STAGES[stage].capitalize()
    return joined(name) if unit is None else joined(f"{name} ", labelled(unit.verdict))


def _in_three(
    name: str,
    event: str,
    both: tuple[UnitFindings | None, UnitFindings | None],
    asked: UnitFindings | None,
    after: AfterCorrection | None,
    done: Adjustments,
) -> tuple[object, object, object]:
    found, left = (_event(unit, name) for unit in both)
    expected = None if after is None else getattr(after, f"{name}_deviation_deg")
    return found, _correction(asked, event, done, expected) or NOTHING, left


def _event(unit: UnitFindings | None, name: str) -> object:
    event: Event | None = getattr(unit, name, None)
    if unit is None or event is None:
        return NOTHING
    return joined(
        _figure(unit, f"{name}/angle_deg", event.angle_deg, angle_words(round(event.angle_deg, 2))),
        ", ",
        _figure(unit, f"{name}/deviation_deg", event.deviation_deg, late_words(event.deviation_deg)),
        " ",
        _figure(unit, f"{name}/expanded_deg", event.expanded_deg, f"±{plain(event.expanded_deg, 2)}°"),
        element("br"),
        "lift ",
        _figure(unit, f"{name}/lift_mm", event.lift_mm, f"{plain(event.lift_mm, 3)} mm"),
        " (",
        _figure(unit, f"{name}/lift_deviation_mm", event.lift_deviation_mm, signed(event.lift_deviation_mm, 3)),
        f" ±{plain(1.96 * event.u_lift_mm, 3)})",
        element("br"),
        labelled(event.verdict),
    )


def _correction(asked: UnitFindings | None, event: str | None, done: Adjustments, expected_deg: float | None) -> Markup:
    """The correction of one event's rod, or of the cam where the event is None: worked out, expected, and done."""
    lines: list[object] = [
        f"Worked out: {correction_words(each)}"
        for each in (asked.corrections if asked else ())
        if (None if isinstance(each, CamCorrection) else EVENT_OF[each.part]) == event
    ]
    if expected_deg is not None:
        lines.append(f"then {late_words(expected_deg)}")
    part = CAM if event is None else _ROD_OF[event]
    if part in done:
        lines.append(_done(done[part]))
    return joined(*between(lines, element("br")))


def _after(asked: UnitFindings | None, after: AfterCorrection | None, name: str) -> str:
    value = None if asked is None or after is None else getattr(after, name)
    return NOTHING if value is None else f"then {plain(value, 2)} mm"


def _cam(unit: UnitFindings | None) -> object:
    part = None if unit is None else unit.own_cam_part_deg
    if unit is None or part is None:
        return NOTHING
    return joined(_figure(unit, "own_cam_part_deg/value", part.value, late_words(part.value)), f" ±{plain(1.96 * part.u, 2)}°")


def _deviation(unit: UnitFindings | None, name: str, sign: str) -> object:
    value: Deviation | None = getattr(unit, name, None)
    if unit is None or value is None:
        return NOTHING
    return joined(
        _figure(unit, f"{name}/value", value.value, f"{plain(value.value, 2)}{sign}"),
        " (",
        _figure(unit, f"{name}/deviation", value.deviation, signed(value.deviation, 2)),
        f" ±{plain(1.96 * value.u, 2)})",
    )


def _cut_out(unit: UnitFindings | None) -> object:
    found = None if unit is None else unit.cut_out
    if unit is None or found is None:
        return NOTHING
    index = None
    if found.zero_delivery_index is not None:
        index = joined(
            ", no delivery below index ",
            _figure(unit, "cut_out/zero_delivery_index", found.zero_delivery_index, plain(found.zero_delivery_index, 2)),
        )
    return joined(
        _figure(unit, "cut_out/opening_mm", found.opening_mm, f"{plain(found.opening_mm, 2)} mm"),
        _limit(found.limit_mm, found.verdict),
        index,
    )


def _lift_off(unit: UnitFindings | None) -> object:
    found = None if unit is None else unit.lift_off
    if unit is None or found is None:
        return NOTHING
    return joined(
        _figure(unit, "lift_off/clearance_mm", found.clearance_mm, f"{plain(found.clearance_mm, 2)} mm"),
        _limit(found.limit_mm, found.verdict),
    )


def _limit(limit_mm: float | None, verdict: str | None) -> Markup | None:
    if limit_mm is None or verdict is None:
        return None
    return joined(f", at least {plain(limit_mm, 2)} mm: ", labelled(verdict))


def _causes(unit: UnitFindings | None) -> object:
    if unit is None or not unit.causes:
        return NOTHING
    return joined(*between([f"{CAUSE_WORDS[each.code]}: {size_words(each)}" for each in unit.causes], element("br")))


def _stop(unit: UnitFindings) -> Markup | None:
    said = unit.judged.said if unit.judged else None
    return None if said is None or said.level is None else element("strong", None, f"{SIGNAL_WORDS[said.level]}: ")
