"""How many years a settled chain must run before it counts: what its first stores still move, year by year.

Each chain is walked twice through the same weather: begun with the settled stores, and begun so many years sooner. What
lies there at the end of a year differs by the mark that the beginning left; it is told over the spread of the longer walk,
for food in days of need and for the good that differs most. A third walk begins with bare shelves.

    python scripts/burn_in.py examples/tarn-hollow --chains 12 [--quick]
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np
import numpy.typing as npt

import yardland
from yardland.larderyears.chains import ground, grow_chains
from yardland.larderyears.frame import store_days
from yardland.larderyears.prepare import Prepared, prepare
from yardland.larderyears.sides import brought
from yardland.larderyears.start import started_as
from yardland.larderyears.window_walk import walker_of
from yardland.reference import load_tables

F64 = npt.NDArray[np.float64]
SOONER, SHOWN, SEED = 6, 5, 1
LEAST_SPREAD_KG = 1.0
"""A good whose stores vary by less is not looked at."""


def walks(shared: Prepared, chains: int) -> tuple[F64, F64, F64]:
    """Kilograms lying at the ends of SHOWN years, [chain, year, opening]: begun sooner, settled, and with bare shelves."""
    grown = grow_chains(shared.ground, SEED, list(range(chains)), SOONER + SHOWN)
    walker, bare = walker_of(shared.policy), np.zeros_like(shared.opening_kg)
    found: tuple[list[F64], list[F64], list[F64]] = ([], [], [])
    for productions in grown.productions:
        years, _ = brought(shared.frame, productions)
        later = years.of(slice(SOONER, None))
        found[0].append(walker.walk(years, shared.opening_kg).opening_kg[SOONER + 1 :])
        found[1].append(walker.walk(later, shared.opening_kg, SOONER).opening_kg[1:])
        found[2].append(walker.walk(later, bare, SOONER).opening_kg[1:])
    return np.array(found[0]), np.array(found[1]), np.array(found[2])


def by_good(shared: Prepared, kg: F64) -> F64:
    """Kilograms of each good, whatever their way and age, [chain, year, good]."""
    goods = sorted({one.good for one in shared.frame.lying})
    return np.stack(
        [kg[..., [at for at, one in enumerate(shared.frame.lying) if one.good == good]].sum(axis=-1) for good in goods],
        axis=-1,
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="What the first stores of a chain still move, year by year.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--chains", type=int, default=12)
    parser.add_argument("--quick", action="store_true")
    asked = parser.parse_args()
    holding = started_as(yardland.load(asked.folder), "settled")
    shared = prepare(ground(holding, load_tables(own=holding.own)), quick=asked.quick)
    long, settled, bare = walks(shared, asked.chains)
    days = [
        np.array([[store_days(shared.frame, year) for year in chain] for chain in kg]) for kg in (long, settled, bare)
    ]
    spread = days[0].std()
    goods = [by_good(shared, kg) for kg in (long, settled)]
    varied = goods[0].std(axis=(0, 1))
    told = varied > LEAST_SPREAD_KG
    print(f"{holding.place.name}: {asked.chains} chains, food {days[0].mean():.0f} days, spread {spread:.1f} days")
    for year in range(SHOWN):
        from_settled, from_bare = ((one[:, year] - days[0][:, year]).mean() / spread for one in days[1:])
        apart = np.abs((goods[1] - goods[0])[:, year].mean(axis=0))[told] / varied[told]
        worst = float(apart.max(initial=0.0))
        print(
            f"  end of year {year + 1}: settled {100 * from_settled:+.1f} %, bare {100 * from_bare:+.1f} %, worst good {100 * worst:.1f} %"
        )


if __name__ == "__main__":
    main()
