"""A job with gaps: what is judged of it, and that what is filled in for the check leaves no trace in it."""

import json

import pytest

from calc import assess, read_job
from calc.job.form import spread
from calc.job.write import checksum
from calc.work.begun import begun, begun_file
from calc.work.sheet import Worksheet
from tests.jobs import tree


def test_a_whole_job_has_nothing_missing_and_its_own_findings_and_check_sum() -> None:
    so_far = begun_file(tree())
    found = assess(read_job(json.dumps(tree())))
    assert (so_far.missing, so_far.errors, so_far.problems) == ((), (), ())
    assert so_far.found == found
    assert so_far.checksum == found.job.checksum


def test_a_gap_is_named_by_its_field_and_left_as_a_gap() -> None:
    texts = spread(tree())
    for key in [key for key in texts if key.startswith("instruments.plunger_gauge.")]:
        del texts[key]
    so_far = begun(texts)
    assert "instruments.plunger_gauge.step_mm" in {each.key for each in so_far.missing}
    assert "plunger_gauge" not in so_far.composed.tree["instruments"]
    assert so_far.checksum == checksum(so_far.composed.tree)
    assert so_far.found is None


def test_what_cannot_be_used_is_to_mend_and_not_missing() -> None:
    texts = spread(tree()) | {"engine.units": "seven", "reference.angle_tolerance_deg": "45"}
    so_far = begun(texts)
    assert {each.key for each in so_far.errors} >= {"engine.units", "reference.angle_tolerance_deg"}
    assert "engine.units" not in {each.key for each in so_far.missing}


@pytest.mark.parametrize(
    ("text", "units"),
    [("1", 1), ("24", 24), ("006", 6), ("0", 0), ("25", 0), ("", 0), ("²", 0), (5000 * "9", 0), (5000 * "0" + "6", 6)],
    ids=lambda value: str(value)[:6],
)
def test_the_units_of_a_sheet_are_1_to_24_or_not_known(text: str, units: int) -> None:
    """Fuzzing found that Python itself refuses to read thousands of digits as a number."""
    texts = spread(tree()) | {"engine.units": text}
    assert Worksheet(texts).units == list(range(1, units + 1))
    begun(texts)


def test_the_check_sum_of_a_faulty_file_is_that_of_the_file_itself() -> None:
    job = tree()
    job["engine"]["units"] = "seven"
    assert begun_file(job).checksum == checksum(job)
