"""A calculation as a form asks it: texts from people, and what is left empty taken from the job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from calc.compute.answer import Calculation
from calc.compute.run import Computed
from calc.findings import Findings
from calc.job.describe import fields_of
from calc.job.entry import typed as as_typed
from calc.job.model import Job
from calc.job.typed import Typed, read_typed


@dataclass(frozen=True, slots=True)
class Asked:
    """A calculation that was asked, and what stands in its way.

    typed: what was understood of the texts. taken: texts that the job gave for empty fields, by field name. computed: None
    while something is missing or wrong.
    """

    calculation: Calculation
    typed: Typed
    taken: Mapping[str, str]
    computed: Computed | None


def ask(calculation: Calculation, texts: Mapping[str, str], job: Job | None = None, findings: Findings | None = None) -> Asked:
    """The answer to what is typed into a calculation's fields; what is left empty there is taken from the job.

    >>> from calc.compute.registry import CALCULATIONS
    >>> asked = ask(CALCULATIONS["thread"], {"direction": "longer", "flats": "6", "pitch_mm": "1.5", "thread": "single",
    ...     "length_1_mm": "45", "visible_1_mm": "18", "least_mm": "20"})
    >>> asked.computed.answer.notices[0].text
    'Thread engagement after it: 25.50 mm (now 27.00 mm).'
    """
    given = calculation.given
    taken: dict[str, str] = {}
    if calculation.from_job is not None and job is not None and findings is not None:
        known = calculation.from_job(job, findings, read_typed(given, texts).values)
        for field in fields_of(given):
            value = known.get(field.name)
            if value is not None and not texts.get(field.name, "").strip():
                taken[field.name] = as_typed(field, value)
    typed = read_typed(given, {**texts, **taken}, calculation.problems)
    found = None if typed.record is None else Computed(calculation, typed.record, calculation.compute(typed.record))
    return Asked(calculation, typed, taken, found)
