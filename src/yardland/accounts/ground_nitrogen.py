"""Nitrogen of each plot's ground over a larder year, and its waterlogged days: strips and swards of the plot by their area."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from yardland.season.season import Season


@dataclass(frozen=True)
class SoilNitrogen:
    """Mineral nitrogen and what comes free of fresh matter, kg/ha in the year; docs/growth-nitrogen.md.

    from_soil : out of organic matter ; from_sky ; mineral_in, fresh_in : dressings, dung and leavings ; uptake : taken by what
    grew ; fixed : of the air, into legumes, beside the ground ; leached ; start, end : in the ground ; wet_days : on which the
    top soil was waterlogged (0 for swards, which are not asked) ; on_cleared : ready and soon free nitrogen of droppings on
    ground that a harvest had cleared; it falls after the year's crops were reckoned, and is in none of the other terms
    """

    from_soil: float = 0.0
    from_sky: float = 0.0
    mineral_in: float = 0.0
    fresh_in: float = 0.0
    uptake: float = 0.0
    fixed: float = 0.0
    leached: float = 0.0
    start: float = 0.0
    end: float = 0.0
    wet_days: float = 0.0
    on_cleared: float = 0.0


def ground_nitrogen(season: Season) -> dict[str, SoilNitrogen]:
    """Plot -> its year, for every plot with a strip or a sward; by area where it has several."""
    cleared = {stay.plot for stay in season.stays if stay.strips}
    dropped = {
        item.plot: float((item.mineral_n_kg_ha + item.fresh_n_kg_ha).sum())
        for item in season.droppings
        if item.plot in cleared
    }
    parts: dict[str, list[tuple[float, SoilNitrogen]]] = {}
    grown, lane = season.grown, season.lane
    first = 0
    for row, strip in enumerate(grown.layout.strips):
        plantings = range(first, first + len(strip.plantings))
        first += len(strip.plantings)
        terms = {name: values[row, :, lane] for name, values in grown.nitrogen_kg_ha.items()}
        fixed = float(sum(grown.pick(grown.fixed_n_kg_ha)[number, lane] for number in plantings))
        wet = float(grown.wet_days[row, :, lane].sum())
        parts.setdefault(strip.plot, []).append((strip.area_m2, _one(terms, fixed, wet)))
    for sward in season.swards:
        terms = {name: values[:, lane] for name, values in sward.nitrogen_kg_ha.items()}
        year = _one(terms, float(sward.fixed_n_kg_ha[lane]), 0.0)
        parts.setdefault(sward.plot, []).append((sward.area_m2, year))
    return {plot: replace(_mean(found), on_cleared=dropped.get(plot, 0.0)) for plot, found in parts.items()}


def _one(terms: dict[str, np.ndarray[tuple[int], np.dtype[np.float64]]], fixed: float, wet_days: float) -> SoilNitrogen:
    return SoilNitrogen(
        from_soil=float(terms["from_soil_kg_ha"].sum()),
        from_sky=float(terms["from_sky_kg_ha"].sum()),
        mineral_in=float(terms["mineral_in_kg_ha"].sum()),
        fresh_in=float(terms["fresh_in_kg_ha"].sum()),
        uptake=float(terms["uptake_kg_ha"].sum()),
        fixed=fixed,
        leached=float(terms["leached_kg_ha"].sum()),
        start=float(terms["start_kg_ha"][0]),
        end=float(terms["end_kg_ha"][-1]),
        wet_days=wet_days,
    )


def _mean(parts: list[tuple[float, SoilNitrogen]]) -> SoilNitrogen:
    area = sum(size for size, _ in parts)
    return SoilNitrogen(
        **{one.name: sum(size * getattr(part, one.name) for size, part in parts) / area for one in fields(SoilNitrogen)}
    )
