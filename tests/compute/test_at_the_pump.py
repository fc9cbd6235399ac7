"""Trial and measuring as a form asks them: texts in, answer out, slips at their field, empty fields taken from the job."""

import json
from typing import Any

import pytest

from calc import assess, read_job
from calc.compute.answer import DANGER, NOTE, NOTICE, WARNING, Answer
from calc.compute.ask import Asked
from calc.compute.ask import ask as ask_for
from calc.compute.registry import CALCULATIONS
from calc.findings import Findings
from calc.job.model import Job
from calc.show.asked import told
from tests.invented import CAM, RATIO, SEAT, SLOPE, SUCTION, contact, engine_job, rod_error, with_table
from tests.pump.forward import SPILL

# One flat of 1.5 mm pitch is 0.25 mm. Gauges: u_v = sqrt(2 x 0.01^2 / 12 + 0.004^2 / 3) = 0.00469 mm, twice 1.96: 0.0092 mm.
TRIAL = {
    "event": SUCTION,
    "direction": "longer",
    "flats": "1",
    "pitch_mm": "1,5",
    "thread": "one thread",
    "lengthening_opens": "yes",
    "ratio": "0.8",
    "valve_step_mm": "0.01",
    "valve_limit_mm": "0.004",
    "valve_before_mm": "0.03",
}
CONTACT = {"plunger_step_mm": "0.01", "plunger_limit_mm": "0.012", "lift_before_mm": "12.31"}


def ask(name: str, texts: dict[str, str], job: Job | None = None, findings: Findings | None = None) -> Asked:
    return ask_for(CALCULATIONS[name], texts, job, findings)


def answer_of(asked: Asked) -> Answer:
    assert asked.computed is not None, asked.typed
    assert asked.computed.answer is not None
    return asked.computed.answer


def result_of(asked: Asked) -> Any:
    return answer_of(asked).result


def words_of(asked: Asked) -> str:
    return " ".join(each.text for each in answer_of(asked).notices)


def codes_of(asked: Asked) -> set[str]:
    return {each.code for each in answer_of(asked).notices}


def trial(**more: str) -> Asked:
    return ask("trial", {**TRIAL, **more})


def test_the_prediction_before_a_nut_turns() -> None:
    """From 0.03 to 0.28 mm; contact from 12.31 by 0.25 / 0.8 = 0.3125 to 12.6225 mm."""
    asked = trial(**CONTACT)
    result = result_of(asked)
    assert result.rod_change_mm == pytest.approx(0.25)
    assert result.expected_valve_mm == pytest.approx(0.28)
    assert result.expected_lift_mm == pytest.approx(12.6225)
    assert result.valve_verdict is None
    assert "from 0.030 to 0.280 mm" in words_of(asked)
    assert "12.62 mm of plunger lift" in words_of(asked)


def test_towards_the_seat_the_gauge_tells_no_amount() -> None:
    asked = trial(direction="shorter")
    assert result_of(asked).expected_valve_mm is None
    assert "come to sit" in words_of(asked)
    assert "more than 0.25 mm" in words_of(asked)


def test_at_the_reference_lift_a_late_start_can_be_seen_in_either_direction() -> None:
    """D 0.65 mm late and ratio 0.8: the gauge shows 0.03 + 0.52 = 0.55 mm; a flat shorter, 0.30 mm."""
    asked = trial(direction="shorter", lift_error_mm="0.65", seat_contact_mm="0.03")
    result = result_of(asked)
    assert (result.reference_valve_mm, result.expected_reference_valve_mm) == pytest.approx((0.55, 0.30))
    assert "from 0.550 to 0.300 mm" in words_of(asked)


def test_as_predicted_proves_it() -> None:
    asked = trial(valve_after_mm="0,285")
    result = result_of(asked)
    assert result.valve_verdict == "as_predicted"
    assert result.used_rod_per_lift == 0.8
    assert result.used_lengthening_opens is True
    assert "Go on" in words_of(asked)
    assert WARNING not in codes_of(asked)
    assert "cannot tell the valve ratio" in words_of(asked)


def test_the_other_way_is_a_warning_and_turns_the_sense() -> None:
    """The gauge falls from 0.60 to 0.35 though a longer rod should open. D is 0.31 mm late: -0.248, turned +0.248."""
    asked = trial(valve_before_mm="0.60", valve_after_mm="0.35", lift_error_mm="0.31")
    result = result_of(asked)
    assert result.valve_verdict == "other_way"
    assert result.effect == pytest.approx(-1.0)
    assert result.used_lengthening_opens is False
    assert WARNING in codes_of(asked)
    assert "set it to “no”" in words_of(asked)
    assert result.change_mm == pytest.approx(0.248)
    # 0.992 flats in all, 1 is turned already.
    assert result.flats_to_go == pytest.approx(-0.008)
    assert result.hand_flats_to_go == 0.0


def test_a_valve_that_sits_after_a_flat_that_should_open_it_went_the_other_way() -> None:
    result = result_of(trial(valve_after_mm="0"))
    assert result.valve_verdict == "other_way"
    assert result.effect is None


def test_twice_the_amount_points_at_the_thread() -> None:
    """0.50 mm for 0.25 mm of rod: e = 2. A correction of 0.8 x 0.31 = 0.248 mm as reckoned needs half of it: 0.496 flats."""
    asked = trial(valve_before_mm="0.10", valve_after_mm="0.60", lift_error_mm="-0.31")
    result = result_of(asked)
    assert result.valve_verdict == "other_amount"
    assert result.effect == pytest.approx(2.0)
    assert "left-and-right thread" in words_of(asked)
    assert result.used_rod_per_lift == pytest.approx(0.4)
    assert result.flats == pytest.approx(0.496)
    assert result.flats_to_go == pytest.approx(-0.504)
    assert result.hand_flats_to_go == -0.5


def test_another_amount_at_contact_calibrates_the_ratio() -> None:
    """Contact moves 0.25 mm of lift instead of 0.3125: 1 mm of lift needs 1 mm of rod, not 0.8 mm."""
    asked = trial(**CONTACT, lift_after_mm="12.56", lift_error_mm="-0.75")
    result = result_of(asked)
    assert result.lift_verdict == "other_amount"
    assert result.rod_per_lift == pytest.approx(1.0)
    assert result.used_rod_per_lift == pytest.approx(1.0)
    assert result.change_mm == pytest.approx(0.75)
    assert result.flats_to_go == pytest.approx(2.0)
    assert "1.000 mm of rod, not 0.800 mm" in words_of(asked)
    assert "lengthen the rod by 2 flats" in words_of(asked)


def test_an_amount_that_no_ratio_explains_calibrates_nothing() -> None:
    asked = trial(**CONTACT, lift_after_mm="13.81", lift_error_mm="-0.75")
    result = result_of(asked)
    assert result.used_rod_per_lift is None
    assert result.flats_to_go is None
    assert "No thread and no ratio explains that much" in words_of(asked)


def test_gauges_that_contradict_each_other_calibrate_nothing() -> None:
    asked = trial(valve_after_mm="0.28", **CONTACT, lift_after_mm="12.00")
    assert result_of(asked).used_rod_per_lift is None
    assert "opposite directions" in words_of(asked)


def test_a_gauge_that_has_not_moved() -> None:
    asked = trial(valve_after_mm="0.03")
    assert result_of(asked).valve_verdict == "not_moved"
    assert "lock nut" in words_of(asked)


def test_how_exactly_the_flat_was_turned_counts() -> None:
    """0.265 mm for 0.25 is off by 0.015, beyond 0.0092. To within 0.04 flat: 0.04 / sqrt(3) x 0.25 = 0.00577, with u_v
    0.00745, 1.96 times that 0.0146. To within 0.045 flat it is 0.0157.
    """
    assert result_of(trial(valve_after_mm="0.295")).valve_verdict == "other_amount"
    assert result_of(trial(valve_after_mm="0.295", flats_within="0.04")).valve_verdict == "other_amount"
    assert result_of(trial(valve_after_mm="0.295", flats_within="0.045")).valve_verdict == "as_predicted"


def test_how_exactly_the_flat_was_turned_counts_at_contact_through_the_ratio() -> None:
    """u_p 0.00804, u_v / 0.8 = 0.00586; a tenth of a flat 0.01443 / 0.8 = 0.01804. All three 0.0206, times 1.96: 0.0404.

    Predicted 0.3125 mm: 0.3505 is off by 0.038, and 0.3535 by 0.041.
    """
    assert result_of(trial(**CONTACT, lift_after_mm="12.6605", flats_within="0.1")).lift_verdict == "as_predicted"
    assert result_of(trial(**CONTACT, lift_after_mm="12.6635", flats_within="0.1")).lift_verdict == "other_amount"


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"valve_before_mm": "0"}, "valve_before_mm"),
        ({"valve_before_mm": "", "valve_after_mm": "0.28"}, "valve_before_mm"),
        ({"lift_after_mm": "12.6"}, "lift_before_mm"),
    ],
)
def test_what_cannot_be_compared_is_told_at_its_field(more: dict[str, str], field: str) -> None:
    asked = trial(**more)
    assert field in asked.typed.errors
    assert asked.computed is None


def test_slips_and_gaps_are_told_at_their_fields() -> None:
    asked = ask("trial", {**TRIAL, "flats": "one", "ratio": "99", "pitch_mm": ""})
    assert asked.computed is None
    assert asked.typed.errors.keys() == {"flats", "ratio"}
    assert "at most 10" in asked.typed.errors["ratio"]
    assert list(asked.typed.missing) == ["pitch_mm"]


RATIO_POINTS = {
    "event": SUCTION,
    "plunger_1_mm": "12.00 12.01",
    "valve_1_mm": "0.03 0.03",
    "plunger_2_mm": "11.00",
    "valve_2_mm": "0.83",
    "plunger_step_mm": "0.01",
    "plunger_limit_mm": "0.012",
    "valve_step_mm": "0.01",
    "valve_limit_mm": "0.004",
}


def test_a_ratio_from_two_points() -> None:
    """0.80 mm of valve for 1.005 mm of plunger: 0.79602."""
    asked = ask("valve_ratio", RATIO_POINTS | {"stated_ratio": "0.8"})
    result = result_of(asked)
    assert result.ratio == pytest.approx(0.80 / 1.005)
    assert result.agrees is True
    assert "Leave that as it is" in words_of(asked)


def test_a_ratio_upside_down_is_recognised() -> None:
    asked = ask("valve_ratio", RATIO_POINTS | {"stated_ratio": "1.25"})
    assert result_of(asked).agrees is False
    assert "upside down" in words_of(asked)


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"valve_2_mm": "0"}, "valve_2_mm"),
        ({"valve_1_mm": "0.9 0.9"}, "valve_2_mm"),
        ({"event": "spill_opening"}, "valve_2_mm"),
        ({"plunger_2_mm": "12.0"}, "plunger_2_mm"),
        ({"valve_1_mm": "0.03"}, "valve_1_mm"),
    ],
    ids=["on its seat", "falls", "the other valve", "too close", "unequal lists"],
)
def test_points_that_give_no_ratio(more: dict[str, str], field: str) -> None:
    asked = ask("valve_ratio", RATIO_POINTS | more)
    assert asked.computed is None
    assert list(asked.typed.errors) == [field]


SLOPE_POINTS = {
    "plunger_1_mm": "9.0",
    "angle_1_deg": "20 before",
    "plunger_2_mm": "10.5",
    "angle_2_deg": "19,0 before",
    "plunger_step_mm": "0.01",
    "plunger_limit_mm": "0.012",
    "scale_step_deg": "0.05",
}


def test_a_slope_from_two_points_says_that_nothing_was_repeated() -> None:
    asked = ask("cam_slope", SLOPE_POINTS)
    assert result_of(asked).slope == pytest.approx(1.5)
    assert result_of(asked).agrees is None
    assert "Nothing was read twice" in words_of(asked)


def test_a_slope_that_falls_is_no_rising_flank() -> None:
    asked = ask("cam_slope", SLOPE_POINTS | {"angle_2_deg": "21 before"})
    assert list(asked.typed.errors) == ["plunger_2_mm"]
    asked = ask("cam_slope", SLOPE_POINTS | {"angle_2_deg": "20 before"})
    assert list(asked.typed.errors) == ["angle_2_deg"]


THREAD = {
    "direction": "longer",
    "flats": "6",
    "pitch_mm": "1.5",
    "thread": "single",
    "length_1_mm": "45",
    "visible_1_mm": "18",
    "least_mm": "20",
}


def thread(**more: str) -> Asked:
    return ask("thread", {**THREAD, **more})


def test_thread_left_by_hand() -> None:
    """27 mm inside, 1.5 mm out: 25.5. With a left-and-right thread 3 mm longer, 1.5 mm at each end."""
    assert result_of(thread()).after_1_mm == pytest.approx(25.5)
    both = result_of(thread(thread="left_right", length_2_mm="40", visible_2_mm="15"))
    assert (both.change_mm, both.after_1_mm, both.after_2_mm) == pytest.approx((3.0, 25.5, 23.5))
    assert codes_of(thread()) == {NOTE}


@pytest.mark.parametrize(
    ("least", "code"), [("25.5", NOTE), ("25.51", WARNING), ("20", NOTE)], ids=["just enough", "too little", "plenty"]
)
def test_the_least_engagement(least: str, code: str) -> None:
    assert codes_of(thread(least_mm=least)) == {NOTE, code}


def test_a_rod_that_comes_apart_is_a_danger() -> None:
    """27 mm inside; 60 flats of a 3 mm pitch are 30 mm."""
    asked = thread(flats="60", pitch_mm="3")
    assert DANGER in codes_of(asked)
    assert "come apart" in words_of(asked)


def test_a_shorter_rod_can_bottom() -> None:
    assert "bottom" in words_of(thread(direction="shorter", depth_mm="28"))
    assert "bottom" not in words_of(thread(direction="shorter", depth_mm="28.5"))


def test_the_other_end_is_asked_for_where_it_moves() -> None:
    asked = thread(thread="left_right")
    assert asked.typed.errors.keys() == {"length_2_mm", "visible_2_mm"}
    assert thread(visible_1_mm="45").typed.errors.keys() == {"visible_1_mm"}


def test_the_makers_figures_are_asked_for_never_stood_in_for() -> None:
    asked = ask("thread", {}, *job())
    assert set(asked.typed.missing) == {"direction", "flats", "length_1_mm", "visible_1_mm", "least_mm"}


def job(table: bool = False, **engine: Any) -> tuple[Job, Findings]:
    tree = engine_job(readings=[rod_error(1, SUCTION, 0.8), contact(1, SPILL)])
    tree["engine"] = {key: value for key, value in {**tree["engine"], **engine}.items() if value is not None}
    found = read_job(json.dumps(with_table(tree) if table else tree))
    return found, assess(found)


def test_empty_fields_are_taken_from_the_job_and_what_is_typed_stands() -> None:
    asked = ask("trial", {"unit": "1", "event": SUCTION, "direction": "longer", "flats": "1", "ratio": "0.9"}, *job())
    assert asked.typed.values["pitch_mm"] == 1.75
    assert asked.typed.values["ratio"] == 0.9
    assert "ratio" not in asked.taken
    assert asked.typed.values["lift_before_mm"] == pytest.approx(9.5 + 0.8)
    assert asked.typed.values["lift_error_mm"] == pytest.approx(0.8)
    assert asked.typed.values["valve_before_mm"] == SEAT
    assert asked.computed is not None


def test_the_ratio_is_that_of_the_event() -> None:
    for event, ratio in RATIO.items():
        assert ask("trial", {"event": event}, *job()).typed.values["ratio"] == ratio


def test_a_stand_in_of_the_job_is_asked_for() -> None:
    """The file may leave the thread out and the findings then take one thread; a trial asks."""
    found = job(rod_thread=None, rod_lengthening_opens=None)
    asked = ask("trial", {"event": SUCTION, "direction": "longer", "flats": "1"}, *found)
    assert {"thread", "lengthening_opens"} <= set(asked.typed.missing)


def test_the_slope_in_use_is_the_tables_or_the_secants() -> None:
    points = {"unit": "1", "event": SUCTION, **{key: SLOPE_POINTS[key] for key in SLOPE_POINTS if "scale" not in key}}
    secant = ask("cam_slope", points, *job())
    assert secant.typed.values["stated_slope"] == pytest.approx(SLOPE, abs=1e-4)
    assert secant.typed.values["stated_within_percent"] == 15.0
    table = ask("cam_slope", points, *job(table=True))
    assert "stated_within_percent" not in table.typed.values
    # The cam's own formula, between the two lifts.
    chord = 1.5 / float(CAM.angle_at(10.5) - CAM.angle_at(9.0))
    assert table.typed.values["stated_slope"] == pytest.approx(chord, rel=1e-3)


def test_rules_between_fields_wait_until_nothing_is_missing() -> None:
    """An empty form with a left-and-right thread asks; it does not scold."""
    asked = ask("thread", {"thread": "left_right"})
    assert asked.typed.errors == {}
    assert "length_1_mm" in asked.typed.missing


def test_hazards_stand_under_their_signal_words() -> None:
    shown = told(thread(flats="60", pitch_mm="3"))
    assert '<div class="sm-signal sm-danger" role="note"><strong>Danger</strong>' in shown["html"]
    shown = told(thread(least_mm="26"))
    assert '<div class="sm-signal sm-warning" role="note"><strong>Warning</strong>' in shown["html"]


def test_a_screen_reader_hears_the_answer_and_no_asides() -> None:
    asked = trial(valve_after_mm="0,285")
    assert NOTICE in codes_of(asked)
    said = told(asked)["said"]
    assert "Go on" in said
    assert "cannot tell the valve ratio" not in said


def test_results_are_told_to_a_tenth_of_a_micrometre() -> None:
    html = told(trial(pitch_mm="1.25"))["html"]
    assert "<dd>0.2083 mm</dd>" in html
