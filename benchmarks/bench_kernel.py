"""Nanoseconds per day-step of the growth kernels, in one run, after they were judged equal.

By default 100 chains of 10 years (1,000 lanes) on twenty strips with two plantings each, with gates, and three swards;
every second strip is watered from two sources. Only this benchmark stresses the strips' daily loop itself: no tables, no
windows, no reading out. A day-step is one strip, one lane, one day. Run: python benchmarks/bench_kernel.py
"""

from __future__ import annotations

import argparse
import dataclasses
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from kernel_case import kernel_case
from kernel_operations import operations_per_day_step, peak_gflops

from yardland.growth.io import KernelOutput
from yardland.growth.numba_path import run_numba
from yardland.growth.numpy_path import run_numpy
from yardland.growth.twin import run_twin

LEAST_OVER_NUMPY = 8.0
LEAST_OVER_TWIN = 200.0
LEAST_OF_TWO_THREADS = 1.7
SWARDS = 3
LARGEST_DIFFERENCE = 1e-9


def best_seconds(run: Callable[[], object], repeats: int, clock: Callable[[], float] = time.process_time) -> float:
    """Least time of some runs by a clock: the processor's, or (several threads) the wall's."""
    best = float("inf")
    for _ in range(repeats):
        start = clock()
        run()
        best = min(best, clock() - start)
    return best


def largest_difference(one: KernelOutput, other: KernelOutput) -> float:
    """Between two kernels' results: infinite where a day or an outcome differs, else of the sums, over 1 + their size."""
    worst = 0.0
    for field in dataclasses.fields(KernelOutput):
        left, right = getattr(one, field.name), getattr(other, field.name)
        if left.dtype.kind == "i":
            worst = worst if np.array_equal(left, right) else float("inf")
        elif left.size:
            worst = max(worst, float(np.max(np.abs(left - right) / (1.0 + np.abs(right)))))
    return worst


def measure(strips: int, lanes: int, twin_lanes: int, repeats: int = 3) -> dict[str, float]:
    """Times in ns per day-step by kernel (the twin on fewer lanes) and what they are judged by.

    `difference` of the paths from the twin; `two_threads`, times as fast as one by the wall;
    `their_time`, the processor's time of two over that of one; `operations` per day-step; `peak` in
    operations per ns.
    """
    large, small = (kernel_case(3, strips + SWARDS, count, 2, 2, SWARDS) for count in (lanes, twin_lanes))
    judge = run_twin(small)
    difference = max(largest_difference(run_numba(small), judge), largest_difference(run_numpy(small), judge))
    # One thread and two by the wall, in turn, so that what else the machine does meets both alike.
    turns = [
        [best_seconds(partial(run_numba, large, n), 1, time.perf_counter) for n in (1, 2)] for _ in range(2 * repeats)
    ]
    walls = np.min(np.array(turns), axis=0)
    one, two = (best_seconds(partial(run_numba, large, n), repeats) for n in (1, 2))
    ns = 1e9 / large.day_steps
    return {
        "numba": one * ns,
        "numba, two threads": float(walls[1]) * ns,
        "numpy": best_seconds(lambda: run_numpy(large), min(repeats, 2)) * ns,
        "twin": best_seconds(lambda: run_twin(small), 1) * 1e9 / small.day_steps,
        "difference": difference,
        "two_threads": float(walls[0] / walls[1]),
        "their_time": two / one,
        "operations": operations_per_day_step(small),
        "peak": peak_gflops(),
    }


def main() -> None:
    """Print the table of times and ratios."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--strips", type=int, default=20, help="strips with two plantings each, beside three swards")
    parser.add_argument("--chains", type=int, default=100)
    parser.add_argument("--years", type=int, default=10, help="years of a chain")
    given = parser.parse_args()
    found = measure(given.strips, given.chains * given.years, 2)
    print(f"{2 * given.strips} plantings and {SWARDS} swards x {given.chains * given.years} lanes, ns per day-step")
    for name in ("numba", "numba, two threads", "numpy", "twin"):
        print(
            f"  {name:18} {found[name]:10.1f}   one thread of numba is {found[name] / found['numba']:7.1f} times as fast"
        )
    print(f"largest difference {found['difference']:.1e}")
    print(
        f"two threads are {found['two_threads']:.2f} times one by the wall, and take {found['their_time']:.2f} of its"
        " processor's time (the wall tells nothing where other work holds the cores)"
    )
    rate = found["operations"] / found["numba"]
    print(
        f"{found['operations']:.0f} floating operations a day-step (counted in the source): {rate:.1f} a ns,"
        f" {100 * rate / found['peak']:.0f} % of the {found['peak']:.1f} that multiply-adds reach on one thread here"
    )
    goals = {
        f"{LEAST_OVER_NUMPY:g} times NumPy": found["numpy"] / found["numba"] >= LEAST_OVER_NUMPY,
        f"{LEAST_OVER_TWIN:g} times the twin": found["twin"] / found["numba"] >= LEAST_OVER_TWIN,
        f"two threads {LEAST_OF_TWO_THREADS:g} times one": found["two_threads"] >= LEAST_OF_TWO_THREADS,
        "equal": found["difference"] <= LARGEST_DIFFERENCE,
    }
    print("asked: " + ", ".join(f"{goal}: {'reached' if reached else 'MISSED'}" for goal, reached in goals.items()))


if __name__ == "__main__":
    main()
