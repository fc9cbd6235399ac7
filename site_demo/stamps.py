"""Remember what a slow step was made from, so that it runs again only when that has changed."""

import hashlib
from collections.abc import Iterable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
WORK = ROOT / ".build"


def digest(files: Iterable[Path], *more: str) -> str:
    """Digest of the names and contents of files, and of any further texts."""
    total = hashlib.sha256()
    for path in sorted(files):
        name = path.relative_to(ROOT) if path.is_relative_to(ROOT) else path.name
        total.update(f"{name}\0".encode())
        total.update(hashlib.sha256(path.read_bytes()).digest())
    for text in more:
        total.update(f"\0{text}".encode())
    return total.hexdigest()


def files_under(folder: Path, *endings: str) -> list[Path]:
    """All files below a folder (with one of the endings, where any is given), in order of name."""
    return sorted(
        path
        for path in folder.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts and (not endings or path.suffix in endings)
    )


def is_fresh(stamp: Path, wanted: str) -> bool:
    """Whether the stamp says that its step was last made from exactly this."""
    return stamp.is_file() and stamp.read_text(encoding="ascii") == wanted


def mark(stamp: Path, made_from: str) -> None:
    """Write the stamp of a step that has just succeeded."""
    stamp.parent.mkdir(parents=True, exist_ok=True)
    stamp.write_text(made_from, encoding="ascii")
