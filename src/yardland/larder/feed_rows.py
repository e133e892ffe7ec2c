"""Rows of a ration's further bounds, and of grass that is cut or kept standing instead of grazed."""

from __future__ import annotations

from yardland.larder.build import HAIR, Build, kitchen_account
from yardland.larder.description import MONTHS, Cut, Feed, Ration
from yardland.larder.model import INFINITY
from yardland.ledger.arcs import Arc
from yardland.ledger.production import Grazing, HerdNeed

Eaten = list[tuple[str, int, float]]
"""(feed, column, kg dry matter per unit of the column)."""
CONTENT = {"lysine": "lysine_kg", "calcium": "calcium_kg", "phosphorus": "phosphorus_kg"}


def add_bounds(build: Build, herd: HerdNeed, ration: Ration, month: int, tail: str, eaten: Eaten, whole: int) -> None:
    """Rows that a ration should meet; what it lacks is a column of its own, dear but never dearer than hunger.

    "feed.lysine...", "feed.calcium...", "feed.phosphorus...": eaten / need + short + lack >= 1
    "feed.fibre_least...": sum (fibre - least) dry matter + lack x least x the least dry matter that carries the energy
    >= 0; "feed.fibre_most..." likewise.
    A row that cannot bind is left out: where every feed on offer holds at least the need's grams per megajoule, the row
    of energy says it already.
    """
    feeds = build.larder.feeds
    on_offer = [feeds[key] for key in sorted({key for key, _, _ in eaten})]
    if not on_offer:
        return
    short = build.feed_short[herd.account, month]
    energy = float(herd.energy_mj[month])
    for name, least in ration.least_kg.items():
        need = float(least[month])
        if need <= 0.0 or implied(on_offer, herd.system, name, need / energy):
            continue
        row = build.model.row(f"feed.{name}.{tail}", lower=1.0)
        build.model.put(row, short, 1.0)
        build.model.put(row, lack(build, herd, name, month), 1.0)
        for key, column, dm in eaten:
            if (content := held(feeds[key], name)) > 0.0:
                build.model.put(row, column, dm * content / need)
    least_dm = energy / (max(feed.energy_mj.get(herd.system, 0.0) for feed in on_offer) or 1.0)
    fibre = {feed.key: feed.fibre_kg for feed in on_offer}
    for name, bound, sign in (("fibre_least", ration.fibre_least, 1.0), ("fibre_most", ration.fibre_most, -1.0)):
        if not bound or all(sign * (fibre[key] - bound) >= 0.0 for key in fibre):
            continue
        row = build.model.row(f"feed.{name}.{tail}", lower=0.0)
        build.model.put(row, whole, -sign * bound)
        build.model.put(row, lack(build, herd, name, month), bound * least_dm)
        for key, column, dm in eaten:
            if fibre[key] > 0.0:
                build.model.put(row, column, sign * dm * fibre[key])


def held(feed: Feed, name: str) -> float:
    """Kilograms of lysine, calcium or phosphorus in a kilogram of dry matter."""
    return float(getattr(feed, CONTENT[name]))


def implied(on_offer: list[Feed], system: str, name: str, per_mj: float) -> bool:
    """Whether any mix that meets the energy need holds enough of the nutrient."""
    return all(held(feed, name) >= per_mj * feed.energy_mj[system] for feed in on_offer)


def lack(build: Build, herd: HerdNeed, name: str, month: int) -> int:
    """The column of what a class lacks of a bound in a month, as a share of it."""
    weights = build.weights
    column = build.model.column(weights.feed_bound if name == "lysine" else weights.feed_mineral)
    build.feed_lack[herd.account, name, month] = column
    return column


def add_ceilings(
    build: Build,
    ration: Ration,
    month: int,
    tail: str,
    eaten: Eaten,
    ration_dm: tuple[tuple[int, float], tuple[int, float]],
) -> None:
    """Rows "feed.together...<rule>": some feeds together <= a share of the ration, or kilograms of dry matter."""
    for ceiling in ration.ceilings:
        columns = [(column, dm) for key, column, dm in eaten if key in ceiling.feeds]
        if not columns:
            continue
        most = float("inf") if ceiling.most_kg is None else float(ceiling.most_kg[month])
        name = f"feed.together.{tail}.{ceiling.rule}"
        row = build.model.row(name, upper=most if ceiling.most_kg is not None else 0.0)
        for column, dm in columns:
            build.model.put(row, column, dm)
        if ceiling.most_kg is None:
            for column, dm in ration_dm:
                build.model.put(row, column, -ceiling.share * dm)


def cut_all(build: Build, grazing: Grazing, rows: list[int]) -> None:
    """Every way in which a sward's growth may be cut, and rows "mown.<sward>.<month>" over those that wait for dry days.

    mown in all ways together <= the widest of their windows x what stands (growth, and what was left a month ago). A
    long dry spell begins on no day on which a short one does not, so that the widest window holds the others.
    """
    ways = [way for way in build.larder.cuts if way.takes == grazing.good]
    waiting = [(way, cut(build, grazing, way, rows)) for way in ways]
    waiting = [(way, columns) for way, columns in waiting if way.window is not None]
    for month in range(MONTHS) if len(waiting) > 1 else ():
        widest = max(float(way.window[month]) for way, _ in waiting if way.window is not None)
        row = build.model.row(f"mown.{grazing.account}.{build.month(month)}", upper=widest * standing(grazing, month))
        for _, columns in waiting:
            if month in columns:
                build.model.put(row, columns[month], 1.0)


def standing(grazing: Grazing, month: int) -> float:
    """The most that can stand in a month, kg dry matter: its growth, and all of the month before at what is carried."""
    return float(grazing.dm_kg[month]) + grazing.carry * float(grazing.dm_kg[month - 1])


def cut(build: Build, grazing: Grazing, way: Cut, rows: list[int]) -> dict[int, int]:
    """Columns of a sward's growth that is cut, or kept standing, as another good, kg dry matter cut, by month.

    What is lost between field and store stays in the field; the water that the good no longer holds dries off.
    """
    found: dict[int, int] = {}
    takes, gives = build.good(way.takes), build.good(way.gives)
    kept_kg = way.kept / gives.dm_fraction
    lost_kg = (1.0 - way.kept) / takes.dm_fraction
    for month, row in enumerate(rows):
        if float(grazing.dm_kg[month]) <= 0.0 or (way.gives, month) not in build.kitchen:
            continue
        most = INFINITY if way.window is None else float(way.window[month]) * standing(grazing, month)
        column = found[month] = build.model.column(HAIR, most)
        if way.window is not None:
            build.left_standing.append(column)
        build.model.put(row, column, 1.0)
        build.supply(way.gives, month, column, kept_kg)
        build.flow(Arc(grazing.account, kitchen_account(way.gives), way.gives, "gather"), month, column, kept_kg)
        build.flow(Arc(grazing.account, "soilair", way.takes, "spoil"), month, column, lost_kg)
        dried_kg = 1.0 / takes.dm_fraction - kept_kg - lost_kg
        build.flow(Arc(grazing.account, "soilair", "water", "trim"), month, column, dried_kg)
    return found
