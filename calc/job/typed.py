"""A small record from what people type into its fields, outside the job: every slip is told at its field.

A text has the name of its field as its key; in a list of records the row's number, from 0, stands between slashes:
`parts/0/mass_t`. A row in which nothing is typed does not count.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calc.job.describe import RECORDS, Field, fields_of
from calc.job.entry import EntryError, echo, understand
from calc.job.entry import typed as as_typed
from calc.job.problems import NOTHING, Row, entry_words, nearest
from calc.job.read import Rules, examine, no_rules


@dataclass(frozen=True, slots=True)
class Typed:
    """What was understood.

    record: the record; None while a needed value is missing or a slip stands. values: what was understood, as the tree of the
    record. errors, echoes: what to say, by key. missing: the needed fields that are empty, by key, with their place in words.
    absent: those of the errors that ask for a value which another one makes needed.
    """

    record: Any
    values: Mapping[str, Any]
    errors: Mapping[str, str]
    echoes: Mapping[str, str]
    missing: Mapping[str, str]
    absent: tuple[str, ...] = ()


def read_typed(cls: type, texts: Mapping[str, str], rules: Rules = no_rules) -> Typed:
    """A record from texts by key. Blank texts are absent values; other keys are passed over.

    Parameters: record; texts; rules: the problems between fields, which wait until no needed field is empty.

    >>> from calc.job.moves import UnitMoves
    >>> read_typed(UnitMoves, {"suction_flats": "−1,25", "cam_deg": "one"}).errors["cam_deg"]
    'Cam: “one” is not understood. Write a number, like 12.31.'
    """
    reading = _Reading(texts)
    values = reading.record(cls)
    record, problems = examine(values, cls, rules=no_rules if reading.missing else rules)
    absent = []
    for problem in problems:
        key = nearest(reading.keys, problem.where)
        if key is not None and key not in reading.missing and key not in reading.errors:
            reading.errors[key] = problem.text
            absent += [problem.text] if problem.found == NOTHING else []
    whole = not reading.errors and not reading.missing
    return Typed(record if whole else None, values, reading.errors, reading.echoes, reading.missing, tuple(absent))


class _Reading:
    """One walk along the description of a record. keys: JSON path -> key, for the problems of what was read."""

    def __init__(self, texts: Mapping[str, str]) -> None:
        self.texts = {key: text for key, text in texts.items() if text.strip()}
        self.keys: dict[str, str] = {}
        self.errors: dict[str, str] = {}
        self.echoes: dict[str, str] = {}
        self.missing: dict[str, str] = {}

    def record(self, cls: type) -> dict[str, Any]:
        values: dict[str, Any] = {}
        self._fill(values, cls, "", "", "")
        return values

    def _fill(self, values: dict[str, Any], cls: type, prefix: str, path: str, place: str) -> None:
        for field in fields_of(cls):
            key, where = f"{prefix}{field.name}", f"{path}{field.name}"
            words = f"{place}, {field.label}" if place else field.label
            if field.kind == RECORDS:
                self._rows(values, field, key, where, words)
            else:
                self._value(values, field, key, where, words)

    def _value(self, values: dict[str, Any], field: Field, key: str, where: str, words: str) -> None:
        self.keys[where] = key
        text = self.texts.get(key)
        if text is None:
            if field.required:
                self.missing[key] = words
            return
        try:
            values[field.name] = understand(field, text)
        except EntryError as error:
            self.errors[key] = f"{words[:1].upper()}{words[1:]}: {error}"
            return
        said = echo(field, values[field.name], text)
        if said and said != text.strip():
            self.echoes[key] = said

    def _rows(self, values: dict[str, Any], field: Field, key: str, where: str, words: str) -> None:
        assert field.record is not None
        columns = [column.name for column in fields_of(field.record)]
        place = re.compile(rf"{re.escape(key)}/(\d{{1,4}})/(?:{'|'.join(columns)})", re.ASCII)
        numbers = sorted({int(found[1]) for each in self.texts if (found := place.fullmatch(each))})
        rows: list[Row] = []
        # A list that is needed and empty is asked for by its first row.
        for number in numbers or ([0] if field.required else []):
            row, row_key, row_where = Row(number), f"{key}/{number}/", f"{where}[{len(rows)}]"
            self.keys.setdefault(where, f"{row_key}{columns[0]}")
            self.keys[row_where] = f"{row_key}{columns[0]}"
            self._fill(row, field.record, row_key, f"{row_where}.", f"{words}, {entry_words(row, number, field.one)}")
            rows.append(row)
        if numbers:
            values[field.name] = rows


def spread_typed(cls: type, tree: Mapping[str, Any]) -> dict[str, str]:
    """The texts that stand for a tree: `read_typed` gives it back.

    >>> from calc.job.moves import UnitMoves
    >>> spread_typed(UnitMoves, {"suction_flats": -1.25})
    {'suction_flats': '-1.25'}
    """
    texts: dict[str, str] = {}
    for field in fields_of(cls):
        value = tree.get(field.name)
        if field.record is not None and isinstance(value, (list, tuple)):
            for number, row in enumerate(value):
                texts |= {f"{field.name}/{number}/{key}": text for key, text in spread_typed(field.record, row).items()}
        elif value is not None:
            texts[field.name] = as_typed(field, value)
    return texts
