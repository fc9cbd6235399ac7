"""The blank form for what is measured around the check: pairs for top dead centre, a cam, spill lifts at several indices."""

from __future__ import annotations

from calc.job.model import STAGES
from calc.show.markup import Markup, element, joined
from calc.show.paper import BOX, TO_WRITE, facts, table

TITLE = "Form for top dead centre, cam and fuel index"
_PAIRS, _SURVEY_ROWS, _SURVEY_COLUMNS, _INDEX_ROWS, _INDEX_POINTS = 4, 6, 3, 5, 4


def around_parts() -> Markup:
    """What stands on the form, below its head; texts are for ahead.

    >>> around_parts().count("Turn ahead") == 3
    True
    """
    return joined(
        element(
            "p",
            {"class": "quiet"},
            "Only where the findings ask for it. Nothing here changes a reading or a verdict; it tells causes apart.",
        ),
        _tdc(),
        _survey(),
        _index(),
    )


def _tdc() -> Markup:
    return joined(
        element("h2", None, "Top dead centre by equal piston heights"),
        facts(
            [
                ("Cylinder", TO_WRITE),
                ("Angle at its TDC mark", f"{TO_WRITE} °"),
                ("Pointer set after this check", f"{BOX} yes  {BOX} no"),
                ("Read by", ""),
            ]
        ),
        table(
            ["Pair", "Height of the piston, any measure", "Angle before TDC, °", "Angle after TDC, °"],
            [(pair, "", "", "") for pair in range(1, _PAIRS + 1)],
            caption="Turn ahead to both angles of a pair. Three pairs or more, at heights well apart",
            css="write",
        ),
    )


def _survey() -> Markup:
    return joined(
        element("h2", None, f"Cam survey of unit {TO_WRITE}"),
        table(
            ["Row", *("Crank angle, °", "Plunger lift, mm") * _SURVEY_COLUMNS],
            [(row, *[""] * (2 * _SURVEY_COLUMNS)) for row in range(1, _SURVEY_ROWS + 1)],
            caption="Zero on the base circle. Turn ahead to every row, on both sides of start and end. Minus is before TDC",
            css="write",
        ),
    )


def _index() -> Markup:
    stages = joined(*(f"{BOX} {label}  " for label in STAGES.values()))
    heads = [head for point in range(1, _INDEX_POINTS + 1) for head in (f"Index {point}", f"Spill lift {point}, mm")]
    return joined(
        element("h2", None, "Spill lift at several fuel indices"),
        table(
            ["Unit", "Stage", *heads],
            [(TO_WRITE, stages, *[""] * (2 * _INDEX_POINTS)) for _ in range(_INDEX_ROWS)],
            caption="Turn ahead to contact of the spill valve at each index. Three indices or more",
            css="write",
        ),
    )
