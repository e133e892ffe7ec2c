"""Policies without foresight against perfect information, over the same chains of a holding: what not knowing costs, in what time.

Plain rolling to this larder year's end, the shipped windows, the quick ones, and with --two-years rolling to the next one's; the whole
objective of the block, a year. All chains open with the stores that the shipped policy leaves in training, and all their years count, so
that every policy is measured from the same shelves (own choice). Time is of the processor, for wall time on a shared machine says little;
policies take turns chain by chain. Run: python benchmarks/bench_policies.py [HOLDING] [--count N] [--chain-years Y] [--standard] [--two-years]
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from policies_case import Cost, compared, cost_of, mean_and_error, policies, stored_walker, walk

import yardland
from yardland.holding.model import Holding
from yardland.larderyears.chains import ground, grow_chains
from yardland.larderyears.prepare import prepare
from yardland.larderyears.sides import brought
from yardland.larderyears.standard import on_standard_terms
from yardland.larderyears.start import calendar_of
from yardland.reference import load_tables

EXAMPLES = Path(__file__).parents[1] / "examples"
SEED = 5
SHIPPED_GAP, QUICK_GAP, QUICK_TIME, HOT_TIME = 0.4, 1.5, 0.4, 0.75
"""Aims: the shipped gap over plain rolling's; quick gap and time over the shipped ones; hot programs' time over that from stored bases."""
ROUNDING = 1e-6
"""How far perfect information may pass a policy, relative to its cost: the solver's."""


@dataclass(frozen=True)
class Found:
    """costs : policy -> chains ; stored : the shipped policy from stored bases, (cost, CPU seconds) of each chain ; years : of a chain."""

    costs: Mapping[str, Sequence[Cost]]
    stored: Sequence[tuple[float, float]]
    years: int

    def gaps(self, name: str) -> list[float]:
        """Cost a year less that of perfect information, by chain."""
        return [one.gap / self.years for one in self.costs[name]]

    def cpu_s(self, name: str) -> float:
        """CPU seconds a year."""
        return sum(one.cpu_s for one in self.costs[name]) / self.years / len(self.costs[name])

    def ratios(self) -> dict[str, tuple[float, float]]:
        """Ratio -> (what it is, what it is to be at most)."""
        gap = {name: mean_and_error(self.gaps(name))[0] for name in self.costs}
        stored_s = sum(cpu_s for _, cpu_s in self.stored) / self.years / len(self.stored)
        return {
            "shipped gap / plain gap": (gap["shipped"] / gap["plain"], SHIPPED_GAP),
            "quick gap / shipped gap": (gap["quick"] / gap["shipped"], QUICK_GAP),
            "quick time / shipped time": (self.cpu_s("quick") / self.cpu_s("shipped"), QUICK_TIME),
            "hot time / stored-basis time": (self.cpu_s("shipped") / stored_s, HOT_TIME),
        }


def measure(holding: Holding, count: int, chain_years: int, two_years: bool = False) -> Found:
    """All policies over the same chains.

    Args:
        holding: whose plan is walked.
        count: years, in chains of `chain_years`; rounded up to whole chains.
        chain_years: of each.
        two_years: with the policy that rolls the whole program to the next year's end.

    Raises:
        AssertionError: a policy cost less than perfect information: one of both programs is wrong.
    """
    place = ground(holding, load_tables(own=holding.own))
    shipped = prepare(place, years=chain_years)
    walked_by = policies(shipped, prepare(place, quick=True, years=chain_years))
    if not two_years:
        del walked_by["two_years"]
    stored = stored_walker(walked_by["shipped"])
    costs: dict[str, list[Cost]] = {name: [] for name in walked_by}
    known: set[int] = set()
    from_stored = []
    for chain in range(-(-count // chain_years)):
        grown = grow_chains(place, SEED, [chain], chain_years, calendar=calendar_of(holding, chain_years))
        years, _ = brought(shipped.frame, grown.productions[0])
        first = place.first_turn(chain)
        for name, policy in walked_by.items():
            one = compared(policy, shipped, years, shipped.opening_kg, first, known)
            if one.gap < -ROUNDING * one.cost:
                raise AssertionError(f"chain {chain}, {name}: cost {one.cost}, expected at least {one.least}")
            costs[name].append(one)
        walked, cpu_s = walk(stored, years, shipped.opening_kg, first)
        from_stored.append((cost_of(walked_by["shipped"], walked), cpu_s))
    return Found(costs, from_stored, chain_years)


def table(found: Found) -> str:
    """The measurements, a line for each policy."""
    lines = [f"{'policy':10s} {'cost/y':>9s} {'gap/y':>8s} {'+-':>7s} {'median':>8s} {'least':>8s} {'CPU ms/y':>9s}"]
    for name, chains in found.costs.items():
        gaps = found.gaps(name)
        mean, error = mean_and_error(gaps)
        cost = sum(one.cost for one in chains) / len(chains) / found.years
        middle, cpu_ms = float(np.median(gaps)), 1000.0 * found.cpu_s(name)
        lines.append(f"{name:10s} {cost:9.3f} {mean:8.3f} {error:7.3f} {middle:8.3f} {min(gaps):8.3f} {cpu_ms:9.1f}")
    cost = sum(cost for cost, _ in found.stored) / len(found.stored) / found.years
    cpu_ms = 1000.0 * sum(cpu_s for _, cpu_s in found.stored) / len(found.stored) / found.years
    return "\n".join([*lines, f"{'stored':10s} {cost:9.3f} {'':41s}{cpu_ms:9.1f}"])


def main() -> int:
    """Measure, print, judge."""
    reader = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    reader.add_argument("holding", nargs="?", default="tarn-hollow", help="a demonstration holding, or a folder")
    reader.add_argument("--count", type=int, default=20, help="years; the aims are for 200")
    reader.add_argument("--chain-years", type=int, default=5)
    reader.add_argument("--two-years", action="store_true", help="with rolling to the next year's end")
    reader.add_argument("--standard", action="store_true", help="on standard terms: nothing bought but salt")
    asked = reader.parse_args()
    folder = EXAMPLES / asked.holding
    holding = yardland.load(folder if folder.is_dir() else Path(asked.holding))
    if asked.standard:
        holding = on_standard_terms(holding)
    found = measure(holding, asked.count, asked.chain_years, asked.two_years)
    print(table(found))
    for name, (value, most) in found.ratios().items():
        print(f"{name:30s} {value:6.2f}  aim: at most {most}: {'met' if value <= most else 'MISSED'}")
    return 0 if all(value <= most for value, most in found.ratios().values()) else 1


if __name__ == "__main__":
    sys.exit(main())
