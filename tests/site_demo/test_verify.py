"""A copy of a release is held to its list: what is missing, changed or extra is named."""

import sys
from pathlib import Path

import pytest

from site_demo import verify
from site_demo.release import sums

from .release.small import first, unpacked, zipped


def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], place: Path) -> tuple[int, str]:
    """Status and all that was said."""
    monkeypatch.setattr(sys, "argv", ["verify", str(place)])
    status = verify.main()
    said = capsys.readouterr()
    return status, said.out + said.err


def test_a_whole_copy_is_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    files = len(first().files) - 1
    for place in (unpacked(first(), tmp_path / "folder"), zipped(first(), tmp_path / "whole.zip")):
        assert run(monkeypatch, capsys, place) == (0, f"All {files} files are as they were made.\n")


def test_what_differs_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    folder = unpacked(first(), tmp_path)
    (folder / "site" / "index.html").write_bytes(b"<p>One</p>")
    (folder / "site" / "learn" / "old.html").unlink()
    (folder / "site" / "more.html").touch()
    status, said = run(monkeypatch, capsys, folder)
    assert status == 1
    assert "missing: site/learn/old.html\nchanged: site/index.html\nextra:   site/more.html\n" in said
    assert "1 are missing and 1 are changed. Do not use this copy." in said


def test_what_an_update_leaves_over_does_no_harm(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = unpacked(first(), tmp_path)
    (folder / "site" / "old.js").touch()
    status, said = run(monkeypatch, capsys, folder)
    assert status == 0
    assert "extra:   site/old.js" in said
    assert "1 are not on the list" in said


def test_without_a_list_there_is_nothing_to_compare(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(monkeypatch, capsys, tmp_path)[0] == 2
    unpacked(first(), tmp_path)
    (tmp_path / sums.NAME).write_text("0123  a\n")
    status, said = run(monkeypatch, capsys, tmp_path)
    assert status == 2
    assert "line 1 of SHA256SUMS is '0123  a'" in said
    status, said = run(monkeypatch, capsys, tmp_path / "none.zip")
    assert status == 2
    assert "There is no file" in said
