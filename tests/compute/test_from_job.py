"""What the worksheet's steps offer, and what each calculation takes from the job."""

import json
from math import sqrt
from typing import Any

import pytest

from calc import assess, read_job
from calc.compute.ask import Asked, ask
from calc.compute.registry import CALCULATIONS
from calc.findings import Findings
from calc.fuel.density import density_at
from calc.job.form import describe_form
from calc.job.model import Job
from calc.job.steps import ASIDE, STEPS
from calc.show.asked import describe, told
from tests.invented import SPILL, SUCTION, TOLERANCE, Tree, both, contact, engine_job, with_table

NAMES = list(CALCULATIONS)
MOST_WORDS = 25


@pytest.mark.parametrize("name", NAMES)
def test_each_says_what_to_do_in_short_sentences(name: str) -> None:
    described = describe(CALCULATIONS[name])
    assert described["title"][:1].isupper()
    assert described["say"][-1] == "."
    for sentence in described["say"].split(". "):
        assert len(sentence.split()) <= MOST_WORDS, sentence


def test_a_step_that_offers_calculations_has_a_title_for_them_and_no_other_has() -> None:
    offering = {each.step for each in CALCULATIONS.values() if each.step}
    titles = {step.code: step.around for step in (*STEPS, *ASIDE)}
    assert {code for code, title in titles.items() if title} == offering
    assert {step["id"]: step["around"] for step in describe_form()["steps"]} == titles
    assert len({title for title in titles.values() if title}) == len(offering)


def job(tree: Tree) -> tuple[Job, Findings]:
    found = read_job(json.dumps(tree))
    return found, assess(found)


def asked(name: str, of: tuple[Job, Findings], **texts: str) -> Asked:
    return ask(CALCULATIONS[name], texts, *of)


def result_of(found: Asked) -> Any:
    assert found.computed is not None, found.typed
    assert found.computed.answer is not None
    return found.computed.answer.result


# ---------------------------------------------------------------- top dead centre

LATE = 0.9
SHIFTED = [reading for unit in (1, 2, 3, 4) for reading in both(unit, 0.0, LATE)]


def test_tdc_alone_needs_nothing_of_the_job() -> None:
    found = asked("tdc", job(engine_job(readings=SHIFTED)), pairs="-24 24.6\n-30 30.8")
    assert found.taken == {}
    assert result_of(found).tdc_deg == pytest.approx(0.35)


def test_tdc_splits_the_common_part_of_the_findings_once_the_mark_was_read() -> None:
    of = job(engine_job(readings=SHIFTED))
    common = of[1].common_part_deg.as_found
    assert common is not None
    found = asked("tdc", of, pairs="-24 24.6\n-30 30.8", mark_deg="0")
    assert found.typed.values["common_part_deg"] == pytest.approx(LATE, abs=1e-4)
    # The pointer's doubt is inside the common part's, and is what the check replaces.
    rest = sqrt(common.u**2 - of[0].instruments.pointer_u_deg ** 2)
    assert found.typed.values["u_common_part_deg"] == pytest.approx(rest, abs=1e-5)
    assert result_of(found).camshaft_deg == pytest.approx(LATE - 0.35, abs=1e-4)
    assert told(found)["fields"]["common_part_deg"]["echo"].endswith("from this job")


def test_tdc_takes_the_latest_stage() -> None:
    left = [reading for unit in (1, 2, 3, 4) for reading in both(unit, 0.0, 0.2, stage="as_left")]
    found = asked("tdc", job(engine_job(readings=[*SHIFTED, *left])), pairs="-24 24.6", mark_deg="0")
    assert found.typed.values["common_part_deg"] == pytest.approx(0.2, abs=1e-4)


def test_what_is_typed_stands_against_the_job() -> None:
    found = asked("tdc", job(engine_job(readings=SHIFTED)), pairs="-24 24.6", mark_deg="0", common_part_deg="0,5")
    assert found.typed.values["common_part_deg"] == 0.5


# ---------------------------------------------------------------- repeats

# Unit 2 is closest to call: its start stands a little inside the tolerance; unit 3's end is less so.
NEAR = [
    *both(1),
    contact(2, SUCTION, 0.0, [TOLERANCE - 0.02, TOLERANCE - 0.04]),
    contact(2, SPILL),
    contact(3, SUCTION),
    contact(3, SPILL, 0.0, TOLERANCE - 0.05),
]


def test_repeats_take_the_event_that_is_closest_to_call_and_say_which() -> None:
    of = job(engine_job(readings=NEAR))
    verdicts = {(unit.unit, name): getattr(unit, name).verdict for unit in of[1].units for name in ("beginning", "end")}
    assert verdicts[2, "beginning"] == verdicts[3, "end"] == "unclear"
    found = asked("repeats", of)
    assert (found.typed.values["unit"], found.typed.values["event"]) == (2, SUCTION)
    assert found.typed.values["deviation"] == pytest.approx(TOLERANCE - 0.03, abs=1e-6)
    assert found.typed.values["tolerance"] == TOLERANCE
    fields = told(found)["fields"]
    assert fields["unit"]["echo"] == "2, from this job"
    assert fields["event"]["echo"] == "start: suction valve closes, from this job"


def test_repeats_have_the_doubt_of_the_findings() -> None:
    of = job(engine_job(readings=NEAR))
    found = asked("repeats", of)
    start = next(unit.beginning for unit in of[1].units if unit.unit == 2)
    assert start is not None
    values = found.typed.values
    assert sqrt(values["u_fixed"] ** 2 + values["s"] ** 2 / 2) == pytest.approx(start.u_deg, abs=1e-5)


def test_repeats_of_the_unit_and_event_that_are_chosen() -> None:
    of = job(engine_job(readings=NEAR))
    assert asked("repeats", of, unit="3").typed.values["event"] == SPILL
    assert asked("repeats", of, event="end: spill valve opens").typed.values["unit"] == 3
    chosen = asked("repeats", of, unit="1", event="start: suction valve closes")
    assert chosen.typed.values["deviation"] == 0.0
    assert result_of(chosen).readings == 1


def test_repeats_ask_where_nothing_is_unclear() -> None:
    found = asked("repeats", job(engine_job(readings=both(1))))
    assert found.taken == {}
    assert {"u_fixed", "s", "tolerance", "deviation"} == set(found.typed.missing)


# ---------------------------------------------------------------- fuel, quantity, cam, due


def with_fuel(**fuel: Any) -> tuple[Job, Findings]:
    return job(engine_job(readings=both(1, 0.0, 0.1), change=lambda tree: tree.update(fuel=fuel)))


FUEL = {"density_15_kg_m3": 955.5, "temperature_c": 120.0}


def without_fuel() -> tuple[Job, Findings]:
    return job(engine_job(change=lambda tree: tree.pop("fuel")))


def test_injection_has_engine_fuel_and_delivery_angle() -> None:
    of = with_fuel(**FUEL)
    found = asked("injection", of, power_kw="7000", specific_g_kwh="181")
    values = found.typed.values
    assert values["density_kg_m3"] == pytest.approx(density_at(955.5, 120.0), abs=1e-3)
    assert (values["units"], values["speed_rpm"], values["two_stroke"]) == (5, 131.0, True)
    assert values["delivery_angle_deg"] == pytest.approx(20.5)
    assert result_of(found).injection_ms == pytest.approx(20.5 / (6 * 131) * 1000)


def test_injection_asks_for_the_density_where_the_fuel_is_not_known() -> None:
    found = asked("injection", without_fuel(), power_kw="7000", specific_g_kwh="181")
    assert list(found.typed.missing) == ["density_kg_m3"]
    # Nothing was read: the reference settings have an angle too.
    assert found.typed.values["delivery_angle_deg"] == pytest.approx(20.5)


def test_a_list_or_a_table_from_the_job_is_told_as_if_it_had_been_typed() -> None:
    of = job(with_table(engine_job(change=lambda tree: tree.update(fuel=FUEL)), 48.0))
    for name in ("density", "viscosity"):
        assert told(asked(name, of))["fields"]["at_c"]["echo"] == "120 °C, from this job"
    assert told(asked("cam_survey", of))["fields"]["reference"]["echo"] == "3 rows, from this job"


def test_density_and_viscosity_are_asked_at_the_pumps_temperature() -> None:
    of = with_fuel(**FUEL)
    assert result_of(asked("density", of)).density_kg_m3[0] == pytest.approx(density_at(955.5, 120.0))
    assert result_of(asked("viscosity", of, points="50 380\n100 35")).viscosity_mm2_s[0] == pytest.approx(18.85391, abs=1e-5)
    assert asked("viscosity", of, points="50 380\n100 35", for_mm2_s="13").taken == {}
    back = asked("density", of, observed_kg_m3="905", observed_c="90")
    assert back.taken == {}
    assert result_of(back).density_kg_m3 is None
    assert asked("density", without_fuel()).taken == {}


def test_the_fuel_of_the_job_is_the_old_one_at_a_change_over() -> None:
    found = asked("change_over", with_fuel(**FUEL), volume_m3="2", flow_m3_h="1", residue_percent="4", hours_wanted="1")
    assert found.typed.values["old_c"] == 120.0
    assert result_of(found).start_before_stop_h == pytest.approx(1.0 + 2.0 * 3.2188758, abs=1e-6)
    assert asked("change_over", without_fuel()).taken == {}


def test_the_lift_table_of_the_settings_is_the_reference_of_a_cam_survey() -> None:
    tree = with_table(engine_job(readings=both(1)))
    rows = tree["engine"]["cam_lift_table"]
    found = asked("cam_survey", job(tree), measured="\n".join(f"{angle + 0.3} {lift}" for angle, lift in rows))
    assert result_of(found).phase_deg == pytest.approx(0.3, abs=1e-6)
    assert list(asked("cam_survey", job(engine_job())).typed.missing) == ["reference", "measured"]


def test_the_running_hours_of_the_job_are_those_of_now() -> None:
    found = asked("due", job(engine_job()), last_check_hours="6000", interval_h="7000")
    assert found.typed.values["now_hours"] == 12345.5
    assert result_of(found).due_hours == 13000.0
