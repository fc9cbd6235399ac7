"""What a cadet types, understood: answers with their way and measure, actions at the rig, and what is right."""

from typing import Any

import pytest

from calc.teach.practice.answers import CAUSES, Named, causes_of, key_of, named, named_all, right_answer
from calc.teach.practice.draw import draw
from calc.teach.practice.engine import MISTAKES, OF_ALL, OF_UNIT, Fault
from calc.teach.practice.levels import LEVELS
from calc.teach.practice.rig import Refused
from calc.teach.practice.typed import meant


@pytest.mark.parametrize(
    ("cause", "way", "amount", "expected"),
    [
        ("spill_rod", "-", "1 1/4", -1.25),
        ("suction_rod", "+", "0,5", 0.5),
        ("cam", "-", "0.8°", -0.8),
        ("linkage", "+", "1.5", 1.5),
        ("timing", "-", "0.6 mm", -0.6),
        ("pointer", "+", "0", 0.0),
    ],
)
def test_an_amount_has_the_sign_of_its_way(cause: str, way: str, amount: str, expected: float) -> None:
    assert named({"cause": cause, "way": way, "amount": amount}) == Named(cause, expected)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"cause": "cam", "way": "+"}, "Cam position: choose a way and write how far, in degrees."),
        ({"cause": "cam", "way": "+", "amount": "  "}, "write how far, in degrees"),
        ({"cause": "spill_rod", "amount": "2"}, "Spill push rod: choose a way and write how far, in flats."),
        ({"cause": "timing", "way": "up", "amount": "2"}, "in mm"),
        ({"cause": "cam", "way": "+", "amount": "-0.5"}, "-0.5 has a sign of its own."),
        ({"cause": "cam", "way": "-", "amount": "some"}, "some"),
    ],
)
def test_what_is_not_clear_has_no_amount_and_says_why(typed: dict[str, str], words: str) -> None:
    found = named(typed)
    assert (found.cause, found.amount) == (typed["cause"], None)
    assert words in found.trouble


def test_causes_without_a_correction_need_no_amount() -> None:
    for cause in ("within", "nothing", *MISTAKES, ""):
        assert named({"cause": cause, "way": "+", "amount": "2"}) == Named(cause)


def test_causes_to_choose_from() -> None:
    assert causes_of(1, of_all=True) == ("nothing", *OF_ALL)
    assert causes_of(5, of_all=False) == ("within", *OF_UNIT)
    assert causes_of(6, of_all=False) == ("within", *OF_UNIT, *MISTAKES)


def test_answers_of_an_engine_by_where_they_stand() -> None:
    engine = draw(1, 1)
    answers: dict[str, dict[str, str]] = {
        "1": {"cause": "within"},
        "2": {"cause": ""},
        "3": {"cause": "of another program"},
        "all": {"cause": "drive", "way": "-", "amount": "1"},
        "99": {"cause": "cam", "way": "+", "amount": "1"},
    }
    assert named_all(answers, engine) == {"1": Named("within"), "all": Named("drive", -1.0)}


def test_the_right_answer_turns_a_fault_back_in_the_measure_of_its_part() -> None:
    """0.6 mm too long is 0.6 / flat flats shorter; a mistake needs no correction."""
    engine = draw(1, 1)
    assert right_answer(engine, Fault("spill_rod", 2, 0.6)).amount == pytest.approx(-0.6 / engine.flat_mm)
    assert engine.flat_mm == pytest.approx(engine.pitch_mm * (2.0 if engine.left_right else 1.0) / 6.0)
    assert right_answer(engine, Fault("cam", 2, -0.6)) == Named("cam", 0.6)
    assert right_answer(engine, Fault("dial_turn", 2, 1.0)) == Named("dial_turn", None)
    assert key_of(Fault("cam", 2, -0.6)) == "2"
    assert key_of(Fault("drive", None, -0.6)) == "all"
    assert set(MISTAKES) < set(CAUSES)


@pytest.mark.parametrize(
    ("asked", "action"),
    [
        (["mount", 2], ["mount", 2]),
        ({"do": "to", "unit": 3, "typed": "10.5 before"}, ["to", 3, -10.5]),
        ({"do": "to", "unit": 3, "typed": "12 after"}, ["to", 3, 12.0]),
        ({"do": "to", "unit": 3, "typed": " "}, ["to", 3, 0.0]),
        (
            {"do": "correct", "unit": 3, "cause": "suction_rod", "way": "-", "amount": "1/2"},
            ["rod", 3, "suction_rod", -0.5],
        ),
        ({"do": "correct", "unit": 3, "cause": "cam", "way": "+", "amount": "0.4"}, ["cam", 3, 0.4]),
        ({"do": "correct", "unit": 3, "cause": "timing", "way": "-", "amount": "0.4"}, ["common", "timing", -0.4]),
    ],
)
def test_actions_as_typed(asked: Any, action: list[Any]) -> None:
    assert meant(asked) == action


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"do": "to", "unit": 3, "typed": "there"}, "there"),
        ({"do": "correct", "unit": 3, "cause": "cam", "way": "", "amount": "0.4"}, "choose a way"),
        ({"do": "correct", "unit": 3, "cause": "within"}, "Choose the part that you move."),
    ],
)
def test_actions_that_are_refused(asked: Any, words: str) -> None:
    with pytest.raises(Refused, match=words):
        meant(asked)


def test_levels_are_counted_from_1_and_grow_from_a_rod_to_a_mistake() -> None:
    assert [(number, level.number) for number, level in LEVELS.items()] == [(each, each) for each in range(1, 7)]
    assert [level.title for level in LEVELS.values()][::5] == ["One push rod", "A mistake on the sheet"]
    assert causes_of(5, of_all=False)[-1] not in MISTAKES
