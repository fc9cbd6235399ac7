"""As much of an unfinished job as can be judged, so that the worksheet answers while people still type.

A number that cannot be used takes its reading, or whatever entry it stands in, out; everything else is judged all the same. The
file's own rules stay as they are: `read_job` accepts no such job.
"""

from __future__ import annotations

import copy
import dataclasses
import re
from collections.abc import Sequence
from typing import Any

from calc.job.form import tables_of
from calc.job.model import Job
from calc.job.problems import Problem
from calc.job.read import examine

# Lists whose entries stand each for itself.
_ROW = re.compile(rf"({'|'.join(map(re.escape, tables_of()))})\[(\d+)\]")
_ROUNDS = 4


def usable_part(tree: dict[str, Any], problems: Sequence[Problem]) -> Job | None:
    """The job that is left when everything wrong is taken out; None where nothing can be judged without it.

    Parameters: the tree, with the problems that `examine` found in it.
    """
    tree = copy.deepcopy(tree)
    for _ in range(_ROUNDS):
        if not _take_out(tree, problems):
            return None
        _fill_gaps(tree)
        job, problems = examine(tree, complete=False)
        if job is not None:
            return _with_settings_only(job)
    return None


def _take_out(tree: dict[str, Any], problems: Sequence[Problem]) -> bool:
    rows: dict[str, set[int]] = {}
    for problem in problems:
        row = _ROW.match(problem.where)
        if row:
            rows.setdefault(row[1], set()).add(int(row[2]))
        elif problem.where in ("reference.units", "engine.firing_order"):
            continue  # Missing settings leave their unit out; the firing order changes no finding.
        elif not problem.where or not _delete(tree, problem.where):
            return False
    for path, indices in rows.items():
        *parents, last = path.split(".")
        owner: Any = tree
        for name in parents:
            owner = owner[name]
        owner[last] = [entry for j, entry in enumerate(owner[last]) if j not in indices]
    return True


def _delete(tree: dict[str, Any], where: str) -> bool:
    """Take one value out. False where it is not there: then it is missing, and nothing can be judged without it."""
    names = re.split(r"[.\[]", where)
    node: Any = tree
    for depth, name in enumerate(names):
        if not isinstance(node, dict) or name not in node:
            return False
        # An element of a list takes the whole list with it: half a lift table is another cam.
        if depth == len(names) - 1 or isinstance(node[name], list):
            del node[name]
            return True
        node = node[name]
    return False


def _fill_gaps(tree: dict[str, Any]) -> None:
    engine = tree.get("engine")
    if isinstance(engine, dict):
        units = engine.get("units")
        if isinstance(units, int) and not isinstance(units, bool) and 1 <= units <= 24:
            # Only so that the record is whole: no finding uses it, and the job is never written.
            engine["firing_order"] = list(range(1, units + 1))
    reference = tree.get("reference")
    if isinstance(reference, dict):
        reference.setdefault("units", [])


def _with_settings_only(job: Job) -> Job:
    """Without the readings of units that have no settings."""
    known = {unit.unit for unit in job.reference.units}
    readings = tuple(reading for reading in job.readings or () if reading.unit in known)
    return dataclasses.replace(job, readings=readings)
