"""Cut-out and lift-off: opening, limit, index of zero delivery, and what a correction would do to them."""

import math

import pytest

from calc.findings import AfterCorrection
from calc.judge.cut_out_after import cut_out_after, worst_opening
from tests.invented import (
    LIFT,
    RATIO,
    SEAT,
    SPILL,
    SUCTION,
    Tree,
    absent,
    at_lift,
    both,
    clearance,
    codes,
    contact,
    engine_job,
    entry,
    judged,
    notice,
    opening,
    rod_error,
)

LIMIT = 1.25
STROKE = LIFT[SPILL] - LIFT[SUCTION]
Z95 = 1.6448536269514722


def u_opening() -> float:
    """u^2 = u_v^2 (1 + (i_o / i_c)^2) + rep^2 for the invented instruments."""
    u_v2 = 2 * 0.002**2 / 12 + 0.003**2 / 3
    return math.sqrt(u_v2 * (1 + (RATIO[SPILL] / RATIO[SUCTION]) ** 2) + 0.002**2)


@pytest.mark.parametrize(
    ("guards", "verdict"),
    [(1.001, "within"), (0.999, "unclear"), (0.0, "unclear"), (-0.999, "unclear"), (-1.001, "outside")],
)
def test_both_sides_of_the_guard_band(guards: float, verdict: str) -> None:
    """One-sided: 1.645 u above the limit is proven, 1.645 u below it is refused."""
    value = LIMIT + guards * Z95 * u_opening()
    unit = entry(judged(engine_job(readings=[*both(1), opening(1, value)])), 1)
    assert unit.cut_out is not None
    assert unit.cut_out.opening_mm == pytest.approx(value)
    assert unit.cut_out.limit_mm == LIMIT
    assert unit.cut_out.verdict == unit.verdict == verdict
    probability = 0.5 * math.erfc(-guards * Z95 / math.sqrt(2))
    assert unit.cut_out.probability_within == pytest.approx(probability, abs=1e-9)


def test_a_large_opening_is_no_fault() -> None:
    unit = entry(judged(engine_job(readings=[*both(1), opening(1, 40.0)])), 1)
    assert unit.cut_out is not None
    assert (unit.cut_out.verdict, unit.cut_out.probability_within) == ("within", 1.0)


def test_repeats_of_the_opening_are_a_pool_of_their_own() -> None:
    def probability(*readings: Tree) -> float:
        unit = entry(judged(engine_job(readings=[*both(1), *readings])), 1)
        assert unit.cut_out is not None
        assert unit.cut_out.probability_within is not None
        return unit.cut_out.probability_within

    alone = probability(opening(1, 1.26))
    assert probability(opening(1, 1.26), at_lift(2, SUCTION, [0.1, 0.5], [0.0, 0.0])) == alone
    assert probability(opening(1, 1.26), opening(2, [1.5, 1.9])) < alone


def test_without_a_limit_there_is_no_verdict() -> None:
    tree = engine_job(
        readings=[*both(1), opening(1, 1.75)], change=lambda job: job["reference"].pop("zero_index_opening_min_mm")
    )
    found = judged(tree)
    cut_out = entry(found, 1).cut_out
    assert cut_out is not None
    assert absent(cut_out.limit_mm, cut_out.probability_within, cut_out.verdict)
    assert cut_out.zero_delivery_index is not None
    assert entry(found, 1).verdict == "within"
    told = notice(found, "missing")
    assert told.where == "reference.zero_index_opening_min_mm"


def test_index_of_zero_delivery() -> None:
    """I w / (H_o - H_c + w), with the stroke as read."""
    unit = entry(judged(engine_job(readings=[contact(1, SUCTION, 0.1), contact(1, SPILL, -0.1), opening(1, 1.75)])), 1)
    assert unit.cut_out is not None
    w = (1.75 - SEAT) / RATIO[SPILL]
    assert unit.cut_out.zero_delivery_index == pytest.approx(63.0 * w / (STROKE - 0.2 + w))


@pytest.mark.parametrize(
    ("readings", "why"),
    [
        ([*both(1), opening(1, SEAT)], "not open far enough"),
        ([*both(1), opening(1, 0.0)], "not open far enough"),
        ([*both(1), opening(1, -0.5)], "not open far enough"),
        ([contact(1, SUCTION), opening(1, 1.75)], "not both known"),
        ([opening(1, 1.75)], "not both known"),
        ([*both(1, stage="as_left"), opening(1, 1.75)], "not both known"),
    ],
    ids=["at the seat", "at 0", "below 0", "no end", "nothing else", "the other stage"],
)
def test_no_index_of_zero_delivery(readings: list[Tree], why: str) -> None:
    found = judged(engine_job(readings=readings))
    cut_out = entry(found, 1).cut_out
    assert cut_out is not None
    assert cut_out.zero_delivery_index is None
    told = notice(found, "no_zero_index")
    assert told.where == f"readings[{len(readings) - 1}]"
    assert "Unit 1, as found" in told.text
    assert why in told.text


@pytest.mark.parametrize("value", [0.0, -0.5])
def test_a_spill_valve_on_its_seat_at_index_0_keeps_opening_and_verdict(value: float) -> None:
    cut_out = entry(judged(engine_job(readings=[*both(1), opening(1, value)])), 1).cut_out
    assert cut_out is not None
    assert (cut_out.opening_mm, cut_out.verdict) == (value, "outside")


# ---------------------------------------------------------------- lift-off


@pytest.mark.parametrize(
    ("gap", "verdict"),
    [(2.25, "within"), (2.25 - 5e-10, "within"), (2.25 - 2e-9, "outside"), (9.0, "within"), (0.0, "outside")],
)
def test_lift_off_is_compared_as_read(gap: float, verdict: str) -> None:
    unit = entry(judged(engine_job(readings=[*both(1), clearance(1, gap)])), 1)
    assert unit.lift_off is not None
    assert (unit.lift_off.clearance_mm, unit.lift_off.limit_mm, unit.lift_off.verdict) == (gap, 2.25, verdict)
    assert unit.verdict == verdict


def test_lift_off_without_a_limit() -> None:
    tree = engine_job(
        readings=[*both(1), clearance(1, [0.4, 0.6])], change=lambda job: job["reference"].pop("lift_off_clearance_min_mm")
    )
    found = judged(tree)
    lift_off = entry(found, 1).lift_off
    assert lift_off is not None
    assert (lift_off.clearance_mm, lift_off.limit_mm, lift_off.verdict) == (0.5, None, None)
    assert entry(found, 1).verdict == "within"
    assert notice(found, "missing").where == "reference.lift_off_clearance_min_mm"


def test_what_was_not_read_is_null() -> None:
    unit = entry(judged(engine_job(readings=both(1))), 1)
    assert absent(unit.cut_out, unit.lift_off)


# ---------------------------------------------------------------- a correction that spoils the cut-out


def corrected(value: float | None, off: float = -0.8) -> Tree:
    """A spill valve that opens early: its correction lengthens nothing and takes i_o |D| off the opening."""
    readings = [contact(1, SUCTION), rod_error(1, SPILL, off)]
    return engine_job(readings=readings if value is None else [*readings, opening(1, value)])


TAKEN = RATIO[SPILL] * 0.8


@pytest.mark.parametrize(
    ("left", "code"),
    [
        (LIMIT + 0.05, None),
        (LIMIT + 0.02, None),
        (LIMIT - 0.05, "cut_out_after_warning"),
        (SEAT + 0.05, "cut_out_after_warning"),
        (SEAT - 0.05, "cut_out_after_danger"),
        (-0.5, "cut_out_after_danger"),
    ],
)
def test_the_opening_after_the_correction(left: float, code: str | None) -> None:
    tree = corrected(left + TAKEN)
    found = judged(tree)
    unit = entry(found, 1)
    assert unit.after_correction is not None
    assert unit.after_by_hand is not None
    assert unit.after_correction.zero_index_opening_mm == pytest.approx(left)
    told = {"cut_out_after_warning", "cut_out_after_danger", "cut_out_after_unknown"} & codes(found)
    # What a hand can turn may leave a little less than the exact correction.
    worst = min(left, unit.after_by_hand.zero_index_opening_mm or 0.0)
    if code is None and worst < LIMIT:
        code = "cut_out_after_warning"
    assert told == ({code} if code else set())
    if code:
        place = notice(found, code)
        assert place.where == "readings[2]"
        assert f"{abs(worst):.2f} mm at index 0" in place.text
        assert ("Turn no nut" in place.text) is (code == "cut_out_after_danger")
        assert unit.text.startswith("Stop. ")
    else:
        assert not unit.text.startswith("Stop. ")


def test_at_the_seat_contact_reading_it_is_a_danger() -> None:
    assert "cut_out_after_danger" in codes(judged(corrected(SEAT + TAKEN)))


@pytest.mark.parametrize(
    ("value", "level"),
    [
        (LIMIT, None),
        (LIMIT - 5e-10, None),
        (LIMIT - 2e-9, "warning"),
        (SEAT + 2e-9, "warning"),
        (SEAT + 5e-10, "danger"),
        (SEAT, "danger"),
        (-3.0, "danger"),
    ],
)
def test_both_sides_of_each_level(value: float, level: str | None) -> None:
    """The worse of the exact correction and of the one that a hand can make counts."""
    this, better = AfterCorrection(zero_index_opening_mm=value), AfterCorrection(zero_index_opening_mm=9.0)
    pairs: list[tuple[AfterCorrection, AfterCorrection | None]] = [(this, better), (better, this), (this, None)]
    for exact, by_hand in pairs:
        assert cut_out_after(exact, by_hand, LIMIT, SEAT) == level
        assert worst_opening(exact, by_hand) == value
    assert cut_out_after(None, None, LIMIT, SEAT) is None
    assert cut_out_after(AfterCorrection(), AfterCorrection(), LIMIT, SEAT) is None


def test_an_opening_that_was_not_read_is_asked_for() -> None:
    found = judged(corrected(None))
    told = notice(found, "cut_out_after_unknown")
    for words in ("Unit 1, as found", "it was not read", "Read it before you turn a rod"):
        assert words in told.text


def test_moving_a_cam_asks_for_no_opening() -> None:
    """It moves both angles and not the opening at index 0."""
    readings = [reading for unit in (1, 2, 3, 4) for reading in both(unit, 0.0, 0.9 if unit == 1 else 0.0)]
    found = judged(engine_job(readings=readings))
    assert [each.part for each in entry(found, 1).corrections] == ["cam"]
    assert "cut_out_after_unknown" not in codes(found)


def test_only_rods_that_are_moved_count() -> None:
    """z + i_o (D_o - D_c): a suction error too small to be corrected changes nothing."""
    readings = [contact(1, SUCTION, 0.05, 0.05), rod_error(1, SPILL, -0.5), opening(1, 2.5)]
    unit = entry(judged(engine_job(readings=readings)), 1)
    assert [each.part for each in unit.corrections] == ["spill_rod"]
    assert unit.after_correction is not None
    assert unit.after_correction.zero_index_opening_mm == pytest.approx(2.5 + RATIO[SPILL] * -0.5)


def test_without_a_limit_only_the_danger_is_left() -> None:
    for left, code in ((0.5, None), (SEAT - 0.05, "cut_out_after_danger")):
        tree = corrected(left + TAKEN)
        del tree["reference"]["zero_index_opening_min_mm"]
        assert {each for each in codes(judged(tree)) if each.startswith("cut_out_after")} == ({code} if code else set())
