"""The lessons: which comes after which, how long each takes, and the questions at its end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from calc.teach import causes, correcting, cut_out, delivery, doubt, faults, mistakes, reading, units
from calc.teach.question import Kind, Question, numbered


@dataclass(frozen=True, slots=True)
class Lesson:
    """One lesson. name: of its page; minutes: what it takes, estimated; kinds: its questions by name, in order; example: the
    question that is worked out before they come."""

    name: str
    title: str
    minutes: int
    kinds: Mapping[str, type[Kind]]
    example: str


LESSONS = (
    Lesson(
        "lesson-1",
        "What starts and ends delivery",
        15,
        {"delivering": delivery.Delivering, "effective-stroke": delivery.EffectiveStroke},
        "effective-stroke",
    ),
    Lesson(
        "lesson-2",
        "Angles, signs and the flywheel",
        25,
        {
            "delivery-angle": delivery.DeliveryAngle,
            "delivery-time": delivery.DeliveryTime,
            "deviation": delivery.Deviation,
            "flywheel": delivery.Flywheel,
            "astern-sign": delivery.AsternSign,
        },
        "delivery-time",
    ),
    Lesson(
        "lesson-3",
        "Reading at contact and at reference lift",
        30,
        {
            "suction-at-lift": reading.SuctionAtLift,
            "spill-at-lift": reading.SpillAtLift,
            "angle-at-lift": reading.AngleAtLift,
            "on-seat": reading.OnSeat,
        },
        "angle-at-lift",
    ),
    Lesson(
        "lesson-4",
        "Rod or cam",
        30,
        {
            "rod-moves": causes.RodMoves,
            "cam-moved": causes.CamMoved,
            "cam-part": causes.CamPart,
            "rod-or-cam": causes.RodOrCam,
        },
        "cam-part",
    ),
    Lesson(
        "lesson-5",
        "The fuel index and cutting out",
        25,
        {
            "start-at-index": cut_out.StartAtIndex,
            "stroke-at-index": cut_out.StrokeAtIndex,
            "zero-delivery": cut_out.ZeroDelivery,
            "cuts-out": cut_out.CutsOut,
        },
        "zero-delivery",
    ),
    Lesson(
        "lesson-6",
        "How sure is a reading",
        40,
        {
            "gauge-doubt": doubt.GaugeDoubt,
            "repeats": doubt.Repeats,
            "probability": doubt.Probability,
            "proven": doubt.Proven,
            "largest-proven": doubt.LargestProven,
            "largest-u": doubt.LargestU,
        },
        "probability",
    ),
    Lesson(
        "lesson-7",
        "Correct a unit",
        35,
        {
            "rod-change": correcting.RodChange,
            "flats": correcting.Flats,
            "left-after": correcting.LeftAfter,
            "left-and-right": correcting.LeftAndRight,
            "opening-after": correcting.OpeningAfter,
        },
        "opening-after",
    ),
    Lesson(
        "lesson-8",
        "All units together",
        35,
        {
            "stroke-read": units.StrokeRead,
            "stroke-loss": units.StrokeLoss,
            "imbalance": units.Imbalance,
            "common": units.Common,
            "own": units.Own,
            "tdc-check": units.TdcCheck,
            "pointer-or-drive": units.PointerOrDrive,
        },
        "own",
    ),
    Lesson(
        "lesson-9",
        "Reading mistakes",
        30,
        {
            "missed-turn": mistakes.MissedTurn,
            "gauge-zero": mistakes.GaugeZero,
            "astern-play": mistakes.AsternPlay,
            "wrong-mark": mistakes.WrongMark,
            "pattern": mistakes.Pattern,
        },
        "missed-turn",
    ),
    Lesson(
        "lesson-10",
        "Find the fault",
        40,
        {"what-next": faults.WhatNext, "find-fault": faults.FindFault},
        "find-fault",
    ),
)

KINDS: Mapping[str, type[Kind]] = {name: kind for lesson in LESSONS for name, kind in lesson.kinds.items()}

EXAMPLE, FIRST = 0, 1  # Numbers of a question: the worked example's, and the first that people are asked.


@lru_cache(maxsize=64)
def question_of(name: str, number: int) -> Question:
    """A question by name and number.

    >>> question_of("largest-u", 1) == question_of("largest-u", 1) != question_of("largest-u", 2)
    True
    """
    return numbered(name, KINDS[name], number)
