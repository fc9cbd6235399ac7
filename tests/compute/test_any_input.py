"""Whatever is allowed gets an answer, whatever is not gets a message: for every calculation, from its descriptions alone."""

import json
import re
from collections.abc import Iterator
from math import isfinite
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from calc.compute.answer import BEYOND, NO_ANSWER, NO_DATA, NOTICES
from calc.compute.registry import CALCULATIONS
from calc.compute.run import compute, compute_tree
from calc.job.describe import fields_of, walk
from calc.show.computed import page_part, report
from calc.show.plots import picture_of
from tests.compute.inputs import inputs_of

NAMES = list(CALCULATIONS)
# A page is HTML, which takes signs that XML does not.
NO_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


def leaves(value: Any) -> Iterator[Any]:
    if isinstance(value, dict):
        for each in value.values():
            yield from leaves(each)
    elif isinstance(value, (list, tuple)):
        for each in value:
            yield from leaves(each)
    else:
        yield value


def looks_right(picture: ElementTree.Element) -> None:
    """It says what it shows, and every place in it is a number on the sheet."""
    assert picture.findtext("title")
    assert (picture.findtext("desc") or "").rstrip().endswith(".")
    _, _, width, height = map(float, picture.attrib["viewBox"].split())
    for shape in picture.iter():
        for key, most in (("x", width), ("cx", width), ("y", height), ("cy", height)):
            if key in shape.attrib:
                assert -1.0 <= float(shape.attrib[key]) <= most + 1.0, shape.attrib
        for place in re.findall(r"[A-Za-z]{3,}|[-\d.e]+", shape.attrib.get("d", "")):
            assert abs(float(place)) <= max(width, height) + 1.0, shape.attrib


@pytest.mark.parametrize("name", NAMES)
def test_the_example_is_answered(name: str) -> None:
    calculation = CALCULATIONS[name]
    done = compute(calculation, json.dumps(calculation.example))
    assert done.errors == ()
    assert done.status == 0, done.answer
    assert done.answer is not None
    assert done.answer.working
    assert None not in list(leaves(done.to_json()["result"]))


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_any_input(name: str, data: st.DataObject) -> None:
    calculation = CALCULATIONS[name]
    tree = data.draw(inputs_of(calculation))
    done = compute_tree(calculation, tree)
    for error in done.errors:
        assert error.text.endswith(".")
        assert error.found
    if done.answer is None:
        assert done.errors
        assert done.status == 2
        return
    written = json.loads(json.dumps(done.to_json(), allow_nan=False))
    assert list(written["result"]) == [
        field.name
        for field in fields_of(calculation.result)
        if not (field.omit and getattr(done.answer.result, field.attribute) is None)
    ]
    found = list(leaves(written["result"]))
    assert all(isfinite(each) for each in found if isinstance(each, float))
    codes = {notice["code"] for notice in written["notices"]}
    assert codes <= set(NOTICES)
    assert (None in found) == bool(codes & {NO_ANSWER, NO_DATA, BEYOND}), written
    assert done.status == (1 if NO_ANSWER in codes else 0)
    assert all(notice["text"].endswith(".") for notice in written["notices"])
    # What people see never fails either.
    assert max(map(len, report(done).splitlines())) <= 80
    ElementTree.fromstring(f"<p>{NO_XML.sub('', page_part(done))}</p>")
    picture = picture_of(done)
    if picture is not None:
        looks_right(ElementTree.fromstring(NO_XML.sub("", picture)))


@pytest.mark.parametrize("name", NAMES)
def test_every_field_is_described(name: str) -> None:
    calculation = CALCULATIONS[name]
    for path, field in [*walk(calculation.given), *walk(calculation.result)]:
        assert field.label, path
        assert not field.label.endswith("."), path
    for path, field in walk(calculation.given):
        assert field.fallback is None, f"{path}: nothing is ever assumed"
    assert calculation.source
    assert calculation.what[:1].islower()


@pytest.mark.parametrize("name", NAMES)
def test_every_missing_and_every_wrong_field_is_told_at_once(name: str) -> None:
    calculation = CALCULATIONS[name]
    required = [field.name for field in fields_of(calculation.given) if field.required]
    told = [error.where for error in compute_tree(calculation, {}).errors]
    assert set(required) <= set(told)
    wrong = compute_tree(calculation, {field.name: None for field in fields_of(calculation.given)})
    assert {field.name for field in fields_of(calculation.given)} <= {error.where for error in wrong.errors}


@pytest.mark.parametrize("name", NAMES)
def test_an_unknown_key_is_told_and_changes_nothing(name: str) -> None:
    calculation = CALCULATIONS[name]
    plain = compute_tree(calculation, calculation.example)
    with_key = compute_tree(calculation, {**calculation.example, "colour": "blue"})
    assert plain.answer is not None
    assert with_key.answer is not None
    assert with_key.answer.result == plain.answer.result
    assert with_key.answer.notices[0].where == "colour"
    assert with_key.status == plain.status


@pytest.mark.parametrize("name", NAMES)
def test_a_key_twice_is_an_error(name: str) -> None:
    calculation = CALCULATIONS[name]
    key = next(iter(calculation.example))
    text = json.dumps(calculation.example)[:-1] + f', "{key}": {json.dumps(calculation.example[key])}}}'
    assert [error.where for error in compute(calculation, text).errors] == [key]


@pytest.mark.parametrize("source", ["", "[]", "{", '"text"', "\ufeff[]"])
def test_what_is_no_object_is_an_error_of_the_whole(source: str) -> None:
    errors = compute(CALCULATIONS["density"], source).errors
    assert [error.where for error in errors] == [""]
