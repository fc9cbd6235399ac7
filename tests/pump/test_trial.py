"""The trial flat: predicted on paper, made on the simulated pump, and what it tells when something else comes."""

from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from calc.pump.correction import lift_from_rod, rod_per_flat, spill_rod_change, suction_rod_change
from calc.pump.thread import engagement, engagement_after
from calc.pump.trial import (
    AS_PREDICTED,
    NOT_MOVED,
    OTHER_AMOUNT,
    OTHER_WAY,
    TOO_SMALL,
    compare,
    contact_change_doubt,
    gauge_after,
    gauge_at_reference_lift,
    quotient_doubt,
    rod_effect,
    rod_per_lift,
)
from tests.pump.forward import EVENTS, SPILL, SUCTION, Cycloid, Pump

FLAT = rod_per_flat(1.75)


def pump(*, opens: bool = True, left_right: bool = False, off: float = 0.0, ratio: float = 0.8) -> Pump:
    return Pump(
        cam=Cycloid(44.0, 83.0, -52.5),
        reference_mm={SUCTION: 9.4, SPILL: 27.3},
        reference_deg={SUCTION: -19.7, SPILL: 0.0},
        ratio=dict.fromkeys(EVENTS, ratio),
        seat_mm=0.05,
        w_mm=1.0,
        pitch_mm=1.75,
        left_right=left_right,
        opens=opens,
        off_mm=dict.fromkeys(EVENTS, off),
    )


def standing(unit: Pump, event: str, opening_mm: float) -> float:
    """Plunger lift at which this valve's gauge shows so much more than at contact."""
    away = opening_mm / unit.ratio[event]
    return unit.contact_mm(event) + (away if event == SPILL else -away)


@pytest.mark.parametrize("opens", [True, False])
@pytest.mark.parametrize("event", EVENTS)
@given(flats=st.floats(-2.0, 2.0), opening=st.floats(0.0, 1.0))
def test_the_gauge_of_a_standing_plunger_shows_what_was_announced(
    opens: bool, event: str, flats: float, opening: float
) -> None:
    """From contact (opening 0) or further open; where the valve comes to sit, the pump's gauge shows 0."""
    unit = pump(opens=opens)
    lift = standing(unit, event, opening)
    announced = gauge_after(unit.valve_mm(event, lift), flats * FLAT, opens)
    unit.turn(event, flats)
    assert unit.valve_mm(event, lift) == pytest.approx(announced or 0.0, abs=1e-9)


@pytest.mark.parametrize("event", EVENTS)
@given(st.floats(-1.0, 1.0))
def test_the_gauge_at_the_reference_lift_is_the_simulated_pumps(event: str, off: float) -> None:
    unit = pump(off=off)
    shown = gauge_at_reference_lift(0.05, off, 0.8, event == SPILL)
    assert unit.valve_mm(event, unit.reference_mm[event]) == pytest.approx(shown or 0.0, abs=1e-12)


def test_at_contact_only_the_opening_direction_can_be_seen() -> None:
    """1 flat of 1.5 mm pitch is 0.25 mm: from 0.03 to 0.28; the other way 0.03 - 0.25 is no reading but a seat."""
    assert gauge_after(0.03, 0.25) == pytest.approx(0.28)
    assert gauge_after(0.03, -0.25) is None
    assert gauge_after(0.03, 0.25, lengthening_opens=False) is None
    assert gauge_after(0.40, -0.25) == pytest.approx(0.15)


@pytest.mark.parametrize("event", EVENTS)
def test_a_wrong_sense_shows_as_a_negative_effect(event: str) -> None:
    unit = pump(opens=False)
    lift = standing(unit, event, 0.6)
    before = unit.valve_mm(event, lift)
    unit.turn(event, 1.0)
    moved = unit.valve_mm(event, lift) - before
    assert rod_effect(FLAT, moved, lengthening_opens=True) == pytest.approx(-1.0)
    assert rod_effect(FLAT, moved, lengthening_opens=False) == pytest.approx(1.0)
    assert compare(moved, 0.005, FLAT).verdict == OTHER_WAY


@pytest.mark.parametrize("event", EVENTS)
def test_a_left_and_right_thread_taken_for_one_shows_as_twice_the_effect(event: str) -> None:
    unit = pump(left_right=True)
    lift = standing(unit, event, 0.6)
    before = unit.valve_mm(event, lift)
    unit.turn(event, 1.0)
    moved = unit.valve_mm(event, lift) - before
    assert rod_effect(FLAT, moved) == pytest.approx(2.0)
    assert compare(moved, 0.005, FLAT).verdict == OTHER_AMOUNT


@given(st.floats(0.2, 3.0))
def test_a_standing_plunger_tells_nothing_of_the_valve_ratio(ratio: float) -> None:
    """Whatever the ratio, the gauge moves by the rod. That is why contact has to be read again to calibrate it."""
    unit = pump(ratio=ratio)
    lift = standing(unit, SUCTION, 0.6)
    before = unit.valve_mm(SUCTION, lift)
    unit.turn(SUCTION, 1.0)
    assert unit.valve_mm(SUCTION, lift) - before == pytest.approx(FLAT, abs=1e-9)


@pytest.mark.parametrize("left_right", [False, True])
@pytest.mark.parametrize("event", EVENTS)
@given(ratio=st.floats(0.2, 3.0), off=st.floats(-1.0, 1.0))
def test_two_contacts_calibrate_the_correction_whatever_was_believed(
    left_right: bool, event: str, ratio: float, off: float
) -> None:
    """The thread is believed to be single and the ratio is not known at all; by the trial the event comes home."""
    unit = pump(left_right=left_right, off=off, ratio=ratio)
    before = unit.contact_mm(event)
    unit.turn(event, 1.0)
    measured = rod_per_lift(FLAT, unit.contact_mm(event) - before)
    assert measured == pytest.approx(ratio / (2.0 if left_right else 1.0))
    change = (spill_rod_change if event == SPILL else suction_rod_change)(off, measured)
    unit.turn(event, change / FLAT - 1.0)
    assert unit.contact_mm(event) == pytest.approx(unit.reference_mm[event], abs=1e-9)


@pytest.mark.parametrize("event", EVENTS)
def test_contact_moves_as_the_correction_says(event: str) -> None:
    unit = pump()
    before = unit.contact_mm(event)
    unit.turn(event, -1.5)
    assert unit.contact_mm(event) - before == pytest.approx(lift_from_rod(-1.5 * FLAT, 0.8, event == SPILL))


def test_comparison_at_95_percent_by_hand() -> None:
    """u 0.010 of the gauge and 0.0075 of the turning: 0.0125, times 1.95996 is 0.0245. So 0.274 agrees and 0.275 does not."""
    assert hypot(0.010, 0.0075) == pytest.approx(0.0125)
    assert compare(0.274, 0.010, 0.25, 0.0075).half_width_mm == pytest.approx(0.0245, abs=1e-5)
    assert compare(0.274, 0.010, 0.25, 0.0075).verdict == AS_PREDICTED
    assert compare(0.275, 0.010, 0.25, 0.0075).verdict == OTHER_AMOUNT
    assert compare(0.226, 0.010, 0.25, 0.0075).verdict == AS_PREDICTED
    assert compare(0.019, 0.010, 0.25).verdict == NOT_MOVED
    assert compare(-0.019, 0.010, 0.25).verdict == NOT_MOVED
    assert compare(-0.020, 0.010, 0.25).verdict == OTHER_WAY
    assert compare(0.25, 0.010, 0.019).verdict == TOO_SMALL


@given(st.floats(-1.0, 1.0), st.floats(0.001, 0.05), st.floats(0.1, 1.0))
def test_comparison_mirrors(moved: float, u: float, predicted: float) -> None:
    assert compare(-moved, u, -predicted).verdict == compare(moved, u, predicted).verdict


def test_doubts_equal_those_of_another_implementation() -> None:
    """Linear propagation by the package `uncertainties`."""
    top, bottom = ufloat(0.42, 0.004), ufloat(0.21, 0.006)
    quotient = top / bottom
    found = quotient_doubt(quotient.nominal_value, 0.42, 0.004, 0.21, 0.006)
    assert found == pytest.approx(quotient.std_dev, rel=1e-12)
    plunger, valve = ufloat(0.0, 0.007), ufloat(0.0, 0.003)
    assert contact_change_doubt(0.007, 0.003, 0.65) == pytest.approx((plunger + valve / 0.65).std_dev, rel=1e-12)


def test_thread_engagement_by_hand() -> None:
    """45 mm of thread, 18 mm seen: 27 mm inside. 6 flats of 1.5 mm pitch longer: 25.5; shorter: 28.5.

    A left-and-right thread gets 3 mm longer by the same turn, 1.5 mm at each end.
    """
    inside = engagement(45.0, 18.0)
    assert inside == 27.0
    assert engagement_after(inside, 1.5, False) == 25.5
    assert engagement_after(inside, -1.5, False) == 28.5
    assert engagement_after(inside, 3.0, True) == 25.5


def test_gauges_without_doubt_decide_at_the_last_digit() -> None:
    """What has not moved at all has not moved; what moved exactly as predicted did so."""
    assert compare(0.0, 0.0, 0.25).verdict == "not_moved"
    assert compare(0.25, 0.0, 0.25).verdict == "as_predicted"
    assert compare(0.2500001, 0.0, 0.25).verdict == "other_amount"


def test_a_valve_that_comes_to_0_sits() -> None:
    assert gauge_after(0.25, -0.25) is None
    assert gauge_at_reference_lift(0.25, 0.5, 0.5, spill=True) is None
