"""CSV of readings and findings: read back as it was, and nothing in it that a spreadsheet would run."""

import csv
import io
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import assess, read_job
from calc.job.describe import RECORDS, TABLE, fields_of
from calc.job.model import Job
from calc.show.sheet import BYTE_ORDER_MARK, cell, findings_csv, readings_csv, table_csv, table_names
from tests.invented import Tree, both, engine_job, judged
from tests.job.trees import job_trees
from tests.jobs import DEMO_FILES, tree

FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠")


def rows_of(text: str) -> list[dict[str, str]]:
    assert text.startswith(BYTE_ORDER_MARK)
    return list(csv.DictReader(io.StringIO(text[1:], newline=""), strict=True))


def is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def assert_inert(text: str) -> None:
    for row in csv.reader(io.StringIO(text[1:], newline=""), strict=True):
        for each in row:
            assert not each.startswith(FORMULA) or is_number(each), each


@given(st.one_of(st.text(), st.sampled_from(FORMULA).flatmap(lambda sign: st.text().map(lambda rest: sign + rest))))
def test_no_text_is_taken_for_a_formula(text: str) -> None:
    shown = cell(text)
    assert not shown.startswith(FORMULA)
    assert shown in (text, f"'{text}")


@given(st.one_of(st.floats(allow_nan=False, allow_infinity=False), st.integers(-(10**12), 10**12)))
def test_a_number_stays_the_number_that_it_is(number: float) -> None:
    assert float(cell(number)) == number
    assert "," not in cell(number)


@given(job_trees(max_units=3))
def test_every_reading_comes_back(job_tree: Tree) -> None:
    text = readings_csv(read_job(json.dumps(job_tree)))
    assert_inert(text)
    rows = rows_of(text)
    by_entry: dict[int, list[dict[str, str]]] = {}
    for row in rows:
        by_entry.setdefault(int(row["entry"]) - 1, []).append(row)
    readings: list[Any] = job_tree.get("readings", [])
    assert sorted(by_entry) == list(range(len(readings)))
    heads = {
        "plunger_lift_mm": "plunger_lift_mm [mm]",
        "valve_lift_mm": "valve_lift_mm [mm]",
        "crank_angle_deg": "crank_angle_deg [°]",
        "clearance_mm": "clearance_mm [mm]",
    }
    for j, reading in enumerate(readings):
        for name, head in heads.items():
            shown = [float(row[head]) for row in by_entry[j] if row[head]]
            assert shown == reading.get(name, [])
        assert {row["unit"] for row in by_entry[j]} == {str(reading["unit"])}
        assert {row["gauges"] for row in by_entry[j]} == {cell(reading.get("gauges"))}


@given(job_trees(max_units=3))
def test_findings_are_those_of_assess(job_tree: Tree) -> None:
    found = judged(job_tree)
    text = findings_csv(found)
    assert_inert(text)
    rows = rows_of(text)
    assert [(int(row["unit"]), row["stage"], row["verdict"]) for row in rows] == [
        (unit.unit, unit.stage, unit.verdict) for unit in found.units
    ]
    for row, unit in zip(rows, found.units, strict=True):
        for name, event in (("beginning", unit.beginning), ("end", unit.end)):
            shown = row[f"{name}.deviation_deg [°]"]
            assert shown == "" if event is None else float(shown) == event.deviation_deg
        assert row["causes"] == "; ".join(each.code for each in unit.causes)
        assert row["corrections"] == "; ".join(each.part for each in unit.corrections)
        if unit.own_cam_part_deg is not None:
            assert float(row["own_cam_part_deg.value [°]"]) == unit.own_cam_part_deg.value


@given(job_trees(max_units=3))
def test_every_entry_of_the_other_lists_comes_back(job_tree: Tree) -> None:
    job = read_job(json.dumps(job_tree))
    for name in table_names():
        text = table_csv(job, name)
        assert_inert(text)
        rows = rows_of(text)
        entries: list[Any] = [line for each in job_tree.get(name, []) for line in lines_of(each, name)]
        assert len(rows) == len(entries)
        for row, entry in zip(rows, entries, strict=True):
            shown = {head.split(" [")[0]: value for head, value in row.items()}
            for key, value in shown.items():
                given_value = entry.get(key)
                same = float(value) == given_value if isinstance(given_value, float) else value == cell(given_value)
                assert same, (name, key)
            assert {key for key in entry if key.partition(".")[0] in {field.name for field in described(name)}} <= set(shown)


def lines_of(entry: Tree, name: str) -> list[Tree]:
    """An entry as the table tells it: a line for each row of a table in it."""
    table = next((field for field in described(name) if field.kind == TABLE), None)
    if table is None or table.name not in entry:
        return [entry]
    rest = {key: value for key, value in entry.items() if key != table.name}
    heads = [f"{table.name}.{column.name}" for column in table.columns]
    return [{**rest, **dict(zip(heads, row, strict=True))} for row in entry[table.name]]


def described(name: str) -> Any:
    listed = next(field for field in fields_of(Job) if field.name == name)
    assert listed.record is not None
    return fields_of(listed.record)


def test_every_list_of_a_job_is_a_table() -> None:
    assert {"readings", *table_names()} == {field.name for field in fields_of(Job) if field.kind == RECORDS}
    assert {"positions", "inspections", "adjustments", "service"} <= set(table_names())


def test_a_formula_in_a_note_is_shown_and_not_run() -> None:
    job_tree = engine_job(readings=both(1))
    job_tree["readings"][0]["gauges"] = '=HYPERLINK("x","y")'
    job_tree["positions"] = [{"item": "tools", "as_found": "=1+1"}]
    job = read_job(json.dumps(job_tree))
    assert rows_of(readings_csv(job))[0]["gauges"] == '\'=HYPERLINK("x","y")'
    assert rows_of(table_csv(job, "positions"))[0]["as_found"] == "'=1+1"


@pytest.mark.parametrize("path", DEMO_FILES, ids=lambda path: path.stem)
def test_lines_end_as_rfc_4180_says(path: Any) -> None:
    job = read_job(json.dumps(tree(path)))
    for text in (readings_csv(job), findings_csv(assess(job)), *(table_csv(job, name) for name in table_names())):
        assert text.endswith("\r\n")
        assert text.count("\n") == text.count("\r\n")
        lengths = {len(row) for row in csv.reader(io.StringIO(text[1:], newline=""), strict=True)}
        assert len(lengths) == 1
