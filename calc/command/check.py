"""`python -m calc check`: judge job files."""

from __future__ import annotations

import argparse
import json
import os
import sys
from dataclasses import dataclass
from functools import partial
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


@dataclass(frozen=True, slots=True)
class Told:
    """What there is to say of one file: its status, and the texts for standard output and standard error."""

    status: int
    out: str
    err: str


def run(options: argparse.Namespace) -> int:
    """The command. Returns: the highest status of its files."""
    # It builds on this module, and brings what only many files need.
    from calc.command.fleet import each

    single = len(options.jobs) == 1 and not Path(options.jobs[0]).is_dir()
    colour = sys.stdout.isatty() and "NO_COLOR" not in os.environ
    say = partial(_json, single) if options.json else partial(_text, single, colour, options.working)
    status = WITHIN_STATUS
    for told in each(options.jobs, say, options.processes):
        status = max(status, told.status)
        if told.out:
            print(told.out)
        if told.err:
            sys.stdout.flush()
            print(told.err, file=sys.stderr)
    return status


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


def refused(file: str, *problems: Problem) -> Checked:
    """A file that cannot be used."""
    return Checked(file, None, None, problems)


def _json(single: bool, checked: Checked) -> Told:
    out = json.dumps(checked.to_json(), indent=1) if single else json.dumps({"file": checked.file, **checked.to_json()})
    return Told(checked.status, out, terminal.problems(checked.errors) if checked.errors and single else "")


def _text(single: bool, colour: bool, working: int | None, checked: Checked) -> Told:
    head = "" if single else f"{'=' * terminal.WIDTH}\n{terminal.clean(checked.file)}\n\n"
    if checked.findings is None or checked.job is None:
        return Told(checked.status, head.removesuffix("\n"), terminal.problems(checked.errors))
    out = head + terminal.report(checked.findings, colour, demo=bool(checked.job.demo))
    if working is not None:
        shown = terminal.working(checked.findings, checked.job, working)
        out += "\n" + (shown or f"\nUnit {working} has no reading in this job.")
    return Told(checked.status, out, "")
