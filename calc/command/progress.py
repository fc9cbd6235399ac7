"""`python -m calc progress`: how far a job is, step by step, gaps and all."""

from __future__ import annotations

import argparse
import json
import os
import sys

from calc.command.check import UNUSABLE_STATUS, content_of
from calc.findings import findings_to_tree
from calc.job.opening import opened
from calc.job.problems import JobErrors
from calc.show import terminal
from calc.work.begun import Begun, begun_file
from calc.work.report import report

COMPLETE_STATUS, OPEN_STATUS = 0, 1


def run(options: argparse.Namespace) -> int:
    """The command. Returns: 0 complete, 1 not complete, 2 no job file."""
    so_far = begun_from(options.job)
    if so_far is None:
        return UNUSABLE_STATUS
    made = report(so_far)
    if options.json:
        print(json.dumps(findings_to_tree(made), indent=1))
    else:
        colour = sys.stdout.isatty() and "NO_COLOR" not in os.environ
        print(terminal.progress(made, colour, demo=so_far.composed.tree.get("demo") is True))
    return status_of(so_far)


def begun_from(file: str) -> Begun | None:
    """The job in a file as far as it is; None where it is no job file, which is then told."""
    try:
        return begun_file(opened(content_of(file)))
    except JobErrors as error:
        print(terminal.problems(error.errors), file=sys.stderr)
        return None


def status_of(so_far: Begun) -> int:
    """0 complete, 1 not complete."""
    return COMPLETE_STATUS if so_far.progress.complete else OPEN_STATUS
