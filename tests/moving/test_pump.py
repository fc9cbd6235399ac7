"""The model's pump holds to the model of the calculator: rods, index, cam position, play, cut-out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.moving import cam, pump
from calc.moving.controls import CONTROLS
from calc.moving.pump import Place, Setting, events, shown, turned
from calc.pump.correction import lift_from_rod, spill_rod_change, suction_rod_change, zero_index_opening_after
from calc.pump.cut_out import lift_beyond_seat, zero_delivery_index
from calc.pump.fuel_index import index_line
from calc.pump.reading import spill_lift_from_valve, suction_lift_from_valve

RATIO_SUCTION, RATIO_SPILL = (fifths / pump.FIFTHS for fifths in (pump.SUCTION_FIFTHS, pump.SPILL_FIFTHS))
SEAT_MM = pump.SEAT / cam.PER_MM


def steps(name: str) -> st.SearchStrategy[int]:
    """Every value that a slider takes."""
    control = next(each for each in CONTROLS if each.name == name)
    return st.integers(control.low // control.step, control.high // control.step).map(lambda at: at * control.step)


settings = st.builds(Setting, **{control.name: steps(control.name) for control in CONTROLS})
flywheels = st.integers(-17_999, 18_000)


def mm(lift: int) -> float:
    return lift / cam.PER_MM


# ---------------------------------------------------------------- rods


@given(settings)
def test_rods_move_the_lifts_as_the_corrections_say(setting: Setting) -> None:
    found = events(setting)
    start_by = lift_from_rod(setting.suction / 100.0, RATIO_SUCTION, spill=False)
    end_by = lift_from_rod(setting.spill / 100.0, RATIO_SPILL, spill=True)
    assert mm(found.start_lift) == pytest.approx(mm(pump.PRE_STROKE) + start_by)
    assert mm(found.end_lift) == pytest.approx(mm(pump.spill_lift(setting.index)) + end_by)
    assert suction_rod_change(start_by, RATIO_SUCTION) == pytest.approx(-setting.suction / 100.0)
    assert spill_rod_change(end_by, RATIO_SPILL) == pytest.approx(-setting.spill / 100.0)


@given(flywheels, settings, st.sampled_from(["suction", "spill"]))
def test_a_longer_rod_holds_its_valve_further_open_and_leaves_the_other(flywheel: int, setting: Setting, rod: str) -> None:
    changed = {"suction": setting.suction, "spill": setting.spill}
    longer = Setting(**{**{each.name: getattr(setting, each.name) for each in CONTROLS}, rod: changed[rod] + 5})
    before, after = shown(Place(flywheel), setting), shown(Place(flywheel), longer)
    other = "spill" if rod == "suction" else "suction"
    assert getattr(after, rod) >= getattr(before, rod)
    assert getattr(after, other) == getattr(before, other)
    assert after.plunger == before.plunger
    if getattr(before, rod):
        assert getattr(after, rod) == getattr(before, rod) + 5


@given(st.integers(-600, 1500), settings)
def test_a_reading_at_any_lift_tells_the_event_lift(flywheel: int, setting: Setting) -> None:
    """The formula for readings at reference lift, on the gauges of the model; a valve on its seat tells nothing."""
    now, found = shown(Place(flywheel), setting), events(setting)
    lift = now.plunger / 100.0
    if now.suction:
        told = suction_lift_from_valve(lift, now.suction / 100.0, SEAT_MM, RATIO_SUCTION)
        assert told == pytest.approx(mm(found.start_lift), abs=0.012 / RATIO_SUCTION)
    if now.spill:
        told = spill_lift_from_valve(lift, now.spill / 100.0, SEAT_MM, RATIO_SPILL)
        assert told == pytest.approx(mm(found.end_lift), abs=0.012 / RATIO_SPILL)


@given(flywheels, settings)
def test_no_gauge_shows_less_than_0_and_a_gap_shows_0(flywheel: int, setting: Setting) -> None:
    now = shown(Place(flywheel), setting)
    lift = pump.plunger(Place(flywheel), setting)
    assert min(now.plunger, now.suction, now.spill) >= 0
    if pump.suction_held(lift, setting) <= 0:
        assert now.suction == 0
    if pump.spill_held(lift, setting) <= 0:
        assert now.spill == 0


# ---------------------------------------------------------------- index, cam, wear


@given(flywheels, settings, steps("index"))
def test_the_index_moves_only_the_end(flywheel: int, setting: Setting, index: int) -> None:
    other = Setting(index, setting.suction, setting.spill, setting.cam, setting.wear, setting.play)
    one, two = events(setting), events(other)
    assert (one.start_lift, one.start) == (two.start_lift, two.start)
    assert two.end_lift - one.end_lift == pump.PER_INDEX_STEP * (index - setting.index)
    now, then = shown(Place(flywheel), setting), shown(Place(flywheel), other)
    assert (now.plunger, now.suction) == (then.plunger, then.suction)


@given(flywheels, settings)
def test_a_cam_shift_moves_both_angles_and_no_lift(flywheel: int, setting: Setting) -> None:
    straight = Setting(setting.index, setting.suction, setting.spill, 0, setting.wear, setting.play)
    one, two = events(straight), events(setting)
    assert (one.start_lift, one.end_lift) == (two.start_lift, two.end_lift)
    assert two.start - one.start == two.end - one.end == 10 * setting.cam
    assert shown(Place(flywheel), straight) == shown(Place(flywheel + 10 * setting.cam), setting)


@given(settings)
def test_wear_makes_both_events_late_and_moves_no_lift(setting: Setting) -> None:
    new = Setting(setting.index, setting.suction, setting.spill, setting.cam, 0, setting.play)
    one, two = events(new), events(setting)
    assert (one.start_lift, one.end_lift) == (two.start_lift, two.end_lift)
    assert two.start >= one.start
    assert two.end >= one.end


# ---------------------------------------------------------------- delivery and cut-out


@pytest.mark.parametrize(
    "setting",
    [
        pump.REFERENCE,
        Setting(index=80, suction=-150, spill=-150, cam=-30),
        Setting(index=20, suction=35, spill=40, cam=12, wear=10),
        Setting(index=0),
    ],
)
def test_the_chamber_delivers_from_start_to_end_and_nowhere_else(setting: Setting) -> None:
    """Every hundredth of a degree of a revolution, turned ahead."""
    found = events(setting)
    delivering = [flywheel for flywheel in range(-17_999, 18_001) if shown(Place(flywheel), setting).chamber == pump.DELIVERING]
    if not found.stroke:
        assert delivering == []
        return
    assert delivering == list(range(delivering[0], delivering[-1] + 1))
    # An event lies between two hundredths of a degree.
    assert delivering[0] == pytest.approx(found.start, abs=1)
    assert delivering[-1] == pytest.approx(found.end, abs=1)


@given(settings)
def test_the_opening_at_index_0_is_what_the_gauge_shows_there(setting: Setting) -> None:
    zero = Setting(0, setting.suction, setting.spill, setting.cam, setting.wear, setting.play)
    at_closing = shown(Place(events(zero).start), zero)
    assert at_closing.spill == pytest.approx(pump.opening_at_index_0(setting), abs=1)


@given(settings)
def test_the_opening_after_moving_rods_is_as_the_calculator_foretells(setting: Setting) -> None:
    before, after = events(pump.REFERENCE), events(setting)
    spill_by = mm(after.end_lift - before.end_lift) - mm(pump.spill_lift(setting.index) - pump.SPILL_LIFT)
    foretold = zero_index_opening_after(
        pump.opening_at_index_0(pump.REFERENCE) / 100.0, RATIO_SPILL, mm(after.start_lift - before.start_lift), spill_by
    )
    assert pump.opening_at_index_0(setting) / 100.0 == pytest.approx(max(0.0, foretold), abs=0.0051)


def test_the_index_of_zero_delivery_is_the_calculators_by_both_its_ways() -> None:
    found = events(pump.REFERENCE)
    w = lift_beyond_seat(pump.opening_at_index_0(pump.REFERENCE) / 100.0, SEAT_MM, RATIO_SPILL)
    by_cut_out = zero_delivery_index(pump.REFERENCE_INDEX / 10.0, mm(found.stroke), w)
    line = index_line(
        [(index / 10.0, mm(events(Setting(index=index)).end_lift)) for index in (20, 50, 70)], mm(found.start_lift)
    )
    assert by_cut_out is not None
    assert line is not None
    assert by_cut_out == pytest.approx(line.zero_index)
    last_without = max(index for index in range(pump.INDEX_STEPS + 1) if not events(Setting(index=index)).stroke)
    assert last_without / 10.0 == pytest.approx(by_cut_out)
    assert line.stroke_mm(6.0) == pytest.approx(mm(events(Setting(index=60)).stroke))


# ---------------------------------------------------------------- play


@given(flywheels, settings, st.lists(st.integers(-3000, 3000), max_size=6))
def test_turning_takes_up_the_play_and_the_cam_never_turns_the_other_way(
    flywheel: int, setting: Setting, turns: list[int]
) -> None:
    place = Place(flywheel)
    for by in turns:
        after = turned(place, by, setting)
        assert 0 <= after.slack <= 10 * setting.play
        assert -18_000 < after.flywheel <= 18_000
        assert (after.flywheel - place.flywheel - by) % cam.PER_TURN == 0
        cam_by = by + after.slack - place.slack
        assert 0 <= cam_by <= by or by <= cam_by <= 0
        assert abs(by - cam_by) <= 10 * setting.play
        place = after


@given(flywheels, settings)
def test_readings_ahead_know_no_play_and_readings_astern_are_off_by_it(flywheel: int, setting: Setting) -> None:
    from_before = turned(turned(Place(flywheel), -1000, setting), 1000, setting)
    from_behind = turned(turned(Place(flywheel), 1000, setting), -1000, setting)
    assert shown(from_before, setting) == shown(Place(flywheel), setting)
    assert pump.side(from_before, setting) == pump.AHEAD
    assert shown(from_behind, setting) == shown(Place(flywheel + 10 * setting.play), setting)
    assert pump.side(from_behind, setting) == (pump.ASTERN if setting.play else pump.AHEAD)
