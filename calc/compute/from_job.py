"""What calculations take from a job: fields described as there, and values from it."""

from __future__ import annotations

import dataclasses
from typing import Any

from calc.job.describe import field_of, number, value_at
from calc.job.model import Job
from calc.job.steps import SETTINGS


def like(path: str, **changes: Any) -> Any:
    """An input that is described like a field of the job; what is changed here holds for the input alone.

    It is asked for, never stood in for: a fallback of the job does not count. What the job's settings give stands apart.
    """
    serves = "" if path.startswith("readings.") else SETTINGS
    described = dataclasses.replace(field_of(Job, path), name="", fallback=None, serves=serves, **changes)
    return dataclasses.field(default=None, metadata={"field": described})


def outcome(label: str, **details: Any) -> Any:
    """A number of a result, told to 0.1 µm or as small a part of its unit; left out where there is none."""
    return number(label, **{"decimals": 4, "omit": True, **details})


def gauges_of(job: Job, *names: str) -> dict[str, Any]:
    """Step and error limit of the job's gauges, "plunger" or "valve", by the names that inputs give them."""
    known = {}
    for gauge in names:
        known[f"{gauge}_step_mm"] = value_at(job, f"instruments.{gauge}_gauge.step_mm")
        known[f"{gauge}_limit_mm"] = value_at(job, f"instruments.{gauge}_gauge.error_limit_mm")
    return known
