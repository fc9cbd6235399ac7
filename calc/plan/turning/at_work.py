"""A search in slices: it goes on for a while, tells how far it is, and waits. Whoever asks has the clock."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256

from calc.job.model import Job
from calc.job.problems import JobErrors
from calc.plan.turning.request import Request
from calc.plan.turning.solve import ENDED, PLANNING, Progress, Way, ways
from calc.plan.turning.stations import turning_of
from calc.plan.turning.timetable import Plan, plan_of


class AtWork:
    """One request at work.

    job, request: what the plan is for. progress: how far it is; its way is the best one so far. plan: that way as a plan,
    None while there is none.
    """

    def __init__(self, job: Job, request: Request) -> None:
        self.job = job
        self.request = request
        self.progress = Progress(PLANNING, 0.0, None, 0)
        self.plan: Plan | None = None
        self._steps = ways(request)
        self._way: Way | None = None

    @property
    def ended(self) -> bool:
        """Whether there is nothing more to find: the plan is proven, or the search has gone as far as it goes."""
        return self.progress.step == ENDED

    def go_on(self, enough: Callable[[], bool]) -> None:
        """Search until it has ended or `enough` says so, which is asked many times a second.

        >>> from calc import read_job
        >>> from pathlib import Path
        >>> from calc.plan.turning.request import request_of
        >>> job = read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8"))
        >>> work = AtWork(job, request_of(job, sets=2))
        >>> work.go_on(lambda: work.progress.way is not None)
        >>> work.ended, work.plan.optimal
        (False, False)
        >>> work.go_on(lambda: False)
        >>> work.ended, work.plan.optimal, work.plan.cost_deg
        (True, True, 1052.36)
        """
        if self.ended:
            return
        for progress in self._steps:
            self.progress = progress
            if enough():
                break
        self._tell()

    def _tell(self) -> None:
        """The plan anew where its way is another one; else only what is proven of it."""
        progress = self.progress
        if progress.way is None:
            return
        if self.plan is None or progress.way is not self._way:
            self._way = progress.way
            self.plan = plan_of(self.job, self.request, progress)
            return
        bound = self.plan.cost_deg if progress.optimal else self.request.turning.degrees(progress.bound)
        self.plan = replace(self.plan, lower_bound_deg=bound, optimal=progress.optimal)

    def is_for(self, job: Job) -> bool:
        """Whether a job still is what the plan is made for, as far as turning goes."""
        planned = self.request.turning
        numbers = {unit.unit for unit in planned.units}
        if not numbers <= {unit.unit for unit in job.reference.units}:
            return False
        try:
            return turning_of(job, numbers) == planned
        except JobErrors:
            return False


def mark_of(request: Request) -> str:
    """A name for all that a plan depends on: another name, another plan.

    >>> from calc import read_job
    >>> from pathlib import Path
    >>> from calc.plan.turning.request import request_of
    >>> job = read_job(Path("site_demo/jobs/2-all-within.json").read_text("utf-8"))
    >>> mark_of(request_of(job, sets=2)) == mark_of(request_of(job, sets=3))
    False
    """
    return sha256(repr(request).encode()).hexdigest()[:16]
