"""The JSON Schemas of inputs and results say what the reader says, for every calculation and from its descriptions alone."""

import copy
import json
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from calc.compute.registry import CALCULATIONS
from calc.compute.run import compute_tree
from calc.job.describe import fields_of
from calc.job.read import examine, no_rules
from calc.show.reference import pages
from tests.compute.inputs import inputs_of

NAMES = list(CALCULATIONS)
WRONG: list[Any] = [None, True, "", "x", [], {}, -1e30, 1e30, 0.5, [[1, 2, 3]], [None], [{}]]


@cache
def validator(name: str, kind: str) -> Draft202012Validator:
    """Of the file that the site has."""
    schema = json.loads(_pages()[f"compute/{name}.{kind}.schema.json"])
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


@cache
def _pages() -> dict[str, str]:
    return pages()


def places(node: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every place in a tree below its top."""
    pairs = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, value in pairs:
        yield (*path, key)
        yield from places(value, (*path, key))


def with_value(tree: dict[str, Any], path: tuple[Any, ...], value: Any) -> dict[str, Any]:
    changed: Any = copy.deepcopy(tree)
    node = changed
    for key in path[:-1]:
        node = node[key]
    node[path[-1]] = value
    assert isinstance(changed, dict)
    return changed


@pytest.mark.parametrize("name", NAMES)
def test_the_example_and_its_result_are_as_the_schemas_say(name: str) -> None:
    calculation = CALCULATIONS[name]
    validator(name, "input").validate(dict(calculation.example))
    result = json.loads(json.dumps(compute_tree(calculation, dict(calculation.example)).to_json()))
    validator(name, "result").validate(result)
    assert not validator(name, "result").is_valid({**result, "name": "another"})
    for key in result["result"]:
        assert not validator(name, "result").is_valid({**result, "result": {**result["result"], key: {"so": "not"}}}), key


@pytest.mark.parametrize("name", NAMES)
def test_what_is_needed_is_needed_and_nothing_is_null(name: str) -> None:
    calculation = CALCULATIONS[name]
    for field in fields_of(calculation.given):
        assert not validator(name, "input").is_valid({**calculation.example, field.name: None}), field.name
        if field.required:
            rest = {key: value for key, value in calculation.example.items() if key != field.name}
            assert not validator(name, "input").is_valid(rest), field.name


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_the_schema_refuses_what_the_reader_refuses_and_nothing_else(name: str, data: st.DataObject) -> None:
    """Rules between fields apart: those no schema tells."""
    calculation = CALCULATIONS[name]
    tree = data.draw(inputs_of(calculation))
    assert validator(name, "input").is_valid(tree)
    done = compute_tree(calculation, tree)
    if done.answer is not None:
        validator(name, "result").validate(json.loads(json.dumps(done.to_json())))
    found = list(places(tree))
    if not found:
        return
    broken = with_value(tree, data.draw(st.sampled_from(found)), data.draw(st.sampled_from(WRONG)))
    _, problems = examine(broken, calculation.given, rules=no_rules)
    assert validator(name, "input").is_valid(broken) == (not problems), broken
