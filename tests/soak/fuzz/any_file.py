"""Hypothesis chooses: `python -m tests.soak.fuzz.any_file COUNT SEED TALLY.json`, a process for each core."""

import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from random import Random

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from site_demo.stamps import ROOT

from . import others
from .made import any_file
from .taken import taken
from .tally import Tally

# Hypothesis keeps all choices of a test; in one long test it would come to a stop.
_ROUND = 500


def tried(count: int, start: int) -> Tally:
    """Give so many drawn files, to everything that reads them."""
    tally = Tally()

    def turn(chance: Random) -> None:
        source = any_file(chance)
        tally.count(source, taken(source, start + tally.files))

    _rounds(turn, count, start)
    return tally


def tried_others(count: int, start: int) -> Tally:
    """The same for all inputs that are no job file."""
    tally = Tally()

    def turn(chance: Random) -> None:
        source, fate = others.any_input(chance)
        tally.count(source, fate)

    _rounds(turn, count, start)
    return tally


def _rounds(turn: Callable[[Random], None], count: int, start: int) -> None:
    for begun in range(0, count, _ROUND):
        test = given(st.randoms(use_true_random=False, note_method_calls=False))(turn)
        test = settings(
            max_examples=min(_ROUND, count - begun),
            phases=[Phase.generate],
            database=None,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        )(test)
        seed(start + begun)(test)()


def side_by_side(files: int, inputs: int, start: int, processes: int) -> tuple[Tally, Tally]:
    """The work of `tried` and of `tried_others`, shared by processes."""
    sums = (Tally(), Tally())
    with tempfile.TemporaryDirectory() as folder:
        running = []
        for number in range(processes):
            left = Path(folder) / f"{number}-"
            share = [str(total // processes + (number < total % processes)) for total in (files, inputs)]
            command = [sys.executable, "-m", __spec__.name, *share, str(start + 10_000_000 * number), str(left)]
            running.append((left, subprocess.Popen(command, cwd=ROOT)))
        for left, process in running:
            if process.wait() != 0:
                raise RuntimeError("The fuzzer itself has ended with an error; it stands above.")
            for total, name in zip(sums, ("files", "inputs"), strict=True):
                total.add(Tally.read(Path(f"{left}{name}")))
    return sums


if __name__ == "__main__":
    many, more, first, place = sys.argv[1:]
    tried(int(many), int(first)).write(Path(f"{place}files"))
    tried_others(int(more), int(first)).write(Path(f"{place}inputs"))
