"""The trial flat: what the gauges should show, what they showed, and the correction with what that has calibrated."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from calc.compute.answer import Answer, Calculation, Known, Notice, beside, note, warning
from calc.compute.from_job import gauges_of, like, outcome
from calc.compute.limits import missing, positive, problem
from calc.findings import Findings
from calc.job import steps
from calc.job.describe import choice, flag, number, record, value_at
from calc.job.model import SPILL_OPENING, SUCTION_CLOSING, Job, Node
from calc.job.problems import Problem
from calc.job.words import flats_words, plain, short, signed
from calc.judge.unit import RATIO_PATH
from calc.judge.what_if import latest_units
from calc.measure.gum import rectangular
from calc.pump import correction, trial
from calc.pump.doubt import gauge_difference
from calc.pump.what_if import rod_from_flats
from calc.working import Line

LONGER, SHORTER = "longer", "shorter"
RODS = {SUCTION_CLOSING: "start: suction push rod", SPILL_OPENING: "end: spill push rod"}
COVERAGE, QUOTIENT = "JCGM 100:2008, G.3", "JCGM 100:2008, 5.1.6"
# Beyond this factor an amount is a slip of reading and no ratio: this project's own choice. A wrong thread makes it 2.
_FAR = 3.0
VERDICTS = {
    trial.AS_PREDICTED: "as predicted",
    trial.OTHER_WAY: "the other way",
    trial.OTHER_AMOUNT: "another amount",
    trial.NOT_MOVED: "not moved",
    trial.TOO_SMALL: "too small to tell",
}


@record
class TrialInput(Node):
    """A trial: which rod, how it was turned, and what the gauges showed before and after."""

    unit: int | None = like("readings.unit", required=False, help="With it, this unit's readings are taken over.")
    event: str = choice("push rod", RODS, required=True)
    direction: str = choice("turned so that the rod gets", {LONGER: "longer", SHORTER: "shorter"}, required=True)
    flats: float = positive("turned by", 60, unit="flats", required=True)
    flats_within: float | None = number(
        "turned to within, ±",
        unit="flats",
        low=0,
        high=1,
        help="How exactly you turned it. Without it the flats count as exact.",
    )
    pitch_mm: float = like("engine.rod_pitch_mm", required=True)
    thread: str = like("engine.rod_thread", required=True)
    lengthening_opens: bool = like("engine.rod_lengthening_opens", required=True)
    ratio: float = positive(
        "valve ratio of this event",
        10,
        required=True,
        serves=steps.SETTINGS,
        help="Valve movement per plunger movement.",
        find="The engine's manual, or measured at two points.",
    )
    valve_step_mm: float = like("instruments.valve_gauge.step_mm", label="valve gauge, step", required=True)
    valve_limit_mm: float = like("instruments.valve_gauge.error_limit_mm", label="valve gauge, error limit, ±", required=True)
    valve_before_mm: float | None = number(
        "valve gauge before", unit="mm", low=-50, high=50, help="Plunger standing still. At contact: the seat-contact reading."
    )
    valve_after_mm: float | None = number("valve gauge after", unit="mm", low=-50, high=50, help="Lock nut tight.")
    plunger_step_mm: float | None = like("instruments.plunger_gauge.step_mm", label="plunger gauge, step", required=False)
    plunger_limit_mm: float | None = like(
        "instruments.plunger_gauge.error_limit_mm", label="plunger gauge, error limit, ±", required=False
    )
    lift_before_mm: float | None = number("plunger lift at contact before", unit="mm", low=0, high=1000)
    lift_after_mm: float | None = number(
        "plunger lift at contact after", unit="mm", low=0, high=1000, help="Turn back beyond contact, then ahead to it again."
    )
    lift_error_mm: float | None = number(
        "lift deviation to correct", unit="mm", low=-1000, high=1000, help="As read before the trial; plus is late."
    )
    seat_contact_mm: float | None = like("reference.seat_contact_mm", required=False)


@record
class TrialResult:
    """What a trial should show, what it showed, and the correction by it."""

    rod_change_mm: float = outcome("rod length turned, plus lengthens", unit="mm", required=True)
    expected_valve_mm: float | None = outcome("valve gauge expected after it", unit="mm")
    reference_valve_mm: float | None = outcome("valve gauge at the reference lift before it", unit="mm")
    expected_reference_valve_mm: float | None = outcome("valve gauge at the reference lift expected after it", unit="mm")
    expected_lift_mm: float | None = outcome("plunger lift at contact expected after it", unit="mm")
    valve_moved_mm: float | None = outcome("valve gauge has moved by", unit="mm")
    valve_verdict: str | None = choice("valve gauge against prediction", VERDICTS, omit=True)
    effect: float | None = outcome("effect of the rod: valve movement per rod length", source=QUOTIENT)
    u_effect: float | None = outcome("standard uncertainty of it")
    lift_moved_mm: float | None = outcome("contact has moved by, in plunger lift", unit="mm")
    lift_verdict: str | None = choice("contact against prediction", VERDICTS, omit=True)
    rod_per_lift: float | None = outcome("rod length per plunger lift, measured", source=QUOTIENT)
    u_rod_per_lift: float | None = outcome("standard uncertainty of it")
    used_rod_per_lift: float | None = outcome("rod length per plunger lift, used for the correction")
    used_lengthening_opens: bool | None = flag("a longer push rod holds its valve further open, by this trial", omit=True)
    change_mm: float | None = outcome("whole change of the rod, plus lengthens", unit="mm")
    flats: float | None = outcome("whole change in flats")
    flats_to_go: float | None = outcome("flats still to turn, plus lengthens")
    hand_flats_to_go: float | None = outcome(
        "flats still to turn, as a hand can", help="From where the trial has left the rod."
    )


def _rules(known: Known) -> Iterator[Problem]:
    before = known.get("valve_before_mm")
    if before is not None and before <= 0.0:
        yield problem(
            "valve_before_mm",
            before,
            "Valve gauge before: the valve sits at 0 or below, so its distance is unknown. Turn until the gauge shows "
            "more than the trial will take away, then make the trial.",
        )
    if known.has("valve_after_mm") and not known.has("valve_before_mm"):
        yield missing("valve_before_mm", "Valve gauge before: missing, so the reading after it says nothing. Enter it.")
    if known.has("lift_after_mm"):
        for name, label in (
            ("lift_before_mm", "Plunger lift at contact before"),
            ("plunger_step_mm", "Plunger gauge, step"),
            ("plunger_limit_mm", "Plunger gauge, error limit"),
        ):
            if not known.has(name):
                yield missing(name, f"{label}: missing, so the lift after the trial cannot be compared. Enter it.")


def _trial(given: TrialInput) -> Answer:
    """Predict a trial, compare it with what was read, and correct by it."""
    return _Trial(given).answer()


class _Trial:
    def __init__(self, given: TrialInput) -> None:
        self.given = given
        self.spill = given.event == SPILL_OPENING
        self.pitch = correction.effective_pitch(given.pitch_mm, given.thread == "left_right")
        self.flats = given.flats if given.direction == LONGER else -given.flats
        self.rod = rod_from_flats(self.flats, self.pitch)
        self.u_rod = rod_from_flats(rectangular(given.flats_within or 0.0), self.pitch)
        self.u_valve = gauge_difference(given.valve_step_mm, given.valve_limit_mm)
        self.said: list[Notice] = []

    def answer(self) -> Answer:
        given = self.given
        before = given.valve_before_mm
        expected = None if before is None else trial.gauge_after(before, self.rod, given.lengthening_opens)
        lift_change = correction.lift_from_rod(self.rod, given.ratio, self.spill, given.lengthening_opens)
        expected_lift = None if given.lift_before_mm is None else given.lift_before_mm + lift_change
        valve, effect, u_effect = self._valve(before, given.valve_after_mm)
        lift, measured, u_measured = self._lift(lift_change)
        self._say_expected(before, expected, expected_lift)
        there, then = self._at_reference_lift()
        opens, used = self._calibrated(valve, effect, lift, measured)
        change, flats, to_go, hand = self._correction(opens, used, valve, lift)
        self._say_limits(valve, lift)
        result = TrialResult(
            rod_change_mm=self.rod,
            expected_valve_mm=expected,
            reference_valve_mm=there,
            expected_reference_valve_mm=then,
            expected_lift_mm=expected_lift,
            valve_moved_mm=None if valve is None else valve.moved_mm,
            valve_verdict=None if valve is None else valve.verdict,
            effect=effect,
            u_effect=u_effect,
            lift_moved_mm=None if lift is None else lift.moved_mm,
            lift_verdict=None if lift is None else lift.verdict,
            rod_per_lift=measured,
            u_rod_per_lift=u_measured,
            used_rod_per_lift=used,
            used_lengthening_opens=opens,
            change_mm=change,
            flats=flats,
            flats_to_go=to_go,
            hand_flats_to_go=hand,
        )
        return Answer(result, tuple(self.said), tuple(self._working(result, valve, lift)))

    def _valve(self, before: float | None, after: float | None) -> tuple[trial.Compared | None, float | None, float | None]:
        """The trial with the plunger standing still."""
        if before is None or after is None:
            return None, None, None
        opens = self.given.lengthening_opens
        predicted = self.rod if opens else -self.rod
        if after <= 0.0:
            closes = predicted < 0.0
            way = "That is the right way" if closes else "That is the other way"
            self.said.append(
                beside(
                    "valve_after_mm",
                    f"The valve has come to sit. {way}, but the gauge tells no amount. Turn until the gauge shows more than "
                    f"{plain(abs(self.rod), 2)} mm, then make the trial again.",
                )
            )
            if closes:
                return None, None, None
            return trial.Compared(predicted, after - before, 0.0, trial.OTHER_WAY), None, None
        compared = trial.compare(after - before, self.u_valve, predicted, self.u_rod)
        if compared.verdict in (trial.TOO_SMALL, trial.NOT_MOVED):
            return compared, None, None
        effect = trial.rod_effect(self.rod, after - before, opens)
        return compared, effect, trial.quotient_doubt(effect, after - before, self.u_valve, self.rod, self.u_rod)

    def _lift(self, predicted: float) -> tuple[trial.Compared | None, float | None, float | None]:
        """The trial with the event read at contact again."""
        given = self.given
        if given.lift_before_mm is None or given.lift_after_mm is None:
            return None, None, None
        assert given.plunger_step_mm is not None
        assert given.plunger_limit_mm is not None
        u_plunger = gauge_difference(given.plunger_step_mm, given.plunger_limit_mm)
        u = trial.contact_change_doubt(u_plunger, self.u_valve, given.ratio)
        moved = given.lift_after_mm - given.lift_before_mm
        compared = trial.compare(moved, u, predicted, self.u_rod / given.ratio)
        if compared.verdict in (trial.TOO_SMALL, trial.NOT_MOVED):
            return compared, None, None
        measured = trial.rod_per_lift(self.rod, moved)
        return compared, measured, trial.quotient_doubt(measured, self.rod, self.u_rod, moved, u)

    def _say_expected(self, before: float | None, expected: float | None, expected_lift: float | None) -> None:
        verb = "longer" if self.rod > 0.0 else "shorter"
        quarters = (self.flats * 4.0).is_integer()
        turned = flats_words(self.flats) if quarters else f"{plain(abs(self.flats), 2)} flats"
        words = [f"{turned} {verb} is {plain(abs(self.rod), 3)} mm of rod."]
        if before is not None and expected is not None:
            words.append(
                f"The valve gauge should go from {plain(before, 3)} to {plain(expected, 3)} mm, plunger standing still."
            )
        elif before is not None:
            words.append(
                "The valve should come to sit: the gauge goes to 0 and tells no amount. Make the trial where the gauge shows "
                f"more than {plain(abs(self.rod), 2)} mm, or turn the other way."
            )
        if expected_lift is not None:
            words.append(f"Contact should then be at {plain(expected_lift, 2)} mm of plunger lift.")
        self.said.insert(0, note("flats", " ".join(words)))

    def _at_reference_lift(self) -> tuple[float | None, float | None]:
        """The same trial with the plunger at the reference lift; said only before it is made."""
        given = self.given
        if given.lift_error_mm is None or given.seat_contact_mm is None:
            return None, None
        there = trial.gauge_at_reference_lift(given.seat_contact_mm, given.lift_error_mm, given.ratio, self.spill)
        then = None if there is None else trial.gauge_after(there, self.rod, given.lengthening_opens)
        if given.valve_after_mm is None and given.lift_after_mm is None and there is not None and then is not None:
            words = f"At the reference lift the gauge should go from {plain(there, 3)} to {plain(then, 3)} mm."
            self.said.insert(1, note("lift_error_mm", words))
        return there, then

    def _calibrated(
        self, valve: trial.Compared | None, effect: float | None, lift: trial.Compared | None, measured: float | None
    ) -> tuple[bool | None, float | None]:
        """Direction and rod length per lift by which to correct; None where the trial has cast doubt on them."""
        given = self.given
        verdicts = {each.verdict for each in (valve, lift) if each is not None}
        if trial.NOT_MOVED in verdicts:
            self.said.append(
                note(
                    _after(valve),
                    "The gauge has not moved. Look at lock nut, rod ends and the gauge's foot, then make the trial again.",
                )
            )
            return None, None
        ways = {each.verdict == trial.OTHER_WAY for each in (valve, lift) if each and each.verdict != trial.TOO_SMALL}
        if len(ways) > 1:
            words = "Valve gauge and plunger gauge tell opposite directions. Turn nothing more. Read both again."
            self.said.append(note("lift_after_mm", words))
            return None, None
        opens = given.lengthening_opens
        if ways == {True}:
            opens = not opens
            self.said.append(
                warning(
                    "lengthening_opens",
                    "It moved the other way. Turned on like that, the timing gets worse and the unit can lose its cut-out. "
                    "Stop. The entry “a longer push rod holds its valve further open” is wrong: set it to "
                    f"“{'yes' if opens else 'no'}” before you go on.",
                )
            )
        used = given.ratio
        if lift is not None and measured is not None and _off(lift):
            used = measured
            self.said.append(
                note(
                    "lift_after_mm",
                    f"Contact moved {plain(abs(lift.moved_mm), 3)} mm instead of {plain(abs(lift.predicted_mm), 3)} mm "
                    f"(±{plain(lift.half_width_mm, 3)} mm). So 1 mm of plunger lift needs {plain(measured, 3)} mm of rod, not "
                    f"{plain(given.ratio, 3)} mm.",
                )
            )
        if valve is not None and effect is not None and _off(valve):
            self._say_effect(valve, effect)
            if lift is None or measured is None:
                used = given.ratio / abs(effect)
        if not 1.0 / _FAR < used / given.ratio < _FAR:
            words = "No thread and no ratio explains that much. Read before and after again, then judge."
            self.said.append(note(_after(valve), words))
            return None, None
        if verdicts == {trial.AS_PREDICTED}:
            words = "The trial went as predicted, so direction and amount are proved. Go on."
            self.said.append(note(_after(valve), words))
        if verdicts and verdicts <= {trial.TOO_SMALL}:
            words = "So small a move is lost in what the gauge can tell. Make the trial with more of a flat."
            self.said.append(beside("flats", words))
            return None, None
        return (opens if verdicts else None), used

    def _say_effect(self, valve: trial.Compared, effect: float) -> None:
        words = [
            f"The valve gauge moved {plain(abs(valve.moved_mm), 3)} mm instead of {plain(abs(valve.predicted_mm), 3)} mm "
            f"(±{plain(valve.half_width_mm, 3)} mm): 1 mm of rod, as reckoned, moves the valve {plain(abs(effect), 2)} mm."
        ]
        doubled = self.given.thread == "single"
        wanted = 2.0 if doubled else 0.5
        other = trial.compare(
            valve.moved_mm, self.u_valve, wanted * (valve.moved_mm / abs(valve.moved_mm)) * abs(self.rod), self.u_rod
        )
        if other.verdict == trial.AS_PREDICTED:
            words.append(
                f"That is {'twice' if doubled else 'half'} as much: look whether the rod has "
                f"{'a left-and-right thread' if doubled else 'one thread only'}."
            )
        else:
            words.append("Check the pitch, count the flats again, and look whether the gauge stands in line with the valve.")
        self.said.append(note("valve_after_mm", " ".join(words)))

    def _correction(
        self, opens: bool | None, used: float | None, valve: trial.Compared | None, lift: trial.Compared | None
    ) -> tuple[float | None, float | None, float | None, float | None]:
        """The whole change, from before the trial, and what is still to go."""
        error = self.given.lift_error_mm
        if error is None or used is None:
            return None, None, None, None
        sense = self.given.lengthening_opens if opens is None else opens
        change_for = correction.spill_rod_change if self.spill else correction.suction_rod_change
        change = change_for(error, used, sense)
        flats = correction.flats(correction.turns(change, self.pitch))
        if valve is None and lift is None:
            return change, flats, None, None  # Nothing has been turned yet.
        to_go = flats - self.flats
        hand = correction.flats_by_hand(to_go)
        verb = "lengthen" if hand > 0 else "shorten"
        self.said.append(
            note(
                "lift_error_mm",
                f"From where the trial has left it, {verb} the rod by {flats_words(hand)} (exactly {signed(to_go, 2)})."
                if hand
                else "Nothing more is to be turned: what is left is less than a quarter of a flat.",
            )
        )
        return change, flats, to_go, hand

    def _say_limits(self, valve: trial.Compared | None, lift: trial.Compared | None) -> None:
        if valve is not None and lift is None:
            self.said.append(
                beside(
                    "ratio",
                    "With the plunger standing still the gauge proves direction and effect of the rod. It cannot tell the "
                    "valve ratio: for that, read contact again, or measure the ratio at two points.",
                )
            )
        if valve is not None and _off(valve) and lift is None:
            words = "The valve ratio of the settings stays what it is: it reads the valve's gauge."
            self.said.append(beside("ratio", words))

    def _working(self, found: TrialResult, valve: trial.Compared | None, lift: trial.Compared | None) -> Iterator[Line]:
        """Every number of the result by hand."""
        given = self.given
        rod, opens = signed(self.rod, 4), "+" if given.lengthening_opens else "−"
        yield Line(
            "rod length turned r",
            "pitch / 6 · flats" if self.pitch == given.pitch_mm else "2 · pitch / 6 · flats",
            f"{short(given.pitch_mm)} mm, {signed(self.flats, 2)} flats",
            f"{rod} mm",
        )
        if found.expected_valve_mm is not None and given.valve_before_mm is not None:
            yield Line(
                "valve gauge expected",
                f"v {opens} r",
                f"{plain(given.valve_before_mm, 4)} {opens} ({rod})",
                f"{plain(found.expected_valve_mm, 4)} mm",
            )
        if found.expected_reference_valve_mm is not None and found.reference_valve_mm is not None:
            yield Line(
                "valve gauge at the reference lift",
                f"v_ref = s {'−' if self.spill else '+'} i D; then v_ref {opens} r",
                f"s {short(given.seat_contact_mm or 0.0)}, i {short(given.ratio)}, D {signed(given.lift_error_mm or 0.0, 4)}",
                f"{plain(found.reference_valve_mm, 4)}, then {plain(found.expected_reference_valve_mm, 4)} mm",
            )
        later = "+" if given.lengthening_opens != self.spill else "−"
        if found.expected_lift_mm is not None and given.lift_before_mm is not None:
            yield Line(
                "plunger lift at contact expected",
                f"H {later} r / i",
                f"{plain(given.lift_before_mm, 4)} {later} ({rod}) / {short(given.ratio)}",
                f"{plain(found.expected_lift_mm, 4)} mm",
            )
        for gauge, compared in (("valve gauge", valve), ("contact", lift)):
            if compared is not None and compared.half_width_mm:
                yield Line(
                    f"{gauge}: range of moved − predicted",
                    "1.96 √(u²(moved) + u²(predicted))",
                    f"moved {signed(compared.moved_mm, 4)}, predicted {signed(compared.predicted_mm, 4)} mm",
                    f"±{plain(compared.half_width_mm, 4)} mm",
                    COVERAGE,
                )
        if valve is not None and found.effect is not None:
            yield Line(
                "effect of the rod e",
                f"{'' if given.lengthening_opens else '− '}(v′ − v) / r",
                f"{signed(valve.moved_mm, 4)} / ({rod})",
                f"{plain(found.effect, 4)} (u {plain(found.u_effect or 0.0, 4)})",
                QUOTIENT,
            )
        if lift is not None and found.rod_per_lift is not None:
            yield Line(
                "rod length per plunger lift",
                "|r / (H′ − H)|",
                f"{rod} / ({signed(lift.moved_mm, 4)})",
                f"{plain(found.rod_per_lift, 4)} (u {plain(found.u_rod_per_lift or 0.0, 4)})",
                QUOTIENT,
            )
        if found.change_mm is not None and found.flats is not None and found.used_rod_per_lift is not None:
            used, error = found.used_rod_per_lift, given.lift_error_mm or 0.0
            yield Line(
                "whole change of the rod",
                f"{'−' if (error > 0.0) != (found.change_mm > 0.0) else ''}(rod length per plunger lift) · D",
                f"{plain(used, 4)} · ({signed(error, 4)})",
                f"{signed(found.change_mm, 4)} mm",
            )
            yield Line("in flats", "6 · change / pitch", "", signed(found.flats, 3))
            if found.flats_to_go is not None:
                yield Line(
                    "flats still to turn",
                    "whole − turned",
                    f"{signed(found.flats, 3)} − ({signed(self.flats, 3)})",
                    signed(found.flats_to_go, 3),
                )


def _after(valve: trial.Compared | None) -> str:
    """The input that tells what happened."""
    return "lift_after_mm" if valve is None else "valve_after_mm"


def _off(compared: trial.Compared) -> bool:
    """Whether the amount, whichever way, is not the predicted one."""
    amount = abs(abs(compared.moved_mm) - abs(compared.predicted_mm))
    return compared.verdict in (trial.OTHER_AMOUNT, trial.OTHER_WAY) and amount > compared.half_width_mm


def _from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
    """Thread, ratio and gauges of the job; lift, gauge and deviation of the unit's latest reading at that event."""
    known = {
        **gauges_of(job, "valve", "plunger"),
        "pitch_mm": job.engine.rod_pitch_mm,
        "thread": job.engine.rod_thread,
        "lengthening_opens": job.engine.rod_lengthening_opens,
        "seat_contact_mm": job.reference.seat_contact_mm,
    }
    if typed.get("event") in RATIO_PATH:
        known["ratio"] = value_at(job, RATIO_PATH[typed["event"]])
    unit = latest_units(findings).get(typed.get("unit") or 0)
    event = typed.get("event")
    if unit is not None and unit.judged is not None and event in unit.judged.events:
        judged = unit.judged.events[event]
        known["lift_before_mm"] = round(judged.finding.lift_mm, 4)
        known["lift_error_mm"] = round(judged.lift_error_mm, 4)
        known["valve_before_mm"] = job.reference.seat_contact_mm if judged.at_contact else round(judged.read_lift_mm, 4)
    return known


TRIAL = Calculation(
    name="trial",
    title="The trial flat",
    what="what the gauges should show after a trial flat, and what it means if they do not",
    say="Turn one flat as a trial. This says what the gauges should show, and what it means if they show something else.",
    given=TrialInput,
    result=TrialResult,
    compute=_trial,
    rules=_rules,
    example={
        "event": SUCTION_CLOSING,
        "direction": LONGER,
        "flats": 1,
        "pitch_mm": 1.5,
        "thread": "single",
        "lengthening_opens": True,
        "ratio": 0.8,
        "valve_step_mm": 0.01,
        "valve_limit_mm": 0.004,
        "valve_before_mm": 0.1,
        "valve_after_mm": 0.6,
        "lift_error_mm": -0.31,
        "seat_contact_mm": 0.03,
    },
    source=f"geometry of the push rod; {QUOTIENT} and G.3",
    page="calculate/push-rod.html#trial",
    step=steps.CORRECTION,
    from_job=_from_job,
    beside_job=("unit",),
)
