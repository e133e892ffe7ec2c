"""The stock of a holding in one larder year: needs and products by month for the larder, events and heads for the rest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from yardland.holding.model import Holding
from yardland.ledger.months import Month
from yardland.ledger.production import HerdNeed
from yardland.reference import Tables
from yardland.stock.coats import give_coats
from yardland.stock.cohorts import HerdEvent, Market, group_year
from yardland.stock.days import ClassDays, group_days
from yardland.stock.notes import Housing, StockNote, housing, stock_notes
from yardland.stock.sky import Sky

WEEKS = 52


@dataclass(frozen=True)
class HerdEvents:
    """What happens to the stock, beside what it eats and gives.

    events : in the order of their days, group by group
    heads_day : (group, class) -> whole heads on each day, int64 [365]
    heads_week : (group, class) -> whole heads on the first day of each week, int64 [52] (week w starts on day 7 w)
    notes : what a keeper should know, for the findings
    housing : floor, outdoor ground, nests and perches that each group's greatest number asks for
    """

    events: tuple[HerdEvent, ...]
    heads_day: dict[tuple[str, str], npt.NDArray[np.int64]]
    heads_week: dict[tuple[str, str], npt.NDArray[np.int64]]
    notes: tuple[StockNote, ...]
    housing: dict[str, Housing]


class HerdYear(NamedTuple):
    """Needs and products of every class of every group, and the year's events."""

    needs: tuple[HerdNeed, ...]
    events: HerdEvents


def herd_year(
    holding: Holding,
    tables: Tables,
    months: tuple[Month, ...],
    tmean_month_c: npt.ArrayLike,
    daylength_month_h: npt.ArrayLike,
) -> HerdYear:
    """The stock of a holding over one larder year at steady numbers.

    Args:
        holding: its groups and trades.
        tables: figures (stock, herds, husbandry).
        months: the twelve months of the larder year.
        tmean_month_c: mean temperature of each month, C, [12].
        daylength_month_h: mean daylength of each month, hours, [12].

    Raises:
        TableError: a class that the tables do not hold.
    """
    sky = Sky.of(months, tmean_month_c, daylength_month_h)
    market = Market(holding.trades)
    years = [group_year(name, group, tables, sky, market) for name, group in holding.group.items()]
    needs: list[HerdNeed] = []
    heads: dict[tuple[str, str], npt.NDArray[np.int64]] = {}
    for year in years:
        manner = holding.group[year.name].milk_share
        classes = group_days(year, manner, tables, sky)
        give_coats(year, classes, tables, sky)
        for key, days in classes.items():
            needs.append(_need(year.name, days, sky))
            heads[year.name, key] = np.rint(days.heads).astype(np.int64)
    events = tuple(event for year in years for event in sorted(year.events, key=lambda item: item.day))
    notes = tuple(note for year in years for note in stock_notes(holding, year, heads, tables, sky))
    rooms = {year.name: housing(year.name, heads, tables, year.grown) for year in years}
    weeks = {key: value[: WEEKS * 7 : 7] for key, value in heads.items()}
    return HerdYear(tuple(needs), HerdEvents(events, heads, weeks, notes, rooms))


def _need(group: str, days: ClassDays, sky: Sky) -> HerdNeed:
    """Monthly sums of a class's days; heads are the most that stand on any day of the month."""
    klass = days.klass
    heads = np.array([days.heads[sky.month == month].max() for month in range(12)])
    return HerdNeed(
        group=group,
        klass=klass.key,
        heads=heads,
        system=klass.system,
        ceiling_column=klass.ceiling,
        energy_mj=sky.by_month(days.energy_mj),
        protein_kg=sky.by_month(days.protein_g) / 1000.0,
        dry_matter_max_kg=sky.by_month(days.dry_matter_max_kg),
        forage_min_fraction=klass.herd_figure("forage_min_fraction"),
        products={good: sky.by_month(kg) for good, kg in days.products.items() if kg.any()},
        manure_kg=sky.by_month(days.manure_kg),
        manure_n_kg=sky.by_month(days.manure_n_g) / 1000.0,
        water_m3=sky.by_month(days.water_l) / 1000.0,
    )


def eggs_laid(needs: HerdNeed, tables: Tables) -> npt.NDArray[np.float64]:
    """Eggs that reach the kitchen in each month, counted from their kilograms, [12]; zeros for a class that lays none."""
    good = tables.row("stock", needs.klass).text("egg_good")
    if good not in needs.products:
        return np.zeros(12)
    return np.asarray(needs.products[good] * 1000.0 / tables.row("stock", needs.klass).need("egg_weight_g"))
