"""What many requests hold: the form's `texts`, and the `base`, the tree of the file that was opened."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from calc.job.form import Composed, compose
from calc.version import PROGRAM
from calc.work.begun import Begun, begun


def begun_of(asked: dict[str, Any]) -> Begun:
    """What there is of the job, with its gaps."""
    return begun(asked["texts"], asked.get("base"), PROGRAM)


def composed_of(asked: dict[str, Any]) -> Composed:
    """The job file that the form stands for."""
    return compose(asked["texts"], asked.get("base"), program=PROGRAM)


def file_name(composed: Composed) -> str:
    """A name for files of this job: its title or vessel, and its date, without an ending.

    >>> file_name(compose({"title": "Check at 24 000 h!", "date": "2026-02-03"}))
    'check-at-24-000-h-2026-02-03'
    """
    title = composed.tree.get("title") or composed.tree.get("vessel") or "job"
    words = "".join(letter if letter.isalnum() else "-" for letter in f"{title} {composed.tree.get('date', '')}".lower())
    return "-".join(part for part in words.split("-") if part)[:60] or "job"


def paper_so_far(asked: dict[str, Any], made: Callable[[Begun], str], ending: str) -> dict[str, Any]:
    """A job with gaps as paper: its text, and a name for it."""
    so_far = begun_of(asked)
    return {"text": made(so_far), "name": f"{file_name(so_far.composed)}{ending}"}
