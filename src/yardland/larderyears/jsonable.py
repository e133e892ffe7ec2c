"""Many years as one JSON object: stable keys, units in the key names."""

from __future__ import annotations

from typing import Any

from yardland.larderyears.compared import Compared
from yardland.larderyears.hindsight_json import hindsight_json
from yardland.larderyears.result import Odds, Story
from yardland.larderyears.start import as_it_stands
from yardland.larderyears.why_json import food_json, move_json, short_json, stock_json
from yardland.odds.share import Share
from yardland.version import __version__

SCHEMA = "yardland.years/1"


def years_json(
    odds: Odds, terms: tuple[str, ...], standard: Odds | None, compared: Compared | None, wall_s: float
) -> dict[str, Any]:
    """The object that `yardland years --json` prints."""
    run = odds.years
    nutrients = run.prepared.frame.larder.nutrients
    return {
        "schema": SCHEMA,
        "version": __version__,
        "holding": run.prepared.ground.holding.place.name,
        "count": odds.reliability.trials,
        "chains": odds.reliability.chains,
        "chain_years": run.asked.chain_years,
        "seed": run.asked.seed,
        "policy": "quick" if run.asked.quick else "shipped",
        "start": run.prepared.ground.holding.start.as_,
        "opening_store_days": odds.opening_days,
        "opening_days_on_plates": odds.opening_plate_days,
        "stopped": run.stopped,
        "chains_taken_up": run.taken_up,
        "wall_s": round(wall_s, 3),
        "reliability": odds.reliability.value,
        "reliability_interval": ends(odds.reliability),
        "reliability_range": None if odds.knowledge is None else [odds.knowledge.low, odds.knowledge.high],
        "reliability_range_seen": None if odds.knowledge is None else odds.knowledge.seen,
        "reliability_standard_terms": None if standard is None else standard.reliability.value,
        "reliability_standard_terms_interval": None if standard is None else ends(standard.reliability),
        "reliability_by_year": by_year_json(odds) if as_it_stands(run.prepared.ground.holding) else None,
        **hindsight_json(odds.hindsight),
        "short_month_in_ten_years": None if odds.ten_years is None else odds.ten_years.value,
        "short_probability": [share.value for share in odds.short_probability],
        "terms": list(terms),
        "months": [month.name for month in odds.months],
        "person_days_short_per_year": odds.person_days_short,
        "person_days_dire_per_year": odds.person_days_dire,
        "spells": {
            "count": odds.spells.spells,
            "median_months": odds.spells.median_months,
            "longest_months": odds.spells.longest_months,
            "greatest_depth": odds.spells.greatest_depth,
        },
        "worst_years": [story_json(one) for one in odds.worst],
        "coverage_bands": {name: odds.coverage[:, at].tolist() for at, name in enumerate(nutrients)},
        "store_days_bands": odds.stock_days.tolist(),
        "days_on_plates_bands": odds.plate_days.tolist(),
        "beyond_plates_days": odds.beyond_days,
        "bought_energy_share": odds.bought_share,
        "years_with_hungry_stock": odds.hungry_stock,
        "seed_got_kg_per_year": odds.seed_kg,
        "food_per_year": food_json(odds.food),
        "hungry_stock_seen_close": stock_json(odds.stock_close),
        "unplaced_kg_per_year": odds.unplaced_kg,
        "short_months_seen_close": short_json(odds.close),
        "short_months_seen_close_standard_terms": None if standard is None else short_json(standard.close),
        "food_per_year_standard_terms": None if standard is None else food_json(standard.food),
        "against": None if compared is None else compared_json(compared),
    }


def ends(share: Share) -> list[float]:
    """Low and high of an interval."""
    return [share.low, share.high]


def by_year_json(odds: Odds) -> list[dict[str, Any]]:
    """The first years one by one, from a start as it stands."""
    return [
        {"year": number, "value": one.value, "interval": ends(one)} for number, one in enumerate(odds.by_year, start=1)
    ]


def story_json(one: Story) -> dict[str, Any]:
    """A bad year."""
    return {
        "chain": one.year.chain,
        "year": one.year.year,
        "short_months": list(one.year.short_months),
        "depth": one.year.depth,
        "person_days_short": one.year.short_days,
        "first_lacks": one.year.first_lacks,
        "poor_harvests": [{"good": good, "share_of_mean": share} for good, share in one.harvests],
        "hazards": list(one.hazards),
    }


def compared_json(compared: Compared) -> dict[str, Any]:
    """Two plans on the same years."""
    return {
        "holding": compared.name,
        "reliability": compared.reliability.value,
        "difference": compared.difference.value,
        "difference_interval": [compared.difference.low, compared.difference.high],
        "moves": [move_json(one) for one in compared.moves],
    }
