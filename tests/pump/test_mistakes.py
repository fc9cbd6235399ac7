"""Each signature against a pump with gauges: the pump is read by a clumsy hand, and the numbers shift as predicted."""

import random
from dataclasses import dataclass, field
from decimal import Decimal

import pytest

from calc.measure.circle import wrapped
from calc.pump import mistakes
from calc.pump.cam import CamCurve, Flank
from calc.pump.cut_out import lift_beyond_seat
from calc.pump.mistakes import Shown
from tests.published import load
from tests.pump.forward import EVENTS, SPILL, SUCTION, Cycloid, Pump

PUMP = load("cycloidal-pump")
CAM = Cycloid(PUMP["peak_mm"], PUMP["span_deg"], PUMP["foot_deg"])
RATIO = {SUCTION: 0.7, SPILL: 1.3}
SEAT = 0.06
LIFT = {SUCTION: 12.0, SPILL: 36.0}
ANGLE = {event: float(CAM.angle_at(LIFT[event])) for event in EVENTS}
CURVE = CamCurve.from_table(CAM.table(0.5))
ROD, OWN = 0.31, -0.42  # An honest fault beside the mistake: start's rod [mm] and the unit's cam [deg].


def flank(event: str) -> Flank:
    found = CURVE.flank_at(LIFT[event])
    assert found is not None
    return found


@dataclass
class Read:
    """A pump read without error but for the mistake. `offset` of the plunger gauge at each event [mm]."""

    faulty: bool
    offset: dict[str, float] = field(default_factory=lambda: dict.fromkeys(EVENTS, 0.0))
    seat: float = SEAT

    @property
    def pump(self) -> Pump:
        off = {SUCTION: ROD, SPILL: 0.0} if self.faulty else dict.fromkeys(EVENTS, 0.0)
        own = OWN if self.faulty else 0.0
        return Pump(CAM, LIFT, ANGLE, RATIO, SEAT, 1.5, 1.75, off_mm=off, cam_deg=own)

    def at_contact(self, event: str) -> tuple[float, float]:
        """Lift and angle that the gauges show where the valve gauge shows the seat-contact reading in use."""
        travel = (self.seat - SEAT) / RATIO[event]
        stands = self.pump.contact_mm(event) + (travel if event == SPILL else -travel)
        return stands + self.offset[event], self.pump.crank_deg(event, stands)

    def numbers_at_contact(self, event: str) -> Shown:
        lift, angle = self.at_contact(event)
        return Shown(lift - LIFT[event], angle - ANGLE[event] - flank(event).travel(lift - LIFT[event]))

    def numbers_at_lift(self, event: str) -> Shown:
        """Lift deviation from the valve gauge, and cam part, where the plunger gauge shows the reference lift."""
        stands = LIFT[event] - self.offset[event]
        valve = self.pump.valve_mm(event, stands)
        assert valve > 0.0
        sign = -1.0 if event == SPILL else 1.0
        return Shown(sign * (valve - SEAT) / RATIO[event], self.pump.crank_deg(event, stands) - ANGLE[event])


def honest(event: str, faulty: bool) -> Shown:
    """What the honest faults alone make the gauges show."""
    if not faulty:
        return Shown(0.0, 0.0)
    rod = mistakes.rod_shows(ROD if event == SUCTION else 0.0)
    cam = mistakes.cam_shows(OWN)
    return Shown(rod.lift_mm + cam.lift_mm, rod.part_deg + cam.part_deg)


def agree(found: Shown, predicted: Shown) -> None:
    # The table's rows are exact and half a degree apart: between them the cubic is good to some 1e-4 deg.
    assert found.lift_mm == pytest.approx(predicted.lift_mm, abs=1e-9)
    assert found.part_deg == pytest.approx(predicted.part_deg, abs=2e-3)


@pytest.mark.parametrize("faulty", [False, True])
@pytest.mark.parametrize("event", EVENTS)
def test_honest_faults_alone(event: str, faulty: bool) -> None:
    agree(Read(faulty).numbers_at_contact(event), honest(event, faulty))


@pytest.mark.parametrize("faulty", [False, True])
@pytest.mark.parametrize("offset", [-1.4, 0.8, 2.0])
@pytest.mark.parametrize("event", EVENTS)
def test_gauge_offset_at_contact(event: str, offset: float, faulty: bool) -> None:
    """Zero fault, missed turn, tilt and bottoming are offsets of the plunger gauge; the travel starts at the true lift."""
    plain = honest(event, faulty)
    there = flank(event)
    travel = there.travel(plain.lift_mm + offset) - there.travel(plain.lift_mm)
    shift = mistakes.offset_shows(offset, travel)
    predicted = Shown(plain.lift_mm + shift.lift_mm, plain.part_deg + shift.part_deg)
    agree(Read(faulty, dict.fromkeys(EVENTS, offset)).numbers_at_contact(event), predicted)


@pytest.mark.parametrize("faulty", [False, True])
@pytest.mark.parametrize(("event", "offset"), [(SUCTION, 0.8), (SUCTION, 2.0), (SPILL, -1.4)])
def test_gauge_offset_at_reference_lift(event: str, offset: float, faulty: bool) -> None:
    plain = honest(event, faulty)
    shift = mistakes.offset_shows(offset, -flank(event).travel(-offset))
    found = Read(faulty, dict.fromkeys(EVENTS, offset)).numbers_at_lift(event)
    agree(found, Shown(plain.lift_mm + shift.lift_mm, plain.part_deg + shift.part_deg))


def test_gauge_offset_seats_the_other_valve() -> None:
    """At reference lift only one event has a number: a gauge that shows too much leaves the spill valve on its seat."""
    pump = Read(False).pump
    assert pump.valve_mm(SPILL, LIFT[SPILL] - 0.8) == 0.0
    assert pump.valve_mm(SUCTION, LIFT[SUCTION] + 0.8) == 0.0


def test_tilt_grows_with_the_lift() -> None:
    start, end = (mistakes.tilt_offset(0.02, LIFT[event]) for event in EVENTS)
    assert end / start == pytest.approx(LIFT[SPILL] / LIFT[SUCTION])
    agree(Read(False, {SUCTION: start, SPILL: end}).numbers_at_contact(SPILL), Shown(0.72, -flank(SPILL).travel(0.72)))


@pytest.mark.parametrize("faulty", [False, True])
def test_angle_mistakes_leave_the_lift(faulty: bool) -> None:
    """Another cylinder's mark, a lost sign and play add the same to angle and cam part."""
    for event in EVENTS:
        lift, angle = Read(faulty).at_contact(event)
        part = Read(faulty).numbers_at_contact(event).part_deg

        def told(shown: float, lift: float = lift, event: str = event) -> float:
            return shown - ANGLE[event] - flank(event).travel(lift - LIFT[event])

        # The flywheel stands at t_own + angle; read from another mark it shows that much less that mark's position.
        shown = wrapped(72.0 + angle - 216.0)
        assert wrapped(told(shown) - part) == pytest.approx(mistakes.mark_shift(72.0, 216.0))
        assert told(-angle) - part == pytest.approx(mistakes.sign_shift(-angle))
        assert told(angle - 0.4) - part == pytest.approx(mistakes.play_shows(0.4).part_deg)


def test_marks_of_an_even_engine() -> None:
    tdc = mistakes.even_tdc([1, 4, 2, 3])
    assert tdc == {1: 0.0, 4: 90.0, 2: 180.0, 3: 270.0}
    assert [mistakes.mark_shift(tdc[1], tdc[other]) for other in (4, 2, 3)] == [-90.0, -180.0, 90.0]


@pytest.mark.parametrize(
    ("angle", "u", "near"), [(0.0, 0.05, True), (0.0979, 0.05, True), (0.0981, 0.05, False), (-4.5, 0.05, False)]
)
def test_sign_near_tdc(angle: float, u: float, near: bool) -> None:
    assert mistakes.sign_undecidable(angle, u) is near


@pytest.mark.parametrize("faulty", [False, True])
@pytest.mark.parametrize("used", [0.02, 0.16])
def test_wrong_seat_contact(used: float, faulty: bool) -> None:
    shifts = mistakes.seat_shows(used - SEAT, RATIO[SUCTION], RATIO[SPILL])
    for event, shift in zip(EVENTS, shifts, strict=True):
        plain = honest(event, faulty)
        predicted = Shown(plain.lift_mm + shift.lift_mm, plain.part_deg + shift.part_deg)
        agree(Read(faulty, seat=used).numbers_at_contact(event), predicted)
    assert RATIO[SUCTION] * shifts[0].lift_mm == pytest.approx(-RATIO[SPILL] * shifts[1].lift_mm)


def test_worn_seats_look_like_longer_rods() -> None:
    worn = Read(False).pump
    worn.rod_mm = dict.fromkeys(EVENTS, 0.1)
    for event, shift in zip(EVENTS, mistakes.wear_shows(0.1, RATIO[SUCTION], RATIO[SPILL]), strict=True):
        assert worn.contact_mm(event) - LIFT[event] == pytest.approx(shift.lift_mm)


def test_wrong_index_moves_the_end_alone() -> None:
    """From the reference index to 0 the spill lift falls by the stroke and w: so much per step."""
    pump = Read(False).pump
    w = lift_beyond_seat(pump.opening_at_index_0_mm(), SEAT, RATIO[SPILL])
    start, end = mistakes.index_shows(LIFT[SPILL] - LIFT[SUCTION], w, 7.0)
    assert start == Shown(0.0, 0.0)
    assert end.lift_mm * 7.0 == pytest.approx(LIFT[SPILL] - LIFT[SUCTION] + pump.w_mm)


def test_timing_setting() -> None:
    assert mistakes.timing_shows(0.7, False) == (Shown(0.7, 0.0), Shown(0.0, 0.0))
    assert mistakes.timing_shows(0.7, True) == (Shown(0.7, 0.0), Shown(0.7, 0.0))


@pytest.mark.parametrize(("error", "turns"), [(0.97, [1]), (-2.02, [-2]), (0.5, []), (0.02, []), (1.2, [])])
def test_whole_turns(error: float, turns: list[int]) -> None:
    assert mistakes.turns_near(error, 1.0, 0.1) == turns


def test_whole_turns_of_a_tiny_dial_stay_few() -> None:
    assert len(mistakes.turns_near(500.0, 0.001, 100.0)) <= 21


def test_dial_read_backwards() -> None:
    """12.30 has the needle at 30 of 100 hundredths; along the other numbers it stands at 70, and 12.70 is written down."""
    assert pytest.approx(12.3) in mistakes.backwards_meant(12.7, 1.0, 12.1)
    assert mistakes.backwards_meant(13.7, 1.0, 12.1) == []


@pytest.mark.parametrize(
    ("meant", "typed", "step"),
    [
        (12.31, 13.21, 0.01),
        (12.31, 1.231, 0.01),
        (12.31, 123.1, 0.01),
        (-16.4, -61.4, 0.1),
        (12.3, 12.03, 0.01),
        (0.35, 3.5, 0.01),
    ],
)
def test_slips_are_undone(meant: float, typed: float, step: float) -> None:
    assert pytest.approx(meant) in [value for _, value in mistakes.slips(typed, step)]


def test_slips_of_two_digits_change_by_nines() -> None:
    chance = random.Random(4)
    for _ in range(200):
        typed = round(chance.uniform(1.0, 99.0), 2)
        for kind, meant in mistakes.slips(typed, 0.01):
            if kind not in ("x10", "/10"):
                assert round(abs(meant - typed) * 100.0) % 9 == 0


def test_nothing_slips_in_a_zero() -> None:
    assert mistakes.slips(0.0, 0.01) == []


@pytest.mark.parametrize(("step", "places"), [(0.1, 1), (0.05, 2), (0.005, 3), (0.25, 2), (1.0, 0), (2.0, 0), (0.02, 2)])
def test_decimals_that_people_write(step: float, places: int) -> None:
    assert mistakes.decimals_of(step) == places


def test_copied_entries_need_digits_that_the_instrument_lacks() -> None:
    assert mistakes.copied(-16.38, -16.38, 0.1)
    assert not mistakes.copied(12.1, 12.1, 0.01)
    assert not mistakes.copied(-16.38, -16.39, 0.1)


@pytest.mark.parametrize("opens", [True, False])
@pytest.mark.parametrize("event", EVENTS)
def test_what_a_faulty_correction_leaves(event: str, opens: bool) -> None:
    """The rod of a pump is turned as each mistake has it turned, and read again."""
    off = 0.6

    def left(flats_factor: float, ratio_in_file: float | None = None) -> float:
        pump = Pump(CAM, LIFT, ANGLE, RATIO, SEAT, 1.5, 1.75, opens=opens, off_mm={**dict.fromkeys(EVENTS, 0.0), event: off})
        ratio = ratio_in_file or RATIO[event]
        change = (ratio * off if event == SPILL else -ratio * off) * (1.0 if opens else -1.0)
        pump.turn(event, flats_factor * 6.0 * change / 1.75)
        return pump.contact_mm(event) - LIFT[event]

    assert left(1.0) == pytest.approx(0.0)
    for code, factor, left_right in (
        ("wrong_way", -1.0, False),
        ("not_moved", 0.0, False),
        ("thread_type", 2.0, False),
        ("thread_type", 0.5, True),
    ):
        assert left(factor) == pytest.approx(mistakes.left_share(code, RATIO[event], left_right) * off)
    in_file = 1.0 / RATIO[event]
    assert left(1.0, in_file) == pytest.approx(mistakes.left_share("ratio_inverted", in_file, False) * off)


@pytest.mark.parametrize("a_turn", [0.5, 1.0, 2.0, 5.0])
@pytest.mark.parametrize("error", [-10.03, -1.02, -0.4, 0.0, 0.98, 1.5, 4.97, 10.0])
def test_whole_turns_near_a_deviation_are_those_of_a_dial(a_turn: float, error: float) -> None:
    """Counted one by one, whatever a turn of the dial is worth."""
    expected = [turns for turns in range(-60, 61) if turns and abs(turns * a_turn - error) <= 0.1]
    assert mistakes.turns_near(error, a_turn, 0.1) == expected


@pytest.mark.parametrize("a_turn", [0.5, 1.0, 2.0, 5.0])
@pytest.mark.parametrize("stands", [11.3, 12.0, 12.41])
def test_a_dial_read_against_its_numbers_may_have_meant_what_it_stood_at(a_turn: float, stands: float) -> None:
    """The pointer stands at the rest of the turn; read backwards, that rest is taken from a full turn."""
    rest = stands % a_turn
    read = stands - rest + (a_turn - rest)
    if abs(read - 12.0) < 1.5 * a_turn:
        assert any(meant == pytest.approx(stands) for meant in mistakes.backwards_meant(read, a_turn, 12.0))
    else:
        assert mistakes.backwards_meant(read, a_turn, 12.0) == []


def test_an_index_that_stands_off_moves_the_end_along_its_cam() -> None:
    """By lift alone: the cam part is that of a rod, none."""
    start, end = mistakes.index_shows(24.0, 1.2, 7.0)
    assert (start.lift_mm, start.part_deg, end.part_deg) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize(
    "step", ["0.001", "0.002", "0.005", "0.01", "0.02", "0.05", "0.1", "0.125", "0.25", "0.5", "1", "2", "5"]
)
def test_a_step_is_written_with_its_own_decimals(step: str) -> None:
    assert mistakes.decimals_of(float(step)) == -int(Decimal(step).as_tuple().exponent)


@pytest.mark.parametrize("power", [6, 7, 8])
def test_a_step_below_a_millionth_has_all_its_zeros(power: int) -> None:
    assert mistakes.decimals_of(10.0**-power) == power


@pytest.mark.parametrize(("step", "decimals"), [(10.0, 0), (20.0, 0), (100.0, 0), (1.0 / 3.0, 6)])
def test_no_decimals_above_1_and_at_most_six(step: float, decimals: int) -> None:
    assert mistakes.decimals_of(step) == decimals


@pytest.mark.parametrize("typed", [13.21, -13.21, 0.52, -0.52, 11.23, 20.5, 0.07, 5.05, 36.0, 40.04])
def test_a_slip_keeps_the_sign_and_moves_two_neighbouring_digits_or_the_point(typed: float) -> None:
    """Nobody meant the number itself, and nobody writes a leading 0 before another digit."""
    found = dict(mistakes.slips(typed, 0.01))
    assert found.pop("x10") == pytest.approx(10.0 * typed)
    assert found.pop("/10") == pytest.approx(typed / 10.0)
    digits = f"{abs(typed):.2f}"
    for meant in found.values():
        assert meant * typed > 0.0
        assert meant != typed
        text = f"{abs(meant):.2f}"
        assert len(text) == len(digits)
        apart = [place for place, (one, other) in enumerate(zip(text, digits, strict=True)) if one != other]
        assert len(apart) == 2
        assert sorted(text) == sorted(digits)
    expected = sum(
        one != other and not (place == 0 and other == "0" and "." not in digits[:2])
        for place, (one, other) in enumerate(zip(digits.replace(".", "")[:-1], digits.replace(".", "")[1:], strict=True))
    )
    assert len(found) == expected


def test_at_the_dead_centre_itself_nobody_can_tell_before_from_after() -> None:
    assert mistakes.sign_undecidable(0.0, 0.0)
    assert not mistakes.sign_undecidable(0.001, 0.0)
