"""Findings for a terminal: the answer first, then a table, then what to do, then the notes. At most 80 columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap

from calc.findings import Event, Findings, Notice, UnitFindings
from calc.job.catalogue import PHASES
from calc.job.direction import ANGLES
from calc.job.model import AHEAD, STAGES, Job
from calc.job.problems import Problem
from calc.job.steps import STEPS
from calc.job.words import plain, signed
from calc.judge.settings import settings_of
from calc.measure.conformity import INCOMPLETE, OUTSIDE, UNCLEAR, WITHIN
from calc.show.marks import WORDS
from calc.show.working import blocks
from calc.work.progress import STATES
from calc.work.report import Report

WIDTH = 80
HARD_SPACE = "\u00a0"  # Keeps a number and its unit on one line.
_MARKS = {WITHIN: "[.]", UNCLEAR: "[ -.-", OUTSIDE: "[ ] .", INCOMPLETE: "[ ]"}
_COLOURS = {WITHIN: "32", UNCLEAR: "33", OUTSIDE: "31", INCOMPLETE: "36"}


def clean(text: str) -> str:
    """Text from a file without control characters, so that it cannot steer the terminal.

    >>> clean("a" + chr(27) + "[31mb")
    'a?[31mb'
    """
    return "".join(letter if letter.isprintable() or letter == HARD_SPACE else "?" for letter in text)


def paragraph(text: str, first: str = "", rest: str = "") -> Iterator[str]:
    """Text from anywhere, wrapped and made safe for a terminal; `first` and `rest` stand before its lines."""
    lines = wrap(clean(text), WIDTH, initial_indent=first, subsequent_indent=rest or first) or [first]
    yield from (line.replace(HARD_SPACE, " ") for line in lines)


class Style:
    """Colour and weight, or nothing of it.

    >>> Style(False).verdict("outside")
    'Outside'
    """

    def __init__(self, colour: bool) -> None:
        self.colour = colour

    def verdict(self, verdict: str, width: int = 0) -> str:
        """The verdict's words, padded to a width."""
        return self._painted(_COLOURS[verdict], WORDS[verdict].ljust(width))

    def strong(self, text: str) -> str:
        """A heading."""
        return self._painted("1", text)

    def _painted(self, code: str, text: str) -> str:
        return f"\x1b[{code}m{text}\x1b[0m" if self.colour else text


def report(found: Findings, colour: bool = False, demo: bool = False) -> str:
    """All findings as lines of text. `demo`: whether to say that ship and numbers are invented."""
    style = Style(colour)
    lines = [style.verdict(found.summary.verdict)]
    head = [each for each in (found.job.title, found.job.vessel, found.job.date) if each]
    if head:
        lines += paragraph(" · ".join(head))
    direction = found.job.rotation or AHEAD
    if direction != AHEAD:
        lines.append(f"{direction.capitalize()}. {ANGLES[direction]}")
    if demo:
        lines.append("Demo: ship and numbers are invented.")
    lines += ["", *paragraph(found.summary.text), ""]
    if found.tdc_check is not None:
        from calc.show.around import tdc_words

        lines += [*(line for head, words in tdc_words(found.tdc_check) for line in paragraph(f"{head}: {words}")), ""]
    if found.units:
        lines += [*_table(found.units, style), ""]
    for unit in found.units:
        if unit.verdict != WITHIN or unit.causes or unit.suspicions or unit.cam_survey or unit.index_line:
            lines += [*_what_to_do(unit, style), ""]
    if found.notices:
        lines += [*notice_lines(found.notices, style), ""]
    lines.append(f"{found.program}, check sum of the job {found.job.checksum[:16]}")
    return "\n".join(lines)


def notice_lines(notices: Sequence[Notice], style: Style) -> Iterator[str]:
    """Notices with the place in the job file that each is about."""
    yield style.strong("Notes")
    for notice in notices:
        place = f" ({notice.where})" if notice.where else ""
        yield from paragraph(f"{notice.text}{place}", "- ", "  ")


def _table(units: Sequence[UnitFindings], style: Style) -> Iterator[str]:
    yield style.strong("Unit Stage    Start, 95 %        End, 95 %          Index 0 Verdict")
    for unit in units:
        opening = f"{plain(unit.cut_out.opening_mm, 2)} mm" if unit.cut_out else ""
        columns = f"{unit.unit:>4} {STAGES[unit.stage]:<8} {_event(unit.beginning):<18} {_event(unit.end):<18} {opening:<7} "
        yield columns + style.verdict(unit.verdict)


def _event(event: Event | None) -> str:
    if event is None:
        return "no number"
    return f"{signed(event.deviation_deg, 2)}° ±{plain(event.expanded_deg, 2)} {_MARKS[event.verdict]}"


def _what_to_do(unit: UnitFindings, style: Style) -> Iterator[str]:
    yield style.strong(f"Unit {unit.unit}, {STAGES[unit.stage]}")
    said = unit.judged.said if unit.judged else None
    if said is None:
        return
    if said.level is not None:
        yield from paragraph(f"{said.level.upper()}: {' '.join(said.stop)}", "  ", "  ")
    for words in (*said.todo, *said.settle):
        yield from paragraph(words, "  ", "  ")
    if unit.cam_survey is not None or unit.index_line is not None:
        from calc.show.around import unit_words

        for head, words in unit_words(unit):
            yield from paragraph(f"{head}: {words}", "  ", "  ")


def working(found: Findings, job: Job, number: int) -> str:
    """The working of one unit in every stage it was read in."""
    lines: list[str] = []
    settings = settings_of(job)
    for unit in found.units:
        if unit.unit != number:
            continue
        for block in blocks(unit, job, settings):
            lines += ["", f"Unit {number}, {STAGES[unit.stage]}: {block.title}"]
            for line in block.lines:
                numbers = f" = {line.numbers}" if line.numbers else ""
                source = f"  [{line.source}]" if line.source else ""
                lines += paragraph(f"{line.what}: {line.formula}{numbers} = {line.value}{source}", "  ", "      ")
    return "\n".join(lines)


def not_written(file: str, error: OSError) -> str:
    """Why a file was not written.

    >>> not_written("a/b.html", OSError())
    'a/b.html cannot be written: it cannot be written. Name a file in a folder that you can write to.'
    """
    reason = (error.strerror or "it cannot be written").lower()
    return f"{clean(file)} cannot be written: {reason}. Name a file in a folder that you can write to."


def progress(made: Report, colour: bool = False, demo: bool = False) -> str:
    """How far a job is, as lines of text: the answer first, then the steps, then what to close."""
    style = Style(colour)
    titles = {step.code: step.title for step in STEPS}
    lines = [style.strong("Complete" if made.complete else "Not complete")]
    head = [each for each in (made.job.title, made.job.vessel, made.job.date) if each]
    if head:
        lines += paragraph(" · ".join(head))
    if demo:
        lines.append("Demo: ship and numbers are invented.")
    lines += ["", *paragraph(made.text), ""]
    for number, step in enumerate(made.steps, 1):
        count = f", {len(step.open)} open" if step.open else ""
        lines.append(style.strong(f"{number:>2} {titles[step.step]}: {STATES[step.state]}{count}"))
        for words in (step.why, *(each.text for each in step.open)):
            lines += paragraph(words, "   - ", "     ") if words else []
    if made.closing:
        lines += ["", style.strong("Close and prove before the engine can be ready, in this order")]
    for number, phase in enumerate(made.closing, 1):
        lines.append(f"{number:>2} {PHASES[phase.phase]}")
        for each in phase.open:
            lines += paragraph(each.text, "   - ", "     ")
    if made.errors:
        lines += ["", style.strong("To mend: typed, but counted nowhere")]
        for each in made.errors:
            lines += paragraph(each.text, "- ", "  ")
    return "\n".join([*lines, "", f"{made.program}, check sum of the job {made.job.checksum[:16]}"])


def problems(found: Sequence[Problem], noun: str = "job", whole: str = "file") -> str:
    """What stands in the way of using a job, for people. `noun`: what cannot be used; `whole`: the name of all of it."""
    count = "1 thing" if len(found) == 1 else f"{len(found)} things"
    lines = [f"The {noun} cannot be used: {count} to mend."]
    for problem in found:
        lines += paragraph(f"{problem.where or whole}: {problem.text}", "- ", "  ")
    return "\n".join(lines)
