"""The sources page: every source with what it is used for, and which check runs against it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from calc.compute.registry import CALCULATIONS
from calc.job.describe import walk
from calc.job.model import Job
from calc.show.look_up import CLOSE_ON_PAPER
from calc.show.look_up.publications import INVENTED, OTHER, PRACTICE, PUBLICATIONS, Publication, kinds_of, named_in
from calc.show.look_up.said import Citation, citations

MEMORY = re.compile(r"from memory|remembered|not confirmed")


@dataclass(frozen=True, slots=True)
class Check:
    """A file of check values: its name, what it holds, the tests that run against it."""

    name: str
    values: Mapping[str, Any]
    tests: Sequence[str]

    def statements(self) -> Iterator[tuple[str, str]]:
        """Every source that the file names and how its values were seen, innermost first come, first served."""
        yield from _statements(self.values)


def _statements(tree: object) -> Iterator[tuple[str, str]]:
    if isinstance(tree, Mapping):
        own = tree.get("source")
        seen = "; ".join(str(value).rstrip(".") for key, value in tree.items() if key == "seen" or key.endswith("_seen"))
        if isinstance(own, str) or seen:
            yield own if isinstance(own, str) else "", seen
        for value in tree.values():
            yield from _statements(value)
    elif isinstance(tree, list):
        for value in tree:
            yield from _statements(value)


def sources_page(checks: Sequence[Check]) -> str:
    """The page as Markdown. Parameters: checks: the files of check values, with their tests."""
    cited = list(citations())
    parts = [
        "---",
        "tags:",
        "  - source",
        "  - reference",
        "  - standard",
        "  - citation",
        "  - literature",
        "  - ISO",
        "  - from memory",
        "---",
        "",
        "# Sources",
        "",
        CLOSE_ON_PAPER,
        "",
        "This page is made from the code and from the check values themselves. Whatever names a source there stands here. "
        "A check value is a number from outside the project that `calc` has to meet.",
        "",
        "## Published",
        "",
    ]
    for each in PUBLICATIONS:
        parts += _publication(each, cited, checks)
    parts += ["## Not published", ""]
    for kind in OTHER:
        parts += _other(kind, cited, checks)
    parts += ["## From memory", "", *_from_memory(cited, checks), ""]
    return "\n".join(parts)


def _publication(each: Publication, cited: Sequence[Citation], checks: Sequence[Check]) -> Iterator[str]:
    yield f"### {_md(each.short)}"
    yield ""
    yield f"{_md(each.title)}. {each.serves}"
    yield ""
    for group, places in _uses(each, cited).items():
        line = f"{group}: {'; '.join(places)}" if places else group
        yield f"- {_md(line)}{'' if line.endswith('?') else '.'}"
    if each.pages:
        yield f"- Pages: {each.pages}."
    ran = [check for check in checks if any(each.names(f"{source}; {seen}") for source, seen in check.statements())]
    for check in ran:
        yield f"- Checked: {_check(check)}."
    if not ran:
        yield "- No check value comes from it."
    yield ""


def _uses(each: Publication, cited: Sequence[Citation]) -> dict[str, list[str]]:
    """What it is used for, by group: the places in the publication, or the results that rest on it."""
    found: dict[str, list[str]] = {}
    for citation in cited:
        if not each.names(citation.text):
            continue
        places = found.setdefault(citation.group.rstrip(".:"), [])
        if citation.of_results:
            places += [citation.what.rstrip(".")] if citation.what else []
        else:
            places += [
                place for segment in _segments(citation.text) if each.names(segment) and (place := each.place_in(segment))
            ]
    return {group: list(dict.fromkeys(places)) for group, places in found.items()}


def _segments(text: str) -> list[str]:
    """The sources in a text that names several; what follows in further sentences is left out.

    >>> _segments("JCGM 106:2012, 8 (a rule; a guard band). Three answers: yes, no, unclear")
    ['JCGM 106:2012, 8 (a rule; a guard band)']
    """
    first = re.split(r"(?<=[a-z0-9%)])\. (?=[A-Z][a-z]+ )", text)[0]
    return [each.strip(" .") for each in re.split(r"; (?![^(]*\))", first)]


def _check(check: Check) -> str:
    tests = " and ".join(f"`{test}`" for test in check.tests)
    return f"`tests/data/{check.name}.json`, by {tests}"


def _other(kind: str, cited: Sequence[Citation], checks: Sequence[Check]) -> Iterator[str]:
    yield f"### {kind}"
    yield ""
    said: dict[str, list[str]] = {}
    for citation in cited:
        if kind in kinds_of(citation.text):
            said.setdefault(citation.text.rstrip("."), []).append(citation.what.rstrip("."))
    for text, uses in said.items():
        yield f"- {_md(_capital(text))}. For: {_md('; '.join(dict.fromkeys(uses)))}."
    if kind == PRACTICE:
        for words in _hints():
            yield f"- {_md(words)}"
    for check in checks:
        for source, seen in dict.fromkeys(check.statements()):
            if kind in kinds_of(source) and not named_in(source):
                yield f"- {_md(_capital(source.rstrip('.')))}{_md(f' ({seen})') if seen else ''}: {_check(check)}."
    yield ""
    if kind == INVENTED:
        yield "An independent calculation shows that a formula was carried out right, not that it is the right formula."
        yield ""


def _hints() -> Iterator[str]:
    """What the worksheet says beside empty fields."""
    for root in (Job, *(each.given for each in CALCULATIONS.values())):
        for _, field in walk(root):
            if "common practice" in field.hint:
                yield f"{_capital(field.label)}: {field.hint}"


def _from_memory(cited: Sequence[Citation], checks: Sequence[Check]) -> Iterator[str]:
    yield "These titles, clauses or numbers were not seen in a readable text. Treat them with care."
    yield ""
    said: dict[str, list[str]] = {}
    for citation in cited:
        if MEMORY.search(citation.text):
            said.setdefault(_capital(citation.text.rstrip(".")), []).append(citation.what.rstrip("."))
    for text, uses in said.items():
        yield f"- {_md(text)}. For: {_md('; '.join(dict.fromkeys(uses)))}."
    for check in checks:
        for source, seen in dict.fromkeys(check.statements()):
            if MEMORY.search(source) or MEMORY.search(seen):
                words = ": ".join(each.rstrip(".") for each in (source, seen) if each)
                yield f"- {_md(_capital(words))}. {_check(check)}."
    for each in PUBLICATIONS:
        if MEMORY.search(each.title):
            yield f"- {_md(each.title)}."


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _md(words: str) -> str:
    """Words with nothing in them that Markdown would take for a mark."""
    return re.sub(r"([*_|<\[\]`])", r"\\\1", words)
