"""`python -m calc`: its commands and their options."""

from __future__ import annotations

import argparse
import codecs
import os
import sys
from collections.abc import Sequence
from textwrap import fill

from calc.command import check, fields, paper, plan
from calc.job.describe import RECORD, RECORDS, walk
from calc.job.model import Job
from calc.version import PROGRAM

STATUS = "Status: 0 within; 1 outside, too close to tell or not complete; 2 the job cannot be used."

# What a terminal without these signs shows instead.
_PLAIN = {
    "−": "-",
    "±": "+/-",
    "°": " deg",
    "·": "-",
    "¼": " 1/4",
    "½": " 1/2",
    "¾": " 3/4",
    "…": "...",
    "—": "-",
    "–": "-",
}
_PLAIN |= {"“": '"', "”": '"', "√": "sqrt", "π": "pi", "ν": "nu", "∞": "inf", "²": "2", "³": "3"}


def _in_plain_signs(error: UnicodeError) -> tuple[str, int]:
    assert isinstance(error, UnicodeEncodeError)
    return _PLAIN.get(error.object[error.start], "?"), error.start + 1


def parser() -> argparse.ArgumentParser:
    """The command line as argparse knows it. Its help is made from the field descriptions."""
    top = argparse.ArgumentParser(
        prog="python -m calc",
        description="Timing of valve-controlled injection pumps: judges the readings of a job file.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=PROGRAM)
    commands = top.add_subparsers(dest="command", metavar="COMMAND")
    add = commands.add_parser(
        "check",
        help="judge one or more job files",
        description="Judge job files: is each unit's timing within, how sure is that, why not, and what to correct.",
        epilog=f"{STATUS}\n\n{_needed()}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add.add_argument("jobs", nargs="+", metavar="JOB.json", help="a job file, or a folder of them")
    add.add_argument("--json", action="store_true", help="findings as JSON; for several files one object a line")
    add.add_argument("--working", type=int, metavar="UNIT", help="show the working of this unit, line by line")
    add.set_defaults(run=check.run)
    add = commands.add_parser(
        "record",
        help="write the record of a job for paper",
        description="The record of a job as one self-contained HTML file, to print on A4 from any browser.",
        epilog=STATUS,
    )
    add.add_argument("job", metavar="JOB.json", help="a job file")
    add.add_argument("--out", metavar="FILE", help="write it to this file and not to standard output")
    add.add_argument("--blank", action="store_true", help="blank forms for the pump side, with the job's reference settings")
    add.set_defaults(run=paper.run_record)
    add = commands.add_parser(
        "csv",
        help="write readings or findings as CSV",
        description="The readings of a job as CSV (RFC 4180, UTF-8), one line a repeat, for a spreadsheet.",
        epilog=STATUS,
    )
    add.add_argument("job", metavar="JOB.json", help="a job file")
    add.add_argument("--findings", action="store_true", help="the findings, one line a unit and stage")
    add.add_argument("--out", metavar="FILE", help="write it to this file and not to standard output")
    add.set_defaults(run=paper.run_csv)
    add = commands.add_parser(
        "plan",
        help="plan the turning: which stop, which unit, which gauge set",
        description="The way of turning the flywheel from stop to stop that costs least, as a timetable.",
        epilog="Status: 0 a plan is given; 2 the job cannot be used.",
    )
    plan.add_options(add)
    show = commands.add_parser(
        "fields",
        help="list the fields of a job file",
        description="Every field of a job file: its path, unit, what is allowed, and whether it is needed.",
    )
    show.add_argument("path", nargs="?", default="", metavar="PATH", help="only fields below this path, such as engine")
    show.set_defaults(run=fields.run)
    return top


def _needed() -> str:
    groups = (RECORD, RECORDS)
    paths = [path for path, field in walk(Job) if field.required and field.kind not in groups]
    return fill(f"A job file needs: {', '.join(paths)}. See: python -m calc fields", 78)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command. Returns: its status."""
    codecs.register_error("spillmark", _in_plain_signs)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="spillmark")
    top = parser()
    options = top.parse_args(arguments)
    if options.command is None:
        top.print_help()
        return 0
    try:
        status: int = options.run(options)
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader has gone, as with `| head`. Keep Python from complaining about it at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    return status
