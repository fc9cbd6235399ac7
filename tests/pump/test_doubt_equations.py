"""The same measurement equations in GTC and in uncertainties: they do the propagation, and the budgets must agree.

Each equation is written as it is measured, with one input for every source of doubt; sensitivities and what cancels are
found by the library and not by hand.
"""

import math
from dataclasses import dataclass
from typing import Any

import pytest
from GTC import ureal
from uncertainties import ufloat

from calc.measure.gum import Term, combined, rectangular, resolution, welch_satterthwaite
from calc.measure.pool import Repeatability
from calc.pump import cause, doubt
from calc.pump.cam import CamCurve, Flank, secant_slope
from calc.pump.cut_out import opening_uncertainty
from tests.pump.forward import Cycloid

CAM = Cycloid(peak_mm=44.0, span_deg=83.0, foot_deg=-52.5)
STEP, LIMIT = 0.02, 0.021
VALVE_STEP, VALVE_LIMIT = 0.005, 0.006
SCALE, POINTER = 0.2, 0.07
RATIO, OFF, COUNT, INDEX = 0.62, 0.35, 3, 0.04
LIFT_S, LIFT_DOF, ANGLE_S, ANGLE_DOF = 0.015, 7.0, 0.05, 5.0
H, F = 9.4, -20.0

QUALITY = doubt.Quality(
    plunger_mm=doubt.gauge_difference(STEP, LIMIT),
    valve_mm=doubt.gauge_difference(VALVE_STEP, VALVE_LIMIT),
    scale_deg=resolution(SCALE),
    pointer_deg=POINTER,
)


def movement(step: float, limit: float) -> Any:
    """Error of a movement on a gauge: rounded at both ends, and wrong by the gauge's own error."""
    return ureal(0, step / math.sqrt(12)) + ureal(0, step / math.sqrt(12)) + ureal(0, limit / math.sqrt(3))


def flank(secant: bool) -> Flank:
    if secant:
        return Flank(H, secant_slope(9.4, float(CAM.angle_at(9.4)), 27.3, float(CAM.angle_at(27.3))))
    found = CamCurve.from_table(CAM.table(0.5)).flank_at(H)
    assert found is not None
    return found


@dataclass(frozen=True)
class Measured:
    """Lift, event angle and cam part of one event as GTC's uncertain numbers, and the inputs that events share."""

    lift: Any
    angle: Any
    part: Any


def measured(method: str, cam: Flank, pointer: Any, plunger: Any, index: Any) -> Measured:
    """The measurement equations. Angles are followed along the cam's tangent at the reference lift."""
    k = cam.slope
    slope_factor = 1.0 + (ureal(0, 0.15) if cam.is_secant else 0.0)
    valve = movement(VALVE_STEP, VALVE_LIMIT)
    lift_repeats = ureal(0, LIFT_S / math.sqrt(COUNT), LIFT_DOF)
    crank = ureal(0, SCALE / math.sqrt(12)) + pointer + ureal(0, ANGLE_S / math.sqrt(COUNT), ANGLE_DOF)
    if method == "at_contact":
        contact = valve / RATIO + index
        lift = H + OFF + plunger + contact + lift_repeats
        angle = F + OFF / k + crank + contact / k
        return Measured(lift, angle, angle - F - (lift - H) / k * slope_factor)
    # At reference lift the plunger stands a little off, so the valve shows that much less; the angle is read there.
    off = (OFF * RATIO + valve + lift_repeats) / RATIO
    lift = H + off + plunger + index
    at = F + crank - plunger / k
    return Measured(lift, at + (off + plunger + index) / k * slope_factor, at - F)


def budgets(method: str, cam: Flank, index_mm: float) -> doubt.Budgets:
    budget = doubt.at_contact if method == "at_contact" else doubt.at_reference_lift
    lift, angle = Repeatability(LIFT_S, LIFT_DOF), Repeatability(ANGLE_S, ANGLE_DOF)
    return budget(QUALITY, cam, RATIO, OFF / cam.slope, lift, angle, COUNT, index_mm)


def same(terms: tuple[Term, ...], value: Any) -> None:
    """Standard uncertainty and effective degrees of freedom."""
    assert combined(terms) == pytest.approx(float(value.u), rel=1e-9)
    assert welch_satterthwaite(terms) == pytest.approx(float(value.df), rel=1e-9)


@pytest.mark.parametrize("index_mm", [0.0, INDEX])
@pytest.mark.parametrize("secant", [False, True], ids=["table", "secant"])
@pytest.mark.parametrize("method", ["at_contact", "at_reference_lift"])
def test_one_event(method: str, secant: bool, index_mm: float) -> None:
    """Lift, event angle and cam part, with their degrees of freedom (JCGM 100:2008, equations 10 and G.2b)."""
    cam = flank(secant)
    found = measured(method, cam, ureal(0, POINTER), movement(STEP, LIMIT), ureal(0, index_mm) if index_mm else 0.0)
    claimed = budgets(method, cam, index_mm)
    same(claimed.lift, found.lift)
    same(claimed.angle, found.angle)
    same(claimed.cam_part, found.part)


@pytest.mark.parametrize("method", ["at_contact", "at_reference_lift"])
def test_two_events_at_one_pointer(method: str) -> None:
    """Delivery angle and P_c - P_o: the pointer cancels, the rest is independent."""
    cam = flank(secant=True)
    pointer = ureal(0, POINTER)
    start, end = (measured(method, cam, pointer, movement(STEP, LIMIT), 0.0) for _ in range(2))
    claimed = budgets(method, cam, 0.0)
    assert doubt.of_angle_difference(claimed.angle, claimed.angle) == pytest.approx(
        float((end.angle - start.angle).u), rel=1e-9
    )
    part = doubt.of_angle_difference(claimed.cam_part, claimed.cam_part)
    assert part == pytest.approx(float((start.part - end.part).u), rel=1e-9)


def test_two_lifts_on_one_gauge() -> None:
    """Effective stroke: the gauge counts as one movement, from start to end."""
    start = ureal(0, combined(budgets("at_contact", flank(True), 0.0).lift[1:]))
    end = ureal(0, combined(budgets("at_contact", flank(True), INDEX).lift[1:]))
    claimed = doubt.of_stroke(
        combined(budgets("at_contact", flank(True), INDEX).lift),
        combined(budgets("at_contact", flank(True), 0.0).lift),
        QUALITY.plunger_mm,
    )
    assert claimed == pytest.approx(float((end - start + movement(STEP, LIMIT)).u), rel=1e-9)


def test_weighted_cam_part() -> None:
    """Two cam parts with one pointer, weighted by what they do not share."""
    pointer = ureal(0, POINTER)
    own = [0.04, 0.09]
    parts = [cause.Estimate(value, math.hypot(u, POINTER), u) for value, u in zip((0.2, 0.3), own, strict=True)]
    weights = [1 / u**2 for u in own]
    total = sum(weights)
    expected = sum(w / total * (ureal(part.value, u) + pointer) for w, part, u in zip(weights, parts, own, strict=True))
    found = cause.unit_cam_part(parts, POINTER)
    assert found.value == pytest.approx(float(expected.x), rel=1e-12)
    assert found.u == pytest.approx(float(expected.u), rel=1e-9)


def test_a_large_pointer_leaves_the_weights_alone() -> None:
    """Where the pointer is ten thousand times the rest, u^2(P) - u_t^2 would lose every digit."""
    parts = [cause.Estimate(1.0, math.hypot(1e-4, 10.0), 1e-4), cause.Estimate(2.0, math.hypot(2e-4, 10.0), 2e-4)]
    assert cause.unit_cam_part(parts, 10.0).value == pytest.approx(1.2, rel=1e-12)


def test_zero_index_opening_in_uncertainties() -> None:
    """The suction valve's contact is found with one gauge, the spill valve's opening read with another."""
    i_c, i_o, u_v, repeats = 0.62, 1.15, QUALITY.valve_mm, 0.003
    contact, own, scatter = ufloat(0, u_v), ufloat(0, u_v), ufloat(0, repeats)
    expected = 1.7 + i_o * contact / i_c + own + scatter
    assert opening_uncertainty(u_v, i_c, i_o, repeats) == pytest.approx(expected.std_dev, rel=1e-12)


def test_gauge_difference_in_uncertainties() -> None:
    zero, shown, error = ufloat(0, resolution(STEP)), ufloat(0, resolution(STEP)), ufloat(0, rectangular(LIMIT))
    assert doubt.gauge_difference(STEP, LIMIT) == pytest.approx((shown - zero + error).std_dev, rel=1e-12)


def test_doubt_of_the_index_in_uncertainties() -> None:
    """Spill lift = start + (h_o - h_c + w) I / I_ref - w, so its doubt is the slope times that of the index."""
    index = ufloat(63.0, 0.4)
    spill = (17.9 + 1.1) * index / 63.0 - 1.1
    assert spill.nominal_value == pytest.approx(17.9)
    assert doubt.of_index(17.9, 1.1, 63.0, 0.4) == pytest.approx(spill.std_dev, rel=1e-12)
