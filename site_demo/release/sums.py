"""The list of check sums, in the form that `sha256sum -c` and `shasum -a 256 -c` read."""

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass

NAME = "SHA256SUMS"
_LINE = re.compile(r"([0-9a-f]{64}) [ *](.+)")


def sums_of(files: Mapping[str, bytes]) -> dict[str, str]:
    """SHA-256 of every file, by its path."""
    return {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}


def text(sums: Mapping[str, str]) -> str:
    """A line for each file, in order of path."""
    return "".join(f"{sums[name]}  {name}\n" for name in sorted(sums))


def parse(listed: str) -> dict[str, str]:
    """Path and SHA-256 of each line. A ValueError names the first line that is none."""
    found = {}
    for number, line in enumerate(listed.splitlines(), 1):
        match = _LINE.fullmatch(line)
        if match is None:
            raise ValueError(f"line {number} of {NAME} is {line[:60]!r}; it must be a check sum, two spaces and a path")
        found[match[2]] = match[1]
    return found


@dataclass(frozen=True)
class Difference:
    """What differs from the list: files that are missing, changed, or not on it."""

    missing: tuple[str, ...]
    changed: tuple[str, ...]
    extra: tuple[str, ...]

    @property
    def whole(self) -> bool:
        """Whether every file of the list is there as it was made."""
        return not self.missing and not self.changed


def difference(wanted: Mapping[str, str], found: Mapping[str, str]) -> Difference:
    """Compare the list with what is there. The list itself is not on it and is no extra file."""
    return Difference(
        missing=tuple(sorted(set(wanted) - set(found))),
        changed=tuple(sorted(name for name in set(wanted) & set(found) if wanted[name] != found[name])),
        extra=tuple(sorted(set(found) - set(wanted) - {NAME})),
    )
