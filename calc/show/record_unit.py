"""One unit in the record: as found, the correction worked out, and as left, side by side."""

from __future__ import annotations

from calc.findings import AfterCorrection, CamCorrection, Correction, Deviation, Event, UnitFindings
from calc.job.model import AS_FOUND, AS_LEFT, SPILL_OPENING, STAGES, SUCTION_CLOSING
from calc.job.words import angle_words, flats_words, late_words, plain, signed
from calc.judge.say import ROD_WORDS
from calc.judge.unit import EVENT_OF
from calc.show.marks import labelled
from calc.show.markup import Markup, element, joined
from calc.show.page import CAUSE_WORDS, SIGNAL_WORDS, size_words
from calc.show.paper import NOTHING, between, table


def brief(each: Correction) -> str:
    """A correction in a few words, for a table of all units."""
    if isinstance(each, CamCorrection):
        return f"cam {plain(abs(each.change_deg), 2)}° {'earlier' if each.change_deg < 0 else 'later'}"
    return f"{ROD_WORDS[each.part]} {plain(abs(each.change_mm), 3)} mm {'longer' if each.change_mm > 0 else 'shorter'}"


def correction_words(each: Correction) -> str:
    """A correction for the unit itself, with the flats that a hand can do."""
    flats = None if isinstance(each, CamCorrection) else each.hand_flats
    words = brief(each)
    return f"{words[:1].upper()}{words[1:]}{'' if flats is None else f', {flats_words(flats)}'}"


def verdict_of(unit: UnitFindings | None) -> object:
    """A unit's verdict in a stage, or that it was not read there."""
    return NOTHING if unit is None else labelled(unit.verdict)


def _figure(unit: UnitFindings, path: str, value: float, words: str) -> Markup:
    """A figure for people, with all its digits for whoever compares paper and findings."""
    return element("data", {"value": repr(value), "data-of": f"{unit.unit}/{unit.stage}/{path}"}, words)


def unit_section(number: int, found: UnitFindings | None, left: UnitFindings | None) -> Markup:
    """One unit: as found, correction, as left, side by side.

    Parameters: its number, and its findings in either stage.
    """
    both = (found, left)
    asked = next((unit for unit in both if unit is not None and unit.corrections), None)
    after = None if asked is None else asked.after_by_hand or asked.after_correction
    rows: list[tuple[object, ...]] = [
        ("Start of delivery", *_in_three("beginning", SUCTION_CLOSING, both, asked, after)),
        ("End of delivery", *_in_three("end", SPILL_OPENING, both, asked, after)),
        ("Own cam position", _cam(found), _planned(asked, None), _cam(left)),
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
        element("p", None, element("strong", None, f"{STAGES[unit.stage].capitalize()}. "), _stop(unit), unit.text)
        for unit in both
        if unit is not None
    ]
    shown = [row for row in rows if any(cell != NOTHING for cell in row[1:])]
    return element(
        "section",
        {"class": "keep", "id": f"unit-{number}"},
        element("h3", None, f"Unit {number}"),
        table(["What", _head(AS_FOUND, found), "Correction worked out", _head(AS_LEFT, left)], shown, css="three"),
        answers,
    )


def _head(stage: str, unit: UnitFindings | None) -> Markup:
    name = STAGES[stage].capitalize()
    return joined(name) if unit is None else joined(f"{name} ", labelled(unit.verdict))


def _in_three(
    name: str,
    event: str,
    both: tuple[UnitFindings | None, UnitFindings | None],
    asked: UnitFindings | None,
    after: AfterCorrection | None,
) -> tuple[object, object, object]:
    found, left = (_event(unit, name) for unit in both)
    return found, joined(_planned(asked, event), _expected(asked, after, name)) or NOTHING, left


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


def _planned(asked: UnitFindings | None, event: str | None) -> Markup | str:
    """The corrections of one event's rod, or of the cam where the event is None."""
    words = [
        correction_words(each)
        for each in (asked.corrections if asked else ())
        if (None if isinstance(each, CamCorrection) else EVENT_OF[each.part]) == event
    ]
    if words:
        return joined(*between(words, element("br")))
    return NOTHING if event is None else Markup("")


def _expected(asked: UnitFindings | None, after: AfterCorrection | None, name: str) -> Markup | None:
    value = None if after is None else getattr(after, f"{name}_deviation_deg")
    if asked is None or value is None:
        return None
    brief = Markup("") if not _planned(asked, SUCTION_CLOSING if name == "beginning" else SPILL_OPENING) else element("br")
    return joined(brief, f"then {late_words(value)}")


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
