"""The one shape of a side calculation."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from calc.findings import Findings
from calc.job.describe import field_of
from calc.job.model import Job

DANGER, WARNING, NOTICE = "danger", "warning", "notice"
SETTINGS = "settings"  # What inputs serve that the job's settings mostly give: they stand together, out of the way.

# What a job and its findings know of a calculation's inputs, given what is typed already: values by field name.
FromJob = Callable[[Job, Findings, Mapping[str, Any]], Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Say:
    """A sentence about the result. level: "danger" or "warning" for a hazard, "notice" to know, None for the answer."""

    text: str
    level: str | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """A result record and what to say of it, the answer first. wrong: inputs that cannot be right, by field name.

    result: None where the inputs are wrong or say nothing.
    """

    result: Any
    said: tuple[Say, ...] = ()
    wrong: Mapping[str, str] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Calculation:
    """A side calculation: its name and title, what it is for in a sentence or two, its inputs, how it is done."""

    name: str
    title: str
    what: str
    inputs: type
    run: Callable[[Any], Answer]
    from_job: FromJob


def like(path: str, **changes: Any) -> Any:
    """An input that is described like a field of the job; what is changed here holds for the input alone.

    It is asked for, never stood in for: a fallback of the job does not count. What the job's settings give stands apart.
    """
    serves = "" if path.startswith("readings.") else SETTINGS
    described = dataclasses.replace(field_of(Job, path), name="", fallback=None, serves=serves, **changes)
    return dataclasses.field(default=None, metadata={"field": described})


def gauges_of(job: Job, *names: str) -> dict[str, Any]:
    """Step and error limit of the job's gauges, "plunger" or "valve", by the names that inputs give them."""
    known = {}
    for gauge in names:
        known[f"{gauge}_step_mm"] = value_at(job, f"instruments.{gauge}_gauge.step_mm")
        known[f"{gauge}_limit_mm"] = value_at(job, f"instruments.{gauge}_gauge.error_limit_mm")
    return known


def value_at(job: Job, path: str) -> Any:
    """The value at a dotted path of a job; None where a part of it is missing."""
    node: Any = job
    for name in path.split("."):
        node = None if node is None else getattr(node, name)
    return node
