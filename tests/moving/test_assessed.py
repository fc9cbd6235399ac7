"""A job made from the model's gauges: the calculator finds what was moved, by how much, and what would mend it."""

import pytest

from calc.findings import CamCorrection, RodCorrection, UnitFindings
from calc.moving import pump
from calc.moving.pump import Setting
from tests.invented import codes, entry, judged
from tests.pump.forward import SPILL

from .hands import job

MOVED = 3
OTHERS = (1, 2, 4, 5)


def found_in(setting: Setting) -> UnitFindings:
    findings = judged(job({MOVED: setting}))
    for unit in OTHERS:
        assert entry(findings, unit).causes == ()
        assert entry(findings, unit).verdict == "within"
    return entry(findings, MOVED)


def test_a_pump_at_its_reference_is_within_and_has_no_cause() -> None:
    unit = found_in(pump.REFERENCE)
    assert unit.verdict == "within"
    assert unit.causes == ()
    assert unit.beginning is not None
    assert unit.beginning.deviation_deg == pytest.approx(0.0, abs=0.06)


@pytest.mark.parametrize(("code", "rod"), [("suction_rod", "suction"), ("spill_rod", "spill")])
@pytest.mark.parametrize("hundredths", [-60, 40, 100])
def test_a_rod_is_found_and_turned_back(code: str, rod: str, hundredths: int) -> None:
    unit = found_in(Setting(**{rod: hundredths}))
    (cause,) = unit.causes
    assert cause.code == code
    ratio = (pump.SUCTION_FIFTHS if rod == "suction" else -pump.SPILL_FIFTHS) / pump.FIFTHS
    assert cause.size == pytest.approx(hundredths / 100.0 / ratio, abs=0.02)
    (correction,) = unit.corrections
    assert isinstance(correction, RodCorrection)
    assert correction.change_mm == pytest.approx(-hundredths / 100.0, abs=0.02)


@pytest.mark.parametrize("tenths", [-12, 6, 20])
def test_a_cam_is_found_and_no_rod_is_corrected(tenths: int) -> None:
    unit = found_in(Setting(cam=tenths))
    assert [cause.code for cause in unit.causes] == ["cam_position"]
    assert unit.causes[0].size == pytest.approx(tenths / 10.0, abs=0.08)
    assert all(isinstance(each, CamCorrection) for each in unit.corrections)
    assert unit.effective_stroke_mm is not None
    assert unit.effective_stroke_mm.deviation == pytest.approx(0.0, abs=0.03)


def test_a_rod_and_the_cam_are_told_apart() -> None:
    unit = found_in(Setting(suction=60, cam=-10))
    assert {cause.code for cause in unit.causes} == {"suction_rod", "cam_position"}


def test_a_worn_flank_looks_like_a_late_cam_and_no_rod_is_corrected() -> None:
    unit = found_in(Setting(wear=10))
    assert [cause.code for cause in unit.causes] == ["cam_position"]
    assert unit.causes[0].size > 0.2
    assert not any(isinstance(each, RodCorrection) for each in unit.corrections)


def test_an_index_that_is_set_wrongly_everywhere_is_a_common_setting() -> None:
    findings = judged(job({unit: Setting(index=53) for unit in (1, 2, 3, 4, 5)}))
    for unit in (1, 2, 3, 4, 5):
        causes = entry(findings, unit).causes
        assert [(cause.code, cause.event) for cause in causes] == [("common_setting", SPILL)]
        assert causes[0].size == pytest.approx(1.2, abs=0.02)


def test_the_cut_out_that_a_correction_leaves_is_what_the_model_then_shows() -> None:
    """Both rods far off: the calculator foretells the opening at index 0, the model shows it."""
    unit = found_in(Setting(suction=70, spill=50))
    assert unit.cut_out is not None
    assert unit.cut_out.opening_mm == pytest.approx(pump.opening_at_index_0(Setting(suction=70, spill=50)) / 100.0, abs=0.011)
    assert unit.after_correction is not None
    after = pump.opening_at_index_0(pump.REFERENCE) / 100.0
    assert unit.after_correction.zero_index_opening_mm == pytest.approx(after, abs=0.03)


def test_no_notice_complains_of_the_table() -> None:
    notices = codes(judged(job({})))
    assert not {each for each in notices if "table" in each}, notices
