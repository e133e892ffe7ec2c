"""The tables of a group's page: heads, dates, feed, needs met, products, manure, and the handbook beside them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

import numpy as np

from yardland.larderyear.herd_against import Against
from yardland.larderyear.herd_spread import Spread, at_starts, counts_a_year, products_by_year
from yardland.larderyear.herd_told import HerdTold
from yardland.report.drawing import Table
from yardland.report.lookup import Lookup
from yardland.report.words import cell, figure, percent, plain, title
from yardland.season.grazers import Stay

NONE = "–"  # noqa: RUF001 (a dash for none)
EVENT_WORDS = {
    "service": "served",
    "set": "eggs set, birds that sit",
    "joined": "join the adults",
    "culled": "culled",
    "dried off": "dried off",
    "moult": "moult begins",
    "shorn": "shorn",
    "sire comes": "sire comes",
    "split": "made by splits",
    "honey": "honey taken",
}
"""Events whose name alone does not say what happens."""
NAME_LETTERS, LEAST_TOLD = 26, 0.01
NUTRIENTS = ("energy", "protein", "lysine", "calcium", "phosphorus")
COUNT_WORDS = {
    "born": "Born",
    "bought": "Bought",
    "joined": "Joined",
    "left": "Left to join",
    "died": "Died",
    "struck": "Struck",
    "killed": "Killed",
    "sold": "Sold",
    "culled": "Culled",
}


def lookup_of(told: HerdTold) -> Lookup:
    """Names of classes and goods."""
    return Lookup(told.years.tables)


def row_name(told: HerdTold, row: int) -> str:
    """A row of the drawn years in words."""
    label, names = told.years.plan.rows[row], lookup_of(told)
    if label.part == "young":
        return f"Young of {names.klass(label.dam)}"
    return title(names.klass(label.klass)) + (", bought in" if label.part == "bought" else "")


def klass_name(told: HerdTold, klass: str) -> str:
    """A class of the steady year as the drawn rows name it: young by their dams; adults that share it with them say so."""
    labels = [label for label in told.years.plan.rows if label.klass == klass]
    names = lookup_of(told)
    young = [label for label in labels if label.part == "young"]
    if young and len(young) == len(labels):
        return f"Young of {names.klass(young[0].dam)}"
    return title(names.klass(klass)) + (" and young" if young else "")


def range_words(one: Spread, unit: str = "") -> str:
    """A middle with its range: 154 (130 to 170) kg."""
    words = f"{figure(float(one.median))} ({figure(float(one.low))} to {figure(float(one.high))})"
    return f"{words} {unit}".strip()


def day_of(told: HerdTold, day: int) -> date:
    """The date of a day of the larder year (0-364)."""
    month = max((one for one in told.months if one.first_day <= day), key=lambda one: one.first_day)
    return date(month.year, month.month, day - month.first_day + 1)


def day_words(told: HerdTold, day: int) -> str:
    """A day of the larder year as 5 Apr."""
    when = day_of(told, day)
    return f"{when.day} {when:%b}"


def month_heads(told: HerdTold) -> Table:
    """Months down, classes across: whole heads, the most of the month, steady year."""
    shown = [need for need in told.needs if need.heads.any()]
    rows = [(month.name, *(f"{need.heads[index]:.0f}" for need in shown)) for index, month in enumerate(told.months)]
    return Table(("Month", *(klass_name(told, need.klass) for need in shown)), tuple(rows))


def starts_table(told: HerdTold) -> Table:
    """Years down, rows across: heads at each year's start, middle chain and range, and the share near the target."""
    rows = range(len(told.years.plan.rows))
    starts = [at_starts(told.years, row) for row in rows]
    header = ["Start of year"]
    for row, one in zip(rows, starts, strict=True):
        header += [row_name(told, row)] + ([f"near {one.target}"] if one.target else [])
    lines = []
    for year in range(told.count + 1):
        line = [str(year + 1)]
        for one in starts:
            heads = one.heads
            line.append(f"{heads.median[year]:.0f} ({heads.low[year]:.0f} to {heads.high[year]:.0f})")
            line += [percent(float(one.near[year]))] if one.target else []
        lines.append(tuple(line))
    return Table(tuple(header), tuple(lines))


def counts_table(told: HerdTold) -> Table:
    """Rows down: mean heads a year by what changed them."""
    counts = [counts_a_year(told.years, row) for row in range(len(told.years.plan.rows))]
    shown = [name for name in COUNT_WORDS if any(one[name] > 0 for one in counts)]
    rows = tuple((row_name(told, row), *(_mean(one[name]) for name in shown)) for row, one in enumerate(counts))
    return Table(("Heads a year", *(COUNT_WORDS[name] for name in shown)), rows)


def _mean(value: float) -> str:
    return figure(value, 2) if value > 0 else NONE


def dates_table(told: HerdTold) -> Table:
    """What happens on which day of the steady year."""
    rows = [
        (
            day_words(told, event.day),
            EVENT_WORDS.get(event.kind, event.kind),
            klass_name(told, event.klass).removesuffix(" and young") if event.klass else NONE,
            str(event.heads) if event.heads else NONE,
            figure(event.live_kg) if event.live_kg else NONE,
        )
        for event in told.events
    ]
    return Table(("Day", "What", "Class", "Heads", "Live kg"), tuple(rows))


def stays_table(told: HerdTold) -> Table:
    """The stays of the group's herd, on grass and on what harvests left: plot, evening of coming, evening of leaving, evenings there, and the days since grass was left.

    For who follows another group these are the days since that one left, else the rest of the grass.
    """
    walk, ahead = told.walk, told.ahead
    head = ("Plot", "From", "To", "Evenings", "Rested before, days" if ahead is None else "Behind, days")
    if walk is None or told.round_walk is None:
        return Table(head, ())
    rested = {(rest.plot, rest.back): f"{rest.days}" for rest in told.round_walk.rests}
    if ahead is not None:
        rested = {(stay.plot, stay.first): behind(ahead.stays, stay) for stay in walk.stays}
    rows = tuple(
        (
            place_words(stay),
            day_words(told, stay.first),
            day_words(told, stay.last),
            f"{stay.last - stay.first}",
            NONE if stay.strips else rested.get((stay.plot, stay.first), NONE),
        )
        for stay in walk.out
        if told.name in stay.groups
    )
    return Table(head, rows)


def behind(ahead: Iterable[Stay], stay: Stay) -> str:
    """Days after the last of the stays `ahead` on the same plot with which a stay begins; a dash where it was before the year."""
    lasts = [one.last for one in ahead if one.plot == stay.plot and one.last <= stay.first]
    return f"{stay.first - max(lasts)}" if lasts else NONE


def place_words(stay: Stay) -> str:
    """The plot, and whether it is ground that a harvest cleared."""
    return f"{title(stay.plot)}, cleared" if stay.strips else title(stay.plot)


def feed_table(told: HerdTold) -> Table:
    """Every feed of the year: where it is from, fresh and dry kilograms, its share of the dry matter, what is bought."""
    names, whole = lookup_of(told), told.fed.dm_kg
    rows = tuple(
        (
            names.name(source.good),
            plain(source.place) if source.place else NONE,
            figure(float(source.kg.sum())),
            figure(float(source.dm_kg.sum())),
            percent(float(source.dm_kg.sum()) / whole),
            percent(source.bought_share) if source.bought_share > 0 else NONE,
        )
        for source in told.fed.sources
    )
    return Table(("Feed", "Grazed on", "kg", "kg dry", "Of all", "Bought"), rows)


def short_feed_table(told: HerdTold) -> Table:
    """The same for 80 columns: feeds under a hundredth of the dry matter are one line, names are cut."""
    whole = feed_table(told)
    shares = [float(source.dm_kg.sum()) / told.fed.dm_kg for source in told.fed.sources]
    rows = [
        (row[0][:NAME_LETTERS], *row[1:]) for row, share in zip(whole.rows, shares, strict=True) if share >= LEAST_TOLD
    ]
    rest = [source for source, share in zip(told.fed.sources, shares, strict=True) if share < LEAST_TOLD]
    if rest:
        kg, dry = (
            figure(sum(float(part.sum()) for part in parts))
            for parts in ([one.kg for one in rest], [one.dm_kg for one in rest])
        )
        share = sum(share for share in shares if share < LEAST_TOLD)
        rows.append((f"{len(rest)} {'other' if len(rest) == 1 else 'others'}", "", kg, dry, percent(share), NONE))
    return Table(whole.header, tuple(rows))


def class_feed_table(told: HerdTold) -> Table:
    """Feeds down, classes across: fresh kilograms in the year."""
    names = lookup_of(told)
    goods = list(dict.fromkeys(source.good for source in told.fed.sources))
    rows = tuple(
        (
            names.name(good),
            *(cell(float(one.kg[good].sum())) if good in one.kg else NONE for one in told.fed.classes),
        )
        for good in goods
    )
    return Table(("kg fresh", *(klass_name(told, one.klass) for one in told.fed.classes)), rows)


def needs_table(told: HerdTold) -> Table:
    """Classes down: of each need, the share met in the worst month, and that month."""
    shown = [name for name in NUTRIENTS if any(name in one.met for one in told.fed.classes)]
    rows = []
    for one in told.fed.classes:
        met = (_worst(one.met[name], told) if name in one.met else NONE for name in shown)
        rows.append((klass_name(told, one.klass), *met))
    return Table(("Least met", *(title(name) for name in shown)), tuple(rows))


def _worst(met: np.ndarray[tuple[int, ...], np.dtype[np.float64]], told: HerdTold) -> str:
    worst = int(np.nanargmin(met))
    if met[worst] >= 1.0 - 1e-3:
        return "met"
    return f"{100 * met[worst]:.0f} % {told.months[worst].name}"


def products_table(told: HerdTold) -> Table:
    """Goods down: kilograms this year, and over the drawn years."""
    names, drawn = lookup_of(told), products_by_year(told.years)
    goods = sorted(
        dict.fromkeys((*told.products_kg, *drawn)),
        key=lambda good: -float(told.products_kg[good].sum() if good in told.products_kg else drawn[good].median),
    )
    rows = tuple(
        (
            names.name(good),
            figure(float(told.products_kg[good].sum())) if good in told.products_kg else NONE,
            *(
                (
                    figure(float(drawn[good].median)),
                    f"{figure(float(drawn[good].low))} to {figure(float(drawn[good].high))}",
                )
                if good in drawn
                else (NONE, NONE)
            ),
        )
        for good in goods
    )
    return Table(("kg a year", "This year", "Drawn, middle", "9 of 10 years"), rows)


def manure_table(told: HerdTold) -> Table:
    """Where the nitrogen of the droppings falls."""
    manure, whole = told.manure, float(told.manure.n_kg.sum())
    if whole <= 0:
        return Table(("Nitrogen of droppings", "kg", "Of all", "kg/ha"), ())
    rows = [
        ("under a roof", figure(float(manure.roof_n_kg.sum())), percent(float(manure.roof_n_kg.sum()) / whole), NONE)
    ]
    for plot, kg in manure.plot_n_kg.items():
        ha = told.holding.plot[plot].area_m2 / 1e4
        each = float(kg.sum())
        rows.append((f"dropped on {plain(plot)}", figure(each), percent(each / whole), figure(each / ha)))
    return Table(("Nitrogen of droppings", "kg", "Of all", "kg/ha"), tuple(rows))


def against_table(told: HerdTold) -> Table:
    """Each figure beside the handbook's, and how well that is known."""
    rows = tuple(
        (
            f"{klass_name(told, one.klass)}: {one.what}",
            _amount(one, one.steady),
            _drawn(one),
            _amount(one, one.handbook),
            one.standing,
        )
        for one in told.against
    )
    return Table(("What", "This year", "Drawn", "Handbook", "Standing"), rows)


def against_sources(told: HerdTold) -> Table:
    """Key and source of each of the handbook's figures."""
    return Table(("Figure", "Source"), tuple((one.key, f"{one.source} ({one.standing})") for one in told.against))


def _amount(one: Against, value: float | None) -> str:
    if value is None:
        return NONE
    return percent(value) if one.unit == "share" else f"{figure(value)} {one.unit}"


def _drawn(one: Against) -> str:
    if one.drawn is None:
        return NONE
    middle, low, high = one.drawn
    if one.unit == "share":
        return f"{100 * middle:.0f} ({100 * low:.0f} to {100 * high:.0f}) %"
    return f"{figure(middle)} ({figure(low)} to {figure(high)}) {one.unit}"


def short_against(told: HerdTold) -> tuple[Table, ...]:
    """The same by class, without sources and ranges, for 80 columns."""
    classes = dict.fromkeys(one.klass for one in told.against)
    return tuple(
        Table(
            (klass_name(told, klass), "This year", "Drawn", "Handbook"),
            tuple(
                (
                    one.what.partition(" (")[0],
                    _amount(one, one.steady),
                    _amount(one, None if one.drawn is None else one.drawn[0]),
                    _amount(one, one.handbook),
                )
                for one in told.against
                if one.klass == klass
            ),
        )
        for klass in classes
    )
