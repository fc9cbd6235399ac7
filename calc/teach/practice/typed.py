"""What a cadet asks for at the page, as an action of the rig: typed angles and corrections are understood here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from calc.job.describe import NUMBER, Field
from calc.job.entry import EntryError, understand
from calc.teach.practice.answers import named
from calc.teach.practice.engine import CAM, OF_ALL, RODS
from calc.teach.practice.rig import Action, Refused


def meant(asked: Action | Mapping[str, Any]) -> list[Any]:
    """The action that was asked for.

    Parameters: an action as it is; or `to` with `unit` and the angle as `typed`; or `correct` with `unit`, `cause`, `way` and
    `amount` as in an answer. Raises: Refused, with what was found and how to write it.

    >>> meant({"do": "to", "unit": 3, "typed": "10 before"})
    ['to', 3, -10.0]
    >>> meant({"do": "correct", "unit": 3, "cause": "spill_rod", "way": "+", "amount": "1 1/4"})
    ['rod', 3, 'spill_rod', 1.25]
    """
    if not isinstance(asked, Mapping):
        return list(asked)
    if asked["do"] == "to":
        return ["to", asked["unit"], _angle(asked["typed"])]
    answer = named(asked)
    if answer.trouble:
        raise Refused(answer.trouble)
    if answer.cause in RODS:
        return ["rod", asked["unit"], answer.cause, answer.amount]
    if answer.cause == CAM:
        return ["cam", asked["unit"], answer.amount]
    if answer.cause in OF_ALL:
        return ["common", answer.cause, answer.amount]
    raise Refused("Choose the part that you move.")


def _angle(text: str) -> float:
    if not text.strip():
        return 0.0
    try:
        angle: float = understand(Field("angle", NUMBER, "angle", unit="°", angle=True), text)
    except EntryError as trouble:
        raise Refused(str(trouble)) from trouble
    return float(angle)
