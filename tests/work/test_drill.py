"""The words said aloud before every move."""

import pytest

from calc.work.drill import drill


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        ({}, ["count everyone aloud", "hands clear?", "the one who commands says: turning ahead."]),
        ({"paper.people": "1"}, ["count 1 person aloud"]),
        ({"paper.people": " 5 ", "paper.commander": "R. Senn"}, ["count 5 people aloud", "R. Senn says"]),
        ({"reference.rotation": "astern"}, ["says: turning astern."]),
    ],
)
def test_the_drill_counts_asks_and_names_who_speaks(texts: dict[str, str], words: list[str]) -> None:
    said = drill(texts)
    assert said.startswith("Before every move:")
    for each in words:
        assert each in said
    assert all(len(sentence.split()) <= 20 for sentence in said.split(". "))
