"""Which files a built site has, and what is in them: for check sums, for the installed app, for updates."""

import hashlib
from pathlib import Path


def inventory(folder: Path) -> dict[str, str]:
    """SHA-256 (hexadecimal) of every file below a folder, by its path with forward slashes, in order of path."""
    files = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
    return {name: hashlib.sha256(files[name].read_bytes()).hexdigest() for name in sorted(files)}


def build_name(files: dict[str, str]) -> str:
    """A short name that two builds share only where all their files are the same."""
    text = "".join(f"{digest}  {name}\n" for name, digest in sorted(files.items()))
    return hashlib.sha256(text.encode()).hexdigest()[:12]
