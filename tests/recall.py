"""An invented recall: none of a released version is made up to test with."""

from calc.recalls import Recall

RECALL = Recall(
    number=7,
    date="2099-01-02",
    first="0.0.2",
    last="0.0.10",
    mended_in="0.0.11",
    wrong="The flats of a rod with a pitch above 3 mm were too many.",
    numbers=("flats of a push rod", "turns of a push rod"),
    recognise="Only jobs with a pitch above 3 mm are concerned.",
    act="Read the units again whose rods were turned.",
)
