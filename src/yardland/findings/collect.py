"""Walk every rule of the room over a result."""

from __future__ import annotations

from dataclasses import replace

from yardland.findings import (
    animals,
    bees,
    cautions,
    cleared,
    feeds,
    ground,
    hazards,
    herds,
    housing,
    husbandry,
    plate,
    rests,
    sales,
    soil,
    stores,
    trees,
    upkeep,
)
from yardland.findings.context import Context, Rule, ordered
from yardland.holding.model import Holding
from yardland.larderyear.blame import strict_numbers
from yardland.larderyear.result import YearResult
from yardland.larderyear.run import run_year
from yardland.reference import Tables, load_tables

RULES: tuple[Rule, ...] = (
    *plate.RULES,
    *ground.RULES,
    *soil.RULES,
    *trees.RULES,
    *hazards.RULES,
    *animals.RULES,
    *herds.RULES,
    *feeds.RULES,
    *rests.RULES,
    *cleared.RULES,
    *housing.RULES,
    *husbandry.RULES,
    *bees.RULES,
    *upkeep.RULES,
    *stores.RULES,
    *cautions.RULES,
    *sales.RULES,
)


def with_findings(result: YearResult, tables: Tables) -> YearResult:
    """The result with what every rule found, gravest first; the figures the rules read join its list of keys."""
    context = Context(result, tables)
    found = ordered(finding for rule in RULES for finding in rule(context))
    return replace(result, findings=found, figure_keys=tuple(sorted(tables.read_keys)))


def judged_year(
    holding: Holding, *, weather_year: int | None = None, seed: int | None = None, from_stores: bool = False
) -> YearResult:
    """One larder year of a holding with its findings, on the shipped tables under the holding's own figures.

    Raises:
        InputFaults: weather or a year that cannot be used, own figures with which no year can be reckoned.
    """
    tables = load_tables(own=holding.own)
    with strict_numbers(tables):
        result = run_year(holding, tables, weather_year=weather_year, seed=seed, from_stores=from_stores)
        return with_findings(result, tables)
