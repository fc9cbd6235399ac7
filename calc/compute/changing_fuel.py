"""Changing from one fuel to another: by dilution, within a limit of temperature, with a timetable."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from calc.compute.answer import Answer, Calculation, Known, Notice, no_answer, warning
from calc.compute.fuel_oil import MIXING, hotter_is_thinner, viscosity_line, viscosity_points
from calc.compute.limits import ANALYSIS, LARGEST, missing, percent, positive, temperature
from calc.findings import Findings
from calc.fuel.viscosity import HIGHEST_MM2_S, LOWEST_MM2_S
from calc.job import steps
from calc.job.describe import number, record, records_of
from calc.job.model import Job, Node
from calc.job.problems import Problem
from calc.job.words import short
from calc.plan import change_over as plan
from calc.working import Line

STIRRED = "balance of a stirred tank: dc/dt = (Q/V) (c_in − c)"
VOLUME = {"unit": "m³", "required": True, "find": "The fuel system's drawing: all that is mixed up to the pumps."}
FLOW = {"unit": "m³/h", "required": True, "find": "What the engine burns, not what the pump circulates."}
PUMPS = "The maker's limit for the pumps."

# ---------------------------------------------------------------- dilution


@record
class DilutionInput(Node):
    """A stirred volume, what flows through it, and the content to reach."""

    volume_m3: float = positive("stirred volume", 1e6, **VOLUME)
    flow_m3_h: float = positive("flow through it", 1e6, **FLOW)
    start: float = number(
        "content at the start", low=-LARGEST, high=LARGEST, required=True, help="Any unit, such as % sulphur."
    )
    feed: float = number("content of what flows in", low=-LARGEST, high=LARGEST, required=True, help="The same unit.")
    target: float = number("content to reach", low=-LARGEST, high=LARGEST, required=True, help="The same unit.")


@record
class DilutionResult:
    """How long it takes."""

    hours: float | None = number("time until the target", unit="h", source=STIRRED)
    volumes: float | None = number("times that the stirred volume flows through", source=STIRRED)


def _never(start: float, feed: float, target: float, noun: str = "content") -> str:
    low, high = sorted((start, feed))
    return (
        f"The {noun} {short(target)} is never reached from {short(start)} with {short(feed)} flowing in. It stays between "
        f"{short(low)} and {short(high)} and only comes near {short(feed)}. Choose a target between them, or another fuel."
    )


def _dilution(given: DilutionInput) -> Answer:
    volumes = plan.volumes_to_reach(given.start, given.feed, given.target)
    if volumes is None:
        return Answer(DilutionResult(), (no_answer("target", _never(given.start, given.feed, given.target)),))
    hours = volumes * given.volume_m3 / given.flow_m3_h
    numbers_in = f"start {short(given.start)}, feed {short(given.feed)}, target {short(given.target)}"
    working = (
        Line("volumes", "ln[(start − feed) / (target − feed)]", numbers_in, short(volumes), STIRRED),
        Line(
            "time",
            "volumes · V / Q",
            f"V = {short(given.volume_m3)} m³, Q = {short(given.flow_m3_h)} m³/h",
            f"{short(hours)} h",
            STIRRED,
        ),
    )
    return Answer(DilutionResult(hours=hours, volumes=volumes), (), working)


DILUTION = Calculation(
    name="dilution",
    title="Flushing time",
    what="time until a new fuel has flushed the old one out, such as its sulphur",
    say="Type the stirred volume, the flow through it, and the contents. All contents have the same unit.",
    given=DilutionInput,
    result=DilutionResult,
    compute=_dilution,
    example={"volume_m3": 6, "flow_m3_h": 1.2, "start": 0.48, "feed": 0.07, "target": 0.1},
    source=STIRRED,
    page="calculate/change-over.html#dilution",
)

# ---------------------------------------------------------------- cooling


@record
class CoolingInput(Node):
    """A stirred volume that takes the temperature of what flows in."""

    volume_m3: float = positive("stirred volume", 1e6, **VOLUME)
    flow_m3_h: float = positive("flow through it", 1e6, **FLOW)
    start_c: float = temperature("temperature at the start", required=True)
    feed_c: float = temperature("temperature of what flows in", required=True)
    limit_c_per_min: float = positive("fastest change allowed", 1000.0, unit="°C/min", required=True, find=PUMPS)


@record
class CoolingResult:
    """How fast the temperature changes, cooling or heating."""

    steepest_c_per_min: float = number("fastest change, at the start", unit="°C/min", required=True, source=STIRRED)
    largest_flow_m3_h: float | None = number("largest flow within the limit", unit="m³/h", source=STIRRED)
    least_minutes: float = number("shortest time on a straight ramp at the limit", unit="min", required=True)


def _cooling(given: CoolingInput) -> Answer:
    steepest = plan.steepest_c_per_min(given.volume_m3, given.flow_m3_h, given.start_c, given.feed_c)
    flow = plan.largest_flow_m3_h(given.volume_m3, given.start_c, given.feed_c, given.limit_c_per_min)
    minutes = plan.least_minutes(given.start_c, given.feed_c, given.limit_c_per_min)
    result = CoolingResult(steepest_c_per_min=steepest, largest_flow_m3_h=flow, least_minutes=minutes)
    notices: list[Notice] = []
    if flow is None:
        notices.append(
            no_answer("feed_c", f"Both temperatures are {short(given.start_c)} °C, so no flow is too large: there is no limit.")
        )
    elif steepest > given.limit_c_per_min * (1.0 + 1e-12):
        notices.append(_too_steep(steepest, given.limit_c_per_min, flow, "flow_m3_h"))
    span = f"|{short(given.start_c)} − {short(given.feed_c)}|"
    working = [
        Line(
            "fastest change",
            "(Q/V) |start − feed| / 60",
            f"{short(given.flow_m3_h)} / {short(given.volume_m3)} · {span} / 60",
            f"{short(steepest)} °C/min",
            STIRRED,
        ),
        Line("shortest time", "|start − feed| / limit", f"{span} / {short(given.limit_c_per_min)}", f"{short(minutes)} min"),
    ]
    if flow is not None:
        working.insert(
            1,
            Line(
                "largest flow",
                "60 · limit · V / |start − feed|",
                f"60 · {short(given.limit_c_per_min)} · {short(given.volume_m3)} / {span}",
                f"{short(flow)} m³/h",
                STIRRED,
            ),
        )
    return Answer(result, tuple(notices), tuple(working))


def _too_steep(steepest: float, limit: float, flow: float, where: str) -> Notice:
    return warning(
        where,
        f"The temperature changes by {short(steepest)} °C/min at the start; the limit is {short(limit)} °C/min. Keep the "
        f"flow at or below {short(flow)} m³/h, or lead the temperature with the heater.",
    )


COOLING = Calculation(
    name="cooling",
    title="Rate of temperature change",
    what="how fast the fuel's temperature changes at a change-over, against a limit",
    say="Type both temperatures and the fastest change that the maker of the pumps allows.",
    given=CoolingInput,
    result=CoolingResult,
    compute=_cooling,
    example={"volume_m3": 6, "flow_m3_h": 1.2, "start_c": 128, "feed_c": 38, "limit_c_per_min": 1.5},
    source=STIRRED,
    page="calculate/change-over.html#cooling",
)

# ---------------------------------------------------------------- change-over

_STEPS = 10
_WATCH = 400  # Points of the curve at which the viscosity is compared with its floor.


@record
class ChangeOverInput(Node):
    """Two fuels, the volume between change-over valve and pumps, and what is wanted before the engine stops."""

    volume_m3: float = positive("stirred volume up to the pumps", 1e6, **VOLUME)
    flow_m3_h: float = positive("flow through it", 1e6, **FLOW)
    residue_percent: float = number(
        "share of old fuel at which the pumps count as changed over",
        unit="%",
        low=0,
        low_open=True,
        high=100,
        required=True,
        find="The change-over procedure of the ship.",
    )
    hours_wanted: float = number(
        "time on the new fuel before stopping",
        unit="h",
        low=0,
        high=10_000,
        required=True,
        find="The change-over procedure of the ship.",
        hint="Half an hour or more is common practice (no source).",
    )
    old_c: float | None = temperature("temperature of the old fuel at the pumps")
    new_c: float | None = temperature("temperature of the new fuel")
    limit_c_per_min: float | None = positive("fastest change allowed", 1000.0, unit="°C/min", find=PUMPS)
    old_sulphur_percent: float | None = percent("sulphur of the old fuel", find=ANALYSIS)
    new_sulphur_percent: float | None = percent("sulphur of the new fuel", find=ANALYSIS)
    sulphur_limit_percent: float | None = percent("sulphur to reach", find="The rule that holds where the ship goes.")
    old_points: tuple[tuple[float, float], ...] | None = viscosity_points("viscosity of the old fuel at two temperatures")
    new_points: tuple[tuple[float, float], ...] | None = viscosity_points("viscosity of the new fuel at two temperatures")
    least_mm2_s: float | None = number(
        "least viscosity at the pumps", unit="mm²/s", low=LOWEST_MM2_S, high=HIGHEST_MM2_S, find=PUMPS
    )


@record
class TimetableRow:
    """The fuel at the pumps at one time."""

    hours: float = number("from start", unit="h", required=True)
    before_stop_h: float = number("to stop", unit="h", required=True)
    old_percent: float = number("old fuel", unit="%", required=True)
    temperature_c: float | None = number("temperature", unit="°C", omit=True)
    sulphur_percent: float | None = number("sulphur", unit="%", omit=True)
    viscosity_mm2_s: float | None = number("viscosity", unit="mm²/s", omit=True)


@record
class ChangeOverResult:
    """When to start, and what happens until the engine stops."""

    start_before_stop_h: float | None = number("turn the change-over valve before stopping", unit="h", source=STIRRED)
    changed_over_h: float = number("old fuel down to its share after", unit="h", required=True, source=STIRRED)
    sulphur_h: float | None = number("sulphur down to its limit after", unit="h", omit=True, source=STIRRED)
    ramp_h: float | None = number("shortest time for the temperature", unit="h", omit=True)
    steepest_c_per_min: float | None = number("fastest change, by mixing alone", unit="°C/min", omit=True, source=STIRRED)
    largest_flow_m3_h: float | None = number("largest flow within the limit", unit="m³/h", omit=True, source=STIRRED)
    new_viscosity_mm2_s: float | None = number("viscosity of the new fuel at its temperature", unit="mm²/s", omit=True)
    hottest_new_c: float | None = number("new fuel no hotter than", unit="°C", omit=True, source="ASTM D341")
    timetable: tuple[TimetableRow, ...] = records_of(TimetableRow, "timetable", required=True)


_LABELS = {
    "old_c": "Temperature of the old fuel",
    "new_c": "Temperature of the new fuel",
    "old_sulphur_percent": "Sulphur of the old fuel",
    "new_sulphur_percent": "Sulphur of the new fuel",
    "new_points": "Viscosity of the new fuel at two temperatures",
}


def _change_over_rules(known: Known) -> Iterator[Problem]:
    for key in ("old_points", "new_points"):
        yield from hotter_is_thinner(known, key)
    needs = {
        "limit_c_per_min": ("old_c", "new_c"),
        "sulphur_limit_percent": ("old_sulphur_percent", "new_sulphur_percent"),
        "least_mm2_s": ("new_points", "new_c"),
    }
    told = set()
    for key, others in needs.items():
        for other in others:
            if known.has(key) and not known.has(other) and other not in told:
                told.add(other)
                yield missing(other, f"{_LABELS[other]}: missing. {key} needs it. Enter it, or leave {key} out.")


def _change_over(given: ChangeOverInput) -> Answer:
    old = plan.Fuel(given.old_c, given.old_sulphur_percent, viscosity_line(given.old_points) if given.old_points else None)
    new = plan.Fuel(given.new_c, given.new_sulphur_percent, viscosity_line(given.new_points) if given.new_points else None)
    notices: list[Notice] = []
    hours_each_volume = given.volume_m3 / given.flow_m3_h
    volumes = plan.volumes_to_reach(100.0, 0.0, given.residue_percent)
    assert volumes is not None
    changed = volumes * hours_each_volume
    lines = [
        Line(
            "old fuel flushed out",
            "ln(100 / share) · V / Q",
            f"ln(100 / {short(given.residue_percent)}) · {short(given.volume_m3)} / {short(given.flow_m3_h)}",
            f"{short(changed)} h",
            STIRRED,
        )
    ]
    times: list[float | None] = [changed]
    sulphur_h = _sulphur(given, hours_each_volume, times, lines, notices)
    ramp_h, steepest, flow = _ramp(given, times, lines, notices)
    needed = [each for each in times if each is not None]
    start = max(needed) + given.hours_wanted if len(needed) == len(times) else None
    if start is not None:
        lines.append(
            Line(
                "start before stopping",
                "longest of these + time wanted",
                f"{short(max(needed))} + {short(given.hours_wanted)}",
                f"{short(start)} h",
            )
        )
    span = start if start is not None else max(needed) + given.hours_wanted
    thin, hottest = _viscosity(given, old, new, span, notices)
    return Answer(
        ChangeOverResult(
            start_before_stop_h=start,
            changed_over_h=changed,
            sulphur_h=sulphur_h,
            ramp_h=ramp_h,
            steepest_c_per_min=steepest,
            largest_flow_m3_h=flow,
            new_viscosity_mm2_s=thin,
            hottest_new_c=hottest,
            timetable=tuple(_timetable(given, old, new, max(needed), span)),
        ),
        tuple(notices),
        tuple(lines),
    )


def _sulphur(
    given: ChangeOverInput, hours_each_volume: float, times: list[float | None], lines: list[Line], notices: list[Notice]
) -> float | None:
    """Hours until the sulphur limit; adds to the times that are needed."""
    start, feed, target = given.old_sulphur_percent, given.new_sulphur_percent, given.sulphur_limit_percent
    if start is None or feed is None or target is None:
        return None
    volumes = 0.0 if start <= target and feed <= target else plan.volumes_to_reach(start, feed, target)
    if volumes is None:
        times.append(None)
        notices.append(no_answer("sulphur_limit_percent", _never(start, feed, target, "sulphur")))
        return None
    hours = volumes * hours_each_volume
    times.append(hours)
    lines.append(
        Line(
            "sulphur down to its limit",
            "ln[(S₁ − S₂) / (limit − S₂)] · V / Q",
            f"S₁ = {short(start)}, S₂ = {short(feed)}, limit {short(target)}",
            f"{short(hours)} h",
            STIRRED,
        )
    )
    return hours


def _ramp(
    given: ChangeOverInput, times: list[float | None], lines: list[Line], notices: list[Notice]
) -> tuple[float | None, float | None, float | None]:
    """Hours of the ramp, steepest change and largest flow; adds to the times that are needed."""
    if given.old_c is None or given.new_c is None:
        return None, None, None
    steepest = plan.steepest_c_per_min(given.volume_m3, given.flow_m3_h, given.old_c, given.new_c)
    limit = given.limit_c_per_min
    if limit is None:
        return None, steepest, None
    hours = plan.least_minutes(given.old_c, given.new_c, limit) / 60.0
    flow = plan.largest_flow_m3_h(given.volume_m3, given.old_c, given.new_c, limit)
    times.append(hours)
    numbers_in = f"|{short(given.old_c)} − {short(given.new_c)}| / {short(limit)} / 60"
    lines.append(Line("shortest time for the temperature", "|t₁ − t₂| / limit / 60", numbers_in, f"{short(hours)} h"))
    if flow is not None and steepest > limit * (1.0 + 1e-12):
        notices.append(_too_steep(steepest, limit, flow, "limit_c_per_min"))
    return hours, steepest, flow


def _viscosity(
    given: ChangeOverInput, old: plan.Fuel, new: plan.Fuel, span: float, notices: list[Notice]
) -> tuple[float | None, float | None]:
    """Viscosity of the new fuel at its temperature, and the hottest it may be; warns where the floor is passed."""
    if new.viscosity is None:
        return None, None
    thin = new.viscosity.at(given.new_c) if given.new_c is not None else None
    if given.least_mm2_s is None:
        return thin, None
    hottest = new.viscosity.temperature_for(given.least_mm2_s)
    floor = f"{short(given.least_mm2_s)} mm²/s"
    if thin is None or thin < given.least_mm2_s:
        said = "below the range of the equation" if thin is None else f"{short(thin)} mm²/s"
        remedy = "" if hottest is None else f" Cool it to {short(hottest)} °C or colder, or use a thicker fuel."
        notices.append(
            warning("least_mm2_s", f"The new fuel at {short(given.new_c or 0.0)} °C is {said}; the least is {floor}.{remedy}")
        )
    else:
        hours = [span * k / _WATCH for k in range(_WATCH + 1)]
        for each in plan.timetable(old, new, given.volume_m3, given.flow_m3_h, hours):
            if each.viscosity_mm2_s is not None and each.viscosity_mm2_s < given.least_mm2_s:
                notices.append(
                    warning(
                        "least_mm2_s",
                        f"After {short(each.hours)} h the mixture is {short(each.viscosity_mm2_s)} mm²/s; the least is "
                        f"{floor}. The fuel thins out before it has cooled: lower the temperature first, or the flow.",
                    )
                )
                break
    return thin, hottest


def _timetable(given: ChangeOverInput, old: plan.Fuel, new: plan.Fuel, changed_h: float, span: float) -> Iterator[TimetableRow]:
    hours = [changed_h * k / _STEPS for k in range(_STEPS + 1)]
    if span > changed_h:
        hours.append(span)
    for each in plan.timetable(old, new, given.volume_m3, given.flow_m3_h, hours):
        yield TimetableRow(
            hours=each.hours,
            before_stop_h=span - each.hours,
            old_percent=each.old_percent,
            temperature_c=each.temperature_c,
            sulphur_percent=each.sulphur_percent,
            viscosity_mm2_s=each.viscosity_mm2_s,
        )


def _change_over_from_job(job: Job, findings: Findings, typed: Mapping[str, Any]) -> Mapping[str, Any]:
    """The fuel of the job is the old one."""
    return {"old_c": None if job.fuel is None else job.fuel.temperature_c}


CHANGE_OVER = Calculation(
    name="change_over",
    title="Change of fuel before stopping",
    what="when to start changing fuel before stopping, with a timetable",
    say="It tells when to turn the change-over valve, so that the pumps have the new fuel long enough before the engine stops.",
    given=ChangeOverInput,
    result=ChangeOverResult,
    compute=_change_over,
    rules=_change_over_rules,
    example={
        "volume_m3": 2.4,
        "flow_m3_h": 1.6,
        "residue_percent": 4,
        "hours_wanted": 1.5,
        "old_c": 128,
        "new_c": 38,
        "limit_c_per_min": 1.5,
        "old_sulphur_percent": 0.48,
        "new_sulphur_percent": 0.07,
        "sulphur_limit_percent": 0.1,
        "old_points": [[50, 360], [100, 33]],
        "new_points": [[20, 5.4], [40, 3.3]],
        "least_mm2_s": 2.5,
    },
    source=f"{STIRRED}; mixing: {MIXING}",
    page="calculate/change-over.html#change_over",
    step=steps.SAFE,
    from_job=_change_over_from_job,
)
