"""Compare a release with its list of check sums: a folder that was unpacked, or the zip itself.

    python -m site_demo.verify FOLDER_OR_ZIP

Ends with 0 where every file is as it was made, 1 where one is missing or changed, 2 where there is nothing to compare.
"""

import argparse
import sys
from pathlib import Path

from site_demo.inventory import inventory
from site_demo.release import ReleaseError, sums
from site_demo.release.archive import read_zip, without_top


def listed_and_found(place: Path) -> tuple[dict[str, str], dict[str, str]]:
    """The check sums of the list, and those of the files that are there."""
    if place.is_dir():
        list_file = place / sums.NAME
        if not list_file.is_file():
            raise ReleaseError(f"{place} holds no {sums.NAME}. Name the folder that has START-HERE.html in it.")
        listed, found = list_file.read_bytes(), inventory(place)
    else:
        files = without_top(place, read_zip(place))
        if sums.NAME not in files:
            raise ReleaseError(
                f"{place.name} holds no {sums.NAME}. Name the zip of a release; an update has no list of its own."
            )
        listed, found = files[sums.NAME], sums.sums_of(files)
    try:
        return sums.parse(listed.decode("utf-8")), found
    except ValueError as trouble:
        raise ReleaseError(f"{place}: {trouble}. Get the release again.") from None


def told(difference: sums.Difference, files: int) -> str:
    """What was found, in words."""
    lines = [f"missing: {name}" for name in difference.missing]
    lines += [f"changed: {name}" for name in difference.changed]
    lines += [f"extra:   {name}" for name in difference.extra]
    if difference.whole:
        lines.append(f"All {files} files are as they were made.")
    else:
        lines.append(
            f"Of {files} files, {len(difference.missing)} are missing and {len(difference.changed)} are changed. "
            "Do not use this copy. Get the release again and compare the check sum of the zip first."
        )
    if difference.extra:
        lines.append(
            f"{len(difference.extra)} are not on the list. After an update they are left over; else ask who put them there."
        )
    return "\n".join(lines)


def main() -> int:
    """Compare, and say what differs."""
    parser = argparse.ArgumentParser(prog="python -m site_demo.verify", description=__doc__.split("\n")[0])
    parser.add_argument("place", type=Path, metavar="FOLDER_OR_ZIP")
    place = parser.parse_args().place
    try:
        wanted, found = listed_and_found(place)
    except ReleaseError as trouble:
        print(f"verify: {trouble}", file=sys.stderr)
        return 2
    difference = sums.difference(wanted, found)
    print(told(difference, len(wanted)))
    return 0 if difference.whole else 1


if __name__ == "__main__":
    sys.exit(main())
