"""What to close before the engine can be ready, when a job is broken off. The order is common practice, no source."""

import pytest

from calc.job.catalogue import PHASES
from calc.work.closing import closing
from tests.invented import both, opening
from tests.work.sheets import Texts, found_in, whole_job

SOUND = [reading for unit in range(1, 6) for reading in both(unit)]


@pytest.fixture
def whole() -> Texts:
    return whole_job(SOUND, [opening(unit, 1.75) for unit in range(1, 6)])


def keys(texts: Texts) -> dict[str, list[str | None]]:
    return {phase.code: [each.key for each in phase.items] for phase in closing(texts, found_in(texts))}


def test_nothing_is_left_to_close_when_all_is_back(whole: Texts) -> None:
    assert closing(whole, found_in(whole)) == ()


def test_phases_come_in_their_order_and_only_what_was_moved_is_put_back(whole: Texts) -> None:
    for code in ("starting_air", "gauges", "fuel_inlets", "turning_gear"):
        del whole[f"positions/{code}/restored"]
    del whole["positions/alarms/as_found"]
    del whole["positions/alarms/restored"]
    del whole["confirmations/slow_start/by"]
    del whole["confirmations/slow_start/at"]
    found = keys(whole)
    assert list(found) == ["people", "fuel", "turning", "air", "proof"]
    assert list(PHASES).index("people") < list(PHASES).index("fuel") < list(PHASES).index("air")
    assert found["people"] == ["positions/gauges/restored"]
    assert found["proof"] == ["confirmations/slow_start/by"]
    assert all("alarms" not in str(key) for each in found.values() for key in each)


def test_how_it_stood_is_said_where_it_is_put_back(whole: Texts) -> None:
    del whole["positions/turning_gear/restored"]
    whole["positions/turning_gear/as_found"] = "out, interlock shut"
    ((item,),) = [phase.items for phase in closing(whole, found_in(whole))]
    assert "As found: out, interlock shut" in item.text


def test_a_rod_that_was_turned_is_locked_and_the_unit_proved(whole: Texts) -> None:
    whole |= {"adjustments/3/spill_rod/flats_turned": "2", "adjustments/3/spill_rod/length_before_mm": "388.2"}
    found = keys(whole)
    assert found["pumps"] == ["adjustments/3/spill_rod/locked", "confirmations/lock_nuts/by"]
    assert found["proof"] == [
        "readings/3/as_left/suction_closing/ahead/method",
        "readings/3/as_left/zero_index/ahead/valve_lift_mm",
    ]
    words = " ".join(each.text for phase in closing(whole) for each in phase.items)
    assert "Or put the rods back to their lengths before: spill push rod 388.2 mm." in words
    assert "The engine may not stop" in words


def test_a_unit_that_does_not_cut_out_is_named(whole: Texts) -> None:
    whole["readings/2/as_found/zero_index/ahead/valve_lift_mm"] = "0.1"
    (proof,) = closing(whole, found_in(whole))
    assert [each.text for each in proof.items] == [
        "Unit 2: its zero-index opening is not proved. Ask the maker before the engine runs."
    ]
