"""`python -m calc recalls`: released versions that computed something wrong."""

from __future__ import annotations

import argparse

from calc.show.recalls import lines


def run(_: argparse.Namespace) -> int:
    """List them, as notices that can be sent on. Returns: 0."""
    print("\n".join(lines()))
    return 0
