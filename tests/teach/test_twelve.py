"""The twelve first questions with their own numbers, worked by hand with a pocket calculator (no published source)."""

import pytest

from calc.teach.causes import CamPart
from calc.teach.correcting import Flats, LeftAfter, LeftAndRight, OpeningAfter, RodChange
from calc.teach.cut_out import ZeroDelivery
from calc.teach.delivery import DeliveryTime
from calc.teach.doubt import LargestProven, LargestU, Probability, Proven
from calc.teach.engine import Engine
from calc.teach.mark import RIGHT, mark
from calc.teach.question import Kind
from calc.teach.reading import AngleAtLift, SpillAtLift, SuctionAtLift
from calc.teach.units import StrokeLoss, StrokeRead

ENGINE = Engine(pre_stroke_mm=12.0, beginning_deg=-4.5, spill_lift_mm=36.0, end_deg=10.4, ratio=0.8, seat_mm=0.03)
START_OFF, END_OFF = 0.31, -0.0875

TWELVE = {
    "1 cam part": (CamPart(ENGINE, 12.31, -4.3), 0.01, 2),
    "2 rod": (RodChange(START_OFF, 0.8, False), -0.248, 3),
    "2 flats": (Flats(START_OFF, 0.8, False, 1.5), -0.99, 2),
    "3 left after one flat": (LeftAfter(START_OFF, 0.8, 1.5, -1.0), -0.0025, 4),
    "4 spill lift": (SpillAtLift(ENGINE, 0.10), 35.91, 2),
    "4 rod": (RodChange(END_OFF, 0.8, True), -0.07, 2),
    "4 flats": (Flats(END_OFF, 0.8, True, 1.5), -0.28, 2),
    "5 stroke": (StrokeRead(ENGINE, 12.31, 0.10), 23.60, 2),
    "5 stroke, percent": (StrokeLoss(ENGINE, 12.31, 0.10), -1.7, 1),
    "6 lift": (SuctionAtLift(ENGINE, 0.35), 12.40, 2),
    "6 angle": (AngleAtLift(ENGINE, 0.35, -4.5), -4.25, 2),
    "7 time": (DeliveryTime(-4.5, 10.4, 96.0), 25.9, 1),
    "8 index": (ZeroDelivery(24.0, 7.0, 1.05, 0.03, 0.8), 0.35, 2),
    "9 opening": (OpeningAfter(1.05, 0.8, START_OFF, END_OFF), 0.73, 2),
    "10 probability": (Probability(0.28, 0.10, 0.4), 88.5, 1),
    "10 largest": (LargestProven(0.10, 0.4), 0.236, 3),
    "11 largest u": (LargestU(0.4), 0.204, 3),
    "12 left and right": (LeftAndRight(1.5, 0.8, 1.0), 0.625, 3),
}


@pytest.mark.parametrize(("kind", "answer", "decimals"), TWELVE.values(), ids=list(TWELVE))
def test_the_answer_is_that_of_the_pocket_calculator(kind: Kind, answer: float, decimals: int) -> None:
    question = kind.question()
    assert not isinstance(question.answer, str)
    assert abs(question.answer - answer) <= 0.5 * 10.0**-decimals + 1e-9
    assert mark(question, f"{round(question.answer, question.decimals)}").code == RIGHT


def test_the_cam_part_of_a_reading_at_reference_lift_is_what_the_angle_is_off() -> None:
    """Question 6: read at the reference angle, so no cam part: the event angle is off by the travel alone."""
    question = AngleAtLift(ENGINE, 0.35, -4.5).question()
    assert not isinstance(question.answer, str)
    travel = (12.40 - 12.0) / ENGINE.slope
    assert question.answer - ENGINE.beginning_deg - travel == pytest.approx(0.0, abs=1e-9)


def test_the_verdict_of_question_ten_is_unclear() -> None:
    assert Proven(0.28, 0.10, 0.4).question().answer == "unclear"
