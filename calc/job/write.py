"""A `Job` back to its file, and its check sum."""

from __future__ import annotations

import hashlib
import json
import re
from typing import Any

from calc.job.describe import NUMBERS, RECORD, RECORDS, TABLE, WHOLES, fields_of
from calc.job.model import Job

_HALF = re.compile("[\ud800-\udfff]")


def job_to_tree(job: Any) -> dict[str, Any]:
    """The record as plain values, known keys in the order of the list, unknown ones behind them.

    >>> from calc.job.model import AngleScale
    >>> job_to_tree(AngleScale(step_deg=0.1, extra={"colour": "blue"}))
    {'step_deg': 0.1, 'colour': 'blue'}
    """
    tree: dict[str, Any] = {}
    values = vars(job)
    for name, kind in _plan(type(job)):
        value = values[name]
        if value is None:
            continue
        if kind == RECORD:
            value = job_to_tree(value)
        elif kind == RECORDS:
            value = [job_to_tree(each) for each in value]
        elif kind == TABLE:
            value = [list(row) for row in value]
        elif kind in (NUMBERS, WHOLES):
            value = list(value)
        tree[name] = value
    return {**tree, **job.extra}


_PLANS: dict[type[Any], list[tuple[str, str]]] = {}


def _plan(record: type[Any]) -> list[tuple[str, str]]:
    """Name and kind of every field, found out once a record: each judgement writes the whole job for its check sum."""
    if record not in _PLANS:
        _PLANS[record] = [(field.name, field.kind) for field in fields_of(record)]
    return _PLANS[record]


def write_job(job: Job) -> str:
    """The job as the text of a job file, readable by people: two spaces a level, pairs and lists on one line.

    >>> from calc.job.model import AngleScale
    >>> print(write_tree({"a": [1, [2, 3]], "b": {"c": "d"}}))
    {
      "a": [1, [2, 3]],
      "b": {"c": "d"}
    }
    """
    return file_text(job_to_tree(job))


def file_text(tree: Any) -> str:
    """A tree as the text of a file that can be saved as UTF-8: half a character, which JSON can spell, stays spelled.

    >>> file_text({"title": chr(0xD800)})
    '{\\n  "title": "\\\\ud800"\\n}\\n'
    """
    return _HALF.sub(lambda found: f"\\u{ord(found[0]):04x}", write_tree(tree)) + "\n"


def write_tree(value: Any, indent: str = "", width: int = 110) -> str:
    """JSON of a tree; what fits on a line stays on it."""
    flat = json.dumps(value, ensure_ascii=False, allow_nan=False)
    if not isinstance(value, (dict, list)) or not value or (len(flat) + len(indent) <= width and indent):
        return flat
    deeper = indent + "  "
    if isinstance(value, dict):
        parts = [f"{json.dumps(key, ensure_ascii=False)}: {write_tree(each, deeper, width)}" for key, each in value.items()]
        opening, closing = "{", "}"
    else:
        parts = [write_tree(each, deeper, width) for each in value]
        opening, closing = "[", "]"
    lines = f",\n{deeper}".join(parts)
    return f"{opening}\n{deeper}{lines}\n{indent}{closing}"


def checksum(tree: Any) -> str:
    """SHA-256 of a job as compact JSON with sorted keys, UTF-8: it ties a record on paper to its file.

    >>> checksum({"b": 1, "a": "é"})[:16]
    'aa58fba8483623be'
    """
    compact = json.dumps(tree, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(compact.encode("utf-8", "surrogatepass")).hexdigest()
