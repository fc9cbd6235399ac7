"""The numbers of the pages that explain the pump, computed a second time by other means from the demo's job alone."""

import json
import re
from typing import Any

import pytest
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq
from scipy.stats import norm, t

from calc.show.principles import parts
from calc.show.principles.example import example_of
from tests.jobs import MAIN, tree

UNIT = 1
PARTS = parts(MAIN.read_text("utf-8"), UNIT)
JOB: dict[str, Any] = tree()
REFERENCE = next(each for each in JOB["reference"]["units"] if each["unit"] == UNIT)
START_MM, END_MM = REFERENCE["pre_stroke_mm"], REFERENCE["spill_lift_mm"]
TABLE = PchipInterpolator(*zip(*JOB["engine"]["cam_lift_table"], strict=True))


def table_angle(lift_mm: float) -> float:
    return float(brentq(lambda angle: TABLE(angle) - lift_mm, TABLE.x[0], TABLE.x[-1]))


def rows(name: str) -> list[list[str]]:
    """The cells of a part's only table, its head left out."""
    lines = [line for line in PARTS[name].splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def numbers(text: str) -> list[float]:
    return [float(each.replace("−", "-")) for each in re.findall(r"[−+]?\d+(?:\.\d+)?", text)]


@pytest.mark.parametrize("name", list(PARTS))
def test_every_part_says_something_and_has_no_hole(name: str) -> None:
    assert len(PARTS[name]) > 80
    assert not re.search(r"\b(nan|inf|None)\b|−0\.0+\b", PARTS[name])


def test_pictures_have_a_name_and_say_what_they_show() -> None:
    drawn = [part for part in PARTS.values() if "<svg" in part]
    assert len(drawn) >= 8
    for part in drawn:
        assert re.search(r'role="img" aria-label="[^"]{10,}"', part)
        assert re.search(r"<desc>.{30,}</desc>", part)
        assert "<figcaption>" in part


def test_slopes_and_travels_are_those_of_the_lift_table() -> None:
    found = rows("slope")
    assert len(found) == 4
    for where, _, slope, travel in found:
        lift = numbers(where)[0]
        angle = table_angle(lift)
        assert numbers(slope)[0] == pytest.approx(float(TABLE.derivative()(angle)), abs=0.006)
        assert numbers(travel)[0] == pytest.approx(table_angle(lift + 0.1) - angle, abs=0.006)


def test_a_rod_and_a_cam_show_what_they_should() -> None:
    found = {row[0]: row[1:] for row in rows("same-angle-two-causes")}
    start = table_angle(START_MM)
    late = float(TABLE(start + 0.3)) - START_MM
    assert [numbers(cell)[0] for cell in found["Lift deviation *D*"]] == [pytest.approx(late, abs=0.006), 0.0]
    assert [numbers(cell)[0] for cell in found["Cam part *P* = *A* − travel"]] == [0.0, 0.3]


def test_a_flat_moves_start_stroke_and_opening_as_geometry_says() -> None:
    flat = JOB["engine"]["rod_pitch_mm"] / 6.0
    lift = flat / JOB["engine"]["valve_ratio_suction"]
    turn = table_angle(START_MM + lift) - table_angle(START_MM)
    name, start, end, stroke, opening = rows("what-each-moves")[0]
    assert name == "Suction rod 1 flat longer"
    assert [*numbers(start), *numbers(end)] == pytest.approx([turn, 0.0], abs=0.006)
    assert numbers(stroke) == pytest.approx([-lift, -100.0 * lift / (END_MM - START_MM)], abs=0.06)
    assert numbers(opening)[0] == pytest.approx(JOB["engine"]["valve_ratio_spill"] * lift, abs=0.006)


def test_the_index_moves_the_end_alone_down_to_nothing() -> None:
    readings = next(each for each in JOB["readings"] if each["unit"] == UNIT and each["event"] == "zero_index")["valve_lift_mm"]
    opening = sum(readings) / len(readings)
    w = (opening - JOB["reference"]["seat_contact_mm"]) / JOB["engine"]["valve_ratio_spill"]
    reference = JOB["reference"]["fuel_index"]
    found = rows("fuel-index")
    assert [numbers(row[0])[0] for row in (found[0], found[-1])] == [reference, 0.0]
    for index, start, end, *_ in found:
        assert numbers(start)[0] == START_MM
        share = numbers(index)[0] / reference
        assert numbers(end)[0] == pytest.approx(START_MM - w + share * (END_MM - START_MM + w), abs=0.006)
    zero = reference * w / (END_MM - START_MM + w)
    assert f"nothing is delivered up to index {zero:.2f}" in PARTS["fuel-index"]


def test_probabilities_are_those_of_the_normal_distribution() -> None:
    tolerance = JOB["reference"]["angle_tolerance_deg"]
    for u, _, inside, verdict, most in rows("probability"):
        scale = numbers(u)[0]
        expected = norm.cdf((tolerance - 0.3) / scale) - norm.cdf((-tolerance - 0.3) / scale)
        assert numbers(inside)[0] == pytest.approx(100.0 * expected, abs=0.06)
        assert (verdict == "within") == (expected >= 0.95)
        if most != "nothing at all":
            edge = numbers(most)[0]
            assert norm.cdf((tolerance - edge) / scale) - norm.cdf((-tolerance - edge) / scale) == pytest.approx(0.95, abs=0.02)
    assert [numbers(row[2])[0] for row in rows("few-readings")[:-1]] == pytest.approx(
        [t.ppf(0.975, n - 1) for n in (2, 3, 4, 6, 11, 31, 101)], abs=0.006
    )


def test_the_table_of_the_normal_distribution_serves_the_questions() -> None:
    """Each value is right, and going in proportion between two of them gives a percentage to a tenth."""
    values: dict[float, float] = {}
    for head, first, second in rows("normal"):
        start = numbers(head)[0]
        values |= {round(start, 1): numbers(first)[0], round(start + 0.1, 1): numbers(second)[0]}
    assert list(values) == pytest.approx([j / 10.0 for j in range(32)])
    for z, percent in values.items():
        assert percent == pytest.approx(100.0 * norm.cdf(z), abs=0.0051)
        between = (percent + values.get(round(z + 0.1, 1), 100.0)) / 2.0
        assert between == pytest.approx(100.0 * norm.cdf(z + 0.05), abs=0.05)


def test_a_half_degree_scale_leaves_as_little_as_the_page_says() -> None:
    given = example_of(MAIN.read_text("utf-8"), UNIT)
    terms = given.judged.events["suction_closing"].budgets.angle
    rest = sum(term.u**2 for term in terms if term.name != "flywheel scale") ** 0.5
    most, alone = 0.3 / norm.ppf(0.975), 0.5 / 12**0.5
    said = PARTS["half-degree"]
    for value in (most, alone, (most**2 - alone**2) ** 0.5, rest):
        assert f"{value:.3f}°" in said
    # The nearest half degree to this unit's reference angle is not near enough.
    off = abs(round(2.0 * REFERENCE["beginning_deg"]) / 2.0 - REFERENCE["beginning_deg"])
    u = (alone**2 + rest**2) ** 0.5
    sure = norm.cdf((0.3 - off) / u) - norm.cdf((-0.3 - off) / u)
    assert sure < 0.95
    assert f"the probability is {100.0 * sure:.1f} %: too close to tell" in said
    assert {row[0]: row[3] for row in rows("scales")}["1°"] == "nothing at all"


def test_an_example_without_a_lift_table_is_refused() -> None:
    job = tree()
    del job["engine"]["cam_lift_table"]
    with pytest.raises(ValueError, match="lift table"):
        parts(json.dumps(job), UNIT)
