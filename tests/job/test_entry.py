"""What people type: understood as they mean it, or asked about; never guessed."""

import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.job.describe import CHOICE, FLAG, NUMBER, NUMBERS, TABLE, TEXT, WHOLE, WHOLES, Field, field_of, walk
from calc.job.entry import Dial, EntryError, echo, typed, understand
from calc.job.model import Job
from calc.job.refusal import quoted

LIFT = Field("plunger_lift_mm", NUMBERS, "plunger lift", unit="mm")
ONE_LIFT = Field("step_mm", NUMBER, "step", unit="mm")
ANGLE = Field("beginning_deg", NUMBER, "start", unit="°", angle=True)
ANGLES = Field("crank_angle_deg", NUMBERS, "crank angle", unit="°", angle=True)
PLAIN = Field("fuel_index", NUMBER, "fuel index")
SPEED = Field("speed_rpm", NUMBER, "speed", unit="rpm")
DENSITY = Field("density_15_kg_m3", NUMBER, "density", unit="kg/m³")
WARMTH = Field("temperature_c", NUMBER, "temperature", unit="°C")
COUNT = Field("units", WHOLE, "number of units")
ORDER = Field("firing_order", WHOLES, "firing order")
TOLERANCE = field_of(Job, "reference.angle_tolerance_deg")
YES = Field("rod_lengthening_opens", FLAG, "opens", choices={"true": "yes", "false": "no"})
THREAD = field_of(Job, "engine.rod_thread")
CAM = field_of(Job, "engine.cam_lift_table")
TITLE = Field("title", TEXT, "title")

UNDERSTOOD: list[tuple[Field, str, Any]] = [
    # comma or point, repeats side by side
    (ONE_LIFT, "0,02", 0.02),
    (ONE_LIFT, ".5", 0.5),
    (ONE_LIFT, "5.", 5.0),
    (ONE_LIFT, "5", 5),
    (LIFT, "12.31 12.30", [12.31, 12.30]),
    (LIFT, "12,31 12,30", [12.31, 12.30]),
    (LIFT, "12,31, 12,30", [12.31, 12.30]),
    (LIFT, "12.31; 12.30;12.29", [12.31, 12.30, 12.29]),
    (LIFT, "12.31\n12.30", [12.31, 12.30]),
    (LIFT, "12.31\u00a0mm 12.30 mm", [12.31, 12.30]),
    (PLAIN, "1e-3", 0.001),
    # minus signs of every kind
    *[(ANGLE, f"{sign}4.5", -4.5) for sign in "-−–—‒―﹣－⁻"],
    (ANGLE, "+4.5", 4.5),
    (ANGLE, "- 4.5", -4.5),
    # before and after
    (ANGLE, "4.5 before", -4.5),
    (ANGLE, "4,5° before TDC", -4.5),
    (ANGLE, "before 4.5", -4.5),
    (ANGLE, "4.5b", -4.5),
    (ANGLE, "10.4 after", 10.4),
    (ANGLE, "10.4 deg a", 10.4),
    (ANGLE, "10.4 After tdc", 10.4),
    (ANGLE, "TDC", 0),
    (ANGLE, "at TDC", 0),
    (ANGLE, "0 before", 0),
    (ANGLES, "4.5 before 4.4 before", [-4.5, -4.4]),
    (ANGLES, "4.5 before, 0.2 after", [-4.5, 0.2]),
    # units typed along
    (ONE_LIFT, "0.02 mm", 0.02),
    (ONE_LIFT, "0.02mm", 0.02),
    (SPEED, "131 rpm", 131),
    (SPEED, "131 1/min", 131),
    (DENSITY, "958 kg/m3", 958),
    (DENSITY, "958 kg/m³", 958),
    (WARMTH, "88 °C", 88),
    (WARMTH, "88 C", 88),
    (ANGLE, "4.5°", 4.5),
    (ANGLE, "4.5º before", -4.5),
    (ANGLE, "4.5 degrees before", -4.5),
    # more ways to say before and after
    (ANGLE, "4.5 before top dead centre", -4.5),
    (ANGLE, "4.5 after top dead center", 4.5),
    (ANGLE, "4.5 BTDC", -4.5),
    (ANGLE, "10.4 aTDC", 10.4),
    (ANGLE, "top dead centre", 0),
    (ANGLES, "4.5 before; TDC; 0.2 after", [-4.5, 0, 0.2]),
    (ANGLES, "4.5; before 4.4", [4.5, -4.4]),
    (ANGLES, "before 4.5; 4.4 before", [-4.5, -4.4]),
    # degrees and minutes of arc
    (ANGLE, "4°30' before", -4.5),
    (ANGLE, "-4° 30′", -4.5),
    (ANGLE, "4 deg 15 min after", 4.25),
    (ANGLES, "4°30' 4°15' before", [4.5, -4.25]),
    (TOLERANCE, "0°24'", 0.4),
    # sizes that count on both sides
    (TOLERANCE, "±0.4°", 0.4),
    (TOLERANCE, "+/- 0,4", 0.4),
    # a fraction with a sign of its own
    (ANGLE, "4½ before", -4.5),
    (ONE_LIFT, "½ mm", 0.5),
    # other marks between repeats, and other keyboards
    (LIFT, "12.31 and 12.30", [12.31, 12.30]),
    (LIFT, "12.31 & 12.30 mm", [12.31, 12.30]),
    (LIFT, "12，31；12．30", [12.31, 12.30]),
    (ORDER, "1-3-5-2-4", [1, 3, 5, 2, 4]),
    (ORDER, "1 – 3 – 5", [1, 3, 5]),
    (ORDER, "1/3/5", [1, 3, 5]),
    # the rest
    (COUNT, "5", 5),
    (ORDER, "1 3 5 2 4", [1, 3, 5, 2, 4]),
    (ORDER, "1, 3, 5", [1, 3, 5]),
    (YES, "Yes", True),
    (YES, "false", False),
    (THREAD, "single", "single"),
    (THREAD, "Left-and-right thread", "left_right"),
    (TITLE, "  a b ", "a b"),
    (TITLE, "4,5", "4,5"),
    (CAM, "-40 0\n-35 0.142", [[-40, 0], [-35, 0.142]]),
    (CAM, "−40\t0\n\n| -35 | 0,142 |", [[-40, 0], [-35, 0.142]]),
    (CAM, "40 before 0", [[-40, 0]]),
]


@pytest.mark.parametrize(("field", "text", "value"), UNDERSTOOD, ids=[repr(row[1]) for row in UNDERSTOOD])
def test_understood(field: Field, text: str, value: Any) -> None:
    assert understand(field, text) == value
    assert understand(field, f"  {text}\n") == value


REFUSED: list[tuple[Field, str, tuple[str, ...]]] = [
    # two meanings: asked about
    (LIFT, "1,234", ("“1,234”", "1.234 or 1234", "with a point or without comma")),
    (ANGLE, "-1,234", ("1.234 or 1234",)),
    (LIFT, "12,31,12", ("“12,31,12” is not understood", "Separate repeats with a space")),
    (LIFT, "12.3.4", ("is not understood", "Separate repeats with a space")),
    # no number
    (ONE_LIFT, "abc", ("“abc” is not understood", "Write a number, like 12.31")),
    (ANGLE, "half", ("is not understood", "like 4.5 before")),
    (COUNT, "five", ("is not understood", "Write a whole number")),
    (ONE_LIFT, "12.31 x", ("is not understood",)),
    (ONE_LIFT, "-", ("is not understood",)),
    # fractions are for flats
    (ONE_LIFT, "12 1/2", ("“12 1/2” has a fraction", "Write a number, like 12.31")),
    (LIFT, "12 1/2", ("“12 1/2” has a fraction", "Separate repeats with a space")),
    (LIFT, "12 ½; 1/2", ("has a fraction",)),
    # a comma that stands before a number
    (LIFT, "12.31 ,4", ("“,4” can mean 0.4 or 4", "Write 0.4, or a semicolon")),
    # angles from somewhere else, or with two parts
    (ANGLE, "BDC", ("“BDC” counts from bottom dead centre", "before or after TDC, like 4.5 before")),
    (ANGLE, "4 after bottom dead centre", ("counts from bottom dead centre",)),
    (ANGLE, "4 ABDC", ("counts from bottom dead centre",)),
    (ANGLES, "TDC - 4.5", ("is not understood", "like 4.5 before")),
    (ANGLE, "4°75'", ("75 minutes; a degree has 60", "like 4.5")),
    (ANGLE, "4.5°30'", ("is not understood",)),
    (ANGLE, "-4°30' before", ("has a sign and a word",)),
    (ONE_LIFT, "4°30'", ("is not understood",)),
    (ANGLE, "±4.5", ("is not understood",)),
    (LIFT, "12t 0.31", ("is not understood",)),
    (ORDER, "1-3-", ("is not understood",)),
    # too many
    (ONE_LIFT, "12.31 12.30", ("2 numbers found", "One number belongs here")),
    # a wrong unit
    (ONE_LIFT, "5 rpm", ("“5 rpm” found", "entered in mm", "Convert it")),
    (ONE_LIFT, "5 °", ("entered in mm",)),
    (PLAIN, "63 mm", ("entered without a unit",)),
    (SPEED, "131 mm", ("entered in rpm",)),
    (WARMTH, "88 °", ("entered in °C",)),
    # sides where there are none, or twice
    (ONE_LIFT, "5 before", ("is not understood",)),
    (ONE_LIFT, "TDC", ("is not understood",)),
    (ANGLE, "-4.5 before", ("has a sign and a word", "Write 4.5 before, or -4.5")),
    (ANGLE, "before 4.5 after", ("before or after twice", "Say it once")),
    # larger than any number
    (ONE_LIFT, "1e999", ("too large", "Check the exponent")),
    (ONE_LIFT, "9" * 400, ("too large",)),
    # choices
    (YES, "perhaps", ("“perhaps” found", "Choose yes or no")),
    (THREAD, "double", ("“double” found", "Choose one thread or left-and-right thread")),
    # tables
    (CAM, "-40 0\n-35", ("Line 2: 1 numbers", "A line holds crank angle (°) and plunger lift (mm)")),
    (CAM, "-40 0\n-35 x", ("Line 2:", "is not understood")),
    (CAM, "0 1 2", ("Line 1: 3 numbers",)),
]


@pytest.mark.parametrize(("field", "text", "words"), REFUSED, ids=[repr(row[1][:20]) for row in REFUSED])
def test_refused_in_words_that_mend_it(field: Field, text: str, words: tuple[str, ...]) -> None:
    with pytest.raises(EntryError) as refused:
        understand(field, text)
    message = str(refused.value)
    for word in words:
        assert word in message
    assert message.endswith(".")
    assert len(message) < 250
    assert "invalid" not in message.lower()


numbers = st.floats(-1000, 1000).map(lambda value: round(value, 4)) | st.integers(-10_000, 10_000)


@given(st.lists(numbers, min_size=1, max_size=4))
def test_repeats_come_back_from_their_text(values: list[float]) -> None:
    for field in (LIFT, ANGLES):
        assert understand(field, typed(field, values)) == values


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_any_number_comes_back_from_its_text(value: float) -> None:
    assert understand(PLAIN, typed(PLAIN, value)) == value


@given(st.floats(0.001, 180).map(lambda value: round(value, 3)))
def test_the_echo_of_an_angle_is_understood_as_the_angle(size: float) -> None:
    for angle in (size, -size):
        said = echo(ANGLE, angle, str(angle))
        assert ("before" in said) is (angle < 0)
        assert understand(ANGLE, said) == pytest.approx(angle, rel=1e-5)


FLATS = Field("turned", NUMBER, "flats turned", unit="flats")
TRIALS = Field("trials", NUMBERS, "flats of the trials", unit="flats")
DIALS = [Dial(1.0, "Plunger gauge, lift per turn"), Dial(0.5, "Gauge"), Dial(None, "Gauge")]
EVERY_KIND = [LIFT, ANGLE, ANGLES, COUNT, ORDER, CAM, YES, THREAD, FLATS, TRIALS, TOLERANCE]
HOW_TO_MEND = re.compile(r"\b(Write|Choose|Convert|Check|Say|Enter)\b|A line holds")


@settings(max_examples=500)
@given(
    st.lists(
        st.text("0123456789.,-+/ ", max_size=5) | st.sampled_from([*" ½¼⅓°'±;-", " before", "b", " TDC", "BDC", " and "])
        | st.sampled_from([" turn", " flats", "t ", "mm", " rev", "e9", "x", "yes"]),
        min_size=1, max_size=6,
    ).map("".join).filter(str.strip),
    st.sampled_from(DIALS),
)  # fmt: skip
def test_no_text_makes_it_stumble(text: str, dial: Dial) -> None:
    """A value or a message that names what was found and how to mend it: nothing else comes of any text."""
    for field in EVERY_KIND:
        gauge = dial if field is LIFT else None
        value, refusal = understood(field, text, gauge)
        if refusal:
            assert quoted(text.strip()) in refusal or field.kind == TABLE
            assert HOW_TO_MEND.search(refusal)
            assert refusal.endswith(".")
        else:
            assert understand(field, typed(field, value)) == value
            assert isinstance(echo(field, value, text, gauge), str)


def understood(field: Field, text: str, gauge: Dial | None) -> tuple[Any, str]:
    """The value and no words, or no value and why."""
    try:
        return understand(field, text, gauge), ""
    except EntryError as refused:
        return None, str(refused)


values_of_kind = {
    NUMBER: numbers,
    NUMBERS: st.lists(numbers, min_size=1, max_size=5),
    WHOLE: st.integers(-10_000, 10_000),
    WHOLES: st.lists(st.integers(0, 100), min_size=1, max_size=12),
    TABLE: st.lists(st.lists(numbers, min_size=2, max_size=2), min_size=1, max_size=5),
    FLAG: st.booleans(),
    TEXT: st.text().map(str.strip).filter(bool),
}
EVERY_FIELD = [(path, field) for path, field in walk(Job) if field.kind in (*values_of_kind, CHOICE)]


@pytest.mark.parametrize(("path", "field"), EVERY_FIELD, ids=[path for path, _ in EVERY_FIELD])
@settings(max_examples=20)
@given(data=st.data())
def test_what_a_file_holds_comes_back_from_its_text(path: str, field: Field, data: st.DataObject) -> None:
    kind = st.sampled_from(list(field.choices)) if field.kind == CHOICE else values_of_kind[field.kind]
    value = data.draw(kind)
    # With a gauge or without, a plain number stays what it is.
    for dial in (None, *DIALS):
        assert understand(field, typed(field, value), dial) == value


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        (LIFT, "12.31 12.30", "2 readings, mean 12.305 mm"),
        (LIFT, "12,31", "12.31 mm"),
        (ANGLE, "4°20' before", "4.33333° before TDC"),
        (ANGLES, "TDC", "at TDC"),
        (ONE_LIFT, "½", "0.5 mm"),
        (TOLERANCE, "±0.4", "±0.4°"),
        (ONE_LIFT, "−5", "−5 mm"),
        (ONE_LIFT, "5 mm", "5 mm"),
        (ANGLES, "-4.5 4.4 before", "2 readings, mean 4.45° before TDC"),
        (ANGLE, "4.5", "4.5° after TDC"),
        (ANGLE, "-4.5", "4.5° before TDC"),
        (ANGLE, "0", "at TDC"),
        (PLAIN, "1e-3", "0.001"),
        (CAM, "0 1\n2 3", "2 rows"),
        (CAM, "0 1", "1 row"),
        # Nothing to add to a plain number, a text, or an order.
        (LIFT, "12.31", ""),
        (SPEED, "131", ""),
        (ORDER, "1 3 2", ""),
        (TITLE, "a", ""),
    ],
)
def test_echoes_say_what_was_understood(field: Field, text: str, said: str) -> None:
    assert echo(field, understand(field, text), text) == said
