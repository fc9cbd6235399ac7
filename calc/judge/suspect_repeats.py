"""Slips in one repeat of several: the other repeats give them away."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import log, sqrt

from calc.job.model import lists_of
from calc.judge.event import kind_of
from calc.judge.fit import log_honest
from calc.judge.seen import MISTAKE, Layout, SeenEvent, SeenUnit, far_apart
from calc.judge.suspect_unit import HONEST, NEAR, SLIPS_A_NUMBER, Explanation, matters
from calc.measure.evidence import log_either, log_normal
from calc.measure.pool import mean
from calc.pump import mistakes
from calc.pump.mistakes import ASTERN_PLAY, BEFORE_AFTER, DIGIT_SLIP

# Honest hands are clumsy too: so often a repeat scatters so many times as far.
CLUMSY, CLUMSY_TIMES = 0.03, 4.0


def explanations(unit: SeenUnit, layout: Layout) -> list[list[Explanation]]:
    """For every event with repeats that lie far apart: what may have gone wrong in one of them, and honest scatter."""
    found = []
    for seen in unit.events:
        read = unit.judged.readings[seen.event].reading
        lift_s, angle_s = (layout.scatter(kind_of(read, key)) for key in lists_of(seen.event, read.method))
        lifts_apart = far_apart(seen.lifts, lift_s, seen.lift_step)
        angles_apart = far_apart(seen.angles, angle_s, seen.angle_step)
        if lifts_apart == angles_apart:
            continue  # Both apart: the contact itself was found differently, and no slip of the pencil.
        told = _Repeats(unit, seen, angles_apart, angle_s if angles_apart else lift_s).explanations()
        found.append([each for each in told if matters(unit, each)])
    return found


@dataclass(frozen=True, slots=True)
class _Repeats:
    """One list of repeats that lie far apart: the angles of an event, or else its lifts."""

    unit: SeenUnit
    seen: SeenEvent
    angles: bool
    scatter: float

    @property
    def _values(self) -> tuple[float, ...]:
        return self.seen.angles if self.angles else self.seen.lifts

    @property
    def _step(self) -> float:
        return self.seen.angle_step if self.angles else self.seen.lift_step

    def _weight(self, prior: float, repeats: Sequence[float]) -> float:
        """Log of prior times density of the unit's numbers, had these been the repeats."""
        seen = self.seen
        told = seen.told(seen.lifts, repeats) if self.angles else seen.told(repeats, seen.angles)
        numbers = [told if each is seen else each.numbers for each in self.unit.events]
        return log(prior) + log_honest(self.unit, numbers)

    def explanations(self) -> Iterator[Explanation]:
        """Honest scatter, slips in the repeat that stands apart (either of two), and play in some of them."""
        values, size_unit = self._values, "deg" if self.angles else "mm"
        middle = sorted(values)[len(values) // 2]
        odd = max(range(len(values)), key=lambda j: abs(values[j] - middle))
        share = 0.5 if len(values) == 2 else 1.0
        for j in (0, 1) if len(values) == 2 else (odd,):
            rest = [value for place, value in enumerate(values) if place != j]
            if far_apart(rest, self.scatter, self._step):
                continue
            usual = mean(rest)
            spread = (self.scatter**2 + self._step**2 / 12.0) * (1.0 + 1.0 / len(rest))
            off = values[j] - usual
            clumsy = log_either(log_normal(off, spread), log_normal(off, spread * CLUMSY_TIMES**2), CLUMSY)
            yield Explanation(HONEST, (), self._weight(share, rest) + clumsy)
            meant = [(DIGIT_SLIP, 1.0 / SLIPS_A_NUMBER, each) for _, each in mistakes.slips(values[j], self._step)]
            if self.angles and not mistakes.sign_undecidable(values[j], sqrt(spread)):
                meant.append((BEFORE_AFTER, 1.0, -values[j]))
            for code, chance, value in meant:
                if abs(value - usual) < NEAR * sqrt(spread):
                    weight = self._weight(share * chance * MISTAKE, [*rest, value]) + log_normal(value - usual, spread)
                    detail = f"{values[j]:g}|{value:g}"
                    yield Explanation(code, (self.seen.event,), weight, values[j] - value, size_unit, detail)
        if self.angles:
            yield from self._astern()

    def _astern(self) -> Iterator[Explanation]:
        low, high = _two_clusters(self._values)
        if far_apart(low, self.scatter, self._step) or far_apart(high, self.scatter, self._step):
            return
        gap = mean(high) - mean(low)
        weight = self._weight(MISTAKE, high) + log(2.0) + log_normal(gap, self.unit.cam_fault**2)
        yield Explanation(ASTERN_PLAY, (self.seen.event,), weight, -gap, "deg")


def _two_clusters(values: Sequence[float]) -> tuple[list[float], list[float]]:
    """Repeats parted at their widest gap: those below it, and those above.

    >>> _two_clusters([4.6, 4.1, 4.5])
    ([4.1], [4.5, 4.6])
    """
    ordered = sorted(values)
    gaps = [after - before for before, after in pairwise(ordered)]
    widest = max(range(len(gaps)), key=gaps.__getitem__)
    return ordered[: widest + 1], ordered[widest + 1 :]
