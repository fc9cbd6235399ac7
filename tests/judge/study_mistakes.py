"""How often suspicions are right: many simulated jobs, each with one mistake or none, weighed and counted.

`python -m tests.judge.study_mistakes [JOBS]` prints the table; the tests run a small part of it.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from calc import assess, read_job
from calc.findings import Findings, RodCorrection
from tests.judge import measured
from tests.judge.measured import AT_LIFT, CONTACT, Engine, Tree
from tests.pump.forward import SPILL, SUCTION

HONEST_KINDS = ("healthy", *measured.HONEST, "several faults", "corrected", "partly mended")
CORRECTION_KINDS = ("wrong_way", "not_moved", "thread_type", "ratio_inverted")


@dataclass
class Tally:
    """What was said of jobs of one kind. `wanted`: the code of the mistake that was made; empty for honest jobs."""

    wanted: str = ""
    jobs: int = 0
    said: int = 0
    named: int = 0
    first: int = 0
    alone: int = 0
    elsewhere: int = 0
    instead: Counter[str] = field(default_factory=Counter)


def judged(tree: Tree) -> Findings:
    """The findings of a job, by way of its file."""
    return assess(read_job(json.dumps(tree)))


def honest_job(kind: str, seed: int) -> Tree:
    """A job without any mistake."""
    it = measured.engine(seed)
    unit = it.chance.randint(1, it.units)
    if kind == "several faults":
        for each in it.chance.sample(sorted(it.pumps), 2):
            measured.HONEST[it.chance.choice(("rod", "both rods", "cam", "wear"))](it, each)
    elif kind in ("corrected", "partly mended"):
        return _corrected(it, kind)
    elif kind != "healthy":
        measured.HONEST[kind](it, unit)
    return it.job(it.read())


def _corrected(it: Engine, kind: str) -> Tree:
    """Two units with a rod off, corrected as the findings say: wholly, in part, or with a mistake in it."""
    chosen = it.chance.sample(sorted(it.pumps), 2)
    it.method = CONTACT if kind == "ratio_inverted" else it.method
    for unit in chosen:
        # At reference lift a valve that sits gives no number: then the rod is off the other way.
        event = it.chance.choice((SUCTION, SPILL))
        size = measured.either(it.chance, 0.6, 1.4)
        if it.method == AT_LIFT:
            size = abs(size) if event == SUCTION else -abs(size)
        it.pumps[unit].off_mm[event] += size
    if kind == "thread_type":
        it.stated_left_right = it.chance.random() < 0.5
    if kind == "ratio_inverted":
        it.ratio = {event: round(it.chance.choice((0.6, 0.7, 1.3, 1.5)), 2) for event in it.ratio}
        for pump in it.pumps.values():
            pump.ratio = it.ratio
        it.stated_ratio = {event: 1.0 / ratio for event, ratio in it.ratio.items()}
    found = it.read()
    for entry in judged(it.job(found)).units:
        if entry.unit not in chosen:
            continue
        for each in entry.corrections:
            if isinstance(each, RodCorrection):
                event = SUCTION if each.part == "suction_rod" else SPILL
                it.pumps[entry.unit].rod_mm[event] += _turned(it, kind, each.hand_change_mm or 0.0)
    return it.job(found + it.read("as_left", chosen))


def _turned(it: Engine, kind: str, change: float) -> float:
    if kind == "partly mended":
        return it.chance.uniform(0.2, 0.9) * change
    if kind == "thread_type":
        return change * (0.5 if it.stated_left_right else 2.0)
    return {"wrong_way": -change, "not_moved": 0.0}.get(kind, change)


def mistaken_job(kind: str, seed: int, beside: bool) -> tuple[str, Tree, set[int]] | None:
    """A job with one mistake: its code, the job, and the units that it touches; None where it cannot be made here."""
    it = measured.engine(seed)
    unit, other = it.chance.sample(sorted(it.pumps), 2)
    if beside:
        measured.HONEST[it.chance.choice(("rod", "cam"))](it, it.chance.choice((unit, other)))
    if kind in measured.AT_THE_GAUGE:
        code, make = measured.AT_THE_GAUGE[kind]
        if kind in ("tilt", "bottomed") and it.method != CONTACT:
            return None
        make(it, unit)
        return code, it.job(it.read()), {unit}
    if kind in measured.FOR_ALL:
        code, make_all = measured.FOR_ALL[kind]
        it.method = CONTACT
        make_all(it)
        return code, it.job(it.read()), set(it.pumps)
    if kind in CORRECTION_KINDS:
        tree = _corrected(it, kind)
        return kind, tree, {each["unit"] for each in tree["readings"] if each["stage"] == "as_left"}
    code, write = measured.WITH_THE_PENCIL[kind]
    readings = it.read()
    touched = write(it, readings, unit)
    return (code, it.job(readings), touched) if touched else None


MISTAKES = (*measured.AT_THE_GAUGE, *measured.WITH_THE_PENCIL, *measured.FOR_ALL, *CORRECTION_KINDS)


def count_honest(kind: str, seeds: range) -> Tally:
    """False alarms among honest jobs."""
    tally = Tally()
    for seed in seeds:
        tally.jobs += 1
        said = [each.code for unit in judged(honest_job(kind, seed)).units for each in unit.suspicions]
        tally.said += bool(said)
        tally.instead.update(said)
    return tally


def count_mistaken(kind: str, seeds: range, beside: bool) -> Tally:
    """How often a mistake is named, listed first, and alone, at the unit where it was made."""
    tally = Tally()
    for seed in seeds:
        made = mistaken_job(kind, seed, beside)
        if made is None:
            continue
        tally.wanted, tree, touched = made
        tally.jobs += 1
        units = judged(tree).units
        stage = "as_left" if kind in CORRECTION_KINDS else "as_found"
        listed = [[each.code for each in unit.suspicions] for unit in units if unit.unit in touched and unit.stage == stage]
        tally.said += any(listed)
        tally.named += any(tally.wanted in codes for codes in listed)
        tally.first += any(codes[:1] == [tally.wanted] for codes in listed)
        tally.alone += any(codes == [tally.wanted] for codes in listed)
        tally.elsewhere += any(unit.suspicions for unit in units if unit.unit not in touched or unit.stage != stage)
        tally.instead.update(code for codes in listed for code in set(codes) if code != tally.wanted)
    return tally


def study(jobs: int) -> Iterator[str]:
    """The whole table, line by line."""
    yield "Honest jobs: kind, jobs, with a suspicion"
    total = alarms = 0
    for kind in HONEST_KINDS:
        tally = count_honest(kind, range(jobs))
        total, alarms = total + tally.jobs, alarms + tally.said
        yield f"{kind:<20} {tally.jobs:>5} {tally.said:>5}  {dict(tally.instead) or ''}"
    yield f"{'all':<20} {total:>5} {alarms:>5}"
    columns = ("jobs", "named", "first", "alone", "other units")
    for beside in (False, True):
        yield ""
        yield f"Mistakes {'with an honest fault beside them' if beside else 'alone'}, in percent of the jobs"
        yield f"{'mistake':<20} {'code':<16} {' '.join(f'{each:>6}' for each in columns)}  also listed"
        for kind in MISTAKES:
            tally = count_mistaken(kind, range(10_000, 10_000 + jobs), beside)
            counts = (tally.named, tally.first, tally.alone, tally.elsewhere)
            percent = [f"{100.0 * count / max(1, tally.jobs):6.0f}" for count in counts]
            also = dict(tally.instead.most_common(4)) or ""
            yield f"{kind:<20} {tally.wanted:<16} {tally.jobs:>6} {' '.join(percent)}  {also}"


if __name__ == "__main__":
    for line in study(int(sys.argv[1]) if len(sys.argv) > 1 else 200):
        print(line, flush=True)
