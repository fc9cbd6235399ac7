"""What a cadet's work scores, counted by hand on rigs that were set up by hand: each part of the hundred points, both ways."""

from dataclasses import replace
from typing import Any

import pytest

from calc.teach.practice.answers import ALL, Named, right_answer
from calc.teach.practice.draw import doubt_of_angle, doubt_of_lift, draw
from calc.teach.practice.engine import (
    CAM,
    DRIVE,
    EVENTS,
    GAUGE_ZERO,
    LINKAGE,
    POINTER,
    SPILL,
    SPILL_ROD,
    SUCTION,
    SUCTION_ROD,
    TIMING,
    Engine,
    Fault,
)
from calc.teach.practice.rig import AS_FOUND, AS_LEFT, ASTERN, Entry, Rig
from calc.teach.practice.score import Line, Result, amount_words, fault_words, par_deg, score, size_limit

FULL = {"cause": 40, "way": 10, "size": 10, "alone": 10, "proof": 10, "cut_out": 10, "turning": 5, "safety": 5}
ZERO_INDEX = "zero_index"


def healthy() -> Engine:
    """An engine on which everything stands on its record to the last digit."""
    drawn = draw(1, 1)
    units = list(drawn.settings)
    return replace(
        drawn,
        pointer_deg=0.0,
        rod_mm={unit: dict.fromkeys(EVENTS, 0.0) for unit in units},
        cam_deg=dict.fromkeys(units, 0.0),
        pitch_mm=1.5,
        left_right=False,
        opening_min_mm=0.0,
        faults=(),
    )


def engine_with(*faults: Fault) -> Engine:
    """The same with faults, as the drawing puts them in."""
    engine = healthy()
    rods = {unit: dict(own) for unit, own in engine.rod_mm.items()}
    cams = dict(engine.cam_deg)
    for fault in faults:
        if fault.part == SUCTION_ROD:
            rods[fault.unit or 0][SUCTION] = fault.size
        elif fault.part == SPILL_ROD:
            rods[fault.unit or 0][SPILL] = fault.size
        elif fault.part == CAM:
            cams[fault.unit or 0] = fault.size
    return replace(engine, rod_mm=rods, cam_deg=cams, faults=faults)


def note(unit: int, event: str, stage: str = AS_LEFT, **more: Any) -> Entry:
    return Entry(1, unit, event, stage, mark=unit, **more)


def proved(rig: Rig, *units: int) -> None:
    """Both events and the cut-out of these units, read as left."""
    for unit in units:
        rig.notebook += [note(unit, event) for event in (*EVENTS, ZERO_INDEX)]


def points(result: Result) -> dict[str, float]:
    return {line.topic: line.points for line in result.lines}


def lost(result: Result, topic: str) -> str:
    return " ".join(next(line for line in result.lines if line.topic == topic).lost)


def corrected(*faults: Fault) -> tuple[Rig, dict[str, Named]]:
    """A rig whose faults are answered, put right and proved."""
    engine = engine_with(*faults)
    rig = Rig(engine)
    answers = {}
    for fault in faults:
        answers[ALL if fault.unit is None else str(fault.unit)] = right_answer(engine, fault)
        if fault.part in (SUCTION_ROD, SPILL_ROD):
            rig.moved.rod_mm[fault.unit or 0][SUCTION if fault.part == SUCTION_ROD else SPILL] = -fault.size
        elif fault.part == CAM:
            rig.moved.cam_deg[fault.unit or 0] = -fault.size
        elif fault.unit is None:
            rig.moved.common[fault.part] = -fault.size
    proved(rig, *engine.settings)
    return rig, answers


ROD = Fault(SUCTION_ROD, 2, 0.5)
FAULTS = [
    (ROD,),
    (Fault(SPILL_ROD, 3, -0.75),),
    (Fault(CAM, 1, 1.5),),
    (Fault(DRIVE, None, -1.2),),
    (Fault(POINTER, None, 0.9),),
    (Fault(LINKAGE, None, 2.0),),
    (Fault(TIMING, None, -0.8),),
    (Fault(GAUGE_ZERO, 1, 0.6), Fault(SPILL_ROD, 3, 0.5)),
    (ROD, Fault(SPILL_ROD, 3, -0.75)),
]


@pytest.mark.parametrize("faults", FAULTS, ids=lambda faults: "+".join(fault.part for fault in faults))
def test_work_without_a_flaw_has_all_hundred(faults: tuple[Fault, ...]) -> None:
    result = score(*corrected(*faults))
    assert [why for line in result.lines for why in line.lost] == []
    assert points(result) == FULL
    assert result.total == 100


@pytest.mark.parametrize("faults", FAULTS, ids=lambda faults: "+".join(fault.part for fault in faults))
def test_no_answer_loses_cause_way_and_size(faults: tuple[Fault, ...]) -> None:
    rig, _ = corrected(*faults)
    result = score(rig, {})
    assert points(result) == pytest.approx({**FULL, "cause": 0, "way": 0, "size": 0})
    assert result.total == 40
    assert "nothing was answered" in lost(result, "cause")


def test_of_two_faults_each_has_half() -> None:
    rig, answers = corrected(ROD, Fault(SPILL_ROD, 3, -0.75))
    del answers["3"]
    result = score(rig, answers)
    assert points(result) == pytest.approx({**FULL, "cause": 20, "way": 5, "size": 5})
    assert "Unit 3: nothing was answered" in lost(result, "cause")
    assert "Unit 3: not the right part." in lost(result, "way")
    assert result.total == 70


def test_another_cause_is_none() -> None:
    rig, _ = corrected(ROD)
    result = score(rig, {"2": Named(CAM, 1.0)})
    assert points(result) == {**FULL, "cause": 0, "way": 0, "size": 0}
    assert "Unit 2: you answered “cam position”. It is: suction push rod." in lost(result, "cause")


def test_a_cause_without_a_correction_keeps_the_points_of_the_cause() -> None:
    rig, _ = corrected(ROD)
    result = score(rig, {"2": Named(SUCTION_ROD)})
    assert points(result) == {**FULL, "way": 0, "size": 0}
    assert lost(result, "size") == "Unit 2: no correction was given."


def test_a_reading_mistake_asks_for_no_correction() -> None:
    rig, answers = corrected(Fault(GAUGE_ZERO, 1, 0.6), ROD)
    assert answers["1"] == Named(GAUGE_ZERO, None)
    assert points(score(rig, answers)) == FULL


@pytest.mark.parametrize("amount", [2.0, 0.0])
def test_the_wrong_way_costs_the_way_alone(amount: float) -> None:
    """The rod is 0.5 mm too long: two flats of 1.5 / 6 mm shorter. No flat at all is no way either, and no size."""
    rig, _ = corrected(ROD)
    result = score(rig, {"2": Named(SUCTION_ROD, amount)})
    assert points(result) == {**FULL, "way": 0, "size": 10 if amount else 0}
    assert "Right is 2 flats shorter." in lost(result, "way")


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_size_is_right_within_what_the_instruments_tell(sign: float) -> None:
    engine = engine_with(ROD)
    limit = size_limit(engine, ROD)
    rig, _ = corrected(ROD)
    for share, size in ((0.99, 10), (1.01, 0)):
        had = points(score(rig, {"2": Named(SUCTION_ROD, -2.0 + sign * share * limit)}))
        assert had == {**FULL, "size": size}


def test_what_the_instruments_tell_of_each_part() -> None:
    """Two standard uncertainties, in the measure of the part, and what a hand adds: a quarter flat, 0.05 degrees, 0.02 mm."""
    engine = healthy()
    for part, event in ((SUCTION_ROD, SUCTION), (SPILL_ROD, SPILL)):
        flats = 2.0 * doubt_of_lift(engine, event) * engine.ratio[event] / 0.25
        assert size_limit(engine, Fault(part, 1, 0.5)) == pytest.approx(flats + 0.25)
    lift = max(doubt_of_lift(engine, event) for event in EVENTS)
    assert lift > min(doubt_of_lift(engine, event) for event in EVENTS)
    # An index is told to five in a hundred of itself besides.
    assert size_limit(engine, Fault(LINKAGE, None, -2.0)) == pytest.approx(2.0 * lift / engine.per_index_mm + 0.1)
    assert size_limit(engine, Fault(TIMING, None, 0.8)) == pytest.approx(2.0 * lift + 0.02)
    for part, unit in ((CAM, 1), (DRIVE, None), (POINTER, None)):
        assert size_limit(engine, Fault(part, unit, 0.8)) == pytest.approx(2.0 * doubt_of_angle(engine) + 0.05)


# ---------------------------------------------------------------- healthy parts


def test_each_part_accused_without_reason_costs_five() -> None:
    rig, answers = corrected(ROD)
    result = score(rig, {**answers, "3": Named(CAM, 0.5)})
    assert points(result) == {**FULL, "alone": 5}
    assert lost(result, "alone") == "You named a fault of unit 3: cam position. Nothing is wrong there."
    result = score(rig, {**answers, "3": Named(CAM, 0.5), ALL: Named(DRIVE, 0.5), "1": Named(CAM, 0.5)})
    assert points(result) == {**FULL, "alone": 0}
    assert "what all units share: camshaft drive" in lost(result, "alone")
    for none in (Named("within"), Named("nothing")):
        assert points(score(rig, {**answers, "3": none, ALL: none})) == FULL


def test_each_healthy_part_that_stands_elsewhere_costs_five() -> None:
    for part, event in ((SUCTION_ROD, SUCTION), (SPILL_ROD, SPILL)):
        rig, answers = corrected(ROD)
        rig.moved.rod_mm[3][event] = -1e-5
        assert points(score(rig, answers))["alone"] == 5
        assert {SUCTION_ROD: "suction", SPILL_ROD: "spill"}[part] in lost(score(rig, answers), "alone")
    rig, answers = corrected(ROD)
    # The other rod and the cam of the faulty unit are healthy too.
    rig.moved.rod_mm[2][SPILL] = 1e-5
    rig.moved.cam_deg[2] = 1e-5
    assert points(score(rig, answers))["alone"] == 0
    rig, answers = corrected(ROD)
    rig.moved.common[POINTER] = 1e-5
    assert lost(score(rig, answers), "alone") == "The flywheel pointer was right and was moved."
    # Put back to a rounding of the computer.
    rig, answers = corrected(ROD)
    rig.moved.common[DRIVE] = rig.moved.cam_deg[1] = rig.moved.rod_mm[1][SUCTION] = 1e-7
    assert points(score(rig, answers)) == FULL


# ---------------------------------------------------------------- proof


@pytest.mark.parametrize(("share", "had"), [(0.95, 10), (1.05, 5), (-0.95, 10), (-1.05, 5)])
def test_a_unit_outside_as_left_costs_half_of_the_proof(share: float, had: int) -> None:
    rig, answers = corrected(Fault(CAM, 3, 1.5))
    rig.moved.cam_deg[3] += share * rig.engine.tolerance_deg
    result = score(rig, answers)
    assert points(result) == {**FULL, "proof": had}
    assert ("3 still outside the tolerance" in lost(result, "proof")) is (had == 5)


@pytest.mark.parametrize(("share", "had"), [(0.99, 10), (1.01, 5), (-1.01, 5)])
def test_a_pointer_that_still_shows_wrong_costs_half_of_the_proof(share: float, had: int) -> None:
    rig, answers = corrected(Fault(POINTER, None, 0.9))
    rig.moved.common[POINTER] += share * (2.0 * doubt_of_angle(rig.engine) + 0.05)
    result = score(rig, answers)
    assert points(result) == {**FULL, "proof": had}
    assert ("the flywheel pointer still shows wrong" in lost(result, "proof")) is (had == 5)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"unit": 3}, "unit 2"),
        ({"event": SUCTION}, "unit 2"),
        ({"stage": AS_FOUND}, "unit 2"),
        ({"reached": ASTERN}, "unit 2"),
        ({"other_watch": True}, "unit 2"),
        ({"struck": True}, "unit 2"),
        ({"epoch": 7}, "unit 2"),
    ],
)
def test_an_event_that_was_not_read_as_left_ahead_costs_half_of_the_proof(change: dict[str, Any], words: str) -> None:
    rig, answers = corrected(ROD)
    rig.notebook = [each for each in rig.notebook if (each.unit, each.event) != (2, SPILL)]
    assert points(score(rig, answers))["proof"] == 5
    rig.notebook.append(replace(note(2, SPILL), **change))
    result = score(rig, answers)
    assert points(result)["proof"] == 5
    assert lost(result, "proof") == f"Not read as left, ahead, at both events: {words}."
    rig.notebook.append(note(2, SPILL))
    assert points(score(rig, answers))["proof"] == 10


def test_two_units_prove_what_all_share() -> None:
    rig, answers = corrected(Fault(DRIVE, None, 1.2))
    rig.notebook = []
    proved(rig, 1)
    result = score(rig, answers)
    assert points(result) == {**FULL, "proof": 5}
    assert "2 units" in lost(result, "proof")
    proved(rig, 3)
    assert points(score(rig, answers)) == FULL


@pytest.mark.parametrize("stage", [AS_FOUND, AS_LEFT])
def test_a_unit_that_was_read_with_a_mistake_is_read_again_in_one_stage(stage: str) -> None:
    rig, answers = corrected(Fault(GAUGE_ZERO, 1, 0.6), ROD)
    rig.notebook = []
    proved(rig, 2)
    result = score(rig, answers)
    assert points(result)["proof"] == 5
    assert "unit 1 (read again)" in lost(result, "proof")
    rig.notebook.append(note(1, SUCTION, stage))
    assert points(score(rig, answers))["proof"] == 5
    rig.notebook.append(note(1, SPILL, stage))
    assert points(score(rig, answers))["proof"] == 10


# ---------------------------------------------------------------- cut-out, turning, safety


def test_an_opening_below_its_limit_costs_half_of_the_cut_out() -> None:
    rig, answers = corrected(ROD)
    opening = min(rig.opening_mm(unit) for unit in rig.engine.settings)
    for limit, had in ((opening - 0.001, 10), (opening + 0.001, 5)):
        rig.engine = replace(rig.engine, opening_min_mm=limit)
        assert points(score(rig, answers))["cut_out"] == had


def test_a_rod_that_was_moved_needs_its_cut_out_read_as_left() -> None:
    rig, answers = corrected(ROD)
    rig.notebook = [each for each in rig.notebook if each.event != ZERO_INDEX or each.unit != 2]
    result = score(rig, answers)
    assert points(result) == {**FULL, "cut_out": 5}
    assert lost(result, "cut_out") == "The zero-index opening was not read as left: unit 2."
    rig.notebook.append(note(2, ZERO_INDEX, AS_FOUND))
    assert points(score(rig, answers))["cut_out"] == 5
    rig, answers = corrected(Fault(CAM, 2, 1.5))
    rig.notebook = [each for each in rig.notebook if each.event != ZERO_INDEX]
    assert points(score(rig, answers)) == FULL


@pytest.mark.parametrize("part", [LINKAGE, TIMING])
def test_a_shared_setting_needs_the_cut_out_of_two_units(part: str) -> None:
    rig, answers = corrected(Fault(part, None, 0.8))
    rig.notebook = [each for each in rig.notebook if each.event != ZERO_INDEX]
    rig.notebook.append(note(1, ZERO_INDEX))
    result = score(rig, answers)
    assert points(result) == {**FULL, "cut_out": 5}
    assert "2 units" in lost(result, "cut_out")
    rig.notebook.append(note(2, ZERO_INDEX))
    assert points(score(rig, answers)) == FULL


def test_turning_further_than_needed_costs_a_point_and_one_more_for_each_900_degrees() -> None:
    rig, answers = corrected(ROD)
    par = 900.0 * rig.engine.units + 2400.0
    assert par_deg(rig.engine) == par
    for over, had in ((0.0, 5), (1.0, 4), (899.0, 4), (901.0, 3), (2701.0, 1), (3601.0, 0), (90000.0, 0)):
        rig.tally.turned_deg = par + over
        assert points(score(rig, answers)) == {**FULL, "turning": had}


def test_each_move_before_all_clear_costs_a_point() -> None:
    rig, answers = corrected(ROD)
    for hurried, words in ((1, "Once"), (3, "3 times")):
        rig.tally.hurried = hurried
        result = score(rig, answers)
        assert points(result) == {**FULL, "safety": 5 - hurried}
        assert lost(result, "safety").startswith(words)
    rig.tally.hurried = 9
    assert points(score(rig, answers))["safety"] == 0


def test_who_reads_nothing_has_no_points_for_care() -> None:
    rig, answers = corrected(ROD)
    rig.notebook = [note(2, SUCTION, AS_FOUND, other_watch=True)]
    result = score(rig, answers)
    assert points(result) == {**FULL, "alone": 0, "proof": 5, "cut_out": 0, "turning": 0, "safety": 0}
    assert "You took no reading." in lost(result, "turning")


def test_a_line_never_falls_below_0_and_says_each_lesson_once() -> None:
    line = Line("alone", 10.0, 10.0)
    for why in ("a", "b", "c"):
        line.lose(4.0, why, "Leave it.", ())
    assert (line.points, line.lost, len(line.learn)) == (0.0, ["a", "b", "c"], 1)


# ---------------------------------------------------------------- words with numbers in them


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        (Named(SUCTION_ROD, 1.25), "1¼ flats longer"),
        (Named(SPILL_ROD, -2.0), "2 flats shorter"),
        (Named(SPILL_ROD, -2.1), "2.10 flats (about 2 flats) shorter"),
        (Named(CAM, 0.5), "0.50° later"),
        (Named(LINKAGE, -1.5), "1.50 index steps lower"),
        (Named(TIMING, 0.8), "0.80 mm later"),
        (Named(POINTER, -0.8), "0.80° so that it shows less"),
        (Named(GAUGE_ZERO), "reading mistake: plunger gauge not zeroed on the base circle"),
    ],
)
def test_corrections_in_words(answer: Named, words: str) -> None:
    assert amount_words(answer) == words


def test_the_truth_in_words() -> None:
    engine = engine_with(ROD)
    assert fault_words(engine, ROD) == "Unit 2: suction push rod. Correction: 2 flats shorter."
    assert fault_words(engine, Fault(DRIVE, None, -1.2)) == "All units: camshaft drive. Correction: 1.20° later."
    assert fault_words(engine, Fault(GAUGE_ZERO, 4, 0.6)).endswith("The unit itself is right.")


def test_what_was_seen_beside_the_points() -> None:
    rig, answers = corrected(ROD)
    rig.tally.turned_deg, rig.tally.reversals, rig.tally.stops, rig.tally.asked = 1234.0, 1, 7, 2
    rig.notebook += [
        note(1, SUCTION, reached=ASTERN),
        note(1, SPILL, zeroed=False),
        note(1, SPILL, zeroed=False),
        replace(note(1, SPILL), mark=3),
        note(2, SPILL, reached=ASTERN, struck=True),
        note(2, SPILL, zeroed=False, other_watch=True),
    ]
    seen = list(score(rig, answers).seen)
    assert seen[0] == "You turned 1234° with 1 reversal and 7 stops."
    assert seen[1].startswith("1 reading was reached astern.")
    assert seen[2].startswith("2 readings were taken with a plunger gauge that was not zeroed")
    assert seen[3].startswith("1 reading was counted from the TDC mark of another unit.")
    assert seen[4] == "You asked for the findings 2 times."
    assert len(seen) == 5


def test_single_readings_are_seen() -> None:
    rig, answers = corrected(ROD)
    rig.tally.reversals = 2
    rig.tally.asked = 1
    seen = list(score(rig, answers).seen)
    assert "2 reversals" in seen[0]
    assert seen[1:] == [
        "Every event was read once. Repeats show how well your own hand repeats.",
        "You asked for the findings once.",
    ]
    rig.notebook.append(note(1, SUCTION))
    rig.tally.asked = 0
    assert list(score(rig, answers).seen)[1:] == ["You did not ask for the findings."]
