"""The folder that a release unpacks into: the site, where to start, licences, check sums, and the bill of materials."""

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from string import Template

from site_demo.inventory import build_name

from . import ReleaseError, bill, licences, sums
from .archive import is_safe
from .origin import Origin

HERE = Path(__file__).parent
PINNED = HERE / "pinned.json"
# It lies in the site and takes the warning of START-HERE.html away: so that page knows whether the zip is unpacked.
MARKER = "unpacked.css"
UNPACKED = b".packed { display: none; }\n.unpacked { display: block; }\n"
# Windows unpacks no path of more than 259 letters, and people unpack into deep folders.
LONGEST_PATH = 120
_VERSION = re.compile(r"\d+\.\d+\.\d+")


@dataclass(frozen=True)
class Release:
    """A release: its version and the files of its folder."""

    version: str
    files: dict[str, bytes]

    @property
    def top(self) -> str:
        """The name of the folder."""
        return f"spillmark-{self.version}"


def bill_name(version: str) -> str:
    """The name of the bill of materials."""
    return f"spillmark-{version}.cdx.json"


def version_of(files: Mapping[str, bytes]) -> str:
    """The version that a release's folder says it is, from its bill of materials."""
    for name, data in files.items():
        if name.endswith(".cdx.json") and "/" not in name:
            try:
                version = str(json.loads(data)["metadata"]["component"]["version"])
            except (ValueError, KeyError, TypeError):
                break
            if _VERSION.fullmatch(version):
                return version
    raise ReleaseError("It names no version: its bill of materials is missing or damaged. Name the zip of a release.")


def read_site(folder: Path) -> dict[str, bytes]:
    """The built site's files, by their paths in the release."""
    if not (folder / "index.html").is_file():
        raise ReleaseError(f"There is no built site in {folder}. Build it: make build")
    return {f"site/{path.relative_to(folder).as_posix()}": path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def check_names(files: Mapping[str, bytes]) -> None:
    """Hold every path to what the oldest systems can unpack."""
    if wrong := sorted(name for name in files if not is_safe(name) or len(name) > LONGEST_PATH):
        raise ReleaseError(
            f"{wrong[0]} cannot be unpacked everywhere. Use letters of ASCII, and at most {LONGEST_PATH} of them."
        )
    if len({name.lower() for name in files}) < len(files):
        raise ReleaseError(
            "Two paths differ only in small and capital letters. Windows takes them for one; rename one of them."
        )


def pinned() -> dict[str, str]:
    """The files that no second build makes alike, each with the SHA-256 that it must have."""
    listed: dict[str, str] = json.loads(PINNED.read_text("utf-8"))
    return listed


def check_pinned(site: Mapping[str, bytes], wanted_sums: Mapping[str, str]) -> None:
    """Hold the pinned files to their check sums."""
    for name, wanted in wanted_sums.items():
        if name not in site:
            raise ReleaseError(
                f"{name} is pinned in {PINNED.name}, but the site has no such file. Build it, or take the line away."
            )
        found = hashlib.sha256(site[name]).hexdigest()
        if found != wanted:
            raise ReleaseError(
                f"{name} has the check sum {found}; {PINNED.name} pins {wanted}. "
                "Take the file from the last release, or pin the new one."
            )


def _pinned_told(names: Mapping[str, str]) -> str:
    if not names:
        return "Every file can be built again from the commit, byte for byte."
    return "Can be built again from the commit, byte for byte, all but:" + "".join(f"\n    {name}" for name in sorted(names))


def release(version: str, site: Mapping[str, bytes], origin: Origin) -> Release:
    """The folder of a release, made from a built site."""
    check_pinned(site, pinned())
    build = build_name(sums.sums_of(site))
    words = {
        "version": version,
        "under": "=" * len(f"Spillmark {version}"),
        "top": f"spillmark-{version}",
        "sums": sums.NAME,
        "bill": bill_name(version),
        "marker": MARKER,
        "commit": origin.told,
        "time": f"{origin.when:%Y-%m-%d %H:%M} UTC",
        "build": build,
        "pinned": _pinned_told(pinned()),
    }
    files = {
        **site,
        f"site/{MARKER}": UNPACKED,
        "START-HERE.html": Template((HERE / "START-HERE.html").read_text("utf-8")).substitute(words).encode(),
        "README.txt": licences.crlf(Template((HERE / "README.txt").read_text("utf-8")).substitute(words)),
        **{f"LICENSES/{name}": data for name, data in licences.texts().items()},
        bill_name(version): bill.bill(version, origin, build, licences.parts()).encode(),
    }
    check_names(files)
    return Release(version, {**files, sums.NAME: sums.text(sums.sums_of(files)).encode()})
