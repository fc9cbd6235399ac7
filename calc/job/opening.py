"""A file's text to a job that may still have gaps: refused only where it is no job file at all."""

from __future__ import annotations

from typing import Any

from calc.job.model import FORMAT, VERSION
from calc.job.parse import parse
from calc.job.problems import JobErrors, Problem, shown


def opened(source: str | bytes) -> dict[str, Any]:
    """The tree of a job file, unfinished or faulty as it may be, as JSON can carry it.

    Raises: JobErrors where the file is no job.

    >>> opened('{"format": "spillmark-job", "version": 1, "engine": {"units": "six"}}')["engine"]
    {'units': 'six'}
    """
    tree = parse(source)
    refusal = _refusal(tree)
    if refusal:
        raise JobErrors([refusal])
    job: dict[str, Any] = plain(tree)
    return job


def _refusal(tree: Any) -> Problem | None:
    """Why a file is no job for this form; an unfinished or faulty job is none the less one."""
    if not isinstance(tree, dict):
        return Problem("", shown(tree), f"This file holds {shown(tree)}, not a job. Open a job file.")
    if tree.get("format") != FORMAT:
        found = shown(tree["format"]) if "format" in tree else "nothing"
        return Problem("format", found, f'This is no job file: its format is {found}, not "{FORMAT}". Open a job file.')
    version = tree.get("version")
    if isinstance(version, (int, float)) and version > VERSION:
        return Problem(
            "version",
            shown(version),
            f"A newer program wrote this file (version {shown(version)}; this one reads {VERSION}). Open it with the newer "
            f"one.",
        )
    return None


def plain(value: Any) -> Any:
    """A parsed tree as JSON can carry it: a number that is none becomes the text that stood for it."""
    if isinstance(value, dict):
        return {key: plain(each) for key, each in value.items()}
    if isinstance(value, list):
        return [plain(each) for each in value]
    return value if value is None or isinstance(value, (str, bool, int, float)) else value.literal
