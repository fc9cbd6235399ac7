"""The picture and table of what is tried: hollow dots as found, filled as left, a diamond for what is only predicted."""

import json
import re

from calc import read_job
from calc.judge.what_if import Attempt, try_moves
from calc.show.what_if import answer
from tests.jobs import MAIN, tree


def attempt(**asked: dict[str, float]) -> Attempt:
    moves = {number.removeprefix("unit_"): fields for number, fields in asked.items()}
    nothing: dict[str, dict[str, float]] = {str(number): {} for number in range(1, 8)}
    return try_moves(read_job(MAIN.read_bytes()), {**nothing, **moves})


def strip_of(tried: Attempt) -> str:
    return str(answer(tried, 3)["html"]["strip"])


def test_only_what_is_moved_has_a_predicted_mark() -> None:
    assert 'class="sm-reading sm-predicted"' not in strip_of(attempt())
    moved = strip_of(attempt(unit_3={"suction_flats": -1.0}, unit_5={"cam_deg": 0.2}))
    assert moved.count('class="sm-reading sm-predicted"') == 4  # start and end of two units
    assert "Unit 3 after these moves, start:" in moved


def test_the_legend_names_the_marks_on_show_and_no_others() -> None:
    legend = re.compile(r'<p class="sm-legend">.*?</p>')
    nothing, moved = (legend.findall(strip_of(each))[0] for each in (attempt(), attempt(unit_3={"suction_flats": -1.0})))
    assert "as found" in nothing
    assert "as left" in nothing  # unit 6 of the demo was read again
    assert "predicted" not in nothing
    assert "after these moves, predicted" in moved
    job = tree(MAIN)
    job["readings"] = [each for each in job["readings"] if each["stage"] == "as_found"]
    assert "as left" not in legend.findall(strip_of(try_moves(read_job(json.dumps(job)), {})))[0]


def test_the_table_has_a_row_for_every_unit_and_the_numbers_of_the_answer() -> None:
    tried = attempt(unit_3={"suction_flats": -3.25})
    table = strip_of(tried).partition("<table")[2]
    assert table.count('<th scope="row">') == 7
    after = next(each for each in tried.units if each.read.unit == 3).after.zero_index_opening_mm
    assert after is not None
    assert f"{after:.2f} mm: warning" in table


def test_both_columns_stand_side_by_side_with_what_was_not_read() -> None:
    job = tree(MAIN)
    job["readings"] = [
        each for each in job["readings"] if each["unit"] != 3 or each["event"] not in ("zero_index", "spill_opening")
    ]
    html = str(answer(try_moves(read_job(json.dumps(job)), {}), 3)["html"]["unit"])
    assert "<td>not read</td><td>unknown</td>" in html
    assert "<td>—</td><td>—</td>" in html
    assert "read the spill valve's gauge" in html
