"""`python -m calc fields`: what a job file holds."""

from __future__ import annotations

import argparse
import sys
from textwrap import wrap

from calc.job.describe import RECORD, RECORDS, walk
from calc.job.model import Job


def run(options: argparse.Namespace) -> int:
    """List the fields below a path. Returns: 0, or 2 where there is none."""
    wanted = options.path.strip(".")
    rows = [
        (path, field)
        for path, field in walk(Job)
        if not wanted or path == wanted or path.startswith((f"{wanted}.", f"{wanted}[]"))
    ]
    if not rows:
        print(f"No field {wanted!r}. Run: python -m calc fields", file=sys.stderr)
        return 2
    for path, field in rows:
        needed = "needed" if field.required else "optional"
        print(f"{path}  ({needed})")
        words = field.label if field.kind in (RECORD, RECORDS) else f"{field.label}: {field.allowed}"
        for text in (words, field.help, field.find and f"Find it: {field.find}", field.hint):
            for line in wrap(text, 76):
                print(f"    {line}")
    return 0
