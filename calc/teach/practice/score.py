"""The cadet's answer against the truth: points, and for every point lost why, and what to learn from it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from calc.job.words import flats_words, listed, plain, units_words
from calc.teach.practice import explained
from calc.teach.practice.answers import ALL, CAUSES, FLATS, MEASURE, NOTHING, WAYS, WITHIN, Named, key_of, right_answer
from calc.teach.practice.draw import doubt_of_angle, doubt_of_lift
from calc.teach.practice.engine import (
    CAM,
    EVENTS,
    LINKAGE,
    MISTAKES,
    OF_ALL,
    POINTER,
    RODS,
    TIMING,
    Engine,
    Fault,
)
from calc.teach.practice.explained import Page
from calc.teach.practice.job import entries_that_count
from calc.teach.practice.rig import AHEAD, AS_FOUND, AS_LEFT, ASTERN, ZERO_INDEX, Rig

# What can be had for each part of the work; 100 together.
POINTS = {"cause": 40, "way": 10, "size": 10, "alone": 10, "proof": 10, "cut_out": 10, "turning": 5, "safety": 5}
TITLES = {
    "cause": "The right cause",
    "way": "The right way to move it",
    "size": "The right size",
    "alone": "Healthy parts left alone",
    "proof": "Proved as left",
    "cut_out": "Cut-out proved",
    "turning": "Turning",
    "safety": "All clear before turning",
}
# Units that show a change of what all units share, as left.
ENOUGH_UNITS = 2
# Degrees that a careful person turns: each unit from the peak to the end of delivery and on to the next unit, twice over.
PAR_A_UNIT_DEG, PAR_AGAIN_DEG = 900.0, 2400.0


@dataclass(frozen=True, slots=True)
class Learned:
    """What to learn from a point that was lost, and the pages that explain it."""

    text: str
    pages: tuple[Page, ...]


@dataclass(slots=True)
class Line:
    """One part of the score: points had of points to be had; what was lost, and what to learn."""

    topic: str
    of: float
    points: float
    lost: list[str] = field(default_factory=list)
    learn: list[Learned] = field(default_factory=list)

    def lose(self, points: float, why: str, learn: str, pages: tuple[Page, ...]) -> None:
        """Take points away, and say why, and where it is explained. Never below 0."""
        self.points = max(0.0, self.points - points)
        self.lost.append(why)
        learned = Learned(learn, pages)
        if learned not in self.learn:
            self.learn.append(learned)


@dataclass(frozen=True, slots=True)
class Result:
    """The whole score, the truth in words, and what was seen of the work beside it."""

    total: int
    lines: tuple[Line, ...]
    truth: tuple[str, ...]
    seen: tuple[str, ...]


def score(rig: Rig, answers: Mapping[str, Named]) -> Result:
    """Judge the answers and the work."""
    engine = rig.engine
    lines = {topic: Line(topic, float(of), float(of)) for topic, of in POINTS.items()}
    for fault in engine.faults:
        _judge_fault(rig, fault, answers.get(key_of(fault)), lines)
    _judge_healthy(rig, answers, lines["alone"])
    _judge_proof(rig, lines["proof"])
    _judge_cut_out(rig, lines["cut_out"])
    _judge_turning(rig, lines["turning"])
    hurried = rig.tally.hurried
    if hurried:
        lines["safety"].lose(
            float(hurried),
            f"{_times(hurried)} the flywheel was to be turned and nobody had said all clear.",
            "Before every move one person counts everyone, sees all hands clear, and says so aloud.",
            explained.SAFETY,
        )
    if not any(not entry.other_watch for entry in rig.notebook):
        for topic in ("alone", "cut_out", "turning", "safety"):
            lines[topic].lose(
                100.0,
                "You took no reading.",
                "Care counts where work was done. Put the gauges on and read.",
                explained.NO_READING,
            )
    total = round(sum(line.points for line in lines.values()))
    truth = tuple(fault_words(engine, fault) for fault in engine.faults)
    return Result(total, tuple(lines.values()), truth, tuple(_seen(rig)))


def size_limit(engine: Engine, fault: Fault) -> float:
    """How far an answer may be from the truth, in the measure of its part: what these instruments and a hand can tell."""
    if fault.part in RODS:
        event = RODS[fault.part]
        return 2.0 * doubt_of_lift(engine, event) * engine.ratio[event] / engine.flat_mm + 0.25
    lift = max(doubt_of_lift(engine, event) for event in EVENTS)
    if fault.part == LINKAGE:
        return 2.0 * lift / engine.per_index_mm + 0.05 * abs(fault.size)
    if fault.part == TIMING:
        return 2.0 * lift + 0.02
    return 2.0 * doubt_of_angle(engine) + 0.05


def _judge_fault(rig: Rig, fault: Fault, answer: Named | None, lines: Mapping[str, Line]) -> None:
    engine, share = rig.engine, 1.0 / len(rig.engine.faults)
    right = right_answer(engine, fault)
    parts = [(topic, POINTS[topic] * share) for topic in ("cause", "way", "size")]
    (_, for_cause), (_, for_way), (_, for_size) = parts
    where = "All units" if fault.unit is None else f"Unit {fault.unit}"
    if answer is None or answer.cause != right.cause:
        said = "nothing was answered" if answer is None else f"you answered “{CAUSES[answer.cause]}”"
        lines["cause"].lose(
            for_cause,
            f"{where}: {said}. It is: {CAUSES[right.cause]}.",
            _how_to_tell(right.cause),
            explained.CAUSE[right.cause],
        )
        for topic, points in parts[1:]:
            lines[topic].lose(
                points,
                f"{where}: not the right part.",
                "Find the cause first, then which way and how far.",
                explained.ORDER,
            )
        return
    if right.amount is None:
        return
    if answer.amount is None:
        for topic, points in parts[1:]:
            lines[topic].lose(
                points,
                f"{where}: no correction was given.",
                "Say which way and how far before anything is moved.",
                explained.NO_CORRECTION,
            )
        return
    if answer.amount * right.amount <= 0.0:
        lines["way"].lose(
            for_way,
            f"{where}: {amount_words(answer)} is the wrong way. Right is {amount_words(right)}.",
            _which_way(right.cause),
            explained.WAY[right.cause],
        )
    off = abs(abs(answer.amount) - abs(right.amount))
    if off > size_limit(engine, fault):
        lines["size"].lose(
            for_size,
            f"{where}: you said {amount_words(answer)}. Right is {amount_words(right)}, and these instruments tell it to "
            f"±{plain(size_limit(engine, fault), 2)}.",
            "The change of a rod is the lift deviation times the valve ratio. Flats are six times that over the pitch."
            if fault.part in RODS
            else "Take the median over all units or the mean of both events: one reading alone carries its own scatter.",
            explained.SIZE[right.cause],
        )


def _how_to_tell(cause: str) -> str:
    """What would have told it."""
    if cause in RODS:
        return "A wrong rod moves lift and angle together along the cam. What is left after that is small: the cam part."
    if cause == CAM:
        return "A wrong cam moves the angle of both events and leaves the lifts as they are. No rod cures it."
    if cause in (POINTER, "drive"):
        return (
            "All units off by the same angle: the drive or the pointer. Equal piston drops before and after TDC prove the "
            "pointer: half of the difference of the two angles is its error."
        )
    if cause in (LINKAGE, TIMING):
        return (
            "All units off in lift on the same side: a setting that they share. Ends alone: the index. Starts as well: the "
            "timing setting."
        )
    return (
        "A reading that does not fit is read again before anything is moved. Equal lift errors at both events: the gauge's "
        "zero or its turns. Both angles early by the play: reached astern. A great angle: another TDC mark."
    )


def _which_way(cause: str) -> str:
    if cause in RODS:
        return (
            "Both rods hold their valve further open when they are longer. A longer suction rod makes the start later. A "
            "longer spill rod makes the end earlier."
        )
    return "Move against the error: what is late goes earlier."


def amount_words(answer: Named) -> str:
    """A correction in words."""
    if answer.amount is None:
        return CAUSES[answer.cause]
    more, less = WAYS[answer.cause]
    size = abs(answer.amount)
    measure = MEASURE[answer.cause]
    if measure == FLATS:
        quarters = round(4.0 * size) / 4.0
        far = (
            flats_words(quarters) if abs(size - quarters) < 0.005 else f"{plain(size, 2)} flats (about {flats_words(quarters)})"
        )
    else:
        far = f"{plain(size, 2)}{'' if measure == '°' else ' '}{measure}"
    return f"{far} {more if answer.amount > 0 else less}"


def fault_words(engine: Engine, fault: Fault) -> str:
    """The truth about one fault."""
    right = right_answer(engine, fault)
    if right.amount is None:
        return f"Unit {fault.unit}: {CAUSES[fault.part]}. The unit itself is right."
    where = "All units" if fault.unit is None else f"Unit {fault.unit}"
    return f"{where}: {CAUSES[fault.part]}. Correction: {amount_words(right)}."


def _judge_healthy(rig: Rig, answers: Mapping[str, Named], line: Line) -> None:
    faulty = {key_of(fault) for fault in rig.engine.faults}
    accused = [key for key, each in answers.items() if key not in faulty and each.cause not in (WITHIN, NOTHING)]
    for key in accused:
        where = "what all units share" if key == ALL else f"unit {key}"
        line.lose(
            5.0,
            f"You named a fault of {where}: {CAUSES[answers[key].cause]}. Nothing is wrong there.",
            "Name a cause only where it stands out of the doubt of the readings.",
            explained.ACCUSED,
        )
    for words in _moved_wrongly(rig):
        line.lose(5.0, words, "A part that is right is left alone. Put back what a trial has moved.", explained.LEFT_ALONE)


def _moved_wrongly(rig: Rig) -> Iterable[str]:
    """Healthy parts that do not stand where they were."""
    engine, moved = rig.engine, rig.moved
    wrong = {(fault.part, fault.unit) for fault in engine.faults}
    for unit in engine.settings:
        for part, event in RODS.items():
            if abs(moved.rod_mm[unit][event]) > 1e-6 and (part, unit) not in wrong:
                yield f"Unit {unit}: the {CAUSES[part]} was right and was moved."
        if abs(moved.cam_deg[unit]) > 1e-6 and (CAM, unit) not in wrong:
            yield f"Unit {unit}: the cam was right and was moved."
    for part in OF_ALL:
        if abs(moved.common[part]) > 1e-6 and (part, None) not in wrong:
            yield f"The {CAUSES[part]} was right and was moved."


def true_deviation_deg(rig: Rig, unit: int, event: str) -> float:
    """How late an event truly is [deg], whatever the pointer shows."""
    return rig.event_deg(unit, event) - rig.engine.settings[unit].angle_deg[event]


def _judge_proof(rig: Rig, line: Line) -> None:
    engine = rig.engine
    half = 0.5 * POINTS["proof"]
    off = [
        unit
        for unit in engine.settings
        if any(abs(true_deviation_deg(rig, unit, event)) > engine.tolerance_deg for event in EVENTS)
    ]
    pointer_off = abs(rig.pointer_deg) > 2.0 * doubt_of_angle(engine) + 0.05
    if off or pointer_off:
        what = f"{units_words(off)} still outside the tolerance" if off else "the flywheel pointer still shows wrong"
        line.lose(
            half,
            f"As left: {what}.",
            "Carry the correction out, read again, and go on until the unit is within as left.",
            explained.PROOF,
        )
    missing = _unproved(rig)
    if missing:
        line.lose(
            half,
            f"Not read as left, ahead, at both events: {listed(missing)}.",
            "A correction counts once both events are read again, ahead, after the lock nut is tight.",
            explained.PROOF,
        )


def _unproved(rig: Rig) -> list[str]:
    read = {
        (each.unit, each.event, each.stage)
        for each in entries_that_count(rig)
        if each.reached == AHEAD and not each.other_watch
    }
    as_left = [unit for unit in rig.engine.settings if all((unit, event, AS_LEFT) in read for event in EVENTS)]
    found = []
    for fault in rig.engine.faults:
        if fault.unit is None:
            if len(as_left) < ENOUGH_UNITS:
                found.append(f"{ENOUGH_UNITS} units")
        elif fault.part in MISTAKES:
            if not any(all((fault.unit, event, stage) in read for event in EVENTS) for stage in (AS_FOUND, AS_LEFT)):
                found.append(f"unit {fault.unit} (read again)")
        elif fault.unit not in as_left:
            found.append(f"unit {fault.unit}")
    return found


def _judge_cut_out(rig: Rig, line: Line) -> None:
    engine = rig.engine
    half = 0.5 * POINTS["cut_out"]
    low = [unit for unit in engine.settings if rig.opening_mm(unit) < engine.opening_min_mm]
    if low:
        line.lose(
            half,
            f"As left the spill valve of {units_words(low)} opens less than {plain(engine.opening_min_mm, 1)} mm at index 0.",
            "Below the limit a unit might not cut out. This comes before timing.",
            explained.CUT_OUT,
        )
    read = {each.unit for each in entries_that_count(rig) if each.event == ZERO_INDEX and each.stage == AS_LEFT}
    need = [f"unit {fault.unit}" for fault in engine.faults if fault.part in RODS and fault.unit not in read]
    if any(fault.part in (LINKAGE, TIMING) for fault in engine.faults) and len(read) < ENOUGH_UNITS:
        need.append(f"{ENOUGH_UNITS} units")
    if need:
        line.lose(
            half,
            f"The zero-index opening was not read as left: {listed(need)}.",
            "A rod or the index moves the opening at index 0. Read it as left: index lever to 0, suction valve just closing.",
            explained.CUT_OUT,
        )


def par_deg(engine: Engine) -> float:
    """Degrees that the work may take without a loss of points."""
    return PAR_A_UNIT_DEG * engine.units + PAR_AGAIN_DEG


def _judge_turning(rig: Rig, line: Line) -> None:
    over = rig.tally.turned_deg - par_deg(rig.engine)
    if over > 0.0:
        line.lose(
            float(min(POINTS["turning"], 1 + over // 900.0)),
            f"You turned {plain(rig.tally.turned_deg, 0)}°. {plain(par_deg(rig.engine), 0)}° are enough.",
            "Put the gauges on near the cam's peak. Then base circle, start and end follow in one turn ahead.",
            explained.TURNING,
        )


def _times(count: int) -> str:
    return "Once" if count == 1 else f"{count} times"


def _seen(rig: Rig) -> Iterable[str]:
    """What the work looked like, without points: habits to keep or to lose."""
    tally = rig.tally
    yield (
        f"You turned {plain(tally.turned_deg, 0)}° with {tally.reversals} "
        f"{'reversal' if tally.reversals == 1 else 'reversals'} and {tally.stops} stops."
    )
    own = [each for each in rig.notebook if not each.other_watch and not each.struck]
    astern = sum(each.reached == ASTERN and each.event in EVENTS for each in own)
    if astern:
        yield (
            f"{_readings(astern)} reached astern. The play is {plain(rig.engine.play_deg, 2)}°: astern the event shows that "
            "much too early. A reading counts only when it is reached ahead."
        )
    loose = sum(each.event != ZERO_INDEX and not each.zeroed for each in own)
    if loose:
        yield (
            f"{_readings(loose)} taken with a plunger gauge that was not zeroed on the base circle. All lifts of that "
            "unit are off by the same amount, and no picture of one event shows it."
        )
    marks = sum(each.event in EVENTS and each.mark != each.unit for each in own)
    if marks:
        yield f"{_readings(marks)} counted from the TDC mark of another unit. Its angles are off by whole firing intervals."
    single = {(each.unit, each.event) for each in own if each.event in EVENTS}
    if single and len(single) == sum(each.event in EVENTS for each in own):
        yield "Every event was read once. Repeats show how well your own hand repeats."
    if tally.asked:
        yield f"You asked for the findings {'once' if tally.asked == 1 else f'{tally.asked} times'}."
    else:
        yield "You did not ask for the findings."


def _readings(count: int) -> str:
    return "1 reading was" if count == 1 else f"{count} readings were"
