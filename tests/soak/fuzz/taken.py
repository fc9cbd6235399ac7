"""What becomes of one file: everything that reads job files gets it, and nothing may break, hang or tell of a fault nowhere."""

import csv
import io
import json
import re
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from calc import JobErrors, assess, read_job
from calc.browser import respond
from calc.command.main import main
from calc.compute.registry import CALCULATIONS
from calc.job.problems import Problem
from calc.show import terminal
from calc.show.sheet import BYTE_ORDER_MARK, table_names

HANG_S = 1.0
# A place in the text itself, or that it is about the file as a whole.
_PLACE = re.compile(r"line \d+, column \d+|position \d+")
_WHOLE = re.compile(r"(The|This) file |There are more than \d+ problems|(A job file|The input of [\w ]+) holds one JSON object")
# A number that the program wrote stays one; anything else that begins like a formula must not.
_FORMULA = re.compile(r"[=+\-@\t\r\n\0＝＋－＠]")
_NUMBER = re.compile(r"-?\d+(\.\d+)?(e[+-]?\d+)?")
# What TEXTS of made.py would be if it had become markup.
_RUNS = re.compile(r"<img src=x|<script>alert|href=.?javascript:")
_STEERS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")


class BrokenPromiseError(AssertionError):
    """Something came back that nobody should get."""


@dataclass
class Fate:
    """What became of one input."""

    seconds: float = 0.0
    slowest: str = ""
    crash: str = ""
    placeless: list[str] = field(default_factory=list)

    @property
    def hung(self) -> bool:
        """Whether it took longer than anybody waits."""
        return self.seconds > HANG_S

    def to_json(self) -> dict[str, Any]:
        """As a line of a report between processes."""
        return {"seconds": self.seconds, "slowest": self.slowest, "crash": self.crash, "placeless": self.placeless}


def watched(steps: Callable[[Fate], Iterator[str]]) -> Fate:
    """Do steps, each named as it begins, in the time of this process: other programs on the machine do not count."""
    fate = Fate()
    doing, longest, begun = "start", 0.0, time.process_time()
    last = begun
    try:
        for name in steps(fate):
            now = time.process_time()
            if now - last > longest:
                longest, fate.slowest = now - last, doing
            doing, last = name, now
    except Exception as error:
        frame = traceback.extract_tb(error.__traceback__)[-1]
        fate.crash = f"{doing}: {type(error).__name__}: {error} ({Path(frame.filename).name}:{frame.lineno})"[:400]
    now = time.process_time()
    if now - last > longest:
        fate.slowest = doing
    fate.seconds = now - begun
    return fate


def taken(source: bytes, turn: int) -> Fate:
    """A job file, by the library, a page and now and then a command; `turn` says which of the papers it is asked for."""

    def steps(fate: Fate) -> Iterator[str]:
        yield "read"
        yield from _library(source, fate)
        yield from _page(source.decode("utf-8", "replace"), turn, fate)
        if turn % 10 == 0:
            yield "command"
            _command(source, turn // 10)

    return watched(steps)


def _library(source: bytes, fate: Fate) -> Iterator[str]:
    try:
        job = read_job(source)
    except JobErrors as error:
        look_for_places(error.errors, fate)
        yield "errors"
        told = terminal.problems(error.errors)
        if _STEERS.search(told):
            raise BrokenPromiseError(f"errors steer the terminal: {told[:80]!r}") from None
        return
    yield "assess"
    found = assess(job)
    yield "findings"
    json.dumps(found.to_json(), allow_nan=False)
    yield "report"
    if _STEERS.search(told := terminal.report(found)):
        raise BrokenPromiseError(f"the report steers the terminal: {told[:80]!r}")


def look_for_places(problems: tuple[Problem, ...], fate: Fate) -> None:
    """Note every problem that says nowhere where it is."""
    if not problems:
        fate.placeless.append("refused without a problem")
    for each in problems:
        if not (each.where or _PLACE.search(each.text) or _WHOLE.match(each.text)):
            fate.placeless.append(each.text)


def asked(do: str, /, **request: Any) -> dict[str, Any]:
    """A page's request, by the way that it takes: JSON, and JSON that a browser can read."""
    answer = respond(json.dumps({"do": do, **request}))
    told: dict[str, Any] = json.loads(answer, parse_constant=_refuse)
    look_for_markup(told)
    return told


def _refuse(literal: str) -> None:
    raise BrokenPromiseError(f"an answer holds {literal}, which no browser reads")


def look_for_markup(told: dict[str, Any]) -> None:
    """Fail where a text of the file has become markup or a formula."""
    stack: list[tuple[str, Any]] = [("", told)]
    while stack:
        key, value = stack.pop()
        if isinstance(value, dict):
            stack += value.items()
        elif isinstance(value, list):
            stack += [(key, each) for each in value]
        elif isinstance(value, str) and (value.startswith(("<", BYTE_ORDER_MARK))):
            if value[0] == "<" and key in ("html", "text") and _RUNS.search(value):
                raise BrokenPromiseError(f"{key} holds the file's text as markup")
            if value[0] == BYTE_ORDER_MARK:
                look_for_formulas(value)


def look_for_formulas(table: str) -> None:
    """Fail where a cell would be run by a spreadsheet."""
    for row in csv.reader(io.StringIO(table.removeprefix(BYTE_ORDER_MARK), newline="")):
        for cell in row:
            if _FORMULA.match(cell) and not _NUMBER.fullmatch(cell):
                raise BrokenPromiseError(f"a cell begins like a formula: {cell[:40]!r}")


def _page(text: str, turn: int, fate: Fate) -> Iterator[str]:
    yield "open_file"
    opened = asked("open_file", text=text)
    if "errors" in opened:
        look_for_places(tuple(Problem(**each) for each in opened["errors"]), fate)
        return
    form = {"texts": opened["texts"], "base": opened["base"]}
    yield from judged(form, fate)
    yield "save"
    saved = asked("save", **form)
    yield "open_file again"
    again = asked("open_file", text=saved["text"])
    if "errors" in again:
        raise BrokenPromiseError(f"what was saved does not open: {again['errors'][0]['text']}")
    yield from paper(form, turn)


def judged(form: dict[str, Any], fate: Fate) -> Iterator[str]:
    """A form judged in two strokes, as the page asks for it; each slip has its field, or names its place."""
    yield "assess of the form"
    told = asked("assess", **form, first=[], holds=0)
    for each in told["errors"]:
        if not (each["key"] or ":" in each["text"] or _WHOLE.match(each["text"])):
            fate.placeless.append(each["text"])
    yield "rest"
    asked("rest", holds=told["number"])


def paper(form: dict[str, Any], turn: int) -> Iterator[str]:
    """One thing more that a page can ask for."""
    name, more = _extras()[turn % len(_extras())]
    yield f"{name} {more}"
    told = asked(name, **form, **more)
    if name == "past" and "check" in told:
        yield "trend"
        checks = [told["check"], told["check"]]
        asked("trend", checks=checks, typed={})
        yield "trend_paper"
        asked("trend_paper", checks=checks, typed={"hours_per_day": "14"}, left_out={})
    if name == "plan_look" and told.get("mark"):
        yield "plan"
        asked("plan", **form, **more)
    if name == "what_if":
        yield "what_if with a move"
        asked(name, **form, moves={"1": {"suction_mm": "0.1"}}, unit=1)


@cache
def _extras() -> tuple[tuple[str, dict[str, Any]], ...]:
    return (
        ("record", {}),
        ("handover", {}),
        ("blank", {}),
        ("csv", {}),
        ("csv", {"findings": True}),
        *(("csv", {"table": table}) for table in table_names()),
        ("working", {"unit": 1, "stage": "as_found"}),
        ("what_if", {}),
        ("past", {"name": "one.json"}),
        ("plan_look", {"typed": {"sets": "1"}}),
        *(("compute", {"name": name, "typed": {}}) for name, each in CALCULATIONS.items() if each.from_job is not None),
    )


def _command(source: bytes, turn: int) -> None:
    """The command line in this process, with streams that take what a terminal or a file takes."""
    with tempfile.TemporaryDirectory() as folder:
        file, out = f"{folder}/job.json", f"{folder}/out"
        Path(file).write_bytes(source)
        lines = [
            ["check", file],
            ["check", file, "--json"],
            ["check", file, "--working", "1"],
            ["record", file, "-o", out],
            ["record", file, "--blank", "-o", out],
            ["handover", file, "-o", out],
            ["progress", file],
            ["csv", file, "-o", out],
            ["trend", file],
        ]
        said = io.TextIOWrapper(io.BytesIO(), "utf-8")
        with redirect_stdout(said), redirect_stderr(said):
            status = main(lines[turn % len(lines)])
        said.flush()
        if status not in (0, 1, 2):
            raise BrokenPromiseError(f"status {status}")
