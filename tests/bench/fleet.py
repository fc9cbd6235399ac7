"""What thousands of job files cost: `python -m tests.bench.fleet [FILES…]` prints a table in Markdown.

The files are copies of the demo's past checks for invented vessels, eight checks each, in a temporary folder. Time of the
cores is that of all processes of the command; memory that of its largest process.
"""

import argparse
import json
import os
import platform
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from calc.command.check import _json
from calc.command.fleet import each
from site_demo.history import FOLDER
from site_demo.measured import Figure
from tests.pages import finding

_SIZES = (100, 1_000, 10_000)
_BATCH = 400
_COMMANDS = (("check", "--json"), ("trend", "--json", "--interval", "7500"))


def make(folder: Path, files: int) -> None:
    """Write so many job files."""
    models = [json.loads(path.read_text("utf-8")) for path in sorted(FOLDER.glob("*.json"))]
    texts = [json.dumps({**model, "vessel": "@"}, separators=(",", ":")).split('"@"') for model in models]
    for number in range(files):
        vessel, check = divmod(number, len(models))
        (folder / f"{vessel:06}-{check}.json").write_text(f'"Invented {vessel}"'.join(texts[check]), "utf-8")


def batch(calibration_ms: float) -> Figure:
    """How many files a second one core judges, told as JSON, in the time of this process alone."""
    with tempfile.TemporaryDirectory() as folder:
        make(Path(folder), _BATCH)
        rates = []
        for _ in range(3):
            begun = time.process_time()
            done = sum(told.status != 2 for told in each([folder], partial(_json, False), 1))
            rates.append(done / (time.process_time() - begun))
    return Figure(
        name="batch_jobs_per_s",
        value=sorted(rates)[1],
        unit="/s",
        goal=None,
        at_least=200.0,
        how=f"check --json over a folder of {_BATCH} jobs of 7 units, one core, its own time, median of 3, "
        f"CPython {platform.python_version()}; beside a calibration loop of {calibration_ms:.1f} ms",
    )


@dataclass(frozen=True)
class Cost:
    """What one run has cost."""

    files: int
    command: str
    processes: int
    seconds: float
    core_seconds: float
    peak_mb: float

    def __str__(self) -> str:
        rates = f"{self.files / self.seconds:.0f} | {self.files / self.core_seconds:.0f}"
        return f"| {self.files} | `{self.command}` | {self.processes} | {self.seconds:.1f} | {rates} | {self.peak_mb:.0f} |"


HEAD = """| Files | Command | Processes | Seconds | Files a second | Files a second of one core | Largest process, MB |
|---|---|---|---|---|---|---|"""


def run(folder: Path, files: int, arguments: tuple[str, ...], processes: int) -> Cost:
    """Run the command on a folder, with its answer thrown away."""
    command = [sys.executable, "-m", "calc", *arguments, "--processes", str(processes), str(folder)]
    begun = time.perf_counter()
    started = subprocess.Popen(command, cwd=finding.ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(started.pid, 0)
    seconds = time.perf_counter() - begun
    started.returncode = os.waitstatus_to_exitcode(status)
    if started.returncode not in (0, 1):
        raise SystemExit(f"{' '.join(command)} ended with status {started.returncode}")
    # The system counts it in kilobytes, but for macOS, which counts bytes.
    peak = used.ru_maxrss / (1e6 if sys.platform == "darwin" else 1e3)
    return Cost(files, arguments[0], processes, seconds, used.ru_utime + used.ru_stime, peak)


def costs(sizes: list[int], processes: list[int]) -> Iterator[Cost]:
    """Every size, command and number of processes."""
    for files in sizes:
        with tempfile.TemporaryDirectory() as folder:
            make(Path(folder), files)
            for arguments in _COMMANDS:
                for count in processes:
                    yield run(Path(folder), files, arguments, count)


def main() -> int:
    """Parse the command line and print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.fleet", description=__doc__)
    parser.add_argument("files", nargs="*", type=int, default=list(_SIZES), metavar="FILES")
    parser.add_argument("--processes", type=int, action="append", metavar="N", help="as often as there are numbers to try")
    options = parser.parse_args()
    print(f"CPython {platform.python_version()}, {platform.system()}, {os.cpu_count()} cores\n\n{HEAD}", flush=True)
    for cost in costs(options.files, options.processes or [1, os.cpu_count() or 1]):
        print(cost, flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
