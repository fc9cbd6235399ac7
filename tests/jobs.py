"""Jobs for tests: the demo's, and small changes of them."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

DEMO_FOLDER = Path(__file__).parent.parent / "site_demo" / "jobs"
DEMO_FILES = sorted(DEMO_FOLDER.glob("*.json"))
MAIN = DEMO_FILES[0]


def tree(path: Path = MAIN) -> dict[str, Any]:
    """A demo job as plain values, to be changed at will."""
    loaded: dict[str, Any] = json.loads(path.read_text("utf-8"))
    return copy.deepcopy(loaded)
