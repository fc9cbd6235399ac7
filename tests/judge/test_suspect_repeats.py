"""One repeat that stands apart from the others: each way it can have come about, weighed by hand."""

from math import log, sqrt
from types import SimpleNamespace
from typing import Any

import pytest
from scipy import stats

from calc.job.model import Reading
from calc.judge import suspect_repeats
from calc.judge.fit import log_honest
from calc.judge.seen import SeenUnit
from calc.judge.suspect_unit import Explanation
from tests.judge.by_hand import seen_event, seen_unit
from tests.pump.forward import SPILL, SUCTION

MISTAKE, CLUMSY = 0.01, 0.03
SCATTER = {"plunger_lift_mm": 0.006, "valve_lift_mm": 0.004, "crank_angle_deg": 0.05}
STEP = {"mm": 0.01, "deg": 0.1}


def unit_with(event: str, lifts: tuple[float, ...], angles: tuple[float, ...], contact: bool = True) -> SeenUnit:
    """A unit whose one event was read so; the other event was read once, at its reference."""
    events, readings = [], {}
    for each in (SUCTION, SPILL):
        told = {"lifts": lifts, "angles": angles, "contact": contact} if each == event else {}
        events.append(seen_event(each, **told))
        method = "at_contact" if each != event or contact else "at_reference_lift"
        read = Reading(unit=1, stage="as_found", event=each, method=method)
        readings[each] = SimpleNamespace(reading=read)
    return seen_unit(*events, readings=readings, expect=0.0, base=0.0)


def told(unit: SeenUnit) -> list[list[Explanation]]:
    layout: Any = SimpleNamespace(scatter=lambda kind: SCATTER[kind[0]])
    return suspect_repeats.explanations(unit, layout)


def density(unit: SeenUnit, event: str, lifts: tuple[float, ...], angles: tuple[float, ...]) -> float:
    """Log density of the unit, had these been the repeats of one event."""
    return log_honest(unit, [each.told(lifts, angles) if each.event == event else each.numbers for each in unit.events])


def normal(distance: float, variance: float) -> float:
    return float(stats.norm.pdf(distance, 0.0, sqrt(variance)))


def variance(scatter: float, step: float, others: int) -> float:
    """Of a repeat against the mean of the others: its scatter and its step, and theirs."""
    return (scatter**2 + step**2 / 12.0) * (1.0 + 1.0 / others)


def listed(unit: SeenUnit, code: str) -> list[Explanation]:
    (found,) = told(unit)
    return [each for each in found if each.code == code]


def test_of_two_repeats_either_may_be_the_slip() -> None:
    """16.0 and 61.0 before TDC: 61.0 is 16.0 with its digits exchanged, and 16.0 is 61.0 so."""
    unit = unit_with(SUCTION, (12.0, 12.0), (-16.0, -61.0))
    spread = variance(0.05, 0.1, 1)
    slips = listed(unit, "digit_slip")
    assert [each.detail for each in slips] == ["-16|-61", "-61|-16"]
    for each, right, off in zip(slips, ((-61.0, -61.0), (-16.0, -16.0)), (45.0, -45.0), strict=True):
        expected = density(unit, SUCTION, (12.0, 12.0), right) + log(normal(0.0, spread))
        # Half a chance for each repeat, a fifth for each kind of slip.
        assert each.weight == pytest.approx(log(0.5 * 0.2 * MISTAKE) + expected)
        assert (each.unit, each.events) == ("deg", (SUCTION,))
        assert each.size == pytest.approx(off)
    honest = listed(unit, "honest")
    assert len(honest) == 2
    # So far apart nothing but the wide tail is left: three in a hundred repeats scatter four times as far.
    tail = log(CLUMSY) - 0.5 * (45.0**2 / (16.0 * spread) + log(2.0 * 3.141592653589793 * 16.0 * spread))
    for each, rest in zip(honest, ((-61.0,), (-16.0,)), strict=True):
        assert each.weight == pytest.approx(log(0.5) + density(unit, SUCTION, (12.0, 12.0), rest) + tail)


def test_of_three_repeats_the_one_apart_is_the_slip() -> None:
    unit = unit_with(SPILL, (36.0, 63.0, 36.01), (-2.0, -2.0, -2.0))
    spread = variance(0.006, 0.01, 2)
    (slip,) = listed(unit, "digit_slip")
    expected = density(unit, SPILL, (36.0, 36.01, 36.0), (-2.0, -2.0, -2.0)) + log(normal(36.0 - 36.005, spread))
    assert slip.weight == pytest.approx(log(0.2 * MISTAKE) + expected)
    assert (slip.size, slip.unit, slip.detail) == pytest.approx((27.0, "mm", "63|36"))
    (honest,) = listed(unit, "honest")
    tail = log(CLUMSY) + float(stats.norm.logpdf(63.0 - 36.005, 0.0, 4.0 * sqrt(spread)))
    assert honest.weight == pytest.approx(log(1.0) + density(unit, SPILL, (36.0, 36.01), (-2.0, -2.0, -2.0)) + tail)


def test_a_repeat_a_little_apart_is_clumsy() -> None:
    """0.7 degrees: nothing that a pencil makes of it, so honest scatter alone, with its narrow and its wide part."""
    unit = unit_with(SUCTION, (12.0,) * 3, (-16.0, -16.0, -15.3))
    spread = variance(0.05, 0.1, 2)
    (honest,) = listed(unit, "honest")
    both = (1.0 - CLUMSY) * normal(0.7, spread) + CLUMSY * normal(0.7, 16.0 * spread)
    assert honest.weight == pytest.approx(density(unit, SUCTION, (12.0,) * 3, (-16.0, -16.0)) + log(both))
    assert not listed(unit, "digit_slip")


def test_a_slip_counts_only_near_the_others() -> None:
    """Five standard deviations: with 21.3 the digits exchanged say 12.3, and the others say 12.0."""
    for other, near in ((12.28, True), (12.2, False)):
        unit = unit_with(SUCTION, (other, other, 21.3), (-16.0,) * 3)
        assert bool(listed(unit, "digit_slip")) is near
    assert 5.0 * sqrt(variance(0.006, 0.01, 2)) == pytest.approx(0.0408, abs=0.0001)


def test_a_sign_in_one_repeat() -> None:
    unit = unit_with(SUCTION, (12.0,) * 3, (-16.0, 16.1, -16.0))
    (sign,) = listed(unit, "before_after")
    expected = density(unit, SUCTION, (12.0,) * 3, (-16.0, -16.0, -16.1)) + log(normal(-0.1, variance(0.05, 0.1, 2)))
    assert sign.weight == pytest.approx(log(MISTAKE) + expected)
    assert (sign.size, sign.detail) == pytest.approx((32.2, "16.1|-16.1"))


def test_a_lift_has_no_sign() -> None:
    unit = unit_with(SUCTION, (12.0, -12.0, 12.0), (-16.0,) * 3)
    assert not listed(unit, "before_after")
    assert not listed(unit, "astern_play")


def test_next_to_tdc_a_sign_in_one_repeat_cannot_be_told() -> None:
    """Within half of 3.92 standard deviations of TDC."""
    limit = 3.92 * sqrt(variance(0.02, 0.01, 2)) / 2.0
    for angle, tells in ((limit * 1.01, True), (limit * 0.99, False)):
        end = seen_event(SPILL, lifts=(36.0,) * 3, angles=(-angle, angle, -angle), angle_step=0.01)
        unit = seen_unit(seen_event(SUCTION), end, expect=0.0, base=0.0)
        found = suspect_repeats._Repeats(unit, end, True, 0.02).explanations()
        assert bool([each for each in found if each.code == "before_after"]) is tells


def test_play_in_some_repeats_makes_them_early() -> None:
    """Two at 17.0 and two at 16.0 before TDC: those at 16.0 were reached ahead."""
    angles = (-16.0, -17.0, -16.05, -17.05)
    unit = unit_with(SUCTION, (12.0,) * 4, angles)
    (astern,) = listed(unit, "astern_play")
    gap = 1.0
    expected = density(unit, SUCTION, (12.0,) * 4, (-16.05, -16.0)) + log(2.0 * normal(gap, 0.8**2))
    assert astern.weight == pytest.approx(log(MISTAKE) + expected)
    assert (astern.unit, astern.events) == ("deg", (SUCTION,))
    assert astern.size == pytest.approx(-gap)
    # Neither pair alone is one repeat apart from three that agree.
    assert {each.code for each in told(unit)[0]} == {"astern_play"}


def test_three_clusters_are_no_play() -> None:
    for far in ((-16.0, -17.0, -18.0, -16.0, -17.0), (-18.0, -17.0, -15.5, -15.5)):
        unit = unit_with(SUCTION, (12.0,) * len(far), far)
        assert not [each for found in told(unit) for each in found if each.code == "astern_play"]


@pytest.mark.parametrize(
    ("lifts", "angles", "count"),
    [
        ((12.0, 12.0), (-16.0, -16.1), 0),
        ((12.0, 12.5), (-16.0, -16.0), 1),
        ((12.0, 12.0), (-16.0, -17.0), 1),
        # Both: the contact itself was found elsewhere.
        ((12.0, 12.5), (-16.0, -17.0), 0),
    ],
)
def test_where_both_lists_lie_apart_no_pencil_slipped(lifts: tuple[float, ...], angles: tuple[float, ...], count: int) -> None:
    assert len(told(unit_with(SUCTION, lifts, angles))) == count


def test_a_valves_repeats_have_the_valve_gauges_scatter() -> None:
    unit = unit_with(SPILL, (0.3, 0.3, 0.33), (-2.0,) * 3, contact=False)
    assert len(told(unit)) == 1
    wide: Any = SimpleNamespace(scatter=lambda kind: {**SCATTER, "valve_lift_mm": 0.006}[kind[0]])
    assert suspect_repeats.explanations(unit, wide) == []


def test_sizes_that_do_not_matter_are_left_out() -> None:
    """Two readings 0.13 degrees apart are no third of the tolerance of 0.4, whatever made them so."""
    start = seen_event(SUCTION, lifts=(12.0,) * 2, angles=(-16.0, -16.12), angle_step=0.01)
    unit = unit_with(SUCTION, (12.0,), (-16.0,))
    unit = seen_unit(start, seen_event(SPILL), readings=unit.judged.readings, expect=0.0, base=0.0)
    layout: Any = SimpleNamespace(scatter=lambda kind: 0.002)
    (found,) = suspect_repeats.explanations(unit, layout)
    assert {each.code for each in found} == {"honest"}
