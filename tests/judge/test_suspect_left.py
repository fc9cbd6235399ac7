"""Rods read again after they were corrected: what is left under each mistake, weighed by hand."""

from math import exp, log, sqrt
from types import SimpleNamespace
from typing import Any

import pytest
from scipy import stats

from calc.judge import suspect_left
from calc.judge.suspect_left import Turned, alone, joint
from tests.invented import RATIO, SLOPE, SPILL, SUCTION, TOLERANCE, Tree, at_lift, contact, engine_job, rod_error
from tests.judge.by_hand import before_suspicions

MISTAKE, ROD, PARTLY, IN_STEP = 0.01, 0.08, 0.1, 0.9


def turned(found: float = 0.8, left: float = 0.0, **given: Any) -> Turned:
    """A rod at the start of unit 1: as found off by `found`, as left by `left` [mm]."""
    plain: dict[str, Any] = {
        "unit": 1,
        "event": SUCTION,
        "u_found": 0.02,
        "u_left": 0.03,
        "ratio": 0.8,
        "contact": True,
        "hand_mm": 0.01,
        "sound": 0.04,
        "fault": 0.9,
    }
    return Turned(found=found, left=left, **(plain | given))


def normal(distance: float, variance: float) -> float:
    return float(stats.norm.pdf(distance, 0.0, sqrt(variance)))


def landed(left: float) -> float:
    """A correction that landed, or a fault of its own beside it."""
    sound = 0.03**2 + 0.04**2 + 0.01**2
    return (1.0 - ROD) * normal(left, sound) + ROD * normal(left, sound + 0.9**2)


@pytest.mark.parametrize("left", [0.0, -0.2, 0.9, 0.73, 1.6])
def test_an_honest_correction_lands(left: float) -> None:
    """Not in part: nothing is left, or the other sign, or nine tenths and more of it."""
    assert turned(0.8, left).log_honest == pytest.approx(log(landed(left)))


@pytest.mark.parametrize(("found", "left"), [(0.8, 0.3), (0.8, 0.71), (-0.8, -0.3), (0.8, 0.001)])
def test_an_honest_correction_in_part(found: float, left: float) -> None:
    """One rod in ten is turned in part, by anything up to nine tenths: an even density over 0.9 of what it was off by."""
    expected = (1.0 - PARTLY) * landed(left) + PARTLY / (0.9 * 0.8)
    assert turned(found, left).log_honest == pytest.approx(log(expected))


@pytest.mark.parametrize(
    ("code", "left_right", "share"),
    [
        ("wrong_way", False, 2.0),
        ("not_moved", False, 1.0),
        ("thread_type", False, -1.0),
        ("thread_type", True, 0.5),
        # 1 - 0.8^2
        ("ratio_inverted", False, 0.36),
    ],
)
def test_what_a_mistake_leaves(code: str, left_right: bool, share: float) -> None:
    """Spread: the reading as left, the share of that as found, and the hand's rounding of what was turned."""
    spread = 0.03**2 + (share * 0.02) ** 2 + ((1.0 - share) * 0.01) ** 2
    rod = turned(0.8, 0.8 * share + 0.02)
    assert rod.log_left(code, left_right) == pytest.approx(log(normal(0.02, spread)))


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_remainder_within_four_deviations_of_nothing_tells_nothing(sign: float) -> None:
    """Not moved: the spread is sqrt(0.03^2 + 0.02^2) = 0.03606 mm, four of them 0.14422 mm."""
    limit = 4.0 * sqrt(0.03**2 + 0.02**2)
    assert turned(sign * limit * 1.001, 0.1).log_left("not_moved", False) is not None
    assert turned(sign * limit * 0.999, 0.1).log_left("not_moved", False) is None


def test_a_ratio_is_told_at_contact_only() -> None:
    """At reference lift the same ratio tells the lift, so it hides itself."""
    assert turned(0.8, 0.29, contact=False).log_left("ratio_inverted", False) is None
    assert turned(0.8, 0.8, contact=False).log_left("not_moved", False) is not None


def test_one_rod_alone() -> None:
    rod = turned(0.8, 1.58)
    honest, wrong, same = alone(rod, False)
    assert (honest.code, honest.events, honest.weight) == ("honest", (), rod.log_honest)
    assert (wrong.code, wrong.events, wrong.size, wrong.unit) == ("wrong_way", (SUCTION,), 1.58, "mm")
    assert wrong.weight == pytest.approx(log(MISTAKE) + log(normal(-0.02, 0.03**2 + 0.04**2 + 0.01**2)))
    assert same.code == "not_moved"
    assert same.weight == pytest.approx(log(MISTAKE) + float(stats.norm.logpdf(0.78, 0.0, sqrt(0.03**2 + 0.02**2))))
    assert [each.code for each in alone(turned(0.1, 0.0), False)] == ["honest"]


def settings(pitch: float | None = 1.75) -> Any:
    return SimpleNamespace(pitch_mm=pitch)


def test_a_mistake_of_the_whole_job_meets_most_rods() -> None:
    """Two of three rods went the wrong way; the third landed, as one in ten does all the same."""
    rods = [turned(0.8, 1.6), turned(-0.6, -1.2, unit=2, event=SPILL), turned(0.7, 0.0, unit=3)]
    together = joint(rods, settings(), False)
    honest = [rod.log_honest for rod in rods]
    assert together[0][0].code == "honest"
    assert together[0][0].weight == pytest.approx(sum(honest))
    assert together[0][1] == rods
    (wrong,) = [each for each in together if each[0].code == "wrong_way"]
    expected = log(MISTAKE)
    for rod, plain in zip(rods, honest, strict=True):
        wrong_ = float(stats.norm.logpdf(rod.left, 2.0 * rod.found, sqrt(0.03**2 + 0.04**2 + 0.01**2)))
        low, high = sorted((plain + log(1.0 - IN_STEP), wrong_ + log(IN_STEP)))
        expected += high + log(1.0 + exp(low - high))
    assert wrong[0].weight == pytest.approx(expected)
    assert wrong[1] == rods[:2]
    assert {each[0].code for each in together} == {"honest", "wrong_way"}


def test_a_rod_that_cannot_tell_counts_as_honest() -> None:
    """It was off by less than four deviations of what would be left."""
    rods = [turned(0.8, 0.8), turned(0.6, 0.6, unit=2), turned(0.1, 0.1, unit=3)]
    assert rods[2].log_left("not_moved", False) is None
    (same,) = [each for each in joint(rods, settings(), False) if each[0].code == "not_moved"]
    two = next(each for each in joint(rods[:2], settings(), False) if each[0].code == "not_moved")
    assert same[0].weight == pytest.approx(two[0].weight + rods[2].log_honest)
    assert same[1] == rods[:2]


def test_one_rod_is_not_the_whole_job() -> None:
    assert joint([turned(0.8, 1.6)], settings(), False) == []
    rods = [turned(0.8, 1.6), turned(0.7, 0.0, unit=3)]
    assert {each[0].code for each in joint(rods, settings(), False)} == {"honest"}


def test_without_a_pitch_nobody_counts_turns_of_a_thread() -> None:
    rods = [turned(0.8, -0.8), turned(0.6, -0.6, unit=2)]
    assert "thread_type" in {each[0].code for each in joint(rods, settings(), False)}
    assert "thread_type" not in {each[0].code for each in joint(rods, settings(None), False)}
    halved = [turned(0.8, 0.4), turned(0.6, 0.3, unit=2)]
    assert "thread_type" in {each[0].code for each in joint(halved, settings(), True)}
    assert "thread_type" not in {each[0].code for each in joint(halved, settings(), False)}


# ---------------------------------------------------------------- which rods


def rods_of(tree: Tree) -> list[Turned]:
    _, settings_, units, _ = before_suspicions(tree)
    return suspect_left.turned_rods(units, settings_)


def two_stages(found: float = 2.0, left: float = 0.1, **more: Any) -> list[Tree]:
    """A start rod of unit 2 that is off by 2 mm, and by 0.1 mm as left; the other units are right."""
    read = [contact(unit, event) for unit in (1, 2, 3, 4) for event in (SUCTION, SPILL)]
    read[2] = rod_error(2, SUCTION, found)
    return [*read, rod_error(2, SUCTION, left, stage="as_left", **more), contact(2, SPILL, stage="as_left")]


def test_a_rod_that_was_to_be_corrected_and_was_read_again() -> None:
    (rod,) = rods_of(engine_job(readings=two_stages()))
    assert (rod.unit, rod.event, rod.contact) == (2, SUCTION, True)
    assert (rod.found, rod.left) == pytest.approx((2.0, 0.1))
    assert rod.ratio == RATIO[SUCTION]
    # A quarter flat is 1.75 / 24 mm of rod, and a hand stops anywhere within it.
    assert rod.hand_mm == pytest.approx(1.75 / 24.0 / RATIO[SUCTION] / sqrt(12.0))
    assert rod.sound == pytest.approx(0.05 * TOLERANCE * SLOPE)
    assert rod.fault == pytest.approx(2.0 * TOLERANCE * SLOPE)
    # One reading each: the plunger gauge, its repeatability, and the valve gauge by its ratio.
    u = 2.0 * 0.005**2 / 12.0 + 0.008**2 / 3.0 + 0.003**2 + (2.0 * 0.002**2 / 12.0 + 0.003**2 / 3.0) / RATIO[SUCTION] ** 2
    assert (rod.u_found, rod.u_left) == pytest.approx((sqrt(u), sqrt(u)))


def test_without_a_pitch_the_hand_is_exact() -> None:
    tree = engine_job(readings=two_stages(), change=lambda tree: tree["engine"].pop("rod_pitch_mm"))
    (rod,) = rods_of(tree)
    assert rod.hand_mm == 0.0


def test_both_stages_have_to_be_at_contact() -> None:
    read = two_stages()
    read[-2] = at_lift(2, SUCTION, 0.1, stage="as_left")
    (rod,) = rods_of(engine_job(readings=read))
    assert not rod.contact
    read = two_stages()
    read[2] = at_lift(2, SUCTION, 1.0)
    (rod,) = rods_of(engine_job(readings=read))
    assert not rod.contact


def test_rods_that_nobody_had_to_turn() -> None:
    """Within its tolerance, or not read again, or no correction: nothing to compare."""
    assert rods_of(engine_job(readings=two_stages(found=0.25 * SLOPE))) == []
    assert rods_of(engine_job(readings=two_stages()[:-2])) == []
    only_end = [*two_stages()[:-2], contact(2, SPILL, stage="as_left")]
    assert rods_of(engine_job(readings=only_end)) == []
    # The whole unit is late by its cam: a cam is no rod.
    read = [contact(unit, event) for unit in (1, 3, 4) for event in (SUCTION, SPILL)]
    read += [contact(2, event, 0.0, 1.5, stage) for stage in ("as_found", "as_left") for event in (SUCTION, SPILL)]
    assert rods_of(engine_job(readings=read)) == []


def test_the_other_rod_of_a_unit_is_named_beside_it() -> None:
    read = [contact(unit, event) for unit in (1, 3, 4) for event in (SUCTION, SPILL)]
    for event, found, left in ((SUCTION, 2.0, 0.1), (SPILL, -1.0, -0.2)):
        read += [rod_error(2, event, found), rod_error(2, event, left, stage="as_left")]
    rods = rods_of(engine_job(readings=read))
    assert [(rod.event, round(rod.found, 3), round(rod.left, 3)) for rod in rods] == [(SUCTION, 2.0, 0.1), (SPILL, -1.0, -0.2)]
