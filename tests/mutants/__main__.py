"""Spoil `calc` in one place at a time and see whether a test notices: `python -m tests.mutants`.

    python -m tests.mutants                       all packages, the shares below; keeps the report (`make mutants`)
    python -m tests.mutants calc/pump --share 1   every mutant of a package or a module; keeps nothing
    python -m tests.mutants calc/pump --again     only those that survived the last time

Which tests run a line is counted once (`covered.py`). A mutant meets the tests that run its line, nearest first, in a process
split off from a warm one (`tried.py`), until one fails. So one costs a tenth of a second to a few.
"""

import argparse
import hashlib
import json
import os
import random
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

# Before numpy comes with a test: a library's own threads do not survive a split.
os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from . import covered, mutate, report, tried
from .covered import KEPT, ROOT
from .mutate import Mutant
from .tried import Outcome, Trial

SEED = 7
# What makes numbers and verdicts, and the share of its mutants that is tried.
SHARES = {
    "calc/judge": 0.06,
    "calc/pump": 0.1,
    "calc/measure": 0.05,
    "calc/fuel": 0.05,
    "calc/splitmix.py": 0.2,
    "calc/history.py": 0.05,
    "calc/findings.py": 0.02,
    "calc/moving": 0.03,
    "calc/plan": 0.006,
    "calc/teach/practice": 0.006,
    "calc/compute": 0.004,
    "calc/job": 0.004,
}
# These only find words for what others decided, or draw the form.
WORDS = {
    f"calc/{name}.py"
    for name in (
        "judge/say",
        "judge/suspect_words",
        "judge/notes",
        "job/words",
        "job/form",
        "job/schema",
        "job/steps",
        "job/catalogue",
    )
}
# Seconds of tests (as counted, which slows them) that one mutant may meet, nearest first.
BUDGET_S = 10.0
# A mutant that runs when its module is imported meets the tests of so many files.
AFRESH_FILES = 3


def files_of(package: str) -> list[str]:
    """The modules of a package that are mutated."""
    path = ROOT / package
    files = [path] if path.suffix else sorted(path.rglob("*.py"))
    return [name for name in (str(file.relative_to(ROOT)) for file in files) if name not in WORDS]


def drawn(file: str, share: float) -> tuple[list[Mutant], int]:
    """A module's sample: always the same for a seed and a source. Second: of how many."""
    every = mutate.mutants_of(ROOT, file)
    count = len(every) if share >= 1.0 else min(len(every), round(len(every) * share + 0.5))
    # A larger share holds every smaller one.
    shuffled = random.Random(f"{SEED} {file}").sample(every, len(every))
    return sorted(shuffled[:count], key=lambda mutant: mutant.number), len(every)


def nearness(file: str, test: str) -> int:
    """How near a test lies to a module: made for it, made for its package, an example in its docstring, any other."""
    module, tests = Path(file), Path(test.partition("::")[0])
    made_for = tests.stem.startswith(f"test_{module.stem}")
    if tests.parent.name == module.parent.name or (made_for and module.parent.name == "calc"):
        return 0 if made_for else 1
    return 1 if tests.stem == "test_docstrings" and module.with_suffix("").as_posix().replace("/", ".") in test else 2


def nearest(file: str, tests: Iterable[str]) -> set[str]:
    """The tests of the few nearest files: each has to be imported again for every mutant that runs at import."""
    by_file: dict[str, list[str]] = {}
    for test in tests:
        by_file.setdefault(test.partition("::")[0], []).append(test)
    files = sorted(by_file, key=lambda name: (min(nearness(file, test) for test in by_file[name]), -len(by_file[name]), name))
    return {test for name in files[:AFRESH_FILES] for test in by_file[name]}


def choose(mutant: Mutant, tests: Iterable[str], known: covered.Covered) -> Trial:
    """The tests that a mutant meets."""
    timed = sorted((nearness(mutant.file, name), known.tests[name].seconds, name) for name in tests)
    met, spent = [], 0.0
    for _, seconds, name in timed:
        spent += seconds
        if spent > BUDGET_S:
            break
        met.append((name, seconds))
    return Trial(mutant, tuple(name for name, _ in met), tuple(seconds for _, seconds in met))


def trials_of(file: str, mutants: Sequence[Mutant], known: covered.Covered) -> tuple[list[Trial], list[Trial]]:
    """Trials within a warm process, and those that need the import."""
    by_line = known.by_line(file)
    late = mutate.at_import(ROOT, file)
    # A test of what is only declared runs no line of it; it is known by its file's name.
    everyone = {test for test in known.tests if nearness(file, test) == 0}.union(*by_line.values())
    warm, afresh = [], []
    for mutant in mutants:
        if mutant.number in late:
            afresh.append(choose(mutant, nearest(file, everyone), known))
        elif tests := by_line.get(mutant.line) or by_line.get(mutant.statement):
            warm.append(choose(mutant, tests, known))
        else:
            # No test runs it; perhaps it runs where a module is imported, as what describes a field does.
            afresh.append(choose(mutant, nearest(file, everyone), known))
    return warm, afresh


def split(work: Callable[[], None]) -> None:
    """Do something in a process of its own, so that this one never imports the project."""
    sys.stdout.flush()
    child = os.fork()
    if child == 0:
        try:
            work()
        except BaseException:
            import traceback

            traceback.print_exc()
            os._exit(1)
        sys.stdout.flush()
        os._exit(0)
    if os.waitpid(child, 0)[1]:
        raise SystemExit("the tests do not run as they are; run `make test` and read what it says")


def count_lines(states: dict[str, str]) -> None:
    """Learn which tests run which lines, for files of tests that have changed."""
    import pytest

    if files := covered.missing(states):
        print(f"counting the lines of {len(files)} files of tests", flush=True)
        split(lambda: _ended(pytest.main([*tried.QUIETLY, *files], plugins=[covered.Counting(states)])))


def _ended(code: int) -> None:
    if code not in (0, 1):
        raise SystemExit(code)


def try_all(trials: Sequence[Trial], afresh: Sequence[Trial], jobs: int, tell: Callable[[Outcome], None]) -> None:
    """The warm ones first; a survivor whose line runs at import as well is tried a second time, from the import on."""
    import pytest

    nobody = [trial for trial in (*trials, *afresh) if not trial.tests]
    for trial in nobody:
        tell(Outcome(trial, "survived", "no test runs this line"))
    trials = [trial for trial in trials if trial.tests]
    afresh = [trial for trial in afresh if trial.tests]
    results = KEPT / f"warm-{os.getpid()}.jsonl"
    results.write_text("")

    def note(warm: tried.Warm, outcome: Outcome) -> None:
        mutant = outcome.trial.mutant
        again = outcome.became == "broken" or (
            outcome.became == "survived"
            and mutant is not None
            and bool({(mutant.file, mutant.line), (mutant.file, mutant.statement)} & warm.imported)
        )
        with results.open("a", encoding="utf-8") as file:
            file.write(json.dumps([trials.index(outcome.trial), outcome.became, outcome.said[-400:], again]) + "\n")

    def work() -> None:
        files = sorted({name.partition("::")[0] for trial in trials for name in trial.tests})
        warm = tried.Warm(trials, jobs, lambda outcome: note(warm, outcome))
        pytest.main([*tried.QUIETLY, *files], plugins=[warm])

    if trials:
        split(work)
    second = []
    for line in results.read_text("utf-8").splitlines():
        place, became, said, again = json.loads(line)
        if again:
            second.append(trials[place])
        else:
            tell(Outcome(trials[place], became, said))
    for outcome in tried.side_by_side([*afresh, *second], tried.afresh, jobs):
        tell(outcome)


def sample_of(package: str, share: float | None) -> report.Sample:
    """The mutants of a package that are to be tried."""
    own = next((each for name, each in SHARES.items() if package.startswith(name)), 1.0)
    found = [drawn(file, own if share is None else share) for file in files_of(package)]
    return report.Sample(package, tuple(each for mutants, _ in found for each in mutants), sum(of for _, of in found))


def try_sample(sample: report.Sample, known: covered.Covered, kept: report.Kept, *, again: bool, jobs: int) -> None:
    """Try a package's mutants and keep what became of them; `again`: only those that are not settled."""
    files = files_of(sample.package)
    sources = {file: hashlib.sha256((ROOT / file).read_bytes()).hexdigest()[:16] for file in files}
    todo = [each for each in sample.mutants if not (again and kept.settled(each, sources[each.file]))]
    warm: list[Trial] = []
    afresh: list[Trial] = []
    for file in files:
        for all_of, of_file in zip(
            (warm, afresh), trials_of(file, [each for each in todo if each.file == file], known), strict=True
        ):
            all_of += of_file
    try_all(warm, afresh, jobs, lambda outcome: kept.add(outcome, sources))
    for file in files:
        print(f"{file}: {kept.line(each for each in sample.mutants if each.file == file)}", flush=True)
    kept.save()


def main() -> int:
    """Parse the command line, try, say what survived, keep the report."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.mutants", description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("packages", nargs="*", help="such as calc/pump or calc/pump/cam.py; all where none is named")
    parser.add_argument("--share", type=float, help="of the mutants of each module, from 0 to 1")
    parser.add_argument("--again", action="store_true", help="only what survived the last time, and what was not tried")
    parser.add_argument("--report", action="store_true", help="try nothing; keep the report of what was tried before")
    parser.add_argument("--jobs", type=int, default=len(os.sched_getaffinity(0)), help="processes side by side")
    options = parser.parse_args()
    os.nice(max(0, 15 - os.nice(0)))
    os.chdir(ROOT)
    KEPT.mkdir(parents=True, exist_ok=True)
    kept = report.Kept(KEPT / "results.json")
    samples = [sample_of(package, options.share) for package in options.packages or SHARES]
    if not options.report:
        # Every process that is split off has these then.
        import scipy.optimize
        import scipy.stats  # noqa: F401

        states = covered.digests()
        count_lines(states)
        known = covered.Covered(states)
        for sample in samples:
            try_sample(sample, known, kept, again=options.again, jobs=options.jobs)
    if not options.packages:
        report.keep_all(samples, kept, SEED, BUDGET_S)
    return 0


if __name__ == "__main__":
    sys.exit(main())
