"""Uncertainty budgets against the worked examples of the GUM."""

import math
from typing import Any

import pytest

from calc.measure.gum import (
    Term,
    combined,
    effective_dof,
    expanded,
    rectangular,
    resolution,
    root_sum_square,
    welch_satterthwaite,
)
from tests.published import load

H1 = load("gum-h1")
G4 = load("gum-g4")


def h1_term(component: dict[str, Any]) -> Term:
    """A line of the H.1 budget in nm, with the sensitivities of the GUM's equation H.3."""
    if "u_nm" in component:
        return Term(component["name"], component["u_nm"], component["dof"])
    factor = {"temperature offset": H1["mean_temperature_offset_c"], "expansion": H1["expansion_per_c"]}
    sensitivity = H1["length_nm"] * abs(factor[component["times"]])
    return Term(component["name"], sensitivity * rectangular(component["half_width"]), component["dof"])


H1_TERMS = [h1_term(component) for component in H1["components"]]


@pytest.mark.parametrize(("term", "component"), list(zip(H1_TERMS, H1["components"], strict=True)))
def test_components_of_the_end_gauge(term: Term, component: dict[str, Any]) -> None:
    """JCGM 100:2008, table H.1."""
    assert round(term.u, 1) == component["printed_nm"]


def test_end_gauge_calibration() -> None:
    """JCGM 100:2008, H.1.5 and H.1.6, to all digits and as printed."""
    u, dof = combined(H1_TERMS), welch_satterthwaite(H1_TERMS)
    assert u == pytest.approx(H1["exact"]["u_nm"], rel=1e-12)
    assert dof == pytest.approx(H1["exact"]["dof"], rel=1e-12)
    assert round(u) == H1["printed"]["u_nm"]
    assert effective_dof(H1_TERMS) == H1["printed"]["dof"]
    assert round(expanded(1.0, 16, coverage=0.99), 2) == H1["printed"]["t99"]
    # The GUM multiplies what it has printed: 2.92 x 32 nm.
    assert round(expanded(round(u), effective_dof(H1_TERMS), coverage=0.99)) == H1["printed"]["u99_nm"]


def test_relative_example() -> None:
    """JCGM 100:2008, G.4.1."""
    terms = [Term(str(i), each["u"], each["dof"]) for i, each in enumerate(G4["inputs"])]
    u, dof = combined(terms), welch_satterthwaite(terms)
    assert u == pytest.approx(G4["exact"]["u"], abs=5e-6)
    assert round(u, 2) == G4["printed"]["u"]
    # The GUM puts the rounded 1.03 into its formula; nothing rounded gives 18.9987, and cutting that leaves 18.
    assert dof * (G4["printed"]["u"] / u) ** 4 == pytest.approx(G4["exact"]["dof_from_printed_u"], abs=5e-5)
    assert dof == pytest.approx(G4["exact"]["dof"], abs=5e-5)
    assert f"{dof:.1f}" == G4["printed"]["dof"]
    assert effective_dof(terms) == 18
    assert round(expanded(u, round(dof)), 1) == G4["printed"]["expanded"]


def test_a_step_is_worth_0_29_of_itself() -> None:
    """JCGM 100:2008, F.2.2.1: u = 0.29 of the step."""
    assert round(resolution(1.0), 2) == 0.29
    assert resolution(0.02) == rectangular(0.01)


def test_rectangular_half_width_of_five_micrometres() -> None:
    """JCGM 100:2008, 4.3.7: a / sqrt(3)."""
    assert rectangular(5.0) == pytest.approx(2.886751, abs=5e-7)


def test_effective_dof_is_rounded_down_and_never_below_one() -> None:
    half_and_half = [Term("a", 1.0, 3.0), Term("b", 1.0, 3.0)]
    assert welch_satterthwaite(half_and_half) == pytest.approx(6.0)
    assert effective_dof(half_and_half) == 6.0
    assert effective_dof([Term("a", 1.0, 3.0), Term("b", 0.99, 3.0)]) == 5.0
    assert effective_dof([Term("a", 1.0, 0.5)]) == 1.0


def test_dof_is_infinite_without_repeats() -> None:
    assert welch_satterthwaite([Term("a", 1.0), Term("b", 0.0, 2.0)]) == math.inf
    assert effective_dof([]) == math.inf


@pytest.mark.parametrize("scale", [1e-150, 1e150])
def test_dof_does_not_depend_on_the_unit(scale: float) -> None:
    """A fourth power of a very small or large number would leave the range of a double."""
    terms = [Term("a", 3.0 * scale, 5), Term("b", 4.0 * scale, 9)]
    assert welch_satterthwaite(terms) == pytest.approx(625.0 / (81.0 / 5 + 256.0 / 9), rel=1e-12)


def test_combination_is_a_root_of_squares() -> None:
    assert combined([Term("a", 3.0), Term("b", 4.0)]) == root_sum_square([3.0, 4.0]) == 5.0
    assert combined([]) == 0.0


def test_expanded_uses_the_normal_distribution_where_dof_are_infinite() -> None:
    assert expanded(1.0, math.inf) == pytest.approx(1.9599640, abs=5e-8)
    assert expanded(1.0, 1.0) == pytest.approx(12.7062047, abs=5e-8)


def test_terms_without_size_or_without_doubt_of_their_own_leave_the_degrees_of_freedom() -> None:
    assert welch_satterthwaite([Term("repeats", 0.0, 4)]) == math.inf
    assert welch_satterthwaite([Term("repeats", 0.0, 4), Term("step", 0.0)]) == math.inf
    assert welch_satterthwaite([Term("repeats", 0.2, 4), Term("step", 0.0)]) == pytest.approx(4.0)
    assert welch_satterthwaite([Term("repeats", 0.2, 4), Term("none", 0.0, 1)]) == pytest.approx(4.0)
