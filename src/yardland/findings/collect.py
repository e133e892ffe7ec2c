"""Walk every rule of the room over a result."""

from __future__ import annotations

from dataclasses import replace

from yardland.findings import animals, cautions, ground, plate, upkeep
from yardland.findings.context import Context, Rule, ordered
from yardland.reference import Tables
from yardland.year.result import YearResult

RULES: tuple[Rule, ...] = (*plate.RULES, *ground.RULES, *animals.RULES, *upkeep.RULES, *cautions.RULES)


def with_findings(result: YearResult, tables: Tables) -> YearResult:
    """The result with what every rule found, gravest first; the figures the rules read join its list of keys."""
    context = Context(result, tables)
    found = ordered(finding for rule in RULES for finding in rule(context))
    return replace(result, findings=found, figure_keys=tuple(sorted(tables.read_keys)))
