"""Recalls for people: as a notice for a terminal, a mail or paper, and as the page that lists them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from calc.recalls import NAME, RECALLS, Recall
from calc.show.terminal import paragraph
from calc.version import PROGRAM

NONE = "No version is recalled."
HOW_TO_SEE = (
    f"The foot of every paper names the version that made it, as “{PROGRAM}”. "
    "A job file names every version that worked on it, under written_by."
)
LATER = "This list is as old as the version that shows it. Only a newer version knows of later recalls."


def notice_lines(recall: Recall) -> Iterator[str]:
    """One recall as a notice that can be read aloud, mailed or pinned up."""
    yield f"RECALL NOTICE {recall.number}, {recall.date}"
    yield f"{NAME} {recall.versions}"
    yield ""
    for head, words in _parts(recall):
        yield from paragraph(f"{head}: {words}", "", "  ")


def _parts(recall: Recall) -> Iterator[tuple[str, str]]:
    yield "What was wrong", recall.wrong
    yield "Numbers concerned", f"{', '.join(recall.numbers)}."
    yield "How to tell", recall.recognise
    yield "What to do", recall.act
    yield "Right again from", f"{NAME} {recall.mended_in} on."


def lines(recalls: Sequence[Recall] | None = None) -> Iterator[str]:
    """All of them for a terminal. Parameters: recalls; without them the list of this version."""
    found = RECALLS if recalls is None else recalls
    for recall in found:
        yield from notice_lines(recall)
        yield ""
    yield from paragraph(f"{PROGRAM} knows of {len(found)} recall{'' if len(found) == 1 else 's'}." if found else NONE)
    yield from paragraph(HOW_TO_SEE)
    yield from paragraph(LATER)


def page(recalls: Sequence[Recall] | None = None) -> str:
    """The page of all recalls (Markdown)."""
    found = RECALLS if recalls is None else recalls
    parts = [
        "---\ntags:\n  - recall\n  - wrong number\n  - which version\n  - safety notice\n---\n",
        "# Recall notices\n",
        "A recall notice says that a released version computed something wrong. You find here which versions, which numbers, "
        "and what you do about it.\n",
    ]
    if not found:
        parts.append(f"**{NONE}** This list comes with {PROGRAM}.\n")
    for recall in found:
        parts += [f"## Notice {recall.number}: {NAME} {recall.versions}\n", f"Of {recall.date}.\n"]
        parts += [f"**{head}.** {_markdown(words)}\n" for head, words in _parts(recall)]
    return "\n".join([*parts, _REST])


def _markdown(words: str) -> str:
    """The words as they are: what would be markup in Markdown is none."""
    return "".join(f"\\{letter}" if letter in "\\`*_{}[]()<>#+!|" else letter for letter in words)


_REST = f"""## Which version made it

- **On paper**: the foot of every page names the version, as “{PROGRAM}”, beside the check sum of the job.
- **In a job file**: the key `written_by` names every version that worked on the job, in their order.
- **In findings, trends and plans as files**: the key `program`.
- **On the command line**: `python -m calc --version`.

## How a notice reaches you

- **A newer version tells you by itself.** Open a job file on which a recalled version worked. The worksheet then says so
  among its notes on the findings, with the numbers to look at again. `check` and `trend` say the same.
- **A ship without a network** gets the notice as a text of a few lines. It fits into any mail. You can print it or read it out.
  `python -m calc recalls` writes it.
- **The web app** brings the list with its update.

{LATER} So ask for the newest one before you rely on an old record.

## What you do with a notice

1. Find the records and job files that name a recalled version.
2. Open each job file in a later version. It judges the same readings anew.
3. Compare the new record with the old one, number by number, as the notice says.
4. If you corrected a unit by a wrong number, read that unit again before you turn anything.
5. File the new record with the old one. Write “recalled” on the old one.
"""
