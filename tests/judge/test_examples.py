"""Whole jobs against an independent implementation: all numbers, nulls, verdicts and codes."""

import math
from collections.abc import Callable
from typing import Any

import pytest

from tests.invented import Tree, judged
from tests.published import load

PAIRS = load("reference-findings")["jobs"]
IDS = [f"{pair['job']['engine']['units']} units, {len(pair['job'].get('readings', []))} readings" for pair in PAIRS]


def by_name(members: list[Tree]) -> dict[str, Tree]:
    """Causes and corrections, whose order is free, by what they are."""
    return {str(each.get("code", each.get("part"))) + str(each.get("event", "")): each for each in members}


def differences(found: Any, expected: Any, at: str = "") -> list[str]:
    """Where they differ. `found` may have more keys than `expected`."""
    if isinstance(expected, dict):
        if not isinstance(found, dict):
            return [f"{at}: {found!r}, expected {expected!r}"]
        missing = [f"{at}.{key}: missing" for key in expected if key not in found]
        return missing + [
            each for key, value in expected.items() if key in found for each in differences(found[key], value, f"{at}.{key}")
        ]
    if isinstance(expected, list):
        if at.endswith((".causes", ".corrections")):
            named, wanted = by_name(found), by_name(expected)
            odd = [f"{at}: {sorted(named)}, expected {sorted(wanted)}"] if named.keys() != wanted.keys() else []
            return odd or differences(named, wanted, at)
        if len(found) != len(expected):
            return [f"{at}: {len(found)} entries, expected {len(expected)}"]
        return [each for i, pair in enumerate(zip(found, expected, strict=True)) for each in differences(*pair, f"{at}[{i}]")]
    if isinstance(expected, float) and isinstance(found, (int, float)) and not isinstance(found, bool):
        same = math.isclose(found, expected, rel_tol=1e-6, abs_tol=1e-6)
        return [] if same else [f"{at}: {found!r}, expected {expected!r}"]
    return (
        []
        if found == expected and isinstance(found, bool) is isinstance(expected, bool)
        else [f"{at}: {found!r}, expected {expected!r}"]
    )


@pytest.mark.parametrize("pair", PAIRS, ids=IDS)
def test_findings(pair: Tree) -> None:
    assert differences(judged(pair["job"]).to_json(), pair["findings"]) == []


def test_the_comparison_sees_what_differs() -> None:
    """On the first pair: a number, a null, a code, an order and a missing key."""
    expected = PAIRS[0]["findings"]
    found = judged(PAIRS[0]["job"]).to_json()
    spoilers: list[Callable[[Tree], object]] = [
        lambda tree: tree["units"][0].update(verdict="?"),
        lambda tree: tree["units"][0].update(beginning=None),
        lambda tree: tree["units"][0].pop("cut_out"),
        lambda tree: tree["units"].reverse(),
        lambda tree: tree["common_part_deg"].update(as_found={"value": 1.0}),
        lambda tree: tree["units"][0].update(causes=[{"code": "spill_rod", "size": 1.0}]),
    ]
    for spoil in spoilers:
        spoiled = judged(PAIRS[0]["job"]).to_json()
        spoil(spoiled)
        assert differences(spoiled, expected) != []
    assert differences(found, expected) == []


def test_the_jobs_cover_what_they_should() -> None:
    """Both ways of reading, tables and secants, every verdict and every cause: a set that no longer does is no reference."""
    units = [unit for pair in PAIRS for unit in pair["findings"]["units"]]
    assert {cause["code"] for unit in units for cause in unit["causes"]} == {
        "suction_rod",
        "spill_rod",
        "cam_position",
        "common_shift",
        "common_setting",
        "readings_disagree",
    }
    assert {part["part"] for unit in units for part in unit["corrections"]} == {"suction_rod", "spill_rod", "cam"}
    assert {unit["verdict"] for unit in units} == {"within", "unclear", "outside", "incomplete"}
    assert {pair["findings"]["summary"]["verdict"] for pair in PAIRS} == {"within", "unclear", "outside", "incomplete"}
    assert {"cam_lift_table" in pair["job"]["engine"] for pair in PAIRS} == {True, False}
    readings = [reading for pair in PAIRS for reading in pair["job"].get("readings", [])]
    assert {reading.get("method") for reading in readings} == {"at_contact", "at_reference_lift", None}
    assert {reading.get("reached", "ahead") for reading in readings} == {"ahead", "astern"}
    assert {reading["stage"] for reading in readings} == {"as_found", "as_left"}
