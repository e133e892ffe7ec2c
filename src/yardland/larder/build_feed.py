"""Feed: energy, protein, dry matter, greatest shares and forage for each class of each group, month by month."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from yardland.larder.build import Build, herd_month, kitchen_account
from yardland.larder.description import MONTHS, Feed, Ration
from yardland.larder.feed_rows import add_bounds, add_ceilings, cut_all
from yardland.ledger.arcs import Arc
from yardland.ledger.production import Grazing, HerdNeed

HANDLING = 1e-5
"""Cost per kg of dry matter carried to a trough: grazing comes first, and nothing is fed for nothing."""


def add_short_shares(build: Build) -> None:
    """A column for each herd and month: the share of its need that is not met (its products shrink with it).

    "hunger.<herd>.<month>": the worst month's share >= each month's, so that a shortage is not left to one month.
    """
    for herd in build.larder.production.herds:
        months = [month for month in range(MONTHS) if herd_month(herd, month)]
        worst = build.model.column(build.weights.feed_depth, 1.0) if months else -1
        for month in months:
            column = build.model.column(build.weights.feed, 1.0)
            build.feed_short[herd.account, month] = column
            row = build.model.row(f"hunger.{herd.group}.{herd.klass}.{build.month(month)}", lower=0.0)
            build.model.put(row, worst, 1.0)
            build.model.put(row, column, -1.0)


def add_feed(build: Build) -> None:
    """Add troughs, grazing and what each herd must get."""
    eaten: dict[tuple[str, int], list[tuple[str, int, float]]] = defaultdict(list)
    for herd in build.larder.production.herds:
        for month in range(MONTHS):
            if herd_month(herd, month):
                eaten[herd.account, month] = troughs(build, herd, month)
    for grazing in build.larder.production.grazing:
        graze(build, grazing, eaten)
    for herd in build.larder.production.herds:
        for month in range(MONTHS):
            if herd_month(herd, month):
                require(build, herd, month, eaten[herd.account, month])
    keep_bought_from(build)


FREE = Ration()


def ration_of(build: Build, herd: HerdNeed) -> Ration:
    """What bounds the ration of a class; nothing where the question does not say."""
    return build.larder.rations.get(herd.account, FREE)


def may_eat(feed: Feed, herd: HerdNeed, ration: Ration) -> bool:
    """A feed with a known energy for the species (or a mineral) and a share over nothing, that no rule keeps from it."""
    if feed.key in ration.barred or feed.max_share.get(herd.ceiling_column, 0.0) <= 0.0:
        return False
    return feed.mineral or feed.energy_mj.get(herd.system, 0.0) > 0.0


def troughs(build: Build, herd: HerdNeed, month: int) -> list[tuple[str, int, float]]:
    """Columns of the goods carried to a herd in a month: (feed, column, kg dry matter per unit)."""
    columns = []
    for key in sorted(build.larder.goods):
        good = build.good(key)
        if (key, month) not in build.kitchen or good.feed not in build.larder.feeds:
            continue
        if may_eat(build.larder.feeds[good.feed], herd, ration_of(build, herd)):
            column = build.model.column(HANDLING * good.dm_fraction)
            build.use(key, month, column)
            build.flow(Arc(kitchen_account(key), herd.account, key, "feed"), month, column)
            columns.append((good.feed, column, good.dm_fraction))
    return columns


def graze(build: Build, grazing: Grazing, eaten: dict[tuple[str, int], list[tuple[str, int, float]]]) -> None:
    """Rows "graze.<plot>.<month>": eaten + left for next month <= growth + what was left a month ago x carry."""
    good = build.larder.goods.get(grazing.good)
    if good is None or good.feed not in build.larder.feeds:
        return
    feed = build.larder.feeds[good.feed]
    dm = np.asarray(grazing.dm_kg, dtype=np.float64)
    rows = [
        build.model.row(f"graze.{grazing.account}.{build.month(month)}", upper=float(dm[month]))
        for month in range(MONTHS)
    ]
    for month in range(MONTHS):
        if dm[month] > 0.0 and grazing.carry > 0.0 and (build.larder.cyclic or month + 1 < MONTHS):
            left = build.model.column(0.0, float(dm[month]))
            build.left_standing.append(left)
            build.model.put(rows[month], left, 1.0)
            build.model.put(rows[(month + 1) % MONTHS], left, -grazing.carry)
    for herd in build.larder.production.herds:
        if herd.group not in grazing.groups or not may_eat(feed, herd, ration_of(build, herd)):
            continue
        arc = Arc(grazing.account, herd.account, grazing.good, "graze")
        for month in range(MONTHS):
            if herd_month(herd, month) and (dm[month] > 0.0 or dm[month - 1] * grazing.carry > 0.0):
                column = build.model.column()
                build.model.put(rows[month], column, 1.0)
                build.flow(arc, month, column, 1.0 / good.dm_fraction)
                eaten[herd.account, month].append((good.feed, column, 1.0))
    cut_all(build, grazing, rows)


def require(build: Build, herd: HerdNeed, month: int, eaten: list[tuple[str, int, float]]) -> None:
    """Rows of one herd in one month.

    "feed.energy...": energy / need + short >= 1; "feed.protein..." likewise; "feed.dry_matter...": what is eaten =
    a column bounded by what the herd can take in; "feed.share...<feed>": a feed <= its greatest share of that;
    "feed.forage...": long fodder >= its least share; the other bounds of a ration are rows of `larder.feed_rows`.
    """
    tail = f"{herd.group}.{herd.klass}.{build.month(month)}"
    model, feeds = build.model, build.larder.feeds
    short = build.feed_short[herd.account, month]
    for what, need in (("energy", float(herd.energy_mj[month])), ("protein", float(herd.protein_kg[month]))):
        if need <= 0.0:
            continue
        row = model.row(f"feed.{what}.{tail}", lower=1.0)
        model.put(row, short, 1.0)
        for key, column, dm in eaten:
            content = feeds[key].energy_mj[herd.system] if what == "energy" else feeds[key].protein_kg
            if content > 0.0:
                model.put(row, column, dm * content / need)
    whole = model.column(0.0, float(herd.dry_matter_max_kg[month]))
    row = model.row(f"feed.dry_matter.{tail}", 0.0, 0.0)
    model.put(row, whole, -1.0)
    for _, column, dm in eaten:
        model.put(row, column, dm)
    richest = max((feeds[key].energy_mj[herd.system] for key, _, _ in eaten), default=0.0) or 1.0
    ration = ((whole, 1.0), (short, float(herd.energy_mj[month]) / richest))
    shares(build, herd, tail, eaten, ration)
    bounds = ration_of(build, herd)
    add_ceilings(build, bounds, month, tail, eaten, ration)
    add_bounds(build, herd, bounds, month, tail, eaten, whole)


def shares(
    build: Build,
    herd: HerdNeed,
    tail: str,
    eaten: list[tuple[str, int, float]],
    ration: tuple[tuple[int, float], tuple[int, float]],
) -> None:
    """The greatest share of each feed in the ration, and the least of forage in what is eaten.

    The ration is the dry matter eaten and, when a herd is short, the least that would make up for it: else a trough
    that holds only feeds with ceilings adding up to less than 1 would have to stay empty.
    """
    feeds = build.larder.feeds
    for key in sorted({key for key, _, _ in eaten}):
        most = feeds[key].max_share[herd.ceiling_column]
        if most < 1.0:
            row = build.model.row(f"feed.share.{tail}.{key}", upper=0.0)
            for column, dm in ration:
                build.model.put(row, column, -most * dm)
            for other, column, dm in eaten:
                if other == key:
                    build.model.put(row, column, dm)
    if herd.forage_min_fraction > 0.0:
        row = build.model.row(f"feed.forage.{tail}", lower=0.0)
        build.model.put(row, ration[0][0], -herd.forage_min_fraction)
        for other, column, dm in eaten:
            if feeds[other].forage:
                build.model.put(row, column, dm)


def keep_bought_from(build: Build) -> None:
    """Rows "own_feed.<good>.<month>": groups that get no bought feed eat no more of a good than came from the holding."""
    refusing = {
        herd.account for herd in build.larder.production.herds if not build.larder.buys_feed.get(herd.group, True)
    }
    bought = {(arc.good, month) for arc, month in build.flows if arc.kind == "buy"}
    for good, month in sorted(bought):
        columns = [
            (column, kg)
            for account in sorted(refusing)
            for column, kg in build.flows.get((Arc(kitchen_account(good), account, good, "feed"), month), ())
        ]
        if not columns:
            continue
        gathered = sum(
            kg
            for (arc, at), kg in build.constants.items()
            if at == month and arc.good == good and arc.kind in {"gather", "give"}
        )
        row = build.model.row(f"own_feed.{good}.{build.month(month)}", upper=gathered)
        build.sides[good, month].append((row, 1.0))
        for column, kg in columns:
            build.model.put(row, column, kg)
        for column, kg in build.home[good, month]:
            build.model.put(row, column, -kg)
