"""A row of numbers that belongs to its seed: the same on every Python, in every browser, for ever.

`random.Random` promises that for one of its methods only. This generator is all that lessons and the practice engine need, in
integers alone.
"""

from __future__ import annotations

_WORD = (1 << 64) - 1


class SplitMix64:
    """Words of 64 bits, one after the other.

    Method: SplitMix64. Source: G. Steele, D. Lea, C. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014
    (constants from memory, held against the first numbers that its authors give for seed 0).

    >>> hex(SplitMix64(0).word())
    '0xe220a8397b1dcdaf'
    """

    def __init__(self, seed: int) -> None:
        self._state = seed & _WORD

    def word(self) -> int:
        """The next 64 bits."""
        self._state = (self._state + 0x9E3779B97F4A7C15) & _WORD
        mixed = self._state
        mixed = ((mixed ^ (mixed >> 30)) * 0xBF58476D1CE4E5B9) & _WORD
        mixed = ((mixed ^ (mixed >> 27)) * 0x94D049BB133111EB) & _WORD
        return mixed ^ (mixed >> 31)

    def whole(self, low: int, high: int) -> int:
        """A whole number from low to high, both included.

        >>> SplitMix64(0).whole(1, 6) in range(1, 7)
        True
        """
        return low + self.word() % (high - low + 1)
