"""Chains of larder years in one process and in two: what the second process saves, judged equal to the bit first.

A starter holding, made ready once. On a busy machine wall time says little, so that CPU seconds are counted too: those of
one process against those of the busiest of the three (the first process and two workers), which is what two idle cores
would wait for. Beside it the memory that a counted year takes. Run: python benchmarks/bench_years_places.py [--count N]
"""

from __future__ import annotations

import argparse
import os
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import fields
from pathlib import Path

import numpy as np
from typer.testing import CliRunner

import yardland
from yardland.cli.main import app
from yardland.larderyears.asked import Asked
from yardland.larderyears.chains import ground
from yardland.larderyears.places import Here, Processes
from yardland.larderyears.prepare import Prepared, prepare
from yardland.larderyears.result import odds_of
from yardland.larderyears.run import Run, Telling, Years
from yardland.larderyears.told import ChainTold
from yardland.reference import load_tables

LEAST_RATIO = 1.7
MOST_MB = 1000.0
ARGS = ["--name", "Brook", "--place", "54.4,-2.9", "--country", "GB", "--people", "f38,m40", "--area", "0.4 ha"]


def made_ready(folder: Path) -> Prepared:
    """The policy of the folder that `yardland new` writes for two people on 0.4 ha."""
    CliRunner().invoke(app, ["new", str(folder), *ARGS])
    holding = yardland.load(folder)
    return prepare(ground(holding, load_tables(own=holding.own)), quick=True)


def own_cpu_s() -> tuple[int, float]:
    """Number and CPU seconds of the process that is asked; it waits a little, so that the next one asks another."""
    time.sleep(0.5)
    return os.getpid(), time.process_time()


def cpu_s(place: Processes) -> list[float]:
    """CPU seconds that each worker has taken."""
    found: dict[int, float] = {}
    while len(found) < place.slots:
        found |= dict(one.result() for one in [place.pool.submit(own_cpu_s) for _ in range(place.slots)])
    return [found[pid] for pid in sorted(found)]


def timed(run: Callable[[], Years]) -> tuple[Years, float, float]:
    """What was run, CPU and wall seconds of this process."""
    cpu, wall = time.process_time(), time.perf_counter()
    years = run()
    return years, time.process_time() - cpu, time.perf_counter() - wall


def bytes_of(run: Years) -> float:
    """Bytes that are held for each counted year."""
    held = sum(
        value.nbytes
        for chain in run.chains
        for item in fields(ChainTold)
        if isinstance(value := getattr(chain, item.name), np.ndarray)
    )
    return held / (len(run.chains) * run.asked.chain_years)


def differ(one: Years, other: Years) -> int:
    """How many arrays of two runs are not the same to the bit."""
    pairs = zip(one.chains, other.chains, strict=True)
    return sum(
        not np.array_equal(getattr(a, item.name), getattr(b, item.name)) for a, b in pairs for item in fields(ChainTold)
    )


def measure(count: int, chain_years: int = 10) -> dict[str, float]:
    """CPU and wall seconds at both places, their ratio, arrays that differ, bytes a counted year, MB at the most."""
    with tempfile.TemporaryDirectory() as folder:
        shared = made_ready(Path(folder) / "brook")
        asked = Asked(count=count, chain_years=chain_years, quick=True)
        Run(shared, Asked(count=1, chain_years=1, quick=True), Telling(), None, Here()).years()
        one, one_cpu, one_wall = timed(lambda: Run(shared, asked, Telling(), None, Here()).years())
        place = Processes(2)
        try:
            Run(shared, Asked(count=4, chain_years=1, quick=True), Telling(), None, place).years()
            before = cpu_s(place)
            two, two_cpu, two_wall = timed(lambda: Run(shared, asked, Telling(), None, place).years())
            after = cpu_s(place)
        finally:
            place.close()
        odds_of(one)
    workers = [end - begin for begin, end in zip(before, after, strict=True)]
    return {
        "one_cpu_s": one_cpu,
        "one_wall_s": one_wall,
        "two_wall_s": two_wall,
        "first_cpu_s": two_cpu,
        "busiest_cpu_s": max(two_cpu, *workers),
        "ratio": one_cpu / max(two_cpu, *workers),
        "differ": float(differ(one, two)),
        "bytes_a_year": bytes_of(one),
        "most_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0,
    }


def main() -> int:
    """Measure, print, judge."""
    reader = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    reader.add_argument("--count", type=int, default=200)
    found = measure(reader.parse_args().count)
    for name, value in found.items():
        print(f"{name:16s} {value:12,.2f}")
    well = found["ratio"] >= LEAST_RATIO and not found["differ"] and found["most_mb"] < MOST_MB
    print(f"aim: ratio at least {LEAST_RATIO}, no difference, under {MOST_MB:.0f} MB: {'met' if well else 'MISSED'}")
    return 0 if well else 1


if __name__ == "__main__":
    sys.exit(main())
