"""Contact sheets: the pictures of one page beside each other, so that a person sees all of a site in little time.

Each picture is cut into pieces of one height, and the pieces stand side by side, as columns of a newspaper do. A browser
lays them out, so nothing else is needed. Paper comes through `pdftoppm` (Debian: poppler-utils).
"""

import html
import shutil
import struct
import subprocess
from dataclasses import dataclass
from pathlib import Path

from . import finding
from .tab import Tab

# Of a picture that is longer, the sheet shows the beginning.
LONGEST_PX = 12_000
SHEET_PX = 1568
GAP_PX = 4
PAPER_DPI = 47


@dataclass(frozen=True)
class Strip:
    """A picture, and how large the sheet shows it."""

    file: Path
    scale: float


def size(file: Path) -> tuple[int, int]:
    """Width and height of a PNG, from its header."""
    width, height = struct.unpack(">II", file.read_bytes()[16:24])
    return width, height


def _pieces(strip: Strip, tall: int) -> str:
    width, height = (round(each * strip.scale) for each in size(strip.file))
    height = min(height, round(LONGEST_PX * strip.scale))
    address = html.escape(strip.file.resolve().as_uri())
    return "".join(
        f'<i style="width:{width}px;height:{min(tall, height - top)}px;'
        f'background:url({address}) 0 -{top}px/{width}px auto"></i>'
        for top in range(0, height, tall)
    )


def sheet(tab: Tab, strips: list[Strip], into: Path, *, tall: int = 770) -> Path:
    """One sheet with all the strips; `tall` is how high a piece may be."""
    page = into.with_suffix(".html")
    page.write_text(
        f"<!doctype html><meta charset=utf-8><style>body{{margin:{GAP_PX}px;background:#a77}}"
        f"div{{display:flex;flex-wrap:wrap;gap:{GAP_PX}px;align-items:start}}</style><div>"
        + "".join(_pieces(strip, tall) for strip in strips)
        + "</div>",
        "utf-8",
    )
    tab.set_viewport(SHEET_PX, 300)
    tab.goto(page.resolve().as_uri())
    tab.screenshot(into)
    page.unlink()
    return into


def papers(pdf: Path) -> list[Path]:
    """The sheets of a PDF as pictures, beside it."""
    program = shutil.which("pdftoppm")
    if not program:
        raise finding.Missing("pdftoppm is not there. It makes pictures of paper. Install it: apt-get install poppler-utils")
    stem = f"{pdf.stem}-sheet"
    for old in pdf.parent.glob(f"{stem}-*.png"):
        old.unlink()
    subprocess.run([program, "-png", "-r", str(PAPER_DPI), pdf, pdf.with_name(stem)], check=True)
    return sorted(pdf.parent.glob(f"{stem}-*.png"))
