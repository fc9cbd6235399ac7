"""The model's pump: two valves worked by rockers and push rods, an eccentric that the fuel index turns, and play in the drive.

Schematic: each rocker is a straight bar through two pins on fixed uprights, so the valves move in exact proportion to the
plunger. The reference settings, ratios and the seat-contact reading are invented.
"""

from __future__ import annotations

from dataclasses import dataclass

from calc.moving.cam import PER_DEG, PER_MM, PER_TURN, angle_of, is_falling, is_rising, lift, nearest

FIFTHS = 5  # Valve movements are whole fifths of the plunger's steps.
SUCTION_FIFTHS, SPILL_FIFTHS = 4, 2  # Valve movement per plunger movement: 0.8 and 0.4.
SEAT = 5_000  # Seat-contact reading: 0.05 mm.
PRE_STROKE = 8 * PER_MM
SPILL_LIFT = 24 * PER_MM  # At the reference index.
INDEX_STEPS = 80  # The index runs from 0 to 8 in tenths.
REFERENCE_INDEX = 50
PER_INDEX_STEP = 4 * PER_MM // 10  # Spill lift for each tenth of the index.
_ROD = PER_MM // 100  # A hundredth of a millimetre of rod.
_DIGIT = PER_MM // 100  # Gauges show hundredths of a millimetre.

# What the pressure chamber is doing.
SUCTION, BOTH, DELIVERING, SPILL, CLOSED = "suction", "both", "delivering", "spill", "closed"
# On which side the play in the drive lies.
AHEAD, BETWEEN, ASTERN = "ahead", "between", "astern"


@dataclass(frozen=True, slots=True)
class Setting:
    """How the pump is set up. All whole numbers: index in tenths; rods in hundredths of a millimetre from the reference,
    positive is longer; cam position and play in tenths of a degree, a positive cam acts later; wear in steps of 0.05 mm.
    """

    index: int = REFERENCE_INDEX
    suction: int = 0
    spill: int = 0
    cam: int = 0
    wear: int = 0
    play: int = 10


REFERENCE = Setting()


@dataclass(frozen=True, slots=True)
class Place:
    """Where the flywheel stands, after TDC, and how far the cam runs ahead of it inside the play [hundredths of a deg]."""

    flywheel: int
    slack: int = 0


def turned(place: Place, by: int, setting: Setting) -> Place:
    """The place after turning, ahead where `by` is positive.

    The cam follows only when the play is taken up: turned ahead it stands with the flywheel, turned astern it lags by the
    play. Parameters: by [hundredths of a deg]. Returns: the flywheel from -180 to 180 deg.

    >>> turned(Place(0), -40, REFERENCE), turned(Place(0), -500, REFERENCE), turned(Place(-500, 100), 30, REFERENCE)
    (Place(flywheel=-40, slack=40), Place(flywheel=-500, slack=100), Place(flywheel=-470, slack=70))
    """
    half = PER_TURN // 2
    flywheel = (place.flywheel + by + half - 1) % PER_TURN - half + 1
    return Place(flywheel, min(max(place.slack - by, 0), setting.play * 10))


def side(place: Place, setting: Setting) -> str:
    """The direction for which the play is taken up; readings count only ahead.

    >>> side(Place(0), REFERENCE), side(Place(0, 30), REFERENCE), side(Place(0, 100), REFERENCE)
    ('ahead', 'between', 'astern')
    """
    if place.slack == 0:
        return AHEAD
    return ASTERN if place.slack == setting.play * 10 else BETWEEN


def cam_angle(place: Place, setting: Setting) -> int:
    """The cam's own angle [hundredths of a deg].

    >>> cam_angle(Place(-600, 20), Setting(cam=5))
    -630
    """
    return place.flywheel + place.slack - 10 * setting.cam


def plunger(place: Place, setting: Setting) -> int:
    """Plunger lift from the base circle [hundred-thousandths of a mm].

    >>> plunger(Place(900), REFERENCE)
    2400000
    """
    return lift(cam_angle(place, setting), setting.wear)


def spill_lift(index: int) -> int:
    """Plunger lift at which the spill valve opens with its rod at the reference; linear in the index.

    Parameters: index [tenths]. Returns: [hundred-thousandths of a mm].

    >>> spill_lift(50), spill_lift(0)
    (2400000, 400000)
    """
    return SPILL_LIFT + PER_INDEX_STEP * (index - REFERENCE_INDEX)


def suction_held(lift_now: int, setting: Setting) -> int:
    """How far the suction push rod holds its valve open; below 0 a gap, since the rod has left the valve.

    Formula: s + i_c (h_c - H) + rod. Parameters: lift_now [hundred-thousandths of a mm]. Returns: [fifths of those].

    >>> suction_held(PRE_STROKE, REFERENCE) / FIFTHS / PER_MM, suction_held(SPILL_LIFT, REFERENCE) / FIFTHS / PER_MM
    (0.05, -12.75)
    """
    return FIFTHS * (SEAT + _ROD * setting.suction) + SUCTION_FIFTHS * (PRE_STROKE - lift_now)


def spill_held(lift_now: int, setting: Setting) -> int:
    """How far the spill push rod holds its valve open; below 0 a gap.

    Formula: s + i_o (H - h_o) + rod. Parameters: lift_now [hundred-thousandths of a mm]. Returns: [fifths of those].

    >>> spill_held(SPILL_LIFT, REFERENCE) / FIFTHS / PER_MM, spill_held(0, REFERENCE) / FIFTHS / PER_MM
    (0.05, -9.55)
    """
    return FIFTHS * (SEAT + _ROD * setting.spill) + SPILL_FIFTHS * (lift_now - spill_lift(setting.index))


@dataclass(frozen=True, slots=True)
class Shown:
    """What the gauges show [hundredths of a mm], and what the chamber is doing."""

    plunger: int
    suction: int
    spill: int
    chamber: str


def digits_of_valve(held: int) -> int:
    """A valve gauge's reading [hundredths of a mm]: never below 0, since a valve cannot go beyond its seat.

    >>> digits_of_valve(FIFTHS * 12_600), digits_of_valve(-FIFTHS * 12_600)
    (13, 0)
    """
    return nearest(max(held, 0), FIFTHS * _DIGIT)


def chamber(lift_now: int, cam: int, setting: Setting) -> str:
    """What the pressure chamber is doing; a valve counts as open from its seat-contact reading on.

    Parameters: lift_now [hundred-thousandths of a mm], cam [hundredths of a deg]. Returns: one of this module's words.

    >>> chamber(PRE_STROKE, -600, REFERENCE), chamber(PRE_STROKE - 1, -600, REFERENCE), chamber(SPILL_LIFT, 900, REFERENCE)
    ('delivering', 'suction', 'spill')
    """
    suction_open = suction_held(lift_now, setting) > FIFTHS * SEAT
    spill_open = spill_held(lift_now, setting) >= FIFTHS * SEAT
    if suction_open:
        return BOTH if spill_open else SUCTION
    if spill_open:
        return SPILL
    return CLOSED if is_falling(cam) else DELIVERING


def shown(place: Place, setting: Setting) -> Shown:
    """What the three dial gauges show at a place.

    >>> shown(Place(-600), REFERENCE), shown(Place(-600, 100), REFERENCE).plunger
    (Shown(plunger=800, suction=5, spill=0, chamber='delivering'), 889)
    """
    here = plunger(place, setting)
    return Shown(
        nearest(here, _DIGIT),
        digits_of_valve(suction_held(here, setting)),
        digits_of_valve(spill_held(here, setting)),
        chamber(here, cam_angle(place, setting), setting),
    )


def flow(cam: int) -> int:
    """Which way the plunger moves fuel as the cam turns ahead: 1 out of the chamber, -1 into it, 0 where it stands [1].

    >>> flow(0), flow(6000), flow(12000)
    (1, 0, -1)
    """
    return 1 if is_rising(cam) else -1 if is_falling(cam) else 0


@dataclass(frozen=True, slots=True)
class Events:
    """What a setting makes, turned ahead. Lifts in hundred-thousandths of a mm, angles in hundredths of a degree."""

    start_lift: int
    end_lift: int
    start: int
    end: int

    @property
    def stroke(self) -> int:
        """Effective stroke [hundred-thousandths of a mm]; 0 where the spill valve opens before the suction valve closes.

        >>> events(REFERENCE).stroke / PER_MM, events(Setting(index=5)).stroke
        (16.0, 0)
        """
        return max(0, self.end_lift - self.start_lift)

    @property
    def delivery(self) -> int:
        """Delivery angle [hundredths of a deg], 0 where nothing is delivered.

        >>> events(REFERENCE).delivery
        1500
        """
        return max(0, self.end - self.start)


def events(setting: Setting) -> Events:
    """Start and end of delivery: lifts from the rods and the index, angles from the cam.

    Formulas: H_c = h_c + rod / i_c, H_o = h_o(index) - rod / i_o; the cam position is added to both angles.

    >>> events(REFERENCE)
    Events(start_lift=800000, end_lift=2400000, start=-600, end=900)
    >>> events(Setting(suction=20, cam=5)).start_lift, events(Setting(suction=20, cam=5)).end
    (825000, 950)
    """
    start = PRE_STROKE + FIFTHS * _ROD * setting.suction // SUCTION_FIFTHS
    end = spill_lift(setting.index) - FIFTHS * _ROD * setting.spill // SPILL_FIFTHS
    return Events(start, end, angle_of(start, setting.wear) + 10 * setting.cam, angle_of(end, setting.wear) + 10 * setting.cam)


def opening_at_index_0(setting: Setting) -> int:
    """What the spill valve's gauge shows at index 0 when the suction valve is just closing [hundredths of a mm].

    >>> opening_at_index_0(REFERENCE), opening_at_index_0(Setting(suction=-100, spill=-100))
    (165, 15)
    """
    at_zero = Setting(0, setting.suction, setting.spill, setting.cam, setting.wear, setting.play)
    return digits_of_valve(spill_held(events(setting).start_lift, at_zero))


def in_degrees(angle: int) -> float:
    """An angle of this model in degrees [deg].

    >>> in_degrees(-605)
    -6.05
    """
    return angle / PER_DEG
