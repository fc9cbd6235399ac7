"""Every side calculation by name, and how what is typed into one becomes its answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from calc.findings import Findings
from calc.job.describe import fields_of
from calc.job.entry import typed as as_typed
from calc.job.model import Job
from calc.job.typed import Typed, read_typed
from calc.side.calculation import Answer, Calculation
from calc.side.points import CAM_SLOPE, VALVE_RATIO
from calc.side.thread import THREAD
from calc.side.trial import TRIAL

CALCULATIONS: Mapping[str, Calculation] = {each.name: each for each in (TRIAL, VALVE_RATIO, CAM_SLOPE, THREAD)}


@dataclass(frozen=True, slots=True)
class Asked:
    """An answer, or what stands in its way.

    typed: what was understood of the texts. taken: texts that the job gave for empty fields, by field name.
    """

    typed: Typed
    taken: Mapping[str, str]
    answer: Answer | None


def ask(name: str, texts: Mapping[str, str], job: Job | None = None, findings: Findings | None = None) -> Asked:
    """The answer to what is typed into a calculation's fields; what is left empty there is taken from the job.

    >>> asked = ask("thread", {"direction": "longer", "flats": "6", "pitch_mm": "1.5", "thread": "single",
    ...     "length_1_mm": "45", "visible_1_mm": "18", "least_mm": "20"})
    >>> asked.answer.said[0].text
    'Thread engagement after it: 25.50 mm (now 27.00 mm).'
    """
    calculation = CALCULATIONS[name]
    taken: dict[str, str] = {}
    if job is not None and findings is not None:
        known = calculation.from_job(job, findings, read_typed(calculation.inputs, texts).values)
        for field in fields_of(calculation.inputs):
            value = known.get(field.name)
            if value is not None and not texts.get(field.name, "").strip():
                taken[field.name] = as_typed(field, value)
    typed = read_typed(calculation.inputs, {**texts, **taken})
    return Asked(typed, taken, None if typed.record is None else calculation.run(typed.record))
