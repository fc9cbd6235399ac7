"""Every sentence that people read: plain, whole, and without a trace of the program that made it."""

import re
from collections.abc import Iterator

import pytest
from hypothesis import given

from calc.findings import Findings
from calc.job.model import EVENTS
from calc.judge.say import NOUN
from tests.invented import (
    SLOPE,
    SPILL,
    SUCTION,
    Tree,
    both,
    clearance,
    codes,
    contact,
    engine_job,
    entry,
    judged,
    opening,
    rod_error,
)
from tests.job.trees import job_trees
from tests.judge.test_notices import EXAMPLES

FORBIDDEN = re.compile(
    r"please|simply|invalid|error occurred|\bNone\b|\bnan\b|\binf\b|[{}]|  |\bthe the\b|\.\.|__|lambda|0x", re.IGNORECASE
)
HYPHEN_AS_MINUS = re.compile(r"(?<![\w.])-\d")
MOST_WORDS = 25


def texts(found: Findings) -> Iterator[str]:
    """Everything that findings say in words, but for what a job file brought in itself."""
    yield found.summary.text
    for notice in found.notices:
        if notice.code != "unknown_key":
            yield notice.text
    for unit in found.units:
        yield unit.text
        for event in (unit.beginning, unit.end):
            if event is not None and event.settle:
                yield event.settle
        for cause in (*unit.causes, *unit.hints):
            yield cause.check_next


def sentences(text: str) -> list[str]:
    # A point between digits ends no sentence.
    return [each for each in re.split(r"(?<!\d)[.?!](?:\s|$)|(?<=\d)\.\s(?=[A-Z])|[.?!]$", text) if each.strip()]


def assert_plain(text: str) -> None:
    assert text
    assert text[-1] in ".?", text
    found = FORBIDDEN.search(text)
    assert not found, f"{found.group()!r} in {text!r}"
    assert not HYPHEN_AS_MINUS.search(text), text
    for sentence in sentences(text):
        count = len(sentence.split())
        assert count <= MOST_WORDS, f"{count} words: {sentence!r}"


@pytest.mark.parametrize("code", list(EXAMPLES))
def test_words_around_each_notice(code: str) -> None:
    for text in texts(judged(EXAMPLES[code][0])):
        assert_plain(text)


@given(job_trees(max_units=4))
def test_words_of_any_job(tree: Tree) -> None:
    for text in texts(judged(tree)):
        assert_plain(text)


def said(*readings: Tree, unit: int = 1, stage: str = "as_found") -> str:
    return entry(judged(engine_job(readings=readings)), unit, stage).text


HEALTHY = both(1)

SAYINGS: dict[str, tuple[list[Tree], tuple[str, ...]]] = {
    "within": (
        HEALTHY,
        ("Leave this unit alone.", "Start at 19.5° before TDC, on its reference (±0.08°): within.", "End at 1° after TDC"),
    ),
    "late and early": (
        [contact(1, SUCTION, 0.0, 0.2), contact(1, SPILL, 0.0, 0.15)],
        ("0.20° late", "0.15° late", "19.3° before TDC"),
    ),
    "a rod to shorten": (
        [rod_error(1, SUCTION, 0.64), contact(1, SPILL), opening(1, 2.5)],
        (
            "The suction push rod makes the start 0.74° late.",
            "Shorten it by 1¼ flats (0.36 mm; exactly 0.40 mm)",
            "The start will then be",
            ": within.",
        ),
    ),
    "a rod to lengthen": (
        [contact(1, SUCTION), rod_error(1, SPILL, 0.6), opening(1, 2.5)],
        ("The spill push rod makes the end 0.69° late.", "Lengthen it by 2¼ flats"),
    ),
    "an opening that was not read": (
        [rod_error(1, SUCTION, 0.6), contact(1, SPILL)],
        ("First read the opening at index 0: a rod moves it.",),
    ),
    "a cut-out below its limit": (
        [*HEALTHY, opening(1, 1.0)],
        (
            "The spill valve opens 1.00 mm at index 0, the limit is 1.25 mm",
            "unit 1 might not cut out",
            "Ask the maker before the engine runs",
        ),
    ),
    "a cut-out too close to tell": (
        [*HEALTHY, opening(1, 1.25)],
        ("too close to tell", "Read the opening again, several times"),
    ),
    "a roller that might touch": (
        [*HEALTHY, clearance(1, 1.0)],
        ("The lift-off clearance is 1.00 mm, the limit is 2.25 mm", "might still touch the cam"),
    ),
    "a cut-out within": (
        [*HEALTHY, opening(1, 1.75)],
        ("Opening at index 0: 1.75 mm, limit 1.25 mm: within.", "No delivery below index 4.91."),
    ),
    "nothing read of the end": ([contact(1, SUCTION)], ("End: not read.",)),
    "a contradiction": (
        [contact(1, SUCTION, 0.0, 0.9), contact(1, SPILL)],
        ("Start and end contradict each other by 0.90°.", "Correct nothing. Read both again."),
    ),
    "too close to tell": (
        [contact(1, SUCTION, 0.0, 0.5), contact(1, SPILL, 0.0, 0.5)],
        ("Start and end: the reading lies at the limit itself",),
    ),
    "a danger": (
        [rod_error(1, SPILL, -0.8), contact(1, SUCTION), opening(1, 0.95)],
        ("Stop. ", "Unit 1 would inject at index 0, and the engine might not stop.", "Turn no nut. Ask the maker first."),
    ),
    "a warning": (
        [rod_error(1, SPILL, -0.8), contact(1, SUCTION), opening(1, 1.75)],
        ("Stop. ", "The limit is 1.25 mm, so unit 1 might not cut out.", "Ask the maker before you go on."),
    ),
}


@pytest.mark.parametrize(("readings", "words"), list(SAYINGS.values()), ids=list(SAYINGS))
def test_the_answer_for_a_unit(readings: list[Tree], words: tuple[str, ...]) -> None:
    text = said(*readings)
    for word in words:
        assert word in text, f"{word!r} is not in {text!r}"
    assert_plain(text)


def test_the_hazard_stands_before_everything_else() -> None:
    for name in ("a danger", "a warning"):
        assert said(*SAYINGS[name][0]).startswith("Stop. If you make this correction, the spill valve opens only")


def test_what_to_do_stands_before_why() -> None:
    text = said(*SAYINGS["a rod to shorten"][0])
    assert text.index("Shorten") < text.index("Start at")


def test_a_correction_smaller_than_a_quarter_of_a_flat_is_left() -> None:
    """A rod is named, but its pitch is so coarse that a hand cannot set it."""
    readings = [contact(1, SUCTION, 0.2, 0.2 / SLOPE + 0.6), contact(1, SPILL, 0.0, 0.6), opening(1, 2.5)]
    tree = engine_job(readings=readings)
    tree["engine"]["rod_pitch_mm"] = 15
    text = entry(judged(tree), 1).text
    assert "less than a quarter of a flat: leave it" in text
    assert "will then be" not in text


def test_each_rod_is_told_with_its_own_rest() -> None:
    """Two rods of one unit, in opposite senses: what is left of the start is not what is left of the end."""
    readings = [rod_error(1, SUCTION, 0.64), rod_error(1, SPILL, -0.73), opening(1, 4.0)]
    unit = entry(judged(engine_job(readings=readings)), 1)
    after = unit.after_by_hand
    assert after is not None
    assert after.beginning_deviation_deg is not None
    assert after.end_deviation_deg is not None
    assert after.beginning_deviation_deg > 0.0 > after.end_deviation_deg
    assert f"The start will then be {after.beginning_deviation_deg:.2f}° late: within." in unit.text
    assert f"The end will then be {-after.end_deviation_deg:.2f}° early: within." in unit.text


def test_a_correction_that_leaves_the_event_outside_says_so() -> None:
    """The rod is cured, the cam's part stays."""
    readings = [contact(1, SUCTION, 0.64, 0.64 / SLOPE + 0.8), contact(1, SPILL, 0.0, 0.8), opening(1, 4.0)]
    assert re.search(r"The start will then be 0\.8\d° late: outside\.", said(*readings))


def test_an_own_cam_is_told_with_its_caution() -> None:
    found = judged(
        engine_job(readings=[reading for unit in (1, 2, 3, 4) for reading in both(unit, 0.0, 0.9 if unit == 1 else 0.0)])
    )
    text = entry(found, 1).text
    for words in (
        "This unit's own cam is 0.90° late",
        "It would move 0.90° earlier",
        "First look at its TDC mark",
        "maker's procedure",
    ):
        assert words in text


def test_events_have_one_name_each() -> None:
    """The nouns of the answers are those of the event labels."""
    for event, noun in NOUN.items():
        assert EVENTS[event].startswith(f"{noun}:")
    assert codes(judged(engine_job(readings=HEALTHY))) == {"few_units", "imbalance_needs_two"}
