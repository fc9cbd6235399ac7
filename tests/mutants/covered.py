"""Which tests run which lines of `calc`, and how long each takes. Kept in .build/mutants/, a file for each file of tests."""

from __future__ import annotations

import ast
import hashlib
import json
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from time import process_time

import coverage
import pytest

from .afresh import forget

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
KEPT = ROOT / ".build" / "mutants"
# Tests that drive browsers, read pages and papers or measure speed are for more than a single number of `calc`.
NO_WARNINGS = ["no-data-collected", "module-not-measured", "module-not-imported", "already-imported", "include-ignored"]
ELSEWHERE = {"pages", "docs", "site_demo", "bench", "mutants", "show", "command", "work", "measured"}
# They draw thousands of questions and solve whole engines: too long for a mutant.
LONG = {"test_practice_solved", "test_questions", "test_twelve"}


def test_files() -> list[Path]:
    """All files of tests that may notice a mutant."""
    tests = ROOT / "tests"
    files = [file for file in sorted(tests.rglob("test_*.py")) if file.relative_to(tests).parts[0] not in ELSEWHERE]
    return [file for file in files if file.stem not in LONG and (file.parent != tests or file.stem == "test_docstrings")]


def _digest(files: Iterator[Path] | list[Path], *, first: bytes = b"") -> str:
    found = hashlib.sha256(first)
    for file in sorted(files):
        found.update(file.read_bytes())
    return found.hexdigest()[:16]


def _helpers(file: Path, known: dict[str, Path]) -> set[Path]:
    """The modules of tests that a file imports, and those that these import."""
    found: set[Path] = set()
    waiting = [file]
    while waiting:
        here = waiting.pop()
        package = here.relative_to(ROOT).parent.parts
        for node in ast.walk(ast.parse(here.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                named = [each.name for each in node.names]
            elif isinstance(node, ast.ImportFrom):
                within = [*package[: len(package) + 1 - node.level]] if node.level else []
                module = ".".join([*within, *([node.module] if node.module else [])])
                named = [module, *(f"{module}.{each.name}" for each in node.names)]
            else:
                continue
            more = {known[name] for name in named if name in known} - found
            found |= more
            waiting += more
    return found


def digests() -> dict[str, str]:
    """The state of each file of tests, with all of `calc`, all data, and what it imports of the other tests."""
    tests = ROOT / "tests"
    known = {".".join(file.relative_to(ROOT).with_suffix("").parts): file for file in tests.rglob("*.py")}
    everywhere = [*(ROOT / "calc").rglob("*.py"), *(tests / "data").rglob("*.json"), tests / "conftest.py"]
    common = _digest(everywhere).encode()
    return {str(file.relative_to(ROOT)): _digest([file, *_helpers(file, known)], first=common) for file in test_files()}


@dataclass(frozen=True, slots=True)
class Timed:
    """A test: its id, and how many seconds of the processor it took while lines were counted."""

    id: str
    seconds: float


class Counting:
    """A pytest plugin that counts the lines of each test, and keeps them once a file of tests is done."""

    def __init__(self, states: dict[str, str]) -> None:
        self.states = states
        self.file = ""
        self.seconds: dict[str, float] = {}
        self.failed: set[str] = set()
        self.lines: coverage.Coverage | None = None

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item, nextitem: pytest.Item | None) -> Iterator[None]:
        """Count one test, from its set-up to its end."""
        file = item.nodeid.partition("::")[0]
        if file != self.file:
            self.done()
            self.file = file
            self.lines = coverage.Coverage(
                data_file=str(KEPT / f"{os.getpid()}.counting"), config_file=False, source=[str(ROOT / "calc")]
            )
            self.lines.set_option("run:disable_warnings", NO_WARNINGS)
            self.lines.erase()
        assert self.lines is not None
        # What a test finds in a cache it would not seem to run.
        forget()
        self.lines.start()
        self.lines.switch_context(item.nodeid)
        begun = process_time()
        try:
            return (yield)
        finally:
            self.seconds[item.nodeid] = process_time() - begun
            self.lines.stop()

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Remember what does not pass."""
        if report.failed:
            self.failed.add(report.nodeid)

    def pytest_sessionfinish(self) -> None:
        """Keep the last file's lines."""
        self.done()

    def done(self) -> None:
        """Keep the lines of a file of tests."""
        if self.lines is None:
            return
        self.lines.save()
        # Under its name when it is whole: another run may count the same file.
        self.lines.get_data().close()
        counted = KEPT / f"{os.getpid()}.counting"
        if counted.exists():
            counted.replace(KEPT / f"{self.states[self.file]}.lines")
        kept = {name: round(took, 4) for name, took in self.seconds.items() if name not in self.failed}
        (KEPT / f"{self.states[self.file]}.json").write_text(json.dumps(kept), "utf-8")
        if self.failed:
            print(f"left out, since it fails while lines are counted: {sorted(self.failed)}")
        self.seconds, self.failed, self.lines = {}, set(), None


def missing(states: dict[str, str]) -> list[str]:
    """Files of tests whose lines are not known."""
    return [file for file, state in states.items() if not (KEPT / f"{state}.json").exists()]


class Covered:
    """The lines of all tests, asked for one module at a time."""

    def __init__(self, states: dict[str, str]) -> None:
        self.tests: dict[str, Timed] = {}
        self.kept: list[coverage.CoverageData] = []
        for state in states.values():
            seconds = json.loads((KEPT / f"{state}.json").read_text("utf-8"))
            self.tests |= {name: Timed(name, took) for name, took in seconds.items()}
            lines = KEPT / f"{state}.lines"
            if lines.exists():
                self.kept.append(coverage.CoverageData(basename=str(lines)))
                self.kept[-1].read()

    def by_line(self, file: str) -> dict[int, set[str]]:
        """The tests of each line of a module."""
        found: dict[int, set[str]] = {}
        for data in self.kept:
            for line, contexts in data.contexts_by_lineno(str(ROOT / file)).items():
                found.setdefault(line, set()).update(name for name in contexts if name in self.tests)
        return found
