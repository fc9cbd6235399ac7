"""What a calculation is, and what it answers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from calc.findings import Findings, findings_to_tree
from calc.job.describe import choice, fields_of, record, text
from calc.job.model import Job
from calc.job.problems import Problem
from calc.job.read import no_rules, readable
from calc.working import Line

FORMAT, VERSION = "spillmark-result", 1

NO_ANSWER, NO_DATA, BEYOND = "no_answer", "no_data", "beyond"
DANGER, WARNING, NOTICE, NOTE = "danger", "warning", "notice", "note"
UNKNOWN_KEY = "unknown_key"

# Every notice that a result can carry. The codes are part of the format.
NOTICES = {
    NO_ANSWER: "What was asked for does not exist: the value is null and the status 1.",
    NO_DATA: "The input holds too little for this value: it is null.",
    BEYOND: "The value lies beyond the end of the search: it is null.",
    DANGER: "A hazard that is certain if the work goes on like that.",
    WARNING: "A hazard that is possible, or something about a value that you have to know before you use it.",
    NOTICE: "Good to know beside the answer. It changes nothing.",
    NOTE: "What the numbers say, in words.",
    UNKNOWN_KEY: "The input holds a key that this version does not know. It changes no number.",
}

SOLVED_STATUS, NO_ANSWER_STATUS, UNUSABLE_STATUS = 0, 1, 2


@record
class Notice:
    """Something to know about a result: why a value is null, or what it rests on."""

    code: str = choice("code", NOTICES, required=True)
    where: str = text("place in the input", required=True)
    text: str = text("what it says", required=True)


@dataclass(frozen=True, slots=True)
class Answer:
    """A result, what has to be known about it, and how it was worked out."""

    result: Any
    notices: tuple[Notice, ...] = ()
    working: tuple[Line, ...] = ()

    @property
    def status(self) -> int:
        """0, or 1 where something that was asked for does not exist.

        >>> Answer(None, (no_answer("target", "Never reached."),)).status
        1
        """
        return NO_ANSWER_STATUS if any(notice.code == NO_ANSWER for notice in self.notices) else SOLVED_STATUS


def no_answer(where: str, words: str) -> Notice:
    """A notice that what was asked for does not exist.

    >>> no_answer("target", "Never reached.").code
    'no_answer'
    """
    return Notice(code=NO_ANSWER, where=where, text=words)


def no_data(where: str, words: str) -> Notice:
    """A notice that a value is null for want of data.

    >>> no_data("pairs", "One pair has no spread.").code
    'no_data'
    """
    return Notice(code=NO_DATA, where=where, text=words)


def beyond(where: str, words: str) -> Notice:
    """A notice that a value lies beyond the end of a search.

    >>> beyond("limit", "Not within 100 000 h.").code
    'beyond'
    """
    return Notice(code=BEYOND, where=where, text=words)


def danger(where: str, words: str) -> Notice:
    """A hazard that is certain.

    >>> danger("flats", "The rod would come apart.").code
    'danger'
    """
    return Notice(code=DANGER, where=where, text=words)


def warning(where: str, words: str) -> Notice:
    """A hazard, or a notice about a value that was found.

    >>> warning("stages", "The last stage is below 100 %.").code
    'warning'
    """
    return Notice(code=WARNING, where=where, text=words)


def beside(where: str, words: str) -> Notice:
    """Good to know beside the answer.

    >>> beside("plunger_1_mm", "Nothing was read twice.").code
    'notice'
    """
    return Notice(code=NOTICE, where=where, text=words)


def note(where: str, words: str) -> Notice:
    """What the numbers say.

    >>> note("pairs", "The pointer is right.").code
    'note'
    """
    return Notice(code=NOTE, where=where, text=words)


@dataclass(frozen=True, slots=True)
class Known:
    """The input as the rules between fields see it: which keys are there, and the values that can be read.

    >>> known = Known({"a": 1, "b": "x"}, {"a": 1})
    >>> known.has("b"), known.get("b"), known.get("a")
    (True, None, 1)
    """

    tree: Mapping[str, Any]
    values: Mapping[str, Any]

    def has(self, key: str) -> bool:
        """Whether the key is there, readable or not."""
        return key in self.tree

    def get(self, key: str) -> Any:
        """The value, None where it is absent or wrong; wrong ones are told by the reader."""
        return self.values.get(key)


# What a job and its findings know of an input, given what can be read of that already: values by field name.
FromJob = Callable[[Job, Findings, Mapping[str, Any]], Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Calculation:
    """One calculation: everything that the command line, the reference page and a form need to know of it.

    title: a few words; what: one line, for a list. given, result: the records of its input and output; compute: the input to
    an answer; example: an invented input; source: where the method comes from; rules: problems between fields of the input.
    For a form: say, what to do in a sentence or two; page: where the site explains it; step: the step of the job in which the
    worksheet offers it; from_job: what the job knows of the input; beside_job: the inputs that only say what to take from it.
    """

    name: str
    title: str
    what: str
    given: type
    result: type
    compute: Callable[[Any], Answer]
    example: Mapping[str, Any]
    source: str
    rules: Callable[[Known], Iterable[Problem]] = no_rules
    say: str = ""
    page: str = ""
    step: str = ""
    from_job: FromJob | None = None
    beside_job: tuple[str, ...] = ()

    def problems(self, tree: dict[str, Any]) -> Iterable[Problem]:
        """The problems between fields of an input, for `calc.job.read.examine`."""
        return self.rules(Known(tree, readable(tree, self.given)))


def result_to_tree(calculation: Calculation, answer: Answer) -> dict[str, Any]:
    """An answer as the file that other programs read.

    >>> from calc.compute.registry import CALCULATIONS
    >>> list(result_to_tree(CALCULATIONS["ignition"], Answer(CALCULATIONS["ignition"].result(ccai=851.9))))
    ['format', 'version', 'name', 'result', 'notices']
    """
    return {
        "format": FORMAT,
        "version": VERSION,
        "name": calculation.name,
        "result": findings_to_tree(answer.result),
        "notices": [findings_to_tree(notice) for notice in answer.notices],
    }


def empty(result: type) -> Any:
    """A result without any value.

    >>> from calc.compute.registry import CALCULATIONS
    >>> empty(CALCULATIONS["ignition"].result).ccai is None
    True
    """
    return result(**{each.attribute: None for each in fields_of(result)})
