"""The practice engine for its page: what the scale and the gauges show, the notebook, the findings, the result."""

from __future__ import annotations

import posixpath
from collections.abc import Mapping
from typing import Any

from calc.job.read import job_from_tree
from calc.job.words import angle_words, plain, short
from calc.job.write import file_text
from calc.judge.assess import assess
from calc.show.markup import Markup, element, joined
from calc.teach.practice.answers import ALL, CAUSES, MEASURE, WAYS, causes_of, named_all
from calc.teach.practice.engine import DIAL_TURN_MM, EVENTS, OF_ALL, OF_UNIT, SPILL, SUCTION, Engine
from calc.teach.practice.job import entries_that_count, job_tree
from calc.teach.practice.levels import LEVELS
from calc.teach.practice.rig import (
    AS_LEFT,
    ASTERN,
    BASE_RETURN,
    CONTACT,
    GAUGES,
    NOUN,
    PEAK,
    ZERO_INDEX,
    Entry,
    Refused,
    Rig,
    play,
    tdc_words,
)
from calc.teach.practice.score import TITLES, Learned, Result, score
from calc.teach.practice.typed import meant

# Half of what the window on the flywheel's rim shows, and how far apart degrees lie in it.
_WINDOW_DEG, _DEGREE_PX = 5, 28
_MOST_NUMBER = 99999
# Where the page of the practice engine lies in the site.
_OWN_FOLDER = "learn"


def answer(asked: Mapping[str, Any]) -> dict[str, Any]:
    """Answer the page: the engine after `actions` and, if asked, one more `act`; `want` is what else to tell.

    A list of actions that this engine refuses (an older page has kept it) is cut where it fails, and `said` tells it.
    """
    number, level = asked["number"], asked["level"]
    if level not in LEVELS or not isinstance(number, int) or not 1 <= number <= _MOST_NUMBER:
        return {"errors": [f"There is no engine no. {number} at level {level}. Numbers go from 1 to {_MOST_NUMBER}."]}
    rig, actions = _replayed(number, level, asked["actions"])
    told: dict[str, Any] = {"said": "", "refused": False}
    if len(actions) < len(asked["actions"]):
        told["said"] = "What was done after this point is not known here. Go on from here."
    if "act" in asked:
        try:
            action = meant(asked["act"])
            told["said"] = rig.do(action)
            actions.append(action)
        except Refused as refused:
            told = {"said": str(refused), "refused": True}
    return {**told, "actions": actions, **_view(rig), **_wanted(rig, asked)}


def _replayed(number: int, level: int, actions: list[Any]) -> tuple[Rig, list[Any]]:
    rig, done = play(number, level, []), []
    for action in actions:
        try:
            rig.do(action)
        except Refused:
            break
        done.append(action)
    return rig, done


def _wanted(rig: Rig, asked: Mapping[str, Any]) -> dict[str, Any]:
    want = asked.get("want")
    if want == "engine":
        return {"engine": _engine(rig.engine)}
    if want == "job":
        name = f"practice-{rig.engine.number}-level-{rig.engine.level}.json"
        return {"text": file_text(job_tree(rig)), "name": name}
    if want == "findings":
        return {"findings": _findings(rig)}
    if want == "score":
        answers = named_all(asked["answers"], rig.engine)
        troubles = [f"{_whose(key)}: {each.trouble}" for key, each in answers.items() if each.trouble]
        if troubles:
            return {"troubles": troubles}
        result = score(rig, answers)
        return {"score": result.total, "result": _result(rig, result)}
    return {}


def _whose(key: str) -> str:
    return "All units" if key == ALL else f"Unit {key}"


# ---------------------------------------------------------------- the panel


def _view(rig: Rig) -> dict[str, Any]:
    angle = rig.angle_deg(rig.mark)
    way = {0: "not turned yet", 1: "last turned ahead", -1: "last turned astern"}[rig.direction]
    tally = rig.tally
    return {
        "panel": {
            "turned": round(rig.crank_deg + rig.pointer_deg, 1),
            "scale": f"{angle_words(angle)} of unit {rig.mark}",
            "way": way,
            "clear": rig.clear,
            "mark": rig.mark,
            "mounted": rig.mounted,
            "index": rig.index,
            "tally": f"{plain(tally.turned_deg, 0)}° turned, {tally.reversals} reversals, {tally.stops} stops",
            "gauges": {gauge: _gauge(rig, gauge) for gauge in GAUGES},
            "at_hand": _at_hand(rig),
        },
        "rim": _rim(rig),
        "notebook": _notebook(rig),
    }


def _at_hand(rig: Rig) -> str:
    """What somebody at the gauges wants to know of the unit."""
    if rig.mounted is None:
        return "Choose a unit. The gauges go on it."
    settings = rig.engine.settings[rig.mounted]
    events = "; ".join(
        f"{NOUN[event]} {plain(settings.lift_mm[event], 2)} mm at {angle_words(settings.angle_deg[event])}" for event in EVENTS
    )
    return f"Record of unit {rig.mounted}: {events}. Contact at {plain(rig.engine.seat_mm, 2)} mm."


def _gauge(rig: Rig, gauge: str) -> dict[str, Any]:
    shows = rig.shows(gauge)
    if shows is None:
        return {"text": "not on a unit", "needle": 0.0, "counter": 0.0}
    zero = "" if rig.zeros[gauge].is_set else ", not zeroed"
    return {
        "text": f"{plain(shows, 2)} mm{zero}",
        "needle": shows / DIAL_TURN_MM * 360.0,
        # The small hand goes round once in ten turns of the large one.
        "counter": shows / DIAL_TURN_MM * 36.0,
    }


def _rim(rig: Rig) -> Markup:
    """The flywheel's rim under the pointer, in degrees from the TDC mark that is used. Ahead, it passes from left to right."""
    angle = rig.angle_deg(rig.mark)
    half = _WINDOW_DEG * _DEGREE_PX
    marks: list[Markup] = []
    first = round((angle - _WINDOW_DEG) * 2.0 - 0.499)
    for step in range(first, first + 4 * _WINDOW_DEG + 2):
        at = step / 2.0
        x = (angle - at) * _DEGREE_PX
        if abs(x) > half:
            continue
        whole = step % 2 == 0
        marks.append(element("line", {"x1": x, "x2": x, "y1": 0, "y2": 16.0 if whole else 9.0}))
        if whole:
            degrees = int(at) % 360
            degrees = degrees - 360 if degrees > 180 else degrees
            marks.append(element("text", {"x": x, "y": 30.0}, "TDC" if degrees == 0 else f"{abs(degrees)}"))
    side = "before TDC" if angle < 0 else "after TDC"
    return element(
        "svg",
        {"viewBox": f"{-half} -16 {2 * half} 66", "class": "pr-rim", "aria-hidden": "true", "focusable": "false"},
        element("g", {"class": "pr-ticks"}, *marks),
        element("path", {"d": "M-6,-14 L6,-14 L0,-1 Z", "class": "pr-pointer"}),
        element("text", {"x": 0, "y": 46, "class": "pr-side"}, side if angle else "at TDC"),
    )


def _notebook(rig: Rig) -> Markup:
    """Newest first: the line that was just written is in sight."""
    counts = {entry.number for entry in entries_that_count(rig)}
    quiet = {"class": "ws-quiet"}
    checks = [element("p", quiet, f"TDC check of unit {each.unit}: {tdc_words(each)}") for each in rig.tdc_checks]
    lines = [_line(entry, entry.number in counts) for entry in reversed(rig.notebook)]
    if not lines and not checks:
        return element("p", quiet, "Nothing is written yet.")
    return joined(*checks, element("ol", {"class": "pr-lines"}, *lines) if lines else None)


def _line(entry: Entry, counts: bool) -> Markup:
    stage = "as left" if entry.stage == AS_LEFT else "as found"
    if entry.event in EVENTS:
        assert entry.angle_deg is not None
        noun = NOUN[entry.event].capitalize()
        value = (
            f"{noun}, at contact: lift {plain(entry.plunger_mm or 0.0, 2)} mm"
            if entry.method == CONTACT
            else f"{noun}, at reference lift: valve {plain(entry.valve_mm or 0.0, 2)} mm"
        )
        mark = "" if entry.mark == entry.unit else f" of unit {entry.mark}"
        angle = f"{angle_words(entry.angle_deg)}{mark}{', astern' if entry.reached == ASTERN else ''}"
    else:
        mm = entry.valve_mm if entry.event == ZERO_INDEX else entry.plunger_mm
        name = {BASE_RETURN: "Return to zero", PEAK: "Peak lift", ZERO_INDEX: "Opening at index 0"}[entry.event]
        value, angle = f"{name}: {plain(mm or 0.0, 2)} mm", ""
    other = ", other watch" if entry.other_watch else ""
    said = "" if counts else ("struck out" if entry.struck else "overtaken")
    return element(
        "li",
        {"class": None if counts else "is-out"},
        element("span", {"class": "pr-no"}, str(entry.number)),
        element("span", {"class": "pr-unit"}, f"Unit {entry.unit}, {stage}{other}"),
        element("span", {"class": "pr-value"}, value),
        element("span", {"class": "pr-angle"}, angle, f" ({said})" if said else ""),
        element(
            "button",
            {
                "type": "button",
                "class": "ws-button",
                "data-strike": str(entry.number),
                "aria-label": f"{'Count' if entry.struck else 'Strike out'} line {entry.number}",
            },
            "Count" if entry.struck else "Strike",
        ),
    )


# ---------------------------------------------------------------- the engine's papers


def _engine(engine: Engine) -> dict[str, Any]:
    """What stays the same while an engine is practised on: its record, and what can be chosen."""
    level = LEVELS[engine.level]
    return {
        "title": f"Engine no. {engine.number}, level {level.number}: {level.title.lower()}",
        "say": level.say,
        "units": list(engine.settings),
        "tdc": [{"unit": unit, "deg": engine.tdc_deg(unit)} for unit in engine.settings],
        "index": engine.index,
        "index_words": short(engine.index),
        "record": _record(engine),
        "causes": {
            "unit": _choices(causes_of(engine.level, of_all=False)),
            "all": _choices(causes_of(engine.level, of_all=True)),
            "parts": _choices(OF_UNIT),
            "common": _choices(OF_ALL),
        },
        "measures": MEASURE,
        "ways": {part: list(words) for part, words in WAYS.items()},
    }


def _choices(causes: tuple[str, ...]) -> list[list[str]]:
    return [[cause, CAUSES[cause][:1].upper() + CAUSES[cause][1:]] for cause in causes]


def _record(engine: Engine) -> Markup:
    rows = [
        element(
            "tr",
            None,
            element("th", {"scope": "row"}, f"Unit {unit}"),
            *(
                element("td", None, f"{plain(settings.lift_mm[event], 2)} mm at {angle_words(settings.angle_deg[event])}")
                for event in EVENTS
            ),
        )
        for unit, settings in engine.settings.items()
    ]
    law = engine.law
    facts = {
        "Tolerance": f"±{plain(engine.tolerance_deg, 2)}°",
        "Seat-contact reading": f"{plain(engine.seat_mm, 2)} mm",
        "Fuel index": short(engine.index),
        "Zero-index opening": f"at least {plain(engine.opening_min_mm, 1)} mm",
        "Valve ratio": f"suction {plain(engine.ratio[SUCTION], 2)}, spill {plain(engine.ratio[SPILL], 2)}",
        "Push rods": (
            f"pitch {plain(engine.pitch_mm, 2)} mm, {'left-and-right' if engine.left_right else 'single'} thread; one flat "
            f"is {plain(engine.flat_mm, 3)} mm; longer holds the valve further open"
        ),
        "Cam": (
            f"peak {plain(law.peak_mm, 1)} mm at {angle_words(law.peak_deg)}; base circle from "
            f"{angle_words(law.back_deg + 2.0)} to {angle_words(law.foot_deg - 2.0)}"
        ),
        "Firing order": "-".join(map(str, engine.firing_order)),
        "Instruments": (
            f"gauges read to 0.01 mm, error limit ±{plain(engine.plunger_error_mm, 3)} mm (plunger) and "
            f"±{plain(engine.valve_error_mm, 3)} mm (valves); scale read to 0.1°; pointer ±{plain(engine.pointer_u_deg, 2)}° "
            "(standard uncertainty)"
        ),
    }
    return joined(
        element(
            "table",
            {"class": "pr-table"},
            _head("Unit", "Start", "End"),
            element("tbody", None, *rows),
        ),
        element("dl", {"class": "pr-facts"}, *(part for name, words in facts.items() for part in _fact(name, words))),
    )


def _head(*names: str) -> Markup:
    return element("thead", None, element("tr", None, *(element("th", {"scope": "col"}, name) for name in names)))


def _fact(name: str, words: str) -> tuple[Markup, Markup]:
    return element("dt", None, name), element("dd", None, words)


# ---------------------------------------------------------------- findings and result


def _findings(rig: Rig) -> Markup:
    """What `assess` says of the readings, in words."""
    found = assess(job_from_tree(job_tree(rig)))
    if not found.units:
        return element("p", None, "There is no reading to judge yet.")
    return joined(
        element("p", {"class": "sm-answer"}, found.summary.text),
        element(
            "ul",
            None,
            *(
                element("li", None, element("strong", None, f"Unit {unit.unit}, {_stage(unit.stage)}: "), unit.text)
                for unit in found.units
            ),
        ),
    )


def _stage(stage: str) -> str:
    return "as left" if stage == AS_LEFT else "as found"


def _result(rig: Rig, result: Result) -> Markup:
    engine = rig.engine
    rows = [
        element(
            "tr",
            None,
            element("th", {"scope": "row"}, TITLES[line.topic]),
            element("td", None, f"{plain(line.points, 0)} of {plain(line.of, 0)}"),
            element("td", None, *(element("p", None, words) for words in (line.lost or ["Nothing lost."]))),
        )
        for line in result.lines
    ]
    learn = dict.fromkeys(learned for line in result.lines for learned in line.learn)
    return joined(
        element("p", {"class": "pr-total"}, element("strong", None, f"{result.total} of 100 points.")),
        element("p", {"class": "ws-quiet"}, f"Practice engine no. {engine.number}, level {engine.level}. Invented numbers."),
        element("p", None, "What was wrong: ", " ".join(result.truth)),
        element(
            "table",
            {"class": "pr-table"},
            _head("Part of the work", "Points", "Why"),
            element("tbody", None, *rows),
        ),
        *([element("h4", None, "What to learn"), element("ul", None, *map(_learned, learn))] if learn else []),
        element("h4", None, "What was seen of the work"),
        _list(list(result.seen)),
    )


def _learned(learned: Learned) -> Markup:
    """What to learn, and links to the pages that explain it, from the page of the practice engine."""
    links = [element("a", {"href": posixpath.relpath(page.address, _OWN_FOLDER)}, page.title) for page in learned.pages]
    between = [part for link in links for part in (", ", link)][1:]
    return element("li", None, learned.text, " Read: ", *between, ".")


def _list(words: list[str]) -> Markup:
    return element("ul", None, *(element("li", None, each) for each in words))
