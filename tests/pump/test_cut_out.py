"""Cut-out: the index of zero delivery, against the straight line of spill lift over index."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.pump.cut_out import lift_beyond_seat, zero_delivery_index


@given(st.floats(0.1, 5.0), st.floats(1.0, 40.0), st.floats(1.0, 100.0))
def test_at_the_index_of_zero_delivery_the_stroke_is_0(w: float, stroke: float, index: float) -> None:
    """Effective stroke: -w at index 0, the stroke at the reference index, a straight line between."""
    found = zero_delivery_index(index, stroke, w)
    assert found is not None
    assert float(np.interp(found, [0.0, index], [-w, stroke])) == pytest.approx(0.0, abs=1e-9)
    assert 0.0 < found < index


@pytest.mark.parametrize(
    ("stroke", "w", "known"),
    [
        (18.0, 0.0, False),
        (18.0, 1e-9, False),
        (18.0, 2e-9, True),
        (18.0, -1.0, False),
        (-1.0, 1.0, False),
        (-1.0, 1.1, True),
        (-2.0, 1.0, False),
    ],
)
def test_both_must_be_positive(stroke: float, w: float, known: bool) -> None:
    assert (zero_delivery_index(63.0, stroke, w) is not None) is known


def test_lift_beyond_the_seat() -> None:
    assert lift_beyond_seat(1.22, 0.07, 1.15) == pytest.approx(1.0)
    assert lift_beyond_seat(0.07, 0.07, 1.15) == 0.0
    assert lift_beyond_seat(0.0, 0.07, 1.15) < 0.0
