"""The trend of a few past checks as Markdown, with one event worked out by hand, for the page that explains it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from calc.job.read import read_job
from calc.job.words import plain, short, signed
from calc.judge.assess import assess
from calc.judge.history import NOUNS, Drift, drift_of, each_engine
from calc.judge.past import Check, check_of
from calc.judge.wanted import Wanted
from calc.measure.student import t_quantile
from calc.show.trend_page import table_rows
from calc.show.trend_strip import trend_strip


def trend_example(sources: Mapping[str, str], wanted: Wanted, unit: int, event: str) -> str:
    """The answer, the picture, the numbers of every unit, and the readings and sums of one event.

    Parameters: sources: texts of job files by name; what the next check depends on; unit and event to work out.
    """
    checks = []
    for name, source in sources.items():
        job = read_job(source)
        check = check_of(job, assess(job), name)
        assert check is not None
        checks.append(check)
    [(engine, _)] = each_engine(checks, wanted)
    assert engine.next_check is not None
    heads, *rows = table_rows(engine)
    mine = [row for row in rows if row[0].startswith(f"{unit}, ")]
    others = [row for row in rows if row not in mine]
    at = heads.index("Proven")
    return "\n".join(
        [
            *_asked(wanted),
            "",
            f"**{engine.next_check.text}**",
            "",
            *(f"- {words}" for words in engine.said),
            "",
            trend_strip(engine),
            "",
            f"Band: within ±{engine.tolerance_deg:g}°. Hollow dots: as found. Filled dots: as left. Line: a proven drift.",
            "",
            *_table(heads, mine),
            "",
            f"Of the other {len(others)} events, {sum(row[at] == 'yes' for row in others)} drift provably.",
            "",
            f"**Unit {unit}, {NOUNS[event]}, by hand**",
            "",
            *_by_hand(_drift(checks, unit, event)),
            "",
        ]
    )


def _asked(wanted: Wanted) -> Iterator[str]:
    calls = "; ".join(f"in {short(days)} days, {short(hours)} h" for days, hours in wanted.calls or ())
    yield f"Entered: interval {short(wanted.interval_h or 0)} h, running hours now {short(wanted.now_hours or 0)} h, "
    yield f"{short(wanted.hours_per_day or 0)} running hours a day, {short(wanted.needs_h or 0)} h for the check. "
    yield f"Port calls: {calls}. All invented."


def _drift(checks: Sequence[Check], unit: int, event: str) -> Drift:
    return drift_of([each for check in checks for each in check.readings if each.place[:2] == (unit, event)])


def _by_hand(drift: Drift) -> Iterator[str]:
    line = drift.line
    assert line is not None
    yield from _table(
        ("Running hours", "Read", "Deviation", "Run"),
        [
            (
                plain(each.hours, 0),
                "as left" if each.place.left else "as found",
                f"{signed(each.deviation_deg, 3)}°",
                str(run + 1),
            )
            for each, run in zip(drift.readings, drift.runs, strict=True)
        ],
    )
    count, runs = len(drift.readings), len(set(drift.runs))
    t = t_quantile(0.975, line.dof)
    slope, doubt = 1000.0 * line.slope, 1000.0 * line.u_slope
    proven = "proven" if line.slope_proven() else "not proven"
    yield ""
    yield f"- Σ*x*² = {short(line.sxx / 1e6)} (1000 h)², Σ*xy* = {short(line.slope * line.sxx / 1e3)} ° · 1000 h"
    yield f"- Drift: {short(line.slope * line.sxx / 1e3)} / {short(line.sxx / 1e6)} = {short(slope)}° in 1000 h"
    yield f"- Scatter: {short(line.s)}° with {count} − {runs} − 1 = {line.dof} degrees of freedom"
    yield f"- Standard uncertainty of the drift: {short(line.s)} / √{short(line.sxx / 1e6)} = {short(doubt)}° in 1000 h"
    yield f"- Proven? *t*<sub>95</sub>({line.dof}) = {short(t)}; {short(abs(slope))} against {short(t * doubt)}: {proven}"


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    yield f"| {' | '.join(heads)} |"
    yield f"|{'---|' * len(heads)}"
    for row in rows:
        yield f"| {' | '.join(row)} |"
