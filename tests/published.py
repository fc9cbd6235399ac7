"""Published values: one JSON file a source in `tests/data`, each saying where its numbers come from."""

import json
from pathlib import Path
from typing import Any

DATA = Path(__file__).parent / "data"


def load(name: str) -> Any:
    """The values in `tests/data/<name>.json`."""
    return json.loads((DATA / f"{name}.json").read_text(encoding="utf-8"))


def half_digit(printed: str) -> float:
    """Half of the last digit of a printed number: what its rounding can hide."""
    _, _, decimals = printed.partition(".")
    return 0.5001 * 10.0 ** -len(decimals)
