"""Whether enough thread still holds a push rod once the planned flats are turned."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from calc.findings import Findings
from calc.job.describe import choice, number, record
from calc.job.model import Job
from calc.job.words import plain
from calc.measure.conformity import SLACK
from calc.pump.correction import effective_pitch
from calc.pump.thread import engagement, engagement_after
from calc.pump.what_if import rod_from_flats
from calc.side.calculation import DANGER, WARNING, Answer, Calculation, Say, like
from calc.side.trial import LONGER, SHORTER

LEFT_RIGHT = "left_right"
_LENGTH = "Whole length of the threaded part of this end."
_VISIBLE = "Thread that you can see between lock nut and rod, the lock nut's own height included."


@record
class ThreadInput:
    """Thread of a push rod as it is now, and what is to be turned. Lengths and limits are the maker's or measured."""

    direction: str = choice("the rod gets", {LONGER: "longer", SHORTER: "shorter"}, required=True)
    flats: float = number("flats to turn", unit="flats", low=0, high=60, required=True, help="All of them, the trial included.")
    pitch_mm: float = like("engine.rod_pitch_mm", required=True)
    thread: str = like("engine.rod_thread", required=True)
    length_1_mm: float = number(
        "thread length", unit="mm", low=0, low_open=True, high=1000, required=True, help=_LENGTH, find="The maker's drawing."
    )
    visible_1_mm: float = number("visible thread now", unit="mm", low=0, high=1000, required=True, help=_VISIBLE)
    length_2_mm: float | None = number(
        "other end: thread length", unit="mm", low=0, low_open=True, high=1000, help="Only with a left-and-right thread."
    )
    visible_2_mm: float | None = number(
        "other end: visible thread now", unit="mm", low=0, high=1000, help="Only with a left-and-right thread."
    )
    least_mm: float = number(
        "least engagement",
        unit="mm",
        low=0,
        low_open=True,
        high=1000,
        required=True,
        help="Smallest length of thread that must stay inside.",
        find="The engine's manual. Ask the maker if it is not there.",
    )
    depth_mm: float | None = number(
        "depth of the threaded hole", unit="mm", low=0, low_open=True, high=1000, help="Tells when a shorter rod bottoms."
    )


@record
class ThreadResult:
    """Thread inside the rod at each end, now and after."""

    change_mm: float = number("change of rod length, plus lengthens", unit="mm", required=True)
    now_1_mm: float = number("engagement now", unit="mm", required=True)
    after_1_mm: float = number("engagement after", unit="mm", required=True)
    now_2_mm: float | None = number("other end: engagement now", unit="mm")
    after_2_mm: float | None = number("other end: engagement after", unit="mm")


def run(given: ThreadInput) -> Answer:
    """Thread engagement left at each end."""
    both = given.thread == LEFT_RIGHT
    wrong = {}
    ends = [("", given.length_1_mm, given.visible_1_mm, "visible_1_mm")]
    if both:
        for name, value in (("length_2_mm", given.length_2_mm), ("visible_2_mm", given.visible_2_mm)):
            if value is None:
                wrong[name] = "A left-and-right thread moves both ends, so the other end is needed too. Measure it."
        if not wrong:
            ends.append(("other end: ", given.length_2_mm or 0.0, given.visible_2_mm or 0.0, "visible_2_mm"))
    for name, length, visible, key in ends:
        if visible >= length:
            wrong[key] = (
                f"{(name + 'visible thread')[:1].upper()}{(name + 'visible thread')[1:]}: {visible:g} mm found, of a thread "
                f"{length:g} mm long. Less than that can be seen. Measure both again."
            )
    if wrong:
        return Answer(None, wrong=wrong)
    change = rod_from_flats(given.flats if given.direction == LONGER else -given.flats, effective_pitch(given.pitch_mm, both))
    found = [
        (name, now, engagement_after(now, change, both))
        for name, length, visible, _ in ends
        for now in [engagement(length, visible)]
    ]
    said = [Say(_left(found))]
    for name, now, after in found:
        said += _hazards(name, now, after, given)
    second = found[1] if both else ("", None, None)
    return Answer(
        ThreadResult(change_mm=change, now_1_mm=found[0][1], after_1_mm=found[0][2], now_2_mm=second[1], after_2_mm=second[2]),
        tuple(said),
    )


def _left(found: list[tuple[str, float, float]]) -> str:
    parts = [
        f"{plain(after, 2)} mm{' at the other end' if name else ''} (now {plain(now, 2)} mm)" for name, now, after in found
    ]
    return f"Thread engagement after it: {' and '.join(parts)}."


def _hazards(name: str, now: float, after: float, given: ThreadInput) -> list[Say]:
    end = "at the other end" if name else "at this end" if given.thread == LEFT_RIGHT else "here"
    if after <= SLACK:
        return [
            Say(f"The rod would come apart {end}, and the valve would not move. Do not turn that far: ask the maker.", DANGER)
        ]
    if after < given.least_mm - SLACK:
        already = "It is too little already. " if now < given.least_mm - SLACK else ""
        return [
            Say(
                f"Only {plain(after, 2)} mm of thread would hold {end}; the least is {plain(given.least_mm, 2)} mm. The thread "
                f"can strip, and the valve would lose its motion. {already}Ask the maker before you turn.",
                WARNING,
            )
        ]
    if given.depth_mm is not None and after > given.depth_mm + SLACK:
        return [
            Say(
                f"The thread is {plain(after, 2)} mm inside {end}, and the hole {plain(given.depth_mm, 2)} mm deep: the rod "
                "would bottom before that. Forcing it spoils the thread. Turn less."
            )
        ]
    return []


def from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
    """The rod's thread as the job describes it."""
    return {"pitch_mm": job.engine.rod_pitch_mm, "thread": job.engine.rod_thread}


THREAD = Calculation(
    name="thread",
    title="Thread engagement left",
    what="Before you turn: is there thread enough? The least engagement is the maker's.",
    inputs=ThreadInput,
    run=run,
    from_job=from_job,
)
