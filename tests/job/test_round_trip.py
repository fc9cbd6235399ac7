"""A job goes through its file and comes back the same, with everything that this version does not know."""

import hashlib
import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.job.parse import parse
from calc.job.read import examine, job_from_tree, read_job
from calc.job.write import checksum, job_to_tree, write_job, write_tree
from tests.invented import both, engine_job, with_table
from tests.job.trees import Tree, job_trees


@given(job_trees())
def test_file_and_back(tree: Tree) -> None:
    job = read_job(json.dumps(tree))
    assert job_to_tree(job) == tree
    assert parse(write_job(job)) == tree
    assert read_job(write_job(job)) == job
    assert read_job(write_job(job).encode()) == job


@given(job_trees())
def test_examine_finds_nothing_in_a_valid_job(tree: Tree) -> None:
    job, problems = examine(tree)
    assert problems == []
    assert job == job_from_tree(tree)


JSON_VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text('aé船"\\\n {}', max_size=200),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text("ab", max_size=2), inner, max_size=4),
    max_leaves=12,
)

LEVELS = [
    "",
    "engine",
    "reference",
    "reference.units[1]",
    "instruments",
    "instruments.plunger_gauge",
    "instruments.valve_gauge",
    "instruments.angle_scale",
    "fuel",
    "readings[0]",
]


def node_at(tree: Any, path: str) -> Any:
    for name in filter(None, path.replace("[", ".[").split(".")):
        tree = tree[int(name[1:-1])] if name.startswith("[") else tree[name]
    return tree


@pytest.mark.parametrize("level", LEVELS)
def test_unknown_keys_are_kept_at_every_level(level: str) -> None:
    tree = engine_job(readings=both(1))
    node_at(tree, level)["x-colour"] = {"shade": [1, None, "é", {"deep": False}]}
    job = read_job(json.dumps(tree))
    assert job_to_tree(job) == tree
    assert parse(write_job(job)) == tree


def _shuffled(tree: Any, chance: Any) -> Any:
    if isinstance(tree, dict):
        keys = list(tree)
        chance.shuffle(keys)
        return {key: _shuffled(tree[key], chance) for key in keys}
    return [_shuffled(each, chance) for each in tree] if isinstance(tree, list) else tree


@given(job_trees(), st.randoms(use_true_random=False), st.sampled_from([None, 1, "\t"]))
def test_checksum_does_not_depend_on_how_the_file_is_written(tree: Tree, chance: Any, indent: Any) -> None:
    """SHA-256 of compact JSON with sorted keys, by the standard library's own means."""
    text = json.dumps(_shuffled(tree, chance), indent=indent, ensure_ascii=bool(indent))
    found = checksum(job_to_tree(read_job(text)))
    compact = json.dumps(tree, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert found == hashlib.sha256(compact.encode()).hexdigest()
    assert found == checksum(job_to_tree(read_job(write_job(read_job(text)))))


def test_checksum_changes_with_any_value() -> None:
    tree = engine_job(readings=both(1))
    sums = {checksum(job_to_tree(read_job(json.dumps(tree))))}
    for path, key, value in (
        ("", "title", "another"),
        ("engine", "speed_rpm", 131.5),
        ("readings[0]", "plunger_lift_mm", [9.51]),
        ("fuel", "x-colour", None),
    ):
        changed = json.loads(json.dumps(tree))
        node_at(changed, path)[key] = value
        sums.add(checksum(job_to_tree(read_job(json.dumps(changed)))))
    assert len(sums) == 5


@given(JSON_VALUES)
def test_written_json_is_json(value: Any) -> None:
    assert json.loads(write_tree(value)) == value


def test_a_file_is_readable_by_people() -> None:
    """Two spaces a level, pairs and short lists on one line, no line longer than it must be, one newline at the end."""
    text = write_job(read_job(json.dumps(with_table(engine_job(readings=both(1)), step_deg=2.0))))
    lines = text.split("\n")
    assert lines[0] == "{"
    assert lines[-2:] == ["}", ""]
    assert lines[1] == '  "format": "spillmark-job",'
    assert "      [-57.0, 0.0]," in lines
    assert '    "firing_order": [1, 3, 5, 2, 4],' in lines
    assert max(map(len, lines)) <= 120


def test_letters_of_any_script_stay_as_they_are() -> None:
    tree = engine_job()
    tree["vessel"] = "Çağrı ⚓ 船"
    assert '"vessel": "Çağrı ⚓ 船"' in write_job(read_job(json.dumps(tree)))


def test_whatever_can_be_read_can_be_saved() -> None:
    """Half a surrogate pair can be escaped in JSON but not saved in UTF-8 as it is."""
    tree = engine_job()
    tree["title"] = "\ud800"
    job, problems = examine(parse(json.dumps(tree)))
    if not problems:
        assert read_job(write_job(job).encode("utf-8")) == job


@settings(max_examples=15)
@given(job_trees(max_units=24))
def test_large_engines_too(tree: Tree) -> None:
    assert job_to_tree(job_from_tree(tree)) == tree
