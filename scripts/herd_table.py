"""Print what each group of the demonstrations eats, gives and drops in a year beside the handbook's figure.

`python scripts/herd_table.py` from the repository's root: one line a figure, with our year, the handbook's, their ratio, and
whether ours lies inside its range. Where the tables give no range it is 30 % either way, as well as they are known.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from yardland.cli.load import load_holding, reckon
from yardland.larderyear.herd_told import HerdTold, Run, tell_herd
from yardland.larderyear.run import USUAL_SEED, known_lane
from yardland.reference import Tables
from yardland.weather.read import load_weather
from yardland.weather.years import larder_years

EXAMPLES = Path(__file__).parents[1] / "examples"
RUN = Run(years=10, chains=50, seed=1)
BAND = 0.3
WHY = {
    ("dual_purpose_hen", "nitrogen"): "the ration that meets their lysine holds a quarter more protein than they need",
    ("goat_dairy_doe", "nitrogen"): "lucerne, grazed and bought, holds a third more protein than they need",
    ("goat_kid", "nitrogen"): "lucerne, and does kept for the herd stand in the class until they join",
    (
        "goat_kid",
        "droppings",
    ): "does kept for the herd stand in the class until they join; the handbook's kid weighs 14 kg",
    ("lamb", ""): "ewe lambs kept for the flock stand in the class until they join; the handbook's lamb weighs 26 kg",
    ("ewe", "energy"): "the handbook's day is of a ewe in full milk, ours the mean of a year",
    ("calf", "dry matter"): "its mother's milk is a part of its feed",
    ("rabbit_doe", "energy"): "the handbook's day is of a doe in milk; five dates a year, of which three quarters bear",
    ("rabbit_grower", ""): "kits count from birth, on milk; the handbook's day is of the weaned",
    ("goose", "dry matter"): "three quarters of it is grass, of 7 MJ a kilogram; the handbook's ration has 11",
    ("dairy_cow_small", "young that die"): "one calf in ten years: the median of chains of ten calves",
    ("", "die in a year"): "one animal or two: in most chains none of them dies within ten years",
}
"""Class and word of the figure ("" = any) -> why it lies outside, found by looking."""
HEAD = f"{'what':<66} {'ours':>9} {'handbook':>9} {'ratio':>6}  inside"


@dataclass(frozen=True)
class Line:
    """One figure of a year: ours beside the handbook's and the ends of its range."""

    what: str
    unit: str
    ours: float
    handbook: float
    low: float
    high: float

    @property
    def ratio(self) -> float:
        """Ours over the handbook's; NaN where it has nothing."""
        return self.ours / self.handbook if self.handbook else float("nan")

    @property
    def inside(self) -> bool:
        """Whether ours lies in the range."""
        return self.low <= self.ours <= self.high


def why(line: Line) -> str:
    """The reason for a figure outside; a question mark where nobody has looked."""
    klass, _, what = line.what.partition(": ")
    known = (words for (of, word), words in WHY.items() if of in {"", klass} and word in what)
    return next(known, "?")


def banded(what: str, unit: str, ours: float, handbook: float) -> Line:
    """A line whose figure has no range of its own."""
    return Line(what, unit, ours, handbook, (1 - BAND) * handbook, (1 + BAND) * handbook)


def lines(told: HerdTold, tables: Tables) -> Iterator[Line]:
    """Feed, products and droppings of every class of a group, then the figures a head of its page."""
    heads = {klass: float(week.sum()) * 7.0 for klass, week in told.heads_week.items()}
    for one in told.fed.classes:
        row, days = tables.row("stock", one.klass), heads[one.klass]
        yield banded(f"{one.klass}: dry matter eaten", "kg", _dm_kg(told, one.klass), row.need("dmi_kg_d") * days)
        energy = float(one.given["energy"].sum())
        yield banded(f"{one.klass}: energy eaten", "MJ", energy, row.need("me_typical_production_mj_d") * days)
    for need in told.needs:
        yield from products(told, tables, need.klass)
    for one in told.balances:
        what = f"{one.klass}: nitrogen eaten less kept"
        yield banded(what, "kg", one.excreted_n_kg, one.dropped_n_kg)
        male = tables.row("stock", one.klass).text("role") == "sire"
        yield Line(f"{one.klass}: heat of the energy eaten", "share", one.heat_share, 0.7, 0.45, 1.0 if male else 0.905)
    for each in told.against:
        figure = tables.figure(each.key)
        ours = each.drawn[0] if each.drawn is not None else each.steady
        low, high = figure.low, figure.high
        if ours is None:
            continue
        yield Line(
            f"{each.klass}: {each.what.partition(' (')[0]}",
            each.unit,
            ours,
            figure.value,
            (1 - BAND) * figure.value if low is None else low,
            (1 + BAND) * figure.value if high is None else high,
        )


def _dm_kg(told: HerdTold, klass: str) -> float:
    """Dry matter that a class eats in the year, as the ledger carries it."""
    ledger, account = told.result.ledger, f"herd:{told.name}.{klass}"
    rows = (index for index, arc in enumerate(ledger.arcs) if arc.target == account and arc.kind in {"feed", "graze"})
    return float(sum(ledger.dm_kg[index].sum() for index in rows))


def products(told: HerdTold, tables: Tables, klass: str) -> Iterator[Line]:
    """Each product of a class in the steady year, and what the handbook's figures a head make of the same heads."""
    row = tables.row("stock", klass)
    made = next(need for need in told.needs if need.klass == klass).products
    adults = told.group.heads.get(klass, 0)
    set_eggs = sum(one.heads for one in told.events if one.kind == "hatched") / (row["hatchability_of_set"] or 1.0)
    killed = [one for one in told.events if one.kind in {"killed", "culled"} and one.klass == klass]
    weight = row["slaughter_weight_kg"] or row["adult_weight_kg"] or 0.0
    live_kg = weight * sum(one.heads for one in killed)
    expected = {
        row.text("egg_good"): (adults * (row["eggs_per_year"] or 0.0) - set_eggs)
        * (row["egg_weight_g"] or 0.0)
        / 1000.0,
        row.text("milk_good"): adults * (row["milk_kg_per_lactation"] or 0.0),
        row.text("meat_good"): live_kg * (row["dressing_fraction"] or 0.0),
        row.text("offal_good"): live_kg * (row["offal_kg_per_kg_live"] or 0.0),
        row.text("fat_good"): live_kg * (row["fat_kg_per_kg_live"] or 0.0),
        row.text("other_good"): adults * (row["honey_kg_per_year"] or 0.0),
    }
    for good, kg in made.items():
        if expected.get(good):
            yield banded(f"{klass}: {good}", "kg", float(kg.sum()), expected[good])
        else:
            yield Line(f"{klass}: {good} (no figure)", "kg", float(kg.sum()), 0.0, 0.0, float("inf"))


def main() -> None:
    """Print the table."""
    outside = total = 0
    for told, tables in groups():
        bought = told.fed.bought_dm_kg
        place = told.holding.place.name
        print(f"\n{place}: {told.name}, {told.fed.dm_kg:,.0f} kg of dry matter in the year, {bought:,.0f} of it bought")
        print(HEAD)
        for line in lines(told, tables):
            total, outside = total + 1, outside + (not line.inside)
            ratio = f"{line.ratio:6.2f}" if line.handbook else "     -"
            mark = "-" if not line.handbook else "yes" if line.inside else f"NO: {why(line)}"
            print(f"{line.what + ', ' + line.unit:<66} {line.ours:9.4g} {line.handbook:9.4g} {ratio}  {mark}")
    print(f"\n{outside} of {total} figures lie outside.")


def groups() -> Iterator[tuple[HerdTold, Tables]]:
    """Every group of both demonstrations in the larder year that they show."""
    for name in ("tarn-hollow", "casa-vereda"):
        holding = load_holding(EXAMPLES / name)
        result, tables = reckon(holding, weather_year=None, seed=None, from_stores=False)
        forcing = larder_years(load_weather(holding, USUAL_SEED), holding.place.year_starts.month)
        for group in holding.group:
            yield tell_herd(result, tables, forcing, known_lane(forcing, None), group, RUN), tables


if __name__ == "__main__":
    main()
