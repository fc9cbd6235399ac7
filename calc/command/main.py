"""`python -m calc`: its commands and their options."""

from __future__ import annotations

import argparse
import codecs
import os
import sys
from collections.abc import Sequence
from textwrap import fill

from calc.command import check, fields, fleet, paper, progress, trend
from calc.job.describe import RECORD, RECORDS, walk
from calc.job.model import Job
from calc.show.sheet import table_names
from calc.version import PROGRAM

STATUS = "Status: 0 within; 1 outside, too close to tell or not complete; 2 the job cannot be used."
COMPUTE_STATUS = "Status: 0 answered; 1 something that you asked for does not exist; 2 the input cannot be used."

HOW_FAR = "Status: 0 complete; 1 not complete; 2 the file is no job file. A job with gaps will do."

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
_PLAIN |= {"₀": "0", "₁": "1", "₂": "2", "₅": "5", "⁻": "-", "⁶": "6", "×": "x", "Σ": "sum", "ρ": "rho", "Δ": "d", "φ": "phi"}


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
    fleet.add_option(add)
    add.set_defaults(run=check.run)
    add = commands.add_parser(
        "record",
        help="write the record of a job for paper",
        description="The record of a job as one self-contained HTML file, to print on A4 from any browser.",
        epilog=STATUS,
    )
    add.add_argument("job", metavar="JOB.json", help="a job file")
    _to_file(add)
    add.add_argument("--blank", action="store_true", help="blank forms for the pump side, for which a job with gaps will do")
    add.set_defaults(run=paper.run_record)
    add = commands.add_parser(
        "handover",
        help="write the handover page of a job that is broken off",
        description="What is dangerous, what to close and prove in what order, and what is open: one page of HTML for A4.",
        epilog=HOW_FAR,
    )
    add.add_argument("job", metavar="JOB.json", help="a job file")
    _to_file(add)
    add.set_defaults(run=paper.run_handover)
    add = commands.add_parser(
        "progress",
        help="say how far a job is, step by step",
        description="The steps of the job, what is open in each, and what to close before the engine can be ready.",
        epilog=HOW_FAR,
    )
    add.add_argument("job", metavar="JOB.json", help="a job file")
    add.add_argument("--json", action="store_true", help="as JSON, for other programs")
    add.set_defaults(run=progress.run)
    add = commands.add_parser(
        "csv",
        help="write readings, findings or other lists as CSV",
        description="The readings of a job as CSV (RFC 4180, UTF-8), one line a repeat, for a spreadsheet.",
        epilog=STATUS,
    )
    add.add_argument("job", metavar="JOB.json", help="a job file")
    which = add.add_mutually_exclusive_group()
    which.add_argument("--findings", action="store_true", help="the findings, one line a unit and stage")
    which.add_argument("--table", choices=list(table_names()), help="another list of the job, one line an entry")
    _to_file(add)
    add.set_defaults(run=paper.run_csv)
    add = commands.add_parser(
        "plan",
        help="plan the turning: which stop, which unit, which gauge set",
        description="The way of turning the flywheel from stop to stop that costs least, as a timetable.",
        epilog="Status: 0 a plan is given; 2 the job cannot be used.",
    )
    _plan_options(add)
    show = commands.add_parser(
        "fields",
        help="list the fields of a job file",
        description="Every field of a job file: its path, unit, what is allowed, and whether it is needed.",
    )
    show.add_argument("path", nargs="?", default="", metavar="PATH", help="only fields below this path, such as engine")
    show.set_defaults(run=fields.run)
    add = commands.add_parser(
        "trend",
        help="drift over past job files, and the next check",
        description="Past job files to each unit's drift in 1000 running hours, the time to its tolerance, and the next check.",
        epilog="Status: 0 told; 2 a file could not be used (the others are told all the same).",
    )
    trend.add_options(add)
    add = commands.add_parser(
        "compute",
        help="do one of the calculations around the job",
        description="One calculation: its input is a JSON object on standard input. Without a name, the names are listed.",
        epilog=COMPUTE_STATUS,
    )
    add.add_argument("name", nargs="?", metavar="NAME", help="the calculation")
    add.add_argument("--json", action="store_true", help="the result as JSON")
    add.add_argument("--fields", action="store_true", help="say what its input holds, with an example")
    add.add_argument("--picture", metavar="FILE", help="write its picture to this SVG file too")
    add.set_defaults(run=_compute)
    add = commands.add_parser(
        "recalls",
        help="list the versions that are recalled",
        description="Released versions that computed something wrong: which numbers, how to tell, what to do. "
        "Each as a notice for a mail or for paper.",
        epilog="Status: 0.",
    )
    add.set_defaults(run=_recalls)
    return top


def _recalls(options: argparse.Namespace) -> int:
    """Loaded when it is asked for."""
    from calc.command import recalls

    return recalls.run(options)


def _plan_options(add: argparse.ArgumentParser) -> None:
    add.add_argument("job", metavar="JOB.json", help="a job file")
    add.add_argument("--sets", type=int, required=True, metavar="K", help="gauge sets that you have, 1 or more")
    add.add_argument("--ahead-only", action="store_true", help="never turn astern; in a job for astern, never ahead")
    add.add_argument("--units", metavar="1,3,5", help="plan these units only")
    add.add_argument(
        "--from",
        dest="from_deg",
        type=float,
        metavar="ANGLE",
        help="the flywheel angle at which it stands now, in degrees; without it the plan begins anywhere",
    )
    add.add_argument(
        "--done",
        action="append",
        default=[],
        metavar="1,3:base:2",
        help="units begun or finished: unit, the last task done (peak, base, closing, opening; opening where none is named), "
        "and the set that is on it",
    )
    add.add_argument(
        "--seconds", type=float, metavar="S", help="stop looking for a better plan, and for its proof, after S seconds"
    )
    add.add_argument("--json", action="store_true", help="the plan as JSON")
    add.add_argument(
        "--sheet", metavar="FILE", help="write the timetable, large, to this HTML file, to print for the turning gear"
    )
    add.set_defaults(run=_plan, usage_error=add.error)


def _plan(options: argparse.Namespace) -> int:
    """Loaded when it is asked for, like the calculations."""
    from calc.command import plan

    return plan.run(options)


def _compute(options: argparse.Namespace) -> int:
    """Loaded when it is asked for: the calculations would make every other command slower to start."""
    from calc.command import compute

    return compute.run(options)


def _to_file(command: argparse.ArgumentParser) -> None:
    command.add_argument("-o", "--out", metavar="FILE", help="write it to this file and not to standard output")


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
    except KeyboardInterrupt:
        print("Stopped by hand.", file=sys.stderr)
        return 130
    except BrokenPipeError:
        # The reader has gone, as with `| head`. Keep Python from complaining about it at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    return status
