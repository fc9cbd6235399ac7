"""Top dead centre by equal piston heights, and what it says about the flywheel pointer and the camshaft drive."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from calc.compute.answer import Answer, Calculation, Known, Notice, no_data, note, warning
from calc.compute.limits import missing
from calc.findings import Findings
from calc.job import steps
from calc.job.describe import NUMBER, Field, number, record, table
from calc.job.model import Job, Node
from calc.job.problems import Problem
from calc.job.words import plain, short
from calc.measure.circle import arc, midpoint, wrapped
from calc.measure.gum import root_sum_square
from calc.pump.dead_centre import find_dead_centre
from calc.working import Line

GEOMETRY = "geometry of the slider crank"
GUM = "JCGM 100:2008, 4.2"


def _column(label: str) -> Field:
    return Field(name="", kind=NUMBER, label=label, unit="°", low=-360, high=360)


@record
class TdcInput(Node):
    """Pairs of scale readings at equal piston heights, and what they are compared with."""

    pairs: tuple[tuple[float, float], ...] = table(
        "pairs of scale readings at equal piston height",
        columns=(_column("before TDC"), _column("after TDC")),
        most=1000,
        required=True,
        help="Each pair: turned ahead to the height before TDC, then ahead to the same height after it. Take up the play in "
        "the turning direction each time.",
    )
    mark_deg: float | None = number(
        "scale reading at the TDC mark",
        unit="°",
        low=-360,
        high=360,
        help="What the scale shows at the mark that the job's angles are counted from. It tells the pointer's error.",
    )
    common_part_deg: float | None = number(
        "common part of the findings", unit="°", low=-180, high=180, help="It is split into pointer and camshaft drive."
    )
    u_common_part_deg: float | None = number(
        "its standard uncertainty",
        unit="°",
        low=0,
        high=10,
        help="From the job it comes without the pointer's own doubt: this check takes the place of that.",
    )


@record
class TdcResult:
    """Where the scale stands at TDC."""

    tdc_deg: float = number("scale reading at TDC", unit="°", decimals=3, required=True, source=GEOMETRY)
    u_deg: float | None = number("its standard uncertainty", unit="°", decimals=3, source=GUM)
    spread_deg: float = number("largest minus smallest midpoint", unit="°", decimals=3, required=True)
    pointer_deg: float | None = number("error of the flywheel pointer: what it shows too much", unit="°", decimals=3, omit=True)
    camshaft_deg: float | None = number(
        "rest of the common part: camshaft drive, positive late", unit="°", decimals=3, omit=True
    )
    u_camshaft_deg: float | None = number("standard uncertainty of that rest", unit="°", decimals=3, omit=True, source=GUM)


def _tdc_rules(known: Known) -> Iterator[Problem]:
    labels = {
        "mark_deg": "Scale reading at the TDC mark",
        "common_part_deg": "Common part of the findings",
        "u_common_part_deg": "Standard uncertainty of the common part",
    }
    needs = {"common_part_deg": ("mark_deg", "u_common_part_deg"), "u_common_part_deg": ("common_part_deg",)}
    told = set()
    for key, others in needs.items():
        for other in others:
            if known.has(key) and not known.has(other) and other not in told:
                told.add(other)
                yield missing(other, f"{labels[other]}: missing. {key} needs it. Enter it, or leave {key} out.")


def _tdc(given: TdcInput) -> Answer:
    found = find_dead_centre(given.pairs)
    notices = list(_tdc_notices(given))
    lines = [
        Line(
            f"midpoint of pair {j}",
            "before + ((after − before) mod 360) / 2",
            f"{short(before)} + {short(arc(before, after))} / 2",
            f"{short(midpoint(before, after))}°",
            GEOMETRY,
        )
        for j, (before, after) in enumerate(given.pairs, 1)
    ]
    lines.append(
        Line("scale reading at TDC", "mean of the midpoints round the circle", "", f"{short(found.tdc_deg)}°", GEOMETRY)
    )
    if found.u_deg is None:
        notices.append(no_data("pairs", "One pair has no spread, so its uncertainty is not known: read two more pairs."))
    else:
        lines.append(Line("its standard uncertainty", "s / √n", f"n = {len(given.pairs)}", f"{short(found.u_deg)}°", GUM))
    pointer = camshaft = u_camshaft = None
    if given.mark_deg is not None:
        pointer = wrapped(found.tdc_deg - given.mark_deg)
        lines.append(
            Line(
                "error of the pointer",
                "reading at TDC − reading at the mark",
                f"{short(found.tdc_deg)} − {short(given.mark_deg)}",
                f"{short(pointer)}°",
            )
        )
    if pointer is not None and given.common_part_deg is not None:
        camshaft = given.common_part_deg - pointer
        lines.append(
            Line(
                "camshaft drive",
                "common part − error of the pointer",
                f"{short(given.common_part_deg)} − {short(pointer)}",
                f"{short(camshaft)}°",
            )
        )
        if found.u_deg is not None and given.u_common_part_deg is not None:
            u_camshaft = root_sum_square((given.u_common_part_deg, found.u_deg))
            notices.append(_share(pointer, found.u_deg, camshaft, u_camshaft))
    result = TdcResult(
        tdc_deg=found.tdc_deg,
        u_deg=found.u_deg,
        spread_deg=found.spread_deg,
        pointer_deg=pointer,
        camshaft_deg=camshaft,
        u_camshaft_deg=u_camshaft,
    )
    return Answer(result, tuple(notices), tuple(lines))


def _tdc_notices(given: TdcInput) -> Iterator[Notice]:
    for j, (before, after) in enumerate(given.pairs):
        span = arc(before, after)
        if span == 0.0:
            words = f"Both readings of pair {j + 1} are the same. Read two angles with the same height, well apart."
            yield warning(f"pairs[{j}]", words)
        elif span > 180.0:
            yield warning(
                f"pairs[{j}]",
                f"Pair {j + 1} spans {short(span)}° ahead, from {short(before)} to {short(after)}. More than 180° lies round "
                "BDC: check that before and after are not swapped.",
            )


def _share(pointer: float, u_pointer: float, camshaft: float, u_camshaft: float) -> Notice:
    """What the common part is made of, in words. 3 u, as for every cause."""
    shows = abs(pointer) > 3.0 * u_pointer
    turned = abs(camshaft) > 3.0 * u_camshaft
    said = {
        (
            True,
            False,
        ): f"The pointer explains the common part: it shows {plain(pointer, 2)}° too much. Set the pointer, not the cam.",
        (
            False,
            True,
        ): "The pointer is right. The common part is the camshaft drive: the maker's procedure and class come next.",
        (True, True): f"Both: the pointer shows {plain(pointer, 2)}° too much, and the camshaft drive stands "
        f"{plain(abs(camshaft), 2)}° {'late' if camshaft > 0 else 'early'}. Set the pointer first, then judge again.",
        (False, False): "Neither pointer nor camshaft drive stands out beyond three times its uncertainty. Read more pairs.",
    }[shows, turned]
    return note("common_part_deg", said)


def _from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
    """The common part of the latest stage, once the reading at the mark is there to split it.

    Its doubt contains that of the pointer, as far as it was known before this check. What the check finds replaces it.
    """
    common = findings.common_part_deg.as_left or findings.common_part_deg.as_found
    if common is None or typed.get("mark_deg") is None:
        return {}
    pointer = job.instruments.pointer_u_deg
    return {
        "common_part_deg": round(common.value, 5),
        "u_common_part_deg": round(max(0.0, common.u**2 - pointer**2) ** 0.5, 5),
    }


TDC = Calculation(
    name="tdc",
    title="Top dead centre",
    what="top dead centre by equal piston heights, and the error of the pointer",
    say=(
        "Read the scale at equal piston heights before and after TDC, several pairs. With the reading at the TDC mark, "
        "the common part of the findings is split into pointer and camshaft drive."
    ),
    given=TdcInput,
    result=TdcResult,
    compute=_tdc,
    rules=_tdc_rules,
    example={
        "pairs": [[-24.1, 24.7], [-30.2, 30.9], [-36.1, 36.7]],
        "mark_deg": 0,
        "common_part_deg": 0.35,
        "u_common_part_deg": 0.06,
    },
    source=GEOMETRY,
    page="calculate/dead-centre.html",
    step=steps.FINDINGS,
    from_job=_from_job,
)
