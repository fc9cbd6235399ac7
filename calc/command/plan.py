"""`python -m calc plan`: plan the turning of a job's check."""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from pathlib import Path

from calc.command.check import UNUSABLE_STATUS, WITHIN_STATUS, content_of
from calc.job.model import Job
from calc.job.parse import parse
from calc.job.problems import JobErrors, errors_file
from calc.job.read import examine
from calc.job.write import job_to_tree
from calc.plan.turning.request import Request, RequestError, request_of
from calc.plan.turning.solve import STEPS, Progress, ways
from calc.plan.turning.stations import OPENING, TASKS, missing_fields
from calc.plan.turning.timetable import Plan, plan_of
from calc.show import terminal, turning_terminal
from calc.show.turning_sheet import turning_sheet
from calc.work.begun import begun_file

_SIGNS_OF_LIFE_S = 0.5


def run(options: argparse.Namespace) -> int:
    """The command. Returns: 0 when a plan is given, 2 when the job cannot be used, or the sheet not written."""
    try:
        done, gauge_set = _done(options.done)
        units = None if options.units is None else _numbers(options.units)
        job = _read(options.job)
        request = request_of(
            job,
            sets=options.sets,
            ahead_only=options.ahead_only,
            units=units,
            from_deg=options.from_deg,
            done=done,
            gauge_set=gauge_set,
        )
    except RequestError as error:
        options.usage_error(str(error))
        raise
    except JobErrors as error:
        if options.json:
            print(json.dumps(errors_file(error.errors), indent=1))
        print(terminal.problems(error.errors), file=sys.stderr)
        return UNUSABLE_STATUS
    plan = plan_of(job, request, _search(request, options.seconds))
    if options.json:
        print(json.dumps(plan.to_json(), indent=1))
    else:
        colour = sys.stdout.isatty() and "NO_COLOR" not in os.environ
        print(turning_terminal.report(plan, job, colour))
    return WITHIN_STATUS if options.sheet is None else _write_sheet(options.sheet, plan, job)


def _read(file: str) -> Job:
    """The job in a file. Raises: JobErrors with all that a plan lacks, whatever else is wrong."""
    tree = parse(content_of(file))
    job, problems = examine(tree)
    if problems:
        engine = tree.get("engine") if isinstance(tree, dict) else None
        told = {problem.where for problem in problems}
        lacking = missing_fields(engine) if isinstance(engine, dict) else []
        raise JobErrors([*problems, *(problem for problem in lacking if problem.where not in told)])
    assert isinstance(job, Job)
    return job


def _search(request: Request, seconds: float | None) -> Progress:
    """Follow the search to its end, to the time limit, or until somebody presses Ctrl-C. The best plan so far counts."""
    begun = told = time.monotonic()
    best = None
    watched = sys.stderr.isatty()
    try:
        for progress in ways(request):
            best = progress if progress.way is not None else best
            now = time.monotonic()
            if watched and now - told > _SIGNS_OF_LIFE_S:
                told = now
                print(f"\r{_sign_of_life(request, progress):<79}", end="", file=sys.stderr, flush=True)
            if seconds is not None and best is not None and now - begun > seconds:
                break
    except KeyboardInterrupt:
        if best is None:
            raise
    if watched and told != begun:
        print(f"\r{'':<79}\r", end="", file=sys.stderr, flush=True)
    assert best is not None
    return best


def _sign_of_life(request: Request, progress: Progress) -> str:
    words = f"{STEPS[progress.step]}, {100.0 * progress.share:.0f} %"
    if progress.way is None:
        return words
    cost, bound = (request.turning.degrees(ticks) for ticks in (progress.way.cost, progress.bound))
    return f"{words}. Plan: {cost:.1f}, no plan below {bound:.1f}. Ctrl-C takes the plan."


def _numbers(words: str) -> list[int]:
    numbers = []
    for word in words.replace(",", " ").split():
        if not word.isdecimal():
            raise RequestError(f"--units: {word!r} found. Write unit numbers with commas, as in 1,3,5.")
        numbers.append(int(word))
    return numbers


def _done(words: list[str]) -> tuple[dict[int, str], dict[int, int]]:
    """What was done of each unit, and which set is on it."""
    done: dict[int, str] = {}
    sets: dict[int, int] = {}
    for word in " ".join(words).replace(",", " ").split():
        unit, *rest = word.split(":")
        task, *numbers = rest or [OPENING]
        if not unit.isdecimal() or task not in TASKS or len(numbers) > 1 or not all(each.isdecimal() for each in numbers):
            raise RequestError(
                f"--done: {word!r} found. Write unit, last task and set, as in 3:base:1. Tasks are {', '.join(TASKS)}."
            )
        if int(unit) in done:
            raise RequestError(f"--done: unit {unit} found twice. Name its last task only.")
        done[int(unit)] = task
        if numbers:
            sets[int(unit)] = int(numbers[0])
    return done, sets


def _write_sheet(file: str, plan: Plan, job: Job) -> int:
    try:
        Path(file).write_bytes(turning_sheet(plan, begun_file(job_to_tree(job))).encode("utf-8", "replace"))
    except OSError as error:
        print(terminal.not_written(file, error), file=sys.stderr)
        return UNUSABLE_STATUS
    return WITHIN_STATUS
