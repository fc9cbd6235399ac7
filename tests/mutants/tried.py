"""Mutants tried: each in a process of its own, split off from one that has imported and collected everything already.

A mutant within a function gets there as that function's code; one in what runs at import needs a process that has not
imported the project yet. Time is the processor's, so a busy machine kills nothing.
"""

from __future__ import annotations

import os
import resource
import shutil
import signal
import sys
import traceback
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from importlib.abc import InspectLoader
from importlib.machinery import SourceFileLoader
from pathlib import Path
from types import CodeType

import coverage
import pytest

from .afresh import forget, put
from .covered import KEPT, NO_WARNINGS, ROOT
from .mutate import Mutant, spoiled

SURVIVED, KILLED, BROKEN = 0, 1, 9
QUIETLY = ("-q", "-W", "ignore::pytest.PytestAssertRewriteWarning", "-p", "no:cacheprovider", "--capture=sys", "--no-header")
# A test may take so many times its usual time, and so many seconds more, until it counts as hanging.
SLOWER, MORE_S = 5.0, 3.0
MEMORY = 4 << 30


@dataclass(frozen=True, slots=True)
class Trial:
    """A mutant (None: the code as it is, which has to pass), the tests that may notice it, nearest first, and their seconds."""

    mutant: Mutant | None
    tests: tuple[str, ...]
    seconds: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a mutant: `killed`, `hangs` (killed by time or memory), `survived`, `broken` (no fair trial)."""

    trial: Trial
    became: str
    said: str = ""


def limited(seconds: float) -> None:
    """From now on, this process may use so much of the processor."""
    used = resource.getrusage(resource.RUSAGE_SELF)
    until = int(used.ru_utime + used.ru_stime + seconds) + 1
    resource.setrlimit(resource.RLIMIT_CPU, (until, resource.getrlimit(resource.RLIMIT_CPU)[1]))


def _apart(work: Callable[[], int], own: Path) -> None:
    """The life of a split-off process."""
    status = BROKEN
    try:
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        signal.alarm(900)  # For what waits without using the processor.
        own.mkdir(parents=True, exist_ok=True)
        os.environ["PYTEST_DEBUG_TEMPROOT"] = str(own)
        said = os.open(own / "said", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(said, 1)
        os.dup2(said, 2)
        status = work()
        sys.stdout.flush()
    except BaseException:
        os.write(2, traceback.format_exc().encode())
    finally:
        os._exit(status)


def _became(status: int) -> str:
    if os.WIFSIGNALED(status):
        return "hangs" if os.WTERMSIG(status) in (signal.SIGXCPU, signal.SIGALRM, signal.SIGKILL) else "killed"
    return {SURVIVED: "survived", KILLED: "killed"}.get(os.WEXITSTATUS(status), "broken")


def side_by_side(trials: Sequence[Trial], work: Callable[[Trial], int], jobs: int) -> Iterator[Outcome]:
    """Try all, so many at a time, each in a process split off from this one."""
    waiting, running = list(reversed(trials)), dict[int, tuple[Trial, Path]]()
    while waiting or running:
        while waiting and len(running) < jobs:
            trial = waiting.pop()
            own = KEPT / "own" / f"{os.getpid()}-{len(waiting)}"
            sys.stdout.flush()
            child = os.fork()
            if child == 0:
                _apart(lambda trial=trial: work(trial), own)  # type: ignore[misc]
            running[child] = trial, own
        child, status = os.wait()
        if child not in running:
            continue
        trial, own = running.pop(child)
        said = (own / "said").read_text("utf-8", "replace") if (own / "said").exists() else ""
        shutil.rmtree(own, ignore_errors=True)
        yield Outcome(trial, _became(status), said)


class Warm:
    """A pytest plugin that runs no test itself: each mutant's tests run in a process split off after collection."""

    def __init__(self, trials: Sequence[Trial], jobs: int, tell: Callable[[Outcome], None]) -> None:
        self.trials, self.jobs, self.tell = trials, jobs, tell
        self.items: dict[str, pytest.Item] = {}
        self.failed: list[str] = []
        # What runs while tests are collected: its results may be kept in a module's constants.
        self.imported: set[tuple[str, int]] = set()
        self.lines = coverage.Coverage(data_file=None, config_file=False, source=[str(ROOT / "calc")])
        self.lines.set_option("run:disable_warnings", NO_WARNINGS)
        self.lines.start()

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Instead of running what was collected: try the mutants."""
        self.lines.stop()
        data = self.lines.get_data()
        self.imported |= {
            (str(Path(file).relative_to(ROOT)), line) for file in data.measured_files() for line in data.lines(file) or ()
        }
        self.items = {item.nodeid: item for item in session.items}
        for outcome in side_by_side(self.trials, self.work, self.jobs):
            self.tell(outcome)
        return True

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note a failure."""
        if report.failed:
            self.failed.append(f"{report.nodeid} {report.when}")

    def work(self, trial: Trial) -> int:
        """Spoil the code, run the tests until one fails."""
        if trial.mutant is not None:
            put(spoiled(ROOT, trial.mutant), ROOT / trial.mutant.file)
        forget()
        items = [self.items[name] for name in trial.tests]
        for item, seconds, following in zip(items, trial.seconds, [*items[1:], None], strict=True):
            limited(SLOWER * seconds + MORE_S)
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if self.failed:
                os.write(1, f"\nkilled by {self.failed[0]}\n".encode())
                return KILLED
        return SURVIVED


def _source_of(mutant: Mutant) -> Callable[[SourceFileLoader, str], CodeType | None]:
    """A way to load modules by which one of them is spoiled."""
    file = str(ROOT / mutant.file)
    as_ever = SourceFileLoader.get_code

    def get_code(self: SourceFileLoader, fullname: str) -> CodeType | None:
        if self.path == file:
            return InspectLoader.source_to_code(spoiled(ROOT, mutant), file)
        return as_ever(self, fullname)

    return get_code


class Only:
    """A pytest plugin that keeps to the tests of a trial, in its order."""

    def __init__(self, trial: Trial) -> None:
        self.place = {name: place for place, name in enumerate(trial.tests)}

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Leave out the rest."""
        items[:] = sorted((item for item in items if item.nodeid in self.place), key=lambda item: self.place[item.nodeid])


def afresh(trial: Trial) -> int:
    """Import everything with the mutant in it, and run the tests until one fails. For a process without the project."""
    sys.dont_write_bytecode = True
    if trial.mutant is not None:
        SourceFileLoader.get_code = _source_of(trial.mutant)  # type: ignore[assignment,method-assign]
    limited(SLOWER * sum(trial.seconds) + 10.0 * MORE_S)
    files = list(dict.fromkeys(name.partition("::")[0] for name in trial.tests))
    ended = pytest.main([*QUIETLY, "-x", *files], plugins=[Only(trial)])
    if ended == pytest.ExitCode.NO_TESTS_COLLECTED:
        return BROKEN
    return KILLED if ended else SURVIVED
