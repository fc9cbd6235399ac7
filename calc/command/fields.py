"""`python -m calc fields`: what a job file holds."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from textwrap import wrap

from calc.job.describe import RECORD, RECORDS, Field, walk
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
        print("\n".join(described(path, field)))
    return 0


def described(path: str, field: Field) -> Iterator[str]:
    """A field as lines of text: its path, whether it is needed, what it is, what is allowed, where to find it."""
    yield f"{path}  ({'needed' if field.required else 'optional'})"
    words = field.label if field.kind in (RECORD, RECORDS) else f"{field.label}: {field.allowed}"
    for text in (words, field.help, field.find and f"Find it: {field.find}", field.hint):
        for line in wrap(text, 76):
            yield f"    {line}"
