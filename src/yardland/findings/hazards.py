"""Findings about hail, pests, disease, vermin and birds that were drawn into the year."""

from __future__ import annotations

from collections.abc import Iterator

from yardland.findings.context import Context, Rule
from yardland.findings.trees import species_words
from yardland.larderyear.result import Finding, StrikeYear

HEAVY = 0.2
"""Share of a crop lost to one strike from which it is told as tight."""
RUIN = 0.8
"""The same, told as short."""


def strikes(context: Context) -> Iterator[Finding]:
    """Every strike, the greatest share lost first."""
    for one in sorted(context.result.strikes, key=lambda each: (-each.share_lost, each.key)):
        figure = context.tables.figure(f"hazards.{one.hazard}.chance_per_year")
        yield Finding(
            grade="short" if one.share_lost >= RUIN else "tight" if one.share_lost >= HEAVY else "note",
            title=f"{one.name} takes {plant_words(context, one)} in {one.subject.partition('.')[0].replace('_', ' ')}",
            what=f"{100 * one.share_lost:.0f} % of it is lost.",
            number=f"{one.kg:,.0f} kg lost",
            cause=context.result.why.get(one.key, f"Drawn with seed {context.result.hazard_seed}."),
            remedy=" ".join(filter(None, (one.remedy, one.caution))),
            source=f"{figure.key}: {figure.source} ({figure.standing})",
            subject=one.subject,
        )


def plant_words(context: Context, one: StrikeYear) -> str:
    """The crop or species in everyday words, small letters first."""
    return species_words(context, one.plant) if one.account.startswith("trees:") else context.crop(one.plant)


RULES: tuple[Rule, ...] = (strikes,)
