"""The practice engine: the same for its number everywhere, physical, and in agreement with the relations that judge a job."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from calc.job.read import examine, job_from_tree
from calc.judge.assess import assess
from calc.pump import correction, cut_out, reading
from calc.pump.cam import CamCurve
from calc.pump.fuel_index import index_line
from calc.splitmix import SplitMix64
from calc.teach.practice.chance import Chance
from calc.teach.practice.draw import doubt_of_angle, doubt_of_lift, draw, is_clear
from calc.teach.practice.engine import EVENTS, MISTAKES, RODS, SPILL, SUCTION, Engine
from calc.teach.practice.job import job_tree
from calc.teach.practice.levels import LEVELS
from calc.teach.practice.rig import PLUNGER, Refused, Rig, play, wrapped

KNOWN = json.loads((Path(__file__).parents[1] / "data" / "practice-engines.json").read_text("utf-8"))
SEEDS = range(1, 41)


def test_chance_is_the_published_generator() -> None:
    """SplitMix64 from state 1234567: the values that go with its published source."""
    chance = SplitMix64(1234567)
    published = [6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821]
    assert [chance.word() for _ in published] == published


def test_chance_spreads_as_it_says() -> None:
    chance = Chance("spread")
    drawn = [chance.spread(2.0) for _ in range(20000)]
    mean = sum(drawn) / len(drawn)
    assert abs(mean) < 0.05
    assert sum((each - mean) ** 2 for each in drawn) / len(drawn) == pytest.approx(4.0, rel=0.03)
    assert max(map(abs, drawn)) <= 2.0 * 2.0 * 3.0**0.5
    assert sorted(chance.shuffled(range(9))) == list(range(9))
    assert {chance.whole(2, 4) for _ in range(200)} == {2, 3, 4}


@pytest.mark.parametrize("known", KNOWN["engines"], ids=lambda known: f"{known['number']}-{known['level']}")
def test_an_engine_is_the_same_everywhere(known: dict[str, Any]) -> None:
    """Readings to the last digit, as another Python has written them."""
    rig = play(known["number"], known["level"], known["actions"])
    assert [fault.part for fault in rig.engine.faults] == known["faults"]
    assert job_tree(rig)["readings"] == known["readings"]
    assert rig.tally.turned_deg == pytest.approx(known["turned_deg"], abs=1e-6)


@pytest.mark.parametrize("level", LEVELS)
def test_the_same_actions_give_the_same_engine(level: int) -> None:
    actions: list[list[Any]] = [
        ["mount", 1],
        ["clear"],
        ["to", 1, 50.0],
        ["zero", SUCTION],
        ["clear"],
        ["turn", -3.0],
        ["turn", 10.0],
    ]
    one, other = play(77, level, actions), play(77, level, actions)
    assert (one.crank_deg, one.shaft_deg, one.scale_deg) == (other.crank_deg, other.shaft_deg, other.scale_deg)
    assert [one.shows(gauge) for gauge in one.zeros] == [other.shows(gauge) for gauge in other.zeros]
    draw.cache_clear()
    assert draw(77, level).settings == one.engine.settings


@pytest.mark.parametrize("level", LEVELS)
def test_a_level_has_the_faults_that_it_tells_of(level: int) -> None:
    parts = set()
    for seed in SEEDS:
        engine = draw(seed, level)
        parts |= {fault.part for fault in engine.faults}
        units = [fault.unit for fault in engine.faults]
        assert len(set(units)) == len(units)
        assert 4 <= engine.units <= 6
        assert all(is_clear(engine, fault) for fault in engine.faults)
    allowed = {1: set(RODS), 2: set(RODS), 3: {"cam"}, 4: {"pointer", "drive"}, 5: {"linkage", "timing"}, 6: {*RODS, *MISTAKES}}
    assert parts == allowed[level]


def test_draws_that_cannot_be_told_are_thrown_away() -> None:
    engine = draw(5, 1)
    fault = engine.faults[0]
    event = RODS[fault.part]
    assert is_clear(engine, fault)
    assert not is_clear(engine, replace(fault, size=2.0 * doubt_of_lift(engine, event) * engine.ratio[event]))
    assert not is_clear(engine, replace(fault, part="cam", size=engine.tolerance_deg + doubt_of_angle(engine)))
    assert not is_clear(engine, replace(fault, part="gauge_zero", size=1.05))


def healthy(number: int = 5) -> Engine:
    """An engine without a fault, without scatter, with perfect gauges."""
    drawn = draw(number, 1)
    units = drawn.settings
    return Engine(
        **{
            **{name: getattr(drawn, name) for name in Engine.__slots__},
            "faults": (),
            "plunger_error_mm": 0.0,
            "valve_error_mm": 0.0,
            "pointer_deg": 0.0,
            "rod_mm": {unit: dict.fromkeys(EVENTS, 0.0) for unit in units},
            "cam_deg": dict.fromkeys(units, 0.0),
        }
    )


@pytest.mark.parametrize("number", [1, 2, 3, 4, 5, 6])
def test_a_healthy_engine_stands_on_its_record(number: int) -> None:
    rig = Rig(healthy(number))
    for unit, settings in rig.engine.settings.items():
        for event in EVENTS:
            assert rig.event_mm(unit, event) == pytest.approx(settings.lift_mm[event], abs=1e-9)
            # The record's lifts are written to 0.01 mm.
            assert rig.event_deg(unit, event) == pytest.approx(settings.angle_deg[event], abs=0.012)
        assert rig.opening_mm(unit) > rig.engine.opening_min_mm


@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_physics_agrees_with_the_relations_of_the_pump(number: int) -> None:
    """Rods, levers, cam and index of the rig against `calc.pump`, which it does not use."""
    rig = Rig(healthy(number))
    engine, unit = rig.engine, 2
    settings = engine.settings[unit]
    curve = CamCurve.from_table([(angle, lift) for angle, lift in engine.law.table(2.0)])
    moved = {"suction_rod": 0.41, "spill_rod": 0.37}
    for part, size in moved.items():
        rig.moved.rod_mm[unit][RODS[part]] = size
    for event, part in ((SUCTION, "suction_rod"), (SPILL, "spill_rod")):
        ratio, reference = engine.ratio[event], settings.lift_mm[event]
        # At reference lift: the valve's reading gives the lift of contact back.
        lift = rig.event_mm(unit, event)
        shaft = engine.tdc_deg(unit) + engine.phase_deg[unit] + engine.law.angle(reference)
        shown = rig._stands_mm(event, unit, shaft)
        # Here both valves are open at the reference lift, so both gauges tell.
        assert shown > engine.seat_mm
        of_gauge = reading.suction_lift_from_valve if event == SUCTION else reading.spill_lift_from_valve
        assert of_gauge(reference, shown, engine.seat_mm, ratio) == pytest.approx(lift)
        # The rod that cures it is the one that was turned, the other way.
        change = correction.suction_rod_change if event == SUCTION else correction.spill_rod_change
        assert change(lift - reference, ratio) == pytest.approx(-moved[part])
        # The travel along the cam by the table is the travel that the flywheel makes.
        flank = curve.flank_at(reference)
        assert flank is not None
        travel = flank.travel(lift - reference)
        assert rig.event_deg(unit, event) - settings.angle_deg[event] == pytest.approx(travel, abs=0.02)
    stroke = rig.event_mm(unit, SPILL) - rig.event_mm(unit, SUCTION)
    w = cut_out.lift_beyond_seat(rig.opening_mm(unit), engine.seat_mm, engine.ratio[SPILL])
    line = index_line([(0.0, rig.event_mm(unit, SPILL, 0.0)), (engine.index, rig.event_mm(unit, SPILL))], 12.0)
    assert line is not None
    assert line.mm_per_index == pytest.approx(engine.per_index_mm)
    assert line.mm_per_index == pytest.approx((stroke + w) / engine.index)
    none = cut_out.zero_delivery_index(engine.index, stroke, w)
    assert none is not None
    assert rig.event_mm(unit, SPILL, none) == pytest.approx(rig.event_mm(unit, SUCTION))


def ready(rig: Rig, unit: int) -> None:
    """Gauges on a unit, zeroed as they should be."""
    law = rig.engine.law
    for action in (
        ["mount", unit], ["mark", unit], ["clear"], ["to", unit, law.peak_deg], ["zero", SUCTION],
        ["clear"], ["to", unit, law.back_deg + 20.0], ["zero", PLUNGER], ["zero", SPILL], ["clear"],
    ):  # fmt: skip
        rig.do(action)


def test_play_makes_what_is_reached_astern_early_and_nothing_else() -> None:
    rig = Rig(healthy())
    ready(rig, 3)
    start = rig.engine.settings[3].angle_deg[SUCTION]
    rig.do(["to", 3, start - 4.0])
    rig.do(["creep", SUCTION])
    assert rig.came
    ahead, ahead_lift = rig.crank_deg, rig.shows(PLUNGER)
    rig.do(["turn", 6.0])
    rig.do(["creep", SUCTION, -1])
    rig.do(["creep", SUCTION, -1])
    assert rig.came
    assert ahead - rig.crank_deg == pytest.approx(rig.engine.play_deg, abs=0.03)
    assert rig.shows(PLUNGER) == pytest.approx(ahead_lift, abs=0.021)
    rig.do(["read", SUCTION])
    assert rig.notebook[-1].reached == "astern"
    # Less than the play ahead leaves the camshaft where it is.
    before = rig.shaft_deg
    rig.do(["turn", 0.5 * rig.engine.play_deg])
    assert rig.shaft_deg == before
    rig.do(["turn", rig.engine.play_deg])
    assert rig.shaft_deg == pytest.approx(rig.crank_deg)
    assert rig.tally.reversals == 2


def test_a_gauge_that_is_zeroed_elsewhere_shows_every_lift_too_low() -> None:
    rig = Rig(healthy())
    ready(rig, 1)
    law, settings = rig.engine.law, rig.engine.settings[1]
    rig.do(["to", 1, law.angle(1.5) + rig.engine.phase_deg[1]])
    rig.do(["zero", PLUNGER])
    for event in EVENTS:
        rig.do(["clear"])
        rig.do(["to", 1, settings.angle_deg[event] - 4.0])
        rig.do(["creep", event])
        rig.do(["read", event])
        assert rig.notebook[-1].plunger_mm == pytest.approx(settings.lift_mm[event] - 1.5, abs=0.03)
        assert not rig.notebook[-1].zeroed


def test_angles_are_read_from_the_mark_that_is_used() -> None:
    rig = Rig(healthy())
    ready(rig, 2)
    rig.do(["to", 2, 0.0])
    assert rig.angle_deg(2) == pytest.approx(0.0, abs=0.11)
    assert rig.angle_deg(1) == pytest.approx(wrapped(rig.engine.tdc_deg(2)), abs=0.11)


def test_the_other_watch_makes_its_mistake_and_no_other() -> None:
    seen = set()
    for seed in SEEDS:
        rig = play(seed, 6, [])
        mistake = next(fault for fault in rig.engine.faults if fault.part in MISTAKES)
        seen.add(mistake.part)
        assert len(rig.notebook) == 2 * rig.engine.units
        for entry in rig.notebook:
            lift = rig.event_mm(entry.unit, entry.event)
            angle = rig.event_deg(entry.unit, entry.event) + rig.pointer_deg
            off_mm, off_deg = (entry.plunger_mm or 0.0) - lift, wrapped((entry.angle_deg or 0.0) - angle)
            if entry.unit != mistake.unit:
                assert abs(off_mm) < 0.05
                assert abs(off_deg) < 0.25
            elif mistake.part == "gauge_zero":
                assert off_mm == pytest.approx(-mistake.size, abs=0.06)
            elif mistake.part == "dial_turn":
                assert off_mm == pytest.approx(mistake.size, abs=0.05)
            elif mistake.part == "astern_play":
                assert off_deg == pytest.approx(-rig.engine.play_deg, abs=0.25)
            else:
                assert abs(off_deg) > 30.0
            assert entry.reached == "ahead"
    assert seen == set(MISTAKES)


def test_nothing_turns_before_all_clear() -> None:
    rig = Rig(healthy())
    before = rig.crank_deg
    assert "Stop." in rig.do(["turn", 1.0])
    assert "Stop." in rig.do(["to", 1, 0.0])
    assert rig.crank_deg == before
    assert rig.tally.hurried == 2
    rig.do(["clear"])
    rig.do(["turn", 1.0])
    rig.do(["turn", 1.0])
    assert rig.crank_deg == pytest.approx(before + 2.0)
    # Hands were at the engine again.
    rig.do(["mount", 1])
    assert "Stop." in rig.do(["turn", 1.0])


@pytest.mark.parametrize(
    ("actions", "words"),
    [
        ([["read", SUCTION]], "No unit has gauges"),
        ([["zero", PLUNGER]], "No unit has gauges"),
        ([["mount", 9]], "knows no such action"),
        ([["fly"]], "knows no such action"),
        ([["turn"]], "knows no such action"),
        ([["clear"], ["turn", 0]], "Turn between"),
        ([["clear"], ["turn", float("nan")]], "not possible"),
        ([["clear"], ["to", 1, float("inf")]], "not possible"),
        ([["rod", 1, "suction_rod", 0]], "Turn a rod"),
        ([["cam", 1, float("nan")]], "Move a cam"),
        ([["common", "drive", 99]], "Move it by"),
        ([["mount", 1], ["index", 0], ["read", SUCTION]], "move the lever back"),
        ([["mount", 1], ["read", "zero_index"]], "Move the lever to 0"),
    ],
)
def test_what_cannot_be_done_says_what_to_do(actions: list[list[Any]], words: str) -> None:
    with pytest.raises(Refused, match=words):
        play(5, 1, actions)


def test_a_reading_needs_the_flywheel_to_stand_at_its_event() -> None:
    rig = Rig(healthy())
    ready(rig, 1)
    for event, words in ((SUCTION, "Not at the start"), (SPILL, "Not at the end"), ("peak", "not at the cam's peak")):
        with pytest.raises(Refused, match=words):
            rig.do(["read", event])
    rig.do(["read", "base_return"])
    assert rig.notebook[-1].plunger_mm == pytest.approx(0.0, abs=0.021)
    with pytest.raises(Refused, match="same reading at the same stop"):
        rig.do(["read", "base_return"])


def test_readings_make_a_job_file_that_is_whole() -> None:
    rig = play(5, 1, [])
    ready(rig, 1)
    settings = rig.engine.settings[1]
    for _ in range(2):
        rig.do(["to", 1, settings.angle_deg[SUCTION] - 4.0])
        for _ in range(3):
            rig.do(["creep", SUCTION])
            if rig.came:
                break
        rig.do(["read", SUCTION])
        rig.do(["turn", -12.0])
    job, problems = examine(job_tree(rig))
    assert job is not None
    assert problems == []
    assert job.readings is not None
    assert len(job.readings[0].plunger_lift_mm or ()) == 2
    # A line that is struck out counts no more.
    rig.do(["strike", 1])
    struck = job_tree(rig)
    assert len(struck["readings"][0]["plunger_lift_mm"]) == 1
    assert assess(job_from_tree(struck)).summary.verdict == "incomplete"
    # A correction makes what follows as left; a second one overtakes what was read between.
    rig.do(["rod", 1, "suction_rod", 1.0])
    assert [each["stage"] for each in job_tree(rig)["readings"]] == ["as_found"]
