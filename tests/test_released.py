"""What every released version wrote still opens, and says the same: job files, kept jobs, questions, engines, columns."""

import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from calc.command.check import check_file
from calc.job.form import compose, spread
from calc.job.write import job_to_tree
from calc.show.record import record
from calc.show.sheet import findings_csv, readings_csv
from calc.teach.lessons import question_of
from calc.teach.practice.job import job_tree
from calc.teach.practice.rig import play
from calc.version import VERSION
from site_demo import keep_released
from site_demo.keep_released import RELEASED, content_version, fields, heads, main, numbers_of, paths_in

FOLDERS = sorted(folder for folder in RELEASED.iterdir() if folder.is_dir())
JOBS = [file for folder in FOLDERS for file in sorted((folder / "jobs").glob("*.json"))]
IDS = [f"{file.parents[1].name}-{file.stem}" for file in JOBS]
# The last digits of a sum may differ between Pythons.
CLOSE = {"rel_tol": 1e-9, "abs_tol": 1e-12}
REMEDY = (
    f"If nobody has {VERSION} yet: python -m site_demo.keep_released --anew. Else a released job changes its findings: "
    "the changelog says so first, and the file changed.json beside the findings says where and why."
)


def load(file: Path) -> Any:
    """A file of JSON."""
    return json.loads(file.read_text("utf-8"))


def differences(before: Any, now: Any, path: str = "") -> Iterator[str]:
    """Where findings differ from those of then. What is new in them is no difference."""
    if isinstance(before, dict) and isinstance(now, dict):
        for key, value in before.items():
            inner = f"{path}.{key}" if path else key
            yield from differences(value, now[key], inner) if key in now else [f"{inner}: gone"]
    elif isinstance(before, list) and isinstance(now, list) and len(before) == len(now):
        for i, (one, other) in enumerate(zip(before, now, strict=True)):
            yield from differences(one, other, f"{path}[{i}]")
    elif not _same(before, now):
        yield f"{path}: {before!r}, now {now!r}"


def _same(before: Any, now: Any) -> bool:
    if type(before) in (int, float) and type(now) in (int, float):
        return math.isclose(before, now, **CLOSE)
    return type(before) is type(now) and bool(before == now)


@pytest.mark.parametrize("file", JOBS, ids=IDS)
def test_a_released_job_opens_with_the_same_verdicts_and_numbers(file: Path) -> None:
    checked = check_file(str(file))
    assert checked is not None
    assert checked.findings is not None, checked.errors
    folder = file.parents[1]
    found = set(differences(load(folder / "findings" / file.name), numbers_of(checked.findings)))
    # Changes that the changelog tells: by job, the place, and why.
    told = load(folder / "changed.json").get(file.stem, {}) if (folder / "changed.json").exists() else {}
    changed = {each for each in found if each.partition(": ")[0] in told}
    assert {each.partition(": ")[0] for each in changed} == set(told), "changed.json names what has not changed"
    assert not found - changed, "\n".join([REMEDY, *sorted(found - changed)])


@pytest.mark.parametrize("file", JOBS, ids=IDS)
def test_a_released_job_goes_through_the_form_and_onto_paper(file: Path) -> None:
    tree = load(file)
    assert compose(spread(tree), tree).tree == tree
    checked = check_file(str(file))
    assert checked is not None
    assert checked.job is not None
    assert checked.findings is not None
    assert job_to_tree(checked.job) == tree
    assert record(checked.findings, checked.job)


def test_differences_are_found() -> None:
    """Each kind of change of findings is one; what is added is none."""
    before = {"a": 1.0, "b": {"c": "within"}, "d": [1, None]}
    assert list(differences(before, {"a": 1.0 + 1e-13, "b": {"c": "within", "new": 5}, "d": [1, None]})) == []
    changes: list[dict[str, Any]] = [
        *({"a": 1.0 + 1e-7}, {"a": None}, {"b": {}}, {"b": {"c": "outside"}}),
        *({"d": [1]}, {"d": [1, 0]}, {"d": [1, False]}),
    ]
    for changed in changes:
        assert len(list(differences(before, before | changed))) == 1, changed


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_kept_jobs_of_a_released_version_are_the_same_jobs(folder: Path) -> None:
    contents = load(folder / "kept.json")
    assert contents
    for content in contents:
        assert content["version"] <= content_version()
        tree = load(folder / "jobs" / f"{content['job']}.json")
        composed = compose(content["texts"], content["base"])
        assert composed.slips == {}
        assert composed.tree == {**tree, "title": f"Kept: {content['job']}", "written_by": content["base"]["written_by"]}


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_a_question_that_people_have_on_paper_keeps_its_answer(folder: Path) -> None:
    for name, by_number in load(folder / "answers.json").items():
        for number, answer in by_number.items():
            assert _same(answer, question_of(name, int(number)).answer), f"{name}, {number}. {REMEDY}"


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_a_practice_engine_that_people_have_by_its_number_stays_the_same(folder: Path) -> None:
    engines = load(folder / "practice-engines.json")["engines"]
    assert engines
    for known in engines:
        rig = play(known["number"], known["level"], known["actions"])
        assert [fault.part for fault in rig.engine.faults] == known["faults"], REMEDY
        assert job_tree(rig)["readings"] == known["readings"], REMEDY


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_columns_of_csv_files_stay_where_they_are_and_new_ones_come_behind(folder: Path) -> None:
    """A column that has nothing in any unit is left out, so the sheets of all jobs together are looked at."""
    columns = load(folder / "sheets.json")
    assert set(columns) == {"readings", "findings"}
    now: dict[str, list[list[str]]] = {"readings": [], "findings": []}
    for file in (folder / "jobs").glob("*.json"):
        checked = check_file(str(file))
        assert checked is not None
        assert checked.job is not None
        assert checked.findings is not None
        now["readings"].append(heads(readings_csv(checked.job)))
        now["findings"].append(heads(findings_csv(checked.findings)))
    for sheet, before in columns.items():
        longest = max(now[sheet], key=len)
        assert [head for head in longest if head in before] == before, REMEDY


def test_what_this_version_writes_is_kept() -> None:
    """The newest folder is that of this version or of the one before, and no field is missing in it."""
    assert FOLDERS
    assert fields() >= {"written_by", "engine.units", "readings[].unit"}
    newest = RELEASED / VERSION
    if newest in FOLDERS:
        held = {path for file in (newest / "jobs").glob("*.json") for path in paths_in(load(file))}
        assert fields() <= held, REMEDY


def test_keeping_writes_every_part_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(keep_released, "RELEASED", tmp_path)
    monkeypatch.setattr(keep_released, "ROOT", tmp_path)
    monkeypatch.setattr("sys.argv", ["keep_released"])
    assert main() == 0
    written = sorted(path.relative_to(tmp_path / VERSION).parts[0] for path in (tmp_path / VERSION).iterdir())
    assert written == ["answers.json", "findings", "jobs", "kept.json", "practice-engines.json", "sheets.json"]
    (tmp_path / VERSION / "kept.json").write_text("mine", "utf-8")
    assert main() == 1
    assert "never changed" in capsys.readouterr().err
    assert (tmp_path / VERSION / "kept.json").read_text("utf-8") == "mine"
    monkeypatch.setattr("sys.argv", ["keep_released", "--anew"])
    assert main() == 0
    assert load(tmp_path / VERSION / "kept.json")
