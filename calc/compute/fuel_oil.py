"""Properties of a fuel: viscosity, density, ignition, energy, and what a mixture is like."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import fsum
from typing import Any

from calc.compute.answer import Answer, Calculation, Known, Notice, no_answer, warning
from calc.compute.limits import (
    ANALYSIS,
    COLDEST_C,
    HOTTEST_C,
    LARGEST,
    MOST_VALUES,
    density,
    missing,
    percent,
    positive,
    problem,
    temperature,
    temperature_column,
    temperatures,
)
from calc.findings import Findings
from calc.fuel import blend, energy, ignition
from calc.fuel import density as densities
from calc.fuel.viscosity import HIGHEST_MM2_S, LOWEST_MM2_S, ZERO_C_IN_K, ViscosityLine
from calc.job import steps
from calc.job.describe import NUMBER, Field, choice, number, numbers, record, records_of, table
from calc.job.model import Job, Node
from calc.job.problems import Problem
from calc.job.words import short
from calc.working import Line

D341, D1250 = "ASTM D341", "ASTM D1250 / API MPMS 11.1"

# ---------------------------------------------------------------- viscosity

VISCOSITY_COLUMN = Field(
    name="", kind=NUMBER, label="viscosity", unit="mm²/s", low=LOWEST_MM2_S, high=HIGHEST_MM2_S, source=D341
)


def viscosity_points(label: str, **details: Any) -> Any:
    """Two measured points of a fuel: temperature and viscosity.

    >>> viscosity_points("points").metadata["field"].least
    2
    """
    columns = (temperature_column(), VISCOSITY_COLUMN)
    return table(label, columns, **{"least": 2, "most": 2, "find": ANALYSIS, **details})


@record
class ViscosityInput(Node):
    """Two measured points of a fuel, and what is asked."""

    points: tuple[tuple[float, float], ...] = viscosity_points(
        "two measured points", required=True, help="Two different temperatures; the hotter one is less viscous."
    )
    at_c: tuple[float, ...] | None = temperatures("temperatures to tell the viscosity at")
    for_mm2_s: tuple[float, ...] | None = numbers(
        "viscosities to tell the temperature for",
        unit="mm²/s",
        low=0,
        low_open=True,
        high=LARGEST,
        most=MOST_VALUES,
        apart=True,
    )


@record
class ViscosityResult:
    """The fuel's line and the points asked for."""

    a: float = number("A of lg lg Z = A − B lg T", required=True, source=D341)
    b: float = number("B", required=True, source=D341)
    viscosity_mm2_s: tuple[float | None, ...] = numbers("viscosity at each temperature", unit="mm²/s", gaps=True, required=True)
    temperature_c: tuple[float | None, ...] = numbers("temperature for each viscosity", unit="°C", gaps=True, required=True)


def hotter_is_thinner(known: Known, key: str) -> Iterator[Problem]:
    """The problem with two viscosity points that no fuel has.

    >>> [each.where for each in hotter_is_thinner(Known({}, {"points": ((50.0, 380.0), (100.0, 500.0))}), "points")]
    ['points']
    """
    points = known.get(key)
    if points is None:
        return
    cold, hot = sorted(points)
    said = f"{short(cold[1])} mm²/s at {short(cold[0])} °C and {short(hot[1])} mm²/s at {short(hot[0])} °C"
    label = "Two measured points" if key == "points" else "Viscosity of the fuel"
    if hot[0] - cold[0] <= 1e-9:
        text = f"{label}: {said} found. Allowed: two different temperatures. Enter another point."
        yield Problem(key, said, text)
    elif hot[1] >= cold[1]:
        text = f"{label}: {said} found. A fuel is thinner when it is hotter. Check which viscosity belongs to which."
        yield Problem(key, said, text)


def viscosity_line(points: tuple[tuple[float, float], ...]) -> ViscosityLine:
    """The fuel's line through its two points, in either order.

    >>> round(viscosity_line(((100.0, 35.0), (50.0, 380.0))).b, 4)
    3.5314
    """
    cold, hot = sorted(points)
    return ViscosityLine.through(cold, hot)


def _viscosity_rules(known: Known) -> Iterator[Problem]:
    yield from hotter_is_thinner(known, "points")
    if not known.has("at_c") and not known.has("for_mm2_s"):
        yield missing(
            "at_c",
            "Temperatures to tell the viscosity at: missing. Enter them, or the viscosities to tell the temperature for.",
        )


def _viscosity(given: ViscosityInput) -> Answer:
    line = viscosity_line(given.points)
    wanted_c, wanted_v = given.at_c or (), given.for_mm2_s or ()
    viscosities = tuple(line.at(each) for each in wanted_c)
    found_c = tuple(line.temperature_for(each) for each in wanted_v)
    result = ViscosityResult(a=line.a, b=line.b, viscosity_mm2_s=viscosities, temperature_c=found_c)
    valid = f"The equation holds from {short(LOWEST_MM2_S)} to {HIGHEST_MM2_S:g} mm²/s"
    notices: list[Notice] = []
    for j, (t, v) in enumerate(zip(wanted_c, viscosities, strict=True)):
        if v is None:
            notices.append(no_answer(f"at_c[{j}]", f"At {short(t)} °C there is no viscosity. {valid}; check the temperature."))
    for j, (v, found) in enumerate(zip(wanted_v, found_c, strict=True)):
        where = f"for_mm2_s[{j}]"
        if found is None:
            notices.append(no_answer(where, f"No temperature gives {short(v)} mm²/s. {valid}; check the viscosity."))
        elif not COLDEST_C <= found <= HOTTEST_C:
            notices.append(
                warning(where, f"{short(v)} mm²/s would need {short(found)} °C. No fuel is kept there; check the viscosity.")
            )
    cold, hot = sorted(given.points)
    working = [
        Line(
            "slope B",
            "(lg lg Z₁ − lg lg Z₂) / (lg T₂ − lg T₁)",
            f"at {short(cold[0])} °C and {short(hot[0])} °C, T = t + {ZERO_C_IN_K}, "
            "Z = ν + 0.7 + exp(−1.47 − 1.84 ν − 0.51 ν²)",
            f"{line.b:.5f}",
            D341,
        ),
        Line("level A", "lg lg Z₁ + B lg T₁", f"at {short(cold[0])} °C", f"{line.a:.5f}", D341),
    ]
    working += [
        Line(f"viscosity at {short(t)} °C", "lg lg Z = A − B lg T", f"T = {short(t + ZERO_C_IN_K)}", f"{short(v)} mm²/s")
        for t, v in zip(wanted_c, viscosities, strict=True)
        if v is not None
    ]
    working += [
        Line(f"temperature for {short(v)} mm²/s", "lg T = (A − lg lg Z) / B", f"ν = {short(v)}", f"{short(t)} °C")
        for v, t in zip(wanted_v, found_c, strict=True)
        if t is not None
    ]
    return Answer(result, tuple(notices), tuple(working))


def _pump_c(job: Job) -> list[float] | None:
    """Temperature at the pump, as the one temperature to look at."""
    return None if job.fuel is None or job.fuel.temperature_c is None else [job.fuel.temperature_c]


def _viscosity_from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
    """The temperature at the pump, unless something else is asked."""
    return {} if typed.get("for_mm2_s") else {"at_c": _pump_c(job)}


VISCOSITY = Calculation(
    name="viscosity",
    title="Viscosity and temperature",
    what="viscosity of a fuel at a temperature, and the temperature for a viscosity",
    say=(
        "Type two measured points of the fuel. Then ask for the viscosity at a temperature, or for the temperature of a "
        "viscosity."
    ),
    given=ViscosityInput,
    result=ViscosityResult,
    compute=_viscosity,
    rules=_viscosity_rules,
    example={"points": [[50, 380], [100, 35]], "at_c": [98, 130], "for_mm2_s": [13, 17]},
    source=D341,
    page="calculate/fuel.html#viscosity",
    step=steps.SAFE,
    from_job=_viscosity_from_job,
)

# ---------------------------------------------------------------- density


@record
class DensityInput(Node):
    """Either the density at 15 °C and temperatures, or a density observed at one temperature."""

    density_15_kg_m3: float | None = density("density at 15 °C")
    at_c: tuple[float, ...] | None = temperatures("temperatures to tell the density at")
    observed_kg_m3: float | None = density("density observed", find="A hydrometer or a flow meter.")
    observed_c: float | None = temperature("temperature at which it was observed")


@record
class DensityResult:
    """Volume correction and density at each temperature, or the density at 15 °C."""

    vcf: tuple[float, ...] | None = numbers("volume correction factor to 15 °C", omit=True, source=D1250)
    density_kg_m3: tuple[float, ...] | None = numbers("density at each temperature", unit="kg/m³", omit=True, source=D1250)
    density_15_kg_m3: float | None = number("density at 15 °C", unit="kg/m³", omit=True, source=D1250)


def _density_rules(known: Known) -> Iterator[Problem]:
    forward, back = ("density_15_kg_m3", "at_c"), ("observed_kg_m3", "observed_c")
    labels = {
        "density_15_kg_m3": "Density at 15 °C",
        "at_c": "Temperatures to tell the density at",
        "observed_kg_m3": "Density observed",
        "observed_c": "Temperature at which it was observed",
    }
    has_forward, has_back = any(map(known.has, forward)), any(map(known.has, back))
    if has_forward and has_back:
        where = next(key for key in back if known.has(key))
        yield problem(
            where,
            known.tree[where],
            f"{labels[where]}: found together with the density at 15 °C or the temperatures to tell it at. Ask one thing: that "
            "density with those temperatures, or a density observed with its own.",
        )
    elif not has_forward and not has_back:
        yield missing(
            "density_15_kg_m3", "Density at 15 °C: missing. Enter it with temperatures, or a density observed with its own."
        )
    else:
        for key in forward if has_forward else back:
            if not known.has(key):
                yield missing(key, f"{labels[key]}: missing. Enter it.")


def _density(given: DensityInput) -> Answer:
    if given.observed_kg_m3 is not None and given.observed_c is not None:
        found = densities.density_15_from(given.observed_kg_m3, given.observed_c)
        working = Line(
            "density at 15 °C",
            "ρ₁₅ · VCF(ρ₁₅, t) = ρ",
            f"ρ = {short(given.observed_kg_m3)}, t = {short(given.observed_c)} °C, no correction for glass",
            f"{short(found)} kg/m³",
            D1250,
        )
        notices = [*_density_range(found, "observed_kg_m3"), *_temperature_range((given.observed_c,), "observed_c")]
        return Answer(DensityResult(density_15_kg_m3=found), tuple(notices), (working,))
    assert given.density_15_kg_m3 is not None
    assert given.at_c is not None
    rho = given.density_15_kg_m3
    factors = tuple(densities.volume_correction(rho, each) for each in given.at_c)
    result = DensityResult(vcf=factors, density_kg_m3=tuple(rho * factor for factor in factors))
    lines = [Line("expansion a", "K₀/ρ² + K₁/ρ", f"ρ = {short(rho)}", f"{densities.expansion_15(rho):.4e} 1/°C", D1250)]
    for t, factor in zip(given.at_c, factors, strict=True):
        lines.append(
            Line(f"VCF at {short(t)} °C", "exp(−a Δt (1 + 0.8 a Δt))", f"Δt = {short(t - 15.0)}", f"{factor:.5f}", D1250)
        )
        lines.append(Line(f"density at {short(t)} °C", "ρ₁₅ · VCF", "", f"{short(rho * factor)} kg/m³"))
    notices = [*_density_range(rho, "density_15_kg_m3"), *_temperature_range(given.at_c, "at_c")]
    return Answer(result, tuple(notices), tuple(lines))


def _density_range(density_15_kg_m3: float, where: str) -> Iterator[Notice]:
    low, high = densities.LOWEST_KG_M3, densities.HIGHEST_KG_M3
    if not low <= density_15_kg_m3 <= high:
        yield warning(
            where,
            f"The density at 15 °C is {short(density_15_kg_m3)} kg/m³. The formula was made for {low:g} to {high:g} kg/m³: "
            "take the value as a guide.",
        )


def _temperature_range(temperatures_c: tuple[float, ...], where: str) -> Iterator[Notice]:
    low, high = densities.LOWEST_C, densities.HIGHEST_C
    for j, each in enumerate(temperatures_c):
        if not low <= each <= high:
            place = f"{where}[{j}]" if where == "at_c" else where
            yield warning(
                place, f"{short(each)} °C. The formula was made for {low:g} to {high:g} °C: take the value as a guide."
            )


def _density_from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
    """The job's fuel and its temperature at the pump, unless an observed density is brought to 15 °C."""
    if job.fuel is None or "observed_kg_m3" in typed or "observed_c" in typed:
        return {}
    return {"density_15_kg_m3": job.fuel.density_15_kg_m3, "at_c": _pump_c(job)}


DENSITY = Calculation(
    name="density",
    title="Density and temperature",
    what="density and volume correction at a temperature, or back to 15 °C",
    say="Type the density at 15 °C and the temperatures. Or type what the hydrometer showed, and its temperature.",
    given=DensityInput,
    result=DensityResult,
    compute=_density,
    rules=_density_rules,
    example={"density_15_kg_m3": 965, "at_c": [50, 98, 120]},
    source=D1250,
    page="calculate/fuel.html#density",
    step=steps.SAFE,
    from_job=_density_from_job,
)

# ---------------------------------------------------------------- ignition

CCAI_SOURCE = "ISO 8217, annex (coefficient 483 from memory)"


@record
class IgnitionInput(Node):
    """Density and viscosity of a residual fuel."""

    density_15_kg_m3: float = density("density at 15 °C", required=True)
    viscosity_mm2_s: float = positive("viscosity", LARGEST, unit="mm²/s", required=True, find=ANALYSIS)
    temperature_c: float = temperature("temperature of that viscosity", required=True)


@record
class IgnitionResult:
    """The ignition index."""

    ccai: float | None = number("calculated carbon aromaticity index", source=CCAI_SOURCE)


def _ignition(given: IgnitionInput) -> Answer:
    if given.viscosity_mm2_s <= ignition.LEAST_MM2_S:
        words = (
            f"There is no index for {short(given.viscosity_mm2_s)} mm²/s. The formula starts above "
            f"{ignition.LEAST_MM2_S:g} mm²/s; check the viscosity."
        )
        return Answer(IgnitionResult(), (no_answer("viscosity_mm2_s", words),))
    index = ignition.ccai(given.density_15_kg_m3, given.viscosity_mm2_s, given.temperature_c)
    term = ignition.temperature_term(given.temperature_c)
    working = (
        Line("temperature term", "483 lg[(t + 273) / 323]", f"t = {short(given.temperature_c)}", f"{term:.3f}", CCAI_SOURCE),
        Line(
            "CCAI",
            "ρ₁₅ − 81 − 141 lg lg(ν + 0.85) − temperature term",
            f"ρ₁₅ = {short(given.density_15_kg_m3)}, ν = {short(given.viscosity_mm2_s)}",
            f"{index:.1f}",
            CCAI_SOURCE,
        ),
    )
    return Answer(IgnitionResult(ccai=index), (), working)


IGNITION = Calculation(
    name="ignition",
    title="Ignition index",
    what="ignition index (CCAI) of a residual fuel",
    say="Type density and viscosity of the bunker. The higher the index, the later the fuel ignites.",
    given=IgnitionInput,
    result=IgnitionResult,
    compute=_ignition,
    example={"density_15_kg_m3": 965, "viscosity_mm2_s": 360, "temperature_c": 50},
    source=CCAI_SOURCE,
    page="calculate/fuel.html#ignition",
)

# ---------------------------------------------------------------- energy

ENERGY_SOURCE = "ISO 8217, annex; ASTM D4868 (which coefficients are which: partly from memory)"
KINDS = {energy.RESIDUAL: "residual fuel", energy.DISTILLATE: "distillate fuel"}


@record
class EnergyInput(Node):
    """The analysis of a fuel."""

    kind: str = choice("kind of fuel", KINDS, required=True)
    density_15_kg_m3: float = density("density at 15 °C", required=True)
    sulphur_percent: float = percent("sulphur, share of the mass", required=True, find=ANALYSIS)
    water_percent: float = percent("water, share of the mass", required=True, find=ANALYSIS)
    ash_percent: float = percent("ash, share of the mass", required=True, find=ANALYSIS)


@record
class EnergyResult:
    """Specific energy."""

    net_mj_kg: float = number("net specific energy", unit="MJ/kg", required=True, source=ENERGY_SOURCE)
    gross_mj_kg: float = number("gross specific energy", unit="MJ/kg", required=True, source=ENERGY_SOURCE)


def _energy_rules(known: Known) -> Iterator[Problem]:
    shares = [known.get(key) for key in ("sulphur_percent", "water_percent", "ash_percent")]
    total = fsum(each for each in shares if each is not None)
    if None not in shares and total > 100.0 + 1e-9:
        yield problem(
            "sulphur_percent",
            total,
            f"Sulphur, water and ash: {short(total)} % together found. Allowed: at most 100 %. Check the decimal points.",
        )


def _energy(given: EnergyInput) -> Answer:
    parts = (given.density_15_kg_m3, given.sulphur_percent, given.water_percent, given.ash_percent)
    net, gross = energy.net_mj_kg(given.kind, *parts), energy.gross_mj_kg(given.kind, *parts)
    residual = given.kind == energy.RESIDUAL
    clean = "(46.704 − 8.802·10⁻⁶ ρ² + 3.167·10⁻³ ρ)" if residual else "(46.423 − 8.792·10⁻⁶ ρ² + 3.170·10⁻³ ρ)"
    full = "(52.190 − 8.802·10⁻⁶ ρ²)" if residual else "(51.916 − 8.792·10⁻⁶ ρ²)"
    share = "[1 − 0.01 (w + a + S)]"
    numbers_in = (
        f"ρ = {short(given.density_15_kg_m3)}, S = {short(given.sulphur_percent)}, w = {short(given.water_percent)}, "
        f"a = {short(given.ash_percent)}"
    )
    working = (
        Line("net", f"{clean} {share} + 0.01 (9.420 S − 2.449 w)", numbers_in, f"{net:.3f} MJ/kg", ENERGY_SOURCE),
        Line("gross", f"{full} {share} + 0.0942 S", numbers_in, f"{gross:.3f} MJ/kg", ENERGY_SOURCE),
    )
    return Answer(EnergyResult(net_mj_kg=net, gross_mj_kg=gross), (), working)


ENERGY = Calculation(
    name="energy",
    title="Specific energy",
    what="net and gross specific energy of a fuel from its analysis",
    say="Type the analysis of the bunker. Choose the right kind of fuel: the two have different coefficients.",
    given=EnergyInput,
    result=EnergyResult,
    compute=_energy,
    rules=_energy_rules,
    example={
        "kind": "residual",
        "density_15_kg_m3": 965,
        "sulphur_percent": 0.48,
        "water_percent": 0.2,
        "ash_percent": 0.04,
    },
    source=ENERGY_SOURCE,
    page="calculate/fuel.html#energy",
)

# ---------------------------------------------------------------- blend

BLEND_SOURCE = "Refutas blending index (constants from memory)"
MIXING = "common practice, no source"


@record
class BlendPart(Node):
    """One fuel of a mixture."""

    mass_t: float = positive("mass", LARGEST, unit="t", required=True, help="Any unit, the same for all parts.")
    viscosity_mm2_s: float = number(
        "viscosity",
        unit="mm²/s",
        low=blend.LEAST_MM2_S,
        low_open=True,
        high=HIGHEST_MM2_S,
        required=True,
        help="All at the same temperature.",
        find=ANALYSIS,
    )
    density_15_kg_m3: float | None = density("density at 15 °C")
    sulphur_percent: float | None = percent("sulphur, share of the mass", find=ANALYSIS)


@record
class BlendInput(Node):
    """The fuels that are mixed."""

    parts: tuple[BlendPart, ...] = records_of(BlendPart, "fuels of the mixture", one="fuel", most=100, required=True)


@record
class BlendResult:
    """What the mixture is like."""

    viscosity_mm2_s: float = number("viscosity of the mixture", unit="mm²/s", required=True, source=BLEND_SOURCE)
    density_15_kg_m3: float | None = number("density at 15 °C of the mixture", unit="kg/m³", omit=True, source=MIXING)
    sulphur_percent: float | None = number("sulphur of the mixture", unit="%", omit=True, source=MIXING)


def _blend(given: BlendInput) -> Answer:
    masses = [part.mass_t for part in given.parts]
    thickness = blend.blended_viscosity(masses, [part.viscosity_mm2_s for part in given.parts])
    rhos = [part.density_15_kg_m3 for part in given.parts if part.density_15_kg_m3 is not None]
    sulphurs = [part.sulphur_percent for part in given.parts if part.sulphur_percent is not None]
    rho = blend.blended_density(masses, rhos) if len(rhos) == len(masses) else None
    sulphur = blend.mean_by_mass(masses, sulphurs) if len(sulphurs) == len(masses) else None
    indices = [blend.blending_index(part.viscosity_mm2_s) for part in given.parts]
    working = [
        Line(
            f"blending index of fuel {j}", "14.534 ln ln(ν + 0.8) + 10.975", f"ν = {short(part.viscosity_mm2_s)}", short(index)
        )
        for j, (part, index) in enumerate(zip(given.parts, indices, strict=True), 1)
    ]
    working.append(
        Line(
            "viscosity of the mixture",
            "index⁻¹(Σ m·index / Σ m)",
            f"mean index {short(blend.mean_by_mass(masses, indices))}",
            f"{short(thickness)} mm²/s",
            BLEND_SOURCE,
        )
    )
    if rho is not None:
        working.append(Line("density of the mixture", "Σ m / Σ (m/ρ)", "", f"{short(rho)} kg/m³", MIXING))
    if sulphur is not None:
        working.append(Line("sulphur of the mixture", "Σ m·S / Σ m", "", f"{short(sulphur)} %", MIXING))
    stays = warning(
        "parts",
        "No formula tells whether these fuels stay mixed. Make a spot test of the mixture (ASTM D4740) before you use it.",
    )
    return Answer(
        BlendResult(viscosity_mm2_s=thickness, density_15_kg_m3=rho, sulphur_percent=sulphur),
        (stays,) if len(masses) > 1 else (),
        tuple(working),
    )


BLEND = Calculation(
    name="blend",
    title="Mixture of fuels",
    what="viscosity, density and sulphur of a mixture of fuels",
    say="Type mass and viscosity of each fuel, all at one temperature.",
    given=BlendInput,
    result=BlendResult,
    compute=_blend,
    example={
        "parts": [
            {"mass_t": 90, "viscosity_mm2_s": 380, "density_15_kg_m3": 975, "sulphur_percent": 0.6},
            {"mass_t": 30, "viscosity_mm2_s": 4, "density_15_kg_m3": 852, "sulphur_percent": 0.08},
        ]
    },
    source=BLEND_SOURCE,
    page="calculate/fuel.html#blend",
)
