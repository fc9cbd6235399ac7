"""Cases that are tests of their own, run and counted here: storage that fails, two tabs, wrong clocks, hostile texts."""

import subprocess
import sys
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

from site_demo.stamps import ROOT

from .part import Found, count

_STORE = "tests/pages/test_store.py"


@dataclass(frozen=True)
class Group:
    """Tests that belong together. `chosen`: as pytest's -k says it; `how`: what they are, for the report."""

    files: tuple[str, ...]
    how: str
    chosen: str = ""


GROUPS = {
    "storage": Group(
        ("tests/pages/test_garbage.py", _STORE),
        "storage full, refused, shut, or with anything in it, in Chromium and Firefox: the page works on and says so",
        "garbage or storage or quota or cannot_be_read or damaged or newer_version or deleted_under_way or older_database "
        "or no_later_ones",
    ),
    "tabs": Group(
        (_STORE,),
        "the same job in two tabs, in Chromium and Firefox: neither overwrites the other",
        "second_tab or copy_can_be_chosen or without_locks",
    ),
    "clock": Group(("tests/pages/test_clock.py",), "the clock set back a day or ahead a year, between visits and while typing"),
    "hostile": Group(
        ("tests/show/test_hostile.py", "tests/pages/test_hostile.py"),
        "hostile texts in every field that takes one: pages, papers, pictures, titles, tables, names of files, terminals",
    ),
}


def run(group: Group) -> tuple[int, list[str]]:
    """How many tests of a group passed, and the names of those that did not."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "report.xml"
        chosen = ["-k", group.chosen] if group.chosen else []
        command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", f"--junitxml={file}", *group.files, *chosen]
        subprocess.run(command, cwd=ROOT, stdout=subprocess.DEVNULL, check=False)
        tests = list(ElementTree.parse(file).iter("testcase"))
    failed = [
        each.attrib["name"] for each in tests if len(each.findall("failure") + each.findall("error") + each.findall("skipped"))
    ]
    return len(tests) - len(failed), failed


def cases(quick: bool) -> Found:
    """All groups; none for a try, since the tests run them anyway."""
    return told({} if quick else {name: run(group) for name, group in GROUPS.items()})


def told(found: Mapping[str, tuple[int, list[str]]]) -> Found:
    """The figures."""
    figures = [
        count(f"cases_{name}", passed, GROUPS[name].how, at_least=passed + len(failed))
        for name, (passed, failed) in found.items()
    ]
    return Found(tuple(figures), tuple(f"Failed: {test}" for _, failed in found.values() for test in failed))
