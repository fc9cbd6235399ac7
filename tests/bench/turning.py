"""How soon a turning plan is good, and how soon it is proven."""

import platform
import statistics
import time
from collections.abc import Iterator

from calc.plan.turning.request import Request, request_of
from calc.plan.turning.solve import Progress, ways
from site_demo.measured import Figure
from tests.plan.engines import engine, job_of

from . import timed


def figures(runs: int = 5) -> Iterator[Figure]:
    """Every figure about turning plans."""
    python = platform.python_version()
    calibration = timed.calibration_ms()
    large = [_request(12, 3, seed) for seed in range(runs)]
    small = [_request(8, 2, seed) for seed in range(runs)]
    best = [_last(request) for request in large]
    gaps = [_gap_percent(_after(request, 1.0), proven) for request, proven in zip(large, best, strict=True)]
    yield Figure(
        name="plan_12_3_gap_percent",
        value=max(gaps),
        unit="%",
        goal=5.0,
        how=f"plan of 12 units with 3 sets after 1 s against the proven best, worst of {runs} engines "
        f"({', '.join(f'{gap:.2f}' for gap in gaps)}), CPython {python}; beside a calibration loop of {calibration:.1f} ms",
    )
    bounds = [100.0 * (1.0 - progress.bound / _cost(progress)) for progress in (_after(request, 10.0) for request in large)]
    yield Figure(
        name="plan_12_3_bound_percent",
        value=max(bounds),
        unit="%",
        goal=1.0,
        how=f"how far the bound lies below the plan of 12 units with 3 sets after 10 s, worst of {runs} engines "
        f"({', '.join(f'{bound:.2f}' for bound in bounds)}), CPython {python}",
    )
    times = [_proven_s(request) for request in small]
    yield Figure(
        name="plan_8_2_proven_s",
        value=statistics.median(times),
        unit="s",
        goal=1.0,
        how=f"plan of 8 units with 2 sets proven to be the best, median of {runs} engines "
        f"({', '.join(f'{one:.2f}' for one in times)}), CPython {python}; beside a calibration loop of {calibration:.1f} ms",
    )


def proven_cost(units: int, sets: int, seed: int) -> float:
    """What the best plan of an engine costs [degrees]; at least its bound, where it is not proven."""
    request = _request(units, sets, seed)
    return request.turning.degrees(_last(request).bound)


def _request(units: int, sets: int, seed: int) -> Request:
    return request_of(job_of(engine(units, spread=0.6, seed=seed)), sets=sets)


def _after(request: Request, seconds: float) -> Progress:
    """The progress when so much time has passed."""
    begun = time.perf_counter()
    last = None
    for progress in ways(request):
        if progress.way is not None:
            last = progress
        if time.perf_counter() - begun > seconds:
            break
    assert last is not None
    return last


def _last(request: Request) -> Progress:
    *_, last = ways(request)
    return last


def _cost(progress: Progress) -> int:
    assert progress.way is not None
    return progress.way.cost


def _gap_percent(progress: Progress, best: Progress) -> float:
    return 100.0 * (_cost(progress) / best.bound - 1.0)


def _proven_s(request: Request) -> float:
    begun = time.perf_counter()
    assert _last(request).optimal
    return time.perf_counter() - begun
