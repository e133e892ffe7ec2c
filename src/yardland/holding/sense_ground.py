"""Sense of plots, outlines, soils, water, trees and fences."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date
from itertools import combinations
from typing import TYPE_CHECKING

from yardland.errors import Fault
from yardland.holding.draft import Draft
from yardland.holding.folder import OUTLINES, PLAN
from yardland.holding.known import KnownNames
from yardland.holding.misfit import one_of, shown
from yardland.holding.model import WaterSource
from yardland.holding.outline import Outline, line_length_m, local_plane
from yardland.holding.texture import CLASSES, texture_class

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry as Geometry

LARGEST_PLOT_M2 = 10_000_000.0
FARTHEST_KM = 20.0
SIZE_AGREES = 0.05
SNAP_M = 0.05
"""Corners closer than this are one corner; a strip of that width along the edge is no overlap."""
AREAS = ("plot", "boundary")
FREE_KINDS = ("boundary", "building")
"""Kinds of feature whose ids need not stand in holding.toml."""
NAMED_BY = {"plot": ("plot",), "fence": ("fence",), "trees": ("block",), "water": ("water",)}


def soils(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """A plot's soil is one of the plan's soils, and a soil's texture one of the texture classes."""
    for name, plot in draft.plot.items():
        if plot.soil is not None and plot.soil not in draft.names("soil"):
            remedy = one_of(plot.soil, draft.names("soil"), "soil")
            yield Fault(PLAN, f"plot.{name}.soil", shown(plot.soil), "a name under [soil]", remedy)
    for name, soil in draft.soil.items():
        if soil.texture is None or not known.soils:
            continue
        if soil.texture.replace(" ", "_") not in known.soils and soil.texture not in known.soils:
            remedy = one_of(soil.texture, known.soils, "texture")
            yield Fault(PLAN, f"soil.{name}.texture", shown(soil.texture), "a USDA texture class", remedy)


def soil_tests(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """A soil is known by its texture class, or by sand and clay together, and the two do not contradict each other."""
    for name, soil in draft.soil.items():
        where, sand, clay = f"soil.{name}", soil.sand_pct, soil.clay_pct
        if sand is None and clay is None:
            if soil.texture is None:
                remedy = 'Add texture = "loam" (or another class), or sand_pct and clay_pct from a laboratory.'
                yield Fault(PLAN, where, "neither texture nor sand and clay", "what the soil is made of", remedy)
        elif sand is None or clay is None:
            lacks = "sand_pct" if sand is None else "clay_pct"
            remedy = f"Add {lacks}, or take the other out and give a texture."
            yield Fault(PLAN, f"{where}.{lacks}", "nothing", "both sand_pct and clay_pct", remedy)
        elif sand + clay > 100:
            found = f"{sand:g} % sand and {clay:g} % clay"
            remedy = "Take both from one test, as shares of the fine earth (under 2 mm)."
            yield Fault(PLAN, f"{where}.clay_pct", found, "at most 100 % together", remedy)
        elif soil.texture is not None and soil.texture.replace(" ", "_") in CLASSES:
            made = texture_class(sand, clay)
            if made != soil.texture.replace(" ", "_"):
                found = f"{shown(soil.texture)}, but {sand:g} % sand and {clay:g} % clay are {made.replace('_', ' ')}"
                remedy = "Take texture out (the test says more), or correct the test's figures."
                yield Fault(PLAN, f"{where}.texture", found, "the class of its sand and clay", remedy)


def plot_sizes(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """No plot is larger than a small holding can be, and a typed size agrees with the outline."""
    for name, plot in draft.plot.items():
        if plot.area_m2 > LARGEST_PLOT_M2:
            found = f"{plot.area_m2 / 10_000:.0f} ha"
            yield Fault(PLAN, f"plot.{name}.size", found, "at most 1000 ha", "Check the figure and its unit.")
        typed = draft.sizes_m2.get(name)
        if typed is not None and abs(typed - plot.area_m2) > SIZE_AGREES * plot.area_m2:
            found = f"{typed:.0f} m2, but its outline holds {plot.area_m2:.0f} m2"
            remedy = f"Take the size out, or correct the outline in {OUTLINES}."
            yield Fault(PLAN, f"plot.{name}.size", found, "a size within 5 % of the outline", remedy)


def swards(draft: Draft, _known: KnownNames, today: date) -> Iterator[Fault]:
    """Grass plots say what grows on them; only ground with a sward is shut up for hay; a sward was sown already."""
    last = _last_day(draft, today)
    for name, plot in draft.plot.items():
        where = f"plot.{name}"
        if plot.shut_up_for_hay is not None and plot.sward is None:
            remedy = 'Add sward = { kind = "grass-clover" }, or take shut_up_for_hay out.'
            yield Fault(PLAN, f"{where}.shut_up_for_hay", "a hay window on a plot without sward", "a sward", remedy)
        elif plot.use == "grass" and plot.sward is None:
            remedy = 'Add sward = { kind = "grass-clover" } or another kind.'
            yield Fault(PLAN, f"{where}.sward", "nothing", "what grows on a grass plot", remedy)
        if plot.sward is not None and plot.sward.sown is not None and plot.sward.sown > last:
            yield Fault(PLAN, f"{where}.sward.sown", f"{plot.sward.sown}, in the future", "a past day", "Correct it.")


def watered_by(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """A plot is watered from sources that the plan has."""
    for name, plot in draft.plot.items():
        for source in plot.watered_by:
            if source not in draft.names("water"):
                remedy = one_of(source, draft.names("water"), "water source")
                yield Fault(PLAN, f"plot.{name}.watered_by", shown(source), "a source under [water]", remedy)


def sources_fill(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """Every water source can hold and can fill."""
    for name, source in draft.sources.items():
        if source.kind in {"tank", "pond"} and source.volume_m3 == 0:
            yield Fault(PLAN, f"water.{name}.volume_m3", "nothing", f"what the {source.kind} holds", "Add volume_m3.")
        if not _fills(source):
            keys = "fed_by_roof_m2, fed_by_land_m2 or rate_m3_day" if source.volume_m3 else "rate_m3_day"
            found = f"a {source.kind} that nothing fills"
            yield Fault(PLAN, f"water.{name}", found, f"{keys} above zero", f"Add {keys}.")
        dry = source.dry_summer_rate_m3_day
        if dry is not None and dry > source.rate_m3_day:
            expected = f"at most rate_m3_day ({source.rate_m3_day:g})"
            where = f"water.{name}.dry_summer_rate_m3_day"
            yield Fault(PLAN, where, f"{dry:g}", expected, "A dry summer gives no more than a usual day: correct one.")


def _fills(source: WaterSource) -> bool:
    """Whether anything flows into a source. Wells, streams and mains give by their rate alone."""
    caught = source.fed_by_roof_m2 + source.fed_by_land_m2 if source.kind in {"tank", "pond"} else 0.0
    return caught + source.rate_m3_day > 0


def order_once(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """Nobody stands twice in the order of drinking, and people and stock are in it."""
    order = draft.water.order
    if len(set(order)) < len(order):
        yield Fault(PLAN, "water.order", "a user twice", "each once", "Take the second one out.")
    missing = [user for user in ("people", "stock") if user not in order]
    if missing:
        yield Fault(PLAN, "water.order", "an order without " + " and ".join(missing), "people and stock", "Add them.")


def blocks(draft: Draft, known: KnownNames, today: date) -> Iterator[Fault]:
    """Trees stand on a plot of the plan, are of a known species, and were planted already."""
    last = _last_day(draft, today)
    for name, block in draft.block.items():
        if block.plot not in draft.names("plot"):
            remedy = one_of(block.plot, draft.names("plot"), "plot")
            yield Fault(PLAN, f"block.{name}.plot", shown(block.plot), "a name under [plot]", remedy)
        if not block.trees:
            yield Fault(PLAN, f"block.{name}.trees", "an empty list", "at least one kind of tree", "Add one.")
        for index, row in enumerate(block.trees, start=1):
            where = f"block.{name}.trees[{index}]"
            if known.trees and row.species not in known.trees:
                remedy = one_of(row.species, known.trees, "tree")
                yield Fault(PLAN, f"{where}.species", shown(row.species), "a tree, bush or vine", remedy)
            if row.planted > last:
                remedy = "Correct the year, or add them when they are planted."
                yield Fault(PLAN, f"{where}.planted", f"{row.planted}, in the future", "a past day", remedy)


def fences(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """A fence goes round plots of the plan."""
    for name, fence in draft.fence.items():
        for plot in fence.around:
            if plot not in draft.names("plot"):
                remedy = one_of(plot, draft.names("plot"), "plot")
                yield Fault(PLAN, f"fence.{name}.around", shown(plot), "a name under [plot]", remedy)


def outline_names(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """Outlines carry the ids of holding.toml, so that none is drawn and then passed over."""
    if not draft.plan_read:
        return
    for outline in draft.outlines.values():
        if outline.kind in FREE_KINDS:
            continue
        names = set().union(*(draft.names(kind) for kind in NAMED_BY[outline.kind]))
        if outline.id not in names:
            table = {"trees": "block"}.get(outline.kind, outline.kind)
            remedy = one_of(outline.id, names, table)
            yield Fault(OUTLINES, f'feature "{outline.id}"', shown(outline.id), f"a name under [{table}]", remedy)


def outline_places(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """The drawing lies where the place is (longitude comes first in GeoJSON)."""
    if draft.place is None:
        return
    here = (draft.place.longitude_deg, draft.place.latitude_deg)
    for outline in draft.outlines.values():
        if _apart_km(outline.position, here) > FARTHEST_KM:
            swapped = _apart_km((outline.position[1], outline.position[0]), here) <= FARTHEST_KM
            remedy = "Longitude comes first: swap the two." if swapped else "Correct the outline or the place."
            found = f"{_apart_km(outline.position, here):.0f} km from the place"
            where = f'feature "{outline.id}"'
            yield Fault(OUTLINES, where, found, f"at most {FARTHEST_KM:.0f} km from the place", remedy)
            return


def _apart_km(first: tuple[float, float], second: tuple[float, float]) -> float:
    """Distance along the great circle of a sphere of 6371 km, for telling near from far."""
    lon1, lat1, lon2, lat2 = map(math.radians, (*first, *second))
    haversine = math.sin((lat2 - lat1) / 2) ** 2 + math.cos(lat1) * math.cos(lat2) * math.sin((lon2 - lon1) / 2) ** 2
    return 2 * 6371.0 * math.asin(min(1.0, math.sqrt(haversine)))


def overlaps(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """No ground is in two plots, and no plot leaves the boundary (strips along the edge within the snap are let be)."""
    areas = [outline for outline in draft.outlines.values() if outline.kind in AREAS]
    if len(areas) < 2 or any(_apart_km(areas[0].position, area.position) > FARTHEST_KM for area in areas):
        return
    shapes = {outline.id: _shape(outline, areas[0].position) for outline in areas}
    plots = [outline for outline in areas if outline.kind == "plot"]
    for first, second in combinations(plots, 2):
        shared = shapes[first.id].intersection(shapes[second.id]).area
        if shared > _tolerance_m2(first, second):
            where = f'features "{first.id}" and "{second.id}"'
            remedy = "Move their corners apart, or make them share an edge."
            yield Fault(OUTLINES, where, f"{shared:.1f} m2 in both plots", "plots that do not overlap", remedy)
    yield from _outside(plots, [outline for outline in areas if outline.kind == "boundary"], shapes)


def _outside(plots: list[Outline], bounds: list[Outline], shapes: dict[str, Geometry]) -> Iterator[Fault]:
    """Plots that leave the boundary; several boundaries (a second field down the road) count together."""
    from shapely import union_all

    if not bounds:
        return
    whole = union_all([shapes[bound.id] for bound in bounds])
    for plot in plots:
        outside = shapes[plot.id].difference(whole).area
        if outside > _tolerance_m2(plot, plot):
            remedy = "Move its corners inside, or draw the boundary wider."
            found = f"{outside:.1f} m2 outside the boundary"
            yield Fault(OUTLINES, f'feature "{plot.id}"', found, "a plot inside it", remedy)


def _shape(outline: Outline, origin: tuple[float, float]) -> Geometry:
    """A shapely geometry of an outline in the local plane that keeps areas, metres from `origin`."""
    from shapely import MultiPolygon, Polygon

    polygons = []
    for outer, *holes in outline.polygons:
        polygons.append(Polygon(local_plane(outer, origin), [local_plane(hole, origin) for hole in holes]))
    return MultiPolygon(polygons).buffer(0)


def _tolerance_m2(first: Outline, second: Outline) -> float:
    """The strip that two drawings of one edge may share: the snap along the shorter perimeter."""
    return SNAP_M * min(line_length_m(outline.polygons[0][0]) for outline in (first, second))


def _last_day(draft: Draft, today: date) -> date:
    """The last day on which something that stands at the start can have been planted."""
    return max(today, draft.start.on or today)


CHECKS = (
    soils,
    soil_tests,
    plot_sizes,
    swards,
    watered_by,
    sources_fill,
    order_once,
    blocks,
    fences,
    outline_names,
    outline_places,
    overlaps,
)
