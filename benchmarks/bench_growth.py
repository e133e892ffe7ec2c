"""Growth, stock and weather of chains of larder years against the walk of the larder over the same chains.

Grown are whole pieces of work, as a run gives them out (`crew.CHAINS_AT_A_TIME` chains), down to the numbers in the order of
the larder's frame; walked by the quick policy, as `yardland years --quick` does. CPU seconds of one process; numba has one
thread. Run: python benchmarks/bench_growth.py [FOLDER ...] [--chains N] [--walked N]
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import yardland
from yardland.growth.numba_path import THREADS
from yardland.larderyears.asked import Asked
from yardland.larderyears.chains import ground
from yardland.larderyears.crew import CHAINS_AT_A_TIME
from yardland.larderyears.prepare import prepare
from yardland.larderyears.work import Ready, grow, ready, walk
from yardland.reference import load_tables

EXAMPLES = Path(__file__).parent.parent / "examples"
MOST_SHARE = 0.1
"""Of the walk's time."""
ROUNDS = 3


@dataclass(frozen=True)
class Seconds:
    """CPU seconds of 1,000 counted years: growth, the walk, and growth with chains grown one by one."""

    growth: float
    walk: float
    one_by_one: float

    @property
    def share(self) -> float:
        """Of growth in the walk's time."""
        return self.growth / self.walk


def cpu_s(work: Callable[[], object]) -> float:
    """CPU seconds of some work."""
    before = time.process_time()
    work()
    return time.process_time() - before


def measure(folder: Path, chains: int = CHAINS_AT_A_TIME, walked: int = 4, chain_years: int = 10) -> Seconds:
    """Seconds of one holding.

    Args:
        folder: of the holding.
        chains: that are grown together, the best of a few times.
        walked: how many of them are walked, and are grown one by one.
        chain_years: counted years of each.
    """
    os.environ[THREADS] = "1"
    holding = yardland.load(folder)
    held: Ready = ready(
        prepare(ground(holding, load_tables(own=holding.own)), quick=True),
        Asked(count=chains * chain_years, chain_years=chain_years, quick=True),
    )
    grown = grow(held, range(chains))
    per = 1000.0 / chain_years
    return Seconds(
        growth=min(cpu_s(lambda: grow(held, range(chains))) for _ in range(ROUNDS)) * per / chains,
        walk=cpu_s(lambda: [walk(held, 0, one) for one in grown[:walked]]) * per / walked,
        one_by_one=cpu_s(lambda: [grow(held, [chain]) for chain in range(walked)]) * per / walked,
    )


def main() -> int:
    """Measure, print, judge."""
    reader = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    reader.add_argument(
        "folders", nargs="*", type=Path, default=[EXAMPLES / name for name in ("casa-vereda", "tarn-hollow")]
    )
    reader.add_argument("--chains", type=int, default=CHAINS_AT_A_TIME)
    reader.add_argument("--walked", type=int, default=4)
    given = reader.parse_args()
    well = True
    for folder in given.folders:
        found = measure(folder, given.chains, given.walked)
        well = well and found.share <= MOST_SHARE
        print(
            f"{folder.name}: 1,000 counted years grown in {found.growth:.1f} CPU seconds ({found.one_by_one:.1f} chain by chain), "
            f"walked in {found.walk:.1f}: {found.share:.3f}"
        )
    print(f"aim: growth at most {MOST_SHARE} of the quick walk: {'met' if well else 'MISSED'}")
    return 0 if well else 1


if __name__ == "__main__":
    sys.exit(main())
