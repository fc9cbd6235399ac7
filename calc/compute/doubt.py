"""What would make an unclear verdict clear: more repeats, a finer instrument, or neither."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import ceil, inf, isinf
from typing import Any

from calc.compute.answer import Answer, Calculation, Notice, beyond, no_answer, note
from calc.compute.from_job import like
from calc.compute.limits import positive
from calc.findings import Findings
from calc.job import steps
from calc.job.describe import choice, number, record, records_of, text, whole
from calc.job.model import EVENTS, VALVE_EVENTS, Job, Node
from calc.job.words import short
from calc.judge.event import split_repeats
from calc.judge.what_if import latest_units
from calc.measure import conformity
from calc.measure.gum import root_sum_square
from calc.working import Line

CONFORMITY = "JCGM 106:2012; ISO 14253-1:2017"
GUM = "JCGM 100:2008"
VERDICTS = {"within": "within: proven at 95 %", "unclear": "too close to tell", "outside": "outside: proven at 95 %"}

DEVIATION = {"low": -1000, "high": 1000, "required": True}
U = {"low": 0, "high": 10}


@record
class RepeatsInput(Node):
    """One deviation, its tolerance, and what its doubt is made of."""

    unit: int | None = like("readings.unit", required=False, help="With it, this unit's reading is taken from the job.")
    event: str | None = choice("event", {event: EVENTS[event] for event in VALVE_EVENTS})
    u_fixed: float = number(
        "standard uncertainty that repeats do not shrink", **U, required=True, help="Scale, pointer, gauge."
    )
    s: float = number("scatter of a single reading", **U, required=True)
    tolerance: float = positive("tolerance on both sides of 0", 30, required=True)
    deviation: float = number("deviation", **DEVIATION)


@record
class RepeatsResult:
    """What it takes."""

    readings: int | None = whole("fewest readings for a clear verdict", source=CONFORMITY)
    u_needed: float | None = number("largest standard uncertainty that is clear", source=CONFORMITY)


def readings_needed(u_needed: float, u_fixed: float, s: float) -> int | None:
    """Fewest readings whose mean is known to u_needed.

    Formula: smallest n with u_fixed^2 + s^2 / n <= u_needed^2. None where no number does it.

    >>> readings_needed(0.05, 0.03, 0.1), readings_needed(0.05, 0.06, 0.1), readings_needed(0.05, 0.05, 0.0)
    (7, None, 1)
    """
    if root_sum_square((u_fixed, s)) <= u_needed:
        return 1
    room = (u_needed - u_fixed) * (u_needed + u_fixed)
    if room <= 0.0:
        return None
    return max(1, ceil(s * s / room - conformity.SLACK))


def _repeats(given: RepeatsInput) -> Answer:
    needed = conformity.u_needed(given.deviation, given.tolerance)
    if needed is None:
        words = (
            f"The deviation stands on the tolerance {short(given.tolerance)} itself. No number of readings and no instrument "
            "tells on which side it is."
        )
        return Answer(RepeatsResult(), (no_answer("deviation", words),))
    readings = readings_needed(needed, given.u_fixed, given.s)
    lines = [
        Line(
            "largest u that is clear",
            "p(within) = 0.95" if abs(given.deviation) < given.tolerance else "p(within) = 0.05",
            f"deviation {short(given.deviation)}, tolerance ±{short(given.tolerance)}, normal distribution",
            "any" if isinf(needed) else short(needed),
            CONFORMITY,
        )
    ]
    if isinf(needed):
        words = "The deviation is so far outside that every uncertainty gives a clear verdict: there is no largest one."
        return Answer(RepeatsResult(readings=1), (no_answer("deviation", words),), tuple(lines))
    numbers_in = f"{short(given.s)}² / ({short(needed)}² − {short(given.u_fixed)}²)"
    if readings is None:
        words = (
            f"No number of readings makes this clear. The part that repeats do not shrink is {short(given.u_fixed)}, and "
            f"{short(needed)} is needed: use a finer instrument."
        )
        return Answer(RepeatsResult(u_needed=needed), (no_answer("u_fixed", words),), tuple(lines))
    lines.append(Line("fewest readings", "n ≥ s² / (u² − u_fixed²)", numbers_in, str(readings), GUM))
    return Answer(RepeatsResult(readings=readings, u_needed=needed), (_enough(readings),), tuple(lines))


def _enough(readings: int) -> Notice:
    words = (
        "A single reading is clear, if it stays where it is."
        if readings == 1
        else f"{readings} readings in all make it clear, if their mean stays where it is."
    )
    return note("s", words)


def _repeats_from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
    """The event that was chosen, in its latest stage; without a choice the one that is closest to call, if any is unclear."""
    events = [
        each
        for number, unit in latest_units(findings).items()
        if unit.judged is not None and typed.get("unit") in (None, number)
        for each in unit.judged.events.values()
        if typed.get("event") in (None, each.event)
    ]
    if typed.get("unit") is None or typed.get("event") is None:
        events = [each for each in events if each.finding.verdict == conformity.UNCLEAR]
    if not events:
        return {}
    judged = min(events, key=lambda each: abs(each.finding.probability_within - 0.5))
    fixed, single = split_repeats(judged.budgets.angle, judged.count)
    return {
        "unit": judged.placed.reading.unit,
        "event": judged.event,
        "u_fixed": round(root_sum_square(u for _, u in fixed), 6),
        "s": round(single, 6),
        "tolerance": job.reference.angle_tolerance_deg,
        "deviation": round(judged.finding.deviation_deg, 6),
    }


REPEATS = Calculation(
    name="repeats",
    title="How many repeats",
    what="how many repeats would make an unclear verdict clear",
    say=(
        "Without an entry it takes the event of this job that is closest to call. Choose a unit and an event to ask for "
        "another."
    ),
    given=RepeatsInput,
    result=RepeatsResult,
    compute=_repeats,
    example={"u_fixed": 0.045, "s": 0.09, "tolerance": 0.4, "deviation": 0.3},
    source=f"{CONFORMITY}; {GUM}",
    page="calculate/doubt.html#repeats",
    step=steps.FINDINGS,
    from_job=_repeats_from_job,
    beside_job=("unit", "event"),
)

# ---------------------------------------------------------------- budget


@record
class BudgetPart(Node):
    """One source of doubt that repeats do not shrink."""

    name: str = text("name", required=True)
    u: float = number("standard uncertainty", **U, required=True)


@record
class BudgetInput(Node):
    """A deviation, its tolerance, and its whole budget."""

    deviation: float = number("deviation", **DEVIATION)
    tolerance: float = positive("tolerance on both sides of 0", 30, required=True)
    parts: tuple[BudgetPart, ...] = records_of(BudgetPart, "sources of doubt", one="source", most=50, required=True)
    s: float = number("scatter of a single reading", **U, required=True)
    readings: int = whole("readings that were taken", low=1, high=1000, required=True)


@record
class BudgetPartResult:
    """One source of doubt: its share, and how small it would have to be alone."""

    name: str = text("source of doubt", required=True)
    u: float = number("u", required=True)
    share_percent: float | None = number("share", unit="%", source=GUM)
    u_wanted: float | None = number("clear if at most", source=CONFORMITY)


@record
class BudgetResult:
    """The verdict, what limits it, and what would settle it."""

    u: float = number("combined standard uncertainty", required=True, source=GUM)
    probability_within: float = number("probability that the true value is within", required=True, source=CONFORMITY)
    verdict: str = choice("verdict", VERDICTS, required=True, source=CONFORMITY)
    u_needed: float | None = number("largest standard uncertainty that is clear", source=CONFORMITY)
    readings_needed: int | None = whole("fewest readings for a clear verdict", source=CONFORMITY)
    limits: str | None = text("what limits it most")
    parts: tuple[BudgetPartResult, ...] = records_of(BudgetPartResult, "budget", required=True)


REPEATS_NAME = "repeats"


def _budget(given: BudgetInput) -> Answer:
    repeat_u = given.s / given.readings**0.5
    budget = [*((part.name, part.u) for part in given.parts), (REPEATS_NAME, repeat_u)]
    u = root_sum_square(each for _, each in budget)
    fixed = root_sum_square(part.u for part in given.parts)
    read = conformity.as_read(given.deviation, -given.tolerance, given.tolerance)
    if u > 0.0:
        p = conformity.probability_between(given.deviation, u, inf, -given.tolerance, given.tolerance)
    else:
        p = 1.0 if read == conformity.WITHIN else 0.0
    verdict = conformity.verdict(p, read)
    needed = conformity.u_needed(given.deviation, given.tolerance)
    readings = None if needed is None else readings_needed(needed, fixed, given.s)
    rows = tuple(
        BudgetPartResult(
            name=name,
            u=each,
            share_percent=100.0 * (each / u) ** 2 if u > 0.0 else None,
            u_wanted=_wanted(needed, budget, j),
        )
        for j, (name, each) in enumerate(budget)
    )
    finite = None if needed is None or isinf(needed) else needed
    most = max(budget, key=lambda part: part[1])[0] if u > 0.0 else None
    result = BudgetResult(
        u=u,
        probability_within=p,
        verdict=verdict,
        u_needed=finite,
        readings_needed=readings,
        limits=most,
        parts=rows,
    )
    lines = (
        Line("combined u", "√Σ u²", " + ".join(f"{short(each)}²" for _, each in budget), short(u), GUM),
        Line(
            "probability within",
            "Φ((T − x)/u) − Φ((−T − x)/u)",
            f"x = {short(given.deviation)}, T = {short(given.tolerance)}",
            f"{p:.4f}",
            CONFORMITY,
        ),
    )
    return Answer(result, tuple(_budget_notices(given, result, needed, fixed)), lines)


def _wanted(needed: float | None, budget: list[tuple[str, float]], j: int) -> float | None:
    """How small one part has to be for a clear verdict while the others stay; None where even 0 would not do."""
    if needed is None or isinf(needed):
        return None
    others = root_sum_square(u for i, (_, u) in enumerate(budget) if i != j)
    return ((needed - others) * (needed + others)) ** 0.5 if others <= needed else None


def _budget_notices(given: BudgetInput, found: BudgetResult, needed: float | None, fixed: float) -> Iterator[Notice]:
    if needed is None:
        words = "The deviation stands on the tolerance itself: no instrument and no number of readings settles it."
        yield no_answer("deviation", words)
        return
    if isinf(needed):
        yield no_answer("deviation", "So far outside, every uncertainty is clear: there is no largest one.")
        return
    stuck = [part.name for part in found.parts if part.u_wanted is None]
    if found.readings_needed is None:
        yield no_answer("parts", f"No number of readings makes this clear: the other parts together are {short(fixed)}.")
    if stuck:
        named = ", ".join(stuck)
        yield beyond("parts", f"Made perfect alone, these would not settle it: {named}. It takes more than that.")
    if found.u <= 0.0:
        yield no_answer("parts", "There is no doubt at all in this budget, so nothing has a share of it.")
    if found.verdict == conformity.UNCLEAR:
        yield note("deviation", _advice(given, found, fixed))


def _advice(given: BudgetInput, found: BudgetResult, fixed: float) -> str:
    if found.readings_needed is not None:
        return (
            f"{found.readings_needed} readings in place of {given.readings} would make it clear, if they stay where they are."
        )
    better = [part for part in found.parts if part.u_wanted is not None and part.name != REPEATS_NAME]
    if better:
        best = max(better, key=lambda part: (part.u_wanted or 0.0) / part.u if part.u else inf)
        return f"A finer instrument would: {best.name} at most {short(best.u_wanted or 0.0)} in place of {short(best.u)}."
    if fixed > conformity.largest_provable_u(given.tolerance):
        return "With these instruments this tolerance can never be proven, whatever is read. Use finer ones."
    return "It takes finer instruments in more than one place."


BUDGET = Calculation(
    name="budget",
    title="What limits a verdict",
    what="what limits a verdict, and which instrument or how many repeats would settle it",
    say=(
        "Type every source of doubt and the scatter of your readings. It says which instrument or how many readings would"
        " settle the verdict."
    ),
    given=BudgetInput,
    result=BudgetResult,
    compute=_budget,
    example={
        "deviation": 0.25,
        "tolerance": 0.4,
        "parts": [{"name": "angle scale", "u": 0.082}, {"name": "pointer", "u": 0.03}],
        "s": 0.045,
        "readings": 2,
    },
    source=f"{GUM}; {CONFORMITY}",
    page="calculate/doubt.html#budget",
    step=steps.FINDINGS,
)
