"""What became of the mutants, the survivors that are explained, and the report of it all."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import sqrt
from pathlib import Path

from site_demo.measured import Figure, keep, reports

from .mutate import Mutant
from .tried import Outcome

COMMAND = "make mutants"
EXPLAINED = Path(__file__).parent / "explained.json"
Z95 = 1.959963984540054
KILLED, HANGS, NOT_TRIED = "killed", "hangs", "not tried"
# Numbers and verdicts come from these before all others.
GOAL = {"calc/measure": 95.0, "calc/pump": 95.0, "calc/judge": 95.0}
TOLD = (
    "A mutant is `calc` with one small mistake: a sign, a comparison, a number, a condition or a missing argument. "
    "Tests run on it. When one fails, it is killed.",
    "A survivor shows one of two things. Either no test holds that line, or the change makes no difference.",
    "Only the parts that make numbers and verdicts have mutants. Parts that find words or draw have none. "
    "Tests of pages, papers and the command line take no part.",
)


def wilson(hits: int, of: int) -> tuple[float, float]:
    """The 95 % interval of a share, after E. B. Wilson (1927).

    >>> [round(each, 4) for each in wilson(95, 100)]
    [0.8882, 0.9785]
    """
    if not of:
        return 0.0, 1.0
    share, z2 = hits / of, Z95**2
    middle, half = share + z2 / (2 * of), Z95 * sqrt(share * (1 - share) / of + z2 / (4 * of * of))
    return (middle - half) / (1 + z2 / of), (middle + half) / (1 + z2 / of)


@dataclass(frozen=True, slots=True)
class Group:
    """Survivors with one explanation. `equivalent`: no input tells them from the code, so they count for nothing."""

    title: str
    why: str
    equivalent: bool
    mutants: tuple[str, ...]


def groups() -> list[Group]:
    """All explanations."""
    return [Group(**{**each, "mutants": tuple(each["mutants"])}) for each in json.loads(EXPLAINED.read_text("utf-8"))]


class Kept:
    """The outcomes, kept between runs, so that survivors can be tried again alone."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self.became: dict[str, list[str]] = json.loads(file.read_text("utf-8")) if file.exists() else {}
        self.fresh: set[str] = set()
        self.explained = {name for group in groups() for name in group.mutants}

    def add(self, outcome: Outcome, sources: Mapping[str, str]) -> None:
        """Note one, and show it if it survived."""
        mutant = outcome.trial.mutant
        assert mutant is not None
        self.fresh.add(mutant.name)
        self.became[mutant.name] = [outcome.became, sources[mutant.file]]
        if outcome.became not in (KILLED, HANGS) and mutant.name not in self.explained:
            print(f"  {outcome.became} {len(outcome.trial.tests)} tests, line {mutant.line}, {mutant.name}", flush=True)
            if outcome.became == "broken":
                print(outcome.said[-600:], flush=True)

    def of(self, mutant: Mutant) -> str:
        """What became of it."""
        return self.became.get(mutant.name, [NOT_TRIED])[0]

    def settled(self, mutant: Mutant, source: str) -> bool:
        """Whether it was killed the last time, or survived and is explained, with this source."""
        became, seen = self.became.get(mutant.name, ["", ""])
        return seen == source and (became in (KILLED, HANGS) or (became == "survived" and mutant.name in self.explained))

    def line(self, mutants: Iterable[Mutant]) -> str:
        """The counts of a module."""
        return ", ".join(f"{count} {became}" for became, count in sorted(Counter(map(self.of, mutants)).items()))

    def save(self) -> None:
        """Keep them, beside those of another run that may have ended meanwhile."""
        others = json.loads(self.file.read_text("utf-8")) if self.file.exists() else {}
        self.became = others | {name: self.became[name] for name in self.fresh}
        self.file.write_text(json.dumps(self.became, indent=0), "utf-8")


@dataclass(frozen=True, slots=True)
class Sample:
    """The mutants of a package that were tried, out of how many."""

    package: str
    mutants: tuple[Mutant, ...]
    of: int


def figures(samples: Sequence[Sample], kept: Kept) -> Iterator[Figure]:
    """A score for each package, and for all."""
    equal = {name for group in groups() if group.equivalent for name in group.mutants}
    together = Sample("all", tuple(each for sample in samples for each in sample.mutants), sum(sample.of for sample in samples))
    for sample in (*samples, together):
        tried = [mutant for mutant in sample.mutants if kept.of(mutant) != NOT_TRIED]
        if not tried:
            continue
        counted = Counter(map(kept.of, tried))
        dead = counted[KILLED] + counted[HANGS]
        same = sum(mutant.name in equal and kept.of(mutant) not in (KILLED, HANGS) for mutant in tried)
        low, high = wilson(dead, len(tried) - same)
        yield Figure(
            name=sample.package.removeprefix("calc/").removesuffix(".py").replace("/", "_") + "_killed",
            value=100.0 * dead / max(1, len(tried) - same),
            unit="%",
            goal=None,
            how=f"{len(tried)} of {sample.of} mutants tried: {dead} killed ({counted[HANGS]} of them by time), "
            f"{same} equivalent and not counted, {len(tried) - dead - same} survived; "
            f"95 % interval {100 * low:.1f} to {100 * high:.1f} %",
            at_least=GOAL.get(sample.package),
        )


def told(samples: Sequence[Sample], kept: Kept, seed: int, budget_s: float) -> Iterator[str]:
    """What no number says: how the mutants were drawn, and why the survivors survive."""
    yield from TOLD
    yield (
        f"Seed {seed} draws a share of the mutants of each module. "
        f"A mutant meets at most {budget_s:g} s of tests, nearest first. A survivor might still fail a test further away."
    )
    left = {sample.package: sum(kept.of(mutant) == NOT_TRIED for mutant in sample.mutants) for sample in samples}
    if sum(left.values()):
        none = [f"`{sample.package}`" for sample in samples if sample.mutants and left[sample.package] == len(sample.mutants)]
        begun = [f"`{package}` {count}" for package, count in left.items() if count and f"`{package}`" not in none]
        yield (
            "This run stopped early. It goes through the modules of a package in order of their names. "
            "So the last ones are missing. A package that it did not come to keeps its figure of an earlier run.\n\n"
            f"- Drawn and not tried: {', '.join(begun) or 'none'}.\n- Nothing tried: {', '.join(none) or 'none'}."
        )
    settled = (KILLED, HANGS, NOT_TRIED)
    alive = {mutant.name for sample in samples for mutant in sample.mutants if kept.of(mutant) not in settled}
    for group in groups():
        here = sum(name in alive for name in group.mutants)
        if here:
            yield f"**{group.title}** ({here}{', equivalent' if group.equivalent else ''}). {group.why}"
    known = {name for group in groups() for name in group.mutants}
    unknown = {
        sample.package: sum(each.name in alive and each.name not in known for each in sample.mutants) for sample in samples
    }
    if sum(unknown.values()):
        lines = "\n".join(f"- `{package}`: {count}" for package, count in unknown.items() if count)
        yield f"**Not explained** ({sum(unknown.values())}). These still need a test, or an explanation.\n\n{lines}"


EARLIER = "an earlier run: "


def earlier(found: Sequence[Figure]) -> Iterator[Figure]:
    """The last report's figures of packages that this run did not come to."""
    known = {figure.name for figure in found}
    for each in (figure for report in reports() if report.command == COMMAND for figure in report.figures):
        if each.name not in known:
            yield replace(each, how=EARLIER + each.how.removeprefix(EARLIER))


def keep_all(samples: Sequence[Sample], kept: Kept, seed: int, budget_s: float) -> None:
    """The report."""
    found = list(figures(samples, kept))
    found += earlier(found)
    for figure in found:
        print(f"{figure}  {figure.how}")
    keep("mutants", "Mutation testing of calc", found, command=COMMAND, told=told(samples, kept, seed, budget_s))
