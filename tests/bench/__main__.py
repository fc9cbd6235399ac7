"""Measure, print a line a figure, keep the report: `python -m tests.bench`."""

import argparse
import platform
import sys
from collections.abc import Iterator
from pathlib import Path

from site_demo.measured import MEASURED, Figure, keep
from tests.pages import built, finding

from . import browser, fleet, planning, timed, turning
from .engine import twelve_unit_job

# What was tried to make the start quick, for whoever tries next; sizes as measured when it was tried.
TRIED = (
    "What made the start quick: a picture of Python's memory with the program in it, taken at the build, is put back in the "
    "browser. So neither Python nor the program has to be loaded. The build opens the demo once before it takes the "
    "picture. It compiles everything first and leaves docstrings out: the packed picture shrank from 7.8 to 7.1 MB. The "
    "picture leaves out what the WebAssembly file itself puts into the memory: 7.1 became 5.7 MB. It knows no numbers of "
    "lines: 5.0 MB.",
    "With two cores a start is a matter of work, and of its order. A small script of its own begins the workers before the "
    "form is drawn. A second worker unpacks while the first one gets ready what it has. Pyodide gets an empty picture first "
    "and the true one later, so it does not wait for it. Bytes change hands between page and workers without a copy. The "
    "page draws the step at hand. Other steps, and the theme's menus, come after Python's first answer. The demo is kept as "
    "it is once opened, so it is on show before Python is there. Python judges any other job while the page draws it.",
    "Tried and left: zeros over freed memory made the picture 0.3 % smaller. A picture without the program makes updates "
    "smaller, but the program then takes twice as long to load as Python. Python's files named in the page's head are there "
    "sooner, but the form then comes 0.2 s later: reading them holds up everything else.",
)


def measure(site: Path, *, runs: int) -> Iterator[Figure]:
    """Every figure, as it becomes known."""
    python = platform.python_version()
    calibration = timed.calibration_ms()
    yield Figure(
        name="assess_12_cpython_ms",
        value=timed.assess_ms(twelve_unit_job()),
        unit="ms",
        goal=4.0,
        how=f"calc.assess of a 12-unit job with lift table, median of 31, CPython {python}; "
        f"beside a calibration loop of {calibration:.1f} ms",
    )
    yield Figure(
        name="calibration_cpython_ms",
        value=calibration,
        unit="ms",
        goal=None,
        how=f"100 000 floating-point steps, median of 11, CPython {python}",
    )
    yield fleet.batch(calibration)
    yield from turning.figures()
    yield from browser.assess_in_browser(calc=finding.ROOT / "calc")
    yield browser.content_page_kb(site)
    yield browser.open_job(site, runs=runs)
    yield browser.type_to_paint(site)
    yield planning.first_plan(site)
    yield browser.memory(site)
    yield from browser.starts(site, runs=runs)


def main() -> int:
    """Parse the command line and measure. A missed goal is marked; it does not fail."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("--runs", type=int, default=5, help="starts of each kind, at least 3")
    parser.add_argument("--keep-in", type=Path, default=MEASURED, metavar="FOLDER")
    options = parser.parse_args()
    if options.runs < 3:
        parser.error(f"--runs is {options.runs}; a median needs at least 3")
    measured = []
    try:
        for figure in measure(built.folder(), runs=options.runs):
            print(figure, flush=True)
            measured.append(figure)
        parts = browser.parts_of_start(built.folder(), runs=options.runs)
    except finding.Missing as missing:
        print(missing, file=sys.stderr)
        return 1
    told = [parts, *TRIED]
    keep("bench", "Speed and size", measured, command="make bench", told=told, folder=options.keep_in)
    return 0


if __name__ == "__main__":
    sys.exit(main())
