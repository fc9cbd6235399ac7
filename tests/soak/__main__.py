"""Measure what the project withstands: `python -m tests.soak [--only NAME] [--quick]`.

Each part leaves what it found in .build/soak/; the report is kept as soon as every part has left something there. A run of all
parts begins without what earlier ones have left, so that its report is of that run alone. It says which parts ran later.
"""

import argparse
import json
import sys
import time
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

from site_demo.measured import MEASURED, Figure, keep
from site_demo.stamps import ROOT
from tests.pages import finding

from .cases import cases
from .fuzz.part import fuzz
from .kills import kills
from .memory import memory
from .part import Found
from .same_numbers import same_numbers
from .workers import workers

LEFT = ROOT / ".build" / "soak"
PARTS: dict[str, Callable[[bool], Found]] = {
    "fuzz": fuzz,
    "kills": kills,
    "workers": workers,
    "memory": memory,
    "numbers": same_numbers,
    "cases": cases,
}


def leave(name: str, found: Found, run: float) -> None:
    """Leave what a part found, and in which run."""
    LEFT.mkdir(parents=True, exist_ok=True)
    (LEFT / f"{name}.json").write_text(json.dumps({"run": run, **asdict(found)}), "utf-8")


def left() -> list[Found] | None:
    """What all parts have found last, and which of them ran later than the first run; None while one has left nothing."""
    files = [LEFT / f"{name}.json" for name in PARTS]
    if not all(file.is_file() for file in files):
        return None
    trees = [json.loads(file.read_text("utf-8")) for file in files]
    found = [Found(tuple(Figure(**figure) for figure in tree["figures"]), tuple(tree["told"])) for tree in trees]
    first = min(tree["run"] for tree in trees)
    later = [name for name, tree in zip(PARTS, trees, strict=True) if tree["run"] > first]
    if later:
        found.append(
            Found(
                (), (f"**Runs.** Not everything comes from one run. These parts ran later, by themselves: {', '.join(later)}.",)
            )
        )
    return found


def main() -> int:
    """Parse the command line and measure. A missed goal is marked; it does not fail."""
    parser = argparse.ArgumentParser(prog="python -m tests.soak", description=__doc__)
    parser.add_argument("--only", choices=list(PARTS), action="append", help="this part; may be given several times")
    parser.add_argument("--quick", action="store_true", help="a little of each, to try the machinery; nothing is kept")
    parser.add_argument("--keep-in", type=Path, default=MEASURED, metavar="FOLDER")
    options = parser.parse_args()
    if not options.only and not options.quick:
        for name in PARTS:
            (LEFT / f"{name}.json").unlink(missing_ok=True)
    run = time.time()
    for name in options.only or PARTS:
        print(f"{name}:", flush=True)
        try:
            found = PARTS[name](options.quick)
        except finding.Missing as missing:
            print(missing, file=sys.stderr)
            return 1
        for figure in found.figures:
            print(f"  {figure}", flush=True)
        for text in found.told:
            print(f"  {text}", flush=True)
        if not options.quick:
            leave(name, found, run)
    everything = None if options.quick else left()
    if everything:
        figures = [figure for found in everything for figure in found.figures]
        told = [text for found in everything for text in found.told]
        keep("soak", "What it withstood", figures, command="make soak", told=told, folder=options.keep_in)
    return 0


if __name__ == "__main__":
    sys.exit(main())
