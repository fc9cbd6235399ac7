"""The form and the job file: each can be made from the other, and nothing typed is ever lost."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.job.describe import RECORD, RECORDS, TEXTS, Field, walk
from calc.job.entry import EntryError, understand
from calc.job.form import compose, describe_form, form_fields, spread, tables_of
from calc.job.model import EVENTS, STAGES, Job
from calc.job.read import examine
from tests.invented import SPILL, SUCTION, both, contact, engine_job, opening, with_table
from tests.job.trees import Tree, job_trees

FIELDS = dict(form_fields())
FIXED = {"format", "version", "drafts", "demo", "written_by"}  # Not typed by people.
UNIT_FIELDS = tables_of()["reference.units"].fields
READING_FIELDS = tables_of()["readings"].fields


def field_behind(key: str) -> Field | None:
    """The field that a form key stands for."""
    if key in FIELDS:
        return FIELDS[key]
    table = tables_of().get(key.partition("/")[0])
    return table.fields[key.rpartition("/")[2]] if table and table.row_of(key) else None


# ---------------------------------------------------------------- file to form and back


@given(job_trees())
def test_a_job_goes_through_the_form(tree: Tree) -> None:
    composed = compose(spread(tree), tree)
    assert composed.slips == {}
    assert composed.tree == tree


def test_an_opened_job_keeps_the_order_of_its_readings() -> None:
    readings = [opening(3, 1.7), *both(2), contact(1, SPILL), contact(1, SUCTION)]
    tree = with_table(engine_job(readings=readings))
    texts = spread(tree)
    composed = compose(texts, tree)
    assert composed.tree["readings"] == tree["readings"]
    # A row that is typed afterwards stands behind them.
    texts["readings/1/as_found/zero_index/ahead/valve_lift_mm"] = "1.5"
    added = compose(texts, tree).tree["readings"]
    assert added[:-1] == tree["readings"]
    assert added[-1] == {"unit": 1, "stage": "as_found", "event": "zero_index", "valve_lift_mm": [1.5]}


def test_a_blank_form_is_an_empty_job() -> None:
    assert spread({}) == {}
    composed = compose({})
    assert composed.tree == {"format": "spillmark-job", "version": 1}
    assert compose({"title": "  ", "engine.units": ""}).tree == composed.tree


def test_what_the_form_does_not_show_comes_back_from_the_opened_file() -> None:
    tree = engine_job(readings=both(1))
    tree["reference"]["units"][2]["x-note"] = "kept"
    tree["readings"][1]["x-note"] = {"kept": True}
    tree["engine"]["x-note"] = [1]
    tree["x-note"] = None
    assert compose(spread(tree), tree).tree == tree


@pytest.mark.parametrize(
    "broken",
    [
        {"engine": {"units": "six", "firing_order": [1, "x"], "rod_lengthening_opens": 1}},
        {"reference": {"units": [{"unit": 1, "pre_stroke_mm": "9,5"}, {"unit": 1, "pre_stroke_mm": 4}, "x"]}},
        {"readings": [{"unit": 2, "plunger_lift_mm": [1]}, contact(1, SUCTION), contact(1, SUCTION, 1.0)]},
        {"readings": [{**contact(1, SUCTION), "plunger_lift_mm": [9.5, None]}]},
        {"reference": {"units": [{"pre_stroke_mm": 5}]}},
        {"title": 5, "fuel": {"temperature_c": None}, "instruments": []},
        {"drafts": {"engine.speed_rpm": "fast", "no such key": "text"}},
    ],
    ids=["wrong kinds", "settings twice", "readings twice", "a hole in the repeats", "no unit", "wrong parts", "drafts"],
)
def test_a_broken_job_is_spread_without_loss(broken: Tree) -> None:
    """Every leaf of the file is in some text of the form, and the form that holds them gives a file again."""
    texts = spread(broken)
    shown = "\n".join([*texts, *texts.values()])
    for leaf in leaves(broken):
        assert str(leaf) in shown or json.dumps(leaf) in shown, leaf
    again = compose(texts, broken)
    assert (
        spread(again.tree).items() >= {key: text for key, text in texts.items() if key in again.tree.get("drafts", {})}.items()
    )


def leaves(tree: Any) -> list[Any]:
    if isinstance(tree, dict):
        return [leaf for each in tree.values() for leaf in leaves(each)]
    if isinstance(tree, list):
        return [leaf for each in tree for leaf in leaves(each)]
    return [] if tree is None else [tree]


# ---------------------------------------------------------------- nothing typed is lost

TEXTS_TYPED = [
    *["12.31", "12,31 12.30", "−3", "4.5 before", "after 3", "TDC", "5 mm", "5 kg", "131 rpm", "1,234", "1e999", "abc"],
    *["yes", "no", "true", "null", "single", "one thread", "left_right", "at contact", "at_reference_lift", "1 3 5 2 4"],
    *["0 0\n10 5", "0 0\n10", "  7  ", "½", "0", "-0", "2.5", "1e3", "a\nb", "{}", "9" * 400, "12.3.4"],
]

form_keys = st.one_of(
    st.sampled_from(list(FIELDS)),
    st.builds(
        "reference.units/{}/{}".format, st.sampled_from([1, 2, 7, 24, 0, "x"]), st.sampled_from([*UNIT_FIELDS, "nothing"])
    ),
    st.builds(
        "readings/{}/{}/{}/{}/{}".format,
        st.sampled_from([1, 3, "x"]),
        st.sampled_from([*STAGES, "later"]),
        st.sampled_from([*EVENTS, "other"]),
        st.sampled_from(["ahead", "astern"]),
        st.sampled_from([*READING_FIELDS, "nothing"]),
    ),
    st.sampled_from(
        ["", "no such key", "engine", "engine.nothing", "format", "version", "drafts", "readings/1", "reference.units"]
    ),
)


@given(st.dictionaries(form_keys, st.sampled_from(TEXTS_TYPED), max_size=12))
def test_nothing_typed_is_lost(texts: dict[str, str]) -> None:
    """Every text is a value of the job that means the same, or stands under `drafts` as it was typed."""
    composed = compose(texts)
    drafts = composed.tree.get("drafts", {})
    again = spread(composed.tree)
    for key, text in texts.items():
        assert key in again, key
        if key in drafts:
            assert drafts[key] == again[key] == text
            continue
        field = field_behind(key)
        assert field is not None, key
        assert understand(field, again[key]) == understand(field, text)
    assert set(again) == set(texts)
    assert compose(again).tree == composed.tree


@given(st.dictionaries(form_keys, st.sampled_from(TEXTS_TYPED), max_size=12))
def test_slips_are_told_at_their_field(texts: dict[str, str]) -> None:
    composed = compose(texts)
    for key, words in composed.slips.items():
        assert key in composed.tree["drafts"]
        assert words.endswith(".")
        assert "“" in words or "Line" in words or "found" in words
        assert "{" not in words.replace(texts[key], "")
    for key, words in composed.echoes.items():
        assert key not in composed.slips
        assert words


@given(job_trees())
def test_every_path_of_a_composed_job_leads_to_a_key(tree: Tree) -> None:
    texts = spread(tree)
    composed = compose(texts, tree)
    for path in paths(composed.tree):
        key = composed.key_of(path)
        if path.split(".")[0] in FIXED or ".x-" in f".{path}":
            continue
        assert key is not None, path


def paths(tree: Any, at: str = "") -> list[str]:
    if isinstance(tree, dict):
        return [each for key, inner in tree.items() for each in paths(inner, f"{at}.{key}" if at else key)]
    if isinstance(tree, list) and tree and isinstance(tree[0], dict):
        return [each for i, inner in enumerate(tree) for each in paths(inner, f"{at}[{i}]")]
    return [at]


PROBLEMS = [
    ("engine.speed_rpm", "5000"),
    ("reference.angle_tolerance_deg", "0"),
    ("instruments.plunger_gauge.step_mm", "11"),
    ("reference.units/2/pre_stroke_mm", "-4"),
    ("reference.units/5/end_deg", "200 after"),
    ("readings/1/as_found/suction_closing/ahead/plunger_lift_mm", "-4"),
    ("readings/1/as_found/suction_closing/ahead/crank_angle_deg", "4 5"),
    ("readings/9/as_found/peak/ahead/plunger_lift_mm", "40"),
    ("engine.firing_order", "1 2 2 4 5"),
    ("engine.cam_lift_table", "0 0\n5 9\n6 3\n9 12"),
]


@pytest.mark.parametrize(("key", "text"), PROBLEMS)
def test_a_problem_of_the_file_is_shown_at_the_field_that_made_it(key: str, text: str) -> None:
    tree = engine_job(readings=both(1))
    composed = compose({**spread(tree), key: text}, tree)
    _, problems = examine(composed.tree)
    assert problems
    # Unequal lists and unknown units are told of the whole reading: then its first list is the place.
    same_row = {composed.key_of(problem.where) for problem in problems}
    assert key in same_row or {each and each.rsplit("/", 1)[0] for each in same_row} == {key.rsplit("/", 1)[0]}


@pytest.mark.parametrize("digits", [5000, 20, 3])
@pytest.mark.parametrize("pattern", ["reference.units/{}/pre_stroke_mm", "readings/{}/as_found/peak/ahead/plunger_lift_mm"])
def test_a_unit_number_of_many_digits_is_kept_as_typed(pattern: str, digits: int) -> None:
    """Such a key can stand under `drafts` of a hostile file."""
    key = pattern.format(digits * "9")
    assert spread(compose({key: "5"}).tree)[key] == "5"


# ---------------------------------------------------------------- description


def test_every_field_of_the_job_is_in_the_form() -> None:
    """In exactly one place, but for what the form fills in itself, and for what names the rows of its tables."""
    form = describe_form()
    keys = [face["key"] for step in form["steps"] for group in step["groups"] for face in group["fields"]]
    keys += [face["key"] for step in form["steps"] for face in step["names"]]
    assert len(keys) == len(set(keys))
    tables = [table for step in form["steps"] for table in step["tables"]] + [form["confirmations"]]
    columns = [f"{table['key']}[].{face['key']}" for table in tables for face in table["columns"]]
    assert len(columns) == len(set(columns))
    cells = [f"readings[].{name}" for name in form["readings"]["fields"]]
    rows = {f"{table.key}[].{name}" for table in tables_of().values() for name in table.described.row_by}
    expected = {path for path, field in walk(Job) if field.kind not in (RECORD, RECORDS, TEXTS)} - FIXED - rows
    assert {*keys, *columns, *cells} == expected


def test_no_stand_in_and_no_common_practice_enters_the_form() -> None:
    """What is missing is asked for: no face carries a value, and a hint is words only."""
    faces = [face for step in describe_form()["steps"] for group in step["groups"] for face in group["fields"]]
    assert all({"value", "default", "fallback"}.isdisjoint(face) for face in faces)
    assert compose({}).tree.keys() == {"format", "version"}


def test_the_form_is_plain_values() -> None:
    assert json.loads(json.dumps(describe_form())) == describe_form()


def test_each_event_names_the_lists_that_its_reading_needs() -> None:
    events = {each["value"]: each for each in describe_form()["readings"]["events"]}
    assert set(events) == set(EVENTS)
    assert events[SUCTION]["methods"] == {
        "at_contact": ["plunger_lift_mm", "crank_angle_deg"],
        "at_reference_lift": ["valve_lift_mm", "crank_angle_deg"],
    }
    assert events["zero_index"] == {
        "value": "zero_index",
        "label": events["zero_index"]["label"],
        "methods": {},
        "lists": ["valve_lift_mm"],
        "step": "cut-out",
        "needs": "",
    }
    assert events["lift_off"]["lists"] == ["clearance_mm"]
    assert events["lift_off"]["needs"] == "lift_off_gear"


def test_what_is_understood_is_echoed() -> None:
    composed = compose(
        {
            "reference.units/1/beginning_deg": "4.5 before",
            "readings/1/as_found/suction_closing/ahead/plunger_lift_mm": "12,31 12.29",
            "engine.speed_rpm": "131,5",
            "engine.plunger_diameter_mm": "47",
        }
    )
    assert composed.echoes == {
        "reference.units/1/beginning_deg": "4.5° before TDC",
        "readings/1/as_found/suction_closing/ahead/plunger_lift_mm": "2 readings, mean 12.3 mm",
        "engine.speed_rpm": "131.5 rpm",
    }


def test_understanding_is_the_same_before_and_after() -> None:
    """A text that was understood once is understood to the same value when the saved job is opened again."""
    for key, field in FIELDS.items():
        for text in TEXTS_TYPED:
            try:
                value = understand(field, text)
            except EntryError:
                continue
            again = spread(compose({key: text}).tree)
            assert understand(field, again[key]) == value
