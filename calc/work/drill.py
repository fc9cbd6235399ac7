"""What is said aloud before every move of the flywheel, in the words of this job. Common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping

from calc.work.sheet import Worksheet


def drill(texts: Mapping[str, str]) -> str:
    """The spoken drill: who is counted, what is asked, who speaks. Parameters: texts by form key.

    >>> drill({"paper.people": "4", "paper.commander": "R. Senn, 2/E"})
    'Before every move: count 4 people aloud. Ask: hands clear? Wait for each answer. Then R. Senn, 2/E says: turning ahead.'
    >>> drill({"reference.rotation": "astern"})[-42:]
    'the one who commands says: turning astern.'
    """
    sheet = Worksheet(texts)
    number = sheet.text("paper.people")
    who = "everyone" if not number else "1 person" if number == "1" else f"{number} people"
    speaker = sheet.text("paper.commander") or "the one who commands"
    return (
        f"Before every move: count {who} aloud. Ask: hands clear? Wait for each answer. "
        f"Then {speaker} says: turning {sheet.direction}."
    )
