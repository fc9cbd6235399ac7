"""What the page about the turning plan shows: computed from the demo's job, and the same as its plans."""

import re

from calc.show.turning_reference import example, savings
from tests.jobs import DEMO_FILES, tree
from tests.plan.engines import planned

SOURCE = DEMO_FILES[1].read_text("utf-8")


def test_the_example_is_the_plan() -> None:
    plan = planned(tree(DEMO_FILES[1]), 2)
    page = example(SOURCE, 2)
    rows = re.findall(r"^\| (\d+) \| ([\d.]+)° \| (.+?) \| (.+) \|$", page, re.MULTILINE)
    assert [(int(number), float(angle)) for number, angle, *_ in rows] == [
        (number, round(stop.flywheel_deg, 2)) for number, stop in enumerate(plan.stops, start=1)
    ]
    assert page.count("<svg") == 1
    assert "It is proven that no plan costs less." in page


def test_what_is_saved_is_that_of_the_plans() -> None:
    rows = [line.split(" | ") for line in savings(SOURCE, (1, 2, 3)).splitlines() if re.match(r"\| [TA]", line)][1:]
    assert len(rows) == 8
    for row, (ahead_only, sets) in zip(rows, [(way, sets) for way in (False, True) for sets in (0, 1, 2, 3)], strict=True):
        plan = planned(tree(DEMO_FILES[1]), max(sets, 1), ahead_only=ahead_only)
        alone = plan.one_by_one
        assert alone is not None
        cost = plan.cost_deg if sets else alone.cost_deg
        assert row[2].startswith(f"{cost:.1f}°")
        assert row[3] == (f"saves {100 * (1 - cost / alone.cost_deg):.0f} %" if sets else "–")
