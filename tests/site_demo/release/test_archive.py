"""A zip has the same bytes whoever writes it, and one that is damaged or hostile is refused by name."""

import datetime
import os
import time
import zipfile
from pathlib import Path

import pytest

from site_demo.release import ReleaseError, archive
from site_demo.release.archive import is_safe, read_zip, without_top, write_zip

from .small import WHEN

FILES = {"top/b.js": b"b" * 5000, "top/a.html": b"a", "top/empty": b""}


def test_the_same_files_give_the_same_bytes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_zip(tmp_path / "one.zip", FILES, WHEN)
    # Another day, zone, order and system.
    monkeypatch.setenv("TZ", "Pacific/Kiritimati")
    time.tzset()
    monkeypatch.setattr(zipfile.sys, "platform", "win32")  # type: ignore[attr-defined]
    old = os.umask(0o077)
    elsewhere = WHEN.astimezone(datetime.timezone(datetime.timedelta(hours=-9)))
    write_zip(tmp_path / "two.zip", dict(reversed(FILES.items())), elsewhere)
    os.umask(old)
    monkeypatch.undo()
    time.tzset()
    assert (tmp_path / "one.zip").read_bytes() == (tmp_path / "two.zip").read_bytes()


def test_every_entry_bears_the_one_time_and_mode_and_is_deflated(tmp_path: Path) -> None:
    write_zip(tmp_path / "one.zip", FILES, WHEN)
    with zipfile.ZipFile(tmp_path / "one.zip") as written:
        entries = written.infolist()
        assert written.testzip() is None
    assert [entry.filename for entry in entries] == sorted(FILES)
    for entry in entries:
        assert entry.date_time == (2026, 11, 26, 1, 2, 4)
        assert (entry.create_system, entry.external_attr >> 16) == (3, 0o100644)
        assert entry.compress_type == zipfile.ZIP_DEFLATED
        # Nothing that only newer unpackers know: version 2.0 of the format.
        assert entry.extract_version <= 20


def test_what_was_written_is_read(tmp_path: Path) -> None:
    write_zip(tmp_path / "one.zip", FILES, WHEN)
    assert read_zip(tmp_path / "one.zip") == FILES
    assert without_top(tmp_path / "one.zip", FILES) == {"b.js": b"b" * 5000, "a.html": b"a", "empty": b""}


HOSTILE = ("../a", "a/../../b", "/etc/a", "C:/a", "C:\\a", "a\\b", "a/./b", "a//b", "~/a\n", "a/b.", "a/ ", "a\0b", "ä")


@pytest.mark.parametrize("name", HOSTILE)
def test_a_path_that_could_lead_elsewhere_is_unsafe(name: str) -> None:
    assert not is_safe(name)


@pytest.mark.parametrize("name", ["../evil.html", "/evil.html", "top/../../evil.html", "C:/evil.html"])
def test_a_zip_with_such_a_path_is_refused(tmp_path: Path, name: str) -> None:
    with zipfile.ZipFile(tmp_path / "old.zip", "w") as hostile:
        hostile.writestr("top/index.html", "fine")
        hostile.writestr(name, "evil")
    with pytest.raises(ReleaseError, match=r"old\.zip: the path '.*evil\.html' is not one of a release"):
        read_zip(tmp_path / "old.zip")


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_path_that_stands_there_twice_is_refused(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "old.zip", "w") as hostile:
        hostile.writestr("top/a", "one")
        hostile.writestr("top/a", "two")
    with pytest.raises(ReleaseError, match="holds a path twice"):
        read_zip(tmp_path / "old.zip")


def test_a_zip_that_swells_is_refused_unread(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_zip(tmp_path / "old.zip", {"top/a": bytes(100_000)}, WHEN)
    monkeypatch.setattr(archive, "MOST_BYTES", 50_000)
    with pytest.raises(ReleaseError, match="claims to hold more than 50000 bytes"):
        read_zip(tmp_path / "old.zip")


def test_damage_is_told_wherever_it_is(tmp_path: Path) -> None:
    write_zip(tmp_path / "whole.zip", FILES, WHEN)
    whole = (tmp_path / "whole.zip").read_bytes()
    middle = whole.index(b"top/b.js") + len("top/b.js") + 4
    damaged = [b"", whole[: len(whole) // 2], b"no zip at all", whole[:middle] + b"\xff\xff" + whole[middle + 2 :]]
    for data in damaged:
        (tmp_path / "old.zip").write_bytes(data)
        with pytest.raises(ReleaseError, match=r"old\.zip is damaged or is no zip .* Get the file again"):
            read_zip(tmp_path / "old.zip")


def test_a_missing_zip_is_told(tmp_path: Path) -> None:
    with pytest.raises(ReleaseError, match="There is no file"):
        read_zip(tmp_path / "none.zip")


@pytest.mark.parametrize("files", [{}, {"a": b""}, {"one/a": b"", "two/a": b""}, {"one/a": b"", "b": b""}])
def test_a_zip_of_another_shape_is_told(files: dict[str, bytes]) -> None:
    with pytest.raises(ReleaseError, match="does not hold one folder"):
        without_top(Path("old.zip"), files)
