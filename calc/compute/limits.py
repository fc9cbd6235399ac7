"""Fields and ranges that several calculations share. Physical limits only, as in a job file."""

from __future__ import annotations

from typing import Any

from calc.job.describe import NUMBER, Field, number, numbers
from calc.job.problems import NOTHING, Problem, shown

COLDEST_C, HOTTEST_C = -50.0, 400.0
LIGHTEST_KG_M3, HEAVIEST_KG_M3 = 600.0, 1100.0
LARGEST = 1e9  # Where physics sets no limit: it keeps every number inside a double.
MOST_VALUES = 10_000

ANALYSIS = "The bunker delivery note or the analysis report."


def positive(label: str, high: float, **details: Any) -> Any:
    """A number above 0.

    >>> positive("flow", 10.0, unit="m³/h").metadata["field"].allowed
    'a number above 0, at most 10 m³/h'
    """
    return number(label, **{"low": 0, "low_open": True, "high": high, **details})


def temperature(label: str, **details: Any) -> Any:
    """A temperature in degrees Celsius."""
    return number(label, **{"unit": "°C", "low": COLDEST_C, "high": HOTTEST_C, **details})


def temperatures(label: str, **details: Any) -> Any:
    """Several temperatures."""
    return numbers(label, **{"unit": "°C", "low": COLDEST_C, "high": HOTTEST_C, "most": MOST_VALUES, "apart": True, **details})


def density(label: str, **details: Any) -> Any:
    """A density."""
    return number(label, **{"unit": "kg/m³", "low": LIGHTEST_KG_M3, "high": HEAVIEST_KG_M3, "find": ANALYSIS, **details})


def percent(label: str, **details: Any) -> Any:
    """A share from 0 to 100 %."""
    return number(label, **{"unit": "%", "low": 0, "high": 100, **details})


def temperature_column() -> Field:
    """The column of a table that holds a temperature."""
    return Field(name="", kind=NUMBER, label="temperature", unit="°C", low=COLDEST_C, high=HOTTEST_C)


def problem(where: str, found: Any, words: str) -> Problem:
    """A problem between fields, with the value shown as people read it.

    >>> problem("to", "mm", "Unit wanted: mm found.").found
    'the text "mm"'
    """
    return Problem(where, shown(found), words)


def missing(where: str, words: str) -> Problem:
    """A problem with a key that is needed because of another one.

    >>> missing("at_c", "Temperatures: missing.").found
    'nothing'
    """
    return Problem(where, NOTHING, words)
