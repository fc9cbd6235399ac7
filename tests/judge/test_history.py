"""Trends over past checks: levels, drift, proof, and the next check."""

import json
from array import array
from collections.abc import Sequence
from dataclasses import replace
from random import Random
from typing import Any

import pytest

from calc import assess, read_job
from calc.history import EngineTrend, EventTrend
from calc.judge.history import drift_of, event_trend, history
from calc.judge.past import Check, Engine, Place, Reading, check_from, check_of
from calc.judge.wanted import Wanted
from calc.measure.line import fit_line
from tests.invented import TOLERANCE, both, contact, engine_job, judged

TOLERANCE_DEG = 0.5


def found_at(hours: float, deviation: float, unit: int = 1, event: str = "end") -> Reading:
    return Reading(Place(unit, event), hours, deviation)


def left_at(hours: float, deviation: float, unit: int = 1, event: str = "end") -> Reading:
    return Reading(Place(unit, event, left=True), hours, deviation)


def check(hours: float, *readings: Reading, vessel: str = "Invented ship", **changes: Any) -> Check:
    return Check(
        **{
            "name": f"{hours:g}.json",
            "engine": Engine(vessel.casefold(), 5, "ahead"),
            "vessel": vessel,
            "hours": hours,
            "tolerance_deg": TOLERANCE_DEG,
            "places": tuple(each.place for each in readings),
            "deviations": array("d", [each.deviation_deg for each in readings]),
            **changes,
        }
    )


def checks(*readings: Reading, vessel: str = "Invented ship") -> list[Check]:
    hours = sorted({each.hours for each in readings})
    return [check(at, *(each for each in readings if each.hours == at), vessel=vessel) for at in hours]


def trend_of(readings: Sequence[Reading]) -> EventTrend:
    return event_trend(drift_of(readings), TOLERANCE_DEG)


def engine(of: Sequence[Check], wanted: Wanted | None = None) -> EngineTrend:
    return history(of, len(of), [], wanted or Wanted()).engines[0]


def test_what_a_trend_needs_of_a_job() -> None:
    tree = engine_job(readings=[*both(1, angle_off=0.125), contact(2, "spill_opening", 0.0, -0.25, stage="as_left")])
    found = check_of(read_job(str_of(tree)), judged(tree))
    assert found is not None
    assert (found.vessel, found.hours, found.tolerance_deg) == ("Invented ship", 12345.5, TOLERANCE)
    assert found.places == (Place(1, "beginning"), Place(1, "end"), Place(2, "end", left=True))
    assert [*found.deviations] == pytest.approx([0.125, 0.125, -0.25])
    assert check_from(json.loads(json.dumps(found.to_tree()))) == found


def str_of(tree: object) -> str:
    """A job file of a tree."""

    return json.dumps(tree)


def test_a_job_without_hours_takes_no_part() -> None:
    tree = engine_job(readings=both(1))
    del tree["running_hours"]
    job = read_job(str_of(tree))
    assert check_of(job, assess(job)) is None


def test_without_corrections_it_is_the_plain_line() -> None:
    points = [(1000.0, 0.02), (7000.0, 0.09), (13500.0, 0.17), (19000.0, 0.21)]
    found = trend_of([found_at(*point) for point in points])
    line = fit_line(*zip(*points, strict=True))
    assert line is not None
    assert found.slope_per_1000_h == pytest.approx(1000 * line.slope)
    assert found.u_slope_per_1000_h == pytest.approx(1000 * line.u_slope)
    assert found.provable is line.slope_proven() is True
    assert found.prediction == pytest.approx(line.prediction(19000.0))


def test_a_correction_changes_the_level_and_not_the_drift() -> None:
    """0.03 degrees in 1000 h throughout, corrected twice: found without any doubt, though found values hardly change."""
    readings = [
        found_at(6000, 0.18),
        left_at(6000, 0.0),
        found_at(12000, 0.18),
        left_at(12000, -0.05),
        found_at(18000, 0.13),
    ]
    found = trend_of(readings)
    assert found.slope_per_1000_h == pytest.approx(0.03)
    assert found.provable
    assert found.value == pytest.approx(0.13)
    assert found.hours_to_limit == pytest.approx((0.5 - 0.13) / 0.03 * 1000, rel=1e-6)
    # Taken as one line, the same values would show almost no drift.
    naive = fit_line([each.hours for each in readings], [each.deviation_deg for each in readings])
    assert naive is not None
    assert not naive.slope_proven()


def test_scatter_is_not_a_trend() -> None:
    """Honest scatter without drift is called a trend in about one of twenty cases, as 95 % says."""
    random, called = Random(7), 0
    for _ in range(400):
        readings = [found_at(6000.0 * k, random.gauss(0.1, 0.05)) for k in range(6)]
        called += trend_of(readings).provable
    assert 8 <= called <= 34


def test_two_and_one_reading() -> None:
    two = trend_of([found_at(0, 0.1), found_at(5000, 0.2)])
    assert two.slope_per_1000_h == pytest.approx(0.02)
    assert (two.u_slope_per_1000_h, two.provable) == (None, False)
    assert (two.prediction, two.hours_to_limit) == (None, None)
    one = trend_of([found_at(0, 0.1)])
    assert (one.readings, one.slope_per_1000_h, one.value, one.provable) == (1, None, None, False)


DRIFTS = [found_at(6000.0 * k, 0.06 * k + 0.002 * (-1) ** k) for k in range(6)]
STAYS = [found_at(6000.0 * k, 0.05 + 0.02 * (-1) ** (k // 2), unit=2) for k in range(6)]


def test_the_words_name_what_drifts() -> None:
    said = engine(checks(*DRIFTS, *STAYS)).text
    assert said.startswith("Unit 1, end: drifts by 0.010° later in 1000 h, proven.")
    assert "Unit 2" not in said
    assert "comes first to ±0.5°" in said
    assert engine(checks(*STAYS)).text.startswith("No trend is provable")
    assert engine(checks(*STAYS[:2])).text.startswith("No trend can be told yet")


def test_the_next_check_is_the_earliest() -> None:
    all_checks = checks(*DRIFTS, *STAYS)
    by_trend = engine(all_checks, Wanted(interval_h=80000.0)).next_check
    assert by_trend is not None
    assert by_trend.reason == "trend"
    assert 40000 < by_trend.hours < 55000
    by_interval = engine(all_checks, Wanted(interval_h=7000.0, hours_per_day=20.0)).next_check
    assert by_interval is not None
    assert (by_interval.hours, by_interval.reason, by_interval.days) == (37000.0, "interval", 350.0)
    by_parts = engine(all_checks, Wanted(interval_h=7000.0, parts_changed_hours=31000.0)).next_check
    assert by_parts is not None
    assert (by_parts.hours, by_parts.reason) == (31000.0, "parts")


def test_a_drift_that_is_not_proven_makes_nothing_due() -> None:
    found = history(checks(*STAYS), 6, [], Wanted())
    assert found.engines[0].next_check is None
    assert [notice.code for notice in found.notices] == ["no_due"]


def test_notices_of_the_next_check() -> None:
    wanted = Wanted(interval_h=7000.0, now_hours=38000.0, hours_per_day=20.0, needs_h=30.0, calls=((10.0, 12.0), (40.0, 48.0)))
    found = history(checks(*STAYS), 6, ["a.json"], wanted)
    assert [notice.code for notice in found.notices] == ["no_hours", "overdue", "no_call"]
    assert found.notices[0].where == "a.json"
    assert "due since 1000 running hours" in found.notices[1].text
    assert "in 40 days, 90 days late" in found.notices[2].text
    fits = Wanted(interval_h=7000.0, hours_per_day=20.0, needs_h=30.0, calls=((10.0, 36.0), (40.0, 48.0), (500.0, 90.0)))
    due = engine(checks(*STAYS), fits).next_check
    assert due is not None
    assert due.port_call == 2


def test_engines_are_told_apart_and_order_does_not_matter() -> None:
    mixed = [*checks(*DRIFTS, vessel="B"), *checks(*STAYS, vessel="A")]
    found = history(mixed, 12, [], Wanted(interval_h=1.0))
    assert [each.vessel for each in found.engines] == ["A", "B"]
    assert history(mixed[::-1], 12, [], Wanted(interval_h=1.0)) == found
    assert found.engines[1].checks == 6
    assert (found.engines[1].first_hours, found.engines[1].last_hours) == (0.0, 30000.0)


def test_the_last_tolerance_counts() -> None:
    """A new record can bring a new tolerance; trends are told against the one that holds now."""
    *earlier, last = checks(*DRIFTS)
    tighter = replace(last, tolerance_deg=0.4)
    found = engine([tighter, *earlier])
    assert found.tolerance_deg == 0.4
    end = found.units[0].end
    wider = engine([*earlier, last]).units[0].end
    assert end is not None
    assert wider is not None
    assert end.hours_to_limit is not None
    assert wider.hours_to_limit is not None
    assert end.hours_to_limit < wider.hours_to_limit


def codes(of: Sequence[Check], wanted: Wanted | None = None) -> dict[str, str]:
    """The notices on one engine, by code."""
    return {notice.code: notice.text for notice in history(of, len(of), [], wanted or Wanted(interval_h=9000.0)).notices}


def test_a_copy_counts_once() -> None:
    three = checks(*STAYS[:3])
    copy = replace(three[1], name="copy.json")
    assert engine([*three, copy]) == engine(three)
    assert codes([*three, copy])["twice"] == "Counted once, since another file holds the same check: copy.json."
    # Had it counted twice, the doubt would look smaller.
    both_counted = [*three, replace(copy, hours=copy.hours + 0.001)]
    assert engine(both_counted).units[0].end.readings == 4  # type: ignore[union-attr]


def test_two_checks_at_the_same_hours_count_and_are_told() -> None:
    found = [*checks(*STAYS[:3]), check(6000.0, found_at(6000.0, 0.2, unit=2), name="b.json")]
    assert engine(found).checks == 4
    assert codes(found)["same_hours"].startswith("Two checks stand at the same running hours: 6000.json and b.json (6000 h).")


def test_checks_that_say_little() -> None:
    assert codes(checks(*STAYS[:1]))["few_checks"].startswith("One check shows no drift.")
    assert codes(checks(*STAYS[:2]))["few_checks"].startswith("Two checks give a drift but no doubt of it.")
    assert "few_checks" not in codes(checks(*STAYS[:3]))
    same = [check(6000.0, found_at(6000.0, 0.1 * k), name=f"{k}.json") for k in range(3)]
    assert codes(same)["few_checks"].startswith("All checks stand at the same running hours")
    assert engine(same).text == "No trend can be told yet: too few checks (3)."


def test_changed_settings_and_gauges_are_told() -> None:
    first, second, third = checks(*STAYS[:3])
    marked = [replace(first, settings=1, gauges=7), replace(second, settings=2, gauges=7), replace(third, settings=2, gauges=8)]
    found = codes(marked)
    assert "between 0.json (0 h) and 6000.json (6000 h)" in found["settings_changed"]
    assert found["gauges_changed"].startswith("Other gauges were used in 12000.json (12000 h) than in 6000.json (6000 h).")
    unknown = [replace(first, gauges=7), second, replace(third, gauges=7)]
    assert not codes(unknown).keys() & {"settings_changed", "gauges_changed"}


def test_settings_and_gauges_are_compared_by_their_values() -> None:
    tree = engine_job(readings=both(1))
    marks = []
    for change in (None, "pre_stroke_mm", "serial"):
        if change == "pre_stroke_mm":
            tree["reference"]["units"][2][change] += 0.01
        if change == "serial":
            tree["instruments"]["valve_gauge"][change] = "X-1"
        job = read_job(str_of(tree))
        found = check_of(job, assess(job))
        assert found is not None
        marks.append((found.settings, found.gauges))
    assert marks[0][0] != marks[1][0] == marks[2][0]
    assert marks[0][1] == marks[1][1] == 0 != marks[2][1]


def test_what_was_turned_and_not_read_begins_anew() -> None:
    """Turned without a reading as left, the level is new: without that, a drift of 0.03 would look like none."""
    turned = {"unit": 1, "part": "spill_rod", "flats_turned": -1.0}
    seen = []
    for hours, deviation in ((0.0, 0.0), (6000.0, 0.18), (12000.0, 0.18), (18000.0, 0.36)):
        tree = engine_job(readings=both(1, angle_off=deviation))
        tree["running_hours"] = hours
        if hours == 6000.0:
            tree["adjustments"] = [turned]
        job = read_job(str_of(tree))
        one = check_of(job, assess(job), f"{hours:g}.json")
        assert one is not None
        seen.append(one)
    assert [place.moved for place in seen[1].places] == [False, True]
    unit = engine(seen).units[0]
    assert unit.end is not None
    assert unit.beginning is not None
    assert unit.end.slope_per_1000_h == pytest.approx(0.03, abs=1e-3)
    assert unit.beginning.slope_per_1000_h == pytest.approx(0.018, abs=1e-3)
    assert codes(seen)["moved_unread"].startswith("Turned, and not read as left: unit 1 in 6000.json.")


def test_a_cam_that_was_read_again_is_a_reading_as_left() -> None:
    tree = engine_job(readings=[*both(1), *both(1, stage="as_left")])
    tree["adjustments"] = [{"unit": 1, "part": "cam", "cam_turned_deg": 0.2}]
    job = read_job(str_of(tree))
    found = check_of(job, assess(job))
    assert found is not None
    assert not any(place.moved for place in found.places)


def fleet_of(steps: Sequence[float], common: float) -> list[Check]:
    """Five units over four checks, scattering a little, all moved by a step before the last."""
    random = Random(5)
    return [
        check(
            6000.0 * k,
            *(
                Reading(Place(unit, event), 6000.0 * k, random.gauss(0.0, 0.02) + steps[k] * common)
                for unit in range(1, 6)
                for event in ("beginning", "end")
            ),
        )
        for k in range(len(steps))
    ]


def test_a_step_of_all_units_is_told() -> None:
    found = codes(fleet_of((0, 0, 0, 1), -0.25))
    assert found["common_step"].startswith(
        "Between 12000.json (12000 h) and 18000.json (18000 h) all units moved together, by 0.2"
    )
    assert "° earlier" in found["common_step"]
    assert "common_step" not in codes(fleet_of((0, 0, 0, 1), -0.1))  # Less than a third of the tolerance.
    assert "common_step" not in codes(fleet_of((0, 0, 0, 0), 0.0))
    # One unit alone is no step of all.
    single = fleet_of((0, 0, 0, 0), 0.0)
    single[-1] = replace(single[-1], deviations=array("d", [0.6, 0.6, *single[-1].deviations[2:]]))
    assert "common_step" not in codes(single)


def test_a_drift_that_could_be_chance_is_called_so() -> None:
    """Among many events one seems to drift at 95 %; beyond what the largest of so many does, no word is said of chance."""
    random = Random(2)
    calm = [
        Reading(Place(unit, event), 6000.0 * k, random.gauss(0.0, 0.02))
        for unit in range(3, 9)
        for event in ("beginning", "end")
        for k in range(5)
    ]
    weak = [found_at(6000.0 * k, value) for k, value in enumerate((0.0, 0.04, 0.03, 0.08, 0.09))]
    strong = [found_at(6000.0 * k, 0.03 * k + 0.001 * (-1) ** k, unit=2) for k in range(5)]
    assert trend_of(weak).provable
    said = engine(checks(*calm, *weak, *strong)).text
    assert "14 events were looked at, and one in twenty seems to drift by chance." in said
    assert "whether it goes on: unit 1, end" in said
    assert "unit 2, end" not in said
    assert "chance" not in engine(checks(*weak)).text


def test_engines_of_one_vessel_are_told_apart() -> None:
    ahead = checks(*STAYS[:3])
    astern = [replace(each, engine=each.engine._replace(direction="astern")) for each in ahead]
    other = [replace(each, engine=each.engine._replace(units=9)) for each in ahead]
    found = history([*ahead, *astern, *other], 9, [], Wanted(interval_h=1.0))
    assert [(each.rotation, each.engine_units) for each in found.engines] == [("ahead", 5), ("astern", 5), ("ahead", 9)]


def test_how_a_vessel_is_written_makes_no_other_engine() -> None:
    trees = [engine_job(readings=both(1)), engine_job(readings=both(1))]
    trees[1]["vessel"] = " invented  SHIP "
    found = []
    for tree in trees:
        job = read_job(str_of(tree))
        found.append(check_of(job, assess(job)))
    assert found[0] is not None
    assert found[1] is not None
    assert found[0].engine == found[1].engine


def test_a_port_call_needs_the_hours_a_day_and_how_long_the_check_takes() -> None:
    wanted = Wanted(interval_h=7000.0, calls=((10.0, 36.0),))
    assert "Give running hours a day and hours in port" in codes(checks(*STAYS), wanted)["call_lacks"]
    with_hours = replace(wanted, hours_per_day=20.0)
    assert "Give hours in port that the check needs as well" in codes(checks(*STAYS), with_hours)["call_lacks"]
    due = engine(checks(*STAYS), with_hours).next_check
    assert due is not None
    assert due.port_call is None
    assert due.text.endswith("That is in 350 days, counted from the last check.")
    fits = engine(checks(*STAYS), replace(with_hours, needs_h=30.0, now_hours=33000.0)).next_check
    assert fits is not None
    assert fits.text.endswith("That is in 200 days. Port call 1 fits: in 10 days, 36 h.")
