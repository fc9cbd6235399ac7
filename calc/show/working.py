"""The working, line by line, to check by hand with a pocket calculator: symbol, formula with numbers, result, source."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from calc.findings import RodCorrection, UnitFindings
from calc.job.direction import named
from calc.job.model import AT_CONTACT, SPILL_OPENING, SUCTION_CLOSING, VALVE_EVENTS, Job
from calc.job.words import plain, signed
from calc.judge.event import JudgedEvent
from calc.judge.settings import Settings
from calc.judge.unit import EVENT_OF, JudgedUnit
from calc.measure.gum import Term
from calc.working import Line

NOUN = {SUCTION_CLOSING: "Start", SPILL_OPENING: "End"}
LETTER = {SUCTION_CLOSING: "c", SPILL_OPENING: "o"}


@dataclass(frozen=True, slots=True)
class Block:
    """Lines that belong together, under one heading; `terms` a budget that can be drawn beside them."""

    title: str
    lines: tuple[Line, ...]
    terms: tuple[Term, ...] = ()


def blocks(unit: UnitFindings, job: Job, settings: Settings) -> list[Block]:
    """The whole working of one unit in one stage.

    Parameters: the unit's findings, the job and the settings they came from.
    """
    judged = unit.judged
    if judged is None:
        return []
    found = []
    for event in VALVE_EVENTS:
        if event in judged.events:
            each = judged.events[event]
            found.append(
                Block(
                    named(f"{NOUN[event]} of delivery", judged.direction),
                    tuple(_event_lines(each, settings)),
                    each.budgets.angle,
                )
            )
    found.append(Block("The unit", tuple(_unit_lines(unit, judged, settings))))
    if unit.corrections:
        found.append(Block("Correction", tuple(_correction_lines(unit, judged, settings))))
    if unit.cut_out or unit.quantity:
        found.append(Block("Cut-out and quantity", tuple(_rest_lines(unit, judged, job, settings))))
    if judged.tdc or judged.survey or judged.index_line:
        found += _around(judged, job, settings)
    return [block for block in found if block.lines]


def _around(judged: JudgedUnit, job: Job, settings: Settings) -> Iterator[Block]:
    """What was measured around the check; imported here, since few jobs have it."""
    from calc.show import around_working as lines

    if judged.tdc is not None:
        yield Block("TDC check", tuple(lines.tdc_lines(judged.tdc, job.instruments.angle_scale.step_deg)))
    if judged.survey is not None:
        yield Block("Cam survey", tuple(lines.survey_lines(judged.survey, judged)))
    if judged.index_line is not None:
        yield Block("Spill lift over fuel index", tuple(lines.index_lines(judged.index_line, settings)))


def _event_lines(each: JudgedEvent, settings: Settings) -> Iterator[Line]:
    found, unit, event = each.finding, each.unit, each.event
    e = LETTER[event]
    h, f, k = unit.lift_mm[event], unit.angle_deg[event], unit.flank[event].slope
    reading = each.placed.reading
    secant = unit.flank[event].is_secant
    if secant:
        start, end = SUCTION_CLOSING, SPILL_OPENING
        yield Line(
            "cam slope k (secant, known to 15 %)",
            "(h_o − h_c) / (f_o − f_c)",
            f"({plain(unit.lift_mm[end], 2)} − {plain(unit.lift_mm[start], 2)}) / ({plain(unit.angle_deg[end], 2)} − "
            f"{plain(unit.angle_deg[start], 2)})",
            f"{plain(k)} mm/°",
        )
    else:
        yield Line(
            "cam slope k (lift table)",
            f"slope of the curve at h_{e}",
            f"at {plain(h, 2)} mm",
            f"{plain(k)} mm/°",
            "Fritsch and Butland 1984",
        )
    if reading.method == AT_CONTACT:
        yield Line(
            f"event lift H_{e}",
            "mean plunger lift at contact",
            _repeats(reading.plunger_lift_mm),
            f"{plain(found.lift_mm)} mm",
        )
    else:
        sign = "+" if event == SUCTION_CLOSING else "−"
        yield Line(
            f"event lift H_{e}",
            f"h_{e} {sign} (v − s) / i",
            f"{plain(h, 2)} {sign} ({plain(each.read_lift_mm)} − {plain(settings.seat_contact_mm, 3)}) / {each.ratio:g}",
            f"{plain(found.lift_mm)} mm",
        )
    yield Line(
        f"lift deviation D_{e}",
        f"H_{e} − h_{e}",
        f"{plain(found.lift_mm)} − {plain(h, 2)}",
        f"{signed(found.lift_deviation_mm, 4)} mm",
    )
    along = "D / k" if secant else "along the curve from h to h + D"
    yield Line(
        "travel of D",
        along,
        f"{plain(found.lift_deviation_mm)} / {plain(k)}" if secant else "",
        f"{signed(each.travel_deg, 4)}°",
    )
    if reading.method == AT_CONTACT:
        yield Line("event angle", "mean angle at contact", _repeats(reading.crank_angle_deg), f"{plain(found.angle_deg)}°")
    else:
        yield Line(
            "event angle",
            "F + travel",
            f"{plain(each.read_angle_deg)} + ({plain(each.travel_deg)})",
            f"{plain(found.angle_deg)}°",
        )
    yield Line(
        f"angle deviation A_{e}",
        "event angle − f",
        f"{plain(found.angle_deg)} − ({plain(f, 2)})",
        f"{signed(found.deviation_deg, 4)}°",
    )
    yield Line(
        f"cam part P_{e}",
        f"A_{e} − travel",
        f"{plain(found.deviation_deg)} − ({plain(each.travel_deg)})",
        f"{signed(found.cam_part_deg, 4)}°",
    )
    for name, terms, u, unit_name in (
        (f"u(H_{e})", each.budgets.lift, found.u_lift_mm, " mm"),
        ("u(event angle)", each.budgets.angle, found.u_deg, "°"),
        (f"u(P_{e})", each.budgets.cam_part, found.u_cam_part_deg, "°"),
    ):
        yield Line(name, "√ of the sum of squares", _terms(terms), f"{plain(u)}{unit_name}", "JCGM 100:2008, eq. 10")
    dof = "∞" if each.dof == float("inf") else f"{each.dof:.0f}"
    yield Line("degrees of freedom", "Welch-Satterthwaite, rounded down", "", dof, "JCGM 100:2008, G.4.1")
    yield Line(
        "95 % range",
        "t · u(event angle)",
        f"{plain(found.expanded_deg / found.u_deg, 3)} · {plain(found.u_deg)}",
        f"±{plain(found.expanded_deg)}°",
        "JCGM 100:2008, G.3.2",
    )
    yield Line(
        "probability of being within",
        "F((T − A)/u) − F((−T − A)/u)",
        f"T = {settings.tolerance_deg:g}°",
        f"{100.0 * found.probability_within:.2f} %",
        "JCGM 106:2012, 7",
    )


def _repeats(values: tuple[float, ...] | None) -> str:
    shown = [f"{value:g}".replace("-", "−") for value in (values or ())[:8]]
    more = len(values or ()) - len(shown)
    return ", ".join(shown) + (f" and {more} more" if more > 0 else "")


def _terms(terms: tuple[Term, ...]) -> str:
    return ", ".join(
        f"{term.name} {plain(term.u)}" + ("" if term.dof == float("inf") else f" (ν {term.dof:.0f})")
        for term in terms
        if term.u
    )


def _unit_lines(unit: UnitFindings, judged: JudgedUnit, settings: Settings) -> Iterator[Line]:
    if unit.effective_stroke_mm is not None:
        stroke = unit.effective_stroke_mm
        start, end = (judged.events[event].finding for event in VALVE_EVENTS)
        yield Line(
            "effective stroke",
            "H_o − H_c",
            f"{plain(end.lift_mm)} − {plain(start.lift_mm)}",
            f"{plain(stroke.value)} mm (u {plain(stroke.u)} mm)",
        )
    if unit.delivery_angle_deg is not None:
        delivery = unit.delivery_angle_deg
        start, end = (judged.events[event].finding for event in VALVE_EVENTS)
        yield Line(
            "delivery angle",
            "F_o − F_c",
            f"{plain(end.angle_deg)} − ({plain(start.angle_deg)})",
            f"{plain(delivery.value)}° (u {plain(delivery.u)}°)",
        )
    if judged.disagreement is not None:
        start, end = (judged.events[event].finding for event in VALVE_EVENTS)
        yield Line(
            "do start and end agree?",
            "P_c − P_o against 3 u and T/3",
            f"{plain(start.cam_part_deg)} − ({plain(end.cam_part_deg)}); 3 u = {plain(3.0 * judged.disagreement.u)}°; "
            f"T/3 = {plain(settings.tolerance_deg / 3.0)}°",
            f"{signed(judged.disagreement.value, 4)}°",
        )
    if unit.cam_part_deg is not None:
        yield Line(
            "cam part of the unit",
            "weighted mean of P",
            "weights 1 / (u² − u_t²)",
            f"{signed(unit.cam_part_deg.value, 4)}°",
        )
    if unit.own_cam_part_deg is not None and unit.cam_part_deg is not None:
        own, part = unit.own_cam_part_deg, unit.cam_part_deg
        yield Line(
            "own cam part",
            "cam part − median of all units",
            f"{plain(part.value)} − ({plain(part.value - own.value)})",
            f"{signed(own.value, 4)}° (u {plain(own.u)}°)",
        )


def _correction_lines(unit: UnitFindings, judged: JudgedUnit, settings: Settings) -> Iterator[Line]:
    for each in unit.corrections:
        if not isinstance(each, RodCorrection):
            yield Line("cam position", "− own cam part", "", f"{signed(each.change_deg, 3)}°")
            continue
        event = EVENT_OF[each.part]
        e, error = LETTER[event], judged.events[event].lift_error_mm
        minus = (event == SUCTION_CLOSING) == settings.lengthening_opens
        sign = "−" if minus else ""
        yield Line(
            f"rod change, {NOUN[event].lower()}",
            f"{sign}i_{e} D_{e}",
            f"{sign}{settings.ratio[event]:g} · ({plain(error)})",
            f"{signed(each.change_mm, 4)} mm",
        )
        if each.turns is not None and each.flats is not None and settings.pitch_mm is not None:
            yield Line("turns", "change / pitch", f"{plain(each.change_mm)} / {settings.pitch_mm:g}", signed(each.turns, 4))
            yield Line("flats", "6 · turns", f"6 · ({plain(each.turns)})", signed(each.flats, 3))
    after = unit.after_correction
    if after is not None and after.zero_index_opening_mm is not None and judged.opening_mm is not None:
        turned = {EVENT_OF[each.part] for each in unit.corrections if isinstance(each, RodCorrection)}
        spill, suction = (
            plain(judged.events[event].lift_error_mm) if event in turned else "0" for event in (SPILL_OPENING, SUCTION_CLOSING)
        )
        yield Line(
            "zero-index opening after it",
            "z + i_o (D_o − D_c), 0 for a rod that stays",
            f"{plain(judged.opening_mm, 3)} + {settings.ratio[SPILL_OPENING]:g} · ({spill} − ({suction}))",
            f"{plain(after.zero_index_opening_mm)} mm",
        )


def _rest_lines(unit: UnitFindings, judged: JudgedUnit, job: Job, settings: Settings) -> Iterator[Line]:
    opening, stroke = unit.cut_out, unit.effective_stroke_mm
    if opening is not None:
        ratio = settings.ratio[SPILL_OPENING]
        w = (opening.opening_mm - settings.seat_contact_mm) / ratio
        yield Line(
            "lift beyond the seat "
            "w", "(z − s) / i_o", f"({plain(opening.opening_mm, 3)} − {settings.seat_contact_mm:g}) / {ratio:g}",
            f"{plain(w)} mm",
        )  # fmt: skip
        if opening.zero_delivery_index is not None and stroke is not None:
            yield Line(
                "index of zero delivery",
                "I w / (H_o − H_c + w)",
                f"{settings.fuel_index:g} · {plain(w)} / ({plain(stroke.value)} + {plain(w)})",
                plain(opening.zero_delivery_index, 3),
            )
    fuel = unit.quantity
    if fuel is None or stroke is None:
        return
    if fuel.cm3_per_cycle is not None:
        diameter = job.engine.plunger_diameter_mm
        yield Line(
            "volume a cycle",
            "π d² / 4 · stroke",
            f"π · {diameter:g}² / 4 · {plain(stroke.value)}",
            f"{plain(fuel.cm3_per_cycle, 3)} cm³",
        )
    if fuel.g_per_cycle is not None and fuel.cm3_per_cycle is not None:
        yield Line(
            "mass a cycle",
            "volume · density at the pump",
            f"{plain(fuel.cm3_per_cycle, 3)} · {plain(1000.0 * fuel.g_per_cycle / fuel.cm3_per_cycle, 1)} / 1000",
            f"{plain(fuel.g_per_cycle, 3)} g",
            "ASTM D1250",
        )
    if fuel.injection_ms is not None and unit.delivery_angle_deg is not None:
        speed = job.engine.speed_rpm
        yield Line(
            "time of delivery",
            "angle / (6 n) · 1000",
            f"{plain(unit.delivery_angle_deg.value)} / (6 · {speed:g})",
            f"{plain(fuel.injection_ms, 2)} ms",
        )
