"""The fuel's calculations: keys, nulls, notices and errors."""

from typing import Any

import pytest

from tests.compute.answers import errors, example, notices, result, status, told, words

HFO = [[50, 380], [100, 35]]


def test_viscosity_in_the_order_of_the_question() -> None:
    found = result("viscosity", points=HFO, at_c=[130, 98], for_mm2_s=[17, 13])
    assert list(found) == ["a", "b", "viscosity_mm2_s", "temperature_c"]
    assert found["viscosity_mm2_s"] == pytest.approx([14.492667821485, 37.531097670839])
    assert found["temperature_c"] == pytest.approx([123.8122, 134.4482], abs=1e-4)
    swapped = result("viscosity", points=HFO[::-1], at_c=[130, 98], for_mm2_s=[17, 13])
    assert swapped == found


def test_viscosity_lists_that_are_not_asked_for_are_empty() -> None:
    assert result("viscosity", points=HFO, at_c=[98])["temperature_c"] == []
    assert result("viscosity", points=HFO, for_mm2_s=[13])["viscosity_mm2_s"] == []
    assert errors("viscosity", points=HFO) == ["at_c"]


def test_viscosity_beyond_the_equation_is_null_for_that_element_only() -> None:
    given: dict[str, Any] = {"points": [[0, 10], [100, 0.5]], "at_c": [50, 400], "for_mm2_s": [0.1, 2, 3e7]}
    found = result("viscosity", **given)
    assert found["viscosity_mm2_s"][0] is not None
    assert found["viscosity_mm2_s"][1] is None
    assert [each is None for each in found["temperature_c"]] == [True, False, True]
    assert notices("viscosity", **given) == [
        ("no_answer", "at_c[1]"),
        ("no_answer", "for_mm2_s[0]"),
        ("no_answer", "for_mm2_s[2]"),
    ]
    assert status("viscosity", **given) == 1
    assert "0.21 to 2e+07 mm²/s" in told("viscosity", **given)


def test_a_temperature_where_no_fuel_is_kept_is_told() -> None:
    given: dict[str, Any] = {"points": HFO, "for_mm2_s": [0.3]}
    assert notices("viscosity", **given) == [("warning", "for_mm2_s[0]")]
    assert status("viscosity", **given) == 0


@pytest.mark.parametrize(
    ("points", "where"),
    [
        ([[50, 380], [50, 35]], "points"),
        ([[50, 380], [100, 380]], "points"),
        ([[50, 35], [100, 380]], "points"),
        ([[50, 380]], "points"),
        ([[50, 380], [100, 35], [120, 20]], "points"),
        ([[50, 380], [100, 0.2]], "points[1][1]"),
        ([[50, 380], [401, 35]], "points[1][0]"),
        ([[50, 380], [100]], "points[1]"),
        ([[50, 380], [100, "35"]], "points[1][1]"),
    ],
)
def test_points_that_no_fuel_has(points: list[Any], where: str) -> None:
    assert errors("viscosity", points=points, at_c=[98]) == [where]


def test_the_message_says_what_is_allowed_and_how_to_mend_it() -> None:
    said = words("viscosity", points=[[50, 35], [100, 380]], at_c=[98])
    assert "35 mm²/s at 50 °C and 380 mm²/s at 100 °C found" in said
    assert "thinner when it is hotter" in said
    assert "Check which viscosity belongs to which" in said


def test_density_has_two_forms_with_their_own_keys() -> None:
    there = result("density", density_15_kg_m3=991, at_c=[98, 50])
    assert list(there) == ["vcf", "density_kg_m3"]
    assert there["vcf"] == pytest.approx([0.9426327037076712, 0.9760032511964714])
    assert there["density_kg_m3"] == pytest.approx([991 * 0.9426327037076712, 991 * 0.9760032511964714])
    assert result("density", observed_kg_m3=935.0, observed_c=90) == {"density_15_kg_m3": pytest.approx(986.3781861121)}


@pytest.mark.parametrize(
    ("given", "where"),
    [
        ({}, ["density_15_kg_m3"]),
        ({"density_15_kg_m3": 991}, ["at_c"]),
        ({"at_c": [50]}, ["density_15_kg_m3"]),
        ({"observed_kg_m3": 935}, ["observed_c"]),
        ({"observed_c": 90}, ["observed_kg_m3"]),
        ({"density_15_kg_m3": 991, "at_c": [50], "observed_kg_m3": 935, "observed_c": 90}, ["observed_kg_m3"]),
        ({"density_15_kg_m3": 991, "observed_c": 90}, ["observed_c"]),
        ({"density_15_kg_m3": 1101, "at_c": [401, 20, -51]}, ["density_15_kg_m3", "at_c[0]", "at_c[2]"]),
        ({"density_15_kg_m3": 991, "at_c": []}, ["at_c"]),
    ],
)
def test_density_forms_that_do_not_fit(given: dict[str, Any], where: list[str]) -> None:
    assert errors("density", **given) == where


def test_density_outside_what_the_formula_was_made_for() -> None:
    assert notices("density", density_15_kg_m3=605, at_c=[20, 151]) == [
        ("warning", "density_15_kg_m3"),
        ("warning", "at_c[1]"),
    ]
    assert status("density", density_15_kg_m3=605, at_c=[20, 151]) == 0


def test_ignition() -> None:
    found = result("ignition", density_15_kg_m3=991, viscosity_mm2_s=380, temperature_c=50)
    assert found == {"ccai": pytest.approx(851.9437290618752)}
    assert result("ignition", density_15_kg_m3=991, viscosity_mm2_s=0.1, temperature_c=50) == {"ccai": None}
    assert status("ignition", density_15_kg_m3=991, viscosity_mm2_s=0.15, temperature_c=50) == 1
    assert status("ignition", density_15_kg_m3=991, viscosity_mm2_s=0.151, temperature_c=50) == 0
    assert errors("ignition", density_15_kg_m3=991, viscosity_mm2_s=0, temperature_c=50) == ["viscosity_mm2_s"]


def test_energy() -> None:
    found = result("energy", **example("energy"))
    assert list(found) == ["net_mj_kg", "gross_mj_kg"]
    assert errors("energy", **example("energy", kind="coal")) == ["kind"]
    assert errors("energy", **example("energy", ash_percent=-0.1, water_percent=101)) == ["water_percent", "ash_percent"]
    assert errors("energy", **example("energy", sulphur_percent=50, water_percent=50, ash_percent=0.5)) == ["sulphur_percent"]
    assert status("energy", **example("energy", sulphur_percent=0, water_percent=0, ash_percent=0)) == 0


def test_blend_tells_what_its_parts_tell() -> None:
    parts = [{"mass_t": 1, "viscosity_mm2_s": 380, "sulphur_percent": 0.5}, {"mass_t": 1, "viscosity_mm2_s": 4}]
    assert result("blend", parts=parts) == {"viscosity_mm2_s": pytest.approx(20.379954691710818)}
    assert notices("blend", parts=parts) == [("warning", "parts")]
    assert "spot test" in told("blend", parts=parts)
    assert errors("blend", parts=[{"mass_t": 0, "viscosity_mm2_s": 0.2}, 5]) == [
        "parts[0].mass_t",
        "parts[0].viscosity_mm2_s",
        "parts[1]",
    ]
    assert errors("blend", parts=[]) == ["parts"]
