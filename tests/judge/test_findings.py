"""What the findings' file promises to those that read it: keys that are always there, may be null, or are left out."""

from typing import Any

import pytest

from calc import findings
from calc.findings import SUSPICIONS, findings_to_tree
from calc.job.describe import RECORD, RECORDS, fields_of
from tests.invented import SUCTION, contact, engine_job, judged

# Of each record the keys that may be null. A program that reads the file may rely on all others.
MAY_BE_NULL: dict[str, set[str]] = {
    "Notice": set(),
    "Deviation": set(),
    "Part": set(),
    "Event": {"settle"},
    "Cause": {"event"},
    "RodCorrection": {"turns", "flats", "hand_flats", "hand_change_mm", "trial_lift_mm", "held"},
    "CamCorrection": {"held"},
    "AfterCorrection": {"beginning_deviation_deg", "end_deviation_deg", "effective_stroke_mm", "zero_index_opening_mm"},
    "CutOut": {"limit_mm", "probability_within", "verdict", "zero_delivery_index"},
    "LiftOff": {"limit_mm", "verdict"},
    "Quantity": {"cm3_per_cycle", "g_per_cycle", "imbalance_percent", "injection_ms"},
    "Suspicion": {"size", "unit"},
    "SurveyedEvent": set(),
    "CamSurvey": {
        "u_phase_deg",
        "robust_phase_deg",
        "cam_part_deg",
        "u_cam_part_deg",
        "own_cam_part_deg",
        "u_own_cam_part_deg",
        "beginning",
        "end",
    },
    "IndexLine": {
        "u_zero_index",
        "by_opening",
        "u_by_opening",
        "differ",
        "low_index",
        "low_imbalance_percent",
        "u_low_imbalance_percent",
    },
    "UnitFindings": {
        "beginning",
        "end",
        "effective_stroke_mm",
        "delivery_angle_deg",
        "after_correction",
        "after_by_hand",
        "cam_part_deg",
        "own_cam_part_deg",
        "cut_out",
        "lift_off",
        "quantity",
        "cam_survey",
        "index_line",
    },
    "CommonPart": set(),
    "CommonParts": {"as_found", "as_left"},
    "TdcStage": {"u_camshaft_deg"},
    "TdcCheck": {"u_deg", "pointer_deg", "u_pointer_deg", "pointer_off", "as_found", "as_left"},
    "JobHead": {"title", "vessel", "date", "running_hours", "rotation"},
    "Summary": set(),
    "Findings": {"tdc_check"},
}
# These are left out instead, so that programs that do not know them never meet them.
LEFT_OUT = {
    ("Cause", "event"),
    ("RodCorrection", "held"),
    ("CamCorrection", "held"),
    ("UnitFindings", "cam_survey"),
    ("UnitFindings", "index_line"),
    ("JobHead", "rotation"),
    ("Findings", "tdc_check"),
}
GUM, CONFORMITY = "JCGM 100:2008", "JCGM 106:2012; ISO 14253-1:2017"
GEOMETRY, LINE = "geometry of the slider crank", "the spill lift is linear in the fuel index (this pump's construction)"
FIT = "least squares on the monotone cubic (Fritsch and Butland 1984)"
# Numbers that rest on a publication, or on a law, name it.
SOURCES = {
    "Deviation": {"u": GUM},
    "Part": {"u": GUM},
    "Event": {
        "u_deg": GUM,
        "expanded_deg": f"{GUM}, G.3",
        "probability_within": CONFORMITY,
        "verdict": CONFORMITY,
        "u_lift_mm": GUM,
        "u_cam_part_deg": GUM,
    },
    "Cause": {"u": GUM},
    "CutOut": {"probability_within": CONFORMITY, "verdict": CONFORMITY},
    "Quantity": {"g_per_cycle": "ASTM D1250"},
    "SurveyedEvent": {"u_cam_part_deg": GUM, "u_residual_mm": GUM},
    "CamSurvey": {
        "phase_deg": FIT,
        "u_phase_deg": f"{GUM}, H.3",
        "robust_phase_deg": "Tukey's biweight (from memory)",
        "u_cam_part_deg": GUM,
        "u_own_cam_part_deg": GUM,
    },
    "IndexLine": {
        "mm_per_index": LINE,
        "zero_index": LINE,
        "u_zero_index": f"{GUM}, H.3",
        "u_by_opening": GUM,
        "u_low_imbalance_percent": GUM,
    },
    "TdcStage": {"u_camshaft_deg": GUM},
    "TdcCheck": {"tdc_deg": GEOMETRY, "u_deg": f"{GUM}, 4.2", "u_pointer_deg": GUM},
}
LISTS = {
    ("RodCorrection", "assumes"),
    ("Suspicion", "events"),
    ("UnitFindings", "causes"),
    ("UnitFindings", "hints"),
    ("UnitFindings", "corrections"),
    ("UnitFindings", "suspicions"),
    ("Findings", "units"),
    ("Findings", "notices"),
}


@pytest.mark.parametrize("name", MAY_BE_NULL)
def test_which_keys_may_be_null(name: str) -> None:
    described = fields_of(getattr(findings, name))
    assert {field.name for field in described if not field.required} == MAY_BE_NULL[name]


@pytest.mark.parametrize("name", MAY_BE_NULL)
def test_which_keys_are_left_out_and_which_are_lists(name: str) -> None:
    described = fields_of(getattr(findings, name))
    assert {(name, field.name) for field in described if field.omit} == {each for each in LEFT_OUT if each[0] == name}
    many = {(name, field.name) for field in described if field.many or field.kind == RECORDS}
    assert many == {each for each in LISTS if each[0] == name}


@pytest.mark.parametrize("name", MAY_BE_NULL)
def test_numbers_name_what_they_rest_on(name: str) -> None:
    described = fields_of(getattr(findings, name))
    assert {field.name: field.source for field in described if field.source} == SOURCES.get(name, {})


def test_every_record_of_the_findings_is_promised() -> None:
    met: set[str] = set()

    def walk(record: type) -> None:
        if record.__name__ in met:
            return
        met.add(record.__name__)
        for field in fields_of(record):
            if field.kind in (RECORD, RECORDS):
                for each in (field.record, *field.variants):
                    assert each is not None
                    walk(each)

    walk(findings.Findings)
    assert met == set(MAY_BE_NULL)


def test_the_format_names_itself() -> None:
    tree = judged(engine_job()).to_json()
    assert (tree["format"], tree["version"]) == ("spillmark-findings", 1)
    assert list(tree)[:5] == ["format", "version", "program", "job", "summary"]


def test_what_is_left_out_is_no_key_and_what_is_null_is_one() -> None:
    tree: Any = judged(engine_job(readings=[contact(1, SUCTION)])).to_json()
    (unit,) = tree["units"]
    assert "tdc_check" not in tree
    assert "rotation" not in tree["job"]
    assert not {"cam_survey", "index_line", "judged"} & set(unit)
    assert {unit[key] for key in ("end", "effective_stroke_mm", "own_cam_part_deg", "cut_out")} == {None}
    assert tree["common_part_deg"] == {"as_found": None, "as_left": None}


def test_lists_of_a_record_become_lists_in_the_file() -> None:
    suspicion = findings.Suspicion(
        code="gauge_zero", events=("suction_closing",), size=None, unit=None, fits=0.9, settle="Read it again."
    )
    assert findings_to_tree(suspicion)["events"] == ["suction_closing"]
    assert suspicion.code in SUSPICIONS
    part = findings.CommonPart(value=0.1, u=0.05, units_used=3, significant=False, alone=0.02)
    assert findings_to_tree(part) == {"value": 0.1, "u": 0.05, "units_used": 3, "significant": False}


def test_what_is_not_of_the_file_takes_no_part_in_a_comparison() -> None:
    one, other = (findings.CommonPart(value=0.1, u=0.05, units_used=3, significant=False, alone=each) for each in (0.02, 0.03))
    assert one == other
    assert "alone" not in repr(one)
    assert findings.CommonPart(value=0.1, u=0.05, units_used=3, significant=False).alone == 0.0
    unit = judged(engine_job(readings=[contact(1, SUCTION)])).units[0]
    assert unit.judged is not None
    assert "judged=" not in repr(unit)
