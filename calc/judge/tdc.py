"""A TDC check by equal piston heights: does the flywheel pointer make what all units share, or the camshaft drive?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from calc.findings import CommonPart, Notice, TdcCheck, TdcStage
from calc.job.model import AS_FOUND, AS_LEFT, Job
from calc.job.model import TdcCheck as Check
from calc.job.words import late_words, plain, short, signed
from calc.judge.event import Kind
from calc.judge.notes import missing
from calc.judge.settings import Settings
from calc.judge.unit import JudgedUnit
from calc.measure.circle import arc, wrapped
from calc.measure.pool import Repeatability
from calc.pump import pointer
from calc.pump.cause import Estimate, named
from calc.pump.dead_centre import DeadCentre, find_dead_centre

WHERE = "tdc_check"
FARTHEST_DEG = 20.0  # No pointer stands so far off: then pairs and mark are not of one cylinder. This project's own choice.


@dataclass(frozen=True, slots=True)
class TdcWork:
    """A TDC check with what led to it, for one stage.

    made: what the job says of it. found: TDC on the scale. scatter_deg: usual scatter of an angle. common: what the units of
    the stage share. stage: how that is split, None where it is not.
    """

    made: Check
    found: DeadCentre
    scatter_deg: float
    check: TdcCheck
    common: CommonPart | None
    stage: TdcStage | None


def judge_tdc(
    job: Job,
    settings: Settings,
    scatter: Mapping[Kind, Repeatability],
    units: Sequence[JudgedUnit],
    common: Mapping[str, CommonPart | None],
    notices: list[Notice],
) -> TdcCheck | None:
    """What the TDC check says; None without one, or where its pairs cannot be pairs. Fills `tdc` of every unit."""
    made = job.tdc_check
    if made is None:
        return None
    if made.pairs is None:
        if made.mark_deg is not None:
            notices.append(missing(f"{WHERE}.pairs"))
        return None
    odd = [_odd_pair(j, *pair) for j, pair in enumerate(made.pairs)]
    if any(odd):
        notices += [each for each in odd if each]
        return None
    found = find_dead_centre(made.pairs)
    angles = [each.s for (key, _), each in scatter.items() if key == "crank_angle_deg"]
    usual = max(angles, default=settings.stated_repeatability["crank_angle_deg"])
    shows = _pointer(made, found, usual, job, notices)
    if shows is not None and found.u_deg is None:
        notices.append(
            Notice(
                code="tdc_one_pair",
                where=f"{WHERE}.pairs",
                text="TDC check: one pair has no spread, so nobody knows how sure it is, and it decides nothing. Read two more "
                "pairs, at other piston heights.",
            )
        )
    off = None
    if shows is not None and found.u_deg is not None:
        off = named(shows.value, shows.u, shows.value, settings.tolerance_deg)
    stages = {stage: _stage(shows, found, common.get(stage), settings) for stage in (AS_FOUND, AS_LEFT)}
    if not _holds_as_left(made, off):
        stages[AS_LEFT] = None
        if made.pointer_set is None and common.get(AS_LEFT) is not None:
            notices.append(_unsaid())
    check = TdcCheck(
        tdc_deg=found.tdc_deg,
        u_deg=found.u_deg,
        spread_deg=found.spread_deg,
        pairs_used=len(found.midpoints_deg),
        pointer_deg=None if shows is None else shows.value,
        u_pointer_deg=None if shows is None or found.u_deg is None else shows.u,
        pointer_off=off,
        as_found=stages[AS_FOUND],
        as_left=stages[AS_LEFT],
        text=_pointer_words(shows, off, made.pointer_set),
    )
    if off and shows is not None:
        notices.append(_off(shows, made.pointer_set))
    for unit in units:
        unit.tdc = TdcWork(made, found, usual, check, common.get(unit.stage), stages[unit.stage])
    return check


def _odd_pair(j: int, before: float, after: float) -> Notice | None:
    """Two angles that cannot be before and after one TDC: their midpoint would be half a turn off."""
    span = arc(before, after)
    if 0.0 < span <= 180.0:
        return None
    found = f"TDC check, pair {j + 1}: {short(before)}° before and {short(after)}° after"
    if span == 0.0:
        words = f"{found} are the same. Read two angles with the same piston height, well apart."
    else:
        words = (
            f"{found} are {short(span)}° apart in the direction of the job. More than 180° lies round bottom dead centre. "
            "Check that before and after are not swapped, and that before TDC is minus."
        )
    return Notice(code="tdc_pairs", where=f"{WHERE}.pairs[{j}]", text=f"{words} The check is not used until then.")


def _pointer(made: Check, found: DeadCentre, usual: float, job: Job, notices: list[Notice]) -> Estimate | None:
    """What the pointer adds to every angle; None where the mark is not known, or is another one's."""
    if made.mark_deg is None:
        notices.append(missing(f"{WHERE}.mark_deg"))
        return None
    value = wrapped(found.tdc_deg - made.mark_deg)
    if abs(value) > FARTHEST_DEG:
        notices.append(
            Notice(
                code="tdc_far",
                where=f"{WHERE}.mark_deg",
                text=f"TDC check: {short(round(found.tdc_deg, 2))}° is read at TDC and {short(made.mark_deg)}° at the mark. "
                f"No pointer is more than {FARTHEST_DEG:g}° off. Read the pairs and the mark of one cylinder, on one scale.",
            )
        )
        return None
    u = pointer.check_doubt(found, job.instruments.angle_scale.step_deg, usual) or 0.0
    return Estimate(value, u, u)


def _stage(shows: Estimate | None, found: DeadCentre, common: CommonPart | None, settings: Settings) -> TdcStage | None:
    if shows is None or common is None:
        return None
    drive = pointer.drive_part(Estimate(common.value, common.u, common.alone), shows)
    sure = found.u_deg is not None
    says = pointer.what_is_off(shows, drive, settings.tolerance_deg) if sure else pointer.UNKNOWN
    return TdcStage(
        camshaft_deg=drive.value,
        u_camshaft_deg=drive.u if sure else None,
        says=says,
        text=_stage_words(says, shows, drive, common),
    )


def _holds_as_left(made: Check, off: bool | None) -> bool:
    """Whether the check says anything of the readings as left: a pointer that was set since is another one.

    Nobody sets a pointer that is right. Where it is off, people are asked.
    """
    return made.pointer_set is False or (made.pointer_set is None and not off)


def _unsaid() -> Notice:
    return Notice(
        code="tdc_pointer_set",
        where=f"{WHERE}.pointer_set",
        text="TDC check: it finds the pointer off, and nobody says whether it was set before the readings as left. So it is "
        "used for those as found alone. Say whether it was set.",
    )


def _range(part: Estimate, digits: int = 2) -> str:
    return f"±{plain(1.96 * part.u, digits)}°"


def _pointer_words(shows: Estimate | None, off: bool | None, was_set: bool | None) -> str:
    if shows is None:
        return "The pointer cannot be told from this check."
    if off is None:
        return (
            f"By one pair the pointer makes every angle read {late_words(shows.value)}. That decides nothing: read more pairs."
        )
    if off:
        again = "It was set since." if was_set else "Set it, then read again."
        return f"The pointer makes every angle read {late_words(shows.value)} ({_range(shows)}). {again}"
    return f"The pointer is right as far as this check tells: {signed(shows.value, 2)}° ({_range(shows)})."


def _off(shows: Estimate, was_set: bool | None) -> Notice:
    judged = "The readings as found are judged as read." if was_set else "All readings are judged as read."
    todo = "" if was_set else " Set the pointer, then read again."
    return Notice(
        code="pointer_off",
        where=WHERE,
        text=f"TDC check: the pointer makes every angle read {late_words(shows.value)} ({_range(shows)}), so the true angles "
        "are "
        f"{late_words(-shows.value).replace('late', 'later').replace('early', 'earlier')}. {judged}{todo}",
    )


_DRIVE = (
    "Moving it is the maker's procedure, and class has to agree. Check exhaust, starting-air and lubricator timing as well."
)


def _stage_words(says: str, shows: Estimate, drive: Estimate, common: CommonPart) -> str:
    """What the check makes of the common part."""
    ours = f"{late_words(shows.value)} ({_range(shows)})"
    theirs = f"{late_words(drive.value)} ({_range(drive)})"
    if says == pointer.POINTER:
        return (
            f"The TDC check says that the pointer makes it: every angle reads {ours}. Set the pointer, not the cam. Then read "
            "again."
        )
    if says == pointer.DRIVE:
        return f"The TDC check says that the pointer is right, so the camshaft drive stands {theirs}. {_DRIVE}"
    if says == pointer.BOTH:
        hide = " The two hide each other." if shows.value * drive.value < 0.0 and not common.significant else ""
        return (
            f"The TDC check says that both are off: the pointer makes every angle read {ours}, and the camshaft drive stands "
            f"{theirs}.{hide} Set the pointer first, then read again. {_DRIVE}"
        )
    sizes = f"pointer {signed(shows.value, 2)}° ({_range(shows)}), camshaft drive {signed(drive.value, 2)}°"
    if says == pointer.UNKNOWN:
        return "The TDC check decides nothing: one pair has no spread. Read two more pairs, at other piston heights."
    if common.significant:
        return f"The TDC check does not tell why: {sizes} ({_range(drive)}). Neither stands out alone. Read more pairs."
    return f"The TDC check finds neither off: {sizes} ({_range(drive)})."
