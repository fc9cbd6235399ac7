"""Write a zip of which every byte is decided, and read one that may be damaged or hostile."""

import datetime
import re
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path, PurePosixPath

from . import ReleaseError

# Plain deflate: what every Windows, Mac and Linux unpacks by itself.
LEVEL = 9
_UNIX = 3
_FILE = 0o100644
# More than any release will ever hold: an archive that claims more is none of ours.
MOST_BYTES = 500_000_000
# No name needs more than this. Windows takes other characters for something else, and drops points and spaces at the end.
_NAME = r"[\w.+ -]*[\w+-]"
_SAFE = re.compile(rf"{_NAME}(?:/{_NAME})*", re.ASCII)


def is_safe(name: str) -> bool:
    """Whether a path stays inside the folder that it is unpacked into, on every system.

    >>> [is_safe(name) for name in ("site/a.js", "../a", "/a", "C:/a", "a\\\\b", "a/./b")]
    [True, False, False, False, False, False]
    """
    return _SAFE.fullmatch(name) is not None


def write_zip(target: Path, files: Mapping[str, bytes], when: datetime.datetime) -> None:
    """Write files, by their paths, in order of path; all bear the same time. No folder has an entry of its own."""
    target.parent.mkdir(parents=True, exist_ok=True)
    stamp = when.astimezone(datetime.UTC).timetuple()[:6]
    with zipfile.ZipFile(target, "w") as archive:
        for name in sorted(files):
            entry = zipfile.ZipInfo(name, stamp)
            # Python would write down the system that it runs on.
            entry.create_system = _UNIX
            entry.external_attr = _FILE << 16
            archive.writestr(entry, files[name], zipfile.ZIP_DEFLATED, LEVEL)


def read_zip(source: Path) -> dict[str, bytes]:
    """All files of a zip by their paths. Nothing goes to the disk, and a path that leads out of the folder stops it."""
    mend = "Get the file again, or take another one."
    try:
        with zipfile.ZipFile(source) as archive:
            entries = [entry for entry in archive.infolist() if not entry.is_dir()]
            if bad := sorted(entry.filename for entry in entries if not is_safe(entry.filename)):
                raise ReleaseError(f"{source.name}: the path {bad[0]!r} is not one of a release. Do not use this file. {mend}")
            if len({entry.filename for entry in entries}) < len(entries):
                raise ReleaseError(f"{source.name} holds a path twice. Do not use this file. {mend}")
            if sum(entry.file_size for entry in entries) > MOST_BYTES:
                raise ReleaseError(f"{source.name} claims to hold more than {MOST_BYTES} bytes; no release does. {mend}")
            return {entry.filename: archive.read(entry) for entry in entries}
    except FileNotFoundError:
        raise ReleaseError(f"There is no file {source}. Name the zip of a release.") from None
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, NotImplementedError) as trouble:
        raise ReleaseError(f"{source.name} is damaged or is no zip ({trouble}). {mend}") from None


def without_top(source: Path, files: Mapping[str, bytes]) -> dict[str, bytes]:
    """The files with the name of the one folder taken away that holds them all, whatever it is called."""
    tops = {PurePosixPath(name).parts[0] for name in files}
    if len(tops) != 1 or any("/" not in name for name in files):
        raise ReleaseError(f"{source.name} does not hold one folder with all files in it. Name the zip of a release.")
    return {name.split("/", 1)[1]: data for name, data in files.items()}
