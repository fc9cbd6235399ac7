"""A release small enough for tests: a site of a few files, made from a commit that never was."""

import datetime
from functools import lru_cache
from pathlib import Path

from site_demo.release.archive import write_zip
from site_demo.release.contents import Release, release
from site_demo.release.origin import Origin

WHEN = datetime.datetime(2026, 11, 26, 1, 2, 4, tzinfo=datetime.UTC)
ORIGIN = Origin("0" * 40, WHEN, changed=False)
SITE = {
    "site/index.html": b"<p>one</p>",
    "site/learn/old.html": b"<p>old</p>",
    "site/generated/app/large.js": bytes(range(256)) * 40,
    "site/generated/app/old.js": b"old()",
}
NEXT_SITE = {
    "site/index.html": b"<p>two</p>",
    "site/new.html": b"<p>new</p>",
    "site/generated/app/large.js": SITE["site/generated/app/large.js"],
}


@lru_cache
def first() -> Release:
    """Version 0.1.0 of the small site."""
    return release("0.1.0", SITE, ORIGIN)


@lru_cache
def second() -> Release:
    """The next version: one file the same, one changed, one new, two gone."""
    return release("0.1.1", NEXT_SITE, ORIGIN)


def zipped(made: Release, target: Path, top: str = "") -> Path:
    """The release's zip, its folder called as asked."""
    write_zip(target, {f"{top or made.top}/{name}": data for name, data in made.files.items()}, WHEN)
    return target


def unpacked(made: Release, folder: Path) -> Path:
    """The release as a folder."""
    for name, data in made.files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    return folder
