"""Whatever a person or a file writes into a job stays text: on pages and paper, in tables, names of files and terminals."""

import csv
import io
import json
import re
from collections.abc import Iterator
from contextlib import redirect_stderr, redirect_stdout
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from calc.browser import respond
from calc.command.main import main
from calc.job.form import spread
from calc.show.sheet import BYTE_ORDER_MARK, table_names
from tests.hostile import CONTROLS, EVERY, FORMULAS, HARMLESS, LONG, MARKUP, hostile, sources, text_fields

# Besides the end of a line, and of a column, nothing that steers a terminal; and no mark that turns the writing round.
STEERS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
DANGEROUS = re.compile(r"[=+\-@\t\r\n\0＝＋－＠]")
NUMBER = re.compile(r"-?\d+(\.\d+)?(e[+-]?\d+)?")
JOBS = sources()
PAPERS = ("record", "handover", "blank")


def ask(do: str, /, **request: Any) -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(respond(json.dumps({"do": do, **request})))
    return answer


class Marks(HTMLParser):
    """Which elements and attributes a text of HTML has, what it links to, and its title."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.marks: set[tuple[str, ...]] = set()
        self.links: set[str] = set()
        self.title = ""
        self._open: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.marks.add((tag, *sorted(name for name, _ in attrs)))
        self.links |= {value or "" for name, value in attrs if name in ("href", "src", "action", "xlink:href")}
        self._open.append(tag)

    def handle_comment(self, data: str) -> None:
        self.marks.add(("comment",))

    def handle_data(self, data: str) -> None:
        if self._open[-1:] == ["title"] and not self.title:
            self.title = data


def all_html(job: Any) -> Iterator[tuple[str, str]]:
    """Everything that `calc` makes of a job for a page or for paper."""
    form = {"texts": spread(job), "base": job}
    judged = ask("assess", **form)
    for name, part in judged.get("html", {}).items():
        for each in part if isinstance(part, list) else [part]:
            yield f"findings {name}", (each.get("html") or "") if isinstance(each, dict) else each or ""
    for unit in (1, 2, 3):
        yield "working", ask("working", unit=unit, stage="as_found", **form)["html"]
    for name in PAPERS:
        yield name, ask(name, **form).get("text", "")
    check = ask("past", name=job["drafts"]["engine.speed_rpm"], **form).get("check")
    if check:
        yield "trend", ask("trend", checks=[check, check], typed={})["html"]
        left_out = {str(job.get("title")): str(job.get("vessel"))}
        yield "trend on paper", ask("trend_paper", checks=[check], typed={}, left_out=left_out)["text"]


def test_every_text_of_a_job_is_tried() -> None:
    tried = set().union(*(hostile(job, *EVERY)[1] for job in JOBS))
    assert tried == text_fields()


@pytest.mark.parametrize("number", range(len(JOBS)))
def test_no_text_becomes_markup(number: int) -> None:
    plain, _ = hostile(JOBS[number], HARMLESS)
    allowed: dict[str, set[tuple[str, ...]]] = {}
    for name, html in all_html(plain):
        allowed.setdefault(name, set()).update(Marks(html).marks)
    evil, _ = hostile(JOBS[number], *MARKUP)
    seen = set()
    for name, html in all_html(evil):
        found = Marks(html)
        # The same elements with the same attributes as for a harmless text, and never a comment.
        assert found.marks <= allowed[name], (name, found.marks - allowed[name])
        assert not any("javascript:" in link or "broken" in link for link in found.links), name
        seen.add(name)
    assert {"record", "handover", "blank"} <= seen


@pytest.mark.parametrize("text", [*MARKUP, *CONTROLS, *LONG])
def test_the_title_of_a_paper_is_the_text_itself(text: str) -> None:
    """A printed page and a tab show a document's title: what ends it, or steers something, must not."""
    job, _ = hostile(JOBS[0], text)
    form = {"texts": spread(job), "base": job}
    for name in PAPERS:
        found = Marks(ask(name, **form)["text"])
        assert ("img", "onerror", "src") not in found.marks
        assert "script" not in {mark[0] for mark in found.marks}
        assert found.title


@pytest.mark.parametrize("text", FORMULAS)
def test_no_cell_is_a_formula_and_numbers_stay_numbers(text: str) -> None:
    cells = set()
    tables: list[dict[str, Any]] = [{}, {"findings": True}, *({"table": name} for name in table_names())]
    for source in (JOBS[0], JOBS[3], JOBS[5], JOBS[7]):
        job, _ = hostile(source, text)
        form = {"texts": spread(job), "base": job}
        plain, _ = hostile(source, HARMLESS)
        plainly = {"texts": spread(plain), "base": plain}
        for more in tables:
            rows, same = (rows_of(ask("csv", **each, **more)) for each in (form, plainly))
            assert len(rows) == len(same)
            for row, other in zip(rows, same, strict=True):
                assert len(row) == len(other)
                for cell, before in zip(row, other, strict=True):
                    if NUMBER.fullmatch(before):
                        assert cell == before
                    else:
                        assert not DANGEROUS.match(cell), cell
                        cells.add(cell)
    # The form leaves out the blanks before a text.
    assert any(cell.startswith(f"'{text.strip()}") for cell in cells)


def rows_of(answer: dict[str, Any]) -> list[list[str]]:
    return list(csv.reader(io.StringIO(answer["text"].removeprefix(BYTE_ORDER_MARK), newline="")))


@pytest.mark.parametrize("text", [*EVERY, "..", "../../etc/x", "C:\\x", "a/b", "CON", "a:b", "%2e%2e", " .hidden"])
def test_the_name_of_a_file_is_letters_digits_and_dashes(text: str) -> None:
    job, _ = hostile(JOBS[3], text)
    form = {"texts": spread(job), "base": job}
    names = [ask("save", **form)["name"], *(ask(name, **form)["name"] for name in PAPERS), ask("csv", **form)["name"]]
    for name in names:
        assert re.fullmatch(r"[^\W_]([\w-]*)\.(json|html|csv)", name), name
        assert len(name) <= 80


@pytest.mark.parametrize("text", EVERY)
def test_no_text_steers_a_terminal(text: str, tmp_path: Path) -> None:
    job, _ = hostile(JOBS[3], text)
    wrong = {**job, "engine": {**job["engine"], "units": text, "speed_rpm": text}, "readings": [text]}
    folder = tmp_path / "jobs"
    folder.mkdir()
    for name, tree in (("good.json", job), ("wrong.json", wrong), ("\x1b[31m\u202eother\x07.json", hostile(JOBS[0], text)[0])):
        (folder / name).write_text(json.dumps(tree), "utf-8")
    good, bad = str(folder / "good.json"), str(folder / "wrong.json")
    for line in (
        ["check", good],
        ["check", bad],
        ["check", good, "--working", "1"],
        ["check", str(folder), "--processes", "1"],
        ["progress", good],
        ["progress", bad],
        ["trend", good, bad],
        ["plan", good, "--sets", "1", "--seconds", "0"],
        ["plan", bad, "--sets", "1"],
    ):
        said = io.TextIOWrapper(io.BytesIO(), "utf-8", newline="")
        with redirect_stdout(said), redirect_stderr(said):
            main(line)
        said.seek(0)
        told = said.read()
        assert told
        steered = STEERS.search(told)
        assert not steered, (line[0], told[max(0, steered.start() - 60) : steered.end() + 20])
