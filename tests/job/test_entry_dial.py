"""A long stroke on a dial gauge: whole turns and what the dial shows; the job file keeps plain millimetres."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.job.describe import NUMBER, NUMBERS, field_of
from calc.job.entry import Dial, EntryError, echo, understand
from calc.job.form import compose, spread
from calc.job.model import Job

LIFT = field_of(Job, "readings[].plunger_lift_mm")
ONE = Dial(1.0, "Instruments, plunger gauge, lift per turn of the dial")
PER_TURN = "instruments.plunger_gauge.mm_per_turn"
ROW = "readings/1/as_found/suction_closing/ahead"


@pytest.mark.parametrize(
    ("text", "dial", "values"),
    [
        ("12t 0.31", ONE, [12.31]),
        ("12 t 0,31", ONE, [12.31]),
        ("12 turns 0.31 mm", ONE, [12.31]),
        ("12 turns + 0.31", ONE, [12.31]),
        ("1 turn 0.31", ONE, [1.31]),
        ("0t 0.02", ONE, [0.02]),
        ("12t 0", ONE, [12]),
        ("12 rev 0.31", ONE, [12.31]),
        ("12t 0.31; 12t 0.30", ONE, [12.31, 12.3]),
        ("12t 0.31, 12t 0.30", ONE, [12.31, 12.3]),
        ("12t 0.31 12t 0.30", ONE, [12.31, 12.3]),
        ("24t 0.31", Dial(0.5, ""), [12.31]),
        ("6t 0.31", Dial(2.0, ""), [12.31]),
        ("6t 1.31", Dial(2.0, ""), [13.31]),
        ("12.31", ONE, [12.31]),
        ("12.31", Dial(None, ""), [12.31]),
    ],
)
def test_understood(text: str, dial: Dial, values: list[float]) -> None:
    assert understand(LIFT, text, dial) == values


@pytest.mark.parametrize(
    ("text", "dial", "words"),
    [
        ("12t 0.31", Dial(None, "Plunger gauge, lift per turn"), ("how far one turn is", "“Plunger gauge, lift per turn”")),
        ("12t 1.31", ONE, ("the dial part is 1.31 mm, and one turn is 1 mm",)),
        ("12t 1", ONE, ("the dial part is 1 mm",)),
        ("12t", ONE, ("does not say what the dial shows",)),
        ("12t 0.31 0.30", ONE, ("none with another",)),
        ("12t 0.31; 12.30", ONE, ("none with another",)),
        ("12.5t 0.31", ONE, ("is not understood",)),
        ("-1t 0.98", ONE, ("has a sign", "like -0.02")),
        ("12t -0.31", ONE, ("is not understood",)),
        ("12t 31 div", ONE, ("counts divisions",)),
        ("12t 0.31 x", ONE, ("is not understood",)),
        ("1,234t 0.31", ONE, ("is not understood",)),
    ],
)
def test_asked_about(text: str, dial: Dial, words: tuple[str, ...]) -> None:
    with pytest.raises(EntryError) as refused:
        understand(LIFT, text, dial)
    for word in (f"“{text}”", *words):
        assert word in str(refused.value)


@pytest.mark.parametrize(
    ("kind", "text", "said"),
    [
        (NUMBERS, "12t 0.31", "12.31 mm (12 turns of 1 mm and 0.31 mm)"),
        (
            NUMBERS,
            "12t 0.31; 12t 0.30",
            "2 readings, mean 12.305 mm (12 turns of 1 mm and 0.31 mm; 12 turns of 1 mm and 0.30 mm)",
        ),
        (NUMBER, "1t 0,31", "1.31 mm (1 turn of 1 mm and 0.31 mm)"),
        (NUMBERS, "12.31", ""),
    ],
)
def test_said_back(kind: str, text: str, said: str) -> None:
    assert kind in (NUMBER, NUMBERS)
    values: Any = understand(LIFT, text, ONE)
    assert echo(LIFT, values, text, ONE) == said


@given(st.integers(0, 200), st.integers(0, 999), st.sampled_from([0.5, 1.0, 2.0, 5.0]))
def test_turns_and_dial_are_the_number_on_paper(turns: int, thousandths: int, per_turn: float) -> None:
    """No dust of binary numbers: what is computed is the decimal that a person would write."""
    shown = f"{per_turn * thousandths / 1000:.4f}"
    total = round(turns * per_turn + per_turn * thousandths / 1000, 6)
    assert understand(LIFT, f"{turns}t {shown}", Dial(per_turn, "")) == [total]


def test_the_form_knows_the_gauge() -> None:
    typed = {PER_TURN: "0,5", f"{ROW}/plunger_lift_mm": "24t 0.31; 24t 0.30", f"{ROW}/valve_lift_mm": "1t 0.02"}
    composed = compose(typed)
    assert composed.tree["readings"][0]["plunger_lift_mm"] == [12.31, 12.3]
    assert "24 turns of 0.5 mm and 0.31 mm" in composed.echoes[f"{ROW}/plunger_lift_mm"]
    # The other gauge has not been told of.
    assert "Instruments, valve gauge, lift per turn" in composed.slips[f"{ROW}/valve_lift_mm"]
    assert composed.tree["drafts"] == {f"{ROW}/valve_lift_mm": "1t 0.02"}
    assert spread(composed.tree)[f"{ROW}/plunger_lift_mm"] == "12.31 12.3"


@pytest.mark.parametrize("per_turn", ["", "half", "0", "-1", "1e999"])
def test_without_a_lift_per_turn_it_is_asked_for(per_turn: str) -> None:
    composed = compose({PER_TURN: per_turn, f"{ROW}/plunger_lift_mm": "12t 0.31"})
    assert "Instruments, plunger gauge, lift per turn" in composed.slips[f"{ROW}/plunger_lift_mm"]
    mended = compose({**composed.tree["drafts"], PER_TURN: "1"})
    assert mended.tree["readings"][0]["plunger_lift_mm"] == [12.31]


def test_every_gauge_that_is_named_exists() -> None:
    for name in ("plunger_lift_mm", "valve_lift_mm"):
        assert field_of(Job, field_of(Job, f"readings[].{name}").turns_of).unit == "mm"
