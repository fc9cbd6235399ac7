"""Shorthands for tests of the calculations."""

from typing import Any

from calc.compute.registry import CALCULATIONS
from calc.compute.run import compute_tree


def result(name: str, **given: Any) -> dict[str, Any]:
    """The result of a calculation that is answered or has no answer."""
    done = compute_tree(CALCULATIONS[name], given)
    assert done.errors == ()
    found: dict[str, Any] = done.to_json()["result"]
    return found


def status(name: str, **given: Any) -> int:
    """The status of a calculation."""
    return compute_tree(CALCULATIONS[name], given).status


def notices(name: str, **given: Any) -> list[tuple[str, str]]:
    """Code and place of every notice."""
    done = compute_tree(CALCULATIONS[name], given)
    assert done.answer is not None
    return [(notice.code, notice.where) for notice in done.answer.notices]


def told(name: str, **given: Any) -> str:
    """The words of all notices."""
    done = compute_tree(CALCULATIONS[name], given)
    assert done.answer is not None
    return " ".join(notice.text for notice in done.answer.notices)


def errors(name: str, **given: Any) -> list[str]:
    """The place of every error."""
    return [error.where for error in compute_tree(CALCULATIONS[name], given).errors]


def words(name: str, **given: Any) -> str:
    """The words of all errors."""
    return " ".join(error.text for error in compute_tree(CALCULATIONS[name], given).errors)


def example(name: str, **changes: Any) -> dict[str, Any]:
    """The calculation's own example with some keys changed; a key set to None is left out."""
    tree = {**CALCULATIONS[name].example, **changes}
    return {key: value for key, value in tree.items() if value is not None}
