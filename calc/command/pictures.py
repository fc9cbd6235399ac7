"""A picture as a file of its own."""

from __future__ import annotations

import re
import sys
from pathlib import Path

from calc.show import terminal
from calc.show.markup import Markup

# A page forgives what XML forbids: signs that no text has, and half a character.
_NO_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


def write_picture(drawn: Markup, place: str) -> bool:
    """Write a picture as an SVG file. Returns: whether it was written; if not, that is told."""
    alone = _NO_XML.sub("?", drawn.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1))
    try:
        Path(place).write_text(f"{alone}\n", encoding="utf-8")
    except OSError as error:
        print(terminal.not_written(place, error), file=sys.stderr)
        return False
    return True
