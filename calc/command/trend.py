"""`python -m calc trend`: past job files to drift, time to the tolerance, and the next check."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from calc.command.check import UNUSABLE_STATUS, Checked, checked_files
from calc.command.pictures import write_picture
from calc.show import terminal

if TYPE_CHECKING:
    from calc.history import History
    from calc.judge.history import Check

_TELL_EVERY = 500


def add_options(add: argparse.ArgumentParser) -> None:
    """The options of the command."""
    add.add_argument("jobs", nargs="+", metavar="FOLDER", help="a folder of past job files, or the files themselves")
    add.add_argument("--json", action="store_true", help="the trends as JSON")
    add.add_argument("--picture", metavar="FILE", help="write a picture of all units to this SVG file too, one for each engine")
    add.add_argument("--interval", type=_hours, metavar="H", help="running hours between checks, from the maker's papers")
    add.add_argument("--parts-changed", type=_hours, metavar="H", help="running hours at which parts were changed")
    add.add_argument("--now", type=_hours, metavar="H", help="running hours now; absent means those of the last check")
    add.add_argument("--hours-per-day", type=_a_day, metavar="H", help="running hours a day, to tell the days")
    add.add_argument("--needs", type=_hours, metavar="H", default=0.0, help="hours in port that the check needs")
    add.add_argument(
        "--call", type=_call, metavar="DAYS:HOURS", action="append", default=[], help="a port call, as often as there are calls"
    )


def _number(text: str) -> float:
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no number. Write it like 7200.") from None
    if not 0.0 <= value <= 1e7:
        raise argparse.ArgumentTypeError(f"{text!r} is not from 0 to 10 000 000. Check it.")
    return value


def _hours(text: str) -> float:
    return _number(text)


def _a_day(text: str) -> float:
    value = _number(text)
    if not 0.0 < value <= 24.0:
        raise argparse.ArgumentTypeError(f"{text!r} found. A day has more than 0 and at most 24 running hours.")
    return value


def _call(text: str) -> tuple[float, float]:
    days, colon, hours = text.partition(":")
    if not colon:
        raise argparse.ArgumentTypeError(f"{text!r} found. Write days from today and hours in port, like 61:40.")
    return _number(days), _number(hours)


def run(options: argparse.Namespace) -> int:
    """The command. Returns: 0, or 2 where a file or folder could not be used; the others are told all the same."""
    # Loaded when they are asked for: no other command waits for them.
    from calc.judge.history import Wanted, check_of, history
    from calc.show.history import report

    checks: list[Check] = []
    without_hours: list[str] = []
    refused: list[Checked] = []
    files = 0
    for checked in checked_files(options.jobs):
        files += 1
        if files % _TELL_EVERY == 0 and sys.stderr.isatty():
            print(f"{files} files", file=sys.stderr)
        if checked.job is None or checked.findings is None:
            refused.append(checked)
            continue
        check = check_of(checked.job, checked.findings)
        if check is None:
            without_hours.append(checked.file)
        else:
            checks.append(check)
    wanted = Wanted(
        interval_h=options.interval,
        parts_changed_hours=options.parts_changed,
        now_hours=options.now,
        hours_per_day=options.hours_per_day,
        needs_h=options.needs,
        calls=tuple(options.call),
    )
    found = history(checks, files, without_hours, wanted)
    if options.json:
        bad = [{"file": each.file, **each.to_json()} for each in refused]
        print(json.dumps({**found.to_json(), "errors": bad}, indent=1))
    elif checks or not refused:
        print(report(found))
    sys.stdout.flush()
    for each in refused:
        print(f"{terminal.clean(each.file)}\n{terminal.problems(each.errors)}", file=sys.stderr)
    written = options.picture is None or _write_pictures(found, Path(options.picture))
    return UNUSABLE_STATUS if refused or not written else 0


def _write_pictures(found: History, place: Path) -> bool:
    """One file for each engine: the name that was given, then with -2, -3 behind it. Returns: whether all were written."""
    from calc.show.trend_strip import trend_strip

    for number, engine in enumerate(found.engines, 1):
        path = place if number == 1 else place.with_stem(f"{place.stem}-{number}")
        if not write_picture(trend_strip(engine), str(path)):
            return False
    return True
