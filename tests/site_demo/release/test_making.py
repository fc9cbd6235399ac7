"""What a release is made from, how it is written, and how two are compared."""

import sys
from pathlib import Path

import pytest

from site_demo.release import ReleaseError, __main__, origin, reproduce, sums
from site_demo.release.archive import read_zip, write_zip
from site_demo.release.contents import check_pinned, pinned, read_site
from site_demo.release.origin import Origin
from tests.pages import built

from .small import ORIGIN, WHEN, first, zipped


def test_the_time_is_that_of_the_commit_or_of_the_variable(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1000000000")
    assert origin.origin().when.isoformat() == "2001-09-09T01:46:40+00:00"
    monkeypatch.delenv("SOURCE_DATE_EPOCH")
    monkeypatch.setattr(origin, "_git", _git_says)
    assert origin.origin() == Origin("abc", origin.origin().when, changed=True)
    assert origin.origin().told == "abc, with changes"
    assert origin.origin().when.isoformat() == "2004-11-09T11:33:20+00:00"


def _git_says(*words: str) -> str:
    return {"rev-parse": "abc", "log": "1100000000", "status": " M a"}[words[0]]


def test_sources_without_a_repository_need_the_variable(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(origin, "_git", lambda *words: None)
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    with pytest.raises(ReleaseError, match="Set SOURCE_DATE_EPOCH"):
        origin.origin()
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "yesterday")
    with pytest.raises(ReleaseError, match="'yesterday'"):
        origin.origin()
    # Before the first time that a zip knows.
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "0")
    assert origin.origin() == Origin("", origin.EARLIEST, changed=False)


@pytest.fixture
def site(tmp_path: Path) -> Path:
    folder = tmp_path / "site"
    folder.mkdir()
    (folder / "index.html").write_text("<p>one</p>")
    return folder


def run(monkeypatch: pytest.MonkeyPatch, *words: str | Path) -> int:
    monkeypatch.setattr(__main__, "origin", lambda: ORIGIN)
    monkeypatch.setattr(sys, "argv", ["release", *map(str, words)])
    return __main__.main()


def test_the_command_writes_the_zip_the_update_and_their_sums(
    site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("calc.version.VERSION", "0.1.0")
    assert run(monkeypatch, "--site", site, "--into", tmp_path / "out") == 0
    whole = tmp_path / "out" / "spillmark-0.1.0.zip"
    assert "zip_mb" in capsys.readouterr().out
    monkeypatch.setattr("calc.version.VERSION", "0.1.1")
    assert run(monkeypatch, "--site", site, "--into", tmp_path / "next", "--previous", whole) == 0
    listed = sums.parse((tmp_path / "next" / sums.NAME).read_text("ascii"))
    assert list(listed) == ["spillmark-0.1.1-update-from-0.1.0.zip", "spillmark-0.1.1.zip"]
    for name, digest in listed.items():
        assert sums.sums_of({name: (tmp_path / "next" / name).read_bytes()}) == {name: digest}
    assert "site/index.html" not in read_zip(tmp_path / "next" / "spillmark-0.1.1-update-from-0.1.0.zip")


def test_the_command_says_what_stopped_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(monkeypatch, "--site", tmp_path, "--into", tmp_path / "out") == 1
    assert "release: There is no built site" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_two_zips_are_compared_by_their_files_and_then_by_their_bytes(tmp_path: Path) -> None:
    one = zipped(first(), tmp_path / "one.zip")
    assert reproduce.different(one, zipped(first(), tmp_path / "two.zip")) == []
    top = first().top
    files = {f"{top}/{name}": data for name, data in first().files.items()}
    write_zip(tmp_path / "other.zip", {**files, f"{top}/site/index.html": b"other"}, WHEN)
    assert reproduce.different(one, tmp_path / "other.zip") == [f"{top}/site/index.html"]
    write_zip(tmp_path / "later.zip", files, WHEN.replace(year=2027))
    assert reproduce.different(one, tmp_path / "later.zip") == ["one.zip"]


def test_the_next_version_is_one_higher(tmp_path: Path) -> None:
    (tmp_path / "calc").mkdir()
    file = tmp_path / "calc" / "version.py"
    file.write_text('VERSION = "1.2.9"\nOTHER = "1.2.9"\n')
    reproduce.raise_version(tmp_path)
    assert file.read_text() == 'VERSION = "1.2.10"\nOTHER = "1.2.9"\n'


def test_the_built_site_has_the_files_that_are_pinned() -> None:
    check_pinned(read_site(built.folder()), pinned())
