"""How far a job is, as a file for other programs, described field by field like the job and its findings."""

from __future__ import annotations

from calc.findings import JobHead
from calc.job.catalogue import PHASES
from calc.job.describe import choice, flag, record, record_of, records_of, text, whole
from calc.job.steps import STEPS
from calc.version import PROGRAM
from calc.work.begun import Begun
from calc.work.progress import STATES, Missing

FORMAT, VERSION = "spillmark-progress", 1


@record
class Open:
    """One thing that is open."""

    key: str | None = text("place in the worksheet's form", help="Null where no single field settles it.")
    text: str = text("what to do", required=True)


@record
class Step:
    """One step of the job."""

    step: str = choice("step", {step.code: step.title for step in STEPS}, required=True)
    state: str = choice("how far it is", STATES, required=True)
    why: str | None = text("why it is not needed", help="Only where it is not.")
    open: tuple[Open, ...] = records_of(Open, "what is open in it", required=True)


@record
class Closing:
    """One stage of closing, in order."""

    phase: str = choice("stage", PHASES, required=True)
    open: tuple[Open, ...] = records_of(Open, "what to close or prove, in order", required=True)


@record
class Report:
    """How far a job is."""

    format: str = text("format", required=True)
    version: int = whole("version of the format", required=True)
    program: str = text("program and version", required=True)
    job: JobHead = record_of(JobHead, "job", required=True)
    complete: bool = flag("whether the job is complete", required=True)
    text: str = text("that in words", required=True)
    steps: tuple[Step, ...] = records_of(Step, "steps in the job's order", required=True)
    closing: tuple[Closing, ...] = records_of(Closing, "what to close before the engine can be ready", required=True)
    errors: tuple[Open, ...] = records_of(Open, "what was typed and counts nowhere", required=True)


def report(so_far: Begun) -> Report:
    """The file of a job as far as it is.

    >>> from calc.work.begun import begun
    >>> made = report(begun({"engine.units": "6"}))
    >>> made.complete, made.steps[0].step, made.steps[0].state
    (False, 'due', 'open')
    """
    tree = so_far.composed.tree
    how = so_far.progress
    return Report(
        format=FORMAT,
        version=VERSION,
        program=PROGRAM,
        job=JobHead(
            title=tree.get("title"),
            vessel=tree.get("vessel"),
            date=tree.get("date"),
            running_hours=tree.get("running_hours"),
            rotation=tree.get("reference", {}).get("rotation"),
            checksum=so_far.checksum,
        ),
        complete=how.complete,
        text=how.text,
        steps=tuple(
            Step(step=each.code, state=each.state, why=each.why or None, open=_listed(each.missing)) for each in how.steps
        ),
        closing=tuple(Closing(phase=each.code, open=_listed(each.items)) for each in so_far.closing),
        errors=_listed(so_far.errors),
    )


def _listed(items: tuple[Missing, ...]) -> tuple[Open, ...]:
    return tuple(Open(key=each.key, text=each.text) for each in items)
