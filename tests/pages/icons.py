"""Make the app's icons from the drawing docs/assets/spillmark.svg, with Chromium. They are kept with the project.

    python -m tests.pages.icons

Browsers take the drawing itself for a tab; phones and desktops want pictures of fixed sizes, and one that they cut to their own
shape: its ground goes to the edge, and what is drawn keeps within the middle four fifths.
"""

import base64
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from site_demo.app import ICONS
from site_demo.stamps import ROOT

from .chromium import Chromium

ASSETS = ROOT / "docs" / "assets"
ROUND = ' rx="96"'


def drawn(folder: Path) -> None:
    """Write every icon into a folder."""
    drawing = (ASSETS / "spillmark.svg").read_text("utf-8")
    assert ROUND in drawing
    chromium = Chromium()
    try:
        with TemporaryDirectory() as downloads:
            for name, size, purpose in ICONS:
                svg = drawing if purpose == "any" else drawing.replace(ROUND, "")
                source = "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode()
                tab = chromium.tab(base="about:", downloads=Path(downloads))
                tab.goto("about:blank")
                picture = tab.evaluate(
                    f"""(async () => {{
                        const image = new Image();
                        image.src = "{source}";
                        await image.decode();
                        const canvas = new OffscreenCanvas({size}, {size});
                        canvas.getContext("2d").drawImage(image, 0, 0, {size}, {size});
                        const bytes = await (await canvas.convertToBlob({{type: "image/png"}})).bytes();
                        return bytes.toBase64();
                    }})()"""
                )
                (folder / name).write_bytes(base64.b64decode(picture))
                tab.close()
    finally:
        chromium.close()


if __name__ == "__main__":
    drawn(ASSETS)
    sys.exit(0)
