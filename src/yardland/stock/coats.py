"""Wool once a year, and skins and feathers of what is killed: goods that nobody eats, told and sold.

Nothing is plucked of a living bird.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from yardland.reference import Tables
from yardland.stock.cohorts import GroupYear
from yardland.stock.days import ClassDays
from yardland.stock.kinds import load_klass
from yardland.stock.sky import Sky

WOOL = "wool"
SHORN = "shorn"
"""Kind of the event of a shearing; works counts its hours."""


def give_coats(year: GroupYear, days: Mapping[str, ClassDays], tables: Tables, sky: Sky) -> None:
    """Add wool, skins and feathers to a group's products, and the day of shearing to its events.

    Adults with a fleece are shorn once, on the first day of the month of the longest days; their young, which grow up or
    are killed within the year, are not. A skin or the feathers are a share of live weight, on the day of slaughter.

    Args:
        year: the group's events; a shearing joins them.
        days: its classes, to whose products the goods are given.
        tables: table coats, by species.
        sky: daylength of the larder year.
    """
    shearing = sky.months[int(np.argmax(sky.daylength_h))].first_day
    for key, one in days.items():
        fleece = fleece_kg(tables, key)
        heads = round(float(one.heads[shearing]))
        if fleece > 0.0 and heads > 0:
            one.give(WOOL, shearing, heads * fleece)
            year.note(SHORN, shearing, key, heads)
    for event in tuple(year.events):
        if event.kind in {"killed", "culled"} and event.klass in days:
            good, share = skin_of(tables, event.klass)
            days[event.klass].give(good, event.day, event.live_kg * share)


def fleece_kg(tables: Tables, klass: str) -> float:
    """Greasy fleece of one adult of a class, kg; 0 for young, and for species without one."""
    species = tables.row("stock", klass).text("species")
    if load_klass(tables, klass).kind.role == "grower" or not tables.has("coats", species):
        return 0.0
    return tables.row("coats", species)["fleece_kg"] or 0.0


def skin_of(tables: Tables, klass: str) -> tuple[str, float]:
    """The good that a slaughtered animal's coat is, and its share of live weight; ("", 0) for pigs and bees."""
    stock = tables.row("stock", klass)
    species = stock.text("species")
    if not tables.has("coats", species) or stock["dressing_fraction"] is None:
        return "", 0.0
    row = tables.row("coats", species)
    return row.text("skin_good"), row["skin_kg_kg_live"] or 0.0
