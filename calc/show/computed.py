"""A calculation's answer for people: the values first, then what to know, then the working. For a terminal and for a page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from calc.compute.answer import NO_ANSWER, NOTE, Answer, Notice
from calc.compute.run import Computed
from calc.job.describe import CHOICE, FLAG, RECORDS, Field, fields_of
from calc.job.words import angle_words, short
from calc.show.markup import Markup, element, joined
from calc.show.page import SIGNAL_WORDS, signal, working_table
from calc.show.plots import picture_of
from calc.show.terminal import WIDTH, clean, paragraph

NONE = "none"
EXAMPLE = ", example"
HEADS = {NO_ANSWER: "No answer", **SIGNAL_WORDS}


@dataclass(frozen=True, slots=True)
class Row:
    """One value of a result: what it is, and how it reads."""

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class Grid:
    """A list of records of a result as a table: its name, heads, their units, and cells."""

    label: str
    heads: tuple[str, ...]
    units: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]


def rows(computed: Computed) -> list[Row]:
    """The single values and plain lists of a result, in the order of its description."""
    assert computed.answer is not None
    result = computed.answer.result
    in_table = _IN_TABLE.get(computed.calculation.name, ())
    found = []
    for field in fields_of(type(result)):
        value = getattr(result, field.attribute)
        if field.unit_from:
            field = replace(field, unit=_unit_from(computed.given, field.unit_from))
        if field.kind == RECORDS or (value is None and field.omit) or (field.name in in_table and value is not None):
            continue
        label = field.label[:1].upper() + field.label[1:]
        if field.most == 2 and isinstance(value, tuple):
            found.append(Row(label, " to ".join(reads(field, each) for each in value)))
        elif isinstance(value, tuple) and value and isinstance(value[0], (tuple, list)):
            found += [Row(f"{label} {j}", " ".join(map(str, each))) for j, each in enumerate(value, 1)]
        elif isinstance(value, tuple) and len(value) > _MANY:
            found.append(Row(label, f"{', '.join(NONE if each is None else short(each) for each in value)} {field.unit}"))
        elif isinstance(value, tuple):
            found += [Row(f"{label}, {j}" if len(value) > 1 else label, reads(field, each)) for j, each in enumerate(value, 1)]
        else:
            found.append(Row(label, reads(field, value)))
    return found


def _unit_from(given: Any, name: str) -> str:
    asked = next(each for each in fields_of(type(given)) if each.name == name)
    return asked.choices[getattr(given, asked.attribute)].partition(" (")[0]


_MANY = 12  # Longer lists are told in one paragraph.


def grids(computed: Computed) -> list[Grid]:
    """The lists of records of a result, and lists that belong beside those of the input."""
    assert computed.answer is not None
    result = computed.answer.result
    found = []
    if computed.calculation.name == "cam_survey" and result.phase_deg is not None:
        found.append(_cam_grid(computed.given, result))
    for field in fields_of(type(result)):
        if field.kind != RECORDS or not getattr(result, field.attribute):
            continue
        assert field.record is not None
        entries = getattr(result, field.attribute)
        shown = [
            each
            for each in fields_of(field.record)
            if not (each.omit and all(getattr(entry, each.attribute) is None for entry in entries))
        ]
        cells = tuple(tuple(_cell(each, getattr(entry, each.attribute)) for each in shown) for entry in entries)
        heads, units = tuple(each.label for each in shown), tuple(each.unit for each in shown)
        found.append(Grid(field.label[:1].upper() + field.label[1:], heads, units, cells))
    return found


# Lists that are shown in a table with the input's rows, and not once more by themselves.
_IN_TABLE = {"cam_survey": ("residual_mm", "slope_mm_per_deg")}


def _cam_grid(given: Any, result: Any) -> Grid:
    """A cam row by row: what was measured, what is left, and how steep the flank is there."""
    cells = tuple(
        (short(angle), short(lift), f"{left:+.4f}".replace("-", "−"), f"{slope:.4f}".replace("-", "−"))
        for (angle, lift), left, slope in zip(given.measured, result.residual_mm, result.slope_mm_per_deg, strict=True)
    )
    heads = ("cam angle", "measured", "difference", "slope of the flank")
    return Grid("Row by row", heads, ("°", "mm", "mm", "mm/°"), cells)


def _cell(field: Field, value: Any) -> str:
    """A value in a column whose head has the unit: four digits are enough, and hours are read as hours and minutes."""
    if isinstance(value, float):
        return f"{value:.4g}".replace("-", "−") if field.unit != "h" or value >= _MANY_HOURS else clock(value)
    return reads(field, value)


_MANY_HOURS = 1000.0


def clock(hours: float) -> str:
    """Hours and minutes, to the nearest minute.

    >>> clock(4.828), clock(0.0), clock(1.9999)
    ('4:50', '0:00', '2:00')
    """
    whole, minutes = divmod(round(hours * 60.0), 60)
    return f"{whole}:{minutes:02d}"


def reads(field: Field, value: Any) -> str:
    """A value in words, with its unit."""
    if value is None:
        return NONE
    if field.kind == CHOICE:
        return field.choices[value]
    if field.kind == FLAG:
        return field.choices[str(value).lower()]
    if isinstance(value, str):
        return value
    if isinstance(value, tuple):
        return ", ".join(reads(field, each) for each in value) or NONE
    if field.angle:
        return angle_words(value)
    by_clock = field.unit == "h" and 0.0 < value < _MANY_HOURS
    # Where hours and minutes stand beside it, more than a hundredth of an hour says nothing.
    decimals = 2 if by_clock and value >= 1.0 and field.decimals is None else field.decimals
    number = short(value if decimals is None else round(value, decimals))
    words = f"{number}{'' if field.unit == '°' else ' '}{field.unit}".strip()
    return f"{words} ({clock(value)})" if by_clock else words


# ---------------------------------------------------------------- terminal


def report(computed: Computed) -> str:
    """An answer as lines of text for a terminal, at most 80 columns."""
    assert computed.answer is not None
    answer = computed.answer
    what = computed.calculation.what
    lines = [what[:1].upper() + what[1:], ""]
    values = rows(computed)
    width = min(46, max((len(row.label) for row in values), default=0))
    for row in values:
        lines += paragraph(f"{row.label:<{width}}  {row.value}", "", " " * (width + 2))
    for grid in grids(computed):
        lines += ["", grid.label, *_grid_lines(grid)]
    if answer.notices:
        lines.append("")
        for notice in answer.notices:
            place = f" ({notice.where})" if notice.where else ""
            lines += paragraph(f"{_headed(notice.code)}{notice.text}{place}", "- ", "  ")
    if answer.working:
        lines += ["", "Working"]
        for line in answer.working:
            numbers = f" [{line.numbers}]" if line.numbers else ""
            source = f"  ({line.source})" if line.source else ""
            lines += paragraph(f"{line.what}: {line.formula}{numbers} = {line.value}{source}", "  ", "      ")
    return "\n".join(lines)


def _headed(code: str) -> str:
    return f"{HEADS[code]}: " if code in HEADS else ""


def _grid_lines(grid: Grid) -> Iterator[str]:
    safe = [tuple(clean(cell) for cell in cells) for cells in grid.cells]
    lines = (grid.heads, grid.units, *safe) if any(grid.units) else (grid.heads, *safe)
    widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
    if sum(widths) + 2 * len(widths) <= WIDTH:
        for cells in lines:
            yield "  ".join(cell.rjust(width) for cell, width in zip(cells, widths, strict=True))
        return
    for cells in grid.cells:
        said = (f"{head}: {cell} {unit}".strip() for head, unit, cell in zip(grid.heads, grid.units, cells, strict=True))
        yield from paragraph("; ".join(said), "  ", "    ")


# ---------------------------------------------------------------- page


def page_part(computed: Computed, unfolded: bool = False) -> Markup:
    """An answer as a part of a page: what it says, values, picture, tables, working. Every text is escaped.

    unfolded: as an example, its working lies open; a form on the same page may show the same answer.
    """
    title = f"{computed.calculation.title}{EXAMPLE if unfolded else ''}"
    assert computed.answer is not None
    return joined(
        [_said(each) for each in computed.answer.notices],
        facts(rows(computed)),
        picture_of(computed),
        [grid_table(grid, title) for grid in grids(computed)],
        _working(computed.answer, title, unfolded),
    )


def _said(notice: Notice) -> Markup:
    if notice.code in SIGNAL_WORDS:
        return signal(notice.code, notice.text)
    look = "sm-answer" if notice.code == NOTE else "sm-notice-line"
    return element("p", {"class": look}, _headed(notice.code), notice.text)


def facts(found: list[Row]) -> Markup | None:
    """Single values, one below the other; None where there are none."""
    if not found:
        return None
    pairs = [element("div", None, element("dt", None, row.label), element("dd", None, row.value)) for row in found]
    return element("dl", {"class": "sm-facts"}, pairs)


def grid_table(grid: Grid, title: str) -> Markup:
    """A list as a table. Parameters: list; title of what it belongs to, so that a screen reader has a name for each."""
    heads = [f"{head}, {unit}" if unit else head for head, unit in zip(grid.heads, grid.units, strict=True)]
    table = element(
        "table",
        {"class": "sm-numbers"},
        element("caption", None, grid.label),
        element("thead", None, element("tr", None, [element("th", {"scope": "col"}, head) for head in heads])),
        element("tbody", None, [element("tr", None, [element("td", None, cell) for cell in each]) for each in grid.cells]),
    )
    name = f"{grid.label}: {title}"
    return element("div", {"class": "sm-scroll", "tabindex": "0", "role": "region", "aria-label": name}, table)


def _working(answer: Answer, title: str, unfolded: bool) -> Markup | None:
    if not answer.working:
        return None
    summary = element("summary", None, "Show the working")
    opened = "" if unfolded else None
    return element(
        "details", {"class": "ws-working", "open": opened}, summary, working_table(answer.working, f"Working: {title}")
    )
