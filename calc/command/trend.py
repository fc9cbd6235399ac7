"""`python -m calc trend`: past job files to drift, time to the tolerance, and the next check."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from textwrap import indent
from typing import TYPE_CHECKING, Any

from calc.command import fleet
from calc.command.check import UNUSABLE_STATUS, Checked
from calc.command.pictures import write_picture
from calc.job.describe import TABLE, fields_of
from calc.job.typed import read_typed
from calc.judge.wanted import OPTIONS, Wanted
from calc.show import terminal

if TYPE_CHECKING:
    from calc.history import EngineTrend, HistoryNotice


def add_options(add: argparse.ArgumentParser) -> None:
    """The options of the command; what the next check depends on is described with `Wanted`."""
    add.add_argument("jobs", nargs="+", metavar="FOLDER", help="a folder of past job files, or the files themselves")
    add.add_argument("--json", action="store_true", help="the trends as JSON")
    add.add_argument("--picture", metavar="FILE", help="write a picture of all units to this SVG file too, one for each engine")
    for field in fields_of(Wanted):
        option, value = OPTIONS[field.name]
        if field.kind == TABLE:
            columns = " and ".join(column.label for column in field.columns)
            said = f"{field.label}: {columns}, as often as there are calls"
            add.add_argument(option, dest=field.name, metavar=value, action="append", help=said)
        else:
            words = (field.label, field.help.rstrip("."), field.find and f"Find it: {field.find[:1].lower()}{field.find[1:-1]}")
            add.add_argument(option, dest=field.name, metavar=value, help=". ".join(each for each in words if each))
    fleet.add_option(add)
    add.set_defaults(run=run, usage_error=add.error)


def _wanted(options: argparse.Namespace) -> Wanted:
    """What the options say of the next check; a slip ends the command, with all of them told."""
    texts = {}
    for field in fields_of(Wanted):
        given = getattr(options, field.name)
        if isinstance(given, list):
            given = "\n".join(each.replace(":", " ") for each in given)
        texts[field.name] = given or ""
    blank = [name for name, text in texts.items() if getattr(options, name) is not None and not text.strip()]
    typed = read_typed(Wanted, texts)
    slips = [*(f"argument {OPTIONS[name][0]}: nothing found. Write a number." for name in blank)]
    slips += [f"argument {OPTIONS[name][0]}: {words}" for name, words in typed.errors.items()]
    if slips:
        options.usage_error(" ".join(slips))
    wanted: Wanted = typed.record
    return wanted


@dataclass(frozen=True, slots=True)
class _Past:
    """What the first process needs of one file: the check as plain values, None without running hours; or what is wrong."""

    file: str
    check: list[Any] | None
    errors: dict[str, Any] | None = None
    told: str = ""


def _past(checked: Checked) -> _Past:
    from calc.judge.past import check_of

    if checked.job is None or checked.findings is None:
        return _Past(checked.file, None, checked.to_json(), terminal.problems(checked.errors))
    check = check_of(checked.job, checked.findings, checked.file)
    return _Past(checked.file, None if check is None else check.to_tree())


def run(options: argparse.Namespace) -> int:
    """The command. Returns: 0, or 2 where a file or folder could not be used; the others are told all the same."""
    # Loaded when they are asked for: no other command waits for them.
    from calc.judge.history import each_engine, no_hours
    from calc.judge.past import check_from

    wanted = _wanted(options)
    checks, notices, refused, files = [], [], [], 0
    for past in fleet.each(options.jobs, _past, options.processes):
        files += 1
        if past.errors is not None:
            if options.json:
                refused.append({"file": past.file, **past.errors})
            print(f"{terminal.clean(past.file)}\n{past.told}", file=sys.stderr)
        elif past.check is None:
            notices.append(no_hours(past.file))
        else:
            checks.append(check_from(past.check))
    any_refused = len(checks) + len(notices) < files
    engines = _Pictured(each_engine(checks, wanted), options.picture)
    if options.json:
        _print_json(engines, files, notices, refused)
    elif checks or not any_refused:
        _print(engines, files, notices)
    sys.stdout.flush()
    return UNUSABLE_STATUS if any_refused or not engines.written else 0


class _Pictured:
    """Engines as they come, each drawn where a picture is wanted; `written` says whether all pictures were."""

    def __init__(self, engines: Iterator[tuple[EngineTrend, list[HistoryNotice]]], picture: str | None) -> None:
        self._engines = engines
        self._picture = picture
        self.written = True

    def __iter__(self) -> Iterator[tuple[EngineTrend, list[HistoryNotice]]]:
        """One engine after the other."""
        for number, (engine, said) in enumerate(self._engines, 1):
            if self._picture is not None:
                self._draw(engine, number, Path(self._picture))
            yield engine, said

    def _draw(self, engine: EngineTrend, number: int, place: Path) -> None:
        """One file for each engine: the name that was given, then with -2, -3 behind it."""
        from calc.show.trend_strip import trend_strip

        path = place if number == 1 else place.with_stem(f"{place.stem}-{number}")
        self.written &= write_picture(trend_strip(engine), str(path))


def _print(engines: _Pictured, files: int, notices: list[HistoryNotice]) -> None:
    from calc.show.history import ending, lines_of

    for engine, said in engines:
        print("\n".join([*lines_of(engine), ""]))
        notices += said
    print("\n".join(ending(notices, files)))


def _print_json(engines: _Pictured, files: int, notices: list[HistoryNotice], refused: list[dict[str, Any]]) -> None:
    """As `History.to_json` gives it, with the errors; engine by engine, so that none has to be held."""
    from calc.findings import findings_to_tree
    from calc.history import History

    empty = History.empty(files).to_json()
    head = {key: value for key, value in empty.items() if key not in ("engines", "notices")}
    print(json.dumps(head, indent=1).removesuffix("\n}") + ',\n "engines": [', end="")
    between = "\n"
    for engine, said in engines:
        print(f"{between}{indent(json.dumps(findings_to_tree(engine), indent=1), '  ')}", end="")
        between = ",\n"
        notices += said
    rest = {"notices": [findings_to_tree(each) for each in notices], "errors": refused}
    print("\n ],\n" + json.dumps(rest, indent=1).removeprefix("{\n"))
