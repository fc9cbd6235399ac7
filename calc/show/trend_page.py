"""Trends as a part of a page, and on paper: what is due first, then the drifts in words, the picture, the numbers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from calc.history import EngineTrend, EventTrend, HistoryNotice
from calc.job.describe import TABLE, Field, fields_of
from calc.job.typed import Typed
from calc.job.words import plain, short, signed
from calc.job.write import checksum
from calc.judge.past import Check
from calc.judge.wanted import Wanted
from calc.show.history import name_of, span_of, time_left
from calc.show.markup import Markup, element, joined
from calc.show.page import signal
from calc.show.paper import NOTHING, document, facts, headed, table
from calc.show.trend_strip import trend_strip

Told = tuple[EngineTrend, list[HistoryNotice]]
TITLE = "Trend of past checks"
# What people have to mend or to know before they believe the rest.
_WARNINGS = ("overdue", "settings_changed", "common_step", "no_call")
_HEADS = ("Unit", "Read", "Drift in 1000 h", "Proven", "Now", "95 % of new readings", "To the limit")


def trend_part(engines: Iterable[Told]) -> Markup:
    """Engines, each with its own notices, as a part of a page. Every text is escaped."""
    return joined(*(_engine(engine, notices) for engine, notices in engines))


def trend_said(engines: Iterable[Told]) -> str:
    """What a screen reader is told: of each engine when its check is due, and its drifts."""
    return " ".join(words for engine, _ in engines for words in _answers(engine))


def _answers(engine: EngineTrend) -> Iterator[str]:
    if engine.next_check is not None:
        yield engine.next_check.text
    yield engine.text


def _engine(engine: EngineTrend, notices: Iterable[HistoryNotice], heading: str = "h4") -> Markup:
    notices, due = list(notices), engine.next_check
    return element(
        "section",
        {"class": "sm-trend"},
        element(heading, None, name_of(engine)),
        element("p", {"class": "sm-span quiet"}, span_of(engine)),
        element("p", {"class": "sm-answer answer"}, due.text) if due is not None else None,
        [signal("warning", each.text) for each in notices if each.code in _WARNINGS],
        element("ul", None, [element("li", None, words) for words in engine.said]),
        [element("p", {"class": "sm-notice-line"}, each.text) for each in notices if each.code not in _WARNINGS],
        element("div", {"class": "keep"}, trend_strip(engine)) if engine.units else None,
        _numbers(engine) if engine.units else None,
    )


def _numbers(engine: EngineTrend) -> Markup:
    # A phone moves it sideways, by keyboard too.
    attributes = {"class": "sm-scroll", "role": "region", "aria-label": f"Numbers of {name_of(engine)}", "tabindex": "0"}
    return element("div", attributes, table(_HEADS, _rows(engine), css="sm-numbers"))


def table_rows(engine: EngineTrend) -> list[tuple[str, ...]]:
    """The numbers of every unit and event as texts, the head first."""
    return [_HEADS, *_rows(engine)]


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


def trend_paper(engines: Sequence[Told], checks: Sequence[Check], typed: Typed, left_out: Mapping[str, str]) -> str:
    """The trend on paper: one HTML file for A4, with what it rests on.

    Parameters: engines with their notices; the checks that they were made of; typed: what was understood of what was asked,
    the fields of `Wanted`; left_out: files that take no part, with the reason.
    """
    names = ", ".join(dict.fromkeys(name_of(engine) for engine, _ in engines))
    return document(
        f"{TITLE}, {names}" if names else TITLE,
        checksum([each.to_tree() for each in checks]),
        headed(TITLE, None, demo=any(engine.demo for engine, _ in engines)),
        facts((f"{field.label[:1].upper()}{field.label[1:]}", _asked(field, typed)) for field in fields_of(Wanted)),
        [_engine(engine, notices, "h2") for engine, notices in engines],
        element("h2", None, "What it rests on"),
        table(
            ("Check", "Ship", "Running hours", "Readings"),
            [
                (each.name, each.vessel or NOTHING, plain(each.hours, 0), str(len(each.places)))
                for each in sorted(checks, key=lambda each: (each.engine, each.hours, each.name))
            ],
        ),
        table(("Takes no part", "Reason"), left_out.items()) if left_out else None,
        element("p", {"class": "quiet"}, *_how()),
        named="checks",
    )


def _asked(field: Field, typed: Typed) -> str:
    if field.name in typed.errors:
        return "not understood"
    value = typed.values.get(field.name)
    if value is None:
        return NOTHING
    if field.kind == TABLE:
        return "; ".join(f"in {short(days)} days, {short(hours)} h" for days, hours in value)
    return f"{short(value)} {field.unit}"


def _how() -> Iterator[str]:
    yield "A drift is the slope of least squares, shared by all runs between two corrections. "
    yield "Proven: it differs from 0 at 95 % (Student's t). "
    yield "The range holds one new reading at 95 %. A drift that is not proven makes no check due. "
    yield "Sources: JCGM 100:2008, H.3; Draper and Smith 1998, 3.1 and 14."
