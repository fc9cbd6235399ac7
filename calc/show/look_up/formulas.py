"""The page of symbols and formulas: every formula as its own function states it, so that page and code cannot differ."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from calc.show.look_up import CLOSE_ON_PAPER
from calc.show.look_up.said import FORMULA, GIVEN, RETURNS, SOURCE, Saying, sayings


@dataclass(frozen=True, slots=True)
class Symbol:
    """A letter of the formulas, as the pages and the working write it."""

    symbol: str
    meaning: str
    unit: str


SYMBOLS = (
    Symbol("h_c", "pre-stroke: reference lift at which the suction valve closes", "mm"),
    Symbol("h_o", "spill lift: reference lift at which the spill valve opens", "mm"),
    Symbol("f_c, f_o", "reference angles of start and end of delivery, after TDC", "°"),
    Symbol("H, H_c, H_o", "event lifts: plunger lift at which the valve closed or opened", "mm"),
    Symbol("F, F_c, F_o", "event angles, after TDC", "°"),
    Symbol("D, D_c, D_o", "lift deviation: event lift − reference lift", "mm"),
    Symbol("A, A_c, A_o", "angle deviation: event angle − reference angle", "°"),
    Symbol("P, P_c, P_o", "cam part: angle deviation − travel of D along the cam", "°"),
    Symbol("k, k_c, k_o", "slope of the cam at an event", "mm for each degree"),
    Symbol("v", "reading of a valve's gauge", "mm"),
    Symbol("s", "seat-contact reading (in a formula of repeats or of a line: scatter)", "mm"),
    Symbol("i, i_c, i_o", "valve ratio: valve movement for each plunger movement", "1"),
    Symbol("z", "zero-index opening: reading of the spill valve at index 0, when the suction valve is just closing", "mm"),
    Symbol("w", "plunger lift beyond the seat at index 0", "mm"),
    Symbol("I, I_ref, I_0", "fuel index; the reference index; the index of zero delivery", "1"),
    Symbol("g", "plunger lift for each step of the fuel index", "mm"),
    Symbol("e", "effect of a push rod: valve movement for each rod movement", "1"),
    Symbol("d", "change of a lift; in areas and threads: diameter", "mm"),
    Symbol("L", "effective stroke", "mm"),
    Symbol("T", "tolerance (±T)", "°"),
    Symbol("r", "step of a gauge", "mm"),
    Symbol("R", "lift in one turn of a dial", "mm"),
    Symbol("E", "error limit of a gauge (±E), of any difference", "mm"),
    Symbol("q", "step to which the flywheel scale is read", "°"),
    Symbol(
        "u, u_p, u_v, u_t, u_I",
        "standard uncertainty; of plunger gauge, valve gauge, flywheel pointer, fuel index",
        "of the value",
    ),
    Symbol("rep, rep_v, rep_lift", "standard uncertainty from repeats", "of the value"),
    Symbol("n", "number of repeats or of units; in times: speed", "1; rpm"),
    Symbol("nu", "degrees of freedom", "1"),
    Symbol("F(…)", "distribution: the probability of a value up to here", "1"),
    Symbol("a, v (of several units)", "variance of a cam part without the pointer; variance of the median", "°²"),
    Symbol("t", "time or temperature; with tightening and probabilities: Student's t", "as said"),
    Symbol("rho, rho15", "density; density at 15 °C", "kg/m³"),
    Symbol("V, Q", "volume; flow", "m³; m³/h"),
)

# In the order of the job: what is read, what it means, what is done, what else is computed.
_TOPICS = (
    ("From reading to event", ("pump.reading", "pump.cam", "pump.measured")),
    ("How sure", ("pump.doubt", "measure.gum", "measure.pool", "measure.student")),
    ("Within or not", ("measure.conformity",)),
    ("Causes", ("pump.cause", "pump.mistakes", "measure.evidence", "judge")),
    ("Correction", ("pump.correction", "pump.what_if", "pump.trial", "pump.thread")),
    ("Cut-out, fuel index and quantity", ("pump.cut_out", "pump.fuel_index", "pump.quantity")),
    ("Top dead centre and cam survey", ("pump.dead_centre", "pump.survey", "measure.circle")),
    ("Curves and lines", ("measure.monotone", "measure.line")),
    ("Fuel", ("fuel",)),
    ("Change-over, tightening, next check", ("plan",)),
    ("Units", ("measure.units",)),
    ("Repeats that settle a verdict", ("compute",)),
    # What is new stands here until it has a topic.
    ("More", ("",)),
)


def formulas_page() -> str:
    """The page as Markdown."""
    left = [each for each in sayings() if FORMULA in each.parts]
    parts = [
        "---",
        "tags:",
        "  - formula",
        "  - equation",
        "  - symbol",
        "  - unit",
        "  - letter",
        "---",
        "",
        "# Symbols and formulas",
        "",
        CLOSE_ON_PAPER,
        "",
        "Every formula stands here as its own function in `calc` states it. What the program computes and what you read "
        "cannot differ. The worksheet shows the same formulas with your numbers, line by line, under “show the working”.",
        "",
        "## Symbols",
        "",
        "*c* stands for the closing of the suction valve (start of delivery), *o* for the opening of the spill valve (end).",
        "",
        "| Symbol | Meaning | Unit |",
        "|---|---|---|",
        *(
            f"| {', '.join(written(each) for each in _letters(symbol.symbol))} | {symbol.meaning} | {symbol.unit} |"
            for symbol in SYMBOLS
        ),
    ]
    for title, owners in _TOPICS:
        own = [each for owner in owners for each in left if each.place.startswith(owner)]
        left = [each for each in left if each not in own]
        if own:
            parts += ["", f"## {title}", "", *_table(own)]
    return "\n".join([*parts, ""])


def _letters(symbol: str) -> list[str]:
    return symbol.split(", ") if "(" not in symbol else [symbol]


def _table(stated: list[Saying]) -> Iterator[str]:
    yield "| What, and where in the code | Formula | Quantities | Source |"
    yield "|---|---|---|---|"
    for each in stated:
        cells = [
            f"{_cell(each.what)} `{each.place}`",
            written(each.parts[FORMULA]),
            _cell(_quantities(each)),
            _cell(each.parts.get(SOURCE, "")),
        ]
        yield f"| {' | '.join(cells)} |"


def _quantities(each: Saying) -> str:
    given, gives = each.parts.get(GIVEN, ""), each.parts.get(RETURNS, "")
    given = re.sub(r"^Parameters (and units )?", "", given)
    return f"{f'Given: {given} ' if given else ''}{f'Gives: {gives}' if gives else ''}"


_WRITTEN = (
    (r"\bsqrt\b", "√"),
    (r"\+/-", "±"),
    (r">=", "≥"),
    (r"(?<!the)(?<!with) x (?!=)", " × "),
    (r" - ", " − "),
    (r"(?<![\w.])-(?=[\w(])", "−"),
    (r"\bNone\b", "nothing"),
    (r"(\d) deg\b", r"\1°"),
    (r"\bnu(?![a-z])", "ν"),
    (r"\brho(?![a-z])", "ρ"),
    (r"\bmu(?![a-z])", "μ"),
    (r"\bphi\b", "φ"),
    (r"\bpi\b", "π"),
    (r"\b([a-zμ])'(?!s\b)", r"\1′"),
    (r"\^4", "⁴"),
    (r"\^2", "²"),
    (r"\^T\b", "ᵀ"),
    (r"\b([A-Za-zμν]|rep)_([A-Za-z0-9]+)", r"\1<sub>\2</sub>"),
)


def written(formula: str) -> str:
    """A formula as people write it, for a cell of a Markdown table.

    >>> written("u^2 = 2 r^2 / 12 + E^2 / 3, h_c <= H_c")
    'u² = 2 r² / 12 + E² / 3, h<sub>c</sub> ≤ H<sub>c</sub>'
    >>> written("-i_c D_c; sqrt(sum u_i^2)")
    '−i<sub>c</sub> D<sub>c</sub>; √(sum u<sub>i</sub>²)'
    """
    text = formula.replace("&", "&amp;").replace("<=", "≤").replace("<", "&lt;")
    for pattern, replacement in _WRITTEN:
        text = re.sub(pattern, replacement, text)
    return text.replace("|", "&#124;").replace("*", "·")


_UNITS = (
    ("mm/deg", "mm/°"),
    ("degC", "°C"),
    ("mm2/s", "mm²/s"),
    ("mm2", "mm²"),
    ("cm3", "cm³"),
    ("m3", "m³"),
    ("+/-", "±"),
    ("None", "nothing"),
    (" - ", " − "),
)


def _cell(words: str) -> str:
    """Words for a cell of a table, what stands between backquotes left as it is.

    >>> _cell("a_b [mm/deg], as for `c_d`")
    'a\\\\_b \\\\[mm/°\\\\], as for `c_d`'
    """
    for plain, mark in _UNITS:
        words = words.replace(plain, mark)
    words = re.sub(r"\bdeg\b", "°", words)
    shares = words.split("`")
    shares[::2] = [re.sub(r"([*_<\[\]])", r"\\\1", share) for share in shares[::2]]
    return "`".join(shares).replace("|", "\\|")
