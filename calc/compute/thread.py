"""Whether enough thread still holds a push rod once the planned flats are turned."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from calc.compute.answer import Answer, Calculation, Known, Notice, danger, note, warning
from calc.compute.from_job import like, outcome
from calc.compute.limits import missing, positive, problem
from calc.compute.trial import LONGER, SHORTER
from calc.findings import Findings
from calc.job import steps
from calc.job.describe import choice, number, record
from calc.job.model import Job, Node
from calc.job.problems import Problem
from calc.job.words import plain, short, signed
from calc.measure.conformity import SLACK
from calc.pump.correction import effective_pitch
from calc.pump.thread import engagement, engagement_after
from calc.pump.what_if import rod_from_flats
from calc.working import Line

LEFT_RIGHT = "left_right"
_LENGTH = "Whole length of the threaded part of this end."
_VISIBLE = "Thread that you can see between lock nut and rod, the lock nut's own height included."


@record
class ThreadInput(Node):
    """Thread of a push rod as it is now, and what is to be turned. Lengths and limits are the maker's or measured."""

    direction: str = choice("the rod gets", {LONGER: "longer", SHORTER: "shorter"}, required=True)
    flats: float = number("flats to turn", unit="flats", low=0, high=60, required=True, help="All of them, the trial included.")
    pitch_mm: float = like("engine.rod_pitch_mm", required=True)
    thread: str = like("engine.rod_thread", required=True)
    length_1_mm: float = positive("thread length", 1000, unit="mm", required=True, help=_LENGTH, find="The maker's drawing.")
    visible_1_mm: float = number("visible thread now", unit="mm", low=0, high=1000, required=True, help=_VISIBLE)
    length_2_mm: float | None = positive("other end: thread length", 1000, unit="mm", help="Only with a left-and-right thread.")
    visible_2_mm: float | None = number(
        "other end: visible thread now", unit="mm", low=0, high=1000, help="Only with a left-and-right thread."
    )
    least_mm: float = positive(
        "least engagement",
        1000,
        unit="mm",
        required=True,
        help="Smallest length of thread that must stay inside.",
        find="The engine's manual. Ask the maker if it is not there.",
    )
    depth_mm: float | None = positive("depth of the threaded hole", 1000, unit="mm", help="Tells when a shorter rod bottoms.")


@record
class ThreadResult:
    """Thread inside the rod at each end, now and after."""

    change_mm: float = outcome("change of rod length, plus lengthens", unit="mm", required=True)
    now_1_mm: float = outcome("engagement now", unit="mm", required=True)
    after_1_mm: float = outcome("engagement after", unit="mm", required=True)
    now_2_mm: float | None = outcome("other end: engagement now", unit="mm")
    after_2_mm: float | None = outcome("other end: engagement after", unit="mm")


def _ends(values: Mapping[str, Any], both: bool) -> list[tuple[str, Any, Any, str]]:
    """Each end that moves: its name, thread length, visible thread, and the key of that."""
    ends = [("", values.get("length_1_mm"), values.get("visible_1_mm"), "visible_1_mm")]
    if both:
        ends.append(("other end: ", values.get("length_2_mm"), values.get("visible_2_mm"), "visible_2_mm"))
    return ends


def _rules(known: Known) -> Iterator[Problem]:
    both = known.get("thread") == LEFT_RIGHT
    for name in ("length_2_mm", "visible_2_mm") if both else ():
        if not known.has(name):
            yield missing(name, "A left-and-right thread moves both ends, so the other end is needed too. Measure it.")
    for name, length, visible, key in _ends(known.values, both):
        if length is not None and visible is not None and visible >= length:
            what = f"{name}visible thread"
            yield problem(
                key,
                visible,
                f"{what[:1].upper()}{what[1:]}: {visible:g} mm found, of a thread {length:g} mm long. Less than that can be "
                "seen. Measure both again.",
            )


def _thread(given: ThreadInput) -> Answer:
    """Thread engagement left at each end."""
    both = given.thread == LEFT_RIGHT
    flats = given.flats if given.direction == LONGER else -given.flats
    change = rod_from_flats(flats, effective_pitch(given.pitch_mm, both))
    ends = _ends(vars(given), both)
    found = [
        (name, now, engagement_after(now, change, both))
        for name, length, visible, _ in ends
        for now in [engagement(length, visible)]
    ]
    said = [note("flats", _left(found))]
    for name, now, after in found:
        said += _hazards(name, now, after, given)
    second = found[1] if both else ("", None, None)
    result = ThreadResult(
        change_mm=change, now_1_mm=found[0][1], after_1_mm=found[0][2], now_2_mm=second[1], after_2_mm=second[2]
    )
    lines = [
        Line(
            "change of rod length",
            "2 · pitch / 6 · flats" if both else "pitch / 6 · flats",
            f"{short(given.pitch_mm)} mm, {signed(flats, 2)} flats",
            f"{signed(change, 4)} mm",
        )
    ]
    for (name, length, visible, _), (_, now, after) in zip(ends, found, strict=True):
        lines.append(
            Line(f"{name}engagement now", "length − visible", f"{short(length)} − {short(visible)}", f"{short(now)} mm")
        )
        lines.append(
            Line(
                f"{name}engagement after",
                "now − change / 2" if both else "now − change",
                f"{short(now)} − ({signed(change, 4)}){' / 2' if both else ''}",
                f"{plain(after, 4)} mm",
            )
        )
    return Answer(result, tuple(said), tuple(lines))


def _left(found: list[tuple[str, float, float]]) -> str:
    parts = [
        f"{plain(after, 2)} mm{' at the other end' if name else ''} (now {plain(now, 2)} mm)" for name, now, after in found
    ]
    return f"Thread engagement after it: {' and '.join(parts)}."


def _hazards(name: str, now: float, after: float, given: ThreadInput) -> list[Notice]:
    end = "at the other end" if name else "at this end" if given.thread == LEFT_RIGHT else "here"
    if after <= SLACK:
        return [
            danger(
                "flats", f"The rod would come apart {end}, and the valve would not move. Do not turn that far: ask the maker."
            )
        ]
    if after < given.least_mm - SLACK:
        already = "It is too little already. " if now < given.least_mm - SLACK else ""
        return [
            warning(
                "flats",
                f"Only {plain(after, 2)} mm of thread would hold {end}; the least is {plain(given.least_mm, 2)} mm. The thread "
                f"can strip, and the valve would lose its motion. {already}Ask the maker before you turn.",
            )
        ]
    if given.depth_mm is not None and after > given.depth_mm + SLACK:
        return [
            note(
                "depth_mm",
                f"The thread is {plain(after, 2)} mm inside {end}, and the hole {plain(given.depth_mm, 2)} mm deep: the rod "
                "would bottom before that. Forcing it spoils the thread. Turn less.",
            )
        ]
    return []


def _from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
    """The rod's thread as the job describes it."""
    return {"pitch_mm": job.engine.rod_pitch_mm, "thread": job.engine.rod_thread}


THREAD = Calculation(
    name="thread",
    title="Thread engagement left",
    what="how much thread still holds a push rod once the planned flats are turned",
    say="Before you turn: is there thread enough? The least engagement is the maker's.",
    given=ThreadInput,
    result=ThreadResult,
    compute=_thread,
    rules=_rules,
    example={
        "direction": LONGER,
        "flats": 6,
        "pitch_mm": 1.5,
        "thread": LEFT_RIGHT,
        "length_1_mm": 45,
        "visible_1_mm": 18,
        "length_2_mm": 40,
        "visible_2_mm": 15,
        "least_mm": 20,
    },
    source="geometry of the push rod; the least engagement is the maker's",
    page="calculate/push-rod.html#thread",
    step=steps.CORRECTION,
    from_job=_from_job,
)
