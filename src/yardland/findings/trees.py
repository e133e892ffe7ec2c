"""Findings about trees, bushes and vines: winters too mild for them, frost at bloom."""

from __future__ import annotations

import re
from collections.abc import Iterator

from yardland.findings.context import Context, Rule, upper_first
from yardland.larderyear.result import Finding

TOO_LITTLE = 0.8
"""Share of the crop left by one limit under which it is told, as for the limits of field crops."""


def too_mild(context: Context) -> Iterator[Finding]:
    """Species whose need of winter cold is not met; rows of one species are told together."""
    told: set[str] = set()
    for tree in context.result.trees:
        left = tree.factors["chill"]
        if left >= TOO_LITTLE or tree.species in told:
            continue
        told.add(tree.species)
        in_units = tree.chill_units is not None
        key = f"trees.{tree.species}.chill_{'units' if in_units else 'hours'}_low"
        got, need = (tree.chill_units or 0.0, tree.chill_need_units) if in_units else (tree.chill_h, tree.chill_need_h)
        measure = "Utah units of chill" if in_units else "hours under 7.2 C"
        mild = sum(share < TOO_LITTLE for share in tree.chill_by_year)
        years = (
            f"; so in {mild} of {len(tree.chill_by_year)} years of the record" if len(tree.chill_by_year) > 1 else ""
        )
        yield Finding(
            grade="tight" if left > 0 else "short",
            title=f"Too little winter cold for {species_words(context, tree.species)}",
            what=f"{upper_first(words_left(left))}: without its cold the buds open late, thinly or not at all.",
            number=f"{got:,.0f} of {need:,.0f} {measure}{years}",
            cause="The winter before the harvest was too mild for the usual varieties of this species.",
            remedy=f"Choose a variety of low need and put its need into own.csv ({key}), or a species of warmer countries.",
            source=f"{key}: {context.tables.figure(key).source} ({context.tables.figure(key).standing})",
            subject=tree.tree,
        )


def frosted_bloom(context: Context) -> Iterator[Finding]:
    """Rows whose blossom froze past what makes a full crop, and that would have borne."""
    for tree in context.result.trees:
        left = tree.factors["frost"]
        if left >= TOO_LITTLE or tree.factors["age"] * tree.factors["chill"] <= 0:
            continue
        key = f"trees.{tree.species}.bloom_kill10_c"
        figure = context.tables.figure(key)
        yield Finding(
            grade="tight" if left > 0 else "short",
            title=f"Frost at bloom takes {species_words(context, tree.species)} in {tree.tree.partition('.')[0]}",
            what=f"{upper_first(words_left(left))} of {tree.count}: a night before or at full bloom ({tree.full_bloom}) was too cold.",
            number=f"{tree.harvest_kg:,.0f} kg gathered",
            cause=f"A tenth of open blossom dies at {figure.value:g} C; buds stand the more the further they are from opening.",
            remedy="Keep a store or a trade for such years, plant kinds that bloom later, or off the low ground.",
            source=f"{key}: {figure.source} ({figure.standing})",
            subject=tree.tree,
        )


def words_left(share: float) -> str:
    """What is left of a crop, in words."""
    return f"{100 * share:.0f} % of the crop is left" if share > 0 else "nothing sets"


def species_words(context: Context, species: str) -> str:
    """A species in everyday words, small letters first, without what stands in brackets."""
    words = context.tables.row("trees", species).text("common_name") or species
    words = re.sub(r" ?\([^)]*\)", "", words).partition(",")[0]
    return words[:1].lower() + words[1:]


RULES: tuple[Rule, ...] = (too_mild, frosted_bloom)
