"""Findings as HTML: everything is there, nothing from a file becomes markup."""

import json
from html.parser import HTMLParser
from typing import Any

import pytest

from calc import assess, read_job
from calc.show import page
from calc.show.reference import pages, worked_example
from tests.jobs import DEMO_FILES, MAIN, tree

VOID = {"br", "hr", "img"}
HOSTILE = '"><script>alert(1)</script><img src=x onerror=alert(1)>'


class Balanced(HTMLParser):
    """Tags that do not match, and the tags and attributes that there are."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.wrong: list[str] = []
        self.tags: set[str] = set()
        self.attributes: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes.update(name for name, _ in attrs)
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.wrong.append(tag)


def all_html(shown: dict[str, Any]) -> str:
    html = shown["html"]
    return "".join([html["summary"], html["strip"], html["notices"], *(unit["html"] for unit in html["units"])])


def shown_of(job_tree: dict[str, Any]) -> tuple[str, Any, Any]:
    job = read_job(json.dumps(job_tree))
    found = assess(job)
    html = all_html(page.findings(found, job, whole=True))
    html += "".join(page.working(found, job, unit.unit, unit.stage) for unit in found.units)
    return html, found, job


@pytest.mark.parametrize("path", DEMO_FILES, ids=lambda path: path.stem)
def test_html_is_balanced_and_free_of_scripts(path: Any) -> None:
    html, _, _ = shown_of(tree(path))
    parser = Balanced()
    parser.feed(html)
    assert parser.wrong == []
    assert parser.open == []
    assert "script" not in parser.tags
    assert not any(name.startswith("on") or name == "style" for name in parser.attributes)


def test_text_from_the_file_never_becomes_markup() -> None:
    job = tree()
    job["title"] = job["vessel"] = job["date"] = HOSTILE
    job[HOSTILE] = 1
    job["engine"][HOSTILE] = {"a": HOSTILE}
    for reading in job["readings"]:
        reading["gauges"] = HOSTILE
        reading[HOSTILE] = HOSTILE
    html, _, _ = shown_of(job)
    parser = Balanced()
    parser.feed(html)
    assert "script" not in parser.tags
    assert "img" not in parser.tags
    assert "onerror" not in parser.attributes


def test_every_unit_has_its_entry_verdict_and_answer() -> None:
    job = read_job(MAIN.read_bytes())
    found = assess(job)
    shown = page.findings(found, job, whole=True)
    assert shown["verdict"] == found.summary.verdict == "outside"
    assert [(unit["unit"], unit["stage"], unit["verdict"]) for unit in shown["html"]["units"]] == [
        (unit.unit, unit.stage, unit.verdict) for unit in found.units
    ]
    third = next(unit["html"] for unit in shown["html"]["units"] if unit["unit"] == 3)
    assert "Warning" in third
    assert "might not cut out" in third
    assert "Shorten it by" in third


def test_a_partial_job_is_never_called_within() -> None:
    job = read_job(DEMO_FILES[1].read_bytes())
    found = assess(job)
    assert found.summary.verdict == "within"
    assert page.findings(found, job, whole=False)["verdict"] == "incomplete"


def test_the_working_holds_the_numbers_of_the_findings() -> None:
    html, found, _ = shown_of(tree())
    for unit in found.units:
        for event in (unit.beginning, unit.end):
            assert f"{abs(event.deviation_deg):.4f}" in html
            assert f"{event.u_deg:.4f}" in html


def test_a_unit_that_was_not_read_has_no_working() -> None:
    job = read_job(MAIN.read_bytes())
    assert page.working(assess(job), job, 99, "as_found") == ""


def test_generated_pages_hold_every_field_and_every_notice() -> None:
    from calc.compute.registry import CALCULATIONS
    from calc.findings import CAUSES, NOTICES
    from calc.job.describe import walk
    from calc.job.model import Job
    from calc.work.report import Report

    made = pages()
    for path, _ in walk(Job):
        assert f"`{path.rpartition('.')[2]}`" in made["job-file.md"]
    for code in (*NOTICES, *CAUSES):
        assert f"`{code}`" in made["findings-file.md"]
    for name, calculation in CALCULATIONS.items():
        assert f"## `{name}`" in made["calculations.md"]
        for path, _ in (*walk(calculation.given), *walk(calculation.result)):
            assert f"`{path.rpartition('.')[2]}`" in made["calculations.md"]
    for command in ("check", "record", "handover", "progress", "csv", "plan", "fields", "trend", "compute"):
        assert f"python -m calc {command}" in made["commands.md"]
    for path, _ in walk(Report):
        assert f"`{path.rpartition('.')[2]}`" in made["commands.md"]
    for name in ("job.schema.json", "findings.schema.json", "progress.schema.json", "form.json"):
        json.loads(made[name])


def test_the_worked_example_is_the_units_own() -> None:
    text = worked_example(MAIN.read_text("utf-8"), 3)
    found = assess(read_job(MAIN.read_bytes()))
    unit = next(each for each in found.units if each.unit == 3)
    assert unit.beginning is not None
    assert unit.text in text
    assert f"{unit.beginning.lift_mm:.4f} mm" in text
