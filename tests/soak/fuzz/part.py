"""The figures of all fuzzing."""

import os
import shutil
import time

from site_demo.stamps import ROOT
from tests.soak.part import Found, count

from . import any_file, covered, guided
from .taken import HANG_S
from .tally import Tally

FILES, GUIDED, OTHERS = 13_500, 6_600, 3_000
# Large enough that no two runs meet.
_START = int(time.time()) % 1_000_000_000


def fuzz(quick: bool) -> Found:
    """Files and other inputs that nobody wrote."""
    files, more, others = (60, 0, 18) if quick else (FILES, GUIDED, OTHERS)
    folder = ROOT / ".build" / "soak" / "guided"
    shutil.rmtree(folder, ignore_errors=True)
    by_coverage = guided.begin(more, _START, folder) if more else None
    drawn, inputs = any_file.side_by_side(files, others, _START, 1 if quick else max(1, (os.cpu_count() or 2) - 1))
    total = Tally()
    total.add(drawn)
    told: tuple[str, ...] = ()
    figures = []
    if by_coverage is not None:
        if by_coverage.wait() != 0:
            raise RuntimeError(f"The fuzzer that coverage leads has ended with an error; it stands in {folder / 'log'}.")
        led = Tally.read(folder / "tally.json")
        kept = sum(1 for _ in (folder / "corpus").iterdir())
        total.add(led)
        figures = [
            count(
                "fuzz_lines_reached",
                covered.percent(folder / "corpus"),
                f"percent of the lines in calc ({covered.READERS}) reached by the {kept} files that coverage chose to keep; "
                "counted by coverage.py",
            )
        ]
        told = (
            f"**Fuzzing.** Hypothesis draws {drawn.files} job files. Most are sound jobs with some changes: numbers at "
            "the ends of what a double holds, hostile texts, keys twice, values of other places. Others are JSON of "
            f"another kind, bytes, wrong encodings, deep nesting, or 10 MB long. Coverage leads {led.files} more "
            "(atheris): a file that reached new code is changed again. Each file is read and judged, opened in the "
            "form, saved and opened again. Then it is asked for a paper, a table, a trend, a plan or a calculation. "
            "Every tenth goes to one of the commands.",
        )
    rest = "read, judged, opened, saved, printed"
    figures = [
        count(
            "fuzz_files",
            total.files,
            f"job files {rest}: drawn {drawn.files}, led by coverage {total.files - drawn.files}; seed {_START}",
            at_least=None if quick else 20_000,
        ),
        count(
            "fuzz_crashes",
            total.crashes,
            "any error that is not a declared one, NaN in an answer, markup or a formula from a text",
            goal=0,
        ),
        count(
            "fuzz_hangs",
            total.hangs,
            f"files that took more than {HANG_S:g} s of the process's own time for everything together",
            goal=0,
        ),
        count(
            "fuzz_errors_without_place",
            total.placeless,
            "errors that name neither a path, nor a line or position, nor the file as a whole",
            goal=0,
        ),
        count("fuzz_slowest_s", total.slowest_s, f"the slowest file; most of it in: {total.slowest}", goal=HANG_S),
        *figures,
        count(
            "fuzz_other_inputs",
            inputs.files,
            "inputs of calculations, forms as typed, past checks, kept plans, answers of lessons, practice engines, moves",
        ),
        count(
            "fuzz_other_troubles",
            inputs.crashes + inputs.hangs + inputs.placeless,
            "crashes, hangs and errors without a place there",
            goal=0,
        ),
    ]
    told += tuple(f"Broke: {said}" for said in [*total.said, *inputs.said])
    return Found(tuple(figures), told)
