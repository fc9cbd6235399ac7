"""Dilution, cooling and the change-over: keys, nulls, notices and errors."""

from typing import Any

import pytest

from tests.compute.answers import errors, example, notices, result, status, told, words


def test_dilution() -> None:
    found = result("dilution", volume_m3=8, flow_m3_h=1.5, start=0.5, feed=0.08, target=0.1)
    assert found == {"hours": pytest.approx(16.23745300119159), "volumes": pytest.approx(3.0445224377234)}


@pytest.mark.parametrize(("feed", "target"), [(0.1, 0.1), (0.1, 0.05), (0.1, 0.6), (0.5, 0.4)])
def test_a_target_that_is_never_reached(feed: float, target: float) -> None:
    given: dict[str, Any] = {"volume_m3": 8, "flow_m3_h": 1.5, "start": 0.5, "feed": feed, "target": target}
    assert result("dilution", **given) == {"hours": None, "volumes": None}
    assert notices("dilution", **given) == [("no_answer", "target")]
    assert status("dilution", **given) == 1
    assert "never reached" in told("dilution", **given)


def test_a_target_that_is_there_already() -> None:
    assert result("dilution", volume_m3=8, flow_m3_h=1.5, start=0.5, feed=0.1, target=0.5) == {"hours": 0.0, "volumes": 0.0}
    assert result("dilution", volume_m3=8, flow_m3_h=1.5, start=0.5, feed=0.5, target=0.5) == {"hours": 0.0, "volumes": 0.0}


def test_cooling_and_heating() -> None:
    expected = {
        "steepest_c_per_min": pytest.approx(0.28125),
        "largest_flow_m3_h": pytest.approx(10.6666667),
        "least_minutes": pytest.approx(45.0),
    }
    given: dict[str, Any] = {"volume_m3": 8, "flow_m3_h": 1.5, "limit_c_per_min": 2}
    assert result("cooling", **given, start_c=130, feed_c=40) == expected
    assert result("cooling", **given, start_c=40, feed_c=130) == expected


def test_equal_temperatures_limit_no_flow() -> None:
    given: dict[str, Any] = {"volume_m3": 8, "flow_m3_h": 1.5, "limit_c_per_min": 2, "start_c": 40, "feed_c": 40}
    assert result("cooling", **given) == {"steepest_c_per_min": 0.0, "largest_flow_m3_h": None, "least_minutes": 0.0}
    assert notices("cooling", **given) == [("no_answer", "feed_c")]


def test_too_steep_is_told_with_the_flow_that_would_do() -> None:
    given: dict[str, Any] = {"volume_m3": 0.5, "flow_m3_h": 1.5, "limit_c_per_min": 2, "start_c": 130, "feed_c": 40}
    assert notices("cooling", **given) == [("warning", "flow_m3_h")]
    assert status("cooling", **given) == 0
    assert "0.666667 m³/h" in told("cooling", **given)


@pytest.mark.parametrize("key", ["volume_m3", "flow_m3_h", "limit_c_per_min"])
@pytest.mark.parametrize("value", [0, -1, "8", True, None])
def test_what_has_to_be_above_zero(key: str, value: Any) -> None:
    given: dict[str, Any] = {"volume_m3": 8, "flow_m3_h": 1.5, "limit_c_per_min": 2, "start_c": 130, "feed_c": 40, key: value}
    assert errors("cooling", **given) == [key]
    assert "above 0" in words("cooling", **given)


def test_the_change_over_starts_for_the_slowest_of_its_needs() -> None:
    found = result("change_over", **example("change_over"))
    slowest = max(found["changed_over_h"], found["sulphur_h"], found["ramp_h"])
    assert found["start_before_stop_h"] == pytest.approx(slowest + 1.5)
    table = found["timetable"]
    assert table[0]["before_stop_h"] == found["start_before_stop_h"]
    assert table[-1]["before_stop_h"] == 0.0
    assert [row["old_percent"] for row in table] == sorted((row["old_percent"] for row in table), reverse=True)
    reached = next(row for row in table if row["hours"] == pytest.approx(found["changed_over_h"]))
    assert reached["old_percent"] == pytest.approx(4.0)


def test_the_slowest_can_be_the_sulphur_or_the_temperature() -> None:
    sulphur = result("change_over", **example("change_over", sulphur_limit_percent=0.071))
    assert sulphur["start_before_stop_h"] == pytest.approx(sulphur["sulphur_h"] + 1.5)
    ramp = result("change_over", **example("change_over", limit_c_per_min=0.1))
    assert ramp["ramp_h"] == pytest.approx(15.0)
    assert ramp["start_before_stop_h"] == pytest.approx(16.5)


def test_sulphur_that_is_never_reached_leaves_no_start() -> None:
    given = example("change_over", sulphur_limit_percent=0.05)
    assert result("change_over", **given)["start_before_stop_h"] is None
    assert ("no_answer", "sulphur_limit_percent") in notices("change_over", **given)
    assert status("change_over", **given) == 1


def test_fuels_that_both_keep_the_sulphur_limit_take_no_time() -> None:
    assert result("change_over", **example("change_over", sulphur_limit_percent=0.5))["sulphur_h"] == 0.0


def test_a_new_fuel_too_thin_for_the_pumps() -> None:
    given = example("change_over", least_mm2_s=3.6)
    assert notices("change_over", **given) == [("warning", "least_mm2_s")]
    assert "Cool it to" in told("change_over", **given)
    just = result("change_over", **given)["new_viscosity_mm2_s"]
    assert "Cool it to" not in told("change_over", **{**given, "least_mm2_s": just})
    hottest = result("change_over", **given)["hottest_new_c"]
    assert notices("change_over", **{**given, "new_c": hottest - 1e-6}) == []


def test_a_mixture_too_thin_on_the_way() -> None:
    """The new fuel is thick enough cold, but the first of it meets the hot old fuel."""
    given = example("change_over", old_points=[[50, 12], [100, 3.2]], least_mm2_s=3.0)
    assert notices("change_over", **given) == [("warning", "least_mm2_s")]
    assert "lower the temperature first" in told("change_over", **given)


def test_the_least_that_is_needed() -> None:
    found = result("change_over", volume_m3=2, flow_m3_h=1, residue_percent=5, hours_wanted=0)
    assert list(found) == ["start_before_stop_h", "changed_over_h", "timetable"]
    assert found["start_before_stop_h"] == pytest.approx(2 * 2.995732)
    assert list(found["timetable"][0]) == ["hours", "before_stop_h", "old_percent"]


def test_what_a_limit_needs_is_asked_for() -> None:
    given: dict[str, Any] = {"volume_m3": 2, "flow_m3_h": 1, "residue_percent": 5, "hours_wanted": 0}
    assert errors("change_over", **given, limit_c_per_min=2) == ["old_c", "new_c"]
    assert errors("change_over", **given, sulphur_limit_percent=0.1) == ["old_sulphur_percent", "new_sulphur_percent"]
    assert errors("change_over", **given, least_mm2_s=2) == ["new_points", "new_c"]
    assert errors("change_over", **given, new_points=[[40, 2], [20, 1]]) == ["new_points"]
