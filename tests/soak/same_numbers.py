"""The same numbers in every Python: CPython of every version that is found, pyodide in Node, and the worksheet in a browser."""

import json
import math
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from calc.browser import respond
from calc.compute.registry import CALCULATIONS
from calc.job.form import spread
from calc.show.sheet import table_names
from site_demo.setup_env import node_environment
from site_demo.stamps import ROOT
from tests.job.trees import random_tree
from tests.jobs import DEMO_FILES
from tests.pages import built, finding
from tests.pages.chromium import Chromium
from tests.pages.tab import Tab
from tests.plan.engines import engine

from .answers import answers
from .fuzz.made import PAST_FILES
from .part import Found, count
from .worker_watch import WATCH

WANTED = ("3.11", "3.12", "3.13", "3.14")
GOAL = 1e-12
CPYTHON = "CPython"
DRAWN = 300


def questions(drawn: int) -> dict[str, Any]:
    """What every Python is asked."""
    demo = [path.read_text("utf-8") for path in [*DEMO_FILES, *PAST_FILES]]
    trees = [*map(json.loads, demo), *(random_tree(seed, 6) for seed in range(drawn))]
    asked: list[dict[str, Any]] = []
    for at, tree in enumerate(trees):
        form = {"texts": spread(tree), "base": tree}
        asked += [{"do": "csv", "findings": True, **form}, {"do": "past", "name": str(at), **form}]
        if at < len(demo):
            asked += [{"do": "record", **form}, *({"do": "csv", "table": table, **form} for table in table_names())]
    asked += [{"do": "practice", "number": number, "level": 1, "actions": [], "want": "job"} for number in range(1, 11)]
    examples = [(name, json.dumps(each.example)) for name, each in CALCULATIONS.items()]
    asked += [{"do": "compute_input", "name": name, "typed": {}} for name, _ in examples]
    engines = [json.dumps(engine(units, spread=2.0, seed=units)) for units in (3, 4, 5, 6)]
    return {
        "jobs": [json.dumps(tree) for tree in trees],
        "inputs": examples,
        "plans": [[text, sets, ahead] for text in [demo[0], demo[1], *engines] for sets in (1, 2) for ahead in (False, True)],
        "practice": [[number, level] for number in range(1, 60) for level in (1, 2, 3)],
        "requests": asked,
    }


def interpreters() -> dict[str, str]:
    """A CPython of each version: on this machine, or fetched by uv where that reaches its source."""
    found = {}
    uv = str(Path(sys.prefix) / "bin" / "uv")
    # Those that pyenv has installed and does not show at the moment.
    pyenv = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv"))
    path = os.pathsep.join([os.environ.get("PATH", ""), *map(str, sorted(pyenv.glob("versions/*/bin")))])
    for version in WANTED:
        for words in (
            ["find", "--no-python-downloads", "--system"],
            ["install", "--quiet"],
            ["find", "--no-python-downloads", "--system"],
        ):
            command = [uv, "python", *words, version]
            done = subprocess.run(command, capture_output=True, text=True, check=False, env={**os.environ, "PATH": path})
            if words[0] == "find" and done.returncode == 0 and done.stdout.strip():
                found[version] = done.stdout.strip()
                break
    return found


# A number as the program writes it in full; shorter ones are rounded, and stay the same.
_IN_TEXT = re.compile(r"(-?\d+\.\d{9,}(?:e-?\d+)?)")


def apart(one: Any, other: Any) -> float:
    """The largest relative difference of the numbers in two answers; infinity where anything else differs."""
    if isinstance(one, str) and isinstance(other, str) and one != other:
        # Tables and files hold their numbers in full.
        pieces, others = _IN_TEXT.split(one), _IN_TEXT.split(other)
        if pieces[::2] != others[::2]:
            return math.inf
        return max(apart(float(a), float(b)) for a, b in zip(pieces[1::2], others[1::2], strict=True))
    if isinstance(one, dict) and isinstance(other, dict) and one.keys() == other.keys():
        return max((apart(one[key], other[key]) for key in one), default=0.0)
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        return max((apart(*pair) for pair in zip(one, other, strict=True)), default=0.0)
    if isinstance(one, float) and isinstance(other, float):
        if one == other:
            return 0.0
        return abs(one - other) / max(abs(one), abs(other)) if math.isfinite(one) and math.isfinite(other) else math.inf
    return 0.0 if type(one) is type(other) and one == other else math.inf


def numbers(value: Any) -> Iterator[float]:
    """All numbers in an answer."""
    if isinstance(value, dict):
        for each in value.values():
            yield from numbers(each)
    elif isinstance(value, list):
        for each in value:
            yield from numbers(each)
    elif isinstance(value, float):
        yield value


def ask_page(tab: Tab, requests: list[dict[str, Any]]) -> list[str]:
    """The answers of the worksheet's own Python."""
    tab.run_before_pages(WATCH)
    tab.open("worksheet.html")
    tab.wait_for("document.documentElement.dataset.calc === 'ready'", timeout_s=120)
    found: list[str] = []
    for begun in range(0, len(requests), 50):
        texts = [json.dumps(each) for each in requests[begun : begun + 50]]
        found += tab.evaluate(f"askWorker({json.dumps(texts)})")
    return found


@dataclass(frozen=True)
class Compared:
    """One Python held against this one."""

    name: str
    apart: float


def outside(asked: dict[str, Any], here: dict[str, Any]) -> list[Compared]:
    """The CPythons that are found, and pyodide in Node."""
    found = []
    with tempfile.TemporaryDirectory() as folder:
        given, out = Path(folder) / "questions.json", Path(folder) / "out.json"
        given.write_text(json.dumps(asked), "utf-8")
        commands = {
            f"{CPYTHON} {version}": [program, "-B", "tests/soak/answers.py", str(given), str(out)]
            for version, program in interpreters().items()
        }
        commands["pyodide in Node"] = [finding.node(), "tests/soak/answers.mjs", str(ROOT), str(given), str(out)]
        for name, command in commands.items():
            env = {**(node_environment() if "Node" in name else os.environ), "PYTHONPATH": str(ROOT)}
            subprocess.run(command, cwd=ROOT, env=env, check=True)
            told = json.loads(out.read_text("utf-8"))
            python = told.pop("python")
            found.append(Compared(f"{name} ({python})", apart(here, told)))
    return found


def in_the_page(requests: list[dict[str, Any]]) -> Compared:
    """The worksheet, asked as its page asks."""
    browser = Chromium()
    try:
        with tempfile.TemporaryDirectory() as folder:
            tab = browser.tab(base=built.folder().as_uri() + "/", downloads=Path(folder))
            told = [json.loads(text) for text in ask_page(tab, requests)]
    finally:
        browser.close()
    expected = [json.loads(respond(json.dumps(request))) for request in requests]
    return Compared("the worksheet in Chromium, from file://", apart(expected, told))


def same_numbers(quick: bool) -> Found:
    """Ask all of them, and compare with this Python."""
    asked = questions(5 if quick else DRAWN)
    if quick:
        asked |= {"plans": asked["plans"][:2], "practice": asked["practice"][:3]}
    here = json.loads(json.dumps(answers(asked)))
    others = [] if quick else [*outside(asked, here), in_the_page(asked["requests"])]
    return told(asked, here, others, quick)


def told(asked: dict[str, Any], here: dict[str, Any], others: list[Compared], quick: bool) -> Found:
    """The figures."""
    named = ", ".join(each.name for each in others)
    missing = [version for version in WANTED if not any(each.name.startswith(f"{CPYTHON} {version} ") for each in others)]
    paragraphs: tuple[str, ...] = ()
    if missing:
        paragraphs = (
            f"**Same numbers.** {CPYTHON} {', '.join(missing)} was not to be had on that machine. Pyodide is {CPYTHON} 3.14, "
            "compiled to WebAssembly.",
        )
    figures = (
        count(
            "same_numbers_pythons",
            len(others),
            f"compared with {CPYTHON} {sys.version.split()[0]}: {named}",
            at_least=None if quick else 5,
        ),
        count(
            "same_numbers_cpython_apart",
            max((each.apart for each in others if each.name.startswith(CPYTHON)), default=0.0),
            f"largest relative difference from any other {CPYTHON}; 0 is bit for bit",
            goal=0.0,
        ),
        count(
            "same_numbers_apart",
            max((each.apart for each in others), default=0.0),
            f"largest relative difference of {sum(1 for _ in numbers(here))} numbers: findings of {len(asked['jobs'])} jobs, "
            f"{len(asked['inputs'])} calculations, {len(asked['plans'])} turning plans, {len(asked['practice'])} practice "
            f"engines; of the worksheet {len(asked['requests'])} answers, with all digits in tables and files",
            goal=GOAL,
        ),
    )
    return Found(figures, paragraphs)
