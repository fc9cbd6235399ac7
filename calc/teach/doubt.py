"""Questions of lesson 6: how sure a reading is, and what would make it surer."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

from calc.job.words import plain, signed
from calc.measure.conformity import (
    OUTSIDE,
    PROVEN,
    UNCLEAR,
    WITHIN,
    as_read,
    largest_provable_u,
    probability_between,
    verdict,
)
from calc.measure.gum import root_sum_square
from calc.measure.student import t_quantile
from calc.pump.doubt import gauge_difference
from calc.teach.draw import Draw
from calc.teach.engine import mm
from calc.teach.question import Question, Slip, asks_choice, asks_number, slips_of
from calc.working import Line

_TOLERANCES = (0.35, 0.4, 0.45, 0.5, 0.6)


@dataclass(frozen=True, slots=True)
class GaugeDoubt:
    """The standard uncertainty of a lift."""

    step_mm: float
    limit_mm: float

    @classmethod
    def drawn(cls, draw: Draw) -> GaugeDoubt:
        """Gauges from fine to coarse."""
        return cls(draw.pick((0.01, 0.02, 0.05)), draw.number(0.01, 0.05, 0.002))

    def question(self) -> Question:
        """√(2 r²/12 + E²/3)."""
        r, limit = self.step_mm, self.limit_mm
        u = gauge_difference(r, limit)
        return Question(
            text=("A lift is the difference of two readings of one dial gauge.", "How large is its standard uncertainty?"),
            given=(("step r of the gauge", mm(r)), ("error limit of a difference", f"±{mm(limit, 3)}")),
            field=asks_number("standard uncertainty", "mm"),
            answer=u,
            slips=(
                Slip(limit, "An error limit is no standard uncertainty. An error that lies anywhere within ±E has E / √3."),
                Slip(limit / sqrt(3.0), "You left out the step. You read the gauge twice, each time to the nearest step."),
                Slip(
                    root_sum_square((r, limit)),
                    "Limits and steps are no standard uncertainties yet: E / √3, and r / √12 for each reading.",
                ),
                Slip(limit / sqrt(3.0) + sqrt(2.0) * r / sqrt(12.0), "You added the parts. Independent parts add as squares."),
            ),
            working=(
                Line(
                    "step, twice",
                    "√2 · r / √12",
                    f"√2 · {plain(r, 3)} / √12",
                    mm(sqrt(2.0) * r / sqrt(12.0), 5),
                    "JCGM 100:2008, F.2.2.1",
                ),
                Line("error limit", "E / √3", f"{plain(limit, 3)} / √3", mm(limit / sqrt(3.0), 5), "JCGM 100:2008, 4.3.7"),
                Line("u", "√ of the sum of squares", "", mm(u, 5), "JCGM 100:2008, eq. 10"),
            ),
            so="The largest part decides. The others hardly count once they are squared.",
            decimals=4,
        )


@dataclass(frozen=True, slots=True)
class Repeats:
    """What repeats do to the doubt of an angle, and what they leave."""

    scatter_deg: float
    pointer_deg: float
    count: int

    @classmethod
    def drawn(cls, draw: Draw) -> Repeats:
        """A pointer that no repeat cures."""
        return cls(draw.number(0.1, 0.3, 0.01), draw.number(0.08, 0.2, 0.01), draw.pick((3, 4, 5, 6)))

    def question(self) -> Question:
        """√(s²/n + u_t²)."""
        s, pointer, n = self.scatter_deg, self.pointer_deg, self.count
        u = root_sum_square((s / sqrt(n), pointer))
        return Question(
            text=(
                f"You read the same angle {n} times and take the mean.",
                "How large is the standard uncertainty of the mean?",
            ),
            given=(("scatter s of one reading", f"{plain(s, 2)}°"), ("pointer, standard uncertainty", f"{plain(pointer, 2)}°")),
            field=asks_number("standard uncertainty", "°"),
            answer=u,
            slips=(
                Slip(
                    root_sum_square((s, pointer)) / sqrt(n),
                    "Repeats do not cure a pointer. It is wrong by the same each time: only the scatter shrinks.",
                ),
                Slip(root_sum_square((s, pointer)), "That is one reading's. The scatter of a mean is s / √n."),
                Slip(s / sqrt(n), "You left out the pointer. Its error is in every reading, and so in the mean."),
                Slip(root_sum_square((s / n, pointer)), "You divided by n. The scatter of a mean shrinks with the root of n."),
            ),
            working=(
                Line(
                    "scatter of the mean",
                    "s / √n",
                    f"{plain(s, 2)} / √{n}",
                    f"{plain(s / sqrt(n), 4)}°",
                    "JCGM 100:2008, 4.2.3",
                ),
                Line(
                    "u",
                    "√(s²/n + u_t²)",
                    f"√({plain(s / sqrt(n), 4)}² + {plain(pointer, 2)}²)",
                    f"{plain(u, 4)}°",
                    "JCGM 100:2008, eq. 10",
                ),
            ),
            so=f"However often you read, it stays above {plain(pointer, 2)}°.",
            decimals=3,
        )


@dataclass(frozen=True, slots=True)
class Probability:
    """How probable it is that a deviation is really inside."""

    deviation_deg: float
    u_deg: float
    tolerance_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> Probability:
        """A reading inside, but not far inside."""
        tolerance = draw.pick(_TOLERANCES)
        return cls(round(tolerance - draw.number(0.04, 0.2, 0.01), 2), draw.number(0.06, 0.16, 0.01), tolerance)

    @property
    def probability(self) -> float:
        """The probability of conformity [1]."""
        return probability_between(self.deviation_deg, self.u_deg, inf, -self.tolerance_deg, self.tolerance_deg)

    @property
    def known(self) -> tuple[tuple[str, str], ...]:
        """The three numbers in words."""
        return (
            ("deviation x", f"{signed(self.deviation_deg, 2)}°"),
            ("standard uncertainty u", f"{plain(self.u_deg, 2)}°"),
            ("tolerance", f"±{plain(self.tolerance_deg, 2)}°"),
        )

    @property
    def line(self) -> Line:
        """The line that finds the probability."""
        x, u, t = self.deviation_deg, self.u_deg, self.tolerance_deg
        return Line(
            "probability of being within",
            "F((T − x)/u) − F((−T − x)/u)",
            f"F({plain((t - x) / u, 3)}) − F({plain((-t - x) / u, 3)})",
            f"{plain(100.0 * self.probability, 2)} %",
            "JCGM 106:2012, 7",
        )

    def question(self) -> Question:
        """By the normal distribution."""
        x, u, t = self.deviation_deg, self.u_deg, self.tolerance_deg
        p = 100.0 * self.probability
        doubled = 100.0 * probability_between(x, 2.0 * u, inf, -t, t)
        return Question(
            text=(
                "The uncertainty comes from the instruments alone, so a normal distribution serves.",
                "How probable is it that the true deviation is within the tolerance?",
            ),
            given=self.known,
            field=asks_number("probability", "%"),
            answer=p,
            slips=(
                Slip(100.0, "Inside as read is no proof. The true value may lie beyond the limit, u or more from the reading."),
                Slip(100.0 - p, "That is the probability of being outside."),
                Slip(doubled, "You took 2 u for u. Divide the distance to the limit by the standard uncertainty."),
            ),
            working=(self.line,),
            so="From 95 % on it is proven inside. Below, it is too close to tell.",
            decimals=1,
        )


@dataclass(frozen=True, slots=True)
class Proven(Probability):
    """The three-way verdict."""

    @classmethod
    def drawn(cls, draw: Draw) -> Proven:
        """Readings well inside, near the limit on both sides, well outside."""
        tolerance = draw.pick(_TOLERANCES)
        off = draw.pick((-0.25, -0.1, -0.06, 0.05, 0.1, 0.3))
        return cls(round(tolerance + off, 2), draw.number(0.04, 0.12, 0.01), tolerance)

    def question(self) -> Question:
        """From probability and reading."""
        x, t = self.deviation_deg, self.tolerance_deg
        read = as_read(x, -t, t)
        answer = verdict(self.probability, read)
        p = f"{plain(100.0 * self.probability, 1)} %"
        reasons = {
            WITHIN: f"Within needs a probability of 95 % or more. Here it is {p}, whatever the reading says.",
            OUTSIDE: f"Outside needs a probability of at most 5 %. Here it is {p}.",
            UNCLEAR: f"These instruments can tell: the probability of being inside is {p}.",
        }
        return Question(
            text=("Judge this deviation.", "Which verdict does it get?"),
            given=self.known,
            field=asks_choice(
                "The unit is", {WITHIN: "Within the tolerance", UNCLEAR: "Too close to tell", OUTSIDE: "Outside the tolerance"}
            ),
            answer=answer,
            slips=slips_of(reasons, answer),
            working=(self.line, Line("as read", "|x| against T", f"{plain(abs(x), 2)} against {plain(t, 2)}", read)),
            so={
                WITHIN: "It is within, and these instruments prove it.",
                OUTSIDE: "It is outside, and these instruments prove it.",
                UNCLEAR: "More readings or a finer instrument may settle it.",
            }[answer],
        )


@dataclass(frozen=True, slots=True)
class LargestProven:
    """The largest deviation that can be proven inside."""

    u_deg: float
    tolerance_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> LargestProven:
        """An uncertainty that leaves some room."""
        return cls(draw.number(0.05, 0.12, 0.005), draw.pick(_TOLERANCES))

    def question(self) -> Question:
        """T − 1.645 u: the far side of the tolerance adds nothing here."""
        u, t = self.u_deg, self.tolerance_deg
        z = t_quantile(PROVEN, inf)
        return Question(
            text=(
                "The uncertainty comes from the instruments alone. Inside is proven from a probability of 95 % on.",
                "How large may a deviation be, so that it is still proven inside?",
            ),
            given=(("standard uncertainty u", f"{plain(u, 3)}°"), ("tolerance", f"±{plain(t, 2)}°")),
            field=asks_number("largest deviation", "°"),
            answer=t - z * u,
            slips=(
                Slip(t, "At the limit itself half of the true values lie outside."),
                Slip(t - u, "One u from the limit the probability is 84 % only."),
                Slip(
                    t - t_quantile(0.5 + 0.5 * PROVEN, inf) * u,
                    "1.96 u leaves 2.5 % on each side. Only one side of the tolerance is near: 1.645 u.",
                ),
            ),
            working=(
                Line(
                    "largest deviation",
                    "T − 1.645 u",
                    f"{plain(t, 2)} − {plain(z, 3)} · {plain(u, 3)}",
                    f"{plain(t - z * u, 4)}°",
                    "JCGM 106:2012, 8",
                ),
            ),
            so="The doubt eats the tolerance from the inside.",
            decimals=3,
        )


@dataclass(frozen=True, slots=True)
class LargestU:
    """The uncertainty beyond which nothing can be proven inside."""

    tolerance_deg: float

    @classmethod
    def drawn(cls, draw: Draw) -> LargestU:
        """Any tolerance."""
        return cls(draw.number(0.35, 0.9, 0.01))

    def question(self) -> Question:
        """T / 1.96."""
        t = self.tolerance_deg
        return Question(
            text=(
                "Inside is proven from a probability of 95 % on. Take the best case: a deviation of 0.",
                "Up to which standard uncertainty can anything be proven inside?",
            ),
            given=(("tolerance", f"±{plain(t, 2)}°"),),
            field=asks_number("standard uncertainty", "°"),
            answer=largest_provable_u(t),
            slips=(
                Slip(t, "With u as large as the tolerance, only 68 % lie inside."),
                Slip(t / 2.0, "2 is a rounded factor. 95 % of a normal distribution lie within 1.96 u."),
                Slip(t / t_quantile(PROVEN, inf), "1.645 leaves 5 % on each side. Here both sides count: 1.96."),
                Slip(t / 3.0, "Three u hold 99.7 %. 95 % are asked for."),
            ),
            working=(
                Line(
                    "largest u",
                    "T / 1.96",
                    f"{plain(t, 2)} / {plain(t_quantile(0.5 + 0.5 * PROVEN, inf), 3)}",
                    f"{plain(largest_provable_u(t), 4)}°",
                    "JCGM 106:2012, 8.3",
                ),
            ),
            so="With more doubt than that, finer instruments come first.",
            decimals=3,
        )
