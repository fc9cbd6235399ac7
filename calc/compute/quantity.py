"""Fuel of one stroke from the engine's consumption, and what the fuel index does to each unit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from calc.compute.answer import Answer, Calculation, Known, Notice, no_answer, no_data, note
from calc.compute.limits import ANALYSIS, LARGEST, density, positive, problem
from calc.findings import Findings
from calc.fuel.density import density_at
from calc.job import steps
from calc.job.describe import NUMBER, Field, flag, number, numbers, record, records_of, table, whole
from calc.job.model import Job, Node
from calc.job.problems import Problem
from calc.job.words import short, signed
from calc.judge.what_if import latest_units
from calc.measure.pool import mean
from calc.pump import quantity
from calc.pump.fuel_index import IndexLine, index_line
from calc.working import Line

CYCLES = "cycles in an hour: 60 n (two-stroke) or 30 n (four-stroke)"

# ---------------------------------------------------------------- injection


@record
class InjectionInput(Node):
    """The engine at one load."""

    power_kw: float = positive("power of the whole engine", 1e6, unit="kW", required=True)
    specific_g_kwh: float = positive("specific consumption", 1e4, unit="g/kWh", required=True)
    speed_rpm: float = positive("speed", 3000, unit="rpm", required=True)
    units: int = whole("cylinders", low=1, high=24, required=True)
    two_stroke: bool = flag("two-stroke", required=True)
    density_kg_m3: float = density("density of the fuel at the pump", required=True, find=ANALYSIS)
    delivery_angle_deg: float = positive("delivery angle", 180, unit="°", required=True)


@record
class InjectionResult:
    """One stroke of one unit."""

    g_per_cycle: float = number("fuel of one stroke", unit="g", required=True, source=CYCLES)
    cm3_per_cycle: float = number("volume of that fuel at the pump", unit="cm³", required=True)
    injection_ms: float = number("time of delivery", unit="ms", required=True)


def _injection(given: InjectionInput) -> Answer:
    cycles = (60.0 if given.two_stroke else 30.0) * given.speed_rpm
    grams = given.power_kw * given.specific_g_kwh / given.units / cycles
    volume = grams / given.density_kg_m3 * 1000.0
    time = quantity.injection_ms(given.delivery_angle_deg, given.speed_rpm)
    lines = (
        Line(
            "cycles in an hour",
            "60 · n" if given.two_stroke else "30 · n",
            f"n = {short(given.speed_rpm)} rpm",
            short(cycles),
            CYCLES,
        ),
        Line(
            "fuel of one stroke",
            "P · b / (units · cycles)",
            f"{short(given.power_kw)} · {short(given.specific_g_kwh)} / ({given.units} · {short(cycles)})",
            f"{short(grams)} g",
        ),
        Line("volume", "m / ρ", f"{short(grams)} g / {short(given.density_kg_m3)} kg/m³", f"{short(volume)} cm³"),
        Line(
            "time of delivery",
            "angle / (6 n)",
            f"{short(given.delivery_angle_deg)}° / (6 · {short(given.speed_rpm)})",
            f"{short(time)} ms",
        ),
    )
    return Answer(InjectionResult(g_per_cycle=grams, cm3_per_cycle=volume, injection_ms=time), (), lines)


def _injection_from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
    """Engine, fuel at the pump, and the mean delivery angle of the latest readings, else of the reference settings."""
    read = [unit.judged.delivery_deg for unit in latest_units(findings).values() if unit.judged is not None]
    angles = [each for each in read if each is not None] or [each.end_deg - each.beginning_deg for each in job.reference.units]
    known = {
        "units": job.engine.units,
        "speed_rpm": job.engine.speed_rpm,
        "two_stroke": True,  # No other engine has these pumps.
        "delivery_angle_deg": round(mean(angles), 5) if angles and mean(angles) > 0.0 else None,
    }
    if job.fuel is not None and job.fuel.density_15_kg_m3 is not None and job.fuel.temperature_c is not None:
        known["density_kg_m3"] = round(density_at(job.fuel.density_15_kg_m3, job.fuel.temperature_c), 3)
    return known


INJECTION = Calculation(
    name="injection",
    title="Fuel of one stroke",
    what="fuel of one stroke and its time, from the engine's consumption",
    say="Type power and consumption at one load. Compare the result with the quantity that the findings tell.",
    given=InjectionInput,
    result=InjectionResult,
    compute=_injection,
    example={
        "power_kw": 8400,
        "specific_g_kwh": 178,
        "speed_rpm": 96,
        "units": 6,
        "two_stroke": True,
        "density_kg_m3": 905,
        "delivery_angle_deg": 14.9,
    },
    source=CYCLES,
    page="calculate/quantity.html#injection",
    step=steps.FINDINGS,
    from_job=_injection_from_job,
)

# ---------------------------------------------------------------- fuel index

LINEAR = "the spill lift is linear in the fuel index (this pump's construction)"
REGRESSION = "JCGM 100:2008, H.3"


@record
class IndexUnitInput(Node):
    """One unit, read at several fuel indices."""

    unit: int = whole("unit", low=1, high=24, required=True)
    start_lift_mm: float = number("plunger lift at which the suction valve closes", unit="mm", low=0, high=1000, required=True)
    points: tuple[tuple[float, float], ...] = table(
        "fuel index and spill lift",
        columns=(
            Field(name="", kind=NUMBER, label="fuel index", low=0, high=1000),
            Field(name="", kind=NUMBER, label="spill lift", unit="mm", low=0, high=1000),
        ),
        most=1000,
        required=True,
        help="Turned ahead to the end of delivery at each index.",
    )


@record
class IndexInput(Node):
    """Several units, and the indices to look at."""

    units: tuple[IndexUnitInput, ...] = records_of(IndexUnitInput, "units", one="row", most=24, required=True)
    at_index: tuple[float, ...] | None = numbers(
        "fuel indices to compare the units at",
        low=0,
        high=1000,
        most=50,
        apart=True,
        help="A low one shows the balance at low load.",
    )


@record
class IndexUnitResult:
    """One unit's line."""

    unit: int = whole("unit", required=True)
    mm_per_index: float | None = number("lift each step", unit="mm", source=REGRESSION)
    zero_index: float | None = number("zero delivery at", source=LINEAR)
    u_zero_index: float | None = number("u of it", source=REGRESSION)


@record
class IndexStrokeResult:
    """One unit at one index."""

    index: float = number("index", required=True)
    unit: int = whole("unit", required=True)
    stroke_mm: float = number("effective stroke", unit="mm", required=True)
    imbalance_percent: float | None = number("against the mean", unit="%")


@record
class IndexResult:
    """All units' lines, how far they spread, and the balance at each index."""

    units: tuple[IndexUnitResult, ...] = records_of(IndexUnitResult, "lines", required=True)
    spread_index: float | None = number("largest minus smallest index of zero delivery", source=LINEAR)
    strokes: tuple[IndexStrokeResult, ...] = records_of(IndexStrokeResult, "balance", required=True)


def _index_rules(known: Known) -> Iterator[Problem]:
    seen: set[int] = set()
    for j, each in enumerate(known.get("units") or ()):
        if each.unit in seen:
            words = f"Unit {each.unit}: found twice. Each unit stands once, with all its readings. Join the two."
            yield problem(f"units[{j}].unit", each.unit, words)
        seen.add(each.unit)


def _index(given: IndexInput) -> Answer:
    lines = {each.unit: index_line(each.points, each.start_lift_mm) for each in given.units}
    known = {unit: line for unit, line in lines.items() if line is not None and abs(line.zero_index) < LARGEST}
    notices = list(_index_notices(given, known))
    units = tuple(_index_unit(unit, known.get(unit)) for unit in lines)
    zeros = [line.zero_index for line in known.values()]
    spread = max(zeros) - min(zeros) if len(zeros) > 1 else None
    if spread is None:
        notices.append(no_data("units", "The spread needs two units with a line. Read more units."))
    strokes = tuple(row for index in given.at_index or () for row in _balance(index, known))
    notices += _balance_notices(given, known)
    working = [each for unit, line in known.items() for each in _index_lines(unit, line)]
    for row in strokes:
        working.append(
            Line(
                f"unit {row.unit} at index {short(row.index)}",
                "a + b · I − start lift",
                "" if row.imbalance_percent is None else f"against the mean {signed(row.imbalance_percent, 2)} %",
                f"{short(row.stroke_mm)} mm",
                LINEAR,
            )
        )
    return Answer(IndexResult(units=units, spread_index=spread, strokes=strokes), tuple(notices), tuple(working))


def _index_unit(unit: int, line: IndexLine | None) -> IndexUnitResult:
    if line is None:
        return IndexUnitResult(unit=unit)
    return IndexUnitResult(
        unit=unit, mm_per_index=line.mm_per_index, zero_index=line.zero_index, u_zero_index=line.u_zero_index
    )


def _index_notices(given: IndexInput, known: dict[int, IndexLine]) -> Iterator[Notice]:
    for j, each in enumerate(given.units):
        where = f"units[{j}].points"
        if each.unit not in known:
            different = len({index for index, _ in each.points}) > 1
            words = (
                f"Unit {each.unit}: the spill lift does not rise with the index, so there is no index of zero delivery. Check "
                "the readings."
                if different
                else f"Unit {each.unit}: all readings are at one index. Read the spill lift at another one too."
            )
            yield no_answer(where, words) if different else no_data(where, words)
        elif known[each.unit].line.dof < 1:
            yield no_data(where, f"Unit {each.unit}: two readings have no scatter, so u is not known. Read a third index.")


def _balance(index: float, known: dict[int, IndexLine]) -> Iterator[IndexStrokeResult]:
    strokes = {unit: line.stroke_mm(index) for unit, line in known.items()}
    middle = mean(list(strokes.values())) if len(strokes) > 1 else 0.0
    for unit, stroke in strokes.items():
        share = quantity.imbalance_percent(stroke, middle) if middle > 1e-9 else None
        yield IndexStrokeResult(index=index, unit=unit, stroke_mm=stroke, imbalance_percent=share)


def _balance_notices(given: IndexInput, known: dict[int, IndexLine]) -> Iterator[Notice]:
    for j, index in enumerate(given.at_index or ()):
        strokes = {unit: line.stroke_mm(index) for unit, line in known.items()}
        if not strokes:
            continue
        if len(strokes) == 1:
            yield no_data(f"at_index[{j}]", "One unit alone has no imbalance. Read more units.")
        elif mean(list(strokes.values())) <= 1e-9:
            yield no_data(f"at_index[{j}]", f"At index {short(index)} no unit delivers, so there is no balance to tell.")
        silent = [unit for unit, stroke in strokes.items() if stroke <= 0.0]
        if silent and len(silent) < len(strokes):
            named = ", ".join(map(str, silent))
            yield note(f"at_index[{j}]", f"At index {short(index)} unit {named} delivers nothing while others do.")


def _index_lines(unit: int, line: IndexLine) -> Iterator[Line]:
    fit = line.line
    yield Line(
        f"unit {unit}, lift for each step",
        "least squares line through the readings",
        f"mean index {short(fit.mean_x)}, mean lift {short(fit.mean_y)} mm",
        f"{short(fit.slope)} mm",
        REGRESSION,
    )
    yield Line(
        f"unit {unit}, zero delivery",
        "mean index + (start lift − mean lift) / slope",
        f"{short(fit.mean_x)} + ({short(line.start_lift_mm)} − {short(fit.mean_y)}) / {short(fit.slope)}",
        f"index {short(line.zero_index)}",
        LINEAR,
    )


FUEL_INDEX = Calculation(
    name="fuel_index",
    title="Index of zero delivery",
    what="index of zero delivery of each unit, and the balance at low load",
    say="Read the end of delivery of each unit at two or more fuel indices. A low index shows the balance at low load.",
    given=IndexInput,
    result=IndexResult,
    compute=_index,
    rules=_index_rules,
    example={
        "units": [
            {"unit": 1, "start_lift_mm": 13.2, "points": [[3, 23.4], [5, 31.2], [7, 38.9]]},
            {"unit": 2, "start_lift_mm": 13.3, "points": [[3, 23.1], [5, 30.8], [7, 38.7]]},
        ],
        "at_index": [1.5, 7],
    },
    source=f"{LINEAR}; {REGRESSION}",
    page="calculate/quantity.html#fuel_index",
    step=steps.FINDINGS,
)
