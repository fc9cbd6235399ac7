"""A job file to a `Job`, or every problem in it at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import replace
from typing import Any, TypeVar

from calc.job import checks
from calc.job.describe import (
    CHOICE,
    FLAG,
    NUMBER,
    NUMBERS,
    RECORD,
    RECORDS,
    TABLE,
    TEXT,
    TEXTS,
    WHOLE,
    WHOLES,
    Field,
    fields_of,
)
from calc.job.model import Job
from calc.job.parse import RepeatedKeys, parse
from calc.job.problems import MOST_PROBLEMS, JobErrors, NotANumber, Problem, entry_words, shown
from calc.measure.conformity import SLACK

R = TypeVar("R")


def read_job(source: str | bytes) -> Job:
    """The job in a job file.

    Parameters: source, the file's text or bytes (UTF-8). Returns: the job. Raises: JobErrors with every problem.

    >>> read_job("[]")
    Traceback (most recent call last):
        ...
    calc.job.problems.JobErrors: file: A job file holds one JSON object; a list was found. Check that it is the right file.
    """
    return job_from_tree(parse(source))


def job_from_tree(tree: Any) -> Job:
    """The job in a parsed tree (see `calc.job.parse`). Raises: JobErrors with every problem."""
    job, problems = examine(tree)
    if problems:
        raise JobErrors(problems)
    assert isinstance(job, Job)
    return job


Rules = Callable[[dict[str, Any]], Iterable[Problem]]


def no_rules(_: object) -> Iterable[Problem]:
    """For a record whose fields do not depend on each other.

    >>> list(no_rules({}))
    []
    """
    return ()


def examine(
    tree: Any, root: type[Any] = Job, *, complete: bool = True, rules: Rules | None = None, noun: str = "a job file"
) -> tuple[Any, list[Problem]]:
    """What can be read of a tree, and what cannot.

    Parameters: root: the record that the tree should be; complete: whether every unit needs its settings; rules: the
    problems between fields, those of a job where it is None; noun: what the tree is, for people.
    Returns: the record (None where a part is missing or wrong) and the problems in file order, at most 500 and then a
    last one that says that there are more.
    """
    if not isinstance(tree, dict):
        what = "a list" if isinstance(tree, list) else shown(tree)
        return None, [
            Problem(
                "",
                what,
                f"{noun[:1].upper()}{noun[1:]} holds one JSON object; {what} was found. Check that it is the right file.",
            )
        ]
    reader = _Reader(complete)
    job = None
    # One more than is shown tells that there are more; then the walk stops, however large a hostile file is.
    with suppress(_EnoughError):
        job = reader.record(root, tree, "", "")
        for problem in checks.across_fields(tree, complete) if rules is None else rules(tree):
            reader.add(problem)
    problems = reader.problems
    if len(problems) > MOST_PROBLEMS:
        rest = f"There are more than {MOST_PROBLEMS} problems. Mend these, then check again."
        problems = [*problems[:MOST_PROBLEMS], Problem("", f"more than {MOST_PROBLEMS} problems", rest)]
    return (None if problems else job), problems


def readable(tree: dict[str, Any], root: type[Any]) -> dict[str, Any]:
    """The fields of a tree that can be read each on its own, for rules between fields: no rule needs to check types again.

    Parameters: tree; root: the record that it should be. Returns: value by name, without those that are absent or wrong.

    >>> from calc.job.model import AngleScale
    >>> readable({"step_deg": 0.1, "repeatability_deg": "much"}, AngleScale)
    {'step_deg': 0.1}
    """
    found = {}
    for field in fields_of(root):
        if field.name in tree:
            reader = _Reader(complete=True)
            with suppress(_EnoughError):
                if field.kind == RECORDS and isinstance(tree[field.name], list):
                    value = reader.record_list(field, tree[field.name], field.name, field.label, field.label)
                else:
                    value = reader.value(field, tree[field.name], field.name, field.label)
            if not reader.problems:
                found[field.name] = value
    return found


class _EnoughError(Exception):
    """More problems than anybody reads."""


class _Reader:
    """Walks a tree along the field descriptions and collects problems."""

    def __init__(self, complete: bool) -> None:
        self.complete = complete
        self.problems: list[Problem] = []

    def record(self, cls: type[R], tree: dict[str, Any], path: str, place: str) -> R | None:
        described = fields_of(cls)
        known = {field.name for field in described}
        self.keys_twice(tree, path, place)
        before = len(self.problems)
        values: dict[str, Any] = {}
        for field in described:
            if field.name not in tree:
                if field.required:
                    self._missing(field, _join(path, field.name), _named(place, field.label))
                continue
            where = _join(path, field.name)
            label = _named(place, field.label)
            if field.low_where is not None and tree.get(field.low_where[0]) == field.low_where[1]:
                field = replace(field, low=field.low_where[2])
            if field.kind == RECORDS and isinstance(tree[field.name], list):
                # Entries are named by their unit, so the list's own name would only be said twice.
                values[field.attribute] = self.record_list(field, tree[field.name], where, label, place or field.label)
            else:
                values[field.attribute] = self.value(field, tree[field.name], where, label)
        for key, value in tree.items():
            if key not in known:
                self._unreadable_numbers(value, _join(path, key))
        if len(self.problems) > before:
            return None
        extra = {key: value for key, value in tree.items() if key not in known}
        return cls(**values, **({"extra": extra} if extra else {}))

    def keys_twice(self, tree: dict[str, Any], path: str, place: str) -> None:
        for key in tree.repeated if isinstance(tree, RepeatedKeys) else ():
            words = f"{_named(place, key)}: the key stands twice. Keep one of the two."
            self._add(_join(path, key), "the key twice", words, spelled=place in ("", path))

    def value(self, field: Field, value: Any, where: str, label: str) -> Any:
        if field.kind in (NUMBER, WHOLE):
            return self.number(field, value, where, label)
        if field.kind in (NUMBERS, WHOLES):
            return self.number_list(field, value, where, label)
        if field.kind == TABLE:
            return self.table(field, value, where, label)
        if field.kind == RECORD and isinstance(value, dict):
            assert field.record is not None
            return self.record(field.record, value, where, label)
        if field.kind == TEXTS and isinstance(value, dict):
            return self.text_map(field, value, where, label)
        if field.kind == CHOICE and type(value) is float and f"{value:g}" in field.choices:
            return f"{value:g}"  # A word that looks like a number, such as a strength of 8.8, is written as one.
        fits = (
            (field.kind == TEXT and isinstance(value, str))
            or (field.kind == FLAG and isinstance(value, bool))
            or (field.kind == CHOICE and isinstance(value, str) and value in field.choices)
        )
        if not fits:
            self._wrong(field, value, where, label)
        return value

    def number(self, field: Field, value: Any, where: str, label: str, item: bool = False) -> Any:
        whole = field.kind == WHOLE
        if isinstance(value, bool) or not isinstance(value, (int, float)) or (whole and value != int(value)):
            self._wrong(field, value, where, label, item)
            return value
        low, high = field.low, field.high
        # Limits are compared with a slack, so "above 0" is not met by what is 0 but for rounding.
        below = low is not None and (value < low or (field.low_open and value < low + SLACK))
        above = high is not None and (value > high or (field.high_open and value >= high))
        if below or above:
            self._wrong(field, value, where, label, item)
        return int(value) if whole else value

    def number_list(self, field: Field, value: Any, where: str, label: str) -> Any:
        if not isinstance(value, list) or not 1 <= len(value) <= (field.most or len(value)):
            self._wrong(field, value, where, label)
            return None
        if field.kind == NUMBERS and _all_inside(field, value):
            return tuple(value)
        single = replace(field, kind=WHOLE if field.kind == WHOLES else NUMBER)
        many = len(value) > 1
        return tuple(
            self.number(single, each, f"{where}[{i}]", f"{label}, number {i + 1}" if many else label, item=True)
            for i, each in enumerate(value)
        )

    def table(self, field: Field, value: Any, where: str, label: str) -> Any:
        assert field.most is not None
        if not isinstance(value, list) or not field.least <= len(value) <= field.most:
            self._wrong(field, value, where, label)
            return None
        rows = []
        for j, row in enumerate(value):
            place = f"{label}, row {j + 1}"
            if not isinstance(row, list) or len(row) != len(field.columns):
                pair = " and ".join(column.label for column in field.columns)
                self._add(f"{where}[{j}]", shown(row), f"{place}: {shown(row)} found. A row is a pair of numbers: {pair}.")
                continue
            rows.append(
                tuple(
                    self.number(column, each, f"{where}[{j}][{c}]", f"{place}, {column.label}", item=True)
                    for c, (column, each) in enumerate(zip(field.columns, row, strict=True))
                )
            )
        return tuple(rows)

    def record_list(self, field: Field, value: list[Any], where: str, label: str, place: str) -> Any:
        assert field.record is not None
        if (not value and field.required and self.complete) or len(value) > (field.most or len(value)):
            self._wrong(field, value, where, label)
            return ()
        rows: list[Any] = []
        for j, each in enumerate(value):
            entry = f"{place}, {entry_words(each, j, field.one)}"
            if isinstance(each, dict):
                rows.append(self.record(field.record, each, f"{where}[{j}]", entry))
            else:
                self._add(f"{where}[{j}]", shown(each), f"{entry}: {shown(each)} found. An entry is an object.")
        return tuple(rows)

    def text_map(self, field: Field, value: dict[str, Any], where: str, label: str) -> dict[str, str]:
        self.keys_twice(value, where, label)
        for key, each in value.items():
            if not isinstance(each, str):
                self._add(_join(where, key), shown(each), f"{label}, {key}: {shown(each)} found. A text belongs here.")
        return value

    def _unreadable_numbers(self, value: Any, where: str) -> None:
        """Keys that nobody knows are kept as they are, but numbers that no file can carry, and keys twice, are told."""
        stack = [(value, where)]
        while stack:
            each, at = stack.pop()
            if isinstance(each, NotANumber):
                self._add(at, shown(each), f"{at}: {shown(each)} found. Write a number that JSON has.", spelled=True)
            elif isinstance(each, dict):
                self.keys_twice(each, at, at)
                stack += [(inner, _join(at, key)) for key, inner in reversed(each.items()) if _holds_more(inner)]
            elif isinstance(each, list):
                found = [(inner, f"{at}[{i}]") for i, inner in enumerate(each) if _holds_more(inner)]
                stack += reversed(found)

    def _missing(self, field: Field, where: str, label: str) -> None:
        find = f" Find it: {_lower_first(field.find)}" if field.find else ""
        self._add(where, "nothing", f"{label}: missing. Enter {field.allowed}.{find}")

    def _wrong(self, field: Field, value: Any, where: str, label: str, item: bool = False) -> None:
        remedy = _remedy(field, value, item)
        self._add(where, shown(value), f"{label}: {shown(value)} found. Allowed: {field.allowed}. {remedy}")

    def _add(self, where: str, found: str, text: str, spelled: bool = False) -> None:
        # A sentence starts with a capital, but a key of the file is spelled as it is.
        self.add(Problem(where, found, text if spelled else text[:1].upper() + text[1:]))

    def add(self, problem: Problem) -> None:
        self.problems.append(problem)
        if len(self.problems) > MOST_PROBLEMS:
            raise _EnoughError


def _holds_more(value: Any) -> bool:
    return isinstance(value, (dict, list, NotANumber))


def _all_inside(field: Field, values: list[Any]) -> bool:
    """The common case, fast: nothing but numbers, well inside the limits. Anything else is looked at one by one."""
    if not {type(each) for each in values} <= {int, float}:
        return False
    return (field.low is None or field.low < min(values)) and (field.high is None or max(values) < field.high)


def _remedy(field: Field, value: Any, item: bool) -> str:
    """How to mend a wrong value. `item`: it is one element of a list."""
    numeric = field.kind in (NUMBER, WHOLE)
    if isinstance(value, (int, float)) and not isinstance(value, bool) and numeric:
        return "Check the decimal point and the sign, then read it again."
    if isinstance(value, str) and numeric:
        return "Write it as a number, without quotation marks."
    if value is None and not field.required and not item:
        return "Leave the key out where there is no value."
    if item:
        return "Remove it from the list, or write a number there."
    if isinstance(value, list) and field.most is not None and len(value) > field.most:
        return "Check that it is the right file."
    if not isinstance(value, list) and field.kind in (NUMBERS, WHOLES, RECORDS, TABLE):
        return "Write a list, in square brackets."
    if isinstance(value, list) and not value:
        return "Fill the list." if field.required else "Leave the key out, or fill the list."
    return "Correct it." if field.required else "Correct it, or leave the key out."


def _join(path: str, key: str) -> str:
    return f"{path}.{key}" if path else key


def _named(place: str, label: str) -> str:
    return f"{place}, {label}" if place else label


def _lower_first(words: str) -> str:
    return words[:1].lower() + words[1:]
