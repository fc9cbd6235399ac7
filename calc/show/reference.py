"""The generated parts of the site: reference pages of the files and commands, JSON Schemas, the form's description."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from typing import Any

from calc.command.main import COMPUTE_STATUS, STATUS, parser
from calc.compute.answer import FORMAT, VERSION, Calculation, Notice
from calc.compute.answer import NOTICES as COMPUTE_NOTICES
from calc.compute.registry import CALCULATIONS, GROUPS
from calc.compute.run import compute_tree
from calc.findings import CAUSES, NOTICES, SUSPICIONS, VERDICTS, Findings
from calc.job.describe import RECORD, RECORDS, Field, walk
from calc.job.form import describe_form
from calc.job.model import TURNING, Job
from calc.job.read import read_job
from calc.job.schema import schema_of
from calc.job.write import write_tree
from calc.judge.assess import assess
from calc.judge.settings import settings_of
from calc.show import charts, lessons, planning, procedures, trend_asked
from calc.show.asked import describe, describe_alone
from calc.show.examples import examples
from calc.show.look_up import CLOSE_ON_PAPER
from calc.show.markup import lettered
from calc.show.working import blocks
from calc.teach.practice.levels import LEVELS
from calc.version import PROGRAM
from calc.work.report import Report

JOB_SCHEMA, FINDINGS_SCHEMA, PROGRESS_SCHEMA = "job.schema.json", "findings.schema.json", "progress.schema.json"


# Lists that hold every word of the trade: whoever searches for one wants a page that explains it first.
_BEHIND_OTHERS = ("---", "search:", "  boost: 0.3", "---", "")


def pages() -> dict[str, str]:
    """Every generated file: its path below the folder for generated files, and its text."""
    return {
        **procedures.parts(),
        "job-file.md": job_file_page(),
        "findings-file.md": findings_file_page(),
        "commands.md": commands_page(),
        "calculations.md": calculations_page(),
        **examples(),
        JOB_SCHEMA: _json(schema_of(Job, "Spillmark job")),
        FINDINGS_SCHEMA: _json(schema_of(Findings, "Spillmark findings", result=True)),
        PROGRESS_SCHEMA: _json(schema_of(Report, "Spillmark progress", result=True)),
        "form.json": _json(
            {
                **describe_form(),
                "calculations": [describe(each) for each in CALCULATIONS.values() if each.step],
                "plan": planning.describe(),
                "trend": trend_asked.describe(),
            }
        ),
        "calculators.json": _json([describe_alone(each) for each in CALCULATIONS.values()]),
        "practice-levels.json": _json([{"number": each.number, "title": each.title} for each in LEVELS.values()]),
        "all-calculations.md": all_calculations(),
        **lessons.parts(),
        **{_input_schema(name): _json(schema_of(each.given, f"Input of {name}")) for name, each in CALCULATIONS.items()},
        **{_result_schema(name): _json(result_schema(each)) for name, each in CALCULATIONS.items()},
    }


def _input_schema(name: str) -> str:
    return f"compute/{name}.input.schema.json"


def _result_schema(name: str) -> str:
    return f"compute/{name}.result.schema.json"


def result_schema(calculation: Calculation) -> dict[str, Any]:
    """The JSON Schema of what `python -m calc compute NAME --json` writes where there is an answer."""
    outer = schema_of(Notice, f"Result of {calculation.name}", result=True)
    heads = {key: outer.pop(key) for key in ("$schema", "title")}
    values = schema_of(calculation.result, "", result=True)
    properties = {
        "format": {"const": FORMAT},
        "version": {"const": VERSION},
        "name": {"const": calculation.name},
        "result": {key: value for key, value in values.items() if key not in heads},
        "notices": {"type": "array", "items": outer},
    }
    return {**heads, "type": "object", "properties": properties, "required": list(properties)}


def all_calculations() -> str:
    """A place for the form of each calculation, by topic, as Markdown for the page that has them all."""
    parts = []
    for topic, calculations in GROUPS.items():
        parts += [f"## {topic}", ""]
        for each in calculations:
            parts += [
                f"### {each.title} {{: #{each.name} }}",
                "",
                f'<div class="calculation" data-calculation="{each.name}" data-titled></div>',
                "",
                f"[When and how]({each.page.removeprefix('calculate/').replace('.html', '.md')}). "
                f"[Inputs, results and source of `{each.name}`](../generated/calculations.md#{each.name}).",
                "",
            ]
    return "\n".join(parts)


def _json(tree: object) -> str:
    return json.dumps(tree, ensure_ascii=False, indent=1) + "\n"


def worked_example(source: str, unit: int) -> str:
    """The working of one unit of a job, as Markdown with its pictures, for the pages that explain it.

    Parameters: source: text of a job file; unit: the unit, as found.
    """
    job = read_job(source)
    found = assess(job)
    shown = next(each for each in found.units if each.unit == unit)
    parts = [charts.strip(found.units, job.reference.angle_tolerance_deg), "", f"**Unit {unit}.** {shown.text}", ""]
    curve = charts.lift_curve(shown, job.reference.angle_tolerance_deg)
    parts += [curve or "", ""]
    for block in blocks(shown, job, settings_of(job)):
        parts += [
            f"**{block.title}**",
            "",
            "| What | Formula | With numbers | Result | Source |",
            "|---|---|---|---|---|",
        ]
        for line in block.lines:
            cells = (lettered(line.what), lettered(line.formula), line.numbers, line.value, line.source)
            parts.append(f"| {' | '.join(map(_cell, cells))} |")
        parts.append("")
    return "\n".join(parts)


def job_file_page() -> str:
    """Reference page of the job file."""
    return "\n".join(
        [
            *_BEHIND_OTHERS,
            "# The job file",
            "",
            CLOSE_ON_PAPER,
            "",
            "A job file keeps one check of one engine. The worksheet opens and saves it; the command line judges it.",
            f"It is a JSON object in UTF-8. Its rules also stand in a JSON Schema: [{JOB_SCHEMA}]({JOB_SCHEMA}).",
            "",
            "Angles are degrees **after** the unit's own top dead centre in ahead rotation, negative before (in astern "
            "rotation where `reference.rotation` is `astern`). A number is a JSON number: no text, no `true`, no `null`. Leave "
            "out what you do not know. Keys that this version does not know are kept.",
            "",
            *field_table(Job),
            "",
            "## What a reading needs",
            "",
            "The two valve events need a way of reading. At contact needs `plunger_lift_mm` and `crank_angle_deg`. At "
            "reference lift "
            "needs `valve_lift_mm` and `crank_angle_deg`. The lists of one reading are equally long: one number a repeat. "
            "There is one reading per unit, stage, event and `reached`.",
            "",
        ]
    )


def field_table(root: type, nested: bool = False) -> Iterator[str]:
    """Every field of a record as a Markdown table per group. `nested`: no headings of its own.

    >>> from calc.job.model import AngleScale
    >>> list(field_table(AngleScale))[0]
    '| Key | What it is | Allowed | Needed |'
    """
    groups: dict[str, list[tuple[str, Field]]] = {}
    titles = {"": ""}
    for path, field in walk(root):
        owner, _, _ = path.rpartition(".")
        if field.kind in (RECORD, RECORDS):
            titles[f"{path}[]" if field.kind == RECORDS else path] = field.label
        groups.setdefault(owner, []).append((path, field))
    for owner, members in groups.items():
        if owner:
            yield ""
            yield f"**{titles[owner].capitalize()}: `{owner}`**" if nested else f"## {titles[owner].capitalize()}: `{owner}`"
            yield ""
        yield "| Key | What it is | Allowed | Needed |"
        yield "|---|---|---|---|"
        for path, field in members:
            yield f"| `{path.rpartition('.')[2]}` | {_what(field)} | {_cell(field.allowed)} | {_needed(field)} |"


def _what(field: Field) -> str:
    parts = [field.label[:1].upper() + field.label[1:] + "."]
    parts += [field.help, f"Find it: {field.find[:1].lower()}{field.find[1:]}" if field.find else "", field.hint]
    if field.choices and field.kind == "choice":
        parts.append(" ".join(f"`{value}`: {label.removesuffix('.')}." for value, label in field.choices.items()))
    return _cell(" ".join(part for part in parts if part))


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("\n", " ")


def _needed(field: Field) -> str:
    if field.required:
        return "yes"
    if field.fallback is None:
        return ""
    # What the turning plan alone rests on is told there, and not with the findings.
    where = " in the turning plan" if field.serves == TURNING and field.name != "tdc_deg" else ""
    return f"no; absent means `{json.dumps(field.fallback)}`, with a notice{where}"


def findings_file_page() -> str:
    """Reference page of the findings file."""
    return "\n".join(
        [
            *_BEHIND_OTHERS,
            "# The findings file",
            "",
            CLOSE_ON_PAPER,
            "",
            "`python -m calc check JOB.json --json` writes the findings as one JSON object. A part that cannot be told is "
            f"`null`, and a notice says why. Its rules also stand in a JSON Schema: [{FINDINGS_SCHEMA}]({FINDINGS_SCHEMA}).",
            "",
            *_result_table(Findings),
            "",
            "## Verdicts",
            "",
            *_code_table(VERDICTS),
            "",
            "## Causes",
            "",
            *_code_table(CAUSES),
            "",
            "## Suspicions",
            "",
            *_code_table(SUSPICIONS),
            "",
            "## Notices",
            "",
            *_code_table(NOTICES),
            "",
        ]
    )


def calculations_page() -> str:
    """Reference page of the calculations around the job."""
    parts = [
        *_BEHIND_OTHERS,
        "# The calculations",
        "",
        CLOSE_ON_PAPER,
        "",
        "`python -m calc compute NAME < input.json` does one calculation and shows its working. With `--json` it writes one "
        'JSON object: `{"format": "spillmark-result", "version": 1, "name": …, "result": {…}, "notices": […]}`. Lists come '
        "back in the order in which they were given. What does not exist is `null`, and a notice says why.",
        "",
        COMPUTE_STATUS,
        "",
        *_code_table(COMPUTE_NOTICES),
    ]
    for name, each in CALCULATIONS.items():
        done = compute_tree(each, dict(each.example))
        parts += [
            "",
            f"## `{name}`",
            "",
            f"{each.what[:1].upper()}{each.what[1:]}. Source: {each.source}.",
            "",
            f"JSON Schemas: [input]({_input_schema(name)}), [result]({_result_schema(name)}).",
            "",
            *field_table(each.given, nested=True),
            "",
            *_result_table(each.result, ""),
            "",
            "An invented example:",
            "",
            "```json",
            write_tree(dict(each.example)),
            "```",
            "",
            "```json",
            write_tree(done.to_json()["result"]),
            "```",
        ]
    return "\n".join([*parts, ""])


def _result_table(root: type, level: str = "##") -> Iterator[str]:
    groups: dict[str, list[tuple[str, Field]]] = {}
    for path, field in walk(root):
        groups.setdefault(path.rpartition(".")[0], []).append((path, field))
    for owner, members in groups.items():
        if owner:
            yield ""
            yield f"{level} `{owner}`" if level else f"**`{owner}`**"
            yield ""
        yield "| Key | What it is | Unit | Source |"
        yield "|---|---|---|---|"
        for path, field in members:
            yield f"| `{path.rpartition('.')[2]}` | {_what(field)} | {field.unit} | {_cell(field.source)} |"


def _code_table(codes: dict[str, str]) -> Iterator[str]:
    yield "| Code | What it means |"
    yield "|---|---|"
    for code, words in codes.items():
        yield f"| `{code}` | {_cell(words[:1].upper() + words[1:])} |"


def commands_page() -> str:
    """Reference page of the command line, from its own help."""
    top = parser()
    parts = [
        *_BEHIND_OTHERS,
        "# The command line",
        "",
        CLOSE_ON_PAPER,
        "",
        f"{PROGRAM} runs on any Python from 3.11 on. It needs nothing but the folder `calc`.",
        "",
        "```text",
        top.format_help().strip(),
        "```",
        "",
        STATUS,
        "",
        "Several files, or a folder, are judged one after the other. With `--json` each becomes one line (JSON Lines) with a "
        "key `file`. "
        "A file that cannot be used gives a line with its errors and stops nothing. The status is the highest of all.",
    ]
    for name, command in commands(top).items():
        parts += ["", f"## `{name}`", "", "```text", command.format_help().strip(), "```"]
    parts += [
        "",
        "## The progress as JSON",
        "",
        "`python -m calc progress JOB.json --json` writes one JSON object. Its rules also stand in a JSON Schema: "
        f"[{PROGRESS_SCHEMA}]({PROGRESS_SCHEMA}). What to close is listed in its order.",
        "",
        *_result_table(Report, "###"),
    ]
    return "\n".join([*parts, ""])


def commands(top: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """The subcommands of an argparse parser, by name."""
    found = next(action for action in top._actions if isinstance(action, argparse._SubParsersAction))
    return dict(found.choices)
