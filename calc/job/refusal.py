"""Refusing a typed text: in words that say what was found and how to write it."""

from __future__ import annotations


class EntryError(ValueError):
    """A text that is no value. The message says what was found and how to write it."""


def quoted(text: str, most: int = 40) -> str:
    """A typed text in quotation marks, cut where it is long.

    >>> quoted("4,5 mm"), quoted("x" * 50, most=5)
    ('“4,5 mm”', '“xxxx…”')
    """
    return f"“{text if len(text) <= most else text[: most - 1] + '…'}”"
