"""Mistakes that all units share, or two with each other: when they are looked for, and what they weigh, by hand."""

from math import exp, log, pi, sqrt
from statistics import median
from types import SimpleNamespace
from typing import Any

import pytest
from scipy import stats

from calc.judge import suspect_stage
from calc.judge.fit import log_honest
from calc.judge.seen import SeenUnit
from calc.judge.suspect_stage import StageExplanation, is_about_lifts, lifts_off, signs_off, swap
from tests.invented import SLOPE, TOLERANCE, Tree, both, contact, engine_job, rod_error
from tests.invented import at_lift as valve_at_lift
from tests.judge.by_hand import ANGLE, LIFT, before_suspicions, flank, seen_event, seen_unit
from tests.pump.forward import SPILL, SUCTION

MISTAKE, ROD, CAM, STRAY = 0.01, 0.08, 0.06, 0.01
BOTH = (SUCTION, SPILL)
RATIO = {SUCTION: 0.8, SPILL: 1.25}
INDEX = 60.0
# Three tolerances of 0.4 degrees; the pointer is known to 0.05.
SETTINGS: Any = SimpleNamespace(tolerance_deg=0.4, fuel_index=INDEX, quality=SimpleNamespace(pointer_deg=0.05))


def unit_with(
    lift: tuple[float, float] = (0.0, 0.0),
    angle: tuple[float, float] = (0.0, 0.0),
    *,
    number: int = 1,
    opening: float | None = None,
    reference: tuple[float, float] = (0.0, 0.0),
    contact_: bool = True,
) -> SeenUnit:
    """A unit off by so much in lift and angle from a reference that lies a little off the others' own."""
    events = []
    for event, off, turned, own in zip(BOTH, lift, angle, reference, strict=True):
        given: dict[str, Any] = {"angles": (ANGLE[event] + turned,), "reference_lift": LIFT[event] + own}
        if contact_:
            given["lifts"] = (LIFT[event] + own + off,)
        else:
            given |= {"contact": False, "lifts": (0.05 + off * RATIO[event] * (1.0 if event == SUCTION else -1.0),)}
        events.append(seen_event(event, **given))
    unit = seen_unit(*events, number=number, expect=0.0)
    judged: Any = SimpleNamespace(
        number=number,
        opening_mm=opening,
        settings=SimpleNamespace(stroke_mm=LIFT[SPILL] - LIFT[SUCTION] + reference[1] - reference[0]),
    )
    unit.judged = judged
    return unit


def normal(distance: float, variance: float) -> float:
    return float(stats.norm.pdf(distance, 0.0, sqrt(variance)))


def rods(units: list[SeenUnit], left: list[float]) -> float:
    """Log density of lift deviations behind which only rods stand: how far sound ones lie off, their median tells."""
    events = [event for unit in units for event in unit.events]
    worth = [2.0 * off / event.fault for event, off in zip(events, left, strict=True)]
    spread = min(max(1.4826 * median(abs(each) for each in worth), 0.05), 0.25)
    total = 0.0
    for event, off in zip(events, left, strict=True):
        sound = event.var_lift + (spread * event.fault / 2.0) ** 2
        total += log((1.0 - ROD) * normal(off, sound) + ROD * normal(off, event.var_fault))
    return total


def weights(units: list[SeenUnit]) -> dict[tuple[str, tuple[str, ...]], StageExplanation]:
    return {(each.explanation.code, each.explanation.events): each for each in lifts_off(units, SETTINGS)}


def expected(units: list[SeenUnit], gains: list[float], typical: float, share: float) -> tuple[float, float]:
    """Weight and size of a mistake that adds `gains` times its size to the lifts: Laplace's approximation about the median."""
    events = [event for unit in units for event in unit.events]
    errors = [event.numbers[0] or 0.0 for event in events]
    pairs = [(error, gain, event) for error, gain, event in zip(errors, gains, events, strict=True) if gain]
    size = median(error / gain for error, gain, _ in pairs)
    width = pi / 2.0 * sum(event.var_sound / gain**2 for _, gain, event in pairs) / len(pairs) ** 2
    left = [error - size * gain for error, gain in zip(errors, gains, strict=True)]
    prior = float(stats.norm.logpdf(size, 0.0, typical))
    return log(MISTAKE * share) + rods(units, left) + prior + 0.5 * log(2.0 * pi * width), size


def three(lifts: list[tuple[float, float]], **given: Any) -> list[SeenUnit]:
    return [unit_with(lift, number=number, **given) for number, lift in enumerate(lifts, start=1)]


def test_an_index_that_is_off_moves_every_spill_by_its_own_stroke() -> None:
    """g = (h_o - h_c + w) / I; the second unit's opening was read: w = (1.3 - 0.05) / 1.25 = 1 mm."""
    units = [
        unit_with((0.01, 0.81), number=1),
        unit_with((0.0, 0.84), number=2, opening=1.3),
        unit_with((-0.02, 0.9), number=4, reference=(-1.0, 2.0)),
    ]
    found = weights(units)
    assert found["honest", ()].explanation.weight == pytest.approx(rods(units, [0.01, 0.81, 0.0, 0.84, -0.02, 0.9]))
    gains = [0.0, 24.0 / INDEX, 0.0, 25.0 / INDEX, 0.0, 27.0 / INDEX]
    weight, size = expected(units, gains, 0.6 / (24.0 / INDEX), 1.0)
    index = found["index_off", (SPILL,)]
    assert index.explanation.weight == pytest.approx(weight)
    assert (index.explanation.size, index.explanation.unit) == pytest.approx((size, "index"))
    assert index.units == frozenset({1, 2, 4})


def test_an_opening_below_the_seat_contact_adds_nothing() -> None:
    units = [unit_with((0.0, 0.8), number=number, opening=0.01) for number in (1, 2, 3)]
    weight, _ = expected(units, [0.0, 24.0 / INDEX] * 3, 0.6 / (24.0 / INDEX), 1.0)
    assert weights(units)["index_off", (SPILL,)].explanation.weight == pytest.approx(weight)


@pytest.mark.parametrize("kept", [False, True])
def test_a_timing_setting_moves_the_start_and_the_end_where_the_stroke_is_kept(kept: bool) -> None:
    units = three([(0.6, 0.6), (0.62, 0.59), (0.61, 0.63)])
    found = weights(units)["timing_offset", BOTH if kept else (SUCTION,)]
    weight, size = expected(units, [1.0, 1.0 if kept else 0.0] * 3, 0.6, 0.5)
    assert found.explanation.weight == pytest.approx(weight)
    assert (found.explanation.size, found.explanation.unit) == pytest.approx((size, "mm"))


def test_a_seat_contact_reading_too_large_finds_the_start_early_and_the_end_late() -> None:
    units = three([(-0.5, 0.32), (-0.51, 0.33), (-0.49, 0.32)])
    found = weights(units)["seat_contact", BOTH]
    weight, size = expected(units, [-1.0 / 0.8, 1.0 / 1.25] * 3, 0.6 * 0.8, 1.0)
    assert size == pytest.approx(0.4, abs=0.01)
    assert found.explanation.weight == pytest.approx(weight)
    assert (found.explanation.size, found.explanation.unit) == pytest.approx((size, "mm"))


def test_at_reference_lift_only_the_index_is_weighed() -> None:
    units = three([(0.0, -0.8)] * 3, contact_=False)
    assert set(weights(units)) == {("honest", ()), ("index_off", (SPILL,))}


def test_what_moves_no_angle_by_a_third_of_the_tolerance_is_left_out() -> None:
    """0.1333 degrees; the cam is flatter at the start, so the same lift moves the start further."""
    assert flank(SUCTION).slope < flank(SPILL).slope
    for share, there in ((1.01, True), (0.99, False)):
        off = share * flank(SUCTION).slope * 0.4 / 3.0
        assert (("timing_offset", (SUCTION,)) in weights(three([(off, off)] * 3))) is there


def test_three_units_with_both_lifts_take_part() -> None:
    assert lifts_off(three([(0.6, 0.6)] * 2), SETTINGS) == []
    seated = unit_with((0.6, 0.6), number=3)
    seated.events[1].numbers = (None, 0.0, 0.0)
    assert lifts_off([*three([(0.6, 0.6)] * 2), seated], SETTINGS) == []
    group = lifts_off([*three([(0.6, 0.6)] * 3), seated], SETTINGS)
    assert {each.units for each in group} == {frozenset({1, 2, 3})}
    assert is_about_lifts(group)
    assert not is_about_lifts([each for each in group if each.explanation.code != "index_off"])


# ---------------------------------------------------------------- before and after TDC, everywhere


def signed(units: list[SeenUnit], events: tuple[str, ...]) -> float:
    """Log density of all units if the angles of these events were meant with the other sign."""
    numbers = [
        [each.told(each.lifts, [-a for a in each.angles]) if each.event in events else each.numbers for each in unit.events]
        for unit in units
    ]
    middle = median(part for own in numbers for _, part, _ in own)
    sound = 0.05**2 + 0.02**2
    total = log((1.0 - CAM) * normal(middle, sound) + CAM * normal(middle, sound + 0.8**2))
    for unit, own in zip(units, numbers, strict=True):
        moved = [(error, part - middle + unit.expect, offset) for error, part, offset in own]
        density = log_honest(unit, moved) + log(1.0 - STRAY)
        stray = log(STRAY) - len(own) * log(20.0 * 20.0)
        low, high = sorted((density, stray))
        total += high + log(1.0 + exp(low - high))
    return total


@pytest.mark.parametrize("lost", [(SUCTION,), (SPILL,), BOTH])
def test_signs_lost_in_every_unit(lost: tuple[str, ...]) -> None:
    turned = tuple(-2.0 * ANGLE[event] + 0.1 if event in lost else 0.1 for event in BOTH)
    units = [unit_with((0.0, 0.01 * number), (turned[0], turned[1]), number=number) for number in (1, 2, 3)]
    found = {each.explanation.events: each for each in signs_off(units, SETTINGS)}
    assert found[()].explanation.code == "honest"
    assert found[()].explanation.weight == pytest.approx(signed(units, ()))
    assert set(found) == {(), (SUCTION,), (SPILL,), BOTH}
    for events in ((SUCTION,), (SPILL,), BOTH):
        each = found[events].explanation
        assert each.weight == pytest.approx(log(MISTAKE / 3.0) + signed(units, events))
        last = SUCTION if events == (SUCTION,) else SPILL
        read = ANGLE[last] + turned[BOTH.index(last)]
        assert (each.code, each.unit) == ("before_after", "deg")
        assert each.size == pytest.approx(2.0 * read)
        assert found[events].units == frozenset({1, 2, 3})
    assert max(found.values(), key=lambda each: each.explanation.weight).explanation.events == lost


def test_signs_need_three_units_with_both_events() -> None:
    units = [unit_with((0.0, 0.0), (32.0, 4.0), number=number) for number in (1, 2)]
    assert signs_off([*units, seen_unit(seen_event(SUCTION))], SETTINGS) == []


# ---------------------------------------------------------------- exchanged units


def pair(**given: Any) -> tuple[SeenUnit, SeenUnit]:
    """Two units whose references are 0.6 and 0.5 mm apart, with each other's lifts."""
    a = unit_with((0.6, 0.5), number=2, **given)
    b = unit_with((-0.6, -0.5), number=5, reference=(0.6, 0.5), **given)
    return a, b


def test_exchanged_units_by_hand() -> None:
    a, b = pair()
    honest, exchanged = swap(a, b, 7)
    assert honest.explanation.code == "honest"
    assert honest.explanation.weight == pytest.approx(log_honest(a, a.numbers) + log_honest(b, b.numbers))
    back = [
        [one.told(other.lifts, other.angles) for one, other in zip(mine.events, theirs.events, strict=True)]
        for mine, theirs in ((a, b), (b, a))
    ]
    assert [each[0] for each in back[0]] == pytest.approx([0.0, 0.0])
    # One of the 21 pairs of seven units.
    weight = log(MISTAKE / 21.0) + log_honest(a, back[0]) + log_honest(b, back[1])
    assert exchanged.explanation.weight == pytest.approx(weight)
    assert (exchanged.explanation.code, exchanged.explanation.detail) == ("units_swapped", "2|5")
    assert exchanged.explanation.events == BOTH
    assert honest.units == exchanged.units == frozenset({2, 5})


def test_an_exchange_has_to_put_two_numbers_right() -> None:
    """Five deviations: 0.15 mm at the start, 0.2 mm at the end."""
    assert suspect_stage._odd(unit_with((0.151, 0.0)), unit_with((0.151, 0.0)).numbers) >= 1
    near = unit_with((0.149, 0.199))
    assert suspect_stage._odd(near, [(0.149, 0.0, 0.0), (0.199, 0.0, 0.0)]) == 0
    assert suspect_stage._odd(near, [(-0.151, 0.0, 0.0), (0.199, 0.0, 0.0)]) == 1
    assert suspect_stage._odd(near, [(-0.151, 0.0, 0.0), (-0.201, 0.0, 0.0)]) == 2
    # Cam parts: 5 * sqrt(0.01 + 0.003 + 0.0004) = 0.579 at the start, 0.765 at the end; a seated valve has no lift.
    assert suspect_stage._odd(near, [(None, 0.578, 0.0), (None, -0.764, 0.0)]) == 0
    assert suspect_stage._odd(near, [(None, 0.580, 0.0), (None, -0.766, 0.0)]) == 2
    assert swap(*pair(), 7)
    one = unit_with((0.6, 0.0), number=2), unit_with((0.0, 0.0), number=5, reference=(0.6, 0.0))
    assert swap(*one, 7) == []


def test_what_an_exchange_leaves_off_counts_in_both_units() -> None:
    """Two lifts are off as they stand, and four would be if they were exchanged: two in each unit."""
    a, b = unit_with((0.3, 0.25), number=2), unit_with(number=5, reference=(0.6, 0.5))
    assert swap(a, b, 7) == []
    assert swap(b, a, 7) == []


def test_units_read_in_other_ways_are_not_exchanged() -> None:
    a, b = pair()
    assert swap(a, unit_with((-0.6, -0.5), number=5, reference=(0.6, 0.5), contact_=False), 7) == []
    assert swap(a, seen_unit(*b.events[:1], number=5), 7) == []


# ---------------------------------------------------------------- the cheap looks before


def units_of(tree: Tree) -> tuple[Any, Any]:
    _, settings, units, _ = before_suspicions(tree)
    return units, settings


def all_off(lift: float, units: int = 3, event: str = SPILL, rest: float = 0.0) -> Tree:
    """So many units off by so much at one event."""
    other = SUCTION if event == SPILL else SPILL
    read = [rod_error(unit, event, lift) for unit in range(1, units + 1)]
    return engine_job(readings=[*read, *(rod_error(unit, other, rest) for unit in range(1, units + 1))])


@pytest.mark.parametrize("event", BOTH)
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_lifts_are_looked_at_where_their_middle_moves_a_third_of_the_tolerance(event: str, sign: float) -> None:
    limit = TOLERANCE / 3.0 * SLOPE
    for share, looked in ((1.001, True), (0.999, False)):
        assert suspect_stage.shared_lift_error(*units_of(all_off(sign * share * limit, event=event))) is looked
    assert not suspect_stage.shared_lift_error(*units_of(all_off(1.0, units=2)))


def test_lifts_are_looked_at_beyond_three_uncertainties() -> None:
    """A gauge good to 0.5 mm: u = 0.29 mm and of three units 0.167, so 0.5 mm is the limit."""

    def coarse(tree: Tree) -> Tree:
        tree["instruments"]["plunger_gauge"]["error_limit_mm"] = 0.5
        return tree

    u = sqrt(2.0 * 0.005**2 / 12.0 + 0.25 / 3.0 + 0.003**2 + (2.0 * 0.002**2 / 12.0 + 0.003**2 / 3.0) / 1.125**2)
    limit = 3.0 * u / sqrt(3.0)
    for share, looked in ((1.001, True), (0.999, False)):
        assert suspect_stage.shared_lift_error(*units_of(coarse(all_off(share * limit)))) is looked


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_contradiction_that_all_share_beyond_the_tolerance(sign: float) -> None:
    def apart(off: float, units: int = 3) -> Tree:
        read = [contact(unit, SUCTION, 0.0, sign * off) for unit in range(1, units + 1)]
        return engine_job(readings=[*read, *(contact(unit, SPILL) for unit in range(1, units + 1))])

    for share, looked in ((1.001, True), (0.999, False)):
        found = units_of(apart(share * TOLERANCE))
        assert suspect_stage.shared_contradiction(*found) is looked
    assert not suspect_stage.shared_contradiction(*units_of(apart(5.0, units=2)))


def test_contradiction_beyond_three_uncertainties_of_both() -> None:
    """A scale read to 1 degree: u = 0.29 for each angle and more for its pointer; three times both are beyond the tolerance."""

    def coarse(off: float) -> Tree:
        read = [contact(unit, SUCTION, 0.0, off) for unit in (1, 2, 3)] + [contact(unit, SPILL) for unit in (1, 2, 3)]
        return engine_job(
            readings=read, change=lambda tree: tree["instruments"]["angle_scale"].update(step_deg=1.0, repeatability_deg=0.2)
        )

    plunger = (2.0 * 0.005**2 / 12.0 + 0.008**2 / 3.0) / SLOPE**2
    u = sqrt(1.0 / 12.0 + 0.03**2 + 0.2**2 + plunger + (0.003 / SLOPE) ** 2)
    for share, looked in ((1.001, True), (0.999, False)):
        assert suspect_stage.shared_contradiction(*units_of(coarse(share * 6.0 * u))) is looked


def with_own_settings(apart: float, off: tuple[float, float], at_lift: bool = False) -> Tree:
    """Units 1 and 2, whose start settings are `apart` and which are off by `off`; a third is right."""
    key = "beginning_deg" if at_lift else "pre_stroke_mm"

    def change(tree: Tree) -> None:
        tree["reference"]["units"][1][key] += apart

    read: list[Tree] = [each for unit in (1, 2, 3) for each in both(unit)]
    for place, own in ((0, off[0]), (2, off[1] + apart)):
        unit = read[place]["unit"]
        read[place] = valve_at_lift(unit, SUCTION, 0.0, own) if at_lift else contact(unit, SUCTION, own)
    return engine_job(readings=read, change=change)


@pytest.mark.parametrize("at_lift", [False, True])
@pytest.mark.parametrize("apart", [1.0, -1.0])
def test_units_off_by_what_their_settings_differ_may_be_exchanged(at_lift: bool, apart: float) -> None:
    """Each within a fifth of the difference, or within five uncertainties."""

    def looked(off: tuple[float, float]) -> list[tuple[int, int]]:
        units, _ = units_of(with_own_settings(apart, off, at_lift))
        return [(a.number, b.number) for a, b in suspect_stage.swappable(units)]

    assert looked((apart, -apart)) == [(1, 2)]
    assert looked((1.19 * apart, -0.81 * apart)) == [(1, 2)]
    assert looked((1.21 * apart, -apart)) == []
    assert looked((apart, -0.79 * apart)) == []
    assert looked((-apart, apart)) == []
    assert looked((0.0, 0.0)) == []


def test_settings_have_to_differ_by_six_uncertainties() -> None:
    u = sqrt(2.0 * 0.005**2 / 12.0 + 0.008**2 / 3.0 + 0.003**2 + (2.0 * 0.002**2 / 12.0 + 0.003**2 / 3.0) / 0.625**2)
    for share, looked in ((1.01, True), (0.99, False)):
        apart = 6.0 * u * share
        units, _ = units_of(with_own_settings(apart, (apart + u, -apart - u)))
        assert bool(suspect_stage.swappable(units)) is looked


def test_only_units_off_by_six_uncertainties_are_looked_at() -> None:
    u = sqrt(2.0 * 0.005**2 / 12.0 + 0.008**2 / 3.0 + 0.003**2 + (2.0 * 0.002**2 / 12.0 + 0.003**2 / 3.0) / 0.625**2)
    for share, looked in ((6.01, True), (5.99, False)):
        units, _ = units_of(with_own_settings(6.3 * u, (share * u, -6.3 * u)))
        assert bool(suspect_stage.swappable(units)) is looked
