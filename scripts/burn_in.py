"""How many years a settled chain must run before it counts: what its beginning still moves, year by year.

Each chain is walked through the same weather begun settled, and begun so many years sooner. The food that lies there
differs by the mark that the beginning left; its mean over chains and months is told over the spread of the longer walk. A
third walk begins with bare shelves. Heads are drawn alone: their mean over many chains in each year, less that of later
years, over their spread.

    python scripts/burn_in.py examples/tarn-hollow --chains 8 [--quick]
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np
import numpy.typing as npt

import yardland
from yardland.larderyears.chains import Ground, ground, grow_chains
from yardland.larderyears.prepare import Prepared, prepare
from yardland.larderyears.sides import brought
from yardland.larderyears.start import started_as
from yardland.larderyears.told import tell_chain, teller
from yardland.larderyears.window_walk import walker_of
from yardland.reference import load_tables
from yardland.stock.herds.chains import herd_chains

F64 = npt.NDArray[np.float64]
SOONER, SHOWN, SEED = 6, 4, 1
HERD_CHAINS, HERD_YEARS, LATER = 400, 16, 8


def days(shared: Prepared, chains: int) -> tuple[F64, F64, F64]:
    """Days of food at the months' ends, [chain, year, 12]: begun sooner, begun settled, begun with bare shelves."""
    grown = grow_chains(shared.ground, SEED, list(range(chains)), SOONER + SHOWN)
    walker, tell = walker_of(shared.policy), teller(shared.frame, shared.policy.stack)
    bare = np.zeros_like(shared.opening_kg)
    found: tuple[list[F64], list[F64], list[F64]] = ([], [], [])
    for chain, productions in enumerate(grown.productions):
        first = shared.ground.first_turn(chain)
        years, _ = brought(shared.frame, productions)
        later = years.of(slice(SOONER, None))
        sooner = tell_chain(tell, 0, walker.walk(years, shared.opening_kg, first)).stock_days
        found[0].append(sooner[SOONER:])
        found[1].append(tell_chain(tell, 0, walker.walk(later, shared.opening_kg, first + SOONER)).stock_days)
        found[2].append(tell_chain(tell, 0, walker.walk(later, bare, first + SOONER)).stock_days)
    return np.array(found[0]), np.array(found[1]), np.array(found[2])


def heads(shared: Ground) -> dict[str, F64]:
    """Group -> its heads in the mean of each year's months, [chain, year]."""
    drawn = herd_chains(shared.herds, shared.tables, SEED, range(HERD_CHAINS), HERD_YEARS).needs
    names = dict.fromkeys(herd.group for herd in drawn[0][0])
    return {
        name: np.array(
            [[sum(float(h.heads.mean()) for h in year if h.group == name) for year in chain] for chain in drawn]
        )
        for name in names
    }


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description="What the beginning of a chain still moves, year by year.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--chains", type=int, default=8)
    parser.add_argument("--quick", action="store_true")
    asked = parser.parse_args()
    holding = started_as(yardland.load(asked.folder), "settled")
    shared = ground(holding, load_tables(own=holding.own))
    for name, counted in heads(shared).items():
        later = counted[:, LATER:]
        off = (counted.mean(axis=0) - later.mean()) / max(later.std(), 1e-9)
        told = ", ".join(f"{100 * one:+.0f} %" for one in off[:SHOWN])
        print(f"{name}: {later.mean():.1f} heads, spread {later.std():.1f}; years 1 to {SHOWN}: {told}", flush=True)
    sooner, settled, bare = days(prepare(shared, quick=asked.quick), asked.chains)
    spread = float(sooner.std(axis=(0, 1)).mean())
    print(f"{holding.place.name}: {asked.chains} chains, food {sooner.mean():.0f} days, spread {spread:.1f} days")
    for year in range(SHOWN):
        from_settled, from_bare = (100 * float((one - sooner)[:, year].mean()) / spread for one in (settled, bare))
        print(f"  year {year + 1}: begun settled {from_settled:+.1f} %, begun bare {from_bare:+.1f} %")


if __name__ == "__main__":
    main()
