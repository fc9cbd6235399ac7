"""All inputs that are no job file: calculations, forms as typed, past checks, plans that a page kept, answers, practice."""

import copy
import json
from collections.abc import Callable, Iterator
from functools import cache
from random import Random
from typing import Any

from calc import read_job
from calc.compute.registry import CALCULATIONS
from calc.compute.run import compute
from calc.job.form import spread
from calc.plan.turning.at_work import AtWork
from calc.plan.turning.request import request_of
from calc.show.computed import page_part, report
from calc.show.plots import picture_of
from calc.teach.lessons import KINDS
from tests.soak.fuzz import made
from tests.soak.fuzz.taken import BrokenPromiseError, Fate, asked, judged, look_for_markup, look_for_places, paper, watched

Input = tuple[bytes, Callable[[Fate], Iterator[str]]]

TYPED = [
    *(text for text in made.TEXTS if isinstance(text, str)), "1,5", "−6", "4.5 before", "6 after TDC", "12t 0.31", "1 1/4",
    "1:30",
    "0,5 mm", "1e5", "1_000", "１２", "1 2 3", "1;2", "1\n2", "1 2\n3 4", "yes", "no", "at_contact", "10 000", "1'000", "5..6",
    "--1", "+-1",
    "¼", "1/0", "2/3", "1e400", "-0", "0x1F", "∞", "nan", "inf", "1" * 400, "0." + "0" * 400 + "1", ", , ,", "° ° °",
    "1,2,3,4,5",
]  # fmt: skip


def any_input(chance: Random) -> tuple[bytes, Fate]:
    """Make an input of one kind and give it to what takes it. Returns: what it was, and what became of it."""
    kinds = (_computed, _computed_form, _form, _form, _past, _kept_plan, _answer, _practice, _moves)
    told, steps = chance.choice(kinds)(chance)
    return told, watched(steps)


def typed(chance: Random) -> str:
    """What somebody might type, or never."""
    if chance.random() < 0.3:
        return f"{chance.uniform(-400, 400):.{chance.randrange(5)}f}"
    return chance.choice(TYPED)


def _told(**what: Any) -> bytes:
    return json.dumps(what).encode()


def _computed(chance: Random) -> Input:
    """A calculation's input file."""
    calculation = chance.choice(list(CALCULATIONS.values()))
    tree = copy.deepcopy(calculation.example)
    made.changed(tree, chance)
    source = made.written(tree, chance)

    def steps(fate: Fate) -> Iterator[str]:
        yield f"compute {calculation.name}"
        done = compute(calculation, source)
        if done.answer is None:
            look_for_places(done.errors, fate)
            return
        json.dumps(done.to_json(), allow_nan=False)
        yield "report"
        report(done)
        yield "page"
        look_for_markup({"html": page_part(done)})
        yield "picture"
        picture_of(done)

    return source, steps


def _computed_form(chance: Random) -> Input:
    """A calculation's form, alone or beside a job."""
    calculation = chance.choice(list(CALCULATIONS.values()))
    keys = list(asked("compute", name=calculation.name, typed={})["missing"])
    keys += [*calculation.example, "points/0/x", f"{chance.choice(list(calculation.example))}/0/{made.any_key(chance)}"]
    texts = {chance.choice(keys): typed(chance) for _ in range(chance.randrange(1, 9))}
    beside = _some_form(chance) if chance.random() < 0.5 else {}

    def steps(_: Fate) -> Iterator[str]:
        yield f"compute {calculation.name}"
        asked("compute", name=calculation.name, typed=texts, **beside)
        yield "compute_input"
        asked("compute_input", name=calculation.name, typed=texts)

    return _told(name=calculation.name, typed=texts, **beside), steps


@cache
def _forms() -> tuple[tuple[str, str], ...]:
    return tuple((json.dumps(spread(tree)), json.dumps(tree)) for tree in made.sound_jobs())


def _some_form(chance: Random) -> dict[str, Any]:
    texts, base = chance.choice(_forms())
    return {"texts": json.loads(texts), "base": json.loads(base)}


def _form(chance: Random) -> Input:
    """The worksheet as typed: any text at any key, also at keys that no form has."""
    form = _some_form(chance)
    keys = list(form["texts"])
    for _ in range(chance.choice([1, 2, 4, 12])):
        key = (
            chance.choice(keys)
            if keys and chance.random() < 0.85
            else chance.choice([made.any_key(chance), "a/b/c", "readings///"])
        )
        if chance.random() < 0.15:
            form["texts"].pop(key, None)
        else:
            form["texts"][key] = typed(chance)
    if chance.random() < 0.2:
        form["base"] = {}
    turn = chance.randrange(1000)

    def steps(fate: Fate) -> Iterator[str]:
        yield from judged(form, fate)
        yield "save"
        again = asked("open_file", text=asked("save", **form)["text"])
        if "errors" in again:
            raise BrokenPromiseError(f"what was saved does not open: {again['errors'][0]['text']}")
        yield from paper(form, turn)

    return _told(**form), steps


def _past(chance: Random) -> Input:
    """Past checks, of files that were sound and of such as were not."""
    files = []
    for _ in range(chance.randrange(1, 5)):
        tree = json.loads(chance.choice(made.PAST_FILES).read_text("utf-8"))
        if chance.random() < 0.6:
            made.changed(tree, chance)
        files.append(json.dumps(tree))
    wanted = {
        chance.choice(["hours_per_day", "interval_h", "today_h", "needs_h", "calls", "date", "vessel"]): typed(chance)
        for _ in range(3)
    }

    def steps(_: Fate) -> Iterator[str]:
        checks, reasons = [], {}
        for number, text in enumerate(files):
            yield "past"
            told = asked("past", name=chance.choice(made.TEXTS), text=text)
            if "check" in told:
                checks.append(told["check"])
            else:
                reasons[f"{number}"] = told["reason"]
        yield "trend"
        asked("trend", checks=checks, typed=wanted)
        yield "trend_paper"
        if checks:
            asked("trend_paper", checks=checks, typed=wanted, left_out=reasons)

    return _told(files=files, typed=wanted), steps


@cache
def _plan() -> str:
    job = read_job(json.dumps(made.sound_jobs()[0]))
    work = AtWork(job, request_of(job, sets=2))
    work.go_on(lambda: work.progress.way is not None)
    assert work.plan is not None
    return json.dumps(work.plan.to_json())


def _kept_plan(chance: Random) -> Input:
    """A plan that the page has kept, and that something has changed since; and any choices for one."""
    plan: Any = json.loads(_plan())
    made.changed(plan, chance)
    form = _some_form(chance)
    stops = chance.randrange(-1, 40)
    choices = {
        name: typed(chance) for name in chance.sample(["sets", "ahead_only", "units", "from_deg", "done/1/task", "x"], 3)
    }

    def steps(_: Fate) -> Iterator[str]:
        yield "plan_shown"
        asked("plan_shown", **form, plan=plan)
        yield "plan_sheet"
        asked("plan_sheet", **form, plan=plan)
        yield "plan_rest"
        asked("plan_rest", plan=plan, stops=stops, typed=choices)
        yield "plan_look"
        asked("plan_look", **form, typed=choices)

    return _told(plan=plan, typed=choices, **form), steps


def _answer(chance: Random) -> Input:
    """An answer to a question of a lesson."""
    name = chance.choice(list(KINDS))
    number, text = chance.choice([0, 1, 2, 77, 10**9]), typed(chance)

    def steps(_: Fate) -> Iterator[str]:
        yield f"question {name}"
        asked("question", name=name, number=number)
        yield f"mark {name}"
        asked("mark", name=name, number=number, typed=text)

    return _told(name=name, number=number, typed=text), steps


def _practice(chance: Random) -> Input:
    """The practice engine after actions that a page has kept, some of them no actions."""
    some: list[Any] = [
        ["turn", 30],
        ["turn", -5.5],
        ["mount", 1],
        ["zero", "plunger"],
        ["write"],
        ["mark", 2],
        {"do": "turn", "by": 9},
    ]
    actions = [chance.choice(some) if chance.random() < 0.6 else made.any_value(chance) for _ in range(chance.randrange(5))]
    want = chance.choice(["engine", "job", "findings", "score", "x", None])
    number, level = chance.choice([1, 2, 99, 0, -1, 10**9]), chance.choice([1, 2, 3, 0, 99])
    # The page itself sees to the form of answers and of what is pressed; only texts are free.
    answers = {
        key: {
            "cause": chance.choice(["suction_rod", "cam", "spill_rod", "none", "x"]),
            "way": chance.choice("+-x"),
            "amount": typed(chance),
        }
        for key in chance.sample(["1", "2", "3", "all", "x"], 2)
    }
    acts: list[dict[str, Any]] = [
        {"do": "to", "unit": chance.choice([1, 2, 99, 0]), "typed": typed(chance)},
        {"do": "correct", "unit": chance.choice([1, 2, 99]), **answers[next(iter(answers))]},
    ]
    more = {"act": chance.choice(acts)} if chance.random() < 0.5 else {}

    def steps(_: Fate) -> Iterator[str]:
        yield "practice"
        asked("practice", number=number, level=level, actions=actions, want=want, answers=answers, **more)

    return _told(number=number, level=level, actions=actions, want=want, answers=answers, **more), steps


def _moves(chance: Random) -> Input:
    """Moves that somebody tries on the screen."""
    form = _some_form(chance)
    names = ["suction_mm", "suction_flats", "spill_mm", "spill_flats", "cam_deg", "x"]
    shown = chance.choice([1, 2, 99, None])
    moves = {str(unit): {chance.choice(names): typed(chance) for _ in range(2)} for unit in chance.sample(range(9), 2)}

    def steps(_: Fate) -> Iterator[str]:
        yield "what_if"
        asked("what_if", **form, moves=moves, unit=shown)

    return _told(moves=moves, **form), steps
