"""What was measured around the check: a TDC check, cam surveys, spill lifts over the fuel index.

None of it changes a number or a verdict: the readings are judged as they were read. What changes is what is said of a cause,
since these measurements tell apart what readings alone cannot. Imported only for a job that has one of them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from calc.findings import Cause, CommonPart, Notice, TdcCheck
from calc.job.model import Job
from calc.judge.event import Kind
from calc.judge.index_lines import judge_index_lines
from calc.judge.settings import Settings
from calc.judge.surveys import judge_surveys
from calc.judge.tdc import judge_tdc
from calc.judge.unit import JudgedUnit
from calc.measure.pool import Repeatability
from calc.pump import cause
from calc.pump.surveyed import UNKNOWN


def look_around(
    job: Job,
    settings: Settings,
    scatter: Mapping[Kind, Repeatability],
    units: Sequence[JudgedUnit],
    common: Mapping[str, CommonPart | None],
    notices: list[Notice],
) -> TdcCheck | None:
    """Hold what was measured around the check against the readings. Fills the units' `tdc`, `survey` and `index_line`.

    Parameters: the units with their causes. Returns: what the TDC check found. Adds notices about what tells nothing.
    """
    check = judge_tdc(job, settings, scatter, units, common, notices)
    judge_surveys(job, settings, scatter, units, common, notices)
    judge_index_lines(job, settings, scatter, units, notices)
    for unit in units:
        unit.causes = [_told(unit, each) for each in unit.causes]
        unit.hints = [_told(unit, each) for each in unit.hints]
    return check


def _told(unit: JudgedUnit, found: Cause) -> Cause:
    """A cause with what to check next, once something around the check has told more of it."""
    if found.code == cause.COMMON_SHIFT and unit.tdc is not None and unit.tdc.stage is not None:
        return replace(found, check_next=unit.tdc.stage.text)
    if found.code in (cause.CAM_POSITION, cause.READINGS_DISAGREE) and unit.survey is not None:
        finding = unit.survey.finding
        if finding.says != UNKNOWN:
            return replace(found, check_next=f"{finding.text} {found.check_next}")
    return found
