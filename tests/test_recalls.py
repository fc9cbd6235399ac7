"""A recalled version is found again: in its job files, in the worksheet's kept jobs, on paper, in a trend; and as a notice."""

import json
import re
from typing import Any

import pytest

from calc import assess, read_job, recalls
from calc.browser import respond
from calc.command.main import main
from calc.job.form import spread
from calc.judge.history import history
from calc.judge.past import check_from, check_of
from calc.judge.wanted import Wanted
from calc.recalls import RECALLS, Recall, recalled, versions_in, with_program, words_of
from calc.show.recalls import NONE, lines, page
from calc.show.record import record
from calc.show.terminal import WIDTH
from calc.version import PROGRAM, VERSION
from tests.invented import both, engine_job
from tests.recall import RECALL

OLD = "Spillmark 0.0.9"


def job_by(written_by: str | None, **changes: Any) -> dict[str, Any]:
    """A job file on which these programs worked."""
    tree = engine_job(readings=both(1)) | changes
    return tree if written_by is None else {**tree, "written_by": written_by}


@pytest.fixture
def invented(monkeypatch: pytest.MonkeyPatch) -> Recall:
    """One recall in the list of this version."""
    monkeypatch.setattr(recalls, "RECALLS", (RECALL,))
    return RECALL


@pytest.mark.parametrize(
    ("version", "concerned"),
    [
        ("0.0.1", False),
        ("0.0.2", True),
        ("0.0.9", True),
        ("0.0.10", True),
        ("0.0.11", False),
        ("0.1.0", False),
        ("1.0.5", False),
    ],
)
def test_versions_are_numbers_and_no_text(version: str, concerned: bool) -> None:
    assert RECALL.concerns(version) is concerned
    assert bool(recalled(f"Spillmark {version}", [RECALL])) is concerned


@pytest.mark.parametrize(
    "written_by", [None, "", "Spillmark", "Otherspillmark 0.0.9", "Spillmark 0.0", "Spillmark 0.0.9.1x", "Spillmark 0.0.99999"]
)
def test_what_names_no_version_is_concerned_by_no_recall(written_by: str | None) -> None:
    assert recalled(written_by, [RECALL]) == []


def test_every_recalled_version_of_a_job_is_named_once() -> None:
    written_by = "Spillmark 0.0.2, Spillmark 0.0.3, Spillmark 0.0.2, Spillmark 0.1.0"
    assert versions_in(written_by) == ("0.0.2", "0.0.3", "0.1.0")
    ((recall, versions),) = recalled(written_by, [RECALL])
    assert words_of(recall, versions).startswith("Spillmark 0.0.2 and Spillmark 0.0.3 worked on this job")


@pytest.mark.parametrize("found", [None, "", 5, ["x"], "  "])
def test_a_program_signs_where_nothing_readable_stands(found: object) -> None:
    assert with_program(found, PROGRAM) == PROGRAM


def test_the_list_of_this_version_holds_together() -> None:
    assert len({recall.number for recall in RECALLS}) == len(RECALLS)
    for recall in RECALLS:
        assert not recall.concerns(recall.mended_in)
        assert not recall.concerns(VERSION)
        for words in (recall.wrong, recall.recognise, recall.act):
            assert words.endswith(".")


# ---------------------------------------------------------------- a job file on which a recalled version worked


@pytest.mark.usefixtures("invented")
def test_the_findings_say_what_to_look_at_again_and_nothing_else_changes() -> None:
    plain, old = (assess(read_job(json.dumps(job_by(written_by)))) for written_by in (None, OLD))
    told = [notice for notice in old.notices if notice not in plain.notices]
    assert [(notice.code, notice.where) for notice in told] == [("recalled", "written_by")]
    for words in ("0.0.9", RECALL.wrong, *RECALL.numbers, RECALL.recognise, RECALL.act):
        assert words in told[0].text
    assert (old.summary, old.units) == (plain.summary, plain.units)


def test_without_a_recall_nothing_is_said() -> None:
    assert not [notice for notice in assess(read_job(json.dumps(job_by(OLD)))).notices if notice.code == "recalled"]


@pytest.mark.usefixtures("invented")
def test_the_record_names_the_programs_and_carries_the_notice() -> None:
    job = read_job(json.dumps(job_by(f"{OLD}, {PROGRAM}")))
    paper = record(assess(job), job)
    assert f"Worked on with {OLD}, {PROGRAM}" in paper
    assert RECALL.wrong in paper
    assert f"{PROGRAM}. Check sum" in paper


@pytest.mark.usefixtures("invented")
def test_check_says_so_on_the_terminal(tmp_path: Any, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "old.json"
    file.write_text(json.dumps(job_by(OLD)), "utf-8")
    main(["check", str(file)])
    assert "is recalled (notice 7)" in " ".join(capsys.readouterr().out.split())


@pytest.mark.usefixtures("invented")
def test_a_trend_names_the_check_also_after_the_page_has_kept_it(tmp_path: Any, capsys: pytest.CaptureFixture[str]) -> None:
    checks = []
    for hours, written_by in ((1000, OLD), (9000, PROGRAM)):
        text = json.dumps(job_by(written_by, running_hours=hours))
        (tmp_path / f"{hours}.json").write_text(text, "utf-8")
        job = read_job(text)
        check = check_of(job, assess(job), f"{hours}.json")
        assert check is not None
        checks.append(check_from(json.loads(json.dumps(check.to_tree()))))
    told = [notice.text for notice in history(checks, 2, [], Wanted()).notices if notice.code == "recalled"]
    assert len(told) == 1
    assert told[0].startswith("Spillmark 0.0.9 (notice 7) worked on 1000.json (1000 h), and is recalled.")
    main(["trend", str(tmp_path)])
    assert "(notice 7) worked on" in " ".join(capsys.readouterr().out.split())


# ---------------------------------------------------------------- the worksheet


def ask(do: str, texts: dict[str, str], base: dict[str, Any]) -> dict[str, Any]:
    """One request of the worksheet."""
    answer: dict[str, Any] = json.loads(respond(json.dumps({"do": do, "texts": texts, "base": base})))
    return answer


def test_what_is_typed_is_signed_with_this_version() -> None:
    assert ask("assess", {"title": "Check"}, {})["written_by"] == PROGRAM
    assert json.loads(ask("save", {"title": "Check"}, {})["text"])["written_by"] == PROGRAM


def test_a_file_that_was_only_looked_at_stays_as_it_is() -> None:
    for tree in (job_by(None), job_by(OLD)):
        assert json.loads(ask("save", spread(tree), tree)["text"]) == tree
        assert ask("assess", spread(tree), tree)["written_by"] == tree.get("written_by")


def test_an_old_job_that_is_changed_keeps_its_versions() -> None:
    tree = job_by(OLD)
    texts = spread(tree) | {"title": "Changed"}
    assert json.loads(ask("save", texts, tree)["text"])["written_by"] == f"{OLD}, {PROGRAM}"
    # And so does one that the browser has kept without any file, with what `assess` told put into its base.
    kept = {"written_by": OLD}
    assert ask("assess", texts, kept)["written_by"] == f"{OLD}, {PROGRAM}"


@pytest.mark.usefixtures("invented")
def test_the_worksheet_shows_the_notice() -> None:
    tree = job_by(OLD)
    assert RECALL.wrong in json.dumps(ask("assess", spread(tree), tree)["html"], ensure_ascii=False)


# ---------------------------------------------------------------- the notice itself


def test_a_notice_is_a_text_for_a_mail_or_paper() -> None:
    told = list(lines([RECALL]))
    assert max(map(len, told)) <= WIDTH
    words = " ".join(" ".join(told).split())
    assert words.startswith("RECALL NOTICE 7, 2099-01-02 Spillmark 0.0.2 to 0.0.10 What was wrong: The flats")
    for part in (RECALL.wrong, *RECALL.numbers, RECALL.recognise, RECALL.act, RECALL.mended_in, PROGRAM):
        assert part in words


def test_the_command_lists_what_this_version_knows(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["recalls"]) == 0
    assert (NONE in capsys.readouterr().out) is (not RECALLS)


def test_the_page_lists_them_or_says_that_there_is_none() -> None:
    assert f"**{NONE}**" in page([])
    told = page([RECALL])
    assert NONE not in told
    assert "## Notice 7: Spillmark 0.0.2 to 0.0.10" in told
    assert RECALL.wrong in told


def test_words_of_a_recall_are_no_markup_on_its_page() -> None:
    hostile = Recall(1, "2099-01-02", "0.0.1", "0.0.1", "0.0.2", "<script>x</script> *a*.", ("b|c",), "[d](e).", "`f`.")
    assert not re.search(r"(?<!\\)[<>`|\[]", page([hostile]).split("## Notice")[1].split("## Which")[0])
