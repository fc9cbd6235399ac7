"""`python -m calc check`: judge job files."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from calc.findings import Findings
from calc.job.model import FORMAT, Job
from calc.job.parse import MOST_BYTES, parse
from calc.job.problems import JobErrors, Problem, errors_file
from calc.job.read import job_from_tree
from calc.judge.assess import assess
from calc.measure.conformity import WITHIN
from calc.show import terminal

WITHIN_STATUS, NOT_WITHIN_STATUS, UNUSABLE_STATUS = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Checked:
    """One file judged: its findings, or what stands in the way."""

    file: str
    job: Job | None
    findings: Findings | None
    errors: tuple[Problem, ...]

    @property
    def status(self) -> int:
        """0 within, 1 not within, 2 unusable."""
        if self.findings is None:
            return UNUSABLE_STATUS
        return WITHIN_STATUS if self.findings.summary.verdict == WITHIN else NOT_WITHIN_STATUS

    def to_json(self) -> dict[str, Any]:
        """Findings, or the errors file."""
        if self.findings is not None:
            return self.findings.to_json()
        return errors_file(self.errors)


def run(options: argparse.Namespace) -> int:
    """The command. Returns: the highest status of its files."""
    single = len(options.jobs) == 1 and not Path(options.jobs[0]).is_dir()
    status = WITHIN_STATUS
    for checked in checked_files(options.jobs):
        status = max(status, checked.status)
        if options.json:
            _print_json(checked, single)
        else:
            _print(checked, single, options.working)
    return status


def checked_files(places: list[str]) -> Iterator[Checked]:
    """Judge files, and the job files of folders in order of their names; an empty folder is one that is refused."""
    for place in places:
        if not Path(place).is_dir():
            checked = check_file(place)
            assert checked is not None
            yield checked
            continue
        found = False
        for path in sorted(Path(place).glob("*.json"), key=lambda each: each.name):
            checked = check_file(str(path), pass_over_others=True)
            if checked is not None:
                found = True
                yield checked
        if not found:
            yield _refused(
                place,
                "an empty folder",
                "There is no job file (*.json) in this folder. Name the folder that holds them.",
            )


def check_file(file: str, pass_over_others: bool = False) -> Checked | None:
    """Judge one file.

    Parameters: file: its path; pass_over_others: give None for a JSON file that says it is of another format.
    """
    try:
        tree = parse(content_of(file))
        if pass_over_others and isinstance(tree, dict) and isinstance(tree.get("format"), str) and tree["format"] != FORMAT:
            return None
        job = job_from_tree(tree)
    except JobErrors as error:
        return Checked(file, None, None, error.errors)
    return Checked(file, job, assess(job), ())


def content_of(file: str) -> bytes:
    """What a file holds; no more of it than shows that it is too large. Raises: JobErrors where it cannot be read."""
    try:
        with Path(file).open("rb") as stream:
            return stream.read(MOST_BYTES + 1)
    except OSError as error:
        reason = (error.strerror or "it cannot be read").lower()
        raise JobErrors([Problem("", reason, f"The file cannot be read: {reason}. Check its name and place.")]) from None


def _refused(file: str, found: str, text: str) -> Checked:
    return Checked(file, None, None, (Problem("", found, text),))


def _print_json(checked: Checked, single: bool) -> None:
    if single:
        print(json.dumps(checked.to_json(), indent=1))
    else:
        print(json.dumps({"file": checked.file, **checked.to_json()}))
    if checked.errors and single:
        print(terminal.problems(checked.errors), file=sys.stderr)


def _print(checked: Checked, single: bool, working: int | None) -> None:
    colour = sys.stdout.isatty() and "NO_COLOR" not in os.environ
    if not single:
        print(f"{'=' * terminal.WIDTH}\n{terminal.clean(checked.file)}\n")
    if checked.findings is None:
        sys.stdout.flush()
        print(terminal.problems(checked.errors), file=sys.stderr)
        return
    print(terminal.report(checked.findings, colour, demo=bool(checked.job and checked.job.demo)))
    if working is not None and checked.job is not None:
        shown = terminal.working(checked.findings, checked.job, working)
        print(shown or f"\nUnit {working} has no reading in this job.")
