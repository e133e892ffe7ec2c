"""What moves with the reserve and the number of people: half and double the reserve, two people more and fewer, on the same drawn years.

Two more are the first two grown people of the plan once again; two fewer leaves out the last two grown people. The text is
what `yardland years --against` says of each; with it come the driest tenth of the years, and the short months seen close.

    python scripts/what_moves.py examples/tarn-hollow --count 100 --quick [--standard] [--seed 1]
"""

from __future__ import annotations

import argparse
import textwrap
from pathlib import Path

import yardland
from yardland.holding.era import plan_year
from yardland.holding.model import Holding
from yardland.larderyears.asked import Asked
from yardland.larderyears.chains import ground
from yardland.larderyears.compared import compared
from yardland.larderyears.places import open_place
from yardland.larderyears.prepare import prepare
from yardland.larderyears.result import Odds, odds_of
from yardland.larderyears.run import Run, Telling, Years
from yardland.larderyears.standard import on_standard_terms
from yardland.larderyears.tenths import tenths
from yardland.odds.share import LEVEL
from yardland.reference import load_tables
from yardland.report.hindsight_lines import tenth_words
from yardland.report.why_lines import food_words, moves_words, names_of, short_words, stock_words
from yardland.report.years_lines import against, answer

GROWN_YEARS = 18
WIDTH = 110


def with_reserve(holding: Holding, times: float) -> Holding:
    """The plan with so many times its reserve."""
    goal = holding.goal.model_copy(update={"reserve_days": holding.goal.reserve_days * times})
    return holding.model_copy(update={"goal": goal})


def with_people(holding: Holding, more: bool) -> Holding:
    """The plan with two grown people more, or fewer."""
    grown = [name for name, one in holding.people.items() if plan_year(holding) - one.born.year >= GROWN_YEARS]
    if more:
        people = holding.people | {f"{name} again": holding.people[name] for name in grown[:2]}
    else:
        people = {name: one for name, one in holding.people.items() if name not in grown[-2:]}
    return holding.model_copy(update={"people": people})


def walked(holding: Holding, asked: Asked) -> Odds:
    """The chains of a plan, without what the handbooks leave open."""
    shared = prepare(
        ground(holding, load_tables(own=holding.own)), quick=asked.quick, years=asked.length, warmer_c=asked.warmer_c
    )
    place = open_place(1)
    try:
        run = Run(shared, asked, Telling(), None, place)
        run.count(())
    finally:
        place.close()
    return odds_of(Years(asked, shared, tuple(run.done), tuple(run.struck), LEVEL))


def main() -> None:
    """Print what each variant does."""
    parser = argparse.ArgumentParser(description="What moves with the reserve and the number of people.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--standard", action="store_true", help="on standard terms")
    said = parser.parse_args()
    holding = yardland.load(said.folder)
    holding = on_standard_terms(holding) if said.standard else holding
    asked = Asked(said.count, said.seed, 10, said.quick)
    base = walked(holding, asked)
    terms = "on standard terms" if said.standard else "on its own terms"
    tell(f"## {holding.place.name}, {terms}: {said.count} years, {'quick' if said.quick else 'shipped'} policy")
    tell(answer(base))
    names = names_of(base.years.prepared.frame.larder)
    for words in (
        *short_words(base.close, names=names),
        *stock_words(base.stock_close, [month.name for month in base.months], names),
        food_words(base.food, names),
    ):
        tell(words)
    for one in tenths(base.years):
        if one.name == "driest":
            tell(tenth_words(one, float(base.years.stacked("shortfall").mean()), base.food.day_mj, names))
    variants = {
        "half the reserve": with_reserve(holding, 0.5),
        "double the reserve": with_reserve(holding, 2.0),
        "two people more": with_people(holding, more=True),
        "two people fewer": with_people(holding, more=False),
    }
    for name, plan in variants.items():
        beside = compared(base, walked(plan, asked))
        if beside is not None:
            tell(f"### {name}")
            tell(against(beside))
            for words in moves_words(beside.moves, beside.difference.chains):
                tell(words)


def tell(words: str) -> None:
    """Print a paragraph at once: a run takes minutes."""
    print(textwrap.fill(words, WIDTH), flush=True)


if __name__ == "__main__":
    main()
