"""Which units are weighed at all, when a mistake is listed, and what is said of a whole stage and as left."""

from math import log, sqrt
from typing import Any

import pytest

from calc.findings import Findings, UnitFindings
from calc.judge import suspect
from calc.judge.seen import Layout, StageParts
from calc.judge.suspect_unit import Explanation
from tests import invented
from tests.invented import SLOPE, TOLERANCE, Tree, at_lift, contact, engine_job, plunger_reading, rod_error
from tests.judge import measured, study_mistakes
from tests.judge.by_hand import before_suspicions
from tests.judge.study_mistakes import judged
from tests.pump.forward import SPILL, SUCTION


def codes(unit: UnitFindings) -> list[str]:
    return [each.code for each in unit.suspicions]


# ---------------------------------------------------------------- when something is listed


def weighed(**shares: float) -> list[Explanation]:
    """One explanation of each code with this share."""
    return [Explanation(code, (SUCTION,), log(share)) for code, share in shares.items()]


def standing(explanations: list[Explanation]) -> dict[str, float]:
    return {each.code: share for each, share in suspect._standing(explanations)}


def test_nothing_is_listed_while_the_honest_faults_hold_a_fifth() -> None:
    assert standing(weighed(honest=0.201, gauge_zero=0.799)) == {}
    assert standing(weighed(honest=0.199, gauge_zero=0.801)) == pytest.approx({"gauge_zero": 0.801})
    assert standing(weighed(honest=0.3)) == {}


def test_mistakes_are_listed_from_a_twentieth_on() -> None:
    found = standing(weighed(honest=0.1, digit_slip=0.0495, gauge_tilt=0.0505, gauge_zero=0.8))
    assert list(found) == ["gauge_zero", "gauge_tilt"]
    assert found == pytest.approx({"gauge_zero": 0.8, "gauge_tilt": 0.0505})


def test_ways_of_one_mistake_share_and_the_likeliest_is_shown() -> None:
    ways = [Explanation("digit_slip", (SUCTION,), log(0.3), 1.0), Explanation("digit_slip", (SPILL,), log(0.4), 2.0)]
    honest = [Explanation("honest", (), log(0.05)), Explanation("honest", (), log(0.1))]
    ((shown, share),) = suspect._standing([*honest, *ways])
    assert shown is ways[1]
    assert share == pytest.approx(0.7 / 0.85)


# ---------------------------------------------------------------- which units are weighed at all


def glanced(read: list[Tree], change: Any = None, unit: int = 2) -> bool:
    """Whether a unit is worth weighing in a job of four units."""
    sound = [contact(number, event) for number in (1, 2, 3, 4) for event in (SUCTION, SPILL)]
    ours = {(each["unit"], each["event"]) for each in read}
    job, settings_, units, scatter = before_suspicions(
        engine_job(
            units=4, readings=[each for each in sound if (each["unit"], each["event"]) not in ours] + read, change=change
        )
    )
    layout = Layout(job, settings_, scatter, units)
    it = next(each for each in units if each.number == unit)
    return suspect._worth_weighing(it, layout, StageParts(units, layout))


def test_a_sound_unit_an_ordinary_rod_and_an_ordinary_cam_are_not_weighed() -> None:
    assert not glanced([])
    assert not glanced([rod_error(2, SUCTION, 0.5)])
    assert not glanced([contact(2, event, 0.0, 0.9) for event in (SUCTION, SPILL)])


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize("event", [SUCTION, SPILL])
def test_a_lift_off_by_three_usual_faults_is_weighed(event: str, sign: float) -> None:
    """A usual fault of a rod is two tolerances' worth of lift: 0.5 degrees at the secant's slope."""
    limit = 3.0 * 2.0 * TOLERANCE * SLOPE
    assert glanced([rod_error(2, event, sign * limit * 1.001)])
    assert not glanced([rod_error(2, event, sign * limit * 0.999)])


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_cam_off_by_three_usual_faults_is_weighed(sign: float) -> None:
    """Six tolerances; the lifts are right, so less than that is an ordinary cam."""
    for share, worth in ((1.001, True), (0.999, False)):
        assert glanced([contact(2, event, 0.0, sign * share * 3.0) for event in (SUCTION, SPILL)]) is worth


def test_a_cam_that_is_off_beside_a_lift_is_weighed() -> None:
    """Beyond 2.5 of its uncertainties, where a lift is off by more than 3 of its own: a gauge zeroed wrongly does that."""
    gauge = 2.0 * 0.005**2 / 12.0 + 0.008**2 / 3.0
    u_lift = sqrt(gauge + 0.003**2 + (2.0 * 0.002**2 / 12.0 + 0.003**2 / 3.0) / invented.RATIO[SUCTION] ** 2)
    for lift, off, worth in ((3.05, 0.9, True), (2.95, 0.9, False), (3.05, 0.0, False)):
        read = [contact(2, SUCTION, lift * u_lift, off + lift * u_lift / SLOPE), contact(2, SPILL, 0.0, off)]
        assert glanced(read) is worth
    read = [rod_error(n, event, 0.1 if n == 2 else 0.0) for n in (1, 2, 3, 4) for event in (SUCTION, SPILL)]
    own = next(each for each in before_suspicions(engine_job(units=4, readings=read))[2] if each.number == 2).own_cam_part
    for share, worth in ((2.55, True), (2.45, False)):
        off = share * own.u
        read = [contact(2, SUCTION, 0.1, off + 0.1 / SLOPE), contact(2, SPILL, 0.1, off + 0.1 / SLOPE)]
        assert glanced(read) is worth


def test_events_that_contradict_each_other_are_weighed() -> None:
    """Beyond 2.5 uncertainties, and beyond a sixth of the tolerance."""
    it = before_suspicions(engine_job(readings=[contact(2, SUCTION), contact(2, SPILL)]))[2][0]
    assert 2.5 * it.disagreement.u > TOLERANCE / 6.0
    for share, worth in ((2.51, True), (2.49, False)):
        assert glanced([contact(2, SUCTION, 0.0, share * it.disagreement.u)]) is worth
        assert glanced([contact(2, SPILL, 0.0, share * it.disagreement.u)]) is worth

    def wide(tree: Tree) -> None:
        tree["reference"]["angle_tolerance_deg"] = 3.0

    for off, worth in ((0.501, True), (0.499, False)):
        assert glanced([contact(2, SUCTION, 0.0, off)], wide) is worth


def test_every_unit_is_weighed_where_a_repeat_lies_apart() -> None:
    assert glanced([contact(4, SUCTION, [0.0, 0.9, 0.0])])
    assert glanced([contact(4, SUCTION, [0.0, 0.9, 0.0])], unit=4)


def test_a_gauge_that_strays_and_a_seated_valve_at_an_odd_angle_are_weighed() -> None:
    assert glanced([plunger_reading(2, "base_return", 0.4)])
    assert not glanced([plunger_reading(2, "base_return", 0.0)])
    assert not glanced([plunger_reading(3, "base_return", 0.4)])
    assert glanced([at_lift(2, SPILL, -invented.SEAT, 0.9)])
    assert not glanced([at_lift(2, SPILL, -invented.SEAT, 0.0)])


def finely_set(*, angle: float = -19.53, lift: float = 9.502) -> Any:
    """Reference settings of unit 2 that no instrument of this job can show."""

    def change(tree: Tree) -> None:
        tree["reference"]["units"][1].update(beginning_deg=angle, pre_stroke_mm=lift)

    return change


def test_entries_that_equal_a_reference_too_fine_to_read_are_weighed() -> None:
    """Steps of 0.05 degrees and 0.005 mm. One such entry may be chance."""
    copied = contact(2, SUCTION, 0.002, -0.03)
    assert glanced([copied], finely_set())
    assert not glanced([contact(2, SUCTION, 0.0, -0.03)], finely_set())
    assert not glanced([contact(2, SUCTION, 0.002, 0.0)], finely_set())
    assert not glanced([contact(2, SUCTION, 0.005, -0.05)], finely_set(angle=-19.55, lift=9.505))


def test_copied_angles_of_both_events_are_weighed() -> None:
    def change(tree: Tree) -> None:
        tree["reference"]["units"][1].update(beginning_deg=-19.53, end_deg=1.03)

    assert glanced([contact(2, SUCTION, 0.0, -0.03), contact(2, SPILL, 0.0, 0.03)], change)


# ---------------------------------------------------------------- the whole stage first


def test_what_settles_a_unit_is_not_weighed_twice() -> None:
    """Two units with each other's readings have that suspicion alone; the others have none."""
    made = study_mistakes.mistaken_job("units", 30_001, False)
    seed = 30_001
    while made is None:
        seed += 1
        made = study_mistakes.mistaken_job("units", seed, False)
    found = judged(made[1])
    listed = {unit.unit: codes(unit) for unit in found.units if unit.suspicions}
    assert len(listed) == 2
    assert all(each == ["units_swapped"] for each in listed.values())


@pytest.mark.parametrize("event", [SUCTION, SPILL])
def test_a_sign_lost_in_every_unit_is_told_of_all_at_once(event: str) -> None:
    it = measured.engine(77, method=measured.CONTACT, repeats=2, extras=False, table=True, tolerance=0.4)
    readings = it.read()
    for read in readings:
        if read["event"] == event:
            read["crank_angle_deg"] = [-angle for angle in read["crank_angle_deg"]]
    found = judged(it.job(readings))
    assert {tuple(codes(unit)) for unit in found.units} == {("before_after",)}
    assert {unit.suspicions[0].events for unit in found.units} == {(event,)}
    # One mistake made everywhere: all units tell the same size.
    assert len({unit.suspicions[0].size for unit in found.units}) == 1


def test_a_shared_lift_leaves_the_angles_to_be_weighed() -> None:
    """The index is off for all, and at one unit a sign was lost besides."""
    it = measured.engine(77, method=measured.CONTACT, repeats=2, extras=False, table=True, tolerance=0.4)
    for unit, pump in it.pumps.items():
        pump.off_mm[SPILL] += 1.2 * (it.references[unit][SPILL][0] - it.references[unit][SUCTION][0] + pump.w_mm) / 22.0
    readings = it.read()
    read = next(each for each in readings if each["unit"] == 2 and each["event"] == SUCTION)
    read["crank_angle_deg"] = [-angle for angle in read["crank_angle_deg"]]
    found = judged(it.job(readings))
    assert "index_off" in codes(next(each for each in found.units if each.unit == 1))
    assert {"index_off", "before_after"} <= set(codes(next(each for each in found.units if each.unit == 2)))


def test_suspicions_of_a_unit_are_sorted_by_what_they_hold() -> None:
    unit = before_suspicions(engine_job(readings=[contact(2, SUCTION)]))[2][0]
    settings_ = before_suspicions(engine_job(readings=[contact(2, SUCTION)]))[1]
    one = Explanation("gauge_zero", (SUCTION,), 0.0, 0.6, "mm")
    other = Explanation("digit_slip", (SUCTION,), 0.0, 0.5, "mm", "12.6|12.1")
    suspect._add(unit, [(one, 0.3), (other, 0.6)], settings_)
    assert [(each.code, each.fits, each.size, each.unit) for each in unit.suspicions] == [
        ("digit_slip", 0.6, 0.5, "mm"),
        ("gauge_zero", 0.3, 0.6, "mm"),
    ]


# ---------------------------------------------------------------- as left


def left_of(shares: dict[int, float]) -> Findings:
    """Start rods of these units off by 2 mm as found, and by so many times that as left."""
    read = [contact(unit, event) for unit in range(1, 6) for event in (SUCTION, SPILL) if unit not in shares or event == SPILL]
    for unit, share in shares.items():
        off = 2.0 if unit % 2 else -2.0
        read += [rod_error(unit, SUCTION, off), rod_error(unit, SUCTION, share * off, stage="as_left")]
        read.append(contact(unit, SPILL, stage="as_left"))
    return invented.judged(engine_job(readings=read))


def as_left(shares: dict[int, float]) -> dict[int, list[str]]:
    return {unit.unit: codes(unit) for unit in left_of(shares).units if unit.stage == "as_left" and unit.suspicions}


def test_one_rod_turned_the_wrong_way_or_not_at_all() -> None:
    assert as_left({2: 2.0}) == {2: ["wrong_way"]}
    assert as_left({2: 1.0}) == {2: ["not_moved"]}
    assert as_left({2: 0.0}) == {}
    assert as_left({2: 0.4}) == {}


def test_rods_of_the_whole_job_turned_by_one_mistake() -> None:
    assert as_left({1: 2.0, 2: 2.0}) == {1: ["wrong_way"], 2: ["wrong_way"]}
    assert as_left(dict.fromkeys((1, 2, 3, 4), -1.0)) == {unit: ["thread_type"] for unit in (1, 2, 3, 4)}
    # 1 - 0.625^2 of what it was off by.
    share = 1.0 - 0.625**2
    assert as_left(dict.fromkeys((1, 2, 3, 4), share)) == {unit: ["ratio_inverted"] for unit in (1, 2, 3, 4)}


def test_a_rod_that_another_mistake_met_is_weighed_alone() -> None:
    """Two rods the wrong way, one was forgotten: each has its own."""
    found = left_of({1: 2.0, 2: 2.0, 4: 1.0})
    listed = {unit.unit: unit.suspicions for unit in found.units if unit.stage == "as_left"}
    assert [each.code for each in listed[1]] == [each.code for each in listed[2]] == ["wrong_way"]
    assert [each.code for each in listed[4]] == ["not_moved"]
    assert listed[4][0].size == pytest.approx(-2.0)
    assert all(each.events == (SUCTION,) for own in listed.values() for each in own)
