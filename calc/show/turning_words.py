"""What people read about a turning plan, the same on page, paper and terminal."""

from __future__ import annotations

from dataclasses import dataclass

from calc.job.direction import mirrored
from calc.job.model import AHEAD, ASTERN, Job
from calc.job.words import plain, units_words
from calc.plan.turning.stations import BASE, CLOSING, OPENING, PEAK
from calc.plan.turning.timetable import Plan, Stop, Task
from calc.plan.turning.travel import START_WORD

TURN_BACK = "Turn back here. There is nothing to do."
NOTHING_TO_DO = "The flywheel stands here. There is nothing to do."
_CAUTIONS = (
    "One person commands. Before every move count everyone, hands clear, and say it aloud.",
    "Read start and end only when they are reached ahead. Overshot: turn back well beyond, and come up ahead again.",
)


def caution_words(plan: Plan) -> list[str]:
    """What everybody at the turning gear has to hear first.

    >>> caution_words(Plan(rotation="astern"))[1][:55]
    'Read start and end only when they are reached astern. O'
    """
    return [mirrored(words, plan.direction) for words in _CAUTIONS]


def angle(degrees: float) -> str:
    """An angle of the flywheel, or a turn.

    >>> angle(348.89), angle(60.0)
    ('348.89°', '60.00°')
    """
    return f"{plain(degrees, 2)}°"


def turn_words(stop: Stop) -> str:
    """How a stop is reached.

    >>> turn_words(Stop(flywheel_deg=10.0, direction="ahead", turn_deg=20.0, tasks=()))
    'ahead 20.00°'
    """
    return f"{stop.direction} {angle(stop.turn_deg)}" if stop.direction in (AHEAD, ASTERN) else "begin here"


@dataclass(frozen=True, slots=True)
class StopWords:
    """What is said of a stop: what not to do on the way there, and what to do there.

    large: the same as `do`, but each in two: what can be read from afar, and what it means.
    """

    on_the_way: str | None
    do: list[str]
    large: list[tuple[str, str]]

    @property
    def lines(self) -> list[str]:
        """All of it, in order."""
        return [self.on_the_way, *self.do] if self.on_the_way else self.do


def stop_words(plan: Plan) -> list[StopWords]:
    """The sentences of each stop.

    >>> peak = Stop(flywheel_deg=30.0, direction="start", turn_deg=0.0, tasks=(Task(unit=1, task="peak", set=2),))
    >>> stop_words(Plan(stops=(peak,)))[0].lines
    ['Unit 1: mount set 2 at the cam peak. Suction gauge to 0.']
    """
    ends = {task.unit: stop.flywheel_deg for stop in plan.stops for task in stop.tasks if task.task == OPENING}
    begun = {task.unit for stop in plan.stops for task in stop.tasks}
    # A unit whose peak is not in the plan came into it with its set mounted.
    mounted = begun - {task.unit for stop in plan.stops for task in stop.tasks if task.task == PEAK}
    last: dict[int, int] = {}
    words = []
    for stop in plan.stops:
        back = mirrored(ASTERN, plan.direction)
        passed = sorted(unit for unit in mounted if stop.direction == back and _passes(stop, ends.get(unit)))
        on_the_way = f"On the way do not read {units_words(passed)}: turning {back}." if passed else None
        lines, large = [], []
        for task in stop.tasks:
            lines.append(_task(task, last.get(task.set)))
            large.append(_large(task, last.get(task.set)))
            if task.task == PEAK:
                mounted.add(task.unit)
            if task.task == OPENING:
                mounted.discard(task.unit)
                last[task.set] = task.unit
        nothing = NOTHING_TO_DO if stop.direction == START_WORD else TURN_BACK
        words.append(StopWords(on_the_way, lines or [nothing], large or [_in_two(nothing)]))
    return words


def _passes(stop: Stop, end_deg: float | None) -> bool:
    """Whether a move back, against the direction of the readings, passes a unit's end."""
    if end_deg is None:
        return False
    behind = end_deg - stop.flywheel_deg if stop.direction == ASTERN else stop.flywheel_deg - end_deg
    return behind % 360.0 <= stop.turn_deg


def _task(task: Task, before: int | None) -> str:
    moved = f" from unit {before}" if before is not None else ""
    return {
        PEAK: f"Unit {task.unit}: mount set {task.set}{moved} at the cam peak. Suction gauge to 0.",
        BASE: f"Unit {task.unit}, set {task.set}: on the base circle. Plunger and spill gauges to 0.",
        CLOSING: f"Unit {task.unit}, set {task.set}: read the start, the suction valve closes.",
        OPENING: f"Unit {task.unit}, set {task.set}: read the end, the spill valve opens. The set is free.",
    }[task.task]


def _large(task: Task, before: int | None) -> tuple[str, str]:
    moved = f", from unit {before}" if before is not None else ""
    what, meaning = {
        PEAK: ("cam peak", f"Mount the set{moved}. Suction gauge to 0."),
        BASE: ("base circle", "Plunger and spill gauges to 0."),
        CLOSING: ("read the start", "The suction valve closes."),
        OPENING: ("read the end", "The spill valve opens. The set is free."),
    }[task.task]
    return f"Unit {task.unit}, set {task.set}: {what}", meaning


def _in_two(words: str) -> tuple[str, str]:
    first, rest = words.split(". ", 1)
    return first, rest


def summary(plan: Plan, job: Job | None) -> list[str]:
    """The plan in a few sentences: what it costs, whether that is proven, what it saves, how long it takes.

    >>> plan = Plan(sets=2, ahead_only=False, units=(1,), turned_deg=143.0, reversals=1, cost_deg=163.0, optimal=True, stops=())
    >>> summary(plan, None)[0]
    'Turn 143.0° with 1 reversal, which costs as much as 163.0°. It is proven that no plan costs less.'
    """
    if not plan.units:
        return ["Nothing is left to do."]
    changes = f"{plan.reversals} reversal{'' if plan.reversals == 1 else 's'}"
    proven = (
        "It is proven that no plan costs less."
        if plan.optimal
        else "Whether another plan costs less is not looked at yet."
        if plan.lower_bound_deg <= 0.0
        else f"No plan costs less than {plain(plan.lower_bound_deg, 1)}°: at most {plain(100 * plan.gap, 1)} % could be saved."
    )
    words = [f"Turn {plain(plan.turned_deg, 1)}° with {changes}, which costs as much as {plain(plan.cost_deg, 1)}°. {proven}"]
    alone = plan.one_by_one
    if alone is not None and len(plan.units) > 1:
        saved = 100.0 * (1.0 - plan.cost_deg / alone.cost_deg)
        words.append(
            f"With one set, unit after unit in firing order, it costs {plain(alone.cost_deg, 1)}°. This plan saves "
            f"{plain(saved, 0)} %."
        )
    if plan.minutes is not None:
        words.append(_time_words(plan, job.engine.turning_deg_per_min if job is not None else None))
    return words


def _time_words(plan: Plan, speed: float | None) -> str:
    assert plan.minutes is not None
    alone = plan.one_by_one
    less = ""
    if alone is not None and alone.minutes is not None and len(plan.units) > 1:
        less = f" Unit after unit takes about {time_words(alone.minutes)}."
    turning = plan.turned_deg / speed if speed else 0.0
    # A plan that was kept may be older than the speed in the job.
    if not 0.0 < turning <= plan.minutes * (1.0 + 1e-9):
        return f"It takes about {time_words(plan.minutes)}.{less}"
    busy = sum(bool(stop.tasks) for stop in plan.stops)
    parts = f"{time_words(turning)} of turning, {time_words(plan.minutes - turning)} at {busy} stops"
    return f"It takes about {time_words(plan.minutes)}: {parts}.{less}"


def time_words(minutes: float) -> str:
    """So many minutes, as people say it.

    >>> time_words(34.4), time_words(153.0)
    ('34 min', '2 h 33 min')
    """
    whole = round(minutes)
    return f"{whole} min" if whole < 120 else f"{whole // 60} h {whole % 60:02d} min"
