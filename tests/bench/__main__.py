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
    yield browser.start_file_ratio(site, runs=runs)


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
    except finding.Missing as missing:
        print(missing, file=sys.stderr)
        return 1
    keep("bench", "Speed and size", measured, command="make bench", folder=options.keep_in)
    return 0


if __name__ == "__main__":
    sys.exit(main())
