"""`python -m calc compute`: the calculations around the job, input on standard input."""

from __future__ import annotations

import argparse
import json
import re
import sys
from difflib import get_close_matches
from pathlib import Path

from calc.command.fields import described
from calc.compute.answer import Calculation
from calc.compute.registry import CALCULATIONS
from calc.compute.run import compute
from calc.job.describe import walk
from calc.job.parse import MOST_BYTES
from calc.show import terminal
from calc.show.computed import report
from calc.show.markup import Markup
from calc.show.plots import picture_of

UNUSABLE_STATUS = 2
_NO_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


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


def write_picture(drawn: Markup, place: str) -> bool:
    """Write a picture as an SVG file of its own. Returns: whether it was written; if not, that is told."""
    # A page forgives what XML forbids: signs that no text has, and half a character.
    alone = _NO_XML.sub("?", drawn.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1))
    try:
        Path(place).write_text(f"{alone}\n", encoding="utf-8")
    except OSError as error:
        reason = (error.strerror or "it cannot be written").lower()
        name = terminal.clean(place)
        print(f"{name} cannot be written: {reason}. Name a file in a folder that you can write to.", file=sys.stderr)
        return False
    return True
