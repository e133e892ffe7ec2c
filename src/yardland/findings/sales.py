"""What the law asks of who sells meat, eggs, milk or skins: reminders, where trades.csv sells them. Not advice on the law."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from yardland.findings.cautions import CAUTION, sentence, source_of, the, with_unit
from yardland.findings.context import Context, Rule
from yardland.findings.kept import spelled
from yardland.larder.catalogue import good_named
from yardland.larderyear.result import Finding

DAIRY = ("milk_", "cheese_", "butter", "cream", "skim_milk", "yogurt", "whey", "ghee")
"""How the keys of goods begin that milk gives."""


@dataclass(frozen=True)
class Sale:
    """Rows of the rules table that speak of selling, and how the keys of the goods begin that they speak of."""

    rules: tuple[str, ...]
    title: str
    goods: tuple[str, ...]


TABLE: tuple[Sale, ...] = (
    Sale(
        ("sale_meat",),
        "Meat that is sold is slaughtered under inspection",
        ("meat_", "offal_", "fat_", "lard", "tallow"),
    ),
    Sale(("sale_eggs",), "Eggs that are sold", ("egg_",)),
    Sale(("sale_milk",), "Milk and cheese that are sold", DAIRY),
    Sale(("sale_skins",), "Wool, skins and feathers that are sold", ("wool", "skin_", "feathers")),
)


def sales(context: Context) -> Iterator[Finding]:
    """Law of sale, for what trades.csv offers: a note, with the authority that decides."""
    tables = context.tables
    lines = [row.item for row in context.result.holding.trades if row.do == "sell" and row.per == "kg"]
    sold = {good for item in lines if (good := good_named(tables, item)) is not None}
    for sale in TABLE:
        goods = sorted(good for good in sold if good.startswith(sale.goods))
        if not goods:
            continue
        rows = [tables.row("rules", rule) for rule in sale.rules]
        number = rows[0]["number"]
        yield Finding(
            grade="note",
            title=sale.title,
            what=" ".join(sentence(row.text("text"), row["number"], row.text("unit")) for row in rows),
            number="" if number is None else with_unit(number, rows[0].text("unit")),
            cause=f"trades.csv sells {spelled(context.name(good) for good in goods)}.",
            remedy=f"Ask {the(rows[0].text('defer_to'))} before the first sale.",
            source=source_of(context, sale.rules[0]),
            subject=f"{CAUTION}.{sale.rules[0]}",
        )


RULES: tuple[Rule, ...] = (sales,)
