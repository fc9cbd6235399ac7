"""Write the release of the built site into release/.

    python -m site_demo.release                          the zip
    python -m site_demo.release --previous OLD.zip       and the update from that version

The same commit gives the same bytes; `make reproducible` proves it.
"""

import argparse
import platform
import sys
import zlib
from pathlib import Path

from site_demo.build import SITE
from site_demo.stamps import ROOT

from . import ReleaseError, sums, update
from .archive import write_zip
from .contents import read_site, release
from .delivery import figures
from .origin import origin

FOLDER = ROOT / "release"


def write(site: Path, into: Path, previous: Path | None) -> list[Path]:
    """Write the zip, the update where there is an old zip, and their check sums. Returns the packages."""
    # A fresh interpreter has read `calc` as it is now; imported here, since the build does the same.
    from calc.version import VERSION

    made_from = origin()
    old = update.read_release(previous) if previous else None
    new = release(VERSION, read_site(site), made_from)
    written = [into / f"{new.top}.zip"]
    write_zip(written[0], {f"{new.top}/{name}": data for name, data in new.files.items()}, made_from.when)
    if old:
        written.append(into / f"{update.package_name(old.version, new.version)}.zip")
        write_zip(written[1], update.update(old, new), made_from.when)
    packages = {package.name: package.read_bytes() for package in written}
    (into / sums.NAME).write_text(sums.text(sums.sums_of(packages)), encoding="ascii")
    for figure in figures(new.files, *written):
        print(figure)
    print(f"\nMade from {made_from.told}, {made_from.when:%Y-%m-%d %H:%M} UTC.")
    # Another compressor may find other bytes for the same files.
    print(f"Packed by Python {platform.python_version()} with zlib {zlib.ZLIB_RUNTIME_VERSION}.")
    for name, digest in sums.sums_of(packages).items():
        print(f"{digest}  {name}")
    return written


def main() -> int:
    """Write it, or say what stopped it."""
    parser = argparse.ArgumentParser(prog="python -m site_demo.release", description=__doc__.split("\n")[0])
    parser.add_argument("--site", type=Path, default=SITE, metavar="FOLDER", help="the built site")
    parser.add_argument("--into", type=Path, default=FOLDER, metavar="FOLDER", help="where the packages go")
    parser.add_argument("--previous", type=Path, metavar="ZIP", help="the last release, to make an update from")
    options = parser.parse_args()
    try:
        write(options.site, options.into, options.previous)
    except ReleaseError as trouble:
        print(f"release: {trouble}", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
