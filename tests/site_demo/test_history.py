"""The demo's past checks are what their script makes, and show what the page says of them."""

import json

from calc import assess, read_job
from calc.judge.history import history
from calc.judge.past import Check, check_of
from calc.judge.wanted import Wanted
from site_demo.history import FOLDER, texts
from tests.jobs import tree


def test_the_stored_files_are_what_the_script_makes() -> None:
    assert {path.name: path.read_text("utf-8") for path in FOLDER.iterdir()} == texts()


def test_it_is_the_demos_ship_and_says_so() -> None:
    main = tree()
    for text in texts().values():
        job = json.loads(text)
        assert job["demo"] is True
        assert (job["vessel"], job["engine"]) == (main["vessel"], main["engine"])
        assert job["reference"].items() <= main["reference"].items()


def checks() -> list[Check]:
    found = []
    for name, text in texts().items():
        job = read_job(text)
        check = check_of(job, assess(job), name)
        assert check is not None
        found.append(check)
    return found


def test_one_event_drifts_as_it_was_made_and_no_other() -> None:
    found = history(checks(), 8, [], Wanted(interval_h=7500.0))
    [engine] = found.engines
    provable = {
        (unit.unit, noun): event
        for unit in engine.units
        for noun, event in (("start", unit.beginning), ("end", unit.end))
        if event is not None and event.provable
    }
    [(key, drift)] = provable.items()
    assert key == (6, "end")
    assert drift.slope_per_1000_h is not None
    assert drift.u_slope_per_1000_h is not None
    assert abs(drift.slope_per_1000_h - -0.027) < 2.0 * drift.u_slope_per_1000_h
    assert engine.next_check is not None
    assert engine.next_check.reason == "trend"
    assert found.notices == ()
