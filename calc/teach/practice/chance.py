"""Numbers drawn by chance that are the same in every version of Python: whole-number arithmetic and exact fractions alone."""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum
from typing import TypeVar

from calc.splitmix import SplitMix64

T = TypeVar("T")
_WORD = (1 << 64) - 1


class Chance(SplitMix64):
    """A stream of numbers that belongs to a key. The same key, the same numbers.

    FNV-1a (public domain) makes a seed of the key.

    >>> Chance("engine", 7).between(0.0, 1.0) == Chance("engine", 7).between(0.0, 1.0)
    True
    """

    def __init__(self, *key: object) -> None:
        seed = 0xCBF29CE484222325
        for byte in "/".join(map(str, key)).encode():
            seed = ((seed ^ byte) * 0x100000001B3) & _WORD
        super().__init__(seed)

    def between(self, low: float, high: float) -> float:
        """Evenly spread from low to high, in their unit."""
        return low + (high - low) * ((self.word() >> 11) / (1 << 53))

    def either(self, low: float, high: float) -> float:
        """A size between low and high, of either sign."""
        return self.sign() * self.between(low, high)

    def sign(self) -> float:
        """1 or -1."""
        return 1.0 if self.word() >> 63 else -1.0

    def spread(self, u: float) -> float:
        """Around 0 with this standard deviation, and never beyond 3.5 of it: the sum of four even spreads."""
        return 1.7320508075688772 * u * (fsum(self.between(0.0, 1.0) for _ in range(4)) - 2.0)

    def pick(self, items: Sequence[T]) -> T:
        """One of the items."""
        return items[self.word() % len(items)]

    def shuffled(self, items: Sequence[T]) -> list[T]:
        """The items in another order."""
        rest, found = list(items), []
        while rest:
            found.append(rest.pop(self.word() % len(rest)))
        return found
