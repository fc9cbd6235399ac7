"""Adding a field is one edit: a record that declares one more is read, written, checked, described and drawn with no other."""

import json
from typing import Any

from jsonschema import Draft202012Validator

from calc.job.describe import field_of, fields_of, flag, number, record, record_of, records_of, walk
from calc.job.form import compose, describe_form, spread
from calc.job.model import Engine, Job, Reference, UnitReference
from calc.job.read import examine
from calc.job.schema import schema_of
from calc.job.write import job_to_tree, write_job
from calc.show.reference import field_table
from tests.invented import both, engine_job


@record
class GreasedEngine(Engine):
    """The engine with one more field: nothing else in this file or in `calc` names it but to look for it."""

    grease_mg: float | None = number(
        "grease per stroke", unit="mg", low=0, high=50, high_open=True, help="How much.", find="The grease gun."
    )


@record
class PaintedUnit(UnitReference):
    """Settings of a unit with one more field, which every file must have."""

    painted: bool = flag("painted", required=True)


@record
class PaintedReference(Reference):
    units: tuple[PaintedUnit, ...] = records_of(PaintedUnit, "reference settings of each unit", required=True)


@record
class LongerJob(Job):
    engine: GreasedEngine = record_of(GreasedEngine, "engine", required=True)
    reference: PaintedReference = record_of(PaintedReference, "reference settings", required=True)


PATH = "engine.grease_mg"


def tree_with(grease: Any = 12.5) -> dict[str, Any]:
    tree = engine_job(readings=both(1))
    tree["engine"]["grease_mg"] = grease
    for unit in tree["reference"]["units"]:
        unit["painted"] = True
    return tree


def test_it_stands_where_it_was_declared() -> None:
    assert [field.name for field in fields_of(GreasedEngine)] == [*(field.name for field in fields_of(Engine)), "grease_mg"]
    assert PATH in dict(walk(LongerJob))
    assert PATH not in dict(walk(Job))
    assert "reference.units[].painted" in dict(walk(LongerJob))
    assert field_of(LongerJob, PATH).allowed == "a number 0 or more, below 50 mg"


def test_it_is_read_and_written() -> None:
    job, problems = examine(tree_with(), LongerJob)
    assert problems == []
    assert job.engine.grease_mg == 12.5
    assert job.engine.extra == {}
    assert job.reference.units[0].painted is True
    assert job_to_tree(job) == tree_with()
    assert '"grease_mg": 12.5' in write_job(job)


def test_it_is_optional_or_not_as_declared() -> None:
    tree = tree_with()
    del tree["engine"]["grease_mg"]
    assert examine(tree, LongerJob)[1] == []
    del tree["reference"]["units"][2]["painted"]
    ((where, text),) = [(problem.where, problem.text) for problem in examine(tree, LongerJob)[1]]
    assert where == "reference.units[2].painted"
    assert "unit 3, painted: missing" in text


def test_it_is_checked_in_the_words_of_its_declaration() -> None:
    (problem,) = examine(tree_with(50), LongerJob)[1]
    assert problem.where == PATH
    for words in ("Engine, grease per stroke", "50 found", "0 or more, below 50 mg"):
        assert words in problem.text


def test_an_older_version_keeps_it() -> None:
    job, problems = examine(tree_with())
    assert problems == []
    assert job.engine.extra == {"grease_mg": 12.5}
    assert job_to_tree(job) == tree_with()


def test_it_is_in_the_form() -> None:
    groups = [group for step in describe_form(LongerJob)["steps"] for group in step["groups"]]
    (face,) = [each for group in groups for each in group["fields"] if each["key"] == PATH]
    assert (face["label"], face["unit"], face["help"], face["find"]) == (
        "grease per stroke",
        "mg",
        "How much.",
        "The grease gun.",
    )
    assert face["allowed"] == "a number 0 or more, below 50 mg"
    composed = compose({PATH: "12,5 mg"}, root=LongerJob)
    assert composed.tree["engine"] == {"grease_mg": 12.5}
    assert composed.echoes == {PATH: "12.5 mg"}
    assert spread(composed.tree, LongerJob) == {PATH: "12.5"}
    assert compose({PATH: "much"}, root=LongerJob).slips.keys() == {PATH}


def test_it_is_in_the_schema() -> None:
    schema = schema_of(LongerJob, "longer job")
    Draft202012Validator.check_schema(schema)
    described = schema["properties"]["engine"]["properties"]["grease_mg"]
    assert described["minimum"] == 0
    assert described["exclusiveMaximum"] == 50
    assert "mg" in described["description"]
    validator = Draft202012Validator(schema)
    assert list(validator.iter_errors(tree_with())) == []
    assert [list(error.absolute_path) for error in validator.iter_errors(tree_with(50))] == [["engine", "grease_mg"]]
    units = schema["properties"]["reference"]["properties"]["units"]["items"]
    assert "painted" in units["required"]


def test_it_is_on_the_reference_page() -> None:
    lines = [line for line in field_table(LongerJob) if "`grease_mg`" in line]
    assert len(lines) == 1
    for words in ("Grease per stroke.", "How much.", "the grease gun.", "below 50 mg"):
        assert words in lines[0]
    assert not any("`grease_mg`" in line for line in field_table(Job))


def test_the_schema_of_today_takes_what_the_reader_takes() -> None:
    """On the invented engine, and on each of its numbers spoiled."""
    validator = Draft202012Validator(schema_of(Job, "job"))
    tree = json.loads(json.dumps(engine_job(readings=both(1))))
    assert list(validator.iter_errors(tree)) == []
    for group, key, value in (
        ("engine", "units", 0),
        ("engine", "speed_rpm", "131"),
        ("reference", "seat_contact_mm", 2),
        ("engine", "rod_thread", "x"),
    ):
        spoiled = json.loads(json.dumps(tree))
        spoiled[group][key] = value
        assert [list(error.absolute_path) for error in validator.iter_errors(spoiled)] == [[group, key]]
        assert f"{group}.{key}" in [problem.where for problem in examine(spoiled)[1]]
