"""Is something done soon? In this process's own time, against a fixed piece of work: slow and busy machines do not fail."""

import gc
import time
from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")
LOOPS = 50.0  # On a machine that needs 20 ms for the loop: a second.


def _calibration_s() -> float:
    begun = time.process_time()
    total = 0.0
    for number in range(300_000):
        total += number * 0.5 - total / 3.0
    return time.process_time() - begun


def done_soon(step: Callable[[], T]) -> T:
    """What the step returns or raises; fails if it took longer than fifty calibration loops."""
    unit = min(_calibration_s() for _ in range(3))
    # The objects of earlier tests are none of this step's work.
    gc.collect()
    gc.freeze()
    begun = time.process_time()
    try:
        return step()
    finally:
        took = time.process_time() - begun
        gc.unfreeze()
        assert took < LOOPS * unit, f"{took:.2f} s, {took / unit:.0f} times the calibration loop"
