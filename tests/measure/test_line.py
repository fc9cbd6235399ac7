"""The straight line against certified and published values, scipy, and properties."""

from math import sqrt
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from calc.measure.line import Line, fit_common_line, fit_line, steps_to_reach
from calc.measure.spread import middle_and_scatter
from calc.measure.student import t_quantile
from tests.published import half_digit, load

DATA = load("regression")


def test_gum_h3() -> None:
    """JCGM 100:2008, H.3: line, its doubts, and the correction at 30 degC, as printed and to all digits."""
    case = DATA["gum_h3"]
    line = fit_line([x - case["about"] for x in case["x"]], case["y"])
    assert line is not None
    found = {
        "intercept": line.intercept,
        "u_intercept": line.u_intercept,
        "slope": line.slope,
        "u_slope": line.u_slope,
        "s": line.s,
        "at_30": line.value(10.0),
        "u_at_30": line.u_value(10.0),
    }
    for key, printed in case["printed"].items():
        assert found[key] == pytest.approx(float(printed), abs=half_digit(printed)), key
    for key, value in case["full"].items():
        assert found[key] == pytest.approx(value, rel=1e-11), key


def norris() -> tuple[list[float], list[float]]:
    """The data as NIST gives them, from the copy that ships with scipy."""
    path = Path(scipy.stats.__file__).parent / "tests" / "data" / "nist_linregress" / "Norris.dat"
    rows = [tuple(map(float, line.split())) for line in path.read_text(encoding="utf-8").splitlines()[60:96]]
    return [x for _, x in rows], [y for y, _ in rows]


def test_norris() -> None:
    """NIST StRD, certified to 15 digits."""
    case = DATA["norris"]
    x, y = norris()
    line = fit_line(x, y)
    assert line is not None
    assert line.count == case["count"]
    for key in ("intercept", "u_intercept", "slope", "u_slope", "s"):
        assert getattr(line, key) == pytest.approx(case[key], rel=1e-11), key
    assert line.value(case["at"]) == pytest.approx(case["fit"], rel=1e-12)
    assert line.prediction(case["at"]) == pytest.approx(tuple(case["prediction"]), rel=1e-11)
    assert mean_interval(line, case["at"]) == pytest.approx(tuple(case["mean_interval"]), rel=1e-11)
    assert line.s**2 * line.dof == pytest.approx(case["rss"], rel=1e-11)
    f = (line.slope / line.u_slope) ** 2
    assert f == pytest.approx(case["f"], rel=1e-10)
    assert f / (f + line.dof) == pytest.approx(case["r_squared"], rel=1e-14)


def mean_interval(line: Line, x: float) -> tuple[float, float]:
    """Where the line itself lies at x, 95 %."""
    half = t_quantile(0.975, line.dof) * line.u_value(x)
    return line.value(x) - half, line.value(x) + half


def test_longley_one_line_after_the_other() -> None:
    """NIST StRD, notorious for how nearly its columns depend on each other: certified coefficients to ten digits.

    A coefficient of several is the slope of a single line once all other columns are taken out of both (Frisch, Waugh and
    Lovell). So six columns of large numbers put the centring and the sums of the single line to the test.
    """
    case = DATA["longley"]
    columns, y = [list(column) for column in zip(*case["x"], strict=True)], list(map(float, case["y"]))

    def without(values: list[float], others: list[list[float]]) -> list[float]:
        """What is left of values when columns, independent of each other, are taken out. Twice: rounding leaves a rest."""
        for other in (*others, *others):
            line = fit_line(other, values)
            assert line is not None
            values = [value - line.value(x) for value, x in zip(values, other, strict=True)]
        return values

    slopes = []
    for at, column in enumerate(columns):
        others: list[list[float]] = []
        for each in columns[:at] + columns[at + 1 :]:
            others.append(without(each, others))
        rest = fit_line(without(column, others), without(y, others))
        assert rest is not None
        slopes.append(rest.slope)
    assert slopes == pytest.approx(case["slopes"], rel=1e-10)
    left = [value - sum(b * x for b, x in zip(slopes, row, strict=True)) for value, row in zip(y, case["x"], strict=True)]
    intercept = sum(left) / len(left)
    assert intercept == pytest.approx(case["intercept"], rel=1e-10)
    rss = sum((each - intercept) ** 2 for each in left)
    assert sqrt(rss / (len(y) - 7)) == pytest.approx(case["s"], rel=1e-8)
    mean = sum(y) / len(y)
    assert 1.0 - rss / sum((each - mean) ** 2 for each in y) == pytest.approx(case["r_squared"], rel=1e-10)


def test_prediction_interval_of_cars() -> None:
    """R's own example of a prediction interval."""
    case = DATA["cars"]
    line = fit_line(case["speed"], case["dist"])
    assert line is not None
    assert line.value(case["at"]) == pytest.approx(case["fit"], rel=1e-12)
    assert line.prediction(case["at"]) == pytest.approx(tuple(case["prediction"]), rel=1e-10)
    assert mean_interval(line, case["at"]) == pytest.approx(tuple(case["mean_interval"]), rel=1e-10)


@pytest.mark.parametrize("name", ["copper", "small"])
def test_middle_and_scatter(name: str) -> None:
    case = DATA[name]
    middle, scatter = middle_and_scatter(case["values"])
    assert middle == pytest.approx(case["median"], rel=1e-12)
    assert scatter == pytest.approx(case["scatter"], rel=1e-6)


values = st.lists(st.tuples(st.floats(0, 1e5), st.floats(-10, 10)), min_size=3, max_size=20)


@given(values)
def test_against_scipy(rows: list[tuple[float, float]]) -> None:
    x, y = zip(*rows, strict=True)
    if max(x) - min(x) < 1e-3 * max(x) or len(set(x)) < 3:
        return
    line = fit_line(x, y)
    expected = scipy.stats.linregress(x, y)
    assert line is not None
    size = max(map(abs, y)) / (max(x) - min(x))
    assert line.slope == pytest.approx(expected.slope, rel=1e-8, abs=1e-9 * size)
    assert line.u_slope == pytest.approx(expected.stderr, rel=1e-6, abs=1e-7 * size)
    if not line.noise and expected.pvalue > 1e-6 and abs(expected.pvalue - 0.05) > 1e-6:
        assert line.slope_proven() == (expected.pvalue < 0.05)


@given(values, st.floats(0, 1e5), st.floats(-100, 100))
def test_moved_values_move_the_line(rows: list[tuple[float, float]], later: float, higher: float) -> None:
    """Where hours and values are counted from changes neither slope nor doubt."""
    x, y = zip(*rows, strict=True)
    line = fit_line(x, y)
    moved = fit_line([each + later for each in x], [each + higher for each in y])
    if line is None or moved is None or max(x) - min(x) < 1.0:
        return
    size = (max(map(abs, y)) + 100.0) / (max(x) - min(x))
    assert moved.slope == pytest.approx(line.slope, abs=1e-9 * size)
    assert moved.value(later + 5.0) == pytest.approx(line.value(5.0) + higher, abs=1e-6 * (1.0 + 1e5 * size))


def test_no_line_without_two_places() -> None:
    assert fit_line([3.0], [1.0]) is None
    assert fit_line([3.0, 3.0, 3.0], [1.0, 2.0, 3.0]) is None


def test_two_points_have_a_line_and_no_doubt() -> None:
    line = fit_line([0.0, 10.0], [1.0, 3.0])
    assert line is not None
    assert (line.slope, line.dof) == (0.2, 0)
    assert not line.slope_proven()


@pytest.mark.parametrize("level", [0.1, -3.3, 0.0])
def test_equal_values_prove_nothing(level: float) -> None:
    """Rounding alone must not prove a drift."""
    line = fit_line([100.0, 217.0, 333.0, 411.0], [level] * 4)
    assert line is not None
    assert not line.slope_proven()


def test_a_perfect_drift_is_proven() -> None:
    line = fit_line([0.0, 1.0, 2.0], [0.0, 0.5, 1.0])
    assert line is not None
    assert line.slope_proven()


def test_runs_with_their_own_level_share_a_slope() -> None:
    """After a correction the level is new, the drift the same. Against numpy's general least squares."""
    groups = [0, 0, 0, 1, 1, 2, 2, 2]
    x = [0.0, 5.0, 9.0, 9.0, 15.0, 15.0, 20.0, 26.0]
    y = [0.1, 0.32, 0.45, 0.02, 0.30, -0.1, 0.12, 0.41]
    line = fit_common_line(groups, x, y)
    assert line is not None
    design = np.array([[float(group == g) for g in range(3)] + [at] for group, at in zip(groups, x, strict=True)])
    solved, rss, *_ = np.linalg.lstsq(design, np.array(y), rcond=None)
    assert line.slope == pytest.approx(solved[3])
    assert line.dof == 4
    assert line.s == pytest.approx(sqrt(rss[0] / 4))
    assert line.value(30.0) == pytest.approx(solved[2] + solved[3] * 30.0)
    covariance = np.linalg.inv(design.T @ design) * line.s**2
    at = np.array([0.0, 0.0, 1.0, 30.0])
    assert line.u_value(30.0) == pytest.approx(sqrt(at @ covariance @ at))


def test_runs_of_one_value_tell_nothing() -> None:
    assert fit_common_line([0, 1, 2], [0.0, 5.0, 9.0], [0.1, 0.2, 0.3]) is None


@given(values, st.floats(0.1, 50.0))
def test_steps_to_the_limit(rows: list[tuple[float, float]], limit: float) -> None:
    """Just before the distance found the range lies inside, just beyond it touches the limit."""
    x, y = zip(*rows, strict=True)
    line = fit_line(x, y)
    if line is None or line.dof < 1 or len(set(x)) < 3 or max(x) - min(x) < 1.0:
        return
    start = max(x)
    found = steps_to_reach(line, start, limit, 1e5)

    def widest(distance: float) -> Any:
        low, high = line.prediction(start + distance)
        return max(high, -low)

    if found is None:
        assert all(widest(1e5 * k / 50) < limit for k in range(51))
    else:
        assert widest(found) >= limit
        assert found == 0.0 or all(widest(found * k / 50) < limit * (1 + 1e-9) for k in range(50))


@pytest.mark.parametrize("away", [0.25, 0.5, 3.0, 50.0])
def test_a_line_without_scatter_reaches_its_limit_where_it_says(away: float) -> None:
    line = fit_line([0.0, 1.0, 2.0, 3.0], [0.0, 1.0, 2.0, 3.0])
    assert line is not None
    assert steps_to_reach(line, 3.0, 3.0 + away, 100.0) == pytest.approx(away, abs=1e-9)
