"""Causes and corrections of whole jobs, one rule at a time, on both sides of each threshold."""

import math
from collections.abc import Callable, Sequence
from typing import Any

import pytest

from calc.findings import CamCorrection, Cause, Findings, RodCorrection, UnitFindings
from tests.invented import (
    RATIO,
    SLOPE,
    SPILL,
    SUCTION,
    TOLERANCE,
    Tree,
    absent,
    at_lift,
    both,
    codes,
    contact,
    engine_job,
    entry,
    judged,
    notice,
    rod_error,
)

THIRD = TOLERANCE / 3
ROD = {SUCTION: "suction_rod", SPILL: "spill_rod"}


def named(unit: UnitFindings) -> list[str]:
    return [each.code for each in unit.causes]


def hinted(unit: UnitFindings) -> list[str]:
    return [each.code for each in unit.hints]


def the(causes: Sequence[Cause], code: str) -> Cause:
    (found,) = [each for each in causes if each.code == code]
    return found


def fine_units(*numbers: int, stage: str = "as_found") -> list[Tree]:
    return [reading for number in numbers for reading in both(number, stage=stage)]


def coarse_plunger(tree: Tree) -> None:
    """u of a lift about 0.1 mm, so that 3 u stands above what a third of the tolerance needs."""
    tree["instruments"]["plunger_gauge"]["error_limit_mm"] = 0.17


def coarse_scale(tree: Tree) -> None:
    """u of an angle about 0.12 deg, so that 3 u stands above a third of the tolerance."""
    tree["instruments"]["angle_scale"]["step_deg"] = 0.4


# ---------------------------------------------------------------- rods


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize("event", [SUCTION, SPILL])
def test_a_rod_is_named_from_a_third_of_the_tolerance_on(event: str, sign: float) -> None:
    other = SPILL if event == SUCTION else SUCTION
    for travel, expected in ((THIRD * 1.001, [ROD[event]]), (THIRD * 0.999, [])):
        found = judged(engine_job(readings=[rod_error(1, event, sign * travel * SLOPE), contact(1, other)]))
        unit = entry(found, 1)
        assert named(unit) == expected
        assert hinted(unit) == ([] if expected else [ROD[event]])
        assert bool(unit.corrections) is bool(expected)
    cause = the(entry(judged(engine_job(readings=[rod_error(1, event, sign * 0.5)])), 1).causes, ROD[event])
    assert cause.size == pytest.approx(sign * 0.5)
    assert cause.unit == "mm"
    assert cause.effect_deg == pytest.approx(sign * 0.5 / SLOPE)
    assert "before you turn the rod" in cause.check_next


@pytest.mark.parametrize("event", [SUCTION, SPILL])
def test_a_rod_is_named_beyond_three_u(event: str) -> None:
    u = judged_u_lift(event)
    for size, expected in ((3.01 * u, [ROD[event]]), (2.99 * u, [])):
        assert size / SLOPE > THIRD
        unit = entry(judged(engine_job(readings=[rod_error(1, event, size)], change=coarse_plunger)), 1)
        assert named(unit) == expected
        assert hinted(unit) == ([] if expected else [ROD[event]])


def judged_u_lift(event: str) -> float:
    unit = entry(judged(engine_job(readings=[rod_error(1, event, 0.0)], change=coarse_plunger)), 1)
    found = unit.beginning or unit.end
    assert found is not None
    return found.u_lift_mm


def test_rod_corrections_have_the_right_sense_and_size() -> None:
    """Suction -i_c D_c, spill +i_o D_o; turns over the pitch, flats six a turn, quarters by hand."""
    unit = entry(judged(engine_job(readings=[rod_error(1, SUCTION, 0.4), rod_error(1, SPILL, -0.5)])), 1)
    suction, spill = unit.corrections
    assert isinstance(suction, RodCorrection)
    assert isinstance(spill, RodCorrection)
    assert (suction.part, spill.part) == ("suction_rod", "spill_rod")
    assert suction.change_mm == pytest.approx(-RATIO[SUCTION] * 0.4)
    assert spill.change_mm == pytest.approx(RATIO[SPILL] * -0.5)
    for each in (suction, spill):
        assert each.turns == pytest.approx(each.change_mm / 1.75)
        assert each.flats == pytest.approx(6 * each.change_mm / 1.75)
        assert each.hand_flats is not None
        assert each.flats is not None
        assert abs(each.hand_flats - each.flats) <= 0.125 + 1e-9
        assert each.hand_change_mm == pytest.approx(each.hand_flats * 1.75 / 6)
        assert each.assumes == ()


@pytest.mark.parametrize(
    ("key", "value", "factor", "flats_factor"),
    [("rod_lengthening_opens", False, -1.0, -1.0), ("rod_thread", "left_right", 1.0, 0.5), ("rod_pitch_mm", 3.5, 1.0, 0.5)],
)
def test_thread_and_sense(key: str, value: object, factor: float, flats_factor: float) -> None:
    readings = [rod_error(1, SUCTION, 0.4)]
    (usual,) = entry(judged(engine_job(readings=readings)), 1).corrections
    (other,) = entry(
        judged(engine_job(readings=readings, change=lambda tree: tree["engine"].update({key: value}))), 1
    ).corrections
    assert isinstance(usual, RodCorrection)
    assert isinstance(other, RodCorrection)
    assert usual.flats is not None
    assert other.change_mm == pytest.approx(factor * usual.change_mm)
    assert other.flats == pytest.approx(flats_factor * usual.flats)


def test_without_a_pitch_there_are_no_flats() -> None:
    found = judged(engine_job(readings=[rod_error(1, SUCTION, 0.4)], change=lambda tree: tree["engine"].pop("rod_pitch_mm")))
    (each,) = entry(found, 1).corrections
    assert isinstance(each, RodCorrection)
    assert absent(each.turns, each.flats, each.hand_flats, each.hand_change_mm, each.trial_lift_mm)
    assert entry(found, 1).after_by_hand is None
    assert entry(found, 1).after_correction is not None
    assert any(each.code == "missing" and each.where == "engine.rod_pitch_mm" for each in found.notices)


# ---------------------------------------------------------------- readings that disagree


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_start_and_end_that_contradict_each_other(sign: float) -> None:
    for size, expected in ((THIRD * 1.001, ["readings_disagree"]), (THIRD * 0.999, [])):
        readings = [contact(1, SUCTION, 0.0, sign * size), contact(1, SPILL)]
        unit = entry(judged(engine_job(readings=readings)), 1)
        assert named(unit) == expected
    cause = the(
        entry(judged(engine_job(readings=[contact(1, SUCTION, 0.0, sign * 0.5), contact(1, SPILL)])), 1).causes,
        "readings_disagree",
    )
    assert (cause.unit, cause.event) == ("deg", None)
    assert cause.size == pytest.approx(sign * 0.5)
    assert "Read both events again" in cause.check_next


def test_disagreement_beyond_three_u() -> None:
    readings = [contact(1, SUCTION), contact(1, SPILL)]
    tree = engine_job(readings=readings, change=coarse_scale)
    unit = entry(judged(tree), 1)
    assert unit.beginning is not None
    assert unit.end is not None
    u = math.sqrt(unit.beginning.u_cam_part_deg**2 + unit.end.u_cam_part_deg**2 - 2 * 0.03**2)
    assert 3 * u > THIRD
    for size, expected in ((3.01 * u, ["readings_disagree"]), (2.99 * u, [])):
        readings = [contact(1, SUCTION, 0.0, size), contact(1, SPILL)]
        assert named(entry(judged(engine_job(readings=readings, change=coarse_scale)), 1)) == expected


def test_a_unit_that_disagrees_is_corrected_nowhere_and_shares_nothing() -> None:
    """The only cause, no correction, no cam part of the unit; the numbers of its events stay."""
    readings = [rod_error(1, SUCTION, 0.6), contact(1, SPILL, 0.0, 0.9), *fine_units(2, 3, 4)]
    found = judged(engine_job(readings=readings))
    unit = entry(found, 1)
    assert named(unit) == ["readings_disagree"]
    assert hinted(unit) == []
    assert unit.corrections == ()
    assert absent(unit.after_correction, unit.cam_part_deg, unit.own_cam_part_deg)
    assert unit.beginning is not None
    assert unit.end is not None
    assert unit.end.cam_part_deg == pytest.approx(0.9)
    common = found.common_part_deg.as_found
    assert common is not None
    assert (common.units_used, common.value) == (3, 0.0)
    assert "Correct nothing. Read both again." in unit.text


# ---------------------------------------------------------------- cam parts


def test_the_cam_part_of_a_unit_weighs_its_events() -> None:
    """Weights 1 / (u^2(P) - u_t^2); the end is read at reference lift and so better known than a start with a rod error."""
    readings = [rod_error(1, SUCTION, 0.5), at_lift(1, SPILL, 0.0, 0.1)]
    unit = entry(judged(engine_job(readings=readings)), 1)
    assert unit.beginning is not None
    assert unit.end is not None
    assert unit.cam_part_deg is not None
    weights = [1 / (each.u_cam_part_deg**2 - 0.03**2) for each in (unit.beginning, unit.end)]
    parts = [each.cam_part_deg for each in (unit.beginning, unit.end)]
    expected = sum(w * p for w, p in zip(weights, parts, strict=True)) / sum(weights)
    assert unit.cam_part_deg.value == pytest.approx(expected)
    assert unit.cam_part_deg.u == pytest.approx(math.sqrt(1 / sum(weights) + 0.03**2))


def test_one_event_is_enough_for_a_cam_part() -> None:
    unit = entry(judged(engine_job(readings=[contact(1, SPILL, 0.0, 0.3)])), 1)
    assert unit.cam_part_deg is not None
    assert unit.end is not None
    assert (unit.cam_part_deg.value, unit.cam_part_deg.u) == (unit.end.cam_part_deg, unit.end.u_cam_part_deg)


def shifted(*offs: float) -> list[Tree]:
    """Units 1, 2, ... with these cam parts."""
    return [reading for unit, off in enumerate(offs, 1) for reading in both(unit, 0.0, off)]


def test_fewer_than_three_units_share_nothing() -> None:
    found = judged(engine_job(readings=shifted(0.9, 0.9)))
    assert found.common_part_deg.as_found is None
    for number in (1, 2):
        unit = entry(found, number)
        assert unit.own_cam_part_deg is None
        assert named(unit) == []
        assert hinted(unit) == ["cam_position"]
    told = notice(found, "few_units")
    assert "As found" in told.text
    assert "only 2" in told.text
    assert "few_units" not in codes(judged(engine_job(readings=shifted(0.9, 0.9, 0.9))))


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_common_shift(sign: float) -> None:
    for size, significant in ((THIRD * 1.001, True), (THIRD * 0.999, False)):
        found = judged(engine_job(readings=shifted(*[sign * size] * 3)))
        common = found.common_part_deg.as_found
        assert common is not None
        assert common.value == pytest.approx(sign * size)
        assert (common.units_used, common.significant) == (3, significant)
        for unit in found.units:
            assert named(unit) == (["common_shift"] if significant else [])
            assert hinted(unit) == ([] if significant else ["common_shift"])
            assert unit.corrections == ()
    cause = the(found_causes(shifted(*[sign * 0.6] * 3)), "common_shift")
    assert cause.size == pytest.approx(sign * 0.6)
    assert "TDC check with equal heights" in cause.check_next
    assert found.common_part_deg.as_left is None


def found_causes(readings: list[Tree], unit: int = 1, change: Callable[[Tree], object] | None = None) -> tuple[Cause, ...]:
    return entry(judged(engine_job(readings=readings, change=change)), unit).causes


def test_a_common_shift_beyond_three_u() -> None:
    tree = engine_job(readings=shifted(0.0, 0.0, 0.0), change=coarse_scale)
    common = judged(tree).common_part_deg.as_found
    assert common is not None
    assert 3 * common.u > THIRD
    for size, significant in ((3.01 * common.u, True), (2.99 * common.u, False)):
        found = judged(engine_job(readings=shifted(size, size, size), change=coarse_scale)).common_part_deg.as_found
        assert found is not None
        assert found.significant is significant


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_units_own_cam(sign: float) -> None:
    """Named against the median from a third of the tolerance; corrected only beyond the tolerance itself."""
    for size, cause_expected, correction_expected in (
        (THIRD * 0.999, [], False),
        (THIRD * 1.001, ["cam_position"], False),
        (TOLERANCE, ["cam_position"], False),
        (TOLERANCE + 1e-6, ["cam_position"], True),
    ):
        unit = entry(judged(engine_job(readings=shifted(sign * size, 0.0, 0.0, 0.0))), 1)
        assert named(unit) == cause_expected
        assert hinted(unit) == ([] if cause_expected else ["cam_position"])
        assert bool(unit.corrections) is correction_expected
    unit = entry(judged(engine_job(readings=shifted(sign * 0.9, 0.1, 0.1, 0.1))), 1)
    assert unit.own_cam_part_deg is not None
    assert unit.own_cam_part_deg.value == pytest.approx(sign * 0.9 - 0.1)
    (correction,) = unit.corrections
    assert isinstance(correction, CamCorrection)
    assert correction.change_deg == pytest.approx(-(sign * 0.9 - 0.1))
    after = unit.after_correction
    assert after is not None
    assert after.beginning_deviation_deg == pytest.approx(0.1)
    assert after.end_deviation_deg == pytest.approx(0.1)


def test_own_parts_have_the_doubt_of_the_median() -> None:
    """u^2 = a (1 - 2/n) + (pi/2) mean(a) / n."""
    found = judged(engine_job(readings=shifted(0.0, 0.1, 0.2, 0.3)))
    a = entry(found, 1).cam_part_deg
    own = entry(found, 1).own_cam_part_deg
    common = found.common_part_deg.as_found
    assert a is not None
    assert own is not None
    assert common is not None
    alone = a.u**2 - 0.03**2
    v = math.pi / 2 * alone / 4
    assert own.u == pytest.approx(math.sqrt(alone * 0.5 + v))
    assert common.u == pytest.approx(math.sqrt(0.03**2 + v))
    assert common.value == pytest.approx(0.15)
    assert own.value == pytest.approx(-0.15)


def test_a_shift_and_an_own_cam_stand_together() -> None:
    found = judged(engine_job(readings=shifted(0.4, 0.4, 0.4, -0.5)))
    assert named(entry(found, 4)) == ["common_shift", "cam_position"]
    assert named(entry(found, 1)) == ["common_shift"]


def test_two_errors_that_cancel_are_not_left_alone() -> None:
    """A unit within only because its own cam makes up for what all units share."""
    unit = entry(judged(engine_job(readings=shifted(0.6, 0.6, 0.6, 0.0))), 4)
    assert unit.verdict == "within"
    assert named(unit) == ["common_shift", "cam_position"]
    assert "Within only because errors cancel: all units are 0.60° late together." in unit.text
    assert "Without that, this unit's start would be 0.60° early." in unit.text
    assert "Leave this unit alone" not in unit.text


def test_a_unit_within_is_left_alone_in_spite_of_a_small_cause() -> None:
    """A rod that is named but leaves the start within, beside a shift that all units share."""
    readings = [*shifted(0.25, 0.25, 0.25), rod_error(4, SUCTION, 0.15), contact(4, SPILL)]
    readings[-2]["crank_angle_deg"][0] += 0.25
    readings[-1]["crank_angle_deg"][0] += 0.25
    unit = entry(judged(engine_job(readings=readings)), 4)
    assert sorted(named(unit)) == ["common_shift", "suction_rod"]
    assert unit.verdict == "within"
    assert unit.text.startswith("Leave this unit alone.")


def test_stages_share_nothing_with_each_other() -> None:
    readings = [*shifted(0.6, 0.6), *both(3, 0.0, 0.6, "as_left"), *both(4, 0.0, 0.6, "as_left")]
    found = judged(engine_job(readings=readings))
    assert absent(found.common_part_deg.as_found, found.common_part_deg.as_left)


# ---------------------------------------------------------------- a setting that all units share


def set_off(event: str, *sizes: float) -> list[Tree]:
    """Units 1, 2, ... with these lift errors at one event, the other event at its reference."""
    other = SPILL if event == SUCTION else SUCTION
    return [reading for unit, size in enumerate(sizes, 1) for reading in (rod_error(unit, event, size), contact(unit, other))]


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize("event", [SUCTION, SPILL])
def test_a_setting_that_all_units_share(event: str, sign: float) -> None:
    sizes = (sign * 0.80, sign * 0.82, sign * 0.81)
    found = judged(engine_job(readings=set_off(event, *sizes)))
    for unit, size in zip(found.units, sizes, strict=True):
        assert named(unit) == ["common_setting"]
        cause = unit.causes[0]
        assert cause.effect_deg == pytest.approx(size / SLOPE)
        assert (cause.event, cause.unit) == (event, "mm")
        assert cause.size == pytest.approx(sign * 0.81)
        assert "Turn no rod of this event until it is cleared" in cause.check_next
        assert unit.corrections == ()
        assert "Turn no rod" in unit.text
    told = notice(found, "settings_first")
    for words in ("as found", "all 3 units", "+0.81 mm of lift" if sign > 0 else "−0.81 mm of lift", "Clear it first"):
        assert words in told.text
    assert ("Start" if event == SUCTION else "End") in told.text


def rods_of(found: Findings) -> list[list[str]]:
    return [named(unit) for unit in found.units]


@pytest.mark.parametrize(
    ("sizes", "shared"),
    [
        ((0.4, 0.4), False),
        ((0.4, 0.4, 0.4), True),
        ((0.4, 0.4, -0.4), False),
        # One unit is beyond 3 u of the median: then every unit has its own rod.
        ((0.4, 0.4, 0.45), False),
        # Beyond 3 u, but moving less than a third of the tolerance.
        ((0.14, 0.14, 0.14), False),
        ((0.15, 0.15, 0.15), True),
        ((0.4, 0.4, 0.4, 0.0), False),
    ],
)
def test_both_sides_of_the_rule_of_a_common_setting(sizes: tuple[float, ...], shared: bool) -> None:
    found = judged(engine_job(readings=set_off(SPILL, *sizes)))
    assert all((names == ["common_setting"]) is shared for names in rods_of(found))
    assert ("settings_first" in codes(found)) is shared


def test_the_other_event_keeps_its_rods() -> None:
    readings = [
        reading
        for unit in (1, 2, 3)
        for reading in (rod_error(unit, SUCTION, 0.5 if unit == 2 else 0.0), rod_error(unit, SPILL, 0.4))
    ]
    found = judged(engine_job(readings=readings))
    assert named(entry(found, 2)) == ["common_setting", "suction_rod"]
    assert [each.part for each in entry(found, 2).corrections] == ["suction_rod"]
    assert named(entry(found, 1)) == ["common_setting"]


def test_a_unit_that_disagrees_takes_no_part_and_does_not_prevent_it() -> None:
    readings = [*set_off(SPILL, 0.4, 0.4, 0.4), contact(4, SUCTION, 0.0, 0.9), rod_error(4, SPILL, -0.4)]
    found = judged(engine_job(readings=readings))
    assert rods_of(found) == [["common_setting"]] * 3 + [["readings_disagree"]]


def test_a_setting_of_one_stage_clears_no_rod_of_the_other() -> None:
    readings = [*set_off(SPILL, 0.4, 0.4, 0.4), *[rod_error(1, SPILL, 0.4, "as_left"), contact(1, SUCTION, stage="as_left")]]
    found = judged(engine_job(readings=readings))
    assert named(entry(found, 1)) == ["common_setting"]
    assert named(entry(found, 1, "as_left")) == ["spill_rod"]


def test_a_cause_of_a_setting_names_its_event_in_the_file_and_others_do_not() -> None:
    found: dict[str, Any] = judged(engine_job(readings=set_off(SPILL, 0.4, 0.4, 0.4))).to_json()
    assert found["units"][0]["causes"][0]["event"] == SPILL
    rod: dict[str, Any] = judged(engine_job(readings=set_off(SPILL, 0.4))).to_json()
    assert "event" not in rod["units"][0]["causes"][0]


# ---------------------------------------------------------------- after the correction


def test_after_correction_keeps_what_no_correction_touches() -> None:
    """A cam part stays in the angles; an event without a number stays unknown."""
    readings = [contact(1, SUCTION, 0.4, 0.4 / SLOPE + 0.1)]
    after = entry(judged(engine_job(readings=readings)), 1).after_correction
    assert after is not None
    assert after.beginning_deviation_deg == pytest.approx(0.1)
    assert absent(after.end_deviation_deg, after.effective_stroke_mm, after.zero_index_opening_mm)


def test_a_unit_without_a_cause_is_corrected_nowhere() -> None:
    unit = entry(judged(engine_job(readings=both(1))), 1)
    assert [*unit.causes, *unit.hints, *unit.corrections] == []
    assert absent(unit.after_correction, unit.after_by_hand)
    assert "Leave this unit alone" in unit.text


def test_outside_without_a_cause_says_so() -> None:
    """Start and end each a little off, in ways that no single cause explains."""
    readings = [contact(1, SUCTION, 0.1, 0.55), contact(1, SPILL, -0.05, 0.4)]
    unit = entry(judged(engine_job(readings=readings, change=coarse_scale)), 1)
    assert unit.causes == ()
    assert "No single cause stands out. Read again before you move anything." in unit.text
