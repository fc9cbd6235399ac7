"""The worked example of each calculation for the page that explains it: what goes in, and all that comes out."""

from __future__ import annotations

from typing import Any

from calc.compute.answer import Calculation
from calc.compute.registry import CALCULATIONS
from calc.compute.run import compute_tree
from calc.job.describe import RECORDS, TABLE, Field, fields_of
from calc.job.words import short
from calc.show.computed import EXAMPLE, Grid, Row, facts, grid_table, page_part, reads
from calc.show.markup import Markup, element


def examples() -> dict[str, str]:
    """Every example: its path below the folder for generated files, and its text."""
    return {f"examples/{name}.md": f"{worked(each)}\n" for name, each in CALCULATIONS.items()}


def worked(calculation: Calculation) -> Markup:
    """The example of a calculation as HTML within a page; all numbers are computed here.

    >>> from calc.compute.registry import CALCULATIONS
    >>> "441.299" in worked(CALCULATIONS["convert"])
    True
    """
    done = compute_tree(calculation, dict(calculation.example))
    return element(
        "div",
        {"class": "sm-example", "markdown": "0"},
        element("p", None, element("strong", None, "What goes in.")),
        facts(_given_rows(done.given)),
        [grid_table(grid, f"{calculation.title}{EXAMPLE}") for grid in _given_grids(done.given)],
        element("p", None, element("strong", None, "What comes out.")),
        page_part(done, unfolded=True),
    )


def _present(given: Any) -> list[tuple[Field, str, Any]]:
    """The fields of an input that are filled in, each with its label as a beginning of a line."""
    pairs = [(field, getattr(given, field.attribute)) for field in fields_of(type(given))]
    return [(field, field.label[:1].upper() + field.label[1:], value) for field, value in pairs if value is not None]


def _given_rows(given: Any) -> list[Row]:
    return [Row(label, reads(field, value)) for field, label, value in _present(given) if field.kind not in (TABLE, RECORDS)]


def _given_grids(given: Any) -> list[Grid]:
    return [
        _records(label, value) if field.kind == RECORDS else _table(label, field, value)
        for field, label, value in _present(given)
        if field.kind in (TABLE, RECORDS)
    ]


def _table(label: str, field: Field, rows: tuple[tuple[float, ...], ...]) -> Grid:
    cells = tuple(tuple(map(short, row)) for row in rows)
    return Grid(label, tuple(each.label for each in field.columns), tuple(each.unit for each in field.columns), cells)


def _records(label: str, entries: tuple[Any, ...]) -> Grid:
    fields = fields_of(type(entries[0]))
    cells = tuple(tuple(_cell(field, getattr(entry, field.attribute)) for field in fields) for entry in entries)
    heads = tuple(" and ".join(each.label for each in field.columns) or field.label for field in fields)
    return Grid(label, heads, tuple(field.unit for field in fields), cells)


def _cell(field: Field, value: Any) -> str:
    """A value in a column; a table within it as pairs."""
    if field.kind == TABLE:
        return "; ".join(": ".join(map(short, row)) for row in value)
    if isinstance(value, float):
        return short(value)
    return reads(field, value)
