"""`python -m calc record` and `python -m calc csv`: a job as paper or as a table, to a file or to standard output."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path

from calc.command.check import UNUSABLE_STATUS, check_file
from calc.findings import Findings
from calc.job.model import Job
from calc.show import terminal
from calc.show.blank import blank_form
from calc.show.record import record
from calc.show.sheet import findings_csv, readings_csv


def run_record(options: argparse.Namespace) -> int:
    """Write the record, or blank forms. Returns: the status that `check` gives this job."""
    return _write(options, lambda found, job: blank_form(job) if options.blank else record(found, job))


def run_csv(options: argparse.Namespace) -> int:
    """Write the readings, or the findings, as CSV. Returns: the status that `check` gives this job."""
    return _write(options, lambda found, job: findings_csv(found) if options.findings else readings_csv(job))


def _write(options: argparse.Namespace, made: Callable[[Findings, Job], str]) -> int:
    checked = check_file(options.job)
    assert checked is not None
    if checked.findings is None or checked.job is None:
        print(terminal.problems(checked.errors), file=sys.stderr)
        return checked.status
    # Half a character, which a job file can spell, has no place in UTF-8.
    content = made(checked.findings, checked.job).encode("utf-8", "replace")
    if options.out is None:
        sys.stdout.flush()
        sys.stdout.buffer.write(content)
        return checked.status
    try:
        Path(options.out).write_bytes(content)
    except OSError as error:
        print(terminal.not_written(options.out, error), file=sys.stderr)
        return UNUSABLE_STATUS
    return checked.status
