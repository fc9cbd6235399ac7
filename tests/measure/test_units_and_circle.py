"""Units against exact definitions and scipy; angles round a circle."""

import math
from math import isclose
from typing import Any

import pytest
import scipy.constants
from hypothesis import given
from hypothesis import strategies as st

from calc.measure.circle import arc, midpoint, unrolled, wrapped
from calc.measure.units import KIND_OF, convert, least_of, units_like
from tests.published import half_digit, load

DATA = load("units")


@pytest.mark.parametrize("row", DATA["rows"], ids=lambda row: f"{row['from']} to {row['to']}")
def test_exact_values(row: dict[str, Any]) -> None:
    assert convert(row["value"], row["from"], row["to"]) == pytest.approx(row["is"], rel=1e-15, abs=1e-12)


@pytest.mark.parametrize("row", DATA["printed"], ids=lambda row: row["from"])
def test_printed_values(row: dict[str, Any]) -> None:
    """NIST SP 811, appendix B.8."""
    assert convert(1.0, row["from"], row["to"]) == pytest.approx(float(row["is"]), abs=half_digit(row["is"]))


def test_against_scipy() -> None:
    assert convert(1.0, "psi", "bar") == pytest.approx(scipy.constants.psi / scipy.constants.bar, rel=1e-15)
    assert convert(1.0, "kgf.m", "N.m") == scipy.constants.kilogram_force
    feet = scipy.constants.pound_force * scipy.constants.foot
    assert convert(1.0, "lbf.ft", "N.m") == pytest.approx(feet, rel=1e-15)
    assert convert(451.0, "F", "K") == pytest.approx(scipy.constants.convert_temperature(451.0, "F", "K"), rel=1e-15)


@given(st.sampled_from(list(KIND_OF)), st.data(), st.floats(-1e6, 1e6))
def test_there_and_back(unit: str, data: st.DataObject, value: float) -> None:
    wanted = data.draw(st.sampled_from(units_like(unit)))
    assert isclose(convert(convert(value, unit, wanted), wanted, unit), value, rel_tol=1e-12, abs_tol=1e-9)


def test_kinds_do_not_mix() -> None:
    with pytest.raises(ValueError, match=r"N\.m is a torque and bar a pressure: use one of N\.m, kgf\.m, lbf\.ft"):
        convert(1.0, "N.m", "bar")
    assert least_of("K") == 0.0
    assert least_of("psi") is None


def test_wrapping() -> None:
    for angle, expected in ((359.25, -0.75), (-181.0, 179.0), (180.0, -180.0), (540.5, -179.5), (-0.0, 0.0)):
        assert wrapped(angle) == expected


@given(st.floats(-1e4, 1e4))
def test_wrapped_is_the_same_direction(angle: float) -> None:
    assert -180.0 <= wrapped(angle) < 180.0
    turns = (angle - wrapped(angle)) / 360.0
    assert turns == pytest.approx(round(turns), abs=1e-9)


@given(st.floats(-360, 360), st.floats(0, 359.9))
def test_the_midpoint_is_half_way_ahead(before: float, way: float) -> None:
    middle = midpoint(before, before + way)
    assert arc(before, middle) == pytest.approx(0.5 * way, abs=1e-9) or way < 1e-9


@given(st.lists(st.floats(-20, 20), min_size=1, max_size=9), st.floats(-360, 360))
def test_where_the_scale_starts_does_not_matter(spread: list[float], centre: float) -> None:
    found = unrolled([(centre + each) % 360.0 for each in spread])
    assert max(found) - min(found) == pytest.approx(max(spread) - min(spread), abs=1e-9)
    middle = sum(found) / len(found)
    assert wrapped(middle - centre - sum(spread) / len(spread)) == pytest.approx(0.0, abs=1e-9)


def test_directions_all_round_have_some_answer() -> None:
    assert len(unrolled([0.0, 90.0, 180.0, 270.0])) == 4


def test_a_direction_a_hair_before_half_a_turn_stays_on_the_scale() -> None:
    """The remainder of a tiny negative number rounds up to a whole turn."""
    for angle in (-180.0, math.nextafter(-180.0, -math.inf), math.nextafter(180.0, math.inf), 540.0 - 1e-13):
        assert -180.0 <= wrapped(angle) < 180.0
    for before in (5e-17, 1e-300, 360.0 + 1e-13):
        assert 0.0 <= arc(before, 0.0) < 360.0
    assert arc(5e-17, 0.0) == 0.0


@pytest.mark.parametrize("turn", [0.0, 30.0, 170.0, 355.0])
def test_directions_are_unrolled_about_where_most_of_them_point(turn: float) -> None:
    """Also where the first is the one that does not."""
    found = unrolled([195.0 + turn, 10.0 + turn, 20.0 + turn, 5.0 + turn])
    assert [each - found[1] for each in found] == pytest.approx([-175.0, 0.0, 10.0, -5.0])
