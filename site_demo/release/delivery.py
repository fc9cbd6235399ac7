"""How large a release is, how long it takes to send, and the table of that for the page about bringing it on board."""

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from site_demo.measured import Figure, Report

NAME, TITLE, COMMAND = "release", "The release", "make reproducible"
# What the project promises of the whole zip [MB].
MOST_MB = 16.0
MB, KB = 1e6, 1e3
# The line that the goals speak of, and what else ships have [kbit/s].
SLOW_LINE = 256
LINES = (64, 128, SLOW_LINE, 512, 2048)
# A mail carries six bits in each letter, and an end of line after 76 of them (RFC 2045, section 6.8).
MAIL = 4 / 3 * 78 / 76


def seconds(size: float, kbit_per_s: float) -> float:
    """How long a line takes for so many bytes when nothing else uses it and nothing is lost.

    >>> seconds(32_000, 256)
    1.0
    """
    return size * 8 / (kbit_per_s * 1000)


def figures(files: Mapping[str, bytes], package: Path, update: Path | None = None) -> list[Figure]:
    """The figures of a release: of its files, of their zip, and of the update where there is one."""
    size = package.stat().st_size
    how_long = f"at {SLOW_LINE} kbit/s with nothing else on the line"
    found = [
        Figure("zip_mb", size / MB, "MB", MOST_MB, "the whole zip (1 MB is 1 000 000 bytes)"),
        Figure("files", len(files), "", None, "files in it"),
        Figure("unpacked_mb", sum(map(len, files.values())) / MB, "MB", None, "its files unpacked"),
        Figure("zip_256_s", seconds(size, SLOW_LINE), "s", None, f"the whole zip {how_long}"),
    ]
    if update:
        size = update.stat().st_size
        found += [
            Figure("update_kb", size / KB, "kB", None, "the update package for a version in which only `calc` has changed"),
            Figure("update_256_s", seconds(size, SLOW_LINE), "s", None, f"that update package {how_long}"),
        ]
    return found


def spoken(duration_s: float) -> str:
    """A duration as people say it: rounded up, since lines are never better than they promise.

    >>> [spoken(each) for each in (4.2, 61.0, 5400.0)]
    ['5 s', '2 min', '1 h 30 min']
    """
    if duration_s < 60:
        return f"{-int(-duration_s // 1)} s"
    minutes = -int(-duration_s // 60)
    hours, minutes = divmod(minutes, 60)
    return " ".join(part for part in (f"{hours} h" if hours else "", f"{minutes} min" if minutes else "") if part)


def delivery(reports: Iterable[Report]) -> str:
    """The table (Markdown) of sizes and times, from the kept report of the release."""
    values = {figure.name: figure.value for report in reports if report.title == TITLE for figure in report.figures}
    if not values:
        return f"Nobody has measured it yet: `{COMMAND}` does.\n"
    sizes: Sequence[tuple[str, float]] = [
        ("the whole zip", values["zip_mb"] * MB),
        ("an update package", values["update_kb"] * KB),
    ]
    rows = [
        ["as a file", *(f"{size / MB:.1f} MB" for _, size in sizes)],
        ["as a mail attachment", *(f"{size * MAIL / MB:.1f} MB" for _, size in sizes)],
        *([f"{line} kbit/s", *(spoken(seconds(size, line)) for _, size in sizes)] for line in LINES),
    ]
    head = ["How", *(name for name, _ in sizes)]
    return "\n".join(f"| {' | '.join(row)} |" for row in [head, ["---"] * len(head), *rows]) + "\n"
