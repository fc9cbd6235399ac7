"""Recalls: released versions that computed something wrong. The one list; every later release carries it.

A job file names the versions that worked on it (`written_by`). What was noted from a recalled one, on paper or at the
engine, stays wrong until somebody looks at it again, so every version that opens such a file says so.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

NAME = "Spillmark"
_WRITTEN = re.compile(rf"\b{NAME} (\d{{1,4}}\.\d{{1,4}}\.\d{{1,4}})(?![.\w])")


@dataclass(frozen=True, slots=True)
class Recall:
    """One recall. Sentences are whole, for people.

    number: of the notice. date: on which it was found. first, last: the versions concerned, both included. mended_in: the
    version that computes it right. wrong: what was wrong. numbers: which numbers, in the words of screens and record.
    recognise: how to tell whether a job is concerned. act: what to do.
    """

    number: int
    date: str
    first: str
    last: str
    mended_in: str
    wrong: str
    numbers: tuple[str, ...]
    recognise: str
    act: str

    @property
    def versions(self) -> str:
        """The versions concerned, in words."""
        return self.first if self.first == self.last else f"{self.first} to {self.last}"

    def concerns(self, version: str) -> bool:
        """Whether a version is recalled by it."""
        return _key(self.first) <= _key(version) <= _key(self.last)


# The newest first. How to add one: DEVELOPERS.md, "How to recall a version".
RECALLS: tuple[Recall, ...] = ()


def _key(version: str) -> tuple[int, ...]:
    return tuple(int(part) for part in version.split("."))


def versions_in(written_by: str | None) -> tuple[str, ...]:
    """The versions that a job file names, in its order, each once.

    >>> versions_in("Spillmark 0.1.0, Spillmark 0.2.0, another program 3.0.0")
    ('0.1.0', '0.2.0')
    """
    return tuple(dict.fromkeys(_WRITTEN.findall(written_by or "")))


def with_program(written_by: object, program: str) -> str:
    """What a job file names, with this program behind it where it is not there yet.

    Parameters: written_by, as it stands in the file, whatever that is; program with its version.

    >>> with_program(None, "Spillmark 0.1.0"), with_program("Spillmark 0.1.0", "Spillmark 0.2.0")
    ('Spillmark 0.1.0', 'Spillmark 0.1.0, Spillmark 0.2.0')
    >>> with_program("Spillmark 0.2.0", "Spillmark 0.2.0")
    'Spillmark 0.2.0'
    """
    before = written_by.strip() if isinstance(written_by, str) else ""
    if not before:
        return program
    return before if program in before.split(", ") else f"{before}, {program}"


def recalled(written_by: str | None, recalls: Iterable[Recall] | None = None) -> list[tuple[Recall, tuple[str, ...]]]:
    """The recalls that concern a job file, each with the versions that worked on it.

    Parameters: written_by, as it stands in the file; recalls, without them the list of this version.
    """
    versions = versions_in(written_by)
    if not versions:
        return []
    concerned = ((recall, tuple(filter(recall.concerns, versions))) for recall in (RECALLS if recalls is None else recalls))
    return [(recall, found) for recall, found in concerned if found]


def words_of(recall: Recall, versions: Iterable[str]) -> str:
    """What to say of a job on which recalled versions worked."""
    named = " and ".join(f"{NAME} {version}" for version in versions)
    return (
        f"{named} worked on this job, and is recalled (notice {recall.number}). {recall.wrong} "
        f"Look again at what you noted from it: {', '.join(recall.numbers)}. {recall.recognise} {recall.act} "
        "What you see here now is computed anew."
    )
