"""Trends as a part of a page, and on paper: what is due first, then the drifts in words, the picture, the numbers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from calc.history import EngineTrend, EventTrend, History, HistoryNotice
from calc.job.describe import fields_of
from calc.job.words import plain, signed
from calc.judge.past import Check
from calc.judge.wanted import Wanted
from calc.show.history import name_of, span_of, time_left
from calc.show.markup import Markup, element, joined
from calc.show.page import signal
from calc.show.paper import NOTHING, document, facts, headed, table
from calc.show.trend_strip import trend_strip

TITLE = "Trend of past checks"
# What people have to mend or to know before they believe the rest.
_WARNINGS = ("overdue", "settings_changed", "no_call")
_HEADS = ("Unit and event", "Readings", "Drift in 1000 h", "Proven", "Now", "95 % range of a new reading", "Time to the limit")


def trend_part(found: History) -> Markup:
    """All engines, each with its own notices, as a part of a page. Every text is escaped."""
    return joined(*(_engine(engine, found.notices) for engine in found.engines))


def trend_said(found: History) -> str:
    """What a screen reader is told: of each engine when it is due, and its drifts."""
    return " ".join(" ".join(_answers(engine)) for engine in found.engines)


def _answers(engine: EngineTrend) -> Iterator[str]:
    if engine.next_check is not None:
        yield engine.next_check.text
    yield engine.text


def _engine(engine: EngineTrend, notices: Sequence[HistoryNotice], heading: str = "h4") -> Markup:
    mine = [each for each in notices if each.where == engine.vessel and each.code != "no_hours"]
    return element(
        "section",
        {"class": "sm-trend"},
        element(heading, None, name_of(engine)),
        element("p", {"class": "quiet"}, span_of(engine)),
        [element("p", {"class": "sm-answer"}, words) for words in _answers(engine)],
        [signal("warning", each.text) for each in mine if each.code in _WARNINGS],
        [element("p", {"class": "sm-notice-line"}, each.text) for each in mine if each.code not in _WARNINGS],
        trend_strip(engine) if engine.units else None,
        element("div", {"class": "sm-wide"}, table(_HEADS, _rows(engine))) if engine.units else None,
    )


def _rows(engine: EngineTrend) -> Iterator[tuple[str, ...]]:
    for unit in engine.units:
        for noun, event in (("start", unit.beginning), ("end", unit.end)):
            if event is not None:
                yield f"{unit.unit}, {noun}", *_cells(event)


def _cells(event: EventTrend) -> Iterator[str]:
    yield str(event.readings)
    slope, doubt = event.slope_per_1000_h, event.u_slope_per_1000_h
    if slope is None:
        yield "too few readings"
    else:
        yield f"{signed(slope, 3)}°" + ("" if doubt is None else f" (u {plain(doubt, 3)}°)")
    yield "yes" if event.provable else "no"
    yield NOTHING if event.value is None else f"{signed(event.value, 2)}°"
    yield NOTHING if event.prediction is None else " to ".join(f"{signed(each, 2)}°" for each in event.prediction)
    yield time_left(event) or NOTHING


# ---------------------------------------------------------------- paper


def trend_paper(
    found: History, checks: Sequence[Check], typed: Mapping[str, str], refused: Mapping[str, str], mark: str
) -> str:
    """The trend on paper: one HTML file for A4, with what it rests on.

    Parameters: history; the checks it was made of; typed: what was asked, as typed, by the names of `Wanted`; refused: files
    that take no part, with the reason; mark: check sum over all checks.
    """
    names = ", ".join(dict.fromkeys(name_of(engine) for engine in found.engines))
    return document(
        f"{TITLE}, {names}" if names else TITLE,
        mark,
        headed(TITLE, None, demo=any(engine.demo for engine in found.engines)),
        facts(
            (f"{field.label[:1].upper()}{field.label[1:]}", typed.get(field.name, "").strip() or NOTHING)
            for field in fields_of(Wanted)
        ),
        [_engine(engine, found.notices, "h2") for engine in found.engines],
        element("h2", None, "What it rests on"),
        table(
            ("Check", "Ship", "Running hours", "Readings"),
            [
                (each.name, each.vessel or NOTHING, plain(each.hours, 0), str(len(each.places)))
                for each in sorted(checks, key=lambda each: (each.engine, each.hours, each.name))
            ],
        ),
        table(("Takes no part", "Reason"), refused.items()) if refused else None,
        element("p", {"class": "quiet"}, *_how()),
    )


def _how() -> Iterator[str]:
    yield "A drift is the slope of least squares, shared by all runs between two corrections. "
    yield "Proven: it differs from 0 at 95 % (Student's t). "
    yield "The range holds one new reading at 95 %. A drift that is not proven makes no check due. "
    yield "Sources: JCGM 100:2008, H.3; Draper and Smith 1998, 3.1 and 14."
