"""Every calculation as a form: what is typed says what its file says; what is wrong is told at a field of the form."""

import json
from html import escape
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from calc.browser import respond
from calc.compute.ask import ask
from calc.compute.registry import CALCULATIONS, GROUPS
from calc.compute.run import compute, compute_tree
from calc.job.describe import RECORD, TEXT, TEXTS, fields_of, walk
from calc.job.typed import read_typed, spread_typed
from calc.show.asked import describe, describe_alone, saved, told
from calc.show.computed import page_part
from calc.show.reference import pages
from tests.compute.inputs import inputs_of

NAMES = list(CALCULATIONS)
BLEND = CALCULATIONS["blend"]
ONE_FUEL = {"parts/0/mass_t": "90", "parts/0/viscosity_mm2_s": "380"}


def keys_of(described: dict[str, Any], rows: int) -> set[str]:
    """The keys of all fields of a form whose lists have this many rows."""
    keys: set[str] = set()
    for group in described["groups"]:
        names = [face["key"] for face in group["fields"]]
        listed = group["rows"]
        keys |= {f"{listed['key']}/{at}/{name}" for at in range(rows) for name in names} if listed else set(names)
    return keys


def typeable(tree: Any, given: type) -> Any:
    """The tree without texts that nobody can type: blank ones, and blanks at an end."""
    if not isinstance(tree, dict):
        return tree
    texts = {field.name for field in fields_of(given) if field.kind == TEXT}
    inner = {field.name: field.record for field in fields_of(given) if field.record is not None}
    return {
        key: f"x{value}x" if key in texts else [typeable(row, inner[key]) for row in value] if key in inner else value
        for key, value in tree.items()
    }


@pytest.mark.parametrize("name", NAMES)
def test_a_form_asks_for_every_input_in_a_kind_that_it_can_draw(name: str) -> None:
    calculation = CALCULATIONS[name]
    assert not [path for path, field in walk(calculation.given) if field.kind in (RECORD, TEXTS)]
    alone = describe_alone(calculation)
    wanted = {path.replace("[]", "/0").replace(".", "/") for path, field in walk(calculation.given) if field.record is None}
    assert keys_of(alone, 1) == wanted - set(calculation.beside_job)
    assert keys_of(describe(calculation), 1) == wanted
    assert alone["title"]
    assert alone["say"].endswith(".")
    assert set(alone["example"]) <= keys_of(alone, 9)


@pytest.mark.parametrize("name", NAMES)
def test_the_example_typed_is_answered_as_its_file_is(name: str) -> None:
    calculation = CALCULATIONS[name]
    asked = ask(calculation, describe_alone(calculation)["example"])
    done = compute(calculation, json.dumps(calculation.example))
    assert asked.typed.errors == {}
    assert asked.computed is not None
    assert asked.computed.answer == done.answer
    assert told(asked)["html"] == page_part(done)


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_any_input_typed_says_what_its_file_says(name: str, data: st.DataObject) -> None:
    calculation = CALCULATIONS[name]
    tree = typeable(data.draw(inputs_of(calculation)), calculation.given)
    asked = ask(calculation, spread_typed(calculation.given, tree))
    done = compute_tree(calculation, tree)
    assert asked.typed.values == tree
    assert bool(asked.typed.errors) == bool(done.errors)
    assert set(asked.typed.errors.values()) <= {error.text for error in done.errors}
    assert set(asked.typed.errors) <= keys_of(describe(calculation), 9)
    if asked.computed is not None and done.answer is not None:
        assert told(asked)["html"] == page_part(done)
        # The saved input is that of the command line.
        again = compute(calculation, saved(asked)["text"])
        assert again.to_json() == done.to_json()


@pytest.mark.parametrize("name", NAMES)
def test_an_empty_form_asks_for_what_is_needed_by_name(name: str) -> None:
    asked = ask(CALCULATIONS[name], {})
    answer = told(asked)
    # Where either of two will do, neither alone is needed.
    assert all("missing" in reply["error"] for reply in answer["fields"].values())
    assert set(answer["missing"]) <= keys_of(describe(CALCULATIONS[name]), 1)
    for words in asked.typed.missing.values():
        assert escape(words) in answer["html"]


@pytest.mark.parametrize("name", NAMES)
def test_a_slip_in_any_field_is_told_there(name: str) -> None:
    calculation = CALCULATIONS[name]
    example = describe_alone(calculation)["example"]
    free = {field.name for _, field in walk(calculation.given) if field.kind == TEXT}
    for key in keys_of(describe(calculation), 1):
        if key.rpartition("/")[2] in free:
            continue
        answer = told(ask(calculation, {**example, key: "?!"}))
        assert "error" in answer["fields"][key], key
        assert "“?!”" in answer["fields"][key]["error"], key
        assert "Mend what is marked" in answer["html"]


def test_a_row_in_which_nothing_is_typed_does_not_count() -> None:
    rows = {"parts/1/mass_t": "90", "parts/1/viscosity_mm2_s": "380", "parts/4/mass_t": "30", "parts/4/viscosity_mm2_s": "4"}
    asked = ask(BLEND, {**rows, "parts/0/mass_t": " "})
    assert asked.typed.values == {
        "parts": [{"mass_t": 90, "viscosity_mm2_s": 380}, {"mass_t": 30, "viscosity_mm2_s": 4}],
    }
    assert asked.computed is not None


def test_a_slip_and_a_gap_are_told_at_their_row_as_people_count_it() -> None:
    asked = ask(BLEND, {**ONE_FUEL, "parts/3/mass_t": "-4", "parts/5/sulphur_percent": "much"})
    errors, missing = asked.typed.errors, asked.typed.missing
    assert errors["parts/3/mass_t"].startswith("Fuels of the mixture, fuel 4, mass: -4 found.")
    assert errors["parts/5/sulphur_percent"].startswith("Fuels of the mixture, fuel 6, sulphur, share of the mass: “much”")
    assert missing == {
        "parts/3/viscosity_mm2_s": "fuels of the mixture, fuel 4, viscosity",
        "parts/5/mass_t": "fuels of the mixture, fuel 6, mass",
        "parts/5/viscosity_mm2_s": "fuels of the mixture, fuel 6, viscosity",
    }


def test_a_needed_list_that_is_empty_is_asked_for_by_its_first_row() -> None:
    answer = told(ask(BLEND, {}))
    assert answer["missing"] == ["parts/0/mass_t", "parts/0/viscosity_mm2_s"]
    assert "fuels of the mixture, fuel 1, mass" in answer["html"]
    assert "shanks" not in str(told(ask(CALCULATIONS["elongation"], {}))["missing"])


def test_a_rule_between_rows_is_told_at_the_row_and_a_tables_row_at_its_table() -> None:
    index = CALCULATIONS["fuel_index"]
    unit = {"unit": "1", "start_lift_mm": "13,2", "points": "3 23.4\n5 31.2"}
    rows = {f"units/{at}/{name}": text for at in (0, 2) for name, text in unit.items()}
    assert list(ask(index, rows).typed.errors) == ["units/2/unit"]
    assert list(ask(index, {**rows, "units/2/unit": "2", "units/2/points": "3 23.4\n5 9999"}).typed.errors) == [
        "units/2/points"
    ]


def test_a_value_that_another_makes_needed_is_asked_for_in_words() -> None:
    answer = told(ask(CALCULATIONS["density"], {"observed_kg_m3": "930"}))
    assert "Temperature at which it was observed: missing. Enter it." in answer["html"]
    assert "error" in answer["fields"]["observed_c"]
    answer = told(ask(CALCULATIONS["density"], {"observed_kg_m3": "930", "observed_c": "x"}))
    assert "Mend what is marked" in answer["html"]


def test_numbers_of_several_things_are_not_repeats() -> None:
    at = {"density_15_kg_m3": "965", "at_c": "50 98,5"}
    assert ask(CALCULATIONS["density"], at).typed.echoes == {"at_c": "50 °C, 98.5 °C"}
    many = ask(CALCULATIONS["density"], {**at, "at_c": " ".join(["50"] * 13)})
    assert many.typed.echoes == {"at_c": "13 values"}
    slip = ask(CALCULATIONS["density"], {**at, "at_c": "50 x"})
    assert slip.typed.errors["at_c"].endswith("Separate values with a space.")


def test_names_that_no_field_has_are_passed_over() -> None:
    strange = {
        "parts": "1",
        "parts/x/mass_t": "1",
        "parts/0": "1",
        "parts/0/colour": "1",
        "parts/99999/mass_t": "1",
        "a/b": "1",
    }
    assert ask(BLEND, {**ONE_FUEL, **strange}).typed == ask(BLEND, ONE_FUEL).typed


def test_a_unit_that_was_chosen_stands_behind_its_value() -> None:
    answer = told(ask(CALCULATIONS["convert"], {"value": "45", "from": "kgf.m", "to": "N.m"}))
    assert "441.299 N·m" in answer["html"]


def test_the_page_asks_without_a_job_and_saves_the_input() -> None:
    answer = json.loads(respond(json.dumps({"do": "compute", "name": "blend", "typed": ONE_FUEL})))
    assert answer["html"] == page_part(compute_tree(BLEND, {"parts": [{"mass_t": 90, "viscosity_mm2_s": 380}]}))
    made = json.loads(respond(json.dumps({"do": "compute_input", "name": "blend", "typed": ONE_FUEL})))
    assert made["name"] == "blend.json"
    assert made["command"] == "python -m calc compute blend --json < blend.json"
    assert json.loads(made["text"]) == {"parts": [{"mass_t": 90, "viscosity_mm2_s": 380}]}
    refused = json.loads(respond(json.dumps({"do": "compute_input", "name": "blend", "typed": {}})))
    assert refused == {"errors": ["Still needed: fuels of the mixture, fuel 1, mass, fuels of the mixture, fuel 1, viscosity."]}


def test_the_page_of_all_has_a_place_for_each_once() -> None:
    made = pages()
    places = [made["all-calculations.md"].count(f'data-calculation="{name}"') for name in NAMES]
    assert places == [1] * len(NAMES)
    assert [each["name"] for each in json.loads(made["calculators.json"])] == NAMES
    assert [each.name for group in GROUPS.values() for each in group] == NAMES
    for name in NAMES:
        assert f"(compute/{name}.input.schema.json)" in made["calculations.md"]
        assert f"(compute/{name}.result.schema.json)" in made["calculations.md"]
    offered = {each["name"] for each in json.loads(made["form.json"])["calculations"]}
    assert offered == {name for name, each in CALCULATIONS.items() if each.step}


def test_what_only_says_what_to_take_from_a_job_changes_no_answer() -> None:
    for name, more in (("trial", {"unit": "3"}), ("cam_slope", {"unit": "3", "event": "suction_closing"})):
        calculation = CALCULATIONS[name]
        assert set(more) == set(calculation.beside_job)
        example = describe_alone(calculation)["example"]
        assert told(ask(calculation, {**example, **more}))["html"] == told(ask(calculation, example))["html"]


def test_texts_are_kept_as_typed_and_a_record_comes_back() -> None:
    budget = CALCULATIONS["budget"]
    texts = {**spread_typed(budget.given, budget.example), "parts/0/name": "  angle scale  "}
    assert read_typed(budget.given, texts).record.parts[0].name == "angle scale"
