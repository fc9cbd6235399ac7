"""An update over the old folder makes the new one. What is no release, or no longer whole, is refused by name."""

import zipfile
from pathlib import Path

import pytest

from site_demo.release import ReleaseError, sums
from site_demo.release.archive import read_zip, write_zip
from site_demo.release.contents import Release, bill_name
from site_demo.release.update import HOW_TO, TO_DELETE, applied, package_name, read_release, update

from .small import WHEN, first, second, unpacked, zipped

GONE = {"site/learn/old.html", "site/generated/app/old.js", bill_name("0.1.0")}


def test_unpacked_over_the_old_folder_it_makes_the_new_one(tmp_path: Path) -> None:
    """By a real zip and a real folder, whatever the folder is called."""
    old, new = first(), second()
    folder = unpacked(old, tmp_path / "our tool")
    write_zip(tmp_path / "update.zip", update(old, new), WHEN)
    with zipfile.ZipFile(tmp_path / "update.zip") as package:
        package.extractall(folder)
    for name, data in new.files.items():
        assert (folder / name).read_bytes() == data, name
    there = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert there - set(new.files) == GONE | {HOW_TO, TO_DELETE}


def test_applied_says_the_same_as_unpacking(tmp_path: Path) -> None:
    old, new = first(), second()
    after = applied(old.files, update(old, new))
    assert {name: after[name] for name in new.files} == new.files


def test_it_holds_only_what_is_new() -> None:
    package = update(first(), second())
    assert "site/generated/app/large.js" not in package
    assert {"site/index.html", "site/new.html"} <= set(package)
    # Licences do not change with the version.
    assert not [name for name in package if name.startswith("LICENSES/")]


def test_what_is_gone_is_listed_and_a_page_of_it_says_so() -> None:
    package = update(first(), second())
    assert set(package[TO_DELETE].decode().splitlines()) == GONE
    page = package["site/learn/old.html"].decode()
    assert "Spillmark 0.1.1 no longer has it" in page
    assert 'href="../../site/index.html"' in page
    assert "site/generated/app/old.js" not in package


def test_where_nothing_is_gone_nothing_is_listed() -> None:
    new = second()
    old = Release("0.1.0", {name: data for name, data in new.files.items() if name != "site/new.html"})
    package = update(old, new)
    assert TO_DELETE not in package
    assert b"Nothing is left over" in package[HOW_TO]


def test_its_page_names_both_versions_and_the_package() -> None:
    page = update(first(), second())[HOW_TO].decode()
    assert "Update Spillmark 0.1.0 to 0.1.1" in page
    assert f"unzip -o {package_name('0.1.0', '0.1.1')}.zip -d FOLDER" in page
    assert "$" not in page


def test_the_folder_of_the_old_zip_can_have_any_name(tmp_path: Path) -> None:
    old = first()
    assert read_release(zipped(old, tmp_path / "a.zip", top="renamed")) == old


def test_a_release_with_the_same_version_is_refused() -> None:
    with pytest.raises(ReleaseError, match=r"has version 0\.1\.0 too\. Raise VERSION"):
        update(first(), first())


def tampered(**changes: bytes | None) -> Release:
    """The first release with files changed or taken away after its check sums were made."""
    files = {**first().files}
    for name, data in changes.items():
        if data is None:
            del files[name]
        else:
            files[name] = data
    return Release("0.1.0", files)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"site/index.html": b"evil"}, "site/index.html differs from SHA256SUMS"),
        ({"site/index.html": None}, "site/index.html differs from SHA256SUMS"),
        ({"site/more.html": b"more"}, "site/more.html differs from SHA256SUMS"),
        ({sums.NAME: None}, "holds no SHA256SUMS"),
        ({sums.NAME: b"nonsense\n"}, "line 1 of SHA256SUMS is 'nonsense'"),
        ({sums.NAME: b"\xff\n"}, "old.zip"),
        ({bill_name("0.1.0"): None}, "names no version"),
        ({bill_name("0.1.0"): b"{}"}, "names no version"),
        ({bill_name("0.1.0"): b'{"metadata": {"component": {"version": "1/../2"}}}'}, "names no version"),
    ],
)
def test_an_old_zip_that_is_not_as_it_was_made_is_refused(tmp_path: Path, changes: dict[str, bytes | None], told: str) -> None:
    old = zipped(tampered(**changes), tmp_path / "old.zip")
    with pytest.raises(ReleaseError) as refused:
        read_release(old)
    assert told in str(refused.value)
    assert "old.zip" in str(refused.value)


def test_an_update_is_no_release_to_update_from(tmp_path: Path) -> None:
    write_zip(tmp_path / "update.zip", update(first(), second()), WHEN)
    assert HOW_TO in read_zip(tmp_path / "update.zip")
    with pytest.raises(ReleaseError, match="does not hold one folder"):
        read_release(tmp_path / "update.zip")
