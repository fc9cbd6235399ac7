"""The page about third-party parts names what is pinned, all of it, in the versions that are pinned."""

import json
import re

from site_demo.setup_env import APART, GROUPS, REQUIREMENTS
from site_demo.stamps import ROOT

# Lighthouse is large and serves one recipe, so it has a lock of its own.
PACKAGES = (ROOT, ROOT / "tests" / "lighthouse")
PAGE = (ROOT / "docs" / "third-party.md").read_text(encoding="utf-8")


def pinned() -> dict[str, str]:
    """Every direct dependency and its version, from the files that pin them."""
    found: dict[str, str] = {}
    for group in (*GROUPS, *APART):
        text = (REQUIREMENTS / f"{group}.in").read_text(encoding="utf-8")
        found.update(re.findall(r"^([\w.-]+)==(\S+)$", text, re.MULTILINE))
    for folder in PACKAGES:
        package = json.loads((folder / "package.json").read_text(encoding="utf-8"))
        found.update({**package.get("dependencies", {}), **package["devDependencies"]})
    return found


def listed() -> dict[str, str]:
    """The names and versions in the tables."""
    rows = re.findall(r"^\| ([^|]+) \| ([^|]+) \|", PAGE, re.MULTILINE)
    return {name: version for name, version in rows if name != "Name"}


def test_every_direct_dependency_is_listed_in_its_pinned_version() -> None:
    # CPython comes inside pyodide and has no pin of its own.
    assert {name: version for name, version in listed().items() if not name.startswith("CPython")} == pinned()


def test_every_requirement_is_pinned_exactly() -> None:
    for group in (*GROUPS, *APART):
        lines = (REQUIREMENTS / f"{group}.in").read_text(encoding="utf-8").splitlines()
        loose = [line for line in lines if line and not line.startswith("#") and not re.fullmatch(r"\S+==\S+", line)]
        assert not loose, group


def test_locks_name_no_registry() -> None:
    locks = [
        *(REQUIREMENTS / f"{group}.txt" for group in (*GROUPS, *APART)),
        *(each / "package-lock.json" for each in PACKAGES),
    ]
    for lock in locks:
        text = lock.read_text(encoding="utf-8")
        assert '"resolved"' not in text, lock
        assert "--index-url" not in text, lock
