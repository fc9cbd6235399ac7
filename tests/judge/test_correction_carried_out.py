"""A correction carried out on the simulated pump brings the deviation to the predicted rest, and the cut-out with it."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.findings import AfterCorrection, CamCorrection, RodCorrection, UnitFindings
from calc.job.model import AS_FOUND, AS_LEFT
from calc.pump.cause import SPILL_ROD, SUCTION_ROD
from tests.invented import ANGLE, CAM, LIFT, RATIO, SEAT, SLOPE, Tree, engine_job, entry, judged, opening, with_table
from tests.pump.forward import EVENTS, SPILL, SUCTION, Pump, Straight

EVENT_OF = {SUCTION_ROD: SUCTION, SPILL_ROD: SPILL}
Off = dict[str, float]


def pump(*, table: bool, opens: bool, left_right: bool, off: Off, cam_deg: float) -> Pump:
    """One unit of the invented engine. Without a table its cam is the secant itself, so that nothing is approximate."""
    return Pump(
        cam=CAM if table else Straight(SLOPE),
        reference_mm=LIFT,
        reference_deg=ANGLE,
        ratio=RATIO,
        seat_mm=SEAT,
        w_mm=2.5,
        pitch_mm=1.75,
        left_right=left_right,
        opens=opens,
        off_mm=dict(off),
        cam_deg=cam_deg,
    )


def readings(unit: Pump, number: int, stage: str, method: str) -> list[Tree]:
    """What this pump's gauges show, to the last digit."""
    found = []
    for event in EVENTS:
        key = "plunger_lift_mm" if method == "at_contact" else "valve_lift_mm"
        lift, angle = unit.at_contact(event) if method == "at_contact" else unit.at_reference_lift(event)
        reading = {"unit": number, "stage": stage, "event": event, "method": method, key: [lift], "crank_angle_deg": [angle]}
        found.append(reading)
    return [*found, opening(number, unit.opening_at_index_0_mm(), stage)]


def job_of(unit: Pump, *, table: bool, stages: dict[str, list[Tree]]) -> Tree:
    def change(tree: Tree) -> None:
        tree["engine"]["rod_thread"] = "left_right" if unit.left_right else "single"
        tree["engine"]["rod_lengthening_opens"] = unit.opens

    tree = engine_job(readings=[reading for each in stages.values() for reading in each], change=change)
    return with_table(tree, step_deg=0.5) if table else tree


def findings_of(
    unit: Pump, table: bool, method: str, carry_out: Callable[[UnitFindings, Pump], None]
) -> tuple[UnitFindings, UnitFindings]:
    """The unit as found, and as left once its correction has been carried out."""
    found = readings(unit, 1, AS_FOUND, method)
    before = entry(judged(job_of(unit, table=table, stages={AS_FOUND: found})), 1)
    carry_out(before, unit)
    left = readings(unit, 1, AS_LEFT, method)
    return before, entry(judged(job_of(unit, table=table, stages={AS_FOUND: found, AS_LEFT: left})), 1, AS_LEFT)


def assert_as_predicted(predicted: AfterCorrection | None, left: UnitFindings, within: float) -> None:
    assert predicted is not None
    assert left.beginning is not None
    assert left.end is not None
    assert left.effective_stroke_mm is not None
    assert left.cut_out is not None
    assert left.beginning.deviation_deg == pytest.approx(predicted.beginning_deviation_deg, abs=within)
    assert left.end.deviation_deg == pytest.approx(predicted.end_deviation_deg, abs=within)
    assert left.effective_stroke_mm.value == pytest.approx(predicted.effective_stroke_mm, abs=1e-9)
    assert left.cut_out.opening_mm == pytest.approx(predicted.zero_index_opening_mm, abs=1e-9)


def exactly(before: UnitFindings, unit: Pump) -> None:
    for each in before.corrections:
        assert isinstance(each, RodCorrection)
        unit.rod_mm[EVENT_OF[each.part]] += each.change_mm


def by_hand(before: UnitFindings, unit: Pump) -> None:
    for each in before.corrections:
        assert isinstance(each, RodCorrection)
        assert each.hand_flats is not None
        assert (each.hand_flats * 4).is_integer()
        unit.turn(EVENT_OF[each.part], each.hand_flats)


def named_rods(unit: UnitFindings) -> set[str]:
    return {each.part for each in unit.corrections}


ONE_AND_BOTH: dict[str, Off] = {
    "suction rod late": {SUCTION: 0.45, SPILL: 0.0},
    "suction rod early": {SUCTION: -0.45, SPILL: 0.0},
    "spill rod late": {SUCTION: 0.0, SPILL: 0.6},
    "spill rod early": {SUCTION: 0.0, SPILL: -0.6},
    "both rods": {SUCTION: 0.5, SPILL: -0.7},
}
TABLE = pytest.mark.parametrize("table", [True, False], ids=["table", "secant"])
OPENS = pytest.mark.parametrize("opens", [True, False], ids=["lengthening opens", "lengthening closes"])
THREAD = pytest.mark.parametrize("left_right", [False, True], ids=["one thread", "left-and-right thread"])


@TABLE
@OPENS
@THREAD
@pytest.mark.parametrize("off", list(ONE_AND_BOTH.values()), ids=list(ONE_AND_BOTH))
def test_exact_correction(table: bool, opens: bool, left_right: bool, off: Off) -> None:
    unit = pump(table=table, opens=opens, left_right=left_right, off=off, cam_deg=0.125)
    before, left = findings_of(unit, table, "at_contact", exactly)
    assert named_rods(before) == {rod for rod, event in EVENT_OF.items() if off[event]}
    assert_as_predicted(before.after_correction, left, within=2e-4 if table else 1e-9)
    # Only the cam part is left: no rod can cure it.
    assert left.beginning is not None
    assert left.beginning.deviation_deg == pytest.approx(0.125, abs=1e-3)
    assert left.corrections == ()


@TABLE
@OPENS
@THREAD
@pytest.mark.parametrize("off", list(ONE_AND_BOTH.values()), ids=list(ONE_AND_BOTH))
def test_correction_by_hand(table: bool, opens: bool, left_right: bool, off: Off) -> None:
    unit = pump(table=table, opens=opens, left_right=left_right, off=off, cam_deg=-0.0625)
    before, left = findings_of(unit, table, "at_contact", by_hand)
    assert_as_predicted(before.after_by_hand, left, within=2e-4 if table else 1e-9)
    assert before.after_by_hand != before.after_correction


@OPENS
def test_correction_read_at_reference_lift(opens: bool) -> None:
    """Late start and early end: both valves are off their seat at the reference lift, before and after."""
    unit = pump(table=False, opens=opens, left_right=False, off={SUCTION: 0.5, SPILL: -0.7}, cam_deg=0.0)
    before, left = findings_of(unit, False, "at_reference_lift", exactly)
    assert named_rods(before) == {SUCTION_ROD, SPILL_ROD}
    assert_as_predicted(before.after_correction, left, within=1e-9)


@TABLE
@OPENS
@THREAD
@settings(max_examples=12)
@given(st.floats(-1.2, 1.2), st.floats(-1.2, 1.2), st.floats(-0.3, 0.3))
def test_any_rod_error(table: bool, opens: bool, left_right: bool, suction: float, spill: float, cam_deg: float) -> None:
    for carry_out in (exactly, by_hand):
        unit = pump(table=table, opens=opens, left_right=left_right, off={SUCTION: suction, SPILL: spill}, cam_deg=cam_deg)
        before, left = findings_of(unit, table, "at_contact", carry_out)
        if not before.corrections:
            continue
        predicted = before.after_correction if carry_out is exactly else before.after_by_hand
        assert_as_predicted(predicted, left, within=3e-4 if table else 1e-9)


@OPENS
def test_the_trial_flat_shows_what_was_announced(opens: bool) -> None:
    """One flat in the direction of the correction, then the gauge is read again at contact."""
    for event in EVENTS:
        unit = pump(table=False, opens=opens, left_right=True, off={**dict.fromkeys(EVENTS, 0.0), event: 0.8}, cam_deg=0.0)
        tree = job_of(unit, table=False, stages={AS_FOUND: readings(unit, 1, AS_FOUND, "at_contact")})
        (correction,) = entry(judged(tree), 1).corrections
        assert isinstance(correction, RodCorrection)
        unit.turn(event, 1.0 if correction.change_mm > 0 else -1.0)
        assert unit.contact_mm(event) == pytest.approx(correction.trial_lift_mm, abs=1e-9)


def test_a_wrong_sense_of_lengthening_doubles_the_error() -> None:
    """Why the first flat is a trial: with the wrong sense the deviation grows instead."""
    unit = pump(table=False, opens=True, left_right=False, off={SUCTION: 0.5, SPILL: 0.0}, cam_deg=0.0)

    def wrongly(before: UnitFindings, turned: Pump) -> None:
        for each in before.corrections:
            assert isinstance(each, RodCorrection)
            turned.rod_mm[SUCTION] -= each.change_mm

    before, left = findings_of(unit, False, "at_contact", wrongly)
    assert before.beginning is not None
    assert left.beginning is not None
    assert left.beginning.deviation_deg == pytest.approx(2 * before.beginning.deviation_deg)


def engine_with_a_moved_cam(own_deg: float) -> tuple[dict[int, Pump], Any]:
    units = {
        number: pump(
            table=False, opens=True, left_right=False, off=dict.fromkeys(EVENTS, 0.0), cam_deg=own_deg if number == 2 else 0.1
        )
        for number in range(1, 6)
    }

    def tree(stage: str, pumps: dict[int, Pump]) -> list[Tree]:
        return [reading for number, unit in pumps.items() for reading in readings(unit, number, stage, "at_contact")]

    return units, tree


@pytest.mark.parametrize("own_deg", [0.9, -0.9])
def test_a_cam_that_is_moved_back(own_deg: float) -> None:
    """The cam's own part is taken out, both angles move, and the opening at index 0 stays."""
    units, tree = engine_with_a_moved_cam(own_deg)
    found = tree(AS_FOUND, units)
    before = entry(judged(engine_job(readings=found)), 2)
    (correction,) = before.corrections
    assert isinstance(correction, CamCorrection)
    moved = {**units, 2: replace(units[2], cam_deg=units[2].cam_deg + correction.change_deg)}
    left = entry(judged(engine_job(readings=found + tree(AS_LEFT, moved))), 2, AS_LEFT)
    assert_as_predicted(before.after_correction, left, within=1e-9)
    assert left.beginning is not None
    assert left.beginning.deviation_deg == pytest.approx(0.1, abs=1e-9)
