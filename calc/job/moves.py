"""What a person tries on the screen: how far rods and cam of one unit would be moved. It is no part of the job."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from calc.job.describe import number, record
from calc.job.typed import Typed, read_typed

# More than any thread or cam carries; a slip of the hand is told as one.
_FLATS, _MM, _DEG = 60, 30, 20
_LONGER = "Plus lengthens, minus shortens."


@record
class UnitMoves:
    """Moves of one unit. A rod is moved in flats where the thread's pitch is known, else in millimetres."""

    suction_flats: float | None = number("suction push rod", unit="flats", low=-_FLATS, high=_FLATS, help=_LONGER)
    suction_mm: float | None = number("suction push rod", unit="mm", low=-_MM, high=_MM, help=_LONGER)
    spill_flats: float | None = number("spill push rod", unit="flats", low=-_FLATS, high=_FLATS, help=_LONGER)
    spill_mm: float | None = number("spill push rod", unit="mm", low=-_MM, high=_MM, help=_LONGER)
    cam_deg: float | None = number("cam", unit="°", low=-_DEG, high=_DEG, help="Plus is later, minus earlier.")


def read_moves(asked: Mapping[str, Any]) -> Typed:
    """Moves from numbers, or from what was typed; empty means not moved.

    >>> read_moves({"suction_flats": -1.25, "cam_deg": "0,2"}).record.cam_deg
    0.2
    """
    return read_typed(UnitMoves, {name: value if isinstance(value, str) else repr(value) for name, value in asked.items()})
