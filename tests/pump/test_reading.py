"""From gauge readings to the lift of an event, against the levers of the simulated pump."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.pump.reading import cam_part, on_seat, spill_lift_from_valve, suction_lift_from_valve
from tests.pump.forward import SPILL, SUCTION, Cycloid, Pump

RATIOS = st.floats(0.2, 3.0)


def pump(ratio: float, off_mm: float) -> Pump:
    return Pump(
        cam=Cycloid(44.0, 83.0, -52.5),
        reference_mm={SUCTION: 9.4, SPILL: 27.3},
        reference_deg={SUCTION: -19.7, SPILL: 0.0},
        ratio={SUCTION: ratio, SPILL: ratio},
        seat_mm=0.07,
        w_mm=1.0,
        pitch_mm=1.75,
        off_mm={SUCTION: off_mm, SPILL: off_mm},
    )


@given(RATIOS, st.floats(0.0, 2.0))
def test_suction_valve_that_closes_late(ratio: float, off: float) -> None:
    """Still open at the reference lift, so it closes at a higher one."""
    valve, _ = pump(ratio, off).at_reference_lift(SUCTION)
    assert suction_lift_from_valve(9.4, valve, 0.07, ratio) == pytest.approx(9.4 + off, abs=1e-9)


@given(RATIOS, st.floats(0.0, 2.0))
def test_spill_valve_that_opens_early(ratio: float, off: float) -> None:
    """Already open at the reference lift, so it has opened at a lower one."""
    valve, _ = pump(ratio, -off).at_reference_lift(SPILL)
    assert spill_lift_from_valve(27.3, valve, 0.07, ratio) == pytest.approx(27.3 - off, abs=1e-9)


@pytest.mark.parametrize(
    ("readings", "sits"),
    [((0.05,), False), ((0.0,), True), ((-0.01,), True), ((0.05, 0.0), True), ((0.05, 0.001), False), ((1e-12,), False)],
)
def test_a_valve_at_or_below_0_sits(readings: tuple[float, ...], sits: bool) -> None:
    assert on_seat(readings) is sits


def test_cam_part_is_what_the_lift_error_does_not_explain() -> None:
    assert cam_part(0.5, 0.5) == 0.0
    assert cam_part(-0.25, 0.5) == -0.75
