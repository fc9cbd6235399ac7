"""What is timed. Runs in the browser's Python too, as text, so it imports nothing of the tests."""

import statistics
import time
from collections.abc import Callable


def median_ms(step: Callable[[], object], runs: int) -> float:
    """The median time of one run, in milliseconds."""
    times = []
    for _ in range(runs):
        begun = time.perf_counter()
        step()
        times.append(time.perf_counter() - begun)
    return 1000 * statistics.median(times)


def assess_ms(text: str, runs: int = 31) -> float:
    """Assessing a job that has been read; each run gets a job of its own, so nothing is kept."""
    from calc import assess, read_job

    assess(read_job(text))
    jobs = [read_job(text) for _ in range(runs)]
    return median_ms(lambda: assess(jobs.pop()), runs)


def calibration_ms() -> float:
    """A fixed loop of plain floating-point work, to tell a slow machine from slow code."""

    def loop() -> float:
        total = 0.0
        for number in range(100_000):
            total += number * 0.5 - total / 3.0
        return total

    return median_ms(loop, 11)
