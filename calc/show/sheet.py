"""Readings and findings as CSV for spreadsheets.

Format: RFC 4180 with a header line, UTF-8 with a byte-order mark (spreadsheets take the file for another encoding without
it), numbers with a decimal point and all their digits.

A spreadsheet runs a cell that looks like a formula. So a text that begins like one gets an apostrophe in front: OWASP, CSV
Injection. Numbers come from the program itself and stay numbers, negative ones too.
"""

from __future__ import annotations

import csv
import dataclasses
import io
from collections.abc import Iterable, Iterator
from typing import Any

from calc.findings import Findings, UnitFindings
from calc.job.describe import NUMBERS, RECORD, RECORDS, TABLE, Field, fields_of
from calc.job.model import AHEAD, Job, Reading

_ROTATION = "rotation"  # The direction that the job is for: the last column of both tables.
BYTE_ORDER_MARK = "\ufeff"
# OWASP's lists (CSV Injection; ASVS 5.0, 1.2.10): formula signs, also full-width, and what a reader may strip before it looks.
_DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠")


def readings_csv(job: Job) -> str:
    """Every reading of a job, one line a repeat.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> job = read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8"))
    >>> readings_csv(job).splitlines()[0].split(",")[1:4]
    ['unit', 'stage', 'event']
    """
    described = fields_of(Reading)
    head = ["entry", *(_head(field) for field in described), "repeat", _ROTATION]
    return _text([head, *_reading_rows(job, described)])


def table_names() -> dict[str, str]:
    """The lists of a job that make a table of their own, by key, and what they are called."""
    return {field.name: field.label for field in fields_of(Job) if field.kind == RECORDS and field.name != "readings"}


def table_csv(job: Job, name: str) -> str:
    """One of the job's other lists as it was entered, one line an entry; of a table in it, one line a row of that.

    Parameters: name: one of `table_names`.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> job = read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8"))
    >>> table_csv(job, "positions").split(",")[1:3]
    ['name', 'not_needed']
    """
    listed = next(field for field in fields_of(Job) if field.name == name and field.kind == RECORDS)
    assert listed.record is not None
    described = fields_of(listed.record)
    rows = [line for each in getattr(job, name) or () for line in _entry_lines(each, described)]
    return _text([[head for field in described for head in _heads(field)], *rows])


def _heads(field: Field) -> list[str]:
    return [_head(each, f"{field.name}.{each.name}") for each in field.columns] if field.kind == TABLE else [_head(field)]


def _entry_lines(entry: Any, described: tuple[Field, ...]) -> Iterator[list[Any]]:
    """An entry as one line, or as one for each row of the table that it holds."""
    lines = max((len(getattr(entry, field.name) or ()) for field in described if field.kind == TABLE), default=1)
    for at in range(lines):
        line: list[Any] = []
        for field in described:
            value = getattr(entry, field.name)
            line += value[at] if field.kind == TABLE else [value]
        yield line


def _reading_rows(job: Job, described: tuple[Field, ...]) -> Iterator[list[Any]]:
    lists = [field.name for field in described if field.kind == NUMBERS]
    for j, reading in enumerate(job.readings or ()):
        count = max((len(getattr(reading, name) or ()) for name in lists), default=0)
        for repeat in range(count):
            row: list[Any] = [j + 1]
            for field in described:
                value = getattr(reading, field.name)
                row.append(value[repeat] if field.name in lists and value else value)
            yield [*row, repeat + 1, job.direction]


def findings_csv(findings: Findings) -> str:
    """The findings, one line a unit and stage; the lists in them as texts of their codes.

    >>> from calc import assess, read_job
    >>> from pathlib import Path
    >>> job = read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8"))
    >>> "beginning.deviation_deg [°]" in findings_csv(assess(job)).splitlines()[0]
    True
    """
    columns = [each for each in _columns(UnitFindings) if _is_there(each[0], findings)]
    direction = findings.job.rotation or AHEAD
    rows = [[*(_at(unit, path) for path, _ in columns), direction] for unit in findings.units]
    return _text([[*(_head(field, path) for path, field in columns), _ROTATION], *rows])


def _is_there(path: str, findings: Findings) -> bool:
    """Whether a column has a place in the table: a part that findings leave out has none where no unit has it."""
    part = path.partition(".")[0]
    described = next(field for field in fields_of(UnitFindings) if field.name == part)
    return not described.omit or any(getattr(unit, part) is not None for unit in findings.units)


def _columns(record: type, prefix: str = "", unit: str = "") -> Iterator[tuple[str, Field]]:
    """The fields that have one value each, by path; a nested record hands its unit down to the parts without one."""
    for field in fields_of(record):
        path = f"{prefix}{field.name}"
        if field.kind == RECORD and field.record is not None:
            yield from _columns(field.record, f"{path}.", field.unit)
        else:
            yield path, field if field.unit or not unit else dataclasses.replace(field, unit=unit)


def _head(field: Field, path: str = "") -> str:
    return f"{path or field.name}{f' [{field.unit}]' if field.unit else ''}"


def _at(node: Any, path: str) -> Any:
    for name in path.split("."):
        node = None if node is None else getattr(node, name)
    if isinstance(node, tuple):
        return "; ".join(getattr(each, "code", None) or getattr(each, "part", None) or str(each) for each in node)
    return node


def _text(rows: Iterable[list[Any]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    for row in rows:
        writer.writerow([cell(value) for value in row])
    return BYTE_ORDER_MARK + out.getvalue()


def cell(value: Any) -> str:
    """One cell: a number with all its digits, a text that no spreadsheet takes for a formula, nothing for None.

    >>> cell(-0.25), cell("=1+1"), cell("-"), cell(None), cell(True)
    ('-0.25', "'=1+1", "'-", '', 'true')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    text = str(value)
    return f"'{text}" if text.startswith(_DANGEROUS) else text
