"""What grows in a plot, as strips: a planting and those that follow it on the same ground stand in one strip."""

from __future__ import annotations

from dataclasses import dataclass

from yardland.holding.model import Holding, PlantingRow
from yardland.report.lookup import Lookup
from yardland.report.palette import Style, styles
from yardland.report.words import plain

STYLE_OF_USE = {"grass": "Ly", "orchard": "Fr"}


@dataclass(frozen=True)
class Strip:
    """Share of the plot, the first planting's style, and the codes of all that stand there in turn ("Ni-Br")."""

    share: float
    style: Style
    codes: str


def strips(holding: Holding, lookup: Lookup, plot: str) -> list[Strip]:
    """The strips of a plot; shares are scaled down when they add up to more than the plot."""
    rows = [row for row in holding.plantings if row.plot == plot]
    heads = [row for row in rows if not row.after and row.sow != "after"]
    use = holding.plot[plot].use if plot in holding.plot else ""
    if not heads and use in STYLE_OF_USE:
        style = styles()[STYLE_OF_USE[use]]
        return [Strip(1.0, style, style.code)]
    over = max(1.0, sum(row.share for row in heads))
    return [Strip(row.share / over, lookup.family(row.crop), _chain(row, rows, lookup)) for row in heads]


def grows(holding: Holding, lookup: Lookup, plot: str) -> str:
    """What grows in a plot, in words with family codes."""
    crops = [f"{plain(row.crop)} ({lookup.family(row.crop).code})" for row in holding.plantings if row.plot == plot]
    trees = [
        f"{tree.count} {plain(tree.species)}"
        for block in holding.block.values()
        if block.plot == plot
        for tree in block.trees
    ]
    here = holding.plot.get(plot)
    sward = [here.sward.kind] if here is not None and here.sward is not None else []
    return ", ".join(dict.fromkeys([*crops, *trees, *sward])) or "nothing sown or planted"


def _chain(head: PlantingRow, rows: list[PlantingRow], lookup: Lookup) -> str:
    codes, crop = [lookup.family(head.crop).code], head.crop
    for _ in rows:
        follower = next((row for row in rows if row.after == crop and row.crop != crop), None)
        if follower is None:
            break
        codes.append(lookup.family(follower.crop).code)
        crop = follower.crop
    return "-".join(codes[:4])
