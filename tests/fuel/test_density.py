"""Density of the fuel against ASTM D1250."""

from typing import Any

import pytest

from calc.fuel.density import density_at, expansion_15, volume_correction
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
