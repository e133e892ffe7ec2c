"""Holdings with stock for the tests of the stock room: places, seasons, groups."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from hypothesis import strategies as st

from yardland.holding.model import Group, Holding, MonthDay, Place, Sire
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.stock.kinds import kinds
from yardland.stock.year import HerdYear, herd_year
from yardland.weather.sun import daylength_h

TABLES = load_tables()
DAY = st.tuples(st.integers(1, 12), st.integers(1, 28)).map(lambda pair: MonthDay(*pair))
LAYERS = [key for key in kinds() if TABLES.row("stock", key).text("lays") == "all year"]
DAMS = [key for key, kind in kinds().items() if kind.role == "dam"]
MAMMALS = [key for key in DAMS if kinds()[key].sits == "litter"]
GROWERS = [key for key, kind in kinds().items() if kind.role == "grower"]
BORROWED = Sire.model_validate({"how": "borrowed"})


def light(latitude_deg: float, start_month: int) -> np.ndarray:
    """Mean daylength of each larder month."""
    months = larder_months(2001, start_month)
    calendar_first = np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30])
    daily = np.asarray(daylength_h(latitude_deg, np.arange(1.0, 366.0)))
    return np.array([daily[calendar_first[m.month - 1] : calendar_first[m.month - 1] + m.days].mean() for m in months])


def warmth(latitude_deg: float, start_month: int) -> np.ndarray:
    """A smooth year of mean temperatures, coldest in January in the north and in July in the south."""
    months = np.array([month.month for month in larder_months(2001, start_month)])
    return 10.0 - np.sign(latitude_deg) * 7.0 * np.cos(2 * np.pi * (months - 1) / 12)


def holding(
    groups: dict[str, Group], latitude_deg: float = 52.0, start_month: int = 1, trades=(), plots=None
) -> Holding:
    """A holding that has nothing but stock."""
    place = Place(
        name="x", latitude_deg=latitude_deg, longitude_deg=0, country="GB", year_starts=MonthDay(start_month, 1)
    )
    return Holding(folder=Path(), place=place, people={}, plot=plots or {}, group=groups, trades=tuple(trades))


def year_of(groups: dict[str, Group], latitude_deg: float = 52.0, start_month: int = 1, **more) -> HerdYear:
    """The stock year of a holding of those groups."""
    months = larder_months(2001, start_month)
    plan = holding(groups, latitude_deg, start_month, **more)
    return herd_year(plan, TABLES, months, warmth(latitude_deg, start_month), light(latitude_deg, start_month))


def group(**fields) -> Group:
    """A group with a home."""
    return Group.model_validate({"home": "yard"} | fields)


def total(year: HerdYear, good: str) -> float:
    """Kilograms of a good over all classes and months."""
    return float(sum(need.products[good].sum() for need in year.needs if good in need.products))
