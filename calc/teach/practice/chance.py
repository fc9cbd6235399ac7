"""Numbers drawn by chance that are the same in every version of Python: whole-number arithmetic and exact fractions alone."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")
_MASK = (1 << 64) - 1


class Chance:
    """A stream of numbers that belongs to a key. The same key, the same numbers.

    FNV-1a makes a start of the key, SplitMix64 goes on from there; both are in the public domain.

    >>> Chance("engine", 7).between(0.0, 1.0) == Chance("engine", 7).between(0.0, 1.0)
    True
    """

    def __init__(self, *key: object) -> None:
        state = 0xCBF29CE484222325
        for byte in "/".join(map(str, key)).encode():
            state = ((state ^ byte) * 0x100000001B3) & _MASK
        self._state = state

    def _next(self) -> int:
        self._state = (self._state + 0x9E3779B97F4A7C15) & _MASK
        mixed = self._state
        mixed = ((mixed ^ (mixed >> 30)) * 0xBF58476D1CE4E5B9) & _MASK
        mixed = ((mixed ^ (mixed >> 27)) * 0x94D049BB133111EB) & _MASK
        return mixed ^ (mixed >> 31)

    def between(self, low: float, high: float) -> float:
        """Evenly spread from low to high, in their unit."""
        return low + (high - low) * ((self._next() >> 11) / (1 << 53))

    def either(self, low: float, high: float) -> float:
        """A size between low and high, of either sign."""
        return self.sign() * self.between(low, high)

    def sign(self) -> float:
        """1 or -1."""
        return 1.0 if self._next() >> 63 else -1.0

    def spread(self, u: float) -> float:
        """Around 0 with this standard deviation, and never beyond 3.5 of it: the sum of four even spreads."""
        return 1.7320508075688772 * u * (sum(self.between(0.0, 1.0) for _ in range(4)) - 2.0)

    def whole(self, low: int, high: int) -> int:
        """A whole number from low to high, both included."""
        return low + self._next() % (high - low + 1)

    def pick(self, items: Sequence[T]) -> T:
        """One of the items."""
        return items[self._next() % len(items)]

    def shuffled(self, items: Sequence[T]) -> list[T]:
        """The items in another order."""
        rest, found = list(items), []
        while rest:
            found.append(rest.pop(self._next() % len(rest)))
        return found
