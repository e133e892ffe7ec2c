"""Which feeds law and sense keep from which species, by the country of the holding and the household's own word."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yardland.holding.model import Holding
    from yardland.reference.tables import Row, Tables

EU_COUNTRIES = frozenset(
    {
        "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT", "LU", "LV",
        "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
    }
)  # fmt: skip
REGIONS = ("EU", "GB", "US", "other")
OFF, NEVER = "off", "never"
EVERY, ITSELF = "all", "itself"
REFUSED, NOT_LISTED = "refused by the household", "not among the group's feeds"
GRAZED_KINDS = frozenset({"pasture", "stubble"})
"""Feeds that stand where the group walks: a list of its trough's feeds does not keep it from them."""


@dataclass(frozen=True)
class FeedRule:
    """A row of the table feed_rules that keeps feeds from some species, in one region."""

    key: str
    feeds: frozenset[str]
    species: frozenset[str]
    switchable: bool

    def covers(self, species: str, slaughtered: frozenset[str]) -> bool:
        """Whether it speaks of that species; "itself" speaks of species that are slaughtered on the holding."""
        return EVERY in self.species or species in self.species or (ITSELF in self.species and species in slaughtered)


@dataclass(frozen=True)
class FeedLaw:
    """The rules of one region, under what the household allows and refuses.

    barring : rules that keep feeds away; allowed : keys that the household switched on
    refused : feeds that no animal gets; only : group -> the only feeds of its trough
    """

    region: str
    barring: tuple[FeedRule, ...]
    allowed: frozenset[str]
    refused: frozenset[str]
    only: dict[str, frozenset[str]]

    def barred(self, tables: Tables, group: str, species: str, slaughtered: frozenset[str]) -> dict[str, str]:
        """Feed -> why it is kept from that group of that species: a rule's key, or the household's word."""
        found: dict[str, str] = {}
        for rule in self.barring:
            if rule.covers(species, slaughtered) and not (rule.switchable and rule.key in self.allowed):
                found |= dict.fromkeys(rule.feeds, rule.key)
        found |= dict.fromkeys(self.refused, REFUSED)
        if group in self.only:
            trough = (key for key in tables.keys("feeds") if tables.row("feeds", key).text("kind") not in GRAZED_KINDS)
            found |= {key: NOT_LISTED for key in trough if key not in self.only[group] and key not in found}
        return found


def region_of(holding: Holding) -> str:
    """EU, GB, US or other: what the plan says, else by its country."""
    if holding.rules.feed_law is not None:
        return holding.rules.feed_law
    country = holding.place.country
    if country in EU_COUNTRIES:
        return "EU"
    return country if country in REGIONS else "other"


def feed_law(holding: Holding, tables: Tables) -> FeedLaw:
    """The rule set of a holding."""
    region = region_of(holding)
    rows = [tables.row("feed_rules", key) for key in tables.keys("feed_rules")]
    rules = holding.rules
    return FeedLaw(
        region=region,
        barring=tuple(barring(row, region) for row in rows if row.text(region) in {OFF, NEVER}),
        allowed=frozenset(rules.feeds_allowed),
        refused=feeds_named(tables, rules.feeds_refused),
        only={group: feeds_named(tables, names) for group, names in rules.only_feeds.items()},
    )


def barring(row: Row, region: str) -> FeedRule:
    """A row that keeps feeds away."""
    feeds, species = frozenset(row.text("feeds").split()), frozenset(row.text("species").split())
    return FeedRule(row.key, feeds, species, switchable=row.text(region) == OFF)


def feeds_named(tables: Tables, names: tuple[str, ...]) -> frozenset[str]:
    """Feeds of these names; the name of a good stands for its feed."""
    found = (tables.row("goods", name).text("feed") if tables.has("goods", name) else name for name in names)
    return frozenset({name for name in found if name} | {name for name in names if tables.has("feeds", name)})
