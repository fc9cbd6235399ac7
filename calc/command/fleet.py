"""Many job files: one after the other, or by all cores at once; the answers come in the order of the files either way.

Nothing is held but the names of the files and the few answers that are on their way, so memory does not grow with them.
"""

from __future__ import annotations

import argparse
import os
import signal
import sys
import time
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from functools import partial
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from calc.command.check import Checked, check_file, refused
from calc.job.problems import Problem

if TYPE_CHECKING:
    from concurrent.futures import Future

T = TypeVar("T")
File = tuple[str, str, bool]  # Place, path, and whether a file of another format is passed over there.
Work = Callable[[Checked], T]  # A function of a module, so that other processes find it.

_FEWEST = 64  # Files below which other processes cost more than they bring.
_AT_ONCE = 16  # Files that one process takes at a time.
_AHEAD = 4  # Tasks of each process that are on their way.
_TELL_EVERY_S, _TELL_FIRST_S = 2.0, 5.0


def add_option(add: argparse.ArgumentParser) -> None:
    """The option of commands that take many files."""
    add.add_argument(
        "--processes",
        type=_processes,
        metavar="N",
        help=f"processes at once; without it as many as the machine has cores, from {_FEWEST} files on",
    )


def _processes(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 1024):
        raise argparse.ArgumentTypeError(f"{text!r} found. Write a whole number from 1 to 1024, such as 4.")
    return int(text)


def each(places: Sequence[str], work: Work[T], processes: int | None = None) -> Iterator[T]:
    """What `work` makes of every file; of folders, of their job files in order of their names. Progress on standard error.

    Parameters: places: files and folders; an empty folder is one that is refused. work: called in any process; processes:
    how many, None for all cores.
    """
    folders = {place: names for place in places if (names := _job_names(place)) is not None}
    total = sum(len(folders.get(place, ())) or 1 for place in places)
    processes = processes or (_cores() if total >= _FEWEST else 1)
    told = _Progress(total)
    did = partial(_do, work)
    done = map(did, _files(places, folders)) if processes == 1 else _by_all(did, _files(places, folders), processes)
    found: dict[str, bool] = dict.fromkeys(folders, False)
    for place, result in done:
        told.one_more()
        if result is not None:
            found[place] = True
            yield result
    for place, any_job in found.items():
        if not any_job:
            yield work(_empty(place))
    told.end()


def _job_names(place: str) -> list[str] | None:
    """The names in a folder that a job file can have; None where it is no folder."""
    if not Path(place).is_dir():
        return None
    with os.scandir(place) as entries:
        return sorted(entry.name for entry in entries if entry.name.endswith(".json"))


def _files(places: Sequence[str], folders: dict[str, list[str]]) -> Iterator[File]:
    """All of them, those of a folder in the order of their names."""
    for place in places:
        if place not in folders:
            yield place, place, False
        # The folder once: a hundred thousand paths cost time.
        folder = str(Path(place))
        for name in folders.get(place, ()):
            yield place, os.path.join(folder, name), True  # noqa: PTH118


def _empty(place: str) -> Checked:
    words = "There is no job file (*.json) in this folder. Name the folder that holds them."
    return refused(place, Problem("", "an empty folder", words))


def _do(work: Work[T], file: File) -> tuple[str, T | None]:
    place, path, pass_over_others = file
    try:
        checked = check_file(path, pass_over_others)
        return place, None if checked is None else work(checked)
    except Exception as trouble:  # A fault of the program must not cost all the other files.
        words = f"The program failed on this file ({type(trouble).__name__}: {trouble}). Report it, with the file."
        return place, work(refused(path, Problem("", "a fault of the program", words)))


def _do_all(do: Callable[[File], T], files: list[File]) -> list[T]:
    return [do(file) for file in files]


def _by_all(do: Callable[[File], T], files: Iterable[File], processes: int) -> Generator[T, None, None]:
    """All of it in order, with a few tasks ahead: who reads slowly does not fill the memory."""
    # A single file does not wait for it.
    from concurrent.futures import ProcessPoolExecutor

    waiting = iter(files)
    pool = ProcessPoolExecutor(processes, initializer=_begin)
    on_their_way: deque[Future[list[T]]] = deque()
    try:
        while True:
            while len(on_their_way) < _AHEAD * processes and (some := list(islice(waiting, _AT_ONCE))):
                on_their_way.append(pool.submit(_do_all, do, some))
            if not on_their_way:
                return
            yield from on_their_way.popleft().result()
    finally:
        pool.shutdown(cancel_futures=True)


def _begin() -> None:
    # Whoever stops the command by hand stops the first process, and that one ends the others.
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _cores() -> int:
    """The cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


class _Progress:
    """Says on standard error how far it is, when it takes longer than a few seconds."""

    def __init__(self, total: int) -> None:
        self._total = total
        self._done = 0
        self._begun = time.monotonic()
        self._next = self._begun + (_TELL_EVERY_S if sys.stderr.isatty() else _TELL_FIRST_S)
        self._told = False

    def one_more(self) -> None:
        """One file more is done."""
        self._done += 1
        now = time.monotonic()
        if now >= self._next:
            self._next = now + _TELL_EVERY_S
            self._tell(now)

    def end(self) -> None:
        """All is done."""
        if self._told:
            self._tell(time.monotonic())

    def _tell(self, now: float) -> None:
        self._told = True
        rate = self._done / max(now - self._begun, 1e-3)
        left = (self._total - self._done) / rate
        print(f"{self._done} of {self._total} files, {rate:.0f} a second, {left:.0f} s to go", file=sys.stderr, flush=True)
