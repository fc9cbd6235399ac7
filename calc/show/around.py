"""What was measured around a check, as the findings show it: TDC check, cam surveys, lines over the fuel index.

Imported only where a job has one of them.
"""

from __future__ import annotations

from collections.abc import Iterator

from calc.findings import Findings, TdcCheck, UnitFindings
from calc.job.model import STAGES
from calc.show.markup import Markup, element, joined
from calc.show.plots import cam_picture


def tdc_words(check: TdcCheck) -> Iterator[tuple[str, str]]:
    """What a TDC check says, each with its head: of the common part of each stage, or else of the pointer alone."""
    split = {stage: each for stage in STAGES if (each := getattr(check, stage)) is not None}
    for stage, each in split.items():
        yield f"TDC check, {STAGES[stage]}", each.text
    if not split:
        yield "TDC check", check.text


def unit_words(unit: UnitFindings) -> Iterator[tuple[str, str]]:
    """What was measured around one unit says, each with its head."""
    if unit.cam_survey is not None:
        yield "Cam survey", unit.cam_survey.text
    if unit.index_line is not None:
        yield "Fuel index", unit.index_line.text


def tdc_html(found: Findings) -> Markup | None:
    """The TDC check for the page's summary."""
    if found.tdc_check is None:
        return None
    said = [
        element("p", {"class": "sm-settle"}, element("strong", None, f"{head}."), f" {words}")
        for head, words in tdc_words(found.tdc_check)
    ]
    return element("div", {"id": "tdc-check"}, said)


def unit_html(unit: UnitFindings) -> Markup:
    """Survey and line of one unit: what they say, where no cause says it already, and the survey's picture."""
    said = " ".join(each.check_next for each in (*unit.causes, *unit.hints))
    parts: list[object] = []
    for head, words in unit_words(unit):
        parts.append(element("h4", None, head))
        if words not in said:
            parts.append(element("p", {"class": "sm-settle"}, words))
        work = unit.judged.survey if unit.judged is not None else None
        if unit.cam_survey is not None and work is not None and head == "Cam survey":
            phase = work.found.phase_deg if work.held is None else work.held.phase.value
            residuals = work.found.residual_mm if work.held is None else work.held.residual_mm
            parts.append(cam_picture(work.reference, work.measured, phase, residuals))
    return joined(*parts)
