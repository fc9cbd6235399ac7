"""Cases that are tests of their own, run and counted here: storage that fails, two tabs, wrong clocks, hostile texts.

What the tests printed is left in .build/soak/cases/, so that a failure can be read without running them again.
"""

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
_PRINTED = ROOT / ".build" / "soak" / "cases"


@dataclass(frozen=True)
class Group:
    """Tests that belong together. `chosen`: as pytest's -k says it; `how`: what they are, for the report."""

    files: tuple[str, ...]
    how: str
    chosen: str = ""


GROUPS = {
    "storage": Group(
        ("tests/pages/test_garbage.py", _STORE),
        "tests: storage full, refused, shut, deleted, or with anything in it; the page works on and says so; "
        "Chromium, and Firefox where it may differ",
        "garbage or storage or quota or cannot_be_read or damaged or newer_version or deleted_under_way or older_database "
        "or no_later_ones",
    ),
    "tabs": Group(
        (_STORE,),
        "tests: the same job in two tabs; neither overwrites the other; Chromium and Firefox, from a folder and over http",
        "second_tab or copy_can_be_chosen or without_locks",
    ),
    "clock": Group(
        ("tests/pages/test_clock.py",),
        "tests: the clock set back or ahead by a day or a year, between visits and while typing; Chromium and Firefox",
    ),
    "hostile": Group(
        ("tests/show/test_hostile.py", "tests/pages/test_hostile.py"),
        "tests: hostile texts in every field that takes one, in all that is made of a job: pages, papers and their titles, "
        "pictures, tables, names of files, terminals; papers and worksheet also opened in a browser",
    ),
}


def run(name: str, group: Group) -> tuple[int, list[str]]:
    """How many tests of a group passed, and the names of those that did not."""
    _PRINTED.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, (_PRINTED / f"{name}.txt").open("w", encoding="utf-8") as printed:
        file = Path(folder) / "report.xml"
        chosen = ["-k", group.chosen] if group.chosen else []
        command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", f"--junitxml={file}", *group.files, *chosen]
        subprocess.run(command, cwd=ROOT, stdout=printed, stderr=subprocess.STDOUT, check=False)
        return counted(file)


def counted(file: Path) -> tuple[int, list[str]]:
    """The same of one report of pytest's."""
    tests = list(ElementTree.parse(file).iter("testcase"))
    failed = [
        each.attrib["name"] for each in tests if len(each.findall("failure") + each.findall("error") + each.findall("skipped"))
    ]
    return len(tests) - len(failed), failed


def cases(quick: bool) -> Found:
    """All groups; none for a try, since the tests run them anyway."""
    return told({} if quick else {name: run(name, group) for name, group in GROUPS.items()})


def told(found: Mapping[str, tuple[int, list[str]]]) -> Found:
    """The figures. Where no test was found at all, that is a miss too."""
    figures = [
        count(f"cases_{name}", passed, GROUPS[name].how, at_least=max(1, passed + len(failed)))
        for name, (passed, failed) in found.items()
    ]
    return Found(tuple(figures), tuple(f"Failed: {test}" for _, failed in found.values() for test in failed))
