"""JSON text to a tree of plain values, with everything kept that a later message must tell.

Python's own reader would take the last of two equal keys, let NaN through and turn 1e999 into infinity; here each of
these stays visible.
"""

from __future__ import annotations

import json
from typing import Any

from calc.job.problems import JobErrors, NotANumber, Problem

MOST_BYTES = 1024 * 1024
MOST_LEVELS = 64
_MOST_DIGITS = 400


class RepeatedKeys(dict[str, Any]):
    """An object in which a key stood twice. The last value counts; `repeated` names the keys."""

    repeated: tuple[str, ...] = ()


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    plain = dict(pairs)
    if len(plain) == len(pairs):
        return plain
    seen: set[str] = set()
    repeated = dict.fromkeys(key for key, _ in pairs if key in seen or seen.add(key))  # type: ignore[func-returns-value]
    marked = RepeatedKeys(plain)
    marked.repeated = tuple(repeated)
    return marked


def _float(literal: str) -> float | NotANumber:
    value = float(literal)
    return NotANumber(literal) if value in (float("inf"), float("-inf")) else value


def _int(literal: str) -> int | NotANumber:
    # A whole number of more digits than a double can hold; int() itself refuses very long ones.
    return NotANumber(literal) if len(literal) > _MOST_DIGITS or abs(float(literal)) == float("inf") else int(literal)


def parse(source: str | bytes) -> Any:
    """The tree in a JSON text.

    Parameters: source, text or UTF-8 bytes; a leading byte-order mark is ignored. Returns: the tree; a number that is
    none comes as `NotANumber`, an object with a key twice as `RepeatedKeys`. Raises: JobErrors, with an empty place,
    for what concerns the whole file.

    >>> parse(b'{"a": [1, 2.5]}')
    {'a': [1, 2.5]}
    """
    if len(source) > MOST_BYTES:
        raise _whole_file(
            f"{len(source) / 1e6:.1f} MB",
            "The file is larger than 1 MB, and none that this program reads ever is. Check that it is the right file.",
        )
    if isinstance(source, bytes):
        try:
            source = source.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            raise _whole_file(
                f"byte {error.object[error.start]:#04x} at position {error.start}",
                "The file is not UTF-8 text. Save it again as UTF-8.",
            ) from None
    try:
        tree = json.loads(
            source.removeprefix("\ufeff"),
            object_pairs_hook=_object,
            parse_float=_float,
            parse_int=_int,
            parse_constant=NotANumber,
        )
    except json.JSONDecodeError as error:
        raise _whole_file(
            f"line {error.lineno}, column {error.colno}",
            f"The file is not JSON: at line {error.lineno}, column {error.colno} {_said(error.msg)}. Mend it there, or open "
            "an older copy.",
        ) from None
    except RecursionError:
        raise _too_deep() from None
    if _depth(tree) > MOST_LEVELS:
        raise _too_deep()
    return tree


# What Python's reader says, in the words of this project.
_SAYINGS = {
    "Expecting value": "a value is missing",
    "Expecting property name": "a key in double quotation marks is missing",
    "Expecting ':'": "a colon is missing",
    "Expecting ','": "a comma is missing",
    "Unterminated string": "a text starts that never ends",
    "Invalid control character": "a control character stands inside a text",
    "Invalid \\": "a backslash is followed by a letter that JSON does not know",
    "Extra data": "something follows the end",
    "Illegal trailing comma": "a comma stands before the end",
}


def _said(message: str) -> str:
    return next((words for start, words in _SAYINGS.items() if message.startswith(start)), "it breaks off")


def _depth(tree: Any) -> int:
    level, depth = [tree], 0
    while level and depth <= MOST_LEVELS:
        level = [
            inner
            for each in level
            if isinstance(each, (dict, list))
            for inner in (each.values() if isinstance(each, dict) else each)
        ]
        depth += 1
    return depth


def _too_deep() -> JobErrors:
    return _whole_file(
        f"more than {MOST_LEVELS} levels",
        "The file is nested deeper than any that this program reads. Check that it is the right file.",
    )


def _whole_file(found: str, text: str) -> JobErrors:
    return JobErrors([Problem("", found, text)])
