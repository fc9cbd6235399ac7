"""Fuel quantity and time of injection against published worked examples."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from calc.pump.quantity import cm3_per_cycle, g_per_cycle, imbalance_doubt, imbalance_percent, injection_ms, plunger_area_mm2
from tests.published import half_digit, load

INJECTION = load("injection")
QUANTITIES, STROKES = INJECTION["quantities"], INJECTION["strokes"]


def stroke_for(volume_cm3: float, plunger_mm: float) -> float:
    """The stroke that displaces a volume: the volume over the plunger's area, from its radius [mm]."""
    return volume_cm3 * 1000.0 / (math.pi * (0.5 * plunger_mm) ** 2)


def mass_g(example: dict[str, Any]) -> float:
    """What one cylinder gets in one cycle: consumption an hour over injections an hour."""
    hourly = example.get("consumption_g_h") or example["power"] * example["consumption_g_per_power_hour"]
    cycles = 60.0 * example["speed_rpm"] * (1.0 if example["strokes"] == 2 else 0.5)
    return float(hourly / (example["cylinders"] * cycles))


@pytest.mark.parametrize("example", QUANTITIES, ids=lambda example: example["id"])
def test_quantities(example: dict[str, Any]) -> None:
    """Volume from a stroke, mass from a volume, as the sources print them."""
    expected_g = mass_g(example)
    assert example.get("mass_g", expected_g) == pytest.approx(expected_g, rel=1e-9)
    density = example.get("density", 900)
    volume = example.get("volume_cm3", expected_g * 1000.0 / density)
    plunger = example.get("plunger_mm", 8.5)
    found_volume = cm3_per_cycle(plunger, stroke_for(volume, plunger))
    assert found_volume == pytest.approx(volume, rel=1e-12)
    found_g = g_per_cycle(found_volume, density)
    assert found_g == pytest.approx(expected_g, rel=1e-7)
    for key, found in (("volume_cm3", found_volume), ("mass_g", found_g)):
        if printed := example.get("printed", {}).get(key):
            assert found == pytest.approx(float(printed), abs=half_digit(printed))


@pytest.mark.parametrize("example", [each for each in QUANTITIES if "time_ms" in each], ids=lambda example: example["id"])
def test_times(example: dict[str, Any]) -> None:
    assert injection_ms(example["angle_deg"], example["speed_rpm"]) == pytest.approx(example["time_ms"], rel=1e-12)


@pytest.mark.parametrize("example", STROKES, ids=lambda example: example["id"])
def test_displacement_of_a_stroke(example: dict[str, Any]) -> None:
    """The plunger's stroke and what it displaces; the displacement is compression of the fuel plus what is delivered."""
    found = cm3_per_cycle(example["plunger_mm"], example["stroke_mm"])
    assert found == pytest.approx(example["displacement_cm3"], abs=1e-6)
    diameter, length = example["line_mm"]
    enclosed = example["barrel_cm3"] + math.pi / 4.0 * diameter**2 * length / 1000.0 + example["valve_cm3"]
    squeezed = enclosed * example["compressibility_per_bar"] * example["rise_bar"]
    assert squeezed + example["delivered_cm3"] == pytest.approx(found, abs=1e-6)


def test_stroke_of_the_two_stroke_example() -> None:
    example = next(each for each in QUANTITIES if each["id"] == "9.9")
    assert stroke_for(example["volume_cm3"], example["plunger_mm"]) == pytest.approx(example["stroke_mm"], abs=1e-8)
    assert cm3_per_cycle(example["plunger_mm"], example["stroke_mm"]) == pytest.approx(example["volume_cm3"], abs=1e-7)


@pytest.mark.parametrize(("speed", "expected"), INJECTION["one_degree_ms"])
def test_one_degree(speed: float, expected: float) -> None:
    assert injection_ms(1.0, speed) == pytest.approx(expected, abs=5e-7)


def test_area() -> None:
    assert plunger_area_mm2(2.0) == pytest.approx(math.pi)


@given(st.floats(1, 100), st.floats(1, 100))
def test_imbalances_of_two_units_cancel(one: float, other: float) -> None:
    mean = 0.5 * (one + other)
    assert imbalance_percent(one, mean) == pytest.approx(-imbalance_percent(other, mean), abs=1e-9)
    assert mean * (1.0 + imbalance_percent(one, mean) / 100.0) == pytest.approx(one)


@pytest.mark.parametrize("at", [0, 1, 2])
def test_imbalance_doubt_equals_that_of_another_implementation(at: int) -> None:
    """Linear propagation by the package `uncertainties`, of a value against a mean that it is a part of."""
    strokes = [ufloat(20.0, u) for u in (0.3, 0.1, 0.02)]
    middle = sum(strokes) / 3.0
    expected = (strokes[at] - middle) / middle * 100.0
    assert imbalance_doubt([0.3, 0.1, 0.02], at, 20.0) == pytest.approx(expected.std_dev, rel=1e-9)
