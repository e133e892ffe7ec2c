"""A thousand years of herds by week against the growth kernel for as many years, in one run on one thread.

Twelve groups of the usual kinds, 100 chains of ten years, whole heads with every draw, need and product; judged equal to
the plain-Python twin to the bit first. The growth kernel grows forty plantings in as many years, watered from two sources, one plot a sward.
CPU seconds of this process, both in turn in every round; the middle round's ratio is judged, so that other work on the machine
does not decide. Run: python benchmarks/bench_herds.py
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from kernel_case import kernel_case

from yardland.growth.numba_path import run_numba as grow
from yardland.holding.model import Group, Holding, MonthDay, Place
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.stock.herds.draws import lane_key, week_keys
from yardland.stock.herds.layout import WEEKS
from yardland.stock.herds.numba_path import run_numba
from yardland.stock.herds.plan import GroupPlan, compile_plan
from yardland.stock.herds.twin import run_twin
from yardland.stock.sky import Sky

MOST_OF_GROWTH = 0.2
PLANTINGS = 40
BORROWED = {"how": "borrowed"}
GROUPS: dict[str, dict[str, object]] = {
    "hens": {"heads": {"dual_purpose_hen": 18, "cockerel": 2}, "born": ["04-20"]},
    "layers": {"heads": {"laying_hen": 10, "cockerel": 1}, "born": ["04-10"]},
    "table_birds": {"batch": [{"class": "broiler_slow", "count": 20, "on": ["03-10", "05-25", "08-10"]}]},
    "geese": {"heads": {"goose": 3}, "born": ["05-05"], "sire": BORROWED},
    "ducks": {"heads": {"duck_layer": 6}},
    "rabbits": {"heads": {"rabbit_doe": 3, "rabbit_buck": 1}, "born": ["04-10", "06-15", "08-20", "10-20"]},
    "ewes": {"heads": {"ewe": 6}, "born": ["04-10"], "sire": BORROWED},
    "goats": {"heads": {"goat_dairy_doe": 4}, "born": ["03-15"], "sire": BORROWED, "milk_share": "apart at night"},
    "sow": {"heads": {"sow": 1}, "born": ["03-01", "09-01"], "sire": BORROWED},
    "weaners": {"batch": [{"class": "pig_grower", "count": 2, "on": ["04-15"]}]},
    "cow": {"heads": {"dairy_cow_small": 1}, "born": ["04-05"], "sire": BORROWED, "milk_share": "apart at night"},
    "hives": {"heads": {"honeybee_colony": 3}},
}
"""Invented, of the size of a small holding."""
COLDEST_C, WARMEST_C, SHORTEST_H, LONGEST_H = 3.0, 17.0, 8.0, 16.5


def plans() -> list[GroupPlan]:
    """The groups' plans under a smooth year."""
    turn = (1.0 - np.cos(2.0 * np.pi * (np.arange(12) - 0.3) / 12.0)) / 2.0
    sky = Sky.of(
        larder_months(2001, 1),
        COLDEST_C + (WARMEST_C - COLDEST_C) * turn,
        SHORTEST_H + (LONGEST_H - SHORTEST_H) * turn,
    )
    place = Place(name="x", latitude_deg=52, longitude_deg=0, country="GB", year_starts=MonthDay(1, 1))
    groups = {name: Group.model_validate({"home": "yard"} | fields) for name, fields in GROUPS.items()}
    holding = Holding(folder=Path(), place=place, people={}, plot={}, group=groups)
    return list(compile_plan(holding, load_tables(), sky).groups.values())


def seconds(run: Callable[[], object]) -> float:
    """CPU time of a run."""
    start = time.process_time()
    run()
    return time.process_time() - start


def measure(chains: int, years: int, rounds: int = 9) -> dict[str, float]:
    """Middle CPU seconds of the herds and of the growth kernel for the same years, and how many groups' twins differ.

    `ratio` is the middle one of the rounds', `least` and `most` the ends.
    """
    groups, keys = plans(), week_keys(1, WEEKS * years)
    lanes = {plan.name: [lane_key(plan.name, chain) for chain in range(chains)] for plan in groups}
    differ = sum(_differs(plan, lanes[plan.name][:1], keys, years) for plan in groups)
    case, small = kernel_case(3, PLANTINGS // 2, chains * years), kernel_case(3, PLANTINGS // 2, 2)
    grow(small, threads=1)  # compile or load

    def herds() -> None:
        for plan in groups:
            run_numba(plan.arrays, lanes[plan.name], keys, years)

    herds()
    times = np.array([(seconds(herds), seconds(lambda: grow(case, threads=1))) for _ in range(rounds)])
    ratios = times[:, 0] / times[:, 1]
    return {
        "herds_s": float(np.median(times[:, 0])),
        "growth_s": float(np.median(times[:, 1])),
        "ratio": float(np.median(ratios)),
        "least": float(ratios.min()),
        "most": float(ratios.max()),
        "differ": float(differ),
    }


def _differs(
    plan: GroupPlan, lanes: list[int], keys: np.ndarray[tuple[int, ...], np.dtype[np.uint64]], years: int
) -> bool:
    """Whether the compiled path and the twin differ in any bit."""
    twin, _ = run_twin(plan.arrays, lanes, keys, years)
    return any(
        not np.array_equal(one, other)
        for one, other in zip(twin, run_numba(plan.arrays, lanes, keys, years), strict=True)
    )


def main() -> None:
    """Print the times, their ratio and whether the aim is reached."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--chains", type=int, default=100)
    parser.add_argument("--years", type=int, default=10)
    parser.add_argument("--rounds", type=int, default=9)
    given = parser.parse_args()
    found = measure(given.chains, given.years, given.rounds)
    steps = len(GROUPS) * given.chains * given.years * WEEKS
    print(f"{len(GROUPS)} groups x {given.chains * given.years} years x {WEEKS} weeks, one thread")
    print(f"  herds  {found['herds_s']:7.3f} s, {found['herds_s'] / steps * 1e9:.0f} ns a group and week")
    print(f"  growth {found['growth_s']:7.3f} s, {PLANTINGS} plantings in the same years")
    print(f"  ratio  {found['least']:.3f} to {found['most']:.3f} in {given.rounds} rounds")
    print(f"  groups that differ from the twin: {found['differ']:.0f}")
    reached = found["ratio"] <= MOST_OF_GROWTH and not found["differ"]
    print(f"asked: {MOST_OF_GROWTH:g} of growth's time, got {found['ratio']:.3f}: {'reached' if reached else 'MISSED'}")


if __name__ == "__main__":
    main()
