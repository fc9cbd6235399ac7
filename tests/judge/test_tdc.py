"""A TDC check by hand: what the pointer shows, what is left for the camshaft drive, and who is named at each limit."""

from math import pi, sqrt
from typing import Any

import pytest

from calc.findings import Findings, TdcCheck
from tests.invented import SLOPE, SPILL, SUCTION, TOLERANCE, Tree, contact, engine_job, judged

STEP, SINGLE = 0.05, 0.02  # The scale's step, and its stated scatter.


def pairs(middle: float, spread: float = 0.1) -> list[list[float]]:
    """Three pairs whose midpoints are the middle, and this much to either side: s is the spread itself."""
    return [
        [-24.0 + middle - spread, 24.0 + middle - spread],
        [-30.0 + middle, 30.0 + middle],
        [-36.0, 36.0 + 2 * (middle + spread)],
    ]


def units_late(late: float, stage: str = "as_found", count: int = 3) -> list[Tree]:
    return [contact(unit, event, 0.0, late, stage) for unit in range(1, count + 1) for event in (SUCTION, SPILL)]


def found(pairs_: Any, late: float = 0.0, mark: float | None = 0.0, left: float | None = None, **more: Any) -> Findings:
    check: Tree = {"pairs": pairs_, **more} if mark is None else {"pairs": pairs_, "mark_deg": mark, **more}
    read = units_late(late) + ([] if left is None else units_late(left, "as_left"))
    return judged(engine_job(readings=read, change=lambda tree: tree.update(tdc_check=check)))


def check_of(it: Findings) -> TdcCheck:
    assert it.tdc_check is not None
    return it.tdc_check


def codes(it: Findings) -> set[str]:
    return {each.code for each in it.notices}


def doubt(scatter: float, count: int = 3) -> float:
    """A midpoint is the mean of two angles, each to a step; its scatter is that of the midpoints, or of two single angles."""
    return sqrt(STEP**2 / 24.0 + max(scatter**2, SINGLE**2 / 2.0) / count)


def test_numbers_of_a_check_by_hand() -> None:
    """Midpoints 0.5, 0.6 and 0.7, the mark at 0.2: the pointer shows 0.4 too much."""
    check = check_of(found(pairs(0.6), mark=0.2))
    assert check.tdc_deg == pytest.approx(0.6)
    assert check.u_deg == pytest.approx(0.1 / sqrt(3.0))
    assert check.spread_deg == pytest.approx(0.2)
    assert check.pairs_used == 3
    assert check.pointer_deg == pytest.approx(0.4)
    assert check.u_pointer_deg == pytest.approx(doubt(0.1))
    assert "late (±" in check.text


def test_the_usual_scatter_of_angles_is_the_least_doubt() -> None:
    """Three midpoints that agree prove little: each is the mean of two angles that scatter by 0.02, as stated."""
    check = check_of(found(pairs(0.6, 0.0)))
    assert check.u_pointer_deg == pytest.approx(doubt(0.0))


def test_the_scatter_of_the_readings_counts_where_they_have_repeats() -> None:
    """Angles 0.1 apart in each of six groups: s = 0.0707."""
    read = [contact(unit, event, 0.0, [0.0, 0.1]) for unit in (1, 2, 3) for event in (SUCTION, SPILL)]
    tree = engine_job(readings=read, change=lambda tree: tree.update(tdc_check={"pairs": pairs(0.6, 0.0), "mark_deg": 0}))
    assert check_of(judged(tree)).u_pointer_deg == pytest.approx(sqrt(STEP**2 / 24.0 + 0.005 / 2.0 / 3.0))


@pytest.mark.parametrize("late", [0.3, 0.0, -0.5])
def test_what_is_left_for_the_drive(late: float) -> None:
    """The common part of the units less what the pointer shows; the pointer's own doubt is in both and cancels."""
    check = check_of(found(pairs(0.4), late))
    stage = check.as_found
    assert stage is not None
    assert stage.camshaft_deg == pytest.approx(late - 0.4)
    # The median of three cam parts; each is the mean of two events, read once: scale, scatter and gauge.
    gauge = 2.0 * 0.005**2 / 12.0 + 0.008**2 / 3.0 + 0.003**2
    event = STEP**2 / 12.0 + SINGLE**2 + gauge / SLOPE**2
    assert stage.u_camshaft_deg == pytest.approx(sqrt(pi / 2.0 * event / 2.0 / 3.0 + doubt(0.1) ** 2))


@pytest.mark.parametrize(
    ("pointer", "late", "says"),
    [
        (0.4, 0.4, "pointer"),
        (-0.4, -0.4, "pointer"),
        (0.0, 0.4, "camshaft_drive"),
        (0.0, -0.4, "camshaft_drive"),
        (0.4, 0.8, "both"),
        (0.4, 0.0, "both"),
        (0.0, 0.0, "neither"),
        # Below a third of the tolerance, on both.
        (0.16, 0.32, "neither"),
        (0.17, 0.17, "pointer"),
        (0.0, 0.17, "camshaft_drive"),
    ],
)
def test_who_is_off(pointer: float, late: float, says: str) -> None:
    it = found(pairs(pointer, 0.01), late)
    stage = check_of(it).as_found
    assert stage is not None
    assert stage.says == says
    assert check_of(it).pointer_off is (says in ("pointer", "both"))
    assert ("pointer_off" in codes(it)) is (says in ("pointer", "both"))
    hides = says == "both" and late == 0.0
    assert ("hide each other" in stage.text) is hides


def test_a_pointer_is_off_beyond_three_uncertainties_only() -> None:
    for share, off in ((3.02, True), (2.98, False)):
        assert check_of(found(pairs(share * doubt(0.1), 0.1))).pointer_off is off
    assert 3.0 * doubt(0.1) > TOLERANCE / 3.0


def test_one_pair_decides_nothing() -> None:
    it = found([[-24.0, 25.0]], 0.5)
    check = check_of(it)
    assert check.pointer_deg == pytest.approx(0.5)
    assert (check.u_deg, check.u_pointer_deg, check.pointer_off) == (None, None, None)
    assert check.as_found is not None
    assert (check.as_found.says, check.as_found.u_camshaft_deg) == ("unknown", None)
    assert check.as_found.camshaft_deg == pytest.approx(0.0)
    assert {"tdc_one_pair"} <= codes(it)
    assert "pointer_off" not in codes(it)
    assert "tdc_one_pair" not in codes(found(pairs(0.5)))


@pytest.mark.parametrize(
    ("pair", "odd"),
    [([-24.0, 24.0], False), ([-90.0, 90.0], False), ([-90.0, 91.0], True), ([24.0, -24.0], True), ([24.0, 24.0], True)],
)
def test_two_angles_on_either_side_of_tdc_are_at_most_half_a_turn_apart(pair: list[float], odd: bool) -> None:
    it = found([[-30.0, 30.0], pair, [-36.0, 36.0]])
    assert (it.tdc_check is None) is odd
    told = [each for each in it.notices if each.code == "tdc_pairs"]
    assert [each.where for each in told] == (["tdc_check.pairs[1]"] if odd else [])
    if odd:
        assert "pair 2" in told[0].text
        assert ("are the same" in told[0].text) is (pair[0] == pair[1])


@pytest.mark.parametrize(("mark", "far"), [(-19.2, False), (-19.3, True), (20.7, False), (20.8, True)])
def test_no_pointer_stands_more_than_20_degrees_off(mark: float, far: bool) -> None:
    """TDC is read at 0.75."""
    it = found(pairs(0.75), mark=mark)
    assert ("tdc_far" in codes(it)) is far
    check = check_of(it)
    assert (check.pointer_deg is None) is far
    assert (check.as_found is None) is far
    assert check.tdc_deg == pytest.approx(0.75)
    if far:
        assert (check.u_pointer_deg, check.pointer_off) == (None, None)
        assert check.text == "The pointer cannot be told from this check."


def test_a_mark_that_nobody_read_is_asked_for() -> None:
    it = found(pairs(0.5), mark=None)
    assert check_of(it).pointer_deg is None
    assert check_of(it).u_deg is not None
    assert [each.code for each in it.notices if each.where == "tdc_check.mark_deg"] == ["missing"]


@pytest.mark.parametrize(
    ("pointer", "was_set", "left", "asked"),
    [
        # Nobody sets a pointer that is right; where it is off, people are asked.
        (0.0, None, True, False),
        (0.4, None, False, True),
        (0.4, False, True, False),
        (0.4, True, False, False),
        (0.0, True, False, False),
    ],
)
def test_whether_a_check_holds_for_the_readings_as_left(pointer: float, was_set: bool | None, left: bool, asked: bool) -> None:
    more = {} if was_set is None else {"pointer_set": was_set}
    it = found(pairs(pointer), pointer, left=pointer, **more)
    check = check_of(it)
    assert check.as_found is not None
    assert (check.as_left is not None) is left
    assert ("tdc_pointer_set" in codes(it)) is asked
    for unit in it.units:
        assert unit.judged is not None
        assert unit.judged.tdc is not None
        assert (unit.judged.tdc.stage is not None) is (left or unit.stage == "as_found")


def test_nobody_is_asked_where_nothing_was_read_as_left() -> None:
    assert "tdc_pointer_set" not in codes(found(pairs(0.4), 0.4))


def test_a_pointer_that_was_set_since_is_said() -> None:
    for was_set, words in ((True, "The readings as found are judged as read."), (False, "All readings are judged as read.")):
        it = found(pairs(0.4), 0.4, pointer_set=was_set)
        (told,) = [each for each in it.notices if each.code == "pointer_off"]
        assert words in told.text
        assert "0.40° late (±" in told.text
        assert "0.40° earlier" in told.text
        assert ("Set the pointer, then read again." in told.text) is not was_set
        assert ("It was set since." in check_of(it).text) is was_set
