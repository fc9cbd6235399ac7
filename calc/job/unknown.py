"""Keys of a file that this version does not know. They are kept, and told."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from calc.job.describe import RECORD, RECORDS, fields_of

_INNER: dict[type, list[tuple[str, bool]]] = {}


def unknown_paths(node: Any, path: str = "") -> Iterator[str]:
    """The path of every unknown key below a record, as spelled in the file.

    >>> from calc.job.model import AngleScale
    >>> list(unknown_paths(AngleScale(step_deg=0.1, extra={"colour": "blue"}), "scale"))
    ['scale.colour']
    """
    for key in node.extra:
        yield f"{path}.{key}" if path else key
    for name, is_list in _inner_records(type(node)):
        value = getattr(node, name)
        where = f"{path}.{name}" if path else name
        if is_list:
            for j, each in enumerate(value or ()):
                yield from unknown_paths(each, f"{where}[{j}]")
        elif value is not None:
            yield from unknown_paths(value, where)


def _inner_records(record: type) -> list[tuple[str, bool]]:
    """Names of the fields that hold records, and whether they hold a list of them; found out once a record."""
    if record not in _INNER:
        _INNER[record] = [(field.name, field.kind == RECORDS) for field in fields_of(record) if field.kind in (RECORD, RECORDS)]
    return _INNER[record]


def cut(path: str, most: int = 80) -> str:
    """A path as a message shows it, never endless.

    >>> cut("colour")
    'colour'
    """
    return path if len(path) <= most else f"{path[: most - 1]}…"
