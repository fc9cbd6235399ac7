"""The direction that a job is for. Words are written for ahead; a job for astern reads them mirrored."""

from __future__ import annotations

import re

from calc.job.model import AHEAD, ASTERN

_WORD = re.compile(rf"\b({AHEAD}|{ASTERN})\b", re.IGNORECASE)


def mirrored(text: str, direction: str) -> str:
    """A text written for ahead, as it reads for a direction: in a job for astern both words change places.

    >>> mirrored("Reached astern. Turn ahead only.", "astern")
    'Reached ahead. Turn astern only.'
    >>> mirrored("Turn ahead only.", "ahead")
    'Turn ahead only.'
    """
    return _WORD.sub(_other, text) if direction == ASTERN else text


def _other(found: re.Match[str]) -> str:
    other = ASTERN if found[0].lower() == AHEAD else AHEAD
    return other.capitalize() if found[0][0].isupper() else other


def named(text: str, direction: str) -> str:
    """A title that says so where its job is for astern.

    >>> named("Unit 3, as found", "astern"), named("Unit 3, as found", "ahead")
    ('Unit 3, as found, astern', 'Unit 3, as found')
    """
    return f"{text}, {ASTERN}" if direction == ASTERN else text


# What before and after mean in a job for astern; nothing where they mean what they always do.
ANGLES = {AHEAD: "", ASTERN: "Before and after TDC are meant in astern rotation."}
