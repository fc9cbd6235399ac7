"""Where a deviation is heading: its drift over running hours, how sure that is, and when it reaches the limit."""

from __future__ import annotations

from collections.abc import Iterator

from calc.compute.answer import Answer, Calculation, Known, Notice, beyond, no_data
from calc.compute.limits import LARGEST, MOST_VALUES, positive, problem
from calc.job.describe import flag, number, numbers, record
from calc.job.model import Node
from calc.job.problems import Problem
from calc.job.words import short
from calc.measure.line import Line as Fit
from calc.measure.line import fit_line, steps_to_reach
from calc.measure.student import t_quantile
from calc.working import Line

REGRESSION = "JCGM 100:2008, H.3"
INTERVAL = "Draper and Smith 1998, 3.1"
FARTHEST_H = 100_000.0
LATEST_H = 1e7
HOURS = {"unit": "h", "low": 0, "high": LATEST_H}


@record
class TrendInput(Node):
    """Values at running hours, and what is asked."""

    hours: tuple[float, ...] = numbers("running hours of each value", **HOURS, most=MOST_VALUES, apart=True, required=True)
    values: tuple[float, ...] = numbers(
        "values, such as deviations in degrees",
        low=-LARGEST,
        high=LARGEST,
        most=MOST_VALUES,
        apart=True,
        required=True,
        help="One for each of the hours, in their order.",
    )
    at_hours: float = number("running hours to look at", **HOURS, required=True)
    limit: float = positive(
        "limit on both sides of 0", LARGEST, required=True, help="The tolerance, in the unit of the values."
    )


@record
class TrendResult:
    """The straight line through the values."""

    slope_per_1000_h: float | None = number("drift in 1000 h", source=REGRESSION)
    u_slope_per_1000_h: float | None = number("standard uncertainty of the drift", source=REGRESSION)
    provable: bool = flag("a drift is proven at 95 %", required=True, source=REGRESSION)
    value: float | None = number("value on the line at the hours asked for", source=REGRESSION)
    prediction: tuple[float, float] | None = numbers("95 % range of one new value there", most=2, source=INTERVAL)
    hours_to_limit: float | None = number(
        "time after the last value until that range reaches the limit", unit="h", source=INTERVAL
    )


def _trend_rules(known: Known) -> Iterator[Problem]:
    hours, values = known.get("hours"), known.get("values")
    if hours is not None and values is not None and len(hours) != len(values):
        yield problem(
            "values",
            list(values),
            f"Values: {len(values)} found for {len(hours)} running hours. Each value has its hours. Add or remove one.",
        )


def _trend(given: TrendInput) -> Answer:
    line = fit_line(given.hours, given.values)
    if line is None:
        said = (
            "One value has no trend: enter a second one at other running hours."
            if len(given.hours) == 1
            else "All values stand at the same running hours, so there is no trend: enter one at other hours."
        )
        return Answer(TrendResult(provable=False), (no_data("hours", said),))
    slope = 1000.0 * line.slope
    if line.dof < 1:
        said = "Two values give a line but no doubt: a third is needed to tell how sure it is."
        result = TrendResult(slope_per_1000_h=slope, provable=False, value=line.value(given.at_hours))
        return Answer(result, (no_data("hours", said),), tuple(_line_lines(line, given)))
    last = max(given.hours)
    distance = steps_to_reach(line, last, given.limit, FARTHEST_H)
    notices: list[Notice] = []
    if distance is None:
        notices.append(
            beyond("limit", f"The range does not reach ±{short(given.limit)} within {FARTHEST_H:.0f} h after the last value.")
        )
    result = TrendResult(
        slope_per_1000_h=slope,
        u_slope_per_1000_h=1000.0 * line.u_slope,
        provable=line.slope_proven(),
        value=line.value(given.at_hours),
        prediction=line.prediction(given.at_hours),
        hours_to_limit=distance,
    )
    return Answer(result, tuple(notices), (*_line_lines(line, given), *_doubt_lines(line, given, distance)))


def _line_lines(line: Fit, given: TrendInput) -> Iterator[Line]:
    yield Line(
        "slope",
        "Σ(x − x̄)(y − ȳ) / Σ(x − x̄)²",
        f"{len(given.hours)} values, x̄ = {short(line.mean_x)} h, ȳ = {short(line.mean_y)}",
        f"{short(1000.0 * line.slope)} in 1000 h",
        REGRESSION,
    )
    yield Line(
        f"value at {short(given.at_hours)} h",
        "ȳ + slope · (x − x̄)",
        f"{short(line.mean_y)} + {short(line.slope)} · ({short(given.at_hours)} − {short(line.mean_x)})",
        short(line.value(given.at_hours)),
        REGRESSION,
    )


def _doubt_lines(line: Fit, given: TrendInput, distance: float | None) -> Iterator[Line]:
    t = t_quantile(0.975, line.dof)
    yield Line("scatter s", "√[Σ(y − line)² / (n − 2)]", f"n − 2 = {line.dof}", short(line.s), REGRESSION)
    yield Line(
        "proof of the drift",
        "|slope| against t · s / √Σ(x − x̄)²",
        f"t₉₅({line.dof}) = {short(t)}; {short(1000.0 * abs(line.slope))} against {short(1000.0 * t * line.u_slope)}",
        "proven" if line.slope_proven() else "not proven",
        REGRESSION,
    )
    low, high = line.prediction(given.at_hours)
    yield Line(
        f"95 % range at {short(given.at_hours)} h",
        "value ± t · s √[1 + 1/n + (x − x̄)² / Σ(x − x̄)²]",
        f"± {short(0.5 * (high - low))}",
        f"{short(low)} to {short(high)}",
        INTERVAL,
    )
    if distance is not None:
        yield Line(
            "time to the limit",
            "first hours at which that range reaches ± limit",
            f"limit {short(given.limit)}, after {short(max(given.hours))} h",
            f"{short(distance)} h",
            INTERVAL,
        )


TREND = Calculation(
    name="trend",
    title="Drift and its limit",
    what="drift of a deviation over running hours, and the time to its limit",
    say=(
        "Type the deviations of past checks and their running hours. It says whether a drift can be proven, and when it "
        "reaches the limit."
    ),
    given=TrendInput,
    result=TrendResult,
    compute=_trend,
    rules=_trend_rules,
    example={
        "hours": [12000, 18400, 24100, 30500, 36800],
        "values": [0.05, 0.09, 0.11, 0.16, 0.18],
        "at_hours": 42000,
        "limit": 0.4,
    },
    source=f"{REGRESSION}; {INTERVAL}",
    page="calculate/next-check.html#trend",
)
