"""How sure a reading is: the bell and the tolerance, what makes the doubt, and what a coarse scale can never prove."""

from __future__ import annotations

from math import exp, inf, sqrt

from calc.job.model import SUCTION_CLOSING
from calc.job.words import plain, short
from calc.measure.conformity import (
    PROVEN,
    WITHIN,
    largest_provable_deviation,
    largest_provable_u,
    symmetric_probability,
)
from calc.measure.gum import COVERAGE, combined, expanded, resolution, root_sum_square
from calc.measure.student import normal_cdf
from calc.pump.doubt import ANGLE_SCALE, REPEATED
from calc.show.charts import budget
from calc.show.draw import picture
from calc.show.principles.chart import DASHES, Chart, figure, page_part, spread, table
from calc.show.principles.example import Example

_DEVIATION, _U = 0.30, 0.12
_HALF_DEGREE, _FINE = 0.5, 0.1
_PRACTICE_DEG = 0.3  # Common practice, no source.


def question(given: Example) -> str:
    """The question that opens the page."""
    return (
        f"You read {plain(_DEVIATION, 2)}° late. The tolerance is ±{plain(given.settings.tolerance_deg, 2)}°. Is the unit "
        f"within? That depends on how well {plain(_DEVIATION, 2)}° is known.\n"
    )


def few_readings() -> str:
    """Student's t for few and many repeats."""
    rows = [[f"{n}", f"{n - 1}", plain(expanded(1.0, float(n - 1)), 2)] for n in (2, 3, 4, 6, 11, 31, 101)]
    heads = ["Repeats of one kind", "Degrees of freedom", f"Student's *t* for {100.0 * COVERAGE:.0f} %"]
    return page_part(table(heads, [*rows, ["without end", "without end", plain(expanded(1.0, inf), 2)]]))


_NORMAL_STEP, _NORMAL_ROWS = 0.2, 16


def normal() -> str:
    """The normal distribution, so that a probability can be worked out with a pocket calculator."""
    rows = [
        [plain(z, 1), *(plain(100.0 * normal_cdf(z + half * _NORMAL_STEP / 2.0), 2) for half in (0, 1))]
        for z in (_NORMAL_STEP * row for row in range(_NORMAL_ROWS))
    ]
    heads = ["*z*", "*F*(*z*), %", f"*F*(*z* + {plain(_NORMAL_STEP / 2.0, 1)}), %"]
    return page_part(
        table(heads, rows),
        "Between two values, go in proportion. Below 0 it is *F*(−*z*) = 100 % − *F*(*z*); from 3.2 on take 100 %.",
    )


def probability(given: Example) -> str:
    """One reading as a bell over the tolerance band, and the share of it that lies inside."""
    tolerance = given.settings.tolerance_deg
    inside = symmetric_probability(_DEVIATION, _U, tolerance)
    edge = 1.1 * (_DEVIATION + 3.5 * _U)

    def bell(x: float) -> float:
        return exp(-0.5 * ((x - _DEVIATION) / _U) ** 2)

    panel = Chart((-edge, edge), (0.0, 1.12), 40.0, 150.0)
    drawn = [
        panel.stretch(-tolerance, tolerance),
        panel.area([(x, bell(x)) for x in spread(-tolerance, tolerance)]),
        panel.frame("deviation, °", "how likely"),
        panel.curve([(x, bell(x)) for x in spread(-edge, edge, 160)]),
        panel.upright(-tolerance, f"−{plain(tolerance, 2)}°", row=1),
        panel.upright(tolerance, f"+{plain(tolerance, 2)}°", row=1),
        panel.upright(_DEVIATION, "", row=1),
        panel.words(_DEVIATION, 0.5, f"{100.0 * inside:.0f} %", "end"),
    ]
    said = (
        f"A bell around {plain(_DEVIATION, 2)}° with a standard uncertainty of {plain(_U, 2)}°. {100.0 * inside:.1f} % of "
        f"it lies within ±{plain(tolerance, 2)}°."
    )
    rows = [
        [
            f"{plain(u, 2)}°",
            f"±{plain(expanded(u, inf), 2)}°",
            f"{100.0 * symmetric_probability(_DEVIATION, u, tolerance):.1f} %",
            "within" if symmetric_probability(_DEVIATION, u, tolerance) >= PROVEN else "too close to tell",
            _most(u, tolerance),
        ]
        for u in (0.05, 0.09, _U, 0.20, 0.25)
    ]
    return page_part(
        figure(
            picture("bell", 240.0, "A reading, its doubt and the tolerance", said, drawn),
            f"Read: {plain(_DEVIATION, 2)}° late, with a standard uncertainty of {plain(_U, 2)}°. The pale band is the "
            f"tolerance. The dark share, {100.0 * inside:.0f} %, is the probability that the true angle is inside.",
        ),
        f"The same reading of {plain(_DEVIATION, 2)}° with better and worse instruments:",
        table(
            [
                "Standard uncertainty",
                f"{100.0 * COVERAGE:.0f} % range",
                "Probability of within",
                "Verdict",
                "Most that can be proven within",
            ],
            rows,
        ),
    )


def _most(u: float, tolerance: float) -> str:
    most = largest_provable_deviation(u, tolerance)
    return "nothing at all" if most is None else f"±{plain(most, 2)}°"


def where_it_comes_from(given: Example) -> str:
    """The budget of the example's start as bars, and as a table."""
    event = given.judged.events[SUCTION_CLOSING]
    terms = [term for term in event.budgets.angle if term.u]
    u = combined(terms)
    rows = [
        [term.name, f"{plain(term.u, 4)}°", f"{100.0 * (term.u / u) ** 2:.0f} %"]
        for term in sorted(terms, key=lambda term: -term.u)
    ]
    coarse = root_sum_square((*(term.u for term in terms if term.name != ANGLE_SCALE), resolution(_HALF_DEGREE)))
    return page_part(
        figure(
            budget(terms, "Where the doubt of a start angle comes from"),
            "Where the doubt of one start angle of the demo comes from: shares of the variance.",
        ),
        table(["Part", "Standard uncertainty", "Share of the variance"], [*rows, ["**together**", f"**{plain(u, 4)}°**", ""]]),
        f"Together they are {plain(u, 3)}°, far less than their sum of {plain(sum(term.u for term in terms), 3)}°: squares add "
        f"up. With a scale read to half a degree in place of this one it would be {plain(coarse, 3)}°.",
    )


def repeats(given: Example) -> str:
    """What more readings do, and what they do not."""
    event = given.judged.events[SUCTION_CLOSING]
    fixed = combined(term for term in event.budgets.angle if term.name not in REPEATED)
    scatter = given.settings.stated_repeatability["crank_angle_deg"]
    counts = (1, 2, 4, 8, 16, 100)
    rows = [
        [f"{n}", f"{plain(scatter / sqrt(n), 4)}°", f"{plain(root_sum_square((fixed, scatter / sqrt(n))), 4)}°"] for n in counts
    ]
    return page_part(
        table(["Readings", "Doubt of their mean from scatter", "Doubt of the angle"], rows),
        f"The scatter shrinks. The {plain(fixed, 4)}° of scale, pointer and gauges stay, however often you read.",
    )


def half_degree(given: Example) -> str:
    """The probability of being within ±0.3° over the deviation that was read, for scales of two steps."""
    event = given.judged.events[SUCTION_CLOSING]
    rest = combined(term for term in event.budgets.angle if term.name != ANGLE_SCALE)
    most_u, alone = largest_provable_u(_PRACTICE_DEG), resolution(_HALF_DEGREE)
    room = sqrt(most_u**2 - alone**2)
    panel = Chart((0.0, 0.8), (0.0, 108.0), 40.0, 190.0)
    steps = spread(0.0, 0.8)
    curves = {step: root_sum_square((resolution(step), rest)) for step in (_HALF_DEGREE, _FINE)}

    def percent(step: float, at: float) -> float:
        return 100.0 * symmetric_probability(at, curves[step], _PRACTICE_DEG)

    drawn = [
        panel.stretch(0.0, _PRACTICE_DEG),
        panel.frame("deviation that was read, °", "probability of being within, %"),
        panel.level_at(100.0 * PROVEN, f"{100.0 * PROVEN:.0f} %: proven within", dashed=True, above=False),
        panel.level_at(100.0 * (1.0 - PROVEN), dashed=True),
        # At the left, where no curve comes so low.
        panel.words(0.0, 100.0 * (1.0 - PROVEN), f"{100.0 * (1.0 - PROVEN):.0f} %: proven outside", up=4.0),
        panel.cam([(at, percent(_HALF_DEGREE, at)) for at in steps]),
        panel.curve([(at, percent(_FINE, at)) for at in steps], DASHES),
        panel.upright(_PRACTICE_DEG, f"{plain(_PRACTICE_DEG, 1)}°", row=1),
        panel.words(0.42, percent(_HALF_DEGREE, 0.42), f"read to {plain(_HALF_DEGREE, 1)}°"),
        panel.words(0.33, 72.0, f"dashed: read to {plain(_FINE, 1)}°"),
    ]
    said = (
        f"With a scale read to {plain(_HALF_DEGREE, 1)}° the probability starts at {percent(_HALF_DEGREE, 0.0):.1f} % and "
        f"falls slowly; with {plain(_FINE, 1)}° it stays high until near the limit and falls fast."
    )
    f = given.unit.angle_deg[SUCTION_CLOSING]
    nearest = round(f / _HALF_DEGREE) * _HALF_DEGREE
    off = abs(nearest - f)
    sure = percent(_HALF_DEGREE, off)
    return page_part(
        figure(
            picture("half-degree", 296.0, "What a scale read to half a degree can prove", said, drawn),
            "Solid: a scale read to half a degree. Dashed: to a tenth. The pale band is the tolerance of "
            f"±{plain(_PRACTICE_DEG, 1)}° (common practice, no source). The rest of the doubt, {plain(rest, 3)}°, is that of "
            "the demo.",
        ),
        "\n".join(
            [
                f"- To prove ±{plain(_PRACTICE_DEG, 1)}° at all, the standard uncertainty may be at most {plain(most_u, 3)}°.",
                f"- A scale read to half a degree takes {plain(alone, 3)}° of that by itself: {short(_HALF_DEGREE)}° / √12.",
                f"- All the rest together (pointer, gauges, scatter) may then have at most {plain(room, 3)}°.",
                f"- The demo's rest has {plain(rest, 3)}°. So a reading that is off by exactly 0° gives "
                f"{percent(_HALF_DEGREE, 0.0):.1f} %: "
                + ("just enough." if percent(_HALF_DEGREE, 0.0) >= 100.0 * PROVEN else "not enough."),
                f"- And 0° cannot be read: the reference is {plain(abs(f), 2)}° before TDC. The nearest mark, "
                f"{plain(abs(nearest), 1)}°, is {plain(off, 2)}° away. There the probability is {sure:.1f} %: "
                + ("within." if sure >= 100.0 * PROVEN else "too close to tell."),
                f"- With a scale read to {plain(_FINE, 1)}° the same instruments prove every reading up to "
                f"{_most(curves[_FINE], _PRACTICE_DEG)}.",
            ]
        ),
    )


def scales(given: Example) -> str:
    """What each scale can prove, with the rest of the demo's instruments."""
    event = given.judged.events[SUCTION_CLOSING]
    rest = combined(term for term in event.budgets.angle if term.name != ANGLE_SCALE)
    rows = []
    for step in (1.0, _HALF_DEGREE, 0.25, 0.2, _FINE, 0.05):
        u = root_sum_square((resolution(step), rest))
        rows.append(
            [
                f"{short(step)}°",
                f"{plain(resolution(step), 3)}°",
                f"{plain(u, 3)}°",
                _most(u, _PRACTICE_DEG),
                f"±{plain(_PRACTICE_DEG * u / largest_provable_u(_PRACTICE_DEG), 2)}°",
            ]
        )
    return page_part(
        table(
            [
                "Scale read to",
                "Its standard uncertainty",
                "With the rest",
                f"Proven {WITHIN} ±{plain(_PRACTICE_DEG, 1)}° up to",
                "Smallest tolerance that it can prove",
            ],
            rows,
        )
    )
