"""The bill of materials follows the published schema and the lock files, and says the same everywhere."""

import base64
import json
import re
from importlib import metadata
from typing import Any

import pytest
from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator

from site_demo.release.bill import LICENCES, PURPOSE, bill
from site_demo.release.licences import parts
from site_demo.setup_env import GROUPS, REQUIREMENTS
from site_demo.stamps import ROOT

from .small import ORIGIN

PAGE = (ROOT / "docs" / "third-party.md").read_text("utf-8")
# How packages say a licence that SPDX has a name for.
SAME = {
    "Apache Software License": "Apache-2.0",
    "Apache 2.0": "Apache-2.0",
    "GNU General Public License v3 (GPLv3)": "GPL-3.0-only",
    "PSFL": "PSF-2.0",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "MIT License": "MIT",
}


@pytest.fixture(scope="module")
def text() -> str:
    return bill("0.1.0", ORIGIN, "abc", parts())


@pytest.fixture(scope="module")
def tree(text: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(text)
    return found


def purpose(component: dict[str, Any]) -> str:
    value: str = component["properties"][0]["value"]
    return value


def test_it_follows_the_published_schema(text: str) -> None:
    assert JsonStrictValidator(SchemaVersion.V1_6).validate_str(text) is None


def test_the_schema_would_find_a_mistake(text: str) -> None:
    wrong = text.replace('"scope": "excluded"', '"scope": "somewhere"', 1)
    assert wrong != text
    assert JsonStrictValidator(SchemaVersion.V1_6).validate_str(wrong) is not None


def test_it_is_the_same_every_time_and_another_for_another_build(text: str) -> None:
    assert bill("0.1.0", ORIGIN, "abc", parts()) == text
    serials = {json.loads(each)["serialNumber"] for each in (text, bill("0.1.0", ORIGIN, "abd", parts()))}
    assert len(serials) == 2


def test_it_says_what_it_is_of(tree: dict[str, Any]) -> None:
    assert (tree["bomFormat"], tree["specVersion"]) == ("CycloneDX", "1.6")
    assert tree["metadata"]["timestamp"] == "2026-11-26T01:02:04+00:00"
    program = tree["metadata"]["component"]
    assert (program["name"], program["version"], program["purl"]) == ("spillmark", "0.1.0", "pkg:generic/spillmark@0.1.0")


def test_what_is_shipped_is_required_and_all_else_excluded(tree: dict[str, Any]) -> None:
    shipped = {each["name"] for each in tree["components"] if each["scope"] == "required"}
    assert shipped == {part.name for part in parts()}
    for each in tree["components"]:
        assert (each["scope"] == "required") == (purpose(each) == "ship")
        assert each["licenses"]


def test_every_pin_stands_there_once_with_its_hashes(tree: dict[str, Any]) -> None:
    by_purl = {each["purl"]: each for each in tree["components"]}
    assert len(by_purl) == len(tree["components"])
    pins = 0
    for group in GROUPS:
        lock = (REQUIREMENTS / f"{group}.txt").read_text("utf-8")
        for block in re.split(r"^(?=[\w.-]+==)", lock, flags=re.MULTILINE)[1:]:
            name, version = re.findall(r"^([\w.-]+)==(\S+)", block)[0]
            each = by_purl[f"pkg:pypi/{name}@{version}"]
            assert {found["content"] for found in each["hashes"]} == set(re.findall(r"sha256:(\w+)", block))
            pins += 1
    packages = json.loads((ROOT / "package-lock.json").read_text("utf-8"))["packages"]
    for path, said in packages.items():
        if path:
            name = path.removeprefix("node_modules/").replace("@", "%40")
            each = by_purl[f"pkg:npm/{name}@{said['version']}"]
            digest = base64.b64decode(said["integrity"].removeprefix("sha512-")).hex()
            assert each["hashes"] == [{"alg": "SHA-512", "content": digest}]
            pins += 1
    assert pins > 150


def test_each_group_has_its_purpose(tree: dict[str, Any]) -> None:
    assert set(PURPOSE) == set(GROUPS)
    assert {purpose(each) for each in tree["components"]} == {*PURPOSE.values(), "ship"}


def test_parts_hang_together(tree: dict[str, Any]) -> None:
    needs = {each["ref"]: each.get("dependsOn", []) for each in tree["dependencies"]}
    seen, open_ = set(), [tree["metadata"]["component"]["bom-ref"]]
    while open_:
        seen.add(open_[-1])
        open_ += [each for each in needs[open_.pop()] if each not in seen]
    assert seen >= {each["bom-ref"] for each in tree["components"] if each["scope"] == "required"}


def test_licences_are_those_that_the_packages_say() -> None:
    """For those that are installed here: what only other Pythons or `make lock` need may be missing."""
    compared = 0
    for name, licence in json.loads(LICENCES.read_text("utf-8")).items():
        try:
            said = metadata.metadata(name)
        except metadata.PackageNotFoundError:
            continue
        words = next((said[field] for field in ("License-Expression", "License") if field in said), "")
        words = SAME.get(words, words)
        # Some say it in no form that can be compared: the whole text, a group of licences, or nothing.
        if re.fullmatch(r"[\w.+-]+(?: (?:AND|OR) [\w.+-]+)*", words) and words != "UNKNOWN":
            assert words == licence, name
            compared += 1
    assert compared > 40


def test_licences_are_those_of_the_page() -> None:
    licences = json.loads(LICENCES.read_text("utf-8"))
    rows = dict(re.findall(r"^\| ([^|]+) \| [^|]+ \| ([^|]+) \|", PAGE, re.MULTILINE))
    both = {name.lower(): licence for name, licence in rows.items() if name.lower() in licences}
    assert len(both) > 15
    for name, licence in both.items():
        assert licence.replace("GPL-3.0", "GPL-3.0-only") == licences[name] or licence == licences[name]
