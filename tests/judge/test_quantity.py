"""Fuel quantity, balance and time of whole jobs."""

import math

import pytest

from tests.invented import ANGLE, LIFT, SPILL, SUCTION, Tree, absent, both, contact, engine_job, entry, judged
from tests.published import load

STROKE = LIFT[SPILL] - LIFT[SUCTION]
DELIVERY = ANGLE[SPILL] - ANGLE[SUCTION]


def test_quantity_of_a_unit() -> None:
    """Area x stroke x density at the pump, time from the delivery angle; the 2-stroke relation of the worked examples."""
    tree = engine_job(readings=[contact(1, SUCTION, 0.5, 0.25), contact(1, SPILL, -0.5, -0.25), *both(2)])
    tree["fuel"] = {"density_15_kg_m3": 991, "temperature_c": 98}
    unit = entry(judged(tree), 1)
    assert unit.quantity is not None
    assert unit.effective_stroke_mm is not None
    assert unit.delivery_angle_deg is not None
    assert unit.effective_stroke_mm.value == pytest.approx(STROKE - 1.0)
    assert unit.effective_stroke_mm.deviation == pytest.approx(-1.0)
    assert unit.delivery_angle_deg.value == pytest.approx(DELIVERY - 0.5)
    assert unit.delivery_angle_deg.reference == DELIVERY
    volume = math.pi * 23.5**2 * (STROKE - 1.0) / 1000
    assert unit.quantity.cm3_per_cycle == pytest.approx(volume)
    vcf = next(row["vcf"] for row in load("d1250")["computed"] if (row["density"], row["temperature"]) == (991, 98))
    assert unit.quantity.g_per_cycle == pytest.approx(volume * 0.991 * vcf)
    assert unit.quantity.injection_ms == pytest.approx((DELIVERY - 0.5) / 360 * 60000 / 131)


def imbalances(*strokes: float, stages: tuple[str, ...] = ()) -> list[float | None]:
    readings: list[Tree] = []
    for number, off in enumerate(strokes, 1):
        stage = stages[number - 1] if stages else "as_found"
        readings += [contact(number, SUCTION, stage=stage), contact(number, SPILL, off, stage=stage)]
    found = [unit.quantity for unit in judged(engine_job(readings=readings)).units]
    return [each.imbalance_percent if each else None for each in found]


def test_imbalance_is_against_the_mean_of_the_stage() -> None:
    first, second, third = imbalances(0.0, 0.3, -0.3)
    assert first == pytest.approx(0.0, abs=1e-9)
    assert second == pytest.approx(100 * 0.3 / STROKE)
    assert third == pytest.approx(-100 * 0.3 / STROKE)


def test_one_unit_alone_has_no_imbalance() -> None:
    assert imbalances(0.3) == [None]
    assert imbalances(0.3, 0.1, stages=("as_found", "as_left")) == [None, None]


def test_each_part_is_null_on_its_own() -> None:
    for key, group, empty in (
        ("plunger_diameter_mm", "engine", {"cm3_per_cycle", "g_per_cycle"}),
        ("speed_rpm", "engine", {"injection_ms"}),
        ("density_15_kg_m3", "fuel", {"g_per_cycle"}),
        ("temperature_c", "fuel", {"g_per_cycle"}),
    ):
        tree = engine_job(readings=[*both(1), *both(2)])
        del tree[group][key]
        quantity = judged(tree).to_json()["units"][0]["quantity"]
        assert {name for name, value in quantity.items() if value is None} == empty
    bare = engine_job(readings=[*both(1), *both(2)], change=lambda job: job.pop("fuel"))
    assert judged(bare).to_json()["units"][0]["quantity"]["g_per_cycle"] is None


def test_without_both_events_there_is_none() -> None:
    unit = entry(judged(engine_job(readings=[contact(1, SUCTION)])), 1)
    assert absent(unit.quantity, unit.effective_stroke_mm, unit.delivery_angle_deg)


def test_doubt_of_stroke_and_delivery_angle() -> None:
    """u^2(H_o) + u^2(H_c) - u_p^2, and 2 u_t^2 less than the sum of the angles'."""
    unit = entry(judged(engine_job(readings=both(1))), 1)
    assert unit.beginning is not None
    assert unit.end is not None
    assert unit.effective_stroke_mm is not None
    assert unit.delivery_angle_deg is not None
    u_p2 = 2 * 0.005**2 / 12 + 0.008**2 / 3
    stroke = math.sqrt(unit.end.u_lift_mm**2 + unit.beginning.u_lift_mm**2 - u_p2)
    assert unit.effective_stroke_mm.u == pytest.approx(stroke)
    delivery = math.sqrt(unit.end.u_deg**2 + unit.beginning.u_deg**2 - 2 * 0.03**2)
    assert unit.delivery_angle_deg.u == pytest.approx(delivery)
