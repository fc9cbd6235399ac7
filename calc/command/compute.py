"""`python -m calc compute`: the calculations around the job, input on standard input."""

from __future__ import annotations

import argparse
import json
import sys
from difflib import get_close_matches

from calc.command.fields import described
from calc.command.pictures import write_picture
from calc.compute.answer import Calculation
from calc.compute.registry import CALCULATIONS
from calc.compute.run import compute
from calc.job.describe import walk
from calc.job.parse import MOST_BYTES
from calc.show import terminal
from calc.show.computed import report
from calc.show.plots import picture_of

UNUSABLE_STATUS = 2


def run(options: argparse.Namespace) -> int:
    """The command. Returns: 0 answered, 1 something asked for does not exist, 2 the input or the command cannot be used."""
    if options.name is None:
        print(listing())
        return 0
    if options.name not in CALCULATIONS:
        name = terminal.clean(options.name)
        near = get_close_matches(options.name, CALCULATIONS, 1)
        hint = f" Did you mean {near[0]}?" if near else ""
        print(f"There is no calculation {name!r}.{hint} Run: python -m calc compute", file=sys.stderr)
        return UNUSABLE_STATUS
    calculation = CALCULATIONS[options.name]
    if options.fields:
        print("\n".join(_fields(calculation)))
        return 0
    if sys.stdin.isatty():
        print("Type the input as JSON and end it with Ctrl-D (Windows: Ctrl-Z). --fields says what goes in.", file=sys.stderr)
    done = compute(calculation, sys.stdin.buffer.read(MOST_BYTES + 1))
    if options.json:
        print(json.dumps(done.to_json(), indent=1, allow_nan=False))
    if done.answer is None:
        sys.stdout.flush()
        print(terminal.problems(done.errors, f"input of {calculation.name}", "input"), file=sys.stderr)
        return done.status
    if not options.json:
        print(report(done))
    if options.picture is not None:
        drawn = picture_of(done)
        if drawn is None:
            print(f"{calculation.name} has no picture for this result.", file=sys.stderr)
        elif not write_picture(drawn, options.picture):
            return UNUSABLE_STATUS
    return done.status


def listing() -> str:
    """The names of all calculations with one line each."""
    width = max(map(len, CALCULATIONS))
    return "\n".join(f"{name:<{width}}  {each.what}" for name, each in CALCULATIONS.items())


def _fields(calculation: Calculation) -> list[str]:
    example = json.dumps(calculation.example)
    lines = [f"{calculation.name}: {calculation.what}", f"Source: {calculation.source}", "", "Input:"]
    for path, field in walk(calculation.given):
        lines += described(path, field)
    return [*lines, "", *terminal.paragraph(f"Example: {example}", "", "  ")]
