"""One line of a working: what people check by hand with a pocket calculator."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the working. `value` holds the result with its unit; `source` where the rule comes from."""

    what: str
    formula: str
    numbers: str
    value: str
    source: str = ""
