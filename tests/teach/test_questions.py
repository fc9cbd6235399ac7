"""Every question, with many numbers: it can be answered, wrong ideas are told apart, and its words are plain."""

import re
from collections import Counter
from functools import lru_cache
from typing import get_type_hints

import pytest

from calc.job.describe import CHOICE
from calc.job.entry import understand
from calc.teach.draw import seeded
from calc.teach.faults import CAM, SHARED, SPILL_ROD, SUCTION_ROD, FindFault
from calc.teach.lessons import EXAMPLE, FIRST, KINDS, LESSONS, question_of
from calc.teach.mark import OTHER, POINT, RIGHT, ROUNDED, SIGN, SLIP, UNREAD, mark
from calc.teach.question import Question, is_clear, numbered

MANY = 1000
MOST_WORDS = 25

every_kind = pytest.mark.parametrize("name", list(KINDS))


@lru_cache
def numbers(name: str) -> list[Question]:
    return [numbered(name, KINDS[name], number) for number in range(MANY)]


@every_kind
def test_wrong_ideas_lead_clearly_elsewhere_and_are_told(name: str) -> None:
    for question in numbers(name):
        assert is_clear(question)
        answer = question.answer
        if isinstance(answer, str):
            assert mark(question, answer).code == RIGHT
            for slip in question.slips:
                marked = mark(question, str(slip.answer))
                assert (marked.code, marked.text) == (SLIP, slip.text)
            continue
        rounded = f"{answer:.{question.decimals}f}"
        assert mark(question, rounded).is_right
        assert mark(question, repr(answer)).code == RIGHT
        # As people write it: with a comma, a true minus sign and the unit.
        written = f"{rounded.replace('-', '−').replace('.', ',')} {question.field.unit}"
        if not re.search(r"[1-9]\d{0,2},\d{3} ", written):
            assert mark(question, written).is_right
        # Rounded on the way: still the right answer, and no wrong idea.
        for off in (-1.2, 1.2):
            assert mark(question, repr(answer + off * question.step)).code in (RIGHT, ROUNDED)
        for slip in question.slips:
            assert not isinstance(slip.answer, str)
            marked = mark(question, f"{slip.answer:.{question.decimals}f}")
            assert (marked.code, marked.text) == (SLIP, slip.text)
            assert understand(question.field, question.told(slip.answer)) == pytest.approx(
                slip.answer, abs=0.51 * question.step
            )


@every_kind
def test_sign_and_point_are_told_where_no_idea_explains_them(name: str) -> None:
    found = Counter[str]()
    for question in numbers(name)[:200]:
        answer = question.answer
        if isinstance(answer, str):
            return
        found[mark(question, repr(answer * 10.0)).code] += 1
        if question.has_sign and abs(answer) > 2.0 * question.step:
            assert mark(question, repr(-answer)).code in (SIGN, SLIP)
        far = answer + 7.77 * (abs(answer) + 1.0)
        assert mark(question, repr(far)).code in (OTHER, POINT, SLIP)
    assert found[POINT] > 190


@every_kind
def test_every_answer_of_a_choice_is_the_right_one_now_and_then(name: str) -> None:
    """Else people learn the answer and not the sum."""
    questions = numbers(name)
    if questions[0].field.kind != CHOICE or name == "wrong-mark":
        assert len({question.answer for question in questions}) > 10 or name == "wrong-mark"
        return
    answers = Counter(question.answer for question in questions)
    never = {"there"} | {"cams"}
    for code in set(questions[0].field.choices) - never:
        assert answers[code] > MANY / 25, code


@every_kind
def test_words_are_plain(name: str) -> None:
    for question in numbers(name)[:60]:
        texts = [*question.text, question.so, question.wanted, *(slip.text for slip in question.slips), question.sign]
        for text in filter(None, texts):
            assert text[-1] in ".?", text
            assert not re.search(r"\b(please|simply|invalid|error occurred)\b", text, re.IGNORECASE)
            for sentence in re.split(r"(?<=[.?:])\s", text):
                assert len(sentence.split()) <= MOST_WORDS, sentence
        assert "−0.00°" not in " ".join(value for _, value in question.given)
        # The last line of a sum is the answer.
        if not isinstance(question.answer, str) and name not in ("cam-moved",):
            digits = re.search(r"\d+(\.\d+)?", question.working[-1].value)
            assert digits, question.working[-1]
            places = len(digits[0].partition(".")[2])
            assert float(digits[0]) == pytest.approx(abs(question.answer), abs=0.51 * 10.0**-places)


def test_what_is_no_answer_is_no_attempt() -> None:
    question = question_of("rod-change", FIRST)
    for text in ("", "  ", "one", "1 2", "12 kg", "4.5 before"):
        marked = mark(question, text)
        assert (marked.code, marked.counts, marked.is_right) == (UNREAD, False, False)
        assert marked.text
    assert "in mm" in mark(question, "12 °").text
    choice = question_of("on-seat", FIRST)
    assert mark(choice, "perhaps").code == UNREAD


@pytest.mark.parametrize("name", ["deviation", "rod-change", "rod-moves", "left-after", "stroke-loss", "tdc-check"])
def test_a_side_is_answered_in_a_word_or_with_a_sign(name: str) -> None:
    for question in numbers(name)[:20]:
        assert question.sides
        assert not isinstance(question.answer, str)
        plus, minus = question.sides
        size, right, wrong = f"{abs(question.answer)}", *((plus, minus) if question.answer > 0.0 else (minus, plus))
        assert f"1.2 {minus}" in question.wanted
        assert mark(question, f"{size} {question.field.unit} {right}").code == RIGHT
        assert mark(question, f"{size}{question.field.unit} {right.upper()}").code == RIGHT
        assert not mark(question, f"{size} {wrong}").is_right
        twice = mark(question, f"−{size} {right}")
        assert twice.code == UNREAD
        assert "a sign and a word" in twice.text


def test_an_angle_is_answered_in_words_or_with_a_sign() -> None:
    question = question_of("angle-at-lift", FIRST)
    assert not isinstance(question.answer, str)
    assert question.answer < 0.0
    size = f"{-question.answer:.2f}"
    assert mark(question, f"{size} before").code == RIGHT
    assert mark(question, f"-{size}").code == RIGHT
    assert mark(question, f"{size} after TDC").code == SIGN


def test_the_fault_that_the_rules_name_is_the_one_that_was_put_in() -> None:
    found = Counter[str]()
    for number in range(300):
        kind = FindFault.drawn(seeded("find-fault", number))
        truth = _put_in(kind)
        assert kind.question().answer == truth, kind
        found[truth] += 1
    assert min(found[fault] for fault in (SUCTION_ROD, SPILL_ROD, CAM, SHARED)) > 40


def _put_in(kind: FindFault) -> str:
    """By the sizes that healthy units never have."""
    (lift_c, angle_c), (lift_o, _) = kind.offs[kind.unit - 1]
    if abs(lift_c) > 0.5:
        return SUCTION_ROD
    if abs(lift_o) > 0.5:
        return SPILL_ROD
    assert abs(angle_c) > 0.4
    return SHARED if all(abs(start[1]) > 0.4 for start, _ in kind.offs) else CAM


def test_the_lessons_hold_every_question_once() -> None:
    assert 6 <= len(LESSONS) <= 10
    assert sum(len(lesson.kinds) for lesson in LESSONS) == len(KINDS)
    for lesson in LESSONS:
        assert lesson.example in lesson.kinds
        assert question_of(lesson.example, EXAMPLE) != question_of(lesson.example, FIRST)
        for name, kind in lesson.kinds.items():
            assert re.fullmatch(r"[a-z0-9-]+", name)
            assert get_type_hints(kind.question)["return"] is Question
