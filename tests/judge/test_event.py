"""One reading at a time: both ways of reading, a valve on its seat, astern, the pools, and the verdict's limits."""

import math
from typing import Any

import pytest

from calc.findings import Event
from calc.measure.conformity import symmetric_probability
from tests.invented import (
    ANGLE,
    CAM,
    LIFT,
    RATIO,
    SLOPE,
    SPILL,
    SUCTION,
    TOLERANCE,
    Tree,
    absent,
    at_lift,
    both,
    codes,
    contact,
    engine_job,
    entry,
    judged,
    notice,
    opening,
    plunger_reading,
    with_table,
)

Z95 = 1.6448536269514722  # One-sided 95 % of the normal distribution.


def start(tree: Tree, unit: int = 1, stage: str = "as_found") -> Event:
    found = entry(judged(tree), unit, stage).beginning
    assert found is not None
    return found


def end(tree: Tree, unit: int = 1, stage: str = "as_found") -> Event:
    found = entry(judged(tree), unit, stage).end
    assert found is not None
    return found


# ---------------------------------------------------------------- both ways of reading


def test_at_contact_the_means_are_the_event() -> None:
    found = start(engine_job(readings=[contact(1, SUCTION, [0.1, 0.3], [0.25, 0.35])]))
    assert found.lift_mm == pytest.approx(LIFT[SUCTION] + 0.2)
    assert found.lift_deviation_mm == pytest.approx(0.2)
    assert found.angle_deg == pytest.approx(ANGLE[SUCTION] + 0.3)
    assert found.deviation_deg == pytest.approx(0.3)
    assert found.cam_part_deg == pytest.approx(0.3 - 0.2 / SLOPE)


@pytest.mark.parametrize(("event", "sign"), [(SUCTION, 1.0), (SPILL, -1.0)])
def test_at_reference_lift_the_valve_tells_the_distance(event: str, sign: float) -> None:
    """A suction valve still open closes later; a spill valve already open has opened earlier."""
    tree = engine_job(readings=[at_lift(1, event, [0.1, 0.2], [0.05, 0.15])])
    found = start(tree) if event == SUCTION else end(tree)
    off = sign * 0.15 / RATIO[event]
    assert found.lift_deviation_mm == pytest.approx(off)
    assert found.lift_mm == pytest.approx(LIFT[event] + off)
    assert found.angle_deg == pytest.approx(ANGLE[event] + 0.1 + off / SLOPE)
    assert found.cam_part_deg == pytest.approx(0.1)


@pytest.mark.parametrize("event", [SUCTION, SPILL])
def test_with_a_table_the_travel_follows_the_cam(event: str) -> None:
    tree = with_table(engine_job(readings=[at_lift(1, event, 0.3, 0.0)]), step_deg=0.25)
    found = start(tree) if event == SUCTION else end(tree)
    travel = float(CAM.angle_at(found.lift_mm) - CAM.angle_at(LIFT[event]))
    assert found.deviation_deg == pytest.approx(travel, abs=1e-4)
    assert abs(found.deviation_deg - found.lift_deviation_mm / SLOPE) > 0.005


def test_the_tables_own_angles_never_count() -> None:
    """A table that stands 7 degrees off gives the same findings: only its shape is used."""
    readings = [contact(1, SUCTION, 0.3, 0.4), at_lift(1, SPILL, 0.2, 0.1)]
    here = with_table(engine_job(readings=readings))
    there = with_table(engine_job(readings=readings))
    there["engine"]["cam_lift_table"] = [[angle - 7.0, lift] for angle, lift in there["engine"]["cam_lift_table"]]
    for one, other in ((start(here), start(there)), (end(here), end(there))):
        assert one.deviation_deg == pytest.approx(other.deviation_deg, abs=1e-9)
        assert one.u_deg == pytest.approx(other.u_deg, rel=1e-9)


# ---------------------------------------------------------------- a valve on its seat


@pytest.mark.parametrize("readings", [[0.0], [-0.01], [0.05, 0.0], [-0.02, 0.05]], ids=str)
@pytest.mark.parametrize(
    ("event", "words"), [(SUCTION, ("suction valve closes early", "start")), (SPILL, ("spill valve opens late", "end"))]
)
def test_a_valve_on_its_seat_gives_no_number(readings: list[float], event: str, words: tuple[str, str]) -> None:
    reading = at_lift(2, event, 0.0, [0.0] * len(readings))
    reading["valve_lift_mm"] = readings
    other = SPILL if event == SUCTION else SUCTION
    found = judged(engine_job(readings=[contact(2, other), reading]))
    unit = entry(found, 2)
    judged_event, silent = (unit.end, unit.beginning) if event == SUCTION else (unit.beginning, unit.end)
    assert silent is None
    assert judged_event is not None
    assert unit.verdict == "incomplete"
    assert absent(unit.effective_stroke_mm, unit.delivery_angle_deg, unit.quantity)
    told = notice(found, "valve_on_seat")
    assert told.where == "readings[1].valve_lift_mm"
    for part in ("Unit 2, as found", words[0], "nobody knows by how much", "Read it at contact"):
        assert part in told.text
    assert words[1] in unit.text.lower()
    assert "Read it at contact" in unit.text


def test_just_above_the_seat_is_a_reading() -> None:
    reading = at_lift(1, SUCTION)
    reading["valve_lift_mm"] = [0.001]
    assert start(engine_job(readings=[reading])).lift_deviation_mm == pytest.approx((0.001 - 0.0625) / RATIO[SUCTION])


def test_a_valve_on_its_seat_is_not_pooled() -> None:
    """Neither its valve readings nor its angles."""
    seated = at_lift(2, SUCTION, 0.0, [0.0, 3.0])
    seated["valve_lift_mm"] = [0.0, 2.0]
    alone = start(engine_job(readings=[at_lift(1, SUCTION, [0.1, 0.2], [0.0, 0.1])]))
    beside = start(engine_job(readings=[at_lift(1, SUCTION, [0.1, 0.2], [0.0, 0.1]), seated]))
    assert beside.u_deg == alone.u_deg


# ---------------------------------------------------------------- astern


def test_an_astern_reading_is_kept_and_not_judged() -> None:
    readings = [contact(1, SUCTION, 0.0, 5.0, reached="astern"), contact(1, SPILL)]
    found = judged(engine_job(readings=readings))
    unit = entry(found, 1)
    assert unit.beginning is None
    assert unit.end is not None
    told = notice(found, "astern_reading")
    assert told.where == "readings[0]"
    for part in ("Unit 1, as found", "start", "reached astern", "only when reached turning ahead", "kept and not judged"):
        assert part in told.text


def test_ahead_is_judged_beside_astern() -> None:
    readings = [contact(1, SUCTION, 0.0, [5.0, 9.0], reached="astern"), contact(1, SUCTION, 0.0, [0.1, 0.2], reached="ahead")]
    assert start(engine_job(readings=readings)).deviation_deg == pytest.approx(0.15)
    alone = start(engine_job(readings=readings[1:]))
    # The astern repeats, four degrees apart, are in no pool.
    assert start(engine_job(readings=readings)).u_deg == alone.u_deg


def test_an_entry_of_astern_readings_only_is_incomplete() -> None:
    found = judged(engine_job(readings=[contact(3, SUCTION, reached="astern")]))
    assert [(unit.unit, unit.verdict) for unit in found.units] == [(3, "incomplete")]


@pytest.mark.parametrize("event", ["zero_index", "lift_off"])
def test_a_cut_out_reached_astern_is_not_judged(event: str) -> None:
    key = "valve_lift_mm" if event == "zero_index" else "clearance_mm"
    reading = {"unit": 1, "stage": "as_found", "event": event, key: [3.0], "reached": "astern"}
    found = judged(engine_job(readings=[*both(1), reading]))
    assert absent(entry(found, 1).cut_out, entry(found, 1).lift_off)
    assert notice(found, "astern_reading").where == "readings[2]"


# ---------------------------------------------------------------- doubt


def test_every_line_of_a_budget_by_hand() -> None:
    """u^2(H), u^2(event angle), u^2(P) at contact, written out for the invented instruments."""
    found = start(engine_job(readings=[contact(1, SUCTION, 0.2, 0.2)]))
    u_p2 = 2 * 0.005**2 / 12 + 0.008**2 / 3
    u_v2 = 2 * 0.002**2 / 12 + 0.003**2 / 3
    scale2, pointer2, angle2 = 0.05**2 / 12, 0.03**2, 0.02**2
    assert found.u_lift_mm == pytest.approx(math.sqrt(u_p2 + u_v2 / 0.625**2 + 0.003**2))
    assert found.u_deg == pytest.approx(math.sqrt(scale2 + pointer2 + angle2 + u_v2 / (0.625 * SLOPE) ** 2))
    slope2 = (0.15 * 0.2 / SLOPE) ** 2
    expected = math.sqrt(scale2 + pointer2 + angle2 + u_p2 / SLOPE**2 + 0.003**2 / SLOPE**2 + slope2)
    assert found.u_cam_part_deg == pytest.approx(expected)


def test_every_line_of_a_budget_by_hand_at_reference_lift() -> None:
    found = end(engine_job(readings=[at_lift(1, SPILL, 0.18, 0.2)]))
    u_p2 = 2 * 0.005**2 / 12 + 0.008**2 / 3
    u_v2 = 2 * 0.002**2 / 12 + 0.003**2 / 3
    common2 = 0.05**2 / 12 + 0.03**2 + 0.02**2
    rep2 = 0.002**2 / 1.125**2
    assert found.u_lift_mm == pytest.approx(math.sqrt(u_p2 + u_v2 / 1.125**2 + rep2))
    slope2 = (0.15 * 0.16 / SLOPE) ** 2
    assert found.u_deg == pytest.approx(math.sqrt(common2 + (u_v2 / 1.125**2 + rep2) / SLOPE**2 + slope2))
    assert found.u_cam_part_deg == pytest.approx(math.sqrt(common2 + u_p2 / SLOPE**2))


def pooled_u(tree: Tree) -> float:
    """The repeats' part of the start's angle at contact: what is left when the rest is taken out."""
    rest = 0.05**2 / 12 + 0.03**2 + (2 * 0.002**2 / 12 + 0.003**2 / 3) / (0.625 * SLOPE) ** 2
    return math.sqrt(start(tree).u_deg ** 2 - rest)


def test_single_readings_are_judged_with_the_scatter_of_the_repeats() -> None:
    """Pooled over units, events and stages, divided by the root of each group's own number."""
    repeats = [contact(2, SUCTION, 0.0, [0.0, 0.2]), contact(3, SPILL, [0.0] * 3, [0.0, 0.1, 0.2], "as_left")]
    pool = math.sqrt((0.02 + 0.02) / 3)
    for repeat_count in (1, 2, 4):
        single = contact(1, SUCTION, [0.0] * repeat_count, [0.0] * repeat_count)
        s = pool if repeat_count == 1 else math.sqrt(0.04 / (3 + repeat_count - 1))
        assert pooled_u(engine_job(readings=[single, *repeats])) == pytest.approx(s / math.sqrt(repeat_count))


def test_pools_are_kept_apart_by_way_of_reading_and_by_list() -> None:
    """Scatter at reference lift, of lifts, of valve readings and of the cut-out says nothing of an angle at contact."""
    others = [
        at_lift(2, SUCTION, [0.1, 0.2], [0.0, 2.0]),
        contact(2, SPILL, [0.0, 0.5], [0.0, 0.0]),
        opening(2, [1.5, 1.9]),
        plunger_reading(2, "base_return", [0.0, 0.5]),
        plunger_reading(2, "peak", [44.0, 44.5]),
    ]
    assert pooled_u(engine_job(readings=[contact(1, SUCTION), *others])) == 0.0
    # Without any repeat of its own kind, the stated repeatability.
    without = [each for each in others if each["event"] != SPILL]
    assert pooled_u(engine_job(readings=[contact(1, SUCTION), *without])) == pytest.approx(0.02)


def test_degrees_of_freedom_widen_the_range() -> None:
    """Two repeats know their scatter badly: t instead of 1.96."""
    few = start(engine_job(readings=[contact(1, SUCTION, [0.0, 0.0], [0.0, 0.5])]))
    stated = start(engine_job(readings=[contact(1, SUCTION)]))
    assert stated.expanded_deg / stated.u_deg == pytest.approx(1.959964, abs=1e-6)
    assert few.expanded_deg / few.u_deg == pytest.approx(12.7062, abs=1e-4)


def test_a_doubtful_index_belongs_to_the_end_only() -> None:
    """g u_I with g = (h_o - h_c + w) / I_ref, from the opening of the same unit and stage; nothing in the cam part."""

    def tree(u: float, *more: Tree) -> Tree:
        return engine_job(readings=[*both(1), *more], change=lambda job: job["reference"].update(fuel_index_u=u))

    sure, doubtful = tree(0.0, opening(1, 1.75)), tree(0.5, opening(1, 1.75))
    w = (1.75 - 0.0625) / 1.125
    index = (LIFT[SPILL] - LIFT[SUCTION] + w) / 63.0 * 0.5
    assert end(doubtful).u_lift_mm ** 2 - end(sure).u_lift_mm ** 2 == pytest.approx(index**2)
    assert end(doubtful).u_deg ** 2 - end(sure).u_deg ** 2 == pytest.approx((index / SLOPE) ** 2)
    assert end(doubtful).u_cam_part_deg == end(sure).u_cam_part_deg
    assert start(doubtful) == start(sure)
    stroke = [entry(judged(each), 1).effective_stroke_mm for each in (doubtful, sure)]
    assert stroke[0] is not None
    assert stroke[1] is not None
    assert stroke[0].u ** 2 - stroke[1].u ** 2 == pytest.approx(index**2)
    # Without the opening, nothing and a notice.
    blind = tree(0.5)
    assert end(blind).u_deg == end(sure).u_deg
    told = notice(judged(blind), "index_not_counted")
    assert told.where == "reference.fuel_index_u"
    assert "Unit 1, as found" in told.text
    assert "index_not_counted" not in codes(judged(doubtful))
    # The opening of the other stage does not count.
    assert "index_not_counted" in codes(judged(tree(0.5, opening(1, 1.75, "as_left"))))


# ---------------------------------------------------------------- verdicts


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize(
    ("guard", "verdict", "as_read"),
    [
        (-1.001, "within", "within"),
        (-0.999, "unclear", "within"),
        (-0.01, "unclear", "within"),
        (0.01, "unclear", "outside"),
        (0.999, "unclear", "outside"),
        (1.001, "outside", "outside"),
    ],
)
def test_both_sides_of_each_guard_band(sign: float, guard: float, verdict: str, as_read: str) -> None:
    """1.645 u inside and outside the tolerance."""
    u = start(engine_job(readings=[contact(1, SUCTION)])).u_deg
    found = start(engine_job(readings=[contact(1, SUCTION, 0.0, sign * (TOLERANCE + guard * Z95 * u))]))
    assert (found.verdict, found.as_read) == (verdict, as_read)


def test_at_the_limit_as_read() -> None:
    at, beyond = (start(engine_job(readings=[contact(1, SUCTION, 0.0, off)])) for off in (0.5, 0.5 + 1e-6))
    assert (at.as_read, beyond.as_read) == ("within", "outside")
    assert at.probability_within == pytest.approx(0.5, abs=1e-6)


def coarse(tree: Tree, **instruments: Any) -> Tree:
    tree["instruments"]["angle_scale"] |= instruments
    return tree


def test_instruments_that_can_never_prove_it() -> None:
    """T / u below 1.96: even a perfect reading is unclear, and a reading outside is not proven outside by its smallness."""
    tree = coarse(engine_job(readings=[contact(1, SUCTION)]), step_deg=1.0)
    found = judged(tree)
    assert start(tree).verdict == "unclear"
    told = notice(found, "instruments_too_coarse")
    assert told.where == "instruments"
    for words in ("unit 1, as found", "start", "however often you", "They can never prove ±0.5°"):
        assert words in told.text.replace("Unit", "unit")
    assert "can never be proven" in (start(tree).settle or "")
    assert "flywheel scale that is read to a finer step" in (start(tree).settle or "")
    fine = coarse(engine_job(readings=[contact(1, SUCTION)]), step_deg=0.8)
    assert "instruments_too_coarse" not in codes(judged(fine))


def test_a_huge_doubt_does_not_prove_a_reading_outside() -> None:
    """Every probability is small where u is huge; `outside` needs the reading outside as well."""
    tree = coarse(engine_job(readings=[contact(1, SUCTION, 0.0, 0.25)]), step_deg=10.0)
    tree["instruments"]["pointer_u_deg"] = 10
    found = start(tree)
    assert found.probability_within < 0.05
    assert found.verdict == "unclear"


@pytest.mark.parametrize(
    ("off", "instruments", "words"),
    [
        (0.44, {"repeatability_deg": 0.06}, "readings in all would settle it, if they agree with these"),
        (0.5, {}, "The reading lies at the limit itself"),
        (0.48, {}, "More readings alone do not settle it"),
        (0.48, {}, "What helps most is a better TDC check of the flywheel pointer"),
        (0.47, {"step_deg": 0.2}, "What helps most is a flywheel scale that is read to a finer step"),
        (0.0, {"step_deg": 1.2}, "can never be proven"),
    ],
)
def test_what_would_settle_it(off: float, instruments: dict[str, float], words: str) -> None:
    found = start(coarse(engine_job(readings=[contact(1, SUCTION, 0.0, off)]), **instruments))
    assert found.verdict == "unclear"
    assert words in (found.settle or "")


def test_the_number_of_repeats_that_would_settle_it_does() -> None:
    """With that many readings that agree the probability reaches 95 %; with one fewer it does not."""
    tree = coarse(engine_job(readings=[contact(1, SUCTION, 0.0, 0.42)]), repeatability_deg=0.06)
    found = start(tree)
    asked = int((found.settle or "").split()[0])
    fixed = found.u_deg**2 - 0.06**2

    def probability(count: int) -> float:
        return symmetric_probability(0.42, math.sqrt(fixed + 0.06**2 / count), TOLERANCE)

    assert probability(asked) >= 0.95 > probability(asked - 1)
