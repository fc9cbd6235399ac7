"""What can be wrong with a job, said so that it can be mended."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

MOST_PROBLEMS = 500
NOTHING = "nothing"  # What was found where a value is missing.


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing to mend: `where` as a JSON path (empty for the whole file), what was `found`, what to do.

    >>> Problem("engine.units", "0", "Engine, number of units: 0 found.").where
    'engine.units'
    """

    where: str
    found: str
    text: str

    def to_json(self) -> dict[str, str]:
        """As an element of the errors file.

        >>> Problem("", "", "No JSON.").to_json()
        {'where': '', 'found': '', 'text': 'No JSON.'}
        """
        return {"where": self.where, "found": self.found, "text": self.text}


class JobErrors(ValueError):  # noqa: N818 - the name says that it holds all of them
    """The job cannot be used. `errors` holds every problem, in file order."""

    def __init__(self, errors: Iterable[Problem]) -> None:
        self.errors = tuple(errors)
        super().__init__("\n".join(f"{problem.where or 'file'}: {problem.text}" for problem in self.errors))


def errors_file(errors: Iterable[Problem]) -> dict[str, Any]:
    """What stands in the way of using an input, for programs.

    >>> errors_file([])
    {'format': 'spillmark-errors', 'version': 1, 'errors': []}
    """
    return {"format": "spillmark-errors", "version": 1, "errors": [error.to_json() for error in errors]}


@dataclass(frozen=True, slots=True)
class NotANumber:
    """A JSON number that no double can hold, or NaN and Infinity, which JSON does not have."""

    literal: str


def nearest(keys: Mapping[str, str], where: str) -> str | None:
    """What stands at a JSON path; at the nearest place above where the path itself has nothing.

    >>> nearest({"readings[0]": "a", "readings[0].unit": "b"}, "readings[0].unit[2]")
    'b'
    """
    while where:
        if where in keys:
            return keys[where]
        cut = max(where.rfind("."), where.rfind("["))
        where = where[:cut] if cut > 0 else ""
    return None


def shown(value: Any, most: int = 60) -> str:
    """A value from a file as people read it in a message; long ones are cut.

    >>> shown("abc"), shown(None), shown([1, 2]), shown({}), shown(True), shown(12.5)
    ('the text "abc"', 'null', 'a list of 2', 'an object', 'true', '12.5')
    """
    if isinstance(value, str):
        cut = value if len(value) <= most else value[: most - 1] + "…"
        return f'the text "{cut}"'
    if isinstance(value, NotANumber):
        return value.literal if len(value.literal) <= most else value.literal[: most - 1] + "…"
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, list):
        return f"a list of {len(value)}" if value else "an empty list"
    if isinstance(value, dict):
        return "an object"
    literal = repr(value)
    return literal if len(literal) <= most else literal[: most - 1] + "…"


class Row(dict[str, Any]):
    """An entry of a list as a form has it: rows in which nothing is typed count for its `number` there, from 0."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.number = number


def entry_words(entry: Any, j: int, one: str = "entry") -> str:
    """An entry of a list as a person points at it: by unit, stage and event, or what else names it; else by its place.

    >>> entry_words({"unit": 2, "stage": "as_found", "event": "peak"}, 4), entry_words({}, 4)
    ('unit 2, as found, peak', 'entry 5')
    """
    if isinstance(entry, Row):
        return f"{one} {entry.number + 1}"
    words = []
    if isinstance(entry, dict):
        unit = entry.get("unit")
        if isinstance(unit, int) and not isinstance(unit, bool):
            words.append(f"unit {unit}")
            words += [entry[key].replace("_", " ")[:40] for key in ("stage", "event") if isinstance(entry.get(key), str)]
        words += [
            entry[key].replace("_", " ")[:40] for key in ("part", "when", "item", "code") if isinstance(entry.get(key), str)
        ]
    return ", ".join(words) or f"{one} {j + 1}"
