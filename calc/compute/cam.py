"""A cam's lift table against its reference: where the whole cam stands, and what is worn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import fsum
from typing import Any

from calc.compute.answer import Answer, Calculation, Known, Notice, beyond, empty, no_answer, no_data, warning
from calc.compute.limits import problem
from calc.findings import Findings
from calc.job import steps
from calc.job.describe import NUMBER, Field, number, numbers, record, table
from calc.job.model import Job, Node
from calc.job.problems import Problem
from calc.job.words import late_words, plain, short, signed
from calc.pump.survey import FARTHEST_DEG, BeyondError, LevelError, Survey, leaves_table, rising, survey
from calc.working import Line

LEAST_SQUARES = "least squares on the monotone cubic (Fritsch and Butland 1984)"
MOST_ROWS = 2000
# From here on the two phases are told apart: a fifth of a common scale's tenth of a degree. This project's own choice.
DIFFER_DEG = 0.02

COLUMNS = (
    Field(name="", kind=NUMBER, label="cam angle", unit="°", low=-180, high=180),
    Field(name="", kind=NUMBER, label="lift", unit="mm", low=-50, high=1000),
)


@record
class CamInput(Node):
    """Two lift tables of one cam."""

    reference: tuple[tuple[float, float], ...] = table(
        "reference lift table",
        columns=COLUMNS,
        least=2,
        most=MOST_ROWS,
        required=True,
        help="Angles rise from row to row.",
        find="The engine's papers, or a survey of the new cam.",
    )
    measured: tuple[tuple[float, float], ...] = table(
        "measured lift table", columns=COLUMNS, most=MOST_ROWS, required=True, help="Turned ahead to every row."
    )


@record
class CamResult:
    """Phase of the cam and what is left at each measured row."""

    phase_deg: float | None = number("phase: positive is later", unit="°", decimals=3, source=LEAST_SQUARES)
    u_phase_deg: float | None = number(
        "standard uncertainty of the phase, scatter only", unit="°", decimals=3, source="JCGM 100:2008, H.3"
    )
    residual_mm: tuple[float, ...] | None = numbers("measured minus reference, moved by the phase", unit="mm")
    worst_mm: float | None = number("largest of these, with its sign", unit="mm", decimals=3)
    slope_mm_per_deg: tuple[float, ...] | None = numbers("slope of the flank at each row", unit="mm/°", omit=True)
    robust_phase_deg: float | None = number(
        "phase that worn rows cannot pull", unit="°", decimals=3, omit=True, source="Tukey's biweight, 4.685 from memory"
    )


def _cam_rules(known: Known) -> Iterator[Problem]:
    rows = known.get("reference")
    row = rising(rows) if rows else None
    if rows and row is not None:
        before, after = rows[row - 1][0], rows[row][0]
        said = f"{before:g} then {after:g}"
        yield problem(
            "reference",
            said,
            f"Reference lift table, row {row + 1}: the angle {after:g} follows {before:g}. Angles rise from row to row. "
            "Sort the rows, or correct the angle.",
        )


def _cam(given: CamInput) -> Answer:
    try:
        found = survey(given.reference, given.measured)
    except LevelError:
        words = "No measured row lies on a flank, so nothing tells the phase. Measure where the lift changes."
        return Answer(empty(CamResult), (no_answer("measured", words),))
    except BeyondError:
        words = (
            f"The two tables fit best with {FARTHEST_DEG:g}° or more between them. No cam slips so far: check that both count "
            "their angles from the same mark."
        )
        return Answer(empty(CamResult), (beyond("measured", words),))
    result = CamResult(
        phase_deg=found.phase_deg,
        u_phase_deg=found.u_phase_deg,
        residual_mm=found.residual_mm,
        worst_mm=found.worst_mm,
        slope_mm_per_deg=found.slope_mm_per_deg,
        robust_phase_deg=found.robust_phase_deg,
    )
    return Answer(result, tuple(_cam_notices(given, found)), tuple(_cam_lines(given, found)))


def _cam_notices(given: CamInput, found: Survey) -> Iterator[Notice]:
    if found.u_phase_deg is None:
        yield no_data("measured", "One row has no scatter, so the uncertainty is not known. Measure more rows.")
    if leaves_table(given.reference, given.measured, found.phase_deg):
        yield warning("measured", "Some measured rows lie beyond the reference table. The cam is taken as straight there.")
    robust, u = found.robust_phase_deg, found.u_robust_deg
    if robust is not None and u is not None and abs(robust - found.phase_deg) > max(DIFFER_DEG, 3.0 * u):
        yield warning(
            "measured",
            f"Wear pulls the phase: {plain(found.phase_deg, 2)}° from all rows, {plain(robust, 2)}° without the rows that "
            "stand out. Trust the second, and look at the cam where the difference is largest.",
        )


def _cam_lines(given: CamInput, found: Survey) -> Iterator[Line]:
    n = len(given.measured)
    yield Line(
        "phase",
        "least Σ(measured − reference(angle − phase))²",
        f"{n} rows, |phase| up to {FARTHEST_DEG:g}°",
        f"{short(found.phase_deg)}°, that is {late_words(found.phase_deg)}",
        LEAST_SQUARES,
    )
    if found.u_phase_deg is not None:
        rss = fsum(each * each for each in found.residual_mm)
        steep = fsum(each * each for each in found.slope_mm_per_deg)
        yield Line(
            "standard uncertainty of the phase",
            "√[RSS / (n − 1) / Σ slope²]",
            f"RSS = {short(rss)}, n = {n}, Σ slope² = {short(steep)}",
            f"{short(found.u_phase_deg)}°",
            "JCGM 100:2008, H.3",
        )
    at = max(range(n), key=lambda j: abs(found.residual_mm[j]))
    yield Line(
        "largest difference",
        "measured − reference(angle − phase)",
        f"at {short(given.measured[at][0])}°",
        f"{signed(found.worst_mm, 4)} mm",
    )


def _from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
    """The lift table of the settings is the reference."""
    rows = job.engine.cam_lift_table
    return {} if rows is None else {"reference": [list(row) for row in rows]}


CAM_SURVEY = Calculation(
    name="cam_survey",
    title="Cam survey",
    what="a measured cam against its reference: phase and wear",
    say=(
        "Type plunger lift over angle as you measured it, a row each, turned ahead. The reference is the lift table of "
        "the settings."
    ),
    given=CamInput,
    result=CamResult,
    compute=_cam,
    rules=_cam_rules,
    example={
        "reference": [
            [-50, 0.0],
            [-45, 0.0],
            [-40, 0.09],
            [-35, 0.72],
            [-30, 2.35],
            [-25, 5.27],
            [-20, 9.6],
            [-15, 15.22],
            [-10, 21.84],
            [-5, 29.0],
            [0, 36.16],
            [5, 42.78],
            [10, 48.4],
            [15, 52.73],
            [20, 55.65],
            [25, 57.28],
            [30, 57.91],
            [35, 58.0],
            [40, 58.0],
        ],
        "measured": [
            [-46, 0.0],
            [-40, 0.08],
            [-34, 0.85],
            [-28, 3.13],
            [-22, 7.36],
            [-16, 13.53],
            [-10, 21.3],
            [-4, 29.82],
            [2, 38.24],
            [8, 45.8],
            [14, 51.65],
            [20, 55.47],
            [26, 57.4],
            [32, 57.97],
            [38, 58.01],
        ],
    },
    source=LEAST_SQUARES,
    page="calculate/cam.html#cam_survey",
    step=steps.INSPECTION,
    from_job=_from_job,
)
