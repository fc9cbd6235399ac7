"""A cadet that plays by what it can see alone: the record, the scale, the gauges, its notebook, and its findings.

It looks at nothing that the engine hides: `Seen` passes on what a person at the flywheel sees, and no more.
"""

from __future__ import annotations

from statistics import median
from typing import Any

from calc.findings import CamCorrection, Findings, UnitFindings
from calc.job.read import job_from_tree
from calc.judge.assess import assess
from calc.teach.practice.engine import EVENTS, SPILL, SUCTION
from calc.teach.practice.job import job_tree
from calc.teach.practice.rig import PLUNGER, Entry, Refused, Rig

Texts = dict[str, dict[str, str]]


class Seen:
    """What a person sees of a rig, and can do."""

    def __init__(self, rig: Rig) -> None:
        self._rig = rig
        self.actions: list[list[Any]] = []
        self.record = job_tree(rig)

    def do(self, *action: Any) -> str:
        said = self._rig.do(action)
        self.actions.append(list(action))
        return said

    def shows(self, gauge: str) -> float:
        value = self._rig.shows(gauge)
        assert value is not None
        return value

    @property
    def came(self) -> bool:
        return self._rig.came

    @property
    def notebook(self) -> list[Entry]:
        return list(self._rig.notebook)

    def findings(self) -> Findings:
        return assess(job_from_tree(job_tree(self._rig)))

    def tdc_mean(self) -> float:
        """How much too much the pointer shows, by the newest TDC check."""
        check = self._rig.tdc_checks[-1]
        return sum(a + b for a, b in zip(check.before_deg, check.after_deg, strict=True)) / (2.0 * len(check.before_deg))


class Cadet:
    """Plays one engine to its end."""

    def __init__(self, rig: Rig) -> None:
        self.seen = Seen(rig)
        self.engine: dict[str, Any] = self.seen.record["engine"]
        self.reference: dict[str, Any] = self.seen.record["reference"]
        self.units = {each["unit"]: each for each in self.reference["units"]}
        self.answers: Texts = {}
        # What was named by `assess` on the cadet's own readings, and what the sheet's mistakes were told by.
        self.named: set[tuple[int | None, str]] = set()
        self.by_suspicion = False

    # ------------------------------------------------------------ the hands

    def to(self, unit: int, angle_deg: float) -> None:
        self.seen.do("clear")
        self.seen.do("to", unit, angle_deg)

    def set_up(self, unit: int) -> None:
        self.seen.do("mount", unit)
        self.seen.do("mark", unit)
        self.to(unit, self.engine["cam_peak_deg"])
        self.seen.do("zero", SUCTION)
        self.to(unit, self.engine["base_circle_from_deg"] + 20.0)
        self.seen.do("zero", PLUNGER)
        self.seen.do("zero", SPILL)

    def near(self, unit: int, event: str) -> None:
        """A few degrees before an event, reached ahead, wherever a fault has put it."""
        angle = self.units[unit]["beginning_deg" if event == SUCTION else "end_deg"]
        seat = self.reference["seat_contact_mm"]
        self.to(unit, angle - 4.0)
        for _ in range(4):
            is_before = self.seen.shows(event) > seat + 0.02 if event == SUCTION else self.seen.shows(event) < seat - 0.005
            if is_before:
                return
            self.seen.do("turn", -14.0)
            self.seen.do("turn", 8.0)

    def contact(self, unit: int, event: str) -> None:
        self.near(unit, event)
        for _ in range(4):
            self.seen.do("creep", event)
            if self.seen.came:
                return
        raise AssertionError(f"unit {unit} never came to its {event}")

    def read(self, unit: int, repeats: int = 1) -> None:
        self.set_up(unit)
        for event in EVENTS:
            for again in range(repeats):
                if again:
                    self.seen.do("turn", -9.0)
                self.contact(unit, event)
                self.seen.do("read", event)

    def read_opening(self, unit: int) -> float:
        self.seen.do("index", 0)
        self.contact(unit, SUCTION)
        self.seen.do("read", "zero_index")
        self.seen.do("index", self.reference["fuel_index"])
        opening = self.seen.notebook[-1].valve_mm
        assert opening is not None
        return opening

    # ------------------------------------------------------------ the head

    def play(self) -> Texts:
        """Find what is wrong, correct it, prove it; gives the answers."""
        sheet = self.seen.notebook
        if sheet:
            self._doubt_the_sheet(sheet)
        else:
            for unit in self.units:
                self.read(unit)
        found = self._read_again_what_disagrees()
        as_found = [unit for unit in found.units if unit.stage == "as_found"]
        for unit in as_found:
            self.answers.setdefault(str(unit.unit), {"cause": "within", "way": "", "amount": ""})
            for cause in unit.causes:
                self.named.add((None if cause.code.startswith("common") else unit.unit, cause.code))
        self.answers["all"] = {"cause": "nothing", "way": "", "amount": ""}
        if self._share_a_setting(as_found):
            self._clear_setting(found)
        elif found.common_part_deg.as_found is not None and found.common_part_deg.as_found.significant:
            self._clear_shift(found)
        else:
            self._correct_units(found)
        return self.answers

    def _read_again_what_disagrees(self) -> Findings:
        """As the findings ask: correct nothing, read both events again."""
        found = self.seen.findings()
        for _ in range(3):
            disagree = [unit.unit for unit in found.units if any(each.code == "readings_disagree" for each in unit.causes)]
            if not disagree:
                break
            for unit in disagree:
                self.read(unit)
            found = self.seen.findings()
        return found

    def _answer(self, key: str, cause: str, amount: float, digits: int = 2) -> None:
        self.answers[key] = {"cause": cause, "way": "+" if amount > 0 else "-", "amount": f"{abs(amount):.{digits}f}"}

    def _share_a_setting(self, as_found: list[UnitFindings]) -> bool:
        """Named as a cause, or as a suspicion where one unit lies a little off the others. Rods are then left alone."""
        if self.named == {(None, "common_setting")}:
            return True
        if not all({each.code for each in unit.suspicions} & {"index_off", "timing_offset"} for unit in as_found):
            return (None, "common_setting") in self.named
        self.named = {(None, "common_setting")}
        self.by_suspicion = True
        return True

    def _correct_units(self, found: Findings) -> None:
        for unit in found.units:
            if unit.verdict == "within":
                continue
            for each in unit.corrections:
                if isinstance(each, CamCorrection):
                    self._answer(str(unit.unit), "cam", each.change_deg)
                    self.seen.do("cam", unit.unit, round(each.change_deg, 2))
                else:
                    self._answer(str(unit.unit), each.part, each.hand_flats or 0.0)
                    self.seen.do("rod", unit.unit, each.part, each.hand_flats)
            if unit.corrections:
                self.read(unit.unit)
                self.read_opening(unit.unit)

    def _clear_shift(self, found: Findings) -> None:
        assert found.common_part_deg.as_found is not None
        self.seen.do("clear")
        self.seen.do("tdc", 1)
        shift, shown = found.common_part_deg.as_found.value, self.seen.tdc_mean()
        part = "pointer" if abs(shown) > 0.5 * abs(shift) else "drive"
        self._answer("all", part, -shift)
        self.seen.do("common", part, round(-shift, 2))
        for unit in list(self.units)[:2]:
            self.read(unit)

    def _clear_setting(self, found: Findings) -> None:
        sizes: dict[str, float] = {}
        for event, side in ((SUCTION, "beginning"), (SPILL, "end")):
            found_mm = [getattr(unit, side).lift_deviation_mm for unit in found.units]
            if min(map(abs, found_mm)) > 0.1:
                sizes[event] = median(found_mm)
        part = "timing" if SUCTION in sizes else "linkage"
        if part == "timing":
            amount = -sizes[SUCTION]
        else:
            # How far the lift moves with one step follows from the opening at index 0.
            unit = self.seen.notebook[-1].unit
            opening = self.read_opening(unit)
            judged = next(each for each in found.units if each.unit == unit)
            assert judged.effective_stroke_mm is not None
            beyond = (opening - self.reference["seat_contact_mm"]) / self.engine["valve_ratio_spill"]
            amount = -sizes[SPILL] * self.reference["fuel_index"] / (judged.effective_stroke_mm.value + beyond)
        self._answer("all", part, amount)
        self.seen.do("common", part, round(amount, 2))
        for unit in list(self.units)[:2]:
            self.read(unit)
            self.read_opening(unit)

    def _doubt_the_sheet(self, sheet: list[Entry]) -> None:
        """Read again whatever does not look right, and compare."""
        found = self.seen.findings()
        odd = [unit.unit for unit in found.units if unit.causes or unit.suspicions or unit.verdict == "outside"]
        for unit in odd:
            self.read(unit)
            own = {each.event: each for each in self.seen.notebook if each.unit == unit and not each.other_watch}
            theirs = {each.event: each for each in sheet if each.unit == unit}
            lifts = [(theirs[event].plunger_mm or 0.0) - (own[event].plunger_mm or 0.0) for event in EVENTS]
            angles = [(theirs[event].angle_deg or 0.0) - (own[event].angle_deg or 0.0) for event in EVENTS]
            mistake = ""
            if min(map(abs, lifts)) > 0.1:
                turns = lifts[1] / self.seen.record["instruments"]["plunger_gauge"]["mm_per_turn"]
                mistake = "dial_turn" if abs(turns - round(turns)) < 0.1 else "gauge_zero"
            elif min(map(abs, angles)) > 20.0:
                mistake = "wrong_tdc_mark"
            elif max(angles) < -0.3:
                mistake = "astern_play"
            if mistake:
                self.answers[str(unit)] = {"cause": mistake, "way": "", "amount": ""}


def solve(rig: Rig) -> Cadet:
    """A cadet that has played this engine to its end."""
    cadet = Cadet(rig)
    try:
        cadet.play()
    except Refused as refused:
        raise AssertionError(f"engine no. {rig.engine.number}, level {rig.engine.level}: {refused}") from refused
    return cadet
