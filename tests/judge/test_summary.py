"""The engine's verdict: each unit's latest stage, item by item; the worst of all."""

import pytest

from tests.invented import SPILL, SUCTION, Tree, at_lift, both, clearance, contact, engine_job, entry, judged, opening

LEFT = "as_left"
WITHIN, UNCLEAR, OUTSIDE, INCOMPLETE = "within", "unclear", "outside", "incomplete"
BAD, DOUBTFUL = 2.0, 0.5  # Deviations that are outside, and too close to tell.


def verdict(*readings: Tree, units: int = 1, change: str | None = None) -> str:
    tree = engine_job(units=units, readings=readings)
    if change:
        del tree["reference"][change]
    return judged(tree).summary.verdict


def seated(event: str, stage: str) -> Tree:
    reading = at_lift(1, event, stage=stage)
    reading["valve_lift_mm"] = [0.0]
    return reading


def astern(event: str, stage: str) -> Tree:
    return contact(1, event, stage=stage, reached="astern")


FINE = both(1)
OFF = both(1, 0.0, BAD)

CASES: dict[str, tuple[list[Tree], str]] = {
    "nothing read": ([], INCOMPLETE),
    "both within": (FINE, WITHIN),
    "start outside": ([contact(1, SUCTION, 0.0, BAD), contact(1, SPILL)], OUTSIDE),
    "start unclear": ([contact(1, SUCTION, 0.0, DOUBTFUL), contact(1, SPILL)], UNCLEAR),
    "no end": ([contact(1, SUCTION)], INCOMPLETE),
    "no end, start outside": ([contact(1, SUCTION, 0.0, BAD)], OUTSIDE),
    "no end, start unclear": ([contact(1, SUCTION, 0.0, DOUBTFUL)], UNCLEAR),
    "as left replaces as found": ([*OFF, *both(1, stage=LEFT)], WITHIN),
    "as left is worse": ([*FINE, *both(1, 0.0, BAD, LEFT)], OUTSIDE),
    "as left start only": ([*OFF, contact(1, SUCTION, stage=LEFT)], OUTSIDE),
    "as left start only, end was fine": (
        [contact(1, SUCTION, 0.0, BAD), contact(1, SPILL), contact(1, SUCTION, stage=LEFT)],
        WITHIN,
    ),
    "as left only": (both(1, stage=LEFT), WITHIN),
    "as left without a number replaces it": ([*FINE, seated(SUCTION, LEFT)], INCOMPLETE),
    "as found without a number, as left with one": (
        [seated(SUCTION, "as_found"), contact(1, SPILL), contact(1, SUCTION, stage=LEFT)],
        WITHIN,
    ),
    "an astern as-left reading replaces nothing": ([*FINE, astern(SUCTION, LEFT)], WITHIN),
    "an astern as-left reading cures nothing": ([*OFF, astern(SUCTION, LEFT), astern(SPILL, LEFT)], OUTSIDE),
    "cut-out within": ([*FINE, opening(1, 1.75)], WITHIN),
    "cut-out outside": ([*FINE, opening(1, 0.5)], OUTSIDE),
    "cut-out unclear": ([*FINE, opening(1, 1.25)], UNCLEAR),
    "a stale cut-out": ([*FINE, opening(1, 1.75), contact(1, SUCTION, stage=LEFT)], INCOMPLETE),
    "a stale cut-out that was outside": ([*FINE, opening(1, 0.5), contact(1, SUCTION, stage=LEFT)], INCOMPLETE),
    "a cut-out made stale by a seated reading": (
        [*FINE, opening(1, 1.75), seated(SPILL, LEFT), contact(1, SUCTION, stage=LEFT)],
        INCOMPLETE,
    ),
    "a cut-out read again": ([*FINE, opening(1, 0.5), *both(1, stage=LEFT), opening(1, 1.75, LEFT)], WITHIN),
    "a cut-out read again, nothing else": ([*FINE, opening(1, 0.5), opening(1, 1.75, LEFT)], WITHIN),
    "a cut-out is not made stale by another": ([*FINE, opening(1, 1.75), clearance(1, 3.0, LEFT)], WITHIN),
    "a cut-out is not made stale astern": ([*FINE, opening(1, 1.75), astern(SUCTION, LEFT)], WITHIN),
    "an astern cut-out does not replace": ([*FINE, opening(1, 0.5), opening(1, 1.75, LEFT, reached="astern")], OUTSIDE),
    "an astern as-found cut-out is none": ([*FINE, opening(1, 0.5, reached="astern")], WITHIN),
    "lift-off within": ([*FINE, clearance(1, 3.0)], WITHIN),
    "lift-off outside": ([*FINE, clearance(1, 1.0)], OUTSIDE),
    "a stale lift-off": ([*FINE, clearance(1, 3.0), contact(1, SPILL, stage=LEFT)], INCOMPLETE),
    "a lift-off read again": ([*FINE, clearance(1, 1.0), *both(1, stage=LEFT), clearance(1, 3.0, LEFT)], WITHIN),
    "worst of all": ([contact(1, SUCTION, 0.0, DOUBTFUL), opening(1, 0.5), clearance(1, 3.0)], OUTSIDE),
}


@pytest.mark.parametrize(("readings", "expected"), list(CASES.values()), ids=list(CASES))
def test_one_unit(readings: list[Tree], expected: str) -> None:
    assert verdict(*readings) == expected


@pytest.mark.parametrize(
    ("second", "expected"),
    [
        ([], INCOMPLETE),
        (both(2), WITHIN),
        (both(2, 0.0, BAD), OUTSIDE),
        (both(2, 0.0, DOUBTFUL), UNCLEAR),
        ([contact(2, SUCTION)], INCOMPLETE),
        ([*both(2), opening(2, 0.5)], OUTSIDE),
    ],
)
def test_the_engine_is_as_bad_as_its_worst_unit(second: list[Tree], expected: str) -> None:
    assert verdict(*FINE, *second, units=2) == expected


@pytest.mark.parametrize(
    ("reading", "limit"), [(opening(1, 0.1), "zero_index_opening_min_mm"), (clearance(1, 0.0), "lift_off_clearance_min_mm")]
)
def test_without_a_limit_it_is_passed_over_until_it_is_stale(reading: Tree, limit: str) -> None:
    assert verdict(*FINE, reading, change=limit) == WITHIN
    assert verdict(*FINE, reading, *both(1, stage=LEFT), change=limit) == INCOMPLETE


def test_an_entry_is_judged_by_its_own_stage() -> None:
    found = judged(engine_job(units=1, readings=[*OFF, opening(1, 1.75), contact(1, SUCTION, stage=LEFT)]))
    assert entry(found, 1).verdict == OUTSIDE
    assert entry(found, 1, LEFT).verdict == INCOMPLETE
    assert [(each.unit, each.stage) for each in found.units] == [(1, "as_found"), (1, LEFT)]


def test_entries_stand_in_unit_order_as_found_first() -> None:
    readings = [*both(3, stage=LEFT), opening(2, 1.75), *both(3), clearance(1, 3.0, LEFT), contact(1, SPILL)]
    found = judged(engine_job(readings=readings))
    order = [(each.unit, each.stage) for each in found.units]
    assert order == [(1, "as_found"), (1, LEFT), (2, "as_found"), (3, "as_found"), (3, LEFT)]


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ([], "No reading yet. Enter the readings of the first unit."),
        ([*both(1), *both(2)], "All 2 units are within. Leave them alone."),
        ([*both(1), *both(2, 0.0, BAD)], "Outside: unit 2."),
        ([*both(1, 0.0, DOUBTFUL), *both(2, 0.0, DOUBTFUL)], "Too close to tell: units 1 and 2."),
        (both(1), "Not complete: unit 2."),
        ([*both(1, 0.0, BAD), *both(2)], "Within, leave alone: unit 2."),
        (
            [contact(1, SUCTION, 0.0, BAD), contact(1, SPILL), *both(2)],
            "Read unit 1 again: start and end contradict each other.",
        ),
    ],
)
def test_the_answer_for_the_engine_in_words(readings: list[Tree], words: str) -> None:
    assert words in judged(engine_job(units=2, readings=readings)).summary.text


def test_what_all_units_share_comes_first() -> None:
    found = judged(engine_job(units=3, readings=[reading for unit in (1, 2, 3) for reading in both(unit, 0.0, 0.8)]))
    assert found.summary.text.startswith("First check the flywheel pointer: 3 units are 0.80° late together (as found).")
    setting = [contact(unit, event, off, off) for unit in (1, 2, 3) for event, off in ((SUCTION, 0.0), (SPILL, 0.8))]
    assert "First clear the setting that all units share." in judged(engine_job(units=3, readings=setting)).summary.text


def test_the_head_names_the_job() -> None:
    tree = engine_job(readings=FINE)
    found = judged(tree)
    assert (found.job.title, found.job.vessel, found.job.date) == ("Invented engine", "Invented ship", "2026-02-03")
    assert found.job.running_hours == 12345.5
    assert len(found.job.checksum) == 64
    assert (found.format, found.version) == ("spillmark-findings", 1)
