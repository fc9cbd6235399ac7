"""A job as far as it is typed: what can be judged of it, what is missing, and what is to mend.

The worksheet, the handover page, the forms for the pump side and `progress` all work with gaps. The record does not.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from calc.findings import Findings
from calc.job.describe import RECORD, fields_of
from calc.job.form import Composed, compose, spread
from calc.job.model import Job
from calc.job.partial import usable_part
from calc.job.problems import Problem
from calc.job.read import examine
from calc.job.write import checksum
from calc.judge.assess import assess
from calc.work.closing import Phase, closing
from calc.work.progress import Missing, Progress, progress


@dataclass(frozen=True)
class Begun:
    """A job with gaps.

    texts: by form key. composed: the file that they stand for. read: the file that was read, where it was one.
    job: as much as can be judged, None where nothing can. problems: everything that stands in the way of a whole job.
    missing: required values that are not there; errors: what is there and is to mend.
    """

    texts: Mapping[str, str]
    composed: Composed
    job: Job | None
    problems: tuple[Problem, ...]
    missing: tuple[Missing, ...]
    errors: tuple[Missing, ...]
    read: Mapping[str, Any] | None = None

    @cached_property
    def checksum(self) -> str:
        """Of the file: the one that was read, else the one that the texts stand for."""
        return checksum(self.composed.tree if self.read is None else self.read)

    @cached_property
    def found(self) -> Findings | None:
        """The findings of what can be judged."""
        return None if self.job is None else assess(self.job)

    @cached_property
    def progress(self) -> Progress:
        """How far the job is, step by step. What is not understood, or not allowed, is as open as what is missing."""
        return progress(self.texts, self.found, (*self.missing, *self.errors))

    @cached_property
    def closing(self) -> tuple[Phase, ...]:
        """What to close before the engine can be ready, in order."""
        return closing(self.texts, self.found)


def begun(texts: Mapping[str, str], base: Mapping[str, Any] | None = None, program: str = "") -> Begun:
    """What there is of a job.

    Parameters: texts by form key; base: the tree that was opened, for what the form does not show; program: which puts its
    name to what it changes.

    >>> so_far = begun({"engine.units": "six"})
    >>> so_far.job is None, [each.key for each in so_far.errors], so_far.progress.complete
    (True, ['engine.units'], False)
    """
    composed = compose(texts, base, program=program)
    tree = _with_groups({key: value for key, value in composed.tree.items() if key != "drafts"}, Job)
    job, problems = examine(tree)
    missing: list[Missing] = []
    errors = [Missing(slip, words) for slip, words in composed.slips.items()]
    for problem in problems:
        key = composed.key_of(problem.where)
        if problem.found == "nothing" or problem.where == "reference.units":
            if key not in composed.slips:
                missing.append(Missing(key, problem.text))
        else:
            errors.append(Missing(key, problem.text))
    part = job if job is not None else usable_part(tree, problems)
    return Begun(texts, composed, part, tuple(problems), tuple(missing), tuple(errors))


def begun_file(tree: Mapping[str, Any]) -> Begun:
    """What there is of a job in a job file. Parameters: its tree (see `calc.job.opening`)."""
    return replace(begun(spread(tree), tree), read=tree)


def _with_groups(tree: Mapping[str, Any], record: type) -> dict[str, Any]:
    """A copy with empty groups where there are none yet, so that each missing field is named and not its group."""
    opened = dict(tree)
    for field in fields_of(record):
        if field.kind == RECORD and field.record is not None and field.required:
            opened[field.name] = _with_groups(opened.get(field.name, {}), field.record)
    return opened
