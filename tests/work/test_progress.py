"""What is missing in each step, and when a job is complete. The steps and lists are common practice, no source."""

import pytest

from calc.job import steps
from calc.job.catalogue import EVERY_CONFIRMATION, INSPECTED, PHASES, POSITIONS
from calc.job.describe import fields_of
from calc.job.form import form_fields, step_of, tables_of
from calc.job.model import Arrangement
from calc.work.progress import BEGUN, DONE, NOT_NEEDED, OPEN, Missing, progress, same_person
from tests.invented import SPILL, SUCTION, both, contact, opening, rod_error
from tests.work.sheets import Texts, confirm, found_in, how_far, whole_job

UNITS = range(1, 6)
SOUND = [reading for unit in UNITS for reading in both(unit)]
OPENINGS = [opening(unit, 1.75) for unit in UNITS]
# Unit 2's suction rod is off by far more than the tolerance.
OFF = [reading for unit in UNITS for reading in ((rod_error(2, SUCTION, 0.8), contact(2, SPILL)) if unit == 2 else both(unit))]


@pytest.fixture
def whole() -> Texts:
    return whole_job(SOUND, OPENINGS)


@pytest.fixture
def corrected() -> Texts:
    """Unit 2 was off, was corrected, and was read again."""
    left = [{**reading, "stage": "as_left"} for reading in (*both(2), opening(2, 1.75))]
    texts = whole_job([*OFF, *left], OPENINGS)
    texts |= {
        "adjustments/2/suction_rod/length_before_mm": "412.5",
        "adjustments/2/suction_rod/flats_turned": "-3",
        "adjustments/2/suction_rod/locked": "yes",
        "adjustments/2/suction_rod/by": "R. Senn, 2/E",
        "paper.correction_by": "R. Senn, 2/E",
        "paper.left_by": "R. Senn, 2/E",
    }
    confirm(texts, "rods_measured", "record_book", step=steps.LEFT)
    return texts


def missing(texts: Texts, step: str) -> list[str | None]:
    return [each.key for each in how_far(texts).step(step).missing]


# ---------------------------------------------------------------- the whole


def test_a_blank_worksheet_asks_for_every_step_but_stops_nobody() -> None:
    how = progress({})
    assert [each.code for each in how.steps] == [each.code for each in steps.STEPS]
    assert not how.complete
    assert {each.state for each in how.steps if each.code not in (steps.INSPECTION, steps.CUT_OUT)} == {OPEN}
    assert how.step(steps.FINDINGS).missing[0].text == "There is nothing to judge yet."


def test_a_job_without_a_correction_is_complete_and_says_what_is_left_alone(whole: Texts) -> None:
    how = how_far(whole)
    assert [(each.code, each.missing) for each in how.steps if each.missing] == []
    assert how.complete
    assert how.step(steps.CORRECTION).state == how.step(steps.LEFT).state == NOT_NEEDED
    assert "Leave units 1, 2, 3, 4 and 5 alone: within." in how.step(steps.CORRECTION).why
    assert {each.state for each in how.steps} == {DONE, NOT_NEEDED}


def test_a_corrected_job_is_complete_when_it_was_read_again(corrected: Texts) -> None:
    how = how_far(corrected)
    assert [(each.code, each.missing) for each in how.steps if each.missing] == []
    assert how.complete
    assert how.step(steps.CORRECTION).state == how.step(steps.LEFT).state == DONE


def test_every_entry_taken_out_of_a_complete_job_makes_it_incomplete(corrected: Texts) -> None:
    """But for what nobody has to give: day and time, remarks, what the engine is besides its timing."""
    needed = []
    for key in corrected:
        if key.startswith(("engine.", "instruments.", "fuel.", "reference.", "readings/")) or key == "title":
            continue
        less = {each: text for each, text in corrected.items() if each != key}
        if how_far(less).complete:
            assert key.endswith("/at"), key
        else:
            needed.append(key)
    assert len(needed) > 150


def test_a_required_value_is_asked_in_its_step(whole: Texts) -> None:
    asked = [Missing("instruments.pointer_u_deg", "Pointer: missing."), Missing(None, "Somewhere.")]
    how = progress(whole, found_in(whole), asked)
    assert how.step(steps.DUE).missing == (asked[0],)
    assert how.step(steps.SETTINGS).missing == (asked[1],)


def test_what_is_typed_makes_a_step_begun() -> None:
    how = progress(
        {"paper.permit": "W-17", "confirmations/drill/by": "R. Senn", "readings/1/as_left/peak/ahead/plunger_lift_mm": "x"}
    )
    assert [each.code for each in how.steps if each.state == BEGUN] == [steps.SAFE, steps.TURNING, steps.LEFT]


def test_blanks_are_nothing() -> None:
    assert progress({"vessel": "  ", "paper.permit": "\t"}) == progress({})


# ---------------------------------------------------------------- positions


@pytest.mark.parametrize("feature", [field.name for field in fields_of(Arrangement)])
def test_only_what_applies_to_the_engine_is_asked(whole: Texts, feature: str) -> None:
    whole[f"arrangement.{feature}"] = "yes"
    asked = {key for step in steps.STEPS for key in missing(whole, step.code)}
    wanted = {f"positions/{each.code}/as_found" for each in POSITIONS if each.needs == feature}
    wanted |= {f"positions/{each.code}/restored" for each in POSITIONS if each.needs == feature}
    wanted |= {f"confirmations/{each.code}/by" for each in EVERY_CONFIRMATION if each.needs == feature}
    if feature == "reversible":
        wanted.add("reference.rotation")
    if feature == "lift_off_gear":
        wanted |= {f"readings/{unit}/as_left/lift_off/ahead/clearance_mm" for unit in UNITS}
    assert asked == wanted
    # Every question about the engine asks for something.
    assert wanted


def test_a_moved_thing_is_open_until_it_is_back_and_checked_by_somebody_else(whole: Texts) -> None:
    row = "positions/turning_gear"
    for name in ("restored", "restored_by", "checked_by"):
        kept = whole.pop(f"{row}/{name}")
        assert missing(whole, steps.RESTORE) == [f"{row}/{name}"]
        whole[f"{row}/{name}"] = kept
    whole[f"{row}/checked_by"] = "r. senn, 2/E "
    (same,) = how_far(whole).step(steps.RESTORE).missing
    assert same.key == f"{row}/checked_by"
    assert "Another person checks" in same.text
    assert "Not yet put back and checked: 1" in how_far(whole).text


def test_what_does_not_apply_is_not_asked(whole: Texts) -> None:
    for name in ("as_found", "found_by", "restored", "restored_by", "checked_by"):
        del whole[f"positions/alarms/{name}"]
    assert not how_far(whole).complete
    whole["positions/alarms/not_needed"] = "none was blocked"
    assert how_far(whole).complete


def test_what_people_add_is_asked_like_the_rest(whole: Texts) -> None:
    whole["positions/own-1/name"] = "Drip tray"
    (first,) = how_far(whole).step(steps.POSITIONS).missing
    assert first == Missing("positions/own-1/as_found", "Drip tray: position as found.")
    whole |= {"positions/own-1/as_found": "in", "positions/own-1/found_by": "R. Senn"}
    assert missing(whole, steps.RESTORE) == ["positions/own-1/restored"]


# ---------------------------------------------------------------- correction, as left, cut-out


def test_a_listed_correction_asks_for_what_was_turned_or_why_not(corrected: Texts) -> None:
    row = "adjustments/2/suction_rod"
    del corrected[f"{row}/flats_turned"]
    assert f"{row}/flats_turned" in missing(corrected, steps.CORRECTION)
    corrected[f"{row}/note"] = "left: the maker is asked"
    assert f"{row}/flats_turned" not in missing(corrected, steps.CORRECTION)


def test_a_turned_rod_asks_for_its_length_its_lock_and_its_hand(corrected: Texts) -> None:
    row = "adjustments/2/suction_rod"
    for name in ("length_before_mm", "locked", "by"):
        kept = corrected.pop(f"{row}/{name}")
        assert missing(corrected, steps.CORRECTION) == [f"{row}/{name}"]
        corrected[f"{row}/{name}"] = kept
    corrected[f"{row}/locked"] = "no"
    assert missing(corrected, steps.CORRECTION) == [f"{row}/locked"]


def test_a_moved_cam_asks_for_its_own_cautions(corrected: Texts) -> None:
    corrected |= {
        f"adjustments/3/cam/{name}": text for name, text in (("cam_turned_deg", "0.4"), ("locked", "yes"), ("by", "R"))
    }
    cautions = {"confirmations/cam_procedure/by", "confirmations/cam_other_timing/by"}
    assert cautions <= set(missing(corrected, steps.CORRECTION))
    assert [each for each in missing(corrected, steps.LEFT) if each] == ["readings/3/as_left/suction_closing/ahead/method"]
    assert missing(corrected, steps.CUT_OUT) == ["readings/3/as_left/zero_index/ahead/valve_lift_mm"]


def test_a_corrected_unit_is_read_again_and_cut_out_again(corrected: Texts) -> None:
    less = {key: text for key, text in corrected.items() if not key.startswith("readings/2/as_left/")}
    assert missing(less, steps.LEFT) == ["readings/2/as_left/suction_closing/ahead/method"]
    # What was proved before the correction proves nothing after it.
    assert missing(less, steps.CUT_OUT) == ["readings/2/as_left/zero_index/ahead/valve_lift_mm"]


def test_the_one_who_corrected_does_not_check_the_job(corrected: Texts) -> None:
    corrected["paper.checked_by"] = "R. Senn, 2/E"
    assert missing(corrected, steps.RECORD) == ["paper.checked_by"]


def test_a_job_whose_timing_is_not_proved_is_not_complete(corrected: Texts) -> None:
    corrected["readings/2/as_left/suction_closing/ahead/crank_angle_deg"] = "30"
    how = how_far(corrected)
    assert any("The timing is not proved" in each.text for each in how.step(steps.RECORD).missing)
    assert not how.complete


def test_a_change_belongs_in_the_record_book_and_no_change_does_not(corrected: Texts, whole: Texts) -> None:
    del corrected["confirmations/record_book/by"]
    assert missing(corrected, steps.RECORD) == ["confirmations/record_book/by"]
    assert missing(whole, steps.RECORD) == []
    whole["inspections/1/spill_valve/new_serial"] = "7"
    assert missing(whole, steps.RECORD) == ["confirmations/record_book/by"]


def test_inspection_is_asked_part_by_part(whole: Texts) -> None:
    for part in INSPECTED:
        del whole[f"inspections/4/{part}/condition"]
    assert how_far(whole).step(steps.INSPECTION).missing == (
        Missing("inspections/4/cam/condition", "Unit 4: condition of all parts."),
    )
    whole["inspections/4/cam/condition"] = "worn"
    (told,) = how_far(whole).step(steps.INSPECTION).missing
    assert told.key == "inspections/4/roller/condition"
    assert "cam" not in told.text


# ---------------------------------------------------------------- the lists


def test_every_field_of_the_form_belongs_to_a_step() -> None:
    codes = {each.code for each in (*steps.STEPS, *steps.ASIDE)}
    for key, _ in form_fields():
        assert step_of(key) in codes, key
    for table in tables_of().values():
        if table.key not in ("readings", "confirmations"):
            row = "/".join(["1" if name.name == "unit" else next(iter(name.choices), "own-1") for name in table.names])
            for name in table.fields:
                assert step_of(f"{table.key}/{row}/{name}") in codes, (table.key, name)


def test_the_lists_are_consistent() -> None:
    features = {field.name for field in fields_of(Arrangement)}
    assert {each.needs for each in (*POSITIONS, *EVERY_CONFIRMATION)} - {""} == features
    assert len({each.code for each in POSITIONS}) == len(POSITIONS)
    assert len({each.code for each in EVERY_CONFIRMATION}) == len(EVERY_CONFIRMATION)
    assert {each.phase for each in POSITIONS} | {each.phase for each in EVERY_CONFIRMATION} - {""} == set(PHASES)
    # One instruction a sentence, at most 20 words in each.
    for each in EVERY_CONFIRMATION:
        assert all(len(sentence.split()) <= 20 for sentence in each.label.split(". ")), each.label


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [("R. Senn", "r.senn", True), ("R. Senn", "R. Senn ", True), ("", "", False), ("R. Senn", "M. Oduya", False)],
)
def test_two_names_are_compared_as_people_write_them(one: str, other: str, same: bool) -> None:
    assert same_person(one, other) is same


def test_in_a_job_for_astern_readings_count_that_were_reached_astern(whole: Texts) -> None:
    whole["reference.rotation"] = "astern"
    assert "readings/3/as_found/suction_closing/astern/method" in missing(whole, steps.FOUND)
    for key in [each for each in whole if each.startswith("readings/")]:
        whole[key.replace("/ahead/", "/astern/")] = whole.pop(key)
    assert how_far(whole).complete
