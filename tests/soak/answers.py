"""All numbers of all answers to some questions, to compare one Python with another: `answers.py QUESTIONS.json OUT.json`.

Standard library and `calc` only: any interpreter runs it, pyodide too. Numbers come as they are, in full.
"""

import json
import sys
from pathlib import Path
from typing import Any


def answers(questions: dict[str, Any]) -> dict[str, Any]:
    """Findings of jobs, results of inputs of calculations, turning plans, drawn engines, answers to a page's requests."""
    from calc import JobErrors, assess, read_job
    from calc.browser import respond
    from calc.compute.registry import CALCULATIONS
    from calc.compute.run import compute
    from calc.plan.turning.request import request_of
    from calc.plan.turning.solve import ways
    from calc.plan.turning.timetable import plan_of
    from calc.teach.practice.job import job_tree
    from calc.teach.practice.rig import play

    def found(text: str) -> Any:
        try:
            return assess(read_job(text)).to_json()
        except JobErrors as error:
            return [problem.to_json() for problem in error.errors]

    def plan(text: str, sets: int, ahead_only: bool) -> Any:
        job = read_job(text)
        request = request_of(job, sets=sets, ahead_only=ahead_only)
        *_, last = ways(request)
        return plan_of(job, request, last).to_json()

    return {
        "jobs": [found(text) for text in questions["jobs"]],
        "inputs": [compute(CALCULATIONS[name], text).to_json() for name, text in questions["inputs"]],
        "plans": [plan(*wanted) for wanted in questions["plans"]],
        "practice": [job_tree(play(number, level, [])) for number, level in questions["practice"]],
        "requests": [respond(json.dumps(request)) for request in questions["requests"]],
    }


if __name__ == "__main__":
    asked = json.loads(Path(sys.argv[1]).read_text("utf-8"))
    Path(sys.argv[2]).write_text(json.dumps({"python": sys.version.split()[0], **answers(asked)}), "utf-8")
