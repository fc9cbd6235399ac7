"""Keep what a version writes, so that every later one is tested to read it.

    python -m site_demo.keep_released           for the version in calc/version.py, once, when it is released
    python -m site_demo.keep_released --anew    write it again; only while nobody has that version

tests/data/released/VERSION/ holds afterwards:

jobs/       job files of every kind: the demo's, one with everything, and enough others that no field is missing
findings/   verdicts and numbers of each, as that version judged it
kept.json   jobs as that version keeps them in the browser's database
answers.json            the answers of every question of the lessons, for a few numbers
practice-engines.json   engines of the practice engine, by their numbers
sheets.json             the heads of both CSV files, since other people's sheets count on their columns
"""

import argparse
import csv
import json
import re
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from calc.command.check import check_file
from calc.findings import Findings
from calc.job.describe import walk
from calc.job.form import spread
from calc.job.model import Job
from calc.job.write import file_text
from calc.recalls import with_program
from calc.show.sheet import findings_csv, readings_csv
from calc.teach.lessons import LESSONS, question_of
from calc.version import PROGRAM, VERSION
from site_demo.stamps import ROOT
from tests.job.trees import random_tree
from tests.work.sheets import full_job

Tree = dict[str, Any]

RELEASED = ROOT / "tests" / "data" / "released"
DEMO = ROOT / "site_demo"
ENGINES = ROOT / "tests" / "data" / "practice-engines.json"
STORE = ROOT / "docs" / "app" / "store" / "jobs.js"
# Words change freely; verdicts and numbers do not.
WORDS = {"text", "settle", "program", "notices", "checksum"}
# Those of the jobs that are also kept as the browser keeps them.
KEPT = ("demo-3-too-coarse-a-scale", "everything-done")
QUESTION_NUMBERS = (0, 1, 2, 1000)
# Drawn jobs that are looked through until every field of a job file is in one of them.
MOST_DRAWN = 500


def paths_in(tree: Any, path: str = "") -> Iterator[str]:
    """The path of every field that a job file holds, as `calc.job.describe.walk` writes it."""
    if isinstance(tree, list):
        for each in tree:
            yield from paths_in(each, f"{path}[]")
    elif isinstance(tree, dict):
        for key, value in tree.items():
            inner = f"{path}.{key}" if path else key
            yield inner
            yield from paths_in(value, inner)


def fields() -> set[str]:
    """The path of every field of a job file."""
    return {path for path, _ in walk(Job)}


def jobs() -> dict[str, Tree]:
    """Job files by name."""
    found = {f"demo-{path.stem}": json.loads(path.read_text("utf-8")) for path in sorted((DEMO / "jobs").glob("*.json"))}
    first, *_ = sorted((DEMO / "history").glob("*.json"))
    found["demo-past"] = json.loads(first.read_text("utf-8"))
    found["everything-done"] = {**full_job(2), "written_by": PROGRAM}
    lacking = fields() - {path for tree in found.values() for path in paths_in(tree)}
    for seed in range(MOST_DRAWN):
        tree = random_tree(seed)
        if lacking & set(paths_in(tree)):
            found[f"drawn-{seed}"] = tree
            lacking -= set(paths_in(tree))
    if lacking:
        raise SystemExit(f"keep_released: no job holds {', '.join(sorted(lacking))}. Let tests/job/trees.py draw it.")
    return found


def numbers_of(findings: Findings) -> Tree:
    """Verdicts and numbers of findings, without words."""
    bare: Tree = _without_words(findings.to_json())
    return bare


def _without_words(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _without_words(each) for key, each in value.items() if key not in WORDS}
    return [_without_words(each) for each in value] if isinstance(value, list) else value


def content_version() -> int:
    """The form in which the worksheet keeps a job's content."""
    found = re.search(r"^const VERSION = (\d+);$", STORE.read_text("utf-8"), re.MULTILINE)
    assert found is not None
    return int(found[1])


def kept(name: str, tree: Tree) -> Tree:
    """A job as the worksheet keeps it in the browser: opened from its file, then given another title."""
    base = {**tree, "written_by": with_program(tree.get("written_by"), PROGRAM)}
    texts = spread(tree)
    return {
        "job": name,
        "version": content_version(),
        "texts": {**texts, "title": f"Kept: {name}"},
        "base": base,
        "opened": list(texts),
        "beside": {},
    }


def answers() -> Tree:
    """The answer of every question for a few of its numbers."""
    names = [name for lesson in LESSONS for name in lesson.kinds]
    return {name: {str(number): question_of(name, number).answer for number in QUESTION_NUMBERS} for name in names}


def heads(sheet: str) -> list[str]:
    """The heads of a CSV file's columns."""
    return next(csv.reader(sheet.splitlines()))


def write(folder: Path) -> None:
    """Write all of it into a folder that is not there yet."""
    for name in ("jobs", "findings"):
        (folder / name).mkdir(parents=True)
    found = jobs()
    columns: dict[str, list[str]] = {"readings": [], "findings": []}
    for name, tree in found.items():
        file = folder / "jobs" / f"{name}.json"
        file.write_text(file_text(tree), "utf-8")
        checked = check_file(str(file))
        assert checked is not None
        assert checked.job is not None, checked.errors
        assert checked.findings is not None
        (folder / "findings" / f"{name}.json").write_text(file_text(numbers_of(checked.findings)), "utf-8")
        for sheet, text in (("readings", readings_csv(checked.job)), ("findings", findings_csv(checked.findings))):
            columns[sheet] = max(columns[sheet], heads(text), key=len)
    contents = [kept(name, found[name]) for name in KEPT]
    for name, value in (("kept", contents), ("answers", answers()), ("sheets", columns)):
        (folder / f"{name}.json").write_text(file_text(value), "utf-8")
    shutil.copy(ENGINES, folder)


def main() -> int:
    """Keep what this version writes. Returns: 1 where it is kept already."""
    parser = argparse.ArgumentParser(description="Keep what this version writes.")
    parser.add_argument("--anew", action="store_true", help="write it again; only while nobody has this version")
    options = parser.parse_args()
    folder = RELEASED / VERSION
    if folder.exists():
        if not options.anew:
            print(f"{folder.relative_to(ROOT)} is there: what a released version wrote is never changed.", file=sys.stderr)
            return 1
        shutil.rmtree(folder)
    write(folder)
    print(f"{folder.relative_to(ROOT)}: {len(list((folder / 'jobs').iterdir()))} job files")
    return 0


if __name__ == "__main__":
    sys.exit(main())
