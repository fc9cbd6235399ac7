"""The working of what was measured around a check, line by line."""

from __future__ import annotations

from collections.abc import Iterator

from calc.job.model import SPILL_OPENING, SUCTION_CLOSING, VALVE_EVENTS
from calc.job.words import plain, short, signed
from calc.judge.index_lines import IndexWork
from calc.judge.settings import Settings
from calc.judge.surveys import SurveyWork
from calc.judge.tdc import TdcWork
from calc.judge.unit import JudgedUnit
from calc.measure.circle import arc, midpoint
from calc.working import Line

GEOMETRY = "geometry of the slider crank"
GUM = "JCGM 100:2008"
_LETTER = {SUCTION_CLOSING: "c", SPILL_OPENING: "o"}


def tdc_lines(work: TdcWork, step_deg: float) -> Iterator[Line]:
    """The TDC check, and what it makes of the common part of the unit's stage."""
    check, pairs = work.check, work.made.pairs or ()
    for j, (before, after) in enumerate(pairs[:12], 1):
        yield Line(
            f"midpoint of pair {j}",
            "before + (after − before) / 2, round the circle",
            f"{short(before)} + {short(arc(before, after))} / 2",
            f"{plain(midpoint(before, after))}°",
            GEOMETRY,
        )
    n = check.pairs_used
    yield Line("angle read at TDC", "mean of the midpoints", f"n = {n}", f"{plain(check.tdc_deg)}°", GEOMETRY)
    if check.pointer_deg is None:
        return
    yield Line(
        "what the pointer adds d",
        "angle at TDC − angle at the mark",
        f"{plain(check.tdc_deg)} − ({short(work.made.mark_deg or 0.0)})",
        f"{signed(check.pointer_deg, 4)}°",
    )
    if check.u_deg is None or check.u_pointer_deg is None:
        return
    yield Line(
        "u(d)",
        "√[q² / 24 + max(s², r² / 2) / n]",
        f"q = {short(step_deg)}, s = {plain(check.u_deg * n**0.5)}, r = {plain(work.scatter_deg)}, n = {n}",
        f"{plain(check.u_pointer_deg)}°",
        f"{GUM}, 4.2 and F.2.2.1",
    )
    if work.common is not None and work.stage is not None and work.stage.u_camshaft_deg is not None:
        yield Line(
            "camshaft drive",
            "common part − d",
            f"{plain(work.common.value)} − ({plain(check.pointer_deg)})",
            f"{signed(work.stage.camshaft_deg, 4)}°",
        )
        yield Line(
            "u(camshaft drive)",
            "√[(u²(common) − u_t²) + u²(d)]: the pointer is in both",
            f"{plain(work.common.alone)}, {plain(check.u_pointer_deg)}",
            f"{plain(work.stage.u_camshaft_deg)}°",
            f"{GUM}, eq. 10",
        )


def survey_lines(work: SurveyWork, judged: JudgedUnit) -> Iterator[Line]:
    """The survey, and how it stands against the readings."""
    found, held = work.found, work.held
    yield Line(
        "phase of all rows",
        "least Σ(measured − reference(angle − phase))²",
        f"{len(work.measured)} rows",
        f"{signed(found.phase_deg, 4)}°",
        "least squares on the monotone cubic (Fritsch and Butland 1984)",
    )
    if held is None or work.compared is None:
        return
    yield Line(
        "phase without rows that stand out",
        "the same, weighted",
        "",
        f"{signed(held.phase.value, 4)}° (u {plain(held.phase.u)}°)",
        "Tukey's biweight (from memory)",
    )
    if held.zero is not None:
        yield Line(
            "on the base circle",
            "median of measured − reference",
            "",
            f"{signed(held.zero.value, 3)} mm (u {plain(held.zero.u)} mm)",
        )
    for event, offset in held.offsets_deg.items():
        e = _LETTER[event]
        yield Line(
            f"settings off the table o_{e}",
            f"f_{e} − angle of the table at h_{e}",
            f"{plain(judged.settings.angle_deg[event], 2)} − ({plain(judged.settings.flank[event].start_deg)})",
            f"{signed(offset, 4)}°",
        )
    if held.cam_part is not None:
        yield Line(
            "cam part of the survey S",
            "phase − mean of o",
            "",
            f"{signed(held.cam_part.value, 4)}° (u {plain(held.cam_part.u)}°)",
        )
    for event in VALVE_EVENTS:
        each, e = held.events.get(event), _LETTER[event]
        if each is not None:
            yield Line(
                f"lift left at the event, {e}",
                "measured − reference, between the rows around it",
                "",
                f"{signed(each.left.value, 3)} mm (u {plain(each.left.u)} mm)",
            )
            yield Line(
                f"cam part of the survey S_{e}",
                f"angle at which it reaches h_{e}, − f_{e}",
                f"phase − o_{e} {signed(each.later_deg, 4)}",
                f"{signed(each.cam_part.value, 4)}° (u {plain(each.cam_part.u)}°)",
            )
    for place, apart in work.compared.apart.items():
        name = f"_{_LETTER[place]}" if place in _LETTER else ""
        yield Line(
            f"do they agree? P{name} − S{name}",
            "against 3 u and T/3",
            f"3 u = {plain(3.0 * apart.u)}°",
            f"{signed(apart.value, 4)}°",
            GUM,
        )


def index_lines(work: IndexWork, settings: Settings) -> Iterator[Line]:
    """The line over the fuel index."""
    fit, finding = work.line.line, work.finding
    yield Line(
        "lift for each step b",
        "least squares line through the readings",
        f"{fit.count} readings, mean index {short(fit.mean_x)}, mean lift {plain(fit.mean_y)} mm",
        f"{plain(fit.slope)} mm",
        f"{GUM}, H.3",
    )
    yield Line(
        "index of zero delivery",
        "mean index + (H_c − mean lift) / b",
        f"{short(fit.mean_x)} + ({plain(work.line.start_lift_mm)} − {plain(fit.mean_y)}) / {plain(fit.slope)}",
        plain(finding.zero_index, 3),
        "the spill lift is linear in the index",
    )
    if finding.u_zero_index is not None:
        yield Line(
            "its u", "√[u²(line) + (u²(H_c) + (u_v / i_o)²) / b²]", "", plain(finding.u_zero_index), f"{GUM}, H.3 and eq. 10"
        )
    if work.by_opening is not None:
        yield Line(
            "the same by the opening",
            "I w / (H_o − H_c + w)",
            f"I = {settings.fuel_index:g}",
            f"{plain(work.by_opening.value, 3)} (u {plain(work.by_opening.u)})",
        )
