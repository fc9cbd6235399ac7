"""What if, on whole jobs: against the findings, and against the simulated pump moved and read again."""

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc import assess, read_job
from calc.findings import Findings, UnitFindings
from calc.job.model import AS_FOUND, AS_LEFT, Job
from calc.job.moves import UnitMoves
from calc.judge.settings import settings_of
from calc.judge.what_if import Tried, in_millimetres, latest_units, listed_moves, try_moves, what_if
from calc.pump.what_if import Moves
from tests.invented import LIFT, RATIO, SLOPE, Tree, both, contact, engine_job, entry, opening, rod_error, with_table
from tests.jobs import DEMO_FILES
from tests.judge.test_correction_carried_out import job_of, pump, readings
from tests.pump.forward import EVENTS, SPILL, SUCTION

TABLE = pytest.mark.parametrize("table", [True, False], ids=["table", "secant"])
OPENS = pytest.mark.parametrize("opens", [True, False], ids=["lengthening opens", "lengthening closes"])


def job(tree: Tree) -> tuple[Job, Findings]:
    found = read_job(json.dumps(tree))
    return found, assess(found)


def tried(tree: Tree, moves: dict[int, Moves]) -> dict[int, Tried]:
    return {each.read.unit: each for each in what_if(*job(tree), moves)}


@pytest.mark.parametrize("path", DEMO_FILES, ids=lambda path: path.stem)
def test_nothing_moved_is_as_read(path: Any) -> None:
    found = read_job(path.read_text("utf-8"))
    findings = assess(found)
    for each in what_if(found, findings, {}):
        assert each.beginning == each.read.beginning
        assert each.end == each.read.end
        assert each.cut_out == each.read.cut_out
        assert each.before == each.fuel


@pytest.mark.parametrize("path", DEMO_FILES, ids=lambda path: path.stem)
def test_the_listed_correction_is_what_the_findings_announce(path: Any) -> None:
    """By hand as `after_by_hand`; the exact one as `after_correction`."""
    found = read_job(path.read_text("utf-8"))
    findings, settings_ = assess(found), settings_of(found)
    corrected = 0
    for number, unit in latest_units(findings).items():
        rods = [each for each in unit.corrections if each.part != "cam"]
        if not rods or len(rods) != len(unit.corrections):
            continue
        by_hand = in_millimetres(listed_moves(unit, settings_.pitch_mm), settings_.pitch_mm)
        exact = Moves(**{f"{each.part.removesuffix('_rod')}_mm": getattr(each, "change_mm") for each in rods})  # noqa: B009
        for moves, announced in ((by_hand, unit.after_by_hand), (exact, unit.after_correction)):
            assert announced is not None
            (after,) = [each.after for each in what_if(found, findings, {number: moves}) if each.read.unit == number]
            for name in (
                "beginning_deviation_deg", "end_deviation_deg", "effective_stroke_mm", "zero_index_opening_mm",
            ):  # fmt: skip
                assert getattr(after, name) == pytest.approx(getattr(announced, name), abs=1e-9)
        corrected += 1
    assert corrected or path != DEMO_FILES[0]


@TABLE
@OPENS
@settings(max_examples=10)
@given(st.floats(-0.8, 0.8), st.floats(-0.8, 0.8), st.floats(-0.4, 0.4), st.floats(-0.6, 0.6))
def test_the_simulated_pump_reads_as_predicted(
    table: bool, opens: bool, suction: float, spill: float, cam_deg: float, off: float
) -> None:
    """Moved and read again, the findings of the new readings are the predicted ones, verdict and doubt of contact too."""
    unit = pump(table=table, opens=opens, left_right=True, off={SUCTION: off, SPILL: -off}, cam_deg=0.1)
    found = readings(unit, 1, AS_FOUND, "at_contact")
    predicted = tried(job_of(unit, table=table, stages={AS_FOUND: found}), {1: Moves(suction, spill, cam_deg)})[1]
    unit.rod_mm[SUCTION] += suction
    unit.rod_mm[SPILL] += spill
    unit.cam_deg += cam_deg
    left = readings(unit, 1, AS_LEFT, "at_contact")
    read = entry(job(job_of(unit, table=table, stages={AS_FOUND: found, AS_LEFT: left}))[1], 1, AS_LEFT)
    for then, now in ((predicted.beginning, read.beginning), (predicted.end, read.end)):
        assert then is not None
        assert now is not None
        assert then.deviation_deg == pytest.approx(now.deviation_deg, abs=3e-4)
        assert then.lift_mm == pytest.approx(now.lift_mm, abs=1e-9)
        if table:
            assert then.u_deg == pytest.approx(now.u_deg)
    assert read.cut_out is not None
    assert predicted.cut_out is not None
    assert predicted.cut_out.opening_mm == pytest.approx(read.cut_out.opening_mm, abs=1e-9)
    assert predicted.cut_out.probability_within == pytest.approx(read.cut_out.probability_within, abs=1e-6)
    assert read.effective_stroke_mm is not None
    assert predicted.after.effective_stroke_mm == pytest.approx(read.effective_stroke_mm.value, abs=1e-9)


def two_units() -> Tree:
    return engine_job(readings=[*both(1), *both(2)])


def test_balance_counts_the_moves_of_every_unit() -> None:
    """Strokes of 17.75 mm. Unit 1's end 0.5 mm later: 18.25. Mean 18.0: +1.389 % and -1.389 %; with unit 2 alike, 0."""
    later = -0.5 * RATIO[SPILL]
    one = tried(two_units(), {1: Moves(spill_mm=later)})
    assert [one[unit].after.effective_stroke_mm for unit in (1, 2)] == pytest.approx([18.25, 17.75])
    balance = [one[unit].fuel.imbalance_percent for unit in (1, 2)]  # type: ignore[union-attr]
    assert balance == pytest.approx([100.0 * 0.25 / 18.0, -100.0 * 0.25 / 18.0])
    alike = tried(two_units(), {1: Moves(spill_mm=later), 2: Moves(spill_mm=later)})
    assert [alike[unit].fuel.imbalance_percent for unit in (1, 2)] == pytest.approx([0.0, 0.0])  # type: ignore[union-attr]


def test_quantity_follows_the_stroke() -> None:
    """47 mm of plunger: 1734.94 mm2; 18.25 mm of stroke make 31.663 cm3."""
    fuel = tried(two_units(), {1: Moves(spill_mm=-0.5 * RATIO[SPILL])})[1].fuel
    assert fuel is not None
    assert fuel.cm3_per_cycle == pytest.approx(31.663, abs=1e-3)


def late_start(opening_mm: float | None) -> Tree:
    """Unit 1 starts 0.8 mm of lift late: its rod is named, and turning it back takes 0.9 mm from the opening."""
    found = [rod_error(1, SUCTION, 0.8), contact(1, SPILL)]
    return engine_job(readings=found if opening_mm is None else [*found, opening(1, opening_mm)])


BACK = Moves(suction_mm=-0.8 * RATIO[SUCTION])
TAKEN = 0.8 * RATIO[SPILL]


@pytest.mark.parametrize(
    ("left_mm", "level"),
    [(1.26, None), (1.25, None), (1.24, "warning"), (0.07, "warning"), (0.0625, "danger"), (-0.3, "danger")],
)
def test_the_cut_out_after_the_moves(left_mm: float, level: str | None) -> None:
    """Limit 1.25 mm, seat contact 0.0625 mm. At or below the contact it is a danger, below the limit a warning."""
    found = tried(late_start(left_mm + TAKEN), {1: BACK})[1]
    assert found.after.zero_index_opening_mm == pytest.approx(left_mm, abs=1e-12)
    assert found.level == level
    assert bool(found.stop) == (level is not None)
    if level == "danger":
        assert "might not stop" in " ".join(found.stop)
        assert "Turn no nut" in " ".join(found.stop)
        assert ("does not open" if left_mm < 0 else "opens only") in found.stop[0]


def test_a_cam_moves_both_angles_and_not_the_opening() -> None:
    found = tried(late_start(2.0), {1: Moves(cam_deg=0.3)})[1]
    assert found.after.zero_index_opening_mm == 2.0
    assert found.after.effective_stroke_mm == pytest.approx(LIFT[SPILL] - LIFT[SUCTION] - 0.8)
    for after, read in ((found.beginning, found.read.beginning), (found.end, found.read.end)):
        assert after is not None
        assert read is not None
        assert after.deviation_deg == pytest.approx(read.deviation_deg + 0.3)
        assert after.lift_mm == read.lift_mm
        assert after.cam_part_deg == pytest.approx(read.cam_part_deg + 0.3)
    assert any("maker's procedure" in words for words in found.notes)


def test_an_opening_that_was_not_read_is_unknown_and_says_what_to_read() -> None:
    found = tried(late_start(None), {1: BACK})[1]
    assert found.cut_out is None
    assert found.after.zero_index_opening_mm is None
    assert found.level is None
    assert any("not read as found" in words and "index to 0" in words for words in found.notes)


def test_an_opening_of_before_the_correction_no_longer_counts() -> None:
    tree = late_start(2.0)
    tree["readings"] += both(1, stage=AS_LEFT)
    found = tried(tree, {})[1]
    assert found.read.stage == AS_LEFT
    assert found.after.zero_index_opening_mm is None
    assert any("rods have moved since" in words for words in found.notes)


def test_what_was_not_read_has_no_number() -> None:
    found = tried(engine_job(readings=[rod_error(1, SUCTION, 0.8)]), {1: Moves(spill_mm=0.5)})[1]
    assert found.end is None
    assert found.after.effective_stroke_mm is None
    assert found.fuel is None
    assert any(words.startswith("End: not read") for words in found.notes)


def test_a_unit_that_is_within_is_left_alone() -> None:
    tree = two_units()
    attempt = try_moves(job(tree)[0], {})
    assert all(moves == UnitMoves() for moves in attempt.listed.values())
    assert any("leave it alone" in words for words in attempt.units[0].todo)
    moved = tried(tree, {1: Moves(suction_mm=0.1)})[1]
    assert any("Leave it alone" in words for words in moved.todo)


def test_a_rod_that_is_named_in_a_unit_that_is_within_is_not_offered() -> None:
    """0.22 deg of 0.5 are beyond a third of the tolerance, so the rod is named and a correction listed; yet it is within."""
    tree = engine_job(readings=[rod_error(1, SUCTION, 0.22 * SLOPE), contact(1, SPILL)])
    attempt = try_moves(job(tree)[0], {})
    assert attempt.units[0].read.verdict == "within"
    assert attempt.units[0].read.corrections
    assert attempt.listed[1] == UnitMoves()


def test_it_starts_from_the_listed_correction_as_a_hand_can_make_it() -> None:
    """0.8 mm of lift and a ratio of 0.625 make 0.5 mm; a flat of 1.75 mm pitch is 0.29167 mm: 1.714, by hand 1 3/4."""
    attempt = try_moves(job(late_start(2.0))[0], {})
    assert attempt.listed[1] == UnitMoves(suction_flats=-1.75)
    assert attempt.units[0].moves.suction_mm == pytest.approx(-1.75 * 1.75 / 6.0)


def test_without_a_pitch_rods_move_in_millimetres() -> None:
    tree = late_start(2.0)
    del tree["engine"]["rod_pitch_mm"]
    attempt = try_moves(job(tree)[0], {})
    assert attempt.listed[1] == UnitMoves(suction_mm=-0.5)
    assert attempt.units[0].moves == Moves(suction_mm=-0.5)


def test_moves_are_understood_as_people_write_them_and_a_slip_counts_as_none() -> None:
    asked: dict[str, dict[str, Any]] = {
        "1": {"suction_flats": "−1,25", "spill_flats": 0.5, "cam_deg": "a little"},
        "7": {"cam_deg": 1},
    }
    attempt = try_moves(job(late_start(2.0))[0], asked)
    moves = attempt.units[0].moves
    assert (moves.suction_mm, moves.spill_mm) == pytest.approx((-1.25 * 1.75 / 6.0, 0.5 * 1.75 / 6.0))
    assert moves.cam_deg == 0.0
    assert attempt.typed[1].errors.keys() == {"cam_deg"}
    assert 7 not in attempt.typed


def test_too_many_flats_are_told_at_their_field() -> None:
    attempt = try_moves(job(late_start(2.0))[0], {"1": {"suction_flats": "600"}})
    assert "from -60 to 60" in attempt.typed[1].errors["suction_flats"]
    assert attempt.units[0].moves == Moves()


def test_a_suspicion_says_read_again_first() -> None:
    """A wrong sign of the angle: the reading looks like nothing but a slip."""
    tree = engine_job(readings=[*both(1), *both(2), *both(3), contact(4, SUCTION, 0.0, 39.0), contact(4, SPILL)])
    found = tried(tree, {})[4]
    assert found.read.suspicions
    assert found.todo[0].startswith("Read again first")


def test_contradicting_events_say_correct_nothing() -> None:
    tree = engine_job(readings=[contact(1, SUCTION, 0.0, 0.6), contact(1, SPILL, 0.0, -0.6)])
    found = tried(tree, {})[1]
    assert any("Correct nothing" in words for words in found.todo)


def test_what_all_units_share_is_said() -> None:
    off = 0.5
    tree = engine_job(readings=[each for unit in range(1, 6) for each in both(unit, 0.0, off)])
    assert any("flywheel pointer first" in words for words in tried(tree, {})[2].todo)
    tree = engine_job(
        readings=[each for unit in range(1, 6) for each in (rod_error(unit, SPILL, off * SLOPE), contact(unit, SUCTION))]
    )
    assert any("Turn no rod for the end" in words for words in tried(tree, {})[2].todo)


def test_what_a_prediction_rests_on_is_said() -> None:
    tree = late_start(2.0)
    del tree["engine"]["valve_ratio_suction"]
    del tree["engine"]["rod_lengthening_opens"]
    words = " ".join(tried(tree, {1: Moves(suction_mm=-0.1)})[1].notes)
    assert "valve ratio, suction" in words
    assert "holds its valve further open" in words
    assert "valve ratio, spill" not in words
    assert "rests on" not in " ".join(tried(tree, {})[1].notes)


def test_the_latest_stage_counts_and_no_finding_changes() -> None:
    tree = late_start(2.0)
    tree["readings"] += both(1, 0.1, 0.1, stage=AS_LEFT)
    found, findings = job(tree)
    before = findings.to_json()
    units: list[UnitFindings] = [each.read for each in what_if(found, findings, {1: BACK})]
    assert [unit.stage for unit in units] == [AS_LEFT]
    assert findings.to_json() == before == assess(found).to_json()


@pytest.mark.parametrize("event", EVENTS)
def test_a_move_beyond_the_table_is_told(event: str) -> None:
    rod = {SUCTION: Moves(suction_mm=-12.0), SPILL: Moves(spill_mm=-25.0)}[event]
    found = tried(with_table(engine_job(readings=both(1))), {1: rod})[1]
    assert any("beyond the cam lift table" in words for words in found.notes)
