"""The simulated pump is itself right: against the exact inversion of its cam, and by its own levers."""

import pytest

from tests.published import load
from tests.pump.forward import EVENTS, SPILL, SUCTION, Cycloid, Pump

PUMP = load("cycloidal-pump")
CAM = Cycloid(PUMP["peak_mm"], PUMP["span_deg"], PUMP["foot_deg"])


@pytest.mark.parametrize("event", ["suction", "spill"])
def test_cam_is_inverted_exactly(event: str) -> None:
    given = PUMP[event]
    assert float(CAM.angle_at(given["lift_mm"])) == pytest.approx(given["angle_deg"], abs=1e-12)
    assert float(CAM.lift_at(given["angle_deg"])) == pytest.approx(given["lift_mm"], abs=1e-12)
    assert float(CAM.slope_at(given["angle_deg"])) == pytest.approx(given["slope_mm_per_deg"], abs=1e-10)


@pytest.mark.parametrize("opens", [True, False])
def test_both_ways_of_reading_tell_the_same(opens: bool) -> None:
    """At contact the valve shows the seat-contact reading; at reference lift its gauge is as far off as its ratio says."""
    pump = Pump(
        cam=CAM,
        reference_mm={SUCTION: 12.0, SPILL: 36.0},
        reference_deg={SUCTION: -5.0, SPILL: 10.0},
        ratio={SUCTION: 0.7, SPILL: 1.3},
        seat_mm=0.06,
        w_mm=1.5,
        pitch_mm=1.75,
        opens=opens,
    )
    pump.rod_mm = {SUCTION: 0.2, SPILL: 0.3} if opens else {SUCTION: -0.2, SPILL: -0.3}
    for event in EVENTS:
        lift, angle = pump.at_contact(event)
        assert pump.valve_mm(event, lift) == pytest.approx(0.06)
        valve, _ = pump.at_reference_lift(event)
        assert valve == pytest.approx(0.06 + pump.ratio[event] * abs(lift - pump.reference_mm[event]))
        # Both rods hold their valve open too long: the start is late, the end is early.
        late = angle - pump.reference_deg[event]
        assert late > 0.0 if event == SUCTION else late < 0.0
    assert pump.opening_at_index_0_mm() == pytest.approx(0.06 + 1.3 * (1.5 + 0.2 / 0.7 + 0.3 / 1.3))
