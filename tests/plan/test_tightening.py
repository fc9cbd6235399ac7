"""Tightening against ISO 898-1, VDI 2230 and the order that is long in use."""

from math import pi, sqrt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.plan import tightening as plan
from tests.published import load

DATA = load("threads")


@pytest.mark.parametrize(("d", "pitch", "printed"), DATA["stress_area"]["rows"])
def test_stress_areas(d: float, pitch: float, printed: str) -> None:
    """ISO 898-1: three digits from 100 on, one decimal below."""
    found = plan.Thread(d, pitch).stress_area_mm2
    assert found == pytest.approx(float(printed), abs=0.5 if found > 100 else 0.051)


@pytest.mark.parametrize(("d", "pitch", "soft", "hard"), DATA["proof_load"]["rows"])
def test_proof_loads(d: float, pitch: float, soft: float, hard: float) -> None:
    """ISO 898-1: proof load is stress area times proof stress; the preload limit stays below it."""
    thread = plan.Thread(d, pitch)
    assert thread.stress_area_mm2 * (580 if d <= 16 else 600) / 1000 == pytest.approx(soft, rel=0.005)
    assert thread.stress_area_mm2 * 830 / 1000 == pytest.approx(hard, rel=0.005)
    for friction in (0.08, 0.12, 0.2):
        assert plan.preload_limit_kn(thread, friction, "8.8") < soft
        assert plan.preload_limit_kn(thread, friction, "10.9") < hard


@pytest.mark.parametrize("row", DATA["vdi"]["rows"], ids=lambda row: f"M{row['d']}x{row['pitch']}")
def test_published_preloads_and_torques(row: dict[str, Any]) -> None:
    """VDI 2230:2003, fine threads: 54 tensions and 54 torques, within what the table's rounding and its heads allow."""
    thread = plan.Thread(row["d"], row["pitch"])
    bearing, hole = DATA["vdi"]["bearing"][str(row["d"])]
    for friction, (soft, hard, soft_nm, hard_nm) in zip(DATA["vdi"]["friction"], row["values"], strict=True):
        ratio = plan.torque_per_tension_mm(thread, 0.5 * (bearing + hole), friction, friction)
        for strength, tension, torque in (("8.8", soft, soft_nm), ("10.9", hard, hard_nm)):
            found = plan.preload_limit_kn(thread, friction, strength)
            assert found == pytest.approx(tension, rel=0.006)
            assert found * ratio == pytest.approx(torque, rel=0.02)


def test_the_exact_torque() -> None:
    case = DATA["exact"]
    thread = plan.Thread(case["d"], case["pitch"])
    ratio = plan.torque_per_tension_mm(thread, case["head_diameter"], case["friction_thread"], case["friction_head"])
    assert case["tension"] * ratio == pytest.approx(case["torque"], rel=1e-14)
    simple = 0.159 * case["pitch"] + 0.578 * thread.pitch_diameter_mm * case["friction_thread"]
    simple += 0.5 * case["head_diameter"] * case["friction_head"]
    assert case["tension"] * simple == pytest.approx(case["simplified"], rel=1e-14)


@given(st.floats(5, 100), st.floats(0.02, 0.7), st.floats(0, 1), st.floats(0, 1), st.floats(0, 0.5))
def test_more_friction_takes_more_torque(d: float, slender: float, thread: float, head: float, more: float) -> None:
    bolt = plan.Thread(d, slender * d)
    least = plan.torque_per_tension_mm(bolt, 1.4 * d, thread, head)
    assert least >= plan.torque_per_tension_mm(bolt, 1.4 * d, 0.0, 0.0) > 0.0
    assert plan.torque_per_tension_mm(bolt, 1.4 * d, min(1.0, thread + more), head) >= least
    assert bolt.core_diameter_mm < bolt.stress_diameter_mm < bolt.pitch_diameter_mm < d
    # Without friction, all work goes into the pitch: torque x 2 pi = tension x pitch.
    assert plan.torque_per_tension_mm(bolt, 1.4 * d, 0.0, 0.0) * 2.0 * pi == pytest.approx(bolt.pitch_mm)


def test_both_sides_of_m16() -> None:
    assert plan.yield_mpa("8.8", 16.0) == 640.0
    assert plan.yield_mpa("8.8", 16.001) == 660.0
    assert plan.yield_mpa("10.9", 8.0) == plan.yield_mpa("10.9", 64.0) == 940.0


@pytest.mark.parametrize(("bolts", "order"), DATA["orders"]["rows"].items())
def test_published_orders(bolts: str, order: list[int]) -> None:
    assert plan.crosswise(int(bolts)) == order


@given(st.integers(1, 400))
def test_any_number_of_bolts(bolts: int) -> None:
    """Each once; pairs opposite, or as nearly as an odd number lets them; the second pair across the first."""
    order = plan.crosswise(bolts)
    assert sorted(order) == list(range(1, bolts + 1))
    pairs = list(zip(order[::2], order[1::2], strict=False))
    for one, other in pairs:
        apart = (other - one) % bolts
        assert min(apart, bolts - apart) == bolts // 2
    if len(pairs) > 1:
        # Directions of the two lines, in bolts' distances; half a circle is bolts / 2.
        lines = [(one + other) / 2 % (bolts / 2) for one, other in pairs[:2]]
        turned = abs(lines[0] - lines[1])
        nearest = min(turned, bolts / 2 - turned)
        # A quarter of the circle is across; bolts stand one apart, so half of that can be missing.
        assert nearest >= bolts / 4 - 0.5
    assert plan.passes(bolts, 3) == [order, order, order, list(range(1, bolts + 1))]


def test_elongation_adds_up() -> None:
    """One rod of 1000 mm and 100 mm2 under 10 kN: Hooke gives 10e3 x 1000 / (205e3 x 100)."""
    whole = plan.elongation_mm(10.0, 205.0, [(1000.0, 100.0)])
    assert whole == pytest.approx(10e3 * 1000 / (205e3 * 100))
    assert plan.elongation_mm(10.0, 205.0, [(400.0, 100.0), (600.0, 100.0)]) == pytest.approx(whole)
    assert plan.circle_area_mm2(2.0 / sqrt(pi)) == pytest.approx(1.0)
