"""What the stock gives beside food for the table: carcasses parted, and eggs counted and parted by size."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.larder.feed_slaughter import SlaughterParts, slaughter_parts
from yardland.ledger.arcs import Ledger
from yardland.reference import Tables
from yardland.stock.egg_sizes import size_shares

F64 = npt.NDArray[np.float64]
G_PER_KG = 1000.0
HEN = "chicken"
"""Species whose eggs are sold by size."""


@dataclass(frozen=True)
class Eggs:
    """Eggs of one group: number by larder month, [12]; by_size : size -> share of them, none for other birds than hens."""

    number: F64
    by_size: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Produce:
    """slaughter : group -> class -> parts of all its animals killed in the year ; eggs : group -> its eggs."""

    slaughter: dict[str, dict[str, SlaughterParts]] = field(default_factory=dict)
    eggs: dict[str, Eggs] = field(default_factory=dict)


def produce(ledger: Ledger, tables: Tables, region: str) -> Produce:
    """Carcasses and eggs of the year, as far as the stock was fed.

    Args:
        ledger: what each class gave.
        tables: stock, coats, egg_sizes.
        region: whose sizes of eggs are told (`larder.feed_law.region_of`).

    Raises:
        TableError: a class that the tables do not hold.
    """
    slaughter: dict[str, dict[str, SlaughterParts]] = {}
    laid: dict[str, dict[str, F64]] = {}
    for index, arc in enumerate(ledger.arcs):
        kg = ledger.fresh_kg[index]
        if arc.kind != "give" or not kg.any():
            continue
        group, _, klass = arc.source.removeprefix("herd:").partition(".")
        row = tables.row("stock", klass)
        if arc.good == row.text("meat_good"):
            live_kg = float(kg.sum()) / row.need("dressing_fraction")
            slaughter.setdefault(group, {})[klass] = slaughter_parts(tables, klass, live_kg)
        elif arc.good == row.text("egg_good"):
            laid.setdefault(group, {})[klass] = kg * G_PER_KG / row.need("egg_weight_g")
    return Produce(slaughter, {group: eggs_of(tables, region, classes) for group, classes in laid.items()})


def eggs_of(tables: Tables, region: str, classes: dict[str, F64]) -> Eggs:
    """Eggs of a group's classes together; sizes are weighed by the number of hens' eggs."""
    number = sum(classes.values(), np.zeros(12))
    hens = {
        klass: float(each.sum()) for klass, each in classes.items() if tables.row("stock", klass).text("species") == HEN
    }
    by_size: dict[str, float] = {}
    for klass, eggs in hens.items():
        for size, share in size_shares(tables, region, tables.row("stock", klass).need("egg_weight_g")).items():
            by_size[size] = by_size.get(size, 0.0) + share * eggs / sum(hens.values())
    return Eggs(number, by_size)
