"""The newest search for a turning plan. The sheet knows it, so that a changed job drops it; what it needs is loaded with it."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Any

from calc.job.model import Job

if TYPE_CHECKING:
    from calc.plan.turning.at_work import AtWork
    from calc.plan.turning.timetable import Plan

# So long a search goes on before the next question, a key's among them, has its turn.
_SLICE_S = 0.1


class Search:
    """The newest search for a turning plan, and the plan that the page has the HTML of."""

    def __init__(self) -> None:
        self.number = 0
        self.work: AtWork | None = None
        self.known: Plan | None = None

    def begin(self, work: AtWork | None) -> None:
        """A new search drops the old one; so does a question that leads to none."""
        self.number += 1
        self.work, self.known = work, None

    def keep_for(self, job: Job | None) -> None:
        """A job that is turned otherwise drops the search; one that cannot be judged, halfway through a number, does not."""
        if self.work is not None and job is not None and not self.work.is_for(job):
            self.work = None

    def go_on(self) -> dict[str, Any]:
        """Search for a moment, and tell how far it is."""
        from calc.show.planning import told

        if self.work is None:
            return {"number": self.number, "dropped": True}
        end = time.monotonic() + _SLICE_S
        self.work.go_on(lambda: time.monotonic() >= end)
        answer = {"number": self.number, "dropped": False, **told(self.work, self.known)}
        self.known = self.work.plan
        return answer


search = Search()
