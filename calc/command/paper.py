"""`python -m calc record`, `handover` and `csv`: a job as paper or as a table, to a file or to standard output."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path

from calc.command.check import UNUSABLE_STATUS, check_file
from calc.command.progress import begun_from, status_of
from calc.findings import Findings
from calc.job.model import Job
from calc.show import terminal
from calc.show.blank import blank_form
from calc.show.handover import handover_page
from calc.show.record import record
from calc.show.sheet import findings_csv, readings_csv, table_csv
from calc.work.begun import Begun


def run_record(options: argparse.Namespace) -> int:
    """Write the record, or blank forms. Returns: the status that `check` gives this job; for forms that of `progress`."""
    if options.blank:
        return _write_so_far(options, blank_form)
    return _write(options, lambda found, job: record(found, job))


def run_handover(options: argparse.Namespace) -> int:
    """Write the handover page. Returns: the status that `progress` gives this job."""
    return _write_so_far(options, handover_page)


def run_csv(options: argparse.Namespace) -> int:
    """Write the readings, the findings, or another list, as CSV. Returns: the status that `check` gives this job."""
    if options.table:
        return _write(options, lambda _, job: table_csv(job, options.table))
    return _write(options, lambda found, job: findings_csv(found) if options.findings else readings_csv(job))


def _write(options: argparse.Namespace, made: Callable[[Findings, Job], str]) -> int:
    """From a whole job."""
    checked = check_file(options.job)
    assert checked is not None
    if checked.findings is None or checked.job is None:
        print(terminal.problems(checked.errors), file=sys.stderr)
        return checked.status
    return _put(options.out, made(checked.findings, checked.job), checked.status)


def _write_so_far(options: argparse.Namespace, made: Callable[[Begun], str]) -> int:
    """From a job that may have gaps."""
    so_far = begun_from(options.job)
    return UNUSABLE_STATUS if so_far is None else _put(options.out, made(so_far), status_of(so_far))


def _put(out: str | None, text: str, status: int) -> int:
    # Half a character, which a job file can spell, has no place in UTF-8.
    content = text.encode("utf-8", "replace")
    if out is None:
        sys.stdout.flush()
        sys.stdout.buffer.write(content)
        return status
    try:
        Path(out).write_bytes(content)
    except OSError as error:
        print(terminal.not_written(out, error), file=sys.stderr)
        return UNUSABLE_STATUS
    return status
