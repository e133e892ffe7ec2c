"""Links of the chain over many years, and a policy and its years with one of them relaxed by a tenth.

Rooms, kitchen hands, plates and purchases are those of one year's `why` (`larder.causes`). Land, grass and heads move what
years bring; whoever has more of them knows it, so that the normal that is counted on moves too.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from yardland.larder.causes import TENTH, plate_link, purchase_links, room_links, sources
from yardland.larder.causes import Link as YearLink
from yardland.larder.description import MONTHS
from yardland.larderyears.asks import spared_kg
from yardland.larderyears.frame import Frame
from yardland.larderyears.household import Household
from yardland.larderyears.prepare import Prepared
from yardland.larderyears.sides import Brought
from yardland.larderyears.stack import stacked
from yardland.larderyears.walk import Policy

F64 = npt.NDArray[np.float64]
MORE, FEWER = 1.0 + TENTH, 1.0 - TENTH
RESERVE, PLATES = "reserve", "plates"


@dataclass(frozen=True)
class Link:
    """A link, and what relaxing it changes.

    kind : land, trees, grass, heads, room, kitchen, plates, purchase or reserve ; words : what is relaxed, with its amount
    sides, uppers : row or column of the frame -> what is added to its finite bounds
    gathered : (good, factor [12]) of what is gathered ; swards : whether grass grows a tenth more
    group, heads : group whose heads are multiplied, and by what
    """

    key: str
    kind: str
    words: str
    sides: dict[int, float] = field(default_factory=dict)
    uppers: dict[int, float] = field(default_factory=dict)
    gathered: tuple[tuple[str, F64], ...] = ()
    swards: bool = False
    group: str = ""
    heads: float = 1.0


def links_of(shared: Prepared) -> list[Link]:
    """Every link that is relaxed, in a fixed order."""
    build = shared.frame.build
    found = [*land_links(shared), *grass_links(shared), *herd_links(shared)]
    found += [of_one_year(one, "room" if one.key.startswith("store.") else "kitchen") for one in room_links(build)]
    found += [with_reserve(of_one_year(one, PLATES), shared.frame) for one in plate_link(build)]
    found += [of_one_year(one, "purchase") for one in purchase_links(build)]
    days = TENTH * shared.ground.holding.goal.reserve_days
    reserve = shared.frame.reserve
    if len(reserve.row):
        words = f"a reserve that is a tenth greater ({days:g} days)"
        link = Link(
            RESERVE,
            RESERVE,
            words,
            dict.fromkeys(reserve.row.tolist(), TENTH),
            dict.fromkeys(reserve.lacking.tolist(), TENTH),
        )
        found.append(with_reserve(link, shared.frame))
    return found


def with_reserve(link: Link, frame: Frame) -> Link:
    """A link that also lets a tenth more of each plate count for the reserve: on greater plates, or of more days."""
    rows = frame.reserve.beyond
    sides = dict(zip(rows.tolist(), (TENTH * frame.row_upper[rows]).tolist(), strict=True))
    return replace(link, sides={**link.sides, **sides})


def of_one_year(one: YearLink, kind: str) -> Link:
    """A link of one year's program, with its amount where that is one."""
    amounts = [change for change in (*one.sides.values(), *one.uppers.values()) if np.isfinite(change)]
    unit = {"room": "litres", "purchase": "kg a month"}.get(kind, "")
    told = f" ({amount(max(amounts))} {unit})" if unit and amounts else ""
    return Link(one.key, kind, one.words + told, one.sides, one.uppers)


def amount(value: float) -> str:
    """A number for reading: whole from ten on, two figures under it."""
    return f"{value:,.0f}" if value >= 10.0 else f"{value:.2g}"


def land_links(shared: Prepared) -> Iterator[Link]:
    """The land of each crop, and the trees of each kind: the part of what is gathered that comes from them."""
    whole, parts = gathered_by_source(shared.frame)
    areas, trees = areas_m2(shared), tree_counts(shared)
    for (kind, name), goods in sorted(parts.items()):
        if kind not in {"crop", "trees"}:
            continue
        plain = name.replace("_", " ")
        if kind == "crop":
            ground = f" ({amount(TENTH * areas[name])} m2)" if areas.get(name) else ""
            yield Link(f"crop.{name}", "land", f"a tenth more {plain} land{ground}", gathered=factors(goods, whole))
        else:
            of = f" (of {trees[name]:,.0f})" if trees.get(name) else ""
            yield Link(f"trees.{name}", "trees", f"a tenth more {plain} trees{of}", gathered=factors(goods, whole))


def grass_links(shared: Prepared) -> Iterator[Link]:
    """All grass, grazed and cut."""
    whole, parts = gathered_by_source(shared.frame)
    cut: dict[str, F64] = defaultdict(lambda: np.zeros(MONTHS))
    for (kind, _), goods in parts.items():
        if kind == "sward":
            for good, kg in goods.items():
                cut[good] = cut[good] + kg
    if cut or shared.frame.swards:
        yield Link("grass", "grass", "a tenth more grass land", gathered=factors(dict(cut), whole), swards=True)


def herd_links(shared: Prepared) -> Iterator[Link]:
    """A tenth more, and a tenth fewer, of each group: what they need and what they give."""
    for group in sorted({herd.group for herd in shared.frame.larder.production.herds}):
        plain = group.replace("_", " ")
        yield Link(f"heads.{group}.more", "heads", f"a tenth more {plain}", group=group, heads=MORE)
        yield Link(f"heads.{group}.fewer", "heads", f"a tenth fewer {plain}", group=group, heads=FEWER)


def gathered_by_source(frame: Frame) -> tuple[dict[str, F64], dict[tuple[str, str], dict[str, F64]]]:
    """What is gathered of each good in the mean year, [12] kg: in all, and by the kind and name of its source."""
    whole: dict[str, F64] = defaultdict(lambda: np.zeros(MONTHS))
    parts: dict[tuple[str, str], dict[str, F64]] = defaultdict(lambda: defaultdict(lambda: np.zeros(MONTHS)))
    for source, gathered in sources(frame.larder.production.gathered).items():
        for good, kg in gathered:
            whole[good] = whole[good] + kg
            parts[source][good] = parts[source][good] + kg
    return dict(whole), {source: dict(goods) for source, goods in parts.items()}


def factors(goods: dict[str, F64], whole: dict[str, F64]) -> tuple[tuple[str, F64], ...]:
    """By what to multiply each good when a tenth more comes from one source: 1 + a tenth of its part in the month."""
    return tuple(
        (good, 1.0 + TENTH * np.divide(kg, whole[good], out=np.zeros(MONTHS), where=whole[good] > 0.0))
        for good, kg in sorted(goods.items())
    )


def areas_m2(shared: Prepared) -> dict[str, float]:
    """Crop -> ground that it stands on, in the mean of the rotation's years."""
    found: dict[str, float] = defaultdict(float)
    plans = shared.ground.plans
    for plan in plans:
        for strip in plan.layout.strips:
            for crop in {planting.crop for planting in strip.plantings}:
                found[crop] += strip.area_m2 / len(plans)
    return dict(found)


def tree_counts(shared: Prepared) -> dict[str, float]:
    """Kind of tree -> how many."""
    found: dict[str, float] = defaultdict(float)
    for block in shared.ground.holding.block.values():
        for row in block.trees:
            found[row.species] += row.count
    return dict(found)


def relaxed_policy(shared: Prepared, link: Link) -> Policy:
    """The policy with the link relaxed: other sides, other bounds, another normal; the same rows and columns."""
    old = shared.policy
    frame = relaxed_frame(shared.frame, link)
    stack = stacked(frame, old.stack.blocks, shared.kept)
    expected = relaxed_years(shared.frame, old.expected, link)
    return replace(old, frame=frame, stack=stack, expected=expected, household=relaxed_household(old.household, link))


def relaxed_household(household: Household | None, link: Link) -> Household | None:
    """Plates, or the reserve, of every year of a chain, where people grow older, a tenth greater with their link."""
    if household is None or link.kind not in {PLATES, RESERVE}:
        return household
    rows, columns = np.isin(household.rows, [*link.sides]), np.isin(household.columns, [*link.uppers])
    return replace(
        household,
        row_lower=household.row_lower * np.where(rows, MORE, 1.0),
        row_upper=household.row_upper * np.where(rows, MORE, 1.0),
        upper=household.upper * np.where(columns, MORE, 1.0),
    )


def relaxed_frame(frame: Frame, link: Link) -> Frame:
    """The block with the link's sides and bounds."""
    lower, upper, column_upper = frame.row_lower.copy(), frame.row_upper.copy(), frame.upper.copy()
    for row, change in link.sides.items():
        lower[row] += change if np.isfinite(lower[row]) else 0.0
        upper[row] += change if np.isfinite(upper[row]) else 0.0
    for column, change in link.uppers.items():
        column_upper[column] += change if np.isfinite(column_upper[column]) else 0.0
    return replace(frame, row_lower=lower, row_upper=upper, upper=column_upper)


def relaxed_years(frame: Frame, years: Brought, link: Link) -> Brought:
    """What years bring with the link relaxed."""
    given, arriving = years.given_kg.copy(), years.arriving_kg - years.given_kg
    for good, factor in link.gathered:
        if good in frame.goods:
            arriving[:, frame.goods.index(good)] *= factor
    growth = years.growth_kg_dm * (MORE if link.swards else 1.0)
    asked, gifts, spared = years.asked, years.gift_kg, years.spared_kg
    if link.group:
        given *= given_factor(frame, link)
        mine = np.array([one.partition(":")[2].partition(".")[0] == link.group for one in frame.asks.accounts])
        asked = asked * np.where(mine, link.heads, 1.0)[None, :, None, None]
        of_mine = np.array([bool(mine[gift.herd]) for gift in frame.asks.gifts], dtype=np.bool_)
        gifts = gifts * np.where(of_mine, link.heads, 1.0)[None, :, None]
        spared = spared_kg(frame.asks, asked, gifts)
    return replace(
        years,
        arriving_kg=arriving + given,
        given_kg=given,
        growth_kg_dm=growth,
        asked=asked,
        gift_kg=gifts,
        spared_kg=spared,
    )


def given_factor(frame: Frame, link: Link) -> F64:
    """By what to multiply what all herds give of each good, [good, 12]: a group's part is that of the mean year."""
    whole, mine = np.zeros((len(frame.goods), MONTHS)), np.zeros((len(frame.goods), MONTHS))
    for herd in frame.larder.production.herds:
        for good, kg in herd.products.items():
            if good in frame.goods:
                whole[frame.goods.index(good)] += kg
                mine[frame.goods.index(good)] += kg if herd.group == link.group else 0.0
    part = np.divide(mine, whole, out=np.zeros_like(mine), where=whole > 0.0)
    return np.asarray(1.0 + (link.heads - 1.0) * part)
