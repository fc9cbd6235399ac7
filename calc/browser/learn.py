"""The questions of lessons, and the practice engine."""

from __future__ import annotations

from typing import Any


def question(asked: dict[str, Any]) -> dict[str, Any]:
    """A lesson's question by `name` and `number`, as HTML."""
    from calc.show.lessons import question_part

    return {"html": question_part(asked["name"], asked["number"])}


def mark(asked: dict[str, Any]) -> dict[str, Any]:
    """What is `typed` as the answer to it, judged."""
    from calc.show.lessons import marked_part

    return marked_part(asked["name"], asked["number"], asked["typed"])


def practice(asked: dict[str, Any]) -> dict[str, Any]:
    """The practice engine `number` at `level` after its `actions`, and one more that is tried (`act`)."""
    from calc.show.practice import answer

    return answer(asked)
