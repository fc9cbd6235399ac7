"""Moves tried on the screen, and the calculations around the job."""

from __future__ import annotations

from typing import Any

from calc.browser.asked import begun_of


def what_if(asked: dict[str, Any]) -> dict[str, Any]:
    """The units as they would be after moves that a person tries; nothing is stored.

    Asked: `moves` by unit and field, numbers or what was typed; a unit without any starts from its listed correction.
    `unit` is the one to show in full.
    """
    from calc.judge.what_if import try_moves
    from calc.show.what_if import answer

    job = begun_of(asked).job
    return answer(None if job is None else try_moves(job, asked.get("moves") or {}), asked.get("unit"))


def compute(asked: dict[str, Any]) -> dict[str, Any]:
    """A calculation: `name`, and what is `typed` into its fields by key; empty ones are taken from the job, if there is one."""
    from calc.compute.ask import ask
    from calc.compute.registry import CALCULATIONS
    from calc.show.asked import told

    calculation = CALCULATIONS[asked["name"]]
    if "texts" not in asked:
        return told(ask(calculation, asked["typed"]))
    so_far = begun_of(asked)
    return told(ask(calculation, asked["typed"], so_far.job, so_far.found))


def compute_input(asked: dict[str, Any]) -> dict[str, Any]:
    """What is typed into a calculation as the input that the command line takes: its text, and a name for it."""
    from calc.compute.ask import ask
    from calc.compute.registry import CALCULATIONS
    from calc.show.asked import saved

    return saved(ask(CALCULATIONS[asked["name"]], asked["typed"]))
