"""Spill lifts at several indices, by hand: where delivery ends by the line and by the opening, and the balance at low load."""

from math import sqrt
from typing import Any

import pytest

from calc.findings import Findings, IndexLine
from tests.invented import LIFT, RATIO, SEAT, SLOPE, SPILL, SUCTION, TOLERANCE, Tree, both, contact, engine_job, judged, opening

INDEX = 63.0
GAUGE = 2.0 * 0.005**2 / 12.0 + 0.008**2 / 3.0
VALVE = 2.0 * 0.002**2 / 12.0 + 0.003**2 / 3.0
U_START = sqrt(GAUGE + 0.003**2 + VALVE / RATIO[SUCTION] ** 2)
U_END = sqrt(GAUGE + 0.003**2 + VALVE / RATIO[SPILL] ** 2)
U_CONTACT = sqrt(VALVE) / RATIO[SPILL]
# 0.3 mm a step through 9.5 mm at index 3.
LINE = [(13.0, 12.5), (33.0, 18.5), (63.0, 27.5)]


def found(
    points: dict[int, list[tuple[float, float]]], readings: list[Tree] | None = None, stage: str = "as_found"
) -> Findings:
    read = [each for unit in points for each in both(unit)] if readings is None else readings
    lines = [{"unit": unit, "stage": "as_found", "points": [list(each) for each in own]} for unit, own in points.items()]
    return judged(engine_job(readings=read, change=lambda tree: tree.update(index_readings=lines)))


def line_of(it: Findings, unit: int = 1) -> IndexLine:
    line = next(each for each in it.units if each.unit == unit).index_line
    assert line is not None
    return line


def notices(it: Findings) -> list[tuple[str, str]]:
    return [(each.code, each.where) for each in it.notices if each.where.startswith("index_readings")]


def test_a_line_by_hand() -> None:
    line = line_of(found({1: LINE}))
    assert line.mm_per_index == pytest.approx(0.3)
    assert line.zero_index == pytest.approx(3.0)
    # No scatter about the line: what is left is the start, and the spill valve's contact.
    assert line.u_zero_index == pytest.approx(sqrt(U_START**2 + U_CONTACT**2) / 0.3)
    assert (line.by_opening, line.u_by_opening, line.differ) == (None, None, None)
    assert line.u_zero_index is not None
    assert line.text == (
        f"By the line over the index, nothing is delivered below index 3.00 (±{1.96 * line.u_zero_index:.2f})."
    )
    assert notices(found({1: LINE})) == []


def test_scatter_about_the_line_is_in_its_doubt() -> None:
    """Off by 0.02, -0.04, 0.02 at indices 10 apart: s^2 = 0.0024 with one degree of freedom."""
    points = [(13.0, 12.52), (23.0, 15.46), (33.0, 18.52)]
    line = line_of(found({1: points}))
    assert line.mm_per_index == pytest.approx(0.3)
    zero = (LIFT[SUCTION] - (12.5 + 15.5 + 18.5) / 3.0) / 0.3 + 23.0
    assert line.zero_index == pytest.approx(zero)
    scatter = sqrt(0.0024 * (1.0 / 3.0 + (zero - 23.0) ** 2 / 200.0))
    assert line.u_zero_index == pytest.approx(sqrt(scatter**2 + U_START**2 + U_CONTACT**2) / 0.3)


@pytest.mark.parametrize(
    ("points", "code", "words"),
    [
        ([(13.0, 12.5), (63.0, 12.5)], "index_tells_nothing", "does not rise"),
        ([(13.0, 12.5), (63.0, 11.5)], "index_tells_nothing", "does not rise"),
        ([(13.0, 12.5), (13.0, 12.6)], "index_tells_nothing", "all readings are at one index"),
        ([(13.0, 12.5)], "index_tells_nothing", "all readings are at one index"),
        ([(13.0, 12.5), (63.0, 12.5 + 1e-7)], "index_tells_nothing", "does not rise"),
        ([(13.0, 12.5), (63.0, 27.5)], "index_two_readings", "two readings have no scatter"),
    ],
)
def test_readings_that_tell_little_or_nothing(points: list[tuple[float, float]], code: str, words: str) -> None:
    it = found({1: points})
    assert notices(it) == [(code, "index_readings[0].points")]
    assert words in next(each.text for each in it.notices if each.code == code)
    line = next(each for each in it.units if each.unit == 1).index_line
    assert (line is None) is (code == "index_tells_nothing")
    if line is not None:
        assert line.u_zero_index is None
        assert line.zero_index == pytest.approx(3.0)


@pytest.mark.parametrize("readings", [[contact(1, SPILL)], both(2), both(1, stage="as_left")])
def test_without_a_start_in_that_stage_nobody_knows_where_delivery_ends(readings: list[Tree]) -> None:
    it = found({1: LINE}, readings)
    assert notices(it) == [("index_without_start", "index_readings[0].points")]
    assert all(each.index_line is None for each in it.units)


def with_opening(valve: float, points: list[tuple[float, float]] = LINE) -> Findings:
    return found({1: points}, [*both(1), opening(1, [valve, valve])])


def test_the_opening_at_index_0_tells_it_too() -> None:
    """w = (z - s) / i_o = 1 mm beyond a stroke of 17.75 mm: the index falls to 63 / 18.75."""
    line = line_of(with_opening(SEAT + RATIO[SPILL]))
    assert line.by_opening == pytest.approx(63.0 / 18.75)
    # Two readings of the opening that agree, pooled with nothing else: no scatter. Both valves' gauges count.
    u_w = sqrt(VALVE * (1.0 + (RATIO[SPILL] / RATIO[SUCTION]) ** 2)) / RATIO[SPILL]
    u_stroke = sqrt(U_START**2 + U_END**2 - GAUGE)
    expected = 63.0 / 18.75**2 * sqrt((17.75 * u_w) ** 2 + u_stroke**2)
    assert line.u_by_opening == pytest.approx(expected)
    assert f"By the opening at index 0 it is 3.36 (±{1.96 * expected:.2f})" in line.text


def test_the_scatter_of_the_opening_counts() -> None:
    """0.02 mm apart: s = 0.0141, of the mean of two 0.01."""
    read = [*both(1), opening(1, [SEAT + RATIO[SPILL] - 0.01, SEAT + RATIO[SPILL] + 0.01])]
    u_w = sqrt(VALVE * (1.0 + (RATIO[SPILL] / RATIO[SUCTION]) ** 2) + 0.01**2) / RATIO[SPILL]
    u_stroke = sqrt(U_START**2 + U_END**2 - GAUGE)
    expected = 63.0 / 18.75**2 * sqrt((17.75 * u_w) ** 2 + u_stroke**2)
    assert line_of(found({1: LINE}, read)).u_by_opening == pytest.approx(expected)


def test_the_two_differ_by_the_test_of_a_cause() -> None:
    """Beyond three uncertainties and a third of the tolerance: 0.3 mm a step at the secant's slope."""
    by_opening = 63.0 / 18.75
    limit = TOLERANCE / 3.0 * SLOPE / 0.3
    for off, differ in ((1.01 * limit, True), (0.99 * limit, False), (-1.01 * limit, True), (-0.99 * limit, False)):
        zero = by_opening + off
        points = [(index, LIFT[SUCTION] + 0.3 * (index - zero)) for index in (13.0, 33.0, 63.0)]
        line = line_of(with_opening(SEAT + RATIO[SPILL], points))
        assert line.differ is differ
        assert ("they differ" in line.text) is differ
        assert ("they agree" in line.text) is not differ


@pytest.mark.parametrize("valve", [0.0, -0.02])
def test_an_opening_on_its_seat_tells_no_index(valve: float) -> None:
    line = line_of(with_opening(valve))
    assert (line.by_opening, line.u_by_opening, line.differ) == (None, None, None)


def test_without_a_stroke_the_opening_tells_no_index() -> None:
    line = line_of(found({1: LINE}, [contact(1, SUCTION), opening(1, SEAT + RATIO[SPILL])]))
    assert line.by_opening is None


def test_two_readings_and_an_opening_are_not_held_against_each_other() -> None:
    line = line_of(with_opening(SEAT + RATIO[SPILL], [(13.0, 12.5), (63.0, 27.5)]))
    assert line.by_opening == pytest.approx(63.0 / 18.75)
    assert line.differ is None
    assert "they" not in line.text


# ---------------------------------------------------------------- the balance at low load


def shifted(points: list[tuple[float, float]], by: float) -> list[tuple[float, float]]:
    return [(index, lift + by) for index, lift in points]


def test_balance_at_the_lowest_index_that_all_were_read_down_to() -> None:
    """At index 20 the strokes are 5.1 and 5.7 mm, 5.5556 % below and above their mean of 5.4."""
    it = found({1: LINE, 2: shifted([(20.0, 14.6), (33.0, 18.5), (63.0, 27.5)], 0.6)})
    one, other = line_of(it, 1), line_of(it, 2)
    assert (one.low_index, other.low_index) == (20.0, 20.0)
    assert one.low_imbalance_percent == pytest.approx(-100.0 * 0.3 / 5.4)
    assert other.low_imbalance_percent == pytest.approx(100.0 * 0.3 / 5.4)
    # No scatter about either line: start and contact, each unit with half of its own and half of the other's.
    u = sqrt(U_START**2 + U_CONTACT**2)
    assert one.u_low_imbalance_percent == pytest.approx(100.0 / 5.4 * u / sqrt(2.0))
    said = "At index 20, the lowest that all units were read down to, it delivers 5.6 % less than the mean"
    assert one.text.endswith(f"{said} (±{1.96 * 100.0 / 5.4 * u / sqrt(2.0):.1f} %).")
    assert "5.6 % more than the mean" in other.text


def test_scatter_about_a_line_is_in_the_doubt_of_the_balance() -> None:
    points = [(13.0, 12.52), (23.0, 15.46), (33.0, 18.52)]
    it = found({1: points, 2: LINE})
    one, other = line_of(it, 1), line_of(it, 2)
    plain = U_START**2 + U_CONTACT**2
    # At index 13, 10 below the middle of the first line.
    own = plain + 0.0024 * (1.0 / 3.0 + 100.0 / 200.0)
    assert one.low_index == 13.0
    assert one.u_low_imbalance_percent == pytest.approx(100.0 / 3.0 * 0.5 * sqrt(own + plain))
    assert other.u_low_imbalance_percent == pytest.approx(one.u_low_imbalance_percent)


def test_a_line_of_two_readings_leaves_the_balance_without_its_doubt() -> None:
    it = found({1: LINE, 2: [(13.0, 13.1), (63.0, 28.1)]})
    for unit in (1, 2):
        assert line_of(it, unit).low_imbalance_percent is not None
        assert line_of(it, unit).u_low_imbalance_percent is None


@pytest.mark.parametrize(
    "others",
    [
        {},
        # No index that both were read at: none reaches further down than its readings.
        {2: [(70.0, 29.6), (75.0, 31.1), (80.0, 32.6)]},
    ],
)
def test_no_balance(others: dict[int, Any]) -> None:
    line = line_of(found({1: LINE, **others}))
    assert (line.low_index, line.low_imbalance_percent, line.u_low_imbalance_percent) == (None, None, None)


def test_no_balance_where_nothing_is_delivered() -> None:
    low = [(1.0, 8.9), (2.0, 9.2), (3.0, 9.5)]
    assert line_of(found({1: low, 2: low})).low_index is None
    assert line_of(found({1: low, 2: LINE})).low_index is None


def test_units_that_end_where_others_begin_share_that_index() -> None:
    it = found({1: LINE, 2: [(63.0, 28.1), (70.0, 30.2), (75.0, 31.7)]})
    assert line_of(it, 1).low_index == 63.0


def test_each_stage_has_its_own_balance() -> None:
    read = [*both(1), *both(2, stage="as_left")]
    lines = [
        {"unit": unit, "stage": stage, "points": [list(each) for each in LINE]}
        for unit, stage in ((1, "as_found"), (2, "as_left"))
    ]
    it = judged(engine_job(readings=read, change=lambda tree: tree.update(index_readings=lines)))
    for unit in (1, 2):
        assert line_of(it, unit).zero_index == pytest.approx(3.0)
        assert line_of(it, unit).low_index is None
