"""TDC, cam, index, injection, trend, tightening, units and doubt: keys, nulls, notices and errors."""

from math import sqrt
from typing import Any

import pytest
from scipy.stats import norm

from tests.compute.answers import errors, example, notices, result, status, told, words
from tests.published import load

# ---------------------------------------------------------------- TDC


def test_tdc() -> None:
    found = result("tdc", pairs=[[-24.01629576314264, 24.756295763142642]])
    assert found == {"tdc_deg": pytest.approx(0.37), "u_deg": None, "spread_deg": 0.0}
    assert notices("tdc", pairs=[[-24, 24.7]]) == [("no_data", "pairs")]
    assert status("tdc", pairs=[[-24, 24.7]]) == 0
    found = result("tdc", pairs=[[335.98, 24.76], [330, 30.8]])
    assert found["tdc_deg"] == pytest.approx(0.385)
    assert found["spread_deg"] == pytest.approx(0.03)


def test_tdc_suspects_swapped_pairs() -> None:
    assert notices("tdc", pairs=[[24.7, -24.1], [-30, 30]]) == [("warning", "pairs[0]")]
    assert "swapped" in told("tdc", pairs=[[24.7, -24.1], [-30, 30]])
    assert notices("tdc", pairs=[[5, 5], [-30, 30]]) == [("warning", "pairs[0]")]


@pytest.mark.parametrize(
    ("common", "said"),
    [(0.33, "Set the pointer, not the cam"), (1.2, "Both"), (0.0, "Both")],
)
def test_tdc_splits_the_common_part(common: float, said: str) -> None:
    given = example("tdc", common_part_deg=common)
    found = result("tdc", **given)
    assert found["pointer_deg"] + found["camshaft_deg"] == pytest.approx(common)
    assert found["u_camshaft_deg"] == pytest.approx(sqrt(0.06**2 + found["u_deg"] ** 2))
    assert said in told("tdc", **given)


def test_tdc_clears_the_pointer() -> None:
    given = example("tdc", mark_deg=0.3167, common_part_deg=0.4)
    assert "camshaft drive" in told("tdc", **given)
    given = example("tdc", mark_deg=0.3167, common_part_deg=0.1)
    assert "Neither" in told("tdc", **given)


def test_tdc_errors() -> None:
    assert errors("tdc", pairs=[]) == ["pairs"]
    assert errors("tdc", pairs=[[-24], [-400, 24]]) == ["pairs[0]", "pairs[1][0]"]
    assert errors("tdc", pairs=[[-24, 24]], common_part_deg=0.3) == ["mark_deg", "u_common_part_deg"]


# ---------------------------------------------------------------- cam survey


def test_cam_survey() -> None:
    reference = [[-20, 0], [-10, 4], [0, 16], [10, 30], [20, 36]]
    found = result("cam_survey", reference=reference, measured=[[angle + 0.5, lift] for angle, lift in reference])
    assert found["phase_deg"] == pytest.approx(0.5)
    assert found["u_phase_deg"] == pytest.approx(0.0, abs=1e-9)
    assert found["residual_mm"] == pytest.approx([0.0] * 5, abs=1e-9)
    assert list(found)[:4] == ["phase_deg", "u_phase_deg", "residual_mm", "worst_mm"]


def test_cam_survey_nulls() -> None:
    reference = [[-20, 0], [-10, 0], [0, 16], [10, 30], [20, 30]]
    level: dict[str, Any] = {"reference": reference, "measured": [[-18, 0], [-12, 0]]}
    assert result("cam_survey", **level) == {"phase_deg": None, "u_phase_deg": None, "residual_mm": None, "worst_mm": None}
    assert notices("cam_survey", **level) == [("no_answer", "measured")]
    assert status("cam_survey", **level) == 1
    single: dict[str, Any] = {"reference": reference, "measured": [[1, 16]]}
    assert result("cam_survey", **single)["u_phase_deg"] is None
    assert notices("cam_survey", **single) == [("no_data", "measured")]
    assert status("cam_survey", **single) == 0
    far: dict[str, Any] = {"reference": reference, "measured": [[26, 0], [35, 16], [50, 30]]}
    assert result("cam_survey", **far)["phase_deg"] is None
    assert notices("cam_survey", **far) == [("beyond", "measured")]
    assert status("cam_survey", **far) == 0


def test_cam_survey_warns_when_wear_pulls() -> None:
    given = example("cam_survey")
    given["measured"] = [[angle, lift - (0.5 if 0 <= angle <= 8 else 0)] for angle, lift in given["measured"]]
    assert ("warning", "measured") in notices("cam_survey", **given)
    assert "Wear pulls the phase" in told("cam_survey", **given)


def test_cam_survey_errors() -> None:
    assert errors("cam_survey", reference=[[0, 0], [5, 1], [5, 2]], measured=[[1, 1]]) == ["reference"]
    assert "follows 5" in words("cam_survey", reference=[[0, 0], [5, 1], [5, 2]], measured=[[1, 1]])
    assert errors("cam_survey", reference=[[0, 0]], measured=[]) == ["reference", "measured"]
    assert errors("cam_survey", reference=[[0, 0], ["x", 1]], measured=[[1, 1]]) == ["reference[1][0]"]


# ---------------------------------------------------------------- fuel index and injection


def test_fuel_index_spread_and_balance() -> None:
    found = result("fuel_index", **example("fuel_index"))
    zeros = [unit["zero_index"] for unit in found["units"]]
    assert found["spread_index"] == pytest.approx(zeros[1] - zeros[0])
    low = [row for row in found["strokes"] if row["index"] == 1.5]
    full = [row for row in found["strokes"] if row["index"] == 7]
    assert sum(row["imbalance_percent"] for row in low) == pytest.approx(0.0, abs=1e-9)
    # The same spread matters much more at low load.
    assert abs(low[0]["imbalance_percent"]) > 5 * abs(full[0]["imbalance_percent"])


def test_fuel_index_nulls() -> None:
    unit = {"unit": 1, "start_lift_mm": 13.2, "points": [[3, 23.4], [5, 31.2]]}
    flat = {"unit": 2, "start_lift_mm": 13.2, "points": [[3, 23.4], [5, 23.4]]}
    one = {"unit": 3, "start_lift_mm": 13.2, "points": [[3, 23.4]]}
    given: dict[str, Any] = {"units": [unit, flat, one], "at_index": [0.1]}
    assert notices("fuel_index", **given) == [
        ("no_data", "units[0].points"),
        ("no_answer", "units[1].points"),
        ("no_data", "units[2].points"),
        ("no_data", "units"),
        ("no_data", "at_index[0]"),
    ]
    assert status("fuel_index", **given) == 1
    assert status("fuel_index", units=[unit, one]) == 0
    assert errors("fuel_index", units=[unit, unit]) == ["units[1].unit"]


def test_a_unit_that_delivers_nothing_at_low_load_is_named() -> None:
    given = example("fuel_index", at_index=[0.4])
    assert "unit 2 delivers nothing while others do" in told("fuel_index", **given)


INJECTION = load("injection")


@pytest.mark.parametrize(
    "row", [row for row in INJECTION["quantities"] if "power" in row and "density" in row], ids=lambda row: row["id"]
)
def test_injection_against_textbooks(row: dict[str, Any]) -> None:
    found = result(
        "injection",
        power_kw=row["power"],
        specific_g_kwh=row["consumption_g_per_power_hour"],
        speed_rpm=row["speed_rpm"],
        units=row["cylinders"],
        two_stroke=row["strokes"] == 2,
        density_kg_m3=row["density"],
        delivery_angle_deg=row.get("angle_deg", 10),
    )
    assert found["cm3_per_cycle"] == pytest.approx(row["volume_cm3"], rel=1e-9)
    if "mass_g" in row:
        assert found["g_per_cycle"] == pytest.approx(row["mass_g"], rel=1e-9)
    if "time_ms" in row:
        assert found["injection_ms"] == pytest.approx(row["time_ms"], rel=1e-9)


def test_two_strokes_need_half() -> None:
    two, four = (result("injection", **example("injection", two_stroke=each)) for each in (True, False))
    assert two["g_per_cycle"] == 0.5 * four["g_per_cycle"]
    assert errors("injection", **example("injection", two_stroke=1, units=25)) == ["units", "two_stroke"]


# ---------------------------------------------------------------- trend


def test_trend_keys_and_numbers() -> None:
    norris = load("regression")["gum_h3"]
    found = result("trend", hours=[1000 * x for x in norris["x"]], values=norris["y"], at_hours=30000, limit=0.4)
    assert list(found) == [
        "slope_per_1000_h",
        "u_slope_per_1000_h",
        "provable",
        "value",
        "prediction",
        "hours_to_limit",
    ]
    assert found["slope_per_1000_h"] == pytest.approx(norris["full"]["slope"])
    assert found["u_slope_per_1000_h"] == pytest.approx(norris["full"]["u_slope"])
    assert found["value"] == pytest.approx(norris["full"]["at_30"])
    assert found["provable"] is True


def test_trend_of_two_of_one_and_of_none() -> None:
    two = result("trend", hours=[1000, 3000], values=[0.1, 0.2], at_hours=5000, limit=0.4)
    assert two == {
        "slope_per_1000_h": pytest.approx(0.05),
        "u_slope_per_1000_h": None,
        "provable": False,
        "value": pytest.approx(0.3),
        "prediction": None,
        "hours_to_limit": None,
    }
    for hours, values in (([1000], [0.1]), ([1000, 1000], [0.1, 0.2])):
        given: dict[str, Any] = {"hours": hours, "values": values, "at_hours": 5000, "limit": 0.4}
        assert result("trend", **given)["slope_per_1000_h"] is None
        assert result("trend", **given)["provable"] is False
        assert notices("trend", **given) == [("no_data", "hours")]
        assert status("trend", **given) == 0
    assert errors("trend", hours=[], values=[], at_hours=5000, limit=0.4) == ["hours", "values"]
    assert errors("trend", hours=[1, 2, 3], values=[1, 2], at_hours=5000, limit=0.4) == ["values"]
    assert errors("trend", hours=[1, -2], values=[1, 2], at_hours=5000, limit=0) == ["hours[1]", "limit"]


def test_trend_hours_count_from_the_last_value_in_any_order() -> None:
    hours, values = [3000, 1000, 2000, 4000], [0.31, 0.11, 0.19, 0.4]
    found = result("trend", hours=hours, values=values, at_hours=0, limit=1.0)
    again = result("trend", hours=sorted(hours), values=sorted(values), at_hours=0, limit=1.0)
    assert found["hours_to_limit"] == pytest.approx(again["hours_to_limit"])
    there = result("trend", hours=hours, values=values, at_hours=4000 + found["hours_to_limit"], limit=1.0)
    assert there["prediction"][1] == pytest.approx(1.0, abs=1e-9)


def test_trend_at_the_limit_already_and_never() -> None:
    given: dict[str, Any] = {"hours": [1000, 2000, 3000], "values": [0.5, 0.52, 0.53], "at_hours": 3000}
    assert result("trend", **given, limit=0.4)["hours_to_limit"] == 0.0
    level: dict[str, Any] = {"hours": [1000, 2000, 3000], "values": [0.1, 0.1, 0.1], "at_hours": 3000, "limit": 0.4}
    assert result("trend", **level)["hours_to_limit"] is None
    assert result("trend", **level)["provable"] is False
    assert notices("trend", **level) == [("beyond", "limit")]
    assert status("trend", **level) == 0


# ---------------------------------------------------------------- tightening


def test_torque_both_ways() -> None:
    bolt: dict[str, Any] = {
        "d_mm": 30,
        "pitch_mm": 3.5,
        "head_diameter_mm": 39.5,
        "friction_thread": 0.10,
        "friction_head": 0.12,
    }
    there = result("torque", **bolt, tension_kn=200)
    assert there == {"torque_nm": pytest.approx(907.5803029014601), "tension_kn": 200}
    back = result("torque", **bolt, torque_nm=there["torque_nm"])
    assert back["tension_kn"] == pytest.approx(200)
    assert errors("torque", **bolt) == ["tension_kn"]
    assert errors("torque", **bolt, tension_kn=200, torque_nm=900) == ["torque_nm"]
    assert errors("torque", **{**bolt, "pitch_mm": 25}, tension_kn=-1) == ["pitch_mm", "tension_kn"]
    assert errors("torque", **{**bolt, "d_mm": 4}, tension_kn=1) == ["pitch_mm"]


@pytest.mark.parametrize("strength", [8.8, "8.8", 10.9])
def test_torque_beyond_yield_is_told(strength: Any) -> None:
    given = example("torque", strength=strength, tension_kn=500)
    found = result("torque", **given)
    assert 300 < found["preload_limit_kn"] < 500
    assert notices("torque", **given) == [("warning", "tension_kn")]
    assert status("torque", **given) == 0
    at_limit = {**given, "tension_kn": found["preload_limit_kn"]}
    assert notices("torque", **at_limit) == []
    assert "90 % of its yield" in told("torque", **given)


@pytest.mark.parametrize("strength", [9.8, "hard", None, True, [8.8]])
def test_a_strength_that_does_not_exist(strength: Any) -> None:
    assert errors("torque", **{**example("torque"), "strength": strength}) == ["strength"]


def test_bolt_order() -> None:
    assert result("bolt_order", bolts=4, stages=[50, 100])["passes"] == [[1, 3, 2, 4], [1, 3, 2, 4], [1, 2, 3, 4]]
    assert result("bolt_order", bolts=4, stages=[30, 100], torque_nm=650)["torque_nm"] == pytest.approx([195, 650, 650])
    assert list(result("bolt_order", bolts=4, stages=[100])) == ["passes"]
    assert notices("bolt_order", bolts=4, stages=[100, 50]) == [("warning", "stages")]
    assert notices("bolt_order", bolts=4, stages=[30, 60]) == [("warning", "stages")]
    assert errors("bolt_order", bolts=4.5, stages=[101, "x"]) == ["bolts", "stages[0]", "stages[1]"]


def test_convert() -> None:
    assert result("convert", **{"value": 1, "from": "kgf.m", "to": "N.m"}) == {"value": 9.80665}
    assert errors("convert", **{"value": 1, "from": "bar", "to": "N.m"}) == ["to"]
    assert "bar, kPa, MPa, psi and kgf/cm2" in words("convert", **{"value": 1, "from": "bar", "to": "N.m"})
    assert errors("convert", **{"value": -274, "from": "C", "to": "K"}) == ["value"]
    assert errors("convert", **{"value": 1, "from": "ell", "to": "mm"}) == ["from"]
    assert errors("convert", value=1) == ["from", "to"]


def test_elongation() -> None:
    found = result("elongation", **example("elongation"))
    assert found["elongation_mm"] == pytest.approx(190 * found["mm_per_kn"])
    assert errors("elongation", **example("elongation", modulus_gpa=None)) == ["modulus_gpa"]


# ---------------------------------------------------------------- doubt


@pytest.mark.parametrize(("deviation", "tolerance"), [(0.28, 0.4), (0.0, 0.4), (-0.39, 0.4), (0.5, 0.4), (-2.0, 0.4)])
def test_repeats_are_the_fewest_that_are_clear(deviation: float, tolerance: float) -> None:
    """Against scipy: with n readings the verdict is clear, with one less it is not."""

    def clear(u: float) -> bool:
        p = norm.cdf((tolerance - deviation) / u) - norm.cdf((-tolerance - deviation) / u)
        return bool(p >= 0.95 - 1e-9 or p <= 0.05 + 1e-9)

    found = result("repeats", u_fixed=0.004, s=0.3, tolerance=tolerance, deviation=deviation)
    n = found["readings"]
    assert clear(sqrt(0.004**2 + 0.09 / n))
    if n > 1:
        assert not clear(sqrt(0.004**2 + 0.09 / (n - 1)))
    assert clear(found["u_needed"])
    assert not clear(found["u_needed"] * 1.001)


def test_repeats_that_do_not_exist() -> None:
    given: dict[str, Any] = {"u_fixed": 0.08, "s": 0.1, "tolerance": 0.4, "deviation": 0.28}
    assert result("repeats", **given)["readings"] is None
    assert result("repeats", **given)["u_needed"] == pytest.approx(0.07296, abs=1e-5)
    assert notices("repeats", **given) == [("no_answer", "u_fixed")]
    many = result("repeats", u_fixed=0.07295, s=0.1, tolerance=0.4, deviation=0.28)["readings"]
    assert many == pytest.approx(0.01 / (result("repeats", **given)["u_needed"] ** 2 - 0.07295**2), abs=1)
    assert many > 5000
    edge = {**given, "deviation": -0.4}
    assert result("repeats", **edge) == {"readings": None, "u_needed": None}
    assert notices("repeats", **edge) == [("no_answer", "deviation")]
    assert status("repeats", **edge) == 1
    far = {**given, "deviation": 10}
    assert result("repeats", **far) == {"readings": 1, "u_needed": None}
    assert errors("repeats", u_fixed=-1, s=11, tolerance=0) == ["u_fixed", "s", "tolerance", "deviation"]


def test_budget_names_what_limits_and_what_would_settle() -> None:
    given = example("budget")
    found = result("budget", **given)
    assert found["verdict"] == "unclear"
    assert found["limits"] == "angle scale"
    assert sum(part["share_percent"] for part in found["parts"]) == pytest.approx(100.0)
    assert (
        found["readings_needed"]
        == result("repeats", u_fixed=sqrt(0.082**2 + 0.03**2), s=0.045, tolerance=0.4, deviation=0.25)["readings"]
    )
    better = result("budget", **{**given, "readings": found["readings_needed"]})
    assert better["verdict"] == "within"


def test_budget_of_a_finer_instrument() -> None:
    """Made as fine as the budget says, the instrument settles it."""
    given = example("budget", parts=[{"name": "angle scale", "u": 0.12}, {"name": "pointer", "u": 0.02}], s=0.01)
    found = result("budget", **given)
    assert found["readings_needed"] is None
    assert "finer instrument would: angle scale" in told("budget", **given)
    wanted = found["parts"][0]["u_wanted"]
    assert wanted**2 + 0.02**2 + 0.01**2 / 2 == pytest.approx(found["u_needed"] ** 2)
    finer = {**given, "parts": [{"name": "angle scale", "u": wanted}, {"name": "pointer", "u": 0.02}]}
    assert result("budget", **finer)["verdict"] == "within"


def test_budget_without_doubt() -> None:
    given = example("budget", parts=[{"name": "none", "u": 0}], s=0)
    found = result("budget", **given)
    assert (found["u"], found["probability_within"], found["verdict"]) == (0.0, 1.0, "within")
