"""Cam surveys by hand: the table's own rows, moved or bent by known amounts, held against readings that say the same or not."""

from typing import Any

import pytest

from calc.findings import CamSurvey, Findings
from calc.pump.cam import CamCurve
from tests.invented import ANGLE, CAM, LIFT, SPILL, SUCTION, Tree, at_lift, both, contact, engine_job, judged

EVENTS = (SUCTION, SPILL)
TABLE = [(float(angle), float(lift)) for angle, lift in CAM.table(2.0)]
CURVE = CamCurve.from_table(TABLE)
# How far the unit's settings stand off the table, which is in phase with nothing.
OFF = {event: ANGLE[event] - CURVE.angle_at(LIFT[event]) for event in EVENTS}
MEAN_OFF = (OFF[SUCTION] + OFF[SPILL]) / 2.0
AT = {event: CURVE.angle_at(LIFT[event]) for event in EVENTS}


def rows(late: float = 0.0, zero: float = 0.0, bent: dict[str, float] | None = None, every: int = 1) -> list[list[float]]:
    """The table's rows on a cam that stands late by this much; `bent`: more lift around an event, over 4 degrees each way."""
    found = []
    for angle, lift in TABLE[::every]:
        more = sum(size * max(0.0, 1.0 - abs(angle - AT[event]) / 8.0) for event, size in (bent or {}).items())
        found.append([angle + MEAN_OFF + late, max(0.0, lift + more) + zero])
    return found


def units_right(*own: Tree) -> list[Tree]:
    """Three units that are right, but for what is read of unit 2."""
    read = own or tuple(both(2))
    return [*both(1), *read, *both(3)]


def found(measured: list[list[float]], readings: list[Tree] | None = None, unit: int = 2, table: bool = True) -> Findings:
    tree = engine_job(readings=units_right() if readings is None else readings)
    tree["cam_surveys"] = [{"unit": unit, "measured": measured}]
    if table:
        tree["engine"]["cam_lift_table"] = [list(row) for row in TABLE]
    return judged(tree)


def survey_of(it: Findings) -> CamSurvey:
    survey = next(each for each in it.units if each.unit == 2 and each.stage == it.units[0].stage).cam_survey
    assert survey is not None
    return survey


def notices(it: Findings) -> list[tuple[str, str]]:
    return [(each.code, each.where) for each in it.notices if each.where.startswith("cam_surveys")]


def late_by(late: float) -> list[Tree]:
    """Unit 2 late at both events, by its cam. Its settings stand off the table unevenly, and the readings with them."""
    return units_right(*(contact(2, event, 0.0, late) for event in EVENTS))


@pytest.mark.parametrize("late", [0.0, 0.8, -0.8])
def test_a_survey_that_agrees(late: float) -> None:
    survey = survey_of(found(rows(late), late_by(late)))
    assert survey.says == "agrees"
    assert survey.phase_deg == pytest.approx(MEAN_OFF + late, abs=1e-6)
    assert survey.robust_phase_deg == pytest.approx(MEAN_OFF + late, abs=1e-6)
    assert survey.cam_part_deg == pytest.approx(late, abs=1e-6)
    # The other two units stand right, and the median of three is theirs.
    assert survey.own_cam_part_deg == pytest.approx(late, abs=0.02)
    assert abs(survey.worst_mm) < 1e-6
    assert survey.beginning is not None
    assert survey.end is not None
    for event, each in ((SUCTION, survey.beginning), (SPILL, survey.end)):
        assert each.cam_part_deg == pytest.approx(MEAN_OFF + late - OFF[event], abs=1e-4)
        assert each.residual_mm == pytest.approx(0.0, abs=1e-4)
        assert not each.worn
    assert survey.text.startswith("The cam survey agrees: by the survey this cam's own part is ")
    assert ("A wrong TDC mark of this unit would show in both" in survey.text) is (late != 0.0)
    if late:
        assert survey.u_own_cam_part_deg is not None
        assert (
            f"0.80° {'late' if late > 0 else 'early'} (±{1.96 * survey.u_own_cam_part_deg:.2f}°), by the readings"
            in survey.text
        )


def test_what_a_survey_is_worth_beside_the_common_part() -> None:
    """Its own doubt, and that of the common part without the pointer's."""
    it = found(rows(0.8), late_by(0.8))
    survey = survey_of(it)
    common = it.common_part_deg.as_found
    assert common is not None
    assert survey.u_cam_part_deg is not None
    assert survey.u_own_cam_part_deg == pytest.approx((survey.u_cam_part_deg**2 + common.alone**2) ** 0.5)
    # It holds how unevenly the settings stand off the table, as an even spread.
    assert survey.u_cam_part_deg > abs(OFF[SUCTION] - OFF[SPILL]) / 12.0**0.5


@pytest.mark.parametrize(
    ("survey_late", "read_late", "side"), [(0.0, 0.9, "later"), (0.9, 0.0, "earlier"), (-0.9, 0.0, "later")]
)
def test_a_survey_that_contradicts_the_readings(survey_late: float, read_late: float, side: str) -> None:
    survey = survey_of(found(rows(survey_late), late_by(read_late)))
    assert survey.says == "contradicts"
    assert "they put the start" in survey.text
    assert "they put the end" in survey.text
    assert "the cam " not in survey.text.split("Look")[0].replace("The cam survey", "")
    assert survey.text.count(side) == 2
    assert survey.text.endswith("Measure again before you move anything.")


@pytest.mark.parametrize("event", EVENTS)
def test_wear_at_an_event(event: str) -> None:
    """1 mm is missing there: the event comes later by as much as the cam then still has to travel."""
    measured = rows(0.0, bent={event: -1.0})
    later = CURVE.angle_at(LIFT[event] + 0.85) - AT[event]
    read = [contact(2, each, 0.0, later if each == event else 0.0) for each in EVENTS]
    survey = survey_of(found(measured, units_right(*read)))
    at, other = (survey.beginning, survey.end) if event == SUCTION else (survey.end, survey.beginning)
    assert at is not None
    assert other is not None
    assert survey.says == "wear"
    assert (at.worn, other.worn) == (True, False)
    assert at.residual_mm == pytest.approx(-0.9, abs=0.12)
    assert other.residual_mm == pytest.approx(0.0, abs=0.12)
    assert survey.cam_part_deg == pytest.approx(0.0, abs=0.1)
    # Nearly the whole millimetre at the row that lies nearest.
    assert survey.worst_mm == pytest.approx(-1.0, abs=0.15)
    assert survey.worst_at_deg == pytest.approx(AT[event] + MEAN_OFF, abs=1.01)
    noun = "start" if event == SUCTION else "end"
    assert f"At the {noun} {abs(at.residual_mm):.2f} mm of lift is missing" in survey.text
    assert "No push rod and no move of the cam cures wear" in survey.text
    assert "stands" not in survey.text


def test_lift_in_excess_is_no_wear() -> None:
    read = [contact(2, SUCTION, 0.0, CURVE.angle_at(LIFT[SUCTION] - 0.85) - AT[SUCTION]), contact(2, SPILL)]
    survey = survey_of(found(rows(0.0, bent={SUCTION: 1.0}), units_right(*read)))
    assert survey.beginning is not None
    assert not survey.beginning.worn
    assert survey.beginning.residual_mm == pytest.approx(0.9, abs=0.12)
    assert survey.says == "agrees"
    assert "above the reference" in survey.text
    assert "which no wear makes" in survey.text


@pytest.mark.parametrize(("zero", "off"), [(1.2, True), (0.6, True), (0.0, False)])
def test_a_survey_that_was_not_zeroed_tells_nothing_else(zero: float, off: bool) -> None:
    foot = rows()[0][0]
    measured = [[foot - 8.0, zero], [foot - 4.0, zero], *rows(0.0, zero)]
    survey = survey_of(found(measured))
    assert (survey.says == "zero_off") is off
    if off:
        assert f"shows +{zero:.2f} mm more lift than the reference" in survey.text
        assert survey.text.endswith("Nothing else is told from it.")


# ---------------------------------------------------------------- where it tells nothing


def test_without_a_table_there_is_nothing_to_hold_it_against() -> None:
    it = found(rows(), table=False)
    assert notices(it) == [("survey_without_table", "cam_surveys[0].measured")]
    assert all(each.cam_survey is None for each in it.units)


def test_rows_on_the_base_circle_tell_nothing() -> None:
    it = found([[60.0, 44.0], [70.0, 44.0], [80.0, 44.0]])
    assert notices(it) == [("survey_tells_nothing", "cam_surveys[0].measured")]
    assert "no row lies on a flank" in next(each.text for each in it.notices if each.where.startswith("cam"))


def test_a_cam_does_not_slip_by_twenty_degrees() -> None:
    it = found(rows(30.0))
    assert [code for code, _ in notices(it)] == ["survey_tells_nothing"]
    assert "20° away or more" in next(each.text for each in it.notices if each.where.startswith("cam"))


def test_one_row_has_no_scatter() -> None:
    it = found([[ANGLE[SUCTION] + 0.5, LIFT[SUCTION]]])
    assert notices(it) == [("survey_tells_nothing", "cam_surveys[0].measured")]
    survey = survey_of(it)
    assert survey.u_phase_deg is None
    assert (survey.says, survey.cam_part_deg, survey.own_cam_part_deg) == ("unknown", None, None)
    assert survey.phase_deg == pytest.approx(OFF[SUCTION] + 0.5, abs=1e-4)
    assert survey.text == "One row tells nothing of this cam. Measure more rows."


def test_rows_beyond_the_table_are_said() -> None:
    it = found([*rows(), [TABLE[-1][0] + MEAN_OFF + 3.0, TABLE[-1][1]]])
    assert ("survey_beyond_table", "cam_surveys[0].measured") in notices(it)
    assert notices(found(rows())) == []


def test_a_unit_that_nobody_read_has_nothing_to_compare() -> None:
    it = found(rows(), [*both(1), *both(3)])
    assert notices(it) == [("survey_not_comparable", "cam_surveys[0].measured")]
    assert "nothing was read on this unit" in next(each.text for each in it.notices if each.where.startswith("cam"))


def test_seated_valves_leave_the_survey_alone() -> None:
    it = found(rows(0.4), units_right(*(at_lift(2, event, -1.0) for event in EVENTS)))
    assert notices(it) == [("survey_not_comparable", "cam_surveys[0].measured")]
    survey = survey_of(it)
    assert survey.says == "unknown"
    assert survey.u_cam_part_deg is not None
    assert survey.text == f"The survey finds this cam 0.40° late (±{1.96 * survey.u_cam_part_deg:.2f}°)."
    why = next(each.text for each in it.notices if each.where.startswith("cam"))
    assert "neither start nor end of this unit has a number" in why
    assert survey.cam_part_deg == pytest.approx(0.4, abs=1e-6)


def test_two_units_have_no_common_part_to_take_out() -> None:
    survey = survey_of(found(rows(0.4), [*both(1), *(contact(2, event, 0.0, 0.4) for event in EVENTS)]))
    assert survey.own_cam_part_deg is None
    assert survey.says == "agrees"
    assert "Pointer and camshaft drive are in both." in survey.text
    assert survey.text.count("0.40° late") == 2


def test_a_survey_belongs_to_the_first_stage_of_its_unit() -> None:
    """What was moved since is not in it."""
    read = [*units_right(), contact(2, SUCTION, stage="as_left"), contact(2, SPILL, stage="as_left")]
    it = found(rows(), read)
    assert [(each.unit, each.stage) for each in it.units if each.cam_survey is not None] == [(2, "as_found")]


def test_rows_are_read_as_well_as_the_readings() -> None:
    """Angles 0.4 apart in each pair, and lifts 0.2: the survey's doubt of an event grows with both."""
    plain = survey_of(found(rows()))

    def scattered(lift: float, angle: float) -> Any:
        read = [contact(unit, event, [0.0, lift], [0.0, angle]) for unit in (1, 2, 3) for event in EVENTS]
        return survey_of(found(rows(), read)).beginning

    assert plain.beginning is not None
    slope = CURVE.flank_at(LIFT[SUCTION])
    assert slope is not None
    k = slope.slope
    gauge = 2.0 * 0.005**2 / 12.0 + 0.008**2 / 3.0
    scale = 0.05**2 / 12.0
    assert plain.beginning.u_cam_part_deg == pytest.approx(((k**2 * (scale + 0.02**2) + 0.003**2 + gauge) ** 0.5) / k, rel=1e-4)
    # Pairs apart by d have s = d / sqrt(2).
    for lift, angle in ((0.0, 0.4), (0.2, 0.0)):
        expected = k**2 * (scale + angle**2 / 2.0) + lift**2 / 2.0 + gauge
        assert scattered(lift, angle).u_cam_part_deg == pytest.approx(expected**0.5 / k, rel=1e-4)


def test_a_table_that_ends_below_the_reference_lifts_says_nothing_of_them() -> None:
    tree = engine_job(readings=units_right())
    low = [(angle, lift) for angle, lift in TABLE if lift < LIFT[SUCTION] - 1.0]
    tree["engine"]["cam_lift_table"] = [list(row) for row in low]
    tree["cam_surveys"] = [{"unit": 2, "measured": [[angle + 0.4, lift] for angle, lift in low]}]
    it = judged(tree)
    (told,) = [each for each in it.notices if each.code == "survey_not_comparable"]
    assert "the lift table does not rise at this unit's reference lifts" in told.text
    survey = survey_of(it)
    assert (survey.says, survey.cam_part_deg, survey.beginning, survey.end) == ("unknown", None, None, None)
    assert survey.phase_deg == pytest.approx(0.4, abs=1e-6)
