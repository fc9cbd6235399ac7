"""From the text of an input to an answer, or to every problem in it at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from calc.compute.answer import UNKNOWN_KEY, UNUSABLE_STATUS, Answer, Calculation, Notice, result_to_tree
from calc.job.parse import parse
from calc.job.problems import JobErrors, Problem, errors_file
from calc.job.read import examine
from calc.job.unknown import cut, unknown_paths


@dataclass(frozen=True, slots=True)
class Computed:
    """One calculation done: its input and answer, or what stands in the way."""

    calculation: Calculation
    given: Any
    answer: Answer | None
    errors: tuple[Problem, ...] = ()

    @property
    def status(self) -> int:
        """0 answered, 1 something asked for does not exist, 2 the input cannot be used."""
        return UNUSABLE_STATUS if self.answer is None else self.answer.status

    def to_json(self) -> dict[str, Any]:
        """The result, or the errors file."""
        if self.answer is not None:
            return result_to_tree(self.calculation, self.answer)
        return errors_file(self.errors)


def compute(calculation: Calculation, source: str | bytes) -> Computed:
    """Do a calculation.

    Parameters: calculation; source: its input as the text or bytes of a JSON object.

    >>> from calc.compute.registry import CALCULATIONS
    >>> done = compute(CALCULATIONS["cooling"], '{"volume_m3": 8, "flow_m3_h": 1.5}')
    >>> done.status, [problem.where for problem in done.errors]
    (2, ['start_c', 'feed_c', 'limit_c_per_min'])
    """
    try:
        tree = parse(source)
    except JobErrors as error:
        return Computed(calculation, None, None, error.errors)
    return compute_tree(calculation, tree)


def compute_tree(calculation: Calculation, tree: Any) -> Computed:
    """Do a calculation with a parsed input (see `calc.job.parse`).

    >>> from calc.compute.registry import CALCULATIONS
    >>> given = {"volume_m3": 8, "flow_m3_h": 1.5, "start": 0.5, "feed": 0.1, "target": 0.5}
    >>> compute_tree(CALCULATIONS["dilution"], given).to_json()["result"]
    {'hours': 0.0, 'volumes': 0.0}
    """
    noun = f"the input of {calculation.name}"
    given, problems = examine(tree, calculation.given, rules=calculation.problems, noun=noun)
    if problems:
        return Computed(calculation, None, None, tuple(problems))
    answer = calculation.compute(given)
    unknown = tuple(
        Notice(
            code=UNKNOWN_KEY,
            where=where,
            text=f"{cut(where)}: this version does not know the key. It changes no number. Check its spelling.",
        )
        for where in unknown_paths(given)
    )
    return Computed(calculation, given, replace(answer, notices=(*unknown, *answer.notices)))
