"""The update package for those who have the last version: what is new or changed, to be unpacked over the old folder.

Nothing but unpacking is needed. A file that the new version no longer has can stay: a page of it is replaced by one that says
so, and no new page loads any other. `applied` says what a folder is after the update; a test holds it to the new release.
"""

from collections.abc import Mapping
from pathlib import Path
from string import Template

from . import ReleaseError, licences, sums
from .archive import read_zip, without_top
from .contents import HERE, Release, version_of

HOW_TO = "HOW-TO-UPDATE.html"
TO_DELETE = "HOW-TO-UPDATE-delete.txt"


def read_release(source: Path) -> Release:
    """A release's zip, read and held to its own check sums."""
    files = without_top(source, read_zip(source))
    if sums.NAME not in files:
        raise ReleaseError(f"{source.name} holds no {sums.NAME}. Name the zip of a release, not an update and not another zip.")
    try:
        wanted = sums.parse(files[sums.NAME].decode("utf-8"))
        version = version_of(files)
    except (ValueError, ReleaseError) as trouble:
        raise ReleaseError(f"{source.name}: {trouble}") from None
    found = sums.difference(wanted, sums.sums_of(files))
    if not found.whole or found.extra:
        first = (*found.missing, *found.changed, *found.extra)[0]
        raise ReleaseError(f"{source.name} is not as it was made: {first} differs from {sums.NAME}. Get the file again.")
    return Release(version, files)


def _filled(page: str, **words: str) -> bytes:
    return Template((HERE / page).read_text("utf-8")).substitute(words).encode()


def _gone(name: str, version: str) -> bytes:
    start = "../" * name.count("/") + "site/index.html"
    return _filled("GONE.html", version=version, start=start)


def package_name(old: str, new: str) -> str:
    """The file name of the update, without its ending."""
    return f"spillmark-{new}-update-from-{old}"


def update(old: Release, new: Release) -> dict[str, bytes]:
    """The files of the update package. It has no folder around them, so that the old folder can be called as it likes."""
    if old.version == new.version:
        raise ReleaseError(f"The last release has version {old.version} too. Raise VERSION in calc/version.py.")
    changed = {name: data for name, data in new.files.items() if old.files.get(name) != data}
    gone = sorted(set(old.files) - set(new.files))
    leftover = "Nothing is left over from the old version."
    told = {}
    if gone:
        leftover = f"Files that only the old version had do no harm. <code>{TO_DELETE}</code> lists them: you can delete them."
        told[TO_DELETE] = licences.crlf("\n".join(gone))
    package = f"{package_name(old.version, new.version)}.zip"
    told[HOW_TO] = _filled("UPDATE.html", old=old.version, new=new.version, package=package, leftover=leftover)
    replaced = {name: _gone(name, new.version) for name in gone if name.endswith(".html")}
    return {**changed, **replaced, **told}


def applied(old: Mapping[str, bytes], package: Mapping[str, bytes]) -> dict[str, bytes]:
    """The old folder after the package was unpacked over it."""
    return {**old, **package}
