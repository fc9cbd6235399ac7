"""Tightening: torque and tension, stretch, the order of the bolts, and units."""

from __future__ import annotations

from collections.abc import Iterator

from calc.compute.answer import Answer, Calculation, Known, Notice, warning
from calc.compute.limits import LARGEST, missing, positive, problem
from calc.job import steps
from calc.job.describe import choice, number, numbers, record, records_of, whole, wholes
from calc.job.model import Node
from calc.job.problems import Problem
from calc.job.words import listed, short
from calc.measure import units
from calc.plan import tightening as plan
from calc.working import Line

VDI = "VDI 2230:2003"
PAPERS = "The engine's manual. The last word on a torque is the maker's."

# ---------------------------------------------------------------- torque and tension


@record
class TorqueInput(Node):
    """A metric thread with its frictions, and either tension or torque."""

    d_mm: float = positive("outer diameter of the thread", 1000, unit="mm", required=True)
    pitch_mm: float = positive("pitch of the thread", 20, unit="mm", required=True)
    head_diameter_mm: float = positive(
        "mean friction diameter under the head", 2000, unit="mm", required=True, help="Half way from hole to bearing edge."
    )
    friction_thread: float = number("friction in the thread", low=0, high=1, required=True, find=PAPERS)
    friction_head: float = number("friction under the head", low=0, high=1, required=True, find=PAPERS)
    tension_kn: float | None = positive("tension", 1e6, unit="kN", find=PAPERS)
    torque_nm: float | None = positive("torque", LARGEST, unit="N·m", find=PAPERS)
    strength: str | None = choice("strength class", plan.STRENGTHS, find="The mark on the bolt's head.")


@record
class TorqueResult:
    """Torque and tension that belong together."""

    torque_nm: float = number("torque", unit="N·m", required=True, source=VDI)
    tension_kn: float = number("tension", unit="kN", required=True, source=VDI)
    preload_limit_kn: float | None = number("tension at 90 % of yield", unit="kN", omit=True, source=VDI)


def slender_thread(known: Known) -> Iterator[Problem]:
    """The problem with a pitch that leaves a thread no core.

    >>> [each.where for each in slender_thread(Known({}, {"d_mm": 10.0, "pitch_mm": 9.0}))]
    ['pitch_mm']
    """
    d, pitch = known.get("d_mm"), known.get("pitch_mm")
    if d is not None and pitch is not None and pitch > plan.SLENDEREST * d:
        yield problem(
            "pitch_mm",
            pitch,
            f"Pitch of the thread: {short(pitch)} mm found for a diameter of {short(d)} mm. Allowed: at most "
            f"{plan.SLENDEREST:g} of the diameter, or the thread has no core. Check which is which.",
        )


def _torque_rules(known: Known) -> Iterator[Problem]:
    yield from slender_thread(known)
    if known.has("tension_kn") and known.has("torque_nm"):
        words = "Torque: found together with a tension. Each follows from the other: leave one of them out."
        yield problem("torque_nm", known.tree["torque_nm"], words)
    if not known.has("tension_kn") and not known.has("torque_nm"):
        yield missing("tension_kn", "Tension: missing. Enter it, or torque_nm.")


def _torque(given: TorqueInput) -> Answer:
    thread = plan.Thread(given.d_mm, given.pitch_mm)
    ratio = plan.torque_per_tension_mm(thread, given.head_diameter_mm, given.friction_thread, given.friction_head)
    if given.tension_kn is not None:
        tension, torque = given.tension_kn, given.tension_kn * ratio
    else:
        assert given.torque_nm is not None
        tension, torque = given.torque_nm / ratio, given.torque_nm
    lines = [
        Line(
            "pitch diameter d₂",
            "d − 0.75 H, H = √3/2 · P",
            f"{short(given.d_mm)} − 0.75 · {short(0.75**0.5 * given.pitch_mm)}",
            f"{short(thread.pitch_diameter_mm)} mm",
            "ISO 724",
        ),
        Line(
            "torque for each kN",
            "(d₂/2)(tan φ + μ') / (1 − μ' tan φ) + (D/2) μ_head, tan φ = P/(π d₂), μ' = μ_thread / cos 30°",
            f"tan φ = {short(thread.helix)}, μ_thread = {short(given.friction_thread)}, μ_head = {short(given.friction_head)}, "
            f"D = {short(given.head_diameter_mm)} mm",
            f"{short(ratio)} N·m",
            VDI,
        ),
        Line("torque and tension", "torque = ratio · tension", "", f"{short(torque)} N·m and {short(tension)} kN"),
    ]
    notices: list[Notice] = []
    limit = None
    if given.strength is not None:
        limit = plan.preload_limit_kn(thread, given.friction_thread, given.strength)
        lines.append(
            Line(
                "limit of the tension",
                "A₀ · 0.9 R / √{1 + 3 [1.5 (d₂/d₀)(P/(π d₂) + 1.155 μ_thread)]²}",
                f"A₀ = {short(thread.stress_area_mm2)} mm², R = {short(plan.yield_mpa(given.strength, given.d_mm))} MPa",
                f"{short(limit)} kN",
                VDI,
            )
        )
        if tension > limit + 1e-9:
            notices.append(
                warning(
                    "tension_kn" if given.tension_kn is not None else "torque_nm",
                    f"{short(tension)} kN is beyond {short(limit)} kN, where class {given.strength} is at 90 % of its yield. "
                    f"The bolt may stretch for good. Stay at or below {short(limit * ratio)} N·m, or check the class.",
                )
            )
    result = TorqueResult(torque_nm=torque, tension_kn=tension, preload_limit_kn=limit)
    return Answer(result, tuple(notices), tuple(lines))


TORQUE = Calculation(
    name="torque",
    title="Torque and tension",
    what="torque from tension and back, with friction, against the bolt's yield",
    say="Type either torque or tension. The last word on a torque is the maker's.",
    given=TorqueInput,
    result=TorqueResult,
    compute=_torque,
    rules=_torque_rules,
    example={
        "d_mm": 30,
        "pitch_mm": 3.5,
        "head_diameter_mm": 38,
        "friction_thread": 0.11,
        "friction_head": 0.13,
        "tension_kn": 190,
        "strength": 8.8,
    },
    source=VDI,
    page="calculate/tightening.html#torque",
    step=steps.CLOSE,
)

# ---------------------------------------------------------------- elongation

HOOKE = "Hooke's law; VDI 2230 for the thread's core"


@record
class ShankInput(Node):
    """A length of the bolt with one diameter."""

    length_mm: float = positive("length", 1e5, unit="mm", required=True)
    diameter_mm: float = positive("diameter", 1000, unit="mm", required=True)


@record
class ElongationInput(Node):
    """A bolt that is stretched."""

    tension_kn: float = positive("tension", 1e6, unit="kN", required=True, find=PAPERS)
    modulus_gpa: float = positive(
        "modulus of elasticity", 1000, unit="GPa", required=True, hint="Steel has about 205 GPa (common practice, no source)."
    )
    d_mm: float = positive("outer diameter of the thread", 1000, unit="mm", required=True)
    pitch_mm: float = positive("pitch of the thread", 20, unit="mm", required=True)
    thread_length_mm: float = number(
        "stretched length of thread",
        unit="mm",
        low=0,
        high=1e5,
        required=True,
        help="The free thread, and half of that in the nut.",
    )
    shanks: tuple[ShankInput, ...] | None = records_of(ShankInput, "lengths of plain shank", one="length", most=50)


@record
class ElongationResult:
    """How far it stretches."""

    elongation_mm: float = number("elongation", unit="mm", required=True, source=HOOKE)
    mm_per_kn: float = number("elongation for each kN", unit="mm", required=True, source=HOOKE)


def _elongation(given: ElongationInput) -> Answer:
    thread = plan.Thread(given.d_mm, given.pitch_mm)
    parts = [(given.thread_length_mm, thread.core_area_mm2)]
    parts += [(shank.length_mm, plan.circle_area_mm2(shank.diameter_mm)) for shank in given.shanks or ()]
    stretch = plan.elongation_mm(given.tension_kn, given.modulus_gpa, parts)
    each = plan.elongation_mm(1.0, given.modulus_gpa, parts)
    lines = [
        Line(
            f"part {j}",
            "length / area",
            f"{short(length)} mm / {short(area)} mm²",
            f"{short(length / area)} 1/mm",
        )
        for j, (length, area) in enumerate(parts, 1)
    ]
    lines.append(
        Line(
            "elongation",
            "F / E · Σ(length / area)",
            f"F = {short(given.tension_kn)} kN, E = {short(given.modulus_gpa)} GPa",
            f"{short(stretch)} mm",
            HOOKE,
        )
    )
    return Answer(ElongationResult(elongation_mm=stretch, mm_per_kn=each), (), tuple(lines))


ELONGATION = Calculation(
    name="elongation",
    title="Stretch of a bolt",
    what="how far a bolt stretches under its tension",
    say="Type tension, thread and shank. Compare the result with what you measure on the bolt.",
    given=ElongationInput,
    result=ElongationResult,
    compute=_elongation,
    rules=slender_thread,
    example={
        "tension_kn": 190,
        "modulus_gpa": 206,
        "d_mm": 30,
        "pitch_mm": 3.5,
        "thread_length_mm": 35,
        "shanks": [{"length_mm": 180, "diameter_mm": 26}],
    },
    source=HOOKE,
    page="calculate/tightening.html#elongation",
    step=steps.CLOSE,
)

# ---------------------------------------------------------------- order of the bolts

CROSSWISE = "opposite pairs and a closing round: common practice, no source; 4, 8, 12 ... as ASME PCC-1 prints (from memory)"


@record
class BoltInput(Node):
    """A round of bolts and the stages of tightening."""

    bolts: int = whole("bolts, numbered round the circle", low=1, high=400, required=True)
    stages: tuple[float, ...] = numbers(
        "stages, in percent of the final torque", unit="%", low=0, high=100, most=20, apart=True, required=True, find=PAPERS
    )
    torque_nm: float | None = positive("final torque", LARGEST, unit="N·m", find=PAPERS)


@record
class BoltResult:
    """Every pass in order."""

    torque_nm: tuple[float, ...] | None = numbers("torque of each pass", unit="N·m", omit=True)
    passes: tuple[tuple[int, ...], ...] = wholes(
        "pass", nested=True, required=True, help="Bolt numbers in order.", source=CROSSWISE
    )


def _bolts(given: BoltInput) -> Answer:
    found = plan.passes(given.bolts, len(given.stages))
    notices = []
    if any(after <= before for before, after in zip(given.stages, given.stages[1:], strict=False)):
        notices.append(
            warning(
                "stages",
                f"The stages {listed([short(each) for each in given.stages])} % do not rise. Each stage is above the one "
                "before: check their order.",
            )
        )
    elif given.stages[-1] < 100.0 - 1e-9:
        words = f"The last stage is {short(given.stages[-1])} %. The bolts are tight at 100 % only: add that stage."
        notices.append(warning("stages", words))
    # The closing round is made at the last stage.
    levels = (*given.stages, given.stages[-1])
    torques = None if given.torque_nm is None else tuple(given.torque_nm * level / 100.0 for level in levels)
    lines = [
        Line(f"pass {j}", f"crosswise at {short(stage)} %", f"{given.bolts} bolts", _order(order), CROSSWISE if j == 1 else "")
        for j, (stage, order) in enumerate(zip(given.stages, found, strict=False), 1)
    ]
    last = f"once round at {short(given.stages[-1])} %"
    lines.append(Line(f"pass {len(found)}", last, "bolts relax as others are drawn", _order(found[-1])))
    return Answer(BoltResult(torque_nm=torques, passes=tuple(tuple(each) for each in found)), tuple(notices), tuple(lines))


def _order(bolts: list[int], most: int = 24) -> str:
    shown = "-".join(map(str, bolts[:most]))
    return shown if len(bolts) <= most else f"{shown}-…"


BOLT_ORDER = Calculation(
    name="bolt_order",
    title="Order of tightening",
    what="crosswise order of tightening, in stages, with a closing round",
    say="Type the number of bolts and the maker's stages. The bolts are numbered round the circle.",
    given=BoltInput,
    result=BoltResult,
    compute=_bolts,
    example={"bolts": 8, "stages": [30, 70, 100], "torque_nm": 640},
    source=CROSSWISE,
    page="calculate/tightening.html#bolt_order",
    step=steps.CLOSE,
)

# ---------------------------------------------------------------- units

EXACT = "exact by definition; NIST SP 811"
_WRITTEN = {"kgf/cm2": "kgf/cm²", "mm2/s": "mm²/s", "C": "°C", "F": "°F"}
CHOICES = {unit: f"{_WRITTEN.get(unit, unit.replace('.', '·'))} ({kind})" for unit, kind in units.KIND_OF.items()}


@record
class ConvertInput(Node):
    """A value and two units of one kind."""

    value: float = number("value", low=-LARGEST, high=LARGEST, required=True)
    from_: str = choice("unit of the value", CHOICES, required=True)
    to: str = choice("unit wanted", CHOICES, required=True, help="Of the same kind.")


@record
class ConvertResult:
    """The value in the unit wanted."""

    value: float = number("value in the unit wanted", unit_from="to", required=True, source=EXACT)


def _convert_rules(known: Known) -> Iterator[Problem]:
    unit, wanted, value = known.get("from"), known.get("to"), known.get("value")
    if unit is None:
        return
    least = units.least_of(unit)
    if value is not None and least is not None and value < least - 1e-9:
        yield problem(
            "value",
            value,
            f"Value: {short(value)} {unit} found. Nothing is below {short(least)} {unit}. Check the sign and the unit.",
        )
    if wanted is not None and units.KIND_OF[wanted] != units.KIND_OF[unit]:
        yield problem(
            "to",
            wanted,
            f"Unit wanted: {wanted} found, a {units.KIND_OF[wanted]}; {unit} is a {units.KIND_OF[unit]}. Allowed: "
            f"{listed(units.units_like(unit))}. Choose one of them.",
        )


def _convert(given: ConvertInput) -> Answer:
    found = units.convert(given.value, given.from_, given.to)
    one = units.convert(1.0, given.from_, given.to)
    scale = units.KIND_OF[given.from_] != units.TEMPERATURE
    line = Line(
        "value",
        f"1 {given.from_} = {one:.10g} {given.to}" if scale else "by way of °C",
        f"{short(given.value)} {given.from_}",
        f"{found:.10g} {given.to}",
        EXACT,
    )
    return Answer(ConvertResult(value=found), (), (line,))


CONVERT = Calculation(
    name="convert",
    title="Units",
    what="units of torque, pressure, length, temperature and viscosity",
    say="Type a value, its unit, and the unit that you want.",
    given=ConvertInput,
    result=ConvertResult,
    compute=_convert,
    rules=_convert_rules,
    example={"value": 45, "from": "kgf.m", "to": "N.m"},
    source=EXACT,
    page="calculate/tightening.html#convert",
    step=steps.CLOSE,
)
