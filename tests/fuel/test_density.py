"""Density of the fuel against ASTM D1250."""

from math import exp, nextafter
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.fuel.density import HIGHEST_C, LOWEST_C, density_15_from, density_at, expansion_15, volume_correction
from tests.published import half_digit, load

D1250 = load("d1250")


@pytest.mark.parametrize("row", D1250["published"], ids=lambda row: f"{row['density']} at {row['temperature']}")
def test_published_factors(row: dict[str, Any]) -> None:
    """ASTM D1250, table 54B, as used in public worked examples."""
    found = volume_correction(row["density"], row["temperature"])
    assert found == pytest.approx(float(row["vcf"]), abs=half_digit(row["vcf"]))


@pytest.mark.parametrize("row", D1250["computed"], ids=lambda row: f"{row['density']} at {row['temperature']}")
def test_computed_factors(row: dict[str, Any]) -> None:
    """ASTM D1250 in every band, to all digits."""
    assert volume_correction(row["density"], row["temperature"]) == pytest.approx(row["vcf"], rel=1e-14)
    assert density_at(row["density"], row["temperature"]) == pytest.approx(row["density"] * row["vcf"], rel=1e-14)
    if row["expansion"] is not None:
        assert expansion_15(row["density"]) == pytest.approx(row["expansion"], rel=1e-14)


@pytest.mark.parametrize("edge", D1250["edges"], ids=lambda edge: str(edge["density"]))
def test_bands_meet_at_their_edges(edge: dict[str, Any]) -> None:
    """Where one band hands over to the next, the expansion hardly jumps; the edge belongs to the upper band."""
    at = edge["density"]
    below, on = expansion_15(at - 1e-9), expansion_15(at)
    assert on == pytest.approx(below, rel=edge["relative_jump"])
    assert on == pytest.approx(expansion_15(at + 1e-9), rel=1e-10)
    assert on != pytest.approx(below, rel=1e-6)


def test_nothing_changes_at_15_degrees() -> None:
    assert volume_correction(960.0, 15.0) == 1.0
    assert density_at(960.0, 15.0) == 960.0


def test_fuel_thins_as_it_warms() -> None:
    for density in (700.0, 780.0, 830.0, 960.0):
        warming = [density_at(density, temperature) for temperature in range(-20, 160, 10)]
        assert warming == sorted(warming, reverse=True)


@pytest.mark.parametrize("row", D1250["observed"], ids=lambda row: f"{row['observed']} at {row['temperature']}")
def test_back_to_15_degrees(row: dict[str, Any]) -> None:
    """ASTM D1250, table 53B without the hydrometer's glass."""
    assert density_15_from(row["observed"], row["temperature"]) == pytest.approx(row["density"], rel=1e-12)


def test_the_form_for_degrees_fahrenheit_agrees() -> None:
    """Constants per degF and per degC were published independently of each other."""
    case = D1250["fahrenheit"]

    def factor_60(density_60: float, temperature_f: float) -> float:
        expansion = 103.8720 / density_60**2 + 0.2701 / density_60
        step = temperature_f - 60.0
        return exp(-expansion * step * (1.0 + 0.8 * expansion * (step + 0.01374979547)))

    density_15 = case["density_60"] * factor_60(case["density_60"], 59.0)
    by_fahrenheit = case["density_60"] * factor_60(case["density_60"], case["temperature_f"])
    assert density_at(density_15, (case["temperature_f"] - 32.0) / 1.8) == pytest.approx(by_fahrenheit, rel=case["relative"])


@given(st.floats(600.0, 1100.0), st.floats(-50.0, 150.0))
def test_there_and_back(density: float, temperature: float) -> None:
    """Back at the same density, except where two bands overlap at their edge, which is 0.2 kg/m3 wide at most."""
    back = density_15_from(density_at(density, temperature), temperature)
    near_an_edge = any(abs(density - edge["density"]) < 0.2 for edge in D1250["edges"])
    assert back == pytest.approx(density, abs=0.2 if near_an_edge else 1e-9)


@given(st.floats(600.0, 1100.0), st.floats(-50.0, 400.0))
def test_an_observed_density_is_met_or_lies_in_a_gap(observed: float, temperature: float) -> None:
    found = density_15_from(observed, temperature)
    if found in [edge["density"] for edge in D1250["edges"]]:
        below, on = density_at(nextafter(found, 0.0), temperature), density_at(found, temperature)
        assert below - 1e-9 <= observed <= on + 1e-9
    else:
        assert density_at(found, temperature) == pytest.approx(observed, rel=1e-13)


def test_a_density_in_the_gap_gives_the_edge() -> None:
    """At 130 degC the band below 770.5 ends lighter than the next one starts."""
    below, on = density_at(nextafter(770.5, 0.0), 130.0), density_at(770.5, 130.0)
    assert on - below > 0.1
    assert density_15_from(0.5 * (below + on), 130.0) == 770.5
    assert density_15_from(on, 130.0) == 770.5
    assert density_15_from(below - 0.01, 130.0) < 770.5
    assert density_15_from(on + 0.01, 130.0) > 770.5


def test_range_of_the_equation() -> None:
    """API MPMS 11.1 (2004): -58 to 302 degF (from memory)."""
    assert (LOWEST_C, HIGHEST_C) == ((-58.0 - 32.0) / 1.8, (302.0 - 32.0) / 1.8)
