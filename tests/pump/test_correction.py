"""Rod corrections: carried out on the simulated pump, they bring the event home."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.pump.correction import (
    by_hand,
    effective_pitch,
    flats,
    flats_by_hand,
    lift_from_rod,
    rod_per_flat,
    spill_rod_change,
    suction_rod_change,
    turns,
    zero_index_opening_after,
)
from tests.pump.forward import EVENTS, SPILL, SUCTION, Cycloid, Pump

BOTH = pytest.mark.parametrize("opens", [True, False], ids=["lengthening opens", "lengthening closes"])
ERRORS, RATIOS = st.floats(-2.0, 2.0), st.floats(0.2, 3.0)


def pump(ratio: float, off: dict[str, float], opens: bool, left_right: bool = False) -> Pump:
    return Pump(
        cam=Cycloid(44.0, 83.0, -52.5),
        reference_mm={SUCTION: 9.4, SPILL: 27.3},
        reference_deg={SUCTION: -19.7, SPILL: 0.0},
        ratio={SUCTION: ratio, SPILL: 0.8 * ratio},
        seat_mm=0.07,
        w_mm=1.0,
        pitch_mm=1.75,
        left_right=left_right,
        opens=opens,
        off_mm=dict(off),
    )


@BOTH
@given(ERRORS, ERRORS, RATIOS)
def test_both_rods_bring_their_events_home(opens: bool, suction: float, spill: float, ratio: float) -> None:
    unit = pump(ratio, {SUCTION: suction, SPILL: spill}, opens)
    opening = unit.opening_at_index_0_mm()
    unit.rod_mm[SUCTION] += suction_rod_change(suction, ratio, opens)
    unit.rod_mm[SPILL] += spill_rod_change(spill, 0.8 * ratio, opens)
    for event in EVENTS:
        assert unit.contact_mm(event) == pytest.approx(unit.reference_mm[event], abs=1e-9)
    predicted = zero_index_opening_after(opening, 0.8 * ratio, -suction, -spill)
    assert unit.opening_at_index_0_mm() == pytest.approx(predicted, abs=1e-9)
    assert predicted == pytest.approx(opening + 0.8 * ratio * (spill - suction), abs=1e-9)


@BOTH
@pytest.mark.parametrize("left_right", [False, True], ids=["one thread", "left-and-right thread"])
@given(ERRORS, RATIOS)
def test_what_a_hand_leaves(opens: bool, left_right: bool, off: float, ratio: float) -> None:
    """By quarter flats, on either rod: the lift that is left is the one predicted, and at most an eighth of a flat."""
    pitch = effective_pitch(1.75, left_right)
    for event, change_for in ((SUCTION, suction_rod_change), (SPILL, spill_rod_change)):
        unit = pump(ratio, dict.fromkeys(EVENTS, off), opens, left_right)
        i = unit.ratio[event]
        move = by_hand(change_for(off, i, opens), off, pitch, i, event == SPILL, opens)
        unit.turn(event, move.flats)
        assert unit.rod_mm[event] == pytest.approx(move.change_mm, abs=1e-12)
        assert unit.contact_mm(event) - unit.reference_mm[event] == pytest.approx(move.lift_left_mm, abs=1e-9)
        assert abs(move.lift_left_mm) <= rod_per_flat(pitch) / 8.0 / i + 1e-12


@BOTH
@given(st.floats(-3, 3), RATIOS)
def test_lift_of_a_rod_is_the_inverse_of_its_change(opens: bool, change: float, ratio: float) -> None:
    assert suction_rod_change(-lift_from_rod(change, ratio, False, opens), ratio, opens) == pytest.approx(change, abs=1e-12)
    assert spill_rod_change(-lift_from_rod(change, ratio, True, opens), ratio, opens) == pytest.approx(change, abs=1e-12)


def test_a_longer_rod_closes_the_suction_valve_later_and_opens_the_spill_valve_earlier() -> None:
    assert lift_from_rod(0.3, 0.6, spill=False) == pytest.approx(0.5)
    assert lift_from_rod(0.3, 0.6, spill=True) == pytest.approx(-0.5)
    assert lift_from_rod(0.3, 0.6, spill=False, lengthening_opens=False) == pytest.approx(-0.5)


@pytest.mark.parametrize(
    ("exact", "hand"),
    [
        (0.0, 0.0),
        (0.124, 0.0),
        (0.125, 0.0),
        (0.126, 0.25),
        (-0.124, 0.0),
        (-0.125, 0.0),
        (-0.126, -0.25),
        (0.375, 0.25),
        (0.376, 0.5),
        (-1.728, -1.75),
        (-0.375, -0.25),
        (5.87, 5.75),
        (5.88, 6.0),
        (0.625, 0.5),
        (1.125, 1.0),
    ],
)
def test_quarter_flats(exact: float, hand: float) -> None:
    found = flats_by_hand(exact)
    assert found == hand
    assert str(found) != "-0.0"


@given(st.floats(-100, 100))
def test_a_hand_rounds_to_the_nearest_quarter_and_mirrors(exact: float) -> None:
    found = flats_by_hand(exact)
    assert (found / 0.25).is_integer()
    assert abs(found - exact) <= 0.125 + 1e-12
    assert flats_by_hand(-exact) == -found


def test_turns_and_flats() -> None:
    assert effective_pitch(1.75, False) == 1.75
    assert effective_pitch(1.75, True) == 3.5
    assert turns(-0.875, 1.75) == -0.5
    assert flats(-0.5) == -3.0
    assert rod_per_flat(1.75) * 6.0 == 1.75
