"""What the pages about procedures take from the job's own lists: things to note, to confirm, to look up, to put back.

Generated at the build and included there, so that a page and the worksheet never ask for different things.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from calc.job.catalogue import CONFIRMATIONS, EVERY_CONFIRMATION, INSPECTED, PHASES, POSITIONS, Confirmation
from calc.job.describe import RECORD, field_of, fields_of
from calc.job.model import Arrangement, Engine, Instruments, Reference, UnitReference
from calc.job.steps import ASIDE, STEPS
from calc.show.fault_tree import fault_tree
from calc.show.markup import element
from calc.work.drill import drill


def parts() -> dict[str, str]:
    """Every generated part of these pages: its path below the folder for generated files, and its text."""
    asked = {each.step for each in EVERY_CONFIRMATION}
    found = {
        "places-of-steps.md": places_of_steps(),
        "positions.md": positions(),
        "closing.md": closing_order(),
        "inspected.md": "".join(f"- {label}\n" for label in INSPECTED.values()),
        "settings.md": values("engine", Engine) + values("reference", Reference, UnitReference),
        "instruments.md": values("instruments", Instruments),
        "has.md": what_it_has(),
        "drill.md": drill({}),
        "fault-tree.md": fault_tree(),
        **{f"confirm-{step}.md": confirmations(step) for step in asked},
    }
    return {f"before/{name}": text for name, text in found.items()}


def places_of_steps() -> str:
    """The steps as a list for readers without JavaScript. The ids are where links into the worksheet lead."""
    lines = [element("li", {"id": f"step-{step.code}"}, f"{step.title}. {step.say}") for step in (*STEPS, *ASIDE)]
    return "\n".join(["<ol>", *lines, "</ol>", ""])


def _only(needs: str) -> str:
    """What an engine must have for an entry to be asked for; nothing where every engine has it."""
    return f" *Only with: {field_of(Arrangement, needs).label}.*" if needs else ""


def _table(head: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    head = tuple(head)
    lines = [head, ["---"] * len(head), *rows]
    return "".join(f"| {' | '.join(each.replace('|', '/') for each in line)} |\n" for line in lines)


def positions() -> str:
    """What is moved for the job, and what to write down of it.

    >>> positions().splitlines()[2]
    '| Control of the engine | Bridge, control room or engine side. |'
    """
    return _table(("What", "Write down"), ((_sentence(each.label), each.note + _only(each.needs)) for each in POSITIONS))


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def confirmations(step: str) -> str:
    """What the worksheet asks to be confirmed in a step, with its signal word.

    >>> confirmations("turning").splitlines()[0]
    '- **Danger.** The drill is agreed: count everyone, hands clear, said aloud, before every move.'
    """
    return "".join(f"- {_asked(each)}\n" for each in EVERY_CONFIRMATION if each.step == step)


def _asked(each: Confirmation) -> str:
    signal = f"**{each.signal.capitalize()}.** " if each.signal and each.signal != "notice" else ""
    return signal + each.label + _only(each.needs)


def closing_order() -> str:
    """What to close before the engine can be ready, in order: things that go back, and what is confirmed."""
    lines = []
    for phase, title in PHASES.items():
        lines += [f"**{title}**", ""]
        lines += [f"- Put back: {each.label}.{_only(each.needs)}" for each in POSITIONS if each.phase == phase]
        lines += [f"- {_asked(each)}" for each in CONFIRMATIONS if each.phase == phase]
        lines.append("")
    return "\n".join(lines)


def values(group: str, *records: type) -> str:
    """The values that somebody has to look up, and where to find each.

    >>> "Seat-contact reading" in values("reference", Reference)
    True
    """
    rows = (row for record in records for row in _looked_up(record))
    return f"**{_sentence(group)}**\n\n" + _table(("What", "Needed", "Where you find it"), rows) + "\n"


def _looked_up(record: type, owner: str = "") -> Iterator[tuple[str, str, str]]:
    for field in fields_of(record):
        if field.kind == RECORD and field.record is not None:
            yield from _looked_up(field.record, f"{field.label}: ")
        elif field.find:
            yield _sentence(owner + field.label), "yes" if field.required else "", field.find


def what_it_has() -> str:
    """What an engine can have, for the list of what to find out first."""
    return "".join(f"- {field.label}\n" for field in fields_of(Arrangement) if field.label)
