"""What grows in a plot, as strips: a planting and those that follow it on the same ground stand in one strip."""

from __future__ import annotations

from dataclasses import dataclass

from yardland.larderyear.result import PlantingYear, YearResult
from yardland.report.lookup import Lookup
from yardland.report.palette import Style, styles

STYLE_OF_USE = {"grass": "Ly", "orchard": "Fr"}


@dataclass(frozen=True)
class Strip:
    """Share of the plot, the first planting's style, the codes of all that stand there in turn ("Ni-Br"), their styles."""

    share: float
    style: Style
    codes: str
    styles: tuple[Style, ...]


def strips(result: YearResult, lookup: Lookup, plot: str) -> list[Strip]:
    """The strips that stand in a plot this year; shares are scaled down when they add up to more than the plot."""
    chains: dict[str, list[PlantingYear]] = {}
    for one in result.plantings:
        if one.plot == plot:
            chains.setdefault(one.strip or one.planting, []).append(one)
    here = result.holding.plot.get(plot)
    if not chains and here is not None and here.use in STYLE_OF_USE:
        style = styles()[STYLE_OF_USE[here.use]]
        return [Strip(1.0, style, style.code, (style,))]
    over = max(1.0, sum(chain[0].share for chain in chains.values()))
    return [_strip(chain, lookup, over) for chain in chains.values()]


def grows(result: YearResult, lookup: Lookup, plot: str) -> str:
    """What grows in a plot this year, in words with family codes."""
    crops = [
        f"{lookup.crop(one.crop)} ({lookup.family(one.crop).code})" for one in result.plantings if one.plot == plot
    ]
    trees = [
        f"{tree.count} {lookup.species(tree.species)}"
        for block in result.holding.block.values()
        if block.plot == plot
        for tree in block.trees
    ]
    here = result.holding.plot.get(plot)
    sward = [here.sward.kind] if here is not None and here.sward is not None else []
    return ", ".join(dict.fromkeys([*crops, *trees, *sward])) or "nothing sown or planted"


def _strip(chain: list[PlantingYear], lookup: Lookup, over: float) -> Strip:
    ordered = sorted(chain, key=lambda one: one.days[0] if one.days else 0)
    found = tuple(lookup.family(one.crop) for one in ordered)
    return Strip(chain[0].share / over, found[0], "-".join(style.code for style in found[:4]), found)
