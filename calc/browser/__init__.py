"""What the pages ask of Python: JSON in, JSON out, one entry. The page draws what comes back.

A request names what it wants by `do`; every answer is an object, and a request that cannot be served answers with `errors`.
A function of that name in one of the modules here answers it. A module is loaded when one of its requests comes, and what
few requests need is imported in their functions: a page that starts should not wait for it.
"""

from __future__ import annotations

import json
from importlib import import_module
from typing import Any

_MODULES = {
    # The worksheet's form: judged, worked out line by line, opened from a file and saved to one.
    "sheet": ("hello", "open_file", "assess", "rest", "working", "save"),
    # On paper, and as tables.
    "papers": ("record", "handover", "blank", "csv"),
    # Tried on the screen, and computed around the job.
    "around": ("what_if", "compute", "compute_input"),
    # A turning plan: what is wanted, a search that goes on as long as the page asks, what is kept of it.
    "plans": ("plan_look", "plan", "plan_on", "plan_shown", "plan_rest", "plan_sheet"),
    # Past checks, one by one, and then what all of them show.
    "past": ("past", "trend", "trend_paper"),
    # Questions of lessons, and the practice engine.
    "learn": ("question", "mark", "practice"),
}
_MODULE_OF = {name: module for module, names in _MODULES.items() for name in names}


def respond(request: str) -> str:
    """Answer one request of a page.

    >>> respond('{"do": "hello"}')
    '{"program": "Spillmark 0.1.0"}'
    """
    asked: dict[str, Any] = json.loads(request)
    name = asked["do"]
    return json.dumps(getattr(import_module(f"calc.browser.{_MODULE_OF[name]}"), name)(asked))
