"""What the worksheet asks of Python about turning plans, without a browser."""

import json
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import pytest

from calc import read_job
from calc.browser import plan_search
from calc.job.form import TABLES, describe_form, form_fields
from calc.job.write import checksum
from calc.plan.turning.request import request_of
from calc.plan.turning.solve import ways
from calc.plan.turning.timetable import plan_of
from calc.plan.turning.wanted import UnitDone, Wanted
from calc.show.planning import describe, plan_from
from tests.jobs import DEMO_FILES, tree
from tests.judge.test_words import assert_plain
from tests.plan.engines import engine
from tests.plan.replay import replay
from tests.plan.test_request import REFUSED
from tests.test_browser import ask, opened

WITHIN = DEMO_FILES[1]
BOTH_WAYS = {"sets": "2", "ahead_only": "false"}
HOSTILE = "<img src=x onerror=alert(1)>"


def searched(form: dict[str, Any], typed: dict[str, str]) -> Iterator[dict[str, Any]]:
    """Every answer of a search that is followed to its end."""
    answer = ask(do="plan", **form, typed=typed)
    yield answer
    while not answer["ended"]:
        answer = ask(do="plan_on", number=answer["number"])
        yield answer


def made(form: dict[str, Any], typed: dict[str, str]) -> dict[str, Any]:
    *_, last = searched(form, typed)
    plan: dict[str, Any] = last["plan"]
    return plan


@pytest.fixture
def short_slices(monkeypatch: pytest.MonkeyPatch) -> None:
    """One sign of life a question: as many questions as there can be."""
    monkeypatch.setattr(plan_search, "_SLICE_S", 0.0)


@pytest.mark.usefixtures("short_slices")
@pytest.mark.parametrize("ahead_only", [False, True])
def test_slices_lead_to_the_same_plan_as_one_search(ahead_only: bool) -> None:
    job = engine(9, spread=0.6, seed=3)
    form = opened(job)
    answers = list(searched(form, {"sets": "3", "ahead_only": json.dumps(ahead_only)}))
    assert len(answers) > 20
    read = read_job(json.dumps(job))
    request = request_of(read, sets=3, ahead_only=ahead_only)
    *_, last = ways(request)
    assert answers[-1]["plan"] == plan_of(read, request, last).to_json()
    told = [each for each in answers if each["plan"] is not None]
    for each in told:
        assert replay(job, each["plan"]) == pytest.approx(each["cost_deg"])
        assert each["bound_deg"] <= each["cost_deg"]
        assert each["gap_percent"] == pytest.approx(100 * (1 - each["bound_deg"] / each["cost_deg"]))
        assert each["optimal"] == (each["bound_deg"] == each["cost_deg"])
    for name, falls in (("cost_deg", True), ("bound_deg", False)):
        values = [each[name] for each in told]
        assert values == sorted(values, reverse=falls)
    assert all(0 <= each["share"] <= 100 for each in answers)
    assert answers[-1]["share"] == 100
    # What is shown belongs to the plan that is told with it; the same way is told once.
    stops: object = None
    for each in told:
        assert ("way" in each["html"]) == (each["plan"]["stops"] != stops)
        stops = each["plan"]["stops"]


@pytest.mark.usefixtures("short_slices")
def test_a_changed_job_or_another_plan_drops_the_search() -> None:
    form = opened(engine(8, spread=0.6, seed=1))
    first = ask(do="plan", **form, typed=BOTH_WAYS)
    ask(do="assess", **form)
    # A reading turns no flywheel, and no tolerance does.
    others = {"readings/1/as_found/suction_closing/ahead/plunger_lift_mm": "9.1", "reference.angle_tolerance_deg": "0.7"}
    read = {**form, "texts": {**form["texts"], **others}}
    ask(do="assess", **read)
    assert not ask(do="plan_on", number=first["number"])["dropped"]
    changed = {**form, "texts": {**form["texts"], "engine.cam_peak_deg": "31"}}
    ask(do="assess", **changed)
    assert ask(do="plan_on", number=first["number"]) == {"number": first["number"], "dropped": True}
    second = ask(do="plan", **changed, typed=BOTH_WAYS)
    third = ask(do="plan", **changed, typed={**BOTH_WAYS, "sets": "3"})
    assert ask(do="plan_on", number=second["number"])["dropped"]
    assert not ask(do="plan_on", number=third["number"])["dropped"]
    # Halfway through a number nothing can be judged. That is no other job yet.
    for half in ({"reference.angle_tolerance_deg": "0"}, {"engine.units": ""}):
        ask(do="assess", texts={**changed["texts"], **half}, base=changed["base"])
        assert not ask(do="plan_on", number=third["number"])["dropped"]
    # A question that leads to no plan drops it as well, and so does a unit whose settings are gone.
    refused = ask(do="plan", **changed, typed={"sets": "0"})
    assert refused["dropped"]
    assert ask(do="plan_on", number=third["number"])["dropped"]
    fourth = ask(do="plan", **changed, typed=BOTH_WAYS)
    gone = {key: text for key, text in changed["texts"].items() if not key.startswith("reference.units/2/")}
    ask(do="assess", texts=gone, base=changed["base"])
    assert ask(do="plan_on", number=fourth["number"])["dropped"]


def test_a_search_goes_on_between_questions_of_other_kinds() -> None:
    form = opened(engine(12, spread=0.6, seed=1))
    begun = ask(do="plan", **form, typed={"sets": "3", "ahead_only": "false"})
    assert ask(do="assess", **form)["verdict"] == "incomplete"
    assert not ask(do="plan_on", number=begun["number"])["dropped"]


def as_typed(wanted: dict[str, Any]) -> dict[str, str]:
    """A request as people would type it."""
    typed = {"ahead_only": "false"}
    for name, value in wanted.items():
        if name == "units":
            typed["units"] = " ".join(map(str, value))
        elif name == "done":
            typed |= {f"done/{unit}/last_task": task for unit, task in value.items()}
        elif name == "gauge_set":
            typed |= {f"done/{unit}/gauge_set": str(number) for unit, number in value.items()}
        else:
            typed[name] = str(value)
    return typed


# An empty list cannot be typed: it stands for all units.
TYPEABLE = [wanted for wanted, _ in REFUSED if wanted.get("units") != []]


@pytest.mark.parametrize("wanted", TYPEABLE, ids=str)
def test_what_does_not_fit_is_told_at_its_field(wanted: dict[str, Any]) -> None:
    typed = as_typed(wanted)
    answer = ask(do="plan_look", **opened(engine(4)), typed=typed)
    errors = {name: each["error"] for name, each in answer["fields"].items() if "error" in each}
    assert len(errors) == 1
    (name, text), *_ = errors.items()
    assert name in typed or name == "from_deg"
    assert_plain(text.replace("-3 found", "3 found").replace("nan", "0").replace("inf", "0"))
    assert answer["mark"] is None


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("sets", "two", "Gauge sets: “two” is not understood."),
        ("sets", "2 3", "2 numbers found"),
        ("sets", "25", "Gauge sets: 25 found."),
        ("ahead_only", "perhaps", "Turning back: “perhaps” found. Choose"),
        ("units", "1 three", "Units to plan: "),
        ("units", "1 9", "Units: unit 9 found."),
        ("from_deg", "north", "Flywheel stands at: “north” is not understood."),
        ("from_deg", "361", "Flywheel stands at: 361 found."),
        ("done/2/last_task", "lunch", "Unit 2, last task done: “lunch” found."),
        ("done/2/gauge_set", "0", "Unit 2, gauge set on it: 0 found."),
        ("done/9/last_task", "opening", "Units: unit 9 found."),
    ],
)
def test_what_is_not_understood_is_told_at_its_field(name: str, text: str, words: str) -> None:
    answer = ask(do="plan_look", **opened(engine(4)), typed={**BOTH_WAYS, name: text})
    assert list(answer["fields"]) == [name]
    assert words in answer["fields"][name]["error"]


def test_several_slips_are_told_together_and_what_is_open_is_named() -> None:
    answer = ask(do="plan", **opened(engine(4)), typed={"units": "x", "from_deg": "y", "done/1/gauge_set": "z"})
    assert set(answer["fields"]) == {"units", "from_deg", "done/1/gauge_set"}
    assert [each["name"] for each in answer["missing"]] == ["sets", "ahead_only"]
    for each in answer["missing"]:
        assert_plain(each["text"])
    assert "plan" not in answer


def test_what_the_job_lacks_leads_to_its_fields() -> None:
    form = opened(WITHIN.read_text("utf-8"))
    known = {key for key, _ in form_fields()}
    for key in ("engine.cam_peak_deg", "engine.base_circle_from_deg", "engine.firing_order", "engine.units"):
        texts = {each: text for each, text in form["texts"].items() if each != key}
        answer = ask(do="plan", texts=texts, base=form["base"], typed=BOTH_WAYS)
        assert key in {each["key"] for each in answer["needs"]}
        assert answer["mark"] is None
        for each in answer["needs"]:
            assert each["key"] in known
            assert_plain(each["text"])
    # A slip is named once, and as a slip.
    texts = {**form["texts"], "engine.cam_peak_deg": "high"}
    needs = ask(do="plan_look", texts=texts, base=form["base"], typed=BOTH_WAYS)["needs"]
    assert [each["key"] for each in needs] == ["engine.cam_peak_deg"]
    assert "not understood" in needs[0]["text"]
    # A unit without settings, and angles that do not follow each other.
    texts = {key: text for key, text in form["texts"].items() if not key.startswith("reference.units/4/")}
    needs = ask(do="plan_look", texts=texts, base=form["base"], typed=BOTH_WAYS)["needs"]
    assert "unit 4" in needs[0]["text"]
    texts = {**form["texts"], "reference.units/3/end_deg": "40"}
    needs = ask(do="plan_look", texts=texts, base=form["base"], typed=BOTH_WAYS)["needs"]
    assert needs[0]["key"].startswith("reference.units/3/")
    assert "does not follow" in needs[0]["text"]


def test_a_blank_job_says_all_that_is_missing() -> None:
    answer = ask(do="plan", texts={}, base={}, typed=BOTH_WAYS)
    keys = [each["key"] for each in answer["needs"]]
    assert {"engine.units", "engine.firing_order", "engine.cam_peak_deg"} <= set(keys)
    assert len(keys) == len(set(keys))


def test_readings_that_are_missing_or_wrong_hold_up_no_plan() -> None:
    form = opened(WITHIN.read_text("utf-8"))
    texts = {key: text for key, text in form["texts"].items() if not key.startswith("readings/")}
    texts["readings/1/as_found/suction_closing/ahead/plunger_lift_mm"] = "1,234"
    assert made({"texts": texts, "base": form["base"]}, BOTH_WAYS) == made(form, BOTH_WAYS)


@pytest.mark.parametrize("typed", [BOTH_WAYS, {"sets": "3", "ahead_only": "true"}, {**BOTH_WAYS, "units": "1 4 6"}], ids=str)
def test_the_rest_from_any_stop_is_a_plan_of_its_own_and_so_is_the_rest_of_that(typed: dict[str, str]) -> None:
    job = tree(WITHIN)
    form = opened(job)
    plan = made(form, typed)
    for stops in range(1, len(plan["stops"]) + 1, 5):
        rest = ask(do="plan_rest", typed=typed, plan=plan, stops=stops)["typed"]
        again = made(form, rest)
        done, units = done_in(rest), [int(unit) for unit in typed.get("units", "").split()] or None
        from_deg = float(rest["from_deg"])
        assert replay(job, again, units=units, from_deg=from_deg, done=done) <= plan["cost_deg"] + 800.0
        if len(again["stops"]) > 4:
            twice = ask(do="plan_rest", typed=rest, plan=again, stops=4)["typed"]
            final = made(form, twice)
            replay(job, final, units=units, from_deg=float(twice["from_deg"]), done=done_in(twice))
    everything = ask(do="plan_rest", typed=typed, plan=plan, stops=len(plan["stops"]))["typed"]
    assert made(form, everything)["stops"] == []
    assert "Nothing is left" in list(searched(form, everything))[-1]["html"]["words"]


def done_in(typed: dict[str, str]) -> dict[int, str]:
    return {int(key.split("/")[1]): text for key, text in typed.items() if key.endswith("/last_task")}


def test_sets_stay_where_they_are() -> None:
    form = opened(engine(6, spread=0.6, seed=4))
    plan = made(form, {"sets": "3", "ahead_only": "false"})
    stops = 7
    rest = ask(do="plan_rest", typed={"sets": "3", "ahead_only": "false"}, plan=plan, stops=stops)["typed"]
    on: dict[int, int] = {}
    for task in (task for stop in plan["stops"][:stops] for task in stop["tasks"]):
        on[task["unit"]] = task["set"]
        if task["task"] == "opening":
            del on[task["unit"]]
    assert on
    assert {key: text for key, text in rest.items() if key.endswith("/gauge_set")} == {
        f"done/{unit}/gauge_set": str(number) for unit, number in on.items()
    }
    for task in (task for stop in made(form, rest)["stops"] for task in stop["tasks"]):
        assert task["set"] == on.get(task["unit"], task["set"])


def test_no_rest_without_a_stop() -> None:
    form = opened(engine(3))
    plan = made(form, BOTH_WAYS)
    for stops in (0, -1, len(plan["stops"]) + 1):
        assert ask(do="plan_rest", typed=BOTH_WAYS, plan=plan, stops=stops)["typed"] == BOTH_WAYS
    assert ask(do="plan_rest", typed=BOTH_WAYS, plan={"no": "plan"}, stops=1)["typed"] == BOTH_WAYS


@pytest.mark.parametrize("typed", [BOTH_WAYS, {"sets": "1", "ahead_only": "true", "units": "2"}], ids=str)
def test_a_plan_that_was_kept_is_shown_as_it_was(typed: dict[str, str]) -> None:
    form = opened(WITHIN.read_text("utf-8"))
    *_, last = searched(form, typed)
    way = next(each["html"]["way"] for each in reversed(list(searched(form, typed))) if "way" in each["html"])
    shown = ask(do="plan_shown", **form, plan=last["plan"])["html"]
    assert shown == {"words": last["html"]["words"], "way": way}
    assert way.count('type="checkbox"') == len(last["plan"]["stops"])
    # Of a job that has lost its speed since, or all else, it tells what it knows.
    assert "It takes about" in ask(do="plan_shown", texts={}, base={}, plan=last["plan"])["html"]["words"]


def test_what_is_no_plan_is_none_and_nothing_in_it_becomes_markup() -> None:
    plan = made(opened(engine(3)), BOTH_WAYS)
    broken: list[Any] = [None, [], {}, "plan", {**plan, "stops": "none"}, {**plan, "sets": HOSTILE}, {**plan, "units": None}]
    broken += [{**plan, "stops": [{**plan["stops"][0], "direction": HOSTILE}]}, {**plan, "format": "spillmark-job"}]
    for each in broken:
        assert ask(do="plan_shown", texts={}, base={}, plan=each) == {"html": None}
        assert "errors" in ask(do="plan_sheet", texts={}, base={}, plan=each)
    hostile = {**plan, "future": 1, "program": HOSTILE, "notices": [{"code": "fallback", "where": "x", "text": HOSTILE}]}
    assert plan_from(hostile) is not None
    assert "<img" not in ask(do="plan_shown", texts={}, base={}, plan=hostile)["html"]["way"]
    assert "<img" not in ask(do="plan_sheet", texts={"vessel": HOSTILE}, base={}, plan=hostile)["text"]


def test_the_sheet_holds_what_the_plan_says_and_the_check_sum_of_the_job() -> None:
    form = opened(WITHIN.read_text("utf-8"))
    plan = made(form, BOTH_WAYS)
    form["texts"] |= {"paper.commander": "R. Senn, 2/E", "paper.people": "4", "engine.speed_rpm": "rather fast"}
    sheet = ask(do="plan_sheet", **form, plan=plan)
    assert sheet["name"] == "demo-every-unit-within-2026-02-13-turning.html"
    assert checksum(json.loads(ask(do="save", **form)["text"])) in sheet["text"]
    assert "count 4 people aloud" in sheet["text"]
    assert "R. Senn, 2/E says: turning ahead." in sheet["text"]
    assert sheet["text"].count("☐") == sum(len(stop["tasks"]) for stop in plan["stops"]) == 28
    for stop in plan["stops"]:
        assert f"{stop['flywheel_deg']:.2f}°" in sheet["text"]
        assert f"{stop['turn_deg']:.2f}°" in sheet["text"] or stop["direction"] == "start"


def test_a_name_for_what_is_wanted_changes_with_all_that_the_plan_rests_on_and_nothing_else() -> None:
    form = opened(WITHIN.read_text("utf-8"))

    def mark(typed: dict[str, str] = BOTH_WAYS, changes: dict[str, str] | None = None) -> str:
        found: str = ask(do="plan_look", texts={**form["texts"], **(changes or {})}, base=form["base"], typed=typed)["mark"]
        return found

    unrelated = {"vessel": "Another", "engine.speed_rpm": "90"}
    assert mark() == mark(changes=unrelated) == mark({**BOTH_WAYS, "units": "1 2 3 4 5 6 7"})
    others = [
        mark({**BOTH_WAYS, "sets": "3"}),
        mark({**BOTH_WAYS, "ahead_only": "true"}),
        mark({**BOTH_WAYS, "units": "1 2"}),
        mark({**BOTH_WAYS, "from_deg": "10"}),
        mark({**BOTH_WAYS, "from_deg": "10", "done/1/last_task": "peak"}),
        mark(changes={"engine.cam_peak_deg": "33"}),
        mark(changes={"engine.take_up_deg": "7"}),
        mark(changes={"reference.units/3/end_deg": "2.6"}),
        mark(changes={"reference.rotation": "astern"}),
    ]
    assert len({mark(), *others}) == len(others) + 1


def test_the_choices_are_described_in_plain_words_under_names_of_their_own() -> None:
    described = describe()
    faces = [face for group in described["groups"] for face in group["fields"]] + described["done"]["columns"]
    assert [face["key"] for face in faces] == ["sets", "ahead_only", "units", "from_deg", "last_task", "gauge_set"]
    for face in faces:
        assert face["label"]
        assert_plain(face["help"])
    # No key of the job begins like those of the plan on the page.
    assert not any(key.startswith("plan") for key in (*TABLES, *(key for key, _ in form_fields())))
    assert "plan" not in describe_form()
    assert {Wanted.__module__, UnitDone.__module__} == {"calc.plan.turning.wanted"}


def test_a_page_that_plans_nothing_does_not_wait_for_it() -> None:
    """Starting and judging load nothing of the turning plan."""
    code = (
        "import json, sys; from calc.browser import respond; respond(json.dumps({'do': 'hello'}));"
        "respond(json.dumps({'do': 'assess', 'texts': {}, 'base': {}}));"
        "print([name for name in sys.modules if 'turning' in name or name == 'calc.show.planning'])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
