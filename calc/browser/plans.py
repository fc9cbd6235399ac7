"""Turning plans: what is wanted, the search for one, and those that the page has kept."""

from __future__ import annotations

from typing import Any

from calc.browser.asked import begun_of, paper_so_far
from calc.browser.plan_search import search
from calc.plan.turning.at_work import AtWork
from calc.plan.turning.wanted import choices_for_the_rest
from calc.show.planning import asked_for, plan_from, shown
from calc.show.turning_sheet import turning_sheet


def plan_look(asked: dict[str, Any]) -> dict[str, Any]:
    """What is wanted, `typed` by the choices' names: what to say at each, and what the job lacks."""
    return asked_for(begun_of(asked), asked["typed"]).told()


def plan(asked: dict[str, Any]) -> dict[str, Any]:
    """Begin to look for a plan; the answer of `plan_look`, and of `plan_on` where nothing stands in the way."""
    wanted = asked_for(begun_of(asked), asked["typed"])
    search.begin(None if wanted.job is None or wanted.request is None else AtWork(wanted.job, wanted.request))
    return {**wanted.told(), **search.go_on()}


def plan_on(asked: dict[str, Any]) -> dict[str, Any]:
    """Go on with the newest search; `dropped` where this `number` is no longer it, or the job has changed."""
    if asked["number"] != search.number:
        return {"number": search.number, "dropped": True}
    return search.go_on()


def plan_shown(asked: dict[str, Any]) -> dict[str, Any]:
    """A `plan` that the page has kept, as HTML; null where it is no plan."""
    plan = plan_from(asked["plan"])
    return {"html": None if plan is None else shown(plan, begun_of(asked).job)}


def plan_rest(asked: dict[str, Any]) -> dict[str, Any]:
    """The choices, `typed`, for the rest of a `plan` of which so many `stops` are done."""
    plan, stops = plan_from(asked["plan"]), asked["stops"]
    typed = dict(asked["typed"])
    return {"typed": typed if plan is None or not 0 < stops <= len(plan.stops) else choices_for_the_rest(typed, plan, stops)}


def plan_sheet(asked: dict[str, Any]) -> dict[str, Any]:
    """A `plan` that the page has kept, on paper for the turning-gear station."""
    plan = plan_from(asked["plan"])
    if plan is None:
        return {"errors": [{"text": "There is no plan. Make it first."}]}
    return paper_so_far(asked, lambda so_far: turning_sheet(plan, so_far), "-turning.html")
