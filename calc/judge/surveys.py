"""Cam surveys held against readings: the cam has moved, or is worn, or one of the two was measured wrongly."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from calc.findings import CamSurvey, CommonPart, Notice, SurveyedEvent
from calc.job.model import AT_CONTACT, SPILL_OPENING, SUCTION_CLOSING, Job
from calc.job.words import late_words, listed, plain, signed
from calc.judge.event import Kind
from calc.judge.settings import Settings
from calc.judge.unit import JudgedUnit
from calc.measure.gum import root_sum_square
from calc.measure.pool import Repeatability
from calc.pump import doubt, surveyed
from calc.pump.cause import Estimate, named
from calc.pump.survey import BeyondError, LevelError, Survey, leaves_table, survey
from calc.pump.surveyed import CONTRADICTS, UNKNOWN, WEAR, ZERO_OFF, Compared, Reader, Surveyed

Table = tuple[tuple[float, float], ...]
NOUN = {SUCTION_CLOSING: "start", SPILL_OPENING: "end"}


@dataclass(frozen=True, slots=True)
class SurveyWork:
    """A survey with what led to it. held: None where its uncertainty is not known. brief: what it says, in a few words."""

    reference: Table
    measured: Table
    found: Survey
    held: Surveyed | None
    compared: Compared | None
    finding: CamSurvey
    brief: str


# Kept, since at each key that is typed all surveys are looked at again.
@lru_cache(maxsize=64)
def _surveyed(reference: Table, measured: Table) -> Survey | str:
    """The survey, or why there is none."""
    try:
        return survey(reference, measured)
    except LevelError:
        return "no row lies on a flank, so nothing tells where the cam stands. Measure where the lift changes"
    except BeyondError:
        return (
            "it fits the lift table best 20° away or more. No cam slips so far. Check that both count their angles from the "
            "same mark"
        )


def judge_surveys(
    job: Job,
    settings: Settings,
    scatter: Mapping[Kind, Repeatability],
    units: Sequence[JudgedUnit],
    common: Mapping[str, CommonPart | None],
    notices: list[Notice],
) -> None:
    """Fill `survey` of each unit that has one, in the first stage it was read in: what was moved since is not in it."""
    if not job.cam_surveys:
        return
    reference = job.engine.cam_lift_table
    if reference is None:
        where = "cam_surveys[0].measured" if len(job.cam_surveys) == 1 else "cam_surveys"
        notices.append(_notice("survey_without_table", where, _WITHOUT_TABLE))
        return
    first = {}
    for unit in reversed(units):
        first[unit.number] = unit
    for j, each in enumerate(job.cam_surveys):
        where = f"cam_surveys[{j}].measured"
        name = f"Unit {each.unit}, cam survey"
        found = _surveyed(reference, each.measured)
        if isinstance(found, str):
            notices.append(_notice("survey_tells_nothing", where, f"{name}: {found}."))
            continue
        if found.u_phase_deg is None:
            words = (
                f"{name}: one row has no scatter, so nobody knows how sure it is. Measure more rows, on both flanks of start "
                "and end."
            )
            notices.append(_notice("survey_tells_nothing", where, words))
        if leaves_table(reference, each.measured, found.phase_deg):
            words = f"{name}: some rows lie beyond the engine's lift table. The cam is taken as straight there."
            notices.append(_notice("survey_beyond_table", where, words))
        judged = first.get(each.unit)
        if judged is None:
            words = (
                f"{name}: nothing was read on this unit, so there is nothing to hold the survey against. Read its start and "
                "end."
            )
            notices.append(_notice("survey_not_comparable", where, words))
            continue
        judged.survey = _work(
            judged, reference, each.measured, found, common.get(judged.stage), settings, _reader(settings, scatter)
        )
        if found.u_phase_deg is not None and judged.survey.finding.says == UNKNOWN:
            words = f"{name}: {_why_unknown(judged.survey)}"
            notices.append(_notice("survey_not_comparable", where, words))


_WITHOUT_TABLE = (
    "Cam survey: the engine's cam lift table is missing, so there is nothing to hold it against. Enter the table in the "
    "engine's "
    "settings. Find it: the engine's papers, or a survey of the new cam."
)


def _notice(code: str, where: str, words: str) -> Notice:
    return Notice(code=code, where=where, text=words)


def _reader(settings: Settings, scatter: Mapping[Kind, Repeatability]) -> Reader:
    """How well rows were read: as well as the readings, for the same hands did both."""

    def usual(key: str) -> float:
        known = [
            each.s for (name, way), each in scatter.items() if name == key and (key != "plunger_lift_mm" or way == AT_CONTACT)
        ]
        return max(known, default=settings.stated_repeatability[key])

    quality = settings.quality
    return Reader(quality.plunger_mm, usual("plunger_lift_mm"), quality.scale_deg, usual("crank_angle_deg"))


def _work(
    unit: JudgedUnit,
    reference: Table,
    measured: Table,
    found: Survey,
    common: CommonPart | None,
    settings: Settings,
    reader: Reader,
) -> SurveyWork:
    held = surveyed.hold_against(reference, measured, found, unit.settings.flank, unit.settings.angle_deg, reader)
    compared = None
    if held is not None:
        read = {
            event: Estimate(
                each.finding.cam_part_deg, each.finding.u_cam_part_deg, doubt.without_pointer(each.budgets.cam_part)
            )
            for event, each in unit.events.items()
        }
        compared = surveyed.set_beside(held, read, unit.cam_part, settings.tolerance_deg)
    whole = None if held is None else held.cam_part
    own = None
    if whole is not None and common is not None:
        # The pointer is in both, and so is the drive; what is left of the common part's doubt is its scatter.
        u = root_sum_square((whole.u, common.alone))
        own = Estimate(whole.value - common.value, u, u)
    residuals = found.residual_mm if held is None else held.residual_mm
    worst = max(range(len(residuals)), key=lambda j: abs(residuals[j]))
    text, brief = _words(unit, held, compared, own, settings)
    finding = CamSurvey(
        phase_deg=found.phase_deg,
        u_phase_deg=found.u_phase_deg,
        robust_phase_deg=found.robust_phase_deg,
        cam_part_deg=None if whole is None else whole.value,
        u_cam_part_deg=None if whole is None else whole.u,
        own_cam_part_deg=None if own is None else own.value,
        u_own_cam_part_deg=None if own is None else own.u,
        worst_mm=residuals[worst],
        worst_at_deg=measured[worst][0],
        beginning=_event(held, SUCTION_CLOSING, settings),
        end=_event(held, SPILL_OPENING, settings),
        says=UNKNOWN if compared is None else compared.says,
        text=text,
    )
    return SurveyWork(reference, measured, found, held, compared, finding, brief)


def _event(held: Surveyed | None, event: str, settings: Settings) -> SurveyedEvent | None:
    each = None if held is None else held.events.get(event)
    if each is None:
        return None
    return SurveyedEvent(
        cam_part_deg=each.cam_part.value,
        u_cam_part_deg=each.cam_part.u,
        residual_mm=each.left.value,
        u_residual_mm=each.left.u,
        worn=each.worn(settings.tolerance_deg),
    )


def _why_unknown(work: SurveyWork) -> str:
    if work.held is not None and not work.held.offsets_deg:
        return "the lift table does not rise at this unit's reference lifts, so the survey says nothing of start and end."
    return "neither start nor end of this unit has a number to hold it against. Read them at contact."


# ---------------------------------------------------------------- words


def _range(part: Estimate) -> str:
    return f"±{plain(1.96 * part.u, 2)}°"


def _words(
    unit: JudgedUnit, held: Surveyed | None, compared: Compared | None, own: Estimate | None, settings: Settings
) -> tuple[str, str]:
    """What the survey says, and that in a few words."""
    if held is None or compared is None:
        return "One row tells nothing of this cam. Measure more rows.", ""
    if compared.says == ZERO_OFF and held.zero is not None:
        text = (
            f"The cam survey shows {signed(held.zero.value, 2)} mm more lift than the reference "
            f"(±{plain(1.96 * held.zero.u, 2)} mm) on the "
            "base circle. Zero the gauge there and measure again. Nothing else is told from it."
        )
        return text, "The cam survey was not zeroed on the base circle: measure it again."
    words = list(_worn_or_high(held, compared))
    if compared.says == UNKNOWN:
        where = (
            ""
            if held.cam_part is None
            else f"The survey finds this cam {late_words(held.cam_part.value)} ({_range(held.cam_part)})."
        )
        return " ".join([where, *words]).strip() or "There is nothing to hold this survey against.", ""
    if compared.says == CONTRADICTS:
        first = [*_contradictions(compared, settings)]
        again = (
            "Look at the TDC mark that each was counted from, and at the survey's zero on the base circle. Measure again "
            "before "
            "you move anything."
        )
        return " ".join(
            [*first, *words, again]
        ), "The cam survey contradicts the readings: measure again before you move anything."
    moved = own is not None and surveyed.stands_off(own, settings.tolerance_deg)
    if compared.says == WEAR:
        nouns = listed([NOUN[event] for event in compared.worn])
        cure = "No push rod and no move of the cam cures wear: see to cam and roller first."
        also = [f"The whole cam stands {late_words(own.value)} of its own as well."] if moved and own is not None else []
        text = " ".join(["The cam survey explains the readings by wear.", *words, *also, cure])
        return text, f"The cam survey finds it worn at the {nouns}: see to cam and roller first."
    return " ".join([_agreement(unit, held, own, moved), *words]), "The cam survey agrees." if moved else ""


def _agreement(unit: JudgedUnit, held: Surveyed, own: Estimate | None, moved: bool) -> str:
    if own is not None and unit.own_cam_part is not None:
        read = unit.own_cam_part
        said = f"The cam survey agrees: by the survey this cam's own part is {_late(own)}, by the readings {_late(read)}."
        if not moved:
            return said
        return f"{said} A wrong TDC mark of this unit would show in both: look at the mark first."
    whole = held.cam_part
    if whole is not None and unit.cam_part is not None:
        return (
            f"The cam survey agrees: by the survey this cam stands {_late(whole)}, by the readings {_late(unit.cam_part)}. "
            "Pointer "
            "and camshaft drive are in both."
        )
    return "The cam survey agrees with the readings."


def _late(part: Estimate) -> str:
    """A cam part with its range, the pointer left out: it is the same in both."""
    return f"{late_words(part.value)} (±{plain(1.96 * part.alone, 2)}°)"


def _worn_or_high(held: Surveyed, compared: Compared) -> Iterator[str]:
    for event in compared.worn:
        each = held.events[event]
        yield (
            f"At the {NOUN[event]} {plain(abs(each.left.value), 2)} mm of lift is missing (±{plain(1.96 * each.left.u, 2)} "
            "mm), "
            f"which makes it {late_words(each.later_deg).replace('late', 'later')}."
        )
    for event in compared.high:
        each = held.events[event]
        yield (
            f"At the {NOUN[event]} the lift is {plain(each.left.value, 2)} mm above the reference "
            f"(±{plain(1.96 * each.left.u, 2)} mm), which no wear makes. Check those rows and the lift table."
        )


def _contradictions(compared: Compared, settings: Settings) -> Iterator[str]:
    odd = {
        place: each for place, each in compared.apart.items() if named(each.value, each.u, each.value, settings.tolerance_deg)
    }
    for place, noun in (*NOUN.items(), (surveyed.WHOLE, "cam")):
        each = odd.get(place)
        # The whole is only told where neither event stands out.
        if each is not None and (place != surveyed.WHOLE or len(odd) == 1):
            side = "later" if each.value > 0.0 else "earlier"
            yield (
                f"The cam survey contradicts the readings: they put the {noun} {plain(abs(each.value), 2)}° {side} "
                "than it "
                f"does ({_range(each)})."
            )
