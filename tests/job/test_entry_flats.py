"""Flats of a nut: fractions as people write them; a turn is six flats; what can mean two things is asked about."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.job.describe import NUMBER, NUMBERS, Field
from calc.job.entry import EntryError, echo, typed, understand

FLATS = Field("turned", NUMBER, "flats turned", unit="flats")
TRIALS = Field("trials", NUMBERS, "flats of the trials", unit="flats")


@pytest.mark.parametrize(
    ("text", "value", "said"),
    [
        ("1 1/4", 1.25, "1¼ flats"),
        ("1¼", 1.25, "1¼ flats"),
        ("1 ¼", 1.25, "1¼ flats"),
        ("1+1/4", 1.25, "1¼ flats"),
        ("1 + ¼", 1.25, "1¼ flats"),
        ("3/4", 0.75, "¾ flat"),
        ("3⁄4", 0.75, "¾ flat"),
        ("7/4", 1.75, "1¾ flats"),
        ("-1¼", -1.25, "−1¼ flats"),
        ("−1 1/4", -1.25, "−1¼ flats"),
        ("+ 1/2", 0.5, "½ flat"),
        ("1 1/4 flats", 1.25, "1¼ flats"),
        ("1 flat", 1, "1 flat"),
        ("1,5 flats", 1.5, "1½ flats"),
        ("⅓", 1 / 3, "0.333333 flats"),
        ("1/4 turn", 1.5, "1½ flats"),
        ("1 1/2 turns", 9, "9 flats"),
        ("1/3 turn", 2, "2 flats"),
        ("-0.25 turns", -1.5, "−1½ flats"),
        ("1 turn 2 flats", 8, "8 flats"),
        ("1 turn and 1¼ flats", 7.25, "7¼ flats"),
        ("-1 turn + 2 flats", -8, "−8 flats"),
        ("1.25", 1.25, ""),
        ("0", 0, ""),
    ],
)
def test_understood_and_said_back(text: str, value: float, said: str) -> None:
    assert understand(FLATS, text) == value
    assert echo(FLATS, value, text) == said


@pytest.mark.parametrize(
    ("text", "values"),
    [("1¼; 1 flat", [1.25, 1]), ("1+1/4, 3/4", [1.25, 0.75]), ("1.25 1.5", [1.25, 1.5]), ("1¼ -1½", [1.25, -1.5])],
)
def test_repeats(text: str, values: list[float]) -> None:
    assert understand(TRIALS, text) == values


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        (FLATS, "2 flats and a quarter", "is not understood"),
        (FLATS, "1.5 1/4", "is not understood"),
        (FLATS, "1 2", "2 numbers found"),
        (FLATS, "; ;", "is not understood"),
        (FLATS, "1/4 mm", "is not understood"),
        (FLATS, "1 turn 2", "is not understood"),
        (FLATS, "1-1/4", "has a sign inside"),
        (FLATS, "1 turn -2 flats", "has a sign inside"),
        (FLATS, "-1+1/4", "two signs"),
        (FLATS, "1 5/4", "a fraction that is a whole or more"),
        (FLATS, "1/0", "divides by 0"),
        (FLATS, "1,250", "1.250 or 1250"),
        (TRIALS, "1 1/4", "one number or two"),
        (TRIALS, "1 ¼", "one number or two"),
    ],
)
def test_asked_about(field: Field, text: str, words: str) -> None:
    with pytest.raises(EntryError) as refused:
        understand(field, text)
    assert f"“{text}”" in str(refused.value)
    assert words in str(refused.value)
    assert "Write" in str(refused.value)


@given(st.integers(-40, 40))
def test_the_echo_of_quarters_is_understood_as_the_same(quarters: int) -> None:
    value = quarters / 4
    said = echo(FLATS, value, f"{quarters}/4")
    assert said == "no flat" if value == 0 else understand(FLATS, said) == value


@given(st.integers(0, 20), st.integers(1, 7), st.integers(2, 8))
def test_any_fraction_is_what_it_says(whole: int, over: int, under: int) -> None:
    if over < under:
        assert understand(FLATS, f"{whole} {over}/{under}") == float(whole + Fraction(over, under))
    assert understand(FLATS, f"{over}/{under} turn") == float(6 * Fraction(over, under))


@given(st.floats(-1000, 1000))
def test_comes_back_from_its_text(value: float) -> None:
    assert understand(FLATS, typed(FLATS, value)) == value
    assert understand(TRIALS, typed(TRIALS, [value, value])) == [value, value]
