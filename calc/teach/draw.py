"""Numbers drawn from a seed as people write them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar
from zlib import crc32

from calc.splitmix import SplitMix64

T = TypeVar("T")


class Draw(SplitMix64):
    """A row of drawn numbers.

    >>> draw = Draw(0)
    >>> draw.number(10.0, 14.0, 0.5), draw.pick("abc"), draw.whole(1, 6)
    (13.5, 'a', 2)
    """

    def number(self, low: float, high: float, step: float) -> float:
        """A number from low to high in steps, as people write it: 0.1 + 0.2 is 0.3 here."""
        return round(low + step * self.whole(0, round((high - low) / step)), 9)

    def either(self, low: float, high: float, step: float) -> float:
        """A number as `number` draws it, with either sign."""
        return self.number(low, high, step) * self.pick((-1.0, 1.0))

    def pick(self, among: Sequence[T]) -> T:
        """One of them."""
        return among[self.whole(0, len(among) - 1)]


def seeded(name: str, number: int) -> Draw:
    """The generator of a question's `number`: no two questions share their numbers.

    >>> seeded("cam_part", 1).word() == seeded("cam_part", 1).word() != seeded("cam_part", 2).word()
    True
    """
    return Draw(crc32(name.encode("ascii")) << 32 | number)
