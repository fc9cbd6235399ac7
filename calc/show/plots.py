"""Pictures of the calculations, as SVG text: curves, points and whiskers over two axes, with the same marks everywhere.

A picture says in its description what it shows; the numbers stand in the table beside it.
"""

from __future__ import annotations

from calc.compute.run import Computed
from calc.show.markup import Markup


def picture_of(computed: Computed) -> Markup | None:
    """The picture of an answer; None where it has none."""
    return None
