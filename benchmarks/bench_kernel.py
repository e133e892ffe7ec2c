"""Nanoseconds per day-step of the three growth kernels, one thread, in one run.

Forty plantings in 256 years by default. Only this benchmark stresses the strips' daily loop itself: no tables, no
windows, no reading out. A day-step is one strip, one lane, one day. Run: python benchmarks/bench_kernel.py
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from kernel_case import kernel_case

from yardland.growth.numba_path import run_numba
from yardland.growth.numpy_path import run_numpy
from yardland.growth.twin import run_twin

LEAST_OVER_NUMPY = 5.0
LEAST_OVER_TWIN = 200.0


def ns_per_day_step(run: Callable[[], object], day_steps: int, repeats: int) -> float:
    """Best CPU time of some runs over the day-steps in one."""
    best = float("inf")
    for _ in range(repeats):
        start = time.process_time()
        run()
        best = min(best, time.process_time() - start)
    return best / day_steps * 1e9


def measure(strips: int, lanes: int, twin_lanes: int, repeats: int = 3) -> dict[str, float]:
    """Nanoseconds per day-step by kernel; the plain-Python twin on fewer lanes of the same strips."""
    large, small = kernel_case(3, strips, lanes, 2, 0), kernel_case(3, strips, twin_lanes, 2, 0)
    run_numba(small)  # compile or load
    return {
        "numba": ns_per_day_step(lambda: run_numba(large), large.day_steps, repeats),
        "numpy": ns_per_day_step(lambda: run_numpy(large), large.day_steps, repeats),
        "twin": ns_per_day_step(lambda: run_twin(small), small.day_steps, 1),
    }


def main() -> None:
    """Print the table of times and ratios."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--strips", type=int, default=20, help="strips, with two plantings each")
    parser.add_argument("--years", type=int, default=256)
    given = parser.parse_args()
    ns = measure(given.strips, given.years, 2)
    print(f"{2 * given.strips} plantings x {given.years} years, one thread, ns per day-step")
    for name, value in ns.items():
        print(f"  {name:6} {value:10.1f}   numba is {value / ns['numba']:7.1f} times as fast")
    reached = ns["numpy"] / ns["numba"] >= LEAST_OVER_NUMPY and ns["twin"] / ns["numba"] >= LEAST_OVER_TWIN
    print(
        f"asked: {LEAST_OVER_NUMPY:g} times NumPy, {LEAST_OVER_TWIN:g} times the twin: {'reached' if reached else 'MISSED'}"
    )


if __name__ == "__main__":
    main()
