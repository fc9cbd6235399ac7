"""Ignition index, specific energy and mixtures against the published formulas."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.fuel.blend import blended_density, blended_viscosity, blending_index, mean_by_mass
from calc.fuel.energy import gross_mj_kg, net_mj_kg
from calc.fuel.ignition import ccai
from tests.published import load

DATA = load("ignition-energy-blend")


@pytest.mark.parametrize("row", DATA["ccai"]["rows"], ids=lambda row: f"{row['density']}/{row['viscosity']}")
def test_ccai(row: dict[str, Any]) -> None:
    """ISO 8217, annex."""
    assert ccai(row["density"], row["viscosity"], row["temperature"]) == pytest.approx(row["ccai"], abs=6e-8)


def test_the_temperature_term_brings_a_viscosity_to_50_degrees() -> None:
    """35 mm2/s at 100 degC belongs to 380 at 50: the index differs by one only."""
    assert ccai(991.0, 35.0, 100.0) == pytest.approx(ccai(991.0, 380.0, 50.0), abs=1.0)


@pytest.mark.parametrize("row", DATA["energy"]["rows"], ids=lambda row: f"{row['kind']} {row['density']}")
def test_specific_energy(row: dict[str, Any]) -> None:
    """ISO 8217, annex on specific energy."""
    parts = (row["kind"], row["density"], row["sulphur"], row["water"], row["ash"])
    assert net_mj_kg(*parts) == pytest.approx(row["net"], rel=1e-12)
    assert gross_mj_kg(*parts) == pytest.approx(row["gross"], rel=1e-12)


def test_a_common_distillate_has_the_reference_energy() -> None:
    """ISO 3046-1 refers to 42.7 MJ/kg."""
    reference = DATA["energy"]["reference"]["net"]
    assert net_mj_kg("distillate", 855.0, 0.2, 0.0, 0.0) == pytest.approx(reference, abs=0.1)


@given(st.floats(600, 1100), st.floats(0, 5), st.floats(0, 5), st.floats(0, 1), st.sampled_from(["residual", "distillate"]))
def test_what_does_not_burn_gives_nothing(density: float, sulphur: float, water: float, ash: float, kind: str) -> None:
    best = net_mj_kg(kind, density, sulphur, 0.0, 0.0)
    assert net_mj_kg(kind, density, sulphur, water, ash) <= best
    assert gross_mj_kg(kind, density, sulphur, water, ash) > net_mj_kg(kind, density, sulphur, water, ash)


@pytest.mark.parametrize(("share", "viscosity"), DATA["blend"]["rows"])
def test_blended_viscosity(share: float, viscosity: float) -> None:
    """Refutas method."""
    thick, thin = DATA["blend"]["thick"], DATA["blend"]["thin"]
    assert blended_viscosity([share, 1.0 - share], [thick, thin]) == pytest.approx(viscosity, rel=1e-12)


masses = st.lists(st.floats(0.001, 1e6), min_size=1, max_size=6)


@given(masses, st.data())
def test_a_mixture_lies_between_its_parts(amounts: list[float], data: st.DataObject) -> None:
    def each(low: float, high: float) -> list[float]:
        return data.draw(st.lists(st.floats(low, high), min_size=len(amounts), max_size=len(amounts)))

    viscosities, densities, sulphurs = each(0.5, 1e6), each(600, 1100), each(0, 5)
    for found, parts in (
        (blended_viscosity(amounts, viscosities), viscosities),
        (blended_density(amounts, densities), densities),
        (mean_by_mass(amounts, sulphurs), sulphurs),
    ):
        assert min(parts) * (1 - 1e-9) <= found <= max(parts) * (1 + 1e-9)


@given(st.floats(0.3, 1e6))
def test_a_fuel_mixed_with_itself_stays_what_it_is(viscosity: float) -> None:
    assert blended_viscosity([2.0, 5.0], [viscosity, viscosity]) == pytest.approx(viscosity, rel=1e-9)
    assert blending_index(viscosity * 1.01) > blending_index(viscosity)


def test_volumes_add_up() -> None:
    """One cubic metre of 900 with one of 800 kg/m3 makes two of 850."""
    assert blended_density([900.0, 800.0], [900.0, 800.0]) == pytest.approx(850.0)
