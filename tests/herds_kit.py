"""Groups of made holdings run over many years and chains, and what must hold of each."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from conftest import EXAMPLES
from stock_kit import group, holding, light, warmth

import yardland
from yardland.holding.model import OwnRow, Sire
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.stock.herds.years import herd_years

MOST_SPREADS = 4.5
"""Standard errors within which a mean must lie: by chance it does not once in 100,000 times."""
BORROWED = Sire.model_validate({"how": "borrowed"})
DEMOS = ("tarn-hollow", "casa-vereda")


def own(**figures_by_key: float):
    """Tables under figures of one's own: stock__ewe__mortality_adult_per_year=0."""
    rows = [
        OwnRow(line=number, key=key.replace("__", "."), value=value, why="test")
        for number, (key, value) in enumerate(figures_by_key.items(), 2)
    ]
    return load_tables(rows)


def years_of(groups, years=10, chains=20, seed=1, tables=None, latitude_deg=52.0, start_month=1, trades=()):
    """Herds of a holding of those groups."""
    plan = holding(groups, latitude_deg, start_month, trades=trades)
    months, tables = larder_months(2001, start_month), tables or load_tables()
    sky = (warmth(latitude_deg, start_month), light(latitude_deg, start_month))
    return herd_years(plan, tables, months, *sky, years, chains, seed)


def safe(**fields):
    """A group that nothing strikes."""
    none = {
        f"{key}_per_year": 0.0
        for key in ("fox", "poultry_disease", "rabbit_fever", "dogs", "sheep_disease", "pig_disease", "cattle_mishap")
    }
    return group(strike=none | fields.pop("strike", {}), **fields)


@lru_cache(maxsize=2)
def demo(name: str):
    """A demo holding over ten years with fifty chains."""
    plan = yardland.load(EXAMPLES / name)
    latitude_deg, start = plan.place.latitude_deg, plan.place.year_starts.month
    months = larder_months(2001, start)
    sky = (warmth(latitude_deg, start), light(latitude_deg, start))
    return herd_years(plan, load_tables(plan.own), months, *sky, 10, 50, 3)


def check_law(found) -> None:
    """Born + bought + joined = left + died + struck + killed + sold + culled + change of heads; heads never negative."""
    for herd in found.groups.values():
        change = np.diff(herd.heads_at_start, axis=1)
        came = herd.count("born") + herd.count("bought") + herd.count("joined")
        went = sum(herd.count(name) for name in ("left", "died", "struck", "killed", "sold", "culled"))
        assert np.array_equal(came, went + change)
        assert herd.heads_week.min() >= 0
        assert np.array_equal(herd.heads_week[:, -1], herd.heads_at_start[:, 1:])
        assert herd.count("joined").sum() == herd.count("left").sum()


def check_mean(values, expected: float, spread: float, what: str) -> None:
    """A mean of independent values lies within its sampling interval."""
    error = spread / np.sqrt(np.size(values))
    assert abs(np.mean(values) - expected) <= MOST_SPREADS * error, (what, np.mean(values), expected, error)


def check_share(part: int, whole: int, expected: float, what: str) -> None:
    """A share of independent cases lies within its sampling interval."""
    error = np.sqrt(expected * (1.0 - expected) / whole)
    assert abs(part / whole - expected) <= MOST_SPREADS * error, (what, part / whole, expected, error)
